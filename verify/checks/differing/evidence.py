"""Turn a failing trial into what a person is shown."""

from __future__ import annotations

from verify.bench import ResolvedCheck, port_text, reference_of
from verify.compare import Trial, cut_expected, cut_observed, cut_stimulus, delayed
from verify.compare.looks import display_look
from verify.results import Excerpt, Failure, Mismatch
from verify.signals import ExpectedTrace, ObservedTrace, Stimulus
from verify.wording import enumerated

__all__ = ["AFTER_CYCLES", "failure_of"]

BEFORE_CYCLES = 96
AFTER_CYCLES = 4
"""Cycles kept around the first difference; a picture leaves out those in which nothing changes."""

SIMULATED_PERIOD_NS = 10.0
"""The harness clock, used for times when the bench gives no frequency."""


def failure_of(check: ResolvedCheck, trial: Trial, stimulus: Stimulus, observed: ObservedTrace) -> Failure:
    """The first difference of a trial that has one, with the cycles around it."""
    cycle = trial.difference.first
    if cycle is None:
        raise ValueError("a failure needs a difference")
    reading = trial.reading
    expected = delayed(trial.expected, reading.delays_cycles)
    differing = trial.difference.wrong_at_first
    index = differing[0]
    mismatch = _mismatch(check, trial, index, cycle, expected, observed)
    unknown = trial.difference.signals[index].first_unknown == cycle
    others = [port_text(check, observed.signals[i]) for i in differing[1:]]
    also = (
        (f"{enumerated(others)} {'differs' if len(others) == 1 else 'differ'} in the same cycle",)
        if others
        else ()
    )
    return Failure(
        "unknown_value" if unknown else "mismatch",
        _sentence(mismatch, unknown=unknown, reset=check.reset is not None),
        mismatch,
        _excerpt(check, trial, stimulus, expected, observed, cycle),
        also,
        display_look(
            reading.model, expected, observed, cycle, {s.name: port_text(check, s) for s in observed.signals}
        ),
    )


def _sentence(mismatch: Mismatch, *, unknown: bool, reset: bool) -> str:
    if unknown:
        bits = "z" if "x" not in mismatch.observed else "x"
        what = "is driven by nothing (z)" if bits == "z" else "is unknown (x)"
        return f"{mismatch.port} {what} in cycle {mismatch.cycle:,}{', after reset' if reset else ''}"
    return f"{mismatch.port} is {mismatch.observed} in cycle {mismatch.cycle:,}, expected {mismatch.expected}"


def _mismatch(
    check: ResolvedCheck,
    trial: Trial,
    index: int,
    cycle: int,
    expected: ExpectedTrace,
    observed: ObservedTrace,
) -> Mismatch:
    signal = observed.signals[index]
    want = cut_expected(expected, cycle, cycle)
    have = cut_observed(observed, cycle, cycle)
    care = None if want.cares is None or want.cares[index] is None else int(want.cares[index][0])  # type: ignore[index]
    unknown = 0 if have.unknown is None or have.unknown[index] is None else int(have.unknown[index][0])  # type: ignore[index]
    period_ns = 1e9 / check.frequency_hz if check.frequency_hz else SIMULATED_PERIOD_NS
    reference = reference_of(check, signal)
    port = check.module.port(reference.slices[0].port)
    flip = signal.mask if reference.inverted else 0
    return Mismatch(
        cycle=cycle,
        expected_cycle=cycle - trial.reading.delays_cycles[index],
        time_ns=(cycle + 1) * period_ns,
        port=port_text(check, signal),
        role=signal.name,
        width=signal.width,
        expected=_bits(int(want.values[index][0]) ^ flip, signal.width, care=care),
        observed=_bits(int(have.values[index][0]) ^ (flip & ~unknown), signal.width, unknown=unknown),
        source=port.drivers[0] if port is not None and port.drivers else (port.place if port else None),
    )


def _bits(value: int, width: int, *, care: int | None = None, unknown: int = 0) -> str:
    """Most significant first: 0, 1, x, z, or ``-`` for a bit that is not promised."""
    text = []
    for bit in range(width - 1, -1, -1):
        one = value >> bit & 1
        if unknown >> bit & 1:
            text.append("x" if one else "z")
        elif care is not None and not care >> bit & 1:
            text.append("-")
        else:
            text.append(str(one))
    return "".join(text)


def _excerpt(
    check: ResolvedCheck,
    trial: Trial,
    stimulus: Stimulus,
    expected: ExpectedTrace,
    observed: ObservedTrace,
    cycle: int,
) -> Excerpt:
    first = max(cycle - BEFORE_CYCLES, 0)
    last = min(cycle + AFTER_CYCLES, observed.length - 1)
    reading = trial.reading
    masked = reading.uncompared(stimulus, max(reading.delays_cycles))
    visible = tuple(
        (max(int(begin), first) - first, min(int(end), last + 1) - first)
        for begin, end in masked
        if begin <= last and end > first
    )
    signals = (*stimulus.signals, *observed.signals)
    return Excerpt(
        first,
        cut_stimulus(stimulus, first, last),
        cut_expected(expected, first, last),
        cut_observed(observed, first, last),
        visible,
        {signal.name: port_text(check, signal) for signal in signals},
        frozenset(signal.name for signal in signals if reference_of(check, signal).inverted),
    )
