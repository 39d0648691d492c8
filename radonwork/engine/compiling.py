"""Expressions as Python functions of numbers or of arrays: written by sympy's printers, compiled once.

sympy's own `lambdify` does this too and takes several times as long, most of it for what nothing here asks for.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import reduce
from typing import Any, Literal

import numpy as np
import sympy
from sympy.printing.numpy import NumPyPrinter, SciPyPrinter
from sympy.printing.pycode import PythonCodePrinter

Parts = tuple[Sequence[tuple[sympy.Symbol, sympy.Expr]], Any]
_AS_IT_STANDS = {
    "fully_qualified_modules": False,
    "inline": True,
    "allow_unknown_functions": False,
    "order": "none",  # putting the terms of every sum in order would take longer than all else
}


class _Once:
    """A printer that prints each part once: statements, and more so drawings, have many parts in common."""

    def __init__(self) -> None:
        super().__init__(dict(_AS_IT_STANDS))  # type: ignore[call-arg]  # the printer beside it
        self._printed: dict[tuple[type, Any], str] = {}
        self._not_supported: set[Any] = set()
        self._number_symbols: set[Any] = set()

    def _print(self, expr: Any, **kwargs: Any) -> str:
        printed = super()._print  # type: ignore[misc]
        if kwargs or not isinstance(expr, sympy.Basic):
            return str(printed(expr, **kwargs))
        key = type(expr), expr
        if key not in self._printed:
            self._printed[key] = str(printed(expr))
        return self._printed[key]

    def text(self, expr: Any) -> str:
        """One expression as Python; raises NotImplementedError for what the names at hand do not have."""
        written = self._print(sympy.sympify(expr))
        if self._not_supported:
            raise NotImplementedError(f"no Python for {', '.join(sorted(map(str, self._not_supported)))}")
        return written


class _OfNumbers(_Once, PythonCodePrinter):
    pass


class _OfArrays(_Once, NumPyPrinter):
    def _print_erfc(self, expr: sympy.Function) -> str:
        return f"erfc({self._print(expr.args[0])})"


class _OfArraysWithBessel(_Once, SciPyPrinter):
    pass


# What numpy's printer writes that numpy has not; all of scipy's special functions are much to load for one.
_BESIDE_NUMPY = {"reduce": reduce, "erfc": np.vectorize(math.erfc, otypes=[float])}


def has_bessel(tree: Any) -> bool:
    """Whether a Bessel function is in it: scipy has those; the math module, numpy and JavaScript have not."""
    trees = tree if isinstance(tree, list | tuple) else [tree]
    return any(one.has(sympy.besseli, sympy.besselk) for one in trees)


def function_of(
    takes: Iterable[str | sympy.Symbol],
    tree: Any,
    modules: Literal["math", "numpy"],
    parts: Callable[[Any], Parts] | None = None,
) -> Any:
    """`tree`, or a list of them, as a function of numbers ("math") or arrays ("numpy"), with scipy's Bessel functions.

    `parts` takes out what is in it more than once: names with their expressions, and the tree with the names in it.
    """
    printer, names = _printer(tree, modules)
    lets, rest = parts(tree) if parts else ((), tree)
    several = isinstance(rest, list | tuple | sympy.Tuple)
    result = f"[{', '.join(map(printer.text, rest))}]" if several else printer.text(rest)
    lines = [f"def worked({', '.join(map(str, takes))}):"]
    lines += [f"    {symbol} = {printer.text(part)}" for symbol, part in lets]
    scope = dict(names)
    exec("\n".join([*lines, f"    return {result}"]), scope)  # of our own statements, whose names are the glossary's
    return scope["worked"]


def _printer(tree: Any, modules: str) -> tuple[_Once, Mapping[str, Any]]:
    bessel = has_bessel(tree)
    if modules == "math" and not bessel:
        return _OfNumbers(), vars(math)
    if not bessel:
        return _OfArrays(), {**vars(np), **_BESIDE_NUMPY}
    from scipy import special

    return _OfArraysWithBessel(), {**vars(np), **_BESIDE_NUMPY, **vars(special)}


def common_parts(tree: Any) -> Parts:
    """What a tree has in it more than once, by name, and the tree with the names in it."""
    inner = [part for part in sympy.preorder_traversal(tree) if part.args]
    if len(set(inner)) == len(inner):
        return [], tree
    # Taking common parts out writes the statement anew, so only where there are any.
    parts, rest = sympy.cse(tree, list=False)
    return (parts, rest) if parts else ([], tree)
