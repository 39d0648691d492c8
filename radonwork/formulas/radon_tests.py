"""Two tests at one place: their mean, how far they differ, and the result as it is reported."""

from sympy import Abs, Max, Min, Rational, floor, sqrt

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source


@formula("pair_mean", Source("aarst-mah-2019", "7.2.1 and 8.5.2(c)"))
def pair_mean(first_result, second_result):
    """Mean of two tests at one place.

    Assumes detectors no more than 8 in apart; results of separate places are never averaged.
    """
    return (first_result + second_result) / 2


@formula("relative_difference", Source("epa-402-r-92-004", "definition of the relative percent difference"))
def relative_difference(first_result, second_result):
    """Relative percent difference of two tests: their difference over their mean."""
    return Abs(first_result - second_result) / ((first_result + second_result) / 2)


@formula(
    "pair_variation", Source("environment-database-rpd", "coefficient of variation beside the relative difference")
)
def pair_variation(first_result, second_result):
    """Coefficient of variation of two tests: their standard deviation over their mean.

    Assumes the standard deviation of a sample of two, which makes this the relative percent difference over the root of two.
    """
    return sqrt(2) * Abs(first_result - second_result) / (first_result + second_result)


@formula("pair_low", Source("epa-402-r-92-003", "3.2.2: which limit holds depends on the lower result"))
def pair_low(first_result, second_result):
    """Lower of two results."""
    return Min(first_result, second_result)


@formula("pair_high", Source("epa-402-r-92-003", "3.2.2: which limit holds depends on the higher result"))
def pair_high(first_result, second_result):
    """Higher of two results."""
    return Max(first_result, second_result)


@formula(
    "pair_ratio",
    Source("epa-402-r-92-003", "3.2.2.3"),
    when={"the higher result is no less than the lower": lambda pair_high, pair_low: pair_high >= pair_low},
)
def pair_ratio(pair_high, pair_low):
    """Higher of two results over the lower."""
    return pair_high / pair_low


@formula("reported_result", Source("aarst-mah-2019", "8.5.2(b): one digit after the decimal; 3.95 is reported as 4.0"))
def reported_result(radon_concentration, reporting_step="0.1 pCi/L"):
    """Result as it is reported: rounded to its step, the half upwards.

    Assumes that results in becquerels are given whole, which is common practice without a source, and that what falls
    short of a half by a billionth does so by the computer's rounding.
    """
    return reporting_step * floor(radon_concentration / reporting_step + Rational(1, 2) + Rational(1, 10**9))


@formula("level_margin", Source("aarst-mah-2019", "7.1: at the level or above it the home is to be fixed"))
def level_margin(action_level, reported_result):
    """How far the reported result lies below the level; at the level itself the house is to be fixed."""
    return action_level - reported_result


REPORTED_MEAN = reported_result.with_terms(
    "reported_mean",
    gives="reported_result",
    title="Mean of the pair as it is reported",
    radon_concentration="pair_mean",
)
