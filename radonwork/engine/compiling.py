"""Expressions as Python functions of numbers or of arrays: written out and compiled once.

sympy's own `lambdify` and its printers do this too and take several times as long, most of it for what nothing here asks
for; a test holds what is written here against them.
"""

import math
from collections.abc import Callable, Iterable, Sequence, Set
from functools import cache, reduce
from typing import Any, Literal

import numpy as np
import sympy

Let = tuple[sympy.Symbol, sympy.Expr]

_RELATIONS = {
    sympy.StrictLessThan: "<",
    sympy.LessThan: "<=",
    sympy.StrictGreaterThan: ">",
    sympy.GreaterThan: ">=",
    sympy.Equality: "==",
    sympy.Unequality: "!=",
}
# What a function is called in the math module and in numpy, if not by sympy's name; scipy has the Bessel functions.
_ALIKE = (
    sympy.cos,
    sympy.cosh,
    sympy.erfc,
    sympy.exp,
    sympy.floor,
    sympy.log,
    sympy.sin,
    sympy.sinh,
    sympy.tan,
    sympy.tanh,
)
_BESSEL = {sympy.besseli: "iv", sympy.besselk: "kv"}
_FUNCTIONS: dict[Any, tuple[str, str]] = {
    **{function: (function.__name__, function.__name__) for function in _ALIKE},
    **{function: (name, name) for function, name in _BESSEL.items()},
    sympy.Abs: ("abs", "abs"),
    sympy.acos: ("acos", "arccos"),
    sympy.acosh: ("acosh", "arccosh"),
    sympy.asin: ("asin", "arcsin"),
    sympy.asinh: ("asinh", "arcsinh"),
    sympy.atan: ("atan", "arctan"),
    sympy.atanh: ("atanh", "arctanh"),
    sympy.Heaviside: ("step", "heaviside"),
    sympy.Max: ("max", "largest"),
    sympy.Min: ("min", "least"),
    sympy.And: ("every", "every"),
    sympy.Or: ("some", "some"),
}
# Numbers of Python's own come of them: numpy's warn of a division by zero where those raise an error.
_BESIDE_MATH: dict[str, Callable[..., Any]] = {
    "every": lambda *parts: all(parts),
    "some": lambda *parts: any(parts),
    "step": lambda *parts: float(np.heaviside(*parts)),
}
_BESIDE_NUMPY = {
    "erfc": np.vectorize(math.erfc, otypes=[float]),  # all of scipy's special functions are much to load for one
    "largest": lambda *parts: reduce(np.maximum, parts),
    "least": lambda *parts: reduce(np.minimum, parts),
    "every": lambda *parts: reduce(np.logical_and, parts),
    "some": lambda *parts: reduce(np.logical_or, parts),
}


class _Writer:
    """Writes expressions as Python, each part once: statements, and more so drawings, have many parts in common.

    Those in `shared` get a name of their own each, in `shares` by name in their order.
    """

    def __init__(self, arrays: bool, shared: Set[sympy.Basic] = frozenset()) -> None:
        self.arrays = arrays
        self.shared = shared
        self.shares: dict[str, str] = {}
        self.bessel = False
        self._written: dict[sympy.Basic, str] = {}

    def text(self, tree: sympy.Basic) -> str:
        """One expression; raises NotImplementedError for what Python has no name for here."""
        written = self._written.get(tree)
        if written is None:
            written = self._write(tree)
            if tree in self.shared:
                name = f"part{len(self.shares)}"
                self.shares[name], written = written, name
            self._written[tree] = written
        return written

    def _write(self, tree: Any) -> str:
        kind = tree.func
        if tree.is_Symbol:
            return str(tree.name)
        if kind is sympy.Add:
            return f"({' + '.join(map(self.text, tree.args))})"
        if kind is sympy.Mul:
            return self._product(tree.args)
        if kind is sympy.Pow:
            return self._power(*tree.args)
        if tree.is_Integer:
            return f"({tree.p})" if tree.p < 0 else str(tree.p)
        if tree.is_Rational:
            return f"({tree.p}/{tree.q})"
        if tree.is_number and not tree.args:
            return f"({float(tree)!r})"
        if kind is sympy.Piecewise:
            return self._cases(tree.args)
        if kind in _RELATIONS:
            left, right = map(self.text, tree.args)
            return f"({left} {_RELATIONS[kind]} {right})"
        if tree in (sympy.true, sympy.false):
            return str(bool(tree))
        if kind in _FUNCTIONS:
            self.bessel |= kind in _BESSEL
            return f"{_FUNCTIONS[kind][self.arrays]}({', '.join(map(self.text, tree.args))})"
        raise NotImplementedError(f"no Python for {kind.__name__}")

    def _product(self, factors: Sequence[Any]) -> str:
        over, under = [], []
        for factor in factors:
            if factor.is_Pow and factor.exp.is_Rational and factor.exp.p < 0 and factor not in self.shared:
                under.append(self._power(factor.base, -factor.exp))
            else:
                over.append(self.text(factor))
        above = "*".join(over) or "1"
        if not under:
            return f"({above})"
        return f"({above}/{under[0]})" if len(under) == 1 else f"({above}/({'*'.join(under)}))"

    def _power(self, base: Any, exponent: Any) -> str:
        written = self.text(base)
        if exponent.is_Rational and exponent.p < 0:
            return f"(1/{self._power(base, -exponent)})"
        if exponent == 1:
            return written
        if exponent == sympy.S.Half:
            return f"sqrt({written})"
        return f"({written}**{self.text(exponent)})"

    def _cases(self, cases: Sequence[Any]) -> str:
        values, conditions = zip(*((self.text(value), self.text(condition)) for value, condition in cases), strict=True)
        if self.arrays:
            return f"select([{', '.join(conditions)}], [{', '.join(values)}], default=nan)"
        written = "nan"
        for value, condition in zip(values[::-1], conditions[::-1], strict=True):
            written = value if condition == "True" else f"({value} if {condition} else {written})"
        return written


