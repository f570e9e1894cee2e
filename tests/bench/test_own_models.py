"""Golden models of the user's own: what is wrong in one is told at its line, and nothing else is."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from verify.bench import load_bench, resolve
from verify.checks import Settings, check_bench
from verify.errors import BenchError
from verify.results import Verdict

EXAMPLE = Path(__file__).parents[2] / "rtl_examples" / "own_model"
QUICK = Settings(examples=5)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(EXAMPLE, tmp_path, dirs_exist_ok=True)
    return tmp_path


def change(folder: Path, name: str, old: str, new: str) -> None:
    file = folder / name
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def resolved(folder: Path) -> None:
    bench = load_bench(folder / "bench.toml")
    resolve(bench, bench.checks[0])


def test_a_class_of_the_user_passes_the_design_it_describes(folder: Path) -> None:
    (check,) = check_bench(folder / "bench.toml", QUICK).checks
    assert check.verdict is Verdict.PASS, check.reason
    assert check.name == "dew_heater: Ramp"


@pytest.mark.parametrize(
    ("old", "new", "port"),
    [
        ("level != 8'd0)", "level != 8'd1)", "level"),
        ("level == LIMIT;", "level == LIMIT - 1;", "full"),
        ("level <= level + 8'd1", "level <= level + 8'd2", "level"),
    ],
)
def test_a_class_of_the_user_fails_a_design_that_does_otherwise(
    folder: Path, old: str, new: str, port: str
) -> None:
    change(folder, "rtl/dew_heater.v", old, new)
    (check,) = check_bench(folder / "bench.toml", QUICK).checks
    assert check.verdict is Verdict.FAIL
    assert check.failure is not None
    assert check.failure.mismatch is not None
    assert check.failure.mismatch.port == port


@pytest.mark.parametrize(
    ("old", "new", "message", "line"),
    [
        ("(level,) = state\n        return", "level = state[7]\n        return", "IndexError in out", 23),
        ("return (0,)", "return 0", "initial\\(\\) gave 0, expected a tuple", 6),
        ("return (level, int", "return (level + 100, int", "gave 256 for level, expected 0 to 255", 6),
        ("level, int(level == self.limit)", "level,", "out\\(\\) gave 1 values, expected 2", 6),
        ("limit=200", "limit", "limit has no default", 6),
        ("def next", "def following", "belong together", 6),
        ("class Ramp:", "class Ramp", "no Python: expected ':'", 6),
        ('Signal("heat", 1)', 'Signal("heat", 0)', "at least one bit wide", 9),
    ],
)
def test_a_mistake_in_the_class_is_told_at_its_line(
    folder: Path, old: str, new: str, message: str, line: int
) -> None:
    change(folder, "models/heater.py", old, new)
    with pytest.raises(BenchError, match=message) as raised:
        resolved(folder)
    assert raised.value.place is not None
    assert raised.value.place.file.name == "heater.py"
    assert raised.value.place.line == line


def test_a_model_that_remembers_breaks_the_contract(folder: Path) -> None:
    change(
        folder,
        "models/heater.py",
        "return (level, int",
        "self.n = getattr(self, 'n', 0) ^ 1\n        return (self.n, int",
    )
    with pytest.raises(BenchError, match="must not remember anything"):
        resolved(folder)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("heater.py:Ramp", "heater.py:Rmp", 'has no class "Rmp"; it has Ramp'),
        ("heater.py:Ramp", "heaters.py:Ramp", 'there is no file "models/heaters.py"'),
        ("heater.py:Ramp", "heater.py", "expected a file and a class"),
        ('limit = "LIMIT"', "limt = 3", 'no option "limt"'),
        ('level = "level", ', "", "every signal is bound"),
    ],
)
def test_a_wrong_word_in_the_bench_is_told(folder: Path, old: str, new: str, message: str) -> None:
    change(folder, "bench.toml", old, new)
    with pytest.raises(BenchError, match=message):
        resolved(folder)
