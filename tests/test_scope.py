"""What a house has not got is asked no rule about; what its route tells stands before a word; why a value is not known."""

import re
from dataclasses import replace

import pytest

from radonwork.drawings.route_in_space import plan_words
from radonwork.drawings.route_of_house import surroundings
from radonwork.files import DATA
from radonwork.house.calculations import Calculation, calculate, calculations
from radonwork.house.job import topics
from radonwork.house.record import House, parse_house, read_house
from radonwork.house.way import route_remarks, way_of
from radonwork.report import contents
from radonwork.report.blocks import Table
from radonwork.requirements.rules import Finding, judge, requirements_of

ALDER = (DATA / "houses" / "alder-court.toml").read_text(encoding="utf-8")

# A riser outside: no wall, no attic, no roof passed, no offset.
OUTSIDE = """
[house]
system = "metric"
[run]
slope = "15 mm/m"
[run.pipe]
outside_diameter = "110 mm"
wall_thickness = "3.2 mm"
[[run.piece]]
fitting = "entrance, flush and sharp"
place = "basement"
[[run.piece]]
go = "up 1.9 m"
[[run.piece]]
fitting = "90° elbow, regular"
go = "90 east"
[[run.piece]]
go = "east 4 m falling back"
[[run.piece]]
fitting = "90° elbow, regular"
go = "90 up"
place = "outside"
[[run.piece]]
go = "up 5 m"
[[run.piece]]
fitting = "exit"
[outlet]
passes = "outside wall"
height = "5.4 m"
[fan]
after_piece = 6
[site]
"""


def of(text: str) -> House:
    return parse_house(text, "house.toml", DATA / "houses")


def changed(*edits: tuple[str, str]) -> House:
    text = ALDER
    for before, after in edits:
        assert text.count(before) == 1, before
        text = text.replace(before, after)
    return of(text)


def found(house: House, topic: str, name: str) -> Finding:
    return next(one for one in calculate(house, topic).findings if one.requirement.name == name)


# ---------------------------------------------------------------- rules against their own text


def test_a_rule_that_does_not_apply_says_with_what_it_would() -> None:
    for calculation in calculations(of(ALDER)):
        for finding in calculation.findings:
            if finding.verdict == "does not apply":
                assert "with" in finding.reason or "none here" in finding.reason
    pair = found(of(OUTSIDE), "discharge", "level outlet, from openings")
    assert pair.verdict == "cannot be judged"  # nobody says how it points
    level = found(
        changed(('direction = "straight up"', 'direction = "rain cap"')), "discharge", "level outlet, from openings"
    )
    assert level.reason == "it applies with outlet direction: level; here it is rain cap"


def test_an_outlet_high_above_every_opening_meets_the_rule_that_asks_for_one_or_the_other() -> None:
    (rule,) = (one for one in requirements_of("discharge") if one.name == "ten feet from openings of the house")
    foot = 0.3048

    def said(distance: float | None, rise: float | None) -> Finding:
        known = {"opening_distance": distance, "opening_rise": rise}
        return judge(rule, {name: value * foot for name, value in known.items() if value is not None})

    assert said(4, 2).verdict == said(4, 3).verdict == said(10, None).verdict == "met"
    assert said(4, 2).requirement.check.quantity == "opening_rise"
    assert said(4, 1.9).verdict == "not met"
    assert "opening distance is 4 ft" in said(4, 1.9).reason
    assert "nor opening rise is" in said(4, 1.9).reason
    assert said(4, None).verdict == said(None, 1).verdict == "cannot be judged"
    assert "or opening rise at least 2 ft" in rule.asks("us")


def test_wood_before_a_hole_is_asked_for_only_without_shield_plates() -> None:
    assert found(of(ALDER), "bay", "shield plates").verdict == "does not apply"
    bare = ALDER.replace("tie = false\nshield = true", "tie = false\nshield = false")
    assert bare != ALDER
    assert found(of(bare), "bay", "shield plates").verdict == "not met"
    silent = ALDER.replace("tie = false\nshield = true", "tie = false")
    assert found(of(silent), "bay", "shield plates").verdict == "not met"


@pytest.mark.parametrize(("bore", "verdict"), [(3.068, "not met"), (4.03, "does not apply"), (2.05, "does not apply")])
def test_the_figure_for_a_3_in_pipe_is_held_against_a_3_in_pipe_only(bore: float, verdict: str) -> None:
    (rule,) = (one for one in requirements_of("condensate") if one.name == "steep slope at high flow")
    cfm, inch = 0.3048**3 / 60, 0.0254
    assert judge(rule, {"pipe_slope": 0.02, "air_flow": 110 * cfm, "bore": bore * inch}).verdict == verdict


def test_a_limit_in_the_unit_that_is_shown_is_not_said_twice() -> None:
    (rule,) = (one for one in requirements_of("condensate") if one.name == "small plumbing drain")
    assert rule.when[0].text("us").count("2.6 in") == 1
    assert rule.when[0].text("metric") == "bore at most 2.6 in (66.04 mm)"


# ---------------------------------------------------------------- what there is not


def test_a_riser_outside_is_asked_nothing_about_wall_attic_and_roof() -> None:
    house = of(OUTSIDE)
    for topic in ("bay", "insertion", "framing", "roof"):
        one = calculate(house, topic)
        assert {finding.verdict for finding in one.findings} == {"does not apply"}, topic
        assert not one.missing
    for topic, name in (
        ("condensate", "drainage, strictest reading of the physics"), ("discharge", "above the snow"),
        ("air", "velocity in the pipes in the wall, noise"), ("parts", "offset piece keeps a length"),
        ("route", "the route closes"), ("pipes", "pipes side by side, area"),
    ):  # fmt: skip
        assert found(house, topic, name).verdict == "does not apply", name


