"""Running averages: against pandas' expanding, rolling and fading means of made-up hours, with displays rounded."""

import math
from typing import Any

import numpy as np
import pandas as pd
import pytest

from radonwork.engine.formula import RangeError
from radonwork.formulas import running_average as averages
from radonwork.glossary import term

HOUR, DAY = 3600.0, 86400.0
PCI = 37.0  # Bq/m3
STEP = 0.1  # pCi/L


def weather(rng: np.random.Generator, hours: int, level: float) -> np.ndarray:
    """Hours of radon in pCi/L around a level, each hour much like the one before."""
    log, moved = np.zeros(hours), 0.0
    for hour in range(hours):
        moved = 0.9 * moved + rng.normal(0, 0.2)
        log[hour] = moved
    made: np.ndarray = level * np.exp(log)
    return made


def rounded(values: Any) -> np.ndarray:
    return np.round(np.asarray(values) / STEP) * STEP


def si(reading: float) -> float:
    return reading * PCI


def rng_of(seed: int) -> np.random.Generator:
    return np.random.default_rng(seed)


@pytest.mark.parametrize("seed", range(40))
def test_two_cumulative_displays_give_the_mean_between_them_within_their_rounding(seed: int) -> None:
    rng = rng_of(seed)
    first, gap = int(rng.integers(24, 2000)), int(rng.integers(48, 1500))
    radon = np.concatenate([weather(rng, first, 8.0), weather(rng, gap, rng.uniform(0.3, 6))])
    display = pd.Series(radon).expanding().mean().to_numpy()
    truth = radon[first:].mean()
    times = {"time_before": first * HOUR, "time_after": (first + gap) * HOUR}

    def mean(shown: np.ndarray) -> float:
        found = averages.cumulative_mean_between(
            display_before=si(shown[first - 1]), display_after=si(shown[-1]), **times
        )
        return float(found) / PCI

    assert mean(display) == pytest.approx(truth, rel=1e-9)
    error = float(averages.cumulative_mean_error(display_step=si(STEP), **times)) / PCI
    assert abs(mean(rounded(display)) - truth) <= error + 1e-9


@pytest.mark.parametrize("seed", range(40))
def test_two_rolling_displays_give_the_mean_between_them_after_a_steady_window(seed: int) -> None:
    rng = rng_of(seed)
    window = int(rng.integers(48, 400))
    gap = int(rng.integers(12, window + 1))
    before = rng.uniform(4, 15)
    radon = np.concatenate([np.full(window, before), weather(rng, gap, rng.uniform(0.3, 3))])
    display = pd.Series(radon).rolling(window).mean().to_numpy()
    terms = {"time_between": gap * HOUR, "display_window": window * HOUR}

    def mean(shown: np.ndarray) -> float:
        found = averages.rolling_mean_between(
            display_before=si(shown[window - 1]), display_after=si(shown[-1]), **terms
        )
        return float(found) / PCI

    truth = radon[window:].mean()
    assert mean(display) == pytest.approx(truth, rel=1e-9)
    # What leaves the window is taken from the rounded display, so its rounding is in the bound too.
    error = float(averages.rolling_mean_error(display_step=si(STEP), **terms)) / PCI
    assert abs(mean(rounded(display)) - truth) <= error + 1e-9


@pytest.mark.parametrize("seed", range(40))
def test_two_fading_displays_give_the_level_between_them_whatever_came_before(seed: int) -> None:
    rng = rng_of(seed)
    tau, past, gap = rng.uniform(10, 200), 800, int(rng.integers(12, 600))
    level = rng.uniform(0.5, 5)
    radon = np.concatenate([weather(rng, past, 9.0), np.full(gap, level)])
    # In steps of an hour the display keeps exp(-1/tau) of itself: exact for a level that holds for the hour.
    display = pd.Series(radon).ewm(alpha=1 - math.exp(-1 / tau), adjust=False).mean().to_numpy()
    terms = {"time_between": gap * HOUR, "display_time_constant": tau * HOUR}

    def mean(shown: np.ndarray) -> float:
        found = averages.exponential_mean_between(
            display_before=si(shown[past - 1]), display_after=si(shown[-1]), **terms
        )
        return float(found) / PCI

    assert mean(display) == pytest.approx(level, rel=1e-9)
    error = float(averages.exponential_mean_error(display_step=si(STEP), **terms)) / PCI
    assert abs(mean(rounded(display)) - level) <= error + 1e-9


def test_the_error_of_rounding_is_no_larger_than_it_need_be() -> None:
    terms = {"time_before": 60 * DAY, "time_after": 80 * DAY}
    half = si(STEP) / 2
    worst = max(
        abs(
            float(
                averages.cumulative_mean_between(display_before=si(8.0) + a, display_after=si(6.2) + b, **terms)
                - averages.cumulative_mean_between(display_before=si(8.0), display_after=si(6.2), **terms)
            )
        )
        for a in (-half, half)
        for b in (-half, half)
    )
    assert worst == pytest.approx(averages.cumulative_mean_error(display_step=si(STEP), **terms), rel=1e-9)


