"""Generated stimuli asked about in batches are those that are asked about one by one."""

from __future__ import annotations

import pytest

from verify.models.catalogue import FAMILIES
from verify.signals import Reset, Stimulus, joined
from verify.stimulus import Budget, held_in_batches, search

MODEL = FAMILIES["counter"].candidates({"count": (4,), "enable": (1,)}, {"modulo": 10}, True)[0].model
GIVEN = {"resets": (Reset.HELD, Reset.PULSED), "seed": 3, "budget": Budget(examples=150)}


def plain(stimulus: Stimulus) -> list[tuple[object, ...]]:
    return [(run.cycles, run.values, run.reset) for run in stimulus.runs()]


def drawn() -> list[Stimulus]:
    found: list[Stimulus] = []
    search(MODEL, **GIVEN, holds=lambda stimulus: found.append(stimulus) or True)
    return found


def test_batches_hold_every_stimulus_in_its_order() -> None:
    asked: list[Stimulus] = []
    assert held_in_batches(MODEL, **GIVEN, holds=lambda s: asked.append(s) or True) is None
    assert plain(joined(asked)) == plain(joined(drawn()))
    assert len(asked) < 10


@pytest.mark.parametrize("bad", [0, 70, 140])
def test_what_comes_before_the_bad_batch_holds_and_the_bad_one_does_not(bad: int) -> None:
    wanted = plain(drawn()[bad])

    def holds(stimulus: Stimulus) -> bool:
        runs = plain(stimulus)
        return all(runs[i : i + len(wanted)] != wanted for i in range(len(runs)))

    first = next(i for i, stimulus in enumerate(drawn()) if not holds(stimulus))
    held = held_in_batches(MODEL, **GIVEN, holds=holds)
    assert held is not None
    assert held <= first < held + 64


def test_stimuli_over_other_signals_are_not_joined() -> None:
    with pytest.raises(ValueError, match="different signals"):
        joined([drawn()[0], Stimulus.of((), [])])
