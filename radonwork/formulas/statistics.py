"""Lognormal spread of radon, tests taken together, days that resemble each other, and what a change did.

Radon spreads lognormally: over houses, over the days of one house, and of a short test about the mean of the year. A
spread is stated here as the standard deviation of the natural logarithm; its geometric standard deviation is e to it.
"""

from sympy import erfc, exp, log, sqrt

from radonwork.engine.formula import formula
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


@formula("log_spread", _LOGNORMAL)
def variation_spread(variation):
    """Standard deviation of the logarithm from the standard deviation over the ordinary mean.

    Assumes a lognormal spread: real surveys have more very high houses than that.
    """
    return sqrt(log(1 + variation**2))


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


@formula("radon_reduction", _FRACTION, reduction_factor=("1e-3", "1e9"))
def radon_reduction(reduction_factor):
    """Reduction from the factor by which radon fell; below zero where it rose."""
    return 1 - 1 / reduction_factor


@formula("radon_reduction", _FRACTION)
def reduction_of_ratio(radon_ratio):
    """Reduction from the ratio after over before; below zero where radon rose."""
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
