"""The text of a bench to start from: what the source says is filled in, the rest is left to choose."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from verify.design.interface import Module, Port

__all__ = ["skeleton_of"]

_CLOCK = re.compile(r"(^|_)(clk|clock|ck|mclk|sysclk|osc)\d*(_|$)|clk$|^clk|clock$", re.IGNORECASE)
_RESET = re.compile(r"(^|_)(a|s)?(n|x)?(rst|reset|res|clr|clear)(_|n|b|$)", re.IGNORECASE)
_LOW = re.compile(r"(_n|_b|_l|n)$|^(n|x)_?(rst|reset|res|clr)|_ni$", re.IGNORECASE)
_FREQUENCY = re.compile(r"(clk|clock|freq|hz)", re.IGNORECASE)


def skeleton_of(module: Module, sources: Sequence[Path]) -> str:
    """A bench for ``module``, as TOML that parses, with a comment wherever something is to be chosen."""
    inputs = [port for port in module.ports if port.direction == "input"]
    clock = next((port for port in inputs if port.width == 1 and _CLOCK.search(port.name)), None)
    reset = next(
        (port for port in inputs if port.width == 1 and port is not clock and _RESET.search(port.name)), None
    )
    rest = [port for port in module.ports if port not in (clock, reset)]
    lines = [
        f"# A bench for {module.name}. Choose the model, give the ports their roles, delete the rest.",
        "[design]",
        f"sources = [{', '.join(_quoted(str(path)) for path in sources)}]  # relative to this file",
        f"top = {_quoted(module.name)}",
        "",
        *_clock_lines(clock, module),
        *_reset_lines(reset),
        "[[check]]",
        'model = "CHOOSE"    # divider | counter | bcd | segments | timer | display',
        "# latency = 1       # clocks from input to output; left out, it is measured",
        "[check.ports]       # role = port; `everyedge models MODEL` lists the roles of a model",
        *(_port_line(port) for port in rest),
        "# [check.expect]    # options of the model",
    ]
    return "\n".join(lines) + "\n"


def _clock_lines(clock: Port | None, module: Module) -> list[str]:
    if clock is None:
        return [
            "# [clock]           # no input looks like a clock: leave out for logic without registers",
            '# port = ""',
            "",
        ]
    lines = ["[clock]", f"port = {_quoted(clock.name)}", "# frequency = 12_000_000  # Hz on the real board"]
    carrier = next((p for p in module.parameters if not p.local and _FREQUENCY.search(p.name)), None)
    if carrier is not None:
        value = "" if carrier.value is None else f", {carrier.value} in the source"
        lines.append(f"# parameter = {_quoted(carrier.name)}  # if it carries the clock frequency{value}")
    return [*lines, ""]


def _reset_lines(reset: Port | None) -> list[str]:
    if reset is None:
        return []
    active = "low" if _LOW.search(reset.name) else "high"
    return [
        "[reset]",
        f"port = {_quoted(reset.name)}",
        f'active = "{active}"      # judged by the name: check it',
        "",
    ]


def _port_line(port: Port) -> str:
    bits = "1 bit" if port.width == 1 else f"{port.width} bits"
    return f"# ROLE = {_quoted(port.name)}  # {port.direction}, {bits}"


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
