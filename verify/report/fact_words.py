"""Facts in words, for sentences; the name of a fact is for benches."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["fact_words"]

_WORDS: Mapping[str, str] = {
    "above_nine": "what digits above nine show",
    "active": "the level that lights a segment",
    "at_end": "what comes after the end",
    "blank_zeros": "which leading zeros are dark",
    "buttons_in_reset": "what reset does to the registers of the buttons",
    "carry": "when the carry comes",
    "clear": "how far clear goes",
    "clear_acts": "whether clear acts by its level or its edge",
    "clear_stops": "whether clear stops it",
    "clear_takes": "the clocks from clear to what it does",
    "clear_while_running": "whether clear is heard while it runs",
    "clock.edge": "the edge of the clock",
    "encoding": "binary or decimal digits",
    "end_stops": "whether the end stops it",
    "first": "when the first step comes",
    "glyphs": "the shapes of the digits",
    "in_reset": "what is shown in reset",
    "leading_zero": "what becomes of leading zeros",
    "load_stops": "whether load stops it",
    "load_while_running": "whether load is heard while it runs",
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
    "runs_from_reset": "whether it runs from reset on",
    "scan": "the clocks of a digit's turn",
    "scan_direction": "which digit is next",
    "scan_from_digit": "which digit is first",
    "scan_late": "how late the first digit's turn ends",
    "start": "where reset puts it",
    "start_acts": "whether start acts by its level or its edge",
    "start_and_stop": "which of start and stop wins",
    "start_level": "the level after reset",
    "start_stop_acts": "whether start_stop acts by its level or its edge",
    "start_stop_takes": "the clocks from start_stop to what it does",
    "start_takes": "the clocks from start to the first that counts",
    "start_while_busy": "what a start while busy does",
    "stop_acts": "whether stop acts by its level or its edge",
    "stop_takes": "the clocks from stop to the first that does not count",
    "twelve_hours": "12 hours or 24",
}


def fact_words(name: str) -> str:
    """What a fact called ``name`` is about."""
    return _WORDS.get(name, name.replace("_", " ").replace(".", " "))
