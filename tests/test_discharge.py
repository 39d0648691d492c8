"""Leaving through the roof: what the roof hides, held against shapely and straight rays; distances; the two houses."""

import math
import re

import numpy as np
import pytest
from scipy.optimize import brentq
from shapely.geometry import LineString, Point, Polygon

from radonwork.drawings.catalogue import pictures
from radonwork.engine.formula import RangeError
from radonwork.files import DATA
from radonwork.formulas import discharge, roof
from radonwork.house import discharge as outlet
from radonwork.house.calculations import Calculation, calculate
from radonwork.house.record import RecordError, parse_house, read_house
from radonwork.workbook import book

ALDER, KESTREL = DATA / "houses" / "alder-court.toml", DATA / "houses" / "kestrel-lane.toml"

FT, IN = 0.3048, 0.0254
WINDOW, SKYLIGHT = '["-14 ft", "21 ft 6 in"]', 'head = "12 ft 7 in"'  # as the first house has them
PITCH = math.atan(7 / 12)
ALDER_RIDGE = 17 + 8.125 / 12  # ft, above the ground
RIDGE, EAVE, ANGLE, PIPE = 25 * FT, 16 * FT, math.atan(7 / 12), 3.5 * IN
RUN = (RIDGE - EAVE) / math.tan(ANGLE)
# The house cut square to its ridge, which stands over x = 0.
SECTION = Polygon([(-RUN, EAVE), (0, RIDGE), (RUN, EAVE), (RUN, 0), (-RUN, 0)])


def seen(eye: tuple[float, float], point: tuple[float, float]) -> bool:
    """Whether nothing of the house stands between, by shapely."""
    line = LineString([eye, point])
    inside = line.intersection(SECTION)
    return inside.is_empty or inside.length < 1e-7


def highest_hidden(eye: tuple[float, float], side: float) -> float:
    """The height above the roof, at a level place, up to which a point is not seen: halved until it stands."""
    surface = RIDGE - abs(side) * math.tan(ANGLE)
    low, high = 1e-6, 60.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if seen(eye, (side, surface + middle)) else (middle, high)
    return low


# ---------------------------------------------------------------- formulas


def test_over_a_flat_roof_the_outlet_stands_its_own_height_above_the_roof_everywhere() -> None:
    for distance in (1 * FT, 9 * FT):
        over = discharge.outlet_over_ground(
            ridge_height=RIDGE, ridge_distance=distance, pipe_outside_diameter=PIPE, roof_angle=0.0,
            outlet_height_upslope=FT,
        )  # fmt: skip
        assert over == RIDGE + FT
    with pytest.raises(RangeError, match=r"roof angle is 0°; this holds from 1° to 89°"):
        discharge.run_from_heights(ridge_height=RIDGE, eave_height=EAVE, roof_angle=0.0)


@pytest.mark.parametrize("away", [45 * FT, 80 * FT, 400 * FT])
@pytest.mark.parametrize("distance", [3 * FT, 9 * FT])
def test_the_ridge_hides_what_shapely_finds_behind_the_house(away: float, distance: float) -> None:
    eye = 5 * FT
    slope = discharge.sight_over_ridge(ridge_height=RIDGE, eye_height=eye, viewer_ridge_distance=away)
    hidden = discharge.hidden_behind_ridge(
        ridge_distance=distance, pipe_outside_diameter=PIPE, roof_angle=ANGLE, sight_slope=slope
    )
    # The up-slope side of the rim is the first that comes into view.
    sides = (distance - PIPE / 2, distance + PIPE / 2)
    found = highest_hidden((-away, eye), sides[0])
    assert hidden == pytest.approx(found, abs=1e-6)
    other = highest_hidden((-away, eye), sides[1]) - math.tan(ANGLE) * PIPE  # the same rim, from its own roof
    assert other > found


