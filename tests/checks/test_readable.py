"""A design that exhausts its reader is an error of its own; any other costs one reading, once."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from verify.bench import load_bench
from verify.checks import readable
from verify.checks.readable import require_readable
from verify.errors import DesignError

BENCH = """
[design]
sources = ["d.v"]
[[check]]
model = "bcd"
ports = { binary = "a", bcd = "y" }
"""
BOMB = "`define m0 x x x x\n" + "".join(f"`define m{i} {f'`m{i - 1} ' * 10}\n" for i in range(1, 12))


def bench_for(folder: Path, text: str):
    (folder / "d.v").write_text(text, encoding="utf-8")
    (folder / "bench.toml").write_text(BENCH, encoding="utf-8")
    return load_bench(folder / "bench.toml")


@pytest.mark.parametrize(("seconds", "memory_bytes"), [(1, 8 << 30), (60, 1 << 30)], ids=["time", "memory"])
def test_macros_without_bounds_are_found_out(tmp_path: Path, seconds: int, memory_bytes: int) -> None:
    bench = bench_for(tmp_path, BOMB + "module m; wire `m11; endmodule\n")
    with pytest.raises(DesignError, match=r"^the Verilog cannot be read in") as raised:
        require_readable(bench, seconds=seconds, memory_bytes=memory_bytes)
    assert raised.value.place is not None
    assert raised.value.place.file == tmp_path / "d.v"


def test_a_design_is_read_in_a_child_only_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EVERYEDGE_CACHE", str(tmp_path / "cache"))
    bench = bench_for(tmp_path, BOMB + "module m (input a, output y); assign y = a; endmodule\n")
    require_readable(bench)
    monkeypatch.setattr(readable.subprocess, "Popen", None)
    require_readable(bench)
    (tmp_path / "d.v").write_text("module m; endmodule\n", encoding="utf-8")
    with pytest.raises(TypeError, match="not callable"):
        require_readable(bench)
    assert subprocess is readable.subprocess


def test_a_design_with_an_error_is_left_to_the_reading_that_tells_it(tmp_path: Path) -> None:
    require_readable(bench_for(tmp_path, "module m (input a, output y); assign y = ; endmodule\n"))
