"""What a module is taken for, and what its ports are to it, in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from verify.bench.inference.findings import Proposal
from verify.wording import enumerated

__all__ = ["kind_text", "port_texts"]

_KINDS = {
    "divider": "a clock divider",
    "counter": "a counter",
    "bcd": "a converter from binary to decimal digits",
    "segments": "a seven-segment decoder",
    "timer": "a timer",
    "display": "a timer with a seven-segment display",
}

_ROLES: Mapping[str, str] = {
    "bcd": "the decimal digits, packed",
    "binary": "the number to convert",
    "carry": "the carry",
    "clear": "the clear",
    "count": "the count",
    "digit": "the digit",
    "digits": "the digits, ones first",
    "done": "the end",
    "enable": "the enable",
    "load": "the load",
    "load_value": "what is loaded",
    "load_values": "what is loaded",
    "pm": "the half of the day",
    "point": "the decimal point",
    "segment_ports": "the segments, a first",
    "select": "the lines that select a digit",
    "square": "the square wave",
    "stages": "the stages, fastest first",
    "start": "the button that starts it",
    "start_stop": "the button that starts and stops it in turn",
    "stop": "the button that stops it",
    "up": "the direction, up while high",
    "values": "what is shown, ones first",
}

_MANY = frozenset({"digits", "load_values", "segment_ports", "segments", "select", "stages", "values"})


def kind_text(proposal: Proposal) -> str:
    """Such as "a counter"."""
    scanned = "select" in proposal.ports
    if proposal.model == "display" and "values" in proposal.ports:
        return f"a {'scanned ' if scanned else ''}display of what comes in"
    if proposal.model == "display" and scanned:
        return "a timer with a scanned display"
    if proposal.expect.get("twelve_hours"):
        return "a clock of twelve hours"
    return _KINDS.get(proposal.model, f"a {proposal.model}")


def port_texts(ports: Mapping[str, Any]) -> list[str]:
    """A clause for every port: "en is the enable"."""
    return [_clause(role, reference) for role, reference in ports.items()]


def _clause(role: str, reference: Any) -> str:
    names, low = reference, ""
    if isinstance(reference, dict):
        names, low = reference["port"], ", active low" if reference.get("active") == "low" else ""
    many = isinstance(names, list) and len(names) > 1
    who = enumerated([str(name) for name in names]) if isinstance(names, list) else str(names)
    verb = "are" if many or role in _MANY else "is"
    return f"{who} {verb} {_ROLES.get(role, 'the ' + role.replace('_', ' '))}{low}"
