from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from designs import BENCH, COUNTER, renamed

from verify.bench.load import bench_of
from verify.checks.settings import Settings
from verify.errors import BenchError
from verify.grading import GradeJob, Submission, read_task
from verify.grading.adapting import adapted
from verify.grading.names import Names, parse_names

NAMES = """[ports]
clk = "clock"
rst_n = { port = "reset", active = "high" }
enable = "ce"
[modules.decade]
name = "ten"
"""


@pytest.fixture
def grade(tmp_path, monkeypatch):
    """Grade one design as its own process would, here."""
    monkeypatch.chdir(tmp_path)

    def run(*files, bench=BENCH, provided=(), only=("count",)):
        (tmp_path / "bench.toml").write_text(bench)
        task = read_task(tmp_path / "bench.toml", provided, Settings(examples=20, only=only))
        return GradeJob(task, Submission("ada", tuple(sorted(files)))).run().graded

    return run


def test_names_let_a_design_pass_that_calls_everything_otherwise(grade):
    right = grade(("a.v", renamed(COUNTER).encode()), ("names.toml", NAMES.encode()))
    assert (right.verdict, right.marks, right.out_of) == ("pass", 3, 3)
    wrong = grade(("a.v", renamed(COUNTER).replace("4'd9", "4'd8").encode()), ("names.toml", NAMES.encode()))
    assert (wrong.verdict, wrong.marks) == ("fail", 0)


def test_without_names_they_are_read_off_the_design_and_that_is_said(grade):
    right = grade(("a.v", renamed(COUNTER).encode()))
    assert right.verdict == "pass"
    assert "the names were read off the design: module ten" in " ".join(right.checks[0].detail.split())
    assert grade(("a.v", renamed(COUNTER).replace("4'd9", "4'd8").encode())).verdict == "fail"


def test_names_that_do_not_fit_are_an_error_with_its_line_and_no_guess(grade):
    cee = NAMES.replace('"ce"', '"cee"').encode()
    misspelt = grade(("a.v", renamed(COUNTER).encode()), ("names.toml", cee))
    assert misspelt.verdict == "error"
    assert 'no port "cee"' in misspelt.checks[0].reason
    broken = grade(("a.v", COUNTER.encode()), ("names.toml", b"[ports]\nclk = 5\n"))
    assert broken.checks[0].detail.startswith("ada/names.toml:2:1: error: ports.clk:")


def test_a_provided_file_replaces_the_designs_own_and_is_compiled_with_it(grade, tmp_path):
    given = tmp_path / "adder.v"
    given.write_text("module adder (input [3:0] a, output [3:0] y); assign y = a + 4'd1; endmodule\n")
    design = COUNTER.replace("q <= q + 4'd1", "q <= y").replace(
        "    always", "    wire [3:0] y;\n    adder u (q, y);\n    always"
    )
    own = given.read_text().replace("4'd1", "4'd2").encode()
    assert grade(("a.v", design.encode())).verdict == "error"
    assert grade(("a.v", design.encode()), ("sub/adder.v", own)).verdict == "fail"
    assert grade(("a.v", design.encode()), ("sub/adder.v", own), provided=[given]).verdict == "pass"


def test_every_kind_of_reference_is_renamed():
    names = parse_names(
        b"""[ports]
bus = "wide"
flag = { port = "flag_n", active = "low" }
digits = ["d0", "d1"]
[parameters]
N = "MODULO"
""",
        Path("names.toml"),
    )
    check = {
        "name": "x",
        "model": "counter",
        "ports": {
            "a": "bus[3:0]",
            "b": ["flag", "bus[7]"],
            "c": {"port": "flag"},
            "d": "digits",
            "e": "other",
        },
        "parameters": {"N": 3},
        "expect": {"modulo": "N * 2", "list": ["N", 4]},
        "clock": "bus[0]",
        "reset": "flag",
    }
    (found,) = adapted({"design": {}, "check": [check]}, 0, names)["check"]
    assert found["ports"] == {
        "a": "wide[3:0]",
        "b": [{"port": "flag_n", "active": "low"}, "wide[7]"],
        "c": {"port": "flag_n", "active": "low"},
        "d": {"port": ["d0", "d1"]},
        "e": "other",
    }
    assert found["parameters"] == {"MODULO": 3}
    assert found["expect"] == {"modulo": "MODULO * 2", "list": ["MODULO", 4]}
    assert (found["clock"], found["reset"]) == ("wide[0]", {"port": "flag_n", "active": "low"})


def test_the_same_fault_under_other_names_is_alike(grade):
    faulty = COUNTER.replace("4'd9", "4'd10")
    here = grade(("a.v", faulty.encode())).checks[0]
    there = grade(("a.v", renamed(faulty).encode()), ("names.toml", NAMES.encode())).checks[0]
    other = grade(("a.v", COUNTER.replace("4'd9", "4'd8").encode())).checks[0]
    assert here.verdict == there.verdict == other.verdict == "fail"
    assert here.likeness == there.likeness != other.likeness
    ports = grade(("a.v", faulty.replace("q", "value").encode()), ("names.toml", b"[ports]\nq = 'value'\n"))
    assert ports.checks[0].likeness == here.likeness


def test_without_names_nothing_changes():
    tables = tomllib.loads(BENCH)
    same = adapted(tables, 0, Names())
    assert same["clock"] == tables["clock"]
    assert {**same["check"][0]} == {**tables["check"][0], "module": "decade"}


@pytest.mark.parametrize(
    ("names", "said"),
    [
        ('ports = { clk = ["a", "b"] }', 'where the bench has "clk", expected the name of one port'),
        (
            'ports = { "bus" = "wide[3:0]" }',
            r'where the bench has "bus\[1\]", expected the name of a whole port',
        ),
    ],
)
def test_a_name_that_cannot_stand_there_is_refused(names, said):
    tables = tomllib.loads(BENCH.replace('enable = "enable"', 'enable = "bus[1]"'))
    with pytest.raises(BenchError, match=said):
        adapted(tables, 0, parse_names(names.encode(), Path("names.toml")))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[port]\nclk = 'a'", "port: is no key of names"),
        ("[ports", "not valid TOML"),
        ("[ports]\nclk = { name = 'x' }", "ports.clk.*which is no name"),
        ("\xff", "not UTF-8"),
    ],
)
def test_names_that_cannot_be_read_say_what_they_should_be_like(text, said):
    with pytest.raises(BenchError, match=said) as refused:
        parse_names(text.encode("latin-1"), Path("names.toml"))
    assert 'clk = "clock"' in (refused.value.advice or "")


@pytest.mark.parametrize("weight", ["0", "-1", "true", '"3"', "nan", "1e12"])
def test_a_weight_is_a_number_above_0(tmp_path, weight):
    tables = tomllib.loads(BENCH.replace("weight = 3", f"weight = {weight}"))
    tables["design"]["sources"] = []
    (tmp_path / "decade.v").write_text(COUNTER)
    tables["design"]["sources"] = ["decade.v"]
    with pytest.raises(BenchError, match=r'check "count", weight: found .* expected a number above 0'):
        bench_of(tables, tmp_path)
