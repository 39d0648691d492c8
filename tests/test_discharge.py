"""Leaving through the roof: what the roof hides, held against shapely and straight rays; distances; the two houses."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq
from shapely.geometry import LineString, Point, Polygon

from radonwork.formulas import discharge, roof

FT, IN = 0.3048, 0.0254
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
    for level, outlet, sill, tall in rng.uniform([0, 2, 0, 0.1], [12, 13, 8, 3], (200, 4)):
        window = LineString([(0, sill), (0, sill + tall)])
        found = discharge.opening_distance(
            opening_level_distance=level, outlet_height=outlet, opening_sill=sill, opening_head=sill + tall
        )
        assert found == pytest.approx(Point(level, outlet).distance(window), abs=1e-12)
        rise = discharge.opening_rise(outlet_height=outlet, opening_head=sill + tall)
        assert (rise > 0) == (Point(0, outlet).distance(window) > 0 and outlet > sill)


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
