"""Small designs of the tests: one counter with a tick, written in many ways."""

from __future__ import annotations

from pathlib import Path

from verify.simulation.interface import Target
from verify.timescale.survey import Survey

NATIVE_HZ = 50_000_000
HEAD = "module top #(parameter CLK_HZ = 50_000_000) (input clk, input rst, output reg tick);\n"


def counter(width: str, condition: str, declarations: str = "") -> str:
    """A tick whenever ``condition`` holds for a counter of ``width`` bits."""
    return f"""{HEAD}{declarations}
    reg [{width}-1:0] count;
    always @(posedge clk)
        if (rst) begin count <= 0; tick <= 1'b0; end
        else if ({condition}) begin count <= 0; tick <= 1'b1; end
        else begin count <= count + 1'b1; tick <= 1'b0; end
endmodule
"""


def divider(parameters: str, width: str, last: str, name: str = "divider") -> str:
    """A module that ticks at the terminal count ``last``."""
    return f"""module {name} #({parameters}) (input clk, input rst, output reg tick);
    reg [{width}-1:0] count;
    always @(posedge clk) begin
        tick <= !rst && count == {last};
        count <= rst || count == {last} ? 0 : count + 1'b1;
    end
endmodule
"""


def survey(
    folder: Path, text: str, *, native: int = NATIVE_HZ, name: str = "CLK_HZ", watched: set[str] | None = None
) -> Survey:
    """The survey of module ``top`` in ``text``."""
    file = folder / "top.sv"
    file.write_text(text)
    return Survey(Target((file,), "top", "clk", (), ()), {name: native}, watched)
