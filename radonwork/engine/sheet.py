"""A sheet: formulas and solvers in order, each taking what those before it gave.

Stated tolerances are carried through the whole sheet by arrays: quasi-random points between the stated limits, with
every corner among them, so that the spread of a result holds its value at the edges of what was stated.
"""

import itertools
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from radonwork.engine.formula import Formula, RangeError, Values, free_terms
from radonwork.engine.refusals import Refusal
from radonwork.engine.solver import Solver
from radonwork.engine.work import Work
from radonwork.glossary import System, term
from radonwork.units import Quantity

SAMPLES = 1024
_CORNERS_UP_TO = 8  # terms with a tolerance; beyond that the corners would outnumber the points


class Unknown(Refusal):
    """A quantity that is asked for and was not found; one plain line."""


class Found(dict[str, float]):
    """Values by term. One that is not there is refused in words, so that whoever tells of it can say so and go on."""

    def __missing__(self, name: str) -> float:
        raise Unknown(f"{term(name).label} is not known")


@dataclass(frozen=True)
class Run:
    """One run of a sheet: values and works found, and why the others were not."""

    sheet: "Sheet"
    system: System
    given: Mapping[str, Quantity]
    values: Mapping[str, float]
    samples: Mapping[str, np.ndarray]
    works: tuple[Work, ...]
    missing: Mapping[str, tuple[str, ...]]
    refused: Mapping[str, str]

    def spread(self, name: str) -> tuple[float, float] | None:
        """Least and largest value over the stated tolerances; None where nothing stated a tolerance."""
        if name not in self.samples:
            return None
        return float(self.samples[name].min()), float(self.samples[name].max())

    def work(self, name: str) -> Work | None:
        """The work of the statement called `name`, if it could be done."""
        return next((work for work in self.works if work.statement.name == name), None)


@dataclass(frozen=True)
class Sheet:
    """`statements` in the order in which they are worked; what an `optional` one lacks is not reported as missing."""

    name: str
    title: str
    statements: tuple[Formula | Solver, ...]
    optional: tuple[str, ...] = ()
    takes: tuple[str, ...] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "takes", tuple(free_terms(iter(self.statements))))

    def run(self, given: Mapping[str, Quantity | float], system: System = "us") -> Run:
        """Work every statement whose terms are known. What is missing or refused is reported, never guessed."""
        quantities = {
            name: value if isinstance(value, Quantity) else Quantity(float(value), "", 0.0, "")
            for name, value in given.items()
        }
        values = Found({name: quantity.value for name, quantity in quantities.items()})
        samples: dict[str, Values] = dict(tolerance_samples(quantities))
        uncertain = bool(samples)
        works: list[Work] = []
        missing: dict[str, tuple[str, ...]] = {}
        refused: dict[str, str] = {}
        for statement in self.statements:
            absent = tuple(n for n in statement.takes if n not in values and n not in statement.defaults)
            if absent:
                if statement.name not in self.optional:
                    missing[statement.name] = absent
                continue
            inputs = {name: values[name] for name in statement.takes if name in values}
            try:
                work = statement.work(system, **{name: quantities.get(name, value) for name, value in inputs.items()})
            except RangeError as reason:
                refused[statement.name] = reason.reason(system)
                continue
            spread: dict[str, tuple[float, float]] = {}
            note = ""
            if uncertain and any(name in samples for name in inputs):
                try:
                    found = statement(**{name: samples.get(name, value) for name, value in inputs.items()})
                    for name, array in (found if isinstance(found, dict) else {statement.gives[0]: found}).items():
                        samples[name] = np.broadcast_to(np.asarray(array, dtype=float), (_size(samples),))
                        spread[name] = (float(np.min(samples[name])), float(np.max(samples[name])))
                except RangeError as reason:
                    note = f"Not within range over the whole stated tolerance: {reason.reason(system)}"
            values.update(work.results)
            works.append(Work(statement, system, work.given, work.results, spread, note))
        arrays = {name: np.asarray(array) for name, array in samples.items()}
        return Run(self, system, quantities, values, arrays, tuple(works), missing, refused)


def _size(samples: Mapping[str, Values]) -> int:
    return next(len(array) for array in samples.values() if isinstance(array, np.ndarray))


def evenly_spread(count: int, dimensions: int) -> np.ndarray:
    """Quasi-random points of the unit cube, shape (count, dimensions), the same ones each time.

    A Kronecker sequence: the multiples, modulo one, of powers of the root of x^(dimensions + 1) = x + 1. (A Sobol
    sequence spreads as well, but importing one costs more time than everything else a report needs.)
    """
    root = 2.0
    for _ in range(60):
        root = (1 + root) ** (1 / (dimensions + 1))
    steps = root ** -np.arange(1.0, dimensions + 1)
    return (0.5 + np.arange(1, count + 1)[:, np.newaxis] * steps) % 1.0


def tolerance_samples(given: Mapping[str, Quantity], count: int = SAMPLES) -> dict[str, np.ndarray]:
    """Points between value - tolerance and value + tolerance of every term that states one, the same ones each time.

    Among them are all corners where there are not too many.
    """
    names = [name for name, quantity in given.items() if quantity.tolerance]
    if not names:
        return {}
    unit_points = evenly_spread(count, len(names))
    if len(names) <= _CORNERS_UP_TO and 2 ** len(names) < count:
        corners = np.array(list(itertools.product((0.0, 1.0), repeat=len(names))))
        unit_points[1 : 1 + len(corners)] = corners
    points = {}
    for column, name in enumerate(names):
        quantity = given[name]
        low, high = quantity.value - quantity.tolerance, quantity.value + quantity.tolerance
        if not term(name).signed and term(name).dimension != "temperature":
            low = max(low, 0.0)
        points[name] = low + (high - low) * unit_points[:, column]
    return points
