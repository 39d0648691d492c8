"""Before and after the fan: the answer in a sentence, the day of the change, the days since, what would settle it."""

from collections.abc import Iterator, Mapping

import numpy as np

from radonwork.glossary import term
from radonwork.house.calculations import Calculation
from radonwork.house.fan_effect import (
    BASELINE_DAYS,
    CLEAR,
    YEARS_TO_FALSE_ALARM,
    Alarm,
    alarm_of,
    change_of,
    days_of,
    further_after,
    left_out_days,
)
from radonwork.house.monitor import day_number, day_of
from radonwork.house.watched import ON, Watched, watched
from radonwork.report.blocks import Block, Para, Strong, capital
from radonwork.report.told import Told
from radonwork.report.topics.year import settled_words
from radonwork.units import decimal


def answer(calculation: Calculation) -> tuple[Block, ...]:
    """What the fan took away, with its range, and the level that is left."""
    assert calculation.house
    found = watched(calculation.house)
    if found is None:
        return (
            Para(("There is no file of a monitor, so nothing can be said of before and after but by single tests.",)),
        )
    if isinstance(found, str):
        return (Para((Strong("The monitor's file cannot be used. "), f"{capital(found)}."), "caution"),)
    values, system = calculation.run.values, calculation.run.system
    if "radon_reduction" not in values:
        why = next(iter(calculation.run.refused.values()), "") or "it takes the day on which the fan was started"
        return (Para(("Nothing can be said of the fan yet: ", why, ".")),)
    unit = term("mean_after").unit(system)
    before = decimal(values["mean_before"], unit, 2)
    after, least, most = (decimal(values[n], unit, 2) for n in ("mean_after", "mean_after_low", "mean_after_high"))
    left = (
        f" The mean of the whole year with it off would be about {before}, with it on about {after}, and with 95 % chance "
        f"between {least} and {most}."
    )
    return (
        Para((Strong(_fell(values)), left), "result"),
        Para((_level(calculation),)),
        Para((_counted(found, values),), "note"),
    )


def _fell(values: Mapping[str, float]) -> str:
    share, low, high = (decimal(values[n], "%", 3) for n in ("radon_reduction", "reduction_low", "reduction_high"))
    if values["reduction_low"] > 0:
        return f"The fan takes away {share} of the radon; with 95 % chance it is between {low} and {high}."
    if values["reduction_high"] < 0:
        return (
            "The radon rose when the fan was started, by more than weather and season explain: something else changed."
        )
    rise = decimal(-values["reduction_low"], "%", 3)
    return (
        "Whether the fan takes radon away cannot be told yet: with 95 % chance what happened lies between a rise of "
        f"{rise} and a fall of {high}."
    )


def _level(calculation: Calculation) -> str:
    values, unit = calculation.run.values, term("mean_after").unit(calculation.run.system)
    if "chance_after" not in values:
        return "The record names no level that it could be held against, or one known only from memory."
    level = decimal(values["action_level"], unit, 3)
    days, over = round(values["days_measured_after"]), round(values["days_above"])
    chance = values["chance_after"]
    words = "less than 1 %" if chance < 0.01 else "more than 99 %" if chance > 0.99 else f"{100 * chance:.0f} %"
    single = "none was" if over == 0 else "one was" if over == 1 else f"{over} were"
    return (
        f"The chance that this mean is above {level} is {words}. Of the {days} days with the fan on, {single} above {level}; "
        "single days above it are no failure, and a mean below it does not make single days harmless."
    )


def _counted(found: Watched, values: Mapping[str, float]) -> str:
    seconds = values["transition_time"]
    times = len(found.off)
    off = (
        f" The fan stood still {'once' if times == 1 else f'{times} times'} since, and those days are told apart."
        if times
        else ""
    )
    return (
        f"Days are whole days of the monitor. After each switch of the fan {decimal(seconds, 'h', 3)} are given to the house to "
        f"follow: {left_out_days(found, seconds)} days belong to neither level. Season, trend and the resemblance of days are "
        f"allowed for.{off}"
    )


