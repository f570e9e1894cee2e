"""A measurement in words and as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator
from importlib.metadata import version
from typing import Any

from verify.report.figures import count, duration, path_text, plural
from verify.report.look import Lines, fitted, hanging, line, rule
from verify.strength.mutation import Trial
from verify.strength.outcome import Strength

__all__ = ["as_json_text", "strength_lines", "trial_line"]

_INPUTS_SHOWN = 8


def strength_lines(strength: Strength, width: int, *, verbose: bool = False) -> Lines:
    """What survived, one paragraph each, and the total."""
    lines: Lines = []
    for trial in strength.of("survived"):
        lines += [*_survivor(trial, width), line("")]
    unlike = strength.of("no_difference")
    if unlike:
        title = f"no difference found: {plural(len(unlike), 'change')}"
        lines += [rule(title, width), *hanging("", _UNLIKE, width, column=0)]
        for trial in unlike if verbose else ():
            lines += [*_change(trial, width), *hanging("", trial.how, width, column=0)]
        lines.append(line(""))
    if verbose and strength.of("stillborn"):
        lines.append(rule("no designs", width))
        for trial in strength.of("stillborn"):
            lines += [*_change(trial, width), *hanging("", trial.how, width, column=0)]
        lines.append(line(""))
    return [*lines, line((_total(strength), "bold"))]


_UNLIKE = (
    "They pass, and no stimulus of a comparison with the original told them apart, on any output. Most such "
    "changes make no difference at all; --verbose lists them."
)


def trial_line(trial: Trial, width: int) -> str:
    """One trial on one line, for progress."""
    mutation = trial.mutation
    where = f"{mutation.file.name}:{mutation.line}"
    return fitted(f"{trial.fate.replace('_', ' ')}: {where}: {mutation.kind}: {trial.how}", width)


def _survivor(trial: Trial, width: int) -> Iterator[Any]:
    mutation = trial.mutation
    place = f"{path_text(mutation.file)}:{mutation.line}"
    yield rule(f"survived: {place}: {mutation.kind}", width, "yellow")
    yield from _change(trial, width)[1:]
    found = trial.difference
    if found is None:
        yield from hanging("", trial.how, width, column=0)
        return
    if not found.cycle and not found.inputs:
        yield from hanging(
            "differs", f"{found.port} is {found.mutant}, in the original {found.original}", width
        )
        yield from hanging("kills it", found.hint, width)
        return
    shown = [f"{name} = {value}" for name, value in found.inputs.items()][:_INPUTS_SHOWN]
    text = (
        f"{found.port} is {found.mutant} and in the original {found.original}, {count(found.cycle)} clocks "
        f"into a random stimulus{', with ' + ', '.join(shown) if shown else ''}"
    )
    yield from hanging("differs", text, width)
    yield from hanging("kills it", found.hint, width)


def _change(trial: Trial, width: int) -> Lines:
    mutation = trial.mutation
    head = line(f"  {path_text(mutation.file)}:{mutation.line}: {mutation.kind}")
    old = [line((fitted(f"  - {text}", width), "red")) for text in mutation.old.split("\n")]
    new = [line((fitted(f"  + {text}", width), "green")) for text in mutation.new.split("\n")]
    return [head, *old, *new]


def _total(strength: Strength) -> str:
    killed, survived = len(strength.of("killed")), len(strength.of("survived"))
    score = "" if strength.score is None else f" ({100 * strength.score:.1f} %)"
    parts = [f"{count(killed)} of {plural(killed + survived, 'change')} found{score}"]
    parts.append(f"{count(survived)} survived")
    if unlike := len(strength.of("no_difference")):
        parts.append(f"{count(unlike)} without a difference")
    if stillborn := len(strength.of("stillborn")):
        parts.append(f"{count(stillborn)} that do not compile")
    if strength.untried:
        parts.append(f"{count(strength.untried)} not tried")
    known = f", {count(strength.recalled)} known from before" if strength.recalled else ""
    return f"{' · '.join(parts)} in {duration(strength.seconds)}{known}"


def as_json_text(strength: Strength) -> str:
    """One JSON document: counts, the score, and every trial."""
    fates = ("killed", "survived", "no_difference", "stillborn")
    found: dict[str, Any] = {
        "everyedge": version("everyedge"),
        "bench": str(strength.bench),
        "score": strength.score,
        **{fate: len(strength.of(fate)) for fate in fates},  # type: ignore[arg-type]
        "untried": strength.untried,
        "seconds": round(strength.seconds, 3),
        "changes": [_trial(trial) for trial in strength.trials],
    }
    return json.dumps(found, indent=2) + "\n"


def _trial(trial: Trial) -> dict[str, Any]:
    mutation = trial.mutation
    difference = trial.difference
    return {
        "file": str(mutation.file),
        "line": mutation.line,
        "kind": mutation.kind,
        "old": mutation.old,
        "new": mutation.new,
        "fate": trial.fate,
        "how": trial.how,
        "clocks": trial.clocks,
        "difference": None
        if difference is None
        else {
            "check": difference.check,
            "port": difference.port,
            "cycle": difference.cycle,
            "inputs": difference.inputs,
            "original": difference.original,
            "mutant": difference.mutant,
            "hint": difference.hint,
        },
    }
