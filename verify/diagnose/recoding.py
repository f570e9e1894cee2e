"""Displays that are right but for the shapes of some digits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from verify.diagnose.fault import Edit, Fault
from verify.diagnose.matching import Alignment
from verify.diagnose.moments import Moments
from verify.diagnose.naming import Names
from verify.diagnose.observation import Observation
from verify.diagnose.vocabulary.decoders import glyph_text
from verify.models.display_face import Face
from verify.models.display_scanned import ScannedDisplay
from verify.models.display_static import StaticDisplay
from verify.models.glyphs import ALL_LIT, letters_of
from verify.models.golden import GoldenModel
from verify.models.segment_wires import SegmentWires
from verify.signals import Column, ExpectedTrace

__all__ = ["recodings"]

MOST_GLYPHS = 6
"""With more wrong shapes than that it is something else."""

WORD_BITS = 8
"""Wires of a digit at most."""


@dataclass(frozen=True, slots=True)
class OwnGlyphs(Face):
    """``own``: digits of the display that have glyphs of their own, and those."""

    own: tuple[tuple[int, tuple[int, ...]], ...] = ()

    def patterns(self, stages: Any) -> list[Any]:
        """As a face's, those digits apart."""
        shown = Face.patterns(self, stages)
        for digit, glyphs in self.own:
            shown[digit] = Face.patterns(replace(self, glyphs=glyphs, own=()), stages)[digit]
        return shown

    def columns(self, stages: Any) -> list[Column]:
        """As a face's, those digits apart."""
        shown = Face.columns(self, stages)
        for digit, glyphs in self.own:
            shown[digit] = Face.columns(replace(self, glyphs=glyphs, own=()), stages)[digit]
        return shown


def recodings(
    model: GoldenModel, trace: ExpectedTrace, alignment: Alignment, observation: Observation, names: Names
) -> Iterator[Edit]:
    """The edit with the glyphs that were seen, if each proper one was always shown the same way."""
    if not isinstance(model, (ScannedDisplay, StaticDisplay)):
        return
    moments = Moments.of(trace, alignment, observation)
    if moments is None:
        return
    if isinstance(model, StaticDisplay):
        yield from _digit_by_digit(model, moments, names)
    elif wrong := _wrong(moments, 0, model.lines.wires, model.face):
        yield from _everywhere(model, wrong)


def _digit_by_digit(model: StaticDisplay, moments: Moments, names: Names) -> Iterator[Edit]:
    if model.panel.packed:
        return
    wires = model.panel.wires
    found = {i: _wrong(moments, i, wires[i], model.face) for i in range(len(wires))}
    if any(w is None for w in found.values()):
        return
    wrong_at = {i: w for i, w in found.items() if w}
    merged: dict[int, int] = {}
    for w in wrong_at.values():
        merged.update(w)
    if not merged:
        return
    if len(wrong_at) > 1 or len(merged) == 1:
        yield from _everywhere(model, merged)
    own, faults = [], []
    for i, w in wrong_at.items():
        own.append((i, tuple(w.get(d, p) for d, p in enumerate(model.face.glyphs))))
        faults.append(_fault(w, model.face, names.get(f"digits[{i}]", f"digit {i}")))
    face = OwnGlyphs(**{f.name: getattr(model.face, f.name) for f in fields(Face) if f.init}, own=tuple(own))
    yield Edit(tuple(faults), replace(model, face=face))


def _everywhere(model: StaticDisplay | ScannedDisplay, wrong: dict[int, int]) -> Iterator[Edit]:
    glyphs = tuple(wrong.get(d, p) for d, p in enumerate(model.face.glyphs))
    edited = replace(model, face=replace(model.face, glyphs=glyphs))
    yield Edit((_fault(wrong, model.face, ""),), edited)


def _fault(wrong: dict[int, int], face: Face, where: str) -> Fault:
    key = ", ".join(f"{d} = {letters_of(p) or 'blank'}" for d, p in wrong.items())
    text = "; ".join(glyph_text(d, p, face.glyphs[d]) for d, p in wrong.items())
    place = f" on {where}" if where else ""
    return Fault(f"glyphs{place}: {key}", f"{text}{place}", f"a decoder with these glyphs{place}", len(wrong))


def _wrong(moments: Moments, output: int, wires: SegmentWires, face: Face) -> dict[int, int] | None:
    """Digit -> the pattern that was seen in place of its own; None when that is not one pattern."""
    golden = moments.expected
    care = None if golden.cares is None else golden.cares[output]
    cared = slice(None) if care is None else np.asarray(care[moments.expected_rows] != 0, dtype=bool)
    proper = golden.values[output][moments.expected_rows][cared]
    seen = moments.observed.values[output][moments.observed_rows][cared]
    both = np.unique(proper << WORD_BITS | seen).tolist()
    pairs = {(word >> WORD_BITS, word & (1 << WORD_BITS) - 1) for word in both}
    if len(pairs) != len({a for a, _ in pairs}):
        return None
    digits = {p & ALL_LIT: d for d, p in reversed(list(enumerate(face.glyphs)))}
    wrong: dict[int, int] = {}
    for a, b in pairs:
        if a == b:
            continue
        digit = digits.get(int(wires.word(a)) & ALL_LIT)
        if digit is None:
            return None
        wrong[digit] = int(wires.word(b)) & ALL_LIT
    return dict(sorted(wrong.items())) if len(wrong) <= MOST_GLYPHS else None
