"""What a diagnosis found, in words."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from verify.diagnose.engine import Diagnosis
from verify.diagnose.fault import Edit, capital, counted
from verify.diagnose.matching import Standing
from verify.errors import Place
from verify.results import Explanation, Table

__all__ = ["Beside", "Told", "tell"]


@dataclass(frozen=True, slots=True)
class Beside:
    """What is shown beside the words: ``place`` in the source, and the ``table`` of a computation."""

    place: Callable[[Edit], Place | None]
    table: Callable[[Edit], Table | None]


ARTICLES = ("a ", "an ", "the ")

MOST_ALIKE = 3
"""So many faults that nothing tells apart are named."""


@dataclass(frozen=True, slots=True)
class Told:
    """``notes``: what has to be said when no explanation is whole."""

    explanations: tuple[Explanation, ...]
    notes: tuple[str, ...] = ()


def tell(result: Diagnosis, *, everything: bool, beside: Beside) -> Told:
    """The plainest faults that fit; ``everything``: nothing of what was seen had been forgotten."""
    if result.found:
        return Told(tuple(_found(result.found, beside, everything=everything)))
    if result.open:
        return Told((_open(result.open[0], beside),))
    tried = f"{counted(result.tried, 'edited model')} played"
    ended = ", when the time was up" if result.ended else ""
    note = f"no fault that is known here reproduces all that was seen ({tried}{ended})"
    return Told(tuple(_partial(s, beside) for s in result.partial[:1]), (note,))


def _found(found: Sequence[Standing], beside: Beside, *, everything: bool) -> list[Explanation]:
    """The plainest, and those as plain that could not be told from it."""
    best = found[0]
    alike = {_faults_text(s.edit): s for s in reversed(found) if s.edit.cost == best.edit.cost}
    told = [best, *(s for s in reversed(alike.values()) if _faults_text(s.edit) != _faults_text(best.edit))]
    explanations = []
    for number, standing in enumerate(told[:MOST_ALIKE]):
        cycles = counted(standing.compared_cycles, "clock")
        extent = f"{cycles} from power-up on" if standing.edit.whole else cycles
        which = "all" if everything else "the"
        text = f"{_faults_text(standing.edit)}. {_does_so(standing.edit)} reproduces {which} {extent}."
        if number == 0 and len(told) > 1:
            text += " What follows does so too: nothing that was played tells them apart."
        explanations.append(_explanation(standing, text, beside, whole=everything))
    return explanations


def _open(standing: Standing, beside: Beside) -> Explanation:
    text = (
        f"{_faults_text(standing.edit)}. {_does_so(standing.edit)} reproduces the "
        f"{counted(standing.compared_cycles, 'clock')} that there was time to replay, the rest was not."
    )
    return _explanation(standing, text, beside, whole=False)


def _partial(standing: Standing, beside: Beside) -> Explanation:
    text = (
        f"{_faults_text(standing.edit)}. {_does_so(standing.edit)} reproduces every stimulus that "
        "fails, but not everything that was seen: something else is wrong as well."
    )
    return _explanation(standing, text, beside, whole=False)


def _explanation(standing: Standing, text: str, beside: Beside, *, whole: bool) -> Explanation:
    edit = standing.edit
    return Explanation(edit.key, text, whole, beside.place(edit), beside.table(edit))


def _faults_text(edit: Edit) -> str:
    return "; and ".join(fault.text for fault in edit.faults)


def _does_so(edit: Edit) -> str:
    """The edited model, as the subject of a sentence."""
    claim = edit.faults[0].claim
    if len(edit.faults) > 1:
        return "A model that does all of this" if len(edit.faults) > 2 else "A model that does both"
    called = re.match(
        rf"{re.escape(claim.partition(' ')[0])}\W", edit.faults[0].key
    )  # a port may be called a
    return capital(claim) if claim.startswith(ARTICLES) and not called else "A model that does so"
