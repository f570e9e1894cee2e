"""The Verilog around the design: what both simulators share, and the player that Icarus runs."""

from __future__ import annotations

from verify.predefined import undefined
from verify.simulation.interface import Target
from verify.simulation.layout import WORD_BITS, Layout
from verify.simulation.naming import verilog_name, verilog_value
from verify.simulation.records import BLOCK_ROWS, COUNT_BITS, EARLY, TAG_BEAT, TAG_END
from verify.simulation.timing import ACTIVE_PS, DRIVE_ONLY_PS, DRIVE_PS, PERIOD_PS, SAMPLE_PS

__all__ = ["icarus_harness", "verilator_harness"]

UNROLLED = 8
"""Clocks in one turn of the loop that makes them; a turn costs as much as half a clock."""


def icarus_harness(target: Target, name: str, probe: str = "", finish: str = "") -> str:
    """Plain Verilog-2001, so that it compiles together with any design.

    ``probe``: more of the module, and ``finish``: a statement at the end of each burst, see
    :mod:`verify.simulation.internals`.

    It leaves the time unit at 1 ns for design files that name none.
    """
    inputs, outputs = Layout.of(target.inputs), Layout.of(target.outputs)
    padding = outputs.words * WORD_BITS - outputs.bits
    value = f"{{{padding}'b0, now}}" if padding else "now"
    row_bits = (1 + inputs.words) * WORD_BITS
    counted = f"{COUNT_BITS - 1}:0"
    count = f"row[{row_bits - 1}:{row_bits - 32}]"
    fall = f"#{PERIOD_PS - ACTIVE_PS} clk = 0;"
    clock = f"{fall} #{ACTIVE_PS} clk = 1;"
    clocks = "\n                  ".join([clock] * UNROLLED)
    return f"""`resetall
`timescale 1ps/1ps
module {name};
  reg clk = 0;
  reg [{inputs.bits - 1}:0] vec;
  wire [{outputs.bits - 1}:0] now;
{instance(target, inputs, outputs, name)}
  reg go = 0, done = 0;
  reg forced = 0, watch = 0;
  reg [{outputs.bits - 1}:0] last;
  reg [{row_bits - 1}:0] head, row;
  reg [{row_bits - 1}:0] rows [0:{BLOCK_ROWS - 1}];
  reg [31:0] n, part, i, size;
  reg [{COUNT_BITS - 1}:0] cycle, at;
  reg [63:0] base, since;
  reg [8*64-1:0] path;
  integer stimulus, trace, got;
{probe}
  // Between two rows the clock stays at its active level: the next one may drive in that half.
  // While the clock runs with steady inputs only a change of the outputs wakes this up. Most come
  // with the active edge: the inactive one is then awaited, because arithmetic takes longer.
  always @(now) if (watch) begin
    if (clk) begin
      @(negedge clk);
      #{SAMPLE_PS};
    end else begin
      since = $time - base;
      #({PERIOD_PS} - (since + {PERIOD_PS - SAMPLE_PS}) % {PERIOD_PS});
    end
    if (watch && now !== last) begin
      since = $time - base;
      at = since / {PERIOD_PS};
      last = now;
      $fwrite(trace, "%z", {{2'b00, at, {value}}});
    end
  end

  initial begin
    got = $value$plusargs("everyedge_stimulus=%s", path);
    stimulus = $fopen(path, "rb");
    got = $value$plusargs("everyedge_trace=%s", path);
    trace = $fopen(path, "wb");
    forever begin
      wait (go != done);
      base = clk ? $time + {PERIOD_PS - ACTIVE_PS} : $time;
      cycle = 0;
      forced = 1;
      head = 0;
      got = $fread(head, stimulus);
      while (head[{row_bits - 1}:{row_bits - 32}] != 0) begin
        size = head[{row_bits - 1}:{row_bits - 32}];
        got = $fread(rows, stimulus, 0, size);
        for (i = 0; i != size; i = i + 1) begin
          row = rows[i];
          if (clk && {count} != 32'd{EARLY}) begin {fall} end
          if ({count} == 0 || {count} == 32'd{EARLY}) begin
            #{DRIVE_ONLY_PS} vec = row[{inputs.bits - 1}:0];
            base = base + {DRIVE_ONLY_PS};
          end else begin
            #{DRIVE_PS} vec = row[{inputs.bits - 1}:0];
            #{SAMPLE_PS - DRIVE_PS};
            if (forced || now !== last) begin
              forced = 0;
              last = now;
              $fwrite(trace, "%z", {{2'b00, cycle, {value}}});
            end
            if ({count} == 1) begin
              #{ACTIVE_PS - SAMPLE_PS} clk = 1;
              cycle = cycle + 1;
            end else begin
              watch = 1;
              n = {count} - 1;
              #{ACTIVE_PS - SAMPLE_PS} clk = 1;
              cycle = cycle + 1;
              while (n != 0) begin
                part = n > {BLOCK_ROWS} ? {BLOCK_ROWS} : n;
                repeat (part / {UNROLLED}) begin
                  {clocks}
                end
                repeat (part % {UNROLLED}) begin
                  {clock}
                end
                cycle = cycle + part[{counted}];
                n = n - part;
                if (part == {BLOCK_ROWS}) begin
                  $fwrite(trace, "%z", {{2'd{TAG_BEAT}, cycle, {outputs.words * WORD_BITS}'b0}});
                  $fflush(trace);
                end
              end
              watch = 0;
            end
          end
        end
        if (size == {BLOCK_ROWS}) begin
          $fwrite(trace, "%z", {{2'd{TAG_BEAT}, cycle, {outputs.words * WORD_BITS}'b0}});
          $fflush(trace);
        end
        head = 0;
        got = $fread(head, stimulus);
      end
      {finish}
      $fwrite(trace, "%z", {{2'd{TAG_END}, cycle, {_nonce(outputs)}}});
      $fflush(trace);
      done = ~done;
    end
  end
endmodule
{undefined(dict(target.defines))}`timescale 1ns/1ps
"""


