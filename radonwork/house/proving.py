"""What the dated record of a house says of its commissioning: the list, the tests after the fan, the gauge, the displays.

The items of the list are what the rules of the topic ask for in words, and the events that later dates count from.
"""

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import cache
from typing import TYPE_CHECKING

from radonwork.engine.sources import Source
from radonwork.files import DATA
from radonwork.requirements.rules import Requirement, Stated, requirements_of
from radonwork.units import Quantity, decimal, to_unit

if TYPE_CHECKING:  # the record asks this module for facts
    from radonwork.house.record import House
    from radonwork.house.sections.commissioning import Display, Done, Shown
    from radonwork.house.sections.radon import RadonTest

FAN_START, YEARLY = "fan start", "yearly inspection"
EVENTS = (FAN_START, YEARLY)
TOPIC = "commissioning"
_DAY = 86400.0
_HALF_DAY = 0.5 * _DAY  # how far the hour may be from noon where only a day is stated
_SEEN = 5.0  # Pa: a change a person sees on the gauge, where the record does not say how well it was read


# ---------------------------------------------------------------- the list


@cache
def asked() -> dict[str, tuple[Requirement, ...]]:
    """The items that rules ask for in words, each with its rules, in the order of the rules."""
    found: dict[str, tuple[Requirement, ...]] = {}
    for rule in requirements_of(TOPIC):
        if isinstance(rule.check, Stated):
            found[rule.check.fact] = (*found.get(rule.check.fact, ()), rule)
    return found


def items() -> tuple[str, ...]:
    """Everything that may stand in the commissioning list of a record."""
    return (*EVENTS, *asked())


def done(house: "House") -> dict[str, "Done"]:
    """The latest entry of each item; one without a date stands before none that has one."""
    found: dict[str, Done] = {}
    for entry in house.commissioning:
        if entry.item and _day(entry) >= _day(found.get(entry.item)):
            found[entry.item] = entry
    return found


def _day(entry: "Done | None") -> date:
    return entry.on if entry and entry.on else date.min


def words(house: "House") -> dict[str, bool | str]:
    """What was found, by item, as the rules ask for it."""
    return {item: entry.found for item, entry in done(house).items() if entry.found and item not in EVENTS}


# ---------------------------------------------------------------- quantities of the dated record


def facts(house: "House") -> dict[str, Quantity]:
    """What follows from the dated entries, by glossary term."""
    found: dict[str, Quantity] = {}
    if least := least_hole(house):
        found["least_hole_suction"] = least
    if wait := wait_for_test(house):
        found["test_wait"] = wait
    mark, later = gauge_mark(house), gauge_later(house)
    if mark:
        found["gauge_mark"] = mark.suction
    if later:
        found["gauge_later"] = later.suction
    if pair := display_pair(house):
        found |= pair.facts()
    if water := _water(house):
        found["water_radon"] = water
    return found


def least_hole(house: "House") -> Quantity | None:
    """The test hole whose reading may be the least."""
    read = [hole.suction for hole in (house.proof.test_hole if house.proof else ()) if hole.suction]
    return min(read, key=lambda suction: suction.value - suction.tolerance) if read else None


def fan_start(house: "House") -> date | None:
    """The day on which the fan was started: from the list, or else from the monitor."""
    entry = done(house).get(FAN_START)
    on: date | None = entry.on if entry and entry.on else house.monitor.fan_start if house.monitor else None
    return _as_day(on) if on else None


def start_contradictions(house: "House") -> tuple[tuple[str, str], ...]:
    """What in the record does not go with the day on which its list has the fan started, each with its field."""
    entry, monitor = done(house).get(FAN_START), house.monitor
    start = entry.on if entry else None
    if start is None:
        return ()
    found = []
    if monitor and monitor.fan_start and _as_day(monitor.fan_start) != start:
        day = _as_day(monitor.fan_start)
        found.append(
            (f"The list has the fan started on {start} and the monitor on {day}: correct one", "monitor.fan_start")
        )
    for number, test in enumerate(house.test, 1):
        if test.fan == "running" and test.began and test.began < start:
            told = f"Test {number} began on {test.began} with the fan running, before {start}, when the fan was started"
            found.append((f"{told}: correct one", f"test[{number}].start"))
        elif test.fan == "none" and test.began and test.began > start:
            told = f"Test {number} began on {test.began} with no fan yet, after {start}, when the fan was started"
            found.append((f"{told}: correct one", f"test[{number}].fan"))
    for number, reading in enumerate(house.reading, 1):
        if reading.on and reading.gauge and reading.on < start:
            told = f"Gauge reading {number} of {reading.on} is before {start}, when the fan was started"
            found.append((f"{told}: correct one", f"reading[{number}].on"))
    return tuple(found)


