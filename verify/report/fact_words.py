"""Facts in words, for sentences; the name of a fact is for benches."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["fact_words"]

_WORDS: Mapping[str, str] = {
    "above_nine": "what digits above nine show",
    "active": "the level that lights a segment",
    "at_end": "what comes after the end",
    "blank_zeros": "which leading zeros are dark",
    "carry": "when the carry comes",
    "clear": "how far clear goes",
    "clock.edge": "the edge of the clock",
    "encoding": "binary or decimal digits",
    "first": "when the first step comes",
    "glyphs": "the shapes of the digits",
    "in_reset": "what is shown in reset",
    "leading_zero": "what becomes of leading zeros",
    "modulo": "how many states there are",
    "number_taken": "when the number is taken in",
    "order": "the end at which segment a is",
    "overflow": "what becomes of numbers without room",
    "pause": "what a pause does to the part of a second",
    "points": "the decimal points",
    "priority": "which control is stronger",
    "reset.delay": "how late the reset comes",
    "reset.kind": "the kind of reset",
    "reset.release": "how late the reset ends",
    "scan": "the clocks of a digit's turn",
    "scan_direction": "which digit is next",
    "scan_from_digit": "which digit is first",
    "scan_late": "how late the first digit's turn ends",
    "start": "where reset puts it",
    "start_level": "the level after reset",
    "start_while_busy": "what a start while busy does",
    "twelve_hours": "12 hours or 24",
}


def fact_words(name: str) -> str:
    """What a fact called ``name`` is about."""
    return _WORDS.get(name, name.replace("_", " ").replace(".", " "))
