"""What speaks against a call of a system task, in the place where it stands."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import PurePosixPath

from pyslang import ast

from verify.design import system_names as names
from verify.design.delays import context_of

__all__ = ["Spot", "objection", "text_of"]

_TELLS = re.compile(r"%\d*[mltv]", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where in a module: in a block that runs once, under a condition, in what is only printed."""

    once: bool = False
    guarded: bool = False
    printed: bool = False


def objection(node: ast.CallExpression, name: str, spot: Spot, body: ast.InstanceBodySymbol) -> str | None:
    """Why the call of ``name`` is unsafe, a clause; None when it is not."""
    if name in names.HARMLESS | names.PRINTS:
        return None
    if name in names.LOADS | names.DUMPS:
        return _file_objection(node, name, body)
    telling = bool(_TELLS.search(str(node.syntax)))
    rules = (
        (names.CLOCKS, spot.printed, "simulated time does not exist on a board"),
        (names.RANDOM, spot.once or spot.printed, "no circuit behaves at random"),
        (names.ENDS, spot.guarded and (spot.once or name == "$fatal"), "it ends the simulation"),
        (names.TEXTS, spot.printed or not telling, "a design has no use for its own name or the time"),
    )
    for group, fine, why in rules:
        if name in group:
            return None if fine else why
    return names.REASONS.get(name, "it reaches out of the design")


def _file_objection(node: ast.CallExpression, name: str, body: ast.InstanceBodySymbol) -> str | None:
    if (name in names.DUMPS and name != "$dumpfile") or not node.arguments:
        return None
    path = text_of(node.arguments[0], body)
    if path is None:
        return "the name of its file is not constant"
    if name == "$dumpfile":
        far = PurePosixPath(path).is_absolute() or ".." in PurePosixPath(path).parts
        return f'it writes "{path}", outside the folder of the run' if far else None
    return f'it reads "{path}", outside the folders of the design' if _far(path) else None


def _far(path: str) -> bool:
    """Whether a name leaves the folder beside its own (``../data/rom.hex`` is usual)."""
    pure = PurePosixPath(path)
    depth = lowest = 0
    for part in pure.parts:
        depth += -1 if part == ".." else 1
        lowest = min(lowest, depth)
    return pure.is_absolute() or lowest < -1


def text_of(expression: ast.Expression, body: ast.InstanceBodySymbol) -> str | None:
    """The text that an argument stands for, through parameters; None when it is not constant."""
    literal = expression
    while isinstance(literal, ast.ConversionExpression):
        literal = literal.operand
    if isinstance(literal, ast.StringLiteral):
        return str(literal.value)
    value = expression.eval(context_of(body))
    if value.value is None:
        return None
    text = value.convertToStr().value
    return text if isinstance(text, str) else None
