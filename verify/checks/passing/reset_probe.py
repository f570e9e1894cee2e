"""What a design shows while its reset is held.

Of a pipeline that is not asked for: its registers may be cleared, hold what they have or go on, and
each is right. What is seen is a measured fact; a bench may pin it, and an option may promise it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from verify.bench import ResolvedCheck, port_text
from verify.checks.passing.pins import IN_RESET
from verify.checks.session import Session
from verify.compare import Reading
from verify.errors import BenchError
from verify.models.golden import GoldenModel, Guided, ShowsInReset, at_rest
from verify.models.segment_decoder import HoldingDecoder
from verify.results import Fact, Failure
from verify.signals import ObservedTrace, Reset, Run, Stimulus
from verify.stimulus.converters import is_sequential, one_conversion
from verify.stimulus.vocabulary import Hand
from verify.wording import toml_text

__all__ = ["ANY", "probe_reset", "reset_fact"]

ANY = "any"
"""In place of a value: an output that is not the same in every reset."""

ROUNDS = 12
LONGEST_WAIT_CYCLES = 2_000
"""Up to so many clocks are played before a reset, so that there is something to clear."""

MARGIN_CYCLES = 2
"""Clocks that a reset of either kind needs to take effect, beside what its path and the latency take."""


def reset_fact(check: ResolvedCheck, session: Session, reading: Reading) -> Fact | Failure | None:
    """What is shown in reset, as a fact or, where the bench says otherwise, as a failure.

    None: nothing is to be found out, since an output without latency of which the model says what it
    shows is compared in reset, too.
    Raises BenchError for a pin of what cannot be measured, SimulationFault.
    """
    model = reading.model
    promised = model.reset_outputs if isinstance(model, ShowsInReset) else None
    direct = max(reading.delays_cycles, default=0) == 0 and _says_all(model)
    if check.reset is None or (direct and (promised is None or isinstance(model, HoldingDecoder))):
        if IN_RESET in check.facts:
            raise BenchError(
                f'check "{check.name}", facts: {IN_RESET} is measured where the golden model does not say '
                "what is shown in reset, and here it does",
                advice="leave it out: an output without latency is compared while reset is held, too",
            )
        return None
    shown = probe_reset(session, reading)
    for signal, value, promise in zip(model.outputs, shown, promised or (), strict=False):
        if promise[1] and (value == ANY or (int(value) ^ promise[0]) & promise[1]):
            seen = "not always the same" if value == ANY else f"{int(value):0{signal.width}b}"
            text = (
                f"while reset is held {port_text(check, signal)} is {seen}, and reset_shows = "
                f"{toml_text(check.options['reset_shows'])} asks for {promise[0]:0{signal.width}b}"
            )
            return Failure("pinned_fact", text)
    single = len(shown) == 1 or set(shown) == {ANY}
    found: object = shown[0] if single else list(shown)
    pin = f"facts.{IN_RESET} = {toml_text(found)}" if found != ANY else ""
    if IN_RESET not in check.facts:
        return Fact(IN_RESET, found, "measured", pin)
    wanted = check.facts[IN_RESET]
    if _fits(wanted, shown):
        return Fact(IN_RESET, wanted, "pinned", f"facts.{IN_RESET} = {toml_text(wanted)}")
    text = f"{IN_RESET} is pinned to {toml_text(wanted)}, and the design has {toml_text(found)}"
    return Failure("pinned_fact", text)


def _says_all(model: GoldenModel) -> bool:
    """Whether reset puts every output at a value that the model promises."""
    cares = model.cares(model.initial(), at_rest(model))
    return cares is None or all(c == s.mask for c, s in zip(cares, model.outputs, strict=True))


def _fits(wanted: object, shown: Sequence[int | str]) -> bool:
    listed = list(wanted) if isinstance(wanted, (list, tuple)) else [wanted]
    return len(listed) == len(shown) and all(w in (ANY, s) for w, s in zip(listed, shown, strict=True))


def probe_reset(session: Session, reading: Reading) -> tuple[int | str, ...]:
    """Per output of the model, the one value that every reset settles on, or ``ANY``."""
    path = reading.reset_path
    fill = max(reading.delays_cycles, default=0) + path.delay_cycles + path.release_cycles + MARGIN_CYCLES
    stimulus, settled = _resets(session.check, reading.model, fill)
    observed = session.observe(reading.model, stimulus)
    return tuple(_steady(observed, index, settled) for index in range(len(observed.signals)))


def _resets(check: ResolvedCheck, model: GoldenModel, fill: int) -> tuple[Stimulus, list[int]]:
    """Resets out of many states, the inputs changing in them; and the cycles in which all has settled."""
    hand, rng = Hand(model, check.resets), np.random.default_rng(1)
    marks = model.landmarks() if isinstance(model, Guided) else ()
    waits = [mark + 2 for mark in marks if mark + 2 <= LONGEST_WAIT_CYCLES] or [fill + 5]
    columns = [c.tolist() for c in hand.random_columns(3 * ROUNDS, rng)]
    rows = list(zip(*columns, strict=True)) if columns else [()] * (3 * ROUNDS)
    runs = hand.begin()
    settled: list[int] = []
    at = sum(run.cycles for run in runs)
    for number in range(ROUNDS):
        before, early, late = rows[3 * number : 3 * number + 3]
        busy = (
            one_conversion(hand, before)
            if is_sequential(hand)
            else [*hand.go(), hand.rest(waits[number % len(waits)])]
        )
        busy += [Run(fill, before), Run(fill, early, Reset.HELD), Run(fill, late, Reset.HELD)]
        runs += busy
        at += sum(run.cycles for run in busy)
        settled += range(at - fill, at)
    return Stimulus.of(hand.signals, [*runs, hand.rest(fill)]), settled


def _steady(observed: ObservedTrace, index: int, cycles: list[int]) -> int | str:
    rows = np.searchsorted(observed.cycles, cycles, side="right") - 1
    unknown = None if observed.unknown is None else observed.unknown[index]
    if unknown is not None and any(unknown[rows].tolist()):
        return ANY
    values = set(observed.values[index][rows].tolist())
    return int(values.pop()) if len(values) == 1 else ANY
