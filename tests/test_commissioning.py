"""After the fix as a topic: the dated record, what is missing, the gauge, the display, other sources, due dates."""

import re
from datetime import date
from pathlib import Path

import pandas as pd
import pytest

from radonwork.cli import main
from radonwork.drawings.catalogue import pictures
from radonwork.engine.sources import Source
from radonwork.files import DATA
from radonwork.house import proving
from radonwork.house.calculations import Calculation, calculate
from radonwork.house.record import House, read_house
from radonwork.report.markup import html
from radonwork.report.topics import commissioning as told
from radonwork.requirements.rules import Requirement, Stated, judge, requirements_of
from radonwork.workbook import book
from tests.small_records import of, read, refused, verdicts

HOUSES = DATA / "houses"
DAY = 86400.0


def calculated(text: str) -> Calculation:
    return calculate(of(text), "commissioning")


def item(name: str, found: str = "in order", on: str = "2026-03-14") -> str:
    return f'[[commissioning]]\nitem = "{name}"\non = {on}\nfound = "{found}"\n'


START = '[[commissioning]]\nitem = "fan start"\non = 2026-03-14\n'
HOLES = '[suction]\ntarget = "4 Pa"\n[[proof.test_hole]]\nsuction = "6 Pa ± 1 Pa"\n'


def radon_read(reading: str, start: str = "2026-03-16", end: str = "2026-03-18") -> str:
    return f'[[test]]\nkind = "short-term"\nconcentration = "{reading}"\nstart = {start}\nend = {end}\n'


# ---------------------------------------------------------------- what the record may hold


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[commissioning]]\nitem = "gauge marks"', "did you mean 'gauge mark'?"),
        ("[[commissioning]]\non = 2026-01-01", "write the item"),
        ('[[commissioning]]\nitem = "discharge"\nfound = "fine"', "write 'in order', 'not in order' or 'none here'"),
        ('[[commissioning]]\nitem = "discharge"\ngauge = "1 inWC"', "belongs to the gauge mark"),
        ('[[commissioning]]\nitem = "discharge"\non = "yesterday"', "is not a date"),
        ('[[commissioning]]\nitem = "discharge"\nby = "a\\u0007"', "control character"),
        ('[[reading]]\ngauge = "1.1 cfm"', "cfm"),
        ('[[display]]\nsince = "March"', "is not a date"),
        ('[[display]]\nkind = "rolling"\nsince = 2026-01-01', "belongs to a cumulative display"),
        ('[[display]]\nkind = "weekly"', "is not a choice"),
        ("[[display]]\nreading = [{ on = 2026-01-02 }]", "lacks what it shows"),
        (
            '[[display]]\nreading = [{ on = 2026-01-02, shows = "4 pCi/L" }, { on = 2026-01-01, shows = "3 pCi/L" }]',
            "is not after the reading before it",
        ),
        (
            '[[display]]\nsince = 2026-02-01\nreading = [{ on = 2026-01-02, shows = "4 pCi/L" }]',
            "before the display was started",
        ),
        ('[[other_source]]\nsource = "block wall"', "did you mean 'block walls'?"),
    ],
)
def test_what_a_record_may_not_say_gets_one_line_that_says_what_would_do(text: str, said: str) -> None:
    assert said in refused(text)


def test_every_item_of_the_list_is_asked_for_by_a_rule_with_its_source_or_is_an_event() -> None:
    assert set(proving.items()) == set(proving.asked()) | set(proving.EVENTS)
    for rules in proving.asked().values():
        assert all(str(rule.source) for rule in rules)


def test_text_of_the_record_is_shown_escaped() -> None:
    found = calculated(item("discharge") + 'by = "<script>alert(1)</script>"\nnotes = "<img src=x>"\n')
    shown = html(told.the_list(found))
    assert "<script>" not in shown
    assert "<img" not in shown
    assert "&lt;script&gt;" in shown


# ---------------------------------------------------------------- rules in words


def test_done_and_in_order_is_met_not_in_order_is_not_and_silence_is_neither() -> None:
    for written, verdict in (
        (item("fan monitor"), "met"),
        (item("fan monitor", "not in order"), "not met"),
        (item("fan monitor", "none here"), "does not apply"),
        ('[[commissioning]]\nitem = "fan monitor"\non = 2026-03-14\n', "cannot be judged"),
        ("", "cannot be judged"),
    ):
        assert verdicts(calculated(written))["fan monitor"] == verdict


