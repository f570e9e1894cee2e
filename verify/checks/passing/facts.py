"""What a verdict rests on: pinned, measured, or read from the design."""

from __future__ import annotations

from collections.abc import Sequence

from verify.bench import ResetPort, ResolvedCheck
from verify.compare import Reading
from verify.results import Fact, Source
from verify.wording import toml_text

__all__ = ["facts_of", "latencies_left", "simplest", "twins"]


def latencies_left(standing: Sequence[Reading]) -> tuple[int, ...]:
    """Latencies that no stimulus told apart, unless the facts beside them make up for it."""
    promptest = min(_lateness(r) for r in standing)
    latencies = {r.latency_cycles for r in standing if _lateness(r) == promptest}
    if len({r.latency_cycles + r.candidate.shift for r in standing}) == 1:
        latencies = {min(latencies)}
    return tuple(sorted(latencies))


def twins(leader: Reading, standing: Sequence[Reading]) -> list[Reading]:
    """The others that promise what ``leader`` does: a later first event makes up for a shorter latency."""

    def facts(reading: Reading) -> tuple[object, ...]:
        candidate = reading.candidate
        others = {name: value for name, value in candidate.measured.items() if name != "first"}
        return reading.kind, reading.reset_path, reading.latency_cycles + candidate.shift, others

    return [r for r in standing if r is not leader and facts(r) == facts(leader)]


def simplest(standing: Sequence[Reading]) -> Reading:
    """Of readings that no stimulus told apart: the one that excuses the fewest cycles."""
    return min(standing, key=lambda r: (_lateness(r), r.latency_cycles))


def _lateness(reading: Reading) -> int:
    return reading.reset_path.delay_cycles + reading.reset_path.release_cycles


def facts_of(check: ResolvedCheck, reading: Reading, standing: Sequence[Reading]) -> tuple[Fact, ...]:
    """The facts of ``reading``; where the standing readings disagree on one, it is left out.

    Those of another latency do not count: a later first event makes up for a shorter latency, and the
    two are told together.
    """
    alike = [r for r in standing if r.latency_cycles == reading.latency_cycles]
    facts = [_latency(check, reading)]
    options = {option.name for option in check.family.options}
    if check.edge_pin:
        facts.append(Fact("clock.edge", check.target.edge, "measured", check.edge_pin))
    if check.reset is not None:
        facts.append(_kind(check, standing))
        facts += _reset_path(check.reset, reading)
    for name, value in reading.candidate.measured.items():
        if all(r.candidate.measured.get(name) == value for r in alike):
            pin = f"{'expect' if name in options else 'facts'}.{name} = {toml_text(value)}"
            source: Source = "pinned" if name in check.facts else "measured"
            facts.append(Fact(name, value, source, pin))
    facts += [
        Fact(name, value, "pinned", f"expect.{name} = {toml_text(value)}")
        for name, value in check.options.items()
    ]
    facts += [Fact(f"skew.{name}", clocks, "pinned") for name, clocks in check.skew.items()]
    return tuple(facts)


def _latency(check: ResolvedCheck, reading: Reading) -> Fact:
    source: Source = "measured" if check.latency is None else "pinned"
    return Fact("latency", reading.latency_cycles, source, f"latency = {reading.latency_cycles}")


def _reset_path(reset: ResetPort, reading: Reading) -> list[Fact]:
    path = reading.reset_path
    found = (("delay", path.delay_cycles, reset.delay), ("release", path.release_cycles, reset.release))
    return [
        Fact(
            f"reset.{name}",
            cycles,
            "measured" if pinned is None else "pinned",
            f"{name} = {cycles}  # in [reset]",
        )
        for name, cycles, pinned in found
        if cycles or pinned is not None
    ]


def _kind(check: ResolvedCheck, standing: Sequence[Reading]) -> Fact:
    kinds = {r.kind for r in standing}
    if check.reset is not None and check.reset.kind is not None:
        value = check.reset.kind.value
        return Fact("reset.kind", value, "pinned", f'kind = "{value}"  # in [reset]')
    if len(kinds) > 1:
        return Fact("reset.kind", "makes no difference", "measured")
    value = next(iter(kinds)).value
    return Fact("reset.kind", value, "measured", f'kind = "{value}"  # in [reset]')
