"""Verilog without a bench: what it is taken for, and the check of that."""
