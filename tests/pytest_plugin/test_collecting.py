from __future__ import annotations

import subprocess
import sys

import junitparser
import pytest
from benches import CHECK, HEAD

pytest_plugins = "pytester"


def test_a_bench_gives_one_item_per_check_and_the_wrong_one_fails_with_the_whole_report(folder):
    ran = folder().runpytest("-rA", "--junitxml=r.xml")
    ran.assert_outcomes(passed=1, failed=1)
    ran.stdout.fnmatch_lines(
        [
            "*✗ fail  wrong one*",
            "*expected   0001_0000*",
            "*observed   0000_1010*",
            "*wrong.v:2:*",
            "*PASSED bench.toml::right one*",
            "FAILED bench.toml::wrong one - fail: bcd is 00001010*",
        ]
    )
    assert "Traceback" not in ran.stdout.str()
    assert "items.py" not in ran.stdout.str()
    cases = {case.name: case for suite in junitparser.JUnitXml.fromfile("r.xml") for case in suite}
    assert cases["right one"].result == []
    assert cases["wrong one"].result[0].message.startswith("fail: bcd is 00001010")
    assert "wrong.v:2:" in cases["wrong one"].result[0].text


def test_a_second_run_with_lf_runs_what_failed_and_k_picks_by_name_model_and_module(folder):
    here = folder()
    here.runpytest("-q").assert_outcomes(passed=1, failed=1)
    here.runpytest("--lf").assert_outcomes(failed=1)
    here.runpytest("-k", "right").assert_outcomes(passed=1, deselected=1)
    here.runpytest("-k", "bcd and not wrong", "--collect-only", "-q").stdout.fnmatch_lines(["*1/2 tests*"])
    here.runpytest("bench.toml::right one").assert_outcomes(passed=1)


def test_workers_of_xdist_tell_the_same(folder):
    pytest.importorskip("xdist")
    ran = folder().runpytest_subprocess("-n", "1", "-p", "no:cacheprovider")
    ran.assert_outcomes(passed=1, failed=1)
    ran.stdout.fnmatch_lines(["*✗ fail  wrong one*", "FAILED bench.toml::wrong one - fail: bcd is*"])


def test_an_undecided_check_fails_with_its_own_words(folder):
    check = CHECK.format(name="still one", module="right") + "expect = { max_value = 0 }\n"
    ran = folder(bench__toml=HEAD + check).runpytest()
    ran.assert_outcomes(failed=1)
    ran.stdout.fnmatch_lines(["*? undecided  still one*", "FAILED bench.toml::still one - undecided:*"])


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('model = "bcdd"', "bench.toml:6:*error:*expected one of*"),
        ('ports = { binary = "bim", bcd = "bcd" }', "bench.toml:9:*error:*bim*"),
        ("latency = two", "bench.toml:10:*error: not valid TOML*"),
    ],
)
def test_an_error_in_the_bench_is_an_error_of_the_collection_with_its_line(folder, line, said):
    check = CHECK.format(name="one", module="right")
    key = line.split()[0]
    lines = [line if old.split(" ")[0] == key else old for old in check.splitlines()]
    lines += [] if line in lines else [line]
    ran = folder(bench__toml=HEAD + "\n".join(lines)).runpytest()
    ran.assert_outcomes(errors=1)
    ran.stdout.fnmatch_lines(["*ERROR collecting bench.toml*", f"*{said}"])
    assert "Traceback" not in ran.stdout.str()


def test_verilog_that_does_not_compile_is_an_error_of_its_check_and_the_others_run(folder):
    bad = "module wrong (input wire [3:0] bin, output wire [7:0] bcd);\n    add3 u (bin, bcd);\nendmodule\n"
    ran = folder(wrong__v=bad).runpytest()
    ran.assert_outcomes(passed=1, errors=1)
    ran.stdout.fnmatch_lines(["*wrong.v:2:5: error:*add3*", "ERROR bench.toml::wrong one - *add3*"])


def test_other_files_called_bench_and_other_names_are_left_alone(folder):
    here = folder()
    (here.path / "bench.toml").rename(here.path / "mine.bench.toml")
    (here.path / "bench.toml").write_text("[profile]\nrelease = true\n")
    here.runpytest("--collect-only", "-q").stdout.fnmatch_lines(["*no tests collected*"])
    named = here.runpytest("--collect-only", "-q", "mine.bench.toml")
    named.stdout.fnmatch_lines(["mine.bench.toml::right one", "*2 tests collected*"])
    found = here.runpytest("--collect-only", "-q", "-o", "everyedge_benches=*.bench.toml")
    found.stdout.fnmatch_lines(["*2 tests collected*"])


def test_collection_can_be_turned_off_for_a_run_and_for_good(folder):
    here = folder()
    for words in (["--no-everyedge"], ["-o", "everyedge_benches="], ["-p", "no:everyedge"]):
        here.runpytest_inprocess("--collect-only", "-q", *words).stdout.fnmatch_lines(
            ["*no tests collected*"]
        )


def test_names_that_pytest_could_not_take_are_made_ones_that_it_can(folder):
    check = CHECK.format(name="a::b\\n c", module="right") + CHECK.format(name="a: b c", module="right")
    ran = folder(bench__toml=HEAD + check).runpytest("--collect-only", "-q")
    ran.stdout.fnmatch_lines(["bench.toml::a: b*c", "bench.toml::a: b c"])


def test_a_run_without_benches_loads_nothing_but_the_plugin(pytester):
    pytester.makepyfile(
        "import sys\n"
        "def test_it():\n"
        "    loaded = {n for n in sys.modules if n.partition('.')[0] == 'verify'}\n"
        "    assert loaded == {'verify', 'verify.pytest_plugin'}\n"
        "    assert not {'numpy', 'pyslang', 'hypothesis.internal', 'pydantic'} & set(sys.modules)\n"
    )
    words = [sys.executable, "-m", "pytest", "-q", "-p", "no:hypothesispytest", "-p", "no:cov"]
    ran = subprocess.run(words, cwd=pytester.path, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout


def test_a_seed_that_is_none_is_a_usage_error(folder):
    ran = folder().runpytest("--everyedge-seed=-4", "-k", "right")
    assert "expected 0 or more" in ran.stdout.str() + ran.stderr.str()
