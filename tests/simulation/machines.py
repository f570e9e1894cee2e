"""Random synchronous machines, as Verilog and as Python.

Every operation makes all bits unknown when one operand is wholly unknown, so that None stands for x.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

from rtl import EARLY

WIDTHS = (1, 1, 2, 7, 8, 31, 32, 33, 61, 62, 63, 64, 65, 128, 200)
Value = int | None


def fit(value: Value, width: int, wanted: int) -> Value:
    """Repeat or cut to the width wanted."""
    if value is None:
        return None
    for _ in range(-(-wanted // width) - 1):
        value = value << width | value & ((1 << width) - 1)
    return value & ((1 << wanted) - 1)


@dataclass
class Machine:
    """``rows`` of a stimulus are (clocks, reset level, input values ...)."""

    seed: int
    delays: bool = False
    inputs: list[tuple[str, int]] = field(default_factory=list)
    registers: list[tuple[str, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        rng = self.rng = Random(self.seed)
        self.inputs = [(f"i{n}", rng.choice(WIDTHS)) for n in range(rng.randrange(4))]
        self.registers = [(f"r{n}", rng.choice(WIDTHS)) for n in range(rng.randint(1, 3))]
        self.edge = rng.choice(["rising", "falling"])
        self.asynchronous = rng.random() < 0.5
        self.active = rng.randrange(2)
        self.initialised = rng.random() < 0.4
        sources = self.inputs + self.registers
        self.rules = [
            (rng.choice(["xor", "add", "turn"]), rng.choice(sources), rng.choice(sources))
            for _ in self.registers
        ]
        self.mixes = [(rng.choice(sources), rng.choice(self.registers)) for _ in range(2)]
        self.resets = [rng.getrandbits(w) for _, w in self.registers]
        self.starts = [rng.getrandbits(w) if self.initialised else None for _, w in self.registers]
        self.start_copy = rng.getrandbits(self.registers[0][1]) if self.initialised else None
        self.ascending = rng.random() < 0.5

    @property
    def outputs(self) -> list[tuple[str, int]]:
        mixed = [(f"mix{n}", register[1]) for n, (_, register) in enumerate(self.mixes)]
        return [*((f"o_{n}", w) for n, w in self.registers), *mixed, ("copy", self.registers[0][1])]

    def verilog(self) -> str:
        """The machine as a module ``dut`` with ports clk and rst."""
        active, other = ("posedge", "negedge") if self.edge == "rising" else ("negedge", "posedge")
        wait = "#1 " if self.delays else ""
        late = "#2 " if self.delays else ""
        level = f"{'' if self.active else '!'}rst"
        events = f"{active} clk"
        if self.asynchronous:
            events += f" or {'posedge' if self.active else 'negedge'} rst"
        bounds = (lambda w: f"[0:{w - 1}]") if self.ascending else (lambda w: f"[{w - 1}:0]")
        ports = ["input clk", "input rst", *(f"input {bounds(w)} {n}" for n, w in self.inputs)]
        ports += [f"output {bounds(w)} {n}" for n, w in self.outputs]
        lines = [f"module dut({', '.join(ports)});"]
        for (name, width), start in zip(self.registers, self.starts, strict=True):
            initial = "" if start is None else f" = {width}'h{start:x}"
            lines += [f"  reg [{width - 1}:0] {name}{initial};", f"  assign {late}o_{name} = {name};"]
        for n, ((name, width), (kind, a, b)) in enumerate(zip(self.registers, self.rules, strict=True)):
            lines.append(
                f"  wire [{width - 1}:0] a{n} = {self._fitted(a, width)}, b{n} = {self._fitted(b, width)};"
            )
            turned = f"{{a{n}[{width - 2}:0], a{n}[{width - 1}]}}" if width > 1 else f"a{n}"
            text = {"xor": f"a{n} ^ b{n}", "add": f"a{n} + b{n}", "turn": turned}[kind]
            reset = f"if ({level}) {name} <= {wait}{width}'h{self.resets[n]:x};"
            lines.append(f"  always @({events}) {reset} else {name} <= {wait}{text};")
        for n, (source, register) in enumerate(self.mixes):
            lines.append(f"  assign {late}mix{n} = {self._fitted(source, register[1])} ^ {register[0]};")
        name, width = self.registers[0]
        initial = "" if self.start_copy is None else f" = {width}'h{self.start_copy:x}"
        lines += [
            f"  reg [{width - 1}:0] held{initial};",
            f"  always @({other} clk) held <= {wait}{name};",
            f"  assign {late}copy = held;",
        ]
        return "\n".join([*lines, "endmodule"]) + "\n"

    @staticmethod
    def _fitted(source: tuple[str, int], width: int) -> str:
        name, own = source
        return f"{{{-(-width // own)}{{{name}}}}}"

    def rows(self, count: int) -> list[tuple[int, ...]]:
        """Before reset, then resets of every kind among dense and held rows."""
        rng = self.rng
        values = lambda: [rng.getrandbits(w) for _, w in self.inputs]  # noqa: E731
        on, off = self.active, 1 - self.active
        rows: list[tuple[int, ...]] = [(2, off, *values()), (1, on, *values())]
        for _ in range(count):
            kind = rng.random()
            if kind < 0.1:
                rows += [(0, on, *values()), (0, off, *values())]
            elif kind < 0.2:
                rows += [(EARLY, on, *values()), (EARLY, off, *values())]
            elif kind < 0.25:
                rows += [(rng.randrange(3), on, *values())]
            elif kind < 0.5:
                rows += [(rng.randint(2, 20), off, *values())]
            else:
                rows += [(1, off, *values())]
        return rows

    def expected(self, rows: list[tuple[int, ...]]) -> list[tuple[Value, ...]]:
        """The outputs of each cycle."""
        state = dict(zip((n for n, _ in self.registers), self.starts, strict=True))
        copy, result = self.start_copy, []
        first, fallen = self.registers[0][0], True
        for clocks, reset, *values in rows:
            now: dict[str, Value] = dict(zip((n for n, _ in self.inputs), values, strict=True))
            for step in range(max(1, clocks)):
                if self.asynchronous and reset == self.active:
                    state = dict(zip(state, self.resets, strict=True))
                if clocks == EARLY and not fallen:
                    copy = state[first]  # the other edge is still to come
                if step >= clocks:
                    fallen = fallen or clocks == 0
                    break
                every = {**state, **now}
                mixed = [self._xor(every, s, r, r[1]) for s, r in self.mixes]
                result.append((*state.values(), *mixed, copy))
                state = self._next(every, reset)
                copy, fallen = state[first], False
        return result

    def _next(self, every: dict[str, Value], reset: int) -> dict[str, Value]:
        if reset == self.active:
            return {n: r for (n, _), r in zip(self.registers, self.resets, strict=True)}
        return {
            n: self._apply(every, rule, w) for (n, w), rule in zip(self.registers, self.rules, strict=True)
        }

    def _apply(
        self, every: dict[str, Value], rule: tuple[str, tuple[str, int], tuple[str, int]], width: int
    ) -> Value:
        kind, a, b = rule
        x = fit(every[a[0]], a[1], width)
        if kind == "turn":
            return None if x is None else (x << 1 | x >> (width - 1)) & ((1 << width) - 1)
        y = fit(every[b[0]], b[1], width)
        if x is None or y is None:
            return None
        return x ^ y if kind == "xor" else (x + y) & ((1 << width) - 1)

    def _xor(self, every: dict[str, Value], a: tuple[str, int], b: tuple[str, int], width: int) -> Value:
        return self._apply(every, ("xor", a, b), width)
