"""From Verilog files to proposals: what everything is, parts before wholes."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from verify.bench.inference.converters import propose_bcd
from verify.bench.inference.counters import propose_counter
from verify.bench.inference.decoders import propose_segments
from verify.bench.inference.displays import propose_display
from verify.bench.inference.dividers import propose_dividers
from verify.bench.inference.findings import Assumption, Choice, Proposal, Unknown
from verify.bench.inference.timers import propose_timer
from verify.bench.inference.view import View, view_of
from verify.design.interface import Design, Module
from verify.design.read import read_design
from verify.design.sources import lines_of
from verify.design.stubs import Stub, stubs_for
from verify.errors import DesignError

__all__ = ["Inference", "infer", "read_proposal", "with_choices"]

STUBS = Path(".everyedge", "inferred", "stubs")
"""Where stubs are written, from the working directory."""

Reader = Callable[[View], Proposal | Unknown | list[Proposal] | None]


@dataclass(frozen=True, slots=True, eq=False)
class Inference:
    """``proposals`` bottom-up; ``tops``: modules that no other one but a testbench instantiates.

    ``unknown``: modules that no golden model fits. ``testbenches``: left out. ``sources``: the files
    that the rest needs. ``remarks``: things worth saying.
    """

    design: Design
    proposals: tuple[Proposal, ...]
    unknown: tuple[Unknown, ...]
    tops: tuple[str, ...]
    testbenches: tuple[str, ...]
    sources: tuple[Path, ...]
    remarks: tuple[str, ...] = ()
    stubs: tuple[Stub, ...] = ()

    def below(self, top: str) -> tuple[str, ...]:
        """The module and everything in it, parts first."""
        return tuple(dict.fromkeys(_parts_first(self.design, top)))


def infer(files: Sequence[Path], stubs: Sequence[Stub] = ()) -> Inference:
    """Read the files and say what every module in them is.

    ``stubs``: modules that no file defines, for which empty ones stand in.

    Raises :class:`verify.errors.DesignError` for files that cannot be read or do not parse, and for
    a module that is missing.
    """
    if stubs:
        files = [*files, *stubs_for(files, stubs, STUBS)]
    design = read_design(files, lenient=True)
    lines = {path: lines_of(path) for path in {m.place.file for m in design.modules.values()}}
    benches = [m.name for m in design.modules.values() if _is_testbench(m)]
    benches += [name for name in design.broken if _called_testbench(name)]
    missing = {name: error for name, error in design.broken.items() if name not in benches}
    inside = {c for m in design.modules.values() if m.name not in benches for c in m.instances.values()}
    tops = [name for name in design.modules if name not in inside and name not in benches]
    for name, error in missing.items():
        if name not in inside:
            raise error
    if not tops:
        raise DesignError(
            "there is no module with ports among the files, only testbenches: " + ", ".join(benches),
            advice="name the files of the design itself",
        )
    order = dict.fromkeys(name for top in tops for name in _parts_first(design, top))
    proposals: list[Proposal] = []
    unknown: list[Unknown] = []
    for name in order:
        if name in design.modules and name not in {stub.name for stub in stubs}:
            found = read_proposal(view_of(design.modules[name], design, lines))
            if isinstance(found, Unknown):
                unknown.append(found)
            else:
                proposals += [_as_instantiated(proposal, design) for proposal in found]
    return Inference(
        design,
        tuple(proposals),
        tuple(unknown),
        tuple(tops),
        tuple(benches),
        _needed(design, order, benches),
        tuple(_remarks(design, benches, stubs)),
        tuple(stubs),
    )


def _as_instantiated(proposal: Proposal, design: Design) -> Proposal:
    """With the parameters that the part has inside the whole, where it never has its defaults."""
    values = design.instantiated.get(proposal.module.name)
    if not values:
        return proposal
    told = ", ".join(f"{name} = {value:,}" for name, value in values.items())
    text = f"checked as it is instantiated, with {told}: its defaults never occur"
    assumption = Assumption("parameters", text, proposal.module.place)
    parameters = {**values, **proposal.parameters}
    return replace(proposal, parameters=parameters, assumptions=(*proposal.assumptions, assumption))


def read_proposal(view: View) -> list[Proposal] | Unknown:
    """The likeliest reading of one module, or why there is none."""
    refusals: list[Unknown] = []
    readers: tuple[Reader, ...] = (
        propose_segments,
        propose_display,
        propose_bcd,
        propose_timer,
        propose_counter,
        propose_dividers,
    )
    for reader in readers:
        found = reader(view)
        if isinstance(found, Unknown):
            refusals.append(found)
        elif isinstance(found, list):
            return found
        elif found is not None:
            return [found]
    if refusals:
        return refusals[0]
    return Unknown(view.module, *_nearest(view))


def _nearest(view: View) -> tuple[str, str]:
    inputs = ", ".join(f"{s.port.name} ({s.width})" for s in view.inputs) or "nothing"
    outputs = ", ".join(f"{s.port.name} ({s.width})" for s in view.outputs) or "nothing"
    ports = f"bits in: {inputs}; bits out: {outputs}"
    if view.stateful and sum(s.width > 1 for s in view.outputs) > 1:
        return "counter", f"its outputs are neither the digits of one number nor units of time: {ports}"
    if view.stateful:
        return "counter", f"no output is a number, a unit of time, a tick or segments: {ports}"
    return "bcd", f"neither decimal digits nor seven segments come out: {ports}"


def _parts_first(design: Design, name: str, above: tuple[str, ...] = ()) -> Iterator[str]:
    module = design.modules.get(name)
    if module is None or name in above:
        return
    for child in module.instances.values():
        yield from _parts_first(design, child, (*above, name))
    yield name


def _is_testbench(module: Module) -> bool:
    return not module.ports or (
        _called_testbench(module.name) and any(u.what == "$finish" for u in module.unsafe)
    )


def _called_testbench(name: str) -> bool:
    return bool(re.search(r"(?i)(^|_)(tb|testbench|test_bench|bench|test)(_|$)|^tb|tb$", name))


def _needed(design: Design, order: dict[str, None], benches: list[str]) -> tuple[Path, ...]:
    """All files but those that hold testbenches alone."""
    holders: dict[Path, set[str]] = {}
    for module in design.modules.values():
        holders.setdefault(module.place.file.resolve(), set()).add(module.name)
    for name, error in design.broken.items():
        if error.place is not None:
            holders.setdefault(error.place.file.resolve(), set()).add(name)
    kept = []
    for path in design.sources:
        names = holders.get(path.resolve(), set())
        if not names or not names <= set(benches):
            kept.append(path)
    del order
    return tuple(kept)


def _remarks(design: Design, benches: list[str], stubs: Sequence[Stub]) -> Iterator[str]:
    for stub in stubs:
        how = "not driven" if stub.follows is None else f"what comes in at {stub.follows}"
        yield f"{stub.name}: a stub stands in for it; its outputs are {how}"
    if benches:
        yield f"{', '.join(benches)}: taken for a testbench and left out"
    if design.verilog_2005:
        names = ", ".join(str(path) for path in design.verilog_2005)
        yield f"{names}: uses words of SystemVerilog as names, so it is read as Verilog-2005"


def with_choices(proposal: Proposal, *choices: Choice) -> Proposal:
    """The proposal with the entries of ``choices`` put in."""
    expect, ports = dict(proposal.expect), dict(proposal.ports)
    for choice in choices:
        expect |= choice.expect
        ports |= choice.ports
    return replace(proposal, expect=expect, ports=ports)
