"""Wyes and tees in a network: losses of two legs that depend on how the flow splits, with their slopes."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

import numpy as np
import sympy

from radonwork.engine.compiling import function_of
from radonwork.engine.formula import Formula, Values, symbol
from radonwork.formulas import fittings
from radonwork.solvers.branch_losses import square_loss
from radonwork.solvers.route import Branch, NetworkError, Wye

_share, _ratio = symbol("branch_share"), symbol("branch_bore_ratio")


@dataclass(frozen=True)
class Leg:
    """One leg of a wye: the function of its loss and slopes, and what it takes besides the two flows."""

    function: Callable[..., Any]
    terms: tuple[Values, ...]


@dataclass(frozen=True)
class Junction:
    """A wye: the places of its branch and run among the branches, their losses, loss per squared combined flow."""

    branch: int
    run: int
    branch_leg: Leg
    run_leg: Leg
    loss: Values


def _of_one_ratio(expression: sympy.Expr, ratio: float) -> sympy.Expr:
    """The expression with its cases settled as far as the bore ratio settles them."""

    def settled(cases: sympy.Piecewise) -> sympy.Expr:
        kept = []
        for value, condition in cases.args:
            known = condition.subs(_ratio, ratio) if condition.free_symbols == {_ratio} else condition
            if known != sympy.false:
                kept.append((value, known))
        return sympy.Piecewise(*kept)

    return expression.replace(lambda part: isinstance(part, sympy.Piecewise), settled)


@cache
def _compiled_leg(coefficient: sympy.Expr, others: tuple[sympy.Symbol, ...]) -> Callable[..., Any]:
    results = sympy.Tuple(coefficient, sympy.diff(coefficient, _share))
    of_share = function_of([_share, *others], results, "numpy", share=True)

    def leg(branch: Values, run: Values, *known: Values) -> tuple[Values, Values, Values]:
        # The loss is the coefficient, of branch / total, times total²; so its slopes are these.
        total = branch + run
        at_share, slope = of_share(branch / total, *known)
        doubled = 2 * at_share * total
        return at_share * total * total, doubled + slope * run, doubled - slope * branch

    return leg


@lru_cache(maxsize=256)
def _leg_function(formula_name: str, ratio: float | None) -> Callable[..., Any]:
    """Loss of one leg of a wye per velocity pressure of unit flow, and its slopes with the branch's and run's flows.

    `ratio` is the bore ratio where all variants share it: a function of one case is quicker than one of several.
    """
    formula: Formula = getattr(fittings, formula_name)
    coefficient = formula.expression if ratio is None else _of_one_ratio(formula.expression, ratio)
    return _compiled_leg(coefficient.doit(), tuple(symbol(name) for name in formula.takes if name != "branch_share"))


def _leg(formula_name: str, known: Mapping[str, Values]) -> Leg:
    takes = getattr(fittings, formula_name).takes
    ratio = known["branch_bore_ratio"]
    function = _leg_function(formula_name, None if isinstance(ratio, np.ndarray) else float(ratio))
    return Leg(function, tuple(known[name] for name in takes if name != "branch_share"))


def junction_of(wye: Wye, branches: Sequence[Branch], density: Values) -> Junction:
    places = {branch.name: place for place, branch in enumerate(branches)}
    for name in (wye.run, wye.branch, wye.main):
        if name not in places:
            raise NetworkError(f"wye: no branch is called {name[:40]}; there are {', '.join(places)}")
    run, branch, main = (branches[places[name]] for name in (wye.run, wye.branch, wye.main))
    degrees = float(np.degrees(wye.angle))
    tee = abs(degrees - 90) < 1e-6
    if not tee and not 30 - 1e-6 <= degrees <= 60 + 1e-6:
        raise NetworkError(f"wye of {wye.branch}: angle {degrees:.4g}° is not known; 30° to 60° and 90° are")
    ratio = wye.branch_bore / wye.main_bore
    if np.any(ratio > 1):
        raise NetworkError(f"wye of {wye.branch}: its branch bore is wider than its main bore")
    if run.end == branch.end == main.start:
        legs = ("converging_branch", "converging_run_tee" if tee else "converging_run_wye")
    elif run.start == branch.start == main.end:
        legs = ("diverging_branch_tee" if tee else "diverging_branch_wye", "diverging_run")
    else:
        raise NetworkError(
            f"wye of {wye.branch}: {wye.run} and {wye.branch} must both end where {wye.main} starts, or start where it ends"
        )
    known = {
        "branch_bore_ratio": ratio,
        "junction_angle": wye.angle,
        "angle_factor": fittings.angle_factor(junction_angle=min(wye.angle, np.pi / 2)),
    }
    branch_leg, run_leg = (_leg(name, known) for name in legs)
    return Junction(places[wye.branch], places[wye.run], branch_leg, run_leg, square_loss(wye.main_bore, density))
