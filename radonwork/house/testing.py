"""What the radon tests of a record say together: which result decides, what may be averaged, and what follows next.

Every step rests on a clause of data/protocol.toml. Where a fact is missing the step asks for its field. Tests made while
the suction system ran say nothing of the house without it, and the other way round.
"""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import TYPE_CHECKING

from radonwork import glossary
from radonwork.engine.sources import Source
from radonwork.files import DATA
from radonwork.house.levels import Level
from radonwork.house.proving import fan_start
from radonwork.house.sections.radon import RadonTest, pairs
from radonwork.units import Quantity, decimal, read

if TYPE_CHECKING:
    from radonwork.house.record import House

HOUR, DAY = 3600.0, 86400.0
_FOUR = 148.0
"""Bq/m³ in 4 pCi/L, at which the rules on pairs change."""
_CLOSED_BELOW = 96 * HOUR
_HAIR = 1e-9


@dataclass(frozen=True)
class Clause:
    """What one document says, in our own words; `value` is its figure in SI, where it has one."""

    key: str
    says: str
    source: Source
    value: float | None = None
    protocol: str = ""
    level: str = ""
    note: str = ""

    @property
    def decides(self) -> bool:
        return self.source.kind != "from memory, unverified"


@cache
def clauses() -> tuple[Clause, ...]:
    """Every clause, in file order."""
    rows = tomllib.loads((DATA / "protocol.toml").read_text(encoding="utf-8"))["clause"]
    return tuple(
        Clause(
            row["key"],
            row["says"],
            Source(row.get("source", ""), row.get("place", ""), row["kind"]),
            read(row["value"], glossary.term(row["term"]).dimension).value if "value" in row else None,
            row.get("protocol", ""),
            row.get("level", ""),
            row.get("note", ""),
        )
        for row in rows
    )


def clause(key: str, protocol: str = "") -> Clause:
    """The clause of that key, in the wording of `protocol` where documents disagree."""
    return next(c for c in clauses() if c.key == key and c.protocol in ("", protocol))


def limit(key: str, protocol: str = "") -> float:
    """The figure of a clause, in SI."""
    value = clause(key, protocol).value
    assert value is not None
    return value


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
        """Whether it is a short-term test, as it is called or by its length; None where neither says."""
        if self.test.kind:
            return self.test.kind == "short-term"
        return self.test.length <= limit("long test") if self.test.length else None


def results(house: "House") -> tuple[Result, ...]:
    """Every test that has a result, in the order of the record."""
    return tuple(Result(n, t, t.concentration) for n, t in enumerate(house.test, 1) if t.concentration)


def ran(house: "House", test: RadonTest) -> bool:
    """Whether the suction system ran during a test: as it says, or by the day on which the fan was started."""
    start = fan_start(house)
    return test.fan == "running" or (test.fan is None and bool(start and test.start and test.start >= start))


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
        """Relative difference: difference over mean."""
        return abs(self.first.concentration.value - self.second.concentration.value) / self.mean

    @property
    def clause(self) -> Clause:
        """The rule that holds for these two."""
        low, high = sorted((self.first.concentration.value, self.second.concentration.value))
        return clause("pair high" if low >= _FOUR - _HAIR else "pair low" if high < _FOUR - _HAIR else "pair across")

    @property
    def accepted(self) -> bool:
        """Whether the two agree well enough to be averaged."""
        most = self.clause.value
        assert most is not None
        if self.clause.key == "pair across":
            low, high = sorted((self.first.concentration.value, self.second.concentration.value))
            return high <= most * low * (1 + _HAIR)
        return self.difference < most

    @property
    def together(self) -> bool:
        """Whether they stood at one place, as far as the record says."""
        apart = max((r.test.apart.value for r in (self.first, self.second) if r.test.apart), default=0.0)
        return apart <= limit("one place") * (1 + _HAIR)


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
    def quantity(self) -> Quantity:
        tail = f" ± {decimal(self.tolerance, self.unit, 6)}" if self.tolerance else ""
        return Quantity(self.value, self.unit, self.tolerance, decimal(self.value, self.unit, 6) + tail)


def decided(house: "House") -> Decided | None:
    """The result that decides for the house without a system: at each place its long test, or else what may be averaged.

    The highest of several places decides, since separate places are never averaged.
    """
    places = dict.fromkeys(result.test.place or "" for result in before(house))
    found = [at for at in (_at_place(house, place) for place in places) if at]
    return max(found, key=lambda at: at.value) if found else None


def _at_place(house: "House", place: str) -> Decided | None:
    here = tuple(r for r in before(house) if (r.test.place or "") == place)
    long = [r for r in here if r.short is False]
    if long:
        last = max(long, key=lambda r: (r.test.end or r.test.start or date.min, r.number))
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


