"""Sources, includes, data files and the cache of builds."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from rtl import drive, samples, target

from verify.errors import DesignError, ToolError
from verify.predefined import PREDEFINED
from verify.simulation import SimulatorKind, Target, open_simulation
from verify.simulation.cache import BuildCache, cache_directory


def first_sample(unit: Target, kind: str = "icarus") -> tuple[str, ...]:
    with open_simulation(unit, kind=kind) as simulation:
        return samples(simulation.play(drive(unit, [(1,)])))[0]


CONSTANT = "module dut(input clk, output [7:0] y); assign y = {}; endmodule\n"


def constant(folder: Path, expression: str, above: str = "") -> Target:
    return target(folder, above + CONSTANT.format(expression), [], [("y", 8)])


def test_a_changed_source_is_built_again(tmp_path: Path) -> None:
    assert first_sample(constant(tmp_path, "1")) == ("00000001",)
    assert first_sample(constant(tmp_path, "2")) == ("00000010",)


@pytest.mark.parametrize("kind", ["icarus", "verilator"])
def test_a_changed_include_is_built_again_however_deep(tmp_path: Path, kind: str) -> None:
    (tmp_path / "inc").mkdir()
    unit = replace(constant(tmp_path, "`VALUE", '`include "a.vh"\n'), include=(tmp_path / "inc",))
    (tmp_path / "inc" / "a.vh").write_text('`include "b.vh"\n')
    (tmp_path / "inc" / "b.vh").write_text("`define VALUE 1\n")
    assert first_sample(unit, kind) == ("00000001",)
    (tmp_path / "inc" / "b.vh").write_text("`define VALUE 2\n")
    assert first_sample(unit, kind) == ("00000010",)


def test_an_include_that_appears_earlier_on_the_path_is_noticed(tmp_path: Path) -> None:
    for name in ("first", "second"):
        (tmp_path / name).mkdir()
    unit = constant(tmp_path, "`VALUE", '`include "a.vh"\n')
    unit = replace(unit, include=(tmp_path / "first", tmp_path / "second"))
    (tmp_path / "second" / "a.vh").write_text("`define VALUE 1\n")
    assert first_sample(unit) == ("00000001",)
    (tmp_path / "first" / "a.vh").write_text("`define VALUE 2\n")
    assert first_sample(unit) == ("00000010",)


def test_an_include_named_by_a_macro_is_never_taken_from_the_cache(tmp_path: Path) -> None:
    unit = replace(constant(tmp_path, "`VALUE", "`include `NAME\n"), defines=(("NAME", '"a.vh"'),))
    for value in ("1", "2"):
        (tmp_path / "a.vh").write_text(f"`define VALUE {value}\n")
        assert first_sample(unit) == (format(int(value), "08b"),)


def test_defines_reach_the_design(tmp_path: Path) -> None:
    unit = constant(tmp_path, "`ifdef FLAG `VALUE `else 0 `endif")
    assert first_sample(replace(unit, defines=(("FLAG", ""), ("VALUE", "8'h5a")))) == ("01011010",)
    assert first_sample(unit) == ("00000000",)


def test_a_package_may_come_after_the_file_that_uses_it(tmp_path: Path) -> None:
    unit = target(tmp_path, CONSTANT.format("values::FIVE"), [], [("y", 8)], name="a.sv")
    for name, text in (
        ("b.sv", "package values; localparam FIVE = numbers::TWO + 3; endpackage"),
        ("c.sv", "package numbers; localparam TWO = 2; endpackage"),
    ):
        (tmp_path / name).write_text(text)
        unit = replace(unit, sources=(*unit.sources, tmp_path / name))
    assert first_sample(unit) == ("00000101",)


@pytest.mark.parametrize("kind", ["icarus", "verilator"])
def test_memory_files_are_found_from_the_bench_s_folder(tmp_path: Path, kind: str) -> None:
    (tmp_path / "rtl").mkdir()
    (tmp_path / "bench").mkdir()
    (tmp_path / "data").mkdir()
    (tmp_path / "bench" / "own.hex").write_text("11 22\n")
    (tmp_path / "data" / "up.hex").write_text("33 44\n")
    (tmp_path / "rtl" / "beside.hex").write_text("55 66\n")
    text = """module dut #(parameter FILE = "own.hex") (input clk, output [7:0] a, b, c);
      reg [7:0] p [0:1], q [0:1], r [0:1];
      initial begin $readmemh(FILE, p); $readmemh("../data/up.hex", q); $readmemh("beside.hex", r); end
      assign a = p[1]; assign b = q[1]; assign c = r[1];
    endmodule"""
    outputs = [(name, 8) for name in "abc"]
    unit = target(tmp_path / "rtl", text, [], outputs, directory=tmp_path / "bench")
    assert first_sample(unit, kind) == tuple(format(v, "08b") for v in (0x22, 0x44, 0x66))


def test_what_a_design_writes_stays_in_its_scratch_folder(tmp_path: Path) -> None:
    text = """module dut(input clk, output [7:0] y); integer f; assign y = 0;
      initial begin f = $fopen("out.txt"); $fdisplay(f, "x"); $fclose(f); end endmodule"""
    before = sorted(tmp_path.rglob("*"))
    unit = target(tmp_path, text, [], [("y", 8)])
    first_sample(unit)
    assert sorted(tmp_path.rglob("*")) == [*before, tmp_path / "dut.v"]


@pytest.mark.parametrize("kind", ["icarus", "verilator"])
def test_a_compile_error_names_file_line_and_source(tmp_path: Path, kind: str) -> None:
    unit = target(
        tmp_path, "module dut(input clk, output y);\n  assign y = clk +;\nendmodule\n", [], [("y", 1)]
    )
    with pytest.raises(DesignError, match="cannot compile the design: syntax error") as raised:
        open_simulation(unit, kind=kind)
    place = raised.value.place
    assert place is not None
    assert (place.file, place.line, place.source) == (tmp_path / "dut.v", 2, "  assign y = clk +;")


def test_an_error_in_the_connection_is_not_blamed_on_a_file_of_ours(tmp_path: Path) -> None:
    unit = target(tmp_path, CONSTANT.format("0"), [], [("y", 8), ("nothing", 1)])
    with pytest.raises(DesignError, match="nothing") as raised:
        open_simulation(unit)
    assert raised.value.place is None


def test_a_source_that_is_not_there_is_a_design_error(tmp_path: Path) -> None:
    unit = constant(tmp_path, "0")
    unit.sources[0].unlink()
    with pytest.raises(DesignError, match=r"cannot read the source file .*dut\.v: No such file"):
        open_simulation(unit)


@pytest.mark.parametrize(
    ("kind", "program", "advice"),
    [("icarus", "iverilog", "apt-get install iverilog"), ("verilator", r"g\+\+", r"apt-get install g\+\+")],
)
def test_a_missing_tool_is_named_with_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str, program: str, advice: str
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(ToolError, match=f"{program} is not installed") as raised:
        open_simulation(constant(tmp_path, "0"), kind=kind)
    assert raised.value.advice is not None
    assert advice.replace("\\", "") in raised.value.advice


def test_a_damaged_entry_is_built_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EVERYEDGE_CACHE", str(tmp_path / "cache"))
    unit = constant(tmp_path, "7")
    assert first_sample(unit) == ("00000111",)
    (built,) = (tmp_path / "cache").glob("*/design.vvp")
    whole = built.read_bytes()
    for damage in (whole[:-100], b""):
        built.write_bytes(damage)
        assert first_sample(unit) == ("00000111",)
        assert built.stat().st_size == len(whole)
    built.unlink()
    assert first_sample(unit) == ("00000111",)


def test_a_build_that_fails_leaves_no_entry(tmp_path: Path) -> None:
    cache = BuildCache(tmp_path)

    def build(folder: Path) -> None:
        (folder / "half").write_text("")
        raise DesignError("no")

    with pytest.raises(DesignError, match="no"):
        cache.get("key", build)
    assert [p.name for p in tmp_path.iterdir() if not p.name.startswith(".lock")] == []


def test_a_cache_that_cannot_be_written_is_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("")
    monkeypatch.setenv("EVERYEDGE_CACHE", str(blocked))
    assert cache_directory() != blocked
    assert cache_directory().is_dir()


def test_processes_that_build_the_same_design_at_once_share_one_entry(tmp_path: Path) -> None:
    (source,) = constant(tmp_path, "9").sources
    code = f"""
