"""The days of a monitor, the change that the fan made, the fitted levels on both sides, and what is missing."""

import math
from collections.abc import Iterator, Mapping
from datetime import date, timedelta

import numpy as np

from radonwork.drawings.plot import Axis, Plot
from radonwork.drawings.year_chart import log_axis
from radonwork.glossary import System, term
from radonwork.house.fan_effect import days_of, effect_of, means_of
from radonwork.house.monitor import day_number, day_of
from radonwork.house.record import House
from radonwork.house.watched import LEFT_OUT, OFF, ON, Watched
from radonwork.solvers.step_change import Reduction, columns
from radonwork.units import decimal

_EACH_SIDE = 6  # days of the fitted line between its points


class SeriesChart:
    """Daily means of one house over the calendar, with the levels that the model fits before and after the fan's start."""

    title = "The days, and what the fan did to them"
    takes = ("mean_before", "mean_after", "radon_reduction", "transition_time")

    def __init__(self, house: House) -> None:
        self._found = days_of(house)

    def svg(self, values: Mapping[str, float], system: System = "us") -> str:
        found = self._found
        assert found
        unit = term("mean_after").unit(system)
        numbers, means = found.days.numbers, means_of(found)
        states = found.states(values["transition_time"])
        level = values.get("action_level")
        ends = [*np.quantile(means, [0.002, 0.998]), *([level] if level else [])]
        low, high = math.log(min(ends)) - 0.25, math.log(max(ends)) + 0.25
        first, last = float(numbers[0]), float(numbers[-1]) + 1
        plot = Plot(
            "monitor-days",
            self.title,
            Axis("day", "", first, last, tuple(_months(first, last))),
            log_axis("radon, mean of a day", unit, low, high),
            below=[self._sentence(values, system)],
        )
        missing = list(_missing(numbers))
        for count, (start, end) in enumerate(missing):
            plot.stripe(start, end, "warn", "no reading" if not count else "")
        for state, shape, colour, words in (
            (OFF, "dot", "ink", "fan off"), (ON, "dot", "water", "fan on"), (LEFT_OUT, "cross", "pale", "left out"),
        ):  # fmt: skip
            of_state = states == state
            if of_state.any():
                plot.points(numbers[of_state] + 0.5, np.log(means[of_state]), shape, colour, words)  # type: ignore[arg-type]
        _fitted(plot, found, effect_of(found, values["transition_time"]), states)
        if level:
            plot.level(math.log(level), "warn dashed", f"level, {decimal(level, unit, 3)}")
        if found.start:
            plot.upright(float(day_number(found.start.date())) + 0.5, "ink thin", "the fan was started")
        return plot.svg()

    def described(self, values: Mapping[str, float], system: System = "us") -> str:
        return f"Each dot is the mean of a day, over the calendar. {self._sentence(values, system)}"

    def _sentence(self, values: Mapping[str, float], system: System) -> str:
        unit = term("mean_after").unit(system)
        before, after = (decimal(values[name], unit, 2) for name in ("mean_before", "mean_after"))
        share = decimal(values["radon_reduction"], "%", 3)
        return f"Long-run means: {before} with the fan off, {after} with it on; the fan takes away {share}."


def _fitted(plot: Plot, found: Watched, effect: Reduction, states: np.ndarray) -> None:
    """The level with its season and trend, and the range that holds it with 95 % chance, for each stretch of one state."""
    numbers = found.days.numbers
    origin = float(numbers[states == ON][0])
    named: set[int] = set()
    for state, places in _stretches(states):
        days = np.unique(np.append(numbers[places][::_EACH_SIDE], numbers[places][-1]))
        rows = columns(days, np.full(len(days), float(state == ON)), origin)
        draws = effect.draws if state == ON else effect.draws_before
        levels = rows @ draws.coefficients.T + draws.spread**2 / 2
        low, middle, high = np.quantile(levels, [0.025, 0.5, 0.975], axis=1)
        words = "" if named else "fitted level, and the range that holds it with 95 % chance"
        plot.band(days + 0.5, low, high, "accent")
        plot.line(days + 0.5, middle, "accent", words)
        named.add(state)


def _stretches(states: np.ndarray) -> Iterator[tuple[int, np.ndarray]]:
    """Places of the days of each stretch of one state that is not left out."""
    for run in np.split(np.arange(len(states)), np.flatnonzero(np.diff(states)) + 1):
        if len(run) > 1 and states[run[0]] != LEFT_OUT:
            yield int(states[run[0]]), run


def _missing(numbers: np.ndarray) -> Iterator[tuple[float, float]]:
    for place in np.flatnonzero(np.diff(numbers) > 1):
        yield float(numbers[place]) + 1, float(numbers[place + 1])


def _months(first: float, last: float) -> Iterator[tuple[float, str]]:
    """The first of each month, of every second or further one over a long time."""
    day, end = day_of(first).replace(day=1), day_of(last)
    step = max(1, math.ceil((end - day).days / 30.4 / 8))
    while day <= end:
        number = float(day_number(day))
        if number >= first:
            yield number, f"{day:%b} {day.year}" if day.month == 1 or number - first < 31 * step else f"{day:%b}"
        day = _later(day, step)


def _later(day: date, months: int) -> date:
    for _ in range(months):
        day = (day + timedelta(days=31)).replace(day=1)
    return day
