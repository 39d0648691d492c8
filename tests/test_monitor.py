"""A monitor's CSV: every line gives a reading or a remark that names it; what would be a guess is refused in one line."""

import re
import string
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from radonwork.house import clock
from radonwork.house.monitor import LEFT_OUT, Asked, MonitorError, Series, day_number, read_monitor, utc

HEADING = "time,radon (pCi/L)"


def read(*rows: str, heading: str = HEADING, **asked: object) -> Series:
    return read_monitor("\n".join([heading, *rows]).encode(), "monitor.csv", Asked(**asked))  # type: ignore[arg-type]


def refusal(*rows: str, heading: str = HEADING, **asked: object) -> str:
    with pytest.raises(MonitorError) as refused:
        read(*rows, heading=heading, **asked)
    line = str(refused.value)
    assert "\n" not in line
    assert len(line) < 400
    return line


def told(series: Series) -> dict[int, str]:
    return {remark.line: remark.kind for remark in series.remarks}


def hours(count: int, start: str = "2026-01-01 00:00") -> list[str]:
    first = datetime.fromisoformat(start)
    return [f"{first + timedelta(hours=n):%Y-%m-%d %H:%M}" for n in range(count)]


# ---------------------------------------------------------------- units, columns, delimiters


def test_values_are_in_becquerel_and_times_in_days() -> None:
    series = read("2026-01-01 00:00,4.0", "2026-01-01 01:00,2")
    assert series.values == pytest.approx([148.0, 74.0])
    assert utc(series.times[1]) == datetime(2026, 1, 1, 1, tzinfo=UTC)
    assert series.interval * 24 == pytest.approx(1.0)
    assert series.remarks == ()


@pytest.mark.parametrize("heading", ["time;radon (Bq/m³)", "Date/Time\tRadon Bq/m3", "Timestamp,Rn-222 [BQ/M3]"])
def test_delimiter_and_unit_come_from_the_heading(heading: str) -> None:
    sign = next(c for c in ";\t," if c in heading)
    series = read(f"2026-01-01 00:00{sign}148", heading=heading)
    assert series.values == pytest.approx([148.0])
    assert series.unit == "Bq/m3"


@pytest.mark.parametrize(
    ("heading", "value", "becquerels"),
    [
        ("time,Radon (kBq/m3)", "0.225", 225.0),
        ("time,radon [kBq m^-3]", "0.225", 225.0),
        ("time,radon_bq_m3", "225", 225.0),
        ("time,radon_pci_l", "6", 222.0),
        ("time,Radon in Bq per m3", "225", 225.0),
        ("Zeitpunkt,Radonkonzentration [Bq/m³]", "225", 225.0),
        ("Datum/Uhrzeit,Radon Bq·m-3", "225", 225.0),
    ],
)
def test_a_unit_is_read_with_its_prefix_however_it_is_set_in_the_heading(
    heading: str, value: str, becquerels: float
) -> None:
    assert read(f"2026-01-01 00:00,{value}", heading=heading).values == pytest.approx([becquerels])


def test_activity_on_an_area_is_no_concentration() -> None:
    assert "names no unit" in refusal("2026-01-01 00:00,4", heading="time,radon (Bq/m2)")


@pytest.mark.parametrize("unit", ["mBq/m3", "MBq/m³", "nCi/L", "Bq/L", "µCi/m3"])
def test_a_unit_that_is_not_read_is_refused_and_never_taken_for_another(unit: str) -> None:
    said = refusal("2026-01-01 00:00,225", heading=f"time,radon ({unit})")
    assert "is in a unit that is not read; give it in pCi/L, Bq/m3, kBq/m3" in said
    assert said == refusal("2026-01-01 00:00,225", heading=f"time,radon ({unit})", unit="Bq/m3")


def test_german_heads_are_read() -> None:
    series = read(
        "31.01.2026;21:30;19,5;48;120,5",
        "31.01.2026;22:30;19,5;48;130",
        heading="Datum;Uhrzeit;Temperatur;Luftfeuchte;Radon (Bq/m³)",
    )
    assert utc(series.times[0]) == datetime(2026, 1, 31, 21, 30, tzinfo=UTC)
    assert series.values == pytest.approx([120.5, 130.0])


