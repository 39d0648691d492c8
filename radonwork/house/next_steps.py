"""What to do next about radon tests: sentences, each with the clauses it comes from.

What is wrong with a test, or not known of it, comes first; a missing fact is asked for by its field. No step is without a
clause, and no clause that is known only from memory decides one.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from radonwork.house.levels import Level
from radonwork.house.proving import fan_start, years_after
from radonwork.house.record import House
from radonwork.house.testing import (
    CLOSED_BELOW,
    FOUR,
    HAIR,
    Decided,
    Pair,
    Result,
    before,
    decided,
    named_level,
    pairs_of,
    ran,
    reported,
    results,
)
from radonwork.requirements.clauses import Clause, clause, clauses, limit
from radonwork.units import decimal

_YEAR = 365.25 * 86400.0


@dataclass(frozen=True)
class Step:
    """One sentence of what to do, the clauses it comes from, and the field it asks for, if any."""

    says: str
    clauses: tuple[Clause, ...]
    field: str = ""


def steps(house: House) -> tuple[Step, ...]:
    """What the protocol asks next, in order: what is wrong with a test first, then what its result asks for."""
    return tuple(_steps(house))


def _steps(house: House) -> Iterator[Step]:
    there = results(house)
    if not there:
        yield Step(
            "Make a first short test in the lowest level that is lived in or used, with the house closed.",
            (clause("first test"), clause("placing"), clause("short test"), clause("closed before")),
            "test",
        )
        return
    for result in there:
        yield from _of_one(house, result)
    for pair in pairs_of(house, there):
        yield from _of_pair(house, pair)
    yield from _of_decision(house)


def _protocol(house: House) -> str:
    return (house.house and house.house.protocol) or ""


def _of_one(house: House, result: Result) -> Iterator[Step]:
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
    if result.short is not False and length < CLOSED_BELOW:
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


def _of_pair(house: House, pair: Pair) -> Iterator[Step]:
    numbers = f"Tests {pair.first.number} and {pair.second.number}"
    percent = decimal(pair.difference, "%", 3)
    if not pair.together:
        yield Step(f"{numbers} stood too far apart for a pair: report each by itself.", (clause("one place"),))
    elif pair.accepted:
        mean = decimal(pair.mean, pair.first.concentration.unit, 3)
        averaged = () if pair.clause.key == "pair across" else (clause("average"),)
        yield Step(
            f"{numbers} differ by {percent} of their mean, which is accepted: take the mean, {mean}.",
            (pair.clause, *averaged, clause("rounding")),
        )
    else:
        yield Step(f"{numbers} differ by {percent} of their mean, too much: make both again.", (pair.clause,))
    if pair.apart is None:
        yield Step(
            f"State how far apart the detectors of tests {pair.first.number} and {pair.second.number} stood.",
            (clause("one place"),),
            f"{pair.second.field}.apart",
        )


# Which clause says what a deciding result means, by how it came about.
_RULE = {"long": "fix long", "pair": "average", "second": "fix mean", "one": "two results", "apart": "two results"}


def _of_decision(house: House) -> Iterator[Step]:
    """What the deciding result asks for, against the level that the record names."""
    at, level = decided(house), named_level(house)
    if level is None:
        yield Step(
            "Name the level that holds where the house stands, or state your own; what a result asks for depends on it.",
            (clause("fix"),),
            "house.level",
        )
        return
    for rule in (c for c in clauses() if c.level and c.level == level.name):
        yield Step(f"Where the level of {level.name} holds, its own protocol holds too: {rule.says}", (rule,))
    if level.basis == "memory":
        yield Step(
            f"The level of {level.name}, {level.quantity.text}, is known only from memory: it is shown and decides nothing. "
            "Look it up and write it as your own.",
            (clause("fix"),),
            "house.level",
        )
        return
    if at and fan_start(house) is None:
        yield from _against(house, at, level)
    elif start := fan_start(house):
        yield from _of_system(house, start, level)


def _of_system(house: House, start: date, level: Level) -> Iterator[Step]:
    """Once a fan runs, the tests before it have done their work: what counts is a test of the system."""
    since, at = [r for r in results(house) if ran(house, r.test)], decided(house)
    if at:
        side = "at or above" if reported(at.value, at.unit) >= level.quantity.value - HAIR else "below"
        here = decimal(at.value, at.unit, 3)
        yield Step(
            f"Before the fan the house had {here}, {side} {_line(level, at.unit)}: {at.how}.", (clause(_RULE[at.kind]),)
        )
    if not since:
        yield Step(
            f"Test the system that was started on {start}, not before it has run for 24 hours: the record has no test since.",
            (clause("after the fan"),),
            "test",
        )
        return
    last = max(since, key=lambda r: (r.test.end or r.test.start or date.min, r.number))
    read, line = last.concentration, _line(level, last.concentration.unit)
    if reported(read.value, read.unit) >= level.quantity.value - HAIR:
        yield Step(
            f"Test {last.number}, with the system running, reads {read.text}: at or above {line}. Have the system looked at, "
            "and test again.",
            (clause("fix"), clause("retest with")),
        )
    else:
        yield Step(
            f"Test {last.number}, with the system running, reads {read.text}: below {line}. Test again "
            f"{_within('retest with', last.test.end or last.test.start)}.",
            (clause("retest with"),),
        )


def _within(rule: str, day: date | None) -> str:
    """ "within 2 years, by 2028-03-21" """
    years = round(limit(rule) / _YEAR)
    return f"within {years} years" + (f", by {years_after(day, years)}" if day else "")


def _last_day(house: House, at: Decided) -> date | None:
    days = [house.test[n - 1].end or house.test[n - 1].start for n in at.numbers]
    return max((day for day in days if day), default=None)


def _line(level: Level, unit: str) -> str:
    """The level in the unit of a result, and whose it is."""
    who = level.name if level.basis == "own" else f"{level.name}, {level.kind}"
    return f"{decimal(level.quantity.value, unit, 3)} ({who})"


def _against(house: House, at: Decided, level: Level) -> Iterator[Step]:
    here, line = decimal(at.value, at.unit, 3), _line(level, at.unit)
    high = reported(at.value, at.unit) >= level.quantity.value - HAIR
    if at.kind in ("one", "apart") and high:
        yield from _second(house, at, here, line)
    elif high:
        rule = _RULE[at.kind]
        yield Step(
            f"Fix the house: {here} is at or above {line}; {at.how}. A licensed practitioner does it, or guides it.",
            (clause(rule), clause("fix")),
        )
        if at.kind == "pair" and not any(r.short is False for r in before(house)):
            yield Step(
                "Nobody need wait for a long test. Where there is time, it tells the mean of the year better.",
                (clause("follow up"),),
            )
    else:
        if limit("consider") - HAIR <= at.value < FOUR:
            yield Step(f"Consider fixing: {here} is below {line}, and not without risk.", (clause("consider"),))
        yield Step(
            f"{here} is below {line}: test again {_within('retest without', _last_day(house, at))}, and after any change to "
            "the house.",
            (clause("retest without"),),
        )


def _second(house: House, at: Decided, here: str, line: str) -> Iterator[Step]:
    """After one short test at or above the level: how soon the second one comes, by the protocol that is chosen."""
    chosen = _protocol(house)
    choices = [chosen] if chosen else ["current", "1992"]
    asks = {choice: at.value > limit("at once", choice) * (1 - HAIR * (choice == "1992")) for choice in choices}
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