def _as_day(on: date) -> date:
    return on.date() if isinstance(on, datetime) else on


def tests_after(house: "House") -> "list[RadonTest]":
    """The tests that began with the fan running, in order: as they say themselves, or else by their day."""
    start = fan_start(house)

    def after(test: "RadonTest") -> bool:
        if test.fan:
            return test.fan == "running"
        return bool(start and test.began and test.began >= start)

    return sorted(filter(after, house.test), key=lambda test: test.began or date.max)


def wait_for_test(house: "House") -> Quantity | None:
    """Time from the start of the fan to the first test after it: as it says, or by days, which are a day off at worst."""
    start, tests = fan_start(house), tests_after(house)
    if not tests:
        return None
    if tests[0].fan_before:
        return tests[0].fan_before
    return _between(start, tests[0].start) if start and tests[0].start else None


def _span(start: datetime, end: datetime, tolerance: float) -> Quantity:
    days = (end - start) / timedelta(days=1)
    off = to_unit(tolerance, "d")
    return Quantity(days * _DAY, "d", tolerance, f"{days:g} d" + (f" ± {off:g} d" if tolerance else ""))


def _water(house: "House") -> Quantity | None:
    said = [s.concentration for s in house.other_source if s.source == "well water" and s.concentration]
    return said[-1] if said else None


# ---------------------------------------------------------------- the gauge


@dataclass(frozen=True)
class Gauge:
    """A reading of the gauge and its day, and how far it may be off."""

    suction: Quantity
    on: date | None


def _as_read(suction: Quantity) -> Quantity:
    """A reading with how far it may be off: as stated, or else by what a person just sees."""
    if suction.tolerance:
        return suction
    return Quantity(suction.value, suction.unit, _SEEN, f"{suction.text} ± {decimal(_SEEN, suction.unit, 2)}")


def gauge_mark(house: "House") -> Gauge | None:
    """What the gauge showed when it was marked: the list's own reading, or that of the proof."""
    entry = done(house).get("gauge mark")
    own = entry.gauge if entry and entry.gauge else house.proof.gauge_suction if entry and house.proof else None
    return Gauge(_as_read(own), entry.on if entry else None) if own else None


def gauge_readings(house: "House") -> tuple[Gauge, ...]:
    """Later readings with their day, in order."""
    read = [Gauge(_as_read(r.gauge), r.on) for r in house.reading if r.gauge]
    return tuple(sorted(read, key=lambda one: one.on or date.min))


def gauge_later(house: "House") -> Gauge | None:
    """The last reading."""
    return next(reversed(gauge_readings(house)), None)


@dataclass(frozen=True)
class Drift:
    """One later reading beside the mark. `moved` is what the gauge did, beyond what both readings may be off."""

    gauge: Gauge
    rise: float
    error: float

    @property
    def moved(self) -> str:
        return "stays" if abs(self.rise) <= self.error else "rises" if self.rise > 0 else "falls"


def drifts(house: "House") -> tuple[Drift, ...]:
    """Each later reading against the mark; empty without a mark."""
    mark = gauge_mark(house)
    if mark is None:
        return ()
    return tuple(
        Drift(one, one.suction.value - mark.suction.value, one.suction.tolerance + mark.suction.tolerance)
        for one in gauge_readings(house)
    )


# ---------------------------------------------------------------- displays


