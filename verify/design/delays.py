"""Delays that make a design's behaviour a matter of simulated time."""

from __future__ import annotations

from pyslang import ast

__all__ = ["LONGEST_DELAY_NS", "context_of", "delay_ns", "unit_ns_of", "waits_then_acts"]

LONGEST_DELAY_NS = 200.0
"""Synthesis ignores delays. They are written to be short against the clock, and up to this one they
end before the next sample of the harness."""

_NS = {"fs": 1e-6, "ps": 1e-3, "ns": 1.0, "us": 1e3, "ms": 1e6, "s": 1e9}
_ACTS = (ast.AssignmentExpression, ast.EventTriggerStatement)


def delay_ns(
    control: ast.DelayControl | ast.Delay3Control, unit_ns: float, context: ast.EvalContext
) -> float:
    """The longest delay in it, in nanoseconds; infinite when it is no constant."""
    parts = [getattr(control, name, None) for name in ("expr", "expr1", "expr2", "expr3")]
    return max(_number(part, context) for part in parts if part is not None) * unit_ns


def context_of(body: ast.InstanceBodySymbol) -> ast.EvalContext:
    """For evaluating expressions inside a module."""
    return ast.EvalContext(ast.ASTContext(body, ast.LookupLocation.max))  # type: ignore[arg-type]


def unit_ns_of(scale: object) -> float:
    """The time unit of a module in nanoseconds; 1 when it names none, as in the harness."""
    if scale is None:
        return 1.0
    number = str(scale).partition("/")[0].strip()
    digits = number.rstrip("fpnums")
    return float(digits) * _NS[number[len(digits) :]]


def waits_then_acts(block: ast.ProceduralBlockSymbol) -> ast.TimingControl | None:
    """The first delay of a block that something other than printing comes after."""
    found: list[ast.TimingControl] = []
    acted: list[object] = []

    def note(node: object) -> None:
        if isinstance(node, (ast.DelayControl, ast.Delay3Control)):
            found.append(node)
        elif found and isinstance(node, _ACTS):
            acted.append(node)

    block.visit(note)
    return found[0] if acted else None


def _number(expression: ast.Expression, context: ast.EvalContext) -> float:
    value = expression.eval(context).value
    try:
        return float(value) if isinstance(value, float) else float(int(value))  # type: ignore[call-overload]
    except (TypeError, ValueError):
        return float("inf")
