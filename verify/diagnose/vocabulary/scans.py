"""Faults of the scan of a display whose digits share their segment lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from itertools import combinations, permutations
from typing import Any

import numpy as np

from verify.diagnose.bent.overlapping import Overlapping
from verify.diagnose.fault import Fault, counted
from verify.diagnose.vocabulary.context import Context, distinct
from verify.models.display_face import Face
from verify.models.display_scanned import ScannedDisplay
from verify.models.golden import GoldenModel
from verify.models.scan import Scan
from verify.models.scan_reading import SelectLines, measure_scan
from verify.signals import Column, ObservedTrace, column
from verify.wording import enumerated

__all__ = ["scan_edits"]

Edits = Iterator[tuple[Fault, GoldenModel]]


LONG_LOOK = 4_000
"""Turns that are looked at."""


@dataclass(frozen=True, slots=True)
class BentScan(Scan):
    """``turns``: the digit of every slot, of as many slots as there are in its round."""

    turns: tuple[int, ...] = ()

    @property
    def period(self) -> int:
        """Clocks of a round."""
        return len(self.turns) * self.dwell

    @property
    def order(self) -> tuple[int, ...]:
        """As given."""
        return self.turns


@dataclass(frozen=True, slots=True)
class MovedFace(Face):
    """``sources``: per digit the one whose pattern it shows."""

    sources: tuple[int, ...] = ()

    def patterns(self, stages: Sequence[Any]) -> list[Any]:
        """As given."""
        found = Face.patterns(self, stages)
        return [found[i] for i in self.sources]

    def columns(self, stages: Sequence[Column]) -> list[Column]:
        """As given."""
        found = Face.columns(self, stages)
        return [found[i] for i in self.sources]


def scan_edits(model: ScannedDisplay, context: Context) -> Edits:
    """Another dwell or gap, two selects, digits in another order or in each other's place."""
    scan = model.scan
    chosen = context.name("select")
    yield from _measured_scans(model, context)
    at = next(i for i, s in enumerate(model.outputs) if s.name == "select")
    gaps = context.evidence.gaps(at)
    dwells = distinct(
        [*gaps, *(a + b for a in gaps for b in gaps), scan.dwell + 1, scan.dwell - 1, 2 * scan.dwell],
        without=(scan.dwell,),
        low=1,
    )
    for dwell in dwells[:12]:
        if scan.blanking < dwell:
            start = scan.start % (len(scan.order) * dwell)
            yield (
                Fault(
                    f"dwell = {dwell}",
                    f"each digit has its turn for {dwell} clocks instead of {scan.dwell}",
                    f"a dwell of {dwell} clocks",
                    constants=((dwell, scan.dwell), (dwell - 1, scan.dwell - 1)),
                ),
                replace(model, scan=replace(scan, dwell=dwell, start=start)),
            )
    for blanking in distinct(
        [*gaps, scan.blanking + 1, scan.blanking - 1, 0, 1, 2], without=(scan.blanking,), high=scan.dwell - 1
    ):
        yield (
            Fault(
                f"blanking = {blanking}",
                f"between two digits nothing is selected for {blanking} clocks instead of {scan.blanking}",
                f"a gap of {blanking} clocks",
                constants=((blanking, scan.blanking),),
            ),
            replace(model, scan=replace(scan, blanking=blanking)),
        )
    for clocks in (1, 2):
        yield (
            Fault(
                f"select overlap = {clocks}",
                f"at each change the digit before stays selected for {counted(clocks, 'clock')} more: "
                "two digits are selected",
                f"a {chosen} that lets go late",
            ),
            Overlapping(model, at, clocks, inverted=model.lines.select.active_low),
        )
    yield from _orders(model, context)
    yield from _moved(model, context)


def _measured_scans(model: ScannedDisplay, context: Context) -> Iterator[tuple[Fault, GoldenModel]]:
    """The scan as it was seen, each digit's turn taken from the moment at which its line rises."""
    at = next(i for i, s in enumerate(model.outputs) if s.name == "select")
    lines = model.lines.select
    for stimulus, trace in context.evidence.seen[:2]:
        repaired, overlap = _newest_only(trace, at, lines)
        measured = measure_scan(lines, stimulus, repaired, at, dwell=None, blanking=None)
        if measured is None:
            continue
        for latency in range(4):
            scan = measured.delayed(latency)
            faults = _scan_fault(model.scan, scan, overlap)
            if faults is not None:
                inside = replace(model, scan=scan)
                yield (
                    faults,
                    inside if not overlap else Overlapping(inside, at, overlap, inverted=lines.active_low),
                )


def _scan_fault(proper: Scan, scan: Scan, overlap: int) -> Fault | None:
    said, constants = [], []
    if scan.dwell != proper.dwell:
        said.append(f"each digit has its turn for {counted(scan.dwell, 'clock')} instead of {proper.dwell}")
        constants += [(scan.dwell, proper.dwell), (scan.dwell - 1, proper.dwell - 1)]
    if scan.blanking != proper.blanking:
        gap = f"{counted(scan.blanking, 'clock')} instead of {proper.blanking}"
        said.append(f"between two digits nothing is selected for {gap}")
        constants.append((scan.blanking, proper.blanking))
    if scan.descending != proper.descending:
        said.append("the digits are served in the other direction")
    if overlap:
        said.append(
            f"at each change the digit before stays selected for {counted(overlap, 'clock')} more, "
            "so that two digits are selected"
        )
    if not said:
        return None
    key = f"dwell = {scan.dwell}, blanking = {scan.blanking}" + (f", overlap = {overlap}" if overlap else "")
    return Fault(key, "; ".join(said), "a scan that does that", len(said), tuple(constants))