@dataclass(frozen=True)
class Pair:
    """The last two readings of a display."""

    display: "Display"
    before: "Shown"
    after: "Shown"

    @property
    def kind(self) -> str:
        return self.display.kind or "cumulative"

    def facts(self) -> dict[str, Quantity]:
        """What the two readings say, by glossary term. A bare day may be off by half a day; rounding has formulas."""
        display, first, second = self.display, self.before, self.after
        assert first.on
        assert second.on
        assert first.shows
        assert second.shows
        step = display.step or step_of(reading.shows for reading in display.reading if reading.shows)
        found = {
            "display_before": first.shows,
            "display_after": second.shows,
            "display_step": step,
        }
        if display.window:
            found["display_window"] = display.window
        if display.time_constant:
            found["display_time_constant"] = display.time_constant
        if self.kind != "cumulative":
            found["time_between"] = _between(first.on, second.on)
        elif display.since:
            found["time_before"] = _between(display.since, first.on)
            found["time_after"] = _between(display.since, second.on)
        return found


def display_pair(house: "House") -> Pair | None:
    """The last two readings of the first display that has two."""
    for display in house.display:
        if display.kind and len(display.reading) > 1:
            return Pair(display, *display.reading[-2:])
    return None


def step_of(readings: Iterable[Quantity]) -> Quantity:
    """One in the last digit of the readings as they were written: 0.1 pCi/L of "8.0 pCi/L"."""
    written = list(readings)
    unit = written[0].unit
    places = max((len(found[1]) for q in written if (found := re.match(r"[\d,]*\.(\d+)", q.text))), default=0)
    text = f"{10.0**-places:.{places}f} {unit}"
    scale = written[0].value / to_unit(written[0].value, unit) if written[0].value else 1.0
    return Quantity(10.0**-places * scale, unit, 0.0, text)


def _between(start: date, end: date) -> Quantity:
    from radonwork.house.sections.commissioning import dated, moment

    return _span(moment(start), moment(end), _HALF_DAY * (dated(start) + dated(end)))


# ---------------------------------------------------------------- what is to be done again, and when


@dataclass(frozen=True)
class Retest:
    """Something that a source asks to be done again so many years after what `after` names first."""

    what: str
    system: bool
    years: int
    after: tuple[str, ...]
    source: Source
    note: str = ""


@dataclass(frozen=True)
class Due:
    """A retest of one house: counted from which day of what, and due on which; None where the record has no day."""

    retest: Retest
    counted: str
    since: date | None = None
    on: date | None = field(default=None)


@cache
def retests() -> tuple[Retest, ...]:
    """Every row of data/retests.toml."""
    rows = tomllib.loads((DATA / "retests.toml").read_text(encoding="utf-8"))["retest"]
    return tuple(
        Retest(
            row["what"], row["system"], row["years"], tuple(row["after"]),
            Source(row.get("source", ""), row.get("place", ""), row["kind"]), row.get("note", ""),
        )
        for row in rows
    )  # fmt: skip


def has_system(house: "House") -> bool:
    """Whether a fan has been started, as the list, the monitor or a test says."""
    return FAN_START in done(house) or fan_start(house) is not None or bool(tests_after(house))


def due(house: "House") -> tuple[Due, ...]:
    """What is to be done again, by source, with the day on which each is due, in the order of the days."""
    entries, running = done(house), has_system(house)
    tests = tests_after(house) if running else house.test
    last_test = max((on for test in tests if (on := test.ended or test.began)), default=None)
    found = []
    for retest in retests():
        if retest.system != running:
            continue
        days = {item: entry.on for item, entry in entries.items()}
        days |= {"last test": last_test, FAN_START: fan_start(house)}
        counted = next((name for name in retest.after if days.get(name)), retest.after[0])
        since = days.get(counted)
        found.append(Due(retest, counted, since, years_after(since, retest.years) if since else None))
    return tuple(sorted(found, key=lambda one: (one.on or date.max, retests().index(one.retest))))


def years_after(day: date, years: int) -> date:
    """The same day of the year so many years on; the last of February comes back as its 28th."""
    if day.year + years > date.max.year:
        return date.max
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return day.replace(year=day.year + years, day=28)


# ---------------------------------------------------------------- other sources


