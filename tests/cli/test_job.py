"""From jobs to one exit status, whatever happens on the way."""

from __future__ import annotations

import contextlib
import importlib
import json
import os
import re
import signal
import sys
import time
from pathlib import Path

import pytest

from verify.cli.job import Job, run_jobs
from verify.cli.reporting import Reporting
from verify.ending import Ended, Ending, ended_by_signals
from verify.errors import BenchError, Place
from verify.results import CheckResult, RunResult, Verdict


def check(verdict, name="converter"):
    return CheckResult(
        name, "bcd", "bin_to_bcd", Verdict(verdict), f"it is {verdict}", cycles=10, seconds=0.1
    )


def giving(name, *verdicts):
    """A job that tells its checks and returns them."""

    def run(listener):
        checks = tuple(check(verdict, f"{name} {number}") for number, verdict in enumerate(verdicts))
        for each in checks:
            listener.check_finished(each)
        return RunResult(checks, Path(name))

    return Job(Path(name), run)


def raising(name, error, *verdicts):
    """A job that tells its checks and then raises."""

    def run(listener):
        giving(name, *verdicts).run(listener)
        raise error

    return Job(Path(name), run)


@pytest.fixture
def carried_out(tmp_path, capsys):
    """Run jobs: status, JSON, standard output, standard error."""

    def run(*jobs, level="normal", ending=None):
        file = tmp_path / "result.json"
        status = run_jobs(
            lambda: jobs, Path("here"), Reporting(file, None, "auto", level, ending or Ending())
        )
        said = capsys.readouterr()
        return status, json.loads(file.read_text()), said.out, said.err

    return run


@pytest.mark.parametrize(
    ("verdicts", "status"),
    [
        (["pass"], 0),
        (["pass", "fail"], 1),
        (["pass", "undecided"], 3),
        (["undecided", "fail"], 1),
        (["fail", "error"], 2),
        ([], 3),
    ],
)
def test_the_worst_verdict_decides_the_exit_status(carried_out, verdicts, status):
    assert carried_out(giving("a", *verdicts))[0] == status
    assert carried_out(*(giving(f"job{n}", verdict) for n, verdict in enumerate(verdicts)))[0] == status


def test_an_error_of_one_bench_does_not_keep_the_others_from_running(carried_out):
    error = BenchError("a bad key", place=Place(Path("a.toml"), 3, 1, "bad = 1"), advice="drop it")
    status, found, out, err = carried_out(raising("a", error), giving("b", "fail"))
    assert status == 2
    assert found["verdict"] == "error"
    assert [each["name"] for each in found["checks"]] == ["b 0"]
    assert err.startswith("a.toml:3:1: error: a bad key\n")
    assert "1 could not start, 1 check fails" in out


def test_the_unexpected_is_one_line_and_a_report_file(carried_out):
    status, found, _, err = carried_out(
        raising("a", ZeroDivisionError("by nought"), "pass"), giving("b", "pass")
    )
    assert status == 2
    assert err.startswith("everyedge: error: something unexpected went wrong: ZeroDivisionError: by nought\n")
    assert "Traceback" not in err
    report = Path(re.search(r"\S+everyedge-report-\S+\.txt", err).group())
    assert "Traceback (most recent call last)" in report.read_text()
    report.unlink()
    assert found["error"]["kind"] == "internal"
    assert [each["name"] for each in found["checks"]] == ["a 0", "b 0"]


def test_an_interrupt_ends_the_run_and_reports_what_finished(carried_out):
    status, found, out, _ = carried_out(raising("a", KeyboardInterrupt(), "pass"), giving("b", "pass"))
    assert status == 130
    assert found["interrupted"] is True
    assert found["verdict"] == "undecided"
    assert [each["name"] for each in found["checks"]] == ["a 0"]
    assert "✓ pass      a 0" in out
    assert out.splitlines()[-1].startswith("? undecided 1 check passes, interrupted")


def test_a_signal_to_terminate_ends_like_an_interrupt(carried_out):
    def run(listener):
        os.kill(os.getpid(), signal.SIGTERM)
        return giving("a", "pass").run(listener)

    with ended_by_signals() as ending:
        status, found, _, _ = carried_out(Job(Path("a"), run), giving("b", "pass"), ending=ending)
    assert status == 143
    assert found["interrupted"] is True
    assert found["checks"] == []
    assert signal.getsignal(signal.SIGTERM) is signal.SIG_DFL


