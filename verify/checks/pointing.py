"""The place in the source that a fault points at: the constant that it found there, or the driver."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from verify.bench import ResolvedCheck, reference_of
from verify.diagnose import Edit
from verify.errors import EveryedgeError, Place
from verify.models.golden import CombinationalModel, GoldenModel
from verify.timescale.constants import Constants
from verify.timescale.locating import Locator
from verify.timescale.opened import OpenedDesign
from verify.timescale.scan import Site, scan
from verify.timescale.wiring import Wiring, internal_symbols

__all__ = ["Pointer"]

WIDEST_TABLE_BITS = 8


class Pointer:
    """Looks faults of one check up in its elaborated design, which is read when it is first needed."""

    def __init__(self, check: ResolvedCheck, model: GoldenModel) -> None:
        self._check, self._model = check, model
        self._sites: dict[tuple[str, ...], list[Site]] = {}
        self._design: OpenedDesign | None = None

    def place(self, edit: Edit) -> Place | None:
        """The constant or comparison that the fault names; else where its port is driven; else None."""
        for fault in edit.faults:
            ports = self._ports(fault.signals)
            if fault.constants and (place := self._constant(fault.constants, ports)) is not None:
                return place
        if (place := self._entry(edit)) is not None:
            return place
        for fault in edit.faults:
            for name in self._ports(fault.signals) if fault.signals else ():
                port = self._check.module.port(name)
                if port is not None and port.drivers:
                    return port.drivers[0]
        return None

    def _entry(self, edit: Edit) -> Place | None:
        """The word of a table that is wrong, such as a glyph; None when several are, or it is no table."""
        model = self._model
        if not isinstance(model, CombinationalModel) or not isinstance(edit.model, CombinationalModel):
            return None
        if len(model.inputs) != 1 or model.inputs[0].width > WIDEST_TABLE_BITS:
            return None
        given = (np.arange(model.inputs[0].mask + 1),)
        right, wrong = model.table(given)[0], edit.model.table(given)[0]
        entries = {
            (signal.name, int(mine[i]), int(theirs[i]))
            for signal, theirs, mine in zip(model.outputs, right, wrong, strict=True)
            for i in np.flatnonzero(mine != theirs)
        }
        if len(entries) != 1:
            return None
        ((name, found, due),) = entries
        return self._constant([(found, due)], self._ports((name,)))

    def _ports(self, signals: Sequence[str]) -> tuple[str, ...]:
        """The ports behind some outputs of the model, of all where none is named."""
        named = [s for s in self._model.outputs if not signals or s.name in signals]
        slices = (part.port for s in named for part in reference_of(self._check, s).slices)
        return tuple(dict.fromkeys(slices))

    def _constant(self, constants: Iterable[tuple[int, int]], ports: tuple[str, ...]) -> Place | None:
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
                    return chosen[0].place
                if chosen:
                    break
        return None

    def _sites_of(self, ports: tuple[str, ...]) -> list[Site]:
        if ports not in self._sites:
            if self._design is None:
                self._design = OpenedDesign(self._check.target)
            elaborated = self._design.at({})
            wiring, locator = Wiring(elaborated.body), Locator(self._design.parsed)
            symbols = [
                symbol
                for port in elaborated.body.portList
                if port.name in ports
                for symbol in internal_symbols(port)
            ]
            constants = Constants(elaborated, wiring, locator, {})
            self._sites[ports] = scan(wiring.cone(symbols), constants, wiring, locator)
        return self._sites[ports]
