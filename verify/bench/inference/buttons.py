"""Buttons that set and clear a latch: told by what the code does with them, then by their names.

A latch is a register of one bit that some ports set and others clear, or that one port turns over,
and under which the counting stands. What is between a port and it may be wires and registers of a
few bits (an edge detector, a synchroniser); a counter there waits for the button to be steady, and
nothing of that is modelled.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from verify.bench.inference.code_text import without_comments
from verify.bench.inference.names import Name
from verify.bench.inference.seen import Seen
from verify.bench.inference.view import View
from verify.design.interface import Module
from verify.models.latch import BUTTONS

__all__ = ["BUTTONS", "Buttons", "buttons_of"]

NARROW_BITS = 4
"""Of a register that only remembers a button."""

_DEBOUNCED = re.compile(r"(?i)de?_?bounc|dbnc|bounce|entprell|rebond|rebote|rimbalz|drgan|antirreb|ontdender")
_TOGGLES = ("ss", "toggle", "startstop", "onoff", "playpause", "runstop")
_WORD = r"[A-Za-z_]\w*"


@dataclass(frozen=True, slots=True)
class Buttons:
    """``bound``: input, role, whether it is active low, and why; or ``refusal``: why nothing fits."""

    bound: tuple[tuple[Seen, str, bool, str], ...] = ()
    refusal: str = ""


@dataclass(frozen=True, slots=True)
class _Part:
    """A module in which there may be a latch, its code, and its names for the inputs of the whole."""

    module: Module
    text: str
    names: Mapping[str, frozenset[str]]


@dataclass(frozen=True, slots=True)
class _Latch:
    """``level``: the one at which it counts."""

    name: str
    level: int
    part: _Part


def buttons_of(view: View, inputs: Sequence[Seen]) -> Buttons | None:
    """The inputs that work a latch; None where none does."""
    ports = [s for s in inputs if s.width == 1 and not s.name.means("clear", "load", "reset", "clock")]
    if not ports:
        return None
    parts = list(_parts(view, [s.port.name for s in ports]))
    latches = [latch for part in parts for latch in _latches(view, part)]
    for latch in latches:
        bound = [(s, None if _steps_itself(s, latch) else _role(s, latch)) for s in ports]
        found = [(s, role) for s, role in bound if role]
        roles = [role for _, role in found]
        if not ({"start", "start_stop"} & set(roles)):
            continue
        if any(_DEBOUNCED.search(part.text) for part in parts):
            return Buttons((), "its buttons are taken only when they are steady (debounced)")
        if len(set(roles)) < len(roles) or ("start_stop" in roles and len(roles) > 1):
            who = " and ".join(s.port.name for s, _ in found)
            return Buttons((), f"{who} work {latch.name}, and nothing says what each of them does")
        loading = [s.port.name for s, role in found if role != "stop" and _sets_more(s, latch)]
        if loading:
            return Buttons((), f"{loading[0]} does more than to set {latch.name}")
        why = {
            "start": f"it sets {latch.name}, under which the counting stands",
            "stop": f"it clears {latch.name}, under which the counting stands",
            "start_stop": f"it turns {latch.name} over, under which the counting stands",
        }
        return Buttons(tuple((s, role, _low(s, role, latch), why[role]) for s, role in found))
    if meant := [s.port.name for s in ports if _called(s.name) == "start_stop"]:
        return Buttons((), f"{meant[0]} seems to start and stop it in turn, and no latch is found")
    return None


# --- where a port goes -----------------------------------------------------------------------


def _parts(view: View, ports: Sequence[str]) -> Iterator[_Part]:
    """The module and those inside that a port gets to."""
    text = without_comments(view.text)
    names = {port: _behind(port, view.module, text, view) for port in ports}
    yield _Part(view.module, text, names)
    bodies = {m[1]: body for body in view.bodies_below if (m := re.search(rf"\bmodule\s+({_WORD})", body))}
    for child in view.children:
        pins: dict[str, frozenset[str]] = {}
        body = without_comments(bodies.get(child.name, ""))
        for connections in _instances(text, child.name):
            for port in ports:
                inner = {pin for pin, net in connections.items() if set(_words(net)) & names[port]}
                reached = [_behind(pin, child, body, None) for pin in inner if child.port(pin)]
                pins[port] = pins.get(port, frozenset()).union(*reached)
        if pins:
            yield _Part(child, body, pins)


def _behind(port: str, module: Module, text: str, view: View | None) -> frozenset[str]:
    """All names that only pass it on: wires, narrow registers, and what small modules make of it."""
    known = {port}
    wide = {r.name for r in module.registers if r.width > NARROW_BITS}
    latches = _turned_or_set(module, text)
    outputs = {p.name for p in module.ports if p.direction == "output"}
    sources = [(target, set(_words(expression))) for target, expression in _assignments(text)]
    if view is not None:
        for child in view.children:
            small = all(r.width <= NARROW_BITS for r in child.registers)
            if small and not _turned_or_set(child, "") and child.registers:
                for connections in _instances(text, child.name):
                    ins = {w for p, n in connections.items() if _is(child, p, "input") for w in _words(n)}
                    outs = [w for p, n in connections.items() if _is(child, p, "output") for w in _words(n)]
                    sources += [(out, ins) for out in outs]
    before = 0
    while before != len(known):
        before = len(known)
        for target, words in sources:
            if words & known and target not in wide | latches and (view is None or target not in outputs):
                known.add(target)
    return frozenset(known)


def _is(module: Module, name: str, direction: str) -> bool:
    port = module.port(name)
    return port is not None and port.direction == direction


def _assignments(text: str) -> list[tuple[str, str]]:
    """Target and expression of everything that is assigned, comparisons left out."""
    expression = r"((?:[^;=<>!]|[=!]==?|>=?|<(?!=)|!)*)"
    pattern = rf"(?<![<>=!.\w])({_WORD})\s*(?:\[[^\]]*\])?\s*(?:<=|=(?!=))\s*(?:#\d+\s*)?{expression};"
    return [(m[1], m[2]) for m in re.finditer(pattern, text)]


def _instances(text: str, module: str) -> Iterator[dict[str, str]]:
    """The connections of every instance of a module, as far as they are by name."""
    inside = r"(?:[^()]|\([^()]*\))*"
    pattern = rf"\b{re.escape(module)}\s*(?:#\s*\({inside}\)\s*)?{_WORD}\s*\(({inside})\)\s*;"
    for match in re.finditer(pattern, text):
        yield dict(re.findall(rf"\.({_WORD})\s*\(([^()]*)\)", match[1]))


def _words(text: str) -> list[str]:
    return re.findall(_WORD, text)


# --- the latch -------------------------------------------------------------------------------


def _turned_or_set(module: Module, text: str) -> set[str]:
    """Registers of one bit that are turned over, set and cleared, or made of themselves."""
    single = {r.name for r in module.registers if r.width == 1}
    turned = {name for g in module.guards for name in g.turns}
    values: dict[str, set[int]] = {}
    for guard in module.guards:
        for name, value in guard.sets:
            values.setdefault(name, set()).add(value)
    found = {name for name in single if name in turned or {0, 1} <= values.get(name, set())}
    for target, expression in _assignments(text):
        if target in single and target in _words(expression):
            found.add(target)
    return found


def _latches(view: View, part: _Part) -> Iterator[_Latch]:
    """Those of them under which something wide counts, here or where they are led to."""
    for name in sorted(_turned_or_set(part.module, part.text)):
        if part.module is view.module:
            level = _counts_at({name}, part.module, part.text, view)
        else:
            out = _led_out(name, part)
            text = without_comments(view.text)
            nets = {
                word
                for connections in _instances(text, part.module.name)
                for pin, net in connections.items()
                if pin in out
                for word in _words(net)
            }
            level = _counts_at(nets, view.module, text, view) if nets else None
        if level is not None:
            yield _Latch(name, level, part)


def _led_out(name: str, part: _Part) -> set[str]:
    """The output ports of a module inside that show a register as it is."""
    found = {name}
    for target, expression in _assignments(part.text):
        if name in _words(expression):
            found.add(target)
    return {port for port in found if _is(part.module, port, "output")}


def _counts_at(names: set[str], module: Module, text: str, view: View) -> int | None:
    """The level of a signal at which something wide counts; None where nothing depends on it."""
    wide = {r.name for r in module.registers if r.width > 1 and not r.shifts}
    low: set[str] = set()
    known = set(names)
    for target, expression in _assignments(text) * 2:  # wires may be written in any order
        words = set(_words(expression))
        if words & known and target not in {r.name for r in module.registers}:
            turned = any(re.search(rf"[~!]\s*{re.escape(n)}\b", expression) for n in words & known)
            known.add(target)
            low |= {target} if turned != bool(words & low) else set()
    for guard in module.guards:
        if guard.signal in known and wide & set(guard.steps) and not names & {n for n, _ in guard.sets}:
            return guard.level ^ int(guard.signal in low)
    for target, expression in _assignments(text):
        if target in wide and known & set(_words(expression)):
            return 1
    for child in view.children:
        if not any(r.width > 1 and not r.shifts for r in child.registers):
            continue
        for connections in _instances(text, child.name):
            for pin, net in connections.items():
                if set(_words(net)) & known and _is(child, pin, "input"):
                    return 1 - int(bool(set(_words(net)) & low) != bool(re.search(r"[~!]", net)))
    return None


# --- roles -----------------------------------------------------------------------------------


def _called(name: Name) -> str | None:
    """What a name says: ``start``, ``stop``, both, or nothing."""
    starts = name.means("start", "enable") or name.has("resume", "continue", "weiter", "reprise")
    stops = name.means("pause")
    if name.has(*_TOGGLES) or (starts and stops):
        return "start_stop"
    return "start" if starts else "stop" if stops else None


def _role(seen: Seen, latch: _Latch) -> str | None:
    """What a port is to a latch; None: nothing."""
    names = latch.part.names.get(seen.port.name, frozenset())
    guards = [g for g in latch.part.module.guards if g.signal.partition("[")[0] in names]
    turns = any(latch.name in g.turns for g in guards)
    values = {v for g in guards for n, v in g.sets if n == latch.name}
    own = [set(_words(e)) for t, e in _assignments(latch.part.text) if t == latch.name]
    mixed = any(latch.name in words and words & names for words in own)
    if not (turns or values or mixed):
        return None
    called = _called(seen.name)
    if turns or values == {0, 1}:
        # a name that says the one thing is believed where another port does the other
        return "start_stop" if turns or called in {None, "start_stop"} else called
    if called in {"start", "stop"}:
        return called
    if called is None and values:
        return "start" if values == {latch.level} else "stop"
    return called


def _steps_itself(seen: Seen, latch: _Latch) -> bool:
    """Whether something wide counts under the port itself: an enable, whatever else depends on it."""
    module = latch.part.module
    wide = {r.name for r in module.registers if r.width > 1 and not r.shifts}
    return any(g.signal == seen.port.name and wide & set(g.steps) for g in module.guards)


def _sets_more(seen: Seen, latch: _Latch) -> bool:
    """Whether the branch that sets the latch sets what is wide as well."""
    module = latch.part.module
    names = latch.part.names.get(seen.port.name, frozenset())
    wide = {r.name for r in module.registers if r.width > NARROW_BITS}
    return any(
        g.alone and g.signal in names and any(n == latch.name for n, _ in g.sets) and _wide_in(g.sets, wide)
        for g in module.guards
    )


def _wide_in(sets: Iterable[tuple[str, int]], wide: set[str]) -> bool:
    return any(name in wide for name, _ in sets)


def _low(seen: Seen, role: str, latch: _Latch) -> bool:
    """Whether a button is pressed while its port is low."""
    if seen.name.low:
        return True
    module, text, name = latch.part.module, latch.part.text, seen.port.name
    wanted = (latch.name, latch.level if role == "start" else 1 - latch.level)
    own = [g for g in module.guards if g.signal == name]
    levels = {g.level for g in own if latch.name in g.turns or wanted in g.sets}
    if levels:
        return levels == {0}
    for register in [r.name for r in module.registers if name in r.shifts]:
        # the falling edge: low now, high before
        now, past = rf"[~!]\s*{re.escape(name)}\b", rf"(?<![~!]){re.escape(register)}(?:\[\d+\])?"
        if re.search(rf"{now}\s*&&?\s*{past}|{past}\s*&&?\s*{now}", text):
            return True
    return bool(re.search(rf"\b(?:wire|logic|assign)\s+{_WORD}\s*=\s*[~!]\s*{re.escape(name)}\s*;", text))
