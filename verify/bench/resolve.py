"""From a bench to checks with nothing left to look up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from verify.bench.clocking import ClockPort, clock_of, idle_level, looks_like_reset, reset_of
from verify.bench.options import options_of
from verify.bench.overrides import Elaboration, all_modules, defines_of, elaborate
from verify.bench.own_models import is_own, own_family
from verify.bench.places import KeyPath
from verify.bench.references import Wires, references
from verify.bench.resolved import PortRef, ResetPort, ResolvedCheck
from verify.bench.scaled_constants import clock_constants, with_scaled_constants
from verify.bench.schema import Bench, Check
from verify.bench.spelling import listed, nearest
from verify.design.interface import Module
from verify.errors import BenchError, DesignError
from verify.models.catalogue import FAMILIES
from verify.models.family import Family, OptionError
from verify.signals import Signal
from verify.simulation.interface import Target

__all__ = ["resolve"]


def resolve(bench: Bench, check: Check, *, speedup: int = 1) -> ResolvedCheck:
    """Look up every port of ``check`` in the design and evaluate every number.

    ``speedup``: factor by which the clock-frequency parameter is scaled down, or the numbers that a
    module without that parameter has in its place; where there are none it is left as it is, and the
    result says 1. Raises :class:`verify.errors.BenchError` with the key's place and
    :class:`verify.errors.DesignError`.
    """
    path: KeyPath = ("check", next(i for i, c in enumerate(bench.checks) if c.name == check.name))
    family = _family(bench, check, path)
    _roles_known(bench, check, family, path)
    elaboration = elaborate(
        bench,
        check,
        _module_name(bench, check),
        path,
        speedup=speedup,
        needs_frequency=_ratio_from_clock(check, family),
    )
    module = elaboration.module
    for loop in module.loops:
        advice = "break the loop with a register, or correct the signal that closes it"
        raise DesignError(f"{loop.what}, in module {module.name}", place=loop.place, advice=advice)
    numbers = {parameter.name: parameter.value for parameter in module.parameters}
    wires = Wires(module, bench.places, numbers)
    roles = _roles(wires, check, family, path)
    clock = clock_of(bench, check, wires, family, path, elaboration.design)
    reset, reset_note = reset_of(bench, check, wires, path, _driven(roles, clock), elaboration.design)
    _no_conflict(wires, check, path, roles, clock, reset)
    options = _options(bench, wires, check, family, elaboration, path)
    _acceptable(wires, check, family, roles, options, reset, path)
    tied = _tied(module, roles, clock, reset)
    tied |= _tied_on_purpose(wires, check, tied, path)
    left_open = [port.name for port in module.ports if port.direction == "inout"]
    notes = [*elaboration.notes, clock.note, reset_note, _idle_reset(check, module, tied)]
    notes += [f"inout ports are neither driven nor watched: {listed(left_open)}"] if left_open else []
    resolved = ResolvedCheck(
        name=check.name,
        family=family,
        module=module,
        target=_target(bench, elaboration, clock),
        edge_pin=clock.edge_pin,
        reset=reset,
        roles=roles,
        options=options,
        facts=dict(check.facts),
        latency=check.latency,
        settle=check.settle,
        skew=_skew(wires, check, family, roles, path),
        tied=tied,
        frequency_hz=(bench.clock.frequency if bench.clock else None) or elaboration.native,
        clock_parameters=elaboration.clock_parameters,
        speedup=elaboration.speedup,
        divides_clock=_divides_clock(module),
        speedup_asked=bench.clock.speedup if bench.clock else None,
        allowed=frozenset(bench.design.allow),
        notes=tuple(note for note in notes if note),
    )
    if speedup == resolved.speedup:
        return resolved
    return with_scaled_constants(resolved, clock_constants(resolved), speedup)


def _key(check: Check, *rest: str) -> str:
    return f'check "{check.name}", {".".join(rest)}'


def _family(bench: Bench, check: Check, path: KeyPath) -> Family:
    if check.model in FAMILIES:
        return FAMILIES[check.model]
    if is_own(check.model):
        return own_family(bench, check.model, _key(check, "model"), path)
    raise BenchError(
        f'{_key(check, "model")}: found "{check.model}", expected one of {listed(FAMILIES)}',
        place=bench.places.of(*path, "model"),
        advice=nearest(check.model, FAMILIES),
    )


def _roles_known(bench: Bench, check: Check, family: Family, path: KeyPath) -> None:
    known = [role.name for role in family.roles]
    for name in check.ports:
        if name not in known:
            raise BenchError(
                f'{_key(check, "ports")}: {family.name} has no role "{name}"; its roles are {listed(known)}',
                place=bench.places.of(*path, "ports", name),
                advice=nearest(name, known),
            )


def _module_name(bench: Bench, check: Check) -> str:
    """The module that is checked: the check's, the design's top, or the only one on top."""
    name = check.module or bench.design.top
    if name is not None:
        return name
    tops = all_modules(bench).tops
    if len(tops) == 1:
        return tops[0]
    raise BenchError(
        f"design.top is missing: expected one of {listed(tops)}",
        place=bench.places.of("design"),
        advice="name the module that is checked, in design.top or as `module` in the check",
    )


def _ratio_from_clock(check: Check, family: Family) -> bool:
    """Whether the ratio, in clocks per period, is to be worked out from the clock frequency."""
    roles = {role.name: role for role in family.roles}
    ticked = "tick" in check.ports and roles["tick"].direction == "input"
    counts = not ticked and "values" not in check.ports  # what comes in is not counted
    return "ratio" not in check.expect and counts and any(o.name == "ratio" for o in family.options)


def _options(
    bench: Bench, wires: Wires, check: Check, family: Family, elaboration: Elaboration, path: KeyPath
) -> dict[str, Any]:
    options = options_of(wires, family, check.expect, (*path, "expect"), _key(check, "expect"))
    frequency = bench.clock.frequency if bench.clock else None
    clock_hz = elaboration.clock_hz or frequency
    given_rate = "rate" in options
    rate = options.pop("rate", 1)
    if not _ratio_from_clock(check, family):
        if given_rate:
            raise wires.error(
                (*path, "expect", "rate"),
                _key(check, "expect.rate"),
                "found `ratio` as well, expected one of the two",
            )
        return options
    where, key = (*path, "expect", "rate"), _key(check, "expect.rate")
    if clock_hz is None:
        if not given_rate:
            return options
        raise wires.error(
            where, key, "found a rate, but no frequency of the clock", "give `frequency` under [clock]"
        )
    if rate < 1:
        raise wires.error(
            where, key, f"found {rate}, expected a whole number of periods per second, 1 or more"
        )
    if clock_hz % rate:
        advice = "give `ratio` in clocks per period instead"
        if elaboration.speedup > 1:
            advice = f"choose a smaller speed-up: the clock runs at {clock_hz} Hz in simulation"
        raise wires.error(where, key, f"{clock_hz} Hz / {rate} Hz is not a whole number of clocks", advice)
    options["ratio"] = clock_hz // rate
    return options


def _roles(wires: Wires, check: Check, family: Family, path: KeyPath) -> dict[str, tuple[PortRef, ...]]:
    specs = {role.name: role for role in family.roles}
    roles = {}
    for name, found in check.ports.items():
        spec, key = specs[name], _key(check, "ports", name)
        where = (*path, "ports", name)
        roles[name] = references(wires, found, where, key, spec.direction, many=spec.many)
        for index, ref in enumerate(roles[name]):
            if spec.control and ref.width != 1:
                at, what = ((*where, index), f"{key}[{index}]") if len(roles[name]) > 1 else (where, key)
                first = ref.slices[0]
                advice = f'name one bit of it, such as "{_wire(wires.module, first.port, first.offset)}"'
                raise wires.error(at, what, f"found {ref.width} bits, expected one bit", advice)
    return roles


def _bits(references: Iterator[PortRef]) -> Iterator[tuple[str, int]]:
    for ref in references:
        for part in ref.slices:
            for bit in range(part.offset, part.offset + part.width):
                yield part.port, bit


def _no_conflict(
    wires: Wires,
    check: Check,
    path: KeyPath,
    roles: Mapping[str, tuple[PortRef, ...]],
    clock: ClockPort,
    reset: ResetPort | None,
) -> None:
    """Every wire has one meaning at most."""
    taken: dict[tuple[str, int], str] = {}
    if clock.port is not None:
        taken[clock.port, 0] = "the clock"
    if reset is not None:
        taken.update(dict.fromkeys(_bits(iter([reset.ref])), "the reset"))
    for name, refs in roles.items():
        for index, ref in enumerate(refs):
            role = f"{name}[{index}]" if len(refs) > 1 else name
            for port, bit in _bits(iter([ref])):
                if (port, bit) in taken:
                    where: KeyPath = (*path, "ports", name)
                    wire = _wire(wires.module, port, bit)
                    message = f"found {wire}, which already is {taken[port, bit]}"
                    raise wires.error(where, _key(check, "ports", role), message, "bind every wire once")
                taken[port, bit] = role


def _driven(roles: Mapping[str, tuple[PortRef, ...]], clock: ClockPort) -> set[str]:
    """Ports that have a meaning besides the reset."""
    ports = {part.port for refs in roles.values() for ref in refs for part in ref.slices}
    return ports | ({clock.port} if clock.port else set())


def _wire(module: Module, name: str, bit: int) -> str:
    """A bit under its declared index."""
    port = module.port(name)
    if port is None or port.width == 1:
        return name
    return f"{name}[{port.right + bit if port.left >= port.right else port.right - bit}]"


def _acceptable(
    wires: Wires,
    check: Check,
    family: Family,
    roles: Mapping[str, tuple[PortRef, ...]],
    options: Mapping[str, Any],
    reset: ResetPort | None,
    path: KeyPath,
) -> None:
    """Ask the golden model whether roles, widths and options make sense together."""
    shape = {name: tuple(ref.width for ref in refs) for name, refs in roles.items()}
    try:
        family.candidates(shape, options, reset is not None)
    except OptionError as error:
        name = error.key.partition("[")[0].partition(".")[0]
        is_role = any(role.name == name for role in family.roles)
        table = "expect" if name in check.expect or not is_role else "ports"
        where = (*path, table, name)
        raise wires.error(
            where, _key(check, table, error.key), f"found {error.found}, expected {error.expected}"
        ) from None


def _skew(
    wires: Wires, check: Check, family: Family, roles: Mapping[str, tuple[PortRef, ...]], path: KeyPath
) -> dict[str, int]:
    """Model output -> clocks; a list role without an index stands for all its outputs."""
    specs = {role.name: role for role in family.roles}
    outputs: dict[str, list[str]] = {}
    for name, refs in roles.items():
        if specs[name].direction == "output":
            each = [f"{name}[{index}]" for index in range(len(refs))] if specs[name].many else [name]
            outputs[name] = each
            outputs.update({one: [one] for one in each})
    skew = {}
    for name, clocks in check.skew.items():
        if name not in outputs:
            message = f'found "{name}", expected a bound output: {listed(outputs)}'
            raise wires.error((*path, "skew", name), _key(check, "skew"), message, nearest(name, outputs))
        skew.update(dict.fromkeys(outputs[name], clocks))
    return skew


def _tied(
    module: Module, roles: Mapping[str, tuple[PortRef, ...]], clock: ClockPort, reset: ResetPort | None
) -> dict[str, int]:
    """Input port -> value on the bits that nothing drives; ports that are driven whole are left out."""
    references = [ref for refs in roles.values() for ref in refs]
    driven = set(_bits(iter([*references, *([reset.ref] if reset else [])])))
    tied = {}
    for port in module.ports:
        bits = [bit for bit in range(port.width) if (port.name, bit) not in driven]
        if port.direction == "input" and port.name != clock.port and bits:
            tied[port.name] = idle_level(module, port) & sum(1 << bit for bit in bits)
    return tied


def _divides_clock(module: Module) -> bool:
    inputs = {port.name for port in module.ports if port.direction == "input"}
    return any(register.clock not in inputs for register in module.registers)


def _tied_on_purpose(wires: Wires, check: Check, tied: Mapping[str, int], path: KeyPath) -> dict[str, int]:
    """The values that the bench gives to inputs that no role drives."""
    for name, value in check.tie.items():
        where, key = (*path, "tie", name), _key(check, "tie", name)
        port = wires.module.port(name)
        if name not in tied or port is None:
            known = f"an input that no role names: {listed(tied)}" if tied else "none: every input has a role"
            raise wires.error(where, key, f'found "{name}", expected {known}', nearest(name, tied))
        if value >> port.width:
            raise wires.error(where, key, f"found {value}, expected at most {(1 << port.width) - 1}")
    return dict(check.tie)


def _idle_reset(check: Check, module: Module, tied: Mapping[str, int]) -> str | None:
    """A word on inputs that look like a reset that the bench forgot."""
    ports = [port for port in module.ports if port.name in tied and looks_like_reset(module, port)]
    if not ports or check.reset is False:
        return None
    held = listed(f"{port.name} at {tied[port.name]}" for port in ports)
    return f"the bench names no reset for {module.name}: held {held}"


def _target(bench: Bench, elaboration: Elaboration, clock: ClockPort) -> Target:
    module = elaboration.module
    defines = ((name, value) for name, value in defines_of(bench).items())
    inputs = (p for p in module.ports if p.direction == "input" and p.name != clock.port)
    return Target(
        sources=elaboration.design.sources,
        top=module.name,
        clock=clock.port,
        inputs=tuple(Signal(port.name, port.width) for port in inputs),
        outputs=tuple(Signal(p.name, p.width) for p in module.ports if p.direction == "output"),
        edge=clock.edge,
        parameters=tuple(elaboration.overrides.items()),
        include=bench.include,
        defines=tuple(defines),
        directory=bench.directory,
    )
