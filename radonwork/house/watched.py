"""The monitor of a house: its readings as days, each with what the fan did.

A day in which the fan was switched, or in which the air of the house had not yet followed, is left out: it belongs to
neither level.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from radonwork.house import monitor as monitors
from radonwork.house.monitor import BREAK, LARGEST, Asked, Days, MonitorError, Series, read_monitor
from radonwork.solvers.step_change import LEFT_OUT, OFF, ON

if TYPE_CHECKING:
    from radonwork.house.record import House

HOUR, DAY = 3600.0, 86400.0
LEFT_OF_STEP = 0.01
"""What is still to come of a change once a day may count: a hundredth, 4.6 time constants."""
FIRST_HOURS = 4 * HOUR
"""The first hours of a monitor are dropped (aarst-mah-2019, 6.1.2(c))."""
LEAST_TRANSITION = 24 * HOUR
"""A test begins 24 hours after the fan is started at the earliest (aarst-mah-2019, 7.3.2)."""
_EPOCH = datetime(1970, 1, 1)


@dataclass(frozen=True, eq=False)
class Watched:
    """Readings, daily means, and when the fan was switched, by the clock of the monitor; `start` is None without a fan."""

    series: Series
    days: Days
    start: datetime | None
    to_the_day: bool  # whether the hour of the start is not known
    off: tuple[tuple[datetime, datetime], ...]

    def states(self, transition: float) -> np.ndarray:
        """OFF, ON or LEFT_OUT for each day, `transition` seconds after each switch being left out."""
        numbers = self.days.numbers
        states = np.full(len(numbers), OFF)
        switched = list(self._switches())
        for at, _, on in switched:
            states[numbers >= math.floor(at)] = ON if on else OFF
        for at, until, _ in switched:
            states[(numbers >= math.floor(at)) & (numbers < until + transition / DAY)] = LEFT_OUT
        return states

    def _switches(self) -> Iterator[tuple[float, float, bool]]:
        """When the fan was switched, as days since 1970: no sooner and no later than; and to what."""
        if self.start:
            at = _number(self.start)
            yield at, at + (1.0 if self.to_the_day else 0.0), True
        for start, end in self.off:
            yield _number(start), _number(start), False
            yield _number(end), _number(end), True


def _number(at: datetime) -> float:
    return (at - _EPOCH) / timedelta(days=1)


def watched(house: "House") -> Watched | str | None:
    """The monitor of a house; in one line why its file cannot be used; None where the record names no file."""
    monitor = house.monitor
    if monitor is None or monitor.file is None:
        return None
    path = house.beside(monitor.file)
    if path is None:
        return "monitor.file: the record is in no file, so there is nothing beside it"
    try:
        stat = path.stat()
    except OSError:
        return f"monitor.file: {monitor.file} is not beside the record; copy it there"
    return _watched(house, path, stat.st_mtime_ns, stat.st_size)


def file_remarks(house: "House") -> tuple[str, ...]:
    """What is wrong with the monitor's file: why it cannot be used, or the first line left out of each kind."""
    found = watched(house)
    if not isinstance(found, Watched):
        return (found,) if found else ()
    said, counted = [], found.series.counted
    for kind in (kind for kind in monitors.LEFT_OUT if counted[kind]):
        first = next(remark for remark in found.series.remarks if remark.kind == kind)
        lines = "1 line" if counted[kind] == 1 else f"{counted[kind]:,} lines of a kind"
        said.append(f"{found.series.name}: {lines} left out; {first}")
    return tuple(said)


@lru_cache(maxsize=4)
def _watched(house: "House", path: Path, _changed: int, _size: int) -> Watched | str:
    from radonwork.house.proving import fan_start
    from radonwork.house.sections.monitor import begins

    monitor = house.monitor
    assert monitor
    if monitor.shows == "running mean":
        return f"monitor.shows: {path.name} holds running means, of which each day is made of many; export the readings"
    asked = Asked(monitor.unit, monitor.time_zone, monitor.date_order, monitor.column, monitor.decimal)
    try:
        series = read_monitor(_content(path), path.name, asked)
    except OSError as reason:
        return f"monitor.file: {path.name} cannot be read: {reason.strerror}"
    except MonitorError as reason:
        return str(reason)
    listed = fan_start(house)
    stated = monitor.fan_start or listed
    off = tuple((begins(one.start), begins(one.end)) for one in monitor.fan_off)
    return Watched(series, series.days(), begins(stated) if stated else None, not isinstance(stated, datetime), off)


def unbroken(series: Series) -> float:
    """Seconds of the longest stretch of readings without a gap that count: its first four hours are dropped."""
    if len(series.times) < 2:
        return 0.0
    broken = np.flatnonzero(np.diff(series.times) > BREAK * series.interval)
    ends = np.concatenate([[-1], broken, [len(series.times) - 1]])
    longest = int(np.diff(ends).max())
    return max(longest * series.interval * DAY - FIRST_HOURS, 0.0)


def _content(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(LARGEST + 1)


def transition(house: "House") -> float:
    """Seconds after a switch of the fan in which the air of the house has not followed to a hundredth; at least a day."""
    from radonwork.formulas.balance import clearing_rate
    from radonwork.formulas.radon import decay_constant
    from radonwork.glossary import term

    monitor, facts = house.monitor, house.facts()
    if monitor and monitor.left_out:
        return monitor.left_out.value
    if "air_change_rate" not in facts:
        return LEAST_TRANSITION
    decay = decay_constant(half_life=term("radon_half_life").si_range[0])
    rate = clearing_rate(air_change_rate=facts["air_change_rate"].value, radon_decay_constant=decay)
    return max(LEAST_TRANSITION, math.log(1 / LEFT_OF_STEP) / float(rate))
