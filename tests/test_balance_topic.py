"""The radon balance as a topic: the two houses from record to finding, what is missing, panels, drawings, what is told."""

import re
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from radonwork.drawings.catalogue import pictures
from radonwork.drawings.house_air import CLEARING, COMPARED, PRESSURES, WINDOW
from radonwork.files import DATA
from radonwork.house.balance import level_before
from radonwork.house.calculations import Calculation, calculate
from radonwork.house.faults import RecordError
from radonwork.house.record import House, parse_house, read_house
from radonwork.report.told import told
from radonwork.requirements.rules import requirements_of
from radonwork.units import decimal
from radonwork.workbook import book
from radonwork.workbook.panes import panes
from tests.small_records import verdicts

HOUSES = DATA / "houses"
ALDER, KESTREL = HOUSES / "alder-court.toml", HOUSES / "kestrel-lane.toml"
HOUR = 3600.0


@pytest.fixture(scope="module")
def alder() -> Calculation:
    return calculate(read_house(ALDER), "balance")


@pytest.fixture(scope="module")
def kestrel() -> Calculation:
    return calculate(read_house(KESTREL), "balance")


def house(text: str) -> House:
    return parse_house(text, "house.toml")


def words(found: Calculation, name: str) -> str:
    """What one told piece says, as plain text."""
    (piece,) = (piece for piece in told("balance") if piece.name == name)
    return repr(piece.blocks(found))


# ---------------------------------------------------------------- the two houses


def test_the_level_is_that_of_the_long_test_or_else_the_mean_of_the_short_ones() -> None:
    (long,) = level_before(read_house(ALDER))
    assert long.value.startswith("8.2 pCi/L")
    assert "long-term" in long.because
    (short,) = level_before(
        house('[[test]]\nconcentration = "300 Bq/m3 ± 30 Bq/m3"\n[[test]]\nconcentration = "400 Bq/m3"\n')
    )
    assert short.value == "350 Bq/m3 ± 80 Bq/m3"  # as far as the lowest and the highest that was stated
    assert "mean of 2 short-term tests" in short.because
    assert level_before(house('[house]\nname = "none"\n')) == ()


def test_a_test_with_the_fan_running_is_not_the_level_before_it() -> None:
    text = (
        '[[test]]\nconcentration = "300 Bq/m3"\nstart = 2024-01-05\n'
        '[[test]]\nconcentration = "20 Bq/m3"\nstart = 2024-03-05\n'
        '[[commissioning]]\nitem = "fan start"\non = 2024-02-01\n'
    )
    (before,) = level_before(house(text))
    assert before.value == "300 Bq/m3"
    (before,) = level_before(house(text.partition("[[commissioning]]")[0] + 'fan = "running"\n'))
    assert before.value == "300 Bq/m3"


def test_the_entry_of_each_house_gives_back_its_level_when_the_balance_is_integrated(
    alder: Calculation, kestrel: Calculation
) -> None:
    for found in (alder, kestrel):
        v = found.run.values
        decay = v["radon_decay_constant"]

        def change(_t: float, level: np.ndarray, v=v, decay=decay) -> np.ndarray:  # type: ignore[no-untyped-def]
            return (
                v["entry_rate"] / v["house_volume"]
                + v["air_change_rate"] * (v["outdoor_radon"] - level)
                - decay * level
            )

        end = solve_ivp(change, (0, 40 * v["time_constant"]), [0.0], rtol=1e-10, atol=1e-9).y[0, -1]
        assert end == pytest.approx(v["indoor_radon"], rel=1e-6)


def test_ground_and_slab_as_stated_explain_the_measured_level_within_their_tolerances(alder: Calculation) -> None:
    """The record's figures of the ground are invented to agree with its tests, broadly as such figures are known."""
    low, high = alder.run.spread("expected_radon") or (0.0, 0.0)
    assert low < alder.run.values["indoor_radon"] < high


def test_where_nobody_looked_for_the_crack_the_level_is_worked_and_the_ground_is_missing(kestrel: Calculation) -> None:
    assert "entry_rate" in kestrel.run.values
    assert "expected_radon" not in kestrel.run.values
    assert {"ground.soil_permeability", "ground.crack_width"} <= set(kestrel.missing.values())
    assert not kestrel.run.refused


def test_a_stated_entry_resistance_stands_before_the_crack() -> None:
    text = KESTREL.read_text().replace("[ground]", '[ground]\nentry_resistance = "20000 Pa s/m3"')
    found = calculate(house(text), "balance")
    assert not found.missing
    assert found.run.values["soil_gas_flow"] == pytest.approx(found.run.values["stack_suction"] / 20000)


def test_suction_beats_more_air_in_both_houses_and_never_brings_less_than_the_outdoors_leaves(
    alder: Calculation, kestrel: Calculation
) -> None:
    for found in (alder, kestrel):
        v = found.run.values
        outdoors = v["outdoor_radon"] * v["air_change_rate"] / v["clearing_rate"]
        assert outdoors < v["treated_ventilated_radon"] < v["treated_radon"] < v["ventilated_radon"] < v["indoor_radon"]
        assert v["equal_more_air"] > 10
        assert v["equal_more_air"] == pytest.approx(v["equal_air_change"] / v["air_change_rate"])


