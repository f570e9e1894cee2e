from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest

from verify.errors import BenchError, Place
from verify.results import RunResult, Verdict
from verify.workers import BenchJob, Limits, Pool, Trouble
from verify.workers import jobs as workers_jobs

EXAMPLES = Path(__file__).parents[2] / "rtl_examples"


class Eval:
    """Pickles as a call of ``eval`` that makes an object with ``run``."""

    def __init__(self, code):
        self.code = code

    def __reduce__(self):
        made = f"type('Made', (), {{'run': lambda self: {self.code}}})()"
        return (eval, (made,))


def outcomes(pool):
    return {finished.key: finished.outcome for finished in pool.all()}


def test_checks_come_to_the_verdicts_that_they_have_in_one_process():
    names = {"bcd_registered": Verdict.PASS, "flawed/five_without_f": Verdict.FAIL}
    with Pool(2) as pool:
        for name in names:
            pool.add(name, BenchJob(EXAMPLES / name / "bench.toml"))
        pool.add("none", BenchJob(EXAMPLES / "none.toml"))
        found = outcomes(pool)
    for name, verdict in names.items():
        assert isinstance(found[name], RunResult)
        assert found[name].verdict is verdict
    assert found["none"].kind == "bench"
    assert found["none"].error.place.file == EXAMPLES / "none.toml"


def test_a_job_that_dies_hangs_or_takes_all_memory_ends_alone():
    with Pool(2, Limits(seconds=4, memory_bytes=3 << 30)) as pool:
        pool.add("dies", Eval("__import__('os').abort()"))
        pool.add("leaves", Eval("__import__('os')._exit(3)"))
        pool.add("eats", Eval("len(bytearray(8 << 30))"))
        pool.add("raises", Eval("1 // 0"))
        pool.add("hangs", Eval("__import__('time').sleep(60)"))
        pool.add("works", Eval("6 * 7"))
        found = outcomes(pool)
    assert found.pop("works") == 42
    assert {key: trouble.kind for key, trouble in found.items()} == {
        "dies": "died",
        "leaves": "died",
        "eats": "limit",
        "raises": "internal",
        "hangs": "limit",
    }
    assert "SIGABRT" in found["dies"].message
    assert "more than 4 s" in found["hangs"].message


def test_a_worker_killed_from_outside_loses_its_job_and_no_other():
    with Pool(1) as pool:
        pool.add("killed", Eval("__import__('os').kill(__import__('os').getppid(), 9) or 1"))
        pool.add("next", Eval("5"))
        found = outcomes(pool)
    assert found["killed"] == Trouble("died", "the process that checked it was ended from outside")
    assert found["next"] == 5


def test_a_cancelled_job_ends_at_once_and_the_worker_goes_on():
    with Pool(1) as pool:
        pool.add("long", Eval("__import__('time').sleep(60)"))
        pool.add("waits", Eval("1"))
        pool.warm_up()
        next(iter(pool.finished()), None)
        pool.cancel("waits")
        pool.cancel("long")
        pool.add("short", Eval("2"))
        found = outcomes(pool)
    assert found["long"].kind == "cancelled"
    assert found["short"] == 2
    assert "waits" not in found


def test_an_error_travels_with_its_place_and_advice():
    error = BenchError("wrong", place=Place(Path("b.toml"), 3, 1, "x"), advice="do so")
    told = workers_jobs.trouble_of(error).error
    assert (told.kind, told.message, told.place, told.advice) == ("bench", "wrong", error.place, "do so")


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM])
def test_nothing_is_left_when_whoever_asked_is_killed(number):
    code = f"""
from pathlib import Path
from verify.workers import BenchJob, Pool
with Pool(1) as pool:
    pool.add("long", BenchJob(Path({str(EXAMPLES / "exposure_timer/bench.toml")!r})))
    print("begun", flush=True)
    list(pool.all())
"""
    asker = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
    assert asker.stdout.readline() == "begun\n"
    below = []
    deadline = time.monotonic() + 60
    while not any(process.name() == "vvp" for process in below) and time.monotonic() < deadline:
        time.sleep(0.1)
        below = psutil.Process(asker.pid).children(recursive=True)
    asker.send_signal(number)
    asker.wait(10)
    asker.stdout.close()
    _, alive = psutil.wait_procs(below, timeout=20)
    assert alive == []
