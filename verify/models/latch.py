"""The latch that buttons set and clear, and what a bench may leave open about it.

A button acts while it is high (``level``) or in the first clock of every time that it is (``edge``: a
register remembers the clock before, and is 0 after reset). ``takes``: clocks from the button to the
first clock in which the latch has followed; 1 is the latch itself, more are registers before it, 0 a
way around it. All of this is pure; :mod:`.latched` puts a machine behind it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

__all__ = ["BUTTONS", "CHOICES", "HISTORY", "Front", "Latch", "OpenFact"]

BUTTONS = ("start", "stop", "start_stop")
"""The inputs that a latch has; ``start_stop`` turns it over."""

HISTORY = 0b1111
"""So much of a button's past is kept, the clock before in the lowest bit."""

_ACTS = ("level", "edge")
_TAKES = (1, 2, 3, 4, 0)

CHOICES: Mapping[str, tuple[Any, ...]] = {
    "start_acts": _ACTS,
    "start_takes": _TAKES,
    "stop_acts": _ACTS,
    "stop_takes": _TAKES,
    "start_stop_acts": ("edge", "level"),
    "start_stop_takes": _TAKES,
    "start_and_stop": ("stop", "start"),
    "runs_from_reset": (False, True),
    "clear_acts": _ACTS,
    "clear_takes": _TAKES[:-1],
    "clear_stops": ("no", "yes", "unless started", "as reset", "buttons wait"),
    "clear_while_running": ("clears", "is ignored"),
    "load_stops": ("no", "yes", "unless started", "buttons wait"),
    "load_while_running": ("loads", "is ignored"),
    "buttons_in_reset": ("are reset", "are followed", "edges are reset"),
    "end_stops": ("no", "yes", "unless started", "with the last step"),
}
"""Fact -> what it may be, the most usual first."""


