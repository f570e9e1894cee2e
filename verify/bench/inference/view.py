"""A module as inference looks at it: its ports with their names taken apart, and who its clock is."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

from verify.bench.inference.findings import Assumption, Clock, Question, Reset
from verify.bench.inference.initials import spelled_out
from verify.bench.inference.names import Name, name_of
from verify.bench.inference.seen import Seen, meant_as_control, parts_of, resolved_pins
from verify.design.interface import Design, Guard, Module, Port
from verify.errors import Place

__all__ = ["Seen", "View", "view_of"]

Edge = Literal["rising", "falling", "both"]

_COMMENT = re.compile(r"//(.*)$|/\*(.*?)\*/", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class View:
    """``inputs`` and ``outputs`` without clock and reset. ``words``: of the module's own name.

    ``below``: names of the registers and instances inside, which tell what a top is about.
    ``header``: the comment above the module. ``questions``: what already is in doubt.
    """

    module: Module
    name: Name
    clock: Clock | None
    reset: Reset | None
    inputs: tuple[Seen, ...]
    outputs: tuple[Seen, ...]
    header: str = ""
    text: str = ""
    below: tuple[Name, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    questions: tuple[Question, ...] = ()
    clocks: tuple[str, ...] = ()
    children: tuple[Module, ...] = field(default_factory=tuple)
    bodies_below: tuple[str, ...] = ()
    """The text of every module inside."""
    instantiated: bool = False
    """Whether another module has it inside."""

    @property
    def stateful(self) -> bool:
        """Whether anything in it is clocked."""
        return bool(self.module.registers)

    def resets_to(self, *names: str) -> tuple[int, Place] | None:
        """What reset sets the first of these signals to that is not zero, and where."""
        if self.reset is None:
            return None
        level = 1 if self.reset.active == "high" else 0
        for guard in self.module.guards:
            if guard.signal == self.reset.port and guard.level == level:
                for name, value in guard.sets:
                    if name in names and value:
                        return value, guard.place
        return None

    def towards(self, *outputs: Seen) -> View:
        """What counts for these outputs: inputs that reach none of them are left alone, which is said."""
        pins = tuple(resolved_pins(self.module))
        kept: dict[str, Seen] = {}
        told = []
        for base in dict.fromkeys(s.port.name.partition("[")[0] for s in self.inputs):
            port = self.module.port(base)
            if port is None:
                continue
            mine = [s for s in self.inputs if s.port.name.partition("[")[0] == base]
            whole = Seen(port, name_of(base), mine[0].comment)
            parts = parts_of(whole, outputs, self.module.reached_by, pins)
            if parts == (whole,) and mine[0].port == port:
                parts = tuple(mine)
            kept |= {s.port.name: s for s in parts if self.reset is None or s.port.name != self.reset.port}
            if not parts:
                text = f"{base} reaches none of the outputs that are compared and is left alone"
                told.append(Assumption("", text, port.place))
        return replace(self, inputs=tuple(kept.values()), assumptions=(*self.assumptions, *told))

    def inside(self, *meanings: str) -> bool:
        """Whether a register, an instance or the module itself is called so."""
        return any(name.means(*meanings) for name in (self.name, *self.below))


def view_of(module: Module, design: Design, lines: Mapping[Path, list[str]]) -> View:
    """The view of a module; ``lines``: the text of the source files."""
    assumptions: list[Assumption] = []
    questions: list[Question] = []
    text = lines.get(module.place.file, [])
    module = _through_aliases(module, "\n".join(_body(text, module)))
    ports = spelled_out([Seen(port, name_of(port.name), _comment_at(lines, port)) for port in module.ports])
    clock = _clock(module, ports, assumptions)
    reset = _reset(module, ports, clock, assumptions, questions) or _reset_below(
        module, ports, design, assumptions
    )
    taken = {clock.port if clock else None, reset.port if reset else None}
    idle = [
        s
        for s in ports
        if s.port.direction == "input"
        and s.port.name not in module.reads
        and not meant_as_control(s, module.reached_by)
    ]
    assumptions += [
        Assumption("", f"{seen.port.name} is read by nothing and is left alone", seen.port.place)
        for seen in idle
        if seen.port.name not in taken
    ]
    outputs = tuple(s for s in ports if s.port.direction == "output")
    pins = tuple(resolved_pins(module))
    return View(
        module=module,
        name=name_of(module.name),
        clock=clock,
        reset=reset,
        inputs=tuple(
            part
            for s in ports
            if s.port.direction == "input" and s.port.name not in taken and s not in idle
            for part in parts_of(s, outputs, module.reached_by, pins)
            if part.port.name not in taken
        ),
        outputs=outputs,
        header=_header(text, module.place.line or 1),
        text="\n".join(_body(text, module)),
        below=tuple(_below(module)),
        assumptions=tuple(assumptions),
        questions=tuple(questions),
        clocks=tuple(sorted({r.clock for r in module.registers})),
        bodies_below=tuple(
            "\n".join(_body(lines.get(inner.place.file, []), inner)) for inner in _inside(module, design)
        ),
        children=tuple(design.modules[c] for c in module.instances.values() if c in design.modules),
        instantiated=any(module.name in other.instances.values() for other in design.modules.values()),
    )


def _inside(module: Module, design: Design) -> list[Module]:
    """All modules inside, each once."""
    found: dict[str, Module] = {}
    waiting = list(module.instances.values())
    while waiting:
        name = waiting.pop()
        if name in design.modules and name not in found and name != module.name:
            found[name] = design.modules[name]
            waiting += design.modules[name].instances.values()
    return list(found.values())


def _body(text: list[str], module: Module) -> list[str]:
    """The lines of the module, up to its end."""
    rows = text[(module.place.line or 1) - 1 :]
    end = next((i for i, row in enumerate(rows) if "endmodule" in row), len(rows))
    return rows[: end + 1]


def _below(module: Module) -> Iterable[Name]:
    for register in module.registers:
        yield from (name_of(part) for part in re.split(r"[.\[\]]+", register.name) if part)
    for instance, child in module.instances.items():
        yield name_of(child)
        yield name_of(instance)


def _comment_at(lines: Mapping[Path, list[str]], port: Port) -> str:
    text = lines.get(port.place.file, [])
    line = port.place.line or 0
    if not 0 < line <= len(text):
        return ""
    match = _COMMENT.search(text[line - 1])
    return (match[1] or match[2] or "").strip() if match else ""


def _header(text: list[str], line: int) -> str:
    """The comments directly above a module."""
    found: list[str] = []
    inside = False
    for row in reversed(text[: line - 1]):
        bare = row.strip()
        if bare.endswith("*/"):
            inside = True
        if inside or bare.startswith(("//", "/*", "*", "(*")):
            found.append(bare.strip("/*() "))
        elif bare and not bare.startswith("`"):
            break
        if bare.startswith("/*"):
            inside = False
    return "\n".join(reversed(found))


def _aliases(text: str) -> dict[str, tuple[str, bool]]:
    """Names given to an input or a bit of one: ``wire rst = ~KEY[0]`` -> the bit, and whether inverted."""
    pattern = r"(?:wire|logic|assign)\s+(\w+)\s*=\s*([~!]?)\s*(\w+(?:\s*\[\s*\d+\s*\])?)\s*;"
    return {m[1]: ("".join(m[3].split()), bool(m[2])) for m in re.finditer(pattern, text)}


def _through_aliases(module: Module, text: str) -> Module:
    """The module with its guards in terms of ports where a wire only gives one a name."""
    ports = {p.name for p in module.ports if p.direction == "input"}
    whole = {f"{p.name}[{p.right}]": p.name for p in module.ports if p.width == 1}
    aliases = {name: (whole.get(to, to), inverted) for name, (to, inverted) in _aliases(text).items()}
    guards = []
    for guard in module.guards:
        target, inverted = aliases.get(guard.signal, (guard.signal, False))
        if guard.signal in ports or target.partition("[")[0] not in ports:
            guards.append(guard)
        else:
            guards.append(replace(guard, signal=target, level=guard.level ^ inverted))
    registers = []
    for register in module.registers:
        target, inverted = aliases.get(register.reset or "", ("", False))
        if target.partition("[")[0] in ports:
            edge = _turned(register.reset_edge, inverted)
            register = replace(register, reset=target, reset_edge=edge)  # noqa: PLW2901 -- as it goes on
        registers.append(register)
    return replace(module, guards=tuple(guards), registers=tuple(registers))


def _turned(edge: Edge | None, inverted: bool) -> Edge | None:
    if not inverted or edge in (None, "both"):
        return edge
    return "falling" if edge == "rising" else "rising"


def _clock(module: Module, ports: list[Seen], assumptions: list[Assumption]) -> Clock | None:
    inputs = {s.port.name: s for s in ports if s.port.direction == "input" and s.width == 1}
    used = [r for r in module.registers if r.clock in inputs]
    if not used:
        named = [s for s in inputs.values() if s.name.means("clock") and s.port.name in module.reads]
        if module.registers and len(named) == 1:
            seen = named[0]
            why = f"{seen.port.name} is called a clock; the registers run on what is made of it"
            assumptions.append(Assumption("clock.port", why, seen.port.place))
            return Clock(seen.port.name)
        return None
    counts: dict[str, int] = {}
    for register in used:
        weight = 1000 if inputs[register.clock].name.means("clock") else 1
        counts[register.clock] = counts.get(register.clock, 0) + weight
    chosen = max(counts, key=lambda name: counts[name])
    first = next(r for r in used if r.clock == chosen)
    edges = {r.edge for r in used if r.clock == chosen}
    edge: Literal["rising", "falling"] = "falling" if edges == {"falling"} else "rising"
    why = f"the registers wait for its {edge} edge"
    assumptions.append(Assumption("clock.port", f"{chosen} is the clock: {why}", first.place))
    return Clock(chosen, edge)


def _reset_below(
    module: Module, ports: list[Seen], design: Design, assumptions: list[Assumption]
) -> Reset | None:
    """The pin that goes to what is called a reset inside; its level by what the inside does with it."""
    names = {s.port.name: s for s in ports if s.port.direction == "input"}
    for pin in resolved_pins(module):
        seen = names.get(pin.signal.partition("[")[0])
        if seen is None or not name_of(pin.name).means("reset") or (seen.width > 1 and "[" not in pin.signal):
            continue
        inside = design.modules.get(pin.module)
        levels = {g.level for g in inside.guards if g.signal == pin.name} if inside is not None else set()
        level = levels.pop() if len(levels) == 1 else 0 if name_of(pin.name).low else 1
        active: Literal["high", "low"] = "high" if level != pin.inverted else "low"
        where = f"{pin.name} of {pin.module}" if pin.module else pin.name
        text = (
            f"{pin.signal} is the reset, active {active}: it is {where}{' inverted' if pin.inverted else ''}"
        )
        assumptions.append(Assumption("reset.port", text, seen.port.place))
        return Reset(pin.signal, active)
    return None


def _reset(
    module: Module,
    ports: list[Seen],
    clock: Clock | None,
    assumptions: list[Assumption],
    questions: list[Question],
) -> Reset | None:
    names = {s.port.name: s for s in ports if s.port.direction == "input"}
    single = [s for s in names.values() if s.width == 1 and (clock is None or s.port.name != clock.port)]
    waited = [r for r in module.registers if r.reset is not None and r.reset.partition("[")[0] in names]
    for register in waited:
        port = register.reset or ""
        guard = next((g for g in module.guards if g.signal == port and g.waited), None)
        by_edge = 0 if register.reset_edge == "falling" else 1
        level = by_edge if guard is None else guard.level
        kind = "waits for its edge" if guard is None else f"`if` asks for {guard.level}"
        if guard is not None and guard.kind == "copy":
            continue
        place = register.place if guard is None else guard.place
        return _settled(
            names[port.partition("[")[0]], port, level, kind, place, by_edge, assumptions, questions
        )
    named = [s for s in single if s.name.means("reset")]
    named += [s for s in single if s.name.means("clear") and s not in named]
    for seen in named:
        name = seen.port.name
        guard = next((g for g in module.guards if g.signal == name and g.kind in {"constant", "copy"}), None)
        if guard is not None:
            if guard.kind == "copy" and not seen.name.means("reset"):
                continue
            return _settled(
                seen,
                name,
                guard.level,
                f"`if` asks for {guard.level}",
                guard.place,
                None,
                assumptions,
                questions,
            )
    firsts = [
        g
        for g in module.guards
        if g.first and g.kind == "constant" and (g.signal in names or g.signal.partition("[")[0] in names)
    ]
    firsts = [g for g in firsts if not name_of(g.signal).means("enable", "pause", "load", "start", "up")]
    why = "the first thing asked, and the branch only sets constants"
    if not firsts:
        firsts, why = _covering(module, names), "it puts every register back"
    if firsts and not named:
        guard = firsts[0]
        why = f"{guard.signal} is the reset: {why}"
        assumptions.append(Assumption("reset.port", why, guard.place))
        return Reset(guard.signal, "high" if guard.level else "low")
    for seen in named:
        if seen.name.means("reset") and (seen.port.name in module.reads or module.registers):
            active = "low" if seen.name.low else "high"
            why = f"{seen.port.name} is the reset, active {active}: both judged by its name"
            assumptions.append(Assumption("reset.port", why, seen.port.place))
            return Reset(seen.port.name, "low" if seen.name.low else "high")
    return None


def _covering(module: Module, names: Mapping[str, Seen]) -> list[Guard]:
    """What sets all registers of more than a bit to constants, wherever it stands."""
    wide = {r.name for r in module.registers if r.width > 1}
    return [
        g
        for g in module.guards
        if g.kind == "constant"
        and len(wide) > 1
        and (g.signal in names or g.signal.partition("[")[0] in names)
        and wide <= {name for name, _ in g.sets}
    ]


def _settled(
    seen: Seen,
    port: str,
    level: int,
    why: str,
    place: object,
    by_edge: int | None,
    assumptions: list[Assumption],
    questions: list[Question],
) -> Reset:
    """The reset at ``level``, unless its name or the edge that is waited for says otherwise."""
    active: Literal["high", "low"] = "high" if level else "low"
    other = "low" if level else "high"
    against = None
    if by_edge is not None and by_edge != level:
        against = f"the block waits for the edge to {by_edge}"
    elif seen.name.low and level:
        against = f"the name {seen.port.name} says active low"
    if against is not None:
        questions.append(
            Question(
                f"is {port} active high or low? The code asks for {level}, but {against}",
                (
                    (f"active {active}, as the code asks", f'[reset] active = "{active}"'),
                    (f"active {other}", f'[reset] active = "{other}"'),
                ),
                place,  # type: ignore[arg-type]
            )
        )
    text = f"{port} is the reset, active {active}: {why}"
    assumptions.append(Assumption("reset.port", text, place))  # type: ignore[arg-type]
    return Reset(port, active)
