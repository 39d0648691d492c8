"""What the tests and the monitor of a house say of its long-run mean without a running fan.

Tests of one place that share their weather count once: those whose times lie within a month of each other, and all
without dates. Each is weighted by its published spread; a monitor's days go through the model of
`solvers.daily_levels`, and what tests of other days say is joined to it.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

import numpy as np

from radonwork.engine.formula import Values
from radonwork.engine.solver import Solver
from radonwork.engine.sources import Source
from radonwork.formulas import statistics
from radonwork.glossary import term
from radonwork.house import testing
from radonwork.house.job import Assumed, assumed
from radonwork.house.monitor import day_number
from radonwork.house.record import House
from radonwork.house.watched import DAY, OFF, Watched, transition, watched
from radonwork.requirements.clauses import limit
from radonwork.solvers.daily_levels import (
    DRAWS,
    LEAST_DAYS,
    Draws,
    days_to_settle,
    days_to_settle_from_tests,
    long_run_draws,
)
from radonwork.solvers.quoted_band import BANDS, CONFIDENCE, spread_of
from radonwork.units import decimal, from_unit

SAME_WEATHER = 30  # days between two tests of one kind
LEAST_MEAN = float(from_unit(0.1, "pCi/L"))
"""Days and tests of nothing are taken for this, as the surveys take a result below detection."""
_QUANTILE = term("normal_quantile").read(assumed("year")["normal_quantile"].value).value
_MODEL = Source(kind="derived", place="lognormal days that resemble each other, with a season of published spread")


@dataclass(frozen=True)
class Cluster:
    """Tests of one kind that share their weather: their geometric mean, SI, and the numbers that the record gives them."""

    kind: str
    mean: float
    numbers: tuple[int, ...]


@dataclass(frozen=True)
class Together:
    """Clusters of tests taken together, each weighted by one over its variance."""

    clusters: tuple[Cluster, ...]

    @property
    def weight(self) -> float:
        return sum(spread_of(cluster.kind) ** -2 for cluster in self.clusters)

    @property
    def spread(self) -> float:
        """Standard deviation of ln of the mean of the year about them."""
        return self.weight**-0.5

    @property
    def log_mean(self) -> float:
        return sum(spread_of(c.kind) ** -2 * math.log(c.mean) for c in self.clusters) / self.weight

    def count(self, kind: str) -> int:
        return sum(cluster.kind == kind for cluster in self.clusters)


@dataclass(frozen=True, eq=False)
class LongRun:
    """What is known of the mean: `tests` all together, those `joined` to a monitor's days because they are of other days,
    the days with the draws of their model, and what was left out.
    """

    tests: Together
    joined: Together
    place: str
    other_places: tuple[int, ...]
    within_monitor: tuple[int, ...]
    days: np.ndarray
    means: np.ndarray
    draws: Draws | None
    monitor: Watched | None
    problem: str

    def log_means(self, device_spread: float) -> np.ndarray:
        """Equally likely values of ln of the long-run mean, the device's own error among what is not known."""
        if self.draws is None:
            return self.tests.log_mean + self.tests.spread * _even_normal(DRAWS)
        found = self.draws.log_means() + device_spread * np.random.default_rng(22).permutation(_even_normal(DRAWS))
        if not self.joined.clusters:
            return found
        # Each is kept as often as the tests agree with it.
        weights = np.exp(-(((found - self.joined.log_mean) / self.joined.spread) ** 2) / 2)
        order = np.argsort(found)
        passed = np.cumsum(weights[order]) / weights.sum()
        return found[order][np.minimum(np.searchsorted(passed, (np.arange(DRAWS) + 0.5) / DRAWS), DRAWS - 1)]

    def ends(self, device_spread: float) -> tuple[float, float, float]:
        """The mean, SI: the ends that hold it with 95 % chance, and its middle between them."""
        if self.draws is None:
            given = {"geometric_mean": math.exp(self.tests.log_mean), "log_spread": self.tests.spread}
            low, high = (
                float(end(normal_quantile=_QUANTILE, **given))
                for end in (statistics.spread_low, statistics.spread_high)
            )
            return low, given["geometric_mean"], high
        low, middle, high = np.exp(np.quantile(self.log_means(device_spread), [0.025, 0.5, 0.975]))
        return float(low), float(middle), float(high)

    def chance(self, device_spread: float, level: float) -> float:
        """The chance that the mean is above a level."""
        if self.draws is None:
            given = {"geometric_mean": math.exp(self.tests.log_mean), "log_spread": self.tests.spread}
            return float(statistics.share_above(compared_level=level, **given))
        return chance_over(self.log_means(device_spread), level)


