"""Spreads and means derived: integrals of the normal density, variances of means, a drifting walk with a floor."""

import sympy
from sympy import Rational, erfc, exp, log, oo, pi, sqrt

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, symbol
from radonwork.formulas.statistics import (
    arithmetic_mean,
    combined_spread,
    days_between_alarms,
    effective_days,
    log_spread,
    radon_reduction,
    ratio_error,
    ratio_high,
    ratio_low,
    reduction_of_ratio,
    share_above,
    spread_high,
    spread_low,
    variation_spread,
)

_x, _y = sympy.symbols("x y", positive=True)
_u = sympy.Symbol("u", real=True)
_G, _s, _L, _M, _P = (
    symbol(n) for n in ("geometric_mean", "log_spread", "compared_level", "arithmetic_mean", "share_above")
)
_density = exp(-(_u**2) / 2) / sqrt(2 * pi)
_STANDARD = "The logarithm is spread normally about that of the geometric mean: u counts standard deviations."

Derivation(of=log_spread, title="Two ways to state one spread").premise(
    "meaning",
    Eq(symbol("geometric_sd"), exp(_s)),
    "The geometric standard deviation is the factor that one standard deviation of the logarithm makes.",
).step("taken", lambda meaning: Eq(_s, log(meaning.lhs)), "Take the logarithm.")

Derivation(of=arithmetic_mean, title="Ordinary mean of a lognormal spread").premise(
    "mean",
    Eq(_M, sympy.Integral(_G * exp(_s * _u) * _density, (_u, -oo, oo))),
    _STANDARD + " The mean adds every value with its share.",
).step(
    "worked",
    lambda mean: Eq(_M, sympy.simplify(mean.rhs.doit())),
    "Work the integral: the few high values lift the mean.",
)

_square = sympy.Symbol("M_2", positive=True)

Derivation(of=variation_spread, title="Spread from a standard deviation").premise(
    "variation",
    Eq(symbol("variation") ** 2, _square / _M**2 - 1),
    "The variance is the mean of the squares less the square of the mean; here it stands over the square of the mean.",
).premise(
    "mean",
    Eq(_M, sympy.Integral(_G * exp(_s * _u) * _density, (_u, -oo, oo))),
    _STANDARD + " The mean adds every value.",
).premise(
    "squares",
    Eq(_square, sympy.Integral((_G * exp(_s * _u)) ** 2 * _density, (_u, -oo, oo))),
    "The mean of the squares adds every square.",
).step(
    "worked",
    lambda variation, mean, squares: Eq(
        variation.lhs, sympy.simplify(squares.rhs.doit() / mean.rhs.doit() ** 2, inverse=True) - 1
    ),
    "Work both integrals; the geometric mean drops out.",
).step(
    "spread",
    lambda worked: Eq(_s, sympy.solve(worked, _s)[-1]),
    "Solve for the spread.",
)

Derivation(of=share_above, title="Share above a level").premise(
    "share",
    Eq(_P, sympy.Integral(_density, (_u, _y, oo))),
    _STANDARD + " What is above y of them is above the level.",
).premise("level", Eq(_L, _G * exp(_s * _y)), "The level lies y standard deviations above the geometric mean.").step(
    "deviations",
    lambda level: Eq(_y, log(_L / _G) / _s) if level.subs(_y, log(_L / _G) / _s).simplify() == sympy.true else level,
    "Solved for y, the logarithm of their ratio over the spread: put in, it gives the level.",
).step(
    "worked",
    lambda share, deviations: Eq(_P, sympy.simplify(share.rhs.doit().rewrite(erfc)).subs(_y, deviations.rhs)),
    "Work the integral and put the deviations in.",
)


def _end(of: Formula, sign: int, word: str) -> None:
    middle, end = symbol(of.takes[0]), symbol(of.result)
    spread, z = symbol(of.takes[2]), symbol("normal_quantile")
    Derivation(of=of, title=f"The {word} end").premise(
        "logarithm",
        Eq(log(end), log(middle) + sign * z * spread),
        f"In logarithms the end lies so many standard deviations {word.replace('lower', 'below').replace('upper', 'above')} "
        "the middle.",
    ).step(
        "back", lambda logarithm: Eq(end, sympy.expand(exp(logarithm.rhs), power_exp=True)), "Back from the logarithm."
    )


_end(spread_low, -1, "lower")
_end(spread_high, 1, "upper")
_end(ratio_low, -1, "lower")
_end(ratio_high, 1, "upper")

_n_s, _s_s, _n_l, _s_l, _s_c = (
    symbol(n)
    for n in ("short_test_count", "short_test_spread", "long_test_count", "long_test_spread", "combined_spread")
)
_w = sympy.Symbol("w", positive=True)

Derivation(of=combined_spread, title="Several tests together").premise(
    "weights",
    Eq(_w, _n_s / _s_s**2 + _n_l / _s_l**2),
    "Each test counts by one over its variance, which makes the variance of their mean least; w is the sum of the weights.",
).premise(
    "variance",
    Eq(_s_c**2, (_n_s * (1 / _s_s**2) ** 2 * _s_s**2 + _n_l * (1 / _s_l**2) ** 2 * _s_l**2) / _w**2),
    "The variance of a weighted mean: each weight squared times the variance of its test, over the square of their sum.",
).step(
    "short",
    lambda variance, weights: Eq(_s_c**2, sympy.simplify(variance.rhs.subs(_w, weights.rhs))),
    "Put the weights in; one of them shortens out.",
).step("root", lambda short: Eq(_s_c, sqrt(short.rhs)), "Take the root.")

