"""What the directed stimuli of a plan hold: a value, a moment or a reset that is missing hides a fault."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
import pytest

from verify.models.catalogue import FAMILIES
from verify.models.golden import GoldenModel, Guided
from verify.signals import Reset, Run, Stimulus
from verify.stimulus import Budget, Stage, first_look, plan
from verify.stimulus.vocabulary import Hand, corners

BUDGET = Budget()
ALL = (Reset.HELD, Reset.PULSED, Reset.PULSED_EARLY)
HELD_ONLY = (Reset.HELD,)


def model_of(family: str, shape: Mapping[str, tuple[int, ...]], options: Mapping[str, Any]) -> GoldenModel:
    return FAMILIES[family].candidates(shape, options, True)[0].model


def stages(model: GoldenModel, resets: tuple[Reset, ...] = ALL) -> dict[str, Stage]:
    return {stage.name: stage for stage in plan(model, resets=resets, seed=2, budget=BUDGET)}


def column_of(stimulus: Stimulus, name: str) -> list[int]:
    (index,) = (i for i, signal in enumerate(stimulus.signals) if signal.name == name)
    return stimulus.values[index].tolist()


def kinds(stimulus: Stimulus) -> set[Reset]:
    return {Reset(kind) for kind in stimulus.reset.tolist()} - {Reset.RELEASED}


COUNTER = model_of(
    "counter",
    {"count": (4,), "enable": (1,), "clear": (1,), "load": (1,), "load_value": (4,), "up": (1,)},
    {"modulo": 10},
)
TIMER = model_of("timer", {"stages": (4, 3), "enable": (1,), "clear": (1,)}, {"modulo": [10, 6], "ratio": 4})
MACHINES = pytest.mark.parametrize("model", [COUNTER, TIMER], ids=["counter", "timer"])
RESETS = pytest.mark.parametrize("resets", [ALL, HELD_ONLY, ()], ids=["all", "held only", "none"])


@RESETS
@pytest.mark.parametrize(
    ("family", "shape", "options"),
    [("bcd", {"binary": (8,), "digits": (4, 4, 4)}, {}), ("segments", {"digit": (4,), "segments": (7,)}, {})],
)
def test_a_narrow_table_is_driven_with_every_value(family, shape, options, resets) -> None:
    model = model_of(family, shape, options)
    (signal,) = model.inputs
    found = stages(model, resets)
    assert found["every input value"].exhaustive
    assert set(column_of(found["every input value"].stimulus, signal.name)) == set(range(signal.mask + 1))
    turns = np.array(column_of(found["transitions"].stimulus, signal.name))
    assert len(set(zip(turns[:-1].tolist(), turns[1:].tolist(), strict=True))) > 5 * (signal.mask + 1)
    assert ("reset while data changes" in found) == bool(resets)
    for name, stage in found.items():
        if name == "reset while data changes":
            often = [list(stage.stimulus.reset[2:]).count(kind) for kind in resets]
            assert min(often) >= 5
            assert kinds(stage.stimulus) == set(resets)
            assert len(set(column_of(stage.stimulus, signal.name))) > signal.mask // 2


def test_a_wide_table_is_driven_with_its_corners_and_no_number_above_its_limit() -> None:
    model = model_of("bcd", {"binary": (24,), "digits": (4,) * 7}, {"overflow": "any"})
    limit = Hand(model, ALL).limit(0)
    driven = column_of(stages(model)["corners and random values"].stimulus, "binary")
    assert set(corners(limit)) <= set(driven)
    assert max(driven) == limit
    assert len(set(driven)) > 15_000
    assert {0, 9, 10, 99_999, 100_000, 1 << 23, limit - 1, limit} <= set(corners(limit))


def test_every_number_is_converted_and_the_input_changes_meanwhile() -> None:
    shape = {"binary": (6,), "digits": (4, 4), "start": (1,), "done": (1,)}
    model = model_of("bcd", shape, {})
    sweep = stages(model)["every conversion"]
    runs = list(sweep.stimulus.runs())
    (number,) = (i for i, s in enumerate(sweep.stimulus.signals) if s.name == "binary")
    (start,) = (i for i, s in enumerate(sweep.stimulus.signals) if s.name == "start")
    begun = [i for i, run in enumerate(runs) if run.values[start] and run.reset is Reset.RELEASED]
    assert sweep.exhaustive
    assert [runs[i].values[number] for i in begun] == list(range(64))
    assert all(runs[i].cycles == 1 for i in begun)
    meanwhile = [runs[i + 1] for i in begun]
    assert isinstance(model, Guided)
    assert all(run.cycles >= model.full_cycle and not run.values[start] for run in meanwhile)
    changed = sum(
        runs[i].values[number] != run.values[number] for i, run in zip(begun, meanwhile, strict=True)
    )
    assert changed > 50


def since_reset(stimulus: Stimulus) -> Iterator[tuple[int, Run]]:
    """Every run with the clocks since the last held reset."""
    clocks = 0
    for run in stimulus.runs():
        yield clocks, run
        clocks = 0 if run.reset is Reset.HELD else clocks + run.cycles


@MACHINES
def test_each_control_and_each_reset_comes_in_every_clock_around_the_landmarks(model) -> None:
    hand, found = Hand(model, ALL), stages(model)
    clocks = {
        mark + around for mark in model.landmarks() for around in (-2, -1, 0, 1, 2, 3) if mark + around >= 1
    }
    for control in hand.controls:
        name = hand.signals[control].name
        stimulus = found[f"{name} at every landmark"].stimulus
        off = {at for at, run in since_reset(stimulus) if run.values == hand.off_rest(control)}
        assert clocks <= off, name
    held = found["reset at every landmark"].stimulus
    assert clocks <= {at for at, run in since_reset(held) if run.reset is Reset.HELD}
    pulsed = [(at, run) for at, run in since_reset(found["reset between edges at every landmark"].stimulus)]
    assert clocks <= {at for at, run in pulsed if run.reset.pulsed}
    assert {run.reset for _, run in pulsed if run.reset.pulsed} == {Reset.PULSED, Reset.PULSED_EARLY}


@MACHINES
@RESETS
def test_a_trip_goes_all_the_way_round_at_rest(model, resets) -> None:
    whole = list(stages(model, resets)["whole trip"].stimulus.runs())
    resting = Hand(model, resets).resting
    assert all(run.values == resting for run in whole)
    assert sum(run.cycles for run in whole if run.reset is Reset.RELEASED) > model.full_cycle


@MACHINES
def test_a_pause_comes_at_every_landmark_of_a_trip(model) -> None:
    stimulus = stages(model)["trip with enable off at every landmark"].stimulus
    enable = column_of(stimulus, "enable")
    assert enable.count(0) >= len(model.landmarks())
    running = sum(
        run.cycles
        for run, on in zip(stimulus.runs(), enable, strict=True)
        if on and run.reset is Reset.RELEASED
    )
    assert running > max(model.landmarks())


@MACHINES
@RESETS
def test_random_controls_use_every_level_every_reset_and_no_number_above_a_limit(model, resets) -> None:
    hand = Hand(model, resets)
    for stimulus in (stages(model, resets)["random controls"].stimulus, look(model, resets)):
        assert kinds(stimulus) == set(resets)
        for index, signal in enumerate(hand.signals):
            driven = set(column_of(stimulus, signal.name))
            assert max(driven) <= hand.limit(index)
            if signal.width == 1:
                assert driven == {0, 1}
            else:
                assert len(driven) > hand.limit(index) // 2


def look(model: GoldenModel, resets: tuple[Reset, ...]) -> Stimulus:
    return first_look(model, resets=resets, seed=2).stimulus


def test_every_corner_is_loaded_and_run_on_from() -> None:
    hand = Hand(COUNTER, ALL)
    (data,) = hand.data
    stimulus = stages(COUNTER)["load every corner"].stimulus
    load, values = column_of(stimulus, "load"), column_of(stimulus, hand.signals[data].name)
    loaded = [value for on, value in zip(load, values, strict=True) if on]
    assert set(corners(hand.limit(data))) <= set(loaded)
    after = [run.cycles for run, before in zip(list(stimulus.runs())[1:], load, strict=False) if before]
    assert min(after) >= 2


def test_a_trip_down_goes_all_the_way_too() -> None:
    runs = list(stages(COUNTER)["whole trip down"].stimulus.runs())
    down = [run for run in runs if run.reset is Reset.RELEASED]
    assert set(column_of(Stimulus.of(COUNTER.inputs, down), "up")) == {0}
    assert sum(run.cycles for run in down) > COUNTER.full_cycle


def test_wide_numbers_are_drawn_over_all_their_bits_and_controls_rest_mostly() -> None:
    wide = model_of("counter", {"count": (70,), "enable": (1,), "load": (1,), "load_value": (70,)}, {})
    hand = Hand(wide, ALL)
    columns = hand.random_columns(2_000, np.random.default_rng(5))
    for index, (signal, values) in enumerate(zip(hand.signals, columns, strict=True)):
        drawn = values.tolist()
        if signal.width == 1:
            assert set(drawn) == {0, 1}
            assert 0.65 < drawn.count(hand.resting[index]) / len(drawn) < 0.85
        else:
            assert max(drawn) <= hand.limit(index)
            assert max(drawn).bit_length() == 70
            assert min(drawn) < 1 << 66