def test_close_by_the_near_eave_hides_more_than_the_ridge_is_said_to() -> None:
    eye, distance, away = 5 * FT, 3 * FT, 30 * FT
    slope = discharge.sight_over_ridge(ridge_height=RIDGE, eye_height=eye, viewer_ridge_distance=away)
    hidden = discharge.hidden_behind_ridge(
        ridge_distance=distance, pipe_outside_diameter=PIPE, roof_angle=ANGLE, sight_slope=slope
    )
    assert highest_hidden((-away, eye), distance - PIPE / 2) > hidden


@pytest.mark.parametrize("away", [2 * FT, 6 * FT])
def test_the_eave_hides_what_shapely_finds_above_the_viewer(away: float) -> None:
    eye, distance = 5 * FT, 11 * FT  # from the ridge
    slope = discharge.sight_over_eave(eave_height=EAVE, eye_height=eye, viewer_eave_distance=away)
    hidden = discharge.hidden_behind_eave(
        eave_distance=RUN - distance, pipe_outside_diameter=PIPE, roof_angle=ANGLE, sight_slope=slope
    )
    assert hidden == pytest.approx(highest_hidden((RUN + away, eye), distance + PIPE / 2), abs=1e-6)
    # By the pipe's up-slope side, from which its height is counted, the margin is the same as by its down-slope side.
    top = 12 * IN
    low = roof.outlet_height_downslope(outlet_height_upslope=top, pipe_outside_diameter=PIPE, roof_angle=ANGLE)
    margin = discharge.sight_margin(hidden_height=hidden, outlet_height_upslope=low)
    rim = RIDGE - (distance - PIPE / 2) * math.tan(ANGLE) + top
    assert seen((RUN + away, eye), (distance + PIPE / 2, rim)) == (margin < 0)


def test_a_viewer_askew_to_the_ridge_sees_what_one_square_to_it_sees() -> None:
    """A ray in three dimensions against the two planes of the roof; only the distances square to the ridge count."""
    distance, away, eye, top = 8 * FT, 60 * FT, 5.5 * FT, 12 * IN
    for along in (-70 * FT, 0.0, 33 * FT):
        start = np.array([-away, along, eye])
        slope = discharge.sight_over_ridge(ridge_height=RIDGE, eye_height=eye, viewer_ridge_distance=away)
        hidden = discharge.hidden_behind_ridge(
            ridge_distance=distance, pipe_outside_diameter=PIPE, roof_angle=ANGLE, sight_slope=slope
        )
        side = distance - PIPE / 2
        for over in (-0.01, 0.01):
            end = np.array([side, 0.0, RIDGE - side * math.tan(ANGLE) + hidden + over])
            ray = start + np.linspace(0, 1, 200_001)[:, np.newaxis] * (end - start)
            above = ray[:, 2] - (RIDGE - np.abs(ray[:, 0]) * math.tan(ANGLE))
            passes = bool(np.all(above[np.abs(ray[:, 0]) < RUN] > -1e-9))
            assert passes == (over > 0), (along, over)
    assert top < hidden


def test_the_pipe_is_hidden_from_just_where_the_formula_says_to_the_eave() -> None:
    top, away, eye = 18 * IN, 70 * FT, 5 * FT
    slope = discharge.sight_over_ridge(ridge_height=RIDGE, eye_height=eye, viewer_ridge_distance=away)
    start = discharge.hidden_from_ridge(
        outlet_height_upslope=top, pipe_outside_diameter=PIPE, roof_angle=ANGLE, sight_slope=slope
    )

    def spare(along: float) -> float:
        return highest_hidden((-away, eye), along * math.cos(ANGLE) - PIPE / 2) - top

    assert start == pytest.approx(brentq(spare, 0.3, 6), abs=1e-6)
    slope_length = math.hypot(RUN, RIDGE - EAVE)
    band = discharge.hidden_band(rafter_run=RUN, roof_angle=ANGLE, hidden_from_ridge=start)
    assert band == pytest.approx(slope_length - start)


