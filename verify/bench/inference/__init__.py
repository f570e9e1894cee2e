"""A bench read off a design that has none: what each module is, what each port means, and why."""
