"""What the radon tests of a record say together: which may be averaged, which result decides, what the rules can judge.

Tests made while the suction system ran say nothing of the house without it, and the other way round.
"""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from radonwork import glossary
from radonwork.house.levels import Level
from radonwork.house.proving import fan_start
from radonwork.house.sections.radon import RadonTest, pairs
from radonwork.requirements.clauses import Clause, clause, limit
from radonwork.units import Quantity, decimal

if TYPE_CHECKING:
    from radonwork.house.record import House

HOUR, DAY = 3600.0, 86400.0
FOUR = 148.0
"""Bq/m³ in 4 pCi/L, at which the rules on pairs change."""
CLOSED_BELOW = 96 * HOUR
HAIR = 1e-9


# ---------------------------------------------------------------- results


@dataclass(frozen=True)
class Result:
    """One test with a result; `number` counts the record's tests from 1."""

    number: int
    test: RadonTest
    concentration: Quantity

    @property
    def field(self) -> str:
        return f"test[{self.number}]"

    @property
    def short(self) -> bool | None:
        """Whether it counts as a short-term test, as it is called or since it may not have lasted long; None where neither
        says.
        """
        if self.test.kind == "short-term":
            return True
        if self.test.lasted() is None:
            return False if self.test.kind else None
        return self.test.may_last(limit("long test"), beyond=True) is not True

    @property
    def too_brief(self) -> bool:
        """Whether it surely ran shorter than the shortest test there is, so that nothing rests on it."""
        return self.test.may_last(limit("short test")) is False


def results(house: "House") -> tuple[Result, ...]:
    """Every test that has a result, in the order of the record."""
    return tuple(Result(n, t, t.concentration) for n, t in enumerate(house.test, 1) if t.concentration)


def ran(house: "House", test: RadonTest) -> bool:
    """Whether the suction system ran during a test: as it says, or by the day on which the fan was started."""
    start = fan_start(house)
    return test.fan == "running" or (test.fan is None and bool(start and test.began and test.began >= start))


def before(house: "House") -> tuple[Result, ...]:
    """The results of the house without a running system."""
    return tuple(result for result in results(house) if not ran(house, result.test))


@dataclass(frozen=True)
class Pair:
    """Two tests side by side."""

    name: str
    first: Result
    second: Result

    @property
    def mean(self) -> float:
        return (self.first.concentration.value + self.second.concentration.value) / 2

    @property
    def difference(self) -> float:
        """Relative difference: difference over mean; two results of nothing agree."""
        apart = abs(self.first.concentration.value - self.second.concentration.value)
        return apart / self.mean if apart else 0.0

    @property
    def clause(self) -> Clause:
        """The rule that holds for these two."""
        low, high = sorted((self.first.concentration.value, self.second.concentration.value))
        return clause("pair high" if low >= FOUR - HAIR else "pair low" if high < FOUR - HAIR else "pair across")

    @property
    def accepted(self) -> bool:
        """Whether the two agree well enough to be averaged."""
        most = self.clause.value
        assert most is not None
        if self.clause.key == "pair across":
            low, high = sorted((self.first.concentration.value, self.second.concentration.value))
            return high <= most * low * (1 + HAIR)
        return self.difference < most

    @property
    def together(self) -> bool:
        """Whether they stood at one place, as far as the record says."""
        return (self.apart or 0.0) <= limit("one place") * (1 + HAIR)

    @property
    def apart(self) -> float | None:
        """Metres between the detectors, where either test says."""
        return max((r.test.apart.value for r in (self.first, self.second) if r.test.apart), default=None)


def pairs_of(house: "House", found: tuple[Result, ...]) -> tuple[Pair, ...]:
    """The pairs among some results."""
    by_number = {result.number: result for result in found}
    made = []
    for name, members in pairs(house.test):
        both = [by_number[n + 1] for n in members if n + 1 in by_number]
        if len(both) == 2:
            made.append(Pair(name, *both))
    return tuple(made)


