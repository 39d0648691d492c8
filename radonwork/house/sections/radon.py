"""Radon tests."""

from collections.abc import Iterator
from datetime import date
from typing import Annotated, Literal

from pydantic import AfterValidator, field_validator, model_validator

from radonwork.house.fields import Name, Notes, Section, like, wrong
from radonwork.units import Quantity

DAY = 86400.0
EARLIEST, LATEST = 1950, 2200  # years of a radon test


class RadonTest(Section):
    """One radon test or, of a longer series, its mean.

    `duration` is how long the device measured; without it the dates say. Tests with the same `pair` ran side by side,
    so far `apart`. `closed_before` is how long the house had been closed when the test began. `fan` says what the
    suction system did: there was none yet, it stood still, or it ran, and had run for `fan_before` when the test began.
    """

    kind: Literal["short-term", "long-term"] | None = None
    concentration: Quantity | None = like("radon_concentration")
    counting_error: Quantity | None = like("radon_concentration")
    device: Literal["charcoal", "alpha track", "electret", "continuous monitor", "other"] | None = None
    place: Name | None = None
    floor: Literal["basement", "ground floor", "upper floor"] | None = None
    start: date | None = None
    end: date | None = None
    duration: Quantity | None = like("test_duration")
    closed_before: Quantity | None = like("closed_time")
    pair: Name | None = None
    apart: Quantity | None = like("pair_distance")
    fan: Literal["none", "off", "running"] | None = None
    fan_before: Quantity | None = like("fan_time")
    severe_weather: bool | None = None
    notes: Notes | None = None

    @field_validator("start", "end")
    @classmethod
    def _a_day(cls, day: date | None) -> date | None:
        if day and not EARLIEST <= day.year <= LATEST:
            raise ValueError(f"is no day of a radon test; write one from {EARLIEST} to {LATEST}")
        return day

    @model_validator(mode="after")
    def _in_order(self) -> "RadonTest":
        if self.start and self.end and self.end < self.start:
            raise wrong(f"{self.end} is before the start, {self.start}; correct one of them", "end")
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
            days = self.duration.value / DAY
            if not (span := (self.end - self.start).days) - 1.01 <= days <= span + 1.01:
                raise wrong(
                    f"{self.duration.text!r} does not go with {self.start} to {self.end}; correct one of them",
                    "duration",
                )
        return self

    @property
    def length(self) -> float | None:
        """Seconds that the test ran: as stated, or from one date to the other; None where neither says."""
        if self.duration:
            return self.duration.value
        return (self.end - self.start).days * DAY if self.start and self.end and self.end > self.start else None


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
        if first.start and second.start and first.start != second.start:
            raise wrong(
                f"{second.start} is not the day the other of {name!r} began, {first.start}", members[1], "start"
            )
    return tests


RadonTests = Annotated[tuple[RadonTest, ...], AfterValidator(_paired)]