# ---------------------------------------------------------------- when


def day(calculation: Calculation) -> tuple[Block, ...]:
    """The day of the change as the days themselves show it, beside the one that is recorded."""
    found = days_of(calculation.house) if calculation.house else None
    seen = change_of(found) if found else None
    if found is None or seen is None:
        return ()
    if seen.for_change < CLEAR:
        return (Para(("The days alone show no change of the level that stands out from weather and season.",)),)
    first, last = (day_of(at) for at in seen.range())
    when = f"on {first}" if first == last else f"between {first} and {last}"
    said = f"The days alone put a change of the level {when} (95 %)."
    if found.start is None:
        return (
            Para((said, " The record has no start of a fan; if one was started then, write it as monitor.fan_start.")),
        )
    start = found.start.date()
    near = day_number(first) - 2 <= day_number(start) <= day_number(last) + 1
    tail = (
        f" The record has the fan's start on {start}, which agrees."
        if near
        else f" The record has the fan's start on {start}: one of the two is wrong, or something else changed the level."
    )
    return (Para((said, tail), "" if near else "caution"),)


# ---------------------------------------------------------------- since


def later(calculation: Calculation) -> tuple[Block, ...]:
    """The watch over later days, and whether it has given an alarm."""
    found = days_of(calculation.house) if calculation.house else None
    if found is None or found.start is None or "transition_time" not in calculation.run.values:
        return ()
    seconds = calculation.run.values["transition_time"]
    alarm = alarm_of(found, seconds)
    if alarm is None:
        count = int(np.sum(found.states(seconds) == ON))
        return (
            Para(
                (
                    f"The watch over later days begins once {BASELINE_DAYS} days with the fan on are there to hold them "
                    f"against; there are {count}.",
                )
            ),
        )
    first = alarm.first
    said = (
        f"Alarm on {first}: since then the radon has been higher than the first {alarm.baseline} days with the fan on lead to "
        "expect."
        if first
        else f"No alarm in {len(alarm.days)} later days: the largest sum was {alarm.sums.max():.2g} of the {alarm.limit:.2g} "
        "at which it would be given."
    )
    return (
        Para((Strong(said),), "caution" if first else ""),
        *(
            [Para(("Look at the gauge, and test again: an alarm says that something has changed, not what.",))]
            if first
            else []
        ),
        Para((" ".join(_how(alarm)),), "note"),
    )


def _how(alarm: Alarm) -> Iterator[str]:
    yield (
        f"The watch holds each day against what the day before leads to expect of the first {alarm.baseline} days with the fan "
        f"on, their level raised by {100 * (alarm.raised - 1):.0f} % for the season and for what so few days leave open. It "
        f"adds up the standard deviations by which days lie above that, less {alarm.allowance:.2g} a day, and gives an alarm "
        f"at {alarm.limit:.2g}."
    )
    yield (
        f"It is set to find a doubling; at the raised level it would give one false alarm in {YEARS_TO_FALSE_ALARM:.0f} years on "
        "the average. A stronger season than most houses have makes false alarms more frequent."
    )


def more(calculation: Calculation) -> tuple[Block, ...]:
    """How many further days with the fan on would settle on which side of the level the mean is."""
    values = calculation.run.values
    found = days_of(calculation.house) if calculation.house else None
    if found is None or "chance_after" not in values:
        return ()
    level = decimal(values["action_level"], term("mean_after").unit(calculation.run.system), 3)
    days = further_after(found, values["transition_time"], values["action_level"], values["device_spread"])
    return (
        Para((settled_words(days, level, values["device_spread"]).replace("the mean", "the mean with the fan on", 1),)),
    )


TOLD = (
    Told("answer", "What the fan did", answer),
    Told("day", "When it changed", day),
    Told("later", "The watch over later days", later),
    Told("more", "What would settle it", more),
)
