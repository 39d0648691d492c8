"""Radon tests as a topic: the two houses from record to finding, the drawings, the panels, the pieces of the report."""

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from radonwork.drawings.catalogue import Undrawn, drawings, pictures
from radonwork.drawings.radon_bars import DOSE, GROWTH, RISK, STEADY
from radonwork.drawings.shapes import Drawing
from radonwork.drawings.test_strip import PAIR, HouseTests
from radonwork.files import DATA
from radonwork.glossary import term
from radonwork.house.calculations import Calculation, calculate
from radonwork.house.record import House, parse_house, read_house
from radonwork.report.document import document
from radonwork.report.told import told
from radonwork.requirements.rules import requirements_of
from radonwork.units import decimal
from radonwork.workbook import book
from radonwork.workbook.panel import Panel
from tests.small_records import verdicts

ALDER, KESTREL = DATA / "houses" / "alder-court.toml", DATA / "houses" / "kestrel-lane.toml"
PCI = 37.0
NAMES = ("tests", "next", "levels", "clauses", "risk")


@pytest.fixture(scope="module")
def alder() -> Calculation:
    return calculate(read_house(ALDER), "tests")


@pytest.fixture(scope="module")
def kestrel() -> Calculation:
    return calculate(read_house(KESTREL), "tests")


def piece(name: str, path: Path = ALDER) -> str:
    return repr(book("tests", path).told(name))


# ---------------------------------------------------------------- the two houses


def test_alder_courts_pair_is_accepted_and_its_long_test_decides(alder: Calculation) -> None:
    values = alder.run.values
    assert values["relative_difference"] == pytest.approx(1.0 / 9.6)  # 10.1 and 9.1 pCi/L
    assert values["pair_mean"] == pytest.approx(9.6 * PCI)
    assert values["reported_result"] == pytest.approx(8.2 * PCI)
    assert not alder.missing
    assert not alder.run.refused
    found = verdicts(alder)
    assert found["radon below the level"] == "not met"
    assert found["pair at or above 4 pCi/L"] == "met"
    assert found["pair below 4 pCi/L"] == "does not apply"
    assert found["fan runs before a short test"] == "met"
    assert "Test 4, with the system running, reads 0.6 pCi/L: below 4 pCi/L" in piece("next")
    assert "cannot be judged" not in found.values()


def test_kestrel_lane_has_one_test_and_no_decision_yet(kestrel: Calculation) -> None:
    values = kestrel.run.values
    assert values["reported_result"] == 340
    assert "pair_mean" not in values
    assert not kestrel.missing  # a pair is not asked for where none was made
    found = verdicts(kestrel)
    assert found["two results before a decision"] == "not met"
    assert found["closed before a short test"] == "does not apply"  # it ran a week
    assert "decides nothing yet" in piece("next", KESTREL)
    assert "house.protocol" in piece("next", KESTREL)


def test_what_is_assumed_of_the_air_is_said_to_be(alder: Calculation) -> None:
    assert {entry.term for entry in alder.assumed} == {
        "equilibrium_factor",
        "hours_indoors",
        "exposure_years",
        "model_spread",
    }
    # By hand: 8.2 x 0.4 / 100 WL, for 7000/170 months.
    assert alder.run.values["working_level"] == pytest.approx(0.0328 * term("working_level").read("1 WL").value)
    months = 0.0328 * 7000 / 170
    assert alder.run.values["yearly_exposure"] == pytest.approx(months * term("yearly_exposure").read("1 WLM").value)
    assert alder.run.values["icrp_dose"] == pytest.approx(0.010 * months)
    assert alder.run.values["unscear_dose"] == pytest.approx(0.0057 * months)


def test_risk_is_read_between_the_printed_lines_of_the_chart(alder: Calculation) -> None:
    # The chart has 120 and 15 in 1000 at 8 pCi/L, 150 and 18 at 10; 8.2 is a tenth of the way.
    assert alder.run.values["smoker_risk"] == pytest.approx(0.123)
    assert alder.run.values["never_smoker_risk"] == pytest.approx(0.0153)


def test_a_house_without_tests_or_level_has_findings_that_cannot_be_judged() -> None:
    found = calculate(House(), "tests")
    assert set(verdicts(found).values()) <= {"cannot be judged", "does not apply"}
    assert found.missing["radon_concentration"] == "test.concentration"
    unlevelled = calculate(parse_house('[[test]]\nconcentration = "2 pCi/L"\n', "x"), "tests")
    assert verdicts(unlevelled)["radon below the level"] == "cannot be judged"
    assert unlevelled.missing["action_level"] == "house.level"


def test_a_level_from_memory_is_shown_and_decides_nothing() -> None:
    record = '[house]\nlevel = "Germany"\n[[test]]\nconcentration = "100 Bq/m3"\nkind = "long-term"\n'
    found = calculate(parse_house(record, "x"), "tests")
    by_name = {finding.requirement.name: finding for finding in found.findings}
    remembered = by_name["radon below a level known from memory"]
    assert remembered.verdict == "cannot be judged"
    assert "inside a limit known only from memory" in remembered.reason
    assert by_name["radon below the level"].verdict == "cannot be judged"


