"""Faults of displays: those of the timer behind them, of their digits and of their scan."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from verify.diagnose.bent.overlapping import Overlapping
from verify.diagnose.bent.wrapping import Wrapper
from verify.diagnose.evidence import Evidence
from verify.diagnose.fault import Fault, counted
from verify.diagnose.vocabulary.context import Context, distinct
from verify.diagnose.vocabulary.timers import timer_edits
from verify.models.display_face import Face
from verify.models.display_reading import patterns_of_panel, stages_of
from verify.models.display_scanned import ScannedDisplay
from verify.models.display_static import StaticDisplay
from verify.models.golden import GoldenModel, State
from verify.models.scan import Scan
from verify.models.scan_reading import SelectLines, measure_scan
from verify.models.timer_model import Timer
from verify.signals import ObservedTrace, column

__all__ = ["display_edits"]

Edits = Iterator[tuple[Fault, GoldenModel]]


@dataclass(frozen=True, slots=True)
class BentScan(Scan):
    """``turns``: the digit of every slot."""

    turns: tuple[int, ...] = ()

    @property
    def order(self) -> tuple[int, ...]:
        """As given."""
        return self.turns


@dataclass(frozen=True, slots=True)
class KeepingDisplay(Wrapper):
    """A display whose timer keeps something through a reset."""

    def after_reset(self, state: State) -> State:
        """The scan begins anew, the timer does what it does."""
        inner: Any = self.inner
        fresh = inner.initial()
        size = len(inner.timer.initial())
        return (*fresh[:-size], *inner.timer.after_reset(state[-size:]))


def display_edits(model: StaticDisplay | ScannedDisplay, context: Context) -> Edits:
    """Digits and scan first, then the timer."""
    yield from _zeros(model)
    if isinstance(model, ScannedDisplay):
        yield from _scans(model, context)
    if not isinstance(model.timer, Timer):
        return
    inner: Any
    for fault, inner in timer_edits(model.timer, _of_timer(model, context)):
        edited = replace(model, timer=inner, leaps=None)
        unreset = any(bend.unreset for bend in getattr(inner, "bends", ()))
        yield replace(fault, signals=()), KeepingDisplay(edited) if unreset else edited


def _of_timer(model: StaticDisplay | ScannedDisplay, context: Context) -> Context:
    """Stages have no port here; they are called by what they are."""
    usual = ("seconds", "minutes", "hours")
    names: dict[str, str] = {}
    moduli = model.face.layout.moduli
    for stage in range(len(moduli)):
        signal = model.timer.outputs[stage].name if stage < len(model.timer.outputs) else ""
        names[signal] = usual[stage] if moduli[:2] == (60, 60) and stage < len(usual) else f"stage {stage}"
    return replace(
        context, names={**context.names, **names}, evidence=_stage_evidence(model, context), hidden=True
    )


def _stage_evidence(model: StaticDisplay | ScannedDisplay, context: Context) -> Evidence:
    """What the stages did, read off their digits; nothing where the digits share their lines."""
    if not isinstance(model, StaticDisplay):
        return Evidence(())
    seen = []
    for stimulus, trace in context.evidence.seen:
        patterns = patterns_of_panel(model.panel, trace)
        seen.append((stimulus, stages_of(model.face.layout, patterns, model.face.glyphs, trace)))
    return Evidence(seen)


def _zeros(model: StaticDisplay | ScannedDisplay) -> Edits:
    texts: Mapping[str, str] = {
        "shown": "leading zeros are shown",
        "number": "all zeros before the number are dark",
        "first": "only a zero in the first place is dark",
    }
    for leading, text in texts.items():
        if leading != model.face.leading:
            face: Face = replace(model.face, leading=leading)  # type: ignore[arg-type]
            yield (
                Fault(f"leading_zero = {leading}", text, "a display that does that"),
                replace(model, face=face),
            )
    if model.face.leading != "shown":
        yield (
            Fault(
                "leading_zero = all",
                "the last digit is dark too when it is a zero",
                "a display that hides every leading zero, the last one included",
            ),
            replace(model, face=_wholly_hidden(model.face)),
        )


@dataclass(frozen=True, slots=True)
class DarkestFace(Face):
    """A face that hides a zero in the last place too."""

    def _hidable(self) -> range:
        return range(len(self.layout.places) - 1, -1, -1)


def _wholly_hidden(face: Face) -> Face:
    return DarkestFace(**{f.name: getattr(face, f.name) for f in fields(Face) if f.init})


def _scans(model: ScannedDisplay, context: Context) -> Edits:
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
            start = scan.start % (scan.digits * dwell)
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
    yield from _orders(model, chosen)


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


def _orders(model: ScannedDisplay, chosen: str) -> Edits:
    scan = model.scan
    proper = scan.order
    for slot in range(scan.digits):
        for other in range(scan.digits):
            if other == proper[slot]:
                continue
            turns = (*proper[:slot], other, *proper[slot + 1 :])
            text = f"digit {proper[slot]} is never served: digit {other} has its turn too"
            yield (
                Fault(f"scan = {list(turns)}", text, f"a scan in the order {list(turns)}"),
                replace(model, scan=_bent(scan, turns)),
            )
    if scan.digits > 2:
        back = (proper[0], *reversed(proper[1:]))
        yield (
            Fault(
                f"scan = {list(back)}", f"{chosen} goes round the other way", "a scan in the other direction"
            ),
            replace(model, scan=_bent(scan, back)),
        )


def _bent(scan: Scan, turns: tuple[int, ...]) -> BentScan:
    return BentScan(**{**{f.name: getattr(scan, f.name) for f in fields(Scan) if f.init}, "turns": turns})
