"""Designs with a fault on demand: what is wrong with them is named, and what is said of it holds."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path

import pytest
from faults import TEMPLATES
from injection import Bed, Finding, known
from stepping import LONGEST_CYCLES, first_wrong_cycle

from verify.results import CheckResult, Verdict

EVERY = 24
"""Of the faults of a template one in so many is injected here, all of them in ``tests/benchmarks``."""

PAIRS = {"count": ((1, 9),), "bcd": ((4, 19),)}


@pytest.fixture(params=TEMPLATES)
def bed(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[str, Bed]]:
    template = TEMPLATES[request.param]
    opened = Bed(template.top, template.bench, tmp_path)
    yield request.param, opened
    opened.close()


def sample(name: str) -> list[int]:
    """One in so many, another one for every template."""
    faults = sorted(TEMPLATES[name].names)
    return faults[list(TEMPLATES).index(name) % EVERY :: EVERY] or faults[:1]


def assert_it_holds(found: Finding) -> None:
    """Every explanation does what was seen, clock by clock."""
    for standing in found.diagnosis.found:
        if standing.edit.whole or standing.edit.reset in {"inverted", "ignored"}:
            continue
        for observation in found.seen:
            if observation.observed is not None and observation.stimulus.length <= LONGEST_CYCLES:
                wrong = {a: first_wrong_cycle(standing.edit, a, observation) for a in standing.alignments[:1]}
                assert set(wrong.values()) == {None}, (standing.edit.key, wrong)


def test_a_right_design_passes_and_a_fault_in_it_is_named(bed: tuple[str, Bed]) -> None:
    name, opened = bed
    twin = opened.run(0)
    assert isinstance(twin, CheckResult)
    assert twin.verdict is Verdict.PASS, twin.reason
    assert twin.explanations == ()
    for fault in sample(name):
        found = opened.run(fault, afresh=fault in TEMPLATES[name].lasting)
        assert isinstance(found, Finding), (fault, found.reason)
        assert known(found.keys, TEMPLATES[name].names[fault]), (fault, found.keys)
        assert_it_holds(found)
        if fault not in TEMPLATES[name].lasting:
            assert opened.foretells(found, fault), (fault, found.keys)


@pytest.mark.parametrize(("name", "faults"), [(n, p) for n, pairs in PAIRS.items() for p in pairs])
def test_two_faults_in_one_design_are_both_named(name: str, faults: tuple[int, int], tmp_path: Path) -> None:
    template = TEMPLATES[name]
    opened = Bed(template.top, template.bench, tmp_path)
    found = opened.run(*faults)
    opened.close()
    assert isinstance(found, Finding)
    assert any(
        all(known([part], template.names[fault]) for part, fault in zip(order, faults, strict=True))
        for key in found.keys
        for order in itertools.permutations(key.split(" + "), 2)
    ), found.keys
    assert_it_holds(found)