import sys; sys.path.insert(0, {str(Path(__file__).parent)!r})
from pathlib import Path
from test_builds import first_sample
from verify.signals import Signal
from verify.simulation import Target
unit = Target((Path({str(source)!r}),), "dut", "clk", (), (Signal("y", 8),))
assert first_sample(unit) == ("00001001",)
"""
    env = {"EVERYEDGE_CACHE": str(tmp_path / "cache"), "PATH": "/usr/bin:/bin"}
    running = [subprocess.Popen([sys.executable, "-c", code], env=env) for _ in range(4)]
    assert [process.wait(60) for process in running] == [0] * 4
    assert len(list((tmp_path / "cache").glob("*/design.vvp"))) == 1


def test_a_source_that_changes_during_its_build_does_not_poison_the_cache(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("EVERYEDGE_CACHE", str(tmp_path / "cache"))
    compiler = shutil.which("iverilog")
    (tmp_path / "iverilog").write_text(
        f"#!/bin/sh\n[ -e {tmp_path}/done ] || sed -i s/1/2/ {tmp_path}/dut.v; touch {tmp_path}/done\n"
        f'exec {compiler} "$@"\n'
    )
    (tmp_path / "iverilog").chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path), prepend=os.pathsep)
    assert first_sample(constant(tmp_path, "1")) == ("00000010",)
    assert first_sample(constant(tmp_path, "1")) == ("00000001",)


def test_the_names_around_a_design_are_made_up_for_every_build(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    names = []
    for cache in ("one", "one", "two"):
        monkeypatch.setenv("EVERYEDGE_CACHE", str(tmp_path / cache))
        assert first_sample(constant(tmp_path, "8'd3")) == ("00000011",)
        names += [p.read_text() for p in (tmp_path / cache).glob("everyedge_*/harness_name")]
    assert names[0] == names[1] != names[2]
    assert all(re.fullmatch(r"h[0-9a-f]{16}", name) for name in names)


@pytest.mark.parametrize("kind", ["icarus", "verilator"])
def test_a_design_sees_no_macro_of_its_tools(tmp_path: Path, kind: SimulatorKind) -> None:
    seen = " ".join(f"\n`ifdef {name}\n + 1\n`endif\n" for name in PREDEFINED)
    text = f"module dut(input clk, output [7:0] y); assign y = 0 {seen}; endmodule"
    unit = target(tmp_path, text, [], [("y", 8)])
    with open_simulation(unit, kind=kind) as simulation:
        assert samples(simulation.play(drive(unit, [(1,)]))) == [("00000000",)]
