from __future__ import annotations

import io
import threading

import pytest
from specimens import passing

from verify.errors import ToolError
from verify.report.closed import OutputClosed
from verify.report.look import line
from verify.report.printing import Printer
from verify.report.progress import LiveProgress, PlainProgress, Progress
from verify.report.summary import summary_line


class Clock:
    """A clock that the test moves."""

    now = 0.0

    def __call__(self):
        return self.now


def told(check):
    return [summary_line(check, 80)]


def test_a_finished_check_is_told_at_once():
    stream = io.StringIO()
    with Progress(Printer(stream), told) as progress:
        progress.check_started("converter", None)
        progress.check_finished(passing())
        assert "converter" in stream.getvalue()


def test_without_a_terminal_a_short_check_says_nothing_on_the_way():
    stream, aside, clock = io.StringIO(), io.StringIO(), Clock()
    with PlainProgress(Printer(stream), told, Printer(aside), clock) as progress:
        progress.check_started("timer", 1000)
        for step in range(9):
            clock.now = step
            progress.clocks("timer", step * 100, 1000)
    assert aside.getvalue() == ""


def test_without_a_terminal_a_long_check_says_every_ten_seconds_that_it_goes_on():
    stream, aside, clock = io.StringIO(), io.StringIO(), Clock()
    with PlainProgress(Printer(stream), told, Printer(aside), clock) as progress:
        progress.check_started("timer", 100_000)
        progress.stage("timer", "rollovers")
        for step in range(1, 26):
            clock.now = step
            progress.clocks("timer", step * 1000, 100_000)
    assert aside.getvalue().splitlines() == [
        "timer: rollovers, 10,000 of 100,000 clocks, 1 k clocks/s, 1 min 30 s left",
        "timer: rollovers, 20,000 of 100,000 clocks, 1 k clocks/s, 1 min 20 s left",
    ]


@pytest.mark.parametrize("width", [40, 60, 80])
def test_a_live_line_fits_the_terminal_and_keeps_the_stage(width, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(width))
    clock = Clock()
    screen = Printer(io.StringIO())
    progress = LiveProgress(screen, told, screen, clock)
    progress.check_started("minutes or seconds of the display", 1_000_000)
    progress.stage("minutes or seconds of the display", "rollovers")
    clock.now = 2.0
    progress.clocks("minutes or seconds of the display", 500_000, 1_000_000)
    row = progress.picture().plain
    assert len(row) < width
    assert "rollovers" in row


def test_a_stage_of_a_check_that_was_never_announced_is_no_error():
    with Progress(Printer(io.StringIO()), told) as progress:
        progress.stage("ghost", "building")
        progress.clocks("ghost", 5, None)
        progress.check_finished(passing())


def test_many_threads_may_report_at_once():
    stream = io.StringIO()
    with Progress(Printer(stream), told) as progress:

        def report(number):
            for done in range(50):
                progress.clocks(f"check {number}", done, 50)
            progress.check_finished(passing(name=f"check {number}"))

        threads = [threading.Thread(target=report, args=(number,)) for number in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    assert len(stream.getvalue().splitlines()) == 8


def test_a_reader_that_has_gone_ends_the_run_like_an_interrupt():
    class Gone(io.StringIO):
        def write(self, text):
            raise BrokenPipeError

    with pytest.raises(OutputClosed):
        Printer(Gone()).print([line("hello")])


def test_an_output_without_room_is_a_clear_error():
    class Full(io.StringIO):
        def write(self, text):
            raise OSError(28, "No space left on device")

    with pytest.raises(ToolError, match="the report could not be printed: No space left on device"):
        Printer(Full()).print([line("hello")])


def test_a_stream_that_takes_only_ascii_gets_stand_ins_of_the_same_width():
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding="ascii")
    Printer(stream).print([line("✓ 1 µs │ · ▲ 時 end")])
    assert raw.getvalue() == b"+ 1 us | . ^ ? end\n"


def test_the_total_of_one_stage_is_not_that_of_the_next():
    aside, clock = io.StringIO(), Clock()
    with PlainProgress(Printer(io.StringIO()), told, Printer(aside), clock) as progress:
        progress.check_started("timer", None)
        progress.stage("timer", "whole trip")
        progress.clocks("timer", 0, 1000)
        clock.now = 11
        progress.clocks("timer", 500, 1000)
        progress.stage("timer", "searching")
        clock.now = 22
        progress.clocks("timer", 1500, None)
    first, second = aside.getvalue().splitlines()
    assert first == "timer: whole trip, 500 of 1,000 clocks, 45.5 clocks/s, 11 s left"
    assert second == "timer: searching, 1,500 clocks, 90.9 clocks/s"
