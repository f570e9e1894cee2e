"""Every measured fact can be pinned by the line that the report prints, and a wrong pin is not passed."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from verify.checks import Settings, check_bench
from verify.errors import BenchError
from verify.results import CheckResult, Verdict
from verify.wording import toml_text

EXAMPLES = Path(__file__).parents[2] / "rtl_examples"
QUICK = Settings(examples=3)

CHEAP = (
    "bcd_registered",
    "bcd_sequential",
    "counter_down",
    "counter_mod60_1995",
    "divider_tick",
    "divider_two_stage",
    "segments_blanking",
    "segments_rom",
    "timer_tenths",
)


def pinned_bench(source: Path, pins: Mapping[str, list[str]], folder: Path) -> Path:
    """The bench with the pins of each check put in, as a user would paste them."""
    tables = tomllib.loads(source.read_text(encoding="utf-8"))
    shutil.copytree(source.parent, folder, dirs_exist_ok=True)
    checks = tables["check"]
    for check, lines in zip(checks, pins.values(), strict=True):
        for line in lines:
            found = tomllib.loads(line)
            if "kind" in found:
                tables["reset"] |= found
                continue
            for key, value in found.items():
                if isinstance(value, dict):
                    check.setdefault(key, {}).update(value)
                else:
                    check[key] = value
    file = folder / "bench.toml"
    file.write_text("\n".join(written(tables)), encoding="utf-8")
    return file


def written(tables: Mapping[str, Any]) -> Iterator[str]:
    for name, table in tables.items():
        for each in table if isinstance(table, list) else [table]:
            yield f"[[{name}]]" if isinstance(table, list) else f"[{name}]"
            for key, value in each.items():
                yield f"{key} = {toml_text(value)}"


def pins_of(check: CheckResult) -> list[str]:
    return [fact.pin for fact in check.facts if fact.source == "measured" and fact.pin]


def wrong(line: str) -> str:
    """The same pin with another value."""
    key, _, value = line.partition(" = ")
    other = {
        '"asynchronous"  # in [reset]': '"synchronous"',
        '"synchronous"  # in [reset]': '"asynchronous"',
    }.get(value)
    if other is None:
        found = tomllib.loads(f"x = {value}")["x"]
        match found:
            case bool():
                other = toml_text(not found)
            case int():
                other = str(found + 1)
            case str():
                other = f'{value} + " and more"' if value.startswith("CLK") else '"something else"'
            case list():
                other = toml_text([item + 1 if isinstance(item, int) else item for item in found])
            case dict():
                other = '{ 1 = "abcdefg" }' if "glyphs" in key else '{ dwell = 77, select_active = "high" }'
    return f"{key} = {other}"


def measured(name: str) -> tuple[Path, dict[str, list[str]]]:
    bench = EXAMPLES / name / "bench.toml"
    result = check_bench(bench, QUICK)
    assert result.verdict is Verdict.PASS
    return bench, {check.name: pins_of(check) for check in result.checks}


@pytest.mark.parametrize("name", CHEAP)
def test_the_printed_pins_make_a_frozen_bench_pass(name: str, tmp_path: Path) -> None:
    bench, pins = measured(name)
    file = pinned_bench(bench, pins, tmp_path)
    result = check_bench(file, Settings(examples=3, frozen=True))
    assert result.verdict is Verdict.PASS
    assert not any(fact.source == "measured" and fact.pin for check in result.checks for fact in check.facts)


@pytest.mark.parametrize("name", ["bcd_sequential", "counter_down", "divider_tick", "segments_blanking"])
def test_a_wrong_value_of_any_pin_fails_or_is_refused(name: str, tmp_path: Path) -> None:
    bench, pins = measured(name)
    for check, lines in pins.items():
        for line in lines:
            changed = {c: [wrong(line)] if c == check else [] for c in pins}
            file = pinned_bench(bench, changed, tmp_path)
            try:
                verdict = check_bench(file, QUICK).verdict
            except BenchError:
                continue
            assert verdict is Verdict.FAIL, wrong(line)


def test_frozen_lists_the_lines_that_are_missing() -> None:
    with pytest.raises(BenchError, match=r"[12] measured facts? (is|are) not pinned") as raised:
        check_bench(EXAMPLES / "counter_down" / "bench.toml", Settings(examples=3, frozen=True))
    assert raised.value.advice is not None
    assert "facts.clear_to = 23" in raised.value.advice


def test_a_fact_that_nobody_measures_cannot_be_pinned(tmp_path: Path) -> None:
    bench = EXAMPLES / "counter_down" / "bench.toml"
    file = pinned_bench(bench, {"hours_left: counter": ["facts.colour = 3"]}, tmp_path)
    with pytest.raises(BenchError, match='found "colour", which is measured of no such design'):
        check_bench(file, QUICK)
