"""Errors of counts derived from one statement: the variance of a count of independent decays is the count."""

import sympy
from sympy import sqrt

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import symbol
from radonwork.formulas.counting import count_error, decision_count, detection_count, net_count_rate, net_rate_error

_n, _t, _B, _t_B, _z = (
    symbol(name) for name in ("gross_count", "gross_time", "background_count", "background_time", "one_sided_quantile")
)
_decides, _detects = symbol("decision_count"), symbol("detection_count")
_deviation, _sample, _empty = sympy.symbols("s s_D s_0", positive=True)
_net = symbol("net_count_rate")
_CHANCE = (
    "Many atoms, of which each decays or does not by a small chance of its own: the variance of a count is the count."
)

Derivation(of=count_error, title="Error of a count").premise("chance", Eq(_deviation**2, _n), _CHANCE).step(
    "share",
    lambda chance: Eq(symbol("count_error"), sqrt(chance.rhs) / _n),
    "Its standard deviation over the count.",
)

Derivation(of=net_count_rate, title="Rate over the background").premise(
    "all", Eq(_n / _t, _net + _B / _t_B), "With the sample, the background counts on at its own rate."
).step("net", lambda all: Eq(_net, sympy.solve(all, _net)[0]), "Solve for the sample's own rate.")

Derivation(of=net_rate_error, title="Error of the rate over the background").premise(
    "sum",
    Eq(symbol("net_rate_error") ** 2, _deviation**2 / _t**2 + _empty**2 / _t_B**2),
    "Variances of independent counts add up, each divided by the square of its time.",
).step("chance", lambda sum: Eq(sum.lhs, sum.rhs.subs({_deviation: sqrt(_n), _empty: sqrt(_B)})), _CHANCE).step(
    "root", lambda chance: Eq(symbol("net_rate_error"), sqrt(chance.rhs)), "Take the root."
)

_EMPTY = "Without a sample, the difference of two background counts has the variance of both."

Derivation(of=decision_count, title="When something is said to be there").premise(
    "empty", Eq(_empty**2, _B + _B), _EMPTY
).premise(
    "decided", Eq(_decides, _z * _empty), "It is said where the difference is so many of its standard deviations."
).step(
    "result",
    lambda empty, decided: Eq(_decides, decided.rhs.subs(_empty, sqrt(empty.rhs))),
    "Put the standard deviation in.",
)

Derivation(of=detection_count, title="What is found nearly always").premise(
    "found",
    Eq(_detects, _z * _empty + _z * _sample),
    "It lies above the deciding count by so many of its own standard deviations.",
).premise("empty", Eq(_empty**2, 2 * _B), _EMPTY).premise(
    "sample",
    Eq(_sample**2, _detects + 2 * _B),
    "With the sample, the counts that it adds have their own variance besides.",
).step(
    "square",
    lambda found, empty, sample: Eq((_detects - _z * sqrt(empty.rhs)) ** 2, _z**2 * sample.rhs),
    "Bring the first part over, put the standard deviations in and square.",
).step(
    "result",
    lambda square: Eq(_detects, max(sympy.solve(square, _detects), key=lambda root: root.subs({_z: 2, _B: 9}))),
    "Of the two roots the other, nothing at all, lies below the deciding count.",
)