def test_a_heading_without_a_unit_needs_the_records() -> None:
    assert "monitor.unit" in refusal("2026-01-01 00:00,4", heading="time,radon")
    assert read("2026-01-01 00:00,4", heading="time,radon", unit="Bq/m3").values == pytest.approx([4.0])


def test_a_unit_against_the_records_is_refused() -> None:
    assert "monitor.unit" in refusal("2026-01-01 00:00,4", unit="Bq/m3")


def test_a_date_and_a_time_may_stand_in_columns_of_their_own_among_others() -> None:
    series = read("7,2026-01-31,21:30,68,5.1", heading="no;Date;Time;Temperature;Radon pCi/L".replace(";", ","))
    assert utc(series.times[0]) == datetime(2026, 1, 31, 21, 30, tzinfo=UTC)
    assert series.values == pytest.approx([5.1 * 37])


def test_two_columns_of_radon_need_the_records_word() -> None:
    heading = "time,radon short term (pCi/L),radon long term (pCi/L)"
    assert "monitor.column" in refusal("2026-01-01 00:00,4,5", heading=heading)
    assert read("2026-01-01 00:00,4,5", heading=heading, column="Radon long term (pCi/L)").values == pytest.approx(
        [185.0]
    )


def test_lines_before_the_heading_are_told() -> None:
    text = "Export of a monitor\n\nSerial;invented\ntime;radon (Bq/m3)\n2026-01-01 00:00;7\n"
    series = read_monitor(text.encode(), "m.csv")
    assert told(series) == {1: "passed over", 3: "passed over"}
    assert series.lines.tolist() == [5]


def test_two_columns_without_a_heading_will_do_where_the_record_has_the_unit() -> None:
    content = b"2026-01-01 00:00,4\n2026-01-01 01:00,5\n"
    assert len(read_monitor(content, "m.csv", Asked(unit="pCi/L")).values) == 2
    with pytest.raises(MonitorError, match=r"monitor\.unit"):
        read_monitor(content, "m.csv")


def test_a_file_of_something_else_is_refused_in_one_line() -> None:
    for content in (b"", b"\n\n", b"a,b\n1,2\n", b"\x00\x01", b"time,radon pCi/L\n", "tïme,x\n".encode("latin-1")):
        with pytest.raises(MonitorError) as refused:
            read_monitor(content, "m.csv")
        assert "\n" not in str(refused.value)


def test_a_file_too_large_is_refused_before_it_is_read() -> None:
    with pytest.raises(MonitorError, match="larger than"):
        read_monitor(b"0" * (16 * 1024 * 1024 + 1), "m.csv")


# ---------------------------------------------------------------- numbers


def test_a_decimal_comma_is_read_where_nothing_else_can_be_meant() -> None:
    series = read("2026-01-01 00:00;12,5", "2026-01-01 01:00;7", heading="time;radon (Bq/m3)")
    assert series.values == pytest.approx([12.5, 7.0])


def test_a_comma_before_three_digits_is_refused_until_the_record_settles_it() -> None:
    rows, heading = ("2026-01-01 00:00;1,250",), "time;radon (Bq/m3)"
    assert "monitor.decimal" in refusal(*rows, heading=heading)
    assert read(*rows, heading=heading, decimal="comma").values == pytest.approx([1.25])


@pytest.mark.parametrize(
    ("value", "kind"),
    [
        ("", "no value"), ("  ", "no value"), ("LOW", "not a number"), ("nan", "not a number"), ("1_000", "not a number"),
        ("inf", "not a number"), ("-3", "negative"), ("-0.0", "negative"), ("9e9", "absurd"), ("0x10", "not a number"),
        ("٣", "not a number"),
    ],
)  # fmt: skip
def test_a_bad_value_is_told_by_its_line_and_left_out(value: str, kind: str) -> None:
    rows = [f"{at},{n}" for n, at in enumerate(hours(6), 1)]
    rows[3] = f"2026-01-01 03:00,{value}"
    series = read(*rows)
    assert told(series)[5] == kind
    assert series.lines.tolist() == [2, 3, 4, 6, 7]


