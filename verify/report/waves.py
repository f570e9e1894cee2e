"""The cycles around a difference as a value change dump (IEEE 1364-2005 §18), for any viewer.

The design's ports stand in a scope named after its module, its own signals beside them and in the
scopes of its instances, what was expected in the scope ``golden``, under the names of the ports.
Cycle *k* of the stimulus takes the time from *k* to *k* + 1 periods; the clock rises at its end,
and what stands in it was sampled just before.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from operator import itemgetter
from typing import Any

from vcd import VCDWriter
from vcd.writer import Variable

from verify.pictures import Internals
from verify.report.figures import clean
from verify.report.lanes import PULSE_SHARES, Lane, Window, window_of
from verify.report.outcome import Outcome
from verify.results import CheckResult

__all__ = ["GOLDEN", "as_vcd", "dumps"]

GOLDEN = "golden"

SIMULATED_PERIOD_NS = 10.0
"""When no time is known."""

LONGEST_IN_PICOSECONDS_NS = 1e6
"""A slower clock is told in nanoseconds."""

ABOUT = """The ports and signals of the design, and in the scope golden what was expected of the ports.
x in golden: nothing is promised there, or the pipeline still fills after reset.
differs: 1 in the clocks in which some output is not as expected.
reset: 1 while it is asserted, whatever the level of its port."""

_SPACE = re.compile(r"\s+")


@dataclass(frozen=True, slots=True)
class _Time:
    """A period in units; ``unit`` as VCD writes it."""

    period: float
    unit: str

    def at(self, cycle: int, share: float = 0.0) -> int:
        return round((cycle + share) * self.period)


def dumps(outcome: Outcome) -> Iterator[tuple[str, str]]:
    """File name and text for every check that fails with a difference to look at."""
    taken: set[str] = set()
    for part, check in outcome.placed():
        text = as_vcd(check)
        if text is None:
            continue
        words = f"{part.source.resolve().parent.name} {check.name}"
        stem = re.sub(r"[^A-Za-z0-9]+", "-", words).strip("-").lower() or "check"
        name = stem
        number = 2
        while name in taken:
            name, number = f"{stem}-{number}", number + 1
        taken.add(name)
        yield f"{name}.vcd", text


def as_vcd(check: CheckResult) -> str | None:
    """The dump of one check; None when it shows no difference."""
    failure = check.failure
    if failure is None or failure.excerpt is None or failure.mismatch is None:
        return None
    window = window_of(failure.excerpt, failure.mismatch.cycle)
    if window is None:
        return None
    period_ns = failure.mismatch.time_ns / (failure.mismatch.cycle + 1) or SIMULATED_PERIOD_NS
    fine = period_ns <= LONGEST_IN_PICOSECONDS_NS
    time = _Time(max(period_ns * 1000 if fine else period_ns, 10.0), "1 ps" if fine else "1 ns")
    stream = io.StringIO()
    with VCDWriter(
        stream,
        timescale=time.unit,
        comment=f"{clean(check.name)}: {clean(check.reason)}\n{ABOUT}".replace("$", "S"),
        date=".",
        version="everyedge",
        init_timestamp=time.at(window.first),
    ) as writer:
        _Dump(writer, _word(check.module), window, time, failure.internals).write()
    return stream.getvalue()


class _Dump:
    """One window, written cycle by cycle."""

    def __init__(
        self, writer: VCDWriter, scope: str, window: Window, time: _Time, internals: Internals | None
    ) -> None:
        self.writer, self.scope, self.window, self.time = writer, scope, window, time
        self.internals = internals
        self.names: set[tuple[str, str]] = set()
        self.wrong = frozenset().union(*window.wrong)

    def write(self) -> None:
        window, time = self.window, self.time
        clock = self._one(self.scope, "clock", "0")
        differs = self._one(GOLDEN, "differs", "0")
        lanes = [(lane, self._lane(self.scope, lane), False) for lane in window.inputs]
        for want, have in window.differing:
            lanes += [(have, self._lane(self.scope, have), False), (want, self._lane(GOLDEN, want), True)]
        for have in window.matching:
            lanes += [(have, self._lane(self.scope, have), False), (have, self._lane(GOLDEN, have), True)]
        lanes += [(lane, self._lane(scope, lane), False) for scope, lane in self._inside()]
        last: dict[int, str] = {}
        for c in range(window.length):
            cycle = window.first + c
            start = time.at(cycle)
            self.writer.change(clock, start, "1")
            self.writer.change(differs, start, "1" if c in self.wrong else "0")
            pulsed = None
            for number, (lane, variable, golden) in enumerate(lanes):
                cell = lane.cells[c]
                if cell in PULSE_SHARES:
                    pulsed, cell = (variable, PULSE_SHARES[cell]), "0"
                if golden and c in window.masked:
                    cell = "x" * len(cell)
                if last.get(number) != cell:
                    self.writer.change(variable, start, cell.replace("-", "x"))
                    last[number] = cell
            changes = [(0.5, clock, "0")]
            if pulsed is not None:
                variable, (begin, end) = pulsed
                changes += [(begin, variable, "1"), (end, variable, "0")]
            for share, variable, level in sorted(changes, key=itemgetter(0)):
                self.writer.change(variable, time.at(cycle, share), level)
        self.writer.change(clock, time.at(window.first + window.length), "1")

    def _inside(self) -> Iterator[tuple[str, Lane]]:
        """The design's own signals in the clocks of the window, with their scopes; no port twice."""
        if self.internals is None:
            return
        skip = self.window.first - self.internals.first
        for signal in self.internals.signals:
            name = _word(signal.name)
            scope = ".".join([self.scope, *map(_word, signal.scope)])
            if (scope, name) in self.names:
                continue
            unknown = "x" * len(signal.cells[0])
            cells = dict(enumerate(signal.cells))
            shown = tuple(cells.get(c + skip, unknown) for c in range(self.window.length))
            yield scope, Lane(name, "", shown)

    def _one(self, scope: str, name: str, value: str) -> Variable[Any]:
        return self.writer.register_var(scope, self._free(scope, name), "wire", size=1, init=value)

    def _lane(self, scope: str, lane: Lane) -> Variable[Any]:
        width = len(lane.cells[0])
        return self.writer.register_var(scope, self._free(scope, lane.name), "wire", size=width, init="x")

    def _free(self, scope: str, name: str) -> str:
        """The name as one word, and unlike those before it."""
        word = found = _word(name)
        number = 2
        while (scope, found) in self.names:
            found, number = f"{word}_{number}", number + 1
        self.names.add((scope, found))
        return found


def _word(name: str) -> str:
    """VCD separates by white space, and the writer takes a dot for the step into a scope."""
    word = _SPACE.sub("_", clean(name).strip()).replace(".", "_")
    # A word that begins with a dollar would be taken for a command.
    return f"_{word}" if not word or word[0] == "$" else word
