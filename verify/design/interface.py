"""What is written in the source files, as plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from verify.errors import DesignError, Place

__all__ = [
    "Comparison",
    "DataFile",
    "Design",
    "Guard",
    "Module",
    "Parameter",
    "Pin",
    "Port",
    "Register",
    "UnsafeConstruct",
]


@dataclass(frozen=True, slots=True)
class Port:
    """A port of an elaborated module.

    ``width`` in bits. ``left`` and ``right`` are the declared bounds of the packed range
    (``[7:0]`` -> 7, 0; ``[0:6]`` -> 0, 6; a scalar -> 0, 0); the right bound is the least
    significant bit. Several packed dimensions and structures are flattened to ``[width-1:0]``.
    ``drivers``: where the port is assigned, nearest statement first; assignments of a constant
    (a reset branch) come after the others.
    """

    name: str
    direction: Literal["input", "output", "inout"]
    width: int
    left: int
    right: int
    place: Place
    drivers: tuple[Place, ...] = ()

    def offset(self, index: int) -> int:
        """Distance of the bit with declared ``index`` from the least significant bit.

        Raises IndexError when the index is outside the declared range.
        """
        low, high = sorted((self.left, self.right))
        if not low <= index <= high:
            raise IndexError(f"{self.name}[{index}] is outside [{self.left}:{self.right}]")
        return abs(index - self.right)

    def part(self, offset: int, width: int) -> str:
        """``width`` bits from ``offset`` on, as they are written in Verilog; all of them: the name."""
        if width == self.width:
            return self.name
        step = 1 if self.left >= self.right else -1
        low = self.right + step * offset
        return f"{self.name}[{low}]" if width == 1 else f"{self.name}[{low + step * (width - 1)}:{low}]"


@dataclass(frozen=True, slots=True)
class Parameter:
    """A parameter of a module: ``value`` as elaborated, None when it is not an integer."""

    name: str
    value: int | None
    place: Place
    local: bool = False
    text: str = ""
    """The value or default as written."""


@dataclass(frozen=True, slots=True)
class UnsafeConstruct:
    """Something no synthesisable design needs: ``what`` names it (``$system``, ``force`` ...).

    ``why``: what it may do, a clause. ``word``: what the owner says to have it (``system``).
    """

    what: str
    place: Place
    why: str = ""
    word: str = ""


@dataclass(frozen=True, slots=True)
class Register:
    """A variable assigned at a clock edge.

    ``name`` is hierarchical below the module (``u_div.count``), ``width`` in bits, all elements of
    an array together. ``clock`` and ``reset`` are the nets of the module that reach the block, or
    hierarchical names when they come from inside; ``reset`` None: no other edge is waited for.
    ``place`` is that of the first assignment.
    """

    name: str
    width: int
    place: Place
    clock: str
    edge: Literal["rising", "falling", "both"]
    reset: str | None = None
    reset_edge: Literal["rising", "falling", "both"] | None = None
    shifts: tuple[str, ...] = ()
    """What it takes unchanged at the clock edge, where it takes nothing else but itself and constants."""


@dataclass(frozen=True, slots=True)
class Guard:
    """A signal of one bit that an ``always`` block asks in an ``if``.

    ``signal`` as written (``key[3]`` for a bit), ``level`` that takes the branch, ``kind`` what the
    branch does: ``constant`` (assigns literals), ``copy`` (other signals), ``step`` or ``nothing``.
    ``first``: it is all that the first ``if`` of the block asks. ``waited``: the block waits for an
    edge of it. ``alone``: nothing else stands in the condition.
    """

    signal: str
    level: int
    kind: str
    place: Place
    first: bool = False
    waited: bool = False
    alone: bool = True
    sets: tuple[tuple[str, int], ...] = ()
    """Signals that the branch sets to constants, with these."""
    turns: tuple[str, ...] = ()
    """Signals that the branch turns over."""
    steps: tuple[str, ...] = ()
    """Signals that the branch makes of themselves, such as those that count in it."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """A comparison of ``signal`` with a constant; ``literal`` False: the constant is made of parameters."""

    signal: str
    operator: str
    value: int
    place: Place
    literal: bool = True

    @property
    def states(self) -> int:
        """How many a count from zero has that is turned back by it."""
        return self.value + (1 if self.operator in {"==", ">=", "<", "!="} else 2)


@dataclass(frozen=True, slots=True)
class Pin:
    """``signal`` (``KEY[0]`` for a bit) is called ``name`` inside, ``inverted`` or not.

    ``module``: the module that has an input port of that name, empty where ``name`` is a wire.
    """

    signal: str
    name: str
    inverted: bool = False
    module: str = ""


@dataclass(frozen=True, slots=True)
class DataFile:
    """A file named in the text: ``name`` as written, ``task`` that reads it, such as ``$readmemh``."""

    name: str
    task: str
    place: Place


@dataclass(frozen=True, slots=True)
class Module:
    """A module as elaborated with one set of parameter values.

    ``instances``: instance name -> module name, direct children only. ``unsafe``, ``registers``
    and ``loops`` cover the module and everything below it. ``loops``: combinational loops, in
    words (``combinational loop through a, b``), with the place of one of its assignments.
    ``guards`` and ``comparisons`` are those of the module itself.
    """

    name: str
    place: Place
    ports: tuple[Port, ...]
    parameters: tuple[Parameter, ...]
    instances: Mapping[str, str] = field(default_factory=dict)
    unsafe: tuple[UnsafeConstruct, ...] = ()
    registers: tuple[Register, ...] = ()
    loops: tuple[UnsafeConstruct, ...] = ()
    guards: tuple[Guard, ...] = ()
    comparisons: tuple[Comparison, ...] = ()
    reads: frozenset[str] = frozenset()
    """Ports that something in the module reads or drives; inputs that are not there are unused."""
    reached_by: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """Output port -> input ports it may depend on; ``KEY[0]`` or ``SW[3:0]`` where only parts are read.
    ``BUFG.O``: an output of an instance that nothing in it drives."""
    pins: tuple[Pin, ...] = ()
    data_files: tuple[DataFile, ...] = ()
    """What the module and those below it read their memories from."""

    def port(self, name: str) -> Port | None:
        """The port with that name."""
        return next((port for port in self.ports if port.name == name), None)

    def parameter(self, name: str) -> Parameter | None:
        """The parameter or local parameter with that name."""
        return next((parameter for parameter in self.parameters if parameter.name == name), None)


@dataclass(frozen=True, slots=True)
class Design:
    """All modules of a set of files. ``tops``: those that nothing instantiates.

    Read with a top, only that module has drivers, registers, loops and what is unsafe.
    ``sources``: the files to compile; a file that another one includes, or that only repeats
    modules, is left out. ``verilog_2005``: those among them that use words reserved only since
    SystemVerilog (``bit``, ``do`` ...) as names, and so need the keywords of IEEE 1364-2005.
    ``broken``: modules that cannot be elaborated on their own with default parameters, and why.
    ``instantiated``: read leniently, modules that are instantiated with other parameters only, and
    the values; they are given as elaborated with these.
    """

    sources: tuple[Path, ...]
    modules: Mapping[str, Module]
    tops: tuple[str, ...]
    verilog_2005: tuple[Path, ...] = ()
    broken: Mapping[str, DesignError] = field(default_factory=dict)
    instantiated: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
