"""The place in the source that a fault points at: the constant that it found there, or the driver."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from pyslang import SVInt, ast

from verify.bench import ResolvedCheck, reference_of
from verify.checks.differing.reading_places import read_at
from verify.diagnose import Edit
from verify.errors import EveryedgeError, Place
from verify.models.golden import CombinationalModel, GoldenModel
from verify.timescale.constants import Constants
from verify.timescale.locating import Locator
from verify.timescale.opened import Elaborated, OpenedDesign
from verify.timescale.scan import Site, scan
from verify.timescale.wiring import Wiring, internal_symbols

__all__ = ["Pointer"]

WIDEST_TABLE_BITS = 8


class Pointer:
    """Looks faults of one check up in its elaborated design, which is read when it is first needed."""

    def __init__(self, check: ResolvedCheck, model: GoldenModel) -> None:
        self._check, self._model = check, model
        self._sites: dict[tuple[str, ...], list[Site]] = {}

    def place(self, edit: Edit) -> Place | None:
        """The constant or comparison that the fault names, or the place at which it reads an input
        wrongly; else where its port is driven; else None.
        """
        for fault in edit.faults:
            ports = self._ports(fault.signals)
            if fault.constants and (place := self._constant(fault.constants, ports)) is not None:
                return place
        if (place := self._entry(edit)) is not None:
            return place
        for fault in edit.faults:
            if fault.reads and (place := self._read(fault.reads)) is not None:
                return place
        for fault in edit.faults:
            for name in self._ports(fault.signals) if fault.signals else ():
                port = self._check.module.port(name)
                if port is not None and port.drivers:
                    return _moving(name, port.drivers)
        return None

    def _read(self, signals: Sequence[str]) -> Place | None:
        named = [s for s in self._model.inputs if s.name in signals]
        ports = {part.port for s in named for part in reference_of(self._check, s).slices}
        try:
            opened = self._opened
        except EveryedgeError:
            return None
        symbols = [symbol for port in opened.ports if port.name in ports for symbol in internal_symbols(port)]
        return read_at(symbols, opened.wiring, opened.locator)

    def _entry(self, edit: Edit) -> Place | None:
        """The word of a table that is wrong, such as a glyph; None when several are, or it is no table."""
        model = self._model
        if not isinstance(model, CombinationalModel) or not isinstance(edit.model, CombinationalModel):
            return None
        widths = [signal.width for signal in model.inputs]
        if sum(widths) > WIDEST_TABLE_BITS:
            return None
        words, given = np.arange(1 << sum(widths)), []
        for width in widths:
            given.append(words & (1 << width) - 1)
            words = words >> width
        right, wrong = model.table(tuple(given))[0], edit.model.table(tuple(given))[0]
        entries = {
            (signal.name, int(mine[i]), int(theirs[i]))
            for signal, theirs, mine in zip(model.outputs, right, wrong, strict=True)
            for i in np.flatnonzero(mine != theirs)
        }
        if len(entries) != 1:
            return None
        ((name, found, _),) = entries
        try:
            sites = self._sites_of(self._ports((name,)))
        except EveryedgeError:
            return None
        given_at = {s.place for s in sites if s.term.value == found and s.comparison is None and s.bits > 1}
        return given_at.pop() if len(given_at) == 1 else None

    def _ports(self, signals: Sequence[str]) -> tuple[str, ...]:
        """The ports behind some outputs of the model, of all where none is named."""
        named = [s for s in self._model.outputs if not signals or s.name in signals]
        slices = (part.port for s in named for part in reference_of(self._check, s).slices)
        return tuple(dict.fromkeys(slices))

    def _constant(self, constants: Sequence[tuple[int, int]], ports: tuple[str, ...]) -> Place | None:
        """The only place at which the ports depend on such a number; the likeliest number first."""
        try:
            sites = self._sites_of(ports)
        except EveryedgeError:  # the design compiled before; it may be being edited now
            return None
        for found, _ in constants:
            here = [s for s in sites if s.term.value == found and s.place is not None and not s.is_condition]
            compared = [s for s in here if s.comparison is not None]
            own = [s for s in compared if s.comparison is not None and s.comparison.name in ports]
            for chosen in (own, compared, here):
                if len({s.place for s in chosen}) == 1:
                    return self._given(chosen[0], constants) or chosen[0].place
                if chosen:
                    break
        for _, due in constants:  # the right number, compared in a wrong way
            near = {s.place for s in sites if s.term.value == due and _ordered(s) and _names(s) & set(ports)}
            if len(near) == 1:
                return near.pop()
        return None

    def _given(self, site: Site, constants: Sequence[tuple[int, int]]) -> Place | None:
        """Where a parameter in it is given the wrong number; None when that is right, or has no place."""
        wrong = {found for found, _ in constants} - {due for _, due in constants}
        for symbol in site.term.origins:
            value = getattr(getattr(symbol, "value", None), "value", None)
            number = int(value) if isinstance(value, SVInt) and not value.hasUnknown else None
            if number in wrong:
                given = getattr(symbol, "initializer", None)
                place = None if given is None else self._opened.locator.place(given)
                if place is not None:
                    return place
        return None

    def _sites_of(self, ports: tuple[str, ...]) -> list[Site]:
        if ports not in self._sites:
            opened = self._opened
            symbols = [s for port in opened.ports if port.name in ports for s in internal_symbols(port)]
            constants = Constants(opened.elaborated, opened.wiring, opened.locator, {})
            cone = opened.wiring.cone(symbols)
            self._sites[ports] = scan(cone, constants, opened.wiring, opened.locator)
        return self._sites[ports]

    @cached_property
    def _opened(self) -> _Opened:
        design = OpenedDesign(self._check.target)
        elaborated = design.at({})
        return _Opened(elaborated, Wiring(elaborated.body), Locator(design.parsed))


@dataclass(frozen=True, slots=True, eq=False)
class _Opened:
    """The elaborated design, and what looks things up in it."""

    elaborated: Elaborated
    wiring: Wiring
    locator: Locator

    @property
    def ports(self) -> Sequence[ast.Symbol]:
        """Of the module that is checked."""
        found: Sequence[ast.Symbol] = self.elaborated.body.portList
        return found


def _ordered(site: Site) -> bool:
    return site.comparison is not None and site.comparison.operator not in {"==", "!="}


def _names(site: Site) -> set[str]:
    return set() if site.comparison is None else {site.comparison.name}


def _moving(name: str, drivers: Sequence[Place]) -> Place:
    """The driver that makes the next value from the present one, else the first."""
    again = re.compile(rf"\b{re.escape(name)}\b.*=.*\b{re.escape(name)}\b")
    return next((place for place in drivers if again.search(place.source or "")), drivers[0])
