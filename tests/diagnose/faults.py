"""Which faults the templates in ``rtl/`` have, and what each of them is called.

A name is a regular expression for the key of the explanation; alternatives are the same machine
under that bench, or a plainer fault with the same effect.
"""

from __future__ import annotations

from dataclasses import dataclass

CLOCK = '[clock]\nport = "clk"\n'
RESET = '[reset]\nport = "rst"\nactive = "high"\n'
RESET_N = '[reset]\nport = "rst_n"\nactive = "low"\n'


@dataclass(frozen=True)
class Template:
    """``top``: a module of ``rtl/``; ``bench``: TOML after the sources; ``names``: fault -> its key.

    ``lasting``: faults that a reset does not undo, so that each needs a power-up of its own.
    """

    top: str
    bench: str
    names: dict[int, str]
    lasting: frozenset[int] = frozenset()


CONTROLS = {
    5: "enable = ignored",
    6: "clear = ignored",
    7: "clear = only while enable",
    8: "pause = clear",
    10: "clear = one clock late",
    11: "enable = one clock late",
    12: "enable = inverted",
    13: "clear = inverted",
}
GLYPHS = {
    1: "glyphs: 2 = bdeg",
    2: "glyphs: 4 = abcfg",
    3: "glyphs: 5 = acdefg, 6 = acdfg",
    4: "glyphs: 8 = blank",
    5: "glyphs: A = .*|above nine = hex",
    6: "glyphs: A = g, B = g, C = g, D = g, E = g, F = g",
    7: "glyphs: 0 = abcef, 2 = abeg, 3 = abcg, 5 = acfg, 6 = acefg, 8 = abcefg",
    8: "glyphs: 0 = abcdefg, 1 = bcg, 7 = abcg, A = g, .*",
    9: "above nine = held",
    10: "lamp_test = abcdef",
    11: "blank = g",
    12: "blank = ignored",
    13: "blank = inverted",
    14: "lamp_test = ignored",
}
RULES = {
    1: "threshold = 6",
    2: "threshold = 4",
    3: "threshold = 3",
    4: r"uncorrected = \[0\]",
    5: r"uncorrected = \[1\]",
    7: "corrected after the last shift",
    8: "no correction",
    9: "binary.order = reversed",
    10: "binary.bits = 7",
    11: "binary.bits = 6",
    12: r"binary\[2\] = 0",
    13: r"binary\[1\] <-> binary\[0\]",
    14: "binary.polarity = inverted",
    15: "threshold = 8",
    16: "addend = 2",
    17: "shifts = 7",
    18: r".*wires: bits . to 0 are stuck at 0|.*wires: bits 9 to 8 are stuck at 0|digits = 2",
}

