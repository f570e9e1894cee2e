"""Each way in which a simulation can fail has its own type, and leaves nothing behind."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import psutil
import pytest
from rtl import drive, samples, target

from verify.errors import SimulationFault
from verify.signals import column
from verify.simulation import Drive, Limits, Target, open_simulation

QUICK = Limits(stall_seconds=0.5)
KINDS = ["icarus", "verilator"]


def design(folder: Path, body: str, watched: str = "1'b0") -> Target:
    """A counter and ``body``; ``watched`` is an output too, so that nothing is optimised away."""
    text = f"""module dut(input clk, input go, output reg [15:0] n = 0, output w);
      always @(posedge clk) if (go) n <= n + 1;
      {body}
      assign w = {watched};
    endmodule"""
    return target(folder, text, [("go", 1)], [("n", 16), ("w", 1)])


def fault_of(unit: Target, rows, kind: str = "icarus", limits: Limits = QUICK) -> SimulationFault:
    with open_simulation(unit, kind=kind, limits=limits) as simulation:
        with pytest.raises(SimulationFault, match=r"clocks of the burst$") as raised:
            simulation.play(drive(unit, rows))
        with pytest.raises(RuntimeError, match="the simulation is closed"):
            simulation.play(drive(unit, rows))
    return raised.value


BROKEN = """module dut(input clk, input [2:0] how, output reg [15:0] n = 0, output loop, output reg b = 0);
  assign loop = how == 5 && n[10] ? ~loop : 1'b0;
  always @(posedge clk) begin
    n <= n + 1;
    if (n == 1000) case (how)
      1: $finish;
      2: $stop;
      3: $fatal(1);
      4: while (1) b = ~b;
    endcase
  end
endmodule"""


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    ("how", "fault", "cycle"),
    [
        pytest.param(1, "early_end", 1000, id="$finish"),
        pytest.param(2, "early_end", 1000, id="$stop"),
        pytest.param(3, "early_end", 1000, id="$fatal"),
        pytest.param(4, "hang", 1000, id="loop without delay"),
        pytest.param(5, "hang", 1023, id="combinational loop"),
    ],
)
def test_a_design_that_breaks_off_a_burst_is_found_out(
    tmp_path: Path, kind: str, how: int, fault: str, cycle: int
) -> None:
    unit = target(tmp_path, BROKEN, [("how", 3)], [("n", 16), ("loop", 1), ("b", 1)])
    found = fault_of(unit, [(9000, how)], kind)
    assert found.fault == fault
    assert found.cycle is not None
    assert found.cycle <= cycle
    assert found.advice
    if fault == "early_end":  # a hanging simulator may keep some of what it has to say
        assert found.cycle == cycle
    with open_simulation(unit, kind=kind) as simulation:  # the same design plays when it is left alone
        assert simulation.play(drive(unit, [(9000, 0)])).length == 9000


def test_a_loop_without_delay_at_time_0_is_a_hang(tmp_path: Path) -> None:
    assert fault_of(design(tmp_path, "reg b = 0; initial while (1) b = ~b;"), [(3, 1)]).fault == "hang"


def test_a_design_that_ends_the_simulation_at_time_0_is_an_early_end(tmp_path: Path) -> None:
    fault = fault_of(design(tmp_path, "initial $finish;"), [(5, 1)])
    assert (fault.fault, fault.cycle) == ("early_end", 0)


def test_a_simulator_that_is_killed_is_a_crash(tmp_path: Path) -> None:
    unit = design(tmp_path, "")
    with open_simulation(unit) as simulation:
        simulation.play(drive(unit, [(3, 1)]))
        family = psutil.Process(os.getpid()).children(recursive=True)
        (simulator,) = [process for process in family if process.name() == "vvp"]
        timer = threading.Timer(0.3, simulator.kill)
        timer.start()
        with pytest.raises(SimulationFault, match="the simulator was ended by SIGKILL") as raised:
            simulation.play(drive(unit, [(1 << 29, 1)]))
        timer.join()
    assert raised.value.fault == "crash"


def test_more_memory_than_allowed_is_a_limit(tmp_path: Path) -> None:
    body = "reg [1023:0] m [0:(1 << 26) - 1]; always @(posedge clk) m[n] <= n;"
    unit = design(tmp_path, body, "m[n - 1][3]")
    limits = Limits(memory_bytes=1 << 29)
    assert fault_of(unit, [(5, 1)], limits=limits).fault == "limit"


def test_a_burst_far_too_slow_is_a_limit(tmp_path: Path) -> None:
    unit = design(tmp_path, "")
    with open_simulation(unit) as simulation:
        simulation.play(drive(unit, [(3, 1)]))
        simulation.limits = Limits(wait_seconds=0.5, clocks_per_second=1e9)
        with pytest.raises(SimulationFault, match="the burst took longer than") as raised:
            simulation.play(drive(unit, [(1 << 29, 1)]))
    assert raised.value.fault == "limit"


def test_a_design_that_prints_without_end_is_still_checked(tmp_path: Path) -> None:
    text = """always @(posedge clk) $display("chatter chatter chatter chatter %d", n);"""
    limits = Limits(log_bytes=1 << 16)
    unit = design(tmp_path, text)
    with open_simulation(unit, limits=limits) as simulation:
        trace = simulation.play(drive(unit, [(20_000, 1)]))
        assert simulation._child._log.stat().st_size <= 1 << 16
    assert trace.cycles.tolist() == list(range(20_000))


def test_what_the_design_printed_comes_with_the_fault(tmp_path: Path) -> None:
    unit = design(tmp_path, """always @(posedge clk) if (n == 7) begin $display("seven"); $finish; end""")
    assert "seven" in fault_of(unit, [(50, 1)]).log


def test_a_design_that_writes_into_the_trace_is_found_out(tmp_path: Path) -> None:
    # The harness opened two files before: a guess at the descriptor of the second.
    body = """integer f; initial for (f = 3; f < 8; f = f + 1) #3000 $fwrite(32'h80000000 + f, "junk");"""
    assert fault_of(design(tmp_path, body), [(50, 1)]).fault == "bad_trace"


@pytest.fixture
def heard() -> Iterator[None]:
    """Ctrl-C is heard, also where whoever runs the tests ignores it (in the background)."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.usefixtures("heard")
def test_a_keyboard_interrupt_closes_the_simulation(tmp_path: Path) -> None:
    unit = design(tmp_path, "")
    timer = threading.Timer(1.0, os.kill, (os.getpid(), signal.SIGINT))
    with open_simulation(unit) as simulation:
        timer.start()
        with pytest.raises(KeyboardInterrupt, match=r"^$"):
            simulation.play(drive(unit, [(1 << 29, 1)]))
        with pytest.raises(RuntimeError, match="the simulation is closed"):
            simulation.play(drive(unit, [(1, 1)]))
    timer.join()


def test_a_slow_design_is_no_hang(tmp_path: Path) -> None:
    # Thousands of events in every clock.
    body = "integer i; reg [31:0] x = 1; always @(posedge clk) for (i = 0; i < 600; i = i + 1) x = x * 5 + i;"
    unit = design(tmp_path, body)
    with open_simulation(unit, limits=Limits(stall_seconds=1)) as simulation:
        trace = simulation.play(Drive(unit.inputs, np.array([4096]), (column([0], 1),)))
    assert samples(trace)[-1] == ("0" * 16, "0")
