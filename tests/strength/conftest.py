"""Benches of a few lines around Verilog of a few lines."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from dial import DIAL

Writer = Callable[..., Path]


@pytest.fixture(autouse=True)
def cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is remembered belongs to one test."""
    monkeypatch.setenv("EVERYEDGE_CACHE", str(tmp_path_factory.mktemp("cache")))


@pytest.fixture
def bench_of(tmp_path: Path) -> Writer:
    """Write a design and a bench for it; the bench's path."""

    def write(
        verilog: str = DIAL,
        model: str = "counter",
        ports: str = 'count = "q", enable = "en"',
        expect: str = "modulo = 10",
        clock: str = '[clock]\nport = "clk"\nedge = "rising"\n[reset]\nport = "rst"\n',
    ) -> Path:
        (tmp_path / "design.v").write_text(verilog, encoding="utf-8")
        (tmp_path / "bench.toml").write_text(
            f'[design]\nsources = ["design.v"]\n{clock}'
            f'[[check]]\nmodel = "{model}"\nports = {{ {ports} }}\nexpect = {{ {expect} }}\n',
            encoding="utf-8",
        )
        return tmp_path / "bench.toml"

    return write
