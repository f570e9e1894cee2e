"""Faults of displays: those of the timer behind them, of their digits and of their scan."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from verify.diagnose.bent.wrapping import Wrapper
from verify.diagnose.evidence import Evidence
from verify.diagnose.fault import Fault
from verify.diagnose.vocabulary.context import Context
from verify.diagnose.vocabulary.scans import scan_edits
from verify.diagnose.vocabulary.timers import timer_edits
from verify.models.display_face import Face
from verify.models.display_reading import patterns_of_panel, stages_of
from verify.models.display_scanned import ScannedDisplay
from verify.models.display_static import StaticDisplay
from verify.models.golden import GoldenModel, State, Values
from verify.models.timer_model import Timer

__all__ = ["display_edits"]

Edits = Iterator[tuple[Fault, GoldenModel]]


@dataclass(frozen=True, slots=True)
class KeepingDisplay(Wrapper):
    """A display whose timer keeps something through a reset. ``inner``: the display itself."""

    @property
    def innermost(self) -> bool:
        """Other wrappers go around it."""
        return True

    def after_reset(self, state: State) -> State:
        """The scan begins anew, the timer does what it does."""
        inner: Any = self.inner
        fresh = inner.initial()
        size = len(inner.timer.initial())
        return (*fresh[:-size], *inner.timer.after_reset(state[-size:]))

    def after_held(self, state: State, inputs: Values) -> State:
        """The timer does what it does."""
        inner: Any = self.inner
        size = len(inner.timer.initial())
        return (*state[:-size], *inner.timer.after_held(state[-size:], inputs))

    @property
    def outlives_reset(self) -> bool:
        """The timer does."""
        return True


def display_edits(model: StaticDisplay | ScannedDisplay, context: Context) -> Edits:
    """Digits and scan first, then the timer."""
    yield from _zeros(model)
    if isinstance(model, ScannedDisplay):
        yield from scan_edits(model, context)
    if not isinstance(model.timer, Timer):
        return
    inner: Any
    for fault, inner in timer_edits(model.timer, _of_timer(model, context)):
        edited = replace(model, timer=inner, leaps=None)
        keeps = bool(getattr(inner, "outlives_reset", False))
        yield replace(fault, signals=()), KeepingDisplay(edited) if keeps else edited


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
