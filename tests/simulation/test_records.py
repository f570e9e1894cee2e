"""The bytes that pass to and from the player, without a simulator."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.signals import Signal, column
from verify.simulation import Drive
from verify.simulation.decoding import BadTraceError, TraceDecoder, columns
from verify.simulation.encoding import encode_drive
from verify.simulation.layout import Layout

ports = st.lists(st.integers(1, 150), max_size=5)


@given(ports, st.data())
def test_every_value_lands_on_its_bits(widths: list[int], data: st.DataObject) -> None:
    signals = tuple(Signal(f"s{i}", w) for i, w in enumerate(widths))
    layout = Layout.of(signals)
    count = data.draw(st.integers(1, 4))
    values = [data.draw(st.lists(st.integers(0, s.mask), min_size=count, max_size=count)) for s in signals]
    clocks = data.draw(st.lists(st.integers(0, 1 << 33), min_size=count, max_size=count))
    drive = Drive(
        signals, np.array(clocks), tuple(column(v, s.width) for v, s in zip(values, signals, strict=True))
    )
    words = np.frombuffer(b"".join(encode_drive(drive, layout, 0xABCD)), ">u4").reshape(-1, 1 + layout.words)
    header, rows, end = words[0], words[1:-1], words[-1]
    assert (int(header[0]), int(end[0]), int(end[-1])) == (len(rows), 0, 0xABCD)
    played = [(int(row[0]), int.from_bytes(row[1:].astype(">u4").tobytes(), "big")) for row in rows]
    at = 0
    for i, wanted in enumerate(clocks):
        vector = sum(v[i] << offset for v, offset in zip(values, layout.offsets, strict=True))
        here = 0
        while True:
            assert played[at][1] == vector
            here += played[at][0]
            at += 1
            if here == wanted:
                break
    assert at == len(played)


@given(ports.filter(bool), st.booleans(), st.data())
def test_every_output_is_read_from_its_bits(widths: list[int], four_state: bool, data: st.DataObject) -> None:
    layout = Layout.of(tuple(Signal(f"s{i}", w) for i, w in enumerate(widths)))
    vectors = data.draw(
        st.lists(st.tuples(*[st.integers(0, (1 << layout.bits) - 1)] * 2), min_size=1, max_size=5)
    )
    decoder = TraceDecoder(layout, four_state=four_state)
    records = decoder.decode(
        b"".join(record(layout, a, b, i, 0, four_state) for i, (a, b) in enumerate(vectors))
    )
    planes = [(records.a, 0)] + ([(records.b, 1)] if records.b is not None else [])
    for words, plane in planes:
        for got, signal, offset in zip(columns(layout, words), layout.signals, layout.offsets, strict=True):
            assert got.tolist() == [v[plane] >> offset & signal.mask for v in vectors]


BYTE = Layout.of((Signal("q", 8),))


def record(layout: Layout, a: int, b: int, cycle: int, tag: int, four_state: bool) -> bytes:
    stamp = tag << 30 | cycle % (1 << 30)
    words = [((a >> 32 * i) & 0xFFFFFFFF, (b >> 32 * i) & 0xFFFFFFFF) for i in range(layout.words)] + [
        (stamp, 0)
    ]
    return b"".join(
        x.to_bytes(4, "little") + (y.to_bytes(4, "little") if four_state else b"") for x, y in words
    )


def trace(*parts: tuple[int, int, int]) -> bytes:
    return b"".join(record(BYTE, value, 0, cycle, tag, False) for value, cycle, tag in parts)


@given(st.lists(st.integers(0, (1 << 30) - 1), min_size=1, max_size=8), st.integers(1, 8))
def test_cycle_numbers_grow_beyond_the_bits_they_are_sent_in(steps: list[int], cut: int) -> None:
    cycles = np.cumsum(steps).tolist()
    decoder = TraceDecoder(BYTE, four_state=False)
    parts = [cycles[i : i + cut] for i in range(0, len(cycles), cut)]
    for part in parts:
        decoder.decode(trace(*((0, cycle, 2) for cycle in part)))
        assert decoder.reached == part[-1]
    records = decoder.decode(trace((7, cycles[-1] + 3, 0)))
    assert records.cycles.tolist() == [cycles[-1] + 3]


def test_the_last_sample_of_a_cycle_counts() -> None:
    decoder = TraceDecoder(BYTE, four_state=False)
    records = decoder.decode(trace((1, 0, 0), (2, 0, 0), (0, 3, 2), (3, 3, 0), (4, 5, 0), (9, 6, 3)))
    assert records.cycles.tolist() == [0, 3, 5]
    assert records.a[:, 0].tolist() == [2, 3, 4]
    assert decoder.end == (6, 9)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (trace((1, 0, 0), (0, 1, 3), (1, 2, 0)), "after the end"),
        (trace((1, 0, 0), (1, 1, 1)), "unknown kind"),
    ],
)
def test_bytes_that_are_no_trace_are_refused(data: bytes, words: str) -> None:
    with pytest.raises(BadTraceError, match=words):
        TraceDecoder(BYTE, four_state=False).decode(data)