def test_what_the_test_reads_is_the_mean_of_the_integrated_fall(kestrel: Calculation) -> None:
    v = kestrel.run.values
    start, length = v["waiting_time"], v["test_length"]

    def level(t: float) -> float:
        return float(v["treated_radon"] + (v["indoor_radon"] - v["treated_radon"]) * np.exp(-t / v["time_constant"]))

    mean = quad(level, start, start + length)[0] / length
    assert v["read_radon"] == pytest.approx(mean)
    assert v["reading_excess"] == pytest.approx(mean / v["treated_radon"] - 1)


# ---------------------------------------------------------------- rules


def test_a_day_is_enough_for_the_airy_house_and_hangs_in_the_balance_for_the_tight_one(
    alder: Calculation, kestrel: Calculation
) -> None:
    name = "planned wait, this house"
    assert verdicts(alder)[name] == verdicts(kestrel)[name] == "met"
    found = {f.requirement.name: f for f in (*kestrel.findings,)}[name]
    assert found.holds_over_tolerance is False
    assert {f.requirement.name: f for f in alder.findings}[name].holds_over_tolerance is True


def test_a_tighter_house_does_not_meet_its_own_wait_though_it_meets_the_standards() -> None:
    text = re.sub(r'air_change = ".*"', 'air_change = "0.06 1/h"', KESTREL.read_text())
    found = calculate(house(text), "balance")
    assert verdicts(found)["planned wait, standard"] == "met"
    assert verdicts(found)["planned wait, this house"] == "not met"
    assert "the house's own wait governs" in words(found, "wait")


def test_a_wait_that_the_record_does_not_state_meets_no_rule() -> None:
    text = "\n".join(line for line in KESTREL.read_text().splitlines() if not line.startswith('wait = "'))
    found = calculate(house(text), "balance")
    assert verdicts(found)["planned wait, standard"] == "cannot be judged"
    assert "needed_wait" in found.run.values


def test_every_rule_of_the_topic_is_judged_or_says_what_is_missing() -> None:
    empty = calculate(house('[house]\nname = "empty"\n'), "balance")
    assert len(empty.findings) == len(requirements_of("balance"))
    assert {finding.verdict for finding in empty.findings} == {"cannot be judged"}
    assert not empty.run.refused


# ---------------------------------------------------------------- the record


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[house_air]\nvolume = "big"', "house_air.volume"),
        ('[house_air]\nair_change = "0.3 m"', "house_air.air_change"),
        ('[house_air]\nair_change = "-0.3 1/h"', "house_air.air_change"),
        ('[house_air]\nair_changes = "0.3 1/h"', "did you mean air_change?"),
        ('[ground]\nradium = "40 Bq"', "ground.radium"),
        ('[ground]\nporosity = true', "ground.porosity"),
        ('[test_after]\nwait = "a day"', "test_after.wait"),
    ],
)  # fmt: skip
def test_a_wrong_field_is_refused_in_one_line_that_names_it(text: str, said: str) -> None:
    with pytest.raises(RecordError) as refusal:
        house(text)
    (line,) = refusal.value.lines
    assert said in line
    assert "line 2" in line


def test_air_changes_are_read_as_people_write_them() -> None:
    for text in ("0.35 1/h", "0.35 ACH", "0.35/h", "8.4 1/d"):
        record = house(f'[house_air]\nair_change = "{text}"')
        assert record.facts()["air_change_rate"].value == pytest.approx(0.35 / HOUR)


def test_soil_without_air_is_refused_and_the_rest_is_still_worked() -> None:
    text = re.sub(r'^water_saturation = ".*"', 'water_saturation = "100 %"', ALDER.read_text(), flags=re.MULTILINE)
    found = calculate(house(text), "balance")
    assert "soil_gas_radon" in found.run.refused
    assert "entry_rate" in found.run.values


# ---------------------------------------------------------------- told


def test_the_parts_of_the_level_add_up_to_it(alder: Calculation, kestrel: Calculation) -> None:
    from radonwork.report.topics.balance import sources

    for found in (alder, kestrel):
        table, _ = sources(found)
        parts = [float(row[1][0].split()[0]) for row in table.rows]  # type: ignore[union-attr]
        unit = "pCi/L" if found.run.system == "us" else "Bq/m3"
        whole = float(decimal(found.run.values["indoor_radon"], unit, 6).split()[0])
        assert sum(parts) == pytest.approx(whole, rel=5e-3)  # each part is rounded to three digits


def test_ventilation_and_suction_stand_side_by_side_and_the_longer_wait_is_named(alder: Calculation) -> None:
    text = words(alder, "side_by_side")
    for name in ("ventilated_radon", "treated_radon", "treated_ventilated_radon"):
        assert decimal(alder.run.values[name], "pCi/L", 3) in text
    wait = words(alder, "wait")
    assert "the standard's wait governs" in wait
    assert decimal(alder.run.values["needed_wait"], "h", 3) in wait


