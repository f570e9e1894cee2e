"""A bench in the words of one submission."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from verify.errors import BenchError
from verify.grading.names import ModuleNames, Names, PortName

__all__ = ["adapted"]

_REFERENCE = re.compile(r"\s*(?P<name>\\\S+|[A-Za-z_][\w$]*)\s*(?P<part>\[.*\])?\s*")
_IDENTIFIER = re.compile(r"(?<![\w$'])[A-Za-z_][\w$]*")

Tables = Mapping[str, Any]


def adapted(tables: Tables, check: int, names: Names) -> dict[str, Any]:
    """The tables of a bench file as its check number ``check`` has to find them in the submission.

    Only what this check goes by is renamed: the clock, the reset, and the check itself. Raises
    :class:`verify.errors.BenchError` for a name that cannot stand where the bench has the other.
    """
    entry = tables["check"][check]
    module = entry.get("module", tables.get("design", {}).get("top"))
    own = names.of(module)
    result: dict[str, Any] = {key: value for key, value in tables.items() if key != "check"}
    if isinstance(result.get("clock"), Mapping):
        result["clock"] = _clock(result["clock"], own)
    if isinstance(result.get("reset"), Mapping):
        result["reset"] = _one_port(result["reset"], own)
    checks = list(tables["check"])
    checks[check] = _check(entry, module, own)
    return {**result, "check": checks}


def _check(entry: Tables, module: str | None, own: ModuleNames) -> dict[str, Any]:
    check = dict(entry)
    if own.name is not None:
        check["module"] = own.name
    elif module is not None:
        check["module"] = module
    check["ports"] = {role: _reference(found, own) for role, found in entry["ports"].items()}
    if isinstance(entry.get("clock"), str):
        check["clock"] = _plain(entry["clock"], own)
    if isinstance(entry.get("reset"), str):
        check["reset"] = _one_port({"port": entry["reset"]}, own)
    elif isinstance(entry.get("reset"), Mapping):
        check["reset"] = _one_port(entry["reset"], own)
    if "parameters" in entry:
        check["parameters"] = {
            own.parameters.get(name, name): _number(value, own) for name, value in entry["parameters"].items()
        }
    if "expect" in entry:
        check["expect"] = _number(entry["expect"], own)
    return check


def _clock(table: Tables, own: ModuleNames) -> dict[str, Any]:
    clock = {**table, "port": _plain(table["port"], own)}
    carried = table.get("parameter")
    if isinstance(carried, str):
        clock["parameter"] = own.parameters.get(carried, carried)
    elif isinstance(carried, Sequence):
        clock["parameter"] = [own.parameters.get(name, name) for name in carried]
    return clock


def _one_port(table: Tables, own: ModuleNames) -> dict[str, Any]:
    """A table such as [reset], whose port may have another level, too."""
    found = _reference(table["port"], own)
    if isinstance(found, str):
        return {**table, "port": found}
    if not isinstance(found["port"], str):
        raise _impossible(table["port"], "one port")
    return {**table, **found}


def _plain(reference: str, own: ModuleNames) -> str:
    found = _reference(reference, own)
    if not isinstance(found, str):
        raise _impossible(reference, "the name of one port")
    return found


def _reference(found: Any, own: ModuleNames) -> Any:
    """A reference of the bench, of any of its kinds, with the submission's names."""
    if isinstance(found, str):
        return _renamed(found, own)
    if isinstance(found, Mapping):
        inner = _reference(found["port"], own)
        if isinstance(inner, Mapping):
            return {**found, **inner}
        return {**found, "port": _flat(inner)}
    if isinstance(found, Sequence):
        return [_reference(part, own) for part in found]
    return found


def _flat(inner: Any) -> Any:
    """Ports that each have become several are several; their levels have to agree with the bench's."""
    if not isinstance(inner, list):
        return inner
    flat: list[Any] = []
    for part in inner:
        ports = part["port"] if isinstance(part, Mapping) else part
        flat += ports if isinstance(ports, list) else [ports]
    return flat


def _renamed(reference: str, own: ModuleNames) -> Any:
    match = _REFERENCE.fullmatch(reference)
    if match is None or match["name"] not in own.ports:
        return reference
    new, part = own.ports[match["name"]], match["part"] or ""
    active = new.active if isinstance(new, PortName) else None
    port = new.port if isinstance(new, PortName) else new
    if part and (not isinstance(port, str) or "[" in port):
        raise _impossible(reference, f"the name of a whole port, of which {part} can be taken")
    written = port + part if isinstance(port, str) else list(port)
    if active is not None:
        return {"port": written, "active": active}
    return written if isinstance(written, str) else {"port": written}


def _number(value: Any, own: ModuleNames) -> Any:
    """Expressions over parameters, wherever they stand in a value; words that are none stay."""
    if not own.parameters:
        return value
    if isinstance(value, str):
        return _IDENTIFIER.sub(lambda match: own.parameters.get(match[0], match[0]), value)
    if isinstance(value, Mapping):
        return {key: _number(inner, own) for key, inner in value.items()}
    if isinstance(value, Sequence):
        return [_number(inner, own) for inner in value]
    return value


def _impossible(reference: str, expected: str) -> BenchError:
    return BenchError(
        f'the names of this design: where the bench has "{reference}", expected {expected}',
        advice="correct names.toml",
    )
