"""Facts that the bench pins under ``facts``: measured things that are no option of a golden model."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from verify.bench import ResolvedCheck
from verify.compare import Reading
from verify.errors import BenchError
from verify.results import CheckResult, Failure
from verify.wording import enumerated, toml_text

__all__ = ["IN_RESET", "broken_pin", "keeping_pins", "refuse_unpinned", "unpinned"]

IN_RESET = "in_reset"
"""The one fact that is not read from the comparison: see :mod:`verify.checks.passing.reset_probe`."""


def keeping_pins(pinned: Mapping[str, Any], standing: Sequence[Reading]) -> list[Reading]:
    """The readings that have every pinned fact."""
    return [r for r in standing if all(_has(r, n, value) for n, value in pinned.items() if n != IN_RESET)]


def broken_pin(check: ResolvedCheck, standing: Sequence[Reading]) -> Failure | None:
    """The first pinned fact that no reading has; None when one reading has them all.

    Raises BenchError for a fact that was not measured, and so cannot be pinned.
    """
    known = sorted({name for r in standing for name in r.candidate.measured})
    for name in check.facts:
        if name not in (*known, IN_RESET):
            raise BenchError(
                f'check "{check.name}", facts: found "{name}", which is measured of no such design',
                advice=f"what is measured: {enumerated(known)}"
                if known
                else "nothing else is measured of it",
            )
    if keeping_pins(check.facts, standing):
        return None
    for name, value in check.facts.items():
        found = {
            toml_text(_plain(r.candidate.measured[name])) for r in standing if name in r.candidate.measured
        }
        if toml_text(_plain(value)) not in found:
            text = f"{name} is pinned to {toml_text(value)}, and the design has {' or '.join(sorted(found))}"
            return Failure("pinned_fact", text)
    return Failure("pinned_fact", "no reading of the design has all the facts that are pinned")


def unpinned(result: CheckResult) -> list[str]:
    """The lines that pin what was measured in a check."""
    return [fact.pin for fact in result.facts if fact.source == "measured" and fact.pin]


def refuse_unpinned(results: Sequence[CheckResult]) -> None:
    """Raise BenchError if a check rests on something measured; the error lists the lines that pin it."""
    missing = {result.name: lines for result in results if (lines := unpinned(result))}
    if missing:
        count = sum(map(len, missing.values()))
        listed = [
            f'  [[check]] "{name}"\n' + "\n".join(f"    {line}" for line in lines)
            for name, lines in missing.items()
        ]
        raise BenchError(
            f"--frozen: {count} measured fact{'s are' if count != 1 else ' is'} not pinned in the bench",
            advice="add to the bench:\n" + "\n".join(listed),
        )


def _has(reading: Reading, name: str, value: Any) -> bool:
    measured = reading.candidate.measured
    return name in measured and _plain(measured[name]) == _plain(value)


def _plain(value: Any) -> Any:
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    return value.item() if hasattr(value, "item") else value
