"""Radon tests."""

import re
from collections.abc import Iterator
from datetime import date, datetime
from typing import Annotated, Literal

from pydantic import AfterValidator, field_validator, model_validator

from radonwork.house.fields import Name, Notes, Section, like, wrong
from radonwork.house.sections.commissioning import Moment, dated, moment
from radonwork.units import Quantity

DAY = 86400.0
_HAIR = 1e-3  # seconds
_BELOW = re.compile(r"\s*(<|≤|below\b|less than\b|under\b|not detected\b|n\.?d\.?\s*$)", re.IGNORECASE)
EARLIEST, LATEST = 1950, 2200  # years of a radon test


class RadonTest(Section):
    """One radon test or, of a longer series, its mean.

    `duration` is how long the device measured; without it `start` and `end` say, to the hour where each has its time of
    day and else to half a day either way. Tests with the same `pair` ran side by side, so far `apart`. `closed_before` is
    how long the house had been closed when the test began. `fan` says what the suction system did: there was none yet, it
    stood still, or it ran, and had run for `fan_before` when the test began.
    """

    kind: Literal["short-term", "long-term"] | None = None
    concentration: Quantity | None = like("radon_concentration")
    counting_error: Quantity | None = like("radon_concentration")
    device: Literal["charcoal", "alpha track", "electret", "continuous monitor", "other"] | None = None
    place: Name | None = None
    floor: Literal["basement", "ground floor", "upper floor"] | None = None
    start: Moment = None
    end: Moment = None
    duration: Quantity | None = like("test_duration")
    closed_before: Quantity | None = like("closed_time")
    pair: Name | None = None
    apart: Quantity | None = like("pair_distance")
    fan: Literal["none", "off", "running"] | None = None
    fan_before: Quantity | None = like("fan_time")
    severe_weather: bool | None = None
    notes: Notes | None = None

    @field_validator("concentration", mode="before")
    @classmethod
    def _found(cls, value: object) -> object:
        """A result below what the device could tell is stated as what it may be; half of it would be made up."""
        if isinstance(value, str) and _BELOW.match(value):
            raise ValueError(
                "is below what the device could tell; write the middle of what it may be and how far it may "
                'be off, such as "0.25 pCi/L ± 0.25 pCi/L" for less than 0.5 pCi/L'
            )
        return value

    @field_validator("start", "end")
    @classmethod
    def _a_day(cls, day: date | None) -> date | None:
        if day and not EARLIEST <= day.year <= LATEST:
            raise ValueError(f"is no day of a radon test; write one from {EARLIEST} to {LATEST}")
        return day

    @model_validator(mode="after")
    def _in_order(self) -> "RadonTest":
        span = self._between()
        if span and span[1] <= 0:  # a day may be that of both
            told = "before" if moment(self.end) < moment(self.start) else "no later than"
            raise wrong(f"{self.end} is {told} the start, {self.start}; correct one of them", "end")
        return self

    @model_validator(mode="after")
    def _belongs(self) -> "RadonTest":
        """What says something of a pair or a fan needs one."""
        if self.apart and not self.pair:
            raise wrong("says how far this is from the other of a pair; write the pair's name as pair too", "apart")
        if self.fan_before and self.fan != "running":
            raise wrong('says how long the fan had run; write fan = "running" too, or leave it out', "fan_before")
        if self.duration and self.duration.value == 0:
            raise wrong(f"{self.duration.text!r} is no time; write one above zero, or leave it out", "duration")
        if self.duration and self.start and self.end:
            low, high = self._between() or (0.0, 0.0)
            if (
                not min(low, high - DAY) - 0.01 * DAY <= self.duration.value <= high + 0.01 * DAY
            ):  # hours may be dropped
                raise wrong(
                    f"{self.duration.text!r} does not go with {self.start} to {self.end}; correct one of them",
                    "duration",
                )
        return self

    @property
    def began(self) -> date | None:
        """The day on which it began."""
        return self.start.date() if isinstance(self.start, datetime) else self.start

    @property
    def ended(self) -> date | None:
        """The day on which it ended."""
        return self.end.date() if isinstance(self.end, datetime) else self.end

    @property
    def length(self) -> float | None:
        """Seconds that the test ran: as stated, or from start to end, a bare day taken at its noon; None if neither says."""
        if self.duration:
            return self.duration.value
        span = self._between()
        same_day = self.began == self.ended and span and span[0] == 0  # of which the middle says nothing
        return None if same_day or not span else (moment(self.end) - moment(self.start)).total_seconds()

    @property
    def length_error(self) -> float:
        """Seconds by which `length` may be off: half a day for either end of which only the day is stated."""
        low, high = self.lasted() or (0.0, 0.0)
        return (high - low) / 2

    def may_last(self, limit: float, beyond: bool = False) -> bool | None:
        """Whether it ran for `limit` seconds, or `beyond` them; None where its length is not known so well."""
        if (lasted := self.lasted()) is None:
            return None
        low, high = lasted
        if high - low < _HAIR:
            return low > limit + _HAIR if beyond else low >= limit - _HAIR
        # The ends of what bare days leave open are never reached themselves.
        return True if low >= limit - _HAIR else False if high <= limit + _HAIR else None

    def lasted(self) -> tuple[float, float] | None:
        """Seconds that it ran at least and at most, as stated or by its start and end."""
        if self.duration:
            return self.duration.value - self.duration.tolerance, self.duration.value + self.duration.tolerance
        return self._between()

    def _between(self) -> tuple[float, float] | None:
        """Seconds from its start to its end at least and at most: a bare day leaves half a day open either way."""
        if not (self.start and self.end):
            return None
        middle = (moment(self.end) - moment(self.start)).total_seconds()
        off = DAY / 2 * (dated(self.start) + dated(self.end))
        return max(middle - off, 0.0), middle + off


def pairs(tests: tuple[RadonTest, ...]) -> Iterator[tuple[str, tuple[int, ...]]]:
    """Each pair by its name, with the positions of its tests from 0."""
    names = dict.fromkeys(test.pair for test in tests if test.pair)
    for name in names:
        yield name, tuple(n for n, test in enumerate(tests) if test.pair == name)


def _paired(tests: tuple[RadonTest, ...]) -> tuple[RadonTest, ...]:
    """A pair is two tests, at one place and on the same days."""
    for name, members in pairs(tests):
        if len(members) != 2:
            said = "only this test" if len(members) == 1 else f"{len(members)} tests"
            raise wrong(f"{name!r} names {said}; a pair is two tests side by side", members[-1], "pair")
        first, second = (tests[n] for n in members)
        if first.place and second.place and first.place != second.place:
            raise wrong(
                f"{name!r} has its tests at {first.place!r} and {second.place!r}; write one place, or no pair: results of "
                "separate places are never averaged",
                members[1],
                "pair",
            )
        if first.start and second.start and first.began != second.began:
            raise wrong(
                f"{second.start} is not the day the other of {name!r} began, {first.start}", members[1], "start"
            )
    return tests


RadonTests = Annotated[tuple[RadonTest, ...], AfterValidator(_paired)]
