"""Names of two letters: ``hd`` and ``hu`` are the tens and the ones of the hours, where there are several."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from verify.bench.inference.names import name_of
from verify.bench.inference.seen import Seen

__all__ = ["spelled_out"]

_UNITS = {"h": "hours", "m": "minutes", "s": "seconds"}
_PLACES = {"d": "tens", "t": "tens", "z": "tens", "u": "ones", "e": "ones", "o": "ones", "j": "ones"}
_INITIALS = re.compile(r"(?i)^(?:o_|r_)?(?:([hms])_?([dtzueoj])|([dtzueoj])_?([hms]))(?:_o)?$")
MOST_BITS = 4


def spelled_out(ports: Sequence[Seen]) -> list[Seen]:
    """The ports, with their initials spelled out where at least two digits have a unit and a place each."""
    read = {}
    for seen in ports:
        match = _INITIALS.match(seen.port.name)
        if match and seen.port.direction == "output" and 1 < seen.width <= MOST_BITS:
            unit, place = (match[1] or match[4]).lower(), (match[2] or match[3]).lower()
            read[seen.port.name] = f"{_UNITS[unit]}_{_PLACES[place]}"
    wide = [s for s in ports if s.port.direction == "output" and s.width > 1]
    if len(read) < 2 or len(set(read.values())) < len(read) or len(read) < len(wide):
        return list(ports)
    return [
        replace(s, name=replace(name_of(read[s.port.name]), text=s.port.name)) if s.port.name in read else s
        for s in ports
    ]
