"""Play a stimulus on real Verilog with Icarus and read what came out, cycle by cycle.

Plain on purpose: a testbench of its own, so that what is tested here rests on nothing but the models.
"""

from __future__ import annotations

import subprocess
from pathlib import Path

import numpy as np

from verify.signals import ObservedTrace, Reset, Signal, Stimulus, column


def observe(
    verilog: str,
    stimulus: Stimulus,
    outputs: tuple[Signal, ...],
    folder: Path,
    *,
    defines: tuple[str, ...] = (),
    reset_first: bool = True,
) -> ObservedTrace:
    """Module ``dut`` with ``clk``, ``rst`` (active high) and ports called as the signals, ``[i]`` as ``_i``.

    Two clocks of reset come first, unless told otherwise, and are not in the trace.
    """
    rows = [[int(run.reset is Reset.HELD), *run.values] for run in stimulus.runs() for _ in range(run.cycles)]
    (folder / "dut.sv").write_text(verilog)
    (folder / "bench.sv").write_text(_bench(stimulus.signals, outputs, len(rows), 2 * reset_first))
    driven = (Signal("rst", 1), *stimulus.signals)
    words = ["".join(format(v, f"0{s.width}b") for v, s in zip(row, driven, strict=True)) for row in rows]
    (folder / "rows.txt").write_text("\n".join(words))
    flags = [f"-D{name}" for name in defines]
    subprocess.run(
        ["iverilog", "-g2012", *flags, "-o", "sim", "dut.sv", "bench.sv"], cwd=folder, check=True, timeout=60
    )
    shown = subprocess.run(
        ["vvp", "-n", "sim"], cwd=folder, check=True, timeout=60, capture_output=True, text=True
    )
    lines = [line.split() for line in shown.stdout.splitlines() if line and line[0] in "01xz"]
    assert len(lines) == len(rows)
    bits = list(zip(*lines, strict=True))
    return ObservedTrace(
        outputs,
        len(rows),
        np.arange(len(rows), dtype=np.int64),
        tuple(column([_a(b) for b in text], s.width) for text, s in zip(bits, outputs, strict=True)),
        tuple(column([_b(b) for b in text], s.width) for text, s in zip(bits, outputs, strict=True)),
    )


def _bench(inputs: tuple[Signal, ...], outputs: tuple[Signal, ...], rows: int, resets: int) -> str:
    driven = (Signal("rst", 1), *inputs)
    total = sum(s.width for s in driven)
    ports = ", ".join(f".{_name(s)}({_name(s)})" for s in (*driven, *outputs))
    return f"""module bench;
  reg clk = 0; reg [{total - 1}:0] rows [0:{rows - 1}]; integer k;
  {" ".join(f"reg [{s.width - 1}:0] {_name(s)};" for s in driven)}
  {" ".join(f"wire [{s.width - 1}:0] {_name(s)};" for s in outputs)}
  dut dut(.clk(clk), {ports});
  initial begin
    $readmemb("rows.txt", rows);
    {{{", ".join(_name(s) for s in driven)}}} = rows[0];
    repeat ({resets}) begin rst = 1; #5 clk = 1; #5 clk = 0; end
    for (k = 0; k < {rows}; k = k + 1) begin
      {{{", ".join(_name(s) for s in driven)}}} = rows[k];
      #4 $display("{" ".join("%b" for _ in outputs)}", {", ".join(_name(s) for s in outputs)});
      #1 clk = 1; #5 clk = 0;
    end
    $finish;
  end
endmodule
"""


def _name(signal: Signal) -> str:
    return signal.name.replace("[", "_").replace("]", "")


def _a(bits: str) -> int:
    return int("".join("1" if b in "1x" else "0" for b in bits), 2)


def _b(bits: str) -> int:
    return int("".join("1" if b in "xz" else "0" for b in bits), 2)
