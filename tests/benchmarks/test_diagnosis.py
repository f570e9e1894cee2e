"""Every fault of every template, and pairs of them: how many are named, and how long that takes.

``pytest tests/benchmarks/test_diagnosis.py --capture=no`` prints a line per fault and per pair, and a
table of all templates. Each search has the time that a check gives it, and no more; only that others
use the machine as well is not held against it.
"""

from __future__ import annotations

import itertools
import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "diagnose"))
sys.path.insert(0, str(Path(__file__).parent))

from faults import TEMPLATES
from findings import LINES
from injection import Bed, Finding, known

from verify.diagnose import Deadline

PAIRS_EACH = 8
SEED = 11
MOST_SECONDS = 5.0
BUSY_MACHINE = 1000.0
"""Only processor time, and time in which the simulator answers, counts."""


@dataclass
class Score:
    """Of one template. ``missed``: what was not named, or not explained; ``seconds``: of each."""

    injected: int = 0
    equivalent: int = 0
    missed: list[object] = field(default_factory=list)
    false: list[object] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)

    @property
    def row(self) -> str:
        """For the table."""
        count = len(self.seconds)
        share = 100 * (count - len(self.missed)) / max(count, 1)
        return (
            f"{count:4} {self.injected:9} {self.equivalent:10} {len(self.missed):4} {share:4.0f} % "
            f"{max(self.seconds, default=0.0):5.1f} s"
        )


SINGLES: dict[str, Score] = {}
PAIRS: dict[str, Score] = {}


@pytest.fixture(params=TEMPLATES)
def bed(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[str, Bed]]:
    template = TEMPLATES[request.param]
    opened = Bed(template.top, template.bench, tmp_path, lambda: Deadline(overtime=BUSY_MACHINE))
    yield request.param, opened
    opened.close()


def test_single_faults_are_named(bed: tuple[str, Bed]) -> None:
    """Named: what is found is the fault that was injected, or one that does the same.

    Whatever is found has to foretell a stimulus that it never saw.
    """
    name, opened = bed
    score = SINGLES.setdefault(name, Score())
    LINES.append(f"{name}: fault, what it is called, how it was explained, seconds")
    for fault, called in TEMPLATES[name].names.items():
        lasting = fault in TEMPLATES[name].lasting
        found = opened.run(fault, afresh=lasting)
        keys = found.keys if isinstance(found, Finding) else []
        score.seconds.append(found.seconds)
        how = "not"
        if known(keys, called):
            first = known(keys[:1], _own_name(called))
            how = "injected" if first else "equivalent"
            score.injected, score.equivalent = score.injected + first, score.equivalent + (not first)
        else:
            score.missed.append(fault)
        if isinstance(found, Finding) and keys and not lasting and not opened.foretells(found, fault):
            score.false.append(fault)
        LINES.append(f"  {fault:3} {called:44} {how:10} {found.seconds:5.1f}   {'; '.join(keys[:2])}")
    assert not score.false


def _own_name(called: str) -> str:
    """The first of the alternatives, without those that do the same."""
    depth, end = 0, len(called)
    for at, sign in enumerate(called):
        depth += (sign in "([") - (sign in ")]")
        if sign == "|" and depth == 0:
            end = at
            break
    return called[:end]


def test_pairs_are_explained(bed: tuple[str, Bed]) -> None:
    """Explained: what is found reproduces everything, and foretells a stimulus that it never saw."""
    name, opened = bed
    template, score = TEMPLATES[name], PAIRS.setdefault(name, Score())
    pairs = list(itertools.combinations(template.names, 2))
    LINES.append(f"{name}: pair, how it was explained, seconds")
    for pair in random.Random(SEED).sample(pairs, min(PAIRS_EACH, len(pairs))):
        lasting = bool(template.lasting.intersection(pair))
        found = opened.run(*pair, afresh=lasting)
        if not isinstance(found, Finding):
            continue  # the two make up for each other under this bench
        score.seconds.append(found.seconds)
        named = any(
            all(known([part], template.names[fault]) for part, fault in zip(order, pair, strict=True))
            for key in found.keys
            for order in itertools.permutations(key.split(" + "), 2)
        )
        told = bool(found.diagnosis.found) and (lasting or opened.foretells(found, *pair))
        if found.diagnosis.found and not told:
            score.false.append(pair)
        if told:
            score.injected, score.equivalent = score.injected + named, score.equivalent + (not named)
        else:
            score.missed.append(pair)
        how = "injected" if told and named else "equivalent" if told else "not"
        LINES.append(f"  {pair!s:9} {how:10} {found.seconds:5.1f}   {'; '.join(found.keys[:2])}")


@pytest.mark.parametrize(("what", "scores", "least"), [("faults", SINGLES, 95), ("pairs", PAIRS, 70)])
def test_of_all_templates_together_so_many_are_explained(
    what: str, scores: dict[str, Score], least: int
) -> None:
    if not scores:
        pytest.skip("none were run")
    LINES.append(f"{what:20} run injected equivalent not explained, longest")
    for name, score in scores.items():
        LINES.append(f"  {name:18} {score.row}")
    whole = Score(
        sum(s.injected for s in scores.values()),
        sum(s.equivalent for s in scores.values()),
        [m for s in scores.values() for m in s.missed],
        [],
        [t for s in scores.values() for t in s.seconds],
    )
    LINES.append(f"  {'all of them':18} {whole.row}\n")
    explained = whole.injected + whole.equivalent
    assert 100 * explained >= least * len(whole.seconds)
    assert max(whole.seconds) < MOST_SECONDS
