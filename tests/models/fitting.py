"""Which candidates of a family fit a piece of real Verilog, judged as a check judges."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from observing import observe

from verify.compare import Reading, expected_for, try_reading
from verify.models.catalogue import FAMILIES
from verify.models.golden import GoldenModel
from verify.models.playing import ResetKind
from verify.signals import Reset, Run, Stimulus

LATENCIES = range(5)


def fitting(
    verilog: str,
    folder: Path,
    family: str,
    shape: dict[str, tuple[int, ...]],
    options: dict[str, Any],
    *,
    reset: bool = True,
    rest: int = 40,
    runs: int = 150,
    seed: int = 0,
) -> list[Reading]:
    """The readings that explain all of a random stimulus, for a module ``dut`` as in ``observing``.

    The design resets synchronously. First it is left alone for ``rest`` clocks.
    """
    found = FAMILIES[family].candidates(shape, options, reset)
    model = found[0].model
    stimulus = disturbed(model, rest, runs, seed, reset=reset)
    observed = observe(verilog, stimulus, model.outputs, folder)
    found = FAMILIES[family].candidates(shape, options, reset, (stimulus, observed))
    readings = [
        Reading(candidate, ResetKind.SYNCHRONOUS, latency)
        for candidate in found
        for latency in (LATENCIES if candidate.latencies is None else candidate.latencies)
    ]
    played: dict[int, Any] = {}
    for reading in readings:
        if id(reading.model) not in played:
            played[id(reading.model)] = expected_for(reading, stimulus, observed)
    return [
        reading
        for reading in readings
        if try_reading(reading, stimulus, observed, expected=played[id(reading.model)]).difference.matches
    ]


def disturbed(model: GoldenModel, rest: int, runs: int, seed: int, *, reset: bool) -> Stimulus:
    """Rest, each control for a clock in every clock of a period, then everything at random."""
    rng = np.random.default_rng(seed)
    resting = tuple(model.resting[s.name] for s in model.inputs)
    rows = [Run(2, resting, Reset.HELD)] if reset else []
    rows.append(Run(rest, resting))
    for wait in range(1, min(model.landmarks()[-1], 12) + 4):
        for index, signal in enumerate(model.inputs):
            if signal.width == 1:
                other = tuple(1 - v if i == index else v for i, v in enumerate(resting))
                rows += [Run(2, resting, Reset.HELD)] if reset else []
                rows += [Run(wait, resting), Run(1, other), Run(7, resting)]
    for number in range(runs):
        values = []
        for signal, idle in zip(model.inputs, resting, strict=True):
            if signal.name.startswith("load_value"):
                limit = model.limits.get(signal.name, signal.mask)
                values.append(model.encode(signal.name, int(rng.integers(0, limit + 1))))
            else:
                values.append(1 - idle if rng.random() < 0.2 else idle)
        held = reset and number % 23 == 11
        rows.append(Run(int(rng.integers(1, 14)), tuple(values), Reset.HELD if held else Reset.RELEASED))
    return Stimulus.of(model.inputs, rows)


def effective(readings: list[Reading]) -> set[int]:
    """What a check calls the latency, facts that make up for each other added."""
    return {r.latency_cycles + r.candidate.shift for r in readings}


def facts(readings: list[Reading], name: str) -> set[Any]:
    """The values that the readings have for a measured fact."""
    values = (r.candidate.measured.get(name) for r in readings)
    return {tuple(v) if isinstance(v, list) else v for v in values}