def test_a_rule_known_only_from_memory_never_decides() -> None:
    everything = "".join(item(name) for name in proving.asked()) + START + radon_read("1 pCi/L")
    nothing = (
        "".join(item(name, "not in order") for name in proving.asked())
        + START
        + radon_read("1 pCi/L", "2026-08-01", "2026-08-03")
    )
    remembered = [rule for rule in requirements_of("commissioning") if rule.source.kind == "from memory, unverified"]
    assert len(remembered) >= 5
    for text in (everything, nothing):
        found = verdicts(calculated(text))
        assert {found[rule.name] for rule in remembered} == {"cannot be judged"}


def test_the_later_entry_of_an_item_stands() -> None:
    bad, good = item("openings sealed", "not in order", "2026-03-14"), item("openings sealed", "in order", "2026-04-01")
    for text in (bad + good, good + bad):
        assert verdicts(calculated(text))["openings to the soil sealed"] == "met"


def test_a_word_of_the_record_is_compared_with_what_the_rule_asks() -> None:
    rule = Requirement("x", "x", "x", Stated("lid_kind", "rigid"), Source(kind="common practice, no source"))
    assert judge(rule, {}, {"lid_kind": "rigid"}).verdict == "met"
    assert judge(rule, {}, {"lid_kind": "loose"}).reason == "lid kind is said to be: loose"
    assert rule.check.text("us") == "lid kind: rigid"


def test_the_least_hole_is_judged_by_the_edge_of_its_reading() -> None:
    text = HOLES + '[[proof.test_hole]]\nsuction = "5 Pa ± 2 Pa"\n'
    found = calculated(text)
    (finding,) = (f for f in found.findings if f.requirement.name == "suction at every test hole")
    assert finding.verdict == "met"
    assert finding.holds_over_tolerance is False
    assert proving.outcome(of(text), 148, "pCi/L").proven is False
    assert proving.outcome(of(HOLES), 148, "pCi/L").proven is True


# ---------------------------------------------------------------- the first test


@pytest.mark.parametrize(("day", "sure"), [("2026-03-14", False), ("2026-03-15", None), ("2026-03-16", True)])
def test_a_day_without_its_hour_leaves_a_day_open_between_fan_and_test(day: str, sure: bool | None) -> None:
    found = calculated(START + radon_read("1 pCi/L", day, "2026-03-20"))
    (finding,) = (f for f in found.findings if f.requirement.name == "test no sooner than a day")
    assert finding.verdict == ("not met" if sure is False else "met")
    assert finding.holds_over_tolerance is (sure is True)


def test_a_test_before_the_fan_says_nothing_of_it() -> None:
    assert proving.wait_for_test(of(START + radon_read("9 pCi/L", "2026-01-02", "2026-01-04"))) is None


def test_what_the_test_itself_says_of_the_fan_stands_before_its_day() -> None:
    ran = radon_read("1 pCi/L", "2026-03-14", "2026-03-17") + 'fan = "running"\nfan_before = "30 h"\n'
    wait = proving.wait_for_test(of(START + ran))
    assert wait
    assert wait.value == 30 * 3600
    stood = radon_read("9 pCi/L", "2026-05-01", "2026-05-03") + 'fan = "off"\n'
    assert proving.outcome(of(START + ran + stood), 148, "pCi/L").high is False


def test_the_monitor_may_say_when_the_fan_was_started() -> None:
    house = of("[monitor]\nfan_start = 2026-03-14T10:30:00\n" + radon_read("1 pCi/L"))
    assert proving.fan_start(house) == date(2026, 3, 14)
    assert proving.has_system(house)
    assert len(proving.tests_after(house)) == 1


# ---------------------------------------------------------------- due dates


def test_due_dates_are_counted_from_the_record_and_not_from_today() -> None:
    found = proving.due(of(START + radon_read("1 pCi/L")))
    by_source = {one.retest.source.key: one for one in found if one.retest.what == "radon test"}
    assert by_source["aarst-mah-2019"].on == date(2028, 3, 18)
    assert by_source["il-code-422"].on == date(2028, 3, 18)
    assert by_source["norway-ibe-11"].on == date(2031, 3, 18)
    (yearly,) = (one for one in found if one.retest.what != "radon test")
    assert yearly.on == date(2027, 3, 14)
    assert found[0] is yearly


def test_without_a_system_the_longer_interval_holds() -> None:
    (one,) = proving.due(of(radon_read("1 pCi/L")))
    assert (one.retest.source.key, one.retest.years, one.on) == ("aarst-mah-2019", 5, date(2031, 3, 18))


