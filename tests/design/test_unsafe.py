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


PROGRAM = '$system("true")'
AROUND = {
    "a function of a package": f"package p; function int f(); return {PROGRAM}; endfunction endpackage @"
    " int x = p::f();",
    "a function called by one": f"package p; function int f(); return {PROGRAM}; endfunction"
    " function int g(); return f(); endfunction endpackage @ int x = p::g();",
    "a function outside": f"function int f(); return {PROGRAM}; endfunction @ int x = f();",
    "a variable outside": f"int x = {PROGRAM}; @",
    "a variable of a package": f"package p; int x = {PROGRAM}; endpackage @",
    "an interface": f"interface bus; initial {PROGRAM}; endinterface @ bus b();",
    "an interface in an interface": f"interface low; initial {PROGRAM}; endinterface"
    " interface bus; low l(); endinterface @ bus b();",
    "a program block": f"program p; initial {PROGRAM}; endprogram @ p i();",
    "a class outside": f"class k; function new(); {PROGRAM}; endfunction endclass @ k o = new;",
    "a class of a package": f"package p; class k; static function int f(); return {PROGRAM}; endfunction"
    " endclass endpackage @ int x = p::k::f();",
}


@pytest.mark.parametrize("text", AROUND.values(), ids=AROUND)
def test_what_is_unsafe_outside_of_the_module_is_found_as_well(read, text: str) -> None:
    before, inside = text.split("@")
    whole = f"{before} module m(input c, output y); assign y = c; {inside} endmodule"
    assert [u.what for u in read({"m.sv": whole}, top="m").modules["m"].unsafe] == ["$system"]


def test_what_nobody_calls_in_a_package_does_not_count(read) -> None:
    text = (
        f"package p; localparam N = 3; function int f(); return {PROGRAM}; endfunction"
        " function int g(); return 1; endfunction endpackage"
        " module m(output y); assign y = p::g() == p::N; endmodule"
    )
    assert read({"m.sv": text}, top="m").modules["m"].unsafe == ()


def test_a_function_that_is_for_c_to_call_is_found(read) -> None:
    text = 'module m(output y); export "DPI-C" function f; function int f(); return 1; endfunction endmodule'
    assert [u.what for u in read({"m.sv": text}, top="m").modules["m"].unsafe] == ["DPI export f"]


@pytest.mark.parametrize(
    ("text", "unsafe"),
    [
        ("reg q; initial q = $random; always @(posedge c) q <= !q;", False),
        ("reg q, r; initial {q, r} = $urandom; always @(posedge c) {q, r} <= {r, q};", False),
        ("reg [7:0] m [3:0]; integer i; initial for (i = 0; i < 4; i = i + 1) m[i] = $random;"
         " always @(posedge c) m[0] <= 1;", False),
        ("initial $display($random);", False),
        ("reg q; initial q = $random;", True),
        ("reg q, r; initial {q, r} = $random; always @(posedge c) q <= r;", True),
        ("reg q; initial if ($random % 2) q = 1; always @(posedge c) q <= !q;", True),
        ("reg q, r; initial begin r = $random; q = r; end always @(posedge c) q <= !q;", True),
    ],
)  # fmt: skip
def test_chance_may_preset_what_is_set_again_and_nothing_else(read, text: str, unsafe: bool) -> None:
    found = read({"m.v": f"module m(input c); {text} endmodule"}, top="m").modules["m"].unsafe
    assert [u.what.lstrip("$u") for u in found] == ["random"] * unsafe
