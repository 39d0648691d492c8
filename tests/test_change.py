"""Before and after the fan as a topic: states of days, reduction, day of the change, the watch, what is said and drawn."""

import math
import re
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy import stats

from radonwork.drawings.catalogue import pictures
from radonwork.files import DATA
from radonwork.formulas.statistics import days_between_alarms
from radonwork.house.calculations import Calculation, calculate
from radonwork.house.fan_effect import Alarm, alarm_of, days_of
from radonwork.house.monitor import day_number
from radonwork.house.record import House, parse_house, read_house
from radonwork.house.watched import LEFT_OUT, OFF, ON, transition
from radonwork.report.topics import change as told
from radonwork.workbook import book
from tests import make_series
from tests.recovering import resembling
from tests.small_records import read, verdicts

HOUSES = DATA / "houses"
FIRST = date(2025, 1, 1)
RECORD = '[house]\nlevel = "148 Bq/m3"\n[monitor]\nfile = "m.csv"\n'
HOUR = 3600.0


def house(tmp_path: Path, values: np.ndarray, more: str = "") -> House:
    lines = ["date;radon (Bq/m3)", *(f"{FIRST + timedelta(days=n)};{v:.2f}" for n, v in enumerate(values))]
    (tmp_path / "m.csv").write_text("\n".join(lines))
    return parse_house(RECORD + more, "house.toml", tmp_path)


def stepped(before: int, after: int, left: float, seed: int = 0, spread: float = 0.3) -> np.ndarray:
    noise = np.exp(spread * np.random.default_rng(seed).standard_normal(before + after))
    return 300.0 * noise * np.where(np.arange(before + after) < before, 1.0, left)


def calculated(tmp_path: Path, values: np.ndarray, more: str = "") -> Calculation:
    return calculate(house(tmp_path, values, more), "change")


def started(after: int) -> str:
    return f"fan_start = {FIRST + timedelta(days=after)}\n"


# ---------------------------------------------------------------- days and states


def test_days_in_which_the_fan_was_switched_are_left_out(tmp_path: Path) -> None:
    off = f"fan_off = [{{ start = {FIRST + timedelta(days=40)}T09:00:00, end = {FIRST + timedelta(days=45)}T09:00:00 }}]\n"
    found = days_of(house(tmp_path, stepped(20, 40, 0.1), f"fan_start = {FIRST + timedelta(days=20)}T10:00:00\n" + off))
    assert found
    states = found.states(24 * HOUR)
    assert states[:20].tolist() == [OFF] * 20
    assert states[20:22].tolist() == [LEFT_OUT] * 2
    assert states[22:40].tolist() == [ON] * 18
    assert states[40:42].tolist() == [LEFT_OUT] * 2
    assert states[42:45].tolist() == [OFF] * 3
    assert states[45:47].tolist() == [LEFT_OUT] * 2
    assert states[47:].tolist() == [ON] * 13


def test_a_start_known_to_the_day_leaves_out_that_day_and_the_next(tmp_path: Path) -> None:
    found = days_of(house(tmp_path, stepped(20, 40, 0.1), started(20)))
    assert found
    assert found.states(24 * HOUR)[19:23].tolist() == [OFF, LEFT_OUT, LEFT_OUT, ON]


def test_a_tight_house_is_given_longer(tmp_path: Path) -> None:
    values = stepped(20, 40, 0.1)
    usual = transition(house(tmp_path, values, started(20)))
    tight = transition(house(tmp_path, values, started(20) + '[house_air]\nair_change = "0.1 1/h"\n'))
    assert usual == 24 * HOUR
    # 0.1 1/h and the decay of radon, 0.00755 1/h: to a hundredth in ln(100) / 0.10755 h.
    assert tight / HOUR == pytest.approx(math.log(100) / 0.10755, rel=1e-3)


def test_the_commissioning_list_will_do_for_the_start(tmp_path: Path) -> None:
    listed = f'[[commissioning]]\nitem = "fan start"\non = {FIRST + timedelta(days=60)}\n'
    found = calculated(tmp_path, stepped(60, 60, 0.1), listed)
    assert found.run.values["radon_reduction"] == pytest.approx(0.9, abs=0.03)


# ---------------------------------------------------------------- reduction and level


def test_the_reduction_is_the_one_that_was_put_in(tmp_path: Path) -> None:
    values = calculated(tmp_path, stepped(120, 120, 0.15), started(120)).run.values
    assert values["reduction_low"] < 0.85 < values["reduction_high"]
    assert values["radon_reduction"] == pytest.approx(0.85, abs=0.03)
    assert values["mean_after_low"] < 45 * math.exp(0.3**2 / 2) < values["mean_after_high"]


