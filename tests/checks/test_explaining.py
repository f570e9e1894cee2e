"""A failure is explained, and never anything but explained."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from verify.checks import Settings, replay
from verify.checks.differing import explaining
from verify.checks.differing.memory import Memory
from verify.results import Verdict
from verify.signals import ObservedTrace, Signal, Stimulus, column

PATIENT = Settings(examples=20, explain_seconds=60.0)

DIAL = """
module dial(input clk, input rst, input en, output reg [3:0] q);
  localparam LAST = {last};
  always @(posedge clk or posedge rst)
    if (rst) q <= 0;
    else if (en) q <= (q == LAST) ? {after} : q + 1;
endmodule
"""
PORTS = 'count = "q", enable = "en"'

CONVERTER = """
module to_bcd(input [7:0] bin, output reg [11:0] bcd);
  integer i, d;
  always @* begin
    bcd = 0;
    for (i = 7; i >= 0; i = i - 1) begin
      for (d = 0; d < 12; d = d + 4) if (bcd[d +: 4] > {above}) bcd[d +: 4] = bcd[d +: 4] + 3;
      bcd = {{bcd[10:0], bin[i]}};
    end
  end
endmodule
"""

# The second digit counts in fives and skips a value now and then: two things that no word is for.
STRANGE = """
module dial(input clk, input rst, input en, output reg [3:0] q);
  reg [3:0] mess;
  always @(posedge clk or posedge rst)
    if (rst) begin q <= 0; mess <= 1; end
    else if (en) begin
      mess <= {mess[2:0], mess[3] ^ mess[2]};
      q <= (q >= 8) ? (mess[0] ? 0 : 3) : q + 1 + (mess == 6);
    end
endmodule
"""


def test_a_wrong_end_is_named_with_its_numbers_and_its_line(check) -> None:
    result = check(DIAL.format(last=10, after=0), "counter", PORTS, expect="modulo = 10", settings=PATIENT)
    assert result.verdict is Verdict.FAIL
    (explanation,) = result.explanations
    assert explanation.fault == "q.modulo = 11"
    assert explanation.reproduces_all_cycles
    assert "q runs 0 to 10: it rolls over one count late" in explanation.text
    assert explanation.place is not None
    assert "q == LAST" in (explanation.place.source or "")


def test_a_replay_is_explained_as_the_check_was(check, tmp_path: Path) -> None:
    result = check(DIAL.format(last=10, after=0), "counter", PORTS, expect="modulo = 10", settings=PATIENT)
    assert result.replay is not None
    (again,) = replay(result.replay, PATIENT).checks
    assert [(e.fault, e.place) for e in again.explanations] == [
        (e.fault, e.place) for e in result.explanations
    ]
    (tmp_path / "design.v").write_text(DIAL.format(last=9, after=0), encoding="utf-8")
    (mended,) = replay(result.replay, PATIENT).checks
    assert (mended.verdict, mended.explanations) == (Verdict.PASS, ())


def test_what_only_shows_at_the_native_frequency_is_explained_too(check) -> None:
    verilog = """
