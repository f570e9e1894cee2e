"""What may stand under each key of a bench file, in words, for errors."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel

from verify.bench.places import KeyPath
from verify.bench.schema import BenchFile, Check, ClockTable, DesignTable, PortTable, ResetTable

__all__ = ["expected_at", "key_text", "known_keys"]

_WHOLE_FROM_0 = "a whole number of clocks, 0 or more"
_REFERENCE = (
    'a port reference: "name", "name[3]", "name[7:4]", a list of these (least significant first), '
    'or { port = "name", active = "low" }'
)
_ROLES = 'a table of roles, such as { binary = "bin", bcd = "bcd" }'

_EXPECTED: Mapping[tuple[str, ...], str] = {
    ("design",): "a table: [design]",
    ("design", "sources"): 'a list of files, such as ["rtl/*.v"]',
    ("design", "include"): 'a list of folders, such as ["rtl/include"]',
    ("design", "defines"): "a table of macros, such as { WIDTH = 8, FAST = true }",
    ("design", "top"): 'the name of a module, such as "exposure_timer"',
    ("design", "allow"): 'a list of constructs that are refused otherwise, such as ["finish"]',
    ("clock",): "a table: [clock]",
    ("clock", "port"): 'the name of a port, such as "clk"',
    ("clock", "edge"): '"rising" or "falling"',
    ("clock", "frequency"): "a whole number of Hz, such as 12_000_000",
    ("clock", "parameter"): 'the name of an RTL parameter, such as "CLK_HZ"',
    ("clock", "speedup"): '"auto" or a whole number from 1',
    ("reset",): "a table: [reset]",
    ("reset", "port"): 'the name of a port, such as "rst_n"',
    ("reset", "active"): '"high" or "low"',
    ("reset", "kind"): '"asynchronous", "synchronous" or "mixed"',
    ("check",): "at least one [[check]]",
    ("check", "name"): "a name in quotes",
    ("check", "model"): 'the name of a golden model, such as "bcd"',
    ("check", "module"): "the name of a module",
    ("check", "ports"): _ROLES,
    ("check", "latency"): _WHOLE_FROM_0,
    ("check", "settle"): _WHOLE_FROM_0,
    ("check", "skew"): "a table of outputs and clocks, such as { carry = 1 }",
    ("check", "parameters"): "a table of RTL parameters, such as { WIDTH = 8 }",
    ("check", "expect"): "a table of options, such as { digits = 3 }",
    ("check", "facts"): "a table of measured facts, as a report prints them",
    ("check", "tie"): "a table of inputs that no role names and the values they are held at",
    ("check", "weight"): "a number above 0, the marks for a pass",
    ("check", "clock"): "the name of a port, or false for a module without a clock",
    (
        "check",
        "reset",
    ): 'the name of a port, { port = "rst", active = "low" }, or false for a module without a reset',
}
_EXPECTED_INSIDE: Mapping[tuple[str, ...], str] = {
    ("design", "sources"): 'a file or a pattern, such as "rtl/*.v"',
    ("design", "include"): 'a folder, such as "rtl/include"',
    ("design", "defines"): "an integer, text, true or false",
    ("design", "allow"): 'the word that a refusal names, such as "finish"',
    ("check", "ports"): _REFERENCE,
    ("check", "skew"): "a whole number of clocks",
    ("check", "tie"): "a whole number, 0 or more",
    ("check", "parameters"): "an integer, a Verilog literal in quotes, or an expression in quotes",
    ("check", "reset"): 'a table such as { port = "rst", active = "low" }',
}
_TABLES: Mapping[tuple[str, ...], type[BaseModel]] = {
    (): BenchFile,
    ("design",): DesignTable,
    ("clock",): ClockTable,
    ("reset",): ResetTable,
    ("check",): Check,
    ("check", "reset"): ResetTable,
}


def _words(path: KeyPath) -> tuple[str, ...]:
    return tuple(part for part in path if isinstance(part, str))


def expected_at(path: KeyPath) -> str:
    """What is expected under the key, in words."""
    words = _words(path)
    if words[-1:] == ("active",):
        return _EXPECTED["reset", "active"]
    if words == ("check", "reset", "kind"):
        return _EXPECTED["reset", "kind"]
    if words in _EXPECTED and not isinstance(path[-1], int):
        return _EXPECTED[words]
    for length in range(len(words), 0, -1):
        if words[:length] in _EXPECTED_INSIDE:
            return _EXPECTED_INSIDE[words[:length]]
    return _EXPECTED.get(words[:1], "another value")


def known_keys(path: KeyPath) -> list[str]:
    """The keys of the table at ``path``."""
    words = _words(path)
    if words[:2] == ("check", "ports"):
        return list(PortTable.model_fields)
    return list(_TABLES[words].model_fields)


def key_text(path: KeyPath, raw: Mapping[str, Any]) -> str:
    """The key for people: ``check "bin_to_bcd: bcd", ports.binary``."""
    if len(path) > 1 and path[0] == "check" and isinstance(path[1], int):
        check = raw["check"][path[1]]
        named = check.get("name") if isinstance(check, Mapping) else None
        head = f'check "{named}"' if isinstance(named, str) else f"check {path[1] + 1}"
        rest = _dotted(path[2:])
        return f"{head}, {rest}" if rest else head
    return _dotted(path) or "the file"


def _dotted(path: KeyPath) -> str:
    text = ""
    for part in path:
        text += f"[{part}]" if isinstance(part, int) else f".{part}" if text else part
    return text
