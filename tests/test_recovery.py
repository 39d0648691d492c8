"""Intervals said to hold 95 % do so over series whose truth is known; tests/benchmarks/recovery.py does it over a thousand."""

import math

import numpy as np
import pytest
from scipy import stats

from radonwork.solvers.daily_levels import LEAST_DAYS, MOST_DAYS, days_to_settle, long_run_draws
from radonwork.solvers.step_change import LEFT_OUT, OFF, ON, change_day, reduction
from tests.recovering import Coverage, Known, of_change_day, of_reduction, of_year_mean, one_level, with_change

COUNT = 120
# Of 120 intervals that each hold the truth with 95 %, fewer than this do once in ten thousand times.
LEAST_HELD = int(stats.binom.ppf(1e-4, COUNT, 0.95))


@pytest.mark.parametrize("correlation", [0.3, 0.9])
def test_the_mean_of_the_year_is_recovered(correlation: float) -> None:
    assert of_year_mean(correlation, COUNT, seed=1).held >= LEAST_HELD


@pytest.mark.parametrize("correlation", [0.3, 0.9])
def test_the_reduction_is_recovered(correlation: float) -> None:
    assert of_reduction(correlation, COUNT, seed=1).held >= LEAST_HELD


def test_a_fan_that_is_cycled_is_recovered() -> None:
    assert of_reduction(0.6, COUNT, seed=1, cycles=4).held >= LEAST_HELD


def test_days_that_resemble_each_other_differently_on_both_sides_are_recovered() -> None:
    assert of_reduction(0.8, COUNT, seed=1, correlation_after=0.1).held >= LEAST_HELD


def test_the_day_of_a_change_that_is_found_is_recovered() -> None:
    held, found, _ = of_change_day(0.3, COUNT, seed=1)
    assert found > COUNT // 4
    assert held >= stats.binom.ppf(1e-4, found, 0.95)


def naive(known: Known) -> bool:
    """Whether the interval of a textbook holds the truth: days that do not resemble each other, a year without a season."""
    logs = np.log(known.values)
    centre = logs.mean() + logs.var(ddof=1) / 2
    return abs(centre - math.log(known.mean)) <= 1.96 * logs.std(ddof=1) / math.sqrt(len(logs))


def test_an_interval_that_knows_nothing_of_season_and_resemblance_would_fail_here() -> None:
    rng = np.random.default_rng(1)
    assert sum(naive(one_level(rng, 0.6)) for _ in range(COUNT)) < LEAST_HELD - COUNT // 4


def test_half_the_width_would_fail_here() -> None:
    """The bound has teeth: intervals half as wide as they should be hold the truth too seldom."""
    rng = np.random.default_rng(1)
    held = 0
    for _ in range(COUNT):
        known = with_change(rng, 0.3)
        low, middle, high = np.quantile(
            reduction(known.days, known.values, known.states).log_ratio, [0.025, 0.5, 0.975]
        )
        truth = math.log(1 - known.share)
        held += middle - (middle - low) / 2 <= truth <= middle + (high - middle) / 2
    assert held < LEAST_HELD


def test_coverage_counts_what_lies_outside() -> None:
    assert str(Coverage(93, 4, 3, 100, 0.5)).startswith(" 93.0 % of 100")


# ---------------------------------------------------------------- what the model does


def level(days: np.ndarray, of: float = 300.0, spread: float = 0.3, seed: int = 0) -> np.ndarray:
    return of * np.exp(spread * np.random.default_rng(seed).standard_normal(len(days)))


def width(days: np.ndarray, values: np.ndarray) -> float:
    low, high = np.quantile(long_run_draws(days, values).log_means(), [0.025, 0.975])
    return float(high - low)


def test_a_year_of_days_says_more_than_a_month_because_it_has_seen_the_season() -> None:
    year = np.arange(365.0)
    values = level(year)
    assert width(year, values) < 0.15 < 0.5 < width(year[:30], values[:30])


def test_a_gap_widens_the_interval_and_does_not_stop_it() -> None:
    year = np.arange(365.0)
    kept = np.r_[year[:60], year[300:]].astype(int)
    values = level(year)
    assert width(year[kept], values[kept]) > width(year, values)


def test_whole_units_do_not_matter() -> None:
    days = np.arange(60.0)
    values = level(days)
    in_pci = long_run_draws(days, values / 37).log_means() + math.log(37)
    assert in_pci == pytest.approx(long_run_draws(days, values).log_means(), abs=1e-6)


def test_the_day_that_counting_starts_from_does_not_matter_much() -> None:
    """Cosine and sine of the year are held alike, so turning the year turns nothing but the draws' own noise."""
    days = np.arange(90.0)
    values = level(days)
    here, there = (np.quantile(long_run_draws(days + s, values).log_means(), [0.025, 0.975]) for s in (0, 137))
    assert here == pytest.approx(there, abs=0.12)


def test_too_few_days_are_refused_in_words() -> None:
    with pytest.raises(ValueError, match="too few"):
        long_run_draws(np.arange(LEAST_DAYS - 1.0), np.ones(LEAST_DAYS - 1))
    with pytest.raises(ValueError, match="with the fan on are too few"):
        reduction(np.arange(40.0), np.ones(40), np.r_[np.full(38, OFF), ON, ON])


@pytest.mark.parametrize("still", [0.1, 185.0])
def test_days_that_never_change_are_refused_in_words(still: float) -> None:
    days = np.arange(40.0)
    with pytest.raises(ValueError, match="all 40 daily means are the same; a monitor that never moves is stuck"):
        long_run_draws(days, np.full(40, still))
    with pytest.raises(ValueError, match="all 20 daily means with the fan on are the same"):
        reduction(days, np.r_[level(days[:20]), np.full(20, still)], np.repeat([OFF, ON], 20))


def test_what_is_far_from_the_level_needs_no_more_days_and_what_is_near_needs_many() -> None:
    days = np.arange(60.0)
    draws = long_run_draws(days, level(days))
    centre = float(np.median(draws.log_means()))
    far, near, at = (days_to_settle(draws, days, centre + away) for away in (3.0, 0.35, 0.0))
    assert far == 0
    assert near is not None
    assert 0 < near < MOST_DAYS
    assert at is None


def test_a_device_that_may_be_off_cannot_be_outwaited() -> None:
    days = np.arange(60.0)
    draws = long_run_draws(days, level(days))
    centre = float(np.median(draws.log_means()))
    assert days_to_settle(draws, days, centre + 0.35, other_spread=0.3) is None


def test_days_left_out_after_a_start_are_not_looked_at() -> None:
    days = np.arange(80.0)
    states = np.where(days < 40, OFF, ON)
    states[40:43] = LEFT_OUT
    values = level(days) * np.where(days < 40, 1.0, 0.1)
    clean = reduction(days, values, states).share()
    values[40:43] = 5000.0
    assert reduction(days, values, states).share() == pytest.approx(clean)
    assert np.median(clean) == pytest.approx(0.9, abs=0.03)


def test_nothing_changed_is_said_to_be_no_change() -> None:
    days = np.arange(120.0)
    assert change_day(days, level(days)).for_change < 1
    found = change_day(days, level(days) * np.where(days < 50, 1.0, 0.2))
    assert found.for_change > 1e6
    assert found.best == 50