def test_a_house_that_states_nothing_is_told_nothing() -> None:
    empty = calculate(house('[house]\nname = "empty"\n'), "balance")
    for piece in told("balance"):
        assert piece.blocks(empty) == ()


# ---------------------------------------------------------------- drawings and panels


def test_the_drawings_of_both_houses_are_there_and_say_their_numbers(alder: Calculation, kestrel: Calculation) -> None:
    for found in (alder, kestrel):
        drawn = pictures(found)
        assert [picture.title for picture in drawn] == [PRESSURES.title, COMPARED.title, CLEARING.title]
        unit = "pCi/L" if found.run.system == "us" else "Bq/m3"
        assert decimal(found.run.values["read_radon"], unit) in drawn[2].description


def points_of(svg: str, start: str) -> list[tuple[float, float]]:
    """The corners of the first shape whose tag begins so and that has the accent's line."""
    text = next(re.findall(r"points='([^']*)'", tag)[0] for tag in re.findall(r"<[^>]*>", svg) if start in tag)
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in text.split())]


def test_the_drawn_fall_is_the_integrated_one(kestrel: Calculation) -> None:
    v = kestrel.run.values
    svg = CLEARING.svg(v, "metric")
    curve = points_of(svg, "stroke-width='2.5'")
    (_, top), *falling = curve
    floor = max(y for _, y in points_of(svg, "stroke-width='1.2'"))
    after = [(floor - y) / (floor - top) * v["indoor_radon"] for _, y in falling]
    span = 1.04 * max(v["waiting_time"] + v["test_length"], 4 / v["clearing_rate"])
    left, right = falling[0][0], falling[-1][0]
    for (x, _), level in zip(falling, after, strict=True):
        t = (x - left) / (right - left) * span
        there = v["treated_radon"] + (v["indoor_radon"] - v["treated_radon"]) * np.exp(-v["clearing_rate"] * t)
        assert level == pytest.approx(
            there, abs=0.01 * v["indoor_radon"]
        )  # points are written to a hundredth of a pixel


def test_the_drawn_pressures_are_to_scale_with_each_other(alder: Calculation) -> None:
    v = {**alder.run.values, "fan_suction": 8.0, "entry_pressure": 0.0}
    svg = PRESSURES.svg(v, "us")
    inward = points_of(svg, "fill-opacity='0.55'")  # the triangle of the pressure that presses in
    bars = [tag for tag in re.findall(r"<polygon[^>]*>", svg) if "fill-opacity='0.85'" in tag]
    fan = points_of(bars[-1], "polygon")
    house_pull = max(x for x, _ in inward) - min(x for x, _ in inward)
    assert (max(x for x, _ in fan) - min(x for x, _ in fan)) / house_pull == pytest.approx(
        8 / v["stack_suction"], rel=1e-3
    )


def test_every_panel_of_the_topic_answers_in_the_page_for_a_house_of_which_nothing_is_known(tmp_path: Path) -> None:
    record = tmp_path / "empty.toml"
    record.write_text('[house]\nname = "empty"\n')
    shown = book("balance", record)
    for number in range(1, len(panes("balance")) + 1):
        panel = shown.panel(number)
        assert panel.face["fault"] == ""
        assert panel._live
        assert "No result" not in repr(panel)


def test_colder_outdoors_draws_more_and_a_fan_stops_it() -> None:
    panel = book("balance").panel(1)
    before = panel.run().values
    panel.values = {**panel.values, "outdoor_temperature": panel.values["outdoor_temperature"] - 10}
    colder = panel.run().values
    assert colder["soil_gas_flow"] > before["soil_gas_flow"]
    panel.values = {**panel.values, "fan_suction": 12.0}
    stopped = panel.run().values
    assert stopped["soil_gas_flow"] == 0.0
    assert stopped["expected_radon"] < before["expected_radon"]
    assert "no soil gas comes up" in PRESSURES.svg({**panel.values, **stopped}, "us")


def test_a_wait_of_nothing_reads_far_too_high_and_a_long_one_does_not() -> None:
    panel = book("balance", KESTREL).panel(3)
    panel.values = {**panel.values, "waiting_time": 0.0}
    assert panel.run().values["reading_excess"] > 1
    panel.type("waiting_time", "4 d")
    assert panel.run().values["reading_excess"] < 0.01


def test_a_panel_refuses_a_level_that_does_not_fall_in_words() -> None:
    panel = book("balance", KESTREL).panel(3)
    panel.values = {**panel.values, "indoor_radon": 20.0, "treated_radon": 30.0}
    assert "the level falls" in panel.face["fault"]


def test_the_drawing_of_the_window_shows_the_neutral_height_between_half_the_house_and_the_window() -> None:
    panel = book("balance").panel(4)
    for sill in (0.5, 5.5):
        panel.values = {**panel.values, "envelope_height": 6.0, "opening_height": sill, "opening_share": 1.0}
        values = {**panel.values, **panel.run().values}
        assert values["opened_neutral_height"] == pytest.approx((3.0 + sill) / 2)
        assert decimal(values["opened_neutral_height"], "ft") in WINDOW.svg(values, "us")