module second #(parameter HZ = 100000)(input clk, input rst, output reg [2:0] q);
  reg [16:0] n;
  always @(posedge clk)
    if (rst) begin n <= 0; q <= 0; end
    else if (n == HZ - 1 || n == 17'd89999) begin n <= 0; q <= q == 4 ? 0 : q + 1; end
    else n <= n + 1;
endmodule
"""
    result = check(
        verilog,
        "timer",
        'seconds = "q"',
        clock='port = "clk"\nfrequency = 100_000\nparameter = "HZ"\nspeedup = 1000',
        expect="modulo = [5]",
        settings=replace(PATIENT, simulator="icarus"),
    )
    assert result.verdict is Verdict.FAIL
    assert result.reason.startswith("at the native frequency")
    (explanation,) = result.explanations
    assert explanation.fault == "q.ratio = 90000"
    assert explanation.place is not None
    assert "17'd89999" in (explanation.place.source or "")[explanation.place.column - 1 :][:10]


def test_a_right_design_is_not_explained(check) -> None:
    result = check(DIAL.format(last=9, after=0), "counter", PORTS, expect="modulo = 10", settings=PATIENT)
    assert result.verdict is Verdict.PASS
    assert result.explanations == ()


def test_what_no_fault_reproduces_is_said_not_to_be_known(check) -> None:
    result = check(STRANGE, "counter", PORTS, expect="modulo = 10", settings=Settings(examples=20))
    assert result.verdict is Verdict.FAIL
    assert not any(e.reproduces_all_cycles for e in result.explanations)
    assert any("no fault that is known here reproduces" in note for note in result.notes)


@pytest.mark.parametrize(("above", "rows"), [(4, 0), (5, 5)])
def test_a_wrong_threshold_is_worked_out_beside_the_right_one(check, above: int, rows: int) -> None:
    result = check(
        CONVERTER.format(above=above),
        "bcd",
        'binary = "bin", bcd = "bcd"',
        clock="",
        reset="",
        settings=PATIENT,
    )
    tables = [e.table for e in result.explanations]
    assert len(tables) == bool(rows)
    if tables:
        (table,) = tables
        assert table is not None
        assert table.rows[-1][2:] == (" 0000 0001 0000", " 0000 0000 1010")
        assert len(table.rows) == rows
        assert max(table.marked) == rows - 1


def test_an_error_in_the_search_is_a_note_beside_the_verdict(check, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("by accident")

    monkeypatch.setattr(explaining, "diagnose", broken)
    result = check(DIAL.format(last=10, after=0), "counter", PORTS, expect="modulo = 10")
    assert result.verdict is Verdict.FAIL
    assert result.failure is not None
    assert result.failure.mismatch is not None
    assert result.explanations == ()
    assert any("by accident" in note for note in result.notes)


def test_a_search_can_be_interrupted(check, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt("by hand")

    monkeypatch.setattr(explaining, "diagnose", interrupted)
    with pytest.raises(KeyboardInterrupt, match="by hand"):
        check(DIAL.format(last=10, after=0), "counter", PORTS, expect="modulo = 10")


def test_without_any_time_the_verdict_is_the_same_and_nothing_is_claimed(check) -> None:
    results = [
        check(
            DIAL.format(last=10, after=0),
            "counter",
            PORTS,
            expect="modulo = 10",
            settings=replace(PATIENT, explain_seconds=seconds),
        )
        for seconds in (0.0, 60.0)
    ]
    assert [r.verdict for r in results] == [Verdict.FAIL] * 2
    assert len({(r.reason, r.cycles) for r in results}) == 1
    assert not any(e.reproduces_all_cycles for e in results[0].explanations)
    assert any("when the time was up" in note for note in results[0].notes)


def test_a_memory_is_bounded_and_forgets_traces_never_stimuli() -> None:
    signal = Signal("q", 4)
    rows = 1 << 20
    stimulus = Stimulus.dense((), ())
    memory = Memory()
    for _ in range(6):
        values = column([0], 4).repeat(rows)
        memory.add(stimulus, ObservedTrace((signal,), rows, values.cumsum(), (values,)))
    kept = [observed for _, observed in memory.seen if observed is not None]
    assert len(memory.seen) == 6
    assert 0 < len(kept) < 6


def test_two_faults_that_nothing_tells_apart_are_both_named(check, tmp_path: Path) -> None:
    late = """
module dial(input clk, input rst, input en, output reg [3:0] q, output reg co);
  always @(posedge clk or posedge rst)
    if (rst) begin q <= 0; co <= 0; end
    else begin co <= en && q == 9; if (en) q <= (q == 9) ? 0 : q + 1; end
endmodule
"""
    result = check(
        late,
        "counter",
        f'{PORTS}, carry = "co"',
        expect='modulo = 10, carry = "last_state_and_enable"',
        settings=PATIENT,
    )
    assert {e.fault for e in result.explanations} == {"co.skew = 1", "co = after_wrap"}
    assert "nothing that was played tells them apart" in result.explanations[0].text


# Designs with an obvious fault: what it is called, and the text that is to be looked at.
ELSEWHERE = {
    "a parameter given where the stage is used": (
        """
module stage #(parameter LAST = 15, MODULO = 16) (input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk or posedge rst)
    if (rst) q <= 0; else if (en) q <= q == MODULO - 1 ? 0 : q + 1;
endmodule
module dial(input clk, input rst, input en, output [3:0] q);
  stage #(.MODULO(11)) u (.clk(clk), .rst(rst), .en(en), .q(q));
endmodule
""",
        PORTS,
        "q.modulo = 11",
        "11)) u (",
    ),
    "the right number, compared with one state too many": (
        """
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk or posedge rst)
    if (rst) q <= 0; else if (en) begin if (q <= 9) q <= q + 1; else q <= 0; end
endmodule
""",
        PORTS,
        "q.modulo = 11",
        "9) q <= q + 1",
    ),
    "a control that is read upside down": (
        """
module dial(input clk, input rst, input en, output reg [3:0] q);
  wire run = !en;
  always @(posedge clk or posedge rst)
    if (rst) q <= 0; else if (run) q <= q == 9 ? 0 : q + 1;
endmodule
""",
        PORTS,
        "en = inverted",
        "en;",
    ),
    "counting that beats a load": (
        """
module dial(input clk, input rst, input en, input ld, input [3:0] d, output reg [3:0] q);
  always @(posedge clk or posedge rst)
    if (rst) q <= 0; else if (en) q <= q == 9 ? 0 : q + 1; else if (ld) q <= d;
endmodule
""",
        f'{PORTS}, load = "ld", load_value = "d"',
        "ld = only in a pause",
        None,
    ),
}


@pytest.mark.parametrize("where", ELSEWHERE)
def test_a_fault_is_pointed_at_where_it_is_written(check, where: str) -> None:
    verilog, ports, fault, there = ELSEWHERE[where]
    result = check(verilog, "counter", ports, expect="modulo = 10", settings=PATIENT)
    explanation = result.explanations[0]
    assert explanation.fault == fault
    assert explanation.reproduces_all_cycles
    place = explanation.place
    assert (place is None) == (there is None)
    if place is not None and there is not None:
        assert (place.source or "")[(place.column or 1) - 1 :].startswith(there)


def test_a_count_that_is_set_back_wrong_is_seen_in_a_longer_look(check) -> None:
    verilog = """
module pulse(input clk, input rst, output reg tick);
  reg [7:0] q;
  always @(posedge clk or posedge rst)
    if (rst) begin q <= 0; tick <= 0; end
    else begin
      tick <= 0;
      if (q == 49) begin tick <= 1; q <= 0; end
      q <= q + 1;
    end
endmodule
"""
    result = check(verilog, "divider", 'tick = "tick"', expect="ratio = 50", settings=PATIENT)
    (explanation,) = result.explanations
    assert explanation.fault == "tick.ratio = 256, first = 50"
    assert explanation.reproduces_all_cycles
