"""What the fan of a house did to its radon, from the monitor's days before and after: the level, the reduction, the alarm."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any

import numpy as np

from radonwork.engine.formula import Values
from radonwork.engine.solver import Solver
from radonwork.engine.sources import Source
from radonwork.formulas.statistics import days_between_alarms
from radonwork.house.job import Assumed
from radonwork.house.long_run import LEAST_MEAN, _even_normal, alike, chance_over, no_fewer
from radonwork.house.monitor import day_of
from radonwork.house.record import House
from radonwork.house.watched import HOUR, LEFT_OUT, OFF, ON, Watched, transition, watched
from radonwork.solvers.daily_levels import DRAWS, HALF_YEAR_SPREAD, YEAR, days_to_settle
from radonwork.solvers.step_change import ChangeDay, Reduction, change_day, reduction

_MODEL = Source(kind="derived", place="lognormal days that resemble each other, with season, trend and a change")
CLEAR = 20.0
"""How much likelier than none a change must be to be spoken of."""


def days_of(house: House) -> Watched | None:
    """The monitor of a house whose file can be used."""
    found = watched(house)
    return found if isinstance(found, Watched) else None


def means_of(found: Watched) -> np.ndarray:
    """Daily means, days of nothing at what a survey takes for them."""
    return np.maximum(found.days.means, LEAST_MEAN)


@lru_cache(maxsize=32)
def effect_of(found: Watched, transition_time: float) -> Reduction:
    """What the fan did, days within `transition_time` seconds of a switch being left out. Raises ValueError in words."""
    if found.start is None:
        raise ValueError("it takes the day on which the fan was started: a commissioning entry, or monitor.fan_start")
    return reduction(found.days.numbers, means_of(found), found.states(transition_time))


@lru_cache(maxsize=8)
def change_of(found: Watched) -> ChangeDay | None:
    """Where the days themselves see a change, up to the day on which the fan was first switched off again."""
    numbers = found.days.numbers
    until = min((_day(off) for off, _ in found.off), default=math.inf)
    kept = numbers < until
    try:
        return change_day(numbers[kept], means_of(found)[kept])
    except ValueError:
        return None


def _day(at: Any) -> float:
    from radonwork.house.monitor import day_number

    return float(day_number(at.date()))


# ---------------------------------------------------------------- for its sheet


def transition_told(house: House) -> tuple[Assumed, ...]:
    """How long after a switch days are left out."""
    seconds = transition(house)
    stated = house.monitor and house.monitor.left_out
    because = (
        "what the record states"
        if stated
        else "a day, or longer where the air change of the house leaves more than a hundredth of the change to come"
    )
    return (Assumed("transition_time", f"{seconds / HOUR:.4g} h", because),)


def solvers_of(house: House) -> tuple[Solver, ...]:
    """Reduction and levels; how the level after the fan stands to the level that decides."""
    file = watched(house)
    found = file if isinstance(file, Watched) else None
    # A file that cannot be used is not missing: the statement is refused with what is wrong with it.
    wants = ("day_count",) if file is None else ("days_after",) if found and not found.start else ()

    def effect(transition_time: Values) -> Reduction:
        if found is None:
            raise ValueError(str(file))
        return effect_of(found, float(np.max(transition_time)))

    def fell(transition_time: Values, device_spread: Values, **_: Values) -> Mapping[str, Values]:
        one, error = effect(transition_time), _device(device_spread)
        ends = np.quantile(one.share(), [0.025, 0.5, 0.975])
        before, after = (np.exp(np.quantile(logs + error, [0.025, 0.5, 0.975])) for logs in (one.before, one.after))
        assert found
        states = found.states(float(np.max(transition_time)))
        results = {
            "radon_reduction": ends[1], "reduction_low": ends[0], "reduction_high": ends[2], "mean_before": before[1],
            "mean_after": after[1], "mean_after_low": after[0], "mean_after_high": after[2], "radon_ratio": 1 - ends[1],
            "before_spread": float(np.median(one.draws_before.spread)), "after_spread": float(np.median(one.draws.spread)),
            "lag_correlation": float(np.mean([np.median(d.correlation) for d in (one.draws_before, one.draws)])),
            "days_measured_before": float(np.sum(states == OFF)), "days_measured_after": float(np.sum(states == ON)),
        }  # fmt: skip
        return alike(results, transition_time, device_spread)

    def stands(
        transition_time: Values, device_spread: Values, action_level: Values, **_: Values
    ) -> Mapping[str, Values]:
        level, one = float(np.max(action_level)), effect(transition_time)
        assert found
        on = found.states(float(np.max(transition_time))) == ON
        results = {
            "chance_after": chance_over(one.after + _device(device_spread), level),
            "days_above": float(np.sum(found.days.means[on] > level)),
        }
        return alike(results, transition_time, device_spread, action_level)

    return (
        Solver(
            "fan_effect",
            "What the fan took away, and the level that is left",
            (
                "radon_reduction", "reduction_low", "reduction_high", "mean_before", "mean_after", "mean_after_low",
                "mean_after_high", "radon_ratio", "before_spread", "after_spread", "lag_correlation",
                "days_measured_before", "days_measured_after",
            ),
            ("transition_time", "device_spread", *wants),
            _MODEL,
            fell,
            assumptions=(
                "Season and trend multiply the level before and after alike; days spread lognormally and resemble the day "
                "before, on each side by as much as they do there.",
                "The same device stood at the same place throughout, so that its error shortens out of the reduction.",
            ),
        ),
        Solver(
            "level_after",
            "The level that is left against the level that decides",
            ("chance_after", "days_above"),
            ("transition_time", "device_spread", "action_level", *wants),
            _MODEL,
            stands,
        ),
    )  # fmt: skip


def _device(device_spread: Values) -> np.ndarray:
    found: np.ndarray = float(np.max(device_spread)) * np.random.default_rng(23).permutation(_even_normal(DRAWS))
    return found


def further_after(found: Watched, transition_time: float, action_level: float, device_spread: float) -> int | None:
    """Further days with the fan on that would make it 95 % sure on which side of the level the mean is."""
    one = effect_of(found, transition_time)
    chance = float(np.mean(one.after + _device(device_spread) > math.log(action_level)))
    if max(chance, 1 - chance) >= 0.95:
        return 0
    states = found.states(transition_time)
    shift = float(np.median(one.after)) - float(np.median(one.draws.log_means()))
    return no_fewer(
        days_to_settle(one.draws, found.days.numbers[states == ON], math.log(action_level) - shift, device_spread)
    )


# ---------------------------------------------------------------- later on

BASELINE_DAYS = 60
"""Days after the fan's start, transition left out, that later days are held against."""
DOUBLED = math.log(2)
"""The alarm is set to find radon that has doubled."""
YEARS_TO_FALSE_ALARM = 10.0
_ALLOWANCES = 0.1, 2.0  # where a doubling is lost in the weather; and where it is seen on its first day
_LEAST_SPREAD = 0.05
"""Of ln: days that hardly differ are known no better than their display is rounded."""


