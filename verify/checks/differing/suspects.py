"""When no reading fits: what would have, had the bench or the design been a little different."""

from __future__ import annotations

from collections.abc import Sequence

from verify.bench import ResolvedCheck, port_text
from verify.checks.readings import ReadingSet, readings
from verify.compare import Trial, find_difference
from verify.models.family import Candidate
from verify.signals import ObservedTrace, Stimulus

__all__ = ["skew_finding", "unpinned_finding"]

WIDEST_SKEW_CYCLES = 12
"""How far apart in time the outputs of one model are looked for."""


def skew_finding(
    check: ResolvedCheck, trials: Sequence[Trial], observed: ObservedTrace, stimulus: Stimulus
) -> str | None:
    """The sentence that says which output comes later than the others, if that is all that is wrong."""
    seen: set[int] = set()
    for trial in sorted(trials, key=lambda t: t.difference.wrong_cycles):
        if id(trial.expected) in seen or len(seen) > 8:
            continue
        seen.add(id(trial.expected))
        fitting = _own_delays(trial, observed, stimulus)
        if any(not delays for delays in fitting):
            continue
        common = max(set().union(*fitting), key=lambda d: (sum(d in delays for delays in fitting), -d))
        nearest = [min(delays, key=lambda d: abs(d - common)) for delays in fitting]
        late = {i: d - common for i, d in enumerate(nearest) if d != common}
        if not late:
            continue
        names = [port_text(check, s) for s in observed.signals]
        prompt = next(names[i] for i in range(len(names)) if i not in late)
        parts = [
            f"{names[i]} is {_clocks(abs(n))} {'later' if n > 0 else 'earlier'} than {prompt}"
            for i, n in late.items()
        ]
        return "; ".join(parts)
    return None


def _own_delays(trial: Trial, observed: ObservedTrace, stimulus: Stimulus) -> list[list[int]]:
    """Per output the delays at which it matches by itself; one that never changes matches at many."""
    reading = trial.reading
    outputs = range(len(observed.signals))
    fitting: list[list[int]] = [[] for _ in outputs]
    for delay in range(WIDEST_SKEW_CYCLES + 1):
        masked = reading.uncompared(stimulus, delay)
        difference = find_difference(
            trial.expected, observed, delays_cycles=[delay] * len(fitting), masked=masked
        )
        for i in outputs:
            if difference.signals[i].first is None:
                fitting[i].append(delay)
    return fitting


def _clocks(count: int) -> str:
    return "1 clock" if count == 1 else f"{count} clocks"


def unpinned_finding(
    check: ResolvedCheck, candidates: Sequence[Candidate], stimulus: Stimulus, observed: ObservedTrace
) -> str | None:
    """What fits instead of a pinned latency or kind of reset, in words."""
    pins_kind = check.reset is not None and check.reset.kind is not None
    if check.latency is None and not pins_kind:
        return None
    free = ReadingSet(readings(check, candidates, range(17), pinned=False), carries_state=False)
    fitting = [t.reading for t in free.try_all(stimulus, observed) if t.difference.matches]
    if not fitting:
        return None
    found = min(fitting, key=lambda r: r.latency_cycles)
    parts = []
    if check.latency is not None and found.latency_cycles != check.latency:
        parts.append(f"with a latency of {_clocks(found.latency_cycles)}; the bench pins {check.latency}")
    if (
        pins_kind
        and check.reset is not None
        and found.kind is not check.reset.kind
        and check.reset.kind is not None
    ):
        parts.append(f"with a reset that is {found.kind.value}; the bench pins {check.reset.kind.value}")
    return "the design matches " + ", and ".join(parts) if parts else None
