"""A solver: what no closed form gives, with the face of a formula, so that a sheet does not care which it holds."""

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import sympy

from radonwork.engine.formula import (
    Range,
    RangeError,
    Values,
    as_quantities,
    bound,
    check_range,
    read_defaults,
    read_ranges,
    symbol,
    title_of,
)
from radonwork.engine.refusals import Refusal
from radonwork.engine.sources import Source
from radonwork.engine.work import Work
from radonwork.glossary import System, term
from radonwork.units import Quantity

SOLVERS: dict[str, "Solver"] = {}


@dataclass(frozen=True)
class Solver:
    """`gives` found by `function` from the terms in `takes`; `equations` are what it solves, both sides checkable."""

    name: str
    title: str
    gives: tuple[str, ...]
    takes: tuple[str, ...]
    source: Source
    function: Callable[..., Mapping[str, Values]] = field(repr=False)
    equations: tuple[sympy.Eq, ...] = ()
    ranges: Mapping[str, Range] = field(default_factory=dict)
    assumptions: tuple[str, ...] = ()
    defaults: Mapping[str, Quantity] = field(default_factory=dict)
    conditions: tuple[Any, ...] = ()

    def __call__(self, **terms: Values) -> dict[str, Values]:
        """Every result by name, in SI; arrays in, arrays out. Raises TermError and RangeError as a formula does."""
        values = bound(self, terms)
        for name, value in values.items():
            check_range(self, name, value)
        try:
            with np.errstate(all="ignore"):  # on the way to an answer it may try what has none
                found = self.function(**values)
        except Refusal as reason:
            raise RangeError(reason.reason, self.name) from None
        except ValueError as reason:
            raise RangeError(str(reason), self.name) from None
        except ArithmeticError:
            raise RangeError("these values are too large or too small to work with", self.name) from None
        return {name: found[name] if isinstance(found[name], np.ndarray) else float(found[name]) for name in self.gives}

    def work(self, system: System = "us", **given: Quantity | float) -> Work:
        """One evaluation: the equations solved, both sides at the root, the results."""
        quantities = as_quantities(self, given)
        found = self(**{name: quantity.value for name, quantity in quantities.items()})
        return Work(self, system, quantities, {name: float(value) for name, value in found.items()})


def solver(
    gives: tuple[str, ...],
    source: Source,
    solves: Callable[..., list[sympy.Eq]] | None = None,
    **ranges: tuple[str, str],
) -> Callable[[Callable[..., Mapping[str, Values]]], Solver]:
    """Read a function of glossary terms that returns {term: value} as a solver and register it under its name.

    `solves` is a function of glossary terms, given or found, that returns the equations whose root the answer is.
    """

    def register(function: Callable[..., Mapping[str, Values]]) -> Solver:
        title, assumptions = title_of(function)
        takes = tuple(inspect.signature(function).parameters)
        for name in (*gives, *takes):
            term(name)
        equations: tuple[sympy.Eq, ...] = ()
        if solves is not None:
            with sympy.evaluate(False):
                equations = tuple(solves(**{name: symbol(name) for name in inspect.signature(solves).parameters}))
        made = Solver(
            name=function.__name__,
            title=title,
            gives=gives,
            takes=takes,
            source=source,
            function=function,
            equations=equations,
            ranges=read_ranges(ranges),
            assumptions=assumptions,
            defaults=read_defaults(function),
        )
        SOLVERS[made.name] = made
        return made

    return register
