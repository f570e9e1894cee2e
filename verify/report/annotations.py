"""What is wrong, as workflow commands that GitHub shows on the line of the source.

The form is that of its documentation (workflow commands, "Setting an error message"): properties and
message are escaped by ``%``, and a file is named relative to the root of the repository.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from verify.errors import EveryedgeError, Place
from verify.report.failure import replay_command
from verify.report.figures import clean
from verify.report.outcome import Outcome
from verify.results import CheckResult, Verdict

__all__ = ["command", "commands"]

_MESSAGE = str.maketrans({"%": "%25", "\r": "%0D", "\n": "%0A"})
_PROPERTY = str.maketrans({"%": "%25", "\r": "%0D", "\n": "%0A", ":": "%3A", ",": "%2C"})


def commands(outcome: Outcome) -> Iterator[str]:
    """One command for every check that does not pass, and for every error, in the order of the run."""
    for part in outcome.parts:
        for check in part.result.checks if part.result is not None else ():
            if check.verdict is not Verdict.PASS:
                level = "warning" if check.verdict is Verdict.UNDECIDED else "error"
                place = _place(check) or Place(part.source)
                yield command(level, place, f"everyedge: {check.name}", _told(check))
        if part.error is not None:
            place = part.error.place or Place(part.source)
            yield command("error", place, f"everyedge: {part.error.kind} error", _error(part.error))


def command(level: str, place: Place, title: str, message: str) -> str:
    """One workflow command: ``::error file=rtl/a.v,line=3,col=5,title=...::...``."""
    properties = {"file": _below_root(place.file)}
    if place.line is not None:
        properties["line"] = str(place.line)
        if place.column is not None:
            properties["col"] = str(place.column)
    properties["title"] = clean(title)
    told = ",".join(f"{name}={value.translate(_PROPERTY)}" for name, value in properties.items())
    lines = "\n".join(clean(line) for line in message.splitlines())
    return f"::{level} {told}::{lines.translate(_MESSAGE)}"


def _place(check: CheckResult) -> Place | None:
    """Where to look first: what explains every cycle, else what drives the port, else what is unsound."""
    for explanation in check.explanations:
        if explanation.place is not None and explanation.reproduces_all_cycles:
            return explanation.place
    failure = check.failure
    if failure is not None and failure.mismatch is not None and failure.mismatch.source is not None:
        return failure.mismatch.source
    places = check.speedup.places if check.speedup is not None else ()
    return next((place for place in places if place is not None), None)


def _told(check: CheckResult) -> str:
    lines = [check.reason]
    if check.failure is not None and check.failure.text != check.reason:
        lines.append(check.failure.text)
    lines += [explanation.text for explanation in check.explanations]
    lines += [f"to settle it: {order}" for order in check.settled_by if check.verdict is Verdict.UNDECIDED]
    if check.replay is not None:
        lines.append(f"see it again: {replay_command(check.replay)}")
    return "\n".join(lines)


def _error(error: EveryedgeError) -> str:
    return error.message if error.advice is None else f"{error.message}\n{error.advice}"


def _below_root(file: Path) -> str:
    """Relative to the folder that holds the repository the file is in; else to where the user stands."""
    whole = file.resolve()
    root = next((folder for folder in whole.parents if (folder / ".git").exists()), Path.cwd())
    return (whole.relative_to(root) if whole.is_relative_to(root) else whole).as_posix()
