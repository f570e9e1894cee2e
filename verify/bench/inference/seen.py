"""Ports as inference sees them, whole or in the parts that are read, under the names that say most."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from verify.bench.inference.names import Name, name_of
from verify.design.interface import Module, Pin, Port

__all__ = ["Seen", "meant_as_control", "parts_of", "resolved_pins"]

_CONTROLS = (
    "enable",
    "clear",
    "load",
    "pause",
    "up",
    "down",
    "start",
    "reset",
    "blank",
    "lamp_test",
    "point",
)

_BOARD = re.compile(
    r"(?i)^(i_)?(key|sw|btn|button|pb|push|switch|gpio|io|taster|bouton|boton|ja|jb)s?_?(n|in|i)?$"
)

_PROMISING = ("enable", "clear", "load", "pause", "reset", "blank", "lamp_test")


@dataclass(frozen=True, slots=True)
class Seen:
    """A port, or a part of one (``KEY[0]``), with its name; ``comment``: what stands on its line."""

    port: Port
    name: Name
    comment: str = ""

    @property
    def width(self) -> int:
        """Bits."""
        return self.port.width


def parts_of(
    seen: Seen, outputs: Iterable[Seen], reached_by: Mapping[str, frozenset[str]], pins: Sequence[Pin]
) -> tuple[Seen, ...]:
    """The input, or those parts of it, that the outputs may depend on."""
    name = seen.port.name
    bases = [s.port.name.partition("[")[0] for s in outputs]
    known = [reached_by[base] for base in bases if base in reached_by]
    if not known:
        return (seen,)
    mine = {part for parts in known for part in parts if part.partition("[")[0] == name}
    if not mine:
        return (seen,) if meant_as_control(seen, reached_by) else ()
    if name in mine or seen.width == 1 or _overlap(mine) or _one_word(seen, mine, pins):
        return (_renamed(seen, pins),)
    return tuple(_renamed(_part(seen, part), pins) for part in sorted(mine, key=_numbers))


def meant_as_control(seen: Seen, reached_by: Mapping[str, frozenset[str]]) -> bool:
    """Whether an input that reaches no output at all is called something that it should then do."""
    name = seen.port.name
    used = any(part.partition("[")[0] == name for parts in reached_by.values() for part in parts)
    return not used and seen.width == 1 and seen.name.means(*_PROMISING)


def _numbers(part: str) -> list[int]:
    return [int(number) for number in re.findall(r"\d+", part.partition("[")[2])]


def _one_word(seen: Seen, parts: Iterable[str], pins: Sequence[Pin]) -> bool:
    """Whether the parts are all of a number that is only taken apart, and not pins of a board."""
    bits = sum(max(_numbers(part)) - min(_numbers(part)) + 1 for part in parts)
    if bits < seen.width or _BOARD.match(seen.port.name):
        return False
    return not any(pin.signal in parts and name_of(pin.name).means(*_CONTROLS) for pin in pins)


def _overlap(parts: Iterable[str]) -> bool:
    taken: set[int] = set()
    for part in parts:
        bounds = _numbers(part)
        bits = set(range(min(bounds), max(bounds) + 1))
        if bits & taken:
            return True
        taken |= bits
    return False


def _part(seen: Seen, part: str) -> Seen:
    bounds = _numbers(part)
    width = abs(bounds[0] - bounds[-1]) + 1
    left, right = (0, 0) if width == 1 else (bounds[0], bounds[-1])
    return Seen(
        replace(seen.port, name=part, width=width, left=left, right=right), name_of(part), seen.comment
    )


def _renamed(seen: Seen, pins: Sequence[Pin]) -> Seen:
    """Under the name that it has inside, where its own says nothing: ``KEY[1]`` may be a ``start``."""
    if seen.width > 1 or seen.name.means(*_CONTROLS):
        return seen
    for pin in pins:
        name = name_of(pin.name)
        if pin.signal == seen.port.name and name.means(*_CONTROLS):
            return replace(seen, name=replace(name, low=name.low != pin.inverted))
    return seen


def resolved_pins(module: Module) -> Iterator[Pin]:
    """The pins of a module, traced through wires that only give a name."""
    inputs = {port.name for port in module.ports if port.direction == "input"}
    wires = {pin.name: pin for pin in module.pins if not pin.module}
    for pin in module.pins:
        traced, steps = pin, 0
        while traced.signal.partition("[")[0] not in inputs and steps < len(wires):
            behind = wires.get(traced.signal)
            if behind is None:
                break
            inverted = traced.inverted != behind.inverted
            traced, steps = replace(traced, signal=behind.signal, inverted=inverted), steps + 1
        if traced.signal.partition("[")[0] in inputs:
            yield traced
