"""Expressions over long arrays, in few passes over memory, each of which writes where it is told.

Left to itself, numpy makes a new array for each step of an expression. Where arrays are long, fetching the memory for
these takes longer than the arithmetic, and each pass more is felt.
"""

import ast
from collections import Counter
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import sympy

from radonwork.engine.compiling import source_of

Call = tuple[str, list[ast.expr]]  # one of numpy's functions, and what it is of
_FUNCTIONS: dict[type[ast.AST], str] = {
    ast.Add: "add",
    ast.Sub: "subtract",
    ast.Mult: "multiply",
    ast.Div: "divide",
    ast.Pow: "power",
    ast.Lt: "less",
    ast.LtE: "less_equal",
    ast.Gt: "greater",
    ast.GtE: "greater_equal",
}


@cache
def in_places(
    takes: tuple[str, ...], arrays: frozenset[str], tests: tuple[sympy.Basic, ...], tree: sympy.Basic
) -> tuple[Callable[..., bool], int]:
    """`tree` as a function that leaves its values in an array that stands ready, and how many such places it works in.

    It takes the terms, an array of truths and then the places, the first for the values, and says whether all of
    `tests` hold. `arrays` are the terms that are arrays of doubles, all of one shape as the places are; the others are
    numbers. To the last bit the values are those of `function_of`.
    """
    source, names = source_of(takes, tree, "numpy", share=True)
    *lets, last = _body(source)
    steps = _Steps(names, set(arrays))
    for let in lets:
        if steps.has_array(let.value):
            steps.arrays.add(let.targets[0].id)
            steps.count(let.value, 2)  # here, and where its name stands
    steps.count(last.value)
    looks = [steps.look(_body(source_of(takes, test, "numpy")[0])[0].value) for test in tests]
    steps.keep(last.value)
    free = steps.places
    lines = [f"    {let.targets[0].id} = {steps.written(let.value, free, free + 1)[0]}" for let in lets]
    text, _ = steps.written(last.value, 0, free)
    lines += [f"    {text}" if steps.call(last.value) else f"    places[0][...] = {text}"]
    # The tests come last: the more a pass has to work, the better it hides how long its arrays take to come.
    held = [f"{steps.written(node, None, free)[0]}{ending}" for node, ending in looks]
    lines += [f"    return {' and '.join(held) or True}"]
    scope = dict(names)
    exec("\n".join([f"def worked({', '.join(takes)}, truths, *places):", *lines]), scope)  # as in function_of
    return scope["worked"], steps.places


def _body(source: str) -> list[Any]:
    """What stands in a function."""
    (function,) = ast.parse(source).body
    assert isinstance(function, ast.FunctionDef)
    return function.body


class _Steps:
    """Writes expressions anew as calls of numpy's functions, each with the place for its values."""

    def __init__(self, names: dict[str, Any], arrays: set[str]) -> None:
        self.names = names
        self.arrays = arrays
        self.met: Counter[str] = Counter()
        self.kept: dict[str, int] = {}  # the places of steps that are met more than once
        self.made: set[str] = set()  # those of them that are there already
        self.places = 1

    def has_array(self, node: ast.expr) -> bool:
        return any(isinstance(part, ast.Name) and part.id in self.arrays for part in ast.walk(node))

    def count(self, node: ast.expr, times: int = 1) -> None:
        """Take note of a step and, where it is a new one, of those within it."""
        if call := self.call(node):
            if _key(call) not in self.met:
                for part in call[1]:
                    self.count(part)
            self.met[_key(call)] += times

    def look(self, test: ast.expr) -> tuple[ast.expr, str]:
        """What shows whether a test holds, and how: a difference that is worked anyway, or else the truths."""
        ending = ".all()" if self.has_array(test) else ""
        match test:
            case ast.Compare(less, [ast.Lt() | ast.LtE() as order], [more]) | ast.Compare(
                more, [ast.Gt() | ast.GtE() as order], [less]
            ) if _key(("subtract", [more, less])) in self.met:
                test = ast.BinOp(more, ast.Sub(), less)
                ending = ".min() > 0" if isinstance(order, ast.Lt | ast.Gt) else ".min() >= 0"
        self.count(test)
        return test, ending

    def keep(self, last: ast.expr) -> None:
        """Set places aside for what is met more than once; `last` goes to the first place in any case."""
        first = _key(call) if (call := self.call(last)) else ""
        shared = sorted(key for key, times in self.met.items() if times > 1 and key != first)
        self.kept = {key: place for place, key in enumerate(shared, 1)}
        if self.met[first] > 1:
            self.kept[first] = 0
        self.places += len(shared)

    def written(self, node: ast.expr, place: int | None, free: int) -> tuple[str, bool]:
        """The expression anew, and whether its values come to stand in `place`; places from `free` on may be used.

        A comparison that is given no place leaves its truths in the array for these.
        """
        call = self.call(node)
        if not call:
            return ast.unparse(node), False
        name, parts = call
        key = _key(call)
        if key in self.made:
            return f"places[{self.kept[key]}]", False
        if key in self.kept:
            place = self.kept[key]
            self.made.add(key)
        doubles = not {"d->d", "dd->d"}.isdisjoint(self.names[name].types)
        here, free = (place, free) if doubles else (free, free + 1)
        arguments = []
        for part in parts:
            text, placed = self.written(part, here, free)
            arguments.append(text)
            if placed:  # where it must stay until the others are at hand
                here, free = free, free + 1
        if place is None:
            arguments.append("truths")
        elif doubles:
            arguments.append(f"places[{place}]")
            self.places = max(self.places, place + 1)
        return f"{name}({', '.join(arguments)})", doubles and key not in self.kept

    def call(self, node: ast.expr) -> Call | None:
        """The function that a step comes to; none for what is left as it is."""
        if not self.has_array(node):
            return None
        match node:
            case ast.BinOp(left, ast.Add(), right) if taken := _negated(right):
                return "subtract", [left, taken]  # sympy has sums only
            case ast.BinOp(left, ast.Add(), right) if taken := _negated(left):
                return "subtract", [right, taken]
            case ast.BinOp(left, ast.Div(), ast.Constant(int(by))) if by.bit_count() == 1:
                return "multiply", [left, ast.Constant(1 / by)]  # the same to the last bit, and quicker
            case ast.BinOp(left, ast.Pow(), ast.Constant(2)):
                return "square", [left]  # as numpy reads it too
            case ast.BinOp(_, ast.Pow(), right) if not (isinstance(right, ast.Constant) or self.has_array(right)):
                return None  # the operator goes about some exponents in ways that `power` does not
            case ast.BinOp(left, operator, right) | ast.Compare(left, [operator], [right]) if (
                type(operator) in _FUNCTIONS
            ):
                return _FUNCTIONS[type(operator)], [left, right]
            case ast.Call(ast.Name(name), arguments) if isinstance(self.names.get(name), np.ufunc):
                return name, arguments
        return None


def _key(call: Call) -> str:
    return f"{call[0]}({', '.join(map(ast.unparse, call[1]))})"


def _negated(node: ast.expr) -> ast.expr | None:
    """What a product that begins with a negative number is the negative of."""
    match node:
        case ast.UnaryOp(ast.USub(), operand):
            return operand
        case ast.BinOp(left, (ast.Mult() | ast.Div()) as operator, right) if rest := _negated(left):
            one = isinstance(rest, ast.Constant) and rest.value == 1 and isinstance(operator, ast.Mult)
            return right if one else ast.BinOp(rest, operator, right)
    return None