@dataclass(frozen=True)
class Decided:
    """The concentration that decides: SI, with its tolerance; `numbers` are the tests in it, `how` says why these."""

    value: float
    tolerance: float
    unit: str
    numbers: tuple[int, ...]
    kind: str
    place: str
    how: str

    @property
    def settles(self) -> bool:
        """Whether something may be decided by it: one short test, or two that contradict each other, decide nothing."""
        return self.kind not in ("one", "apart")

    @property
    def quantity(self) -> Quantity:
        tail = f" ± {decimal(self.tolerance, self.unit, 6)}" if self.tolerance else ""
        return Quantity(self.value, self.unit, self.tolerance, decimal(self.value, self.unit, 6) + tail)


def decided(house: "House") -> Decided | None:
    """The result that decides for the house without a system: at each place its long test, or else what may be averaged.

    The highest of several places decides, since separate places are never averaged; but where a place settles that the
    level is reached, one short test at another settles nothing beside it.
    """
    places = dict.fromkeys(result.test.place or "" for result in before(house))
    found = [at for at in (_at_place(house, place) for place in places) if at]
    settled = [at for at in found if at.settles and _reaches(house, at)]
    return max(settled or found, key=lambda at: at.value, default=None)


def _reaches(house: "House", at: Decided) -> bool:
    level = named_level(house)
    if level is None or level.basis == "memory":
        return False
    return reported(at.value, at.unit) >= level.quantity.value - HAIR


def _at_place(house: "House", place: str) -> Decided | None:
    every = tuple(r for r in before(house) if (r.test.place or "") == place)
    here = tuple(r for r in every if not r.too_brief) or every
    long = [r for r in here if r.short is False]
    if long:
        last = max(long, key=lambda r: (r.test.ended or r.test.began or date.min, r.number))
        return _mean((last,), "long", place, "the long-term test at this place stands before short ones")
    for pair in reversed(pairs_of(house, here)):
        if pair.accepted and pair.together:
            both = (pair.first, pair.second)
            return _mean(both, "pair", place, "the two tests side by side agree, so their mean counts")
    unpaired = tuple(r for r in here if not r.test.pair)
    if len(unpaired) >= 2:
        return _mean(unpaired[:2], "second", place, "the mean of the first and the second short test at one place")
    if here:
        highest = max(here, key=lambda r: r.concentration.value)
        why = "one short test alone" if len(here) == 1 else "the higher of two results that may not be averaged"
        return _mean((highest,), "one" if len(here) == 1 else "apart", place, why)
    return None


def _mean(found: tuple[Result, ...], kind: str, place: str, how: str) -> Decided:
    values = [r.concentration.value for r in found]
    tolerance = sum(r.concentration.tolerance for r in found) / len(found)
    numbers = tuple(r.number for r in found)
    return Decided(sum(values) / len(values), tolerance, found[0].concentration.unit, numbers, kind, place, how)


# ---------------------------------------------------------------- facts for the sheet and the rules


def step_of(unit: str) -> float:
    """Bq/m³ to which results in a unit are given: the protocol's tenth of a picocurie, or whole becquerels."""
    return limit("rounding") if unit == "pCi/L" else 1.0


def reported(value: float, unit: str) -> float:
    """A concentration as its result is given, in Bq/m³."""
    from radonwork.formulas.radon_tests import reported_result

    return float(reported_result(radon_concentration=value, reporting_step=step_of(unit)))


