"""Running averages derived: from what each display shows to the mean between two, its rounding, how it settles."""

import sympy
from sympy import Min

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, symbol
from radonwork.formulas.running_average import (
    cumulative_display,
    cumulative_mean_between,
    cumulative_mean_error,
    cumulative_settling_time,
    exponential_display,
    exponential_mean_between,
    exponential_mean_error,
    exponential_settling_time,
    gauge_drift,
    mean_clearance,
    mean_most,
    rolling_display,
    rolling_mean_between,
    rolling_mean_error,
    rolling_settling_time,
    settling_share,
)

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
