"""What the inputs of one bit are for: told by their names, else by what the code does with them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from verify.bench.inference.buttons import buttons_of
from verify.bench.inference.findings import Assumption
from verify.bench.inference.seen import Seen
from verify.bench.inference.view import View

__all__ = ["Controls", "controls_of", "port_of"]

_PREFERENCE = ("load", "clear", "pause", "up", "down", "enable")
_NO_LATCH = "it runs when a button was pressed, and this model has no latch in front of its enable"
_SPECIAL = ("start", "blank", "lamp_test", "point")


@dataclass(slots=True)
class Controls:
    """``ports``: role -> port reference; ``left``: inputs nobody knows the meaning of."""

    ports: dict[str, Any] = field(default_factory=dict)
    assumptions: list[Assumption] = field(default_factory=list)
    left: list[Seen] = field(default_factory=list)
    twice: list[tuple[str, str]] = field(default_factory=list)
    """Role and name of those in ``left`` whose role another one has."""
    refusal: str = ""
    """Why nothing fits, where that is more than inputs nobody knows the meaning of."""

    @property
    def why_left(self) -> str:
        """Why nothing fits, in words."""
        if self.refusal:
            return self.refusal
        if self.twice and len(self.twice) == len(self.left):
            role, name = self.twice[0]
            first = self.ports[role]
            first = first if isinstance(first, str) else first["port"]
            return f"{first} and {name} both are the {role}, and there is room for one"
        names = [s.port.name for s in self.left]
        return f"nothing says what {', '.join(names)} {'does' if len(names) == 1 else 'do'}"


def controls_of(view: View, inputs: Iterable[Seen], wanted: Sequence[str]) -> Controls:
    """The controls among ``inputs``; ``wanted``: the roles that the model has."""
    found = Controls()
    inputs = tuple(inputs)
    buttons = buttons_of(view, inputs) if "enable" in wanted else None
    if buttons is not None:
        found.refusal = buttons.refusal or ("" if "start_stop" in wanted else _NO_LATCH)
        if found.refusal:
            found.left += [seen for seen, _, _, _ in buttons.bound] or list(inputs[:1])
            return found
        for seen, pressed, low, why in buttons.bound:
            _bind(found, seen, pressed, low=low, why=why)
    taken = () if buttons is None else tuple(seen.port.name for seen, _, _, _ in buttons.bound)
    for seen in inputs:
        if seen.width != 1 or seen.port.name in taken:
            continue
        role, low, why = _role(view, seen, wanted)
        if role is None or role in found.ports:
            found.left.append(seen)
            if role is not None:
                found.twice.append((role, seen.port.name))
            continue
        _bind(found, seen, role, low=low, why=why)
    return found


def _bind(found: Controls, seen: Seen, role: str, *, low: bool, why: str) -> None:
    found.ports[role] = port_of(seen.port.name, low=low)
    level = ", active low" if low else ""
    text = f"{seen.port.name} is {role}{level}: {why}"
    found.assumptions.append(Assumption(f"ports.{role}", text, seen.port.place))


def port_of(name: str, *, low: bool) -> Any:
    """A port reference."""
    return {"port": name, "active": "low"} if low else name


def _role(view: View, seen: Seen, wanted: Sequence[str]) -> tuple[str | None, bool, str]:
    """Role, whether it is active low, and why."""
    name, low = seen.name, seen.name.low
    called = f"called {seen.port.name}"
    exact = [w for w in name.words if w]
    for meaning in _SPECIAL:
        if meaning in wanted and name.means(meaning):
            return meaning, low, called
    for meaning in _PREFERENCE:
        if not name.means(meaning):
            continue
        if meaning == "pause" and "enable" in wanted:
            if name.means("enable", "start") and len(exact) > 1:
                return "enable", low, called
            return "enable", not low, f"{called}, which stops"
        if meaning == "down" and "up" in wanted and not name.means("up"):
            return "up", not low, f"{called}, which counts down"
        if meaning == "up" and "up" in wanted and name.words[0] in {"dn", "down"}:
            return "up", not low, f"{called}, which counts down while high"
        if meaning in wanted:
            return meaning, low, called
    if name.means("reset") and "clear" in wanted:
        return "clear", low, called
    if "enable" in wanted and name.means("tick", "carry", "clock", "start", "seconds"):
        return "enable", low, f"{called}: counts when it comes"
    return _by_structure(view, seen, wanted)


def _by_structure(view: View, seen: Seen, wanted: Sequence[str]) -> tuple[str | None, bool, str]:
    guards = [g for g in view.module.guards if g.signal == seen.port.name]
    guards = [g for g in guards if not g.turns or set(g.steps) - set(g.turns)]  # to turn over is no step
    if not guards:
        return None, False, ""
    kinds = {g.kind for g in guards}
    levels = {g.level for g in guards}
    if len(levels) == 1:
        low = levels == {0}
        if "step" in kinds and "enable" in wanted:
            return "enable", low, "the counting stands under it"
        if kinds == {"constant"} and all(g.alone for g in guards) and "clear" in wanted:
            return "clear", low, "the branch only sets constants"
    if levels == {0, 1} and "step" in kinds and "up" in wanted:
        return None, False, ""
    return None, False, ""
