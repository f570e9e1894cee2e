"""Benches of a few lines around Verilog of a few lines."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from verify.checks import Settings, check_bench
from verify.results import CheckResult

Check = Callable[..., CheckResult]


@pytest.fixture
def check(tmp_path: Path) -> Check:
    """Write a design and a bench for it, run the one check, return its result."""

    def run(
        verilog: str,
        model: str,
        ports: str,
        *,
        expect: str = "",
        more: str = "",
        clock: str = 'port = "clk"',
        reset: str = 'port = "rst"',
        settings: Settings | None = None,
    ) -> CheckResult:
        (tmp_path / "design.v").write_text(verilog, encoding="utf-8")
        bench = tmp_path / "bench.toml"
        bench.write_text(
            '[design]\nsources = ["design.v"]\n'
            + (f"[clock]\n{clock}\n" if clock else "")
            + (f"[reset]\n{reset}\n" if reset else "")
            + f'[[check]]\nmodel = "{model}"\nports = {{ {ports} }}\nexpect = {{ {expect} }}\n{more}\n',
            encoding="utf-8",
        )
        (result,) = check_bench(bench, settings or Settings(examples=40, explain_seconds=0.2)).checks
        return result

    return run
