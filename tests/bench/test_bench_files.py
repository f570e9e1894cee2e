"""What a bench file says is what is loaded, and where it says it."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.bench import load_bench
from verify.bench.load import bench_of
from verify.bench.places import Places
from verify.errors import Place


def test_every_table_is_loaded_as_written(bench_file):
    bench = load_bench(bench_file(('"CLK_HZ"', '["CLK_HZ", "CLK_KHZ"]\nspeedup = "auto"')))
    assert bench.path == Path("bench.toml")
    assert bench.files == (Path("rtl/design.v"),)
    assert (bench.design.top, bench.clock.port, bench.clock.edge) == ("metronome", "clk", "rising")
    assert (bench.clock.frequency, bench.clock.speedup) == (12_000_000, "auto")
    assert bench.clock.parameter == ("CLK_HZ", "CLK_KHZ")
    assert (bench.reset.port, bench.reset.active, bench.reset.kind) == ("rst_n", "low", None)
    (check,) = bench.checks
    assert (check.name, check.model, check.module) == ("metronome: divider", "divider", None)
    assert (check.latency, check.settle, dict(check.skew)) == (None, None, {})


@pytest.mark.parametrize("written", ["12_000_000", "12e6", "1.2e7", "12000000.0"])
def test_a_frequency_may_be_written_as_a_whole_float(bench_file, written):
    assert load_bench(bench_file(("12_000_000", written))).clock.frequency == 12_000_000


def test_names_left_out_are_filled_in_and_unique(bench_file):
    more = '\n[[check]]\nmodel = "divider"\nports = { tick = "tick" }\n[[check]]\nmodule = "decoder"\n'
    more += 'model = "segments"\nports = { digit = "digit" }\n[[check]]\nname = "metronome: divider (2)"\n'
    more += 'model = "divider"\nports = { tick = "tick" }\n'
    bench = load_bench(bench_file(('enable = "run" }\n', 'enable = "run" }\n' + more)))
    assert [check.name for check in bench.checks] == [
        "metronome: divider",
        "metronome: divider (3)",
        "decoder: segments",
        "metronome: divider (2)",
    ]


def test_patterns_are_sorted_and_files_named_twice_count_once(bench_file):
    for name in ("b.v", "a.v", "sub/c.sv"):
        Path("rtl", name).parent.mkdir(exist_ok=True)
        Path("rtl", name).write_text("")
    bench = load_bench(bench_file(('["rtl/*.v"]', '["rtl/b.v", "rtl/**/*.v", "rtl/**/*.sv"]')))
    assert [str(file) for file in bench.files] == ["rtl/b.v", "rtl/a.v", "rtl/design.v", "rtl/sub/c.sv"]


def test_a_name_with_brackets_is_a_file_before_it_is_a_pattern(bench_file):
    Path("rtl/d[1].v").write_text("")
    assert load_bench(bench_file(('"rtl/*.v"', '"rtl/d[1].v"'))).files == (Path("rtl/d[1].v"),)


def test_a_bench_need_not_come_from_a_file(bench_file, tmp_path):
    bench_file()
    tables = {"design": {"sources": ["rtl/*.v"]}, "check": [{"model": "divider", "ports": {"tick": "tick"}}]}
    bench = bench_of(tables, tmp_path)
    assert bench.path is None
    assert bench.checks[0].name == "divider"
    assert bench.places.of("check", 0) is None


TOML = """\
top = 1   # a comment
a.b = { c = [ 1, "zwölf", { d = 2 } ], "e f" = 3 }
[table.inner]
key = 1
[[list]]
x = 1
[list.sub]
y = [
  1,  # first
  2,
]
[[list]]
x = 2
[list.sub]
y = 3
"""

WHERE = {
    ("top",): "1:1",
    ("a", "b"): "2:1",
    ("a", "b", "c"): "2:9",
    ("a", "b", "c", 1): "2:18",
    ("a", "b", "c", 2, "d"): "2:29",
    ("a", "b", "e f"): "2:40",
    ("table", "inner"): "3:2",
    ("table", "inner", "key"): "4:1",
    ("list",): "5:3",
    ("list", 0): "5:3",
    ("list", 0, "sub", "y", 1): "10:3",
    ("list", 1): "12:3",
    ("list", 1, "x"): "13:1",
    ("list", 1, "sub", "y"): "15:1",
    # The nearest key that is there stands for one that is not.
    ("list", 1, "sub", "z"): "14:2",
    ("table", "inner", "none", "deeper"): "3:2",
    ("nowhere",): "",
}


@pytest.mark.parametrize(("path", "where"), WHERE.items())
def test_every_key_has_its_line_and_column(path, where):
    place = Places.read(Path("x.toml"), TOML).of(*path)
    assert str(place) == f"x.toml:{where}".rstrip(":")
    assert place == Place(Path("x.toml")) or place.source == TOML.splitlines()[place.line - 1]
