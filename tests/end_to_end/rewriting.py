"""Rewrites of a design that keep its behaviour: whatever passes has to pass in every one of them."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from pyslang import parsing, syntax

from verify.bench import Bench, load_bench, resolve
from verify.bench.overrides import defines_of
from verify.bench.schema import Check
from verify.design.duplicates import without_repeats
from verify.design.sources import Dialect, read_sources
from verify.simulation.interface import Target
from verify.simulation.sources import data_files
from verify.simulation.sources import read_sources as read_all

Rule = Callable[[Any, Callable[[Any], str]], str | None]
"""The new text of a node, None to leave it; the second argument renders what is inside."""

_OPPOSITE = {"==": "!=", "!=": "==", "<": ">=", ">=": "<", ">": "<=", "<=": ">"}
_COMMUTES = {"+", "&", "|", "^", "==", "!="}
_INTERFACE = (
    syntax.ImplicitAnsiPortSyntax,
    syntax.ParameterDeclarationStatementSyntax,
    syntax.ParameterDeclarationSyntax,
    syntax.PortDeclarationSyntax,
)
_ASSIGNMENTS = (syntax.SyntaxKind.AssignmentExpression, syntax.SyntaxKind.NonblockingAssignmentExpression)


def inverted_if(node: Any, render: Callable[[Any], str]) -> str | None:
    """``if (c) A else B`` as ``if (!(c)) B else A``."""
    if not isinstance(node, syntax.ConditionalStatementSyntax) or node.elseClause is None:
        return None
    then, other = render(node.statement), render(node.elseClause.clause)
    return f" if (!({render(node.predicate)})) begin {other} end else begin {then} end"


def swapped_choice(node: Any, render: Callable[[Any], str]) -> str | None:
    """``c ? a : b`` as ``!(c) ? b : a``."""
    if not isinstance(node, syntax.ConditionalExpressionSyntax):
        return None
    return f" (!({render(node.predicate)}) ? {render(node.right)} : {render(node.left)})"


def denied_comparison(node: Any, render: Callable[[Any], str]) -> str | None:
    """``a == b`` as ``!(a != b)``."""
    if not _is_operator(node) or node.operatorToken.rawText not in _OPPOSITE:
        return None
    return f" (!({render(node.left)} {_OPPOSITE[node.operatorToken.rawText]} {render(node.right)}))"


def other_way_round(node: Any, render: Callable[[Any], str]) -> str | None:
    """``a + b`` as ``b + a``."""
    if not _is_operator(node) or node.operatorToken.rawText not in _COMMUTES:
        return None
    return f" ({render(node.right)} {node.operatorToken.rawText} {render(node.left)})"


def _is_operator(node: Any) -> bool:
    return isinstance(node, syntax.BinaryExpressionSyntax) and node.kind not in _ASSIGNMENTS


def choice_as_if(node: Any, render: Callable[[Any], str]) -> str | None:
    """``q <= c ? a : b;`` as an ``if`` with two assignments."""
    if not isinstance(node, syntax.ExpressionStatementSyntax) or node.expr.kind not in _ASSIGNMENTS:
        return None
    right = node.expr.right
    if not isinstance(right, syntax.ConditionalExpressionSyntax):
        return None
    left = f"{render(node.expr.left)} {node.expr.operatorToken.rawText}"
    return f" if ({render(right.predicate)}) {left} {render(right.left)}; else {left} {render(right.right)};"


def case_as_if(node: Any, render: Callable[[Any], str]) -> str | None:
    """A plain ``case`` as a chain of ``if``."""
    if not isinstance(node, syntax.CaseStatementSyntax) or node.caseKeyword.rawText != "case":
        return None
    if any(isinstance(item, syntax.PatternCaseItemSyntax) for item in node.items):
        return None
    chain, default = [], " ;"
    for item in node.items:
        if isinstance(item, syntax.DefaultCaseItemSyntax):
            default = render(item.clause)
        else:
            values = [render(v) for v in item.expressions if not isinstance(v, parsing.Token)]
            tests = " || ".join(f"(({render(node.expr)}) == ({value}))" for value in values)
            chain.append(f" if ({tests}) begin {render(item.clause)} end else")
    return "".join(chain) + f" begin {default} end"


def wrapped_statements(node: Any, render: Callable[[Any], str]) -> str | None:
    """Every assignment in a block of its own."""
    if not isinstance(node, syntax.ExpressionStatementSyntax) or node.expr.kind not in _ASSIGNMENTS:
        return None
    return f" begin {render(node.expr)}; end"


def other_order(node: Any, render: Callable[[Any], str]) -> str | None:
    """The blocks of a module the other way round, behind its declarations."""
    if not isinstance(node, syntax.ModuleDeclarationSyntax):
        return None
    moved = (syntax.ProceduralBlockSyntax, syntax.ContinuousAssignSyntax, syntax.HierarchyInstantiationSyntax)
    stays = [member for member in node.members if not isinstance(member, moved)]
    goes = [member for member in node.members if isinstance(member, moved)]
    members = [*stays, *reversed(goes)]
    return f"{render(node.header)}\n{''.join(map(render, members))}\n{render(node.endmodule)}\n"


RULES: dict[str, tuple[Rule, ...]] = {
    "inverted_if": (inverted_if,),
    "swapped_choice": (swapped_choice,),
    "denied_comparison": (denied_comparison,),
    "other_way_round": (other_way_round,),
    "choice_as_if": (choice_as_if,),
    "case_as_if": (case_as_if,),
    "wrapped_statements": (wrapped_statements,),
    "other_order": (other_order,),
    "all_of_them": (inverted_if, case_as_if, choice_as_if, swapped_choice, denied_comparison),
}


def rendered(node: Any, rules: tuple[Rule, ...]) -> str:
    """The text of a syntax tree, rewritten wherever a rule says so."""
    if node is None:
        return ""
    if isinstance(node, parsing.Token):
        return str(node)
    for rule in rules:
        text = rule(node, lambda inner: rendered(inner, rules))
        if text is not None:
            return text
    return "".join(rendered(child, rules) for child in node)


def renamed(text: str, tree: Any) -> str:
    """Every variable, net and block of a module that is not a port gets another name."""
    kept, own = set(), set()

    def note(node: Any) -> None:
        if isinstance(node, _INTERFACE):
            kept.update(re.findall(r"\w+", str(node)))
        elif isinstance(node, syntax.NamedPortConnectionSyntax):
            kept.add(node.name.valueText)
        elif isinstance(node, syntax.NonAnsiPortListSyntax):
            kept.update(re.findall(r"\w+", str(node)))
        elif isinstance(node, (syntax.DataDeclarationSyntax, syntax.NetDeclarationSyntax)):
            own.update(d.name.valueText for d in node.declarators if not isinstance(d, parsing.Token))

    tree.root.visit(note)
    pattern = re.compile(r"//[^\n]*|/\*.*?\*/|\"(?:[^\"\\]|\\.)*\"|(?<![.`$'\w])[A-Za-z_]\w*", re.DOTALL)
    names = own - kept
    return pattern.sub(lambda m: f"{m[0]}_r" if m[0] in names else m[0], text)


def rewritten(bench: Bench, name: str, folder: Path) -> Bench | None:
    """The bench over a rewritten copy of its design in ``folder``; None when nothing changes."""
    copy = copied(bench, folder)
    changed = False
    folders = (*copy.include, *(file.parent for file in copy.files), copy.directory)
    dialect = Dialect(tuple(folders), defines_of(copy))
    texts, _ = without_repeats(read_sources(copy.files, dialect), dialect)
    for source in texts:
        _, parsed = without_repeats((source,), dialect)
        if name == "renamed":
            text = renamed(source.text, parsed.tree)
        else:
            text = rendered(parsed.tree.root, RULES[name]).removeprefix(source.prefix)
            text = text.removesuffix(source.suffix.rstrip("\n"))
        if "".join(text.split()) != "".join(source.text.split()):
            source.path.write_text(text, encoding="utf-8")
            changed = True
    return copy if changed else None


def copied(bench: Bench, folder: Path) -> Bench:
    """A copy of the whole design."""
    target = Target(bench.files, "", None, (), (), include=bench.include, directory=bench.directory)
    texts = read_all(target).texts
    base = bench.directory.absolute()
    for file in [*texts, *data_files(target, texts).values()]:
        place = folder / file.absolute().relative_to(base)
        place.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(file, place)
    return replace(
        bench,
        directory=folder,
        files=tuple(folder / f.absolute().relative_to(base) for f in bench.files),
        include=tuple(folder / f.absolute().relative_to(base) for f in bench.include),
    )


WRAPPERS = ("inside_another", "registered_outputs", "other_reset_level")


def wrapped(bench: Bench, how: str, folder: Path) -> Bench | None:
    """The bench over its top module inside another one."""
    checks = [c for c in bench.checks if c.module in (None, bench.design.top)]
    if not checks or bench.design.top is None or len(checks) != len(bench.checks):
        return None
    if any(check.parameters != checks[0].parameters for check in checks):
        return None  # the ports of the wrapper have one width
    copy = copied(bench, folder)
    resolved = resolve(copy, checks[0])
    target, clock = resolved.target, resolved.target.clock
    if how != "inside_another" and (clock is None or resolved.reset is None):
        return None
    top = bench.design.top
    for file in copy.files:
        text = file.read_text(encoding="utf-8")
        file.write_text(re.sub(rf"\bmodule\s+{top}\b", f"module {top}_core", text), encoding="utf-8")
    parameters = [p for p in resolved.module.parameters if not p.local and p.value is not None]
    ports = [*target.inputs, *target.outputs]
    reset = next(iter(resolved.reset.ref.slices)).port if resolved.reset else None
    edge = "posedge" if target.edge == "rising" else "negedge"
    named = [f"input {clock}"] * (clock is not None) + [_port(p, p in target.inputs) for p in ports]
    lines = [f"module {top} (", ",\n".join(named), ");"]
    lines += [f"parameter {p.name} = {p.value};" for p in parameters]
    inner = {p.name: p.name for p in ports}
    for port in target.outputs if how == "registered_outputs" else ():
        inner[port.name] = f"{port.name}_inside"
        vector = f"[{port.width - 1}:0]"
        lines.append(f"wire {vector} {port.name}_inside; reg {vector} {port.name}_kept;")
        lines.append(f"always @({edge} {clock}) {port.name}_kept <= {port.name}_inside;")
        lines.append(f"assign {port.name} = {port.name}_kept;")
    if how == "other_reset_level" and reset is not None:
        inner[reset] = f"~{reset}"
    pins = ([f".{clock}({clock})"] if clock else []) + [f".{n}({v})" for n, v in inner.items()]
    settings = ", ".join(f".{p.name}({p.name})" for p in parameters)
    lines.append(f"{top}_core {f'#({settings}) ' if settings else ''}core ({', '.join(pins)});\nendmodule\n")
    (folder / "wrapper.v").write_text("\n".join(lines), encoding="utf-8")
    copy = replace(copy, files=(*copy.files, folder / "wrapper.v"))
    return _adjusted(copy, how)


def _port(port: Any, is_input: bool) -> str:
    return f"{'input' if is_input else 'output'} [{port.width - 1}:0] {port.name}"


def _with_more_cycles(check: Check, more: int) -> Check:
    if not more or "max_cycles" not in check.expect:
        return check
    cycles = f"{check.expect['max_cycles']} + {more}"
    return check.model_copy(update={"expect": {**check.expect, "max_cycles": cycles}})


def _adjusted(bench: Bench, how: str) -> Bench:
    later = int(how == "registered_outputs")
    checks = tuple(
        c if c.latency is None else c.model_copy(update={"latency": c.latency + later}) for c in bench.checks
    )
    checks = tuple(_with_more_cycles(c, later) for c in checks)
    if how == "other_reset_level" and bench.reset is not None:
        other = "low" if bench.reset.active == "high" else "high"
        bench = replace(bench, reset=bench.reset.model_copy(update={"active": other}))
    return replace(bench, checks=checks)


def netlist(bench: Bench, folder: Path) -> Bench | None:
    """The bench over gates: the design as a synthesiser makes it, at the parameters of its check."""
    if shutil.which("yosys") is None:
        return None
    names = {check.module or bench.design.top for check in bench.checks}
    if len(names) != 1 or len(bench.checks) != 1 or (bench.clock and bench.clock.parameter):
        return None
    copy = copied(bench, folder)
    (top,) = names
    resolved = resolve(copy, copy.checks[0])
    sets = " ".join(f"-set {name} {value}" for name, value in resolved.target.parameters)
    reads = "; ".join(f"read_verilog -sv {file}" for file in copy.files)
    script = f"{reads}; {f'chparam {sets} {top}; ' if sets else ''}synth -flatten -top {top}; "
    script += f"rename -top {top}; write_verilog -noattr {folder / 'netlist.v'}"
    done = subprocess.run(["yosys", "-q", "-p", script], cwd=folder, capture_output=True, check=False)
    if done.returncode != 0:
        return None
    if any(isinstance(value, str) for c in copy.checks for value in c.expect.values()):
        return None  # it counts in parameters, and gates have none
    checks = tuple(c.model_copy(update={"parameters": {}}) for c in copy.checks)
    return replace(copy, files=(folder / "netlist.v",), checks=checks)


KINDS = ("renamed", *RULES, *WRAPPERS, "netlist")


def rewrite(path: Path, kind: str, folder: Path) -> Bench | None:
    """The design of the bench at ``path``, rewritten; None when this kind does not apply to it."""
    bench = load_bench(path)
    if (path.parent / "models").is_dir():
        shutil.copytree(path.parent / "models", folder / "models")
    if kind == "netlist":
        return netlist(bench, folder)
    return wrapped(bench, kind, folder) if kind in WRAPPERS else rewritten(bench, kind, folder)


def everything(folder: Path) -> Iterator[tuple[Path, str]]:
    """Every bench below ``folder`` with every kind of rewrite."""
    for bench in sorted(folder.glob("*/bench.toml")):
        for kind in KINDS:
            yield bench, kind
