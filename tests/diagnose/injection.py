"""Designs whose fault is chosen from outside, so that one simulation serves them all."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import verify.checks.explaining as explaining
from verify.bench import load_bench, resolve
from verify.checks.runner import CheckRun
from verify.checks.session import FLUSH_CYCLES, Session
from verify.checks.settings import Settings, SilentListener
from verify.diagnose import Diagnosis, Observation, diagnose
from verify.diagnose.observation import aligned
from verify.results import CheckResult
from verify.signals import Reset, Run, Stimulus
from verify.stimulus.vocabulary import Hand

RTL = Path(__file__).parent / "rtl"


@dataclass
class Finding:
    result: CheckResult
    diagnosis: Diagnosis | None = None
    reading: Any = None

    @property
    def key(self) -> str:
        return self.diagnosis.found[0].edit.key if self.diagnosis and self.diagnosis.found else ""

    @property
    def alike(self) -> list[str]:
        return [s.edit.key for s in self.diagnosis.found] if self.diagnosis else []


@dataclass
class Bed:
    """One template, one bench, one simulation. ``bench`` is TOML after the sources."""

    name: str
    bench: str
    folder: Path
    simulation: Any = None
    check: Any = field(init=False)

    def __post_init__(self) -> None:
        path = self.folder / f"{self.name}.toml"
        source = RTL / f"{self.name}.v"
        path.write_text(f'[design]\nsources = ["{source}"]\ntop = "{self.name}"\n\n{self.bench}', encoding="utf-8")
        bench = load_bench(path)
        self.check = resolve(bench, bench.checks[0])

    def run(self, fault_a: int, fault_b: int = 0, *, afresh: bool = False, settings: Settings | None = None) -> Finding:
        tied = {**self.check.tied, "fault_a": fault_a, "fault_b": fault_b}
        check = replace(self.check, tied=tied)
        run = CheckRun(check, settings or Settings(examples=60), SilentListener())
        session = Shared(check, self, afresh=afresh)
        run._session = session
        finding = Finding(None)  # type: ignore[arg-type]

        def told(check: Any, reading: Any, history: Any, ask: Any = None, *, bases: Any = ()) -> Any:
            if not afresh:  # nothing here begins at power-up
                history = [replace(o, flushed_cycles=None, turn=None) for o in history]
            finding.diagnosis = diagnose(check, reading, history, ask, bases=bases)
            finding.reading = reading
            return ()

        before = explaining.explain_failure
        explaining.explain_failure = told
        try:
            finding.result = run.run().result
        finally:
            explaining.explain_failure = before
        return finding

    def close(self) -> None:
        if self.simulation is not None:
            self.simulation.close()


class Shared(Session):
    """A session that goes on with the simulation of its bed; a reset has to do for a power-up."""

    def __init__(self, check: Any, bed: Bed, *, afresh: bool) -> None:
        super().__init__(check, "icarus")
        self.bed, self.afresh = bed, afresh
        self._simulation = bed.simulation
        self.settled = False

    def observe(self, model: Any, stimulus: Stimulus) -> Any:
        if self._simulation is not None and not self.settled and self.check.reset is not None:
            flush = Run(FLUSH_CYCLES, Hand(model, reset=True).resting, Reset.HELD)
            self._play(Stimulus.of(model.inputs, [flush]))
        self.settled = True
        observed = super().observe(model, stimulus)
        self.bed.simulation = self._simulation
        return observed

    def power_down(self) -> None:
        self.settled = False
        if self.afresh:
            super().power_down()
            self.bed.simulation = None

    def __exit__(self, *_: object) -> None:
        """The bed closes the simulation."""


def holds_out(bed: Bed, finding: Finding, fault_a: int, fault_b: int = 0, *, cycles: int = 3000) -> bool:
    """Whether the explanation predicts a stimulus that it has never seen."""
    from verify.stimulus.machines import tumble  # noqa: PLC0415

    import numpy as np  # noqa: PLC0415

    best = finding.diagnosis.found[0]
    model = finding.reading.model
    hand = Hand(model, bed.check.reset is not None)
    stimulus = tumble(hand, np.random.default_rng(99)).stimulus
    if len(stimulus) == 0:
        return True
    check = replace(bed.check, tied={**bed.check.tied, "fault_a": fault_a, "fault_b": fault_b})
    session = Shared(check, bed, afresh=False)
    observed = session.observe(model, stimulus)
    observation = Observation.of(finding.reading, stimulus, observed)
    return bool(aligned(best.edit, observation, best.alignments, finding.reading.settle_cycles).alignments)
