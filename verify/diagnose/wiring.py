"""Outputs that are right but for their wires: swapped, reversed, inverted, stuck.

Every wrong bit of an output is looked for among all bits that the model promises.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from verify.diagnose.bent.outputs import Wire, outputs_rewired
from verify.diagnose.fault import Edit, Fault, counted
from verify.diagnose.matching import Alignment
from verify.diagnose.moments import Moments
from verify.diagnose.naming import Names
from verify.diagnose.observation import Observation
from verify.models.digits import DIGIT_BITS
from verify.models.divider_tick import TickDivider
from verify.models.golden import GoldenModel
from verify.signals import ExpectedTrace, Signal

__all__ = ["rewirings"]

STAYS = ", where it begins; so does a design that stays in reset, such as with a reset of the other level"

SHORTEST_STRETCH = 3
"""Fewer bits in a row are told one by one."""

MOST_BITS = 160
"""Wider models are not searched wire by wire."""

Bits = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class _Table:
    """Bits at successive moments, one row per bit; ``known``: promised and compared."""

    golden: Bits
    known: Bits
    seen: Bits
    clear: Bits
    places: tuple[tuple[int, int], ...]


def rewirings(
    model: GoldenModel,
    trace: ExpectedTrace,
    alignment: Alignment,
    observation: Observation,
    names: Names,
) -> Iterator[Edit]:
    """The edits that put the bits right, the tidiest first; ``trace`` is what the model promises."""
    signals = trace.signals
    if observation.observed is None or sum(s.width for s in signals) > MOST_BITS:
        return
    table = _table(trace, alignment, observation)
    if table is None:
        return
    broken = {o for i, (o, _) in enumerate(table.places) if not _equal(table, i, i)}
    if not broken:
        return
    plans = [
        list(_plans(table, signals, output, names, _why_never(model))) if output in broken else []
        for output in range(len(signals))
    ]
    if any(not plans[o] for o in broken):
        return
    for choice in range(max(len(plans[o]) for o in broken)):
        wires, faults = [], []
        for output, signal in enumerate(signals):
            if output not in broken:
                wires.append(tuple(Wire(output, b) for b in range(signal.width)))
                continue
            wiring, fault = plans[output][min(choice, len(plans[output]) - 1)]
            wires.append(wiring)
            faults.append(fault)
        order = [names.get(s.name, s.name) for s in signals]
        yield Edit(_reversed(_merged(faults), order), outputs_rewired(model, tuple(wires)))


def _why_never(model: GoldenModel) -> str:
    """What keeps a tick still as a rule."""
    if not isinstance(model, TickDivider):
        return ""
    last = model.ratio - 1
    return (
        f"; a count that is too narrow never gets to the terminal count of {last:,}, "
        f"which needs {counted(last.bit_length(), 'bit')}"
    )


def _reversed(faults: tuple[Fault, ...], order: Sequence[str]) -> tuple[Fault, ...]:
    """Outputs that all change places with their opposite are one fault."""
    opposite = {" <-> ".join(sorted(pair)) for pair in zip(order, reversed(order), strict=True)}
    swaps = {key for key in opposite if len(set(key.split(" <-> "))) > 1}
    if len(swaps) < 2 or {f.key for f in faults} != swaps:
        return faults
    first, last = order[0], order[-1]
    text = f"{first} to {last} are in reverse order: {last} stands where {first} belongs"
    return (Fault(f"{first}..{last}.order = reversed", text, f"{first} to {last} in reverse order"),)


def _table(trace: ExpectedTrace, alignment: Alignment, observation: Observation) -> _Table | None:
    moments = Moments.of(trace, alignment, observation)
    if moments is None:
        return None
    golden, observed = moments.expected, moments.observed
    rows: list[list[Bits]] = [[], [], [], []]
    places = []
    for i, signal in enumerate(trace.signals):
        values, seen = golden.values[i][moments.expected_rows], observed.values[i][moments.observed_rows]
        care = None if golden.cares is None else golden.cares[i]
        cares = None if care is None else care[moments.expected_rows]
        unknown = None if observed.unknown is None else observed.unknown[i]
        unknowns = None if unknown is None else unknown[moments.observed_rows]
        every = np.ones(len(values), dtype=bool)
        for bit in range(signal.width):
            places.append((i, bit))
            rows[0].append(np.asarray(values >> bit & 1, dtype=bool))
            rows[1].append(every if cares is None else np.asarray(cares >> bit & 1, dtype=bool))
            rows[2].append(np.asarray(seen >> bit & 1, dtype=bool))
            rows[3].append(every if unknowns is None else ~np.asarray(unknowns >> bit & 1, dtype=bool))
    golden_bits, known, seen_bits, clear = (np.stack(r) for r in rows)
    return _Table(golden_bits, known, seen_bits, clear, tuple(places))


def _equal(table: _Table, seen: int, golden: int, *, inverted: bool = False) -> bool:
    """Whether an observed bit is a golden one, wherever that is promised."""
    differs = (table.seen[seen] ^ table.golden[golden]) != inverted
    known = table.known[golden]
    return bool(not (differs & known).any() and table.clear[seen][known].all() and known.any())


def _constant(table: _Table, seen: int) -> int | None:
    """The level at which an observed bit stands all the time."""
    clear = table.clear[seen] & table.known[seen]
    bits = table.seen[seen][clear]
    if not len(bits) or not clear[table.known[seen]].all() or bits.any() != bits.all():
        return None
    return int(bits[0])


def _plans(
    table: _Table, signals: Sequence[Signal], output: int, names: Names, why_never: str
) -> Iterator[tuple[tuple[Wire, ...], Fault]]:
    """Ways to wire one output, the tidiest first."""
    start = table.places.index((output, 0))
    width = signals[output].width
    index = {place: i for i, place in enumerate(table.places)}
    name = names.get(signals[output].name, signals[output].name)
    shown = (signals[output].name,)

    def works(wires: tuple[Wire, ...]) -> bool:
        return all(
            _equal(table, start + b, index[w.output, w.bit], inverted=w.inverted)
            for b, w in enumerate(wires)
            if w.constant is None
        )

    def same(bit_of: Sequence[int], *, inverted: bool = False) -> tuple[Wire, ...]:
        return tuple(Wire(output, b, inverted) for b in bit_of)

    straight, back = range(width), range(width - 1, -1, -1)
    if width > 1 and works(wires := same(back)):
        text = f"the bits of {name} are in reverse order"
        yield wires, Fault(f"{name}.order = reversed", text, f"{name} with its bits reversed", signals=shown)
    if works(wires := same(straight, inverted=True)):
        text = f"{name} is inverted: it has the other level on every clock"
        yield wires, Fault(f"{name}.polarity = inverted", text, f"{name} inverted", signals=shown)
    if width > 1 and works(wires := same(back, inverted=True)):
        text = f"the bits of {name} are inverted and in reverse order"
        claim = f"{name} inverted and with its bits reversed"
        yield wires, Fault(f"{name}.wires = reversed and inverted", text, claim, 2, signals=shown)
    for other, signal in enumerate(signals):
        if other == output or signal.width != width:
            continue
        if works(wires := tuple(Wire(other, b) for b in straight)):
            there = names.get(signal.name, signal.name)
            text = f"{name} shows what belongs on {there}"
            yield wires, Fault(f"{name} <- {there}", text, f"{there} on the wires of {name}", signals=shown)
    yield from _by_digit(table, index, output, width, name)
    yield from _by_bit(table, index, output, names, signals, why_never)


def _by_digit(
    table: _Table, index: dict[tuple[int, int], int], output: int, width: int, name: str
) -> Iterator[tuple[tuple[Wire, ...], Fault]]:
    """Groups of four bits in other places."""
    if width % DIGIT_BITS or width == DIGIT_BITS:
        return
    count = width // DIGIT_BITS
    sources: list[int] = []
    for digit in range(count):
        fitting = [
            d
            for d in (digit, *(d for d in range(count) if d != digit))
            if all(
                _equal(table, index[output, DIGIT_BITS * digit + b], index[output, DIGIT_BITS * d + b])
                for b in range(DIGIT_BITS)
            )
        ]
        if not fitting:
            return
        sources.append(fitting[0])
    wires = tuple(Wire(output, DIGIT_BITS * d + b) for d in sources for b in range(DIGIT_BITS))
    moved = [d for d in range(count) if sources[d] != d]
    if sources == list(range(count - 1, -1, -1)):
        text = f"the digits of {name} are in reverse order"
    else:
        text = (
            f"in {name} "
            + ", ".join(f"digit {d} shows digit {sources[d]}" for d in moved)
            + " (0 is the ones)"
        )
    key = f"{name}.digits = {sources}"
    yield wires, Fault(key, text, f"{name} with its digits moved")


def _by_bit(
    table: _Table,
    index: dict[tuple[int, int], int],
    output: int,
    names: Names,
    signals: Sequence[Signal],
    why_never: str,
) -> Iterator[tuple[tuple[Wire, ...], Fault]]:
    """Each wrong bit by itself: stuck, or some other bit of this output, or of any."""
    wires: list[Wire] = []
    said: list[str] = []
    stuck: dict[int, list[int]] = {0: [], 1: []}
    moved: list[tuple[int, Wire]] = []
    why = ""
    signal = signals[output]
    name = names.get(signal.name, signal.name)
    for bit in range(signal.width):
        here = index[output, bit]
        if _equal(table, here, here):
            wires.append(Wire(output, bit))
            continue
        level = _constant(table, here)
        if level is not None:
            wires.append(Wire(constant=level))
            stuck[level].append(bit)
            continue
        found = _elsewhere(table, index, output, bit) if signal.width > 1 else None
        if found is None:
            return
        wires.append(found)
        moved.append((bit, found))
    said += _moved_texts(moved, output, names, signals)
    for level, bits in stuck.items():
        if bits:
            said.insert(0, f"{_bits_text(bits)} {'is' if len(bits) == 1 else 'are'} stuck at {level}")
    if all(w.constant is not None for w in wires):
        said = [f"it never leaves {sum(int(w.constant or 0) << b for b, w in enumerate(wires))}"]
        begins = [bool(table.golden[index[output, b]][0]) for b in range(signal.width)]
        still = not bool((table.seen != table.seen[:, :1]).any())  # nor does any other output move
        stays = still and begins == [bool(w.constant) for w in wires]
        why = why_never or (STAYS if stays else "")
    cost = 1 if len(said) == 1 else 1 + len(said)
    text = f"{name}: " + "; ".join(said) + why
    if why or all(w.constant is not None for w in wires):
        text = f"{name} {said[0].removeprefix('it ')}{why}"
    claim = f"{name} with these wires" if len(said) > 1 else f"{name} with this wire"
    yield tuple(wires), Fault(f"{name}.wires: {'; '.join(said)}", text, claim, cost, signals=(signal.name,))


def _elsewhere(table: _Table, index: dict[tuple[int, int], int], output: int, bit: int) -> Wire | None:
    here = index[output, bit]
    places = sorted(table.places, key=lambda p: (p[0] != output, abs(p[1] - bit)))
    for inverted in (False, True):
        for place in places:
            if _equal(table, here, index[place], inverted=inverted):
                return Wire(place[0], place[1], inverted)
    return None


def _moved_texts(
    moved: Sequence[tuple[int, Wire]], output: int, names: Names, signals: Sequence[Signal]
) -> list[str]:
    """Bit by bit; a stretch of them that keeps its order in one."""
    stretches: list[list[tuple[int, Wire]]] = []
    for bit, wire in moved:
        before = stretches[-1][-1] if stretches else None
        following = before is not None and before[0] + 1 == bit
        if following and before is not None and replace(before[1], bit=before[1].bit + 1) == wire:
            stretches[-1].append((bit, wire))
        else:
            stretches.append([(bit, wire)])
    said = []
    for stretch in stretches:
        (low, wire), (high, last) = stretch[0], stretch[-1]
        if len(stretch) < SHORTEST_STRETCH or wire.inverted or wire.output != output:
            said += [f"bit {b} is {_wire_text(w, output, b, names, signals)}" for b, w in stretch]
        else:
            said.append(f"bits {high} to {low} show what belongs on bits {last.bit} to {wire.bit}")
    return said


def _wire_text(wire: Wire, output: int, bit: int, names: Names, signals: Sequence[Signal]) -> str:
    what = "inverted" if (wire.output, wire.bit) == (output, bit) else f"bit {wire.bit}"
    if wire.output != output:
        there = signals[wire.output].name
        what += f" of {names.get(there, there)}"
    return f"{what}, inverted" if wire.inverted and what != "inverted" else what


def _bits_text(bits: list[int]) -> str:
    if len(bits) == 1:
        return f"bit {bits[0]}"
    if bits == list(range(bits[0], bits[-1] + 1)):
        return f"bits {bits[-1]} to {bits[0]}"
    return "bits " + ", ".join(map(str, bits))


def _merged(faults: list[Fault]) -> tuple[Fault, ...]:
    """Two outputs that show each other's value are one fault."""
    swaps = {f.key: f for f in faults if " <- " in f.key}
    merged: list[Fault] = []
    for fault in faults:
        parts = fault.key.split(" <- ")
        if len(parts) == 2:
            here, there = parts
            back = swaps.get(f"{there} <- {here}")
            if back is not None:
                if here < there:
                    text = f"{here} and {there} are wired to each other's place"
                    merged.append(
                        Fault(
                            f"{here} <-> {there}",
                            text,
                            f"{here} and {there} swapped",
                            signals=fault.signals + back.signals,
                        )
                    )
                continue
        merged.append(fault)
    kinds = {f.key.rsplit(".", maxsplit=1)[-1] for f in merged}
    if len(merged) > 1 and len(kinds) == 1 and "." in merged[0].key:
        names = [f.key.rsplit(".", maxsplit=1)[0] for f in merged]
        first = merged[0]
        listed = ", ".join(names[:-1]) + f" and {names[-1]}"
        text = (
            first.text.replace(names[0], listed, 1).replace(" is ", " are ", 1).replace("it has", "they have")
        )
        claim = first.claim.replace(names[0], listed, 1)
        return (Fault(f"{'+'.join(names)}.{next(iter(kinds))}", text, claim, first.cost),)
    return tuple(merged)
