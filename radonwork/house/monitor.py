"""Readings of a radon monitor over time, read strictly from a CSV beside the record.

Every line of the file ends in a reading or in a remark that names the line and says why it gave none: nothing is dropped
in silence, and nothing is made up for what is missing. What would have to be guessed for the whole file (the unit, the
order of day and month, which of two columns) is refused in one line that names the field of the record which settles it.

Columns are found by their heading. Inside, times are days of UTC since 1970 and values Bq/m³.
"""

import csv
import io
import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import cached_property
from itertools import pairwise
from typing import Literal, NamedTuple

import numpy as np

from radonwork.house import clock
from radonwork.house.plausible import bounds
from radonwork.units import from_unit

LARGEST = 16 * 1024 * 1024  # bytes
MOST_ROWS = 500_000  # a reading every minute for a year
_LONGEST_LINE = 4096
_HEADING_WITHIN = 40  # lines
ABSURD = bounds()["radon_concentration"][1]
"""Bq/m³, 27,000 pCi/L: above what is known of houses; a monitor that says so is wrong, or the unit is."""
BREAK = 1.5
"""Usual intervals between two readings beyond which something is missing between them."""
WHOLE_DAY = 0.75
"""Share of its readings that a day needs for its mean to stand for the day."""
Unit = Literal["pCi/L", "Bq/m3", "kBq/m3"]
Kind = Literal[
    "passed over", "blank", "no value", "not a number", "negative", "absurd", "wrong columns", "no time", "ambiguous",
    "repeated", "contradicts", "out of order", "clock", "not on the clock", "gap",
]  # fmt: skip
LEFT_OUT: tuple[Kind, ...] = (
    "no value", "not a number", "negative", "absurd", "wrong columns", "no time", "ambiguous", "repeated", "contradicts",
    "not on the clock",
)  # fmt: skip


class MonitorError(ValueError):
    """A file that cannot be used; one plain line that says what would do."""


@dataclass(frozen=True)
class Remark:
    """What is to be said of one line of the file."""

    line: int
    kind: Kind
    message: str

    def __str__(self) -> str:
        return f"line {self.line:,}: {self.message}"


@dataclass(frozen=True)
class Asked:
    """What the record says of the file, where the file itself leaves it open."""

    unit: Unit | None = None
    time_zone: str | None = None
    date_order: clock.DateOrder | None = None
    column: str | None = None
    decimal: Literal["point", "comma"] | None = None


@dataclass(frozen=True, eq=False)
class Series:
    """Readings in the order of time. `local` is the same moment on the clock of the house, days since 1970 as well."""

    name: str
    unit: Unit
    times: np.ndarray
    local: np.ndarray
    values: np.ndarray
    lines: np.ndarray
    remarks: tuple[Remark, ...] = field(repr=False)
    time_zone: str = ""

    @cached_property
    def interval(self) -> float:
        """Days between one reading and the next, as it is for most."""
        return float(np.median(np.diff(self.times))) if len(self.times) > 1 else math.nan

    @property
    def counted(self) -> Counter[Kind]:
        """How many remarks there are of each kind."""
        return Counter(remark.kind for remark in self.remarks)

    def days(self) -> "Days":
        """Mean of each day that has three quarters of its readings."""
        number = np.floor(self.local + 1e-9).astype(int)
        found, inverse, counts = np.unique(number, return_inverse=True, return_counts=True)
        expected = max(1.0, round(1 / self.interval)) if self.interval > 0 else 1.0
        means = np.bincount(inverse, weights=self.values) / counts
        whole = counts >= WHOLE_DAY * expected
        return Days(found[whole].astype(float), means[whole], tuple(int(day) for day in found[~whole]), int(expected))


@dataclass(frozen=True, eq=False)
class Days:
    """Daily means in Bq/m³ of whole days (numbers since 1970); `partial` are days with too few readings for one."""

    numbers: np.ndarray
    means: np.ndarray
    partial: tuple[int, ...]
    expected: int

    @property
    def missing(self) -> int:
        """Days between the first and the last that have no mean."""
        return int(self.numbers[-1] - self.numbers[0]) + 1 - len(self.numbers) if len(self.numbers) else 0


_EPOCH = date(1970, 1, 1)


def day_number(day: date) -> int:
    return (day - _EPOCH).days


def day_of(number: float) -> date:
    return _EPOCH + timedelta(days=math.floor(number))


# ---------------------------------------------------------------- the file


