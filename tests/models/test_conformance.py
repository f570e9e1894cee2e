"""The contract of a golden model, held against every model that every family can make."""

from __future__ import annotations

from dataclasses import fields, replace
from functools import cache

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from verify.models.catalogue import FAMILIES
from verify.models.display_given import GivenNumber, SampledDisplay
from verify.models.display_scanned import ScannedDisplay
from verify.models.family import OptionError
from verify.models.golden import (
    CombinationalModel,
    Drivable,
    GoldenModel,
    Guided,
    Leap,
    Resetting,
    Running,
)
from verify.models.latch import CHOICES
from verify.models.latched import Latched
from verify.models.playing import ResetKind, expect
from verify.signals import Reset, Run, Stimulus

ENABLE_CLEAR = {"enable": (1,), "clear": (1,)}
PULSES = {"tick": (1,), "done": (1,)}
LOADS = {"load": (1,), "load_values": (2, 3)}
LOAD = {"load": (1,), "load_value": (8,)}
BUTTONS = {"start": (1,), "stop": (1,)}
LOADS_ONE = {"load": (1,), "load_values": (5,)}

SAMPLES = {
    "divider": [
        ({"tick": (1,)}, {"ratio": 1}),
        ({"tick": (1,), "enable": (1,)}, {"ratio": 1}),
        ({"tick": (1,), **ENABLE_CLEAR}, {"ratio": 2, "active": "low"}),
        ({"tick": (1,), **ENABLE_CLEAR}, {"ratio": 5}),
        ({"tick": (1,), "clear": (1,)}, {"ratio": 13}),
        ({"square": (1,), **ENABLE_CLEAR}, {"ratio": 2}),
        ({"square": (1,), **ENABLE_CLEAR}, {"ratio": 7, "active": "low"}),
        ({"square": (1,)}, {"ratio": 9, "high": 2}),
    ],
    "counter": [
        ({"count": (4,)}, {}),
        ({"count": (1,), "carry": (1,)}, {"carry": "after_wrap"}),
        ({"count": (7,), **ENABLE_CLEAR, "carry": (1,)}, {"modulo": 60, "start": 58, "carry": "after_wrap"}),
        ({"count": (4,), **ENABLE_CLEAR, **LOAD, "up": (1,), "carry": (1,)}, {"modulo": 11, "step": 3}),
        ({"count": (7,), **ENABLE_CLEAR, **LOAD}, {"encoding": "bcd", "modulo": 60, "direction": "down"}),
        ({"digits": (4, 3), **LOAD, **ENABLE_CLEAR}, {"digit_modulo": [10, 6], "priority": ["enable"]}),
        ({"count": (4,), **LOAD, **ENABLE_CLEAR, **BUTTONS}, {"modulo": 11}),
        ({"count": (3,), "start_stop": (1,), "carry": (1,)}, {"carry": "after_wrap"}),
        (
            {"digits": (4, 2), **LOAD, **ENABLE_CLEAR, "carry": (1,)},
            {"modulo": 24, "carry": "last_state_and_enable", "priority": ["load", "enable"], "start": 1},
        ),
        ({"digits": (4, 4, 4), "load": (1,), "load_value": (5,)}, {"encoding": "binary", "step": -7}),
        ({"count": (70,), "load": (1,), "load_value": (70,)}, {"start": (1 << 70) - 3}),
        ({"count": (72,), "clear": (1,)}, {"encoding": "bcd", "direction": "down"}),
    ],
    "timer": [
        ({"stages": (3,)}, {"ratio": 1, "modulo": [5]}),
        ({"stages": (2, 2), **PULSES, "enable": (1,)}, {"ratio": 1, "modulo": [3, 4]}),
        ({"stages": (2, 2, 1), **PULSES, **ENABLE_CLEAR}, {"ratio": 3, "modulo": [3, 2, 2]}),
        ({"stages": (2, 2), **PULSES, **ENABLE_CLEAR}, {"ratio": 4, "modulo": [3, 3], "pause": "gate"}),
        (
            {"stages": (2, 2), **LOADS, **PULSES, **ENABLE_CLEAR},
            {"ratio": 2, "modulo": [3, 3], "direction": "down", "at_end": "stop", "start": [1, 2]},
        ),
        (
            {"stages": (2, 2), **LOADS, **PULSES, **ENABLE_CLEAR},
            {"ratio": 3, "modulo": [4, 3], "at_end": "stop", "clear": "stages", "pause": "gate"},
        ),
        ({"seconds": (6,), "minutes": (6,), "enable": (1,), "clear": (1,)}, {"ratio": 2, "clear": "stages"}),
        (
            {"stages": (2, 2, 1), **LOADS, "load_values": (2, 2, 1), **PULSES, **ENABLE_CLEAR},
            {"ratio": 2, "modulo": [3, 4, 2], "states": 17, "start": [1, 2, 0]},
        ),
        ({"stages": (2, 2), **PULSES}, {"ratio": 3, "modulo": [3, 3], "states": 7, "direction": "down"}),
        ({"minutes": (6,), "hours": (5,)}, {"ratio": 1, "modulo": [60, 24], "direction": "down"}),
        ({"stages": (6, 6, 4), **ENABLE_CLEAR, "pm": (1,)}, {"ratio": 2, "twelve_hours": True}),
        (
            {"stages": (2, 4, 1), **PULSES, "pm": (1,), **ENABLE_CLEAR},
            {"ratio": 2, "modulo": [3, 10, 2], "start": [1, 1, 1], "twelve_hours": True, "pause": "gate"},
        ),
        ({"stages": (2, 2), **PULSES, **BUTTONS, "clear": (1,)}, {"ratio": 3, "modulo": [3, 4]}),
        (
            {"stages": (2, 2), **LOADS, **PULSES, **BUTTONS, **ENABLE_CLEAR},
            {"ratio": 2, "modulo": [3, 3], "direction": "down", "at_end": "stop", "start": [1, 2]},
        ),
        ({"stages": (2, 2), "start": (1,), "done": (1,)}, {"ratio": 2, "modulo": [3, 3], "at_end": "stop"}),
        (
            {"stages": (2, 2), "start_stop": (1,), "clear": (1,)},
            {"ratio": 2, "modulo": [3, 3], "pause": "gate"},
        ),
        (
            {"stages": (3, 4), "start_stop": (1,), "pm": (1,)},
            {"modulo": [5, 12], "ratio": 1, "twelve_hours": True},
        ),
        ({"stages": (32,) * 3}, {"ratio": 1, "modulo": [1 << 32] * 3, "direction": "down"}),
    ],
    "bcd": [
        ({"binary": (8,), "bcd": (10,)}, {}),
        ({"binary": (7,), "digits": (4, 5)}, {"overflow": "any", "max_value": 120}),
        ({"binary": (80,), "bcd": (100,)}, {}),
        ({"binary": (5,), "bcd": (8,), "start": (1,), "done": (1,), "busy": (1,)}, {"max_cycles": 7}),
        ({"binary": (5,), "digits": (4, 2), "start": (1,), "busy": (1,)}, {"start_while_busy": "restart"}),
        (
            {"binary": (5,), "bcd": (4,), "start": (1,), "done": (1,)},
            {"start_while_busy": "any", "overflow": "any", "holds_result": False, "max_cycles": 4},
        ),
        ({"binary": (5,), "bcd": (8,), "done": (1,)}, {"max_cycles": 9}),
    ],
    "segments": [
        ({"digit": (4,), "segments": (7,)}, {"active": "low", "above_nine": "any"}),
        ({"digit": (3,), "segments": (8,), "point": (1,)}, {"order": "a_msb"}),
        (
            {"digit": (4,), "segments": (8,), "point": (1,), "blank": (1,), "lamp_test": (1,)},
            {"above_nine": "any", "glyphs": {}},
        ),
        ({"digit": (5,), "segment_ports": (1,) * 7, "lamp_test": (1,)}, {"glyphs": {"6": "cdefg"}}),
        ({"digit": (4,), "segments": (7,)}, {"above_nine": "hex"}),
        (
            {"digit": (4,), "segments": (8,), "point": (1,), "blank": (1,)},
            {"above_nine": "hold", "reset_shows": "dash", "active": "low", "glyphs": {}},
        ),
        ({"digit": (4,), "segment_ports": (1,) * 7}, {"above_nine": "hold"}),
    ],
    "display": [
        ({"digits": (7, 7)}, {"ratio": 3, "modulo": [13]}),
        (
            {"digits": (7, 8, 8), **ENABLE_CLEAR, "done": (1,), "point": (3,)},
            {"ratio": 2, "modulo": [3, 12], "leading_zero": "blank", "active": "low"},
        ),
        ({"segments": (72,), "load": (1,), "load_values": (8, 8, 8)}, {"ratio": 2, "digits_per_stage": 3}),
        ({"segments": (7,), "select": (3,), **ENABLE_CLEAR}, {"ratio": 4, "modulo": [7, 12]}),
        (
            {"segments": (8,), "select": (2,), "tick": (1,), **LOADS_ONE},
            {"ratio": 3, "modulo": [20], "scan": {"dwell": 5, "blanking": 2}, "leading_zero": "blank"},
        ),
        (
            {"segments": (7,), "select": (4,), "point": (1,), "clear": (1,)},
            {"ratio": 1, "modulo": [3, 4], "scan": {"dwell": 1, "select_active": "low"}, "order": "a_msb"},
        ),
        (
            {"digits": (7,) * 4, "pm": (1,), "clear": (1,)},
            {"ratio": 2, "modulo": [3, 12], "twelve_hours": True, "leading_zero": "blank"},
        ),
        ({"digits": (7, 8), "values": (4, 4)}, {"active": "low", "above_nine": "hex", "glyphs": {}}),
        ({"segments": (21,), "values": (10,)}, {"leading_zero": "blank"}),
        ({"segments": (7,), "select": (3,), "values": (4, 4, 3)}, {"scan": {"dwell": 3, "blanking": 1}}),
        (
            {"segments": (8,), "select": (4,), "values": (4, 10)},
            {"modulo": [10, 1000], "scan": {"dwell": 2, "select_active": "low"}, "above_nine": "any"},
        ),
    ],
}

