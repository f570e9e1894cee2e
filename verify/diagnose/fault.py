"""A fault, and a golden model that has it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from verify.models.golden import GoldenModel

__all__ = ["Edit", "Fault", "capital", "counted", "indefinite", "key_of", "staged"]

WORDS = frozenset({"seconds", "minutes", "hours", "ones", "tens", "hundreds", "thousands"})
"""What stages and digits are called in English."""


@dataclass(frozen=True, slots=True)
class Fault:
    """What a design does wrong.

    ``key``: short and the same every time, such as ``seconds.modulo = 61``. ``text``: what the
    design does, a sentence without its full stop. ``claim``: the edited model, as the subject of a
    sentence (``a seconds stage with modulo 61``). ``cost``: 1 for a plain fault, more for a
    far-fetched one. ``constants``: numbers that the source would hold, each with the one that
    belongs there. ``signals``: outputs of the model on which it shows; () for any. ``reads``: inputs of
    the model that the design takes in a wrong way.
    """

    key: str
    text: str
    claim: str
    cost: int = 1
    constants: tuple[tuple[int, int], ...] = ()
    signals: tuple[str, ...] = ()
    reads: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Edit:
    """A model with faults; ``latencies``: the only ones that make sense, None: as of the golden model.

    ``skew``: output -> clocks that it comes later than the others. ``reset``: what the design makes
    of its reset: ``kept`` for what it should, ``inverted``, ``ignored``, ``other_kind``, or only in
    the ``second_half`` of the clock.
    ``unknown``: output -> bits that are never known, x or z. ``unpinned``: the latency is the
    fault, so a pinned one does not count. ``whole``: what it does depends on all that happened since
    power-up. ``solved``: read off what was seen, wire by wire or word by word.
    """

    faults: tuple[Fault, ...]
    model: GoldenModel
    latencies: tuple[int, ...] | None = None
    skew: Mapping[str, int] = field(default_factory=dict)
    unknown: Mapping[str, int] = field(default_factory=dict)
    reset: str = "kept"
    unpinned: bool = False
    whole: bool = False
    solved: bool = False

    @property
    def cost(self) -> int:
        """The sum of the costs."""
        return sum(fault.cost for fault in self.faults)

    @property
    def key(self) -> str:
        """All keys, in the order of the alphabet."""
        return key_of(self.faults)


def key_of(faults: tuple[Fault, ...]) -> str:
    """The keys of several faults."""
    return " + ".join(sorted(fault.key for fault in faults))


def capital(text: str) -> str:
    """With a capital letter; a port name keeps its own."""
    return text[:1].upper() + text[1:] if text.startswith(("a ", "an ", "the ")) else text


def counted(number: int, noun: str) -> str:
    """``1 clock``, ``2 clocks``."""
    return f"{number:,} {noun}{'' if number == 1 else 's'}"


def indefinite(noun: str) -> str:
    """``a minute``, ``an hour``; only the sound of the first letter is looked at."""
    return f"{'an' if noun[:1].lower() in 'aeio' or noun.lower().startswith('hour') else 'a'} {noun}"


def staged(name: str) -> str:
    """``a seconds stage``; a port that is not called by a word comes after: ``a stage mm``, ``a stage 1``."""
    if name.startswith("stage "):  # one without a port of its own
        return f"a {name}"
    return f"{indefinite(name)} stage" if name in WORDS else f"a stage {name}"