@dataclass(frozen=True)
class OtherSource:
    """Where radon may come from though the suction is proven; `excluded` are words of a record that rule it out."""

    name: str
    how: str
    tells: str
    source: Source
    excluded: dict[str, tuple[str, ...]]
    items: tuple[str, ...]


@cache
def other_sources() -> tuple[OtherSource, ...]:
    """Every row of data/other_sources.toml, in the order in which to look."""
    rows = tomllib.loads((DATA / "other_sources.toml").read_text(encoding="utf-8"))["source"]
    return tuple(
        OtherSource(
            row["name"], row["how"], row["tells"],
            Source(row.get("source", ""), row.get("place", ""), row["kind"]),
            {fact: tuple(said) for fact, said in row.get("excluded", {}).items()},
            tuple(row.get("items", ())),
        )
        for row in rows
    )  # fmt: skip


@dataclass(frozen=True)
class Standing:
    """What the record says of one source: "found", "ruled out", "less likely" or "open", and why."""

    source: OtherSource
    verdict: str
    because: str


def standings(house: "House") -> tuple[Standing, ...]:
    """What the record says of each source, in the order in which to look."""
    return tuple(_standing(source, house) for source in other_sources())


def _standing(source: OtherSource, house: "House") -> Standing:
    looked = [entry for entry in house.other_source if entry.source == source.name and entry.found]
    if looked:
        entry = max(looked, key=lambda one: one.on or date.min)
        when = (
            f"looked for{f' on {entry.on}' if entry.on else ''}{f' by {entry.by}' if entry.by else ''}: {entry.found}"
        )
        return Standing(source, "found" if entry.found == "yes" else "ruled out", when)
    said = house.words()
    for fact, values in source.excluded.items():
        if said.get(fact) in values:
            return Standing(source, "ruled out", f"the record says that the {fact} is {said[fact]}")
    wait = wait_for_test(house)
    if source.name == "the test itself" and wait and wait.value + wait.tolerance < _DAY:
        return Standing(source, "found", f"the first test began {decimal(wait.value, 'h', 3)} after the fan")
    entries = done(house)
    read = [entries[item] for item in source.items if item in entries and entries[item].found]
    if bad := next((entry for entry in read if entry.found == "not in order"), None):
        return Standing(source, "found", f"{bad.item}: not in order{f' on {bad.on}' if bad.on else ''}")
    if read and len(read) == len(source.items):
        days = "; ".join(f"{entry.item} {entry.found}{f' on {entry.on}' if entry.on else ''}" for entry in read)
        return Standing(source, "less likely", days)
    return Standing(source, "open", "the record says nothing of it")


@dataclass(frozen=True)
class Outcome:
    """Whether the suction is proven and whether radon is still high: yes, no, or None where the record cannot tell."""

    proven: bool | None
    high: bool | None
    why: tuple[str, ...]


def outcome(house: "House", level: float, unit: str) -> Outcome:
    """Suction at the test holes against the target, and the latest test after the fan's start against `level` (Bq/m³)."""
    why = []
    least, target = least_hole(house), house.suction.target if house.suction else None
    proven: bool | None = None
    if least and target:
        edge = least.value - least.tolerance
        proven = edge >= target.value
        why.append(
            f"The least suction read in a test hole is {least.text}, "
            + (f"at least {target.text} to the edge of its reading." if proven else f"not surely {target.text}.")
        )
    else:
        why.append(f"Suction is not proven: the record lacks {'suction.target' if least else 'proof.test_hole'}.")
    start = fan_start(house)
    after = [test for test in tests_after(house) if test.concentration]
    high: bool | None = None
    if after:
        last = max(after, key=lambda test: test.ended or test.began or date.min)
        assert last.concentration
        high = last.concentration.value >= level
        day = f", of {last.began}," if last.began else ""
        why.append(
            f"The latest test with the fan running{day} reads {last.concentration.text}: "
            f"{'at or above' if high else 'below'} {decimal(level, unit, 3)}."
        )
    else:
        lacks = "no test with the fan running" if start else "no day on which the fan was started"
        why.append(f"Whether radon is still high cannot be told: the record has {lacks}.")
    return Outcome(proven, high, tuple(why))
