"""The closed forms of one term of a statement, found in bounded time.

`sympy.solve` alone may run for ever on a statement that has no closed form. So what stands around the term is taken off
layer by layer, each by its inverse, until the term is alone or stands in several places; only what is then left, and
only if it is of low degree, goes to sympy. Which of several roots is meant is for the caller to try.
"""

import math
from collections.abc import Callable

import sympy
from sympy import Expr

_HIGHEST_DEGREE = 2  # a cubic has closed forms too, but none that a person could work by hand

# What undoes a function, one entry a branch.
_INVERSES: dict[type, tuple[Callable[[Expr], Expr], ...]] = {
    sympy.exp: (sympy.log,),
    sympy.log: (sympy.exp,),
    sympy.sin: (sympy.asin, lambda y: sympy.pi - sympy.asin(y)),
    sympy.cos: (sympy.acos, lambda y: -sympy.acos(y)),
    sympy.tan: (sympy.atan,),
    sympy.asin: (sympy.sin,),
    sympy.acos: (sympy.cos,),
    sympy.atan: (sympy.tan,),
    sympy.sinh: (sympy.asinh,),
    sympy.asinh: (sympy.sinh,),
    sympy.tanh: (sympy.atanh,),
    sympy.atanh: (sympy.tanh,),
    sympy.Abs: (lambda y: y, lambda y: -y),
    # Where the other part is the larger (or smaller), nothing is known of the term; trying the root shows it.
    sympy.Max: (lambda y: y,),
    sympy.Min: (lambda y: y,),
}


def roots(expression: Expr, value: Expr, wanted: sympy.Symbol) -> list[Expr]:
    """What `wanted` may be where `expression` = `value`; empty where no closed form is known."""
    if expression == wanted:
        return [value]
    holding = [part for part in expression.args if part.has(wanted)]
    if len(holding) == 1:
        found = [root for inner in _undone(expression, value, holding[0]) for root in roots(holding[0], inner, wanted)]
        if found:
            return found
    return _of_low_degree(expression, value, wanted)


def _undone(expression: Expr, value: Expr, holding: Expr) -> list[Expr]:
    """What the one part that holds the term equals, the rest of the outermost layer taken over to the other side."""
    rest = [part for part in expression.args if part is not holding]
    if expression.is_Add:
        return [value - sympy.Add(*rest)]
    if expression.is_Mul:
        return [value / sympy.Mul(*rest)]
    if expression.is_Pow:
        base, exponent = expression.args
        if holding == exponent:
            return [sympy.log(value) / sympy.log(base)]
        root = value ** (1 / exponent)
        return [root, -root] if exponent.is_even and not base.is_nonnegative else [root]
    return [inverse(value) for inverse in _INVERSES.get(type(expression), ())]


def _of_low_degree(expression: Expr, value: Expr, wanted: sympy.Symbol) -> list[Expr]:
    """Roots where the term stands in several places: in exponents alone, in one angle's functions, or in low powers."""
    if expression.is_Mul and any(power.exp.has(wanted) for power in expression.atoms(sympy.Pow)):
        expression, value = sympy.expand_log(sympy.log(expression), force=True), sympy.log(value)
    elif expression.is_Mul:  # a product of roots, each with the term under it
        power = math.lcm(*(p.exp.q for p in expression.args if p.is_Pow and p.exp.is_Rational and p.has(wanted)))
        expression, value = sympy.Mul(*(part**power for part in expression.args)), value**power
    root = sympy.Dummy("root", real=True, positive=wanted.is_positive)
    angles = {f.args[0] for f in expression.atoms(sympy.sin, sympy.cos, sympy.tan) if f.has(wanted)}
    if len(angles) == 1:
        (angle,) = angles
        half_angle = {
            sympy.sin(angle): 2 * root / (1 + root**2),
            sympy.cos(angle): (1 - root**2) / (1 + root**2),
            sympy.tan(angle): 2 * root / (1 - root**2),
        }
        found = _polynomial_roots((expression - value).subs(half_angle), root, wanted)
        return [turned for half in found for turned in roots(angle, 2 * sympy.atan(half), wanted)]
    whole = math.lcm(*(p.exp.q for p in expression.atoms(sympy.Pow) if p.base == wanted and p.exp.is_Rational))
    in_root = (expression - value).subs(wanted, root**whole)
    return [found**whole for found in _polynomial_roots(in_root, root, wanted)]


def _polynomial_roots(zero: Expr, root: sympy.Symbol, wanted: sympy.Symbol) -> list[Expr]:
    """Roots of `zero` = 0 where its numerator is a polynomial of low degree, and nothing else holds the term."""
    if zero.has(wanted):
        return []
    try:
        numerator = sympy.Poly(sympy.numer(sympy.together(zero)), root)
    except sympy.PolynomialError:
        return []
    if not 1 <= numerator.degree() <= _HIGHEST_DEGREE:
        return []
    a, b, c = [0, *numerator.all_coeffs()][-3:]
    if a == 0:
        return [-c / b]
    middle, spread = -b / (2 * a), sympy.sqrt(b**2 - 4 * a * c) / (2 * a)
    return [middle + spread, middle - spread]