def test_tolerances_of_a_result_are_carried_to_the_verdict() -> None:
    record = '[house]\nlevel = "USA"\n[[test]]\nconcentration = "3.9 pCi/L ± 0.4 pCi/L"\nkind = "long-term"\n'
    found = calculate(parse_house(record, "x"), "tests")
    finding = next(f for f in found.findings if f.requirement.name == "radon below the level")
    assert finding.verdict == "met"
    assert finding.holds_over_tolerance is False


@pytest.mark.parametrize("text", ["0 pCi/L", "0.3 pCi/L", "0.5 pCi/L", "30 pCi/L", "150 pCi/L"])
def test_outside_the_chart_no_risk_is_read_from_it_nor_drawn(text: str) -> None:
    found = calculate(parse_house(f'[[test]]\nconcentration = "{text}"\nkind = "long-term"\n', "x"), "tests")
    assert "smoker_risk" in found.run.refused
    (risk,) = (one for one in told("tests") if one.name == "risk")
    assert "from 1.25 pCi/L to 20 pCi/L only" in str(risk.blocks(found))
    assert RISK.title not in {picture.title for picture in pictures(found)}
    assert Undrawn(RISK.title) in drawings(found)  # and a report says so
    assert f"Not drawn: {RISK.title}" in str(document(found.house, [found], {"tests": drawings(found)}))


def test_every_rule_has_its_source_and_place() -> None:
    for rule in requirements_of("tests"):
        assert rule.source.place
        assert rule.source.key or rule.source.kind == "from memory, unverified"


# ---------------------------------------------------------------- pieces of the report


@pytest.mark.parametrize("path", [ALDER, KESTREL], ids=lambda path: path.stem)
@pytest.mark.parametrize("name", NAMES)
def test_each_piece_has_something_to_say_of_both_houses(name: str, path: Path) -> None:
    assert len(piece(name, path)) > 100


def test_each_next_step_is_followed_by_the_works_it_comes_from() -> None:
    steps = re.split(r"(?<=\.) (?=[A-Z])", piece("next"))
    assert sum(step.startswith("By: ") for step in steps) == 3


def test_smokers_and_people_who_never_smoked_stand_side_by_side_with_the_spread_of_models() -> None:
    text = piece("risk")
    for printed in (
        "123 in 1000; another model may give 55.9 in 1000 to 271 in 1000",
        "15.3 in 1000; another model may give 6.95 in 1000 to 33.7 in 1000",
        "29.8 in 1000 to 65.5 in 1000",  # 2.98 to 6.55 % printed
        "1.9 in 1000 to 4.2 in 1000",
        "1.8555 times (ever smoked)",  # row 301-400 of the Canadian table
        "3.0583 times",
        "1.33 times, 95 % 1 to 1.85",  # 1 + 3.034 x 0.11 and 0.28
        "15,400 or 21,800",
        "3,000 to 33,000",
        "78 to 86 %",
    ):
        assert printed in text, printed
    assert "safe" not in text


def test_the_levels_show_both_units_their_date_and_how_they_were_read() -> None:
    text = piece("levels")
    assert "USA (this record) action level 4 pCi/L = 148 Bq/m³" in text
    assert "2013/59/Euratom art. 74, 2013" in text
    assert text.count("known only from memory; decides nothing") == 4


# ---------------------------------------------------------------- drawings


@pytest.mark.parametrize("path", [ALDER, KESTREL], ids=lambda path: path.stem)
def test_the_strip_of_a_house_shows_every_test_and_its_level(path: Path) -> None:
    house = read_house(path)
    calculation = calculate(house, "tests")
    strip = HouseTests(house)
    svg = strip.svg(calculation.run.values, house.system)
    ElementTree.fromstring(svg)
    for test in house.test:
        assert test.concentration
        unit = term("radon_concentration").unit(house.system)
        assert f">{decimal(test.concentration.value, unit)}<" in svg
    assert house.house
    assert house.house.level
    assert f"the level: {house.house.level.name}" in svg
    assert {picture.title for picture in pictures(calculation)} == {strip.title, RISK.title}


def test_text_of_a_record_is_escaped_in_the_strip() -> None:
    pair = 'pair = "<b>"\nconcentration = "5 pCi/L"\n'
    house = parse_house(f"[[test]]\n{pair}\n[[test]]\n{pair}", "x")
    svg = HouseTests(house).svg(calculate(house, "tests").run.values)
    ElementTree.fromstring(svg)
    assert "<b>" not in svg


