"""Lognormal spread of radon, tests taken together, days that resemble each other, and what a change did.

Radon spreads lognormally: over houses, over the days of one house, and of a short test about the mean of the year. A
spread is stated here as the standard deviation of the natural logarithm; its geometric standard deviation is e to it.
"""

import sympy
from sympy import Rational, erfc, exp, log, oo, pi, sqrt

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, formula, symbol
from radonwork.engine.sources import Source

_LOGNORMAL = Source(kind="derived", place="the normal density over the logarithm")
_ALIKE = Source(kind="derived", place="variance of a mean of days that resemble each other")
_WEIGHTS = Source(kind="derived", place="variances of a weighted mean")
_RATIO = Source(kind="derived", place="variance of a difference of logarithms")
_SUM = Source(kind="derived", place="mean time in which a drifting walk with a floor reaches the limit")
_FRACTION = Source(kind="derived", place="what is left over what was there")

# ---------------------------------------------------------------- lognormal


@formula(
    "log_spread", Source(kind="derived", place="meaning of the geometric standard deviation"), geometric_sd=("1", "100")
)
def log_spread(geometric_sd):
    """Standard deviation of the logarithm."""
    return log(geometric_sd)


@formula("arithmetic_mean", _LOGNORMAL)
def arithmetic_mean(geometric_mean, log_spread):
    """Ordinary mean of a lognormal spread.

    Assumes a lognormal spread: real surveys have more very high houses than that.
    """
    return geometric_mean * exp(log_spread**2 / 2)


@formula("share_above", _LOGNORMAL, log_spread=("0.001", "10"), geometric_mean=("1e-9 pCi/L", "1e9 pCi/L"),
         compared_level=("1e-9 pCi/L", "1e9 pCi/L"))  # fmt: skip
def share_above(compared_level, geometric_mean, log_spread):
    """Share of a lognormal spread above a level.

    Assumes a lognormal spread: real surveys have more very high houses than that.
    """
    return erfc(log(compared_level / geometric_mean) / (sqrt(2) * log_spread)) / 2


@formula("spread_low", _LOGNORMAL)
def spread_low(geometric_mean, normal_quantile, log_spread):
    """Lower end of a range about a geometric mean."""
    return geometric_mean * exp(-normal_quantile * log_spread)


@formula("spread_high", _LOGNORMAL)
def spread_high(geometric_mean, normal_quantile, log_spread):
    """Upper end of a range about a geometric mean."""
    return geometric_mean * exp(normal_quantile * log_spread)


# ---------------------------------------------------------------- several tests, resembling days


@formula("combined_spread", _WEIGHTS,
         when={"there is a test": lambda short_test_count, long_test_count: short_test_count + long_test_count > 0})  # fmt: skip
def combined_spread(short_test_count, short_test_spread, long_test_count, long_test_spread):
    """Spread of the mean of the year about several tests together.

    Assumes tests of different weather and season; two in one week tell hardly more than one.
    """
    return 1 / sqrt(short_test_count / short_test_spread**2 + long_test_count / long_test_spread**2)


@formula("effective_days", _ALIKE, lag_correlation=("0", "0.999"))
def effective_days(day_count, lag_correlation):
    """Days without resemblance that tell as much.

    Assumes a series that is long against the days over which it resembles itself.
    """
    return day_count * (1 - lag_correlation) / (1 + lag_correlation)


# ---------------------------------------------------------------- before and after


@formula("radon_reduction", _FRACTION, reduction_factor=("1", "1e9"))
def radon_reduction(reduction_factor):
    """Reduction from the factor by which radon fell."""
    return 1 - 1 / reduction_factor


@formula("radon_reduction", _FRACTION, radon_ratio=("0", "1"))
def reduction_of_ratio(radon_ratio):
    """Reduction from the ratio after over before."""
    return 1 - radon_ratio


@formula("ratio_error", _RATIO)
def ratio_error(before_spread, days_before, after_spread, days_after):
    """Standard error of the logarithm of a ratio after over before.

    Assumes days that count as independent, and nothing but the change between them: no weather, no season.
    """
    return sqrt(before_spread**2 / days_before + after_spread**2 / days_after)


@formula("ratio_low", _RATIO)
def ratio_low(radon_ratio, normal_quantile, ratio_error):
    """Lower end of the range of a ratio."""
    return radon_ratio * exp(-normal_quantile * ratio_error)


@formula("ratio_high", _RATIO)
def ratio_high(radon_ratio, normal_quantile, ratio_error):
    """Upper end of the range of a ratio."""
    return radon_ratio * exp(normal_quantile * ratio_error)


# ---------------------------------------------------------------- drift


@formula("days_between_alarms", _SUM, alarm_allowance=("0.01", "3"), alarm_limit=("0.5", "30"))
def days_between_alarms(alarm_allowance, alarm_limit, boundary_shift="1.166"):
    """Mean number of days to a false alarm of a sum with an allowance.

    Assumes independent standard scores; the limit is raised by 1.166 standard deviations because the sum moves in steps.
    """
    raised = 2 * alarm_allowance * (alarm_limit + boundary_shift)
    return (exp(raised) - raised - 1) / (2 * alarm_allowance**2)


# ---------------------------------------------------------------- derivations

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
