"""The mean of the year: the answer in a sentence, what it rests on, what would settle it, and what the monitor's file held."""

from collections.abc import Iterator

from radonwork.drawings.year_chart import chance_words
from radonwork.glossary import term
from radonwork.house.calculations import Calculation
from radonwork.house.long_run import LongRun, further, long_run
from radonwork.house.monitor import LEFT_OUT, Days, Kind, Series, day_of
from radonwork.house.watched import Watched, watched
from radonwork.report.blocks import Block, Fold, Items, Para, Strong, Table, capital
from radonwork.report.told import Told
from radonwork.solvers.daily_levels import MOST_DAYS
from radonwork.solvers.quoted_band import BANDS, CONFIDENCE
from radonwork.units import decimal, unit_label

_SHOWN = 12  # remarks on lines that stand in the report


# ---------------------------------------------------------------- the answer


def answer(calculation: Calculation) -> tuple[Block, ...]:
    """The mean, its range and the chance that it is above the level; what they rest on."""
    values, system = calculation.run.values, calculation.run.system
    assert calculation.house
    found = long_run(calculation.house)
    if found is None or "year_mean" not in values:
        return (
            Para(("Nothing can be said of the year yet: it takes the result of a test, or the days of a monitor.",)),
        )
    unit = term("year_mean").unit(system)
    low, middle, high = (decimal(values[name], unit, 2) for name in ("year_mean_low", "year_mean", "year_mean_high"))
    said = f"The mean of the whole year is about {middle}; with 95 % chance it lies between {low} and {high}."
    if "chance_above" in values:
        level = decimal(values["action_level"], unit, 3)
        chance = f" {chance_words(values['chance_above'])} above {level}."
    else:
        chance = " The record names no level that it could be held against, or one known only from memory."
    return (Para((Strong(said), chance), "result"), Items(tuple((Para((line,)),) for line in _rests_on(found, system))))


def _rests_on(found: LongRun, system: str) -> Iterator[str]:
    unit = term("year_mean").unit(system)  # type: ignore[arg-type]
    for cluster in found.joined.clusters:
        numbers = ", ".join(str(number) for number in cluster.numbers)
        one = len(cluster.numbers) == 1
        yield (
            f"{'Test' if one else 'Tests'} {numbers}, {cluster.kind}: {decimal(cluster.mean, unit, 3)}"
            + ("" if one else " (geometric mean; they share their weather and count once)")
            + f". One such test may be {BANDS[cluster.kind]} off either way; {CONFIDENCE} of them are within that."
        )
    if found.draws is not None and found.monitor:
        days = found.days
        yield (
            f"{len(days):,} whole days of the monitor without a running fan, {day_of(days[0])} to {day_of(days[-1])}. A day "
            f"passes on {100 * _middle(found.draws.correlation):.0f} % of itself to the next, so that they tell as much as "
            f"about {_effective(found):.0f} days that do not; days spread by a factor of "
            f"{2.718281828 ** _middle(found.draws.spread):.2g} either way. Seasons that the days have not seen are taken "
            "from what is published of houses."
        )
    if found.within_monitor:
        numbers = ", ".join(map(str, found.within_monitor))
        yield f"Not counted beside it, since the monitor watched most of the same days: test {numbers}."
    if found.other_places:
        numbers = ", ".join(map(str, found.other_places))
        yield f"Not counted, since separate places are never averaged: test {numbers}."
    if found.problem:
        yield f"{capital(found.problem)}."


def _middle(values: object) -> float:
    import numpy as np

    return float(np.median(values))  # type: ignore[call-overload]


def _effective(found: LongRun) -> float:
    from radonwork.formulas.statistics import effective_days

    assert found.draws is not None
    return float(effective_days(day_count=float(len(found.days)), lag_correlation=_middle(found.draws.correlation)))


# ---------------------------------------------------------------- what would settle it


