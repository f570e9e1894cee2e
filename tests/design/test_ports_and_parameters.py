"""Ports and parameters are those that the simulator will elaborate."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.design import Port
from verify.errors import DesignError, Place

NON_ANSI = """
module tally(clk, rst, step, total, digit);
  parameter WIDTH = 6;
  input clk, rst;
  input [1:WIDTH] step;
  output [WIDTH-1:0] total;
  output [0:6] digit;
  reg [WIDTH-1:0] total;
  assign digit = 7'd0;
  always @(posedge clk) total <= total + step;
endmodule
"""


def _shape(port: Port) -> tuple[str, str, int, int, int]:
    return port.name, port.direction, port.width, port.left, port.right


def test_ports_of_a_1995_header_have_the_directions_and_ranges_declared_inside(read):
    module = read(NON_ANSI).modules["tally"]
    assert [_shape(port) for port in module.ports] == [
        ("clk", "input", 1, 0, 0),
        ("rst", "input", 1, 0, 0),
        ("step", "input", 6, 1, 6),
        ("total", "output", 6, 5, 0),
        ("digit", "output", 7, 0, 6),
    ]


@pytest.mark.parametrize(
    ("declared", "shape"),
    [
        ("input logic a", ("input", 1, 0, 0)),
        ("input [7:1] a", ("input", 7, 7, 1)),
        ("input [-1:2] a", ("input", 4, -1, 2)),
        ("input [0:0] a", ("input", 1, 0, 0)),
        ("output logic [1:0][3:0] a", ("output", 8, 7, 0)),
        ("output byte a", ("output", 8, 7, 0)),
        ("output integer a", ("output", 32, 31, 0)),
        ("inout wire [3:0] a", ("inout", 4, 3, 0)),
        ("input bytes_t a", ("input", 13, 12, 0)),
    ],
)
def test_every_packed_port_has_its_width_and_range(read, declared, shape):
    types = "typedef struct packed { logic [4:0] high; logic [7:0] low; } bytes_t;\n"
    port = read(types + f"module m({declared}); endmodule").modules["m"].ports[0]
    assert _shape(port)[1:] == shape


@given(left=st.integers(-40, 40), right=st.integers(-40, 40))
def test_offset_counts_from_the_right_bound(left, right):
    port = Port("p", "input", abs(left - right) + 1, left, right, Place(file=__file__))
    step = 1 if left >= right else -1
    indices = [right + step * n for n in range(port.width)]
    assert [port.offset(index) for index in indices] == list(range(port.width))
    for outside in (min(left, right) - 1, max(left, right) + 1):
        with pytest.raises(IndexError, match="outside"):
            port.offset(outside)


@pytest.mark.parametrize(
    ("header", "what"),
    [
        ("m(input logic [3:0] a [2])", "an unpacked array"),
        ("m(output real a)", "of type real"),
        ("m(bus.side a)", "an interface"),
        ("m({b, c}); input b; input c", "a list of signals without a name of its own"),
    ],
)
def test_a_port_without_a_fixed_number_of_bits_is_refused_by_name(read, header, what):
    text = f"interface bus; logic x; modport side(input x); endinterface\nmodule {header}; endmodule\n"
    with pytest.raises(DesignError, match=f"port '.*' of module 'm' is {what}") as caught:
        read(text, top="m")
    assert caught.value.place.line == 2
    # It can still be part of a design: only as the module under check it is of no use.
    other = "module other(input x); endmodule\n"
    assert set(read(text + other, top="other").modules) == {"other"}
    assert set(read(text + other, top="other").broken) == {"m"}


PARAMETERS = """
module m #(parameter WIDTH = 4, parameter real SCALE = 0.5, parameter MODE = "SLOW",
  localparam HALF = WIDTH / 2)
  (input [WIDTH-1:0] a, output [FULL-1:0] y);
  localparam FULL = HALF * 3;
  parameter signed [7:0] LAST = -2;
  assign y = a;
endmodule
module unaware #(parameter WIDTH = 9)(input [WIDTH-1:0] a); endmodule
"""


def test_parameters_have_elaborated_values_and_the_text_as_written(read):
    found = {p.name: (p.value, p.local, p.text) for p in read(PARAMETERS).modules["m"].parameters}
    assert found == {
        "WIDTH": (4, False, "4"),
        "SCALE": (None, False, "0.5"),
        "MODE": (None, False, '"SLOW"'),
        "HALF": (2, True, "WIDTH / 2"),
        "FULL": (6, True, "HALF * 3"),
        # IEEE 1800-2017 §6.20.1 (from memory): beside a parameter port list it is a local one.
        "LAST": (-2, True, "-2"),
    }


@pytest.mark.parametrize("value", [8, "8", "4'd8", "8'h0_8", "'b1000"])
def test_an_override_reaches_widths_and_local_parameters_of_the_top_alone(read, value):
    design = read(PARAMETERS, top="m", parameters={"WIDTH": value})
    module = design.modules["m"]
    assert module.port("a").width == 8
    assert module.port("y").width == module.parameter("FULL").value == 12
    assert design.modules["unaware"].port("a").width == 9


def test_text_can_override_a_text_parameter(read):
    text = """
    module m #(parameter MODE = "SLOW")(output [W-1:0] y);
      localparam W = MODE == "FAST" ? 8 : 2;
      assign y = 0;
    endmodule
    """
    assert read(text, top="m", parameters={"MODE": '"FAST"'}).modules["m"].port("y").width == 8


@pytest.mark.parametrize(
    ("parameters", "message"),
    [
        ({"WIDHT": 3}, 'module m has no parameter "WIDHT"; it has WIDTH, SCALE, MODE$'),
        ({"HALF": 3}, 'module m has no parameter "HALF"'),
        ({"WIDTH": "3; $finish"}, "'3; \\$finish' is not a Verilog literal"),
        ({"WIDTH": "OTHER"}, "'OTHER' is not a Verilog literal"),
    ],
)
def test_a_parameter_that_cannot_be_set_is_refused(read, parameters, message):
    with pytest.raises(DesignError, match=message):
        read(PARAMETERS, top="m", parameters=parameters)


def test_a_parameter_without_a_default_has_to_be_given(read):
    text = "module m #(parameter N)(output [N-1:0] y); assign y = 0; endmodule\n"
    with pytest.raises(DesignError, match="parameter 'N' of module 'm' has no default value"):
        read(text, top="m")
    assert read(text, top="m", parameters={"N": 5}).modules["m"].port("y").width == 5


HIERARCHY = """
module leaf #(parameter N = 1)(input [N-1:0] a, output y); assign y = ^a; endmodule
module middle(input [3:0] a, output [3:0] y);
  genvar i;
  generate for (i = 0; i < 2; i = i + 1) begin : g leaf one(.a(a[i]), .y(y[i])); end endgenerate
  leaf #(.N(2)) pair[1:0](.a(a), .y(y[3:2]));
endmodule
module top(input [3:0] a, output [3:0] y); middle u_middle(a, y); endmodule
"""


def test_every_module_is_there_on_its_own_with_its_direct_children(read):
    design = read(HIERARCHY)
    assert design.tops == ("top",)
    assert {name: dict(m.instances) for name, m in design.modules.items()} == {
        "leaf": {},
        "middle": {"g[0].one": "leaf", "g[1].one": "leaf", "pair[0]": "leaf", "pair[1]": "leaf"},
        "top": {"u_middle": "middle"},
    }
    assert design.modules["leaf"].port("a").width == 1
