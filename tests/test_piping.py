"""Offsets, turns and leaning holes against things that know none of their formulas: rotations, rays, drawn pieces."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation
from shapely import affinity
from shapely.geometry import LineString, Point

from radonwork.derivations import derivation_of
from radonwork.engine.case import cases
from radonwork.engine.formula import RangeError
from radonwork.formulas import boring, buying, piping, transfer
from radonwork.solvers.turning import turn_between
from radonwork.units import from_unit

INCH = 0.0254
FITTINGS = tuple(math.radians(angle) for angle in (11.25, 22.5, 30, 45, 60, 90))
TURNS = tuple(math.radians(angle) for angle in (0, 20, 56.31, 90, 133, 180))
X, Y, Z = np.eye(3)


def bent(direction: np.ndarray, by: float, about: np.ndarray) -> np.ndarray:
    """A direction after a fitting, as scipy rotates it about the axis of the bend."""
    turned: np.ndarray = Rotation.from_rotvec(by * about / np.linalg.norm(about)).apply(direction)
    return turned


def three_pieces(first: float, second: float, turn: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Directions of the pipe before, between and after two fittings, the second turned about the pipe by `turn`."""
    middle = bent(X, first, Z)
    axis = bent(Z, turn, middle)
    return X, middle, bent(middle, second, axis)


@pytest.mark.parametrize("case", [case for case in cases() if case.topic == "piping"], ids=lambda case: case.name)
def test_a_printed_piping_case_is_met(case) -> None:  # type: ignore[no-untyped-def]
    assert all(compared.agrees for compared in case.compare())


@pytest.mark.parametrize("of", [*piping.__all__, *boring.__all__, *buying.__all__])
def test_a_derivation_of_the_piping_ends_in_its_formula(of: str) -> None:
    assert derivation_of(of).agrees()


# ---------------------------------------------------------------- offsets


@pytest.mark.parametrize("angle", FITTINGS[:-1])
@pytest.mark.parametrize(("across", "besides"), [(8.0, 12.0), (30.625, 17.625), (5.0, 0.0)])
def test_a_rolling_offset_ends_where_the_rotated_pipe_ends(angle: float, across: float, besides: float) -> None:
    offset = piping.true_offset(offset_set=across, offset_roll=besides)
    travel = piping.travel(true_offset=offset, fitting_angle=angle)
    run = piping.offset_run(true_offset=offset, fitting_angle=angle)
    roll = float(piping.roll_angle(offset_set=across, offset_roll=besides))
    # The pipe runs along x, the set along y, the roll along z. The fitting first bends toward y and is then rolled about x.
    slanted = bent(bent(X, angle, Z), roll, X)
    assert travel * slanted == pytest.approx([run, across, besides], rel=1e-12, abs=1e-12)
    assert piping.true_angle(true_offset=offset, offset_run=run) == pytest.approx(angle, rel=1e-12)


def test_a_worked_rolling_offset_of_an_apprentice_is_met_to_the_sixteenth() -> None:
    # A worked example on an apprentices' page: rise 30-5/8 in, roll 17-5/8 in; it prints 35.334561692485 in.
    offset = piping.true_offset(offset_set=30.625 * INCH, offset_roll=17.625 * INCH)
    assert offset / INCH == pytest.approx(35.334561692485, abs=1e-11)
    travel = piping.travel(true_offset=offset, fitting_angle=math.radians(45))
    assert travel / INCH == pytest.approx(50.02025, abs=0.06)  # it rounds the offset to 35-3/8 in and takes 1.414


def test_two_pipes_keep_their_distance_around_the_turn_as_shapely_offsets_them() -> None:
    for angle in FITTINGS:
        path = [(-10.0, 0.0), (0.0, 0.0), (10 * math.cos(angle), 10 * math.sin(angle))]
        inner = LineString(path).offset_curve(0.75, join_style="mitre", mitre_limit=100)
        corner = list(inner.coords)[1]
        shift = piping.spread_shift(pipe_spread=0.75, fitting_angle=angle)
        assert -corner[0] == pytest.approx(shift, rel=1e-9)


# ---------------------------------------------------------------- turns


@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize("first", FITTINGS)
@pytest.mark.parametrize("second", FITTINGS)
def test_two_fittings_make_together_what_two_rotations_make(first: float, second: float, turn: float) -> None:
    before, middle, after = three_pieces(first, second, turn)
    together = math.atan2(np.linalg.norm(np.cross(before, after)), before @ after)
    found = piping.compound_angle(fitting_angle=first, next_fitting_angle=second, turn_angle=turn)
    assert found == pytest.approx(together, abs=3e-8)  # near 0 and 180 degrees the cosine loses half its digits
    back = piping.turn_angle(fitting_angle=first, next_fitting_angle=second, compound_angle=found)
    assert back == pytest.approx(turn, abs=3e-7)  # near no turn and half a turn too
    of_vectors = turn_between(before, middle, after)
    assert of_vectors is not None
    # Half a turn one way is half a turn the other way.
    assert abs(of_vectors) == pytest.approx(turn, abs=1e-9)


