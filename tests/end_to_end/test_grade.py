"""``everyedge grade`` as somebody uses it with a class: interrupted, resumed, and on a cluster."""

from __future__ import annotations

import csv
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "grading"))
from designs import BENCH, COUNTER, NEVER_NINE, NO_CARRY

from verify.cli import main
from verify.grading import cluster

COMMAND = [sys.executable, "-m", "verify", "grade"]


@pytest.fixture
def school(tmp_path):
    (tmp_path / "bench.toml").write_text(BENCH)
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "ada.v").write_text(COUNTER)
    (folder / "bo.v").write_text(NEVER_NINE)
    (folder / "cy").mkdir()
    (folder / "cy" / "decade.v").write_text(NEVER_NINE + "// the same in a folder\n")
    (folder / "cy" / "tb.v").write_text("module tb; initial begin nonsense(); $finish; end endmodule\n")
    (folder / "di.v").write_text(NO_CARRY)
    (folder / "=1+1.v").write_text("module decade (\n")
    (folder / "notes.txt").write_text("not a design")
    (folder / "empty").mkdir()
    return tmp_path


def grade(school, *words):
    command = [*COMMAND, "in", "--bench", "bench.toml", *words]
    return subprocess.run(command, cwd=school, capture_output=True, text=True, timeout=300, check=False)


def verdicts(file):
    with file.open(newline="") as stream:
        return {
            row["submission"]: (row["count"], row["carry"], row["marks"]) for row in csv.DictReader(stream)
        }


EXPECTED = {
    "ada": ("pass", "pass", "3.5"),
    "bo": ("fail", "fail", "0"),
    "cy": ("fail", "fail", "0"),
    "di": ("pass", "fail", "3"),
    "'=1+1": ("error", "error", "0"),
}


def test_a_class_is_graded_grouped_and_kept(school):
    ran = grade(school, "--csv", "m.csv", "--html", "pages")
    assert ran.returncode == 3, ran.stdout + ran.stderr
    assert verdicts(school / "m.csv") == EXPECTED
    assert "2 designs: count: count " in ran.stdout
    assert "5 designs, 1 pass, 4 do not, 1 for a person to look at" in " ".join(ran.stdout.split())
    assert len(list((school / "pages" / "designs").glob("*.html"))) == 5
    page = (school / "pages" / "designs" / "cy.html").read_text()
    assert "decade.v" in page
    assert "<svg" in page
    assert not list((school / "in").rglob(".everyedge"))

    again = grade(school, "--csv", "m.csv")
    assert "5 of them kept from before" in " ".join(again.stdout.split())
    (school / "in" / "bo.v").write_text(COUNTER)
    third = grade(school, "--csv", "m.csv")
    assert "4 of them kept from before" in " ".join(third.stdout.split())
    assert verdicts(school / "m.csv") == {**EXPECTED, "bo": EXPECTED["ada"]}


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGINT])
def test_an_interrupted_grading_goes_on_where_it_was_and_leaves_no_process(school, number):
    state = school / "s.jsonl"
    words = ["in", "--bench", "bench.toml", "--state", "s.jsonl", "--jobs", "1"]
    process = subprocess.Popen([*COMMAND, *words], cwd=school, stdout=subprocess.PIPE, text=True)
    while not state.exists() or state.read_bytes().count(b"\n") < 2:
        assert process.poll() is None
        time.sleep(0.02)
    below = psutil.Process(process.pid).children(recursive=True)
    process.send_signal(number)
    said, _ = process.communicate(timeout=60)
    assert process.returncode == (130 if number == signal.SIGINT else -9)
    assert ("of 5 graded" in said) is (number == signal.SIGINT)
    _, alive = psutil.wait_procs(below, timeout=60)
    assert [each.as_dict(["name", "status"]) for each in alive] == []
    kept = state.read_bytes().count(b"\n")
    ran = grade(school, "--csv", "m.csv", "--state", "s.jsonl")
    assert verdicts(school / "m.csv") == EXPECTED
    assert f"{kept} of them kept from before" in " ".join(ran.stdout.split())


def test_what_cannot_be_graded_is_an_error_at_once(school, monkeypatch, capfd):
    monkeypatch.chdir(school)
    monkeypatch.setattr(cluster, "CONNECT_SECONDS", 1)
    (school / "bare").mkdir()
    (school / "bad.toml").write_text(BENCH.replace('model = "counter"', 'modle = "counter"'))
    for words, said in [
        (["bare", "--bench", "bench.toml"], "there is no Verilog in bare"),
        (["in", "--bench", "bad.toml"], "bad.toml:12:1: error:"),
        (["in", "--bench", "bench.toml", "--only", "cout"], "no check is called 'cout'"),
        (["in", "--bench", "bench.toml", "--provide", "no.v"], "no.v, which every design is to be compiled"),
        (["in", "--bench", "bench.toml", "--cluster", "tcp://127.0.0.1:9"], "no Dask scheduler answers"),
    ]:
        monkeypatch.setattr(sys, "argv", ["everyedge", "grade", *words])
        with pytest.raises(SystemExit, match="2"):
            main()
        assert said in capfd.readouterr().err


def test_a_cluster_grades_the_same_with_a_worker_killed_half_way(school):
    distributed = pytest.importorskip("distributed")
    for number in range(3):
        (school / "in" / f"more{number}.v").write_text(COUNTER + f"// {number}\n")
    options = {"n_workers": 2, "threads_per_worker": 1, "processes": True, "dashboard_address": None}
    with distributed.LocalCluster(
        **options, local_directory=str(school / "dask"), silence_logs=50
    ) as workers:
        words = ["in", "--bench", "bench.toml", "--csv", "m.csv", "--state", "s.jsonl"]
        words += ["--cluster", workers.scheduler_address]
        process = subprocess.Popen([*COMMAND, *words], cwd=school, stdout=subprocess.PIPE, text=True)
        state = school / "s.jsonl"
        while not state.exists() or state.read_bytes().count(b"\n") < 3:
            assert process.poll() is None
            time.sleep(0.02)
        os.kill(next(iter(workers.workers.values())).pid, signal.SIGKILL)
        said, _ = process.communicate(timeout=240)
    assert process.returncode == 3, said
    more = {f"more{number}": EXPECTED["ada"] for number in range(3)}
    assert verdicts(school / "m.csv") == {**EXPECTED, **more}
    names = [json.loads(line.partition(" ")[2])["graded"]["name"] for line in state.read_text().splitlines()]
    assert sorted(names) == sorted([*more, "ada", "bo", "cy", "di", "=1+1"])