def test_a_fan_that_does_nothing_is_not_said_to_work(tmp_path: Path) -> None:
    found = calculated(tmp_path, stepped(60, 60, 1.0), started(60))
    assert found.run.values["reduction_low"] < 0 < found.run.values["reduction_high"]
    assert verdicts(found)["the fan has done something"] == "not met"
    assert "cannot be told yet" in read(told.answer(found))


@pytest.mark.parametrize(("left", "verdict"), [(0.1, "met"), (0.8, "not met")])
def test_the_rule_holds_the_upper_end_of_the_level_that_is_left(tmp_path: Path, left: float, verdict: str) -> None:
    found = calculated(tmp_path, stepped(120, 200, left), started(120))
    assert verdicts(found)["level with the fan surely below"] == verdict


def test_exceedances_are_counted_over_whole_days_with_the_fan_on(tmp_path: Path) -> None:
    values = stepped(60, 60, 0.1)
    values[[70, 80, 90]] = 200.0
    values[60] = 900.0  # the day of the start belongs to neither side
    found = calculated(tmp_path, values, started(60))
    assert found.run.values["days_above"] == 3
    assert "3 were above 4 pCi/L" in read(told.answer(found))


def test_too_few_days_are_told_and_nothing_is_judged(tmp_path: Path) -> None:
    found = calculated(tmp_path, stepped(60, 5, 0.1), started(60))
    assert "radon_reduction" not in found.run.values
    assert set(verdicts(found).values()) == {"cannot be judged"}
    assert "with the fan on are too few" in read(told.answer(found))


def test_what_is_missing_is_named(tmp_path: Path) -> None:
    none = calculate(parse_house('[house]\nlevel = "USA"\n', "house.toml"), "change")
    assert none.missing == {"day_count": "monitor.file"}
    without_start = calculated(tmp_path, stepped(40, 40, 0.2))
    assert "monitor.fan_start" in without_start.missing["days_after"]


# ---------------------------------------------------------------- the day of the change


def test_a_change_that_nobody_recorded_is_found_and_dated(tmp_path: Path) -> None:
    said = read(told.day(calculated(tmp_path, stepped(50, 60, 0.2))))
    assert f"on {FIRST + timedelta(days=50)} (95 %)" in said
    assert "write it as monitor.fan_start" in said


def test_a_recorded_day_far_from_the_one_seen_is_doubted(tmp_path: Path) -> None:
    said = read(told.day(calculated(tmp_path, stepped(50, 60, 0.2), started(80))))
    assert "one of the two is wrong" in said


def test_no_change_is_said_to_be_none(tmp_path: Path) -> None:
    assert "show no change" in read(told.day(calculated(tmp_path, stepped(50, 60, 1.0))))


# ---------------------------------------------------------------- the watch


def watched_alarm(tmp_path: Path, values: np.ndarray) -> Alarm | None:
    found = days_of(house(tmp_path, values, started(30)))
    assert found
    return alarm_of(found, 24 * HOUR)


def test_the_watch_begins_once_there_are_days_to_hold_others_against(tmp_path: Path) -> None:
    assert watched_alarm(tmp_path, stepped(30, 60, 0.1)) is None
    assert "begins once 60 days" in read(told.later(calculated(tmp_path, stepped(30, 60, 0.1), started(30))))


def test_a_doubling_is_found_within_a_month(tmp_path: Path) -> None:
    values = stepped(30, 200, 0.1)
    values[160:] *= 2
    alarm = watched_alarm(tmp_path, values)
    assert alarm
    assert alarm.first
    assert 0 <= (alarm.first - FIRST).days - 160 <= 30
    assert "Alarm on" in read(told.later(calculated(tmp_path, values, started(30))))


def test_quiet_days_give_no_alarm(tmp_path: Path) -> None:
    alarm = watched_alarm(tmp_path, stepped(30, 300, 0.1))
    assert alarm
    assert alarm.first is None
    assert "No alarm in" in read(told.later(calculated(tmp_path, stepped(30, 300, 0.1), started(30))))


def test_the_limit_is_that_of_one_false_alarm_in_ten_years(tmp_path: Path) -> None:
    alarm = watched_alarm(tmp_path, stepped(30, 300, 0.1))
    assert alarm
    found = days_between_alarms(alarm_allowance=alarm.allowance, alarm_limit=alarm.limit)
    assert found == pytest.approx(3652.5, rel=1e-3)


def test_false_alarms_are_as_rare_as_stated_where_the_baseline_is_known(tmp_path: Path) -> None:
    """Sums over independent scores, 400 series of two years: about 2 in 10 have an alarm where one in ten years is stated."""
    alarm = watched_alarm(tmp_path, stepped(30, 300, 0.1))
    assert alarm
    rng = np.random.default_rng(5)
    held = np.zeros(400)
    alarmed = np.zeros(400, bool)
    for _ in range(730):
        held = np.maximum(0.0, held + rng.standard_normal(400) - alarm.allowance)
        alarmed |= held > alarm.limit
    share = 1 - math.exp(-730 / 3652.5)
    assert alarmed.mean() == pytest.approx(share, abs=4 * math.sqrt(share * (1 - share) / 400))


