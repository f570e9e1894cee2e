"""The tables of a bench file, validated key by key.

Values stay as written (an expression is still a string, a port reference still unparsed): what they
mean depends on the design, which :mod:`verify.bench.resolve` looks up.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from verify.bench.places import Places

__all__ = ["Bench", "BenchFile", "Check", "ClockTable", "DesignTable", "PortTable", "ResetTable"]


def _integral(value: Any) -> Any:
    """12e6 is a whole number, too."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _one_or_more(value: Any) -> Any:
    return [value] if isinstance(value, str) else value


Whole = Annotated[int, BeforeValidator(_integral), Field(strict=True)]
Positive = Annotated[Whole, Field(ge=1)]
Natural = Annotated[Whole, Field(ge=0)]
Text = Annotated[str, Field(min_length=1)]
Weight = Annotated[
    Annotated[int, Field(strict=True)] | Annotated[float, Field(strict=True)], Field(gt=0, lt=1e9)
]
Texts = Annotated[tuple[Text, ...], BeforeValidator(_one_or_more)]


class _Table(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class DesignTable(_Table):
    """``[design]``: paths relative to the bench file; ``sources`` may hold patterns.

    ``allow``: constructs that the design may hold although no synthesisable design needs them.
    """

    sources: Annotated[Texts, Field(min_length=1)]
    include: Texts = ()
    defines: Mapping[str, bool | Whole | str] = Field(default_factory=dict)
    top: Text | None = None
    allow: Texts = ()


class ClockedPort(_Table):
    """The clock of one module; an ``edge`` that is not said is taken from the design."""

    port: Text
    edge: Literal["rising", "falling"] = "rising"


class ClockTable(ClockedPort):
    """``[clock]``: ``frequency`` in Hz on the real board; ``parameter``: the RTL parameters carrying it."""

    frequency: Positive | None = None
    parameter: Texts = ()
    speedup: Literal["auto"] | Positive | None = None


class ResetTable(_Table):
    """``[reset]``: ``active`` is the level that resets; what is None is measured.

    ``delay``: clocks by which registers before the design delay it; ``release``: clocks by which a
    synchroniser delays only its end.
    """

    port: Text
    active: Literal["high", "low"] = "high"
    kind: Literal["asynchronous", "synchronous", "mixed"] | None = None
    delay: Natural | None = None
    release: Natural | None = None


class PortTable(_Table):
    """A port reference written as a table."""

    port: Text | tuple[Text, ...]
    active: Literal["high", "low"] = "high"


Reference = Text | PortTable
References = Reference | tuple[Reference, ...]


class Check(_Table):
    """``[[check]]``; ``name`` is filled in and unique, ``module`` None: the only top of the design.

    ``facts`` pins what is measured and is no option of the model, as reports print it.
    ``clock`` and ``reset`` override the tables of the same name for this check; False: this module
    has none. ``tie``: values of inputs that no role names. ``weight``: marks for a pass, when many
    designs are graded.
    """

    name: Text
    model: Text
    module: Text | None = None
    ports: Annotated[Mapping[str, References], Field(min_length=1)]
    latency: Natural | None = None
    settle: Natural | None = None
    skew: Mapping[str, Whole] = Field(default_factory=dict)
    parameters: Mapping[str, bool | Whole | float | str] = Field(default_factory=dict)
    tie: Mapping[str, Natural] = Field(default_factory=dict)
    expect: Mapping[str, Any] = Field(default_factory=dict)
    facts: Mapping[str, Any] = Field(default_factory=dict)
    clock: Literal[False] | Text | ClockedPort | None = None
    reset: Literal[False] | Text | ResetTable | None = None
    weight: Weight = 1


class BenchFile(_Table):
    """The whole file."""

    design: DesignTable
    clock: ClockTable | None = None
    reset: ResetTable | None = None
    check: Annotated[tuple[Check, ...], Field(min_length=1)]


@dataclass(frozen=True, slots=True)
class Bench:
    """A bench with its paths found.

    ``path`` None: not from a file. ``directory``: what relative paths are relative to.
    ``files`` and ``include`` exist. ``places`` tells where each key stands.
    """

    path: Path | None
    directory: Path
    design: DesignTable
    files: tuple[Path, ...]
    include: tuple[Path, ...]
    clock: ClockTable | None
    reset: ResetTable | None
    checks: tuple[Check, ...]
    places: Places = field(default_factory=Places)
