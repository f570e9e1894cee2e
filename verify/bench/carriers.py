"""Which parameters of a module carry the clock frequency, as ``clock.parameter`` names them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from verify.bench.spelling import listed, nearest
from verify.design.interface import Module

__all__ = ["CarrierError", "carriers_in"]


class CarrierError(Exception):
    """What is wrong with ``clock.parameter``; ``advice`` says what to do."""

    def __init__(self, message: str, advice: str | None) -> None:
        super().__init__(message)
        self.message, self.advice = message, advice


def carriers_in(
    names: Sequence[str], module: Module, top: Module, modules: Mapping[str, Module]
) -> tuple[str, ...]:
    """Those among ``names`` that are parameters of ``module``; the others belong elsewhere.

    A path such as ``u_div.CLK_HZ`` leads down from ``top`` to a parameter of an instance. Nobody can
    set that from outside: a check of ``top`` scales the numbers in the text instead.
    Raises CarrierError for a name that leads nowhere, or to a localparam of ``module``.
    """
    everywhere = {p.name for m in modules.values() for p in m.parameters if not p.local}
    found = []
    for name in names:
        *path, last = name.split(".")
        holder = _below(name, path, top, modules)
        if path and holder is not module:
            _known(name, last, holder)
            continue
        parameter = module.parameter(last)
        if parameter is not None and parameter.local:
            advice = "make it a parameter, so that it can be scaled for simulation"
            raise CarrierError(f'"{last}" is a localparam of {module.name}', advice)
        if parameter is not None:
            found.append(last)
        elif top is module or last not in everywhere:
            _known(name, last, top)
    return tuple(found)


def _below(name: str, path: Sequence[str], top: Module, modules: Mapping[str, Module]) -> Module:
    holder = top
    for instance in path:
        kind = holder.instances.get(instance)
        if kind is None or kind not in modules:
            known = listed(holder.instances)
            message = f'found "{name}", but module {holder.name} has no instance "{instance}"; it has {known}'
            raise CarrierError(message, nearest(instance, holder.instances))
        holder = modules[kind]
    return holder


def _known(name: str, last: str, holder: Module) -> None:
    known = [parameter.name for parameter in holder.parameters if not parameter.local]
    if last not in known:
        message = f'found "{name}", expected a parameter of module {holder.name}: {listed(known)}'
        raise CarrierError(message, nearest(last, known))
