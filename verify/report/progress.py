"""How a run goes: redrawn lines on a terminal, now and then a plain line elsewhere."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from types import TracebackType

from rich.live import Live
from rich.text import Text

from verify.report.figures import count, duration, rate
from verify.report.look import Lines, ascii_only, fitted, line
from verify.report.printing import Printer
from verify.results import CheckResult

__all__ = ["LiveProgress", "PlainProgress", "Progress"]

Finished = Callable[[CheckResult], Lines]
"""What to say of a check that has ended."""

PLAIN_SECONDS = 10.0
"""Without a terminal, how often a long check says that it is alive."""

REDRAWS_PER_SECOND = 8


class _Running:
    """A check that is under way."""

    def __init__(self, name: str, total: int | None, now: float) -> None:
        self.name, self.total, self.announced, self.started = name, total, total, now
        self.stage, self.done, self.counting_since = "", 0, now
        self.counted_from = 0

    def enter(self, stage: str, now: float) -> None:
        """The rate is that of the stage: another one builds, or plays other stimuli."""
        self.stage, self.total = stage, self.announced
        self.counting_since, self.counted_from = now, self.done

    def count(self, done: int, total: int | None, now: float) -> None:
        if done < self.counted_from:
            self.counting_since, self.counted_from = now, done
        self.done = done
        self.total = total if total is not None else self.total

    def told(self, now: float) -> list[str]:
        """Stage, clocks done, rate, time left: what is known of them, most telling first."""
        seconds = now - self.counting_since
        told = [self.stage or "starting"]
        if self.total and self.total >= self.done:
            told.append(f"{count(self.done)} of {count(self.total)} clocks")
        elif self.done:
            told.append(f"{count(self.done)} clocks")
        moved = self.done - self.counted_from
        if moved > 0 and seconds > 0.2:
            told.append(rate(moved, seconds))
            if self.total and self.total > self.done:
                told.append(f"{duration((self.total - self.done) * seconds / moved)} left")
        else:
            told.append(duration(now - self.started))
        return told


class _Board:
    """Which checks are under way; every change under one lock."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self.lock = threading.RLock()
        self.running: dict[str, _Running] = {}
        self.finished = 0
        self.clock = clock

    def check_started(self, name: str, expected_clocks: int | None) -> None:
        with self.lock:
            self.running[name] = _Running(name, expected_clocks, self.clock())

    def _of(self, name: str) -> _Running:
        if name not in self.running:
            self.check_started(name, None)
        return self.running[name]

    def stage(self, name: str, text: str) -> None:
        with self.lock:
            self._of(name).enter(text, self.clock())

    def clocks(self, name: str, done: int, total: int | None) -> None:
        with self.lock:
            self._of(name).count(done, total, self.clock())

    def end(self, name: str) -> None:
        with self.lock:
            self.running.pop(name, None)
            self.finished += 1


class Progress(_Board):
    """A listener that says what there is to say of a finished check; safe to call from any thread."""

    def __init__(
        self, printer: Printer, finished: Finished, clock: Callable[[], float] = time.monotonic
    ) -> None:
        super().__init__(clock)
        self.printer, self.finished_lines = printer, finished

    def __enter__(self) -> Progress:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        return None

    def check_finished(self, result: CheckResult) -> None:
        """Print the lines of the check."""
        with self.lock:
            self.end(result.name)
            self.printer.print(self.finished_lines(result))


class PlainProgress(Progress):
    """A line to ``aside`` every few seconds while a check goes on."""

    def __init__(
        self,
        printer: Printer,
        finished: Finished,
        aside: Printer,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        super().__init__(printer, finished, clock)
        self.aside, self.last = aside, clock()

    def stage(self, name: str, text: str) -> None:
        """Remember the stage, and say it when nothing was said for long."""
        super().stage(name, text)
        self._say(name)

    def clocks(self, name: str, done: int, total: int | None) -> None:
        """Remember the count, and say it when nothing was said for long."""
        super().clocks(name, done, total)
        self._say(name)

    def _say(self, name: str) -> None:
        with self.lock:
            now = self.clock()
            if now - self.last >= PLAIN_SECONDS:
                self.last = now
                self.aside.print([line(f"{name}: {', '.join(self.running[name].told(now))}")])


class LiveProgress(Progress):
    """The checks under way at the bottom of the terminal, the finished ones above."""

    def __init__(
        self,
        printer: Printer,
        finished: Finished,
        screen: Printer,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        super().__init__(printer, finished, clock)
        self.screen = screen
        self.live = Live(
            get_renderable=self.picture,
            console=screen.console,
            refresh_per_second=REDRAWS_PER_SECOND,
            transient=True,
            redirect_stdout=False,
            redirect_stderr=False,
        )

    def __enter__(self) -> LiveProgress:
        self.live.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.live.stop()

    def picture(self) -> Text:
        """One line for every check under way, cut to the terminal."""
        with self.lock:
            now = self.clock()
            rows = [self._row(check, now) for check in list(self.running.values())[: self._height()]]
        return Text("\n", end="").join(rows)

    def _height(self) -> int:
        return max(self.screen.console.height - 3, 1)

    def _row(self, check: _Running, now: float) -> Text:
        width = self.screen.width - 1
        name = fitted(check.name, width // 3)
        told, room = check.told(now), width - len(name) - 4
        while len(told) > 1 and len(" · ".join(told)) > room:
            told.pop(1 if len(told) > 2 else -1)
        row = line(("… ", "cyan"), (name, "bold"), "  ", (fitted(" · ".join(told), room), "cyan"))
        return ascii_only(row) if self.screen.ascii else row