TICK = '[[check]]\nmodel = "divider"\nports = { tick = "tick", enable = "enable", clear = "clear" }\n'
SQUARE = '[[check]]\nmodel = "divider"\nports = { square = "square", enable = "enable", clear = "clear" }\n'
COUNT = """[[check]]
model = "counter"
expect = { modulo = 60, direction = "input", carry = "last_state_and_enable" }
[check.ports]
count = "count"
enable = "enable"
clear = "clear"
load = "load"
load_value = "value"
up = "up"
carry = "carry"
"""
DIGITS = """[[check]]
model = "counter"
ports = { digits = ["ones", "tens"], enable = "enable", clear = "clear" }
expect = { encoding = "bcd", digit_modulo = [10, 6] }
"""
HOURS = """[[check]]
model = "counter"
ports = { digits = ["ones", "tens"], enable = "enable" }
expect = { encoding = "bcd", modulo = 24 }
"""
RESETTING_DIGITS = """[[check]]
model = "counter"
ports = { digits = ["ones", "tens"], enable = "enable" }
latency = 0
expect = { encoding = "bcd", digit_modulo = [10, 6] }
"""
RESETTING = """[[check]]
model = "counter"
ports = { count = "count", enable = "enable" }
expect = { modulo = 10 }
"""
PACKED = """[[check]]
model = "segments"
ports = { digit = "digit", segments = "seg_n", blank = "blank", lamp_test = "lamp_test" }
expect = { active = "low" }
"""
SEPARATE = """[[check]]
model = "segments"
[check.ports]
digit = "digit"
segment_ports = ["a", "b", "c", "d", "e", "f", "g"]
blank = "blank"
lamp_test = "lamp_test"
"""
BCD = '[[check]]\nmodel = "bcd"\nports = { binary = "binary", bcd = "bcd" }\n'
BCD_DIGITS = (
    '[[check]]\nmodel = "bcd"\nports = { binary = "binary", digits = ["ones", "tens", "hundreds"] }\n'
)
SEQUENCER = """[[check]]
model = "bcd"
ports = { binary = "binary", bcd = "bcd", start = "start", busy = "busy", done = "done" }
"""
TIMER = """[[check]]
model = "timer"
ports = { stages = ["seconds", "minutes", "hours"], enable = "enable", clear = "clear", tick = "tick" }
expect = { modulo = [6, 5, 7], ratio = 4 }
"""
COUNTDOWN = """[[check]]
model = "timer"
expect = { modulo = [60, 60], ratio = 4, direction = "down", at_end = "stop" }
[check.ports]
stages = ["seconds", "minutes"]
load = "load"
load_values = ["load_seconds", "load_minutes"]
enable = "enable"
done = "done"
"""
DISPLAY = """[[check]]
model = "display"
ports = { digits = ["digit0", "digit1", "digit2", "digit3"], enable = "enable" }
expect = { active = "low", modulo = [60, 60], ratio = 6 }
"""
SCANNED = """[[check]]
model = "display"
ports = { segments = "segments", select = "select", enable = "enable" }
expect = { active = "high", modulo = [60, 60], ratio = 6 }
"""

