"""What a combinational block makes of its inputs: assignments followed in their order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pyslang import ast

from verify.design.dataflow import Bit, Deps, Graph, bits_of, followed, targets
from verify.design.walk import targets_of

__all__ = ["follow"]


@dataclass(frozen=True, slots=True)
class _Made:
    """What a bit depends on so far; ``always`` False: on some way through it keeps its old value."""

    deps: Deps
    always: bool


_State = dict[Bit, _Made]


def follow(graph: Graph, block: ast.ProceduralBlockSymbol) -> dict[Bit, Deps]:
    """Bit -> what it depends on after the block; bits that may keep their value are left out."""
    body = block.body
    if isinstance(body, ast.TimedStatement):
        body = body.stmt
    follower = _Follower(graph, body)
    state = follower.run(body, {}, ())
    return {bit: made.deps for bit, made in state.items() if made.always}


class _Follower:
    def __init__(self, graph: Graph, body: ast.Statement) -> None:
        self._graph = graph
        self._written: set[ast.Symbol] = set()
        body.visit(self._note)

    def _note(self, node: object) -> None:
        if isinstance(node, ast.AssignmentExpression):
            self._written.update(targets_of(node.left))

    def run(  # noqa: PLR0911, C901 -- one case per kind of statement
        self, node: ast.Statement, state: _State, control: Deps
    ) -> _State:
        """``state`` changed to what it is after a statement that runs under ``control``."""
        match node:
            case ast.StatementList():
                for statement in node.list:
                    state = self.run(statement, state, control)
                return state
            case ast.BlockStatement():
                return self.run(node.body, state, control)
            case ast.TimedStatement():
                return self.run(node.stmt, state, control)
            case ast.VariableDeclStatement():
                return self._declare(node.symbol, state)
            case ast.ExpressionStatement():
                return self._expression(node.expr, state, control)
            case ast.ConditionalStatement():
                control = self._under(control, [c.expr for c in node.conditions], state)
                return self._merged([node.ifTrue], node.ifFalse, state, control)
            case ast.CaseStatement():
                choices = [node.expr, *(e for item in node.items for e in item.expressions)]
                control = self._under(control, choices, state)
                others = [item.stmt for item in node.items]
                return self._merged(others, node.defaultCase, state, control)
            case ast.ForLoopStatement():
                for expression in [*node.initializers, *node.steps]:
                    state = self._expression(expression, state, control)
                for variable in node.loopVars:
                    state = self._declare(variable, state)
                return self._repeated(node.body, state, control)
            case ast.RepeatLoopStatement() | ast.WhileLoopStatement() | ast.ForeachLoopStatement():
                return self._repeated(node.body, state, control)
        return state

    def _repeated(self, body: ast.Statement, state: _State, control: Deps) -> _State:
        """Loops of a design run at least once; twice shows what one round hands to the next."""
        return self.run(body, self.run(body, state, control), control)

    def _declare(self, symbol: ast.VariableSymbol, state: _State) -> _State:
        deps = self._bits(symbol.initializer, state) if symbol.initializer is not None else []
        made = _Made(self._graph.joined(*deps), always=True)
        state.update({(symbol, bit): made for bit in range(followed(symbol))})
        return state

    def _under(self, control: Deps, conditions: Iterable[ast.Expression], state: _State) -> Deps:
        read = (deps for condition in conditions for deps in self._bits(condition, state))
        return self._graph.joined(control, *read)

    def _expression(self, node: ast.Expression, state: _State, control: Deps) -> _State:
        match node:
            case ast.AssignmentExpression():
                return self._assign(node.left, self._bits(node.right, state), state, control)
            case ast.UnaryExpression():
                return self._assign(node.operand, self._bits(node.operand, state), state, control)
            case ast.CallExpression():
                read = [a for a in node.arguments if not isinstance(a, ast.AssignmentExpression)]
                deps = self._graph.joined(*(d for argument in read for d in self._bits(argument, state)))
                for argument in node.arguments:
                    if isinstance(argument, ast.AssignmentExpression):
                        width = followed(argument.left)
                        state = self._assign(argument.left, [deps] * width, state, control)
        return state

    def _bits(self, node: ast.Expression, state: _State) -> list[Deps]:
        def lookup(symbol: ast.Symbol, width: int, variable: bool) -> Sequence[Deps]:
            found = []
            for bit in range(width):
                made = state.get((symbol, bit))
                if made is not None:
                    found.append(made.deps)
                elif variable and symbol in self._written:
                    # Which element is read is not known; the one meant has mostly been written before.
                    found.append(())
                else:
                    found.append(((symbol, bit),))
            return found

        return bits_of(self._graph, node, lookup)

    def _assign(self, left: ast.Expression, values: list[Deps], state: _State, control: Deps) -> _State:
        for position, alternatives in enumerate(targets(self._graph, left)):
            deps = values[position] if position < len(values) else ()
            for target in alternatives:
                if target.sure:
                    state[target.bit] = _Made(self._graph.joined(deps, control), always=True)
                elif (old := state.get(target.bit)) is not None:
                    joined = self._graph.joined(old.deps, deps, control, target.index)
                    state[target.bit] = _Made(joined, old.always)
        return state

    def _merged(
        self, ways: Iterable[ast.Statement], last: ast.Statement | None, state: _State, control: Deps
    ) -> _State:
        """The state after one of ``ways``, or ``last``, or (when that is None) nothing at all."""
        ends = [self.run(way, dict(state), control) for way in ways]
        ends.append(self.run(last, dict(state), control) if last is not None else state)
        merged: _State = {}
        for bit in dict.fromkeys(bit for end in ends for bit in end):
            made = [end[bit] for end in ends if bit in end]
            always = len(made) == len(ends) and all(one.always for one in made)
            merged[bit] = _Made(self._graph.joined(*(one.deps for one in made)), always)
        return merged