def test_more_or_fewer_fields_than_the_heading_are_told() -> None:
    series = read("2026-01-01 00:00,4", "2026-01-01 01:00,4,5", "2026-01-01 02:00", "2026-01-01 03:00,4,")
    assert told(series) == {3: "wrong columns", 4: "wrong columns"}
    assert series.lines.tolist() == [2, 5]


# ---------------------------------------------------------------- times


@pytest.mark.parametrize(
    "text",
    ["2026-01-31 21:30", "2026-01-31T21:30:00", "2026/01/31 9:30 PM", "31.01.2026 21:30", "31 Jan 2026 21:30",
     "January 31, 2026 9:30 pm", "01/31/2026 21:30", "1/31/26 21:30", "31/1/2026 21:30", "2026-01-31T21:30:00Z",
     "2026-01-31T15:30:00-06:00"],
)  # fmt: skip
def test_common_forms_of_one_moment_are_read_alike(text: str) -> None:
    series = read(f"{text};4", heading="time;radon (pCi/L)")
    assert utc(series.times[0]) == datetime(2026, 1, 31, 21, 30, tzinfo=UTC)


def test_a_date_that_reads_two_ways_is_told_until_something_settles_it() -> None:
    line = refusal("03/04/2026 10:00,4", "03/05/2026 10:00,4")
    assert "monitor.date_order" in line
    assert "line 2" in line
    by_record = read("03/04/2026 10:00,4", date_order="day first")
    assert by_record.days().numbers.tolist() == [day_number(datetime(2026, 4, 3).date())]
    by_the_file = read("03/04/2026 10:00,4", "03/25/2026 10:00,4")  # no month has the number 25
    assert utc(by_the_file.times[0]) == datetime(2026, 3, 4, 10, tzinfo=UTC)


@pytest.mark.parametrize(
    "text", ["2026-02-30 10:00", "yesterday", "2026-01-01 25:00", "45000.5", "2026-01-01 13:00 PM", ""]
)
def test_a_time_that_is_none_is_told_by_its_line(text: str) -> None:
    series = read("2026-01-01 00:00,4", f"{text},4", "2026-01-01 02:00,4")
    assert told(series)[3] == "no time"
    assert series.lines.tolist() == [2, 4]


def test_a_gap_is_told_with_what_is_missing() -> None:
    at = hours(48)
    series = read(*(f"{one},4" for one in at[:10] + at[15:]))
    (remark,) = series.remarks
    assert (remark.line, remark.kind) == (12, "gap")
    assert "6 h after line 11" in remark.message
    assert "5 readings are missing" in remark.message


def test_a_repeated_line_is_told_and_a_contradiction_keeps_the_first() -> None:
    at = hours(4)
    series = read(f"{at[0]},4", f"{at[1]},5", f"{at[1]},5", f"{at[2]},6", f"{at[2]},9", f"{at[3]},7")
    assert told(series) == {4: "repeated", 6: "contradicts"}
    assert (series.values / 37).tolist() == pytest.approx([4, 5, 6, 7])


def test_lines_out_of_order_are_put_in_order_and_told() -> None:
    at = hours(4)
    series = read(f"{at[0]},4", f"{at[2]},6", f"{at[1]},5", f"{at[3]},7")
    assert told(series) == {4: "out of order"}
    assert (series.values / 37).tolist() == pytest.approx([4, 5, 6, 7])


# ---------------------------------------------------------------- the clock

CHICAGO = ZoneInfo("America/Chicago")


def local_hours(start: datetime, count: int) -> list[tuple[datetime, str]]:
    """So many real hours, as a clock in Chicago shows them."""
    found = [(start + timedelta(hours=n)).astimezone(CHICAGO) for n in range(count)]
    return [(at, f"{at:%Y-%m-%d %H:%M}") for at in found]


@pytest.mark.parametrize("start", [datetime(2026, 3, 8, 0, tzinfo=UTC), datetime(2026, 10, 31, 22, tzinfo=UTC)])
def test_a_changed_clock_makes_neither_a_gap_nor_a_repetition(start: datetime) -> None:
    shown = local_hours(start, 30)
    series = read(*(f"{text},4" for _, text in shown), time_zone="America/Chicago")
    assert [utc(at) for at in series.times] == [at.astimezone(UTC) for at, _ in shown]
    assert set(told(series).values()) == {"clock"}