TEMPLATES = {
    "tick": Template(
        "divider",
        CLOCK + RESET + TICK + "expect = { ratio = 12 }\n",
        CONTROLS
        | {
            1: "tick.ratio = 13",
            2: "tick.ratio = 11",
            3: "tick.ratio = 4",
            4: "tick.width = 2",
            9: "tick.polarity = inverted",
            14: "tick.ratio = 24",
            15: "tick = held in a pause",
            16: "tick.wires: it never leaves 0",
            17: "tick.ratio = 20",
            18: "tick.ratio = 13, first = 12",
        },
    ),
    "square": Template(
        "divider",
        CLOCK + RESET + SQUARE + "expect = { ratio = 12, start_level = 0 }\n",
        CONTROLS
        | {
            31: "square.high = 7, low = 5",
            32: "square.high = 7, low = 7",
            33: "square.high = 5, low = 5",
            34: "square.high = 2, low = 2",
            35: r"square.start_level = 1|square.polarity = inverted",
            36: "clear = count only",
            37: r"square.start_level = 1|square.polarity = inverted",
        },
    ),
    "count": Template(
        "counter",
        CLOCK + RESET_N + COUNT,
        {
            1: "count.modulo = 61",
            2: "count.modulo = 59",
            3: "count.modulo = 64",
            4: "count.up: 59 -> 1",
            5: "count.step = 2",
            6: "count.down: 0 -> 63, up from beyond",
            7: "up = ignored",
            8: "up = inverted",
            9: "clear = ignored",
            10: "clear = only while enable",
            11: "load = ignored",
            12: r"load\+value = one clock late",
            13: "value.bits = 5",
            14: "value.order = reversed",
            15: "enable = ignored",
            16: "count.start = 1",
            17: "priority = load before clear before enable",
            18: "count.cleared = 1",
            19: "count.order = reversed",
            20: "count.wires: bit 4 is stuck at 0",
            21: "count.polarity = inverted",
            22: "carry = last_state",
            23: "carry.skew = 1|carry = after_wrap",
            24: "carry.wires: it never leaves 0",
            25: "clear = asynchronous",
            26: "enable = in its first clock only",
            27: "count.up: stops at 59",
            28: "count: 12 -> 14",
            29: "load = asynchronous",
            30: "load = only in a pause",
            32: "count.wrap = in a pause too",
        },
    ),
    "digits": Template(
        "counter",
        CLOCK + RESET_N + DIGITS,
        {
            41: "ones.modulo = 11",
            42: "ones.modulo = 9",
            43: "tens.modulo = 7",
            44: "tens.modulo = 5",
            45: "ones.carry_at = 8",
            46: "tens.carry = one clock late",
            47: "tens.enable = ignored",
            48: "tens.reset = missing",
            49: "tens.clear = ignored",
            50: "ones.wraps_to = 1",
            51: "tens = stuck",
            52: "tens.direction = down.*",
            53: "ones <-> tens",
            54: "tens.carry = none",
        },
        lasting=frozenset({48}),
    ),
    "hours": Template(
        "hours",
        CLOCK + RESET + HOURS,
        {
            1: r"\{tens, ones\}.modulo = 25",
            2: r"\{tens, ones\}.modulo = 23",
            3: r"\{tens, ones\}.modulo = 18",
            4: r"\{tens, ones\}.modulo = 20",
            5: "tens.end = ignored",
            6: "ones.end = ignored",
            7: r"\{tens, ones\}.wraps_to = 1",
        },
    ),
    "resetting": Template(
        "resetting",
        CLOCK + RESET + 'kind = "asynchronous"\n' + RESETTING,
        {1: "reset.kind = synchronous", 2: "reset.polarity = active low", 3: "reset = ignored"},
        lasting=frozenset({2, 3}),
    ),
    "packed": Template(
        "decoder",
        PACKED,
        GLYPHS
        | {
            16: "seg_n.order = reversed",
            17: "seg_n.wires: bit 0 is bit 1; bit 1 is bit 0",
            18: "seg_n.polarity = inverted",
            19: r"seg_n.wires = reversed \+ glyphs: 2 = bdeg",
        },
    ),
    "separate": Template("decoder", SEPARATE, GLYPHS | {16: r"a\.\.g.order = reversed", 17: "a <-> b"}),
    "bcd": Template(
        "converter",
        CLOCK + BCD,
        RULES
        | {
            19: r"bcd.digits = \[1, 0, 2\]",
            20: "bcd.wires: bit 0 is bit 3; bit 1 is bit 2; bit 2 is bit 1; bit 3 is bit 0",
            22: r"bcd.digits = \[2, 1, 0\]",
            23: r"bcd.wires: bit 0 is stuck at 0|binary\[0\] = 0",
            24: "bcd.wires: bit 7 is stuck at 0",
            25: "threshold = 6 at 1",
            26: "carry = above 10",
        },
    ),
    "bcd digits": Template(
        "converter",
        CLOCK + BCD_DIGITS,
        RULES
        | {
            21: "tens.skew = 1",
            23: r"ones.wires: bit 0 is stuck at 0|binary\[0\] = 0",
            24: "tens.wires: bit 3 is stuck at 0",
            25: "threshold = 6 at 1",
        },
    ),
    "registered": Template(
        "registered",
        CLOCK + BCD + "latency = 2\n",
        {1: "latency = 3", 2: "latency = 1", 3: "latency = 0", 4: "latency = 4"},
    ),
    "sequencer": Template(
        "sequencer",
        CLOCK + RESET + SEQUENCER,
        {
            1: "threshold = 6",
            2: "threshold = 4",
            3: r"uncorrected = \[0\]",
            4: "start_while_busy = restart.*",
            5: "shifts = 7",
            6: "binary.bits = 7",
            7: r"bcd.digits = \[2, 1, 0\]",
            8: "binary = read during the conversion, bits",
        },
    ),
    "timer": Template(
        "timer",
        CLOCK + RESET + TIMER,
        {
            1: "enable = ignored",
            2: "enable = inverted",
            3: "seconds.ratio = 5",
            4: "seconds.ratio = 3",
            5: "pause = gate",
            6: "pause = enable empties the prescaler",
            7: "seconds.modulo = 7",
            8: "seconds.modulo = 5",
            9: "minutes.modulo = 6",
            10: "minutes.modulo = 4",
            11: "hours.modulo = 8",
            12: "hours.modulo = 6",
            13: "hours.modulo = 128",
            14: "seconds.carry_at = 0",
            15: "seconds.carry_at = 4",
            16: "minutes.carry = one clock late",
            17: "minutes.enable = ignored",
            18: "minutes.carry = none",
            19: "hours.carry = one clock late",
            20: "hours.waits_for = minutes",
            21: "hours.carry = of seconds",
            22: "hours.enable = ignored",
            23: r"start = \[1, 0, 0\]",
            24: "clear = ignored",
            25: "clear = only while enable",
            26: "clear.prescaler = waits, tick shown",
            27: "minutes.clear = ignored",
            28: "hours.clear = ignored",
            29: "seconds = stuck",
            30: "seconds.direction = down, carry as before",
            31: "seconds.wraps_to = 1",
            32: "minutes = stuck|minutes.hours.wires: .*",
            33: "hours = stuck|hours.wires: .*",
            34: "minutes <-> seconds",
            35: "seconds.wires: bit 2 is stuck at 0",
            37: "tick.polarity = inverted",
            38: "clear.prescaler = runs",
            39: "prescaler.reset = missing",
            40: "prescaler.reset = missing, runs",
            41: "hours.reset = missing",
            42: "enable = not at the tick",
            43: "minutes.carry = one step late",
            44: "minutes.carry = every clock",
        },
        lasting=frozenset({39, 40, 41}),
    ),
    "countdown": Template(
        "countdown",
        CLOCK + RESET_N + COUNTDOWN,
        {
            1: "seconds.ratio = 5",
            2: r"load\+load_seconds\+load_minutes = one clock late",
            3: "load = only while enable",
            4: "load_seconds <-> load_minutes",
            6: "minutes.load = ignored",
            7: "at_end = wrap",
            8: "seconds.modulo = 64|seconds.wraps_to = 63",
            9: "seconds.modulo = 59|seconds.wraps_to = 58",
            10: "done = (sticky|reached).*|done.wires: it never leaves 1",
            11: "done.polarity = inverted",
        },
    ),
    "display": Template(
        "display",
        CLOCK + RESET + DISPLAY,
        {
            1: "seconds.ratio = 7",
            2: "seconds.modulo = 70",
            3: "enable = ignored",
            4: "glyphs.*: 4 = .*",
            5: "glyphs on digit1: 4 = .*",
            6: "digit0 <-> digit1",
            7: "digit0.skew = 1",
            8: ".*polarity = inverted",
            9: "digit2.order = reversed",
            10: ".*leading_zero.*|glyphs on digit3: 0 = blank",
        },
    ),
    "scanned": Template(
        "display",
        CLOCK + RESET + SCANNED,
        {
            1: "seconds.ratio = 7",
            2: "seconds.modulo = 70",
            3: "enable = ignored",
            4: "glyphs.*: 4 = .*",
            21: r"scan = \[0, 1, 1, 3\]",
            23: ".*overlap.*",
            24: "segments.skew = 1",
            25: r"scan = \[0, 2, 1, 3\]",
            26: r"digits = \[1, 2, 3, 0\]",
            27: r"scan = \[0, 1, 2\]",
            28: r"digits = \[0, 1, 3, 3\]",
        },
    ),
    "resetting digits": Template(
        "resetting_digits",
        CLOCK + RESET + 'kind = "asynchronous"\n' + RESETTING_DIGITS,
        {1: "tens.reset = at the clock edge", 2: "tens.reset = missing"},
        lasting=frozenset({1, 2}),
    ),
}


