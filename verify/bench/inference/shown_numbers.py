"""How far the digits of a display count, by a comment, a name or the code."""

from __future__ import annotations

import re
from typing import Any

from verify.bench.inference.comments import RANGE, comments_of
from verify.bench.inference.findings import Assumption
from verify.bench.inference.quantities import number_in_name
from verify.bench.inference.view import View

__all__ = ["said_number", "shown_number"]

Shown = tuple[list[Any], Assumption]
"""The states of the stages, fastest first, and why."""

_LAST_TIMES = {
    (59, 59): [60, 60],
    (99, 59): [60, 100],
    (59, 99): [100, 60],
    (23, 59, 59): [60, 60, 24],
    (99, 59, 59): [60, 60, 100],
    (59, 59, 99): [100, 60, 60],
}
_TIME = re.compile(r"(?<![\d:.])((?:\d\d[:.])?\d\d[:.]\d\d)(?![\d:.])")


def said_number(view: View, count: int) -> Shown | None:
    """What a comment says of ``count`` digits: ``0000 to 9999``, or the last time, such as ``59:59``."""
    place = view.module.place
    for comment in comments_of(view):
        for match in _TIME.finditer(comment):
            moduli = _LAST_TIMES.get(tuple(int(part) for part in re.split("[:.]", match[1])))
            if moduli and 2 * len(moduli) == count:
                return moduli, Assumption("expect.modulo", f'a comment says "{match[1]}"', place)
        for match in RANGE.finditer(comment):
            if match[1] == "9" * count:
                return [10**count], Assumption("expect.modulo", f'a comment says "{match[0]}"', place)
    return None


def shown_number(view: View, count: int) -> Shown | None:
    """What the name of the module says, else a number in the code that is all nines."""
    place = view.module.place
    number = number_in_name(view.name, place, 4 * count, most=10**count)
    if number is not None and number.number == 10**count:
        return [10**count], Assumption("expect.modulo", number.text, place)
    last = next((c for c in view.module.comparisons if c.value == 10**count - 1 and count > 1), None)
    if last is None:
        return None
    text = f"no name says it, but {last.signal} is compared with {last.value}, all nines"
    return [10**count], Assumption("expect.modulo", text, last.place)