def facts(house: "House") -> dict[str, Quantity]:
    """What follows from the tests together, by glossary term; a term is left out where one of its tests does not say."""
    found: dict[str, Quantity] = {}
    level = named_level(house)
    if level:
        found[level.term] = level.quantity
    if at := decided(house):
        found["radon_concentration"] = at.quantity
        if at.unit == "Bq/m3":
            found["reporting_step"] = Quantity(step_of(at.unit), "Bq/m3", 0.0, "1 Bq/m3")
    made = pairs_of(house, before(house))
    if made:
        found |= {"first_result": made[-1].first.concentration, "second_result": made[-1].second.concentration}
        found |= _extreme("pair_distance", [pair.apart for pair in made], most=True)
    there = results(house)
    if at:
        count = len(_counting(house, at))
        found["test_count"] = Quantity(float(count), "", 0.0, str(count))
    found |= _shortest("least_test_duration", [r.test.lasted() for r in there])
    found |= _shortest("least_long_duration", [r.test.lasted() for r in there if r.test.kind == "long-term"])
    watches = [r.test.lasted() for r in there if r.test.device == "continuous monitor"]
    found |= _shortest("monitor_time", [*watches, *_watched(house)])
    closable = _closable(there)
    found |= _extreme("closed_time", [_si(r.test.closed_before) for r in closable])
    running = [r for r in there if r.test.fan == "running" and r.short is not False]
    found |= _extreme("fan_time", [_si(r.test.fan_before) for r in running])
    brief = [r for r in there if r.short is not False and not r.test.may_last(limit("weather"))]
    if brief and all(r.test.severe_weather is not None for r in brief):
        storms = sum(bool(r.test.severe_weather) for r in brief)
        found["severe_count"] = Quantity(float(storms), "", 0.0, str(storms))
    return found


def _counting(house: "House", at: Decided) -> tuple[Result, ...]:
    """The results that a decision may rest on: one that settles nothing by itself has none of another place beside it."""
    sound = (r for r in before(house) if not r.too_brief)
    return tuple(r for r in sound if at.settles or (r.test.place or "") == at.place)


def _closable(there: tuple[Result, ...]) -> list[Result]:
    """Short tests that may be so short that the house is closed before them."""
    return [r for r in there if r.short is not False and not r.test.may_last(CLOSED_BELOW)]


def _watched(house: "House") -> list[tuple[float, float] | None]:
    """Seconds that the readings of the record's monitor count without a break; empty where it names no file."""
    if not (house.monitor and house.monitor.file):
        return []
    from radonwork.house.watched import Watched, unbroken, watched

    found = watched(house)
    return [(unbroken(found.series),) * 2 if isinstance(found, Watched) else None]


def _shortest(term: str, lasted: list[tuple[float, float] | None]) -> dict[str, Quantity]:
    """The shortest of some times, each known to lie between two, with what that leaves open; nothing where one is not known."""
    known = [one for one in lasted if one is not None]
    if not known or len(known) < len(lasted):
        return {}
    value = min((low + high) / 2 for low, high in known)
    off, unit = value - min(low for low, _ in known), glossary.term(term).us
    return {term: Quantity(value, unit, off, decimal(value, unit) + (f" ± {decimal(off, unit)}" if off else ""))}


def _si(quantity: Quantity | None) -> float | None:
    return quantity.value if quantity else None


def _extreme(term: str, values: list[float | None], most: bool = False) -> dict[str, Quantity]:
    """The least (or most) of `values` as a quantity; nothing where there are none or one is not known."""
    known = [value for value in values if value is not None]
    if not known or len(known) < len(values):
        return {}
    value = max(known) if most else min(known)
    unit = glossary.term(term).us
    return {term: Quantity(value, unit, 0.0, decimal(value, unit))}


def words(house: "House") -> dict[str, bool | str]:
    """What the tests are, as the rules ask for it."""
    there, level = results(house), named_level(house)
    found: dict[str, bool | str] = {"level_basis": level.basis} if level else {}
    watched = bool(house.monitor and house.monitor.file)
    if there or watched:
        found["monitor_used"] = watched or any(r.test.device == "continuous monitor" for r in there)
        found["protocol"] = (house.house and house.house.protocol) or "current"
    if not there:
        return found
    return found | {
        "level_basis": level.basis if level else "none",
        "pair_made": bool(pairs_of(house, before(house))),
        "long_test_made": any(r.test.kind == "long-term" for r in there),
        "tested_with_fan": any(r.test.fan == "running" and r.short is not False for r in there),
        "short_test_closable": bool(_closable(there)),
    }


def named_level(house: "House") -> Level | None:
    """The level that the record names."""
    return house.house.level if house.house else None
