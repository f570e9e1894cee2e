"""What a run comes to: verdicts and the facts behind them, before anybody prints them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path
from typing import Any, Literal

from verify.errors import Place
from verify.pictures import Binding, CoverageMap, DisplayLook, Driven, Internals, ScanRate
from verify.signals import ExpectedTrace, ObservedTrace, Signal, Stimulus

__all__ = [
    "CheckResult",
    "Coverage",
    "CoverageItem",
    "Excerpt",
    "Explanation",
    "Fact",
    "Failure",
    "Inferred",
    "Mismatch",
    "RunResult",
    "Source",
    "Speedup",
    "Table",
    "Verdict",
]


class Verdict(Enum):
    """What did not run, or could not be told apart, never passes."""

    PASS = "pass"  # noqa: S105 -- a verdict, not a secret
    FAIL = "fail"
    UNDECIDED = "undecided"
    ERROR = "error"


Source = Literal["measured", "inferred", "pinned", "default", "design"]
"""Where a fact is from; what the design alone says comes first."""


@dataclass(frozen=True, slots=True)
class Fact:
    """Something about the design that a verdict rests on.

    ``value`` as TOML would hold it. ``pin``: the bench line that fixes it, such as ``latency = 2``.
    ``source``: ``"measured"`` (read off the design), ``"inferred"`` (from its source text, and was
    checked), ``"pinned"`` (stands in the bench and was checked), ``"default"`` or ``"design"`` (read
    from the elaborated source).
    """

    name: str
    value: Any
    source: Source
    pin: str = ""


@dataclass(frozen=True, slots=True)
class Inferred:
    """Something that nobody said and that was read off the source: ``key`` of the bench, and why."""

    key: str
    why: str
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Mismatch:
    """The first difference. ``cycle`` counts from 0 at the start of the stimulus that shows it.

    ``expected`` and ``observed`` are strings of 0, 1, x and z, most significant bit first, of
    ``width`` characters, as on the wire of ``port`` (also when it is active low); in ``expected`` a
    ``-`` stands for a bit that is not promised. ``time_ns``
    is the time on the real board's clock when the bench gives its frequency, else simulated time.
    ``expected_cycle``: the golden cycle it was compared with (``cycle`` less the latency).
    """

    cycle: int
    expected_cycle: int
    time_ns: float
    port: str
    role: str
    width: int
    expected: str
    observed: str
    source: Place | None = None
    """Where the port is driven."""


@dataclass(frozen=True, slots=True, eq=False)
class Excerpt:
    """The cycles around the first difference, for pictures: role-level, expected already delayed.

    ``first``: the cycle number of the excerpt's cycle 0 within the stimulus. ``masked``: half-open
    ranges of excerpt cycles that are not compared (pipeline filling after reset). ``ports``: role ->
    the port it is bound to, as the design calls it; a role left out goes by its own name.
    ``inverted``: roles whose port is active low: values here are active high, the wire has the others.
    """

    first: int
    stimulus: Stimulus
    expected: ExpectedTrace
    observed: ObservedTrace
    masked: tuple[tuple[int, int], ...] = ()
    ports: Mapping[str, str] = field(default_factory=dict)
    inverted: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, eq=False)
class Failure:
    """Why a check fails: one sentence, and the evidence for it when a trace shows it.

    ``kind``: ``mismatch``, ``unknown_value`` (x or z), ``skew``, ``never_leaves_x``, ``hang``,
    ``early_end``, ``crash``, ``limit``, ``bad_trace``, ``no_alignment``,
    ``simulators_disagree`` ... ``also``: further findings in words (such as the other outputs that
    differ). ``look``: the digits of a display or
    decoder at the first difference. ``internals``: the design's own signals around it, where they
    were asked for.
    """

    kind: str
    text: str
    mismatch: Mismatch | None = None
    excerpt: Excerpt | None = None
    also: tuple[str, ...] = ()
    look: DisplayLook | None = None
    internals: Internals | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """A worked computation: headings, rows of cells, and the rows in which something is wrong."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    marked: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Explanation:
    """A fault that reproduces what was observed; ``text`` in words with the numbers.

    ``place``: the constant or comparison in the source that it points at, or where its port is
    driven. ``table``: the computation that goes wrong, where there is one to show.
    """

    fault: str
    text: str
    reproduces_all_cycles: bool
    place: Place | None = None
    table: Table | None = None


@dataclass(frozen=True, slots=True)
class CoverageItem:
    """One thing counted: ``reached`` of ``total``, and up to a few of what was not reached, in words."""

    name: str
    reached: int
    total: int
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Coverage:
    """What the stimuli reached, in the golden model's terms; ``maps``: the same for pictures."""

    items: tuple[CoverageItem, ...] = ()
    maps: tuple[CoverageMap, ...] = ()


@dataclass(frozen=True, slots=True)
class Speedup:
    """The factor and what stands behind it; ``sound`` None: nothing speaks against it, not all was run.

    ``places``: of the ``problems``, one each. ``definite``: one of them is wrong on the board for
    certain, and not only a reason why the scaled run does not speak for the board.
    """

    factor: int
    sound: bool | None
    evidence: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()
    places: tuple[Place | None, ...] = ()
    definite: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class CheckResult:
    """One check of one module. ``reason`` is one sentence; ``notes`` are things worth saying.

    ``latency``: cycles from golden to observed output, None when it was not established.
    ``cycles`` compared; ``seconds`` of wall time, build included. ``settled_by``: for an undecided
    check, what would settle it, one order each (such as ``pin latency in the bench``). ``driven``:
    what was played, by purpose. ``scan``: of a scanned display on a board of known frequency.
    """

    name: str
    model: str
    module: str
    verdict: Verdict
    reason: str
    cycles: int = 0
    seconds: float = 0.0
    simulator: str = ""
    seed: int = 0
    latency: int | None = None
    facts: tuple[Fact, ...] = ()
    coverage: Coverage = Coverage()
    failure: Failure | None = None
    explanations: tuple[Explanation, ...] = ()
    replay: Path | None = None
    notes: tuple[str, ...] = ()
    unchecked_outputs: tuple[Signal, ...] = ()
    tied_inputs: Mapping[str, int] = field(default_factory=dict)
    speedup: Speedup | None = None
    settled_by: tuple[str, ...] = ()
    driven: tuple[Driven, ...] = ()
    bindings: tuple[Binding, ...] = ()
    scan: ScanRate | None = None
    inferred: tuple[Inferred, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class RunResult:
    """Everything that one call checked, worst verdict first in importance."""

    checks: tuple[CheckResult, ...]
    bench: Path | None = None
    seconds: float = 0.0

    @property
    def verdict(self) -> Verdict:
        """Error beats fail beats undecided beats pass; nothing checked is undecided."""
        verdicts = {check.verdict for check in self.checks}
        for verdict in (Verdict.ERROR, Verdict.FAIL, Verdict.UNDECIDED):
            if verdict in verdicts:
                return verdict
        return Verdict.PASS if verdicts else Verdict.UNDECIDED
