from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from verify.watching import look_at, signature_of
from verify.watching.touching import needed_files

EXAMPLE = Path(__file__).parents[2] / "rtl_examples" / "exposure_timer"


@pytest.fixture
def bench(tmp_path):
    shutil.copytree(EXAMPLE, tmp_path / "timer", ignore=shutil.ignore_patterns(".everyedge"))
    return tmp_path / "timer" / "bench.toml"


def touched(bench, change):
    """The checks for which something is different after the change."""
    before = look_at(bench).digests
    change()
    after = look_at(bench).digests
    return {name for name in {*before, *after} if before.get(name) != after.get(name)}


def edited(file, old, new):
    def change():
        text = file.read_text()
        assert old in text
        file.write_text(text.replace(old, new, 1))

    return change


def test_a_source_touches_the_checks_of_the_modules_above_it_alone(bench):
    rtl = bench.parent / "rtl"
    decoder = edited(rtl / "seven_segment.v", "4'd3", "4'd4")
    assert touched(bench, decoder) == {"decoder", "display"}
    counter = edited(rtl / "modulo_counter.v", "MODULO", "MODULO ")
    assert touched(bench, counter) == {"minutes or seconds", "hours", "clock", "display"}
    assert touched(bench, (rtl / "modulo_counter.v").touch) == set()


def test_a_key_of_a_check_touches_that_check_and_a_shared_one_all(bench):
    assert touched(bench, edited(bench, "latency = 2", "latency = 3")) == {"converter"}
    assert touched(bench, edited(bench, "# The", "# An")) == set()
    assert len(touched(bench, edited(bench, "12_000_000", "6_000_000"))) == 7
    assert touched(bench, edited(bench, 'name = "hours"', 'name = "days"')) == {"hours", "days"}


def test_an_included_file_a_macro_and_a_data_file_touch_everything(bench):
    rtl = bench.parent / "rtl"
    (rtl / "sizes.vh").write_text("// nothing\n")
    edited(rtl / "tick_generator.v", "module", '`include "sizes.vh"\nmodule')()
    assert len(touched(bench, edited(rtl / "sizes.vh", "nothing", "`define N 4"))) == 7
    assert len(touched(bench, lambda: (rtl / "more.v").write_text("`define FAST\n"))) == 7
    edited(rtl / "seven_segment.v", "endmodule", 'initial $readmemh("rom.hex", rom);\nendmodule')()
    (bench.parent / "rom.hex").write_text("3f\n")
    assert len(touched(bench, lambda: (bench.parent / "rom.hex").write_text("06\n"))) == 7


def test_a_new_file_under_a_pattern_is_seen_and_matters_once_it_is_mentioned(bench):
    rtl = bench.parent / "rtl"
    state = look_at(bench)
    before = signature_of(state.paths)
    (rtl / "spare.v").write_text("module spare; endmodule\n")
    assert signature_of(before) != before
    assert touched(bench, lambda: None) == set()
    mention = edited(rtl / "seven_segment.v", "endmodule", "spare s();\nendmodule")
    assert touched(bench, mention) == {"decoder", "display"}
    assert touched(bench, edited(rtl / "spare.v", "module", "// x\nmodule")) == {"decoder", "display"}


@pytest.mark.parametrize("text", ["[design", "", '[design]\nsources = ["gone/*.v"]\n[[check]]\n'])
def test_a_bench_that_cannot_be_read_is_a_state_with_an_error_and_still_watches_the_verilog(bench, text):
    bench.write_text(text)
    state = look_at(bench)
    assert state.error is not None
    assert state.digests == {}
    assert bench.parent / "rtl" / "seven_segment.v" in state.paths


@pytest.mark.parametrize(
    ("other", "needed"),
    [
        (b"module b; endmodule", {"top", "a"}),
        (b"module b; endmodule // a mentions b", {"top", "a"}),
        (b"package b; endpackage\nparameter p = 1;", {"top", "a", "other"}),
        (b"`ifdef X\n`endif\nmodule b; endmodule", {"top", "a", "other"}),
        (b"`timescale 1ns/1ps\n`default_nettype none\nmodule b; endmodule", {"top", "a"}),
        (b"module a; endmodule", {"top", "a", "other"}),
        (b"macromodule top; endmodule", {"top", "a", "other"}),
        (b"bind top b i();\nmodule b; endmodule", {"top", "a", "other"}),
    ],
)
def test_needed_files_are_those_mentioned_and_those_that_act_on_all(other, needed):
    texts = {
        Path("top"): b"module top; a u(); endmodule",
        Path("a"): b"module a; endmodule",
        Path("other"): other,
    }
    assert {str(path) for path in needed_files("top", texts, texts)} == needed
    assert needed_files("elsewhere", texts, texts) == set(texts)