def some(names: dict[int, str], *faults: int) -> dict[int, str]:
    return {fault: names[fault] for fault in faults}


# The same machines in another style.
TEMPLATES |= {
    "tick, down": Template(
        "divider_down",
        TEMPLATES["tick"].bench,
        some(TEMPLATES["tick"].names, 1, 2, 3, 5, 6, 7, 8, 9, 12, 13, 14),
    ),
    "count, next state": Template(
        "counter_next",
        TEMPLATES["count"].bench,
        some(TEMPLATES["count"].names, 1, 2, 3, 4, 7, 8, 9, 10, 11, 13, 15, 16, 17, 18, 22, 24)
        | {6: "count.down: 0 -> 63"},
    ),
    "packed, memory": Template(
        "decoder_rom",
        TEMPLATES["packed"].bench,
        some(TEMPLATES["packed"].names, 1, 2, 4, 6, 7, 10, 11, 12, 13, 14, 16, 18),
    ),
    "bcd, cells": Template(
        "converter_cells",
        BCD,
        some(TEMPLATES["bcd"].names, 1, 2, 3, 4, 5, 8, 9, 10, 11, 12, 13, 14, 15, 16, 18, 22),
    ),
    "timer, chained": Template(
        "timer_chained",
        TEMPLATES["timer"].bench,
        some(
            TEMPLATES["timer"].names,
            *(1, 2, 3, 4, 6, 7, 8, 9, 10, 11, 12, 13, 19, 21, 24, 25, 29, 31, 32, 33, 34),
        )
        | {
            16: "minutes.carry = one clock late, passed on",
            18: "minutes.carry = none, passed on",
            27: "minutes.clear = ignored, counts on",
            28: "hours.clear = ignored, counts on",
        },
    ),
}

