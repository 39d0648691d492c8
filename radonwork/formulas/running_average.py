"""What a monitor's running average says of the radon, and when it will have followed a change.

A display may show the mean since it was started (cumulative), the mean of its last so many days (rolling), or a mean in
which the past fades (exponential). Each lags behind the house. From two displays the mean between them follows, with the
error that their rounding leaves in it: half a step of the last digit each, both pulling the same way at worst.
"""

import sympy
from sympy import Min, exp, log

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, formula, symbol
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


# ---------------------------------------------------------------- derivations

_A_b, _A_a, _t_b, _t_a, _t_ab, _C, _s, _e = (
    symbol(name)
    for name in (
        "display_before", "display_after", "time_before", "time_after", "time_between", "mean_between", "display_step",
        "mean_error",
    )
)  # fmt: skip
_W, _tau, _new, _t, _f, _watched = (
    symbol(name)
    for name in (
        "display_window", "display_time_constant", "new_level", "time_since_change", "settling_share", "watched_level"
    )
)  # fmt: skip
# Totals: concentration added up over a time.
_I_b, _I_in, _I_out, _delta = sympy.symbols("I_b I_in I_out delta", positive=True)
_shown = sympy.Function("A")
_time = sympy.Symbol("t", positive=True)


def _solved(equation: sympy.Eq, unknown: sympy.Symbol) -> sympy.Eq:
    return Eq(unknown, sympy.solve(equation, unknown)[0])


Derivation(of=cumulative_mean_between, title="The mean between two means since the start").premise(
    "first", Eq(_A_b, _I_b / _t_b), "The first display is all radon up to then, added up, over the time it took."
).premise(
    "second",
    Eq(_A_a, (_I_b + _I_in) / _t_a),
    "The second is the same total and what came since, over the whole time: nothing was forgotten.",
).premise("mean", Eq(_C, _I_in / (_t_a - _t_b)), "The mean between is what came since, over the time since.").step(
    "before", lambda first: _solved(first, _I_b), "The first display gives the total up to it."
).step(
    "since",
    lambda before, second: _solved(second.subs(_I_b, before.rhs), _I_in),
    "The second display then gives what came since.",
).step("result", lambda mean, since: mean.subs(_I_in, since.rhs), "Over the time between, that is the mean.")

Derivation(of=rolling_mean_between, title="The mean between two rolling means").premise(
    "first", Eq(_A_b, _I_b / _W), "The first display is what the window holds, over its length."
).premise(
    "second",
    Eq(_A_a, (_I_b - _I_out + _I_in) / _W),
    "By the second reading some has left the window at its old end, and as much time has come in at the new.",
).premise(
    "out",
    Eq(_I_out, _A_b * _t_ab),
    "The level was steady for a window before: what leaves it is what the display showed.",
).premise("mean", Eq(_C, _I_in / _t_ab), "The mean between is what came in, over the time it took.").step(
    "change",
    lambda first, second: Eq(second.lhs - first.lhs, sympy.expand(second.rhs - first.rhs)),
    "Taken from each other, the two displays leave what came in less what went out.",
).step(
    "came",
    lambda change, out: _solved(change.subs(_I_out, out.rhs), _I_in),
    "With what went out known, what came in follows.",
).step(
    "result",
    lambda mean, came: Eq(_C, sympy.expand(came.rhs / _t_ab).collect(_A_b).simplify()),
    "Over the time between, that is the mean.",
)


def _followed() -> Derivation:
    """A display with fading memory, from its differential equation to what it shows."""
    return Derivation(of=exponential_mean_between, title="The level between two displays with fading memory").premise(
        "law",
        Eq(_tau * _shown(_time).diff(_time), _C - _shown(_time)),
        "The display moves towards the radon by a share of the gap between them in each time.",
    )


_followed().step(
    "general",
    lambda law: sympy.dsolve(law, _shown(_time), ics={_shown(0): _A_b}),
    "The solution that starts at the first display, time counted from there.",
).step(
    "second",
    lambda general: Eq(_A_a, general.rhs.subs(_time, _t_ab)),
    "The second display is that solution at the second reading.",
).step(
    "result",
    lambda second: Eq(_C, sympy.solve(second, _C)[0]),
    "Solve for the level between.",
)


def _rounding(of: Formula, mean: Formula, title: str) -> None:
    """The error of a mean that rises with the second display and falls with the first."""
    Derivation(of=of, title=title).premise(
        "mean", Eq(_C, mean.expression), "The mean between, as derived for this kind of display."
    ).premise(
        "half", Eq(_delta, _s / 2), "A display rounded to its nearest step is off by no more than half of one."
    ).step(
        "worst",
        lambda mean, half: Eq(_e, half.rhs * (sympy.diff(mean.rhs, _A_a) - sympy.diff(mean.rhs, _A_b))),
        "The mean rises with the second display and falls with the first, so the worst is one rounded down, the other up.",
    ).step("result", lambda worst: Eq(_e, sympy.simplify(worst.rhs)), "Draw together.")


