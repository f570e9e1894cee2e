"""A simulation that runs: bursts out, traces back, and a typed reason whenever that fails."""

from __future__ import annotations

import secrets
import weakref
from collections.abc import Iterator
from dataclasses import dataclass
from types import TracebackType

import numpy as np

from verify.signals import ObservedTrace
from verify.simulation import faults
from verify.simulation.decoding import BadTraceError, Records, TraceDecoder, columns
from verify.simulation.encoding import check_drive, encode_drive
from verify.simulation.exchange import EndedError, OverdueError, exchange
from verify.simulation.interface import Drive, SimulatorKind, Target
from verify.simulation.layout import Layout
from verify.simulation.limits import Limits
from verify.simulation.process import Child
from verify.simulation.records import COUNT_BITS
from verify.simulation.scratch import Scratch
from verify.simulation.watch import Watch

__all__ = ["RunningSimulation", "Window"]

PLAY_WINDOW_ROWS = 1 << 18


@dataclass(frozen=True, slots=True, eq=False)
class Window:
    """A piece of a burst's trace: its cycle 0 is cycle ``start`` of the burst."""

    start: int
    trace: ObservedTrace


class RunningSimulation:
    """See :class:`verify.simulation.interface.Simulation`. ``sandbox`` describes the walls around it.

    ``limits`` may be changed between bursts.
    """

    def __init__(
        self, kind: SimulatorKind, target: Target, child: Child, scratch: Scratch, limits: Limits
    ) -> None:
        self.kind: SimulatorKind = kind
        self.four_state = kind == "icarus"
        self.sandbox = child.sandbox
        self.walled = child.sandbox.startswith("bubblewrap")
        self._inputs = Layout.of(target.inputs)
        self._outputs = Layout.of(target.outputs)
        self._child = child
        self.limits = limits
        # Also runs when the object is forgotten and when the program ends.
        self._end = weakref.finalize(self, _end, child, scratch)

    def play(self, drive: Drive) -> ObservedTrace:
        """Play one burst and return its trace.

        Raises SimulationFault (the simulation is closed then), ToolError when the simulator does not
        start on this machine, ValueError for a drive that is not over the target's inputs.
        """
        parts = list(self._burst(drive, PLAY_WINDOW_ROWS))
        records = parts[0] if len(parts) == 1 else self._joined(parts)
        return self._trace(records, drive.length)

    def play_windows(self, drive: Drive, window_rows: int = 1 << 20) -> Iterator[Window]:
        """Play one burst and return its trace piece by piece, each of about ``window_rows`` rows.

        The simulator waits while a piece is being used. Errors as for :meth:`play`; leaving the
        iterator before its end closes the simulation.
        """
        held: Records | None = None
        for records in self._burst(drive, window_rows):
            if held is not None:
                yield self._window(held, int(records.cycles[0]))
            held = records
        if held is not None:
            yield self._window(held, drive.length)

    def close(self) -> None:
        """End the child and everything it started; safe to call twice."""
        self._end()

    def __enter__(self) -> RunningSimulation:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _window(self, records: Records, end: int) -> Window:
        start = int(records.cycles[0])
        moved = Records(records.cycles - start, records.a, records.b)
        return Window(start, self._trace(moved, end - start))

    def _trace(self, records: Records, length: int) -> ObservedTrace:
        unknown = None
        if records.b is not None and records.b.any():
            unknown = tuple(c if c.any() else None for c in columns(self._outputs, records.b))
        values = columns(self._outputs, records.a)
        return ObservedTrace(self._outputs.signals, length, records.cycles, values, unknown)

    def _burst(self, drive: Drive, window_rows: int) -> Iterator[Records]:
        """Samples in pieces; no cycle occurs in two of them."""
        if not self._end.alive:
            raise RuntimeError("the simulation is closed")
        check_drive(drive, self._inputs)
        length = drive.length
        nonce = secrets.randbits(32)
        decoder = TraceDecoder(self._outputs, four_state=self.four_state)
        watch = Watch(self._child, self.limits, length)
        stimulus = encode_drive(drive, self._inputs, nonce)
        whole = False
        try:
            held: Records | None = None
            for data in exchange(self._child, stimulus, decoder, watch, window_rows * decoder.record_bytes):
                ahead, held = _follow(held, decoder.decode(data))
                if ahead is not None:
                    yield ahead
            _verify(decoder, held, nonce, length)
            whole = True
            if held is not None:
                yield held
        except BadTraceError as error:
            raise faults.bad_trace(self._child, decoder, error) from None
        except OverdueError as error:
            raise faults.overdue(self._child, decoder, error.fault, watch.allowed_seconds) from None
        except EndedError as error:
            raise faults.ended(self._child, decoder, error.rest) from None
        finally:
            if not whole:
                self.close()

    def _joined(self, parts: list[Records]) -> Records:
        none = np.zeros((0, self._outputs.words), np.uint32)
        parts = [Records(np.zeros(0, np.int64), none, none if self.four_state else None), *parts]
        b = [part.b for part in parts if part.b is not None]
        return Records(
            np.concatenate([part.cycles for part in parts]),
            np.concatenate([part.a for part in parts]),
            np.concatenate(b) if b else None,
        )


def _end(child: Child, scratch: Scratch) -> None:
    child.close()
    scratch.close()


def _follow(held: Records | None, records: Records) -> tuple[Records | None, Records | None]:
    """(what may go out, what is to be held back): the last sample of a piece may yet be replaced."""
    if len(records.cycles) == 0:
        return None, held
    if held is not None and held.cycles[-1] == records.cycles[0]:
        held = Records(held.cycles[:-1], held.a[:-1], None if held.b is None else held.b[:-1])
    return (held if held is not None and len(held.cycles) else None), records


def _verify(decoder: TraceDecoder, last: Records | None, nonce: int, length: int) -> None:
    """Raise BadTraceError unless the burst is whole and the one that was asked for."""
    if decoder.end != (length % (1 << COUNT_BITS), nonce) or decoder.reached != length:
        raise BadTraceError(f"{decoder.reached} clocks instead of {length}")
    if (last is None) != (length == 0) or (last is not None and int(last.cycles[-1]) >= length):
        raise BadTraceError("a sample lies outside the burst")
