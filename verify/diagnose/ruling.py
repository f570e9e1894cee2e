"""The worked conversion behind a wrong rule of adding three."""

from __future__ import annotations

from verify.diagnose.bent.converter import BentConverter
from verify.diagnose.bent.wrapping import Wrapper
from verify.diagnose.fault import Edit
from verify.diagnose.observation import Observation
from verify.diagnose.shift_rule import RIGHT
from verify.diagnose.worked.comparison import compared_conversion
from verify.models.bcd_sequential import SequentialConverter
from verify.models.digits import decimal_digits
from verify.models.golden import GoldenModel
from verify.results import Table

__all__ = ["rule_table"]

WIDEST_BITS = 64
"""Of a number whose conversion can still be read."""


def rule_table(edit: Edit, observation: Observation) -> Table | None:
    """The number that first came out wrong, converted by both rules; None without a wrong rule."""
    converter = _converter(edit.model)
    if converter is None or converter.rule == RIGHT or converter.width > WIDEST_BITS:
        return None
    if converter.missing_shifts or converter.room is not None:
        return None
    index = next((i for i, s in enumerate(edit.model.inputs) if s.name == "binary"), None)
    first = observation.first_difference
    if index is None or first is None:
        return None
    before = observation.stimulus.starts <= first
    numbers = observation.stimulus.values[index][before].tolist()[::-1]
    for number in dict.fromkeys(int(n) for n in numbers):
        if _differs(converter, number):
            return compared_conversion(number, converter.width, converter.ports.count, converter.rule)
    return None


def _converter(model: GoldenModel) -> BentConverter | None:
    while isinstance(model, Wrapper):
        model = model.inner
    if isinstance(model, SequentialConverter):
        inside = model.converter
        return inside if isinstance(inside, BentConverter) else None
    return model if isinstance(model, BentConverter) else None


def _differs(converter: BentConverter, number: int) -> bool:
    right = converter.ports.words(decimal_digits(number, converter.ports.count))
    return tuple(right) != converter.out((), (number,))
