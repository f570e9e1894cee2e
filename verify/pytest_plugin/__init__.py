"""Room: pytest_plugin. Benches are collected as tests, and a user's own tests get a simulator.

pytest imports this module in every run on a machine that has everyedge, so it loads nothing else
until there is a bench or somebody asks for the fixture.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fnmatch import fnmatch
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from verify.properties import DesignSimulation

__all__ = ["pytest_addoption", "pytest_collect_file", "simulate"]

BENCHES = "everyedge_benches"
OFF, SEED, SIMULATOR = "everyedge_off", "everyedge_seed", "everyedge_simulator"


def pytest_addoption(parser: pytest.Parser) -> None:
    """The options of the command line and of pytest's configuration file."""
    group = parser.getgroup("everyedge", "benches of everyedge")
    group.addoption(
        "--no-everyedge", dest=OFF, action="store_true", help="Collect no benches (bench.toml) as tests."
    )
    group.addoption(
        "--everyedge-seed",
        dest=SEED,
        type=int,
        metavar="N",
        help="Seed of the stimuli that everyedge generates.",
    )
    group.addoption(
        "--everyedge-simulator",
        dest=SIMULATOR,
        choices=("auto", "icarus", "verilator"),
        default="auto",
        help="Simulator that plays them.",
    )
    parser.addini(
        BENCHES,
        type="args",
        default=["bench.toml"],
        help="Names of files that are collected as benches of everyedge, such as bench.toml *.bench.toml; "
        "empty: none but those named on the command line.",
    )


def pytest_collect_file(file_path: Path, parent: pytest.Collector) -> pytest.Collector | None:
    """A bench that was named, or that is called like one and does not belong to something else."""
    if file_path.suffix != ".toml" or parent.config.getoption(OFF):
        return None
    named = parent.session.isinitpath(file_path)
    if not named and not any(fnmatch(file_path.name, name) for name in parent.config.getini(BENCHES)):
        return None
    from verify.pytest_plugin.collecting import BenchFile, is_bench  # noqa: PLC0415 -- only for a bench

    return BenchFile.from_parent(parent, path=file_path) if named or is_bench(file_path) else None


@pytest.fixture(scope="module")
def simulate(request: pytest.FixtureRequest) -> Iterator[Callable[..., DesignSimulation]]:
    """``simulate("bench.toml", check="converter")``: the design of a check in a simulator, to play with.

    The path is taken from the folder of the test file. The simulators are ended with the module.
    """
    from verify.pytest_plugin.designs import Designs  # noqa: PLC0415 -- heavy, and only for those who ask

    with Designs(request.path.parent, request.config) as designs:
        yield designs.simulate