@dataclass(frozen=True, eq=False)
class Alarm:
    """A sum of standard scores over the days after the baseline; it alarms where it passes `limit`."""

    days: np.ndarray
    sums: np.ndarray
    limit: float
    allowance: float
    raised: float  # the factor by which the level is raised before days are held against it
    baseline: int

    @property
    def first(self) -> date | None:
        """The day of the first alarm."""
        over = np.flatnonzero(self.sums > self.limit)
        return day_of(self.days[over[0]]) if len(over) else None


def alarm_of(found: Watched, transition_time: float) -> Alarm | None:
    """The watch kept over the days with the fan on; None until there are days beyond those it is held against.

    Each day is held against what the day before leads to expect (level and the share it passes on are those of the
    baseline), so that scores are independent while nothing changes. The level is raised by what a season commonly does to
    half a year and by what so few days leave open of it. A doubling shifts a score by (1 - rho) (ln 2 - raised) / e; the
    allowance is half of that, and the limit is the one with a false alarm in ten years at the raised level.
    """
    states = found.states(transition_time)
    days, logs = found.days.numbers[states == ON], np.log(means_of(found)[states == ON])
    if len(days) < BASELINE_DAYS + 1:
        return None
    level = logs[:BASELINE_DAYS].mean()
    spread = max(float(logs[:BASELINE_DAYS].std(ddof=1)), _LEAST_SPREAD)
    centred = logs[:BASELINE_DAYS] - level
    near = np.diff(days[:BASELINE_DAYS]) == 1
    passed = float(
        np.clip(np.sum(centred[1:][near] * centred[:-1][near]) / max(np.sum(centred[:-1][near] ** 2), 1e-12), 0.0, 0.95)
    )
    left_open = spread * math.sqrt((1 + passed) / (1 - passed) / BASELINE_DAYS)
    raised = math.hypot(HALF_YEAR_SPREAD, left_open)
    gaps = np.diff(days, prepend=days[0] - 1)[BASELINE_DAYS:]
    before = logs[BASELINE_DAYS - 1 : -1] - level - raised
    expected = level + raised + passed**gaps * before
    error = spread * np.sqrt(np.maximum(1 - passed ** (2 * gaps), 1e-9))
    scores = (logs[BASELINE_DAYS:] - expected) / error
    half = (1 - passed) * (DOUBLED - raised) / (2 * spread * math.sqrt(1 - passed**2))
    allowance = min(max(half, _ALLOWANCES[0]), _ALLOWANCES[1])
    limit = _limit(allowance)
    sums, held = np.empty(len(scores)), 0.0
    for i, score in enumerate(scores):
        held = max(0.0, held + score - allowance)
        sums[i] = held
    return Alarm(days[BASELINE_DAYS:], sums, limit, allowance, math.exp(raised), BASELINE_DAYS)


@lru_cache(maxsize=64)
def _limit(allowance: float) -> float:
    """The limit with one false alarm in ten years on the average."""
    low, high = 0.5, 30.0
    for _ in range(50):
        middle = (low + high) / 2
        often = days_between_alarms(alarm_allowance=allowance, alarm_limit=middle) < YEARS_TO_FALSE_ALARM * YEAR
        low, high = (middle, high) if often else (low, middle)
    return high


def left_out_days(found: Watched, transition_time: float) -> int:
    """Days that belong to neither level."""
    return int(np.sum(found.states(transition_time) == LEFT_OUT))
