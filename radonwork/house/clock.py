"""Dates and times as monitors and spreadsheets write them, and the clock they were written by.

What can be read in two ways is refused, never guessed: 03/04/2026 needs a date elsewhere in the file that settles whether
the day or the month stands first, or the word of the record.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo
from functools import lru_cache
from typing import Literal
from zoneinfo import ZoneInfo

DateOrder = Literal["day first", "month first"]
_MONTHS = {
    m: n for n, m in enumerate(["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"], 1)
}
_DATE = re.compile(
    r"(?P<iso>(?P<y>\d{4})(?P<s>[-/.])(?P<m>\d{1,2})(?P=s)(?P<d>\d{1,2}))"
    r"|(?P<one>\d{1,2})(?P<t>[-/.])(?P<two>\d{1,2})(?P=t)(?P<year>\d{4}|\d{2})"
    r"|(?P<day>\d{1,2})[ -](?P<month>[A-Za-z]{3,9})\.?,?[ -](?P<inyear>\d{4})"
    r"|(?P<month2>[A-Za-z]{3,9})\.? (?P<day2>\d{1,2}),? (?P<inyear2>\d{4})",
    re.ASCII,
)
_TIME = re.compile(
    r"(?P<h>\d{1,2}):(?P<min>\d{2})(?::(?P<s>\d{2})(?:[.,]\d{1,9})?)?(?: ?(?P<half>[AaPp])\.?[Mm]\.?)?"
    r"(?: ?(?P<zone>Z|[+-]\d{2}:?\d{2}))?",
    re.ASCII,
)
_BEFORE_TIME = re.compile(r"[ ,]+(?=\d{1,2}:\d{2})")
_OFFSET = re.compile(r"(?:UTC|GMT)?(?P<sign>[+-])(?P<h>\d{1,2})(?::(?P<min>\d{2}))?", re.ASCII)
_LONGEST = 48


class TimeError(ValueError):
    """Text that is no date and time; the message says what it is."""


@lru_cache(maxsize=4096)
def read_date(text: str, order: DateOrder | None = None) -> date:
    """A date. Raises TimeError for what is none, and for one that reads in two ways while `order` is None."""
    found = _DATE.fullmatch(text)
    if not found:
        raise TimeError(f"{text[:_LONGEST]!r} is not a date; write one as 2026-01-31")
    if found["iso"]:
        parts = int(found["y"]), int(found["m"]), int(found["d"])
    elif found["one"]:
        year = int(found["year"]) + (2000 if len(found["year"]) == 2 else 0)
        one, two = int(found["one"]), int(found["two"])
        order = "day first" if found["t"] == "." else order or _only_order(one, two)
        if order is None:
            raise TimeError(f"{text!r} may be day or month first; write monitor.date_order in the record")
        parts = (year, two, one) if order == "day first" else (year, one, two)
    else:
        named = (found["month"] or found["month2"])[:3].lower()
        if named not in _MONTHS:
            raise TimeError(f"{text[:_LONGEST]!r} names no month; write a date as 2026-01-31")
        parts = int(found["inyear"] or found["inyear2"]), _MONTHS[named], int(found["day"] or found["day2"])
    if not 1900 <= parts[0] <= 2200:
        raise TimeError(f"{text!r} has a year out of all likelihood")
    try:
        return date(*parts)
    except ValueError:
        raise TimeError(f"{text!r} is not a day of the calendar") from None


def _only_order(one: int, two: int) -> DateOrder | None:
    """What the two numbers can only be; None where both orders, or none, make a date."""
    if one > 12 >= two:
        return "day first"
    if two > 12 >= one:
        return "month first"
    return None


def order_of(dates: Iterable[str]) -> DateOrder | None:
    """The order that some date of a file settles; None where none does, or where two contradict each other."""
    seen = {
        _only_order(int(found["one"]), int(found["two"]))
        for found in map(_DATE.fullmatch, dates)
        if found and found["one"] and found["t"] != "."
    } - {None}
    return seen.pop() if len(seen) == 1 else None


def read_time(text: str) -> tuple[time, tzinfo | None]:
    """A time of day, with its offset from UTC where it states one. Raises TimeError."""
    found = _TIME.fullmatch(text)
    if not found:
        raise TimeError(f"{text[:_LONGEST]!r} is not a time of day; write one as 13:45")
    hour, minute, second = int(found["h"]), int(found["min"]), int(found["s"] or 0)
    if half := found["half"]:
        if not 1 <= hour <= 12:
            raise TimeError(f"{text!r} is not a time of day; hours before AM and PM go from 1 to 12")
        hour = hour % 12 + (12 if half in "Pp" else 0)
    if hour > 23 or minute > 59 or second > 59:
        raise TimeError(f"{text!r} is not a time of day; write one as 13:45")
    return time(hour, minute, second), _zone_of(found["zone"]) if found["zone"] else None


def _zone_of(text: str) -> tzinfo:
    if text == "Z":
        return UTC
    hours, minutes = int(text[1:3]), int(text[-2:])
    if hours > 14 or minutes > 59:
        raise TimeError(f"{text!r} is no offset from UTC")
    span = timedelta(hours=hours, minutes=minutes)
    return timezone(-span if text[0] == "-" else span)


def split(text: str) -> tuple[str, str]:
    """A date and the time of day behind it, "" where there is none: at a T, or at the last blank before a time."""
    if "T" in text[8:11] and text[:4].isdigit():
        day, _, clock = text.partition("T")
        return day, clock
    found = _BEFORE_TIME.search(text)
    return (text[: found.start()].strip(), text[found.end() :].strip()) if found else (text, "")


def zone(name: str) -> tzinfo:
    """A time zone by name, "America/Chicago", or by its distance from UTC, "UTC-6". Raises ValueError in words."""
    if name in ("UTC", "GMT"):
        return UTC
    if found := _OFFSET.fullmatch(name):
        hours, minutes = int(found["h"]), int(found["min"] or 0)
        if hours > 14 or minutes > 59:
            raise ValueError("is no time zone; write one such as America/Chicago, Europe/Paris, UTC or UTC-6")
        span = timedelta(hours=hours, minutes=minutes)
        return timezone(-span if found["sign"] == "-" else span)
    if re.fullmatch(r"[A-Za-z]+(?:/[A-Za-z0-9_+-]+){1,2}", name, re.ASCII):
        try:
            return ZoneInfo(name)
        except (KeyError, ValueError, OSError):
            pass
    raise ValueError("is no time zone; write one such as America/Chicago, Europe/Paris, UTC or UTC-6")


@dataclass(frozen=True)
class ClockChange:
    """One change of a zone's clock: local times from `skipped` on do not exist, or those from `doubled` on are there twice."""

    at: datetime  # local time on the old clock at which the clock is changed
    moved: timedelta  # forward above zero


def changes(place: tzinfo, first: datetime, last: datetime) -> Iterator[ClockChange]:
    """Every change of the clock of `place` between two local times, to the hour in which it lies."""
    here, step = first - timedelta(days=1), timedelta(days=1)
    while here <= last + step:
        before, after = _offset(place, here), _offset(place, here + step)
        if before != after:
            low, high = here, here + step
            while high - low > timedelta(minutes=1):
                middle = low + (high - low) / 2
                low, high = (middle, high) if _offset(place, middle) == before else (low, middle)
            at = high.replace(second=0, microsecond=0)  # a local time that is skipped still has the old offset
            yield ClockChange(at - max(after - before, timedelta(0)), after - before)
        here += step


def _offset(place: tzinfo, local: datetime) -> timedelta:
    return local.replace(tzinfo=place).utcoffset() or timedelta(0)