CASES = [
    pytest.param(family, shape, options, id=f"{family}-{number}")
    for family in FAMILIES
    for number, (shape, options) in enumerate(SAMPLES[family])
]


def candidates_of(family: str, shape, options, reset: bool):
    """Nothing where a model needs a reset."""
    if "start_stop" in shape and not reset:
        with pytest.raises(OptionError, match="a design without reset"):
            FAMILIES[family].candidates(shape, options, reset)
        return ()
    return FAMILIES[family].candidates(shape, options, reset)


def latches_before(model: Latched) -> list[GoldenModel]:
    """With other facts than the usual ones, each of them at least once."""
    most = max(len(values) for values in CHOICES.values())
    rng = np.random.default_rng(len(model.inputs))
    latches = []
    for turn in range(2 * most):
        facts = {
            name: values[(turn + int(rng.integers(2))) % len(values)] for name, values in CHOICES.items()
        }
        latches.append(replace(model, latch=replace(model.latch, **facts)))
    return latches


@cache
def models_of(family: str, number: int) -> list[GoldenModel]:
    shape, options = SAMPLES[family][number]
    found: list[GoldenModel] = []
    for reset in (True, False):
        for candidate in candidates_of(family, shape, options, reset):
            if candidate.model not in found:
                found.append(candidate.model)
    found += [behind for m in found if isinstance(m, Latched) for behind in latches_before(m)]
    given = [m for m in found if isinstance(m, ScannedDisplay) and isinstance(m.timer, GivenNumber)]
    return found + [SampledDisplay(**{f.name: getattr(m, f.name) for f in fields(m)}) for m in given]


