"""Segment glyphs against the function tables of decoder chips, all written down from memory.

SN7447A and SN74LS47: 6 and 9 without tails, lamp test and blanking. SN74LS247: the same with tails.
CD4511: no tails, 10 to 15 blank, lamp test overrides blanking. Digits 10 to 15 of the first two are
symbols of their own and are left out here.
"""

import pytest

from verify.models.glyphs import letters_of
from verify.models.segments import FAMILY

#           abcdefg, 1 = lit
SN7447A = """
    0  1111110
    1  0110000
    2  1101101
    3  1111001
    4  0110011
    5  1011011
    6  0011111
    7  1110000
    8  1111111
    9  1110011
"""
SN74LS247 = SN7447A.replace("6  0011111", "6  1011111").replace("9  1110011", "9  1111011")
CD4511 = SN7447A + "\n".join(f"{digit} 0000000" for digit in range(10, 16))


def table(text):
    rows = [line.split() for line in text.strip().splitlines()]
    return {int(digit): lit for digit, lit in rows}


def shown(model, digit, *controls):
    """The lit segments as the tables above have them."""
    (word,) = model.out((), (digit, *controls))
    return format(word, "07b")


def decoders(shape=None, **options):
    shape = {"digit": (4,), "segments": (7,), **(shape or {})}
    return FAMILY.candidates(shape, {"order": "a_msb", **options}, False)


@pytest.mark.parametrize(
    ("chip", "glyphs"),
    [(SN7447A, {"6": "cdefg", "9": "abcfg"}), (SN74LS247, {}), (CD4511, {"6": "cdefg", "9": "abcfg"})],
    ids=["SN7447A", "SN74LS247", "CD4511"],
)
def test_one_known_set_of_glyphs_is_that_of_the_chip(chip, glyphs):
    fitting = [
        c for c in decoders() if all(shown(c.model, digit) == lit for digit, lit in table(chip).items())
    ]
    assert [c.measured["glyphs"] for c in fitting] == [glyphs]
    (pinned,) = decoders(glyphs=glyphs)
    assert all(shown(pinned.model, digit) == lit for digit, lit in table(chip).items())


def test_the_cd4511_lights_everything_in_lamp_test_even_while_blanked():
    candidates = decoders({"blank": (1,), "lamp_test": (1,)}, glyphs={})
    fitting = [c for c in candidates if shown(c.model, 3, 1, 1) == "1111111"]
    assert [c.measured["strongest"] for c in fitting] == ["lamp_test"]
    assert shown(fitting[0].model, 3, 1, 0) == "0000000"


def test_the_sn7447a_stays_dark_when_blanked_even_in_lamp_test():
    candidates = decoders({"blank": (1,), "lamp_test": (1,)}, glyphs={})
    fitting = [c for c in candidates if shown(c.model, 3, 1, 1) == "0000000"]
    assert [c.measured["strongest"] for c in fitting] == ["blank"]
    assert shown(fitting[0].model, 3, 0, 1) == "1111111"


def test_hexadecimal_letters_are_the_usual_ones():
    """Common practice, no source: A b C d E F, so that no letter looks like a digit."""
    (usual, *_) = decoders(above_nine="hex")
    letters = "".join(letters_of(glyph) + " " for glyph in usual.model.glyphs[10:])
    assert letters.split() == ["abcefg", "cdefg", "adef", "bcdeg", "adefg", "aefg"]
    assert len(set(usual.model.glyphs)) == 16
