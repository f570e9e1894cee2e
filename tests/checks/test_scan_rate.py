"""How often a digit is lit on the board, whatever the check did to its clocks."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from verify.bench import load_bench, resolve
from verify.checks import Settings, check_bench
from verify.checks.scaled.scan_rate import with_scan_rate
from verify.report.scan_text import hertz, scan_text
from verify.results import CheckResult, Fact, Verdict

EXAMPLE = Path(__file__).parents[2] / "rtl_examples" / "display_scanned"
BENCH = (EXAMPLE / "bench.toml").read_text(encoding="utf-8")


class Survey:
    """The counts of a design that follow its clock parameter, and nothing else of a survey."""

    def __init__(self, *counts):
        self.counts = tuple(map(Fraction, counts))


def rated(tmp_path, *, dwell, speedup=1, survey=None, changes=()):
    text = BENCH.replace('"rtl/*.v"', f'"{EXAMPLE}/rtl/*.v"')
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    (tmp_path / "bench.toml").write_text(text, encoding="utf-8")
    bench = load_bench(tmp_path / "bench.toml")
    (check,) = bench.checks
    fact = Fact("scan", {"dwell": dwell, "select_active": "high"}, "measured")
    found = CheckResult("display", "display", "scanned_timer", Verdict.PASS, "", facts=(fact,))
    return with_scan_rate(
        found, bench, check, resolve(bench, check, speedup=speedup), () if survey is None else survey.counts
    )


SCAN = 'scan = { dwell = "DWELL", select_active = "high", blanking = 0 }'
MEASURED = (SCAN, 'scan = { select_active = "high" }')


def test_a_dwell_that_the_check_shortens_is_told_as_the_source_has_it(tmp_path):
    found = rated(tmp_path, dwell=3)
    assert found.scan.refresh_hz == 12_000_000 / (4 * 12_000) == 250
    assert found.scan.period_cycles == 48_000
    assert found.notes == ("the dwell is 12,000 clocks in the source, 3 in this check",)
    assert not found.scan.flickers


def test_a_measured_dwell_is_that_of_the_board_when_nothing_is_scaled(tmp_path):
    found = rated(tmp_path, dwell=60_000, changes=[MEASURED])
    assert found.scan.refresh_hz == 50
    assert found.scan.flickers
    assert found.notes == ()


@pytest.mark.parametrize(("counts", "hertz_each"), [((12_000,), 250), ((12_000_000,), 1e6)])
def test_a_measured_dwell_is_scaled_back_only_if_it_follows_the_clock(tmp_path, counts, hertz_each):
    found = rated(tmp_path, dwell=3, speedup=4_000, survey=Survey(*counts), changes=[MEASURED])
    assert found.scan.refresh_hz == pytest.approx(hertz_each)


def test_without_the_frequency_of_the_board_there_is_no_rate(tmp_path):
    changes = [
        ("frequency = 12_000_000\n", ""),
        ('parameter = "CLK_HZ"\n', ""),
        ('speedup = "auto"\n', ""),
        ("modulo = [60, 60]", "modulo = [60, 60]\nratio = 4"),
    ]
    assert rated(tmp_path, dwell=3, changes=changes).scan is None


def test_the_rate_is_told_in_words_with_the_limit_and_its_standing(tmp_path):
    (told,) = scan_text(rated(tmp_path, dwell=60_000, changes=[MEASURED]).scan)
    assert told == (
        "each digit is lit at 50 Hz, all 4 of them in 240,000 clocks: it flickers; "
        "about 60 Hz keeps it from flickering (common practice, no source)"
    )
    (told,) = scan_text(rated(tmp_path, dwell=3).scan)
    assert "it flickers" not in told


@pytest.mark.parametrize(("value", "text"), [(59.94, "59.9 Hz"), (1500.0, "1.5 kHz"), (2e6, "2 MHz")])
def test_frequencies_have_three_digits(value, text):
    assert hertz(value) == text


def test_a_check_of_a_scanned_display_comes_with_its_rate():
    (check,) = check_bench(EXAMPLE.parent / "flawed" / "two_selects" / "bench.toml", Settings()).checks
    assert check.scan is not None
    assert check.scan.refresh_hz == 250
    assert [d.name for d in check.driven] == ["the one that differs"]
    assert [(b.role, b.port, b.direction) for b in check.bindings] == [
        ("segments", "segments", "output"),
        ("select", "select", "output"),
    ]