def test_half_hours_are_told_apart_where_the_clock_is_put_back() -> None:
    start = datetime(2026, 10, 31, 22, tzinfo=UTC)
    shown = [(start + timedelta(minutes=30 * n)).astimezone(CHICAGO) for n in range(60)]
    series = read(*(f"{at:%Y-%m-%d %H:%M},4" for at in shown), time_zone="America/Chicago")
    assert [utc(at) for at in series.times] == [at.astimezone(UTC) for at in shown]


def test_without_a_time_zone_the_doubled_hour_is_told_as_what_it_looks_like() -> None:
    shown = local_hours(datetime(2026, 10, 31, 22, tzinfo=UTC), 30)
    series = read(*(f"{text},{n + 1}" for n, (_, text) in enumerate(shown)))
    (remark,) = [r for r in series.remarks if r.kind == "contradicts"]
    assert "monitor.time_zone" in remark.message


def test_a_time_that_the_clock_passed_over_is_told() -> None:
    series = read(*(f"{at},4" for at in hours(30, "2026-03-07 22:00")), time_zone="America/Chicago")
    (remark,) = [r for r in series.remarks if r.kind == "not on the clock"]
    assert remark.line == 6  # 02:00 on the 8th of March
    assert "UTC-6" in remark.message
    unchanged = read(*(f"{at},4" for at in hours(30, "2026-03-07 22:00")), time_zone="UTC-6")
    assert unchanged.remarks == ()


def test_zones_that_are_none_are_refused_in_words() -> None:
    for name in ("Mars/Olympus", "../../etc/passwd", "UTC+99", "", "CST"):
        with pytest.raises(ValueError, match="time zone"):
            clock.zone(name)


# ---------------------------------------------------------------- days


def test_a_day_needs_three_quarters_of_its_hours() -> None:
    rows = [f"{at},{4 if n < 24 else 8}" for n, at in enumerate(hours(24 + 17))]
    days = read(*rows).days()
    assert days.means == pytest.approx([148.0])
    assert days.partial == (day_number(datetime(2026, 1, 2).date()),)
    assert read(*rows, "2026-01-02 17:00,8").days().means == pytest.approx([148.0, 296.0])


# ---------------------------------------------------------------- anything at all

CELL = st.text(string.printable + "³µ€٣,;\t\"'", max_size=24)
TIME = st.one_of(
    CELL,
    st.datetimes(datetime(2024, 1, 1), datetime(2027, 1, 1)).map(lambda t: f"{t:%Y-%m-%d %H:%M}"),
    st.datetimes(datetime(2024, 1, 1), datetime(2027, 1, 1)).map(lambda t: f"{t:%m/%d/%Y %I:%M %p}"),
)
VALUE = st.one_of(CELL, st.floats(-5, 900).map(lambda v: f"{v:.1f}"))


def plain(refused: MonitorError) -> None:
    assert "\n" not in str(refused)
    assert str(refused).isprintable()
    assert len(str(refused)) < 400


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(TIME, VALUE), max_size=12), st.sampled_from([None, "America/Chicago", "UTC+2"]))
def test_every_line_is_a_reading_or_a_remark(rows: list[tuple[str, str]], zone: str | None) -> None:
    text = "\n".join([HEADING, *(f"{at},{value}" for at, value in rows)])
    try:
        series = read_monitor(text.encode("utf-8"), "m.csv", Asked(time_zone=zone))
    except MonitorError as refused:
        plain(refused)
        return
    left_out = {remark.line for remark in series.remarks if remark.kind in (*LEFT_OUT, "blank")}
    assert left_out | set(series.lines.tolist()) == set(
        range(2, len(re.split(r"\r\n|\n|\r", text.removesuffix("\n"))) + 1)
    )
    assert not left_out & set(series.lines.tolist())
    assert np.all(np.diff(series.times) > 0)
    assert np.all((series.values >= 0) & np.isfinite(series.values))
    for remark in series.remarks:
        assert "\n" not in str(remark)
        assert str(remark).isprintable()


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused_in_one_line(content: bytes) -> None:
    try:
        read_monitor(content, "m.csv", Asked(unit="pCi/L"))
    except MonitorError as refused:
        plain(refused)
