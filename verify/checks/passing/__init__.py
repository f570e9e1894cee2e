"""What speaks against a pass, and what the verdict of a passing check rests on."""