def more(calculation: Calculation) -> tuple[Block, ...]:
    """How many further days would make it 95 % sure."""
    values, house = calculation.run.values, calculation.house
    if "chance_above" not in values or house is None:
        return ()
    unit = term("year_mean").unit(calculation.run.system)
    level = decimal(values["action_level"], unit, 3)
    days = further(house, values["action_level"], values["device_spread"])
    return (Para((settled_words(days, level, values["device_spread"]),)),)


def settled_words(days: int | None, level: str, device_spread: float) -> str:
    """What further days would do, in a sentence."""
    if days == 0:
        return f"It is settled, as far as 95 % go, on which side of {level} the mean is: no further day is needed for that."
    if days is None:
        return (
            f"Further days would hardly settle it: the mean is so near {level} that even {MOST_DAYS // 365} years of them "
            f"would leave the answer open, with a device that may be {decimal(device_spread, '%', 2)} off. Decide as if it "
            "were above."
        )
    return (
        f"About {days} further days of a monitor at the same place would settle, 95 % sure, on which side of {level} the "
        "mean is, if it stays what it seems to be now."
    )


# ---------------------------------------------------------------- the file


def file(calculation: Calculation) -> tuple[Block, ...]:
    """What the monitor's file held, line by line where something was wrong; nothing where there is no file."""
    assert calculation.house
    found = watched(calculation.house)
    if found is None:
        return ()
    if isinstance(found, str):
        return (Para((Strong("The monitor's file cannot be used. "), f"{capital(found)}."), "caution"),)
    return tuple(_of_file(found))


_WORDS: dict[Kind, str] = {
    "passed over": "before the heading, passed over", "blank": "blank", "no value": "without a value",
    "not a number": "with something else than a number", "negative": "with a negative value",
    "absurd": "with a value out of all likelihood", "wrong columns": "with too many or too few fields",
    "no time": "without a time that can be read", "ambiguous": "with a date that reads in two ways",
    "repeated": "that repeat another", "contradicts": "with the time of another and another value",
    "out of order": "out of order, put in their place", "clock": "after a change of the clock",
    "not on the clock": "with a time that the clock passed over", "gap": "after a gap",
}  # fmt: skip


def _of_file(found: Watched) -> Iterator[Block]:
    series, days = found.series, found.days
    yield Para((_whole(series, days),))
    if not series.remarks:
        return
    rows = tuple(
        ((_WORDS[kind],), (f"{count:,}",), ("left out" if kind in LEFT_OUT else "told only",))
        for kind, count in series.counted.items()
    )
    yield Table("Lines with something to be said of them", ("Lines", "How many", "So they were"), rows, (5, 2, 2))
    listed = tuple((Para((str(remark),)),) for remark in series.remarks[:_SHOWN])
    rest = len(series.remarks) - len(listed)
    blocks: tuple[Block, ...] = (Items(listed),)
    if rest:
        blocks = (*blocks, Para((f"and {rest:,} more",)))
    yield Fold("Line by line", blocks)


def _whole(series: Series, days: Days) -> str:
    count, whole = len(series.values), len(days.numbers)
    hours = f"{series.interval * 24:.3g}"
    every = "" if count == 1 else ", one each hour" if hours == "1" else f", one each {hours} hours"
    clock = f" on the clock of {series.time_zone}" if series.time_zone else ", its clock taken as it stands"
    partial = len(days.partial)
    return (
        f"{series.name}: {count:,} {'reading' if count == 1 else 'readings'}{every}, in {unit_label(series.unit)}{clock}. They "
        f"make {whole:,} whole {'day' if whole == 1 else 'days'}; "
        f"{partial} {'day has' if partial == 1 else 'days have'} less than three quarters of "
        f"the readings and {'makes' if partial == 1 else 'make'} none, and in all {days.missing} days between the first and "
        "the last have no mean."
    )


TOLD = (
    Told("answer", "What the results say of the year", answer),
    Told("more", "What would settle it", more),
    Told("file", "The monitor's file", file),
)