def read_monitor(content: bytes, name: str, asked: Asked | None = None) -> Series:
    """The readings of a CSV. Raises MonitorError where the whole file cannot be used."""
    asked = asked or Asked()
    text = _decoded(content, name)
    lines = re.split(r"\r\n|\n|\r", text.removesuffix("\n"))  # lines as an editor numbers them
    if len(lines) > MOST_ROWS:
        raise MonitorError(f"{name} has more than {MOST_ROWS:,} lines; split it")
    head = _heading(lines, name, asked)
    rows, remarks = _rows(lines, head)
    order = asked.date_order or clock.order_of({row.date for row in rows})
    zone = clock.zone(asked.time_zone) if asked.time_zone else None
    point = _decimal_sign(rows, head, name, asked)
    readings = list(_readings(rows, head, remarks, order, point))
    if not readings:
        raise MonitorError(_nothing(name, remarks))
    return _in_time(readings, head, remarks, zone, name, asked)


def _decoded(content: bytes, name: str) -> str:
    if len(content) > LARGEST:
        raise MonitorError(f"{name} is larger than {LARGEST // 1024**2} MiB; split it")
    if b"\0" in content[:4096]:
        raise MonitorError(f"{name} is not plain text; save it as CSV in UTF-8")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as reason:
        line = content.count(b"\n", 0, reason.start) + 1
        raise MonitorError(f"{name} line {line:,}: is not UTF-8; save the file as CSV in UTF-8") from None


@dataclass(frozen=True)
class _Heading:
    line: int  # of the heading, 0 where there is none
    delimiter: str
    count: int
    date: int
    time: int | None  # a column of its own
    value: int
    unit: Unit
    name: str


_UNITS: dict[str, Unit] = {"pci/l": "pCi/L", "bq/m3": "Bq/m3", "kbq/m3": "kBq/m3"}
# With every letter before it, so that kBq is never read as Bq; blanks are what stood as _ in "radon_bq_m3".
_UNIT = re.compile(r"([a-zµμ]*(?:bq|ci)) ?(?:/|per|[·*])? ?(?:(l)(?:it(?:er|re))?(?:\^?-1)?|m\^?-?3)(?![a-z0-9])")
_MOMENT = re.compile(
    r"(date ?[/&+-]? ?(and )?time|datetime|time ?stamp|timestamp|recorded( at)?|measured at|start time|end time"
    r"|datum ?[/&+-]? ?(und )?(uhr)?zeit|zeitstempel|zeitpunkt)\b"
)
_DATE_HEAD, _TIME_HEAD = re.compile(r"(date|day|datum)\b"), re.compile(r"(time|uhrzeit|zeit)\b")
_OTHER = re.compile(
    r"temp|humid|feucht|press|druck|error|fehler|uncert|unsicher|\bsd\b|deviation|voc|co2|battery|count|\bno\b|index|sigma|±"
)
_RADON = re.compile(r"radon|\brn\b|222|concentration|activity|\bvalue\b|reading|level")


def _folded(text: str) -> str:
    return " ".join(text.strip().strip('"').casefold().replace("³", "3").replace("_", " ").split())


def _unit_in(heading: str) -> str:
    """The unit that a heading names, whether it is one that is read or not; "" where it names none."""
    found = _UNIT.search(heading)
    return f"{found[1]}/{found[2] or 'm3'}" if found else ""


def _split(line: str, delimiter: str) -> list[str]:
    if '"' not in line:
        return line.split(delimiter)
    return next(csv.reader(io.StringIO(line), delimiter=delimiter, strict=False), [])


def _delimiter(line: str) -> str:
    return "\t" if "\t" in line else ";" if ";" in line else ","


def _heading(lines: Sequence[str], name: str, asked: Asked) -> _Heading:
    """Which line names the columns, and which columns are which."""
    for count, line in enumerate(lines[:_HEADING_WITHIN], 1):
        delimiter = _delimiter(line[:_LONGEST_LINE])
        cells = [_folded(cell) for cell in _split(line[:_LONGEST_LINE], delimiter)]
        moment, clock_at = _time_columns(cells)
        if moment is None:
            continue
        value = _value_column(cells, {moment, clock_at}, name, count, asked)
        if value is None:
            continue
        return _Heading(
            count, delimiter, len(cells), moment, clock_at, value, _unit(cells[value], name, asked), cells[value]
        )
    if headless := _without_heading(lines, name, asked):
        return headless
    raise MonitorError(
        f"{name} names no column of times and column of radon in its first {_HEADING_WITHIN} lines; "
        'head them "time" and "radon (pCi/L)" or "radon (Bq/m3)"'
    )


