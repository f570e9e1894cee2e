"""A bench is as strong as what it finds: weak ones are told from strong ones."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest
from dial import DIAL

from verify.errors import BenchError
from verify.strength import measure_strength
from verify.strength.telling import as_json_text, strength_lines


def test_a_strong_bench_finds_every_change_that_makes_a_difference(bench_of) -> None:
    strength = measure_strength(bench_of())
    assert strength.score == 1.0
    assert {t.mutation.kind for t in strength.of("killed")} >= {"constant", "comparison", "statement", "edge"}
    assert {t.mutation.kind for t in strength.of("no_difference")} == {"blocking"}
    assert all("no difference found in" in t.how for t in strength.of("no_difference"))


def test_the_edge_of_the_clock_survives_where_the_bench_leaves_it_open(bench_of) -> None:
    path = bench_of(clock='[clock]\nport = "clk"\n[reset]\nport = "rst"\n')
    strength = measure_strength(path, sample=5, seed=10)  # the edge among them
    (survivor,) = strength.of("survived")
    assert survivor.mutation.kind == "edge"
    assert survivor.difference is not None
    assert 'edge = "rising"  # in [clock]' in survivor.difference.hint


SPARE = DIAL.replace("output reg [3:0] q", "output reg [3:0] q, output spare").replace(
    "endmodule", "  assign spare = q[0] & en;\nendmodule"
)


def test_an_output_that_nobody_checks_lets_changes_survive_and_is_named(bench_of) -> None:
    strength = measure_strength(bench_of(SPARE), sample=6, seed=26)  # both changes of line 5 among them
    survivors = strength.of("survived")
    assert {t.mutation.line for t in survivors} == {5}
    assert strength.score is not None
    assert strength.score < 1
    (hint,) = {t.difference.hint for t in survivors if t.difference}
    assert hint == "no role names spare: give it one in `ports`"
    text = "\n".join(line.plain for line in strength_lines(strength, 100))
    assert "+ assign spare = q[0] | en;" in text
    found = json.loads(as_json_text(strength))
    assert found["survived"] == len(survivors)
    assert {c["fate"] for c in found["changes"]} <= {"killed", "survived", "no_difference", "stillborn"}


def test_what_was_tried_is_remembered_until_a_file_changes(bench_of) -> None:
    path = bench_of()
    first = measure_strength(path, sample=3, seed=4)
    again = measure_strength(path, sample=3, seed=4)
    assert (first.recalled, again.recalled) == (0, 3)
    assert again.trials == first.trials
    path.with_name("design.v").write_text(DIAL + "// saved again\n", encoding="utf-8")
    assert measure_strength(path, sample=3, seed=4).recalled == 0


def test_a_design_that_does_not_pass_is_not_measured(bench_of) -> None:
    with pytest.raises(BenchError, match=r"does not pass on the design as it is \(fail"):
        measure_strength(bench_of(DIAL.replace("== 9", "== 8")))


MIXED = """module dial(input clk, input rst, input en, output reg [3:0] q, output reg [3:0] t);
  always @(posedge clk or posedge rst) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
  always @(posedge clk) if (rst) t <= 0; else if (en & q == 9) t <= (t == 9) ? 0 : t + 1;
endmodule
"""


def test_a_mixed_reset_has_to_be_pinned_before_a_bench_is_measured(bench_of) -> None:
    path = bench_of(MIXED, ports='digits = ["q", "t"], enable = "en"', expect="modulo = 100")
    with pytest.raises(BenchError, match="passes with a reset that is mixed") as raised:
        measure_strength(path)
    assert raised.value.advice is not None
    assert 'kind = "mixed" in [reset]' in raised.value.advice


@pytest.mark.parametrize(("design", "status"), [(SPARE, 1), (DIAL.replace("9", "8"), 2)])
def test_the_command_ends_with_its_status(bench_of, tmp_path: Path, design: str, status: int) -> None:
    words = ["strength", bench_of(design), "--sample", "6", "--seed", "26", "--json", tmp_path / "s.json"]
    done = subprocess.run(
        [sys.executable, "-m", "verify", *map(str, words)],
        env=os.environ | {"EVERYEDGE_CACHE": str(tmp_path / "cache")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == status, done.stdout + done.stderr
    assert (tmp_path / "s.json").exists() == (status != 2)


def test_what_the_bench_takes_from_the_design_is_told_with_the_line_that_pins_it(bench_of) -> None:
    counted = """module beat #(parameter RATIO = 12)(input clk, input rst, output reg t);
  reg [5:0] n;
  always @(posedge clk) if (rst) begin n <= 0; t <= 0; end
    else begin n <= (n == RATIO - 1) ? 0 : n + 1; t <= n == RATIO - 1; end
endmodule
"""
    path = bench_of(counted, "divider", 'tick = "t"', 'ratio = "RATIO"')
    strength = measure_strength(path, sample=6, seed=36)  # both RATIOs and `n <= 1` among them
    hints = {t.difference.hint for t in strength.of("survived") if t.difference}
    assert "the bench takes RATIO from the design: say parameters = { RATIO = 12 }" in hints
    assert any(hint.startswith("the bench leaves") for hint in hints)


def test_an_interrupt_ends_every_process_and_keeps_what_was_tried(bench_of, tmp_path: Path) -> None:
    path = bench_of()
    words = [sys.executable, "-m", "verify", "strength", str(path), "--jobs", "2"]
    environment = os.environ | {"EVERYEDGE_CACHE": str(tmp_path / "cache"), "TMPDIR": str(tmp_path)}
    with subprocess.Popen(words, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        deadline = time.monotonic() + 120
        while not list(tmp_path.glob("everyedge-strength-*")) and time.monotonic() < deadline:
            time.sleep(0.05)
        family = psutil.Process(process.pid).children(recursive=True)
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=60)
    assert process.returncode == 130
    assert b"leaked" not in errors
    assert b"Traceback" not in errors
    _, alive = psutil.wait_procs(family, timeout=30)
    assert alive == []
    assert list(tmp_path.glob("everyedge-strength-*")) == []
