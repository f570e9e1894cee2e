"""RTL parameters of a check: literals, expressions, and the clock frequency scaled down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from verify.bench.carriers import CarrierError, carriers_in
from verify.bench.numbers import NumberError, evaluate, is_literal
from verify.bench.places import KeyPath
from verify.bench.schema import Bench, Check
from verify.bench.spelling import listed, nearest
from verify.design.interface import Design, Module
from verify.design.read import ParameterError, TopError, read_design
from verify.errors import BenchError

__all__ = ["Elaboration", "all_modules", "defines_of", "elaborate", "include_folders"]


@dataclass(frozen=True, slots=True)
class Elaboration:
    """A module as a check sees it. ``overrides``: as the simulator gets them.

    ``clock_parameters``: those of the module that carry the clock frequency; of the first of them
    ``native`` is the value on the board, ``clock_hz`` the one here, and ``speedup`` the factor between.
    """

    design: Design
    module: Module
    overrides: Mapping[str, int | str]
    clock_parameters: tuple[str, ...] = ()
    native: int | None = None
    clock_hz: int | None = None
    speedup: int = 1
    notes: tuple[str, ...] = ()


def elaborate(
    bench: Bench, check: Check, module: str, path: KeyPath, *, speedup: int, needs_frequency: bool
) -> Elaboration:
    """Read the design with ``module`` on top, at the check's parameters and the speed-up.

    ``needs_frequency``: the golden model takes its ratio from the clock frequency, so the parameter
    has to agree with the bench. Raises BenchError and DesignError.
    """
    reader = _Reader(bench, check, module, path)
    overrides = reader.overrides()
    design = reader.read(overrides)
    plain = Elaboration(design, design.modules[module], overrides)
    clock = bench.clock
    if clock is None or not clock.parameter:
        return plain
    names = _carriers(reader, plain)
    if not names:
        return plain
    notes: tuple[str, ...] = ()
    native = _value(reader, plain.module, names[0])
    if needs_frequency and clock.frequency is not None and native != clock.frequency:
        if names[0] in check.parameters or module == (bench.design.top or module):
            raise _disagreement(reader, names[0], native, clock.frequency)
        notes = (f"{module} is checked at {names[0]} = {clock.frequency}, the frequency in [clock]",)
        overrides = {**overrides, names[0]: clock.frequency}
        native = clock.frequency
    if speedup > 1:
        values = {name: _value(reader, plain.module, name) for name in names} | {names[0]: native}
        overrides = {**overrides, **{n: _scaled(reader, n, v, speedup) for n, v in values.items()}}
    if overrides is not plain.overrides:
        design = reader.read(overrides)
    return Elaboration(
        design, design.modules[module], overrides, names, native, native // speedup, speedup, notes
    )


def defines_of(bench: Bench) -> dict[str, str]:
    """Macro -> text; true stands for 1, and false for a macro that is not defined."""
    return {
        name: str(int(value)) if isinstance(value, bool) else str(value)
        for name, value in bench.design.defines.items()
        if value is not False
    }


def all_modules(bench: Bench) -> Design:
    """The design without a particular top."""
    return read_design(bench.files, include=include_folders(bench), defines=defines_of(bench))


def include_folders(bench: Bench) -> list[Path]:
    """Where included files are looked up, as the simulators do."""
    folders = [*bench.include, *(file.parent for file in bench.files), bench.directory]
    return list(dict.fromkeys(folders))


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads the design with the check's module on top."""

    bench: Bench
    check: Check
    module: str
    path: KeyPath

    def read(self, parameters: Mapping[str, int | str]) -> Design:
        bench = self.bench
        try:
            return read_design(
                bench.files,
                include=include_folders(bench),
                defines=defines_of(bench),
                top=self.module,
                parameters=parameters,
            )
        except TopError as error:
            raise self.module_error(error.known) from None
        except ParameterError as error:
            raise self.parameter_error(error.parameter, error.message, error.advice) from None

    def overrides(self) -> dict[str, int | str]:
        """The check's parameters as integers and Verilog literals, expressions evaluated."""
        literals = {name: _literal(value) for name, value in self.check.parameters.items()}
        plain = {name: value for name, value in literals.items() if value is not None}
        if len(plain) == len(literals):
            return plain
        module = self.read(plain).modules[self.module]
        numbers = {parameter.name: parameter.value for parameter in module.parameters}
        for name, value in self.check.parameters.items():
            if name not in plain:
                try:
                    plain[name] = numbers[name] = evaluate(value, numbers)
                except NumberError as error:
                    advice = error.advice or f"""text for a Verilog string has its own quotes: '"{value}"'"""
                    raise self.parameter_error(name, error.message, advice) from None
        return plain

    def parameter_error(self, name: str, message: str, advice: str | None) -> BenchError:
        place = self.bench.places.of(*self.path, "parameters", name)
        return BenchError(
            f'check "{self.check.name}", parameters.{name}: {message}', place=place, advice=advice
        )

    def module_error(self, known: Sequence[str]) -> BenchError:
        own = self.check.module is not None
        key = f'check "{self.check.name}", module' if own else "design.top"
        place = self.bench.places.of(*((*self.path, "module") if own else ("design", "top")))
        message = f'{key}: found "{self.module}", expected one of {listed(known)}'
        return BenchError(message, place=place, advice=nearest(self.module, known))

    def clock_error(self, key: str, message: str, advice: str | None = None) -> BenchError:
        return BenchError(f"clock.{key}: {message}", place=self.bench.places.of("clock", key), advice=advice)


def _literal(value: Any) -> int | str | None:
    """The value for the simulator; None when it is an expression."""
    if isinstance(value, bool):
        return int(value)
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, str):
        return value.strip() if is_literal(value) else None
    return int(value)


def _carriers(reader: _Reader, plain: Elaboration) -> tuple[str, ...]:
    """The parameters in ``clock.parameter`` that the module has."""
    bench, modules = reader.bench, plain.design.modules
    assert bench.clock is not None  # noqa: S101 -- the caller has one
    top = modules.get(bench.design.top or plain.module.name, plain.module)
    try:
        return carriers_in(bench.clock.parameter, plain.module, top, modules)
    except CarrierError as error:
        raise reader.clock_error("parameter", error.message, error.advice) from None


def _value(reader: _Reader, module: Module, name: str) -> int:
    parameter = module.parameter(name)
    value = None if parameter is None else parameter.value
    if value is None or value < 1:
        text = "no integer" if value is None else str(value)
        raise reader.clock_error("parameter", f"{name} of {module.name} is {text}, expected a number of Hz")
    return value


def _disagreement(reader: _Reader, name: str, native: int, frequency: int) -> BenchError:
    return reader.clock_error(
        "frequency",
        f"found {frequency} Hz, but {name} of {reader.module} is {native}",
        f"correct one of the two, set parameters = {{ {name} = {frequency} }} in the check, "
        "or give `ratio` there",
    )


def _scaled(reader: _Reader, name: str, native: int, speedup: int) -> int:
    if native % speedup:
        divisors = [n for n in range(max(1, speedup - 1000), speedup) if native % n == 0]
        advice = f"{divisors[-1]} divides it" if divisors else "choose a divisor of it"
        raise reader.clock_error("speedup", f"{name} = {native} cannot be divided by {speedup}", advice)
    return native // speedup
