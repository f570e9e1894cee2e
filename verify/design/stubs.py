"""Stand-ins for modules that no file defines, such as primitives of a chip's library.

A stub has the ports that its instances connect. Its outputs are not driven, or follow one of its
inputs where the user says so. What depends on an output that is not driven has no verdict.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from pyslang import syntax

from verify.design.elaborate import parse
from verify.design.sources import Dialect, read_sources
from verify.errors import DesignError

__all__ = ["Stub", "stub_of", "stubs_for"]

_OUT = re.compile(r"(?i)^(o|out\w*|q\w*|z|y|do\w*|dout\w*|clk_?out\w*|c[0-9]|locked|lock|o_\w+|\w+_o)$")
_IN = re.compile(
    r"(?i)^(i\d*|in\w*|a|b|d|di|din|c|ce|clk|clk_?in\w*|clr|pre|r|s|rst|reset|areset|inclk\w*|i_\w+|\w+_i)$"
)


@dataclass(frozen=True, slots=True)
class Stub:
    """``follows``: the input that its outputs are equal to; None: they are not driven."""

    name: str
    follows: str | None = None


@dataclass(slots=True)
class _Used:
    """What the instances of a missing module connect: ports in order, those that come out, parameters."""

    ports: dict[str, bool] = field(default_factory=dict)
    parameters: dict[str, None] = field(default_factory=dict)
    ordered: bool = False


def stub_of(text: str) -> Stub:
    """What ``--stub`` was given: ``NAME``, or ``NAME=PORT``. Raises DesignError for anything else."""
    name, equal, port = text.partition("=")
    if not re.fullmatch(r"[A-Za-z_]\w*", name) or (equal and not re.fullmatch(r"[A-Za-z_]\w*", port)):
        raise DesignError(
            f"--stub: found {text!r}, expected the name of a module, or NAME=PORT",
            advice="such as --stub BUFG=I for a buffer: its output is what comes in at I",
        )
    return Stub(name, port or None)


def stubs_for(files: Sequence[Path], stubs: Sequence[Stub], folder: Path) -> list[Path]:
    """Write a module for each stub into ``folder``; the files.

    Raises DesignError where nothing instantiates it or a file defines it, and for a port to follow
    that is no input of it.
    """
    parsed = parse(read_sources(files, Dialect()), Dialect())
    root = parsed.tree.root
    modules = list(_modules(root))
    defined = {str(m.header.name.valueText) for m in modules}
    written = []
    for stub in stubs:
        if stub.name in defined:
            raise DesignError(
                f"--stub {stub.name}: the files define that module", advice="leave the option out"
            )
        used = _Used()
        for module in modules:
            _note(module, stub.name, used)
        if not used.ports:
            raise DesignError(f"--stub {stub.name}: nothing instantiates a module of that name")
        inputs = [port for port, out in used.ports.items() if not out]
        if stub.follows is not None and stub.follows not in inputs:
            raise DesignError(
                f"--stub {stub.name}={stub.follows}: it has no input {stub.follows}",
                advice=f"its inputs are {', '.join(inputs) or 'none'}",
            )
        path = folder / f"{stub.name}.v"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            path.write_text(_text(stub, used), encoding="utf-8")
        except OSError as error:
            raise DesignError(f"the stub {path} cannot be written: {error.strerror}") from None
        written.append(path)
    return written


def _modules(root: object) -> Iterator[syntax.ModuleDeclarationSyntax]:
    members = root.members if isinstance(root, syntax.CompilationUnitSyntax) else [root]
    for member in members:
        if isinstance(member, syntax.ModuleDeclarationSyntax):
            yield member


def _note(module: syntax.ModuleDeclarationSyntax, name: str, used: _Used) -> None:
    text = str(module)
    for node in _instances(module):
        if str(node.type.valueText) != name:
            continue
        for parameter in node.parameters.parameters if node.parameters is not None else ():
            if isinstance(parameter, syntax.NamedParamAssignmentSyntax):
                used.parameters[str(parameter.name.valueText)] = None
            elif isinstance(parameter, syntax.OrderedParamAssignmentSyntax):
                used.parameters[f"P{len(used.parameters)}"] = None
        for instance in node.instances:
            connections = [c for c in instance.connections if not hasattr(c, "rawText")]
            for index, connection in enumerate(connections):
                if isinstance(connection, syntax.NamedPortConnectionSyntax):
                    port, wire = str(connection.name.valueText), str(connection.expr or "").strip()
                elif isinstance(connection, syntax.OrderedPortConnectionSyntax):
                    port, wire, used.ordered = f"p{index}", str(connection.expr).strip(), True
                else:
                    continue
                used.ports[port] = used.ports.get(port, True) and _comes_out(port, wire, text, used.ordered)


def _instances(node: object) -> Iterator[syntax.HierarchyInstantiationSyntax]:
    found: list[syntax.HierarchyInstantiationSyntax] = []

    def note(part: object) -> None:
        if isinstance(part, syntax.HierarchyInstantiationSyntax):
            found.append(part)

    node.visit(note)  # type: ignore[attr-defined]
    yield from found


def _comes_out(port: str, wire: str, module: str, ordered: bool) -> bool:
    """Whether the module drives the wire: by the port's name, else where nothing else drives it."""
    if not ordered and (_OUT.match(port) or _IN.match(port)):
        return bool(_OUT.match(port))
    match = re.fullmatch(r"(\w+)\s*(\[[^\]]*\])?", wire)
    if match is None or wire[0].isdigit():
        return wire == "" or wire.startswith("{")
    name = re.escape(match[1])
    driven = rf"\binput\b[^;)]*\b{name}\b|\bassign\s+{name}\b|\b{name}\s*(\[[^\]]*\]\s*)?<?=[^=]"
    return re.search(driven, module) is None


def _text(stub: Stub, used: _Used) -> str:
    ports = ", ".join(f"{'output' if out else 'input'} {port}" for port, out in used.ports.items())
    head = f" #({', '.join(f'parameter {p} = 0' for p in used.parameters)})" if used.parameters else ""
    rows = [
        "// A stub: it stands in for a module that no file defines.",
        f"module {stub.name}{head} ({ports});",
    ]
    if stub.follows is not None:
        rows += [f"    assign {port} = {stub.follows};" for port, out in used.ports.items() if out]
    return "\n".join([*rows, "endmodule", ""])
