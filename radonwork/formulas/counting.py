"""What counting decays leaves uncertain: the error of a count, of a rate over a background, and what can be detected.

A monitor, a scintillation cell and a charcoal canister all count single decays. Each is a chance of its own, so the variance
of a count is the count itself; an error here is one standard deviation, and other errors of a measurement come on top.
"""

from sympy import sqrt

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_POISSON = Source(kind="derived", place="the variance of a count of independent decays is the count")
_CURRIE = Source(
    kind="derived", place="Currie's limits: equal times for sample and background, one chance of each error"
)


@formula("count_error", _POISSON, gross_count=("1", "1e15"))
def count_error(gross_count):
    """Relative standard error that a count has from chance alone."""
    return 1 / sqrt(gross_count)


@formula("net_count_rate", Source(kind="derived", place="what is counted less what the background counts"))
def net_count_rate(gross_count, gross_time, background_count, background_time):
    """Rate of counts that a sample adds to the background.

    Below zero where chance has it so: with little in the sample it is no fault.
    """
    return gross_count / gross_time - background_count / background_time


@formula("net_rate_error", _POISSON)
def net_rate_error(gross_count, gross_time, background_count, background_time):
    """Standard error of the rate of counts that a sample adds to the background."""
    return sqrt(gross_count / gross_time**2 + background_count / background_time**2)


@formula("decision_count", _CURRIE)
def decision_count(background_count, one_sided_quantile="1.645"):
    """Net count above which something is said to be there.

    Assumes sample and background counted for the same time, and some ten counts or more in each; without a sample this is
    exceeded one time in twenty where the quantile is 1.645.
    """
    return one_sided_quantile * sqrt(2 * background_count)


@formula("detection_count", _CURRIE)
def detection_count(background_count, one_sided_quantile="1.645"):
    """Net count that is found nearly always: it falls short of the deciding one as seldom as nothing exceeds that.

    Assumes sample and background counted for the same time, and some ten counts or more in each. With 1.645 it is the
    2.71 + 4.65 √B of the handbooks, one time in twenty missed.
    """
    return one_sided_quantile**2 + 2 * one_sided_quantile * sqrt(2 * background_count)


__all__ = ["count_error", "decision_count", "detection_count", "net_count_rate", "net_rate_error"]