# What a design of this kind gets wrong, and where in the templates it is injected.
KINDS = {
    "a ratio one too large or too small": {"tick": (1, 2), "square": (32, 33), "timer": (3, 4)},
    "a counter register too narrow for the ratio": {"tick": (3, 16), "square": (34,)},
    "a terminal count compared with the wrong constant": {"tick": (14, 17), "timer": (14, 15)},
    "a first period unlike the others": {"tick": (18,)},
    "a modulo one too large or too small": {"count": (1, 2), "digits": (41, 42), "timer": (7, 8, 9, 10)},
    "no end at one stage": {"count": (3,), "timer": (13,), "hours": (5, 6)},
    "stages swapped": {"digits": (53,), "timer": (34,)},
    "a carry one clock late": {"digits": (46,), "timer": (16, 19)},
    "a carry one step late": {"timer": (43,)},
    "a stage that steps with every clock while the one below is full": {"timer": (44,)},
    "a wrap that does not look at enable": {"count": (32,)},
    "a stage that ignores enable": {"digits": (47,), "timer": (17, 22)},
    "a stage that ignores clear": {"digits": (49,), "timer": (27, 28)},
    "a stage that ignores reset": {"digits": (48,), "timer": (41,)},
    "a clear that leaves the part of a second that was counted": {"timer": (38, 26)},
    "a pause that loses a tick, or gains one": {"timer": (5, 6, 42)},
    "the wrong direction": {"count": (7, 8), "digits": (52,), "timer": (30,)},
    "a load one clock late": {"count": (12,), "countdown": (2,)},
    "counting that beats a load": {"count": (30,)},
    "a wrong threshold of the correction by 3": {"bcd": (1, 2, 3, 15), "sequencer": (1, 2)},
    "no correction on one digit": {"bcd": (4, 5), "bcd digits": (4, 5), "sequencer": (3,)},
    "a correction after the last shift": {"bcd": (7,)},
    "a digit that carries only above ten": {"bcd": (26,)},
    "bits in reverse order": {"bcd": (9,), "count": (14, 19)},
    "digits swapped": {"bcd": (19, 22), "sequencer": (7,), "display": (6,)},
    "a digit cut off": {"bcd": (18, 24), "bcd digits": (24,)},
    "a number that loses bits": {"bcd": (10, 11), "sequencer": (6,), "count": (13,)},
    "one segment of one glyph": {"packed": (1, 2), "separate": (1, 2), "display": (4,)},
    "segments in reverse order": {"packed": (16,), "separate": (16,), "display": (9,)},
    "the wrong polarity": {"packed": (18,), "tick": (9,), "countdown": (11,), "display": (8,)},
    "a decoder of one digit unlike the others": {"display": (5,)},
    "a value above nine that holds the glyph before, a default that is missing": {"packed": (9,)},
    "a latency too long or too short": {"registered": (1, 2, 3, 4)},
    "one output out of step": {"bcd digits": (21,), "count": (23,), "display": (7,)},
    "a reset of the wrong polarity or kind": {"resetting": (1, 2)},
    "a stage whose reset waits for the clock": {"resetting digits": (1,)},
    "a register without reset": {"resetting digits": (2,), "resetting": (3,), "timer": (39, 40)},
    "select and segments out of step": {"scanned": (24,)},
    "a digit that is never served": {"scanned": (21, 27)},
    "two digits selected at once": {"scanned": (23,)},
    "digits in the wrong order": {"scanned": (25, 26, 28)},
}
