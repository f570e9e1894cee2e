"""Which outputs are the stages of a timer: the unit of time, and the place of the digit."""

from __future__ import annotations

from verify.bench.inference.clockwork import UNITS
from verify.bench.inference.code_text import in_decimal
from verify.bench.inference.seen import Seen
from verify.bench.inference.view import View

__all__ = ["PLACES", "packed_stages", "reference_to", "stages_of"]

PLACES = ("ones", "tens")
_WORTH = (1, 10)


def stages_of(view: View) -> list[tuple[str, int, Seen]]:
    """Unit, place of the digit (-1: the whole number) and port, fastest first; empty if any is unclear."""
    found = []
    for seen in view.outputs:
        if seen.width == 1 and not _tens_of_twelve(seen, view):
            continue
        unit = _unit(seen, view)
        if unit is None:
            return []
        place = next((i for i, p in enumerate(PLACES) if seen.name.means(p)), -1)
        if place < 0 and seen.width <= 4:
            place = _by_letter(seen, view)
        if place < 0 and seen.width <= 4:
            place = _by_weight(seen, view)
        if place < 0 and seen.name.index in {0, 1} and seen.width <= 4:
            place = seen.name.index
        found.append((unit, place, seen))
    found.sort(key=lambda item: (UNITS.index(item[0]), item[1]))
    keys = [(unit, place) for unit, place, _ in found]
    return found if len(set(keys)) == len(keys) else []


def _tens_of_twelve(seen: Seen, view: View) -> bool:
    """One line for the tens of hours that go to 12, beside their ones."""
    name = seen.name
    tens = name.means("tens") or (name.index == 1 and set(name.words) <= {"h", "hr", "hour", "hours"})
    beside = any(s is not seen and s.width == 4 and s.name.means("hours") for s in view.outputs)
    return name.means("hours") and tens and beside


def _by_letter(seen: Seen, view: View) -> int:
    """``sek_e`` and ``sek_z``: ones and tens by their initials, if both are there."""
    last = [s.name.words[-1] for s in view.outputs if s.name.words]
    for letters in ("ez", "ud", "ot", "jd", "lh", "rl"):
        if seen.name.words[-1] in letters and all(letter in last for letter in letters):
            return letters.index(seen.name.words[-1])
    return -1


def _by_weight(seen: Seen, view: View) -> int:
    """``s1`` and ``s10``: what a digit is worth, if both are there."""
    worth = {s.name.index for s in view.outputs if s.name.words == seen.name.words}
    return _WORTH.index(seen.name.index) if worth == set(_WORTH) else -1


def _unit(seen: Seen, view: View) -> str | None:
    name = seen.name
    for unit in UNITS:
        if not name.means(unit):
            continue
        words = set(name.words)
        if unit == "hundredths" and words <= {"cent", "hi", "hundred", "hundreds"}:
            continue
        if words <= {"s", "m", "h"} and len(view.outputs) < 2:
            continue
        if unit == "seconds" and words & {"seg", "segs"} and seen.width == 7:
            continue
        return unit
    return None


def packed_stages(view: View, stages: list[tuple[str, int, Seen]]) -> list[tuple[str, int, Seen]] | None:
    """Two stages for each port, if every one holds two decimal digits and is called or treated so."""
    if not all(place < 0 and seen.width == 8 for _, place, seen in stages):
        return None
    called = all(seen.name.means("bcd") for _, _, seen in stages)
    apart = [s for _, _, s in stages if in_decimal(view.text, s.port.name)]
    if not called and len(apart) < len(stages):
        return None
    return [(unit, place, seen) for unit, _, seen in stages for place in (0, 1)]


def reference_to(place: int, seen: Seen, *, packed: bool) -> str:
    """The port of a stage, or the four bits of its digit."""
    return seen.port.part(4 * place, 4) if packed else seen.port.name
