"""The closed forms of one term of a statement, found in bounded time.

`sympy.solve` alone may run for ever on a statement that has no closed form. So what stands around the term is taken off
layer by layer, each by its inverse, until the term is alone or stands in several places; only what is then left, and
only if it is of low degree, goes to sympy. Of several cases each is taken by itself. Which of the roots is meant is for
the caller to try.
"""

import math
from collections.abc import Callable, Iterator

import sympy
from sympy import Expr

_HIGHEST_DEGREE = 2  # a cubic has closed forms too, but none that a person could work by hand

# What undoes a function, one entry a branch.
_INVERSES: dict[type, tuple[Callable[[Expr], Expr], ...]] = {
    sympy.exp: (sympy.log,),
    sympy.log: (sympy.exp,),
    sympy.sin: (sympy.asin, lambda y: sympy.pi - sympy.asin(y)),
    sympy.cos: (sympy.acos, lambda y: -sympy.acos(y), lambda y: 2 * sympy.pi - sympy.acos(y)),
    sympy.tan: (sympy.atan,),
    sympy.asin: (sympy.sin,),
    sympy.acos: (sympy.cos,),
    sympy.atan: (sympy.tan,),
    sympy.sinh: (sympy.asinh,),
    sympy.asinh: (sympy.sinh,),
    sympy.tanh: (sympy.atanh,),
    sympy.atanh: (sympy.tanh,),
}

# What is one of several things, by the values of what is in it.
CHOICES = (sympy.Max, sympy.Min, sympy.Abs, sympy.Piecewise)


def roots(expression: Expr, value: Expr, wanted: sympy.Symbol) -> list[Expr]:
    """All that `wanted` may be where `expression` = `value`, each once; empty where a case has no known closed form."""
    cases = [_roots(case, value, wanted) for case in _cases(expression, wanted) if case.has(wanted)]
    found = dict.fromkeys(root for case in cases for root in case)
    return [root for root in found if not root.has(*_NO_NUMBERS)] if all(cases) else []


_NO_NUMBERS = (sympy.I, sympy.nan, sympy.zoo, sympy.oo, -sympy.oo)


def _cases(expression: Expr, wanted: sympy.Symbol) -> Iterator[Expr]:
    """Everything the expression may be, without a choice that the term stands in."""
    choice = next((part for part in _choices(expression) if part.has(wanted)), None)
    if choice is None:
        yield expression
    elif isinstance(choice, sympy.Abs):
        for sign in (1, -1):
            yield from _cases(expression.xreplace({choice: sign * choice.args[0]}), wanted)
    else:
        for part in choice.args:
            case = part.expr if isinstance(choice, sympy.Piecewise) else part
            yield from _cases(expression.xreplace({choice: case}), wanted)


def _choices(expression: Expr) -> Iterator[Expr]:
    return (part for part in sympy.preorder_traversal(expression) if isinstance(part, CHOICES))


def _roots(expression: Expr, value: Expr, wanted: sympy.Symbol) -> list[Expr]:
    """The roots of an expression in which the term stands in no choice."""
    if expression == wanted:
        return [value]
    holding = [part for part in expression.args if part.has(wanted)]
    if len(holding) == 1:
        found = [root for inner in _undone(expression, value, holding[0]) for root in _roots(holding[0], inner, wanted)]
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
        return [turned for half in found for turned in _roots(angle, 2 * sympy.atan(half), wanted)]
    step = _step(expression, wanted)
    in_root = (expression - value).subs(wanted, root**step)
    return [found**step for found in _polynomial_roots(in_root, root, wanted)]


def _step(expression: Expr, wanted: sympy.Symbol) -> sympy.Rational:
    """The power of a new unknown that makes all powers of the term whole, and the lowest they can be."""
    powers = {p for p in expression.atoms(sympy.Pow) if p.base == wanted and p.exp.is_Rational}
    exponents = [p.exp for p in powers]
    if not wanted.is_positive or expression.xreplace(dict.fromkeys(powers, sympy.S.One)).has(wanted):
        exponents.append(sympy.S.One)
    return sympy.Rational(math.lcm(*(e.q for e in exponents)), math.gcd(*(e.p for e in exponents)) or 1)


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
