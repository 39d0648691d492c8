"""A monitor's running average over the days: two readings with the mean between them, and three kinds after a change.

Days run to the right and radon upwards, each to its own scale, so coordinates are px of the paper.
"""

from sympy import Integer, Piecewise, Rational, Symbol, exp

from radonwork.drawings.shapes import Drawing, Frame, Number, Point, as_written, largest, least, terms
from radonwork.formulas import running_average as averages

_WIDE, _HIGH = 628, 328  # the paper less its margins: one unit is one px
_PLOT = 212  # height of the plot; above it stands the key


def _axes(drawing: Drawing, days: str) -> None:
    drawing.line("outline", [(0, _PLOT), (0, 0), (_WIDE, 0)])
    drawing.text((0, _PLOT), "radon", "start", (5, 2), kind="pale")
    drawing.text((_WIDE, 0), days, "end", (0, 36), kind="pale")
    drawing.text((0, 0), "0", "end", (-6, 4), kind="pale")


def _key(drawing: Drawing, row: int, line: str, words: str, colour: str = "label") -> None:
    level = _HIGH - 12 - 20 * row
    if line:
        drawing.line(line, [(0, level), (30, level)])
    drawing.text((38, level), words, "start", (0, 4), kind=colour)


# ---------------------------------------------------------------- the mean between two displays


@as_written
def _between() -> Drawing:
    before, after, start, end, mean, error = terms(
        "display_before", "display_after", "time_before", "time_after", "mean_between", "mean_error"
    )
    across, up = Symbol("across_of_drawing", positive=True), Symbol("up_of_drawing", positive=True)
    drawing = Drawing(
        name="display-between",
        title="Two displays of a mean since the start, and the mean between them",
        alternative=(
            "Radon over the days of one record. After {time_before} the display, a mean since the start, shows "
            "{display_before}; after {time_after} it shows {display_after}. Up to the first reading the mean is what it "
            "shows. Between the readings the mean is {mean_between}, drawn as a level with a band of {mean_error} to "
            "either side for the rounding of the displays; the display moves slowly towards that level."
        ),
        frame=Frame(0, 0, _WIDE, _HIGH),
        formulas=(averages.cumulative_mean_between, averages.cumulative_mean_error),
        named=(
            (across, _WIDE / (end * Rational(9, 8))),
            (up, _PLOT / (largest(before, after, mean + error) * Rational(11, 10))),
        ),
    )

    def at(time: Number, level: Number) -> Point:
        """A point of the plot; what rounding takes below zero is drawn at zero."""
        return time * across, largest(0, level) * up

    low, high = largest(0, mean - error) * up, largest(0, mean + error) * up
    drawing.rectangle("water", start * across, low, end * across, high)
    drawing.line("outline", [at(0, before), at(start, before)])
    drawing.line("accent", [at(start, mean), at(end, mean)])
    steps = 24
    moments = [start + (end * Rational(9, 8) - start) * Rational(step, steps) ** 2 for step in range(steps + 1)]
    drawing.line("centreline", [at(t, mean + (before - mean) * start / t) for t in moments])
    for time, level in ((start, before), (end, after)):
        drawing.line("ghost", [at(time, 0), at(time, level)])
        drawing.circle("mark", at(time, level), 4)
    _axes(drawing, "time since the start of the record")
    drawing.text((start * across, 0), "{time_before}", "end", (3, 18))
    drawing.text((end * across, 0), "{time_after}", "start", (-3, 18))
    _key(drawing, 0, "outline", "mean up to the first reading: what the display shows then, {display_before}")
    _key(drawing, 1, "accent", "mean between the readings, {mean_between}, ± {mean_error} of rounding", "accent")
    _key(drawing, 2, "centreline", "the display, {display_after} at the second reading", "pale")
    return drawing


# ---------------------------------------------------------------- when it has settled


@as_written
def _settling() -> Drawing:
    before, new, watched, record, window, tau = terms(
        "display_before", "new_level", "watched_level", "time_before", "display_window", "display_time_constant"
    )
    cumulative, rolling, fading = terms(
        "cumulative_settling_time", "rolling_settling_time", "exponential_settling_time"
    )
    across, up, last = (Symbol(f"{name}_of_drawing", positive=True) for name in ("across", "up", "last"))
    soonest = largest(window, 3 * tau)  # by then the quick displays have shown what they do
    drawing = Drawing(
        name="display-settling",
        title="Three kinds of display after the radon has changed",
        alternative=(
            "Radon and three displays over the days after a change from {display_before} to {new_level}. A mean since the "
            "start, {time_before} old when the level changed, passes {watched_level} after {cumulative_settling_time}; a "
            "mean of the last {display_window} passes it after {rolling_settling_time}; a display that fades in "
            "{display_time_constant} after {exponential_settling_time}."
        ),
        frame=Frame(0, 0, _WIDE, _HIGH),
        formulas=(
            averages.settling_share,
            averages.cumulative_settling_time,
            averages.rolling_settling_time,
            averages.exponential_settling_time,
        ),
        named=(
            (last, largest(soonest * Rational(5, 4), least(cumulative * Rational(5, 4), 12 * soonest))),
            (across, _WIDE / last),
            (up, (_PLOT - 20) / largest(before, watched, new)),
        ),
    )

    def at(time: Number, level: Number) -> Point:
        return time * across, level * up

    steps = 24
    # Denser at the beginning, where the displays bend.
    moments = [last * Rational(step, steps) ** 2 for step in range(steps + 1)]
    drawing.line("cut", [at(0, watched), at(last, watched)])
    drawing.line("ghost", [at(0, new), at(last, new)])
    drawing.line("accent", [at(t, new + (before - new) * record / (record + t)) for t in moments])
    drawing.line("outline", [at(0, before), at(window, new), at(last, new)])
    drawing.line("centreline", [at(t, new + (before - new) * exp(-t / tau)) for t in moments])
    drawing.circle("mark", at(rolling, watched), 4)
    drawing.circle("mark", at(fading, watched), 4)
    inside = Piecewise((Integer(1), cumulative < last), (Integer(0), True))
    drawing.circle("mark", at(least(cumulative, last), watched), 4, inside)
    _axes(drawing, "time since the change")
    _key(
        drawing,
        0,
        "accent",
        "mean since the start, {time_before} old: passes after {cumulative_settling_time}",
        "accent",
    )
    _key(drawing, 1, "outline", "mean of the last {display_window}: passes after {rolling_settling_time}")
    _key(
        drawing, 2, "centreline", "fading in {display_time_constant}: passes after {exponential_settling_time}", "pale"
    )
    _key(drawing, 3, "ghost", "radon after the change, {new_level}", "pale")
    _key(drawing, 4, "cut", "level to pass, {watched_level}", "warn")
    return drawing


BETWEEN, SETTLING = _between(), _settling()