def test_the_nearest_point_of_an_opening_is_the_one_shapely_finds() -> None:
    rng = np.random.default_rng(5)
    for level, top, sill, tall in rng.uniform([0, 2, 0, 0.1], [12, 13, 8, 3], (200, 4)):
        window = LineString([(0, sill), (0, sill + tall)])
        found = discharge.opening_distance(
            opening_level_distance=level, outlet_height=top, opening_sill=sill, opening_head=sill + tall
        )
        assert found == pytest.approx(Point(level, top).distance(window), abs=1e-12)
        rise = discharge.opening_rise(outlet_height=top, opening_head=sill + tall)
        assert (rise > 0) == (Point(0, top).distance(window) > 0 and top > sill)


def test_courses_and_snow_are_counted_on_a_drawn_slope() -> None:
    """A slope drawn course by course: what lies between the pipe and the upper edge of the flashing, and below the pipe."""
    exposure, base, offset, pipe_at = 5 * IN, 14 * IN, 1 * IN, 97 * IN
    edges = np.arange(0, 400) * exposure
    reach = discharge.flashing_reach(flashing_base=base, flashing_offset=offset)
    over = int(np.sum((edges > pipe_at) & (edges <= pipe_at + base / 2 + offset)))
    lifted = discharge.lifted_courses(flashing_reach=reach, shingle_exposure=exposure)
    assert over in (math.floor(lifted), math.ceil(lifted))
    course = discharge.outlet_course(eave_slope_distance=pipe_at, shingle_exposure=exposure)
    assert math.floor(course) == int(np.sum(edges <= pipe_at)) - 1
    assert discharge.snow_clearance(outlet_height_upslope=18 * IN, snow_depth=14 * IN) == pytest.approx(4 * IN)


# ---------------------------------------------------------------- the two houses


@pytest.fixture(scope="module")
def alder() -> Calculation:
    return calculate(read_house(ALDER), "discharge")


@pytest.fixture(scope="module")
def kestrel() -> Calculation:
    return calculate(read_house(KESTREL), "discharge")


def verdicts(found: Calculation) -> dict[str, str]:
    return {finding.requirement.name: finding.verdict for finding in found.findings}


def replaced(*pairs: tuple[str, str]) -> Calculation:
    """The first house with pieces of its record written otherwise: (as it stands, as it is to be)."""
    text = ALDER.read_text()
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new)
    return calculate(parse_house(text, "h.toml"), "discharge")


def test_one_house_is_worked_whole_and_the_other_says_what_it_lacks(alder: Calculation, kestrel: Calculation) -> None:
    assert not alder.run.missing
    assert not alder.run.refused
    assert {"roof.snow_depth", "roof.shingle_exposure", "opening, of a neighbour"} <= set(kestrel.missing.values())
    assert verdicts(kestrel)["above the snow"] == "cannot be judged"
    assert verdicts(kestrel)["ten feet from openings of a neighbour"] == "cannot be judged"
    assert verdicts(kestrel)["hidden from the viewpoints"] == "cannot be judged"


def test_the_places_of_the_record_give_what_a_tape_would(alder: Calculation) -> None:
    """Ridge 17 ft 8-1/8 in, 7 in 12, pipe 7 ft 2 in east of it, 18 in above the roof: worked here by hand, in feet."""
    values = alder.run.values
    height = ALDER_RIDGE - (7 + 2 / 12 - 3.5 / 24) * 7 / 12 + 1.5
    assert values["outlet_height"] / FT == pytest.approx(height)
    level = math.dist((19.5, 19.5), (21, 23))  # the near end of the skylight
    assert values["opening_level_distance"] / FT == pytest.approx(level)
    assert values["opening_distance"] / FT == pytest.approx(math.hypot(level, height - (12 + 7 / 12)))
    neighbour = Point(19.5, 19.5).distance(LineString([(-14, 20), (-14, 23)]))
    assert values["neighbour_distance"] / FT == pytest.approx(math.hypot(neighbour, 25 - height))


def test_the_outlet_ends_where_the_route_of_the_same_record_ends(alder: Calculation) -> None:
    """The route counts from the slab, the outlet from the ground; the record says how far the one is above the other."""
    assert alder.house
    assert alder.house.run
    end = alder.house.run.end
    assert end
    assert end.at
    assert end.height
    assert alder.house.outlet
    assert alder.house.outlet.at
    assert alder.house.outlet.at.point == pytest.approx(end.at.point)
    assert alder.run.values["outlet_height"] + (6 + 8 / 12) * FT == pytest.approx(end.height.value, abs=0.5 * IN)


