"""The options in ``expect``, evaluated."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from verify.bench.numbers import NumberError, evaluate
from verify.bench.places import KeyPath
from verify.bench.references import Wires
from verify.bench.spelling import listed, nearest, shown
from verify.models.family import Family, OptionSpec

__all__ = ["options_of"]

_KINDS = {
    "number": "an integer, or an expression over RTL parameters in quotes",
    "numbers": "a list of integers or expressions",
    "flag": "true or false",
    "names": "a list of names in quotes",
    "table": "a table",
}


def options_of(
    wires: Wires, family: Family, expect: Mapping[str, Any], path: KeyPath, key: str
) -> dict[str, Any]:
    """The options under the names of ``family.options``; ``rate`` also where there is a ``ratio``.

    Raises :class:`verify.errors.BenchError` for an unknown option or a value of the wrong kind.
    """
    specs = {spec.name: spec for spec in family.options}
    if "ratio" in specs:
        specs.setdefault("rate", OptionSpec("rate", "number", "periods a second"))
    result = {}
    for name, value in expect.items():
        spec = specs.get(name)
        if spec is None:
            message = f'{family.name} has no option "{name}"; its options are {listed(specs)}'
            raise wires.error((*path, name), f"{key}.{name}", message, nearest(name, specs))
        result[name] = _value(wires, spec, value, (*path, name), f"{key}.{name}")
    return result


def _value(wires: Wires, spec: OptionSpec, value: Any, path: KeyPath, key: str) -> Any:
    match spec.kind:
        case "number" if isinstance(value, (int, float, str)) and not isinstance(value, bool):
            return _number(wires, value, path, key)
        case "numbers" if isinstance(value, list):
            return [_number(wires, item, (*path, index), key) for index, item in enumerate(value)]
        case "choice":
            if value in spec.choices:
                return value
            choices = " or ".join(f'"{choice}"' for choice in spec.choices)
            advice = nearest(value, spec.choices) if isinstance(value, str) else None
            raise wires.error(path, key, f"found {shown(value)}, expected {choices}", advice)
        case "flag" if isinstance(value, bool):
            return value
        case "names" if isinstance(value, list) and all(isinstance(item, str) for item in value):
            return value
        case "table" if isinstance(value, dict):
            return {
                name: _table_value(wires, item, (*path, name), f"{key}.{name}")
                for name, item in value.items()
            }
    raise wires.error(path, key, f"found {shown(value)}, expected {_KINDS[spec.kind]}")


def _number(wires: Wires, value: Any, path: KeyPath, key: str) -> int:
    try:
        return evaluate(value, wires.numbers)
    except NumberError as error:
        raise wires.error(path, key, error.message, error.advice) from None


def _table_value(wires: Wires, value: Any, path: KeyPath, key: str) -> Any:
    """Text that calculates with digits or parameters is an expression; other text is left alone."""
    if isinstance(value, str) and (value in wires.numbers or any(c.isdigit() or c in "+*/(" for c in value)):
        return _number(wires, value, path, key)
    return value
