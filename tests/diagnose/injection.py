"""Designs whose fault is chosen from outside, so that one simulation serves them all."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np

from verify.bench import load_bench, resolve
from verify.checks.differing import explaining
from verify.checks.runner import CheckRun
from verify.checks.session import FLUSH_CYCLES, Session
from verify.checks.settings import Settings, SilentListener
from verify.compare import Reading
from verify.diagnose import Deadline, Diagnosis, Observation, diagnose
from verify.diagnose.matching import aligned
from verify.results import CheckResult, Verdict
from verify.signals import ObservedTrace, Reset, Run, Stimulus
from verify.stimulus.machines import tumble
from verify.stimulus.vocabulary import Hand

RTL = Path(__file__).parent / "rtl"
PATIENCE_SECONDS = 60.0
"""What is found must not depend on how busy the machine is; how long it takes is for the benchmark."""


@dataclass
class Finding:
    """What a check of a faulty design came to.

    ``seen``: all that the diagnosis was shown, answers to its questions included. ``seconds``: that it
    took, of processor time and of waiting for the simulator's answers.
    """

    result: CheckResult
    diagnosis: Diagnosis
    reading: Reading
    seen: list[Observation]
    seconds: float

    @property
    def keys(self) -> list[str]:
        """Of everything found that nothing tells from the plainest."""
        if not self.diagnosis.found:
            return []
        cost = self.diagnosis.found[0].edit.cost
        return [s.edit.key for s in self.diagnosis.found if s.edit.cost == cost]


@dataclass
class Bed:
    """One template, one bench, one simulation. ``bench`` is TOML after the sources."""

    top: str
    bench: str
    folder: Path
    deadline: Callable[[], Deadline] = lambda: Deadline(PATIENCE_SECONDS)
    simulation: Any = None
    check: Any = field(init=False)

    def __post_init__(self) -> None:
        path = self.folder / "bench.toml"
        source = RTL / f"{self.top}.v"
        path.write_text(
            f'[design]\nsources = ["{source}"]\ntop = "{self.top}"\n\n{self.bench}', encoding="utf-8"
        )
        bench = load_bench(path)
        self.check = resolve(bench, bench.checks[0])

    def run(self, *faults: int, afresh: bool = False, examples: int = 40) -> Finding | CheckResult:
        """The finding; the result alone when the check does not fail."""
        chosen = dict(zip(("fault_a", "fault_b"), (*faults, 0, 0), strict=False))
        check = replace(self.check, tied={**self.check.tied, **chosen})
        run = CheckRun(check, Settings(examples=examples), SilentListener())
        run._session = Shared(check, self, afresh=afresh)
        caught: list[tuple[Diagnosis, Reading, list[Observation], float]] = []

        def listening(check: Any, reading: Any, history: Any, ask: Any, **more: Any) -> Any:
            if not afresh:  # nothing here begins at power-up
                history = [replace(o, flushed_cycles=None, turn=None) for o in history]
                more["paused"] = None
            seen, begun, answering = list(history), time.process_time(), [0.0]

            def asking(stimulus: Stimulus, **how: Any) -> ObservedTrace:
                asked, worked = time.monotonic(), time.process_time()
                observed = ask(stimulus, **how)
                answering[0] += time.monotonic() - asked - (time.process_time() - worked)
                if more["paused"] is None:
                    seen.append(Observation.of(reading, stimulus, observed))
                return observed

            more["deadline"] = self.deadline()
            found = diagnose(check, reading, history, asking, **more)
            caught.append((found, reading, seen, time.process_time() - begun + answering[0]))
            return found

        with patch.object(explaining, "diagnose", listening):
            result = run.run().result
        if result.verdict is not Verdict.FAIL:
            return result
        assert caught, result.notes
        return Finding(result, *caught[0])

    def foretells(self, finding: Finding, *faults: int) -> bool:
        """Whether the explanation predicts stimuli that it has never seen."""
        best = finding.diagnosis.found[0]
        hand = Hand(finding.reading.model, self.check.resets)
        chosen = dict(zip(("fault_a", "fault_b"), (*faults, 0, 0), strict=False))
        check = replace(self.check, tied={**self.check.tied, **chosen})
        session = Shared(check, self, afresh=False)
        stimulus = unseen(hand)
        observed = session.observe(finding.reading.model, stimulus)
        observation = Observation.of(finding.reading, stimulus, observed)
        return bool(aligned(best.edit, observation, best.alignments, Deadline(PATIENCE_SECONDS)).alignments)

    def close(self) -> None:
        if self.simulation is not None:
            self.simulation.close()


def unseen(hand: Hand) -> Stimulus:
    """A stimulus of a seed that no check uses; a sweep in random order for what has no state."""
    rng = np.random.default_rng(990_017)
    stimulus = tumble(hand, rng).stimulus
    if len(stimulus):
        return stimulus
    runs = [
        Run(1, tuple(int(rng.integers(0, s.mask + 1)) for s in hand.signals), Reset.RELEASED)
        for _ in range(400)
    ]
    return Stimulus.of(hand.signals, runs)


class Shared(Session):
    """A session that goes on with the simulation of its bed; a reset has to do for a power-up."""

    def __init__(self, check: Any, bed: Bed, *, afresh: bool) -> None:
        super().__init__(check, "icarus")
        self.bed, self.afresh = bed, afresh
        self._simulation = bed.simulation
        self.settled = False

    def _powered(self, model: Any) -> Any:
        running = self._simulation is not None
        simulation = super()._powered(model)
        if running and not self.settled and self.check.reset is not None:
            flush = Run(FLUSH_CYCLES, Hand(model, self.check.resets).resting, Reset.HELD)
            self._play(simulation, Stimulus.of(model.inputs, [flush]))
        self.settled = True
        self.bed.simulation = simulation
        return simulation

    def hurry(self, seconds: float) -> None:
        """The tests wait."""

    def power_down(self) -> None:
        self.settled = False
        if self.afresh:
            super().power_down()
            self.bed.simulation = None

    def __exit__(self, *_: object) -> None:
        """The bed closes the simulation."""


def known(keys: list[str], expected: str) -> bool:
    """Whether one of the keys is the expected one, a regular expression."""
    return any(re.fullmatch(expected, key) for key in keys)
