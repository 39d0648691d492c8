"""What was done and found when the system was put to work and since, each with its date."""

from datetime import date, datetime
from difflib import get_close_matches
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, field_validator, model_validator

from radonwork.house.fields import Name, Notes, Section, like, wrong
from radonwork.units import Quantity


def _item(text: str) -> str:
    """An item of the list, as the rules call it."""
    from radonwork.house.proving import items

    return _known(text, items(), "item of the list")


def _source(text: str) -> str:
    from radonwork.house.proving import other_sources

    return _known(text, tuple(source.name for source in other_sources()), "source on the list")


def _known(text: str, names: tuple[str, ...], what: str) -> str:
    if text in names:
        return text
    near = get_close_matches(text.lower(), names, n=1)
    raise ValueError(f"is no {what}; " + (f"did you mean {near[0]!r}?" if near else f"there are: {', '.join(names)}"))


def _moment(value: object) -> object:
    if value is not None and not isinstance(value, date):  # a time of day on a day is one too
        raise ValueError(
            "is not a date; write one as 2024-03-05, or with its time of day as 2024-03-05T18:30:00, without quotes"
        )
    return value


# One type for both: a union would tell of a fault twice.
Moment = Annotated[Any, BeforeValidator(_moment)]


class Done(Section):
    """One item of the commissioning list, done on a day by somebody. A later entry of the same item stands before it."""

    item: Annotated[str, AfterValidator(_item)] | None = None
    on: date | None = None
    by: Name | None = None
    found: Literal["in order", "not in order", "none here"] | None = None
    gauge: Quantity | None = like("gauge_mark")
    reading: Name | None = None
    notes: Notes | None = None

    @model_validator(mode="after")
    def _an_item(self) -> "Done":
        if self.item is None:
            raise wrong("says nothing of what was done; write the item, such as item = 'gauge mark'")
        if self.gauge and self.item != "gauge mark":
            raise wrong(f"belongs to the gauge mark; write what {self.item!r} read as reading, in words", "gauge")
        return self


class GaugeReading(Section):
    """What the gauge showed on a later day."""

    on: date | None = None
    gauge: Quantity | None = like("gauge_later")
    by: Name | None = None
    notes: Notes | None = None


class Shown(Section):
    """One reading of a monitor's own display, on a day or at a time of day."""

    on: Moment = None
    shows: Quantity | None = like("display_before")


class Display(Section):
    """A monitor's own running average: the mean since `since`, of the last `window`, or one that fades in `time_constant`.

    `step` is one in the last digit that it shows.
    """

    kind: Literal["cumulative", "rolling", "exponential"] | None = None
    since: Moment = None
    window: Quantity | None = like("display_window")
    time_constant: Quantity | None = like("display_time_constant")
    step: Quantity | None = like("display_step")
    reading: tuple[Shown, ...] = Field(default=(), strict=False)
    place: Name | None = None
    notes: Notes | None = None

    @field_validator("reading")
    @classmethod
    def _in_order(cls, readings: tuple[Shown, ...]) -> tuple[Shown, ...]:
        last: datetime | None = None
        for count, reading in enumerate(readings):
            if reading.on is None or reading.shows is None:
                raise wrong(f"lacks {'what it shows' if reading.on else 'its date'}; a reading has both", count)
            if last and moment(reading.on) <= last:
                raise wrong(f"{reading.on} is not after the reading before it; order them by date", count, "on")
            last = moment(reading.on)
        return readings

    @model_validator(mode="after")
    def _of_its_kind(self) -> "Display":
        own = {"cumulative": "since", "rolling": "window", "exponential": "time_constant"}
        for kind, name in own.items():
            if getattr(self, name) is not None and self.kind not in (None, kind):
                raise wrong(f"belongs to a {kind} display; this one is said to be {self.kind}", name)
        first = self.reading[0].on if self.reading else None
        if self.since and first and moment(first) < moment(self.since):
            raise wrong(f"{first} is before the display was started, {self.since}; correct one", "reading", 0, "on")
        return self


class OtherSource(Section):
    """What was looked for beside soil gas through the slab, and whether it was found."""

    source: Annotated[str, AfterValidator(_source)] | None = None
    on: date | None = None
    by: Name | None = None
    found: Literal["yes", "no", "none here"] | None = None
    concentration: Quantity | None = like("water_radon")
    notes: Notes | None = None


def moment(on: datetime | date) -> datetime:
    """A day taken at its noon; a time of day as it stands, whatever its zone."""
    return on.replace(tzinfo=None) if isinstance(on, datetime) else datetime(on.year, on.month, on.day, 12)


def dated(on: datetime | date) -> bool:
    """Whether only the day is known, and the hour may be any of it."""
    return not isinstance(on, datetime)
