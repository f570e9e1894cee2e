"""Constants that do not follow the clock parameter although they look as if they should."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from pyslang import ast

from verify.design.ports import integer_of
from verify.errors import Place
from verify.timescale.constants import Constants
from verify.timescale.finding import Finding
from verify.timescale.locating import Locator
from verify.timescale.scan import Site
from verify.timescale.wiring import Wiring

__all__ = ["SMALLEST_TOLD_HZ", "fixed_findings"]

_PARTS = {
    1: "the native",
    2: "half the native",
    10: "a tenth of the native",
    100: "a hundredth of the native",
    1000: "a thousandth of the native",
    1_000_000: "a millionth of the native",
}

CERTAIN_PART = 2
"""A smaller part of the frequency may as well be a number of its own (the dwell of a scan)."""

SMALLEST_TOLD_COUNT = 1000

SMALLEST_TOLD_HZ = 20_000
"""Below this a literal equals the frequency, or half of it, too easily by chance."""


def fixed_findings(
    sites: Sequence[Site],
    constants: Constants,
    wiring: Wiring,
    locator: Locator,
    natives: Mapping[str, int],
) -> Iterator[Finding]:
    """Findings among the ``sites`` that do not depend on the clock parameter."""
    clocks = set(constants.clock_parameters)
    for site in sites:
        if site.term.tainted or site.bits == 1:
            continue
        held = [p for p in site.term.origins if isinstance(p, ast.ParameterSymbol) and p not in clocks]
        stranger = next((p for p in held if p.name in natives and not p.isLocalParam), None)
        known = _known(site, natives)
        inside = stranger or next((p for p in held if not p.isLocalParam and _depth(p) > 1), None)
        if stranger is not None or (known is not None and known[2] and inside is not None):
            yield _not_passed(inside or held[0], site, wiring, locator, natives)
        elif known is not None:
            name, meaning, certain = known
            place = _place(site, held, locator)
            yield Finding(
                "fixed",
                f"{site.text} is {int(site.term.value):,}, {meaning}, whatever {name} is",
                place,
                unsound=certain,
                native_clocks=int(site.term.value),
            )


def _known(site: Site, natives: Mapping[str, int]) -> tuple[str, str, bool] | None:
    """The clock parameter, what of it the value is, and whether that can hardly be chance."""
    if site.comparison is None and site.room is None:
        return None
    value = int(site.term.value)
    for name, native in natives.items():
        for part, told in _PARTS.items():
            whole = Fraction(native) / part
            if native >= SMALLEST_TOLD_HZ and value >= SMALLEST_TOLD_COUNT and value in (whole, whole - 1):
                less = "" if value == whole else ", less 1"
                return name, f"{told} {name}{less}", part <= CERTAIN_PART
    return None


def _not_passed(
    parameter: ast.ParameterSymbol, site: Site, wiring: Wiring, locator: Locator, natives: Mapping[str, int]
) -> Finding:
    """A parameter of an instance that the clock parameter of the module does not reach."""
    path = parameter.hierarchicalPath.rpartition(".")[0]
    instance, shown = wiring.instances.get(path), path.partition(".")[2] or path
    kept = not parameter.isOverridden
    name = parameter.name if parameter.name in natives else next(iter(natives))
    native = natives[name]
    number = integer_of(parameter.value) or 0
    how = f"{'keeps its default' if kept else 'gets'} {parameter.name} = {number:,}"
    wrong = kept and parameter.name in natives and number != native
    end = f", and the board has {native:,}" if wrong else ""
    return Finding(
        "not_passed",
        f"{name} is not passed on to {shown}, which {how}{end}",
        site.place if instance is None else locator.place_of(instance),
        definite=wrong,
        native_clocks=number,
    )


def _place(site: Site, held: Sequence[ast.Symbol], locator: Locator) -> Place | None:
    """Where the number stands: the innermost parameter that it came through."""
    return locator.place_of(held[0]) if held else site.place


def _depth(parameter: ast.Symbol) -> int:
    """1 for a parameter of the top."""
    return parameter.hierarchicalPath.count(".")
