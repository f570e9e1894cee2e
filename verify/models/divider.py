"""The family of clock dividers: one tick per period, or a square wave.

``first`` counts from reset release: the cycle that ends at the first active edge with the reset
released is cycle 0, and ``first`` is the cycle in which the tick, or the first edge of the square,
is seen at the port. A registered tick of a divider by *n* has ``first`` *n*, one that marks the
last clock of a period *n* - 1, each further register makes it one more.

A square begins with one of its parts: *n*/2 clocks low, or *n*/2 high. Where ``ratio`` is odd and
``high`` is left out, either half may be the longer one.

When enable is low the count of clocks freezes; a tick still lasts exactly one clock. Clear puts the
divider where reset puts it, enabled or not; whether a tick that coincides with a clear is still
shown is not promised.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from verify.models.controls import position, signals_of
from verify.models.divider_square import SquareDivider
from verify.models.divider_tick import TickDivider
from verify.models.family import Candidate, Family, OptionError, OptionSpec, RoleSpec, Shape
from verify.models.free_phase import counted_clocks, first_cycle_at
from verify.models.option_values import OptionValues, one_of
from verify.signals import ObservedTrace, Stimulus

__all__ = ["FAMILY", "LATEST_CYCLES", "DividerFamily"]

LATEST_CYCLES = 8
"""A measured ``first`` comes at most so many clocks after its natural place."""

LARGEST_RATIO = 1 << 61

Model = TickDivider | SquareDivider


@dataclass(frozen=True, slots=True)
class _Variant:
    """A model, its latency, and how many clocks after its natural place its first event comes."""

    model: Model
    first: int
    late: int
    latency: int
    facts: Mapping[str, Any]

    def candidate(self) -> Candidate:
        measured = {"first": self.first, **self.facts}
        return Candidate(self.model, measured, (self.latency,), self.late - self.latency)


class DividerFamily:
    """See the module."""

    name = "divider"
    about = "divides the clock: one tick, or one period of a square wave, every so many clocks"
    stateful = True
    roles: tuple[RoleSpec, ...] = (
        RoleSpec("tick", "output", "high for one clock per period"),
        RoleSpec("square", "output", "the square wave"),
        RoleSpec("enable", "input", "the divider stands still while it is low", control=True),
        RoleSpec("clear", "input", "starts a period afresh at the next clock edge", control=True),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec("ratio", "number", "clocks per period; left out: clock frequency / rate"),
        OptionSpec(
            "rate", "number", "periods per second, from which the bench works out the ratio", default=1
        ),
        OptionSpec("high", "number", "clocks per period during which a square is high; left out: half"),
        OptionSpec("active", "choice", "the level of a tick or of the high part", ("high", "low"), "high"),
        OptionSpec("first", "number", "clocks from reset release to the first tick or edge"),
        OptionSpec("start_level", "number", "level of a square right after reset, 0 or 1"),
        OptionSpec("pause", "choice", "what enable does to the count of clocks", ("freeze",), "freeze"),
    )

    def candidates(
        self,
        shape: Shape,
        options: Mapping[str, Any],
        reset: bool,
        observed: tuple[Stimulus, ObservedTrace] | None = None,
    ) -> tuple[Candidate, ...]:
        """Every place where the first tick or edge may come, every part a square may begin with."""
        values = OptionValues(self.options, options)
        role = one_of(shape, "tick", "square")
        inputs = signals_of(shape, ("enable", "clear"), bits=("enable", "clear"))
        outputs = signals_of(shape, (role,), bits=("tick", "square"))
        ratio = values.number("ratio", low=1, high=LARGEST_RATIO)
        values.choice("pause")
        if ratio is None:
            raise OptionError("ratio", "nothing", "clocks per period, or a frequency of the clock")
        low = values.choice("active") == "low"
        if role == "tick":
            values.refuse(("high", "start_level"), "only with a square; a tick is high for one clock")
            base: Model = TickDivider(inputs, outputs, ratio, active_low=low)
        else:
            base = _square(values, SquareDivider(inputs, outputs, ratio, ratio // 2, active_low=low))
        bases = list(_halves(base, values))
        if reset:
            found = [v.candidate() for b, facts in bases for v in _after_reset(b, facts)]
        else:
            pinned = values.number("first", high=ratio + LATEST_CYCLES)
            found = [c for b, facts in bases for c in _free(b, facts, observed, pinned)]
        return _only(found, values)


FAMILY: Family = DividerFamily()


def _square(values: OptionValues, square: SquareDivider) -> SquareDivider:
    if square.ratio == 1:
        raise OptionError("ratio", "1", "at least 2 for a square wave")
    values.number("start_level", high=1)
    high = values.number("high", low=1, high=square.ratio - 1)
    return square if high is None else replace(square, high=high)


def _halves(base: Model, values: OptionValues) -> Iterator[tuple[Model, Mapping[str, Any]]]:
    """Both halves of an odd ratio and both parts to begin with, with the facts that this measures.

    ``start_level`` is no fact to leave out here when it is pinned: see :func:`_squares_after_reset`.
    """
    if isinstance(base, TickDivider):
        yield base, {}
        return
    open_high = base.ratio % 2 == 1 and not values.has("high")
    highs = (base.high, base.ratio - base.high) if open_high else (base.high,)
    for start_level in (0, 1):
        for high in highs:
            yield replace(base, high=high, start_level=start_level), {"high": high} if open_high else {}


def _only(found: list[Candidate], values: OptionValues) -> tuple[Candidate, ...]:
    """Those that have the pinned facts; a fact that is pinned is not measured."""
    pinned = {key: values.number(key) for key in ("first", "start_level") if values.has(key)}
    kept = []
    for candidate in found:
        if all(candidate.measured.get(key, value) == value for key, value in pinned.items()):
            measured = {k: v for k, v in candidate.measured.items() if k not in pinned}
            kept.append(replace(candidate, measured=measured))
    if not kept:
        firsts = [c.measured["first"] for c in found if "first" in c.measured]
        raise OptionError("first", str(pinned.get("first")), f"{min(firsts)} to {max(firsts)}")
    return tuple(kept)


def _after_reset(base: Model, facts: Mapping[str, Any]) -> Iterator[_Variant]:
    if isinstance(base, TickDivider):
        return _ticks_after_reset(base)
    return _squares_after_reset(base, facts)


def _ticks_after_reset(base: TickDivider) -> Iterator[_Variant]:
    """Most usual first: a register, logic, then either with further registers behind it."""
    early = replace(base, early=True)
    for latency in range(LATEST_CYCLES + 1):
        yield _Variant(base, base.ratio + latency, latency, latency, {})
        if latency == 0:
            yield _Variant(early, base.ratio - 1, -1, 0, {})
        # Registers that reset leaves alone: the same ticks, less promised while reset fills them.
        yield _Variant(early, base.ratio + latency, latency, latency + 1, {})
    if base.inputs:
        # The register of the terminal count stands still with the count, so it is no latency.
        yield _Variant(replace(early, lead=1), base.ratio, 0, 0, {})
        yield _Variant(replace(base, lead=1), base.ratio + 1, 1, 0, {})


def _squares_after_reset(base: SquareDivider, facts: Mapping[str, Any]) -> Iterator[_Variant]:
    level = {**facts, "start_level": base.start_level}
    for latency in range(LATEST_CYCLES + 1):
        yield _Variant(base, base.first_part + latency, latency, latency, level)
    if base.first_part > 1:
        ahead = replace(base, begin=1, power_up=(1, 1))
        yield _Variant(ahead, base.first_part - 1, -1, 0, level)
    for latency in range(3):
        # The output register shows its reset value for a clock, then the part begins. Where the
        # other part is one clock long anyway this is the square that begins with it.
        filled = replace(base, lead=1, lead_level=1 - base.start_level)
        opposite = {**level, "start_level": 1 - base.start_level}
        if base.ratio - base.first_part > 1:
            yield _Variant(filled, 1 + latency, 1 + latency, latency, opposite)
        if base.inputs:
            for lead in (1, 2):
                held = replace(base, lead=lead, lead_level=base.start_level)
                late = lead + latency
                yield _Variant(held, base.first_part + late, late, latency, level)


def _free(
    base: Model,
    facts: Mapping[str, Any],
    observed: tuple[Stimulus, ObservedTrace] | None,
    pinned: int | None,
) -> Iterator[Candidate]:
    """Without reset: the phase is pinned or read off; before that it is that of registers that begin at 0."""
    models: list[tuple[Model, int]] = [(base, latency) for latency in range(LATEST_CYCLES + 1)]
    if isinstance(base, TickDivider):
        models.insert(1, (replace(base, early=True), 0))
    elif base.start_level == 1:
        return  # the same wave as the one that begins low, at another phase
    for model, latency in models:
        event = _event(model, latency)
        first = pinned if pinned is not None or observed is None else _first(model, latency, *observed)
        if first is None:
            late = latency - int(isinstance(model, TickDivider) and model.early)
            yield _Variant(model, event, late, latency, facts).candidate()
        elif pinned is None or pinned <= event:
            yield _Variant(_at_phase(model, event - first, latency), first, 0, latency, facts).candidate()
    if position(base.inputs, "clear") >= 0:
        for model, latency in models:
            unknown = replace(model, power_up=(*model.power_up[:-1], 0))
            yield Candidate(unknown, {**facts, "before_clear": "unknown"}, (latency,))


def _event(model: Model, latency: int) -> int:
    """The cycle of the first event of a model that counts from 0 and never stands still."""
    if isinstance(model, TickDivider):
        return model.ratio - 1 + latency + (0 if model.early else 1)
    return model.first_part + latency


def _first(model: Model, latency: int, stimulus: Stimulus, observed: ObservedTrace) -> int | None:
    """When the first event would come if the divider never stood still; None: it is not seen.

    So that a pin of it holds for every stimulus.
    """
    level = 1 - int(model.active_low)
    cycle = first_cycle_at(observed, 0, level, after_other=not isinstance(model, TickDivider))
    if cycle is None:
        return None
    delay = latency + int(isinstance(model, TickDivider) and not model.early)
    clocks = counted_clocks(
        stimulus,
        cycle - delay,
        enable=position(model.inputs, "enable"),
        clears=(position(model.inputs, "clear"),),
    )
    return None if clocks is None else clocks + delay


def _at_phase(model: Model, clocks: int, latency: int) -> Model:
    """The model as it is ``clocks`` after its count was 0, at power-up."""
    phase = clocks % model.ratio
    if isinstance(model, TickDivider):
        first = _event(model, latency) - clocks
        ticking = int(first == latency and not model.early)
        return replace(model, power_up=(phase, ticking, 1))
    return replace(model, power_up=(phase, 1))