def test_a_turn_has_a_side_and_none_is_known_where_a_piece_goes_straight_on() -> None:
    left, right = (turn_between(*three_pieces(1.0, 0.5, turn)) for turn in (0.7, -0.7))
    assert left == pytest.approx(0.7, abs=1e-12)
    assert right == pytest.approx(-0.7, abs=1e-12)
    assert turn_between(X, X, Y) is None
    assert turn_between(X, Y, -Y) is None


def test_the_mark_of_a_turn_is_the_arc_a_drawn_circle_has() -> None:
    circle = Point(0, 0).buffer(3.5 * INCH / 2, quad_segs=4096).exterior
    for turn in TURNS:
        arc = piping.turn_arc(turn_angle=turn, pipe_outside_diameter=3.5 * INCH)
        assert arc == pytest.approx(circle.length * turn / (2 * math.pi), rel=1e-6)


def test_an_angle_that_two_fittings_cannot_make_is_refused_in_one_line() -> None:
    with pytest.raises(RangeError, match="no more than both fittings together") as refusal:
        piping.turn_angle(fitting_angle=0.5, next_fitting_angle=0.5, compound_angle=1.2)
    assert "\n" not in str(refusal.value)


# ---------------------------------------------------------------- take-offs and cuts


@pytest.mark.parametrize("angle", FITTINGS)
def test_a_bend_begins_where_a_drawn_arc_touches_the_straight_lines(angle: float) -> None:
    take_off = piping.bend_take_off(bend_radius=0.1, fitting_angle=angle)
    # The arc's middle point stands square above the line along x, a radius away; the second line's end must lie a
    # radius away from it too, square to that line.
    middle = np.array([-float(take_off), 0.1])
    end = float(take_off) * np.array([math.cos(angle), math.sin(angle)])
    assert np.hypot(*(end - middle)) == pytest.approx(0.1, rel=1e-12)
    assert (end - middle) @ end == pytest.approx(0.0, abs=1e-14)


@pytest.mark.parametrize("angle", [math.radians(degrees) for degrees in (30, 45, 60, 90, 120, 135)])
@pytest.mark.parametrize("other", [0.05, 0.08, 0.1])
def test_a_leg_of_a_wye_leaves_the_opening_of_another_where_shapely_says(angle: float, other: float) -> None:
    # Two bores as strips from where their centre lines meet; the corner of the first nearest the second is sought along it.
    bore, along = 0.08, np.array([math.cos(angle), math.sin(angle)])
    opening = LineString([-along, along]).buffer(other / 2, cap_style="flat")
    wall = LineString([(-0.9, bore / 2), (0.9, bore / 2)]).intersection(opening)
    last = max(x for x, _ in wall.coords)
    least = piping.least_take_off(bore=bore, other_bore=other, leg_angle=angle)
    assert least == pytest.approx(last, rel=1e-9)


def test_pieces_and_fittings_laid_out_in_a_row_reach_from_centre_to_centre() -> None:
    rng = np.random.default_rng(3)
    for _ in range(50):
        face, depth, other_face, other_depth = rng.uniform(0.03, 0.1, 4)
        face, other_face = face + depth, other_face + other_depth
        first = piping.fitting_take_off(centre_to_end=face, socket_depth=depth)
        second = piping.fitting_take_off(centre_to_end=other_face, socket_depth=other_depth)
        pipe = float(piping.cut_length(centre_to_centre=2.0, take_off=first, next_take_off=second))
        # Between the two faces pipe is seen; in each socket so much more is hidden.
        seen = LineString([(face, 0), (2.0 - other_face, 0)]).length
        assert pipe == pytest.approx(seen + depth + other_depth, rel=1e-12)


def test_fittings_too_near_for_any_pipe_give_a_length_below_zero() -> None:
    assert piping.cut_length(centre_to_centre=0.1, take_off=0.07, next_take_off=0.05) == pytest.approx(-0.02)
    assert piping.offset_cut(travel=0.1, take_off=0.06) == pytest.approx(-0.02)


@pytest.mark.parametrize("cuts", [1, 2, 3, 4])
def test_mitred_joints_turn_the_pipe_as_rotations_about_the_cut_say(cuts: int) -> None:
    slant = piping.mitre_cut_angle(fitting_angle=math.radians(90), mitre_cuts=float(cuts))
    # Turning one half half way round about a line square to the cut turns the pipe's direction at each joint.
    direction, square_to_cut = X, bent(X, float(slant), Z)
    for _ in range(cuts):
        direction = -bent(-direction, math.pi, square_to_cut)
        square_to_cut = bent(square_to_cut, 2 * float(slant), Z)
    assert direction == pytest.approx(Y, abs=1e-12)