def _time_columns(cells: Sequence[str]) -> tuple[int | None, int | None]:
    """The column of dates (with times), and that of times where they stand apart."""
    both = [i for i, cell in enumerate(cells) if _MOMENT.match(cell)]
    if both:
        return both[0], None
    dates = [i for i, cell in enumerate(cells) if _DATE_HEAD.match(cell)]
    times = [i for i, cell in enumerate(cells) if _TIME_HEAD.match(cell)]
    if dates:
        return dates[0], times[0] if times else None
    return (times[0], None) if times else (None, None)


def _value_column(cells: Sequence[str], taken: set[int | None], name: str, line: int, asked: Asked) -> int | None:
    if asked.column:
        wanted = [i for i, cell in enumerate(cells) if cell == _folded(asked.column)]
        if len(wanted) != 1:
            return None
        return wanted[0]
    free = [i for i, cell in enumerate(cells) if i not in taken and not _OTHER.search(cell)]
    found = [i for i in free if _unit_in(cells[i])] or [i for i in free if _RADON.search(cells[i])]
    if len(found) > 1:
        told = ", ".join(repr(cells[i][:40]) for i in found[:4])
        raise MonitorError(
            f"{name} line {line}: has {len(found)} columns of radon, {told}; write monitor.column in the record"
        )
    return found[0] if found else None


def _unit(heading: str, name: str, asked: Asked) -> Unit:
    named = _unit_in(heading)
    if named and named not in _UNITS:
        raise MonitorError(
            f"{name}: its column {heading[:60]!r} is in a unit that is not read; give it in {', '.join(_UNITS.values())}"
        )
    told = _UNITS.get(named)
    if told and asked.unit and told != asked.unit:
        raise MonitorError(f"{name}: its heading says {told} and monitor.unit of the record {asked.unit}; correct one")
    if unit := told or asked.unit:
        return unit
    raise MonitorError(
        f'{name}: its heading names no unit; write monitor.unit in the record, "pCi/L", "Bq/m3" or "kBq/m3"'
    )


def _without_heading(lines: Sequence[str], name: str, asked: Asked) -> _Heading | None:
    """Two columns that are a time and a number from the first line on need no heading."""
    first = next((line for line in lines if line.strip()), "")
    cells = _split(first[:_LONGEST_LINE], _delimiter(first[:_LONGEST_LINE]))
    if len(cells) != 2 or not re.fullmatch(r"\s*\d+([.,]\d+)?\s*", cells[1]):
        return None
    day, _ = clock.split(cells[0].strip())
    try:
        clock.read_date(day, "month first")
    except clock.TimeError:
        try:
            clock.read_date(day, "day first")
        except clock.TimeError:
            return None
    return _Heading(0, _delimiter(first), 2, 0, None, 1, _unit("", name, asked), "")


# ---------------------------------------------------------------- its lines


class _Row(NamedTuple):
    line: int
    date: str
    time: str
    value: str


def _rows(lines: Sequence[str], head: _Heading) -> tuple[list[_Row], list[Remark]]:
    rows, remarks = [], []
    delimiter, most = head.delimiter, max(head.date, head.value, head.time or 0)
    for count, line in enumerate(lines, 1):
        if count <= head.line:
            if count < head.line and line.strip():
                remarks.append(Remark(count, "passed over", "stands before the heading and was passed over"))
            continue
        if not line.strip(' \t,;"'):
            remarks.append(Remark(count, "blank", "is blank"))
            continue
        if len(line) > _LONGEST_LINE:
            remarks.append(Remark(count, "wrong columns", f"is longer than {_LONGEST_LINE:,} characters"))
            continue
        cells = _split(line, delimiter)
        while len(cells) > head.count and not cells[-1].strip():
            cells.pop()
        if len(cells) > head.count or len(cells) <= most:
            told = f"has {len(cells)} fields where the heading has {head.count}"
            remarks.append(Remark(count, "wrong columns", told))
            continue
        day = cells[head.date].strip()
        at = cells[head.time].strip() if head.time is not None else ""
        if head.time is None:
            day, at = clock.split(day)
        rows.append(_Row(count, day, at, cells[head.value].strip()))
    return rows, remarks


_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d{1,3})?", re.ASCII)