_rounding(cumulative_mean_error, cumulative_mean_between, "Rounding, two means since the start")
_rounding(rolling_mean_error, rolling_mean_between, "Rounding, two rolling means")
_rounding(exponential_mean_error, exponential_mean_between, "Rounding, two displays with fading memory")


def _edge(of: Formula, title: str, edge: int, sentence: str) -> None:
    """A mean moved to the edge of its error."""
    gives = symbol(of.result)
    moved = sympy.Symbol("C_true", real=True)
    Derivation(of=of, title=title).premise(
        "band", Eq(moved - _C, edge * _e), "The true mean differs from the one worked out by no more than the error."
    ).step("result", lambda band: Eq(gives, sympy.solve(band, moved)[0]), sentence)


_edge(mean_most, "The upper edge of rounding", 1, "Its upper edge is the most that the displays allow.")
_edge(mean_clearance, "The lower edge of rounding", -1, "Its lower edge: below zero, no radon at all fits them too.")

_A_cu, _A_ro, _A_ex = (symbol(n) for n in ("cumulative_display", "rolling_display", "exponential_display"))

Derivation(of=cumulative_display, title="A mean since the start, after a change").premise(
    "before", Eq(_I_b, _A_b * _t_b), "Up to the change the display has added up so much."
).premise("since", Eq(_I_in, _new * _t), "Since the change it adds up the new level.").premise(
    "display", Eq(_A_cu, (_I_b + _I_in) / (_t_b + _t)), "It shows the total over the whole time."
).step(
    "result",
    lambda display, before, since: display.subs({_I_b: before.rhs, _I_in: since.rhs}),
    "Put the two totals in.",
)

_part = sympy.Symbol("x", positive=True)
Derivation(of=rolling_display, title="A rolling mean, after a change").premise(
    "filled",
    Eq(_part, Min(_t / _W, 1)),
    "The share of the window that lies after the change grows with time until it is all of it.",
).premise(
    "display",
    Eq(_A_ro, (1 - _part) * _A_b + _part * _new),
    "The window holds the old level in one part and the new in the other.",
).step("result", lambda display, filled: display.subs(_part, filled.rhs), "Put the share in.")

Derivation(of=exponential_display, title="A display with fading memory, after a change").premise(
    "law",
    Eq(_tau * _shown(_time).diff(_time), _new - _shown(_time)),
    "The display moves towards the radon by a share of the gap between them in each time.",
).step(
    "general",
    lambda law: sympy.dsolve(law, _shown(_time), ics={_shown(0): _A_b}),
    "The solution that starts at what it showed when the level changed.",
).step("result", lambda general: Eq(_A_ex, general.rhs.subs(_time, _t)), "Read it off at the time asked for.")

Derivation(of=settling_share, title="What is left of the fall").premise(
    "left", Eq(_watched - _new, _f * (_A_b - _new)), "Where it passes the level, that share of the whole fall is left."
).step("result", lambda left: _solved(left, _f), "Solve for the share.")

_left = sympy.Symbol("t_left", positive=True)


def _settling(of: Formula, display: Formula, title: str, sentence: str) -> None:
    """The time at which a display has all but a share of its fall behind it."""
    shown = display.expression.doit().xreplace({_t: _left})
    if display is rolling_display:  # until the window is full
        shown = shown.xreplace({Min(_left / _W, 1): _left / _W})
    Derivation(of=of, title=title).premise("display", Eq(_shown(_left), shown), sentence).premise(
        "left",
        Eq(_shown(_left) - _new, _f * (_A_b - _new)),
        "What is left of the fall is the share asked for.",
    ).step("put", lambda display, left: left.subs(_shown(_left), display.rhs), "Put what the display shows in.").step(
        "result",
        lambda put: Eq(symbol(of.result), sympy.simplify(sympy.solve(put, _left)[0])),
        "Solve for the time; levels drop out.",
    )


_settling(
    cumulative_settling_time, cumulative_display, "When a mean since the start has settled", "A mean since the start."
)
_settling(
    rolling_settling_time, rolling_display, "When a rolling mean has settled", "A rolling mean whose window fills."
)
_settling(
    exponential_settling_time, exponential_display, "When fading memory has settled", "A display with fading memory."
)

_mark, _later, _drift = (symbol(name) for name in ("gauge_mark", "gauge_later", "gauge_drift"))
Derivation(of=gauge_drift, title="The gauge since its mark").premise(
    "later",
    Eq(_later, _mark + _drift),
    "What the gauge shows is what it showed at its mark and what has changed since.",
).step("result", lambda later: _solved(later, _drift), "Solve for the change.")

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
