"""Which ports of a module are its clock and its reset."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Literal

from verify.bench.places import KeyPath
from verify.bench.references import Wires, reference
from verify.bench.resolved import ResetPort
from verify.bench.schema import Bench, Check, ClockedPort, PortTable, ResetTable
from verify.bench.spelling import listed
from verify.design.interface import Design, Module, Port, Register
from verify.errors import BenchError
from verify.models.family import Family
from verify.models.playing import ResetKind

__all__ = ["ClockPort", "clock_of", "idle_level", "looks_like_reset", "reset_of"]

_RESET_NAME = re.compile(
    r"(?i)(.*_)?(a|s|n|sys|async|sync|power_?on|por)?_?(rst|reset|resetn|rstn)(_?(n|ni|i|b|l))?"
)
_LOW_NAME = re.compile(r"(?i)(.*_(n|ni|bar|low)|n(rst|reset)|.*(rst|reset)_?(n|b))")
"""Names of active-low inputs (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class ClockPort:
    """``port`` None: combinational, the harness paces the samples.

    ``edge_pin``: the line that pins the edge where it is taken from the design; empty where the bench
    says it, or where it is the usual one.
    """

    port: str | None
    edge: Literal["rising", "falling"] = "rising"
    note: str | None = None
    edge_pin: str = ""


def idle_level(module: Module, port: Port) -> int:
    """The value that keeps an input that no role drives out of the way: all ones if it is active low."""
    resets = {register.reset_edge for register in module.registers if register.reset == port.name}
    low = resets == {"falling"} if resets else _LOW_NAME.fullmatch(port.name) is not None
    return (1 << port.width) - 1 if low else 0


def looks_like_reset(module: Module, port: Port) -> bool:
    """Whether registers wait for an edge of the port as for a reset, or it is called one."""
    waited_for = any(register.reset == port.name for register in module.registers)
    return waited_for or (port.width == 1 and _RESET_NAME.fullmatch(port.name) is not None)


def clock_of(
    bench: Bench, check: Check, wires: Wires, family: Family, path: KeyPath, design: Design
) -> ClockPort:
    """The clock of the check's module.

    A module other than the top whose clock has another name is asked for it through its registers.
    Raises BenchError when it needs one and none is found.
    """
    module = wires.module
    asked = _asked(bench, check)
    own = check.clock is not None
    if asked is not None and module.port(asked.port) is not None:
        return _named(wires, asked, path if own else ("clock",), own=own)
    if asked is not None and own:
        reference(wires, asked.port, (*path, "clock"), f'check "{check.name}", clock', "input")
    if asked is not None and not _elsewhere(bench, module, design, asked.port):
        reference(wires, asked.port, ("clock", "port"), "clock.port", "input")
    clocks = sorted({register.clock for register in module.registers})
    inputs = [name for name in clocks if _is_input(module, name)]
    if asked is not None and len(clocks) == 1 and inputs:
        found = _named(wires, ClockedPort(port=inputs[0]), path, own=True)
        taken = f"its registers run on {inputs[0]}, taken for the clock"
        notes = (f"{module.name} has no port {asked.port}; {taken}", found.note)
        return replace(found, note="; ".join(filter(None, notes)))
    counts = family.stateful and "values" not in check.ports  # what only shows needs no clock
    if clocks or counts:
        raise _no_clock(wires, check, family, asked, inputs, path)
    return ClockPort(None)


def _asked(bench: Bench, check: Check) -> ClockedPort | None:
    """The clock that the bench asks for; a name alone takes the edge from [clock]. None: without one."""
    if check.clock is False:
        return None
    if isinstance(check.clock, str):
        base = bench.clock or ClockedPort(port=check.clock)
        return base.model_copy(update={"port": check.clock})
    return check.clock if check.clock is not None else bench.clock


def _elsewhere(bench: Bench, module: Module, design: Design, name: str) -> bool:
    """Whether a port that ``module`` does not have is one of the rest of the design."""
    if module.name == bench.design.top:
        return False
    return any(other.port(name) is not None for other in design.modules.values())


def _named(wires: Wires, asked: ClockedPort, path: KeyPath, *, own: bool) -> ClockPort:
    """The clock at a port of the module; ``own``: of this check, not the one of [clock]."""
    module, name, edge = wires.module, asked.port, asked.edge
    key = "clock" if own else "clock.port"
    ref = reference(wires, name, (*path, key.rpartition(".")[2]), key, "input")
    if ref.width != 1:
        raise wires.error((*path, "port"), key, f"found {name}, {ref.width} bits wide, expected one bit")
    edges = {register.edge for register in module.registers if register.clock == name}
    if not edges or edge in edges or "both" in edges:
        return ClockPort(name, edge, _on_the_other_edge(module, name, edge))
    other: Literal["rising", "falling"] = "falling" if edge == "rising" else "rising"
    text = f"every register of {module.name} waits for the {other} edge of {name}"
    pin = f'clock = {{ port = "{name}", edge = "{other}" }}' if own else f'edge = "{other}"'
    if "edge" in asked.model_fields_set:
        where = (*path, "clock", "edge") if own else ("clock", "edge")
        advice = f"write {pin} if that is meant, or correct the edge in the design"
        raise wires.error(where, "clock.edge", f'found "{edge}", but {text}', advice)
    return ClockPort(
        name, other, f"{text}, which the bench leaves open", pin if own else f"{pin}  # in [clock]"
    )


def _on_the_other_edge(module: Module, clock: str, edge: str) -> str | None:
    """What is worth saying of a design that uses both edges: half a clock is easily lost."""
    others = [r.name for r in module.registers if r.clock == clock and r.edge not in (edge, "both")]
    if not others:
        return None
    waits = "waits" if len(others) == 1 else "wait"
    return f"{listed(others)} {waits} for the other edge of {clock} than the rest of {module.name}"


def _is_input(module: Module, name: str) -> bool:
    port = module.port(name)
    return port is not None and port.direction == "input" and port.width == 1


def _no_clock(
    wires: Wires, check: Check, family: Family, asked: ClockedPort | None, inputs: list[str], path: KeyPath
) -> BenchError:
    module = wires.module
    why = (
        f"its registers run on {listed(r.clock for r in _first_of_each(module))}"
        if module.registers
        else f"a {family.name} counts clocks"
    )
    if asked is None:
        message = f"no clock is named for module {module.name}, but {why}"
    else:
        message = f'module {module.name} has no port "{asked.port}" for the clock, but {why}'
    name = inputs[0] if inputs else "NAME OF ITS CLOCK PORT"
    if asked is None and check.clock is None:
        advice = f'add [clock] with port = "{name}"'
    else:
        advice = f'add clock = "{name}" to this [[check]]'
    if not inputs and not module.registers:
        advice += (
            f"; the module has the inputs {listed(p.name for p in module.ports if p.direction == 'input')}"
        )
    return wires.error(path if asked is None else ("clock", "port"), f'check "{check.name}"', message, advice)


def _first_of_each(module: Module) -> list[Register]:
    return list({register.clock: register for register in module.registers}.values())


def reset_of(
    bench: Bench, check: Check, wires: Wires, path: KeyPath, taken: set[str], design: Design
) -> tuple[ResetPort | None, str | None]:
    """The reset of the check's module, and a note about it; ``taken``: ports that a role drives.

    Raises BenchError when the module has no port of that name but another that looks like a reset.
    """
    module = wires.module
    table = _table(bench, check)
    if table is None:
        return None, None
    own = check.reset is not None
    where: KeyPath = (*path, "reset") if own else ("reset",)
    key = f'check "{check.name}", reset' if own else "reset.port"
    name = table.port.partition("[")[0].strip()
    if own or module.port(name) is not None or not _elsewhere(bench, module, design, name):
        wanted = PortTable(port=table.port, active=table.active)
        ref = reference(wires, wanted, (*where, "port"), key, "input")
        if ref.width != 1:
            raise wires.error((*where, "port"), key, f"found {ref.width} bits, expected one bit")
        kind = None if table.kind is None else ResetKind(table.kind)
        return ResetPort(ref, kind, table.delay, table.release), None
    return _guessed(check, wires, path, table, taken)


def _table(bench: Bench, check: Check) -> ResetTable | None:
    """The reset that the bench asks for; a name alone takes the rest from [reset]."""
    if check.reset is False:
        return None
    if isinstance(check.reset, str):
        base = bench.reset or ResetTable(port=check.reset)
        return base.model_copy(update={"port": check.reset})
    return check.reset if check.reset is not None else bench.reset


def _guessed(
    check: Check, wires: Wires, path: KeyPath, table: ResetTable, taken: set[str]
) -> tuple[ResetPort | None, str | None]:
    """A module without a port of the reset's name."""
    module = wires.module
    free = [p for p in module.ports if p.direction == "input" and p.width == 1 and p.name not in taken]
    edges = {r.reset: r.reset_edge for r in module.registers if r.reset is not None}
    for port in free:
        edge = edges.get(port.name)
        if edge in {"rising", "falling"}:
            active: Literal["high", "low"] = "low" if edge == "falling" else "high"
            ref = reference(wires, PortTable(port=port.name, active=active), path, "reset", "input")
            note = (
                f"{module.name} has no port {table.port}; {port.name}, active {active}, taken for the reset"
            )
            return ResetPort(ref, None), note
    for port in free:
        if looks_like_reset(module, port):
            raise wires.error(
                ("reset", "port"),
                f'check "{check.name}"',
                f'module {module.name} has no port "{table.port}" for the reset, but one called {port.name}',
                f'add reset = {{ port = "{port.name}", active = "high" }} (or "low") to this [[check]], '
                "or reset = false",
            )
    missing = f"{module.name} has no port {table.port}: checked without a reset" if module.registers else None
    return None, missing
