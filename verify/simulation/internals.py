"""What the signals inside a design are in a few clocks of a burst, seen by playing it once more on Icarus."""

from __future__ import annotations

import contextlib
import io
from collections.abc import Iterator, Sequence
from pathlib import Path

from vcd.reader import TokenKind, VarDecl, VCDParseError, tokenize

from verify.errors import EveryedgeError
from verify.pictures import InnerSignal
from verify.simulation.building import Build
from verify.simulation.cache import BuildCache, cache_directory
from verify.simulation.crew import Crew
from verify.simulation.icarus import build_icarus
from verify.simulation.interface import Drive, Target
from verify.simulation.limits import Limits
from verify.simulation.process import Child
from verify.simulation.running import RunningSimulation
from verify.simulation.scratch import Scratch
from verify.simulation.sources import ChangedError, data_files, read_sources

__all__ = ["record_internals"]

DUMP = "everyedge_internals.vcd"
MOST_BYTES = 8 << 20
MOST_SIGNALS = 2_000
"""Signals beyond are left out; so is everything once the dump has grown to MOST_BYTES."""

NO_SIGNALS = frozenset({"event", "parameter", "real", "realtime"})

PROBE = f"""
  // Counts the clocks of each burst, and dumps the design in some of them.
  integer probe_burst = 0, probe_clock = 0, probe_in, probe_from, probe_to, probe_got;
  always @(go) begin
    probe_burst = probe_burst + 1;
    probe_clock = 0;
    if (probe_burst == probe_in && probe_from == 0) $dumpon;
  end
  always @(posedge clk) begin
    probe_clock = probe_clock + 1;
    if (probe_burst == probe_in) begin
      if (probe_clock == probe_from) $dumpon;
      if (probe_clock == probe_to) #1 $dumpoff;
    end
  end
  initial begin
    probe_got = $value$plusargs("everyedge_burst=%d", probe_in);
    probe_got = $value$plusargs("everyedge_from=%d", probe_from);
    probe_got = $value$plusargs("everyedge_to=%d", probe_to);
    $dumpfile("{DUMP}");
    $dumplimit({MOST_BYTES});
    $dumpvars(0);
    $dumpoff;
  end
"""

FINISH = "#2 $dumpflush;"
"""What was dumped is in the file before the burst is reported; its last edge has just been."""


def record_internals(
    target: Target, drives: Sequence[Drive], first: int, last: int, *, limits: Limits | None = None
) -> tuple[InnerSignal, ...]:
    """The signals in the clocks ``first`` to ``last`` of the last drive, all played from power-up.

    Empty when they cannot be had: the design does not compile on Icarus, fails to come so far, or
    dumps on its own account. Never raises for what a design does.
    """
    limits = limits or Limits()
    try:
        sources = read_sources(target)
        build = build_icarus(target, sources, BuildCache(cache_directory()), limits, Crew(), PROBE, FINISH)
        words = (
            f"+everyedge_burst={len(drives)}",
            f"+everyedge_from={first}",
            f"+everyedge_to={last + 1}",
        )
        scratch = Scratch(data_files(target, sources.texts))
        with contextlib.closing(scratch):
            child = Child(Build((*build.command, *words), build.harness), scratch, limits)
            with RunningSimulation("icarus", target, child, scratch, limits) as simulation:
                for drive in drives:
                    simulation.play(drive)
                dump = _dumped(scratch.directory / DUMP)
        return tuple(_inside(dump, last + 1 - first, target.clock))
    except (EveryedgeError, ChangedError, OSError, VCDParseError, ValueError):
        return ()


def _dumped(file: Path) -> bytes:
    """What has been dumped; the simulator's folder is not one to follow links in."""
    if file.is_symlink() or not file.is_file():
        return b""
    with file.open("rb") as dump:
        return dump.read(2 * MOST_BYTES)


class _Dump:
    """A dump as it is read, from its beginning to its end."""

    def __init__(self) -> None:
        self._scopes: list[str] = []
        self._clock = ""
        self._values: dict[str, str] = {}
        self._before: dict[str, str] = {}
        self.signals: list[tuple[tuple[str, ...], str, int, str]] = []
        """Scope, name, width and code."""
        self.samples: list[dict[str, str]] = []
        """Code -> value just before each active edge of the harness's clock."""

    def read(self, dump: bytes) -> None:
        for token in tokenize(io.BytesIO(dump)):
            if token.kind is TokenKind.SCOPE:
                self._scopes.append(token.scope.ident)
            elif token.kind is TokenKind.UPSCOPE:
                self._scopes.pop()
            elif token.kind is TokenKind.VAR:
                self._declared(token.var)
            elif token.kind is TokenKind.CHANGE_TIME:
                self._before = dict(self._values)
            elif token.kind is TokenKind.CHANGE_SCALAR:
                self._changed(token.scalar_change.id_code, token.scalar_change.value)
            elif token.kind is TokenKind.CHANGE_VECTOR:
                value = token.vector_change.value
                self._changed(token.vector_change.id_code, value if isinstance(value, str) else f"{value:b}")

    def _declared(self, variable: VarDecl) -> None:
        name, width, code = variable.reference, variable.size, variable.id_code
        if len(self._scopes) == 1 and name == "clk":
            self._clock = code
        elif len(self._scopes) > 1 and variable.type_.value not in NO_SIGNALS:
            self.signals.append((tuple(self._scopes[2:]), name, width, code))

    def _changed(self, code: str, value: str) -> None:
        if code == self._clock and value == "1" and self._before.get(code) == "0":
            self.samples.append(self._before)
        self._values[code] = value


def _inside(dump: bytes, clocks: int, clock: str | None) -> Iterator[InnerSignal]:
    found = _Dump()
    found.read(dump)
    samples = found.samples[:clocks]
    # Under whatever name: sampled once per clock it would seem to stand still.
    clock_codes = {code for scope, name, _, code in found.signals if not scope and name == clock}
    wanted = [signal for signal in found.signals if signal[3] not in clock_codes]
    for scope, name, width, code in wanted[:MOST_SIGNALS] if samples else ():
        yield InnerSignal(scope, name, tuple(_cell(sample.get(code, "x"), width) for sample in samples))


def _cell(value: str, width: int) -> str:
    """All bits: a dump leaves out leading ones that follow from the first (IEEE 1364-2005 §18.2.1)."""
    fill = "0" if value[0] in "01" else value[0]
    return value.lower().rjust(width, fill)[-width:]
