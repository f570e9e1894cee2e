from __future__ import annotations

import pickle
import signal
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest

from verify.checks import Settings
from verify.checks.engine import LOAD
from verify.checks.jobs import CheckJob
from verify.errors import BenchError, DesignError, EveryedgeError, Place, SimulationFault, ToolError
from verify.report.crash import Crash
from verify.results import CheckResult, Verdict
from verify.workers import Limits, Pool, Trouble

EXAMPLES = Path(__file__).parents[2] / "rtl_examples"


class Eval:
    """Pickles as a call of ``eval`` that makes an object with ``run``."""

    def __init__(self, code):
        self.code = code

    def __reduce__(self):
        made = f"type('Made', (), {{'run': lambda self, tell: {self.code}}})()"
        return (eval, (made,))


def outcomes(pool):
    return {finished.key: finished.outcome for finished in pool.all()}


def test_checks_come_to_the_verdicts_that_they_have_in_one_process():
    names = {"bcd_registered": Verdict.PASS, "flawed/five_without_f": Verdict.FAIL}
    checks = {"bcd_registered": "bcd_registered: bcd", "flawed/five_without_f": "digit_decoder: segments"}
    with Pool(2, load=LOAD) as pool:
        for name in names:
            pool.add(name, CheckJob(EXAMPLES / name / "bench.toml", checks[name], Settings(examples=5)))
        pool.add("none", CheckJob(EXAMPLES / "none.toml", "any", Settings()))
        found = outcomes(pool)
    for name, verdict in names.items():
        assert isinstance(found[name], CheckResult)
        assert found[name].verdict is verdict
    assert isinstance(found["none"], BenchError)
    assert found["none"].place == Place(EXAMPLES / "none.toml")


def test_a_job_that_dies_hangs_or_takes_all_memory_ends_alone():
    with Pool(2, Limits(seconds=8, memory_bytes=3 << 30)) as pool:
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
    assert "more than 8 s" in found["hangs"].message


def test_a_worker_killed_from_outside_loses_its_job_and_no_other():
    with Pool(1) as pool:
        pool.add("killed", Eval("__import__('os').kill(__import__('os').getppid(), 9) or 1"))
        pool.add("next", Eval("5"))
        found = outcomes(pool)
    assert found["killed"].kind == "died"
    assert found["killed"].message == "the process that checked it was ended from outside"
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


@pytest.mark.parametrize(
    "error",
    [
        BenchError("wrong", place=Place(Path("b.toml"), 3, 1, "x"), advice="do so"),
        DesignError("no", place=Place(Path("d.v"))),
        ToolError("none"),
        Crash("oh", advice="report it"),
        SimulationFault("hang", "it hangs", cycle=5, log="a b", advice="look"),
        Trouble("limit", "too long", advice="be short"),
    ],
)
def test_an_error_travels_whole(error: EveryedgeError):
    told = pickle.loads(pickle.dumps(error))
    assert type(told) is type(error)
    assert vars(told) == vars(error)
    assert str(told) == str(error)


def test_what_a_job_says_comes_before_what_it_comes_to_and_to_nobody_else():
    said = {"a": [], "b": []}
    with Pool(2) as pool:
        for key, heard in said.items():
            pool.add(key, Eval(f"[tell(({key!r}, n)) for n in range(300)] and {key!r}"), heard=heard.append)
        for finished in pool.all():
            assert said[finished.key] == [(finished.key, n) for n in range(300)]
            assert finished.outcome == finished.key


def test_much_is_said_in_both_directions_at_once():
    big = "x" * 3_000_000
    with Pool(2) as pool:
        for key in range(6):
            pool.add(key, Eval(f"len({big!r}) * '{key}'"))
        found = outcomes(pool)
    assert found == {key: str(key) * len(big) for key in range(6)}


def test_lower_ranks_are_done_first_and_equal_ones_in_their_order():
    with Pool(1) as pool:
        for key, rank in [("c", 1), ("d", 2), ("a", 0), ("e", 2), ("b", 0)]:
            pool.add(key, Eval("1"), rank=rank)
        assert "".join(finished.key for finished in pool.all()) == "abcde"


STUBBORN = "[__import__('signal').signal(15, 1), tell('ready'), __import__('time').sleep(60)]"
CAREFUL = """
import tempfile, time
with tempfile.TemporaryDirectory(dir=folder):
    tell("ready")
    time.sleep(60)
"""


@pytest.mark.parametrize("leave", ["cancel", "close"])
def test_a_job_that_is_stopped_puts_its_things_away_and_one_that_will_not_is_killed(tmp_path, capfd, leave):
    heard, folder = [], tmp_path / "tmp"
    folder.mkdir()
    careful = f"exec({CAREFUL!r}, {{'tell': tell, 'folder': {str(folder)!r}}})"
    with Pool(2) as pool:
        pool.add("stubborn", Eval(STUBBORN), heard=heard.append)
        pool.add("careful", Eval(careful), heard=heard.append)
        while len(heard) < 2:
            assert not list(pool.finished())
        assert len(list(folder.iterdir())) == 1
        family = psutil.Process().children(recursive=True)
        if leave == "cancel":
            pool.cancel("stubborn")
            pool.cancel("careful")
            assert {type(outcome) for outcome in outcomes(pool).values()} == {Trouble}
    assert list(folder.iterdir()) == []
    _, alive = psutil.wait_procs(family, timeout=60)
    assert alive == []
    assert capfd.readouterr().err == ""


UNLUCKY = """
import os, tempfile, time
class Finalised:
    def __del__(self):
        os.kill(os.getpid(), 15)
        time.sleep(0.01)  # a bytecode at which Python hears it
with tempfile.TemporaryDirectory(dir=folder):
    victim = Finalised()
    del victim
    time.sleep(60)
"""


def test_a_job_that_is_stopped_in_a_finaliser_leaves_all_the_same_without_a_word(tmp_path, capfd):
    unlucky = f"exec({UNLUCKY!r}, {{'folder': {str(tmp_path)!r}}})"
    with Pool(1) as pool:
        pool.add("unlucky", Eval(unlucky))
        assert {type(outcome) for outcome in outcomes(pool).values()} == {Trouble}
    assert list(tmp_path.iterdir()) == []
    assert capfd.readouterr().err == ""


def test_a_pool_whose_host_cannot_start_says_so():
    with Pool(1, load="verify.no_such_room:load") as pool:
        pool.add("any", Eval("1"))
        with pytest.raises(ToolError, match="no worker process starts"):
            list(pool.all())


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM])
def test_nothing_is_left_when_whoever_asked_is_killed(number):
    code = f"""
from pathlib import Path
from verify.checks import Settings
from verify.checks.jobs import CheckJob
from verify.workers import Pool
with Pool(1) as pool:
    pool.add("long", CheckJob(Path({str(EXAMPLES / "exposure_timer/bench.toml")!r}), "display", Settings()))
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
    _, alive = psutil.wait_procs(below, timeout=60)
    assert [process.as_dict(["name", "status", "cmdline"]) for process in alive] == []
