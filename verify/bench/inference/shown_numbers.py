"""What the digits of a display count, where the names inside are no units of time."""

from __future__ import annotations

import re
from typing import Any

from verify.bench.inference.comments import RANGE, comments_of
from verify.bench.inference.findings import Assumption
from verify.bench.inference.quantities import number_in_name
from verify.bench.inference.view import View

__all__ = ["shown_number"]

_CLOCK_TIMES = {
    "59:59": [60, 60],
    "99:59": [60, 100],
    "23:59:59": [60, 60, 24],
    "99:59:59": [60, 60, 100],
}
_CLOCK_TIME = re.compile(r"(?<![\d:.])((?:\d\d[:.])?\d\d[:.]\d\d)(?![\d:.])")


def shown_number(view: View, count: int) -> tuple[list[Any], Assumption] | None:
    """The states of the stages on ``count`` digits and why: a comment, a name or the code says so."""
    place = view.module.place
    for comment in comments_of(view):
        for match in _CLOCK_TIME.finditer(comment):
            moduli = _CLOCK_TIMES.get(match[1].replace(".", ":"))
            if moduli and 2 * len(moduli) == count:
                return moduli, Assumption("expect.modulo", f'a comment says "{match[1]}"', place)
        for match in RANGE.finditer(comment):
            if match[1] == "9" * count:
                return [10**count], Assumption("expect.modulo", f'a comment says "{match[0]}"', place)
    number = number_in_name(view.name, place, 4 * count, most=10**count)
    if number is not None and number.number == 10**count:
        return [10**count], Assumption("expect.modulo", number.text, place)
    return _in_code(view, count)


def _in_code(view: View, count: int) -> tuple[list[Any], Assumption] | None:
    """A number that ends at the highest that can be shown, or digits of which each one ends at nine."""
    last = next((c for c in view.module.comparisons if c.value == 10**count - 1 and count > 1), None)
    if last is not None:
        text = f"no name says it, but {last.signal} is compared with {last.value}, all nines"
        return [10**count], Assumption("expect.modulo", text, last.place)
    return None