def seen_in_space(eye: np.ndarray, rim: np.ndarray, run: float) -> bool:
    """Whether a straight line of 200,000 points from eye to rim stays clear of the record's roof, its ridge along y."""
    ray = eye + np.linspace(0, 1, 200_001)[:, np.newaxis] * (rim - eye)
    over = np.abs(ray[:, 0] - (12 + 4 / 12) * FT)
    under = (ray[:, 1] > 12 * FT) & (ray[:, 1] < 36 * FT) & (over < run)
    return bool(np.all(ray[under, 2] > ALDER_RIDGE * FT - over[under] * 7 / 12 - 1e-9))


@pytest.mark.parametrize("viewer", [0, 1])
def test_each_viewpoint_of_the_record_sees_what_a_ray_in_space_says(alder: Calculation, viewer: int) -> None:
    """The pipe cut off just below and just above what is said to be hidden from a viewpoint that looks askew."""
    house = alder.house
    assert house
    view = outlet.views(house, alder.run.values["rafter_run"])[viewer]
    spare = float(outlet.margin(view, alder.run.values))
    assert spare > 0
    eye = np.array([*view.at, view.eye])
    near = 19.5 * FT - 3.5 * IN / 2  # the side of the pipe that is nearer the ridge
    roof_there = ALDER_RIDGE * FT - (near - (12 + 4 / 12) * FT) * 7 / 12
    for over in (-0.002, 0.002):
        rim = np.array([near, 19.5 * FT, roof_there + 18 * IN + spare + over])
        assert seen_in_space(eye, rim, alder.run.values["rafter_run"]) == (over > 0)


def test_a_viewpoint_by_the_eave_one_past_the_end_and_one_under_the_roof_are_told_apart(alder: Calculation) -> None:
    house, run = alder.house, alder.run.values["rafter_run"]
    assert house
    places = {
        '["80 ft", "22 ft"]': "the eave",
        '["10 ft", "-60 ft"]': "past the end",
        '["5 ft", "20 ft"]': "under the roof",
        '["-14 ft", "120 ft"]': "past the end",
        '["-14 ft", "90 ft"]': "the ridge",
    }
    for place, over in places.items():
        found = replaced((WINDOW, place)).house
        assert found
        assert outlet.views(found, run)[0].over == over, place


def test_past_the_end_of_the_roof_nothing_hides_the_pipe() -> None:
    found = replaced((WINDOW, '["10 ft", "-60 ft"]'))
    assert found.run.values["sight_margin"] == pytest.approx(-18 * IN)
    assert verdicts(found)["hidden from the viewpoints"] == "not met"


def test_seen_from_the_garden_on_its_own_side_the_pipe_is_seen(alder: Calculation) -> None:
    found = replaced((WINDOW, '["80 ft", "22 ft"]'))
    assert found.run.values["sight_margin"] < 0
    assert verdicts(found)["hidden from the viewpoints"] == "not met"
    assert verdicts(alder)["hidden from the viewpoints"] == "met"


def test_the_tolerance_of_the_place_reaches_the_verdict_on_being_hidden(alder: Calculation) -> None:
    finding = next(f for f in alder.findings if f.requirement.name == "hidden from the viewpoints")
    assert finding.holds_over_tolerance is False
    low, high = alder.run.spread("sight_margin") or (0.0, 0.0)
    slope = (ALDER_RIDGE - (27 + 4 / 12)) / (12 + 4 / 12 + 14)  # of the line of sight, which falls toward the ridge
    each = 2 * IN * (math.tan(PITCH) + slope)  # what two inches of place change
    assert (high - low) / 2 == pytest.approx(
        each, rel=5e-3
    )  # a thousand points of a dozen tolerances, not their corners


