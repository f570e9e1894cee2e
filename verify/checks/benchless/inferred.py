"""Checks of proposals: conventions that names leave open are measured, and doubts become questions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice, product
from pathlib import Path
from typing import Any

import numpy as np

from verify.bench import Bench, resolve
from verify.bench.inference.findings import Choice, Proposal, Unknown
from verify.bench.inference.infer import with_choices
from verify.bench.inference.tables import tables_of
from verify.bench.load import bench_of
from verify.checks.bench_run import run_check
from verify.checks.benchless.display_probe import probe_display
from verify.checks.benchless.glyph_probe import probe_glyphs
from verify.checks.differing.confirm import Confirmed
from verify.checks.planning import plan_check
from verify.checks.refusal import allowing, refuse_unsafe
from verify.checks.scaled.laboratory import QuickRun
from verify.checks.settings import Listener, Settings, SilentListener
from verify.errors import BenchError, DesignError, EveryedgeError
from verify.models.golden import Drivable
from verify.results import CheckResult, Fact, Inferred, Verdict
from verify.wording import toml_text

__all__ = ["Checked", "QuestionError", "check_proposal", "unknown_result"]

_MOST_COMBINATIONS = 48
_QUICK_CYCLES = 300_000
_MOST_UNDECIDED = 2
"""Readings that come to no verdict, each after a long run, before no more are tried."""


Reached = tuple[int, int]
"""Clocks played until a stimulus differed, and the cycle of that stimulus."""

_OF_CONTROLS = frozenset({"pause", "clear"})
"""Options that make no difference before a control is used."""

_NEVER_BEGAN, _BEYOND = (-1, 0), 1 << 62


HELD = "above nine the digit before stays: there is no default, so the segments are held in latches"


class QuestionError(BenchError):
    """The evidence is in conflict or too weak: only the user can say what is meant."""

    kind = "question"


@dataclass(frozen=True, slots=True, eq=False)
class Checked:
    """A proposal with its conventions chosen, and what it came to."""

    proposal: Proposal
    result: CheckResult


def check_proposal(
    proposal: Proposal, sources: Sequence[Path], bench: Path, settings: Settings, listener: Listener
) -> Checked:
    """Check one proposal as ``bench`` will hold it.

    The first reading of the names is the one that is held against the design. Among conventions
    (axes) the first one is taken that the design follows. Where the design differs from the first
    reading and follows a rival one exactly, that is a question, never a pass. Raises QuestionError.
    """
    run = _Run(proposal, sources, bench, settings)
    return run.checked(listener)


def unknown_result(unknown: Unknown) -> CheckResult:
    """A module that no golden model fits, which never counts as a pass."""
    module = unknown.module
    return CheckResult(
        f"{module.name}: unknown",
        "none",
        module.name,
        Verdict.UNDECIDED,
        f"no golden model fits {module.name}; the nearest is {unknown.nearest}, but {unknown.differs}",
        settled_by=("write a bench for it", "bring a golden model of your own", "leave it out"),
    )


class _Run:
    def __init__(self, proposal: Proposal, sources: Sequence[Path], bench: Path, settings: Settings) -> None:
        self._proposal, self._sources, self._bench, self._settings = proposal, sources, bench, settings
        self._notes: tuple[str, ...] = ()
        self._came: dict[tuple[str, ...], Reached] = {}
        """How far each reading came that failed."""
        self._fault: EveryedgeError | None = None
        self._failed_at_rest: set[tuple[str, ...]] = set()
        """Readings that failed while no control was used, without what they say of controls."""

    def checked(self, listener: Listener) -> Checked:
        """See :func:`check_proposal`."""
        self._refuse_unsafe()
        ways = self._ways()
        settled = self._settled(ways if len(ways) > 1 else (), listener)
        if settled is not None:
            return settled
        best = max(self._came.values(), default=(-2, 0))
        if self._fault is not None and best < (0, 0):
            raise self._fault
        chosen = next((way for way in ways if self._came.get(_texts(way)) == best), ways[0])
        done = self._whole(chosen, listener)
        for rival in self._proposal.rivals if done.result.verdict is Verdict.FAIL else ():
            likely = [way for way in ways[:4] if _as_far(self._came.get(_texts(way)), best)]
            for choices in self._to_try([(*way, rival) for way in likely]):
                if self._holds(choices, listener):
                    raise self._question(rival, done.result)
        return done

    def _settled(self, ways: Sequence[tuple[Choice, ...]], listener: Listener) -> Checked | None:
        """The first reading that passes, else the first without a verdict; None where all of them fail."""
        undecided: list[Checked] = []
        for choices in self._to_try(ways):
            reached = self._quickly(choices, listener)
            if reached is None:
                try:
                    done = self._whole(choices, listener, explain=False)
                except EveryedgeError as error:
                    self._fault = self._fault or error
                    continue
                if done.result.verdict is Verdict.PASS:
                    return done
                if done.result.verdict is Verdict.UNDECIDED:
                    undecided.append(done)
                    if len(undecided) == _MOST_UNDECIDED:
                        break
                    continue
                reached = (_BEYOND, _reached(done.result)[1])
            self._came[_texts(choices)] = reached
        return undecided[0] if undecided else None

    def _to_try(self, ways: Sequence[tuple[Choice, ...]]) -> Iterator[tuple[Choice, ...]]:
        """Without those that differ from one that has failed only in what no control was used for by then."""
        return (way for way in ways if _without_controls(way) not in self._failed_at_rest)

    def _holds(self, choices: Sequence[Choice], listener: Listener) -> bool:
        """Whether the design does not differ from a reading, in the short run and in the whole."""
        if self._quickly(choices, listener) is not None:
            return False
        try:
            result = self._whole(choices, listener, explain=False).result
        except EveryedgeError:
            return False
        return result.verdict is not Verdict.FAIL

    def _refuse_unsafe(self) -> None:
        """Nothing is run before it is known to be harmless."""
        axes = [axis[0] for axis in self._proposal.axes if axis]
        bench = self._bench_with(with_choices(self._proposal, *axes))
        refuse_unsafe(resolve(bench, bench.checks[0]))

    def _ways(self) -> list[tuple[Choice, ...]]:
        """Combinations of conventions, likeliest first: what a look at the glyphs shows comes first."""
        axes = list(self._proposal.axes)
        if self._proposal.model == "segments" and axes:
            plain = self._bench_with(with_choices(self._proposal, *(axis[0] for axis in axes if axis)))
            found = probe_glyphs(plain, axes[0])
            axes = axes if found is None else [found.narrowed(axis) for axis in axes]
        if self._proposal.model == "display" and axes and len(axes[0]) > 1:
            plain = self._bench_with(with_choices(self._proposal, *(axis[0] for axis in axes if axis)))
            look = probe_display(plain, axes[0], self._settings.simulator, seed=self._settings.seed or 1)
            axes = [look.narrowed(axis) for axis in axes]
        axes = [axis for axis in axes if axis]
        ways = sorted(
            product(*(range(len(axis)) for axis in axes)),
            key=lambda picks: (sum(p > 0 for p in picks), picks),
        )
        return [
            tuple(axis[pick] for axis, pick in zip(axes, picks, strict=True))
            for picks in islice(ways, _MOST_COMBINATIONS)
        ]

    def _bench_with(self, proposal: Proposal) -> Bench:
        tables = tables_of([proposal], [path.absolute() for path in self._sources])
        return allowing(replace(bench_of(tables, Path()), path=self._bench), self._settings.allow)

    def _quickly(self, choices: Sequence[Choice], listener: Listener) -> Reached | None:
        """None when a short run shows no difference, else how far it came.

        What the short run does not reach, the whole one will.
        """
        bench = self._bench_with(with_choices(self._proposal, *choices))
        listener.stage(self._proposal.name, "measuring conventions")
        quick = replace(self._settings, examples=5, cycles_limit=_QUICK_CYCLES, explain_seconds=0.0)
        try:
            plan = plan_check(bench, bench.checks[0])
            outcome = QuickRun(plan.scaled, quick, SilentListener()).run()
        except DesignError as error:
            if not self._turns_to_verilator(error):
                return _NEVER_BEGAN
            return self._quickly(choices, listener)
        except EveryedgeError:
            return _NEVER_BEGAN
        result = outcome.result
        if result.verdict is not Verdict.FAIL and result.failure is None:
            return None
        if outcome.confirmed is not None and _at_rest(outcome.confirmed):
            self._failed_at_rest.add(_without_controls(choices))
        return _reached(result)

    def _turns_to_verilator(self, error: DesignError) -> bool:
        """Whether it is to be tried again there, what Icarus cannot compile."""
        if self._settings.simulator != "auto" or not error.message.startswith(
            "Icarus Verilog cannot compile"
        ):
            return False
        self._settings = replace(self._settings, simulator="verilator")
        self._notes = ("Icarus Verilog cannot compile it, so it was run on Verilator",)
        return True

    def _whole(self, choices: Sequence[Choice], listener: Listener, *, explain: bool = True) -> Checked:
        settings = self._settings if explain else replace(self._settings, explain_seconds=0.0)
        chosen = with_choices(self._proposal, *choices)
        bench = self._bench_with(chosen)
        try:
            result = run_check(bench, bench.checks[0], self._bench, settings, listener)
        except DesignError as error:
            if not self._turns_to_verilator(error):
                raise
            return self._whole(choices, listener, explain=explain)
        held = (HELD,) if chosen.expect.get("above_nine") == "hold" and chosen.clock is None else ()
        result = replace(result, notes=(*result.notes, *self._notes, *held))
        result = _never_started(result, chosen)
        facts = _facts(self._proposal, choices, result.facts)
        inferred = tuple(Inferred(a.key, a.text, a.place) for a in self._proposal.assumptions if a.key)
        return Checked(chosen, replace(result, facts=facts, inferred=inferred))

    def _question(self, rival: Choice, result: CheckResult) -> QuestionError:
        proposal = self._proposal
        changed: dict[str, Any] = {**rival.expect, **rival.ports}
        said_by: dict[str, Any] = {"rate": 1, **proposal.expect, **proposal.ports}
        for axis in proposal.axes:
            said_by |= {**axis[0].expect, **axis[0].ports} if axis else {}
        keys = [k for k in changed if k in said_by] or list(changed)
        own = {k: said_by.get(k) for k in keys}
        table = "expect" if rival.expect else "ports"
        reason = next((a for a in proposal.assumptions if a.key == f"{table}.{keys[0]}"), None)
        said = reason.text if reason is not None else f"{keys[0]} = {own[keys[0]]}"
        return QuestionError(
            f"{proposal.module.name}: what is meant? Read as its names say ({said}), it fails: "
            f"{result.reason}. Read otherwise ({rival.text}), it does not",
            place=reason.place if reason is not None else proposal.module.place,
            advice="settle it with one of these lines in a bench (everyedge describe --write BENCH):\n"
            + "\n".join(
                f"  {table}.{k} = {_shown(v)}" for values in (own, changed) for k, v in values.items()
            ),
        )


def _without_controls(choices: Sequence[Choice]) -> tuple[str, ...]:
    """The choices that count while no control is used, by their texts."""
    return tuple(c.text for c in choices if c.ports or not set(c.expect) <= _OF_CONTROLS)


def _at_rest(confirmed: Confirmed) -> bool:
    """Whether no input of one bit had left its rest when the difference came."""
    reading, stimulus = confirmed.trial.reading, confirmed.stimulus
    model = reading.candidate.model
    resting = model.resting if isinstance(model, Drivable) else {}
    until = int(np.searchsorted(stimulus.starts, confirmed.trial.difference.first or 0, side="right"))
    return all(
        bool((values[:until] == resting.get(signal.name, 0)).all())
        for signal, values in zip(stimulus.signals, stimulus.values, strict=True)
        if signal.width == 1
    )


def _never_started(result: CheckResult, proposal: Proposal) -> CheckResult:
    """Without reset and initial values a board starts somewhere, and four states never do: no failure."""
    failure = result.failure
    if proposal.reset is not None or failure is None or failure.kind != "never_leaves_x":
        return result
    reason = "it never leaves x: without a reset or initial values nothing says where it begins"
    settle = (
        "give its registers initial values, such as: initial q = 0;",
        "run it with --simulator verilator, where registers begin at 0",
    )
    return replace(
        result, verdict=Verdict.UNDECIDED, reason=reason, failure=None, settled_by=settle, replay=None
    )


def _shown(value: Any) -> str:
    return toml_text(value)


def _reached(result: CheckResult) -> Reached:
    """How far the design went along; a later difference is a likelier reading."""
    mismatch = None if result.failure is None else result.failure.mismatch
    return _NEVER_BEGAN if mismatch is None else (result.cycles, mismatch.cycle)


def _texts(choices: Sequence[Choice]) -> tuple[str, ...]:
    return tuple(choice.text for choice in choices)


def _as_far(reached: Reached | None, best: Reached) -> bool:
    """Whether a reading came about as far as the best one, so that a rival may be what it lacks."""
    if reached is None or reached >= best:
        return True
    return reached[0] >= best[0] // 2 and reached[1] >= best[1] // 4


def _facts(proposal: Proposal, choices: Sequence[Choice], facts: tuple[Fact, ...]) -> tuple[Fact, ...]:
    """What a convention says was measured, not pinned by anybody; what inference says is inferred."""
    open_keys = {key for axis in proposal.axes for choice in axis for key in choice.expect}
    single = {key for axis in proposal.axes if len(axis) == 1 for key in axis[0].expect}
    del choices
    found = []
    for fact in facts:
        if fact.source == "pinned":
            measured = fact.name in open_keys - single
            found.append(replace(fact, source="measured" if measured else "inferred"))
        else:
            found.append(fact)
    return tuple(found)