def test_what_a_record_does_not_tell_is_not_taken_to_be_absent() -> None:
    house = of('[house]\nname = "begun"\n')
    for topic in ("bay", "insertion", "framing", "roof"):
        verdicts = {finding.verdict for finding in calculate(house, topic).findings}
        assert "cannot be judged" in verdicts, topic
    assert found(of(OUTSIDE.replace('place = "basement"\n', "")), "condensate",
                 "drainage, strictest reading of the physics").verdict == "cannot be judged"  # fmt: skip


# ---------------------------------------------------------------- where the fan stands


def site(text: str) -> Calculation:
    return calculate(of(text), "site")


@pytest.mark.parametrize(
    ("after", "word", "verdict", "says"),
    [
        (4, "", "cannot be judged", "does not say"),  # between basement and outside: the route does not tell which
        (3, "", "not met", "after piece 3, in the basement"),
        (3, "attic", "not met", "is said to be: attic, but by the route the fan stands after piece 3, in the basement"),
        (6, "", "met", "after piece 6, outside"),
        (6, "outdoors", "met", "is said to be: outdoors"),
        (6, "basement", "cannot be judged", "is said to be: basement, but by the route"),
    ],
)
def test_the_route_tells_where_the_fan_stands_before_a_word_does(
    after: int, word: str, verdict: str, says: str
) -> None:
    text = OUTSIDE.replace("after_piece = 6", f"after_piece = {after}")
    house = of(text + (f'fan_place = "{word}"\n' if word else ""))
    finding = found(house, "site", "fan outside conditioned space")
    assert (finding.verdict, says in finding.reason) == (verdict, True), finding.reason
    against = [remark for remark in route_remarks(house) if remark.path == "site.fan_place"]
    assert bool(against) == ("but by the route" in says)


@pytest.mark.parametrize(("after", "verdict"), [(3, "not met"), (6, "met")])
def test_pipe_under_pressure_indoors_is_there_whatever_the_word_says(after: int, verdict: str) -> None:
    house = of(OUTSIDE.replace("after_piece = 6", f"after_piece = {after}") + "pressure_pipe_inside = false\n")
    finding = found(house, "site", "no pressure inside the house")
    assert finding.verdict == verdict
    told = [remark.text for remark in route_remarks(house) if remark.path == "site.pressure_pipe_inside"]
    assert told == (
        ["says no, and by the route piece 4 in the basement stands above the fan; correct one"] if after == 3 else []
    )


# ---------------------------------------------------------------- why a value is not known


def test_a_value_out_of_range_is_named_where_a_rule_waits_for_it_and_in_nothing_that_is_missing() -> None:
    house = changed(('pitch = "7/12"', 'pitch = "89.5 deg"'))
    roof = calculate(house, "roof")
    assert roof.run.refused
    hole = found(house, "roof", "rule of thumb for a 3 in pipe")
    assert re.search(r"roof hole diameter is not known: .*roof angle is 89\.5°", hole.reason), hole.reason
    assert "roof angle is 89.5°" in found(house, "discharge", "ten feet above the ground").reason
    fields = calculate(house, "discharge").missing.values()
    assert not [field for field in fields if field == "outlet.height" or field.startswith("opening")]


def test_a_height_that_is_worked_out_is_not_asked_for() -> None:
    house = changed(('outlet_height = "18 in"          # above the roof, on the up-slope side\n', ""))
    missing = set(calculate(house, "discharge").missing.values())
    assert "roof.outlet_height" in missing
    assert not {"outlet.height", "opening, of this house", "opening, of a neighbour"} & missing


def test_an_alternative_of_a_rule_keeps_its_name_and_text() -> None:
    (rule,) = (one for one in requirements_of("discharge") if one.name == "ten feet from openings of the house")
    met = judge(rule, {"opening_distance": 1.0, "opening_rise": 2.0})
    assert replace(met.requirement, check=rule.check, instead=rule.instead) == rule


# ---------------------------------------------------------------- in the units and directions of its reader


def test_what_is_assumed_stands_in_the_units_of_the_house_too() -> None:
    kestrel = read_house(DATA / "houses" / "kestrel-lane.toml")
    (table,) = [block for block in contents.works(calculate(kestrel, "air")) if isinstance(block, Table)]
    taken = {row[1][0] for row in table.rows}
    assert "55 degF (12.78 °C)" in taken
    assert not [value for value in taken if str(value).endswith(("degF", "in2"))], taken


def test_a_place_behind_the_plans_origin_lies_south_and_west_of_it() -> None:
    text = OUTSIDE.replace('go = "90 east"', 'go = "90 south"').replace("east 4 m", "south 800 mm")
    way = way_of(of(text))
    assert way
    said = plan_words(way, surroundings(of(text)))
    assert "to 0 mm east and 800 mm south" in said
    assert "-" not in said


def test_the_suction_that_a_rule_asks_of_the_running_system_is_the_worked_one() -> None:
    house = read_house(DATA / "houses" / "kestrel-lane.toml")
    rules = [rule for topic in topics() for rule in requirements_of(topic) if "742.1210" in str(rule.source)]
    assert [rule.check.quantity for rule in rules if rule.check.quantity != "least_suction"] == ["working_suction"]
    worked = found(house, "air", "suction at the suction point")
    assert worked.value == calculate(house, "air").run.values["working_suction"]
    assert house.suction
    assert house.suction.soil_suction
    assert calculate(house, "air").run.values["soil_suction"] == house.suction.soil_suction.value != worked.value
    without = house.model_copy(update={"fan": None})  # what a blower made is no suction of the system's
    assert found(without, "air", "suction at the suction point").verdict == "cannot be judged"
