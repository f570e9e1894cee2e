"""Between roles and ports nothing is lost, swapped or invented."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.bench import PortRef, ResetPort, ResolvedCheck, Slice, to_drive, to_roles
from verify.design import Module
from verify.errors import Place
from verify.models.catalogue import FAMILIES
from verify.signals import ObservedTrace, Reset, Run, Signal, Stimulus, column
from verify.simulation.interface import Target


def _check(
    ports: dict[str, int],
    roles: dict[str, tuple[PortRef, ...]],
    reset: PortRef | None = None,
    tied: dict[str, int] | None = None,
) -> ResolvedCheck:
    """A check whose output ports have the names and widths of its input ports, with ``o_`` before."""
    inputs = tuple(Signal(name, width) for name, width in ports.items())
    outputs = tuple(Signal(f"o_{name}", width) for name, width in ports.items())
    return ResolvedCheck(
        name="check",
        family=FAMILIES["counter"],
        module=Module("m", Place(Path("m.v")), (), ()),
        target=Target((Path("m.v"),), "m", "clk", inputs, outputs),
        reset=None if reset is None else ResetPort(reset, None),
        roles=roles,
        options={},
        tied=tied or {},
    )


@st.composite
def bindings(draw: st.DrawFn) -> tuple[dict[str, int], list[tuple[str, PortRef]], PortRef, dict[str, int]]:
    """Ports, the wires of each role (no wire twice), those of the reset, and what is tied."""
    ports = {
        f"p{n}": draw(st.sampled_from([1, 2, 7, 8, 62, 63, 100])) for n in range(draw(st.integers(1, 4)))
    }
    ports["rst"] = draw(st.integers(1, 3))
    wires = [(name, bit) for name, width in ports.items() if name != "rst" for bit in range(width)]
    cuts = sorted(draw(st.sets(st.integers(1, len(wires)), max_size=6)) | {0, len(wires)})
    pieces = [
        Slice(port, start, 1 + end - start)
        for low, high in itertools.pairwise(cuts)
        for port, start, end in _stretches(wires[low:high])
    ]
    pieces = draw(st.permutations(pieces))
    roles, unused = [], []
    while pieces:
        count = draw(st.integers(1, 3))
        taken, pieces = pieces[:count], pieces[count:]
        if draw(st.integers(0, 4)):
            roles.append((f"r{len(roles)}", PortRef(tuple(taken), draw(st.booleans()))))
        else:
            unused += taken
    tied = {}
    for piece in unused:
        value = draw(st.integers(0, (1 << piece.width) - 1)) << piece.offset
        tied[piece.port] = tied.get(piece.port, 0) | value
    reset = PortRef((Slice("rst", draw(st.integers(0, ports["rst"] - 1)), 1),), draw(st.booleans()))
    return ports, roles, reset, tied


def _stretches(wires: list[tuple[str, int]]) -> list[tuple[str, int, int]]:
    found: list[tuple[str, int, int]] = []
    for port, bit in wires:
        if found and found[-1][0] == port and found[-1][2] == bit - 1:
            found[-1] = (port, found[-1][1], bit)
        else:
            found.append((port, bit, bit))
    return found


def _wires(reference: PortRef) -> list[tuple[str, int]]:
    return [(s.port, bit) for s in reference.slices for bit in range(s.offset, s.offset + s.width)]


def _stimulus(draw: st.DrawFn, signals: list[Signal]) -> Stimulus:
    run = st.builds(
        Run,
        st.integers(1, 5),
        st.tuples(*(st.integers(0, s.mask) for s in signals)),
        st.sampled_from(Reset),
    )
    return Stimulus.of(signals, draw(st.lists(run, max_size=8)))


def _expected_rows(stimulus: Stimulus, reset: PortRef) -> list[tuple[int, dict[str, int], int]]:
    """Row by row from the definition: cycles, role -> value, whether the reset is asserted."""
    rows, before = [], None
    for run in stimulus.runs():
        values = dict(zip((s.name for s in stimulus.signals), run.values, strict=True))
        if run.reset.pulsed:
            rows.append((0, before if before is not None else values, 1))
        if run.reset is Reset.PULSED_EARLY:
            rows.append((0, before if before is not None else values, 0))
        rows.append((run.cycles, values, int(run.reset is Reset.HELD)))
        before = values
    return rows


@given(data=st.data())
def test_every_wire_carries_its_bit_of_the_role_in_every_row(data):
    ports, bound, reset, tied = data.draw(bindings())
    check = _check(ports, {name: (ref,) for name, ref in bound}, reset, tied)
    stimulus = _stimulus(data.draw, [Signal(name, ref.width) for name, ref in bound])
    drive = to_drive(check, stimulus)
    expected = _expected_rows(stimulus, reset)
    assert drive.cycles.tolist() == [cycles for cycles, _, _ in expected]
    assert drive.length == stimulus.length
    driven = {s.name: values.tolist() for s, values in zip(drive.signals, drive.values, strict=True)}
    for row, (_, values, asserted) in enumerate(expected):
        wires = {name: tied.get(name, 0) for name in ports}
        for name, ref in [*bound, ("the reset", reset)]:
            value = asserted if name == "the reset" else values[name]
            for position, (port, bit) in enumerate(_wires(ref)):
                level = (value >> position & 1) ^ ref.inverted
                wires[port] = wires[port] & ~(1 << bit) | level << bit
        assert {name: driven[name][row] for name in ports} == wires


@given(data=st.data())
def test_what_is_driven_and_handed_through_is_read_back(data):
    ports, bound, reset, tied = data.draw(bindings())
    check = _check(ports, {name: (ref,) for name, ref in bound}, reset, tied)
    mirror = {
        name: (PortRef(tuple(Slice(f"o_{s.port}", s.offset, s.width) for s in ref.slices), ref.inverted),)
        for name, ref in bound
    }
    watch = _check(ports, mirror)
    signals = [Signal(name, ref.width) for name, ref in bound]
    stimulus = _stimulus(data.draw, signals)
    drive = to_drive(check, stimulus)
    kept = drive.cycles > 0
    starts = np.cumsum(drive.cycles) - drive.cycles
    observed = ObservedTrace(
        watch.target.outputs, drive.length, starts[kept], tuple(values[kept] for values in drive.values)
    )
    trace = to_roles(watch, tuple(signals), observed)
    assert trace.unknown is None
    assert trace.length == stimulus.length
    assert _dense(trace) == [run.values for run in stimulus.runs() for _ in range(run.cycles)]


def _dense(trace: ObservedTrace) -> list[tuple[int, ...]]:
    if not trace.length:
        return []
    ends = [*trace.cycles[1:].tolist(), trace.length]
    rows = list(zip(*(c.tolist() for c in trace.values), strict=True)) or [()] * len(trace.cycles)
    return [
        row
        for row, start, end in zip(rows, trace.cycles.tolist(), ends, strict=True)
        for _ in range(end - start)
    ]


@given(data=st.data())
def test_each_bit_read_is_the_bit_of_its_wire_with_x_and_z_kept(data):
    ports, bound, _, _ = data.draw(bindings())
    roles = {
        name: (PortRef(tuple(Slice(f"o_{s.port}", s.offset, s.width) for s in ref.slices), ref.inverted),)
        for name, ref in bound
    }
    check = _check(ports, roles)
    rows = data.draw(st.integers(1, 6))
    table = {
        s.name: [
            (data.draw(st.integers(0, s.mask)), data.draw(st.one_of(st.just(0), st.integers(0, s.mask))))
            for _ in range(rows)
        ]
        for s in check.target.outputs
    }
    observed = ObservedTrace(
        check.target.outputs,
        rows * 3,
        np.arange(rows, dtype=np.int64) * 3,
        tuple(column([a for a, _ in table[s.name]], s.width) for s in check.target.outputs),
        tuple(column([b for _, b in table[s.name]], s.width) for s in check.target.outputs),
    )
    trace = to_roles(check, tuple(Signal(name, ref.width) for name, ref in bound), observed)
    places = np.searchsorted(trace.cycles, observed.cycles, side="right") - 1
    for index, (name, ref) in enumerate(bound):
        for row in range(rows):
            b_column = None if trace.unknown is None else trace.unknown[index]
            a = int(trace.values[index][places[row]])
            b = 0 if b_column is None else int(b_column[places[row]])
            for position, (port, bit) in enumerate(_wires(roles[name][0])):
                wire_a, wire_b = (value >> bit & 1 for value in table[port][row])
                expected = (wire_a, 1) if wire_b else (wire_a ^ ref.inverted, 0)
                assert (a >> position & 1, b >> position & 1) == expected
    # Thinned: no row repeats the one before it.
    dense = [
        tuple(int(c[i]) for c in (*trace.values, *(u for u in trace.unknown or () if u is not None)))
        for i in range(len(trace.cycles))
    ]
    assert all(one != two for one, two in itertools.pairwise(dense))


COUNTER = {
    "count": (PortRef((Slice("q", 0, 4),)),),
    "digits": tuple(PortRef((Slice("q", n, 2),)) for n in (0, 2)),
}


def test_a_numbered_signal_is_the_port_of_that_place_in_the_list():
    check = _check({"q": 4}, {"digits": tuple(PortRef((Slice("o_q", n, 2),)) for n in (0, 2))})
    observed = ObservedTrace(check.target.outputs, 1, np.zeros(1, np.int64), (column([0b0111], 4),))
    trace = to_roles(check, (Signal("digits[1]", 2), Signal("digits[0]", 2)), observed)
    assert [values.tolist() for values in trace.values] == [[0b01], [0b11]]


def test_a_pulse_comes_before_its_run_while_the_inputs_are_still_those_before():
    check = _check(
        {"en": 1, "rst": 1},
        {"enable": (PortRef((Slice("en", 0, 1),)),)},
        PortRef((Slice("rst", 0, 1),), True),
    )
    runs = [Run(3, (0,)), Run(2, (1,), Reset.PULSED), Run(1, (0,), Reset.HELD)]
    drive = to_drive(check, Stimulus.of([Signal("enable", 1)], runs))
    assert drive.cycles.tolist() == [3, 0, 2, 1]
    assert [values.tolist() for values in drive.values] == [[0, 0, 1, 0], [1, 0, 1, 0]]


def test_a_pulse_in_the_first_half_ends_there():
    check = _check(
        {"en": 1, "rst": 1}, {"enable": (PortRef((Slice("en", 0, 1),)),)}, PortRef((Slice("rst", 0, 1),))
    )
    runs = [Run(3, (0,)), Run(2, (1,), Reset.PULSED_EARLY), Run(1, (0,), Reset.PULSED)]
    drive = to_drive(check, Stimulus.of([Signal("enable", 1)], runs))
    assert drive.cycles.tolist() == [3, 0, 0, 2, 0, 1]
    assert drive.early is not None
    assert drive.early.tolist() == [False, True, True, False, False, False]
    assert [values.tolist() for values in drive.values] == [[0, 0, 0, 1, 1, 0], [0, 1, 0, 0, 1, 0]]


def test_the_pulse_of_the_first_run_takes_its_own_inputs():
    check = _check(
        {"en": 1, "rst": 1}, {"enable": (PortRef((Slice("en", 0, 1),)),)}, PortRef((Slice("rst", 0, 1),))
    )
    drive = to_drive(check, Stimulus.of([Signal("enable", 1)], [Run(2, (1,), Reset.PULSED)]))
    assert drive.cycles.tolist() == [0, 2]
    assert [values.tolist() for values in drive.values] == [[1, 1], [1, 0]]


def test_a_trace_whose_bits_are_all_known_may_say_so_column_by_column():
    check = _check({"q": 4}, {"count": (PortRef((Slice("o_q", 0, 4),), inverted=True),)})
    observed = ObservedTrace(check.target.outputs, 1, np.zeros(1, np.int64), (column([3], 4),), (None,))
    trace = to_roles(check, (Signal("count", 4),), observed)
    assert (trace.values[0].tolist(), trace.unknown) == ([12], None)


def test_a_stimulus_that_does_not_belong_to_the_check_is_refused():
    check = _check({"q": 4}, COUNTER)
    with pytest.raises(ValueError, match="uses a reset and the design has none"):
        to_drive(check, Stimulus.of([], [Run(1, (), Reset.HELD)]))
    with pytest.raises(ValueError, match="'load_value' is bound to no port"):
        to_drive(check, Stimulus.of([Signal("load_value", 4)], [Run(1, (1,))]))
    with pytest.raises(ValueError, match=r"'digits\[2\]' is bound to no port"):
        to_drive(check, Stimulus.of([Signal("digits[2]", 2)], [Run(1, (1,))]))
    with pytest.raises(ValueError, match="'count' has 5 bits, the ports bound to it have 4"):
        to_drive(check, Stimulus.of([Signal("count", 5)], [Run(1, (1,))]))