@pytest.mark.parametrize(
    ("edits", "rule", "verdict"),
    [
        ([(SKYLIGHT, 'head = "13 ft 4 in"')], "ten feet from openings of the house", "not met"),
        ([(SKYLIGHT, 'head = "13 ft"')], "ten feet from openings of the house", "met"),
        ([('["21 ft", "23 ft"]', '["50 ft", "23 ft"]'), ('["21 ft", "25 ft 6 in"]', '["50 ft", "25 ft"]'),
          (SKYLIGHT, 'head = "20 ft"')],
         "ten feet from openings of the house", "met"),
        ([('["-14 ft", "20 ft"]', '["17 ft", "20 ft"]'), ('["-14 ft", "23 ft"]', '["17 ft", "23 ft"]'),
          ('sill = "25 ft"', 'sill = "10 ft"')], "ten feet from openings of a neighbour", "not met"),
        ([("neighbour_near = true", "neighbour_near = false")], "ten feet from openings of a neighbour", "does not apply"),
        ([('wall_distance = "7 ft 6 in"', 'wall_distance = "4 ft"')],
         "five feet from a wall above the roof", "not met"),
        ([('wall_distance = "7 ft 6 in"', 'wall_distance = "4 ft"'), ('wall_rise = "4 ft"', 'wall_rise = "-1 in"')],
         "five feet from a wall above the roof", "met"),
        ([('"straight up"', '"rain cap"')], "up, without a cap", "not met"),
        ([('"straight up"', '"45° elbow"\naim_distance = "15 ft"')], "aimed at nobody", "not met"),
        ([('"straight up"', '"level"\naim_distance = "25 ft"')], "level outlet, above the ground", "not met"),
        ([('"straight up"', '"level"')], "level outlet, from openings", "not met"),
        ([('"straight up"', '"rain cap"')], "outlet with a cap, from openings", "not met"),
        ([("screen = false", 'screen = true\nscreen_mesh = "1/4 in"')], "screen not too fine", "not met"),
        ([('snow_depth = "14 in"', 'snow_depth = "20 in"')], "above the snow", "not met"),
        ([('at = ["19 ft 6 in ± 2 in", "19 ft 6 in"]', 'at = ["27 ft", "19 ft 6 in"]')], "within the slope", "not met"),
        ([("hidden = true", "hidden = false")], "hidden from the viewpoints", "does not apply"),
    ],
)  # fmt: skip
def test_a_rule_is_judged_as_it_is_printed(edits: list[tuple[str, str]], rule: str, verdict: str) -> None:
    assert verdicts(replaced(*edits))[rule] == verdict


def test_a_limit_from_memory_is_shown_and_never_decides(alder: Calculation) -> None:
    finding = next(f for f in alder.findings if f.requirement.name == "ten feet above the ground, older standard")
    assert finding.verdict == "cannot be judged"
    assert finding.margin


def test_a_pipe_up_an_outside_wall_states_its_height_and_must_end_above_the_eave() -> None:
    for height, verdict in (("9 ft", "not met"), ("10 ft", "met")):
        found = replaced(('passes = "roof"', f'passes = "outside wall"\nheight = "{height}"'))
        assert verdicts(found)["outside pipe above the roof's edge"] == verdict
        assert "sight_margin" not in found.run.values
        assert not found.run.missing


def test_the_opening_that_decides_changes_with_the_height_of_the_outlet(alder: Calculation) -> None:
    """High up the landing window, which reaches highest, has least to spare; lower the near skylight."""
    assert alder.house
    solver = outlet.opening_solver(alder.house)
    assert solver
    found = solver(outlet_height=np.array([30 * FT, 15.08 * FT, 11.6 * FT]))
    assert found["opening_head"] / FT == pytest.approx([16, 12 + 7 / 12, 12 + 7 / 12])
    near = LineString([(21, 23), (21, 25.5)]).distance(Point(19.5, 19.5))
    landing = LineString([(8, 12), (11, 12)]).distance(Point(19.5, 19.5))
    assert found["opening_level_distance"] / FT == pytest.approx([landing, near, near])


