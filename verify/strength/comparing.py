"""The original and a mutant side by side, on stimuli that no model has to allow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from verify.bench import ResolvedCheck, Slice
from verify.signals import Column, ObservedTrace, Signal, column
from verify.simulation import Drive, Limits, open_simulation
from verify.strength.mutation import Survivor

__all__ = ["Comparison", "compare_designs"]

FLUSH_CYCLES = 96
DENSE_ROWS = 6_000
HOLDS = 24
HOLD_CYCLES = 6_000
EXHAUSTIVE_BITS = 16
"""Input bits up to which a design without a clock is compared on every input value."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """``difference`` None: none was found in ``clocks``; ``every_input``: of any input value."""

    difference: Survivor | None
    clocks: int
    every_input: bool = False


def compare_designs(original: ResolvedCheck, mutant: ResolvedCheck, seed: int, limits: Limits) -> Comparison:
    """Play the same stimulus on both and look for a difference on any output, checked or not.

    With a reset, what comes before its end does not count. Raises SimulationFault, DesignError.
    """
    if unlike := _unlike_ports(original, mutant) or _unlike_edge(original, mutant):
        return Comparison(unlike, 0)
    drive, every_input = _drive(original, seed)
    traces = []
    for check in (original, mutant):
        with open_simulation(check.target, limits=limits) as simulation:
            traces.append(simulation.play(drive))
    skip = FLUSH_CYCLES if original.reset is not None else 0
    found = _first_difference(traces[0], traces[1], skip)
    if found is None:
        return Comparison(None, drive.length, every_input)
    cycle, index = found
    signal = original.target.outputs[index]
    row = int(np.searchsorted(np.cumsum(drive.cycles), cycle, "right"))
    inputs = {s.name: int(values[row]) for s, values in zip(drive.signals, drive.values, strict=True)}
    texts = [_four(trace, index, cycle, signal) for trace in traces]
    hint = _hint(original, signal, inputs, texts)
    survivor = Survivor(original.name, signal.name, cycle - skip, inputs, texts[0], texts[1], hint)
    return Comparison(survivor, drive.length, every_input)


def _unlike_ports(original: ResolvedCheck, mutant: ResolvedCheck) -> Survivor | None:
    """A port that the mutant has with another width."""
    ports = [{s.name: s.width for s in (*c.target.inputs, *c.target.outputs)} for c in (original, mutant)]
    for name, width in ports[0].items():
        if width != (other := ports[1].get(name, 0)):
            hint = f'write "{name}[{width - 1}:0]" in `ports`: a bare name takes the port as wide as it is'
            if _parts(original, name) == _parts(mutant, name):
                hint = f"the bench names a part of {name}: how wide the port is it does not say"
            return Survivor(original.name, name, 0, {}, f"{width} bits wide", f"{other} bits wide", hint)
    return None


def _parts(check: ResolvedCheck, port: str) -> list[Slice]:
    """The bits of a port that the roles name; a bare name grows with the port."""
    references = [ref for refs in check.roles.values() for ref in refs]
    return [part for ref in references for part in ref.slices if part.port == port]


def _unlike_edge(original: ResolvedCheck, mutant: ResolvedCheck) -> Survivor | None:
    """Both are sampled at the edge that they wait for, so that no sample tells the two edges apart."""
    port, (edge, other) = original.target.clock, (c.target.edge for c in (original, mutant))
    if port is None or edge == other:
        return None
    pin = mutant.edge_pin.replace(other, edge)
    hint = f"the bench leaves the edge of the clock open: pin it: {pin}"
    here, there = f"at its {edge} edge", f"waited for at its {other} edge"
    return Survivor(original.name, port, 0, {}, here, there, hint)


def _drive(check: ResolvedCheck, seed: int) -> tuple[Drive, bool]:
    random = np.random.default_rng(seed)
    inputs = check.target.inputs
    bits = sum(signal.width for signal in inputs)
    if check.target.clock is None and 0 < bits <= EXHAUSTIVE_BITS:
        every = np.arange(1 << bits, dtype=np.int64)
        values, at = [], 0
        for signal in inputs:
            values.append(column((every >> at) & signal.mask, signal.width))
            at += signal.width
        return Drive(inputs, np.ones(len(every), np.int64), tuple(values)), True
    cycles = np.concatenate(
        [
            np.full(1, FLUSH_CYCLES),
            random.integers(1, 4, DENSE_ROWS),
            np.tile([HOLD_CYCLES, 2, 1, 1], HOLDS),
        ]
    )
    resets = _reset_levels(check)
    active = (random.random(len(cycles)) < 0.03) & (cycles < HOLD_CYCLES)
    active[0] = True
    columns: list[Column] = []
    for signal in inputs:
        if signal.name in resets:
            on, off = resets[signal.name]
            columns.append(column(np.where(active, on, off).astype(np.int64), signal.width))
        else:
            columns.append(_random_column(random, signal, len(cycles)))
    return Drive(inputs, cycles.astype(np.int64), tuple(columns)), False


def _random_column(random: np.random.Generator, signal: Signal, rows: int) -> Column:
    if signal.width <= 62:
        values: NDArray[np.int64] = random.integers(0, 1 << signal.width, rows, dtype=np.int64)
        held = random.random(rows) < 0.5  # also stays as it is, as people's switches do
        for row in np.flatnonzero(held[1:]) + 1:
            values[row] = values[row - 1]
        return column(values, signal.width)
    words = -(-signal.width // 32)
    parts = random.integers(0, 1 << 32, (rows, words))
    wide = [sum(int(word) << 32 * i for i, word in enumerate(row)) & signal.mask for row in parts]
    return column(wide, signal.width)


def _reset_levels(check: ResolvedCheck) -> dict[str, tuple[int, int]]:
    """Reset port -> its value while it resets, and otherwise."""
    if check.reset is None:
        return {}
    reference = check.reset.ref
    levels = {}
    for part in reference.slices:
        mask = ((1 << part.width) - 1) << part.offset
        levels[part.port] = (0, mask) if reference.inverted else (mask, 0)
    return levels


def _first_difference(one: ObservedTrace, other: ObservedTrace, skip: int) -> tuple[int, int] | None:
    """(cycle, index of the output) of the first difference from cycle ``skip`` on."""
    cycles = np.union1d(np.union1d(one.cycles, other.cycles), [skip])
    cycles = cycles[cycles >= skip]
    best: tuple[int, int] | None = None
    for index in range(len(one.signals)):
        differ = np.zeros(len(cycles), bool)
        for left, right in zip(_at(one, index, cycles), _at(other, index, cycles), strict=True):
            differ |= np.asarray(left != right, bool)
        if differ.any():
            cycle = int(cycles[int(np.argmax(differ))])
            if best is None or cycle < best[0]:
                best = cycle, index
    return best


def _at(trace: ObservedTrace, index: int, cycles: NDArray[np.int64]) -> tuple[Column, Column]:
    rows = np.searchsorted(trace.cycles, cycles, "right") - 1
    values = trace.values[index][rows]
    unknown = None if trace.unknown is None else trace.unknown[index]
    return values, np.zeros(len(rows), np.int64) if unknown is None else unknown[rows]


def _four(trace: ObservedTrace, index: int, cycle: int, signal: Signal) -> str:
    value, unknown = (int(c[0]) for c in _at(trace, index, np.array([cycle])))
    return "".join("01zx"[(value >> i & 1) + 2 * (unknown >> i & 1)] for i in reversed(range(signal.width)))


def _hint(check: ResolvedCheck, signal: Signal, inputs: dict[str, int], texts: list[str]) -> str:
    """What would kill the mutant."""
    if signal in check.unchecked_outputs:
        return f"no role names {signal.name}: give it one in `ports`"
    if inputs.keys() & check.tied.keys():
        moved = [n for n, v in check.tied.items() if inputs.get(n, v) != v]
        if moved:
            return f"{', '.join(moved)} is held still by the check: give it a role in `ports`"
    if "x" in texts[1] and "x" not in texts[0]:
        return "a stimulus after which the unknown value is seen"
    return "a stimulus like the one shown, if the golden model promises anything there"
