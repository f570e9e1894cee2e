"""The speed-up factor that is chosen."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from snippets import counter, survey

from verify.simulation.interface import Target
from verify.timescale.factor import choose_factor, divisors, factors, scaling_problems
from verify.timescale.survey import Survey


@pytest.mark.parametrize(
    ("native", "condition", "ratio"),
    [
        (50_000_000, "count == CLK_HZ - 1", 4),
        (12_000_000, "count == CLK_HZ / 10 - 1", 20),
        (12_000_000, "count == CLK_HZ / 1000 - 1", 2000),
        (12_000_000, "count == CLK_HZ / 2 - 1", 4),
        (32_768, "count == CLK_HZ / 16 - 1", 32),
        (12_000_000, "count == CLK_HZ / 1000 / 8 - 1", 16_000),
        (10_000_019, "count == CLK_HZ - 1", 10_000_019),  # a prime number
        (50_000_000, "count == CLK_HZ / 10 - 8", 100),  # 10 - 8 is still above zero
    ],
)
def test_the_factor_is_as_large_as_the_derived_constants_allow(
    native: int, condition: str, ratio: int, tmp_path: Path
) -> None:
    read = survey(tmp_path, counter("32", condition), native=native)
    assert native // choose_factor(read) == ratio


def test_there_is_no_factor_without_a_parameter(tmp_path: Path) -> None:
    file = tmp_path / "top.v"
    file.write_text("module top(input clk, output reg q); always @(posedge clk) q <= !q; endmodule")
    read = Survey(Target((file,), "top", "clk", (), ()), {})
    assert choose_factor(read) == 1
    assert read.findings(1) == ()


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 40), st.integers(1, 60), st.integers(0, 3))
def test_every_derived_count_is_native_divided_by_the_factor(
    tmp_path_factory: pytest.TempPathFactory, multiple: int, parts: int, halvings: int
) -> None:
    native = multiple * parts * (1 << halvings) * 60
    text = counter("32", f"count == ((CLK_HZ / {parts}) >> {halvings}) - 1")
    read = survey(tmp_path_factory.mktemp("factor"), text, native=native)
    factor = choose_factor(read)
    assert native % factor == 0
    assert (native // factor // parts >> halvings) * factor == native // parts >> halvings
    assert not scaling_problems(read.findings(factor))
    larger = [f for f in factors(read) if f > factor]
    assert all(scaling_problems(read.findings(f)) for f in larger)


@given(st.integers(1, 5000))
def test_divisors_are_all_of_them_largest_first(number: int) -> None:
    assert list(divisors(number)) == [n for n in range(number, 0, -1) if number % n == 0]