# ---------------------------------------------------------------- the record


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('passes = "roof"', 'passes = "roof"\nheight = "20 ft"', "outlet.height: is worked out from the roof; leave it out"),
        ("screen = false", 'screen = false\nscreen_mesh = "1 in"', "outlet.screen_mesh: is written beside screen = false"),
        ("wall_above_roof = true", "wall_above_roof = false", "outlet.wall_distance: is written beside"),
        ('sill = "11 ft 1 in"', 'sill = "13 ft"', "opening[1].head: '12 ft 7 in' is below the sill, '13 ft'"),
        ('eave_height = "9 ft 10-1/8 in"', 'eave_height = "28 ft"', "roof.eave_height: '28 ft' is not below the ridge"),
        ('["12 ft 4 in", "36 ft"]]', '["12 ft 4 in", "12 ft"]]', "roof.ridge[2]: 12 ft 4 in, 12 ft is both ends"),
        ('["12 ft 4 in", "36 ft"]]', "]", "roof.ridge: a ridge is a straight line; write its two ends"),
        ('direction = "straight up"', 'direction = "down"', "outlet.direction: 'down' is not a choice"),
        ('at = ["0 in", "4-1/2 in"]', 'at = ["0 in", "9 in"]', "lid.hole[1]: a hole of '3-9/16 in'"),
        ('eye_height = "5 ft 6 in"', 'eye_hight = "5 ft 6 in"', "did you mean eye_height?"),
    ],
)  # fmt: skip
def test_a_record_that_cannot_be_is_refused_in_one_line_a_fault(old: str, new: str, told: str) -> None:
    text = ALDER.read_text()
    assert old in text
    with pytest.raises(RecordError) as refused:
        parse_house(text.replace(old, new), "h.toml")
    assert told in refused.value.lines[0]
    assert all("\n" not in line for line in refused.value.lines)


# ---------------------------------------------------------------- drawings, tables, panels


def test_the_plan_is_to_scale_and_shows_every_opening(alder: Calculation) -> None:
    """The dashed circle's radius over the scale bar's ten feet, read from the picture, is the rule's ten feet."""
    plan = next(p for p in pictures(alder) if p.title == "The outlet on the plan of the house")
    radius = float(re.search(r"r='([\d.]+)' fill='none'", plan.svg)[1])  # type: ignore[index]
    bar = float(re.search(r"v4h([\d.]+)v-4", plan.svg)[1])  # type: ignore[index]
    assert radius == pytest.approx(bar, abs=0.1)
    for name in ("skylight over the stair", "bedroom window, north", "neighbour’s attic window", "to path to the west"):
        assert name.replace("’", "&#x27;") in plan.svg or name in plan.svg


def test_a_name_of_the_record_is_escaped_in_the_plan() -> None:
    found = replaced(('name = "skylight over the stair"', "name = '<b>&\"{bore}'"))
    plan = next(p for p in pictures(found) if p.title == "The outlet on the plan of the house")
    assert "&lt;b&gt;&amp;&quot;{bore}" in plan.svg
    assert "<b>" not in plan.svg


def test_the_tables_say_who_sees_the_pipe_and_which_opening_keeps_the_rule() -> None:
    shown = book("discharge", ALDER)
    assert "path to the west over the ridge 52.3 ft hidden" in repr(shown.told("views"))
    said = repr(shown.told("openings"))
    assert "skylight over the stair (this house)" in said
    assert "met, being above it" in said
    assert "does not state enough" in repr(book("discharge", KESTREL).told("views"))


def test_the_panel_on_sight_follows_the_viewer() -> None:
    panel = book("discharge", ALDER).panel(1)
    spare = []
    for feet in (40, 80, 160):
        panel.values = {**panel.values, "viewer_ridge_distance": feet * FT}
        words = re.search(r"(-?[\d.,]+) in\)? is to spare", repr(panel).replace("(", ""))
        assert words
        spare.append(float(words[1]))
    hand = [(7 * 12 + 2 - 1.75) * (7 / 12 + (ALDER_RIDGE - (27 + 4 / 12)) / feet) - 18 for feet in (40, 80, 160)]
    assert spare == pytest.approx(hand, abs=0.001)