_n, _r, _n_e = (symbol(n) for n in ("day_count", "lag_correlation", "effective_days"))
_k = sympy.Symbol("k", integer=True, positive=True)
_share_of_k = sympy.Symbol("r", positive=True)

Derivation(of=effective_days, title="Days that resemble each other").premise(
    "variance",
    Eq(1 / _n_e, (1 + 2 * _y) / _n),
    "Variance of a mean over that of a day: each day with itself, and twice with each that follows it; y is the sum of "
    "the correlations with all that follow.",
).premise(
    "follow",
    Eq(_y, sympy.Sum(_r**_k, (_k, 1, oo))),
    "Each day passes on the share r of itself, so k days later r to the power k is left; a long series has room for all.",
).step(
    "sum",
    lambda follow: Eq(
        _y, sympy.simplify(sympy.Sum(_share_of_k**_k, (_k, 1, oo)).doit().args[0][0].subs(_share_of_k, _r))
    ),
    "A geometric series; it converges because each day resembles the one before by less than wholly.",
).step(
    "days",
    lambda variance, sum: Eq(_n_e, sympy.factor(sympy.simplify(1 / variance.rhs.subs(_y, sum.rhs)))),
    "Put the sum in and turn it round.",
)

_R, _e, _f = (symbol(n) for n in ("radon_ratio", "radon_reduction", "reduction_factor"))
_c_b, _c_a = sympy.symbols("C_before C_after", positive=True)
_TAKEN = "What is taken away over what was there."

Derivation(of=reduction_of_ratio, title="Reduction and ratio").premise(
    "taken", Eq(_e, (_c_b - _c_a) / _c_b), _TAKEN
).premise("ratio", Eq(_R, _c_a / _c_b), "The ratio is what is there after over what was there before.").step(
    "result",
    lambda taken, ratio: Eq(_e, sympy.expand(taken.rhs.subs(_c_a, sympy.solve(ratio, _c_a)[0]))),
    "Write what is there after by the ratio.",
)

Derivation(of=radon_reduction, title="Reduction and factor").premise(
    "taken", Eq(_e, (_c_b - _c_a) / _c_b), _TAKEN
).premise("factor", Eq(_f, _c_b / _c_a), "The factor is what was there before over what is there after.").step(
    "result",
    lambda taken, factor: Eq(_e, sympy.expand(taken.rhs.subs(_c_b, sympy.solve(factor, _c_b)[0]))),
    "Write what was there before by the factor.",
)

_s_b, _n_b, _s_a, _n_a, _s_R = (
    symbol(n) for n in ("before_spread", "days_before", "after_spread", "days_after", "ratio_error")
)
_v_b, _v_a = sympy.symbols("v_before v_after", positive=True)

Derivation(of=ratio_error, title="Error of a ratio").premise(
    "difference",
    Eq(_s_R**2, _v_b + _v_a),
    "The logarithm of a ratio is a difference, and the variances of two independent means add up in it.",
).premise(
    "before", Eq(_v_b, _s_b**2 / _n_b), "The variance of a mean is that of a day over the days that count."
).premise("after", Eq(_v_a, _s_a**2 / _n_a), "So after the change.").step(
    "root",
    lambda difference, before, after: Eq(_s_R, sqrt(difference.rhs.subs({_v_b: before.rhs, _v_a: after.rhs}))),
    "Put both in and take the root.",
)

_kk, _h, _b_1, _N = (symbol(n) for n in ("alarm_allowance", "alarm_limit", "boundary_shift", "days_between_alarms"))
_time = sympy.Function("T")
_b = sympy.Symbol("b", positive=True)
_c_1, _c_2 = sympy.symbols("C1 C2")

Derivation(of=days_between_alarms, title="Days to a false alarm").premise(
    "walk",
    Eq(Rational(1, 2) * sympy.Derivative(_time(_x), _x, 2) - _kk * sympy.Derivative(_time(_x), _x), -1),
    "The sum wanders with variance 1 and falls by the allowance each day; T(x) is the mean time from x to the limit, and a "
    "day that passes takes one from it.",
).premise(
    "raised",
    Eq(_b, _h + _b_1),
    "It moves in steps and so overshoots: at the floor and at the limit by 0.583 standard deviations each on the average "
    "(minus zeta of 1/2 over the root of 2 pi), which is as if the limit stood 1.166 higher.",
).step(
    "general",
    lambda walk: sympy.dsolve(walk, _time(_x)),
    "Two constants are open.",
).step(
    "ends",
    lambda general: Eq(
        _time(_x),
        sympy.simplify(
            general.rhs.subs(
                sympy.solve([general.rhs.diff(_x).subs(_x, 0), general.rhs.subs(_x, _b)], [_c_1, _c_2], dict=True)[0]
            )
        ),
    ),
    "At the floor the sum is held, so the time there does not change with x; at the limit no time is left.",
).step(
    "result",
    lambda ends, raised: Eq(_N, sympy.simplify(ends.rhs.subs(_x, 0)).subs(_b, raised.rhs)),
    "Start from the floor.",
)
