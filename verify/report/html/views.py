"""What the page says of a run, in words and figures, before it is laid out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count as numbers_from
from pathlib import Path
from typing import get_args

from verify.errors import EveryedgeError, SimulationFault
from verify.report.facts import speedup_text
from verify.report.figures import clean, count, path_text, plural
from verify.report.html.failing import FailureView, NumberedFigure, failure_view
from verify.report.html.figure import Table
from verify.report.html.maps import map_figure
from verify.report.look import MARKS, fitted
from verify.report.outcome import Outcome, Part
from verify.report.scan_text import scan_text
from verify.report.summary import short_text
from verify.report.trouble import LOG_LINES, place_text
from verify.results import CheckResult, Fact, Source, Speedup, Verdict
from verify.wording import toml_text

__all__ = ["CheckView", "ErrorView", "PageView", "SpeedupView", "check_views", "error_view"]

SHORT = 120
"""Characters of a line in the table of verdicts."""


@dataclass(frozen=True, slots=True)
class ErrorView:
    """What kept a bench from being checked."""

    source: str
    where: str
    message: str
    advice: str
    line: str = ""
    text: str = ""
    blank: str = ""
    caret: str = ""


@dataclass(frozen=True, slots=True)
class SpeedupView:
    """The factor in words, what stands behind it, what speaks against it."""

    words: str
    evidence: tuple[str, ...]
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CheckView:
    """One section of the page."""

    id: str
    number: str
    name: str
    verdict: str
    mark: str
    subject: str
    short: str
    reason: str
    latency: str
    clocks: str
    orders: tuple[str, ...]
    failure: FailureView | None
    driven: Table
    driven_words: str
    ports: Table
    gaps: tuple[str, ...]
    coverage: Table
    coverage_words: str
    maps: tuple[NumberedFigure, ...]
    alignment: str
    facts: Table
    speedup: SpeedupView | None
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PageView:
    """The whole page."""

    title: str
    heading: str
    verdict: str
    mark: str
    style: str
    style_hash: str
    numbers: tuple[tuple[str, str], ...]
    checks: tuple[CheckView, ...]
    errors: tuple[ErrorView, ...]
    interrupted: bool
    version: str


def check_views(outcome: Outcome) -> tuple[CheckView, ...]:
    """A section for every check, what does not pass first; figures are numbered through."""
    order = (Verdict.ERROR, Verdict.FAIL, Verdict.UNDECIDED, Verdict.PASS)
    placed = sorted(outcome.placed(), key=lambda pair: order.index(pair[1].verdict))
    figures = numbers_from(1)
    several = len(outcome.parts) > 1
    return tuple(
        _check(part, check, number, figures, several=several)
        for number, (part, check) in enumerate(placed, start=1)
    )


def error_view(source: Path, error: EveryedgeError) -> ErrorView:
    """The error with its place, the line of the file, and what to do."""
    place = error.place
    where = place_text(place) if place is not None else path_text(source)
    message = "\n".join(clean(line) for line in error.message.splitlines())
    if isinstance(error, SimulationFault) and error.log.strip():
        message += "\n" + "\n".join(clean(line) for line in error.log.strip().splitlines()[-LOG_LINES:])
    line = text = blank = caret = ""
    if place is not None and place.source is not None and place.line is not None:
        line, raw = str(place.line), place.source.rstrip("\r\n")
        text, blank = clean(raw), " " * len(line)
        if place.column is not None:
            caret = " " * len(clean(raw[: max(place.column - 1, 0)])) + "^"
    advice = clean(" ".join((error.advice or "").split()))
    return ErrorView(path_text(source), where, message, advice, line, text, blank, caret)


def _check(
    part: Part, check: CheckResult, number: int, figures: Iterator[int], *, several: bool
) -> CheckView:
    subject = f"model {check.model}, module {check.module}"
    if several:
        subject += f", {path_text(part.source)}"
    name = f"c{number}"
    failure = failure_view(check, name, figures)
    maps = tuple(
        NumberedFigure(map_figure(found), f"{name}-m{i}", next(figures))
        for i, found in enumerate(check.coverage.maps)
    )
    return CheckView(
        id=name,
        number=str(number),
        name=clean(check.name),
        verdict=check.verdict.value,
        mark=MARKS[check.verdict],
        subject=clean(subject),
        short=short_text(check, SHORT) if check.verdict is not Verdict.PASS else fitted(check.reason, SHORT),
        reason=clean(check.reason),
        latency="" if check.latency is None else str(check.latency),
        clocks=count(check.cycles),
        orders=tuple(clean(order) for order in check.settled_by) if check.verdict is not Verdict.PASS else (),
        failure=failure,
        driven=_driven(check),
        driven_words=_driven_words(check),
        ports=_ports(check),
        gaps=_gaps(check),
        coverage=_coverage(check),
        coverage_words="Nothing was counted: the difference came before."
        if check.verdict is Verdict.FAIL
        else "Nothing was counted.",
        maps=maps,
        alignment=_alignment(check),
        facts=_facts(check),
        speedup=_speedup(check.speedup),
        notes=tuple(clean(note) for note in (*scan_text(check.scan), *check.notes)),
    )


def _driven(check: CheckResult) -> Table:
    rows = [(d.name, count(d.stimuli), count(d.clocks), count(d.resets)) for d in check.driven]
    return Table(("stimuli", "how many", "clocks", "resets"), tuple(rows))


def _driven_words(check: CheckResult) -> str:
    on = f" on {check.simulator.capitalize()}" if check.simulator else ""
    return f"{plural(check.cycles, 'clock')} compared{on}, seed {check.seed}"


def _ports(check: CheckResult) -> Table:
    ways = {"input": "driven", "output": "compared"}
    rows = [(clean(b.port), b.role, str(b.width), ways[b.direction]) for b in check.bindings]
    return Table(("port", "role", "bits", "what is done with it"), tuple(rows))


def _gaps(check: CheckResult) -> tuple[str, ...]:
    gaps = []
    if check.unchecked_outputs:
        names = ", ".join(clean(s.name) for s in check.unchecked_outputs)
        gaps.append(f"Outputs that no role names, not compared: {names}.")
    if check.tied_inputs:
        tied = ", ".join(f"{clean(port)} = {value}" for port, value in check.tied_inputs.items())
        gaps.append(f"Inputs that no role names, held all the time: {tied}.")
    return tuple(gaps)


def _coverage(check: CheckResult) -> Table:
    rows, marked = [], set()
    for number, item in enumerate(check.coverage.items):
        missing = ", ".join(item.missing)
        if item.reached < item.total:
            marked.add(number)
            missing = missing or f"{count(item.total - item.reached)} of them"
        rows.append((clean(item.name), count(item.reached), count(item.total), clean(missing) or "nothing"))
    return Table(("what", "reached", "of", "not reached"), tuple(rows), frozenset(marked))


def _alignment(check: CheckResult) -> str:
    if check.latency is None:
        return "No latency was established."
    source = next((fact.source for fact in check.facts if fact.name == "latency"), "")
    skews = [fact for fact in check.facts if fact.name.startswith("skew.")]
    text = f"Latency {plural(check.latency, 'clock')}" + (f", {source}" if source else "")
    if not skews:
        return f"{text}; no output comes later than another (skew 0)."
    told = ", ".join(f"{fact.name.removeprefix('skew.')} {fact.value}" for fact in skews)
    return f"{text}; skew in clocks, {skews[0].source}: {told}; the others 0."


def _facts(check: CheckResult) -> Table:
    order = get_args(Source)
    facts = sorted(check.facts, key=lambda fact: order.index(fact.source))
    return Table(
        ("fact", "value", "where from", "bench line"),
        tuple((f.name, _value(f), f.source, f.pin or "none") for f in facts),
    )


def _value(fact: Fact) -> str:
    return clean(fact.value if isinstance(fact.value, str) else toml_text(fact.value))


def _speedup(speedup: Speedup | None) -> SpeedupView | None:
    if speedup is None:
        return None
    return SpeedupView(
        f"Factor by which the clock frequency is scaled down: {speedup_text(speedup)}.",
        tuple(clean(text) for text in speedup.evidence),
        tuple(clean(text) for text in speedup.problems),
    )