def test_an_interrupt_that_a_library_made_an_error_of_its_own_is_still_one(carried_out):
    def run(listener):
        try:
            os.kill(os.getpid(), signal.SIGINT)
        except KeyboardInterrupt:
            raise TypeError("incompatible function arguments") from None

    with ended_by_signals() as ending:
        status, found, _, err = carried_out(Job(Path("a"), run), giving("b", "pass"), ending=ending)
    assert status == 130
    assert found["interrupted"] is True
    assert err == ""


def test_an_interrupt_that_got_lost_is_raised_again_at_the_next_sign_of_life(carried_out):
    def run(listener):
        with contextlib.suppress(KeyboardInterrupt):
            os.kill(os.getpid(), signal.SIGINT)
        listener.stage("a", "searching")
        raise AssertionError("never reached")

    with ended_by_signals() as ending:
        status, *_ = carried_out(Job(Path("a"), run), ending=ending)
    assert status == 130


def test_a_signal_that_is_ignored_stays_ignored():
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        with ended_by_signals():
            assert signal.getsignal(signal.SIGHUP) is signal.SIG_IGN
    finally:
        signal.signal(signal.SIGHUP, before)


def test_checks_that_nobody_announced_are_told_all_the_same(carried_out):
    silent = Job(Path("a"), lambda listener: RunResult((check("pass", "quiet one"),), Path("a")))
    assert "✓ pass      quiet one" in carried_out(silent)[2]


def test_quiet_leaves_the_total_line_alone(carried_out):
    out = carried_out(giving("a", "pass", "fail"), giving("b", "pass"), level="quiet")[2]
    assert len(out.splitlines()) == 1


def test_several_benches_are_told_apart(carried_out):
    out = carried_out(giving("a.toml", "pass"), giving("b.toml", "pass"))[2]
    assert out.splitlines()[0] == "a.toml"
    assert "b.toml" in out.splitlines()


def test_json_on_standard_output_leaves_nothing_else_there(capsys):
    status = run_jobs(lambda: [giving("a", "fail")], Path(), Reporting(Path("-"), None, "auto", "normal"))
    said = capsys.readouterr()
    assert status == 1
    assert json.loads(said.out)["verdict"] == "fail"
    assert "✗ fail" in said.err


def test_a_result_that_cannot_be_written_is_no_success(capsys):
    if not Path("/dev/full").exists():
        pytest.skip("no /dev/full here")
    full = Reporting(Path("/dev/full"), None, "auto", "normal")
    assert run_jobs(lambda: [giving("a", "pass")], Path(), full) == 2
    said = capsys.readouterr()
    assert "could not be written to /dev/full: No space left on device" in said.err
    assert "✓ pass" in said.out


def test_junit_and_json_are_both_written(tmp_path):
    json_file, junit_file = tmp_path / "r.json", tmp_path / "r.xml"
    run_jobs(lambda: [giving("a", "pass")], Path(), Reporting(json_file, junit_file, "auto", "quiet"))
    assert json.loads(json_file.read_text())["verdict"] == "pass"
    assert 'testcase name="a 0"' in junit_file.read_text()


def test_an_error_in_finding_the_jobs_is_in_the_results(tmp_path):
    def find():
        raise BenchError("there is none")

    file = tmp_path / "r.json"
    assert run_jobs(find, Path("here"), Reporting(file, None, "auto", "normal")) == 2
    assert json.loads(file.read_text())["errors"][0]["bench"] == "here"


def test_every_finished_check_is_reported_once(carried_out):
    _, found, out, _ = carried_out(giving("a", "pass", "pass"))
    assert len(found["checks"]) == 2
    assert out.count("a 0") == 1


def load_and_wait(name: str) -> None:
    assert importlib.import_module(name).whole
    for _ in range(100):
        time.sleep(0.02)


def test_a_signal_during_an_import_waits_until_the_module_is_there(tmp_path, monkeypatch) -> None:
    """A module in C++ that is being loaded would end the process over the exception."""
    (tmp_path / "loading.py").write_text(
        "import os, signal, time\nos.kill(os.getpid(), signal.SIGTERM)\nwhole = True\n", encoding="utf-8"
    )
    monkeypatch.syspath_prepend(tmp_path)
    with ended_by_signals() as ending:
        with pytest.raises(Ended, match=r"^$"):
            load_and_wait("loading")
        assert ending.status == 128 + signal.SIGTERM
    assert "loading" in sys.modules
