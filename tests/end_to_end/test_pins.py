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
QUICK = Settings(examples=3, explain_seconds=0.1)

FEW = 3
"""Of more pins every third one is tried with a wrong value."""

CHEAP = (
    "bcd_registered",
    "bcd_sequential",
    "counter_down",
    "counter_mod60_1995",
    "divider_no_reset",
    "divider_tick",
    "divider_two_stage",
    "segments_blanking",
    "segments_rom",
    "timer_tenths",
)


def opened(name: str, folder: Path) -> Path:
    """The bench of a worked design without its pins, beside a copy of the design."""
    shutil.copytree(EXAMPLES / name, folder)
    file = folder / "bench.toml"
    tables = tomllib.loads(file.read_text(encoding="utf-8"))
    tables.get("reset", {}).pop("kind", None)
    for check in tables["check"]:
        for pin in ("latency", "facts"):
            check.pop(pin, None)
        for pin in ("first", "glyphs"):
            check.get("expect", {}).pop(pin, None)
    file.write_text("\n".join(written(tables)), encoding="utf-8")
    return file


def pinned_bench(source: Path, pins: Mapping[str, list[str]]) -> Path:
    """The bench with the pins of each check put in, as a user would paste them."""
    tables = tomllib.loads(source.read_text(encoding="utf-8"))
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
    file = source.with_name("pinned.toml")
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


def measured(name: str, folder: Path) -> tuple[Path, dict[str, list[str]]]:
    bench = opened(name, folder / "design")
    result = check_bench(bench, QUICK)
    assert result.verdict is Verdict.PASS
    return bench, {check.name: pins_of(check) for check in result.checks}


@pytest.mark.parametrize("name", CHEAP)
def test_the_printed_pins_make_a_frozen_bench_pass(name: str, tmp_path: Path) -> None:
    bench, pins = measured(name, tmp_path)
    file = pinned_bench(bench, pins)
    result = check_bench(file, Settings(examples=3, frozen=True))
    assert result.verdict is Verdict.PASS
    assert not any(fact.source == "measured" and fact.pin for check in result.checks for fact in check.facts)


@pytest.mark.parametrize(
    "name", ["bcd_registered", "counter_down", "divider_no_reset", "divider_tick", "segments_blanking"]
)
def test_a_wrong_value_of_any_pin_fails_or_is_refused(name: str, tmp_path: Path) -> None:
    bench, pins = measured(name, tmp_path)
    for check, lines in pins.items():
        for line in lines[:: 3 if len(lines) > FEW else 1]:
            if name == "divider_no_reset" and "latency" in line:
                continue  # without a reset another latency is another first event, and no more
            changed = {c: [wrong(line)] if c == check else [] for c in pins}
            file = pinned_bench(bench, changed)
            try:
                verdict = check_bench(file, QUICK).verdict
            except BenchError:
                continue
            assert verdict is Verdict.FAIL, wrong(line)


def test_frozen_lists_the_lines_that_are_missing(tmp_path: Path) -> None:
    bench = opened("counter_down", tmp_path / "design")
    with pytest.raises(BenchError, match=r"[1-4] measured facts are not pinned") as raised:
        check_bench(bench, Settings(examples=3, frozen=True))
    assert raised.value.advice is not None
    assert "facts.clear_to = 23" in raised.value.advice


def test_a_fact_that_nobody_measures_cannot_be_pinned(tmp_path: Path) -> None:
    bench = opened("counter_down", tmp_path / "design")
    file = pinned_bench(bench, {"hours_left: counter": ["facts.colour = 3"]})
    with pytest.raises(BenchError, match='found "colour", which is measured of no such design'):
        check_bench(file, QUICK)
