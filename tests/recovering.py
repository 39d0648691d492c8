"""Series of days whose truth is known, and how often an interval said to hold 95 % of cases holds it.

The series are drawn by what is published of houses and by nothing of the method: a swing over the year whose half-years
spread about the mean of the year by a geometric standard deviation of 1.36 (cliff-miles-naismith), highest in winter give
or take six weeks, its amplitude evenly spread; a second wave of up to two thirds of it, whose variance is on the average
what two waves told beyond one in four houses (crockett-seasonal); days that resemble each other; gaps of a day to nine; a
trend from year to year. The method takes every time of the year for as likely as another, and normal amplitudes and
trends, so none of its assumptions is the generator's but the logarithm and the published spreads.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from radonwork.solvers.daily_levels import long_run_draws
from radonwork.solvers.step_change import OFF, ON, change_day, reduction

CORRELATIONS = (0.0, 0.3, 0.6, 0.9)
_YEAR = 365.25
# Half-years average a swing to 2/pi of it, and a time of year taken at random halves its square: for a spread of ln 1.36
# the amplitude's mean square must be 2 (ln 1.36 pi/2)^2, and three times that is the square of the largest.
_LARGEST_SWING = math.sqrt(6) * math.log(1.36) * math.pi / 2


@dataclass(frozen=True)
class Known:
    """Daily means with the truth behind them: `mean` of the long run before, `share` taken away, first day `changed`."""

    days: np.ndarray
    values: np.ndarray
    states: np.ndarray
    mean: float
    share: float
    changed: float


def resembling(rng: np.random.Generator, count: int, correlation: float) -> np.ndarray:
    """Standard normal days, each of which passes on this share of itself."""
    steps = rng.standard_normal(count)
    found = np.empty(count)
    found[0] = steps[0]
    for i in range(1, count):
        found[i] = correlation * found[i - 1] + math.sqrt(1 - correlation**2) * steps[i]
    return found


def _season(rng: np.random.Generator) -> Callable[[np.ndarray], np.ndarray]:
    swing, peak = rng.uniform(0, _LARGEST_SWING), rng.normal(15, 45)
    second, other_peak = swing * rng.uniform(0, 0.69), rng.uniform(0, _YEAR)
    return lambda t: (
        swing * np.cos(2 * np.pi * (t - peak) / _YEAR) + second * np.cos(4 * np.pi * (t - other_peak) / _YEAR)
    )


def _kept(rng: np.random.Generator, count: int) -> np.ndarray:
    kept = np.ones(count, bool)
    for _ in range(rng.integers(0, 5)):
        start = rng.integers(0, count)
        kept[start : start + rng.integers(1, 10)] = False
    return kept


def _mean_of_season(season: Callable[[np.ndarray], np.ndarray]) -> float:
    return float(np.mean(np.exp(season(np.arange(0, _YEAR, 0.25)))))


def one_level(rng: np.random.Generator, correlation: float) -> Known:
    """A month to thirteen months of days at one level."""
    count, start = int(rng.integers(30, 400)), int(rng.integers(0, 366))
    days, season, spread = start + np.arange(count, dtype=float), _season(rng), rng.uniform(0.2, 0.7)
    level = rng.uniform(50, 900)
    values = level * np.exp(season(days) + spread * resembling(rng, count, correlation))
    kept = _kept(rng, count)
    mean = level * _mean_of_season(season) * math.exp(spread**2 / 2)
    return Known(days[kept], values[kept], np.full(int(kept.sum()), OFF), mean, 0.0, math.nan)


def with_change(
    rng: np.random.Generator, correlation: float, cycles: int = 0, correlation_after: float | None = None
) -> Known:
    """Two weeks to five months before and two weeks to eight months after; or a fan off and on for a week each, so often.

    The noise goes on through the change, or starts anew where the days after have a correlation of their own.
    """
    if cycles:
        on = np.repeat(np.arange(2 * cycles) % 2, 7).astype(bool)
    else:
        on = np.arange(int(rng.integers(14, 150)) + (after := int(rng.integers(14, 250)))) >= 0
        on[: len(on) - after] = False
    count, start = len(on), int(rng.integers(0, 366))
    days, season = start + np.arange(count, dtype=float), _season(rng)
    spreads, share, level = rng.uniform(0.2, 0.7, 2), rng.uniform(0.2, 0.97), rng.uniform(150, 900)
    step = math.log(1 - share) - (spreads[1] ** 2 - spreads[0] ** 2) / 2
    noise = resembling(rng, count, correlation)
    if correlation_after is not None:
        noise = np.where(on, resembling(rng, count, correlation_after), noise)
    noise = noise * np.where(on, spreads[1], spreads[0])
    changed = float(days[int(np.argmax(on))])
    trend = rng.uniform(-0.5, 0.5) * (days - changed) / _YEAR
    values = level * np.exp(season(days) + trend + step * on + noise)
    kept = _kept(rng, count)
    mean = level * _mean_of_season(season) * math.exp(spreads[0] ** 2 / 2)
    return Known(days[kept], values[kept], np.where(on, ON, OFF)[kept], mean, share, changed)


@dataclass(frozen=True)
class Coverage:
    """How many of `count` intervals held the truth; of the others, how many lay too high and too low; width of the middle one."""

    held: int
    too_high: int
    too_low: int
    count: int
    width: float

    @property
    def share(self) -> float:
        return self.held / self.count

    def __add__(self, other: "Coverage") -> "Coverage":
        total = self.count + other.count
        width = (self.width * self.count + other.width * other.count) / total
        return Coverage(
            self.held + other.held, self.too_high + other.too_high, self.too_low + other.too_low, total, width
        )

    def __str__(self) -> str:
        return (
            f"{100 * self.share:5.1f} % of {self.count:,} (too high {self.too_high}, too low {self.too_low}; "
            f"width {self.width:.2f})"
        )


def _coverage(truths: np.ndarray, draws: list[np.ndarray]) -> Coverage:
    ends = np.array([np.quantile(one, [0.025, 0.975]) for one in draws])
    high, low = int(np.sum(truths < ends[:, 0])), int(np.sum(truths > ends[:, 1]))
    count = len(truths)
    return Coverage(count - high - low, high, low, count, float(np.median(ends[:, 1] - ends[:, 0])))


def of_year_mean(correlation: float, count: int, seed: int) -> Coverage:
    """Of ln of the long-run mean."""
    rng = np.random.default_rng([seed, round(100 * correlation)])
    known = [one_level(rng, correlation) for _ in range(count)]
    draws = [long_run_draws(one.days, one.values).log_means() for one in known]
    return _coverage(np.log([one.mean for one in known]), draws)


def of_reduction(
    correlation: float, count: int, seed: int, cycles: int = 0, correlation_after: float | None = None
) -> Coverage:
    """Of the share taken away."""
    rng = np.random.default_rng([seed, round(100 * correlation), cycles])
    known = [with_change(rng, correlation, cycles, correlation_after) for _ in range(count)]
    draws = [reduction(one.days, one.values, one.states).share() for one in known]
    return _coverage(np.array([one.share for one in known]), draws)


def of_change_day(correlation: float, count: int, seed: int) -> tuple[int, int, int]:
    """How often the 95 % days hold the day of a change, of how many found (a change 20 times likelier than none), of all."""
    rng = np.random.default_rng([seed, round(100 * correlation)])
    held = found = 0
    for _ in range(count):
        one = with_change(rng, correlation)
        day = change_day(one.days, one.values)
        if day.for_change > 20:
            first, last = day.range()
            # A gap around the change leaves it open between the days on its two sides.
            after = one.days[one.days >= one.changed]
            held += bool(len(after)) and first <= after[0] <= last
            found += 1
    return held, found, count