@lru_cache(maxsize=2)
def _even_normal(count: int) -> np.ndarray:
    """Standard normal numbers at even chances."""
    from statistics import NormalDist

    at = NormalDist()
    return np.array([at.inv_cdf((n + 0.5) / count) for n in range(count)])


def long_run(house: House) -> LongRun | None:
    """What the record tells of the mean without a running fan; None where it has neither a test nor a monitor's days."""
    found = watched(house)
    return _long_run(house, found if isinstance(found, Watched) else None, found if isinstance(found, str) else "")


@lru_cache(maxsize=4)
def _long_run(house: House, monitor: Watched | None, problem: str) -> LongRun | None:
    decided = testing.decided(house)
    place = decided.place if decided else ""
    results = testing.before(house)
    here = [result for result in results if (result.test.place or "") == place]
    elsewhere = tuple(result.number for result in results if (result.test.place or "") != place)
    days, means, draws = np.zeros(0), np.zeros(0), None
    stated = (house.monitor.place or "") if house.monitor else ""
    if monitor and stated and place and stated != place:
        problem, monitor = (
            f"monitor.place: {stated} is not where the tests stood, {place}; its days are not joined to them",
            None,
        )
    if monitor:
        off = monitor.states(transition(house)) == OFF
        before = off & (monitor.days.numbers < _first_on(monitor))
        days, means = monitor.days.numbers[before], np.maximum(monitor.days.means[before], LEAST_MEAN)
        if len(days) >= LEAST_DAYS:
            try:
                draws = long_run_draws(days, means)
            except ValueError as reason:
                problem = f"without a running fan, {reason}"
        elif len(days):
            problem = f"{len(days)} whole days of the monitor without a running fan are too few; {LEAST_DAYS} would do"
    inside = [result for result in here if draws and _inside(result.test.began, result.test.ended, days)]
    if not here and draws is None:
        return None
    joined = Together(_clusters([result for result in here if result not in inside]))
    numbers = tuple(result.number for result in inside)
    return LongRun(
        Together(_clusters(here)), joined, place or stated, elsewhere, numbers, days, means, draws, monitor, problem
    )


def _first_on(monitor: Watched) -> float:
    return day_number(monitor.start.date()) if monitor.start else math.inf


def _inside(start: date | None, end: date | None, days: np.ndarray) -> bool:
    """Whether most of a test lies within the days of the monitor, which then tells all that it does."""
    if not (start and end):
        return False
    first, last = day_number(start), day_number(end)
    shared = min(last, days[-1]) - max(first, days[0])
    return bool(shared > 0.5 * (last - first))


def _clusters(results: list[testing.Result]) -> tuple[Cluster, ...]:
    found: list[list[testing.Result]] = []
    for result in sorted(results, key=lambda r: (r.short is False, r.test.began or date.min)):
        for cluster in found:
            if cluster[-1].short == result.short and _same_weather(cluster[-1], result):
                cluster.append(result)
                break
        else:
            found.append([result])
    return tuple(
        Cluster(
            "long-term" if cluster[0].short is False else "short-term",
            math.exp(sum(math.log(max(r.concentration.value, LEAST_MEAN)) for r in cluster) / len(cluster)),
            tuple(r.number for r in cluster),
        )
        for cluster in found
    )


def _same_weather(one: testing.Result, other: testing.Result) -> bool:
    ended, began = one.test.ended or one.test.began, other.test.began or other.test.ended
    return ended is None or began is None or (began - ended).days <= SAME_WEATHER


# ---------------------------------------------------------------- for its sheet


