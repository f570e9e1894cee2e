"""Read a module at the native and at a scaled clock parameter, and list what does not scale."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from functools import cached_property

from pyslang import ast

from verify.errors import DesignError
from verify.simulation.interface import Target
from verify.timescale.constants import Constants
from verify.timescale.finding import Finding
from verify.timescale.fixed import fixed_findings
from verify.timescale.judging import Scale, judge
from verify.timescale.locating import Locator
from verify.timescale.opened import Elaborated, OpenedDesign
from verify.timescale.scan import Site, scan
from verify.timescale.structure import branches, widths
from verify.timescale.wiring import Unit, Wiring, internal_symbols

__all__ = ["Survey"]


class _Picture:
    """One elaboration with everything that the watched outputs depend on."""

    def __init__(
        self,
        design: OpenedDesign,
        values: Mapping[str, int],
        natives: Mapping[str, int],
        watched: set[str] | None,
    ) -> None:
        self.elaborated: Elaborated = design.at(values)
        body = self.elaborated.body
        self.wiring = Wiring(body)
        self.locator = Locator(design.parsed)
        self.constants = Constants(self.elaborated, self.wiring, self.locator, natives)
        self.cone: list[Unit] = self.wiring.cone(_outputs(body, watched))
        self.sites: list[Site] = scan(self.cone, self.constants, self.wiring, self.locator)


class Survey:
    """The static evidence for one module.

    ``natives``: clock parameter of the module -> its value on the board. ``watched``: the outputs
    that are compared, None for all; what they do not depend on is left out. ``periods``: what the
    golden model counts on the board, in clocks.
    """

    def __init__(
        self,
        target: Target,
        natives: Mapping[str, int],
        watched: Iterable[str] | None = None,
        periods: Iterable[int] = (),
    ) -> None:
        """Raises DesignError when the module does not elaborate at its native values."""
        self._periods = tuple(periods)
        self._design = OpenedDesign(target)
        self._natives = dict(natives)
        self._watched = None if watched is None else set(watched)
        self._native = self._picture(1)

    @property
    def natives(self) -> Mapping[str, int]:
        """Clock parameter -> its value on the board."""
        return self._natives

    def _picture(self, factor: int | Fraction) -> _Picture:
        values = {name: int(value // factor) for name, value in self._natives.items()}
        return _Picture(self._design, values, self._natives, self._watched)

    @cached_property
    def _following(self) -> list[Site]:
        """The sites that depend on the clock parameter."""
        return [site for site in self._native.sites if site.term.tainted]

    @cached_property
    def counts(self) -> tuple[Fraction, ...]:
        """What is counted on the board, as far as it scales with the clock: clocks, ascending.

        A fraction is rounded by the design. Quotients on the way to a constant belong to it, and
        what the golden model counts.
        """
        counts = {Fraction(period) for period in self._periods}
        for site in self._following:
            forms = [site.term.form, *(s.form for s in site.term.steps if s.kind == "divide")]
            for form in forms:
                if form is not None and form.power == 1 and site.bits != 1:
                    counts.add(form.scaling(1))
        return tuple(sorted(count for count in counts if count > 0))

    @property
    def followers(self) -> int:
        """Number of places that use a constant that depends on the clock parameter."""
        return len(self._following)

    @cached_property
    def is_used(self) -> bool:
        """Whether anything that the watched outputs depend on follows the clock parameter."""
        if self._following or not self._natives:
            return bool(self._following)
        factor = Fraction(min(self._natives.values()), 2)
        return not any(finding.kind == "unused" for finding in self.findings(factor))

    def findings(self, factor: int | Fraction, free_clocks: Iterable[int] = ()) -> tuple[Finding, ...]:
        """All findings for a run sped up by ``factor`` (1: the board alone), worst first.

        ``free_clocks``: counts in the run that may have any length on the board.
        """
        found = dict.fromkeys(self._findings(factor, frozenset(free_clocks)))
        order = sorted(found, key=lambda f: (not f.definite, not f.unsound))
        return tuple(order)

    def _findings(self, factor: int | Fraction, free_clocks: frozenset[int]) -> Iterator[Finding]:
        if not self._natives:
            return
        native = self._native
        name, value = next(iter(self._natives.items()))
        scale = Scale(name, value, factor, free_clocks)
        yield from fixed_findings(
            native.sites, native.constants, native.wiring, native.locator, self._natives
        )
        scaled, problem = self._scaled(factor, scale)
        if problem is not None:
            yield problem
        elif scaled is not None:
            yield from self._structure(scaled, scale)
        there = {site.key: site for site in scaled.sites} if scaled is not None else {}
        for site in self._following:
            yield from judge(site, there.get(site.key), scale)

    def _scaled(self, factor: int | Fraction, scale: Scale) -> tuple[_Picture | None, Finding | None]:
        if factor == 1:
            return None, None
        try:
            return self._picture(factor), None
        except DesignError as error:
            text = f"{scale.here} the design cannot be elaborated: {error.message}"
            return None, Finding("not_elaborated", text, error.place)

    def _structure(self, scaled: _Picture, scale: Scale) -> Iterator[Finding]:
        native = self._native
        paths = {unit.path for unit in (*native.cone, *scaled.cone)}
        here, there = branches(native.elaborated.body), branches(scaled.elaborated.body)
        for key, block in here.items():
            path = block.hierarchicalPath
            used = any(p == path or p.startswith(path + ".") for p in paths)
            if used and key in there and block.isUninstantiated != there[key].isUninstantiated:
                has, lacks = "on the board", scale.here
                if block.isUninstantiated:
                    has, lacks = lacks, has
                yield Finding(
                    "branch",
                    f"the generate block {block.name or path} is there {has}, but not {lacks}",
                    native.locator.place_of(block),
                )
        if not self._following and widths(native.cone) == widths(scaled.cone):
            yield from self._unused()

    def _unused(self) -> Iterator[Finding]:
        for symbol in self._native.constants.clock_parameters:
            yield Finding(
                "unused",
                f"nothing that the checked outputs depend on follows {symbol.name}",
                self._native.locator.place_of(symbol),
            )


def _outputs(body: ast.InstanceBodySymbol, watched: set[str] | None) -> list[ast.Symbol]:
    return [
        symbol
        for port in body.portList
        if isinstance(port, (ast.PortSymbol, ast.MultiPortSymbol))
        and port.direction != ast.ArgumentDirection.In
        and (watched is None or port.name in watched)
        for symbol in internal_symbols(port)
    ]