def verilator_harness(target: Target, name: str) -> str:
    """The same for the native player, which drives and watches the ports of this module itself."""
    inputs, outputs = Layout.of(target.inputs), Layout.of(target.outputs)
    return f"""`resetall
`timescale 1ps/1ps
module {name} (clk, vec, now);
  input clk;
  input [{inputs.bits - 1}:0] vec;
  output [{outputs.bits - 1}:0] now;
{instance(target, inputs, outputs, name)}
endmodule
{undefined(dict(target.defines))}`timescale 1ns/1ps
"""


def instance(target: Target, inputs: Layout, outputs: Layout, name: str) -> str:
    """The instance of the design between ``vec`` and ``now``; ``name``: of the harness."""
    clock = "clk" if target.edge == "rising" else "~clk"
    ports = [f".{verilog_name(target.clock)}({clock})"] if target.clock is not None else []
    ports += [
        f".{verilog_name(s.name)}(vec[{at + s.width - 1}:{at}])"
        for s, at in zip(inputs.signals, inputs.offsets, strict=True)
    ]
    ports += [f".{verilog_name(s.name)}(out_{i})" for i, s in enumerate(outputs.signals)]
    wires = [f"  wire [{s.width - 1}:0] out_{i};\n" for i, s in enumerate(outputs.signals)]
    now = ", ".join(f"out_{i}" for i in reversed(range(len(wires)))) or "1'b0"
    values = ", ".join(f".{verilog_name(name)}({verilog_value(v)})" for name, v in target.parameters)
    overrides = f"#({values}) " if values else ""
    return (
        f"{''.join(wires)}  assign now = {{{now}}};\n"
        f"  {verilog_name(target.top)}{overrides}{name}_i (\n    " + ",\n    ".join(ports) + "\n  );"
    )


def _nonce(outputs: Layout) -> str:
    padding = (outputs.words - 1) * WORD_BITS
    return f"{padding}'b0, head[31:0]" if padding else "head[31:0]"
