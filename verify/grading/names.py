"""How a submission calls what the bench calls otherwise."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from verify.bench.places import Places
from verify.errors import BenchError, Place

__all__ = ["ModuleNames", "Names", "PortName", "parse_names"]

Text = Annotated[str, Field(min_length=1)]
_POSITION = re.compile(r"\(at line (\d+), column (\d+)\)")

EXAMPLE = """for example:
  [ports]
  clk = "clock"
  rst_n = { port = "reset", active = "high" }
  [modules.bin_to_bcd]
  name = "converter"
  ports = { bin = "value" }"""


class _Table(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class PortName(_Table):
    """A port, or several joined (least significant first), with the level at which it is active."""

    port: Text | tuple[Text, ...]
    active: Literal["high", "low"] | None = None


Port = Text | tuple[Text, ...] | PortName


class ModuleNames(_Table):
    """Of one module: the bench's name -> the submission's."""

    name: Text | None = None
    ports: Mapping[str, Port] = Field(default_factory=dict)
    parameters: Mapping[str, Text] = Field(default_factory=dict)


class Names(_Table):
    """``names.toml``: ``ports`` and ``parameters`` of every module, ``modules`` by the bench's names."""

    ports: Mapping[str, Port] = Field(default_factory=dict)
    parameters: Mapping[str, Text] = Field(default_factory=dict)
    modules: Mapping[str, ModuleNames] = Field(default_factory=dict)

    def of(self, module: str | None) -> ModuleNames:
        """What holds in one module, its own names before those of every module."""
        own = self.modules.get(module or "", ModuleNames())
        return ModuleNames(
            name=own.name, ports={**self.ports, **own.ports}, parameters={**self.parameters, **own.parameters}
        )


def parse_names(raw: bytes, shown: Path) -> Names:
    """The names in a file that is called ``shown``. Raises BenchError with its line."""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BenchError("the names are not UTF-8", place=Place(shown), advice=EXAMPLE) from None
    try:
        tables: dict[str, Any] = tomllib.loads(text)
        return Names.model_validate(tables)
    except tomllib.TOMLDecodeError as error:
        match = _POSITION.search(str(error))
        place = Place(shown, int(match[1]), int(match[2])) if match else Place(shown)
        what = _POSITION.sub("", str(error)).strip()
        raise BenchError(
            f"not valid TOML: {what[:1].lower()}{what[1:]}", place=place, advice=EXAMPLE
        ) from None
    except ValidationError as error:
        first = error.errors()[0]
        path = tuple(part for part in first["loc"] if isinstance(part, int) or _is_key(part))
        place = Places.read(shown, text).of(*path) or Place(shown)
        key = ".".join(str(part) for part in path)
        raise BenchError(f"{key}: {first['msg'].lower()}", place=place, advice=EXAMPLE) from None
    except RecursionError:
        raise BenchError("the names are nested too deeply", place=Place(shown)) from None


def _is_key(part: str) -> bool:
    """The validator's location also names the alternatives of a value, such as ``function-after[...]``."""
    return re.fullmatch(r"[\w$-]+", part) is not None and part not in {"str", "PortName"}