def test_an_inspection_moves_the_next_one_on() -> None:
    text = START + '[[commissioning]]\nitem = "yearly inspection"\non = 2027-05-02\n'
    (yearly,) = (one for one in proving.due(of(text)) if one.retest.what != "radon test")
    assert yearly.on == date(2028, 5, 2)


def test_the_last_of_february_comes_back_as_its_28th() -> None:
    assert proving.years_after(date(2024, 2, 29), 2) == date(2026, 2, 28)
    assert proving.years_after(date(2024, 2, 29), 4) == date(2028, 2, 29)


def test_the_check_of_a_house_ends_with_what_is_due(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record = tmp_path / "house.toml"
    record.write_text(START + radon_read("1 pCi/L"), encoding="utf-8")
    main(["check", str(record)])
    said = [line for line in capsys.readouterr().out.splitlines() if line.startswith("due: ")]
    assert said[0].startswith("due: inspection of fan, pipe, seals and suction under the slab, by 2027-03-14")
    assert any(line.startswith("due: radon test, by 2028-03-18 (ANSI/AARST") for line in said)


def test_a_day_that_the_record_lacks_is_said() -> None:
    assert "the record has no day of the last test" in read(told.dates(calculated(START)))


# ---------------------------------------------------------------- the gauge


def mark(gauge: str = "1.1 inWC ± 0.05 inWC") -> str:
    return item("gauge mark") + f'gauge = "{gauge}"\n'


def later(gauge: str, on: str = "2026-09-01") -> str:
    return f'[[reading]]\non = {on}\ngauge = "{gauge}"\n'


@pytest.mark.parametrize(
    ("gauge", "moved"),
    [
        ("1.05 inWC ± 0.05 inWC", "stays"),
        ("1.2 inWC ± 0.04 inWC", "rises"),
        ("0.95 inWC ± 0.05 inWC", "falls"),
        ("0.98 inWC", "falls"),
        ("1.04 inWC", "stays"),
    ],
)
def test_the_gauge_has_moved_when_it_left_its_mark_by_more_than_both_readings_may_be_off(
    gauge: str, moved: str
) -> None:
    (drift,) = proving.drifts(of(mark() + later(gauge)))
    assert drift.moved == moved


def test_the_last_reading_by_its_date_decides_wherever_it_stands_in_the_file() -> None:
    text = mark() + later("0.8 inWC", "2027-01-01") + later("1.1 inWC", "2026-06-01")
    assert [drift.moved for drift in proving.drifts(of(text))] == ["stays", "falls"]


def alder(*more: str) -> House:
    """Alder Court with other readings of its gauge."""
    text = (HOUSES / "alder-court.toml").read_text(encoding="utf-8")
    text = re.sub(r"\[\[reading\]\]\n(?:[a-z]+ = .*\n)+", "", text)
    return of(text + "\n" + "".join(more))


@pytest.mark.parametrize(
    ("gauge", "fits", "fits_not"),
    [
        ("0.9 inWC", "joint cracked", "soil three times as tight"),
        ("1.5 inWC", "soil three times as tight", "joint cracked"),
        ("0 inWC", "fan stopped", "soil three times as tight"),
    ],
)
def test_the_faults_that_are_named_move_this_houses_gauge_as_it_moved(gauge: str, fits: str, fits_not: str) -> None:
    said = read(told.gauge(calculate(alder(later(gauge)), "commissioning")))
    assert fits in said
    assert fits_not not in said


def test_a_gauge_at_its_mark_is_no_alarm_and_says_nothing_of_radon() -> None:
    said = read(told.gauge(calculate(alder(later("1.1 inWC")), "commissioning")))
    assert "no alarm" in said
    assert "nothing of radon" in said


# ---------------------------------------------------------------- the display

CUMULATIVE = (
    '[[display]]\nkind = "cumulative"\nsince = 2026-01-13T09:00:00\n'
    'reading = [{ on = 2026-03-14T09:00:00, shows = "8.0 pCi/L" }, { on = 2026-04-03T09:00:00, shows = "%s" }]\n'
)


def test_the_display_of_a_record_is_unmixed_with_its_rounding() -> None:
    found = calculated(CUMULATIVE % "6.2 pCi/L")
    assert found.run.values["mean_between"] / 37 == pytest.approx(0.8, rel=1e-9)
    assert found.run.values["mean_error"] / 37 == pytest.approx(0.35, rel=1e-9)  # the step is read off the digits
    said = read(told.display(found))
    assert "0.8 pCi/L" in said
    assert "0.35 pCi/L" in said


def test_a_display_that_only_rounding_moved_is_said_to_show_no_more_than_a_bound() -> None:
    text = (CUMULATIVE % "7.9 pCi/L").replace("2026-01-13", "2025-03-19").replace("2026-04-03", "2026-03-19")
    said = read(told.display(calculated(text)))
    assert "smaller than what the rounding" in said
    assert "at most" in said
    assert "So the mean" not in said


def test_displays_that_contradict_each_other_are_said_to() -> None:
    assert "contradict each other" in read(told.display(calculated(CUMULATIVE % "1.0 pCi/L")))


def test_days_without_hours_leave_the_mean_wider() -> None:
    by_hour = calculated(CUMULATIVE % "6.2 pCi/L").run
    by_day = calculated((CUMULATIVE % "6.2 pCi/L").replace("T09:00:00", "")).run
    assert by_hour.spread("mean_between") is None
    low, high = by_day.spread("mean_between") or (0.0, 0.0)
    assert low / 37 < 0.6
    assert high / 37 > 1.0


def test_the_display_passes_the_level_on_the_day_that_is_said() -> None:
    said = read(told.display(calculated(CUMULATIVE % "6.2 pCi/L")))
    # (60 d x 8.0 + t x 0.8) / (60 d + t) = 4 after 75 d.
    assert "on 2026-05-28" in said
    early, late = re.findall(r"from (\S+) to (\S+)\.", said)[0]
    assert early < "2026-05-28" < late


def test_each_kind_of_display_is_worked_by_its_own_formula() -> None:
    rolling = (
        (CUMULATIVE % "6.8 pCi/L")
        .replace('"cumulative"', '"rolling"')
        .replace("since = 2026-01-13T09:00:00", 'window = "30 d"')
    )
    fading = (
        (CUMULATIVE % "6.8 pCi/L")
        .replace('"cumulative"', '"exponential"')
        .replace("since = 2026-01-13T09:00:00", 'time_constant = "20 d"')
    )
    # 8.0 - 1.2 x 30/20 = 6.2; (6.8 - 8.0/e)/(1 - 1/e) = 6.10163
    for text, mean in ((rolling, 6.2), (fading, 6.10163)):
        found = calculated(text)
        assert found.run.values["mean_between"] / 37 == pytest.approx(mean, rel=1e-5)
        assert not pictures(found), "a drawing of the mean since the start would be wrong here"


def test_what_a_display_lacks_is_named() -> None:
    found = calculated((CUMULATIVE % "6.2 pCi/L").replace("since = 2026-01-13T09:00:00\n", ""))
    assert found.missing["time_before"] == "display.since"
    nothing = calculated("").missing
    assert "time_before" not in nothing, "a house need not have such a display"
    assert nothing["gauge_later"] == "reading"
    assert nothing["gauge_mark"] == "a commissioning entry of the gauge mark"


# ---------------------------------------------------------------- good suction, bad radon


@pytest.mark.parametrize(
    ("reading", "holes", "begins"),
    [
        ("7 pCi/L", HOLES, "The suction is proven and radon is still high"),
        ("7 pCi/L", HOLES.replace("6 Pa", "2 Pa"), "Radon is still high and the suction is not proven"),
        ("1 pCi/L", HOLES, "The latest test is below the level"),
        ("4.0 pCi/L", HOLES, "The suction is proven and radon is still high"),
    ],
)
def test_suction_and_radon_together_say_where_to_look(reading: str, holes: str, begins: str) -> None:
    assert read(told.stays_high(calculated(holes + START + radon_read(reading)))).startswith(begins)


def test_without_a_test_after_the_fan_nothing_is_said_of_radon() -> None:
    said = read(told.stays_high(calculated(HOLES + START + radon_read("7 pCi/L", "2026-01-01", "2026-01-03"))))
    assert said.startswith("Not known yet")


def test_the_record_rules_out_what_it_says_is_not_there() -> None:
    text = (
        '[foundation]\nkind = "basement"\n' + START + radon_read("7 pCi/L", "2026-03-14", "2026-03-14")
        + item("discharge", "not in order") + item("pipe joints above the fan")
        + '[[other_source]]\nsource = "well water"\nfound = "none here"\n'
        + '[[other_source]]\nsource = "block walls"\nfound = "yes"\non = 2026-04-01\n'
    )  # fmt: skip
    stands = {one.source.name: one.verdict for one in proving.standings(of(text))}
    assert stands["crawl space"] == "ruled out"
    assert stands["well water"] == "ruled out"
    assert stands["block walls"] == "found"
    assert stands["exhaust drawn back in"] == "found"
    assert stands["fan side of the pipe"] == "less likely"
    assert stands["building materials"] == "open"
    assert stands["the test itself"] == "open"  # the same day leaves a whole day open


def test_a_crawl_space_is_not_ruled_out_where_there_may_be_one() -> None:
    for kind in ("crawl space", "mixed"):
        stands = {one.source.name: one.verdict for one in proving.standings(of(f'[foundation]\nkind = "{kind}"\n'))}
        assert stands["crawl space"] == "open"


def test_what_the_water_brings_is_worked_from_its_sample() -> None:
    text = '[[other_source]]\nsource = "well water"\nfound = "yes"\nconcentration = "12,000 pCi/L"\n'
    found = calculated(text)
    assert found.run.values["water_radon_rise"] / 37 == pytest.approx(1.2, rel=1e-9)
    assert "1.2 pCi/L" in read(told.stays_high(found))


def test_every_other_source_says_what_tells_it_apart_and_where_it_is_described() -> None:
    sources = proving.other_sources()
    assert len(sources) >= 10
    assert len({source.tells for source in sources}) == len(sources)
    for source in sources:
        assert source.source.key or source.source.place


# ---------------------------------------------------------------- the two houses, report and panels


@pytest.fixture(params=["alder-court", "kestrel-lane"])
def path(request: pytest.FixtureRequest) -> Path:
    return HOUSES / f"{request.param}.toml"


def test_a_house_is_told_the_same_twice_and_without_a_fault(path: Path) -> None:
    def once() -> str:
        found = calculate(read_house(path), "commissioning")
        assert not found.run.refused
        return "".join(read(piece.blocks(found)) for piece in told.TOLD)

    assert once() == once()


def test_the_houses_list_agrees_with_their_proof(path: Path) -> None:
    house = read_house(path)
    mark = proving.gauge_mark(house)
    if mark:
        assert house.proof
        assert house.proof.gauge_suction
        assert mark.suction.value == house.proof.gauge_suction.value
        assert mark.on == house.proof.on
    assert all(entry.on for entry in house.commissioning)


def test_alder_court_has_something_open_and_kestrel_lane_has_hardly_begun() -> None:
    def still_open(name: str) -> int:
        said = proving.words(read_house(HOUSES / f"{name}.toml"))
        return len(set(proving.asked()) - set(said))

    assert 1 <= still_open("alder-court") <= 2
    assert still_open("kestrel-lane") > 5


def test_the_panel_says_when_rounding_is_more_than_the_answer() -> None:
    panel = book("commissioning", HOUSES / "alder-court.toml").panel(1)
    assert "it was at most" in repr(panel)
    panel.values = {**panel.values, "time_before": 360 * DAY, "time_after": 365 * DAY, "display_after": 8.1 * 37}
    assert "less than its own rounding" in repr(panel)
    panel.values = {**panel.values, "display_after": 2 * 37.0}
    assert "contradict each other" in repr(panel)


def test_the_panel_refuses_a_level_below_the_one_that_stays() -> None:
    panel = book("commissioning", HOUSES / "alder-court.toml").panel(2)
    panel.values = {**panel.values, "new_level": 5 * 37.0}
    assert "where every display settles" in panel.face["fault"]


def test_alder_courts_display_unmixes_to_the_mean_of_its_monitors_own_hours() -> None:
    hours = pd.read_csv(HOUSES / "alder-court-monitor.csv")
    time = pd.to_datetime(hours["Time"], format="%m/%d/%Y %I:%M %p")
    radon = pd.to_numeric(hours["Radon (pCi/L)"], errors="coerce")
    between = radon[(time > "2026-03-14 09:00") & (time <= "2026-04-03 09:00")].mean()
    values = calculate(read_house(HOUSES / "alder-court.toml"), "commissioning").run.values
    assert abs(values["mean_between"] / 37 - between) <= values["mean_error"] / 37
    for day, shown in (("2026-03-14 09:00", 8.2), ("2026-04-03 09:00", 6.4)):
        assert radon[(time > "2026-01-10 09:00") & (time <= day)].mean() == pytest.approx(shown, abs=0.05)