@st.composite
def inputs_of(draw: st.DrawFn, model: GoldenModel) -> tuple[int, ...]:
    """Any value of any input; controls are at rest more often than not."""
    resting = model.resting if isinstance(model, Drivable) else {}
    values = []
    for signal in model.inputs:
        anything = st.integers(0, signal.mask)
        legal = st.integers(0, model.limits.get(signal.name, signal.mask))
        at_rest = st.just(resting.get(signal.name, 0))
        values.append(draw(at_rest | legal | anything | at_rest))
    return tuple(values)


@st.composite
def played(draw: st.DrawFn) -> tuple[GoldenModel, tuple[int, ...]]:
    """A model and a state that it can come to."""
    family = draw(st.sampled_from(sorted(FAMILIES)))
    model = draw(st.sampled_from(models_of(family, draw(st.integers(0, len(SAMPLES[family]) - 1)))))
    state = model.initial()
    for _ in range(draw(st.integers(0, 4))):
        values = draw(inputs_of(model))
        for _ in range(draw(st.integers(1, 12))):
            state = model.next(state, values)
    return model, state


def per_cycle(model: GoldenModel, state: tuple[int, ...], values: tuple[int, ...]) -> list[int]:
    """What one cycle promises: the promised bits of every output, and which they are."""
    masks = model.cares(state, values) or tuple(s.mask for s in model.outputs)
    return [n for out, mask in zip(model.out(state, values), masks, strict=True) for n in (out & mask, mask)]


def spread(model: GoldenModel, trace, length: int) -> list[list[int]]:
    """The same, cycle by cycle, from a leap or a trace."""
    offsets = trace.offsets if isinstance(trace, Leap) else trace.cycles
    columns = trace.columns if isinstance(trace, Leap) else trace.values
    assert offsets[0] == 0
    assert (np.diff(offsets) > 0).all()
    assert offsets[-1] < length
    rows = np.searchsorted(offsets, np.arange(length), side="right") - 1
    spread_columns = []
    for i, signal in enumerate(model.outputs):
        care = None if trace.cares is None else trace.cares[i]
        masks = np.full(len(offsets), signal.mask, dtype=columns[i].dtype) if care is None else care
        assert len(columns[i]) == len(offsets) == len(masks)
        spread_columns += [(columns[i] & masks)[rows].tolist(), masks[rows].tolist()]
    return [list(row) for row in zip(*spread_columns, strict=True)]


