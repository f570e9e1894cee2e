"""Every edited model is one machine, whether it is played clock by clock or in leaps."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from stepping import promises

from verify.diagnose.bent.rewrapping import rewrapped
from verify.diagnose.bent.wrapping import Wrapper
from verify.diagnose.evidence import Evidence
from verify.diagnose.fault import Edit
from verify.diagnose.kinds import is_table
from verify.diagnose.vocabulary import Context, edits
from verify.models.catalogue import FAMILIES
from verify.models.golden import Drivable, GoldenModel
from verify.models.playing import ResetKind, expect
from verify.signals import ExpectedTrace, Reset, Run, Stimulus

ENABLE_CLEAR = {"enable": (1,), "clear": (1,)}
SHAPES = {
    "tick": ("divider", {"tick": (1,), **ENABLE_CLEAR}, {"ratio": 5}),
    "square": ("divider", {"square": (1,), **ENABLE_CLEAR}, {"ratio": 6}),
    "count": (
        "counter",
        {"count": (4,), **ENABLE_CLEAR, "load": (1,), "load_value": (4,), "up": (1,), "carry": (1,)},
        {"modulo": 11, "direction": "input"},
    ),
    "digits": ("counter", {"digits": (4, 3), **ENABLE_CLEAR}, {"encoding": "bcd", "digit_modulo": [10, 6]}),
    "hours": ("counter", {"count": (8,), "enable": (1,), "carry": (1,)}, {"encoding": "bcd", "modulo": 24}),
    "timer": (
        "timer",
        {"stages": (3, 3, 3), **ENABLE_CLEAR, "tick": (1,)},
        {"ratio": 3, "modulo": [3, 2, 4]},
    ),
    "countdown": (
        "timer",
        {"stages": (2, 2), "load": (1,), "load_values": (2, 2), "enable": (1,), "done": (1,)},
        {"ratio": 2, "modulo": [3, 3], "direction": "down", "at_end": "stop"},
    ),
    "converter": ("bcd", {"binary": (7,), "bcd": (12,)}, {}),
    "sequencer": ("bcd", {"binary": (5,), "bcd": (8,), "start": (1,), "done": (1,)}, {"max_cycles": 9}),
    "decoder": ("segments", {"digit": (4,), "segments": (7,), "blank": (1,)}, {}),
    "display": ("display", {"digits": (7, 7), **ENABLE_CLEAR}, {"ratio": 2, "modulo": [12]}),
    "scanned": (
        "display",
        {"segments": (7,), "select": (3,), **ENABLE_CLEAR},
        {"ratio": 4, "modulo": [7, 12], "scan": {"dwell": 3}},
    ),
}


@cache
def edited(name: str) -> tuple[GoldenModel, list[Edit]]:
    """A golden model, and all that its vocabulary makes of it."""
    family, shape, options = SHAPES[name]
    model = FAMILIES[family].candidates(shape, options, True)[0].model
    return model, list(edits(model, Context(Evidence([]), {})))


@st.composite
def stimuli(draw: st.DrawFn, model: GoldenModel) -> Stimulus:
    """Controls at rest more often than not, resets of every kind."""
    resting = model.resting if isinstance(model, Drivable) else {}
    runs = []
    for _ in range(draw(st.integers(2, 12))):
        values = tuple(
            draw(st.sampled_from([resting.get(s.name, 0)] * 2) | st.integers(0, s.mask)) for s in model.inputs
        )
        reset = draw(st.sampled_from([Reset.RELEASED] * 4 + [Reset.HELD, Reset.PULSED, Reset.PULSED_EARLY]))
        runs.append(Run(draw(st.integers(1, 30)), values, reset))
    return Stimulus.of(model.inputs, runs)


def laid_out(trace: ExpectedTrace) -> Iterator[list[tuple[int, int]]]:
    """Per cycle the promised bits of every output, and which they are."""
    cares = trace.cares or (None,) * len(trace.values)
    rows = np.searchsorted(trace.cycles, np.arange(trace.length), side="right") - 1
    for row in rows.tolist():
        masks = [s.mask if c is None else int(c[row]) for s, c in zip(trace.signals, cares, strict=True)]
        yield [(int(v[row]) & m, m) for v, m in zip(trace.values, masks, strict=True)]


@pytest.mark.parametrize("name", SHAPES)
def test_all_keys_differ_and_every_sentence_is_whole(name: str) -> None:
    _, found = edited(name)
    assert len(found) > 5
    keys = [e.key for e in found if not e.key.startswith("scan = ")]  # rounds may begin anywhere
    assert len(set(keys)) == len(keys), {k for k in keys if keys.count(k) > 1}
    for fault in (f for e in found for f in e.faults):
        assert fault.text
        assert fault.claim
        assert not fault.text.endswith("."), fault.text
        assert "  " not in fault.text + fault.claim


@pytest.mark.parametrize("name", SHAPES)
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_leaps_are_clocks_put_together(name: str, data: st.DataObject) -> None:
    model, found = edited(name)
    edit = data.draw(st.sampled_from(found))
    stimulus = data.draw(stimuli(model))
    kind = data.draw(st.sampled_from(list(ResetKind)))
    trace = expect(edit.model, stimulus, kind)[0]
    if is_table(edit.model):
        kind = ResetKind.SYNCHRONOUS
    stepped = [[(v & m, m) for v, m in row] for row in promises(edit.model, kind, stimulus)]
    assert list(laid_out(trace)) == stepped, edit.key


@pytest.mark.parametrize("name", ["timer", "countdown", "display", "scanned"])
def test_wrappers_that_need_the_model_itself_stay_inside_of_the_others(name: str) -> None:
    """Two faults, both of which change the model around: they play in either order."""
    model, found = edited(name)
    inner = [e.model for e in found if getattr(e.model, "innermost", False)]
    assert inner
    outer = [e.model for e in found if isinstance(e.model, Wrapper) and e.model not in inner]
    values = tuple(0 for _ in model.inputs)
    for first in inner[:2]:
        for second in outer[-3:]:
            both = rewrapped(first, rewrapped(second, model))
            assert not getattr(both, "innermost", False)
            assert len(both.out(both.next(both.initial(), values), values)) == len(model.outputs)


@pytest.mark.parametrize("name", ["timer", "scanned"])
def test_a_second_fault_can_be_added_to_every_first_one(name: str) -> None:
    """Two wrappers that both need the model itself are no pair, and a round may have another length."""
    _, found = edited(name)
    for first in found:
        for second in edits(first.model, Context(Evidence([]), {})):
            assert second.model.initial() is not None
