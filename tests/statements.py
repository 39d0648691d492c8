"""Every formula, solver, derivation and drawing there is, and points at which they hold."""

import pkgutil
from collections.abc import Iterator
from importlib import import_module
from types import ModuleType
from typing import Any

import numpy as np

import radonwork.drawings
import radonwork.formulas
import radonwork.solvers
from radonwork.drawings.shapes import Drawing
from radonwork.engine.formula import FORMULAS, Formula, RangeError, sampled
from radonwork.engine.solver import SOLVERS, Solver


def modules(package: ModuleType) -> list[ModuleType]:
    """Every module of a package, imported."""
    return [import_module(found.name) for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")]


FORMULA_MODULES = modules(radonwork.formulas)
SOLVER_MODULES = modules(radonwork.solvers)
ALL_FORMULAS: list[Formula] = list(FORMULAS.values())
ALL_SOLVERS: list[Solver] = list(SOLVERS.values())


def all_drawings() -> list[Drawing]:
    """Every drawing that stands in a module of its own."""
    found = [value for module in modules(radonwork.drawings) for value in vars(module).values()]
    return list({id(d): d for d in found if isinstance(d, Drawing)}.values())


def held_points(statement: Any, count: int, seed: int = 0) -> list[dict[str, float]]:
    """At most `count` random points, by term, at which the statement gives an answer; at least one, or it is no test."""
    points = sampled(statement, count, seed)
    rows = [dict(zip(points, map(float, row), strict=True)) for row in zip(*points.values(), strict=True)]
    held = [row for row in rows if holds(statement, row)]
    assert held, f"{statement.name} holds at none of {len(rows)} points of the glossary's ranges"
    return held


def holds(statement: Any, point: dict[str, float]) -> bool:
    try:
        statement(**point)
    except RangeError:
        return False
    return True


def columns(points: list[dict[str, float]]) -> dict[str, np.ndarray]:
    """Rows of points as one array a term."""
    return {name: np.array([point[name] for point in points]) for name in points[0]}


def results(found: Any, gives: tuple[str, ...]) -> Iterator[tuple[str, Any]]:
    """Results by name, of a formula as of a solver."""
    yield from (found if isinstance(found, dict) else {gives[0]: found}).items()
