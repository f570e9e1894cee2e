"""Somebody ends the command, at an unlucky moment."""

from __future__ import annotations

import os
import signal
import sys
import time

import pytest

from verify.ending import Ended, ended_by_signals

LONG_SECONDS = 20.0


class Finalised:
    def __init__(self, act) -> None:
        self.act = act

    def __del__(self) -> None:
        self.act()


def interrupt() -> None:
    os.kill(os.getpid(), signal.SIGINT)
    time.sleep(0.01)  # a bytecode at which Python hears it


def run_into_it() -> None:
    with ended_by_signals() as ending:
        victim = Finalised(interrupt)
        del victim
        assert ending.status == 128 + signal.SIGINT
        time.sleep(LONG_SECONDS)


def test_ctrl_c_in_a_finaliser_comes_again_without_a_word(capfd) -> None:
    with pytest.raises(Ended):
        run_into_it()
    assert capfd.readouterr().err == ""


def test_what_else_goes_wrong_in_a_finaliser_is_told_as_ever(monkeypatch) -> None:
    told = []
    monkeypatch.setattr(sys, "unraisablehook", told.append)
    with ended_by_signals():
        victim = Finalised(lambda: 1 // 0)
        del victim
    assert [type(lost.exc_value) for lost in told] == [ZeroDivisionError]
    assert sys.unraisablehook == told.append
