"""A whole class at once: how many designs a minute, here and on a cluster that loses a worker.

``EVERYEDGE_SUBMISSIONS`` says how many there are. Rates are over wall time.
"""

from __future__ import annotations

import csv
import itertools
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from findings import LINES

sys.path.insert(0, str(Path(__file__).parents[1] / "grading"))
from designs import BENCH, COUNTER, NO_CARRY, renamed

SUBMISSIONS = int(os.environ.get("EVERYEDGE_SUBMISSIONS", "24"))
WORKERS = 2
IGNORES_ENABLE = COUNTER.replace("else if (enable)", "else")
LATE_RESET = COUNTER.replace(" or negedge rst_n", "")


def submissions(count: int) -> dict[str, tuple[str, str, str]]:
    """Name -> Verilog and what the two checks come to: no two alike, most of them wrong as people are."""
    sorts = {
        "right": (COUNTER, "pass", "pass"),
        "other_names": (renamed(COUNTER), "pass", "pass"),
        "nine_missing": (COUNTER.replace("4'd9", "4'd8"), "fail", "fail"),
        "one_too_many": (COUNTER.replace("4'd9", "4'd10"), "fail", "fail"),
        "no_carry": (NO_CARRY, "pass", "fail"),
        "never_pauses": (IGNORES_ENABLE, "fail", "fail"),
        "late_reset": (LATE_RESET, "fail", "fail"),
        "half_a_file": (COUNTER[:150], "error", "error"),
    }
    turns = itertools.islice(itertools.cycle(sorts.items()), count)
    return {
        f"{sort}_{number}": (f"{text}// number {number}\n", first, second)
        for number, (sort, (text, first, second)) in enumerate(turns)
    }


def graded(folder: Path, name: str, *words: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "verify", "grade", "in", "--bench", "bench.toml"]
    command += ["--csv", f"{name}.csv", "--state", f"{name}.jsonl", *words]
    return subprocess.Popen(command, cwd=folder, stdout=subprocess.PIPE, text=True)


def verdicts(file: Path) -> dict[str, tuple[str, str]]:
    with file.open(newline="") as stream:
        rows = list(csv.DictReader(stream))
    found = {row["submission"]: (row["count"], row["carry"]) for row in rows}
    assert len(found) == len(rows)
    return found


def test_a_class_here_and_on_a_cluster_that_loses_a_worker(tmp_path: Path) -> None:
    distributed = pytest.importorskip("distributed")
    (tmp_path / "bench.toml").write_text(BENCH)
    (tmp_path / "in").mkdir()
    wanted = submissions(SUBMISSIONS)
    for name, (text, *_) in wanted.items():
        (tmp_path / "in" / f"{name}.v").write_text(text)
    expected = {name: (first, second) for name, (_, first, second) in wanted.items()}

    begin = time.perf_counter()
    said, _ = graded(tmp_path, "here").communicate()
    here = time.perf_counter() - begin
    assert verdicts(tmp_path / "here.csv") == expected, said

    options = {"threads_per_worker": 1, "processes": True, "dashboard_address": None, "silence_logs": 50}
    with distributed.LocalCluster(
        n_workers=WORKERS, **options, local_directory=str(tmp_path / "dask")
    ) as cluster:
        begin = time.perf_counter()
        process = graded(tmp_path, "there", "--cluster", cluster.scheduler_address)
        state = tmp_path / "there.jsonl"
        while process.poll() is None and (
            not state.exists() or state.read_bytes().count(b"\n") < SUBMISSIONS // 2
        ):
            time.sleep(0.1)
        killed = process.poll() is None
        if killed:
            os.kill(next(iter(cluster.workers.values())).pid, signal.SIGKILL)
        said, _ = process.communicate()
        there = time.perf_counter() - begin
    assert killed, "it was over before half of it was there"
    assert verdicts(tmp_path / "there.csv") == expected, said
    assert state.read_bytes().count(b"\n") == SUBMISSIONS

    cores = len(os.sched_getaffinity(0))
    LINES.extend(
        [f"| {SUBMISSIONS} designs, two checks each | s | designs a minute | each |", "|---|--:|--:|--:|"]
    )
    for name, seconds, number, each in (
        ("this machine", here, cores, "core"),
        ("Dask, one worker killed half-way", there, WORKERS, "worker"),
    ):
        rate = 60 * SUBMISSIONS / seconds
        LINES.append(f"| {name} | {seconds:.0f} | {rate:.1f} | {rate / number:.1f} a {each} |")
    LINES.append("")