class OpenFact(Exception):
    """Something depends on a fact that is still open."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


@dataclass(frozen=True, slots=True)
class Front:
    """What the buttons do in one clock.

    ``latch`` and ``history`` after it, ``gate``: whether it is counted in it, ``clear`` and ``load``
    as they get to what is behind, ``started``: whether the latch is being set, ``kept``: whether it
    stays as it is, whatever else happens.
    """

    latch: int
    history: tuple[int, ...]
    gate: int
    clear: int
    load: int
    started: int
    kept: bool = False


@dataclass(frozen=True, slots=True)
class Latch:
    """The facts, under the names of :data:`CHOICES`; None: still open.

    ``watched``: the inputs of which there is a history: the buttons, then ``clear`` where there is one.
    """

    watched: tuple[str, ...]
    start_acts: str | None = None
    start_takes: int | None = None
    stop_acts: str | None = None
    stop_takes: int | None = None
    start_stop_acts: str | None = None
    start_stop_takes: int | None = None
    start_and_stop: str | None = None
    runs_from_reset: bool | None = None
    clear_acts: str | None = None
    clear_takes: int | None = None
    clear_stops: str | None = None
    clear_while_running: str | None = None
    load_stops: str | None = None
    load_while_running: str | None = None
    buttons_in_reset: str | None = None
    end_stops: str | None = None

    def fact(self, name: str) -> Any:
        """Raises :class:`OpenFact` where it is open."""
        value = getattr(self, name)
        if value is None:
            raise OpenFact(name)
        return value

    def decided(self, name: str) -> Iterator[Latch]:
        """The latches with that fact settled."""
        for value in CHOICES[name]:
            changes: dict[str, Any] = {name: value}
            yield replace(self, **changes)

    def usual(self) -> Latch:
        """With what is open as it mostly is."""
        changes: dict[str, Any] = {n: v[0] for n, v in CHOICES.items() if getattr(self, n) is None}
        return replace(self, **changes)

    def settled(self, names: tuple[str, ...]) -> Iterator[Latch]:
        """Every way to settle those of ``names`` that are open."""
        left = [name for name in names if getattr(self, name) is None]
        for values in product(*(CHOICES[name] for name in left)):
            changes: dict[str, Any] = dict(zip(left, values, strict=True))
            yield replace(self, **changes)

    def registers(self) -> bool:
        """Whether some button goes through a register of its own."""
        return any(
            self.fact(f"{name}_acts") == "edge" or self.fact(f"{name}_takes") > 1 for name in self.watched
        )

    def mask(self, name: str) -> int:
        """The part of a button's past that can matter."""
        acts, takes = getattr(self, f"{name}_acts"), getattr(self, f"{name}_takes")
        if acts is None or takes is None:
            return HISTORY
        first: int = max(takes, 1)
        return (1 << (first if acts == "edge" else first - 1)) - 1

    def event(self, name: str, pin: int, past: int) -> int:
        """Whether a button acts on the latch in this clock."""
        if not pin and not past:
            return 0
        acts, takes = getattr(self, f"{name}_acts"), getattr(self, f"{name}_takes")
        if acts is not None and takes is not None:
            return _event(acts, takes, past << 1 | pin)
        kinds = CHOICES[f"{name}_acts"] if acts is None else (acts,)
        clocks = CHOICES[f"{name}_takes"] if takes is None else (takes,)
        found = {_event(a, t, past << 1 | pin) for a, t in product(kinds, clocks)}
        if len(found) > 1:
            raise OpenFact(f"{name}_takes" if takes is None else f"{name}_acts")
        return found.pop()

    def front(self, latch: int, history: tuple[int, ...], pins: tuple[int, ...], load: int) -> Front:
        """One clock; ``pins``: the inputs that are watched."""
        happens = {
            name: self.event(name, pin, past)
            for name, pin, past in zip(self.watched, pins, history, strict=True)
            if (pin or past) and not (name == "clear" and latch and self._ignores("clear"))
        }
        sets, resets = self._pressed(latch, happens)
        after = int((latch or sets) and not resets)
        gate = latch
        if sets and not latch and self._at_once("start"):
            gate = 1
        if resets and latch and self._at_once("stop"):
            gate = 0
        clear = happens.get("clear", 0)
        if load and latch and self._ignores("load"):
            load = 0
        front = Front(after, self._moved(history, pins), gate, clear, load, sets)
        return self._replaced(front, latch) if clear or load else front

    def _pressed(self, latch: int, happens: Mapping[str, int]) -> tuple[int, int]:
        """Whether the buttons set the latch, and whether they clear it: not both."""
        if happens.get("start_stop"):
            return 1 - latch, latch
        sets, resets = happens.get("start", 0), happens.get("stop", 0)
        if sets and resets:
            sets = int(self.fact("start_and_stop") == "start")
            resets = 1 - sets
        return sets, resets

    def _moved(self, history: tuple[int, ...], pins: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(
            (past << 1 | pin) & self.mask(name)
            for name, pin, past in zip(self.watched, pins, history, strict=True)
        )

    def _replaced(self, front: Front, latch: int) -> Front:
        """What a clear or load makes of the latch, which was ``latch``."""
        if not (latch or front.latch or any(front.history) or self.runs_from_reset):
            return front
        stops = self.fact("clear_stops" if front.clear else "load_stops")
        if stops == "as reset":
            # the registers of the clear itself stay, or one that is held would rise again and again
            pairs = zip(self.watched, front.history, strict=True)
            history = tuple(past if name == "clear" else 0 for name, past in pairs)
            return replace(front, latch=int(self.fact("runs_from_reset")), history=history)
        if stops == "buttons wait":
            return replace(front, latch=latch, kept=True)
        if stops == "yes" or (stops == "unless started" and not front.started):
            return replace(front, latch=0)
        return front

    def _ignores(self, control: str) -> bool:
        return bool(self.fact(f"{control}_while_running") == "is ignored")

    def _at_once(self, which: str) -> bool:
        name = "start_stop" if "start_stop" in self.watched else which
        return bool(self.fact(f"{name}_takes") == 0)

    def reset(self, history: tuple[int, ...]) -> tuple[int, tuple[int, ...]]:
        """What a reset makes of latch and history, before the clock edge."""
        latch = int(self.fact("runs_from_reset"))
        if not any(history):
            return latch, history
        how = self.fact("buttons_in_reset")
        if how == "are reset":
            return latch, (0,) * len(history)
        if how == "are followed":
            return latch, history
        return latch, tuple(
            past and past & ~self._edge_bit(name) for name, past in zip(self.watched, history, strict=True)
        )

    def held(self, history: tuple[int, ...], pins: tuple[int, ...]) -> tuple[int, ...]:
        """The history after a clock under reset."""
        if not any(history) and not any(pins):
            return history
        if self.fact("buttons_in_reset") == "are reset":
            return (0,) * len(history)
        return self.reset(self._moved(history, pins))[1]

    def _edge_bit(self, name: str) -> int:
        """Where the register of an edge detector stands in the history."""
        if self.fact(f"{name}_acts") == "level":
            return 0
        takes: int = self.fact(f"{name}_takes")
        return 1 << (max(takes, 1) - 1)


def _event(acts: str, takes: int, line: int) -> int:
    """``line``: the button from this clock (lowest bit) back."""
    first = max(takes, 1)
    now, before = line >> (first - 1) & 1, line >> first & 1
    return now & (1 - before) if acts == "edge" else now