@settings(max_examples=500, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(played(), st.data())
def test_the_one_cycle_form_and_the_leap_are_the_same_machine(start, data):
    model, state = start
    values = data.draw(inputs_of(model))
    cycles = data.draw(st.integers(1, 40) | st.integers(1, 400))
    leap = model.leap(state, values, cycles)
    expected = []
    for _ in range(cycles):
        outputs = model.out(state, values)
        assert outputs == model.out(state, values)
        assert all(0 <= v <= s.mask for v, s in zip(outputs, model.outputs, strict=True))
        expected.append(per_cycle(model, state, values))
        following = model.next(state, values)
        assert following == model.next(state, values)
        state = following
    assert spread(model, leap, cycles) == expected
    assert tuple(leap.state) == tuple(state)
    assert all(isinstance(value, int) and value >= 0 for value in leap.state)


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(played(), st.data())
def test_a_leap_split_anywhere_is_the_same_leap(start, data):
    model, state = start
    values = data.draw(inputs_of(model))
    first, second = data.draw(st.integers(1, 100)), data.draw(st.integers(1, 100))
    whole = model.leap(state, values, first + second)
    head = model.leap(state, values, first)
    tail = model.leap(head.state, values, second)
    assert spread(model, whole, first + second) == spread(model, head, first) + spread(model, tail, second)
    assert tuple(whole.state) == tuple(tail.state)


def reset_from(model: GoldenModel, state: tuple[int, ...]) -> tuple[int, ...]:
    """Registers of buttons may be without reset."""
    return model.after_reset(state) if isinstance(model, Resetting) else model.initial()


def under_reset(model: GoldenModel, state: tuple[int, ...], values: tuple[int, ...]) -> tuple[int, ...]:
    fresh = reset_from(model, state)
    return model.after_held(fresh, values) if isinstance(model, Running) else fresh


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(played(), st.sampled_from(ResetKind), st.data())
def test_an_expected_trace_is_what_a_plain_loop_over_cycles_gives(start, kind, data):
    model, _ = start
    run = st.builds(Run, st.integers(1, 30), inputs_of(model), st.sampled_from([Reset.RELEASED, *Reset]))
    stimulus = Stimulus.of(model.inputs, data.draw(st.lists(run, min_size=1, max_size=6)))
    trace, after = expect(model, stimulus, kind)
    state, expected = model.initial(), []
    for run in stimulus.runs():
        for cycle in range(run.cycles):
            held = run.reset is Reset.HELD
            pulsed = run.reset.pulsed and cycle == 0
            if kind is ResetKind.ASYNCHRONOUS and (held or pulsed):
                state = reset_from(model, state)
            expected.append(per_cycle(model, state, run.values))
            state = under_reset(model, state, run.values) if held else model.next(state, run.values)
    assert trace.length == stimulus.length
    assert spread(model, trace, trace.length) == expected
    assert tuple(after) == tuple(state)


@pytest.mark.parametrize(("family", "shape", "options"), CASES)
def test_every_model_says_how_it_is_to_be_driven(family, shape, options):
    number = SAMPLES[family].index((shape, options))
    for model in models_of(family, number):
        assert model.initial() == model.initial()
        assert isinstance(model, Drivable)
        assert set(model.resting) == {signal.name for signal in model.inputs}
        masks = {signal.name: signal.mask for signal in model.inputs}
        assert all(0 <= limit <= masks[name] for name, limit in model.limits.items())
        bound = {s.name.split("[")[0] for s in (*model.inputs, *model.outputs)}
        assert bound == set(shape)
        if isinstance(model, CombinationalModel):
            continue
        assert isinstance(model, Guided)
        marks = model.landmarks()
        assert list(marks) == sorted(set(marks))
        assert len(marks) <= 250
        assert all(mark >= 0 for mark in marks)
        assert model.full_cycle >= 1


@pytest.mark.parametrize(("family", "shape", "options"), CASES)
def test_every_candidate_of_a_family_is_over_the_same_signals(family, shape, options):
    for reset in (True, False):
        found = candidates_of(family, shape, options, reset)
        if not found:
            continue
        assert len({(c.model.inputs, c.model.outputs) for c in found}) == 1
        assert len({(c.model, repr(sorted(c.measured.items())), c.latencies) for c in found}) == len(found)
