"""What a monitor's running average says of the radon, and when it will have followed a change.

A display may show the mean since it was started (cumulative), the mean of its last so many days (rolling), or a mean in
which the past fades (exponential). Each lags behind the house. From two displays the mean between them follows, with the
error that their rounding leaves in it: half a step of the last digit each, both pulling the same way at worst.
"""

from sympy import Min, exp, log

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_CUMULATIVE = Source(kind="derived", place="the definition of a mean since the start")
_ROLLING = Source(kind="derived", place="the definition of a rolling mean")
_EXPONENTIAL = Source(kind="derived", place="the differential equation of a display with fading memory")
_ROUNDING = Source(kind="derived", place="half a step of the last digit in each display")
_IN_ORDER = {"the second reading is later than the first": lambda time_before, time_after: time_after > time_before}
_WITHIN = {
    "no more than one window of the display lies between the readings": lambda time_between, display_window: (
        time_between <= display_window
    )
}

# ---------------------------------------------------------------- the mean between two displays


@formula("mean_between", _CUMULATIVE, when=_IN_ORDER)
def cumulative_mean_between(display_before, display_after, time_before, time_after):
    """Mean between two readings of a display that shows the mean since its start.

    Assumes a display that was not reset between the readings and weighs every hour alike.
    """
    return (time_after * display_after - time_before * display_before) / (time_after - time_before)


@formula("mean_between", _ROLLING, when=_WITHIN)
def rolling_mean_between(display_before, display_after, time_between, display_window):
    """Mean between two readings of a display that shows the mean of its last days.

    Assumes a level that was steady for a whole window before the first reading, so that what leaves the window is what
    the display showed.
    """
    return display_before + (display_after - display_before) * display_window / time_between


@formula("mean_between", _EXPONENTIAL)
def exponential_mean_between(display_before, display_after, time_between, display_time_constant):
    """Level between two readings of a display in which the past fades.

    Assumes one level from the first reading to the second; where it changes between them, the later days count for more.
    """
    left = exp(-time_between / display_time_constant)
    return (display_after - left * display_before) / (1 - left)


# ---------------------------------------------------------------- what rounding leaves of it


@formula("mean_error", _ROUNDING, when=_IN_ORDER)
def cumulative_mean_error(display_step, time_before, time_after):
    """Error of the mean between, from the rounding of two means since the start."""
    return display_step / 2 * (time_after + time_before) / (time_after - time_before)


@formula("mean_error", _ROUNDING, when=_WITHIN)
def rolling_mean_error(display_step, time_between, display_window):
    """Error of the mean between, from the rounding of two rolling means."""
    return display_step / 2 * (2 * display_window / time_between - 1)


@formula("mean_error", _ROUNDING)
def exponential_mean_error(display_step, time_between, display_time_constant):
    """Error of the level between, from the rounding of two displays with fading memory."""
    left = exp(-time_between / display_time_constant)
    return display_step / 2 * (1 + left) / (1 - left)


@formula("mean_most", _ROUNDING)
def mean_most(mean_between, mean_error):
    """The most that the mean between the readings can be."""
    return mean_between + mean_error


@formula("mean_clearance", _ROUNDING)
def mean_clearance(mean_between, mean_error):
    """How far the mean between the readings stands above its rounding error."""
    return mean_between - mean_error


# ---------------------------------------------------------------- what the display will show


@formula("cumulative_display", _CUMULATIVE)
def cumulative_display(display_before, time_before, new_level, time_since_change):
    """Mean since the start, some time after a change of level."""
    return (time_before * display_before + time_since_change * new_level) / (time_before + time_since_change)


@formula("rolling_display", _ROLLING)
def rolling_display(display_before, display_window, new_level, time_since_change):
    """Mean of the last days, some time after a change of level.

    Assumes a level that was steady for a whole window before the change.
    """
    return display_before + (new_level - display_before) * Min(time_since_change / display_window, 1)


@formula("exponential_display", _EXPONENTIAL)
def exponential_display(display_before, display_time_constant, new_level, time_since_change):
    """Display with fading memory, some time after a change of level."""
    return new_level + (display_before - new_level) * exp(-time_since_change / display_time_constant)


@formula(
    "settling_share",
    Source(kind="derived", place="the definition of what is left of a fall"),
    when={
        "the level asked for lies below what the display showed": lambda watched_level, display_before: (
            watched_level < display_before
        ),
        "the level asked for lies above the new one, where every display settles": lambda watched_level, new_level: (
            watched_level > new_level
        ),
    },
)
def settling_share(display_before, new_level, watched_level):
    """Share of the display's fall that is still to come where it passes a level."""
    return (watched_level - new_level) / (display_before - new_level)


@formula("cumulative_settling_time", _CUMULATIVE, settling_share=("0", "1"))
def cumulative_settling_time(time_before, settling_share):
    """Time until a mean since the start has all but a share of its fall behind it."""
    return time_before * (1 - settling_share) / settling_share


@formula("rolling_settling_time", _ROLLING, settling_share=("0", "1"))
def rolling_settling_time(display_window, settling_share):
    """Time until a rolling mean has all but a share of its fall behind it."""
    return display_window * (1 - settling_share)


@formula("exponential_settling_time", _EXPONENTIAL, settling_share=("0", "1"))
def exponential_settling_time(display_time_constant, settling_share):
    """Time until a display with fading memory has all but a share of its fall behind it."""
    return display_time_constant * log(1 / settling_share)


# ---------------------------------------------------------------- the gauge since its mark


@formula("gauge_drift", Source(kind="derived", place="the definition of a change"))
def gauge_drift(gauge_mark, gauge_later):
    """Rise of the gauge since it was marked; below zero where it has fallen."""
    return gauge_later - gauge_mark


__all__ = [
    "cumulative_display",
    "cumulative_mean_between",
    "cumulative_mean_error",
    "cumulative_settling_time",
    "exponential_display",
    "exponential_mean_between",
    "exponential_mean_error",
    "exponential_settling_time",
    "gauge_drift",
    "mean_clearance",
    "mean_most",
    "rolling_display",
    "rolling_mean_between",
    "rolling_mean_error",
    "rolling_settling_time",
    "settling_share",
]
