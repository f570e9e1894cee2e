"""Results as a run would give them, built by hand: the observatory's exposure timer and its parts."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from verify.errors import BenchError, Place
from verify.report.outcome import Outcome, Part
from verify.results import (
    CheckResult,
    Coverage,
    CoverageItem,
    Excerpt,
    Explanation,
    Fact,
    Failure,
    Mismatch,
    RunResult,
    Speedup,
    Verdict,
)
from verify.signals import ExpectedTrace, ObservedTrace, Reset, Run, Signal, Stimulus, column

BENCH = Path("exposure_timer/bench.toml")
ONES, TENS = Signal("digits[0]", 4), Signal("digits[1]", 4)
RTL = Place(Path("exposure_timer/rtl/exposure_clock.v"), 61, 9, "        sec_tens <= sec_tens + 1'b1;")


def excerpt(*, first: int = 1190, pulse: Reset = Reset.RELEASED) -> Excerpt:
    """The tens of seconds come a clock late; the enable dips before that. 16 cycles, the 11th differs."""
    enable, clear = Signal("enable", 1), Signal("clear", 1)
    runs = [Run(3, (1, 0), Reset.HELD), Run(2, (1, 0)), Run(1, (0, 0)), Run(9, (1, 0))]
    runs.append(Run(1, (1, 0), pulse))
    ones = [0, 0, 0, 5, 6, 6, 7, 8, 9, 9, 0, 1, 2, 2, 2, 2]
    tens = [0, 0, 0, 4, 4, 4, 4, 4, 4, 4, 5, 5, 5, 5, 5, 5]
    late = [0, 0, 0, 4, 4, 4, 4, 4, 4, 4, 4, 5, 5, 5, 5, 5]
    cycles = np.arange(len(ones), dtype=np.int64)
    return Excerpt(
        first,
        Stimulus.of([enable, clear], runs),
        ExpectedTrace((ONES, TENS), len(ones), cycles, (column(ones, 4), column(tens, 4))),
        ObservedTrace((ONES, TENS), len(ones), cycles, (column(ones, 4), column(late, 4))),
        ((0, 5),),
        {"digits[0]": "sec_ones", "digits[1]": "sec_tens"},
    )


def failing(**changes: object) -> CheckResult:
    """A carry that comes a clock late."""
    mismatch = Mismatch(1200, 1198, 100_083.333, "sec_tens", "digits[1]", 4, "0101", "0100", RTL)
    text = "sec_tens is 0100 in cycle 1,200, expected 0101"
    result = CheckResult(
        "display digits",
        "counter",
        "exposure_clock",
        Verdict.FAIL,
        text,
        cycles=4_803,
        seconds=0.41,
        simulator="icarus",
        seed=1,
        latency=2,
        facts=(
            Fact("latency", 2, "measured", "latency = 2"),
            Fact("reset.kind", "asynchronous", "measured", 'kind = "asynchronous"  # in [reset]'),
            Fact("digit_modulo", [10, 6], "pinned", "expect.digit_modulo = [10, 6]"),
        ),
        failure=Failure("mismatch", text, mismatch, excerpt(), ("sec_tens is 1 clock later than sec_ones",)),
        explanations=(
            Explanation(
                "late_carry",
                "the carry into the tens of seconds is registered once too often",
                reproduces_all_cycles=True,
                place=RTL,
            ),
        ),
        replay=Path("exposure_timer/.everyedge/replays/display-digits.json"),
        notes=("4 outputs were compared",),
    )
    return replace(result, **changes)  # type: ignore[arg-type]


def passing(**changes: object) -> CheckResult:
    """A registered converter, every value of it."""
    result = CheckResult(
        "converter",
        "bcd",
        "bin_to_bcd",
        Verdict.PASS,
        "every output matches on every clock edge",
        cycles=65_792,
        seconds=0.128,
        simulator="icarus",
        seed=1,
        latency=2,
        facts=(
            Fact("latency", 2, "measured", "latency = 2"),
            Fact("digits", 3, "pinned", "expect.digits = 3"),
            Fact("overflow", "modulo", "default", 'expect.overflow = "modulo"'),
        ),
        coverage=Coverage(
            (
                CoverageItem("values of binary", 256, 256),
                CoverageItem(
                    "transitions", 9_000, 65_536, ("0 to 255", "1 to 254", "2 to 253", "3 to 252", "...")
                ),
            )
        ),
        unchecked_outputs=(Signal("busy", 1),),
        tied_inputs={"test_mode": 0},
        speedup=Speedup(12_000, None),
    )
    return replace(result, **changes)  # type: ignore[arg-type]


def undecided(**changes: object) -> CheckResult:
    """Nothing moved, so nothing tells the latencies apart."""
    result = CheckResult(
        "flash",
        "divider",
        "flash_sync",
        Verdict.UNDECIDED,
        "latencies 0, 1 and 2 all match: the output never changed",
        cycles=500,
        seconds=0.2,
        simulator="icarus",
        seed=1,
        settled_by=("pin the latency: latency = 1", "bind the enable, so that it can be driven"),
    )
    return replace(result, **changes)  # type: ignore[arg-type]


def outcome(*checks: CheckResult, seconds: float = 2.5) -> Outcome:
    """One bench with these checks."""
    return Outcome((Part(BENCH, RunResult(checks, BENCH, seconds)),), seconds)


def broken_bench() -> BenchError:
    """A role that the model does not have."""
    place = Place(BENCH, 12, 11, 'ports = { binery = "bin", bcd = "bcd" }')
    return BenchError("unknown role 'binery' for the model bcd", place=place, advice="did you mean 'binary'?")
