"""The mean of the year as a topic: tests taken together, the monitor joined to them, what is said and drawn of it."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from radonwork.drawings.catalogue import pictures
from radonwork.files import DATA
from radonwork.house.calculations import Calculation, calculate
from radonwork.house.long_run import further, long_run, no_fewer
from radonwork.house.record import parse_house, read_house
from radonwork.house.watched import file_remarks
from radonwork.report.topics import year as told
from radonwork.solvers.quoted_band import spread_of
from radonwork.workbook import book
from radonwork.workbook.launch import new_folder
from tests import make_series
from tests.small_records import of, read, refused, verdicts

HOUSES = DATA / "houses"
PCI = 37.0
LEVEL = '[house]\nlevel = "USA"\n'


def calculated(text: str, folder: Path | None = None) -> Calculation:
    return calculate(of(text, folder), "year")


def radon_test(reading: str, start: str = "", end: str = "", kind: str = "short-term", place: str = "basement") -> str:
    dates = f"start = {start}\nend = {end}\n" if start else ""
    return f'[[test]]\nkind = "{kind}"\nconcentration = "{reading}"\nplace = "{place}"\n{dates}'


# ---------------------------------------------------------------- tests alone


def test_the_ends_and_the_chance_of_tests_are_those_of_the_lognormal_wherever_they_stand() -> None:
    record = LEVEL.replace('"USA"', '"250 Bq/m3"\nsystem = "metric"') + radon_test("900 Bq/m3")
    found = calculated(record)
    spread = spread_of("short-term")
    theirs = stats.lognorm(s=spread, scale=900)
    values = found.run.values
    # 1.96 standard deviations, as is stated, in place of 1.959964.
    assert values["year_mean_low"] == pytest.approx(theirs.ppf(stats.norm.cdf(-1.96)), rel=1e-9)
    assert values["year_mean_high"] == pytest.approx(theirs.ppf(stats.norm.cdf(1.96)), rel=1e-9)
    assert values["chance_above"] == pytest.approx(theirs.sf(250), rel=1e-9)
    said = [picture.description for picture in pictures(found)]
    assert len(said) == 2
    ends = [re.findall(r"(103|7,893) Bq/m³", one) for one in said]
    assert ends == [["103", "7,893"]] * 2
    assert "87.6 %" in said[0]
    assert "88 %" in said[1]  # in a sentence, no more digits than draws could tell


def test_no_fewer_further_days_are_asked_for_than_the_shortest_test_has() -> None:
    house = of(LEVEL.replace('"USA"', '"250 Bq/m3"') + radon_test("900 Bq/m3"))
    days = further(house, 250.0, 0.25)
    assert days is not None
    assert days >= 2
    assert (no_fewer(1), no_fewer(2), no_fewer(9), no_fewer(0), no_fewer(None)) == (2, 2, 9, 0, None)


def test_one_short_test_has_the_range_of_its_quoted_band() -> None:
    values = calculated(LEVEL + radon_test("4.6 pCi/L")).run.values
    theirs = stats.lognorm(s=spread_of("short-term"), scale=4.6 * PCI)
    # The ends are read off two thousand even chances, so to a thousandth of the chance.
    for name, chance in (("year_mean_low", 0.025), ("year_mean", 0.5), ("year_mean_high", 0.975)):
        assert theirs.cdf(values[name]) == pytest.approx(chance, abs=2e-3)
    assert values["chance_above"] == pytest.approx(theirs.sf(148.0), abs=2e-3)


def test_tests_that_share_their_weather_count_once() -> None:
    same = LEVEL + radon_test("4 pCi/L", "2026-01-05", "2026-01-08") + radon_test("9 pCi/L", "2026-01-12", "2026-01-15")
    apart = (
        LEVEL + radon_test("4 pCi/L", "2026-01-05", "2026-01-08") + radon_test("9 pCi/L", "2026-07-12", "2026-07-15")
    )
    undated = LEVEL + radon_test("4 pCi/L") + radon_test("9 pCi/L")
    counts = [calculated(text).run.values["short_test_count"] for text in (same, apart, undated)]
    assert counts == [1, 2, 1]
    widths = [
        math.log(found["year_mean_high"] / found["year_mean_low"])
        for found in (calculated(text).run.values for text in (same, apart))
    ]
    assert widths[1] == pytest.approx(widths[0] / math.sqrt(2), rel=0.01)
    assert calculated(same).run.values["year_mean"] == pytest.approx(6 * PCI, rel=0.01)  # the root of 36


def test_a_test_of_nothing_is_taken_for_the_least_that_a_survey_takes() -> None:
    assert calculated(LEVEL + radon_test("0 pCi/L")).run.values["year_mean"] == pytest.approx(0.1 * PCI, rel=0.01)


def test_a_long_test_outweighs_a_short_one() -> None:
    text = LEVEL + radon_test("16 pCi/L") + radon_test("2 pCi/L", kind="long-term")
    weights = [spread_of(kind) ** -2 for kind in ("short-term", "long-term")]
    middle = math.exp(np.average(np.log([16, 2]), weights=weights))
    assert middle < 2.4
    assert calculated(text).run.values["year_mean"] == pytest.approx(middle * PCI, rel=0.01)


def test_separate_places_are_never_taken_together() -> None:
    text = LEVEL + radon_test("4 pCi/L") + radon_test("20 pCi/L", place="bedroom")
    found = calculated(text)
    assert found.run.values["year_mean"] == pytest.approx(20 * PCI, rel=0.01)
    assert "separate places are never averaged: test 1" in read(told.answer(found))


def test_without_a_result_what_is_missing_is_named() -> None:
    found = calculated(LEVEL)
    assert found.missing == {"radon_concentration": "test.concentration"}
    assert set(verdicts(found).values()) == {"cannot be judged"}
    assert "takes the result of a test" in read(told.answer(found))


def test_without_a_level_the_mean_is_told_and_nothing_is_judged() -> None:
    found = calculated(radon_test("4.6 pCi/L"))
    assert "year_mean" in found.run.values
    assert set(verdicts(found).values()) == {"cannot be judged"}
    assert "names no level" in read(told.answer(found))


def test_a_level_known_only_from_memory_decides_nothing() -> None:
    from radonwork.house.levels import levels

    name = next(level.name for level in levels().values() if level.basis == "memory")
    found = calculated(f'[house]\nlevel = "{name}"\n' + radon_test("0.2 pCi/L", kind="long-term"))
    assert set(verdicts(found).values()) == {"cannot be judged"}


@pytest.mark.parametrize(
    ("reading", "kind", "verdict"),
    [("0.3 pCi/L", "long-term", "met"), ("3 pCi/L", "short-term", "not met"), ("20 pCi/L", "long-term", "not met")],
)
def test_the_rules_hold_the_upper_end_against_the_level(reading: str, kind: str, verdict: str) -> None:
    assert (
        verdicts(calculated(LEVEL + radon_test(reading, kind=kind)))["mean of the year surely below the level"]
        == verdict
    )


def test_what_would_settle_it_is_told() -> None:
    far, near = (of(LEVEL + radon_test(value)) for value in ("400 pCi/L", "6 pCi/L"))
    assert further(far, 148.0, 0.1) == 0
    days = further(near, 148.0, 0.1)
    assert days
    assert 30 < days < 730
    assert further(of(LEVEL + radon_test("4 pCi/L")), 148.0, 0.1) is None
    assert f"About {days} further days" in read(told.more(calculate(near, "year")))


# ---------------------------------------------------------------- with a monitor


def folder_with(tmp_path: Path, days: np.ndarray, values: np.ndarray) -> Path:
    lines = ["date;radon (Bq/m3)"]
    lines += [
        f"{np.datetime64('2025-01-01') + np.timedelta64(int(d), 'D')};{v:.1f}"
        for d, v in zip(days, values, strict=True)
    ]
    (tmp_path / "m.csv").write_text("\n".join(lines))
    return tmp_path


MONITOR = '[monitor]\nfile = "m.csv"\n'


def drawn_days(count: int, of_level: float = 300.0) -> tuple[np.ndarray, np.ndarray]:
    days = np.arange(float(count))
    return days, of_level * np.exp(0.35 * np.random.default_rng(8).standard_normal(count))


def test_a_year_of_days_leaves_the_devices_error_and_little_else(tmp_path: Path) -> None:
    days, values = drawn_days(366)
    found = calculated(LEVEL + MONITOR, folder_with(tmp_path, days, values)).run.values
    assert found["year_mean"] == pytest.approx(values.mean(), rel=0.03)
    width = math.log(found["year_mean_high"] / found["year_mean_low"])
    assert width == pytest.approx(2 * 1.96 * 0.10, rel=0.15)  # 10 % of the device, and a fiftieth of the days


def test_a_devices_stated_error_stands_before_the_assumed_one(tmp_path: Path) -> None:
    folder = folder_with(tmp_path, *drawn_days(366))
    wide = calculated(LEVEL + MONITOR + 'device_error = "20 %"\n', folder).run.values
    assert math.log(wide["year_mean_high"] / wide["year_mean_low"]) == pytest.approx(2 * 1.96 * 0.20, rel=0.1)


def test_a_test_of_other_days_is_joined_and_one_of_the_same_days_is_not(tmp_path: Path) -> None:
    folder = folder_with(tmp_path, *drawn_days(60))
    inside = radon_test("60 pCi/L", "2025-01-10", "2025-01-14", kind="long-term")
    outside = radon_test("60 pCi/L", "2025-06-10", "2025-10-14", kind="long-term")
    alone, same, other = (calculated(LEVEL + MONITOR + text, folder) for text in ("", inside, outside))
    assert same.run.values["year_mean"] == alone.run.values["year_mean"]
    assert other.run.values["year_mean"] > 1.2 * alone.run.values["year_mean"]
    assert "watched most of the same days: test 1" in read(told.answer(same))


def test_the_days_of_another_place_are_not_joined(tmp_path: Path) -> None:
    folder = folder_with(tmp_path, *drawn_days(60))
    found = calculated(LEVEL + MONITOR + 'place = "bedroom"\n' + radon_test("4 pCi/L"), folder)
    assert found.run.values["year_mean"] == pytest.approx(148.0, rel=0.01)
    assert "is not where the tests stood" in read(told.answer(found))


def test_days_with_the_fan_on_say_nothing_of_the_house_without_it(tmp_path: Path) -> None:
    days, values = drawn_days(120)
    values[60:] *= 0.1
    found = calculated(LEVEL + MONITOR + "fan_start = 2025-03-02\n", folder_with(tmp_path, days, values))
    assert found.run.values["year_mean"] == pytest.approx(values[:60].mean(), rel=0.25)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "is not beside the record"),
        ("a,b\n1,2\n", "names no column of times"),
        ("time,radon\n2026-01-01,4", "monitor.unit"),
    ],
)
def test_a_file_that_cannot_be_used_is_told_in_one_line_and_stops_nothing(
    tmp_path: Path, content: str | None, said: str
) -> None:
    if content is not None:
        (tmp_path / "m.csv").write_text(content)
    found = calculated(LEVEL + MONITOR + radon_test("4 pCi/L"), tmp_path)
    assert said in read(told.file(found))
    assert "year_mean" in found.run.values
    assert found.house
    (remark,) = file_remarks(found.house)
    assert said in remark
    change = calculate(found.house, "change")
    assert "monitor.file" not in change.missing.values()
    assert said in change.run.refused["fan_effect"]


def test_a_monitor_that_never_moves_tells_nothing_beside_the_tests(tmp_path: Path) -> None:
    days = np.arange(60.0)
    for value in (0.0, 12.0):
        found = calculated(LEVEL + MONITOR + radon_test("8 pCi/L"), folder_with(tmp_path, days, np.full(60, value)))
        assert found.run.values["year_mean"] == pytest.approx(296.0)
        assert "without a running fan, all 60 daily means are the same" in read(told.answer(found)).lower()


def test_a_file_of_one_reading_is_told_without_the_time_between_readings(tmp_path: Path) -> None:
    found = calculated(LEVEL + MONITOR, folder_with(tmp_path, np.zeros(1), np.array([120.0])))
    assert "m.csv: 1 reading, in Bq/m³, its clock taken as it stands. They make 1 whole day;" in read(told.file(found))


def test_each_kind_of_line_that_was_left_out_is_among_what_is_wrong_with_the_file(tmp_path: Path) -> None:
    lines = [
        "time,radon (pCi/L)",
        "2026-01-01 00:00,4",
        "2026-01-01 01:00,n/a",
        "2026-01-01 02:00,--",
        "2026-01-01 03:00,",
    ]
    (tmp_path / "m.csv").write_text("\n".join(lines))
    house = parse_house(LEVEL + MONITOR, "x", tmp_path)
    assert sorted(file_remarks(house)) == [
        "m.csv: 1 line left out; line 5: has no value",
        "m.csv: 2 lines of a kind left out; line 3: 'n/a' is not a number",
    ]
    assert file_remarks(parse_house(LEVEL, "x", tmp_path)) == ()


def test_a_file_that_is_a_folder_or_a_link_elsewhere_is_told(tmp_path: Path) -> None:
    (tmp_path / "m.csv").mkdir()
    assert "cannot be" in read(told.file(calculated(LEVEL + MONITOR, tmp_path)))


def test_running_means_are_refused(tmp_path: Path) -> None:
    folder = folder_with(tmp_path, *drawn_days(60))
    assert "running means" in read(told.file(calculated(LEVEL + MONITOR + 'shows = "running mean"\n', folder)))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[monitor]\nfile = "../m.csv"', "plain name of a .csv file"),
        ('[monitor]\ntime_zone = "Moon/Base"', "is no time zone"),
        ('[monitor]\nunit = "mSv"', "write 'pCi/L', 'Bq/m3' or 'kBq/m3'"),
        ('[monitor]\nfan_start = "spring"', "is not a date"),
        ("[monitor]\n[[monitor.fan_off]]\nstart = 2026-01-01", "lacks its end"),
        ("[monitor]\n[[monitor.fan_off]]\nstart = 2026-01-02\nend = 2026-01-01", "is not after the start"),
        (
            "[monitor]\nfan_start = 2026-02-01\nfan_off = [{ start = 2026-01-01, end = 2026-01-03 }]",
            "when the fan was started",
        ),
        ('[monitor]\ndevice_error = "10 pCi/L"', "pCi/L"),
        ("[monitor]\nfiles = 1", "did you mean file?"),
    ],
)
def test_a_fault_of_the_monitors_section_is_told_in_one_line(text: str, said: str) -> None:
    assert said in refused(text)


# ---------------------------------------------------------------- the example houses


@pytest.mark.parametrize("name", make_series.SERIES)
def test_the_series_of_the_example_houses_are_those_of_the_script(name: str) -> None:
    assert (HOUSES / name).read_bytes() == make_series.SERIES[name]().encode()


def test_a_new_folder_gets_the_series_beside_its_record(tmp_path: Path) -> None:
    new_folder(tmp_path)
    assert (tmp_path / "alder-court-monitor.csv").read_bytes() == (HOUSES / "alder-court-monitor.csv").read_bytes()
    found = long_run(read_house(tmp_path / "alder-court.toml"))
    assert found
    assert len(found.days) > 140


@pytest.mark.parametrize("name", ["alder-court", "kestrel-lane"])
def test_an_example_house_is_told_and_drawn(name: str) -> None:
    found = calculate(read_house(HOUSES / f"{name}.toml"), "year")
    said = read(told.answer(found))
    assert re.search(r"is about [\d.,]+ \S+; with 95 % chance it lies between [\d.,]+ \S+ and [\d.,]+", said)
    assert "p-value" not in said
    drawn = pictures(found)
    assert "Where the mean of the year may lie" in [picture.title for picture in drawn]
    for picture in drawn:
        assert "nan" not in picture.svg
        assert picture.svg.startswith("<svg")


def test_alder_court_tells_every_line_that_was_spoilt() -> None:
    said = read(told.file(calculate(read_house(HOUSES / "alder-court.toml"), "year")))
    for words in (
        "repeats line 4,001",
        "&#39;ERR&#39; is not a number",
        "has no value",
        "is blank",
        "clock was put back",
    ):
        assert words in said


def test_the_panel_follows_its_controls() -> None:
    panel = book("year", HOUSES / "alder-court.toml").panel()
    panel.values = panel.values | {"combined_result": 4.6 * PCI, "short_test_count": 1.0, "long_test_count": 0.0}
    said = repr(panel)
    theirs = stats.lognorm(s=spread_of("short-term"), scale=4.6)
    assert "The chance that it is above 4 pCi/L is 55 %" in said
    assert theirs.sf(4.0) == pytest.approx(0.550, abs=5e-4)
