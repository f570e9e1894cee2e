"""Why a check does not pass, told in the order in which a person asks."""

from __future__ import annotations

import shlex
from pathlib import Path

from verify.errors import Place
from verify.report.diagram import timing_diagram
from verify.report.figures import count, path_text, signal_time
from verify.report.look import MARKS, VERDICT_STYLES, Lines, hanging, line, rule
from verify.report.trouble import place_text, source_lines
from verify.report.values import side_by_side
from verify.report.worked import table_lines
from verify.results import CheckResult, Explanation, Failure, Mismatch, Table, Verdict
from verify.sheet import Row, Sheet

__all__ = ["detail_lines", "replay_command"]

COLUMN = 13
"""Where the text beside a label begins."""


def replay_command(file: Path) -> str:
    """The words to type to see the same failure again."""
    return f"everyedge replay {shlex.quote(path_text(file))}"


def detail_lines(check: CheckResult, width: int) -> Lines:
    """The whole story of a check that fails or is undecided; never empty."""
    title = f"{MARKS[check.verdict]} {check.verdict.value}  {check.name}"
    lines = [rule(title, width, VERDICT_STYLES[check.verdict])]
    lines += _evidence(check.failure, width) if check.failure is not None else []
    if check.failure is None or check.failure.text != check.reason:
        lines += hanging("reason", check.reason, width)
    mismatch = check.failure.mismatch if check.failure is not None else None
    shown = mismatch.source if mismatch is not None else None
    for number, explanation in enumerate(check.explanations):
        lines += _explained(explanation, width, shown, first=number == 0)
    if check.verdict is Verdict.UNDECIDED:
        for number, order in enumerate(check.settled_by):
            lines += hanging("settle by" if number == 0 else "", order, width)
    if check.failure is not None:
        for number, also in enumerate(check.failure.also):
            lines += hanging("also" if number == 0 else "", also, width)
    lines += hanging("aligned", _alignment(check), width)
    lines += hanging("run", _circumstances(check), width)
    return lines + (_replay(check.replay, width) if check.replay is not None else [])


def _replay(file: Path, width: int) -> Lines:
    """Never wrapped: it is there to be copied. A long one gets a line of its own."""
    command = replay_command(file)
    if len(command) + 13 <= width:
        return [line("  ", ("replay".ljust(11), "dim"), (command, "bold"))]
    return [line("  ", ("replay", "dim")), line("  ", (command, "bold"))]


def _evidence(failure: Failure, width: int) -> Lines:
    mismatch = failure.mismatch
    lines: Lines = []
    if mismatch is not None:
        lines += _position(mismatch, width)
    # A plain difference says in words what stands right under it.
    if mismatch is None or failure.kind != "mismatch":
        lines += hanging("", failure.text, width, column=0)
    if mismatch is not None:
        lines += [line(""), *side_by_side(mismatch, width)]
    if failure.excerpt is not None:
        drawing = timing_diagram(failure.excerpt, mismatch.cycle if mismatch is not None else None, width)
        lines += [line(""), *drawing] if drawing else []
    lines.append(line(""))
    if mismatch is not None and mismatch.source is not None:
        lines += _driven(mismatch.source, width)
    return lines


def _position(mismatch: Mismatch, width: int) -> Lines:
    port = mismatch.port if mismatch.role in ("", mismatch.port) else f"{mismatch.port} ({mismatch.role})"
    where = f"cycle {count(mismatch.cycle)} · {signal_time(mismatch.time_ns)} · {port}"
    return hanging("", where, width, column=0, style="bold")


def _driven(place: Place, width: int) -> Lines:
    """The statement of the design that gives the port its value."""
    at = line("  ", ("driven at".ljust(11), "dim"), place_text(place))
    return [at, *source_lines(place, width, caret=False)]


def _explained(explanation: Explanation, width: int, known: Place | None, *, first: bool) -> Lines:
    extent = "every cycle" if explanation.reproduces_all_cycles else "the first difference, not every cycle"
    lines = hanging("looks like" if first else "or like", explanation.text, width, style="bold")
    lines += hanging("", f"({explanation.fault}; reproduces {extent})", width)
    if explanation.place is not None and explanation.place != known:
        lines += _seen_at(explanation.place, width)
    return lines + (_worked(explanation.table, width) if explanation.table is not None else [])


def _seen_at(place: Place, width: int) -> Lines:
    """The line of the design, with the constant or comparison in it that the fault points at."""
    return [
        line("  ", ("look at".ljust(11), "dim"), place_text(place)),
        *source_lines(place, width, caret=True),
    ]


def _worked(table: Table, width: int) -> Lines:
    rows = tuple(Row(cells, number in table.marked) for number, cells in enumerate(table.rows))
    sheet = Sheet(table.title, columns=table.columns, rows=rows, right=frozenset({0}))
    drawn = [line(" " * COLUMN, text) for text in table_lines(sheet, width - COLUMN)]
    return [*hanging("", table.title, width), *drawn]


def _alignment(check: CheckResult) -> str:
    """The latency that was applied, and where it comes from."""
    if check.latency is None:
        return "no latency was established"
    source = next((fact.source for fact in check.facts if fact.name == "latency"), "")
    text = f"latency {check.latency}" + (f" ({source})" if source else "")
    mismatch = check.failure.mismatch if check.failure is not None else None
    if mismatch is None or mismatch.expected_cycle == mismatch.cycle:
        return text
    golden, due = count(mismatch.expected_cycle), count(mismatch.cycle)
    return f"{text}: golden cycle {golden} is due in cycle {due}"


def _circumstances(check: CheckResult) -> str:
    parts = [f"model {check.model}", f"module {check.module}", f"seed {check.seed}"]
    return ", ".join([*parts, check.simulator] if check.simulator else parts)
