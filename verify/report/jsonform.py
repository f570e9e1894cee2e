"""The result for machines. Its keys are a contract: more may be added, none changes or goes."""

from __future__ import annotations

import json
from importlib.metadata import version
from pathlib import Path
from typing import Any

from verify.errors import EveryedgeError, SimulationFault
from verify.models.glyphs import letters_of
from verify.pictures import DigitLook, ScanRate
from verify.report.outcome import Outcome, Part
from verify.results import CheckResult, CoverageItem, Explanation, Mismatch, Speedup, Table

__all__ = ["as_dict", "as_text"]


def as_text(outcome: Outcome) -> str:
    """The JSON text, ending in a newline; valid UTF-8 whatever the file names are."""
    text = json.dumps(as_dict(outcome), indent=2, ensure_ascii=False, allow_nan=False)
    return text.encode("utf-8", "backslashreplace").decode("utf-8") + "\n"


def as_dict(outcome: Outcome) -> dict[str, Any]:
    """The same as plain dictionaries and lists."""
    return {
        "everyedge": version("everyedge"),
        "verdict": outcome.verdict.value,
        "checks": [_check(part, check) for part, check in outcome.placed()],
        "speedup": _speedup(_weakest(outcome)),
        "error": None if outcome.error is None else _error(outcome.error),
        "errors": [
            _error(part.error) | {"bench": str(part.source)}
            for part in outcome.parts
            if part.error is not None
        ],
        "seconds": round(outcome.seconds, 6),
        "interrupted": outcome.interrupted,
    }


def _check(part: Part, check: CheckResult) -> dict[str, Any]:
    failure = check.failure
    by_source = {
        source: {fact.name: _plain(fact.value) for fact in check.facts if fact.source == source}
        for source in ("measured", "pinned", "default", "design")
    }
    return {
        "name": check.name,
        "model": check.model,
        "module": check.module,
        "verdict": check.verdict.value,
        "reason": check.reason,
        "cycles": check.cycles,
        "seconds": round(check.seconds, 6),
        "cycles_per_second": round(check.cycles / check.seconds, 3) if check.seconds > 0 else None,
        "simulator": check.simulator,
        "seed": check.seed,
        "latency": check.latency,
        "measured": by_source["measured"],
        "pinned": by_source["pinned"],
        "coverage": {item.name: _coverage(item) for item in check.coverage.items},
        "mismatch": _mismatch(failure.mismatch) if failure is not None else None,
        "explanations": [_explanation(each) for each in check.explanations],
        "replay": None if check.replay is None else str(check.replay),
        "bench": str(part.source),
        "defaults": by_source["default"],
        "from_design": by_source["design"],
        "pins": {fact.name: fact.pin for fact in check.facts if fact.pin},
        "failure": None
        if failure is None
        else {
            "kind": failure.kind,
            "text": failure.text,
            "also": list(failure.also),
            "digits": [_digit(look) for look in failure.look.digits] if failure.look is not None else None,
        },
        "speedup": _speedup(check.speedup),
        "notes": list(check.notes),
        "settled_by": list(check.settled_by),
        "scan": _scan(check.scan),
        "driven": [
            {"name": d.name, "stimuli": d.stimuli, "clocks": d.clocks, "resets": d.resets}
            for d in check.driven
        ],
        "tied_inputs": dict(check.tied_inputs),
        "inferred": {
            each.key: {
                "why": each.why,
                "file": None if each.place is None else str(each.place.file),
                "line": None if each.place is None else each.place.line,
            }
            for each in check.inferred
        },
        "unchecked_outputs": [signal.name for signal in check.unchecked_outputs],
    }


def _scan(scan: ScanRate | None) -> dict[str, Any] | None:
    """``flickers``: below about 60 Hz (common practice, no source)."""
    if scan is None:
        return None
    return {
        "refresh_hz": scan.refresh_hz,
        "digits": scan.digits,
        "period_cycles": scan.period_cycles,
        "flickers": scan.flickers,
    }


def _digit(look: DigitLook) -> dict[str, Any]:
    """Lit segments by their letters; null before the digit's turn in a scan."""
    if look.cycle is None:
        return {"port": look.port, "cycle": None, "expected": None, "observed": None, "unknown": None}
    return {
        "port": look.port,
        "cycle": look.cycle,
        "expected": letters_of(look.expected & look.promised),
        "observed": letters_of(look.observed),
        "unknown": letters_of(look.unknown),
    }


def _mismatch(mismatch: Mismatch | None) -> dict[str, Any] | None:
    if mismatch is None:
        return None
    source = mismatch.source
    return {
        "cycle": mismatch.cycle,
        "time_ns": mismatch.time_ns,
        "port": mismatch.port,
        "role": mismatch.role,
        "expected": mismatch.expected,
        "observed": mismatch.observed,
        "source": None if source is None else {"file": str(source.file), "line": source.line},
        "expected_cycle": mismatch.expected_cycle,
        "width": mismatch.width,
    }


def _coverage(item: CoverageItem) -> dict[str, Any]:
    return {"reached": item.reached, "total": item.total, "missing": list(item.missing)}


def _explanation(explanation: Explanation) -> dict[str, Any]:
    place = explanation.place
    return {
        "fault": explanation.fault,
        "text": explanation.text,
        "reproduces_all_cycles": explanation.reproduces_all_cycles,
        "source": None if place is None else {"file": str(place.file), "line": place.line},
        "table": None if explanation.table is None else _table(explanation.table),
    }


def _table(table: Table) -> dict[str, Any]:
    rows = [list(row) for row in table.rows]
    return {
        "title": table.title,
        "columns": list(table.columns),
        "rows": rows,
        "marked": sorted(table.marked),
    }


def _weakest(outcome: Outcome) -> Speedup | None:
    """The speed-up that a whole run can claim: the least sound one."""
    found = [check.speedup for check in outcome.checks if check.speedup is not None]
    return min(found, key=lambda s: (False, None, True).index(s.sound), default=None)


def _speedup(speedup: Speedup | None) -> dict[str, Any] | None:
    if speedup is None:
        return None
    return {
        "factor": speedup.factor,
        "sound": speedup.sound,
        "evidence": list(speedup.evidence),
        "problems": list(speedup.problems),
    }


def _error(error: EveryedgeError) -> dict[str, Any]:
    place = error.place
    found: dict[str, Any] = {
        "kind": error.kind,
        "message": error.message,
        "file": None if place is None else str(place.file),
        "line": None if place is None else place.line,
        "column": None if place is None else place.column,
        "advice": error.advice,
    }
    if isinstance(error, SimulationFault):
        found |= {"fault": error.fault, "cycle": error.cycle}
    return found


def _plain(value: Any) -> Any:
    """A fact's value as JSON holds it; numpy's numbers and paths become plain ones."""
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    if isinstance(value, Path):
        return str(value)
    return value.item() if hasattr(value, "item") else value
