"""A check in the words of a design that has not said how it calls things: read off the design itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from verify.bench.inference.findings import Proposal
from verify.bench.inference.infer import infer

__all__ = ["by_meaning"]


def by_meaning(
    tables: Mapping[str, Any], check: int, sources: Sequence[Path]
) -> tuple[dict[str, Any], str] | None:
    """The tables of the bench with the names under which the design has what the check needs.

    And a sentence on it. None when no module, or more than one, could be meant. A guess that is
    wrong makes a design fail, never pass: it is held against the same golden model. Raises
    :class:`verify.errors.DesignError`.
    """
    entry = tables["check"][check]
    fitting = [
        p for p in infer(sources).proposals if p.model == entry["model"] and _has_all(p, entry["ports"])
    ]
    module = entry.get("module", tables["design"].get("top"))
    chosen = [p for p in fitting if p.module.name == module] or fitting
    if len(chosen) != 1:
        return None
    found = chosen[0]
    ports = {role: found.ports[role] for role in entry["ports"]}
    checks = list(tables["check"])
    checks[check] = {**entry, "module": found.module.name, "ports": ports, **_clocking(found, entry)}
    told = ", ".join(f"{role} = {ports[role]}" for role in ports)
    return {
        **tables,
        "check": checks,
    }, f"the names were read off the design: module {found.module.name}, {told}"


def _has_all(proposal: Proposal, ports: Mapping[str, Any]) -> bool:
    """The same roles, and none with more or fewer ports."""
    return all(
        role in proposal.ports and _size(proposal.ports[role]) == _size(wanted)
        for role, wanted in ports.items()
    )


def _size(reference: Any) -> int:
    return len(reference) if isinstance(reference, (list, tuple)) else 1


def _clocking(found: Proposal, entry: Mapping[str, Any]) -> dict[str, Any]:
    """The clock and the reset of the module, in the check's own keys."""
    result: dict[str, Any] = {"clock": found.clock.port if found.clock is not None else False}
    if found.reset is None:
        return {**result, "reset": False}
    written = entry.get("reset")
    kept = dict(written) if isinstance(written, Mapping) else {}
    return {**result, "reset": {**kept, "port": found.reset.port, "active": found.reset.active}}
