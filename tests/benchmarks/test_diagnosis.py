"""Every fault of every template, and pairs of them: how many are named, and how long that takes.

``pytest tests/benchmarks/test_diagnosis.py --capture=no`` prints a line per template.
"""

from __future__ import annotations

import itertools
import random
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "diagnose"))

from faults import TEMPLATES
from injection import Bed, Finding, known

PAIRS_EACH = 8
SEED = 11


@pytest.fixture(params=TEMPLATES)
def bed(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[str, Bed]]:
    template = TEMPLATES[request.param]
    opened = Bed(template.top, template.bench, tmp_path)
    yield request.param, opened
    opened.close()


def test_at_least_95_of_100_single_faults_are_named(bed: tuple[str, Bed]) -> None:
    name, opened = bed
    names, lasting = TEMPLATES[name].names, TEMPLATES[name].lasting
    missed, seconds, false = [], [], []
    for fault in names:
        found = opened.run(fault, afresh=fault in lasting)
        if not isinstance(found, Finding) or not known(found.keys, names[fault]):
            missed.append((fault, found.keys if isinstance(found, Finding) else found.reason))
        elif fault not in lasting and not opened.foretells(found, fault):
            false.append(fault)
        seconds.append(found.seconds)
    share = 100 * (1 - len(missed) / len(names))
    sys.stdout.write(
        f"\n{name}: {share:.0f} % of {len(names)} named, {max(seconds):.1f} s at most, missed {missed}\n"
    )
    assert not false
    assert share >= 95


def test_at_least_70_of_100_pairs_are_explained(bed: tuple[str, Bed]) -> None:
    """Explained: what is found reproduces everything, and foretells a stimulus that it never saw."""
    name, opened = bed
    pairs = list(itertools.combinations(TEMPLATES[name].names, 2))
    chosen = random.Random(SEED).sample(pairs, min(PAIRS_EACH, len(pairs)))
    missed, seconds, named = [], [], 0
    for pair in chosen:
        found = opened.run(*pair)
        if not isinstance(found, Finding):
            continue
        seconds.append(found.seconds)
        if not found.diagnosis.found or not opened.foretells(found, *pair):
            missed.append(pair)
        named += any(
            all(known([p], TEMPLATES[name].names[f]) for p, f in zip(order, pair, strict=True))
            for key in found.keys
            for order in itertools.permutations(key.split(" + "), 2)
        )
    count = len(seconds)
    sys.stdout.write(
        f"\n{name}: {count - len(missed)} of {count} pairs explained, {named} by both names, "
        f"{max(seconds):.1f} s at most, missed {missed}\n"
    )
    assert len(missed) <= 0.3 * count
