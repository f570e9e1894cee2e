"""What the code of a counter says against what it is taken for."""

from __future__ import annotations

import re
from collections.abc import Iterable

from verify.bench.inference.code_text import without_ranges
from verify.bench.inference.findings import Question
from verify.bench.inference.seen import Seen
from verify.bench.inference.view import View

__all__ = ["odd_step", "other_code", "steps_down", "upper_bits"]


def other_code(view: View, wide: list[Seen]) -> str | None:
    """Why the number that comes out is none that is counted in steps, None when it may be."""
    if re.search(r"(?i)gray|johnson|lfsr|prbs|one_?hot|ring|random|shift|twisted", view.name.text):
        return f"{view.module.name} by its name counts in no steps"
    if view.module.instances or len(wide) != 1:
        return None
    registers = {r.name for r in view.module.registers}
    port = wide[0].port.name
    if port in registers:
        return None if re.search(r"[-+]", without_ranges(view.text)) else f"{port} is not stepped up or down"
    source = re.search(rf"assign\s+{re.escape(port)}\s*=\s*([^;]+);", view.text)
    if source and source[1].strip() in registers and not re.search(r"[-+]", without_ranges(view.text)):
        return f"{port} is {source[1].strip()}, which is not stepped up or down"
    if source and not re.fullmatch(r"\s*\w+\s*(\[[^\]]*\])?\s*|\s*\{[\w\s,]*\}\s*", source[1]):
        return f"{port} is made of other signals: {' '.join(source[1].split())[:60]}"
    return None


def upper_bits(view: View, wide: list[Seen]) -> list[Question]:
    """The highest bits of a longer register step once in many clocks, a number that only the code says."""
    for seen in wide:
        source = re.search(
            rf"assign\s+{re.escape(seen.port.name)}\s*=\s*(\w+)\s*\[\s*\d+\s*:\s*(\d+)\s*\]\s*;", view.text
        )
        if source and int(source[2]) and source[1] in {r.name for r in view.module.registers}:
            clocks = 1 << int(source[2])
            text = (
                f"how many clocks does a step of {seen.port.name} have? It is the upper bits of {source[1]}, "
                f"which step once in {clocks:,} clocks, and no name, parameter or comment says what is meant"
            )
            lines = 'model = "timer", ports = { stages = ["%s"] }, expect = { modulo = [%d], ratio = %s }'
            states = 1 << seen.width
            return [
                Question(
                    text,
                    (
                        (f"{clocks:,} clocks", lines % (seen.port.name, states, f"{clocks:_}")),
                        ("another number", lines % (seen.port.name, states, "CLOCKS")),
                    ),
                    seen.port.place,
                )
            ]
    return []


def steps_down(view: View, names: Iterable[str]) -> bool:
    """Whether the code takes one away from all of these signals, and adds to none of them."""
    text = without_ranges(view.text)
    one = r"\s*(?:\d*'[sS]?[bdhBDH]0*)?1\b(?!')"

    def stepped(name: str, sign: str) -> bool:
        return bool(re.search(rf"\b{name}\s*<?=[^;]*\b{name}\s*\{sign}{one}", text))

    escaped = [re.escape(name) for name in names]
    down = [stepped(name, "-") for name in escaped]
    return bool(down) and all(down) and not any(stepped(name, "+") for name in escaped)


_BASES = {"b": 2, "o": 8, "d": 10, "h": 16}
_LITERAL = (
    r"(?:\d*\s*'[sS]?(?P<base>[bodhBODH])\s*(?=[0-9a-fA-F_]+\b))?"
    r"(?P<digits>(?(base)[0-9a-fA-F_]+|\d+))\b(?!\s*')"
)


def odd_step(view: View, wide: list[Seen]) -> list[Question]:
    """A step other than one in the code may be meant, or a slip."""
    seen = wide[0] if len(wide) == 1 else None
    for counted in () if seen is None else (seen.port.name, *(r.name for r in view.module.registers)):
        name = re.escape(counted)
        match = re.search(rf"\b{name}\s*<?=[^;]*\b{name}\s*[-+]\s*{_LITERAL}", view.text)
        step = 1 if match is None else int(match["digits"], _BASES[(match["base"] or "d").lower()])
        if seen is not None and step > 1:
            return [
                Question(
                    f"in which steps does {seen.port.name} count? The code adds {step}",
                    (
                        (f"steps of {step}", f"expect = {{ step = {step} }}"),
                        ("steps of 1", "expect = { step = 1 }"),
                    ),
                    seen.port.place,
                )
            ]
    return []