def facts(house: "House") -> dict[str, Quantity]:
    """What follows from the tests together, by glossary term; a term is left out where one of its tests does not say."""
    found: dict[str, Quantity] = {}
    level = named_level(house)
    if level:
        found[level.term] = level.quantity
    if at := decided(house):
        found["radon_concentration"] = at.quantity
    made = pairs_of(house, before(house))
    if made:
        found |= {"first_result": made[-1].first.concentration, "second_result": made[-1].second.concentration}
        found |= _extreme("pair_distance", [_apart(pair) for pair in made], most=True)
    there = results(house)
    if count := len(before(house)):
        found["test_count"] = Quantity(float(count), "", 0.0, str(count))
    short = [r for r in there if r.short is not False]
    found |= _extreme("least_test_duration", [r.test.length for r in there])
    found |= _extreme("least_long_duration", [r.test.length for r in there if r.short is False])
    found |= _extreme("monitor_time", [r.test.length for r in there if r.test.device == "continuous monitor"])
    closable = [r for r in short if r.test.length is None or r.test.length < _CLOSED_BELOW]
    found |= _extreme("closed_time", [r.test.closed_before and r.test.closed_before.value for r in closable])
    running = [r for r in there if r.test.fan == "running" and r.short is not False]
    found |= _extreme("fan_time", [r.test.fan_before and r.test.fan_before.value for r in running])
    brief = [r for r in short if r.test.length is None or r.test.length < limit("weather")]
    if brief and all(r.test.severe_weather is not None for r in brief):
        storms = sum(bool(r.test.severe_weather) for r in brief)
        found["severe_count"] = Quantity(float(storms), "", 0.0, str(storms))
    return found


def _apart(pair: Pair) -> float | None:
    stated = [r.test.apart.value for r in (pair.first, pair.second) if r.test.apart]
    return max(stated) if stated else None


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
    there = results(house)
    level = named_level(house)
    found: dict[str, bool | str] = {
        "level_basis": level.basis if level else "none",
        "pair_made": bool(pairs_of(house, before(house))),
        "long_test_made": any(r.short is False for r in there),
        "monitor_used": any(r.test.device == "continuous monitor" for r in there),
        "tested_with_fan": any(r.test.fan == "running" and r.short is not False for r in there),
        "short_test_closable": any(
            r.short is not False and (r.test.length is None or r.test.length < _CLOSED_BELOW) for r in there
        ),
        "protocol": (house.house and house.house.protocol) or "current",
    }
    return found


def named_level(house: "House") -> Level | None:
    """The level that the record names."""
    return house.house.level if house.house else None


# ---------------------------------------------------------------- what to do next


@dataclass(frozen=True)
class Step:
    """One sentence of what to do, the clauses it comes from, and the field it asks for, if any."""

    says: str
    clauses: tuple[Clause, ...]
    field: str = ""


def steps(house: "House") -> tuple[Step, ...]:
    """What the protocol asks next, in order: what is wrong with a test first, then what its result asks for."""
    return tuple(_steps(house))


def _steps(house: "House") -> Iterator[Step]:
    there = results(house)
    if not there:
        yield Step(
            "Make a first short test in the lowest level that is lived in or used, with the house closed.",
            (clause("first test"), clause("short test"), clause("closed before")),
            "test",
        )
        return
    for result in there:
        yield from _of_one(house, result)
    for pair in pairs_of(house, there):
        yield from _of_pair(house, pair)
    yield from _of_decision(house)


def _protocol(house: "House") -> str:
    return (house.house and house.house.protocol) or ""


def _of_one(house: "House", result: Result) -> Iterator[Step]:
    """What is wrong with one test, or cannot be told of it."""
    test, name, length = result.test, f"Test {result.number}", result.test.length
    if length is None:
        yield Step(f"State how long test {result.number} ran.", (clause("short test"),), f"{result.field}.duration")
        return
    if length < limit("short test"):
        yield Step(f"{name} ran {_hours(length)}, which is no test; make it again.", (clause("short test"),))
    if test.kind == "long-term" and length <= limit("long test"):
        yield Step(
            f"{name} ran {_days(length)}: it is no long-term test. Write kind as short-term, or measure longer.",
            (clause("long test"), clause("short test")),
            f"{result.field}.kind",
        )
    if test.device is None:
        yield Step(
            f"State with what device test {result.number} was made.", (clause("device"),), f"{result.field}.device"
        )
    if test.device == "continuous monitor":
        for choice in dict.fromkeys((_protocol(house) or "current", _protocol(house) or "1992")):
            rule = clause("monitor hours", choice)
            if length < limit("monitor hours", choice):
                yield Step(f"{name} has {_hours(length)} of a continuous monitor, too few; let it run longer.", (rule,))
                break
    if result.short is not False and length < _CLOSED_BELOW:
        yield from _closed(result, name, length)
    if result.short is not False and length < limit("weather"):
        if test.severe_weather is None:
            yield Step(
                f"State whether unusually severe weather came during test {result.number}.",
                (clause("weather"),),
                f"{result.field}.severe_weather",
            )
        elif test.severe_weather:
            yield Step(f"{name} was made in unusually severe weather; make it again.", (clause("weather"),))
    if test.fan == "running" and result.short is not False:
        had = test.fan_before
        if had is None:
            yield Step(
                f"State how long the fan had run when test {result.number} began.",
                (clause("after the fan"),),
                f"{result.field}.fan_before",
            )
        elif had.value < limit("after the fan"):
            yield Step(f"{name} began {had.text} after the fan, too soon; make it again.", (clause("after the fan"),))


