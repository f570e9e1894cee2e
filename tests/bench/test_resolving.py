"""A check finds its ports, its clock and reset, its numbers and its parameters in the design."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.bench import PortRef, ResolvedCheck, Slice, load_bench, resolve
from verify.errors import BenchError, DesignError
from verify.models.playing import ResetKind
from verify.signals import Signal

PORTS = 'ports = { tick = "tick", enable = "run" }'
CHECK = 'check "metronome: divider"'


def _resolve(path: Path, index: int = 0, *, speedup: int = 1) -> ResolvedCheck:
    bench = load_bench(path)
    return resolve(bench, bench.checks[index], speedup=speedup)


def _check(lines: str) -> str:
    """One more check for the bench, which comes first in it."""
    return f"[[check]]\n{lines}\n\n[[check]]"


@pytest.mark.parametrize(
    ("port", "unchecked"),
    [
        ("wide[3]", ["tick", "lamp", "wide[15:4]", "wide[2:0]"]),
        ("wide[15]", ["tick", "lamp", "wide[14:0]"]),
        ("lamp[1]", ["tick", "lamp[2:6]", "lamp[0]", "wide"]),
    ],
)
def test_the_part_of_an_output_that_no_role_names_is_unchecked(bench_file, port, unchecked):
    check = _resolve(bench_file((PORTS, f'ports = {{ tick = "{port}", enable = "run" }}')))
    assert sorted(s.name for s in check.unchecked_outputs) == sorted(unchecked)


def test_ports_roles_clock_and_reset_of_the_worked_bench(bench_file):
    check = _resolve(bench_file())
    assert check.roles == {
        "tick": (PortRef((Slice("tick", 0, 1),)),),
        "enable": (PortRef((Slice("run", 0, 1),)),),
    }
    assert (check.target.top, check.target.clock, check.target.edge) == ("metronome", "clk", "rising")
    assert check.target.inputs == (Signal("rst_n", 1), Signal("run", 1), Signal("key", 4))
    assert check.target.outputs == (Signal("tick", 1), Signal("lamp", 7), Signal("wide", 16))
    assert check.unchecked_outputs == (Signal("lamp", 7), Signal("wide", 16))
    assert check.reset.ref == PortRef((Slice("rst_n", 0, 1),), inverted=True)
    assert check.reset.kind is None
    assert check.tied == {"key": 0}
    assert check.options == {"ratio": 12_000_000}
    assert (check.frequency_hz, check.speedup, check.speedup_asked) == (12_000_000, 1, None)
    assert check.notes == ("inout ports are neither driven nor watched: pad",)


@pytest.mark.parametrize(
    ("written", "wires", "inverted"),
    [
        ('"key[7]"', [("key", 3, 1)], False),
        ('"key[4]"', [("key", 0, 1)], False),
        ('"key[ WIDTH0 + 5 ]"', [("key", 1, 1)], False),
        ('{ port = "run", active = "low" }', [("run", 0, 1)], True),
        ('{ port = "key[6]", active = "high" }', [("key", 2, 1)], False),
    ],
)
def test_an_input_may_be_a_bit_under_its_declared_index(bench_file, written, wires, inverted):
    design = Path("rtl/design.v")
    path = bench_file(('"run"', written))
    design.write_text(design.read_text().replace('"SLOW")', '"SLOW", WIDTH0 = 0)'))
    (ref,) = _resolve(path).roles["enable"]
    assert [(s.port, s.offset, s.width) for s in ref.slices] == wires
    assert ref.inverted is inverted


@pytest.mark.parametrize(
    ("written", "wires"),
    [
        ('"wide"', [("wide", 0, 16)]),
        ('"wide[11:4]"', [("wide", 4, 8)]),
        ('"lamp"', [("lamp", 0, 7)]),
        ('"lamp[0]"', [("lamp", 6, 1)]),
        ('"lamp[2:5]"', [("lamp", 1, 4)]),
        ('["lamp[6]", "wide[9:8]", "tick"]', [("lamp", 0, 1), ("wide", 8, 2), ("tick", 0, 1)]),
        ('{ port = ["lamp", "wide"] }', [("lamp", 0, 7), ("wide", 0, 16)]),
    ],
)
def test_an_output_may_be_a_slice_or_a_list_least_significant_first(bench_file, written, wires):
    path = bench_file(
        (
            "[[check]]",
            _check(f'model = "counter"\nports = {{ count = {written} }}\nexpect = {{ modulo = 2 }}'),
        )
    )
    (ref,) = _resolve(path).roles["count"]
    assert [(s.port, s.offset, s.width) for s in ref.slices] == wires


def test_a_list_for_a_role_that_takes_one_keeps_the_ports_apart(bench_file):
    text = 'model = "counter"\nmodule = "tally"\nreset = false\n'
    text += 'expect = { modulo = 16, encoding = "bcd" }\n'
    text += 'ports = { digits = ["ones", { port = ["tens[0]", "tens[3:1]"] }] }'
    check = _resolve(bench_file(("[[check]]", _check(text))))
    assert check.roles["digits"] == (
        PortRef((Slice("ones", 0, 4),)),
        PortRef((Slice("tens", 0, 1), Slice("tens", 1, 3))),
    )


def test_a_part_of_the_design_may_name_its_clock_and_reset_otherwise(bench_file):
    text = 'model = "counter"\nmodule = "tally"\nports = { count = "count", enable = "step" }'
    check = _resolve(bench_file(("[[check]]", _check(text + "\nexpect = { modulo = 16 }"))))
    assert (check.target.clock, check.target.edge) == ("ck", "falling")
    assert check.reset.ref == PortRef((Slice("clear_n", 0, 1),), inverted=True)
    assert check.notes == (
        "tally has no port clk; its registers run on ck, taken for the clock; every register of tally "
        "waits for the falling edge of ck, which the bench leaves open",
        "tally has no port rst_n; clear_n, active low, taken for the reset",
    )
    assert check.edge_pin == 'clock = { port = "ck", edge = "falling" }'


@pytest.mark.parametrize("edge", ["falling", "rising"])
def test_a_check_may_pin_the_edge_of_its_own_clock(bench_file, edge):
    text = 'model = "counter"\nmodule = "tally"\nports = { count = "count", enable = "step" }'
    text += f'\nclock = {{ port = "ck", edge = "{edge}" }}\nexpect = {{ modulo = 16 }}'
    path = bench_file(("[[check]]", _check(text)))
    if edge == "falling":
        check = _resolve(path)
        assert (check.target.edge, check.edge_pin) == ("falling", "")
        return
    with pytest.raises(BenchError, match=r'found "rising", but every register of tally waits') as raised:
        _resolve(path)
    assert 'write clock = { port = "ck", edge = "falling" }' in raised.value.advice


def test_clock_and_reset_can_be_named_in_the_check(bench_file):
    text = 'model = "divider"\nmodule = "toggle"\nclock = "clock"\nports = { square = "q" }\n'
    text += 'reset = { port = "reset", active = "high", kind = "synchronous" }\nexpect = { ratio = 2 }'
    check = _resolve(bench_file(("[[check]]", _check(text))))
    assert (check.target.clock, check.notes) == ("clock", ())
    assert check.reset.ref == PortRef((Slice("reset", 0, 1),))
    assert check.reset.kind is ResetKind.SYNCHRONOUS


def test_a_reset_switched_off_is_held_at_its_idle_level(bench_file):
    text = 'model = "counter"\nmodule = "tally"\nreset = false\nports = { count = "count" }\n'
    text += "expect = { modulo = 16 }"
    check = _resolve(bench_file(("[[check]]", _check(text))))
    assert check.reset is None
    # Inputs without a role: active-low ones are tied to 1.
    assert check.tied == {"clear_n": 1, "step": 0, "hold_n": 1}


def test_a_reset_that_the_bench_forgot_is_noted(bench_file):
    check = _resolve(bench_file(('[reset]\nport = "rst_n"\nactive = "low"\n', "")))
    assert (check.reset, check.tied["rst_n"]) == (None, 1)
    assert check.notes[0] == "the bench names no reset for metronome: held rst_n at 1"


@pytest.mark.parametrize(
    ("name", "level"),
    [
        ("hold_n", 1),
        ("rstn", 1),
        ("nreset", 1),
        ("hold_bar", 1),
        ("hold", 0),
        ("turn", 0),
        ("column", 0),
        ("n", 0),
    ],
)
def test_inputs_without_a_role_are_held_where_they_do_nothing(bench_file, name, level):
    path = bench_file(('[reset]\nport = "rst_n"\nactive = "low"\n', ""))
    Path("rtl/design.v").write_text(
        f"module metronome #(parameter CLK_HZ = 12_000_000)(input clk, run, input {name}, output reg tick);\n"
        "always @(posedge clk) tick <= run; endmodule\n"
    )
    assert _resolve(path).tied == {name: level}


def test_a_module_without_registers_needs_no_clock(bench_file):
    text = 'model = "segments"\nmodule = "decoder"\nports = { digit = "digit", segments = "segments" }'
    check = _resolve(bench_file(("[[check]]", _check(text))))
    assert (check.target.clock, check.reset, check.notes) == (None, None, ())


def test_the_speed_up_scales_the_clock_parameter_and_what_follows_from_it(bench_file):
    path = bench_file((PORTS, PORTS + '\nexpect = { first = "HALF * 2" }'))
    check = _resolve(path, speedup=1000)
    assert check.target.parameters == (("CLK_HZ", 12_000),)
    assert check.options == {"ratio": 12_000, "first": 12_000}
    assert (check.frequency_hz, check.speedup) == (12_000_000, 1000)


def test_a_module_without_the_clock_parameter_is_not_sped_up(bench_file):
    text = 'model = "divider"\nmodule = "toggle"\nreset = false\nports = { square = "q" }\n'
    text += "expect = { ratio = 2 }"
    check = _resolve(bench_file(("[[check]]", _check(text))), speedup=1000)
    assert (check.speedup, check.target.parameters, check.options) == (1, (), {"ratio": 2})


def test_a_rate_gives_the_ratio(bench_file):
    assert _resolve(bench_file((PORTS, PORTS + "\nexpect = { rate = 400 }"))).options == {"ratio": 30_000}


def test_a_part_is_checked_at_the_frequency_of_the_board(bench_file):
    text = 'model = "divider"\nmodule = "tally"\nports = { tick = "carry" }'
    check = _resolve(bench_file(("[[check]]", _check(text))))
    assert check.target.parameters == (("CLK_HZ", 12_000_000),)
    assert check.options == {"ratio": 12_000_000}
    assert check.notes[0] == "tally is checked at CLK_HZ = 12000000, the frequency in [clock]"


@pytest.mark.parametrize(
    ("written", "value"),
    [("5", 5), ('"5\'d5"', "5'd5"), ('"WIDTH + 1"', 5), ("5.0", 5), ("true", 1)],
)
def test_parameters_are_integers_literals_or_expressions_over_the_defaults(bench_file, written, value):
    text = 'model = "counter"\nmodule = "tally"\nports = { count = "count" }\n'
    text += 'expect = { modulo = "2 ** WIDTH" }\n'
    check = _resolve(bench_file(("[[check]]", _check(text + f"parameters = {{ WIDTH = {written} }}"))))
    width = 1 if value == 1 else 5
    assert check.target.outputs[0] == Signal("count", width)
    assert check.options == {"modulo": 2**width}
    assert [(name, str(found)) for name, found in check.target.parameters] in (
        [("WIDTH", str(value))],
        [("WIDTH", "5.0")],
    )


def test_skew_of_a_list_role_counts_for_each_of_its_ports(bench_file):
    text = 'model = "counter"\nmodule = "tally"\nports = { digits = ["ones", "tens"], carry = "carry" }\n'
    text += 'expect = { modulo = 16, encoding = "bcd" }\nskew = { digits = 1, "digits[1]" = 2, carry = 3 }'
    check = _resolve(bench_file(("[[check]]", _check(text))))
    assert check.skew == {"digits[0]": 1, "digits[1]": 2, "carry": 3}


def test_the_only_module_on_top_is_the_default(bench_file):
    path = bench_file(('top = "metronome"\n', ""))
    design = Path("rtl/design.v")
    design.write_text(design.read_text().partition("endmodule\n")[0] + "endmodule\n")
    assert _resolve(path).module.name == "metronome"


def test_defines_and_include_folders_reach_the_design_and_the_target(bench_file):
    design = 'top = "m"\ninclude = "rtl/more"\ndefines = { N = 9, ON = true, OFF = false }'
    path = bench_file(('top = "metronome"', design))
    Path("rtl/more").mkdir()
    Path("rtl/more/n.vh").write_text("`ifdef ON\n`ifndef OFF\n`define RANGE [`N-1:0]\n`endif\n`endif\n")
    Path("rtl/design.v").write_text(
        '`include "n.vh"\nmodule m #(parameter CLK_HZ = 12_000_000)(input clk, rst_n, run, output reg tick,'
        " output reg `RANGE n); always @(posedge clk) n <= n + 1; endmodule\n"
    )
    check = _resolve(path)
    assert check.target.outputs[1] == Signal("n", 9)
    assert check.target.defines == (("N", "9"), ("ON", "1"))
    assert check.target.include == (Path("rtl/more"),)
    assert check.target.directory == Path()


# what is changed, into what, line:column, message, advice
CASES = [
    (
        '"divider"',
        '"dividr"',
        "15:1",
        'check "metronome: dividr", model: found "dividr", expected one of divider, counter, bcd, segments, '
        "timer, display",
        'did you mean "divider"?',
    ),
    (
        "tick =",
        "tik =",
        "16:11",
        f'{CHECK}, ports: divider has no role "tik"; its roles are tick, square, enable, clear',
        'did you mean "tick"?',
    ),
    (
        '"tick"',
        '"tik"',
        "16:11",
        f'{CHECK}, ports.tick: module metronome has no port "tik"; its outputs are tick, lamp, wide',
        'did you mean "tick"?',
    ),
    (
        '"tick"',
        '"run"',
        "16:11",
        f"{CHECK}, ports.tick: found the input run, expected an output of module metronome: tick, lamp, wide",
        None,
    ),
    (
        '"tick"',
        '"pad"',
        "16:11",
        f"{CHECK}, ports.tick: found the inout pad, expected an output of module metronome: tick, lamp, wide",
        None,
    ),
    (
        '"tick"',
        '"lamp[7]"',
        "16:11",
        f'{CHECK}, ports.tick: found "lamp[7]", which is outside lamp[0:6]',
        None,
    ),
    (
        '"tick"',
        '"tick[1]"',
        "16:11",
        f'{CHECK}, ports.tick: found "tick[1]", which is outside the single bit tick',
        None,
    ),
    (
        '"tick"',
        '"lamp[3:1]"',
        "16:11",
        f'{CHECK}, ports.tick: found "lamp[3:1]", but lamp is declared [0:6]',
        'write "lamp[1:3]"',
    ),
    (
        '"tick"',
        '"u.tick"',
        "16:11",
        f'{CHECK}, ports.tick: found "u.tick", expected a port, a bit or a slice, such as "key", "key[3]" or '
        '"bus[11:4]"',
        None,
    ),
    (
        '"tick"',
        '"lamp[N]"',
        "16:11",
        f'{CHECK}, ports.tick: "N": there is no parameter "N"; the module has CLK_HZ, MODE, HALF',
        None,
    ),
    (
        '"run"',
        '"key"',
        "16:26",
        f"{CHECK}, ports.enable: found 4 bits, expected one bit",
        'name one bit of it, such as "key[4]"',
    ),
    (
        '"run"',
        '"run", clear = { port = "run", active = "low" }',
        "16:42",
        f"{CHECK}, ports.clear: found run, which already is enable",
        "bind every wire once",
    ),
    (
        '"run"',
        '"rst_n"',
        "16:26",
        f"{CHECK}, ports.enable: found rst_n, which already is the reset",
        "bind every wire once",
    ),
    (
        '"run"',
        '"clk"',
        "16:26",
        f"{CHECK}, ports.enable: found clk, which already is the clock",
        "bind every wire once",
    ),
    ('"run"', "[]", "16:26", f"{CHECK}, ports.enable: found an empty list, expected at least one port", None),
    (
        '"run"',
        '["run", { port = "key[4]", active = "low" }]',
        "16:26",
        f"{CHECK}, ports.enable: found active-high and active-low ports in one list",
        'write { port = [ ... ], active = "low" } for the whole list',
    ),
    (
        'tick = "tick", ',
        "",
        "16:1",
        f"{CHECK}, ports.tick: found neither, expected one of tick, square",
        None,
    ),
    (
        'top = "metronome"',
        'top = "metronom"',
        "3:1",
        'design.top: found "metronom", expected one of metronome, tally, decoder, toggle, ring, wires',
        'did you mean "metronome"?',
    ),
    (
        'top = "metronome"\n',
        "",
        "1:2",
        "design.top is missing: expected one of metronome, tally, decoder, toggle, ring, wires",
        "name the module that is checked, in design.top or as `module` in the check",
    ),
    (
        PORTS,
        PORTS + '\nmodule = "taly"',
        "17:1",
        'check "taly: divider", module: found "taly", expected one of metronome, tally, decoder, toggle, '
        "ring, wires",
        'did you mean "tally"?',
    ),
    (
        'port = "clk"',
        'port = "clock"',
        "6:1",
        'clock.port: module metronome has no port "clock"; its inputs are clk, rst_n, run, key',
        'did you mean "clk"?',
    ),
    ('port = "clk"', 'port = "key"', "6:1", "clock.port: found key, 4 bits wide, expected one bit", None),
    (
        'port = "clk"',
        'port = "tick"',
        "6:1",
        "clock.port: found the output tick, expected an input of module metronome: clk, rst_n, run, key",
        None,
    ),
    (
        'port = "rst_n"',
        'port = "rst"',
        "11:1",
        'reset.port: module metronome has no port "rst"; its inputs are clk, rst_n, run, key',
        'did you mean "rst_n"?',
    ),
    ('port = "rst_n"', 'port = "key"', "11:1", "reset.port: found 4 bits, expected one bit", None),
    (
        '[clock]\nport = "clk"\nfrequency = 12_000_000\nparameter = "CLK_HZ"\n',
        "",
        "10:3",
        f"{CHECK}: no clock is named for module metronome, but its registers run on clk",
        'add [clock] with port = "clk"',
    ),
    (
        PORTS,
        'module = "wires"\nports = { tick = "y" }\nreset = false',
        "6:1",
        'check "wires: divider": module wires has no port "clk" for the clock, but a divider counts clocks',
        'add clock = "NAME OF ITS CLOCK PORT" to this [[check]]; the module has the inputs a',
    ),
    (
        PORTS,
        'module = "toggle"\nports = { square = "q" }\nexpect = { ratio = 2 }',
        "11:1",
        'check "toggle: divider": module toggle has no port "rst_n" for the reset, but one called reset',
        'add reset = { port = "reset", active = "high" } (or "low") to this [[check]], or reset = false',
    ),
    (
        "12_000_000",
        "50_000_000",
        "7:1",
        "clock.frequency: found 50000000 Hz, but CLK_HZ of metronome is 12000000",
        "correct one of the two, set parameters = { CLK_HZ = 50000000 } in the check, or give `ratio` there",
    ),
    (
        '"CLK_HZ"',
        '"CLK_FREQ"',
        "8:1",
        'clock.parameter: found "CLK_FREQ", expected a parameter of module metronome: CLK_HZ, MODE',
        None,
    ),
    (
        '"CLK_HZ"',
        '["CLK_HZ", "CLOCK"]',
        "8:1",
        'clock.parameter: found "CLOCK", expected a parameter of module metronome: CLK_HZ, MODE',
        None,
    ),
    (
        '"CLK_HZ"',
        '"HALF"',
        "8:1",
        'clock.parameter: "HALF" is a localparam of metronome',
        "make it a parameter, so that it can be scaled for simulation",
    ),
    (
        '"CLK_HZ"',
        '"MODE"',
        "8:1",
        "clock.parameter: MODE of metronome is no integer, expected a number of Hz",
        None,
    ),
    (
        '"CLK_HZ"',
        '"u_div.CLK_HZ"',
        "8:1",
        'clock.parameter: found "u_div.CLK_HZ", but module metronome has no instance "u_div"; it has none',
        None,
    ),
    (
        PORTS,
        PORTS + "\nparameters = { CLK = 3 }",
        "17:16",
        f'{CHECK}, parameters.CLK: module metronome has no parameter "CLK"; it has CLK_HZ, MODE',
        'did you mean "CLK_HZ"?',
    ),
    (
        PORTS,
        PORTS + '\nparameters = { MODE = "FAST" }',
        "17:16",
        f'{CHECK}, parameters.MODE: "FAST": there is no parameter "FAST"; the module has CLK_HZ, MODE, HALF',
        "text for a Verilog string has its own quotes: '\"FAST\"'",
    ),
    (
        PORTS,
        PORTS + "\nskew = { tock = 1 }",
        "17:10",
        f'{CHECK}, skew: found "tock", expected a bound output: tick',
        'did you mean "tick"?',
    ),
    (
        PORTS,
        PORTS + "\nexpect = { ratoi = 3 }",
        "17:12",
        f'{CHECK}, expect.ratoi: divider has no option "ratoi"; its options are ratio, rate, high, active, '
        "first, start_level, pause",
        'did you mean "ratio"?',
    ),
    (
        PORTS,
        PORTS + '\nexpect = { active = "hi" }',
        "17:12",
        f'{CHECK}, expect.active: found "hi", expected "high" or "low"',
        'did you mean "high"?',
    ),
    (
        PORTS,
        PORTS + "\nexpect = { ratio = [1] }",
        "17:12",
        f"{CHECK}, expect.ratio: found [1], expected an integer, "
        "or an expression over RTL parameters in quotes",
        None,
    ),
    (
        PORTS,
        PORTS + '\nexpect = { ratio = "CLK_HZ / 7" }',
        "17:12",
        f"{CHECK}, expect.ratio: 12000000 / 7 does not come out even",
        "write // to round down, or change the numbers",
    ),
    (
        PORTS,
        PORTS + "\nexpect = { rate = 7 }",
        "17:12",
        f"{CHECK}, expect.rate: 12000000 Hz / 7 Hz is not a whole number of clocks",
        "give `ratio` in clocks per period instead",
    ),
    (
        PORTS,
        PORTS + "\nexpect = { rate = 0 }",
        "17:12",
        f"{CHECK}, expect.rate: found 0, expected a whole number of periods per second, 1 or more",
        None,
    ),
    (
        PORTS,
        PORTS + "\nexpect = { rate = 1, ratio = 5 }",
        "17:12",
        f"{CHECK}, expect.rate: found `ratio` as well, expected one of the two",
        None,
    ),
]


@pytest.mark.parametrize(("old", "new", "place", "message", "advice"), CASES)
def test_a_bench_that_does_not_fit_the_design_gets_exactly_this_message(
    bench_file, old, new, place, message, advice
):
    path = bench_file((old, new))
    with pytest.raises(BenchError, match=r"\S") as caught:
        _resolve(path)
    assert (caught.value.message, caught.value.advice) == (message, advice)
    assert str(caught.value.place) == f"bench.toml:{place}"


def test_what_a_model_says_against_an_option_stands_at_its_key(bench_file):
    with pytest.raises(BenchError, match=r"expect\.ratio: found 0, expected an integer from 1") as caught:
        _resolve(bench_file((PORTS, PORTS + "\nexpect = { ratio = 0 }")))
    assert str(caught.value.place) == "bench.toml:17:12"


def test_a_speed_up_that_does_not_divide_is_refused_with_one_that_does(bench_file):
    with pytest.raises(BenchError, match="CLK_HZ = 12000000 cannot be divided by 7") as caught:
        _resolve(bench_file(('"CLK_HZ"', '"CLK_HZ"\nspeedup = 7')), speedup=7)
    assert (str(caught.value.place), caught.value.advice) == ("bench.toml:9:1", "6 divides it")


def test_a_rate_that_the_speed_up_makes_uneven_says_so(bench_file):
    with pytest.raises(BenchError, match="100 Hz / 400 Hz is not a whole number") as caught:
        _resolve(bench_file((PORTS, PORTS + "\nexpect = { rate = 400 }")), speedup=120_000)
    assert caught.value.advice == "choose a smaller speed-up: the clock runs at 100 Hz in simulation"


def test_a_combinational_loop_is_an_error_of_the_design(bench_file):
    text = 'module = "ring"\nmodel = "divider"\nreset = false\nports = { tick = "y" }'
    with pytest.raises(DesignError, match="combinational loop through y, in module ring") as caught:
        _resolve(bench_file(("[[check]]", _check(text))))
    assert caught.value.place.file == Path("rtl/design.v")


def test_an_error_of_the_verilog_is_one_of_the_design(bench_file):
    path = bench_file()
    Path("rtl/broken.v").write_text("module broken(input a;\nendmodule\n")
    with pytest.raises(DesignError, match="expected") as caught:
        _resolve(path)
    assert str(caught.value.place).startswith("rtl/broken.v:1:")


def test_a_pinned_clock_edge_that_no_register_waits_for_is_an_error(bench_file):
    with pytest.raises(BenchError, match=r'found "falling", but every register of metronome') as raised:
        _resolve(bench_file(('port = "clk"', 'port = "clk"\nedge = "falling"')))
    assert 'write edge = "rising"' in raised.value.advice


def test_registers_on_the_other_edge_than_the_rest_are_noted(bench_file):
    path = bench_file()
    source = Path("rtl/design.v")
    source.write_text(source.read_text().replace("@(posedge clk) tick", "@(negedge clk) tick"))
    (note,) = [note for note in _resolve(path).notes if "other edge" in note]
    assert note == "tick waits for the other edge of clk than the rest of metronome"


def test_a_clock_edge_left_open_is_that_of_the_registers(bench_file):
    source = Path("rtl/design.v")
    source.write_text(source.read_text().replace("posedge clk", "negedge clk"))
    check = _resolve(bench_file())
    assert check.target.edge == "falling"
    assert check.edge_pin == 'edge = "falling"  # in [clock]'
    assert any("every register of metronome waits for the falling edge" in note for note in check.notes)


def test_an_input_that_no_role_names_is_held_where_the_bench_says(bench_file):
    check = _resolve(bench_file((PORTS, f"{PORTS}\ntie = {{ key = 5 }}")))
    assert check.tied == {"key": 5}


@pytest.mark.parametrize(
    ("tie", "message"),
    [
        ("{ kee = 1 }", 'found "kee", expected an input that no role names: key'),
        ("{ run = 1 }", 'found "run", expected an input that no role names: key'),
        ("{ key = 16 }", "found 16, expected at most 15"),
    ],
)
def test_what_cannot_be_tied_is_an_error(bench_file, tie, message):
    with pytest.raises(BenchError, match=message):
        _resolve(bench_file((PORTS, f"{PORTS}\ntie = {tie}")))
