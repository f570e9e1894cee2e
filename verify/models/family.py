"""What the rest of the house knows about a kind of golden model.

A family turns the widths of the bound ports and the options of a bench into candidate models: one
when everything is pinned, several when a fact was left open and has to be measured.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, Protocol

from verify.models.golden import GoldenModel
from verify.signals import ObservedTrace, Stimulus

__all__ = ["USUAL_LATENCIES_CYCLES", "Candidate", "Family", "OptionError", "OptionSpec", "RoleSpec", "Shape"]

USUAL_LATENCIES_CYCLES = range(9)
"""Latencies at which a design is tried first when its bench pins none."""

Shape = Mapping[str, tuple[int, ...]]
"""Bound role -> width in bits of each port bound to it (one entry unless the role takes a list)."""


@dataclass(frozen=True, slots=True)
class RoleSpec:
    """A meaning that a port can have for a model.

    ``many``: the role takes a list of ports, least significant (fastest) first.
    ``control``: one bit, may be declared active low in the bench.
    """

    name: str
    direction: Literal["input", "output"]
    about: str
    many: bool = False
    control: bool = False


@dataclass(frozen=True, slots=True)
class OptionSpec:
    """An option of a golden model, as the bench's ``expect`` table gives it.

    ``kind``: how the bench reads it: ``number`` (an integer or an expression over RTL parameters),
    ``numbers`` (a list of those), ``choice`` (one of ``choices``), ``flag``, ``names`` (a list of
    strings) or ``table``. ``default`` None: left out means measured, derived, or not wanted.
    """

    name: str
    kind: Literal["number", "numbers", "choice", "flag", "names", "table"]
    about: str
    choices: tuple[str, ...] = ()
    default: Any = None


class OptionError(ValueError):
    """An option or a set of bound roles that no model can have.

    ``key`` is the option or role at fault, ``found`` and ``expected`` say what is wrong with it.
    """

    def __init__(self, key: str, found: str, expected: str) -> None:
        super().__init__(f"{key}: found {found}, expected {expected}")
        self.key = key
        self.found = found
        self.expected = expected


@dataclass(frozen=True, slots=True)
class Candidate:
    """One model that the bench allows.

    ``measured``: the open facts as this candidate has them (option name -> TOML value), empty when
    everything was pinned. ``latencies``: the only alignments that make sense, in cycles; None: any.
    ``shift``: clocks by which ``measured['first']`` moves with the latency; facts that compensate
    each other (a later first tick or a longer latency) are compared by ``shift + latency``.
    """

    model: GoldenModel
    measured: Mapping[str, Any] = field(default_factory=dict)
    latencies: tuple[int, ...] | None = None
    shift: int = 0


class Family(Protocol):
    """A kind of golden model: ``divider``, ``counter``, ``bcd``, ``segments``, ``timer``, ``display``."""

    name: str
    about: str
    roles: tuple[RoleSpec, ...]
    options: tuple[OptionSpec, ...]
    stateful: bool

    def candidates(
        self,
        shape: Shape,
        options: Mapping[str, Any],
        reset: bool,
        observed: tuple[Stimulus, ObservedTrace] | None = None,
    ) -> tuple[Candidate, ...]:
        """The models that fit, most usual first.

        ``options`` holds evaluated values (integers, lists, strings) under the names of
        ``self.options``. ``reset``: whether the design has one; without it the phase is free.
        ``observed``: a first stimulus and what the design did, by role, for facts that are read off
        rather than tried (the dwell of a scan, the clocks of a conversion); None before that.
        Raises :class:`OptionError` for roles, widths or options that contradict each other.
        """
        ...
