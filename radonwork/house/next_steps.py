"""What to do next about radon tests: sentences, each with the clauses it comes from.

What is wrong with a test, or not known of it, comes first; a missing fact is asked for by its field. No step is without a
clause, and no clause that is known only from memory decides one.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from radonwork.house.levels import Level
from radonwork.house.proving import fan_start, has_system, start_contradictions, years_after
from radonwork.house.record import House
from radonwork.house.testing import (
    CLOSED_BELOW,
    DAY,
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


def next_lines(house: House) -> tuple[str, ...]:
    """The same, a line each, with the field that is asked for."""
    return tuple(step.says + (f" Field: {step.field}." if step.field else "") for step in steps(house))


def _steps(house: House) -> Iterator[Step]:
    for contradiction, field in start_contradictions(house):
        yield Step(f"{contradiction}.", (clause("after the fan"),), field)
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
    test, name, lasted = result.test, f"Test {result.number}", result.test.lasted()
    if lasted is None:
        yield Step(f"State how long test {result.number} ran.", (clause("short test"),), f"{result.field}.duration")
        return
    if result.too_brief:
        yield Step(f"{name} ran {_ran(lasted)}, which is no test; make it again.", (clause("short test"),))
    if test.kind == "long-term" and test.may_last(limit("long test"), beyond=True) is False:
        yield Step(
            f"{name} ran {_ran(lasted)}: it is no long-term test, and counts as a short one. Write kind as short-term, or "
            "measure longer.",
            (clause("long test"), clause("short test")),
            f"{result.field}.kind",
        )
    yield from _of_hours(result, name, lasted)
    if test.device is None:
        yield Step(
            f"State with what device test {result.number} was made.", (clause("device"),), f"{result.field}.device"
        )
    if test.device == "continuous monitor":
        for choice in dict.fromkeys((_protocol(house) or "current", _protocol(house) or "1992")):
            rule = clause("monitor hours", choice)
            if test.may_last(limit("monitor hours", choice)) is False:
                yield Step(f"{name} has {_ran(lasted)} of a continuous monitor, too few; let it run longer.", (rule,))
                break
    if result.short is not False and not test.may_last(CLOSED_BELOW):
        yield from _closed(result, name, lasted)
    if result.short is not False and not test.may_last(limit("weather")):
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


def _of_hours(result: Result, name: str, lasted: tuple[float, float]) -> Iterator[Step]:
    """Asks for the hours of a test whose days alone do not tell whether it lasted long enough."""
    test = result.test
    open_ = [clause("short test")] if test.may_last(limit("short test")) is None else []
    if test.kind == "long-term" and test.may_last(limit("long test"), beyond=True) is None:
        open_.append(clause("long test"))
    if not open_:
        return
    counts = ", and until then it counts as a short one" if open_[-1].key == "long test" else ""
    yield Step(
        f"{name} ran {_ran(lasted)}, by what is stated: write how long it ran, or its start and end with their time of day, "
        f"such as 2026-01-05T18:00:00{counts}.",
        tuple(open_),
        f"{result.field}.duration",
    )


def _closed(result: Result, name: str, lasted: tuple[float, float]) -> Iterator[Step]:
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
            f"The house had been closed only {closed.text} before {name.lower()}, which ran {_ran(lasted)}: make it "
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
    if has_system(house):
        yield from _of_system(house, level)
    elif at:
        yield from _against(house, at, level)


def _of_system(house: House, level: Level) -> Iterator[Step]:
    """Once a fan runs, the tests before it have done their work: what counts is a test of the system."""
    start, at = fan_start(house), decided(house)
    since = [r for r in results(house) if ran(house, r.test)]
    if start is None:
        yield Step(
            "State on which day the fan was started: a commissioning entry of the fan start.",
            (clause("after the fan"),),
            "commissioning",
        )
    if at:
        side = "at or above" if reported(at.value, at.unit) >= level.quantity.value - HAIR else "below"
        here = decimal(at.value, at.unit, 3)
        yield Step(
            f"Before the fan the house had {here}, {side} {_line(level, at.unit)}: {at.how}.", (clause(_RULE[at.kind]),)
        )
    if not since:
        yield Step(
            f"Test the system{f' that was started on {start}' if start else ''}, not before it has run for 24 hours: the "
            "record has no test since.",
            (clause("after the fan"),),
            "test",
        )
        return
    last = max(since, key=lambda r: (r.test.ended or r.test.began or date.min, r.number))
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
            f"{_within('retest with', last.test.ended or last.test.began)}.",
            (clause("retest with"),),
        )


def _within(rule: str, day: date | None) -> str:
    """ "within 2 years, by 2028-03-21" """
    years = round(limit(rule) / _YEAR)
    return f"within {years} years" + (f", by {years_after(day, years)}" if day else "")


def _last_day(house: House, at: Decided) -> date | None:
    days = [house.test[n - 1].ended or house.test[n - 1].began for n in at.numbers]
    return max((day for day in days if day), default=None)


def _line(level: Level, unit: str) -> str:
    """The level in the unit of a result, and whose it is."""
    who = level.name if level.basis == "own" else f"{level.name}, {level.kind}"
    return f"{decimal(level.quantity.value, unit, 3)} ({who})"


def _against(house: House, at: Decided, level: Level) -> Iterator[Step]:
    several = len({r.test.place for r in before(house)}) > 1
    here = decimal(at.value, at.unit, 3) + (f" ({at.place})" if several and at.place else "")
    line = _line(level, at.unit)
    high = reported(at.value, at.unit) >= level.quantity.value - HAIR
    if high and not at.settles:
        yield from _second(house, at, here, line)
    elif high:
        rule = _RULE[at.kind]
        yield Step(
            f"Fix the house: {here} is at or above {line}; {at.how}. A licensed practitioner does it, or guides it.",
            (clause(rule), clause("fix")),
        )
        if len(before(house)) < limit("two results"):
            yield Step(
                "So far the record has one result, and two are asked for: make another test before the work begins.",
                (clause("two results"),),
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
    alone = "One short test decides" if at.kind == "one" else "Results so far apart decide"
    yield Step(
        f"{alone} nothing yet: {here} is at or above {line}.",
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


def _ran(lasted: tuple[float, float]) -> str:
    """How long a test ran, "47 h" or "from 24 h to 72 h", in hours up to ten days."""
    unit = "h" if lasted[1] <= 10 * DAY else "d"
    low, high = (decimal(end, unit, 3) for end in lasted)
    return low if low == high else f"from {low} to {high}" if lasted[0] else f"less than {high}"