def drawn(drawing: Drawing, **given: str) -> ElementTree.Element:
    values = {name: term(name).read(text).value for name, text in given.items()}
    for formula in drawing.formulas:
        values |= {name: quantity.value for name, quantity in formula.defaults.items() if name not in values}
        values |= {name: term(name).si_range[0] for name in formula.takes if name.endswith("half_life")}
        values[formula.result] = float(formula(**{name: values[name] for name in formula.takes}))
    return ElementTree.fromstring(drawing.svg(values))


def widths(svg: ElementTree.Element, upright: bool = False) -> list[float]:
    """Length of each bar on the paper, in painting order."""
    found = []
    for shape in svg.iter("{http://www.w3.org/2000/svg}polygon"):
        places = [tuple(map(float, point.split(","))) for point in shape.attrib["points"].split()]
        along = [place[1 if upright else 0] for place in places]
        found.append(max(along) - min(along))
    return found


def test_bars_of_a_pair_are_as_long_as_their_results() -> None:
    _band, first, second, mean = widths(
        drawn(PAIR, first_result="10 pCi/L", second_result="8 pCi/L", action_level="4 pCi/L")
    )
    assert second / first == pytest.approx(0.8, abs=1e-3)
    assert mean / first == pytest.approx(0.9, abs=1e-3)


def test_the_pale_band_is_as_wide_as_the_limit_allows() -> None:
    band, first, *_ = widths(drawn(PAIR, first_result="10 pCi/L", second_result="8 pCi/L", action_level="4 pCi/L"))
    assert band / first == pytest.approx(0.36 * 9 / 10, abs=1e-3)  # 36 % of the mean
    band, first, *_ = widths(drawn(PAIR, first_result="3 pCi/L", second_result="2 pCi/L", action_level="4 pCi/L"))
    assert band / first == pytest.approx(0.67 * 2.5 / 3, abs=1e-3)


def test_bars_of_dose_and_risk_are_as_long_as_their_values() -> None:
    air = {
        "radon_concentration": "4 pCi/L",
        "equilibrium_factor": "0.4",
        "hours_indoors": "7000 h",
        "exposure_years": "30",
    }
    icrp, unscear = widths(drawn(DOSE, **air))
    assert unscear / icrp == pytest.approx(0.57, abs=1e-3)
    smokers, others = widths(drawn(RISK, radon_concentration="4 pCi/L"))
    assert others / smokers == pytest.approx(7 / 62, abs=1e-3)


def test_columns_of_decay_products_are_as_high_as_their_activities() -> None:
    radon, *products = widths(drawn(GROWTH, radon_at_start="10 pCi/L", air_age="3.1 min"), upright=True)
    assert products[0] / radon == pytest.approx(0.5, abs=2e-3)  # one half-life of polonium-218
    radon, *products = widths(drawn(STEADY, air_change_rate="0 1/h", plateout_rate="0 1/h"), upright=True)
    assert products == pytest.approx([radon] * 3)


# ---------------------------------------------------------------- panels


def panel(number: int, path: Path = ALDER) -> Panel:
    return book("tests", path).panel(number)


def test_the_panel_of_a_pair_says_what_the_protocol_says() -> None:
    pair = panel(1)
    assert "differ by 10.42 % of their mean, 9.6 pCi/L" in repr(pair)
    assert "above the level of 4 pCi/L" in repr(pair)
    pair.type("first_result", "4.4 pCi/L")
    pair.type("second_result", "3.5 pCi/L")
    assert "3.95 pCi/L, which is reported as 4 pCi/L: at the level" in repr(pair)
    pair.type("first_result", "6 pCi/L")
    pair.type("second_result", "4 pCi/L")
    assert "not met" in pair.findings  # 40 % of the mean


def test_the_panel_of_exposure_names_the_source_of_each_dose() -> None:
    exposure = panel(2)
    exposure.type("radon_concentration", "4 pCi/L")
    exposure.type("hours_indoors", "8500 h")
    assert "0.8 WLM in a year: 8 mSv by the coefficient of ICRP 137, 4.56 mSv by that of UNSCEAR" in repr(exposure)


def test_the_panel_of_risk_reads_the_chart_and_nothing_beyond_it() -> None:
    risk = panel(3)
    risk.type("radon_concentration", "4 pCi/L")
    assert "62 in 1000 of current smokers" in repr(risk)
    risk.type("radon_concentration", "22 pCi/L")
    assert "1.25 pCi/L to 20 pCi/L" in risk.face["fault"]


def test_airing_lowers_the_equilibrium_factor_in_the_panel() -> None:
    steady = panel(5)
    steady.type("plateout_rate", "0 1/h")
    factors = []
    for rate in ("0.1 1/h", "0.5 1/h", "2 1/h"):
        steady.type("air_change_rate", rate)
        factors.append(steady.run().values["steady_factor"])
    assert factors == sorted(factors, reverse=True)


def test_every_panel_runs_in_the_page() -> None:
    for number in range(1, 6):
        for path in (ALDER, KESTREL):
            assert panel(number, path)._live
