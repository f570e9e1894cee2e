"""Faults of seven-segment decoders.

A decoder's table is read off what it did, so any wrong glyph is found; the rest is how the controls
work together and what becomes of digits above nine.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

from verify.diagnose.bent.decoder import bent_decoder
from verify.diagnose.fault import Fault
from verify.diagnose.vocabulary.context import Context
from verify.models.controls import position
from verify.models.glyphs import ALL_LIT, HEXADECIMAL, LETTERS, letters_of, pattern_of
from verify.models.golden import GoldenModel
from verify.models.segment_decoder import Decoder, HoldingDecoder, Overrides
from verify.models.segment_wires import SegmentWires
from verify.wording import enumerated

__all__ = ["decoder_edits", "glyph_text"]

Edits = Iterator[tuple[Fault, GoldenModel]]

NAMED = 4
"""So many wrong glyphs are named one by one."""


def decoder_edits(model: Decoder | HoldingDecoder, context: Context) -> Edits:
    """Wrong glyphs, digits above nine, controls."""
    decoder = model.decoder if isinstance(model, HoldingDecoder) else model
    for fault, edited in _inside(decoder, context):
        yield fault, replace(model, decoder=edited) if isinstance(model, HoldingDecoder) else edited
    yield from _above_nine(model, decoder, context)


def _inside(decoder: Decoder, context: Context) -> Iterator[tuple[Fault, Decoder]]:
    yield from _measured(decoder, context)
    yield from _controls(decoder, context)


def _measured(decoder: Decoder, context: Context) -> Iterator[tuple[Fault, Decoder]]:
    """The table that was seen; once as it is, and once for each digit by itself."""
    seen = _seen_patterns(decoder, context)
    proper = _proper(decoder)
    wrong = {d: p for d, p in seen.items() if p != proper.get(d, 0)}
    if not wrong:
        return
    above = {d: p for d, p in wrong.items() if d > 9}
    below = {d: p for d, p in wrong.items() if d not in above}
    for part in (wrong, below, above):
        if part and (part is wrong or part != wrong):
            yield _glyph_fault(part, proper, context), _with_glyphs(decoder, part)
    if len(wrong) > NAMED:
        yield from _on_other_wires(decoder, context)
    if 1 < len(wrong) <= NAMED:
        for digit, pattern in wrong.items():
            yield _glyph_fault({digit: pattern}, proper, context), _with_glyphs(decoder, {digit: pattern})


def _on_other_wires(decoder: Decoder, context: Context) -> Iterator[tuple[Fault, Decoder]]:
    """The wires are in another order or of the other polarity, and some glyphs are wrong as well."""
    wires, name = decoder.wires, context.name(decoder.outputs[0].name)
    for order, polarity in ((True, False), (False, True), (True, True)):
        if order and len(wires.names) > 1:
            continue
        turned = replace(
            decoder,
            wires=replace(
                wires,
                reversed_order=wires.reversed_order != order,
                active_low=wires.active_low != polarity,
            ),
        )
        seen, proper = _seen_patterns(turned, context), _proper(turned)
        wrong = {d: p for d, p in seen.items() if p != proper.get(d, 0)}
        if not 0 < len(wrong) <= NAMED:
            continue
        glyphs = _glyph_fault(wrong, proper, context)
        whose = name if len(wires.names) == 1 else "the segments"
        said = [f"the bits of {whose} are in reverse order"] if order else []
        said += [f"{whose} {'has' if whose == name else 'have'} the other polarity"] if polarity else []
        key = f"{name}.wires = {' and '.join(['reversed'] * order + ['inverted'] * polarity)} + {glyphs.key}"
        text = f"{' and '.join(said)}; and {glyphs.text}"
        fault = replace(glyphs, key=key, text=text, cost=glyphs.cost + order + polarity)
        yield fault, _with_glyphs(turned, wrong)


def _proper(decoder: Decoder) -> dict[int, int]:
    return dict(enumerate(decoder.glyphs))


def _with_glyphs(decoder: Decoder, wrong: dict[int, int]) -> Decoder:
    size = max(len(decoder.glyphs), max(wrong) + 1)
    glyphs = [decoder.glyphs[d] if d < len(decoder.glyphs) else 0 for d in range(size)]
    for digit, pattern in wrong.items():
        glyphs[digit] = pattern
    above = decoder.above if size <= decoder.inputs[0].mask else "blank"
    return replace(decoder, glyphs=tuple(glyphs), above=above)


def _seen_patterns(decoder: Decoder, context: Context) -> dict[int, int]:
    """Digit -> the pattern that was seen, for digits that always showed the same."""
    quiet = {position(decoder.inputs, n) for n in ("blank", "lamp_test")} - {-1}
    found: dict[int, set[int]] = {}
    for inputs, words in context.evidence.table(len(decoder.inputs), context.latency_cycles).items():
        if any(inputs[i] for i in quiet):
            continue
        pattern = _pattern(decoder.wires, words)
        found.setdefault(inputs[0], set()).add(pattern & ALL_LIT)
    return {d: next(iter(p)) for d, p in sorted(found.items()) if len(p) == 1}


def _pattern(wires: SegmentWires, words: tuple[int, ...]) -> int:
    """The lit segments behind the wires."""
    word = words[0] if len(wires.names) == 1 else sum(bit << i for i, bit in enumerate(words))
    if wires.active_low:
        word ^= (1 << wires.wires) - 1
    if wires.reversed_order:
        word = sum((word >> i & 1) << wires.wires - 1 - i for i in range(wires.wires))
    return word


def glyph_text(digit: int, seen: int, proper: int) -> str:
    """What is wrong with one glyph."""
    lacks = [c for i, c in enumerate(LETTERS) if proper >> i & 1 and not seen >> i & 1]
    extra = [c for i, c in enumerate(LETTERS) if seen >> i & 1 and not proper >> i & 1]
    if seen & ALL_LIT == 0:
        return f"the {digit:X} shows nothing"
    parts = []
    if lacks:
        parts.append(f"lacks {_listed(lacks)}")
    if extra:
        parts.append(
            f"has {_listed(extra)} too many" if proper else f"shows {letters_of(seen)} instead of nothing"
        )
    return f"the {digit:X} {' and '.join(parts)}"


def _listed(letters: list[str]) -> str:
    return ("segment " if len(letters) == 1 else "segments ") + enumerated(letters)


def _glyph_fault(wrong: dict[int, int], proper: dict[int, int], context: Context) -> Fault:
    key = "glyphs: " + ", ".join(f"{d:X} = {letters_of(p) or 'blank'}" for d, p in wrong.items())
    swapped, segment = _swapped(wrong, proper), _one_segment(wrong, proper)
    hexadecimal = all(d > 9 and p == pattern_of(HEXADECIMAL[d]) for d, p in wrong.items() if d < 16)
    if swapped:
        text = f"the glyphs of {swapped[0]:X} and {swapped[1]:X} have changed places"
    elif hexadecimal and len(wrong) > 1:
        text = "above nine the letters A to F are shown"
    elif segment:
        text = segment
    elif len(wrong) <= NAMED:
        text = "; ".join(glyph_text(d, p, proper.get(d, 0)) for d, p in wrong.items())
    else:
        first = list(wrong.items())[:NAMED]
        text = (
            f"{len(wrong)} glyphs are wrong: "
            + "; ".join(glyph_text(d, p, proper.get(d, 0)) for d, p in first)
            + " ..."
        )
    cost = 1 if len(wrong) == 1 or swapped or segment or hexadecimal else min(len(wrong), 6)
    del context
    return Fault(
        key, text, "a decoder with these glyphs" if len(wrong) > 1 else "a decoder with this glyph", cost
    )


def _swapped(wrong: dict[int, int], proper: dict[int, int]) -> tuple[int, int] | None:
    if len(wrong) != 2:
        return None
    (a, seen_a), (b, seen_b) = wrong.items()
    return (a, b) if seen_a == proper.get(b) and seen_b == proper.get(a) else None


def _one_segment(wrong: dict[int, int], proper: dict[int, int]) -> str | None:
    """The one segment that is never lit, or always, where that is all."""
    changed = {p ^ proper.get(d, 0) for d, p in wrong.items()}
    if len(wrong) < 2 or len(changed) != 1 or (bit := next(iter(changed))) & bit - 1:
        return None
    lit = {bool(p & bit) for p in wrong.values()}
    everywhere = all(d in wrong or bool(p & bit) in lit for d, p in proper.items())
    if len(lit) != 1 or not everywhere:
        return None
    return f"segment {letters_of(bit)} is {'lit in every glyph' if lit == {True} else 'never lit'}"


def _controls(decoder: Decoder, context: Context) -> Iterator[tuple[Fault, Decoder]]:
    blank, lamp_test = (position(decoder.inputs, n) for n in ("blank", "lamp_test"))
    table = context.evidence.table(len(decoder.inputs), context.latency_cycles)
    for index, other, option, word, proper in (
        (lamp_test, blank, "lit", "lamp_test", ALL_LIT),
        (blank, lamp_test, "dark", "blank", 0),
    ):
        if index < 0:
            continue
        seen = {
            _pattern(decoder.wires, words) & ALL_LIT
            for inputs, words in table.items()
            if inputs[index] and not (other >= 0 and inputs[other])
        }
        if len(seen) == 1 and (pattern := next(iter(seen))) != proper:
            port = context.name(word)
            text = f"{port} lights {letters_of(pattern) or 'nothing'}"
            if option == "lit":
                missing = [c for i, c in enumerate(LETTERS) if not pattern >> i & 1]
                text = f"{port} leaves {_listed(missing)} dark"
            yield (
                Fault(
                    f"{port} = {letters_of(pattern) or 'blank'}", text, f"a decoder whose {port} does that"
                ),
                bent_decoder(decoder, **{option: pattern}),
            )
    if blank >= 0 or lamp_test >= 0:
        yield from _overrides(decoder, context, both=blank >= 0 and lamp_test >= 0)


def _overrides(decoder: Decoder, context: Context, *, both: bool) -> Iterator[tuple[Fault, Decoder]]:
    now = decoder.overrides
    blank, test = context.name("blank"), context.name("lamp_test")
    point = decoder.wires.wires > 7 or position(decoder.inputs, "point") >= 0
    choices = [
        (
            "lamp_test_wins",
            f"{blank} wins over {test}" if now.lamp_test_wins else f"{test} wins over {blank}",
            both,
        ),
        (
            "blank_point",
            f"{blank} leaves the point as it is" if now.blank_point else f"{blank} puts the point out too",
            point,
        ),
        (
            "lamp_test_point",
            f"{test} leaves the point as it is" if now.lamp_test_point else f"{test} lights the point too",
            point,
        ),
        (
            "held",
            "what is held is the last glyph, not the last thing shown"
            if now.held
            else "what is held is the last thing shown, blank and lamp test included",
            True,
        ),
    ]
    options = [(name, text) for name, text, possible in choices if possible]
    for count in (1, 2):
        for chosen in itertools.combinations(options, count):
            changes = {name: not getattr(now, name) for name, _ in chosen}
            key = ", ".join(f"{name} = {str(value).lower()}" for name, value in changes.items())
            text = " and ".join(text for _, text in chosen)
            overrides: Overrides = replace(now, **changes)
            yield (
                Fault(key, text, "a decoder with this priority", count),
                replace(decoder, overrides=overrides),
            )


def _above_nine(model: Decoder | HoldingDecoder, decoder: Decoder, context: Context) -> Edits:
    """Held, dark, or letters, where something else is wanted."""
    del context
    plain = replace(decoder, glyphs=decoder.glyphs[:10], above="blank")
    full = decoder.inputs[0].mask > 9
    if not full:
        return
    if not isinstance(model, HoldingDecoder):
        text = "above nine the digit before stays: there is no default, so the glyph is held in a latch"
        for held in (False, True):
            overrides = replace(decoder.overrides, held=held)
            key = "above nine = held" + (", as shown" if held else "")
            yield (
                Fault(key, text, "a decoder that holds the last glyph", 1 + held),
                HoldingDecoder(replace(plain, overrides=overrides)),
            )
    else:
        yield (
            Fault(
                "above nine = blank",
                "above nine nothing is shown; the digit before should stay",
                "a decoder that goes dark above nine",
            ),
            plain,
        )
    if len(decoder.glyphs) <= 10:
        letters = tuple(pattern_of(HEXADECIMAL[d]) for d in range(10, 16))
        yield (
            Fault("above nine = hex", "above nine the letters A to F are shown", "a hexadecimal decoder"),
            replace(plain, glyphs=(*plain.glyphs, *letters)),
        )
    elif not isinstance(model, HoldingDecoder):
        yield (
            Fault("above nine = blank", "above nine nothing is shown instead of A to F", "a decimal decoder"),
            plain,
        )