def _newest_only(trace: ObservedTrace, at: int, lines: SelectLines) -> tuple[ObservedTrace, int]:
    """Where several digits are selected only the one whose line rose last, and for how long they were."""
    active = lines.word(trace.values[at]).astype(np.int64)
    lengths = np.diff(trace.cycles, append=trace.length)
    several = (active & active - 1) != 0
    if not several.any():
        return trace, 0
    risen = active.copy()
    risen[1:] &= ~active[:-1]
    newest = np.where(several & (risen != 0), risen, active)
    values = tuple(
        column(lines.word(newest), s.width) if i == at else v
        for i, (v, s) in enumerate(zip(trace.values, trace.signals, strict=True))
    )
    counts = np.bincount(lengths[several].astype(np.int64))
    return replace(trace, values=values), int(counts.argmax())


def _orders(model: ScannedDisplay, context: Context) -> Edits:
    """Digits that are never served, or in another order."""
    scan, chosen = model.scan, context.name("select")
    proper = scan.order
    for slot, served in enumerate(proper):  # a round may already be of another length
        for other in range(scan.digits):
            if other != served:
                turns = (*proper[:slot], other, *proper[slot + 1 :])
                yield _order_fault(turns, proper, chosen), replace(model, scan=_bent(scan, turns))
    seen = _seen_orders(model, context)
    back = (proper[0], *reversed(proper[1:]))
    for order in dict.fromkeys([back, *seen]):
        for turn in range(len(order)):
            turns = (*order[turn:], *order[:turn])
            if _from_smallest(turns) != _from_smallest(proper):
                yield _order_fault(turns, proper, chosen), replace(model, scan=_bent(scan, turns))


def _seen_orders(model: ScannedDisplay, context: Context) -> list[tuple[int, ...]]:
    """As the select lines were seen to go round, where they do."""
    at = next(i for i, s in enumerate(model.outputs) if s.name == "select")
    found = []
    seen = context.evidence.seen
    for _, trace in [*seen[:2], *seen[2:][-1:]]:
        unknown = None if trace.unknown is None else trace.unknown[at]
        digits = model.lines.select.digit(trace.values[at], unknown)
        digits = digits[digits >= 0]
        if not len(digits):
            continue
        turns = digits[np.append(True, digits[1:] != digits[:-1])][:LONG_LOOK].tolist()
        turns = turns[1:]  # the first may have begun anywhere
        for length in range(1, min(2 * model.scan.digits, len(turns) // 2) + 1):
            if turns[length:] == turns[:-length]:
                found.append(tuple(turns[:length]))
                break
    return found


def _order_fault(turns: tuple[int, ...], proper: tuple[int, ...], chosen: str) -> Fault:
    shown, right = _from_smallest(turns), _from_smallest(proper)
    missing = [digit for digit in proper if digit not in turns]
    again = [digit for digit in turns if turns.count(digit) > 1]
    if missing and again and len(turns) == len(proper):
        text = f"digit {missing[0]} is never served: digit {again[0]} has its turn too"
    elif missing and not again:
        which = (
            f"digit {missing[0]} is"
            if len(missing) == 1
            else f"digits {enumerated([str(d) for d in missing])} are"
        )
        round_ = f"goes round {_listed(shown)} only" if len(shown) > 1 else f"stays at {shown[0]}"
        text = f"{which} never served: {chosen} {round_}"
    elif shown == (shown[0], *reversed(right[1:])):
        text = f"{chosen} goes round the other way"
    else:
        text = f"{chosen} serves the digits in the order {_listed(shown)} instead of {_listed(right)}"
    return Fault(f"scan = {list(shown)}", text, f"a scan in the order {_listed(shown)}")


def _from_smallest(turns: tuple[int, ...]) -> tuple[int, ...]:
    """The same round, told from the digit that makes it come first."""
    return min((*turns[i:], *turns[:i]) for i in range(len(turns)))


def _listed(turns: Sequence[int]) -> str:
    return ", ".join(map(str, turns))


def _bent(scan: Scan, turns: tuple[int, ...]) -> BentScan:
    given = {f.name: getattr(scan, f.name) for f in fields(Scan) if f.init}
    start = scan.start % (len(turns) * scan.dwell)
    return BentScan(**{**given, "start": start, "turns": turns})


def _moved(model: ScannedDisplay, context: Context) -> Edits:
    """While a digit is selected the segments show another one."""
    count = model.scan.digits
    straight = tuple(range(count))
    shapes = [(*straight[by:], *straight[:by]) for by in range(1, count)]
    shapes.append(straight[::-1])
    for low, high in combinations(straight, 2):
        places = list(straight)
        places[low], places[high] = high, low
        shapes.append(tuple(places))
    for place, shown in permutations(straight, 2):
        shapes.append((*straight[:place], shown, *straight[place + 1 :]))
    given = {f.name: getattr(model.face, f.name) for f in fields(Face) if f.init}
    for sources in dict.fromkeys(shapes):
        wrong = [f"digit {shown} in the place of digit {i}" for i, shown in enumerate(sources) if shown != i]
        text = f"{context.name('segments')} shows {enumerated(wrong)} (0 is the ones)"
        if count > 2 and sources == straight[::-1]:
            text = f"{context.name('segments')} shows the digits in reverse order"
        fault = Fault(f"digits = {list(sources)}", text, "a display with its digits in these places")
        yield fault, replace(model, face=MovedFace(**given, sources=sources))
