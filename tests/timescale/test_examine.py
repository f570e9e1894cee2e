"""What a speed-up is worth, from every mixture of evidence; never a pass on one that is not sound."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import pytest
from snippets import NATIVE_HZ, counter, survey

from verify.errors import Place
from verify.results import CheckResult, Failure, Speedup, Verdict
from verify.timescale.examine import Evidence, examine, without_parameter
from verify.timescale.finding import Finding
from verify.timescale.laboratory import NativeRun, ShortRun
from verify.timescale.survey import Survey
from verify.timescale.verdict import judged

FACTOR = 1000
SCALED = NATIVE_HZ // FACTOR
PASSED = CheckResult("c", "divider", "top", Verdict.PASS, "no difference", cycles=700)
DIFFERENCE = Failure("mismatch", "tick is 1")
FAILED = replace(PASSED, verdict=Verdict.FAIL, reason="tick is 1", failure=DIFFERENCE)
NOT_RUN = NativeRun(None, text="no time", settled_by="--thorough")
AGREES = NativeRun(True, cycles=5000, simulator="verilator")
DIFFERS = NativeRun(False, cycles=5000, text="tick is 0", failure=Failure("mismatch", "tick is 0"))
PLACE = Place(Path("a/top.v"), 7)


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> Survey:
    return survey(tmp_path_factory.mktemp("read"), counter("26", "count == CLK_HZ - 1"))


def finding(**more: object) -> Finding:
    return replace(Finding("truncated", "bits are missing", PLACE), **more)  # type: ignore[arg-type]


def evidence(read: Survey, **more: object) -> Evidence:
    plain = Evidence(read, FACTOR, PASSED, (), (), AGREES)
    return replace(plain, **more)  # type: ignore[arg-type]


def test_nothing_against_it_is_sound_with_a_native_second_and_open_without(read) -> None:
    assert examine(evidence(read)).sound is True
    assert examine(evidence(read, native=NOT_RUN)).sound is None
    assert examine(evidence(read, native=NOT_RUN, factor=1)).sound is True
    assert examine(evidence(read, native=DIFFERS)).sound is False
    assert examine(evidence(read, native=DIFFERS)).definite
    assert examine(evidence(read, native=DIFFERS)).problems == ("one native second differs: tick is 0",)


@pytest.mark.parametrize("native", [NOT_RUN, AGREES])
@pytest.mark.parametrize(
    ("unsound", "definite", "factor"), list(itertools.product((0, 1), (0, 1), (1, FACTOR)))
)
def test_a_finding_counts_when_it_is_certain_or_the_run_was_scaled(
    read, native: NativeRun, unsound: int, definite: int, factor: int
) -> None:
    found = finding(unsound=bool(unsound), definite=bool(definite))
    speedup = examine(evidence(read, findings=(found,), factor=factor, native=native))
    counts = bool(unsound and (definite or factor > 1))
    assert speedup.problems == (("top.v:7: bits are missing",) if counts else ())
    assert (speedup.sound is False) == counts
    assert speedup.definite == (counts and bool(definite))
    assert speedup.places == ((PLACE,) if counts else ())


@pytest.mark.parametrize(
    ("native", "clocks", "result", "answered"),
    [
        (AGREES, 5000, PASSED, True),
        (AGREES, 4999, PASSED, True),
        (AGREES, 5001, PASSED, False),  # it would show later
        (AGREES, None, PASSED, False),  # it would never show
        (AGREES, 5000, FAILED, False),
        (NOT_RUN, 0, PASSED, False),
        (DIFFERS, 5000, PASSED, False),
    ],
)
def test_a_finding_is_answered_by_a_native_run_that_came_to_where_it_would_show(
    read, native: NativeRun, clocks: int | None, result: CheckResult, answered: bool
) -> None:
    found = finding(native_clocks=clocks)
    whole = evidence(read, findings=(found,), native=native, result=result)
    assert whole.answered(found) == answered
    assert ("top.v:7: bits are missing" in examine(whole).problems) != answered
    assert any("(not seen in the native second)" in text for text in examine(whole).evidence) == answered


@pytest.mark.parametrize(
    ("runs", "problem"),
    [
        ([ShortRun(SCALED, True), ShortRun(SCALED + 1, True)], None),
        ([ShortRun(SCALED, False, text="late")], f"at CLK_HZ = {SCALED:,} the design differs: late"),
        ([ShortRun(SCALED - 1, False, text="late")], None),  # it may need more clocks than that
        ([ShortRun(SCALED + 9, None, text="no design")], None),
        (
            [ShortRun(SCALED + 9, False, text="b"), ShortRun(SCALED + 2, False, text="a")],
            f"at CLK_HZ = {SCALED + 2:,} the design differs: a",
        ),
    ],
)
def test_a_difference_at_another_ratio_counts_from_the_scaled_value_on(read, runs, problem) -> None:
    speedup = examine(evidence(read, sweep=runs))
    assert speedup.problems == (() if problem is None else (problem,))
    assert speedup.sound is (problem is None)
    assert not speedup.definite


def test_a_remark_is_a_problem_as_well(read) -> None:
    speedup = examine(evidence(read, remarks=("the bench counts clocks",)))
    assert (speedup.sound, speedup.problems, speedup.places) == (False, ("the bench counts clocks",), (None,))


def test_the_evidence_says_what_ran_and_what_did_not(read) -> None:
    runs = [ShortRun(3, False, text="late"), ShortRun(60_000, True), ShortRun(70_000, None, text="no design")]
    told = examine(evidence(read, sweep=runs, native=NOT_RUN)).evidence
    assert told == (
        f"read at CLK_HZ = {NATIVE_HZ:,} and at {SCALED:,}: 1 place depends on it",
        "ratio sweep: agrees at CLK_HZ = 60,000",
        "ratio sweep: not run at CLK_HZ = 70,000: no design",
        "at CLK_HZ = 3 it differs (late): it needs more clocks than that",
        "native second not run: no time",
        f"whole check at CLK_HZ = {SCALED:,}: 700 clocks compared",
    )
    here = examine(evidence(read, factor=1)).evidence
    assert here[0] == f"no speed-up: the check ran at CLK_HZ = {NATIVE_HZ:,}"
    assert here[1].startswith(f"native second: 5,000 clocks at CLK_HZ = {NATIVE_HZ:,} compared on every edge")
    assert len(here) == 2


def test_what_no_parameter_can_speed_up_is_sound_as_it_ran() -> None:
    speedup = without_parameter(PASSED)
    assert (speedup.factor, speedup.sound, speedup.problems) == (1, True, ())
    assert "700 clocks ran at the native ratio" in speedup.evidence[0]


SOUND = Speedup(FACTOR, True)
OPEN = Speedup(FACTOR, None)
DOUBTFUL = Speedup(FACTOR, False, (), ("bits are missing",))
WRONG = Speedup(FACTOR, False, (), ("bits are missing", "and more"), definite=True)


@pytest.mark.parametrize("result", [PASSED, FAILED])
@pytest.mark.parametrize("speedup", [SOUND, OPEN])
def test_nothing_against_a_speed_up_leaves_the_verdict_as_it_is(result, speedup) -> None:
    found = judged(result, speedup, AGREES)
    assert (found.verdict, found.reason, found.cycles) == (result.verdict, result.reason, result.cycles)
    assert (found.failure, found.speedup) == (result.failure, speedup)


def test_a_pass_on_a_doubtful_speed_up_is_open_and_so_is_a_failure() -> None:
    passed = judged(replace(PASSED, settled_by=("--thorough", "more")), DOUBTFUL, NOT_RUN)
    assert passed.verdict is Verdict.UNDECIDED
    assert passed.reason == "the speed-up is not sound: bits are missing; the scaled run agrees"
    assert passed.settled_by == ("--thorough", "more")
    failed = judged(FAILED, DOUBTFUL, replace(NOT_RUN, settled_by=None))
    assert failed.verdict is Verdict.UNDECIDED
    assert "bits are missing; the scaled run differs (tick is 1)" in failed.reason
    assert (failed.settled_by, failed.explanations) == ((), ())
    for other in (Verdict.UNDECIDED, Verdict.ERROR):
        found = judged(replace(PASSED, verdict=other), DOUBTFUL, NOT_RUN)
        assert (found.verdict, found.reason, found.speedup) == (other, PASSED.reason, DOUBTFUL)


def test_what_is_wrong_on_the_board_for_certain_fails() -> None:
    passed = judged(replace(PASSED, replay=Path("r.json"), settled_by=("x",)), WRONG, NOT_RUN)
    assert (passed.verdict, passed.reason) == (Verdict.FAIL, "bits are missing")
    assert passed.failure is not None
    assert (passed.failure.kind, passed.failure.text) == ("timescale", "bits are missing")
    assert (passed.cycles, passed.replay, passed.settled_by, passed.explanations) == (700, None, (), ())
    assert passed.notes == ()
    failed = judged(FAILED, WRONG, NOT_RUN)
    assert (failed.verdict, failed.failure) == (Verdict.FAIL, DIFFERENCE)
    assert failed.notes == ("bits are missing", "and more")


def test_a_native_difference_is_the_failure_whatever_the_scaled_run_found() -> None:
    passed = judged(PASSED, SOUND, DIFFERS)
    assert (passed.verdict, passed.reason) == (Verdict.FAIL, "at the native frequency tick is 0")
    assert passed.failure == DIFFERS.failure
    assert passed.cycles == 5700
    assert passed.notes == ()
    failed = judged(FAILED, SOUND, DIFFERS)
    assert failed.notes == ("the scaled run differs, too: tick is 1",)
    assert failed.failure == DIFFERS.failure