def has_bessel(tree: Any) -> bool:
    """Whether a Bessel function is in it: scipy has those; the math module, numpy and JavaScript have not."""
    return any(one.has(*_BESSEL) for one in (tree if isinstance(tree, list | tuple) else [tree]))


def function_of(
    takes: Iterable[str | sympy.Symbol],
    tree: Any,
    modules: Literal["math", "numpy"],
    *,
    lets: Iterable[Let] = (),
    share: bool = False,
) -> Any:
    """`tree`, or a list of them, as a function of numbers ("math") or arrays ("numpy"), with scipy's Bessel functions.

    `lets` are names in it, in order, with what each stands for. With `share` what is in it more than once is worked once.
    """
    source, names = source_of(takes, tree, modules, lets=lets, share=share)
    scope = dict(names)
    exec(source, scope)  # of our own statements, whose names are the glossary's
    return scope["worked"]


def source_of(
    takes: Iterable[str | sympy.Symbol],
    tree: Any,
    modules: Literal["math", "numpy"],
    *,
    lets: Iterable[Let] = (),
    share: bool = False,
) -> tuple[str, dict[str, Any]]:
    """What `function_of` makes, as the Python of a function `worked`, and the names that stand in it."""
    trees = [sympy.sympify(one) for one in (tree if isinstance(tree, list | tuple | sympy.Tuple) else [tree])]
    writer = _Writer(modules == "numpy", _shared(trees) if share else frozenset())
    named = [(str(symbol), writer.text(part)) for symbol, part in lets]
    written = [writer.text(one) for one in trees]
    result = written[0] if trees and trees[0] is tree else f"[{', '.join(written)}]"
    lines = [f"def worked({', '.join(map(str, takes))}):"]
    lines += [f"    {name} = {part}" for name, part in (*named, *writer.shares.items())]
    return "\n".join([*lines, f"    return {result}"]), _names(modules, writer.bessel)


def _shared(trees: Iterable[sympy.Basic]) -> set[sympy.Basic]:
    """What stands in several places of some trees, but not what does so only within such a part."""
    met: set[sympy.Basic] = set()
    shared: set[sympy.Basic] = set()

    def visit(part: sympy.Basic) -> None:
        if part in met:
            shared.add(part)
        elif part.args:
            met.add(part)
            for inner in part.args:
                visit(inner)

    for tree in trees:
        visit(tree)
    return shared


@cache
def _names(modules: str, bessel: bool) -> dict[str, Any]:
    names = {**vars(math), **_BESIDE_MATH} if modules == "math" else {**vars(np), **_BESIDE_NUMPY}
    if bessel:
        from scipy import special

        bessel_functions = {name: getattr(special, name) for name in _BESSEL.values()}
        names |= {name: _of_numbers(f) if modules == "math" else f for name, f in bessel_functions.items()}
    return names


def _of_numbers(function: Callable[..., Any]) -> Callable[..., float]:
    return lambda *parts: float(function(*parts))