def from_tests(house: House) -> tuple[Assumed, ...]:
    """What the record's tests come to, as terms of the sheet; the spreads are those of the quoted bands."""
    found = long_run(house)
    if not found or not found.tests.clusters:
        return ()
    unit = term("combined_result").unit(house.system)
    told = "tests that share their weather count once"
    band = "of one {kind} test, quoted as ± {band} at " + CONFIDENCE + " confidence, read as a lognormal"
    terms = {
        "short_test_count": (str(found.tests.count("short-term")), told),
        "long_test_count": (str(found.tests.count("long-term")), told),
        "short_test_spread": (
            f"{spread_of('short-term'):.6g}",
            band.format(kind="short-term", band=BANDS["short-term"]),
        ),
        "long_test_spread": (f"{spread_of('long-term'):.6g}", band.format(kind="long-term", band=BANDS["long-term"])),
        "combined_result": (
            decimal(math.exp(found.tests.log_mean), unit, 6),
            "geometric mean, each test by its weight",
        ),
    }
    return tuple(Assumed(name, text, because) for name, (text, because) in terms.items())


def solver_of(house: House) -> Solver:
    """The long-run mean of a house as a statement for its sheet; one that lacks a result where there is none."""
    found = long_run(house)

    def known(device_spread: Values, **_: Values) -> Mapping[str, Values]:
        if found is None:
            raise ValueError("it takes the result of a test, or the days of a monitor")
        low, middle, high = found.ends(float(np.max(device_spread)))
        return alike({"year_mean": middle, "year_mean_low": low, "year_mean_high": high}, device_spread)

    return Solver(
        "long_run_mean",
        "Long-run mean of the house, and the range that holds it",
        ("year_mean", "year_mean_low", "year_mean_high"),
        ("device_spread", *(() if found else ("radon_concentration",))),
        _MODEL,
        known,
        assumptions=(
            "Days spread lognormally about a level with a season; the swing and shape of the season are held by what is "
            "published of houses and learnt from the days.",
            "Tests are spread about the mean of the year by their quoted bands, lognormally, and the house stays as it is.",
        ),
    )


def chance_of(house: House) -> Solver:
    """The chance that the mean is above the level, and what would settle it."""
    found = long_run(house)

    def known(device_spread: Values, action_level: Values, **_: Values) -> Mapping[str, Values]:
        if found is None:
            raise ValueError("it takes the result of a test, or the days of a monitor")
        chance = found.chance(float(np.max(device_spread)), float(np.max(action_level)))
        return alike({"chance_above": chance}, device_spread, action_level)

    return Solver(
        "chance_above_level",
        "Chance that the long-run mean is above the level",
        ("chance_above",),
        ("device_spread", "action_level", *(() if found else ("radon_concentration",))),
        _MODEL,
        known,
    )


def chance_over(log_means: np.ndarray, level: float) -> float:
    """The chance that draws tell; never none at all, since so many draws could not show one smaller than theirs."""
    return float(np.sum(log_means > math.log(level)) + 1) / (len(log_means) + 2)


def alike(found: Mapping[str, float], *given: Values) -> dict[str, Values]:
    """The same for every point of an array that was given: ranges of a device or a level go into no draw."""
    size = max((np.size(value) for value in given if isinstance(value, np.ndarray)), default=0)
    return {name: np.full(size, value) if size else float(value) for name, value in found.items()}


def further(house: House, action_level: float, device_spread: float) -> int | None:
    """Further days of a monitor that would make it 95 % sure; 0 where it is, None where two years would not do."""
    found = long_run(house)
    if found is None:
        return None
    above = found.chance(device_spread, action_level)
    if max(above, 1 - above) >= 0.95:
        return 0
    if found.draws is not None:
        return no_fewer(days_to_settle(found.draws, found.days, math.log(action_level), device_spread))
    return no_fewer(
        days_to_settle_from_tests(abs(found.tests.log_mean - math.log(action_level)), found.tests.spread, device_spread)
    )


def no_fewer(days: int | None) -> int | None:
    """Days that would settle it, none of which is asked for alone: what is shorter than the shortest test is none."""
    return max(days, math.ceil(limit("short test") / DAY)) if days else days
