"""Where in its period a divider was met, against a walk through the model clock by clock."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.compare.phases import CLEARED, COUNTING, PAUSED, RESET, PhaseNoter
from verify.models import divider
from verify.models.playing import ResetKind, expect
from verify.signals import Reset, Run, Stimulus

SHAPES = [
    {"tick": (1,), "enable": (1,), "clear": (1,)},
    {"square": (1,), "enable": (1,), "clear": (1,)},
    {"tick": (1,), "enable": (1,)},
]
RUNS = st.lists(
    st.tuples(
        st.integers(1, 40), st.integers(0, 1), st.integers(0, 5).map(lambda n: int(n == 0)), st.booleans()
    ),
    max_size=12,
)


def walked(model, stimuli):
    """The same by hand."""
    met = {name: set() for name in (COUNTING, PAUSED, CLEARED, RESET)}
    state, within = model.initial(), False
    for stimulus in stimuli:
        for i in range(len(stimulus)):
            inputs = tuple(int(values[i]) for values in stimulus.values)
            given_ = dict(zip((s.name for s in model.inputs), inputs, strict=True))
            for _ in range(int(stimulus.cycles[i])):
                phase = (state[0] - model.lead) % model.ratio
                held = stimulus.reset[i] == Reset.HELD
                cleared = not held and given_.get("clear", 0) == 1
                if held or cleared:
                    if not within:
                        met[RESET if held else CLEARED].add(phase)
                elif given_.get("enable", 1):
                    met[COUNTING].add(phase)
                else:
                    met[PAUSED].add(phase)
                within = held or cleared
                state = model.initial() if held else model.next(state, inputs)
        within = False
    return met


@pytest.mark.parametrize("shape", SHAPES)
@given(stimuli=st.lists(RUNS, min_size=1, max_size=3), ratio=st.integers(2, 30), which=st.integers(0, 50))
def test_it_is_met_where_a_walk_through_the_model_meets_it(shape, stimuli, ratio, which):
    candidates = divider.FAMILY.candidates(shape, {"ratio": ratio}, True)
    model = candidates[which % len(candidates)].model
    noter = PhaseNoter(model)
    played = []
    for rows in stimuli:
        runs = [Run(1, tuple(model.resting[s.name] for s in model.inputs), Reset.HELD)]
        for cycles, enable, clear, held in rows:
            values = {"enable": enable, "clear": clear}
            runs.append(
                Run(
                    cycles,
                    tuple(values[s.name] for s in model.inputs),
                    Reset.HELD if held else Reset.RELEASED,
                )
            )
        stimulus = Stimulus.of(model.inputs, runs)
        noter.add(stimulus, expect(model, stimulus, ResetKind.SYNCHRONOUS)[0])
        played.append(stimulus)
    met = walked(model, played)
    found = {name: set(flags.nonzero()[0].tolist()) for name, flags in noter.flags.items()}
    if shape.get("clear") is None:
        met[CLEARED] = set()
    assert found == met


def test_a_pulse_of_reset_leaves_the_phase_unknown_until_it_is_held():
    model = divider.FAMILY.candidates({"tick": (1,)}, {"ratio": 10}, True)[0].model
    noter = PhaseNoter(model)
    pulsed = [Run(1, (), Reset.HELD), Run(3, ()), Run(4, (), Reset.PULSED), Run(50, ())]
    stimulus = Stimulus.of((), pulsed)
    noter.add(stimulus, expect(model, stimulus, ResetKind.ASYNCHRONOUS)[0])
    assert noter.flags[COUNTING].sum() == 3
    again = Stimulus.of((), [Run(1, (), Reset.HELD), Run(8, ())])
    noter.add(again, expect(model, again, ResetKind.ASYNCHRONOUS)[0])
    (found,) = noter.maps()
    assert found.down.labels == (COUNTING, RESET)
    assert noter.flags[COUNTING].sum() == 8


def test_a_long_period_shares_its_cells_and_one_beyond_all_measure_has_no_picture():
    for ratio, cells in ((12_000, 100), (1 << 21, None)):
        model = divider.FAMILY.candidates({"tick": (1,), "enable": (1,)}, {"ratio": ratio}, True)[0].model
        noter = PhaseNoter(model)
        stimulus = Stimulus.of(model.inputs, [Run(1, (1,), Reset.HELD), Run(130, (1,)), Run(5, (0,))])
        noter.add(stimulus, expect(model, stimulus, ResetKind.ASYNCHRONOUS)[0])
        maps = noter.maps()
        assert [found.across.cells for found in maps] == ([] if cells is None else [cells])
        if cells is not None:
            lead = (model.power_up[0] - model.lead) % ratio
            assert sum(maps[0].reached[:cells]) == 130
            assert sum(maps[0].reached[cells : 2 * cells]) == 1
            assert maps[0].count(1, (lead + 130) % ratio // 120) == 1
