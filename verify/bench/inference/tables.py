"""Proposals as the tables of a bench, and as its text with a comment on every line that was inferred."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from verify.bench.inference.findings import Assumption, Clock, Proposal, Reset
from verify.errors import Place
from verify.wording import toml_text

__all__ = ["bench_text", "compatible", "tables_of"]

IN_RESET = "# in [reset]"
"""What marks the pin of a fact about the reset."""


def tables_of(proposals: Sequence[Proposal], sources: Sequence[Path]) -> dict[str, Any]:
    """The tables of a bench with one check per proposal; the last proposal is that of the top."""
    top = proposals[-1]
    clock = next((p.clock for p in reversed(proposals) if p.clock is not None), None)
    scaled = [p for p in proposals if p.clock and (p.clock.frequency or p.clock.parameter)]
    timed = scaled[-1].clock if scaled else None
    reset = top.reset or next((p.reset for p in reversed(proposals) if p.reset is not None), None)
    tables: dict[str, Any] = {"design": {"sources": [str(path) for path in sources], "top": top.module.name}}
    if clock is not None:
        tables["clock"] = _clock_table(clock, timed)
    if reset is not None:
        tables["reset"] = {"port": reset.port, "active": reset.active}
    tables["check"] = [_check(p, clock, reset) for p in proposals]
    return tables


def _clock_table(clock: Clock, timed: Clock | None) -> dict[str, Any]:
    table: dict[str, Any] = {"port": clock.port, "edge": clock.edge}
    if timed is not None and timed.frequency is not None:
        table["frequency"] = timed.frequency
    if timed is not None and timed.parameter is not None:
        table["parameter"] = timed.parameter
        table["speedup"] = "auto"
    return table


def _check(proposal: Proposal, clock: Clock | None, reset: Reset | None) -> dict[str, Any]:
    check: dict[str, Any] = {
        "name": proposal.name,
        "model": proposal.model,
        "module": proposal.module.name,
        "ports": dict(proposal.ports),
    }
    if proposal.parameters:
        check["parameters"] = dict(proposal.parameters)
    if proposal.tie:
        check["tie"] = dict(proposal.tie)
    if proposal.expect:
        check["expect"] = dict(proposal.expect)
    own = None if proposal.clock is None else proposal.clock.port
    if clock is not None and own != clock.port:
        check["clock"] = own or False
    if proposal.reset != reset:
        check["reset"] = (
            False
            if proposal.reset is None
            else {"port": proposal.reset.port, "active": proposal.reset.active}
        )
    return check


def compatible(one: Proposal, other: Proposal) -> bool:
    """Whether two checks can stand in one bench: they need one edge, one frequency and one parameter."""
    if one.clock is None or other.clock is None:
        return True
    if one.clock.edge != other.clock.edge:
        return False
    timed = [(c.frequency, c.parameter) for c in (one.clock, other.clock) if c.frequency or c.parameter]
    if len(timed) < 2:
        alone = next((c.parameter for c in (one.clock, other.clock) if c.parameter), None)
        return alone is None or other.module.parameter(alone) is not None
    return timed[0] == timed[1]


def bench_text(
    proposals: Sequence[Proposal],
    sources: Sequence[Path],
    directory: Path,
    measured: Sequence[tuple[str, Sequence[tuple[str, str]]]] = (),
) -> str:
    """The bench as TOML; paths relative to ``directory``.

    ``measured``: name of a check -> lines that pin what was measured of it, each with a comment.
    """
    tables = tables_of(proposals, [Path(_relative(path, directory)) for path in sources])
    top = proposals[-1]
    lines = [
        f"# What {', '.join(Path(p).name for p in tables['design']['sources'])} looks like.",
        "# Every line says where it comes from: correct what is wrong, and take out what does not matter.",
        "[design]",
        f"sources = {toml_text(tables['design']['sources'])}",
        f"top = {toml_text(top.module.name)}",
    ]
    reasons = [a for p in proposals for a in p.assumptions]
    for name in ("clock", "reset"):
        if name in tables:
            lines += ["", *_comments(reasons, f"{name}."), f"[{name}]"]
            lines += [f"{key} = {toml_text(value)}" for key, value in tables[name].items()]
    pins = {name: list(found) for name, found in measured}
    of_reset = {name: _reset_pins(found) for name, found in pins.items()}
    shared = _shared(
        [
            of_reset.get(p.name, {})
            for p, c in zip(proposals, tables["check"], strict=True)
            if "reset" not in c
        ]
    )
    if shared and "reset" in tables:
        at = lines.index("[reset]") + 1 + len(tables["reset"])
        lines[at:at] = [f"{text}  # measured" for text in shared.values()]
    for proposal, check in zip(proposals, tables["check"], strict=True):
        lines += ["", "[[check]]"]
        found = [(text, why) for text, why in pins.get(proposal.name, ()) if IN_RESET not in text]
        lines += [
            f"{key} = {toml_text(value)}"
            for key, value in check.items()
            if key not in {"ports", "expect", "reset"}
        ]
        lines += _own_reset(proposal, check, of_reset.get(proposal.name, {}), shared)
        lines += [f"{text}  # {why}" for text, why in found if not text.startswith("expect.")]
        options = [
            f"{text.removeprefix('expect.')}  # {why}" for text, why in found if text.startswith("expect.")
        ]
        for key in ("ports", "expect"):
            if key in check or (key == "expect" and options):
                lines += ["", f"[check.{key}]"]
                for name, value in check.get(key, {}).items():
                    lines += _comments(proposal.assumptions, f"{key}.{name}", whole=True)
                    lines.append(f"{name} = {toml_text(value)}")
        lines += options
    return "\n".join(lines) + "\n"


def _reset_pins(found: Sequence[tuple[str, str]]) -> dict[str, str]:
    """Key of the table ``reset`` -> the line that pins it."""
    texts = [text.partition("#")[0].strip() for text, _ in found if IN_RESET in text]
    return {text.partition(" = ")[0]: text for text in texts}


def _shared(pins: Sequence[dict[str, str]]) -> dict[str, str]:
    """What holds for all checks alike; that it makes no difference to one of them is no objection."""
    kinds = {p["kind"] for p in pins if "kind" in p}
    others = [{key: text for key, text in p.items() if key != "kind"} for p in pins]
    if len(kinds) > 1 or any(other != others[0] for other in others):
        return {}
    return {**({"kind": kinds.pop()} if kinds else {}), **(others[0] if others else {})}


def _own_reset(
    proposal: Proposal, check: dict[str, Any], pins: dict[str, str], shared: dict[str, str]
) -> list[str]:
    """The line of a check whose reset is another one than that of the bench, or was measured to act so."""
    if "reset" not in check and (shared or not pins):
        return []
    reset = proposal.reset
    if reset is None:
        return ["reset = false"]
    table = {"port": toml_text(reset.port), "active": toml_text(reset.active)}
    table |= {key: text.partition(" = ")[2] for key, text in pins.items()}
    comment = "  # measured: " + ", ".join(pins) if pins else ""
    return ["reset = { " + ", ".join(f"{key} = {value}" for key, value in table.items()) + " }" + comment]


def _comments(reasons: Sequence[Assumption], key: str, *, whole: bool = False) -> list[str]:
    fitting = [a for a in reasons if (a.key == key if whole else a.key.startswith(key))]
    return list(dict.fromkeys(f"# {_where(a.place)}{' '.join(a.text.split())}" for a in fitting))


def _where(place: Place | None) -> str:
    return "" if place is None else f"{place.in_short}: "


def _relative(path: Path, directory: Path) -> str:
    try:
        return os.path.relpath(path, directory)
    except ValueError:  # another drive
        return str(path)
