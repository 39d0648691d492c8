"""Readings of a radon monitor over time: the file beside the record, how it is to be read, and what the fan did meanwhile."""

from datetime import date, datetime, time
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from radonwork.house.fields import FileName, Name, Notes, Section, like, measured, wrong
from radonwork.house.sections.commissioning import Moment
from radonwork.units import Quantity


def _zone(text: str) -> str:
    from radonwork.house.clock import zone

    zone(text)
    return text


def begins(day: date) -> datetime:
    """A moment of the record as a time of day; a mere day begins at midnight. Offsets are those of the monitor's clock."""
    return day.replace(tzinfo=None) if isinstance(day, datetime) else datetime.combine(day, time())


class FanOff(Section):
    """A time in which the fan stood still after it had been started, by the monitor's clock."""

    start: Moment = None
    end: Moment = None
    because: Name | None = None

    @model_validator(mode="after")
    def _in_order(self) -> "FanOff":
        if self.start is None or self.end is None:
            raise wrong(
                f"lacks its {'end' if self.start else 'start'}; write both, as 2026-07-07 or 2026-07-07T09:00:00"
            )
        if begins(self.end) <= begins(self.start):
            raise wrong(f"{self.end} is not after the start, {self.start}; correct one of them", "end")
        return self


class Monitor(Section):
    """Readings over time, in a CSV beside the record, each the mean since the one before.

    `unit`, `column`, `date_order` and `decimal` settle what the file leaves open. `time_zone` is that of its clock, or its
    distance from UTC where the clock is never changed. `fan_start` says to the hour what the commissioning list says to
    the day; `fan_off` lists the times in which the fan stood still since. `device_error` is the standard deviation of such
    devices about the truth.
    """

    file: FileName | None = None
    place: Name | None = None
    unit: Literal["pCi/L", "Bq/m3", "kBq/m3"] | None = None
    column: Name | None = None
    time_zone: Annotated[Name, AfterValidator(_zone)] | None = None
    date_order: Literal["day first", "month first"] | None = None
    decimal: Literal["point", "comma"] | None = None
    shows: Literal["readings", "running mean"] | None = None
    fan_start: Moment = None
    fan_off: tuple[FanOff, ...] = Field(default=(), strict=False, max_length=100)
    device_error: Quantity | None = measured("device_spread")
    left_out: Quantity | None = like("transition_time")
    notes: Notes | None = None

    @model_validator(mode="after")
    def _off_after_start(self) -> "Monitor":
        last = begins(self.fan_start) if self.fan_start else None
        for count, off in enumerate(self.fan_off):
            if last and begins(off.start) < last:
                raise wrong(
                    f"{off.start} is before {last}, when the fan was started; correct one", "fan_off", count, "start"
                )
            last = begins(off.end)
        return self