def _closed(result: Result, name: str, length: float) -> Iterator[Step]:
    closed = result.test.closed_before
    rules = (clause("closed before"), clause("not closed before"))
    if closed is None:
        yield Step(
            f"State how long the house had been closed when test {result.number} began.",
            rules[:1],
            f"{result.field}.closed_before",
        )
    elif closed.value < limit("closed before"):
        yield Step(
            f"The house had been closed only {closed.text} before {name.lower()}, which ran {_hours(length)}: make it "
            "again with 12 hours closed, or leave the device for 4 days.",
            rules,
        )


def _of_pair(house: "House", pair: Pair) -> Iterator[Step]:
    numbers = f"Tests {pair.first.number} and {pair.second.number}"
    percent = decimal(pair.difference, "%", 3)
    if not pair.together:
        yield Step(f"{numbers} stood too far apart for a pair: report each by itself.", (clause("one place"),))
    elif pair.accepted:
        mean = decimal(pair.mean, pair.first.concentration.unit, 3)
        yield Step(
            f"{numbers} differ by {percent} of their mean, which is accepted: take the mean, {mean}.",
            (pair.clause, clause("average"), clause("rounding")),
        )
    else:
        yield Step(f"{numbers} differ by {percent} of their mean, too much: make both again.", (pair.clause,))
    if _apart(pair) is None:
        yield Step(
            f"State how far apart the detectors of tests {pair.first.number} and {pair.second.number} stood.",
            (clause("one place"),),
            f"{pair.second.field}.apart",
        )


def _of_decision(house: "House") -> Iterator[Step]:
    """What the deciding result asks for, against the level that the record names."""
    at, level = decided(house), named_level(house)
    if at is None:
        return
    if level is None:
        yield Step(
            "Name the level that holds where the house stands, or state your own; what the result asks for depends on it.",
            (clause("fix"),),
            "house.level",
        )
        return
    here, line = decimal(at.value, at.unit, 3), decimal(level.quantity.value, at.unit, 3)
    who = f"{level.name}, {level.kind}" if level.basis != "own" else level.name
    for rule in (c for c in clauses() if c.level and c.level == level.name):
        yield Step(f"Where the level of {level.name} holds, its own protocol holds too: {rule.says}", (rule,))
    if not level.basis == "memory":
        yield from _against(house, at, level, here, f"{line} ({who})")
    else:
        yield Step(
            f"{here} stands beside {line} ({who}), a level known only from memory: it decides nothing. Look it up and "
            "write it as your own.",
            (clause("fix"),),
            "house.level",
        )


def _against(house: "House", at: Decided, level: Level, here: str, line: str) -> Iterator[Step]:
    step = limit("rounding")
    rounded = step * int(at.value / step + 0.5 + _HAIR)
    high = rounded >= level.quantity.value - _HAIR
    if at.kind in ("one", "apart") and high:
        yield from _second(house, at, here, line)
    elif high:
        rule = {"long": "fix long", "pair": "fix", "second": "fix mean"}[at.kind]
        yield Step(
            f"Fix the house: {here}, {at.how}, is at or above {line}. A licensed practitioner does it, or guides it.",
            (clause(rule), *(() if rule == "fix" else (clause("fix"),))),
        )
        if at.kind == "pair" and not any(r.short is False for r in before(house)):
            yield Step(
                "Nobody need wait for a long test. Where there is time, it tells the mean of the year better.",
                (clause("follow up"),),
            )
    else:
        if limit("consider") - _HAIR <= at.value < _FOUR:
            yield Step(f"Consider fixing: {here} is below {line}, and not without risk.", (clause("consider"),))
        yield Step(
            f"{here} is below {line}: test again within 5 years, and after any change to the house.",
            (clause("retest without"),),
        )


def _second(house: "House", at: Decided, here: str, line: str) -> Iterator[Step]:
    """After one short test at or above the level: how soon the second one comes, by the protocol that is chosen."""
    chosen = _protocol(house)
    choices = [chosen] if chosen else ["current", "1992"]
    asks = {choice: at.value > limit("at once", choice) * (1 - _HAIR * (choice == "1992")) for choice in choices}
    rules = tuple(clause("at once", choice) for choice in choices)
    yield Step(
        f"One short test decides nothing yet: {here} is at or above {line}.",
        (clause("two results"), clause("follow up")),
    )
    if len(set(asks.values())) > 1:
        yield Step(
            f"Choose the protocol: at {here} one document asks for a second short test at once, the other leaves time for a "
            "long one. Until then the stricter is the better guide.",
            rules,
            "house.protocol",
        )
    elif all(asks.values()):
        yield Step("Make a second short test at once, under the same conditions.", rules)
    else:
        yield Step(
            "Make a long-term test, or a second short one where the answer is needed quickly.",
            (clause("follow up"), *rules),
        )


def _hours(seconds: float) -> str:
    return decimal(seconds, "h", 3)


def _days(seconds: float) -> str:
    return decimal(seconds, "d", 3)