def _decimal_sign(rows: Sequence[_Row], head: _Heading, name: str, asked: Asked) -> str:
    """The decimal sign of the file: a comma only where some number can be read in no other way."""
    if asked.decimal:
        return "." if asked.decimal == "point" else ","
    with_comma = [row for row in rows if "," in row.value and _NUMBER.fullmatch(row.value)]
    with_point = any("." in row.value and _NUMBER.fullmatch(row.value) for row in rows)
    if not with_comma:
        return "."
    if with_point:
        return "."  # commas are then told line by line
    if all(re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", row.value) for row in with_comma):
        row = with_comma[0]
        raise MonitorError(
            f"{name} line {row.line:,}: {row.value!r} may have a decimal comma or a comma between thousands; "
            'write monitor.decimal in the record, "comma" or "point"'
        )
    return ","


@dataclass(slots=True)
class _Reading:
    line: int
    local: datetime
    offset: timedelta | None
    value: float


def _readings(
    rows: Sequence[_Row], head: _Heading, remarks: list[Remark], order: clock.DateOrder | None, point: str
) -> Iterator[_Reading]:
    factor = float(from_unit(1.0, head.unit))
    times: dict[str, tuple[object, object]] = {}
    values: dict[str, float | tuple[Kind, str]] = {}  # few are different
    for row in rows:
        found = values.get(row.value)
        if found is None:
            found = values[row.value] = _value(row.value, point, factor, head.unit)
        if isinstance(found, tuple):
            remarks.append(Remark(row.line, *found))
            continue
        try:
            day = clock.read_date(row.date, order)
        except clock.TimeError as reason:
            kind: Kind = "ambiguous" if "may be day or month" in str(reason) else "no time"
            remarks.append(Remark(row.line, kind, str(reason) if row.date else "has no time"))
            continue
        try:
            at = times.get(row.time) or times.setdefault(row.time, clock.read_time(row.time or "00:00"))
        except clock.TimeError as reason:
            remarks.append(Remark(row.line, "no time", str(reason)))
            continue
        of_day, stated = at
        local = datetime.combine(day, of_day)  # type: ignore[arg-type]
        yield _Reading(row.line, local, stated.utcoffset(None) if stated else None, found)  # type: ignore[attr-defined]


def _value(text: str, point: str, factor: float, unit: str) -> float | tuple[Kind, str]:
    """The reading in Bq/m³, or what is wrong with it."""
    if not text:
        return "no value", "has no value"
    shown = repr(text[:32])
    if not _NUMBER.fullmatch(text):
        return "not a number", f"{shown} is not a number"
    if (point == "." and "," in text) or (point == "," and "." in text):
        return "not a number", f"{shown} has another decimal sign than the rest of the file"
    value = float(text.replace(",", ".")) * factor
    if value < 0 or text.startswith("-"):
        return "negative", f"{shown} is negative; there is no negative radon"
    if value > ABSURD:
        return "absurd", f"{shown} {unit} is out of all likelihood"
    return value


def _nothing(name: str, remarks: Sequence[Remark]) -> str:
    """Why a file gave no reading at all: its first fault stands for the others."""
    for remark in remarks:
        if remark.kind in LEFT_OUT:
            return f"{name} {remark}; no line of the file gives a reading"
    return f"{name} holds no reading"


# ---------------------------------------------------------------- its times


def _in_time(
    readings: list[_Reading], head: _Heading, remarks: list[Remark], zone: tzinfo | None, name: str, asked: Asked
) -> Series:
    """Readings in the order of time, each moment once."""
    placed = _on_the_clock(readings, remarks, zone)
    epoch = datetime(1970, 1, 1)
    if not placed:
        raise MonitorError(_nothing(name, remarks))
    locals_ = np.array([(reading.local - epoch).total_seconds() for reading, _ in placed])
    moments = locals_ - np.array([offset.total_seconds() for _, offset in placed])
    order = np.argsort(moments, kind="stable")
    if np.any(np.diff(moments) < 0):
        highest = -math.inf
        for (reading, _), at in zip(placed, moments, strict=True):
            if at < highest:
                remarks.append(
                    Remark(reading.line, "out of order", "is earlier than a line before it and was put in its place")
                )
            highest = max(highest, at)
    kept = []
    last: int | None = None
    for i in order:
        if last is not None and moments[i] == moments[last]:
            remarks.append(_again(placed[i][0], placed[last][0], head))
            continue
        kept.append(i)
        last = int(i)
    index = np.array(kept)
    times, lines = moments[index] / 86400, np.array([placed[i][0].line for i in kept])
    remarks.extend(_gaps(times, lines))
    remarks.sort(key=lambda remark: remark.line)
    return Series(
        name,
        head.unit,
        times,
        locals_[index] / 86400,
        np.array([placed[i][0].value for i in kept]),
        lines,
        tuple(remarks),
        asked.time_zone or "",
    )


def _again(reading: _Reading, first: _Reading, head: _Heading) -> Remark:
    if reading.value == first.value:
        return Remark(reading.line, "repeated", f"repeats line {first.line:,} and was left out")
    factor = float(from_unit(1.0, head.unit))
    told = (
        f"has the time of line {first.line:,} but {reading.value / factor:.4g} in place of {first.value / factor:.4g} "
        f"{head.unit}; the first was kept. Where the clock was put back, write monitor.time_zone"
    )
    return Remark(reading.line, "contradicts", told)


def _on_the_clock(
    readings: list[_Reading], remarks: list[Remark], zone: tzinfo | None
) -> list[tuple[_Reading, timedelta]]:
    """Each reading with its distance from UTC; local times that a zone skips are told, those it has twice are told apart."""
    if zone is None:
        return [(reading, reading.offset or timedelta(0)) for reading in readings]
    first, last = min(r.local for r in readings), max(r.local for r in readings)
    changes = {change.at.date(): change for change in clock.changes(zone, first, last)}
    # Away from the days of a change the distance from UTC is that of the whole day.
    of_day: dict[date, timedelta] = {}
    placed: list[tuple[_Reading, timedelta]] = []
    for reading in readings:
        day = reading.local.date()
        near = changes.get(day) or changes.get(day + timedelta(days=1))
        if reading.offset is not None:
            placed.append((reading, reading.offset))
            continue
        if near is None:
            if day not in of_day:
                of_day[day] = reading.local.replace(tzinfo=zone).utcoffset() or timedelta(0)
            placed.append((reading, of_day[day]))
            continue
        if near.moved > timedelta(0) and near.at <= reading.local < near.at + near.moved:
            told = "is a time that the clock passed over when it was put forward; where this monitor's clock is never changed, "
            remarks.append(
                Remark(
                    reading.line,
                    "not on the clock",
                    told + "write monitor.time_zone by its distance from UTC, such as UTC-6",
                )
            )
            continue
        placed.append((reading, _told_apart(reading, placed, near, zone)))
    _tell_changes(placed, list(changes.values()), remarks)
    return placed


def _told_apart(
    reading: _Reading, before: Sequence[tuple[_Reading, timedelta]], near: clock.ClockChange, zone: tzinfo
) -> timedelta:
    """The distance from UTC of a time near a change: of two that read alike, the second stands after the first in the file."""
    first = reading.local.replace(tzinfo=zone, fold=0).utcoffset() or timedelta(0)
    second = reading.local.replace(tzinfo=zone, fold=1).utcoffset() or timedelta(0)
    if first == second or not before:
        return first
    last, away = before[-1]
    # The moment must lie after the line before; where the first meaning would not, it is the second.
    return second if reading.local - first <= last.local - away else first


def _tell_changes(
    placed: Sequence[tuple[_Reading, timedelta]], changes: Sequence[clock.ClockChange], remarks: list[Remark]
) -> None:
    for (_, old), (after, new) in pairwise(placed):
        if old != new and after.offset is None and any(abs(after.local - c.at) < timedelta(hours=12) for c in changes):
            way = "forward: the hour that seems to be missing is none" if new > old else "back: its hour is there twice"
            remarks.append(Remark(after.line, "clock", f"comes after the clock was put {way}"))


def _gaps(times: np.ndarray, lines: np.ndarray) -> Iterator[Remark]:
    if len(times) < 3:
        return
    steps = np.diff(times)
    usual = float(np.median(steps))
    for i in np.flatnonzero(steps > BREAK * usual):
        missing = round(steps[i] / usual) - 1
        long = f"{steps[i] * 24:.3g} h" if steps[i] < 3 else f"{steps[i]:.3g} days"
        yield Remark(
            int(lines[i + 1]),
            "gap",
            f"comes {long} after line {int(lines[i]):,}: {missing:,} {'reading is' if missing == 1 else 'readings are'} missing",
        )


def utc(days: float) -> datetime:
    """The moment `days` after the start of 1970, UTC."""
    return datetime.fromtimestamp(days * 86400, UTC)
