"""What reaches out of a design is listed with its place; ordinary code is not."""

from __future__ import annotations

import pytest

UNSAFE = {
    "$system": 'initial $system("true");',
    "$fopen": 'integer f; initial f = $fopen("x");',
    "$fdisplay": 'initial $fdisplay(1, "x");',
    "$dumpfile": 'initial $dumpfile("../x.vcd");',
    "$value$plusargs": 'integer n; initial if ($value$plusargs("n=%d", n)) n = 0;',
    "$finish": "always @(posedge c) $finish;",
    "$stop": "task t; $stop; endtask",
    "$fatal": "initial $fatal;",
    "force": "wire w; initial force w = 1;",
    "DPI import outside": 'import "DPI-C" function int outside(input int x);',
}

HARMLESS = [
    'initial $display("%0d", $time);',
    'reg [7:0] m [3:0]; initial $readmemh("m.hex", m);',
    "function integer f(input integer x); f = $clog2(x); endfunction",
    "wire w = u.y; sub u(c, );",
    "parameter SIM = 0; generate if (SIM) begin initial $finish; end endgenerate",
    "reg r; always @(posedge c) r <= $signed(2'b11) > 0;",
]


@pytest.mark.parametrize(("what", "text"), UNSAFE.items(), ids=UNSAFE)
def test_an_unsafe_construct_is_listed_with_its_place(read, what, text):
    module = read(f"module m(input c);\n  {text}\nendmodule\n").modules["m"]
    assert [(u.what, u.place.line) for u in module.unsafe] == [(what, 2)]


@pytest.mark.parametrize("text", HARMLESS)
def test_ordinary_constructs_are_not_listed(read, text):
    sub = "module sub(input x, output y); assign y = x; endmodule\n"
    assert read(sub + f"module m(input c);\n  {text}\nendmodule\n").modules["m"].unsafe == ()


def test_what_is_below_a_module_counts_for_it(read):
    text = (
        "module low(input c); initial $finish; endmodule\nmodule m(input c); low a(c); low b(c); endmodule\n"
    )
    assert [(u.what, u.place.line) for u in read(text).modules["m"].unsafe] == [("$finish", 1)]


def test_a_reference_out_of_the_module_is_listed_and_one_into_it_is_not(read):
    text = """
    module probe(output y); assign y = board.inner; endmodule
    module board(output y, z); wire inner = 1; probe p(y); assign z = p.y; endmodule
    """
    design = read(text)
    assert design.modules["board"].unsafe == ()
    assert "probe" in design.broken or design.modules["probe"].unsafe