# ---------------------------------------------------------------- leaning holes


def common_width(hole: float, height: float, lean: float) -> float:
    """Diameter of the largest circle within both cuts of a leaning round hole, as shapely measures it."""
    tip = hole / math.cos(lean)
    cut = affinity.scale(Point(0, 0).buffer(1, quad_segs=4000), tip / 2, hole / 2)
    both = cut.intersection(affinity.translate(cut, height * math.tan(lean), 0))
    return 2 * both.exterior.distance(Point(height * math.tan(lean) / 2, 0))


@pytest.mark.parametrize("lean", [math.radians(a) for a in (0.5, 2, 5)])
@pytest.mark.parametrize(("pipe", "mark", "height"), [(2.375, 0.0, 1.5), (2.375, 0.0625, 4.5), (3.5, 0.125, 12.0)])
def test_a_plumb_pipe_just_fills_what_two_drawn_cuts_have_in_common(
    pipe: float, mark: float, height: float, lean: float
) -> None:
    wide = pipe + 2 * mark
    hole = float(boring.least_plate_hole(pipe_outside_diameter=wide, stack_height=height, drill_lean=lean))
    assert common_width(hole, height, lean) == pytest.approx(wide, rel=1e-6)
    back = boring.largest_drill_angle(hole_diameter=hole, pipe_outside_diameter=wide, stack_height=height)
    assert back == pytest.approx(lean, rel=1e-9)
    plate = boring.plate_lean_limit(
        hole_diameter=hole, pipe_outside_diameter=pipe, mark_error=mark, plate_thickness=height
    )
    assert plate == pytest.approx(lean, rel=1e-9)


def test_a_row_too_low_for_its_lean_is_refused_because_the_circle_is_then_narrower() -> None:
    lean, low = math.radians(40), 1.0
    hole = 3 * math.cos(lean) + low * math.sin(lean)
    assert common_width(hole, low, lean) < 3 - 1e-3
    with pytest.raises(RangeError, match="at least as high"):
        boring.least_plate_hole(pipe_outside_diameter=3.0, stack_height=low, drill_lean=lean)


def test_the_drift_and_the_worst_error_are_where_a_ray_and_a_chain_of_marks_end() -> None:
    lean, count, thick, gap, mark = math.radians(1.2), 3, 0.038, 2.3, 0.0015
    height = float(boring.stack_height(plate_count=float(count), plate_thickness=thick, plate_gap=gap))
    levels = np.concatenate([[n * (thick + gap), n * (thick + gap) + thick] for n in range(count)])
    assert height == pytest.approx(levels[-1])
    ray = bent(Z, lean, Y)
    drift = float(transfer.drill_drift(member_thickness=height, drill_lean=lean))
    assert drift == pytest.approx((ray * height / ray[2])[0], rel=1e-12)
    worst = boring.worst_centre_error(plate_count=float(count), mark_error=mark, hole_drift=drift)
    signs = np.array(np.meshgrid(*[[-1, 1]] * count)).reshape(count, -1)
    ends = drift * signs[-1] + mark * signs[:-1].sum(axis=0)
    assert worst == pytest.approx(np.abs(ends).max())


def test_errors_by_chance_spread_as_drawn_numbers_do() -> None:
    rng = np.random.default_rng(5)
    drawn = rng.normal(0, 0.002, (400_000, 3)).sum(axis=1) + rng.normal(0, 0.005, 400_000)
    likely = boring.likely_centre_error(plate_count=4.0, mark_error=0.002, hole_drift=0.005)
    assert likely == pytest.approx(drawn.std(), rel=0.005)  # four times the standard error of a spread from 400,000


# ---------------------------------------------------------------- buying


def test_where_both_are_even_a_root_finder_finds_no_saving() -> None:
    hour = from_unit(1.0, "h")
    given = {"parts_cost": 430.0, "tools_cost": 120.0}

    def saving(value: float, hours: float) -> float:
        own = buying.own_cost(**given, work_hours=hours * hour, hour_value=value / hour)
        return float(buying.quote_saving(quoted_price=1850.0, own_cost=own))

    value = buying.break_even_value(quoted_price=1850.0, **given, work_hours=30 * hour)
    assert float(value) * hour == pytest.approx(brentq(lambda v: saving(v, 30), 0, 500), rel=1e-9)
    hours = buying.break_even_hours(quoted_price=1850.0, **given, hour_value=25 / hour)
    assert float(hours) / hour == pytest.approx(brentq(lambda h: saving(25, h), 0, 500), rel=1e-9)
    assert saving(0, 30) == pytest.approx(1850 - 430 - 120)  # with no value of time: what is paid less what is bought
