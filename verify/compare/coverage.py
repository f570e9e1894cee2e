"""Count what the stimuli reached, in the golden model's own terms.

Counted on the expected traces: what a design did wrong is not covered by doing it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from verify.compare.maps import MapCounter
from verify.models.golden import CombinationalModel, Drivable, GoldenModel, Guided, at_rest, under_way
from verify.results import Coverage, CoverageItem
from verify.signals import Column, ExpectedTrace, Reset, Signal, Stimulus, column

__all__ = ["CoverageCounter"]

COUNTED_WIDTH_BITS = 16
"""Outputs up to this width are counted value by value."""

MARKED_VALUES = 1 << 24
"""Inputs with up to this many legal values are counted value by value, a byte each."""

LISTED = 6
"""How many of the values not reached are named."""


class CoverageCounter:
    """Adds up the coverage of one model over many stimuli."""

    def __init__(self, model: GoldenModel) -> None:
        self._model = model
        self._seen: list[set[int]] = [set() for _ in model.outputs]
        self._inputs = [self._marks(signal) for signal in model.inputs]
        self._reset_at: set[int] = set()
        self._reset_moves = [False for _ in model.outputs]
        self._off_rest_at: dict[str, set[int]] = {name: set() for name in self._controls()}
        self._longest_rest = 0
        self._changed = False
        self._maps = MapCounter(model)

    def _controls(self) -> tuple[str, ...]:
        return tuple(s.name for s in self._model.inputs if s.width == 1)

    def follow(self, model: GoldenModel) -> None:
        """Go on with another reading of the same design, over the same inputs and outputs."""
        if model is not self._model:
            self._model = model
            self._maps.follow(model)

    def _marks(self, signal: Signal) -> NDArray[np.bool_]:
        """One place for every legal value; none for an input with too many of them to count."""
        total = self._legal(signal)
        return np.zeros(total if total <= MARKED_VALUES else 0, dtype=bool)

    def _legal(self, signal: Signal) -> int:
        limits = self._model.limits if isinstance(self._model, Drivable) else {}
        return limits.get(signal.name, signal.mask) + 1

    def add(self, stimulus: Stimulus, expected: ExpectedTrace) -> None:
        """Count one played stimulus."""
        self.add_window(stimulus, expected)
        self.add_stimulus(stimulus)

    def add_stimulus(self, stimulus: Stimulus) -> None:
        """Count what shows only in the whole of a stimulus that was played in windows."""
        self._longest_rest = max(self._longest_rest, self._rest(stimulus))

    def add_window(self, stimulus: Stimulus, expected: ExpectedTrace) -> None:
        """Count a window of a stimulus."""
        for seen, values, signal in zip(self._seen, expected.values, expected.signals, strict=True):
            if signal.width <= COUNTED_WIDTH_BITS:
                seen.update(np.unique(values).tolist())
        for marks, values in zip(self._inputs, stimulus.values, strict=True):
            if len(marks):
                marks[values[values < len(marks)].astype(np.int64)] = True
        self._changed |= len(expected.cycles) > 1
        self._maps.add(stimulus, expected)
        self._add_controls(stimulus, expected)

    def _add_controls(self, stimulus: Stimulus, expected: ExpectedTrace) -> None:
        if not expected.values:
            return
        rows = np.searchsorted(expected.cycles, np.maximum(stimulus.starts - 1, 0), side="right") - 1
        before: Column = expected.values[0][rows]
        at_reset = stimulus.reset != Reset.RELEASED
        self._reset_at.update(before[at_reset].tolist())
        if at_reset.any() and not all(self._reset_moves):
            start = self._model.out(self._model.initial(), at_rest(self._model))
            for index, (values, value) in enumerate(zip(expected.values, start, strict=True)):
                self._reset_moves[index] |= bool((values[rows[at_reset]] != value).any())
        resting = self._resting()
        for signal, values in zip(stimulus.signals, stimulus.values, strict=True):
            if signal.name in self._off_rest_at:
                self._off_rest_at[signal.name].update(before[values != resting.get(signal.name, 0)].tolist())

    def _resting(self) -> dict[str, int]:
        return dict(self._model.resting) if isinstance(self._model, Drivable) else {}

    def _rest(self, stimulus: Stimulus) -> int:
        """The longest way from a reset with the controls at rest; a pause stops it, does not end it."""
        resting = self._resting()
        at_rest = stimulus.reset == Reset.RELEASED
        for signal, values in zip(stimulus.signals, stimulus.values, strict=True):
            if signal.width == 1:
                at_rest &= np.asarray(values == resting.get(signal.name, 0), dtype=bool)
        moved = np.concatenate([[0], np.cumsum(np.where(at_rest, stimulus.cycles, 0))])
        ends = [*np.flatnonzero(stimulus.reset != Reset.RELEASED).tolist(), len(stimulus)]
        begins = [0, *ends[:-1]]
        return max((int(moved[e] - moved[b]) for b, e in zip(begins, ends, strict=True)), default=0)

    @property
    def idle(self) -> bool:
        """Nothing that was promised ever changed: a match would say nothing."""
        return not self._changed

    def unreached_landmarks(self) -> tuple[int, ...]:
        """Clocks after reset at which something happens that no stimulus waited for."""
        model = self._model
        if isinstance(model, CombinationalModel) or not isinstance(model, Guided):
            return ()
        return tuple(clock for clock in model.landmarks() if clock > self._longest_rest)

    def report(self) -> Coverage:
        """What was reached and what was not."""
        items = [item for i in range(len(self._seen)) if (item := self._output_item(i)) is not None]
        if isinstance(self._model, CombinationalModel):
            given = [item for i in range(len(self._inputs)) if (item := self._input_item(i)) is not None]
            items = [*given, *items]
        elif isinstance(self._model, Guided) and (marks := self._model.landmarks()):
            missing = self.unreached_landmarks()
            names = tuple(f"clock {clock:,}" for clock in missing[:LISTED])
            items.append(CoverageItem("rollovers", len(marks) - len(missing), len(marks), names))
            if self._reset_at:
                items.append(self._moved_by_reset())
        machine = not isinstance(self._model, CombinationalModel)
        if machine and self._seen and self._model.outputs[0].width <= COUNTED_WIDTH_BITS:
            states = len(self._seen[0])
            first = self._model.outputs[0].name
            if self._reset_at:
                reached = len(self._reset_at & self._seen[0])
                items.append(CoverageItem(f"reset at values of {first}", reached, states))
            for name, values in self._off_rest_at.items():
                if name.split("[")[0] not in {"binary", "digit"}:
                    reached = len(values & self._seen[0])
                    items.append(CoverageItem(f"{name} at values of {first}", reached, states))
        return Coverage(tuple(items), self._maps.report())

    def _moved_by_reset(self) -> CoverageItem:
        """The outputs that a reset had something to do for: a part that it forgets shows only then."""
        outputs = self._model.outputs
        left = [s.name for s, moved in zip(outputs, self._reset_moves, strict=True) if not moved]
        names = _names(left, len(left))
        return CoverageItem("outputs that a reset moved", len(outputs) - len(left), len(outputs), names)

    def _input_item(self, index: int) -> CoverageItem | None:
        signal, marks = self._model.inputs[index], self._inputs[index]
        if not len(marks):
            return None
        reached = int(marks.sum())
        missing = _names(np.flatnonzero(~marks[: 1 << COUNTED_WIDTH_BITS]), len(marks) - reached)
        return CoverageItem(f"values of {signal.name}", reached, len(marks), missing)

    def _output_item(self, index: int) -> CoverageItem | None:
        signal = self._model.outputs[index]
        reachable = self._reachable(index)
        if reachable is None:
            return None
        missing = reachable - self._seen[index]
        return CoverageItem(
            f"values of {signal.name}",
            len(reachable) - len(missing),
            len(reachable),
            _names(sorted(missing), len(missing)),
        )

    def _reachable(self, index: int) -> set[int] | None:
        model = self._model
        if model.outputs[index].width > COUNTED_WIDTH_BITS:
            return None
        if isinstance(model, CombinationalModel):
            return self._table_values(index)
        if not isinstance(model, Guided):
            return None
        if len(model.landmarks()) == 0 or model.full_cycle > self._longest_rest * 2 + 1_000_000:
            return None
        round_ = model.leap(under_way(model), at_rest(model), model.full_cycle + 1)
        return set(np.unique(round_.columns[index]).tolist())

    def _table_values(self, index: int) -> set[int] | None:
        model = self._model
        if (
            not isinstance(model, CombinationalModel)
            or sum(s.width for s in model.inputs) > COUNTED_WIDTH_BITS
        ):
            return None
        limits = model.limits if isinstance(model, Drivable) else {}
        grids = np.meshgrid(*(np.arange(limits.get(s.name, s.mask) + 1) for s in model.inputs), indexing="ij")
        columns = tuple(column(g.ravel(), s.width) for g, s in zip(grids, model.inputs, strict=True))
        return set(np.unique(model.table(columns)[0][index]).tolist())


def _names(values: Sequence[int] | Sequence[str] | NDArray[np.int64], count: int) -> tuple[str, ...]:
    """The first few of ``count`` values, in ascending order, in words."""
    listed = [str(value) for value in values[:LISTED]]
    return (*listed, f"{count - len(listed):,} more") if count > len(listed) else tuple(listed)