def series_of(days: np.ndarray, values: np.ndarray) -> Any:
    """Days with the fan on, as the watch sees them."""
    return SimpleNamespace(
        days=SimpleNamespace(numbers=days, means=values), states=lambda _time: np.full(len(days), ON)
    )


@pytest.mark.parametrize("swing", [0.0, 0.2])
def test_false_alarms_are_no_more_frequent_than_stated_where_everything_is_learnt(swing: float) -> None:
    """Two years of days that pass on 60 %, with a season and without, held against their own first 60 days."""
    rng, count, days = np.random.default_rng(3), 60, np.arange(790.0)
    alarmed = 0
    for _ in range(count):
        season = swing * np.cos(2 * np.pi * (days - rng.uniform(0, 365)) / 365.25)
        alarm = alarm_of(series_of(days, 40 * np.exp(0.35 * resembling(rng, len(days), 0.6) + season)), 0.0)
        assert alarm
        alarmed += alarm.first is not None
    # One in ten years alarms in 18 % of spans of two; this many or more of 60 would be a chance of one in ten thousand.
    assert alarmed < stats.binom.isf(1e-4, count, 1 - math.exp(-730 / 3652.5))


ODD: list[Callable[[np.random.Generator, int], np.ndarray]] = [
    lambda _, n: np.full(n, 11.1),
    lambda rng, n: np.where(rng.random(n) < 0.5, 3.7, 1e6),
    lambda rng, n: 10 ** rng.uniform(-1, 6, n),
    lambda _, n: np.exp(np.linspace(0, 12, n)),
]


@pytest.mark.parametrize("made", ODD)
def test_odd_days_are_told_of_too(tmp_path: Path, made: Callable[[np.random.Generator, int], np.ndarray]) -> None:
    """A monitor that shows one number, or any at all: no answer that is not a number, no fault."""
    rng = np.random.default_rng(2)
    for count in (30, 200):
        values = made(rng, count)
        found = calculated(tmp_path, values, started(count // 3))
        assert bool(found.run.refused) == (np.ptp(values) == 0)  # one number tells nothing of a house
        assert all(math.isfinite(value) for value in found.run.values.values())
        for one in (told.answer, told.day, told.later, told.more):
            assert "nan" not in read(one(found))
        assert all("nan" not in picture.svg for picture in pictures(found))


# ---------------------------------------------------------------- the example houses


def test_alder_court_has_the_reduction_that_its_script_put_in() -> None:
    found = calculate(read_house(HOUSES / "alder-court.toml"), "change")
    put_in = 1 - make_series.LEFT
    assert found.run.values["reduction_low"] < put_in < found.run.values["reduction_high"]
    assert set(verdicts(found).values()) == {"met"}
    said = read(told.day(found))
    assert "2026-03-14, which agrees" in said
    for one in (told.answer, told.later, told.more):
        assert read(one(found))


def test_the_days_are_drawn_with_what_is_missing() -> None:
    (drawn,) = (p for p in pictures(calculate(read_house(HOUSES / "alder-court.toml"), "change")) if "days" in p.title)
    for words in ("no reading", "fan off", "fan on", "left out", "level, 4 pCi/L", "the fan was started"):
        assert words in drawn.svg
    assert "nan" not in drawn.svg
    assert "the fan takes away" in drawn.description


def test_kestrel_lane_waits_for_its_fan() -> None:
    found = calculate(read_house(HOUSES / "kestrel-lane.toml"), "change")
    assert set(verdicts(found).values()) == {"cannot be judged"}
    assert "takes the day on which the fan was started" in read(told.answer(found))


def test_the_panel_answers_from_the_days_of_the_house() -> None:
    panel = book("change", HOUSES / "alder-court.toml").panel(1)
    before = repr(panel)
    panel.values = panel.values | {"transition_time": 96 * HOUR}
    assert repr(panel) != before
    assert re.search(r"The fan takes away (89|90)", repr(panel))


def test_the_plain_panel_has_the_published_interval() -> None:
    panel = book("change", HOUSES / "kestrel-lane.toml").panel(2)
    panel.values = panel.values | {"before_spread": math.log(1.6), "after_spread": math.log(1.8)}
    assert "14 days before count as 4.667" in repr(panel)
    ends = [float(end) for end in re.findall(r"between ([\d.]+) and ([\d.]+)", repr(panel))[0]]
    assert ends == pytest.approx([0.051, 0.198], abs=5e-4)  # as published, to half the last digit


def test_a_day_number_counts_from_1970() -> None:
    assert day_number(date(1970, 1, 2)) == 1
