"""One evaluation with its shown work: the statement in symbols, the numbers put in, the result."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Protocol

import sympy

from radonwork.engine.printing import TEXT, Notation, printed
from radonwork.engine.sources import Source
from radonwork.glossary import System, term
from radonwork.units import Quantity, decimal, shown

# Enough digits that the printed numbers, worked by hand, give the printed result.
GIVEN_DIGITS, RESULT_DIGITS = 6, 5


class Statement(Protocol):
    """What a formula and a solver have in common."""

    @property
    def name(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def gives(self) -> tuple[str, ...]: ...
    @property
    def takes(self) -> tuple[str, ...]: ...
    @property
    def source(self) -> Source: ...
    @property
    def assumptions(self) -> tuple[str, ...]: ...
    @property
    def equations(self) -> tuple[sympy.Eq, ...]: ...


@dataclass(frozen=True)
class Work:
    """`statement` evaluated once. Values are SI; `spread` holds the least and largest result over the stated tolerances."""

    statement: Statement
    system: System
    given: Mapping[str, Quantity]
    results: Mapping[str, float]
    spread: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    note: str = ""

    @property
    def values(self) -> dict[str, float]:
        """Every value in it, given and found, in SI."""
        return {name: quantity.value for name, quantity in self.given.items()} | dict(self.results)

    def numbers(self, digits: int = GIVEN_DIGITS) -> dict[str, str]:
        """The text put in for each symbol, in the person's units."""
        return {name: decimal(value, worked_unit(name, self.system), digits) for name, value in self.values.items()}

    def shown(self, name: str) -> str:
        """One value as people write it, with its tolerance or spread where there is one."""
        entry = term(name)
        if name in self.given:
            quantity = self.given[name]
            tail = f" ± {difference(name, quantity.tolerance, entry.unit(self.system))}" if quantity.tolerance else ""
            return entry.written(quantity.value, self.system) + tail
        between = self.between(name)
        return entry.written(self.results[name], self.system) + (
            f", {between} over the stated tolerances" if between else ""
        )

    def between(self, name: str) -> str:
        """The least and the most of a result over the stated tolerances; empty where they do not move it."""
        entry = term(name)
        if name not in self.spread or math.isclose(*self.spread[name]) or entry.negligible(self.spread[name][1]):
            return ""
        low, high = (
            entry.written(value, self.system) if entry.negligible(value) else decimal(value, entry.unit(self.system), 4)
            for value in self.spread[name]
        )
        return f"{low} to {high}"

    def steps(self, notation: Notation = TEXT) -> Iterator[str]:
        """The shown work, line by line: symbols, then numbers, then the result; one group for each equation."""
        numbers = self.numbers()
        for equation in self.statement.equations:
            yield printed(equation, notation)
            yield self._put_in(equation, notation, numbers)
        for name, value in self.results.items():
            result = decimal(value, term(name).unit(self.system), RESULT_DIGITS)
            yield notation.row([printed(sympy.Symbol(name), notation), notation.op("="), notation.quantity(result)])

    def _put_in(self, equation: sympy.Eq, notation: Notation, numbers: dict[str, str]) -> str:
        """The equation with its numbers; the side that stands alone for a result keeps its symbol."""
        left, right = equation.lhs, equation.rhs
        alone = left.is_Symbol and left.name in self.results
        sides = [printed(left, notation, None if alone else numbers), printed(right, notation, numbers)]
        return notation.row([sides[0], notation.op("="), sides[1]])

    def text(self) -> str:
        """The whole working as plain text."""
        return "\n".join(
            [self.statement.title, *(f"  {line}" for line in self.steps()), f"  Source: {self.statement.source}"]
        )


def worked_unit(name: str, system: System) -> str:
    """The unit put into an equation. A formula multiplies absolute temperatures, so they go in as kelvin."""
    return "K" if term(name).dimension == "temperature" else term(name).unit(system)


def difference(name: str, value: float, unit: str) -> str:
    """A tolerance in the person's units; that of a temperature is a difference, without the offset of its scale."""
    if term(name).dimension == "temperature":
        return decimal(value, unit if unit == "K" else f"delta_{unit}", 3)
    return shown(value, unit)
