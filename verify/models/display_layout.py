"""Which decimal digit of which stage each digit of a display shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from verify.models.family import OptionError

__all__ = ["Layout", "arrange", "fits"]

USUAL_SIZE = 2
USUAL_MODULI = (60, 60, 100)


@dataclass(frozen=True, slots=True)
class Layout:
    """``moduli`` of the stages, fastest first; ``sizes``: how many digits each one has."""

    moduli: tuple[int, ...]
    sizes: tuple[int, ...]
    places: tuple[tuple[int, int], ...] = field(init=False, compare=False, repr=False, default=())
    """Per digit, least significant first, its stage and its place in that stage (0: ones)."""

    def __post_init__(self) -> None:
        places = tuple((stage, place) for stage, size in enumerate(self.sizes) for place in range(size))
        object.__setattr__(self, "places", places)


def arrange(digits: int, moduli: Sequence[int] | None, size: int | None) -> Layout:
    """The layout of ``digits`` digits; ``moduli`` None: seconds, minutes, hours as far as they go.

    ``size``: digits per stage; None: two, or where that does not come out even as many as each
    stage needs. The last stage may have fewer. Raises :class:`OptionError` when nothing fits.
    """
    if moduli is None:
        stages = -(-digits // (size or USUAL_SIZE))
        if stages > len(USUAL_MODULI):
            raise OptionError("modulo", f"nothing for {digits} digits", "states of each stage, fastest first")
        moduli = USUAL_MODULI[:stages]
    wanted = (size or USUAL_SIZE,) * len(moduli)
    natural = tuple(len(str(modulo - 1)) for modulo in moduli)
    for sizes in (wanted,) if size is not None else (wanted, natural):
        cut = (*sizes[:-1], digits - sum(sizes[:-1]))
        layout = Layout(tuple(moduli), cut)
        if 0 < cut[-1] <= sizes[-1] and _holds(layout):
            return layout
    listed = ", ".join(str(modulo) for modulo in moduli)
    need = f"stages of {listed} states, which need {' + '.join(str(n) for n in natural)} digits"
    raise OptionError("modulo", need, f"stages for {digits} digits")


def fits(digits: int, moduli: Sequence[int] | None, size: int | None) -> bool:
    """Whether there is such a layout."""
    try:
        arrange(digits, moduli, size)
    except OptionError:
        return False
    return True


def _holds(layout: Layout) -> bool:
    """Every stage's largest value has a digit for each of its decimal places."""
    pairs = zip(layout.moduli, layout.sizes, strict=True)
    return all(modulo - 1 < 10**size for modulo, size in pairs)
