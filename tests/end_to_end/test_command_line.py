"""The command on real designs with the real simulator: what scripts and people get of it."""

from __future__ import annotations

import json
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import junitparser
import psutil
import pytest

EXAMPLES = Path(__file__).parents[2] / "rtl_examples"
COMMAND = [sys.executable, "-m", "verify"]


@pytest.fixture
def bench_of(tmp_path):
    """Copy an example (with the twin that a flawed one may take its files from) to a folder of its own."""

    def copy(name):
        shutil.copytree(EXAMPLES, tmp_path / "ex", ignore=_only(name), dirs_exist_ok=True)
        return tmp_path / "ex" / name / "bench.toml"

    return copy


def _only(name):
    wanted = {name.split("/")[0], name.rsplit("/", maxsplit=1)[-1]}

    def ignore(folder, entries):
        if Path(folder) == EXAMPLES or Path(folder) == EXAMPLES / "flawed":
            return [entry for entry in entries if entry not in wanted]
        return [".everyedge"]

    return ignore


def run(*words, cwd=None):
    return subprocess.run(
        [*COMMAND, *map(str, words)], cwd=cwd, capture_output=True, text=True, timeout=120, check=False
    )


def test_a_right_design_passes_with_its_facts_in_the_json(bench_of, tmp_path):
    ran = run("check", bench_of("bcd_registered"), "--json", tmp_path / "r.json", "--verbose")
    assert ran.returncode == 0, ran.stdout + ran.stderr
    check = json.loads((tmp_path / "r.json").read_text())["checks"][0]
    assert check["latency"] == 2
    assert check["cycles"] > 256
    assert "✓ pass" in ran.stdout
    assert "latency = 2" in ran.stdout


def test_a_failure_is_shown_saved_and_replayed_to_the_same_cycle(bench_of, tmp_path):
    bench = bench_of("flawed/dial_reaches_60")
    ran = run("check", bench, "--json", "r.json", "--junit", "r.xml", cwd=tmp_path)
    assert ran.returncode == 1, ran.stdout + ran.stderr
    failed = json.loads((tmp_path / "r.json").read_text())["checks"][0]
    assert failed["mismatch"]["port"] == "minutes"
    assert f"cycle {failed['mismatch']['cycle']:,} ·" in ran.stdout
    assert "▲" in ran.stdout
    case = next(iter(next(iter(junitparser.JUnitXml.fromfile(str(tmp_path / "r.xml"))))))
    assert isinstance(case.result[0], junitparser.Failure)

    words = next(line for line in ran.stdout.splitlines() if "everyedge replay" in line).split()
    again = run(*words[words.index("replay") :], "--json", "-", cwd=tmp_path)
    assert again.returncode == 1, again.stderr
    assert json.loads(again.stdout)["checks"][0]["mismatch"] == failed["mismatch"]


def test_the_worst_of_several_benches_decides_and_all_are_told(bench_of):
    right, flawed = bench_of("counter_step"), bench_of("flawed/dial_reaches_60")
    ran = run("check", right, flawed)
    assert ran.returncode == 1
    assert "1 check fails, 1 passes" in ran.stdout.splitlines()[-1]


def test_only_runs_the_named_check(bench_of):
    ran = run("check", bench_of("counter_mod60_1995"), "--only", "minutes", "--json", "-")
    assert ran.returncode == 0, ran.stderr
    assert [check["name"] for check in json.loads(ran.stdout)["checks"]] == ["minutes"]


def test_the_same_seed_gives_the_same_run_and_another_is_reported(bench_of):
    bench = bench_of("counter_step")

    def facts(seed):
        check = json.loads(run("check", bench, "--seed", seed, "--json", "-").stdout)["checks"][0]
        return {key: check[key] for key in ("seed", "cycles", "coverage", "measured", "verdict")}

    assert facts(7) == facts(7)
    assert facts(8)["seed"] == 8


@pytest.mark.parametrize(("number", "status"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)])
def test_an_ended_run_reports_what_finished_and_leaves_nothing_running(bench_of, tmp_path, number, status):
    benches = [bench_of(name) for name in ("counter_step", "counter_mod60_1995", "divider_tick")]
    process = subprocess.Popen(
        [*COMMAND, "check", *benches, "--json", tmp_path / "r.json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    said = []
    for line in process.stdout:
        said.append(line)
        if "✓ pass" in line:
            break
    started = psutil.Process(process.pid).children(recursive=True)
    process.send_signal(number)
    rest, errors = process.communicate(timeout=30)
    assert process.returncode == status, errors
    assert "Traceback" not in errors
    assert "interrupted" in rest.splitlines()[-1]
    found = json.loads((tmp_path / "r.json").read_text())
    assert found["interrupted"] is True
    assert found["verdict"] == "undecided"
    assert found["checks"]
    assert psutil.wait_procs(started, timeout=10)[1] == []


def test_a_reader_that_leaves_early_ends_the_run(bench_of, tmp_path):
    words = " ".join(str(bench_of(name)) for name in ("counter_step", "counter_mod60_1995"))
    script = f"{' '.join(COMMAND)} check {words} | head -2 >/dev/null; echo ${{PIPESTATUS[0]}}"
    ran = subprocess.run(["/bin/bash", "-c", script], capture_output=True, text=True, check=True, timeout=120)
    assert ran.stdout.strip() == "141"
    assert "Traceback" not in ran.stderr