def simulated(kind: str, before: float, after: float, hours: int) -> np.ndarray:
    """What a display shows in the hours since a change, after 30 steady days; window 7 d, time constant 2 d."""
    radon = pd.Series(np.concatenate([np.full(30 * 24, before), np.full(hours, after)]))
    shown = {
        "cumulative": lambda: radon.expanding().mean(),
        "rolling": lambda: radon.rolling(7 * 24).mean(),
        "exponential": lambda: radon.ewm(alpha=1 - math.exp(-1 / 48), adjust=False).mean(),
    }[kind]()
    return np.asarray(shown)[30 * 24 :]


DISPLAYS = {
    "cumulative": (averages.cumulative_display, {"time_before": 30 * DAY}),
    "rolling": (averages.rolling_display, {"display_window": 7 * DAY}),
    "exponential": (averages.exponential_display, {"display_time_constant": 2 * DAY}),
}
SETTLING = {
    "cumulative": averages.cumulative_settling_time,
    "rolling": averages.rolling_settling_time,
    "exponential": averages.exponential_settling_time,
}


@pytest.mark.parametrize("kind", DISPLAYS)
def test_the_display_after_a_change_is_what_pandas_makes_of_the_hours(kind: str) -> None:
    display, terms = DISPLAYS[kind]
    hours = np.arange(1, 60 * 24 + 1)
    ours = display(display_before=si(9.0), new_level=si(1.2), time_since_change=hours * HOUR, **terms)
    assert np.asarray(ours) / PCI == pytest.approx(simulated(kind, 9.0, 1.2, len(hours)), rel=1e-9)


@pytest.mark.parametrize("kind", DISPLAYS)
def test_the_display_passes_the_level_within_the_hour_that_is_said(kind: str) -> None:
    share = averages.settling_share(display_before=si(9.0), new_level=si(1.2), watched_level=si(4.0))
    said = float(SETTLING[kind](settling_share=share, **DISPLAYS[kind][1])) / HOUR
    shown = simulated(kind, 9.0, 1.2, 120 * 24)
    first = int(np.argmax(shown <= 4.0)) + 1
    assert first - 1 <= said <= first


def test_a_level_at_or_below_the_new_one_is_never_passed_and_that_is_said_in_one_line() -> None:
    with pytest.raises(RangeError, match="where every display settles") as refused:
        averages.settling_share(display_before=si(9.0), new_level=si(1.2), watched_level=si(1.2))
    assert "\n" not in str(refused.value)
    with pytest.raises(RangeError, match="below what the display showed"):
        averages.settling_share(display_before=si(3.0), new_level=si(1.2), watched_level=si(4.0))


def test_readings_in_the_wrong_order_are_refused() -> None:
    with pytest.raises(RangeError, match="later than the first"):
        averages.cumulative_mean_between(
            display_before=si(8), display_after=si(6), time_before=80 * DAY, time_after=60 * DAY
        )


def test_readings_further_apart_than_the_window_are_refused() -> None:
    with pytest.raises(RangeError, match="no more than one window"):
        averages.rolling_mean_between(
            display_before=si(8), display_after=si(6), time_between=8 * DAY, display_window=7 * DAY
        )


def test_the_answer_of_the_common_example_is_larger_than_its_rounding_and_a_short_gap_after_a_year_is_not() -> None:
    def clearance(before: str, after: str, first: str, second: str) -> float:
        times = {
            "time_before": term("time_before").read(first).value,
            "time_after": term("time_after").read(second).value,
        }
        mean = averages.cumulative_mean_between(
            display_before=term("display_before").read(before).value,
            display_after=term("display_after").read(after).value,
            **times,
        )
        error = averages.cumulative_mean_error(display_step=si(STEP), **times)
        return float(averages.mean_clearance(mean_between=mean, mean_error=error)) / PCI

    assert clearance("8.0 pCi/L", "6.2 pCi/L", "60 d", "80 d") == pytest.approx(0.45, rel=1e-6)
    assert clearance("8.0 pCi/L", "7.9 pCi/L", "360 d", "365 d") < 0


def test_the_most_and_the_clearance_lie_one_error_to_either_side() -> None:
    assert averages.mean_most(mean_between=30.0, mean_error=13.0) == 43.0
    assert averages.mean_clearance(mean_between=30.0, mean_error=13.0) == 17.0


def test_the_gauge_has_moved_by_what_lies_between_two_readings() -> None:
    read = term("gauge_mark").read
    moved = averages.gauge_drift(gauge_mark=read("1.1 inWC").value, gauge_later=read("0.8 inWC").value)
    assert moved == pytest.approx(-0.3 * 249.08891, rel=1e-6)
