"""Verilog spelling of names and values that come from a design."""

from __future__ import annotations

__all__ = ["verilog_name", "verilog_value"]


def verilog_name(name: str) -> str:
    """The name as an escaped identifier (IEEE 1364-2005 3.7.1): right for keywords and odd characters too."""
    return f"\\{name.removeprefix(chr(92)).strip()} "


def verilog_value(value: int | str) -> str:
    """A parameter value: text as it stands, an integer as a signed literal wide enough for it."""
    if isinstance(value, str):
        return value
    width = max(32, value.bit_length() + 1)
    return f"-{width}'sd{-value}" if value < 0 else f"{width}'sd{value}"
