"""A reset that passes through registers is felt as those registers pass it on."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from verify.compare import DIRECT, ResetPath
from verify.signals import Reset, Run, Signal, Stimulus

DATA = (Signal("d", 8),)

runs = st.lists(
    st.builds(
        Run,
        st.integers(1, 5),
        st.tuples(st.integers(0, 255)),
        st.sampled_from(Reset),
    ),
    min_size=1,
    max_size=12,
)


def _cycles(stimulus: Stimulus) -> list[tuple[int, Reset]]:
    """Value and reset of every cycle; a pulse is in the first cycle of its run."""
    return [
        (run.values[0], run.reset if run.reset is Reset.HELD or n == 0 else Reset.RELEASED)
        for run in stimulus.runs()
        for n in range(run.cycles)
    ]


@given(runs)
def test_without_registers_between_nothing_is_changed(given_runs: list[Run]) -> None:
    stimulus = Stimulus.of(DATA, given_runs)
    assert DIRECT.felt(stimulus) is stimulus


@given(runs, st.integers(1, 3))
def test_a_chain_of_registers_holds_the_reset_as_long_and_later(given_runs: list[Run], depth: int) -> None:
    stimulus = Stimulus.of(DATA, given_runs)
    chain = [False] * depth
    felt = _cycles(ResetPath(delay_cycles=depth).felt(stimulus))
    for (value, reset), (felt_value, felt_reset) in zip(_cycles(stimulus), felt, strict=True):
        assert felt_value == value
        assert (felt_reset is Reset.HELD) == chain[-1]
        chain = [reset is Reset.HELD, *chain[:-1]]  # a pulse between edges is not seen


@given(runs, st.integers(1, 3))
def test_a_synchroniser_lets_go_of_the_design_one_register_after_the_other(
    given_runs: list[Run], depth: int
) -> None:
    stimulus = Stimulus.of(DATA, given_runs)
    chain = [False] * depth  # True: cleared
    felt = _cycles(ResetPath(release_cycles=depth).felt(stimulus))
    for (value, reset), (felt_value, felt_reset) in zip(_cycles(stimulus), felt, strict=True):
        if reset is not Reset.RELEASED:
            chain = [True] * depth
        assert felt_value == value
        assert (felt_reset is Reset.HELD) == chain[-1]
        chain = [True] * depth if reset is Reset.HELD else [False, *chain[:-1]]
