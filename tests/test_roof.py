"""The roof hole against things that know none of its formulas: a ray through a plane, shapely, a numerical circle."""

import csv
import math
import re
from xml.etree import ElementTree

import numpy as np
import pytest
from scipy.optimize import minimize
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union

from radonwork.derivations import all_derivations
from radonwork.drawings.roof import DECK, SECTION
from radonwork.drawings.shapes import Drawing
from radonwork.engine.case import cases
from radonwork.engine.formula import RangeError
from radonwork.files import DATA, table
from radonwork.formulas import roof
from radonwork.house.hole_saws import NoHoleSaw, listed_hole_saws, next_hole_saw
from radonwork.units import from_unit, read

INCH = 0.0254
PIPES = ((3.5, 0.5), (2.375, 0.625), (4.5, 1.5), (1.66, 0.375))  # outside diameter and deck, in
ANGLES = tuple(math.radians(angle) for angle in (0, 5, 18.4, 30, 45, 55, 63.4, 80))
SITUATIONS = [(d * INCH, t * INCH, angle) for d, t in PIPES for angle in ANGLES]


def cut_points(axis: np.ndarray, d: float, heights: np.ndarray, around: int = 720) -> list[np.ndarray]:
    """Where a round pipe along `axis` through the origin meets planes at `heights` above the deck's middle, plane by plane.

    In coordinates of the deck (up-slope, across, square to it). Straight lines on the pipe's skin are carried on to each
    plane; no ellipse is known.
    """
    axis = axis / np.linalg.norm(axis)
    one = np.cross(axis, [0.0, 1.0, 0.0])
    one /= np.linalg.norm(one)
    other = np.cross(axis, one)
    turn = np.linspace(0, 2 * np.pi, around, endpoint=False)
    skin = d / 2 * (np.outer(np.cos(turn), one) + np.outer(np.sin(turn), other))
    return [(skin + np.outer((height - skin[:, 2]) / axis[2], axis))[:, :2] for height in heights]


def plumb(angle: float) -> np.ndarray:
    """Straight up, in coordinates of the deck."""
    return np.array([math.sin(angle), 0.0, math.cos(angle)])


def smallest_circle(points: np.ndarray) -> float:
    """Diameter of the smallest circle around points, by search from a place off the middle."""
    scale = float(np.ptp(points, axis=0).max())

    def radius(centre: np.ndarray) -> float:
        return float(np.hypot(*(points - centre * scale).T).max() / scale)

    start = np.array([0.07, 0.04])
    for _ in range(4):  # again from where it stopped: the radius has a crease there
        start = minimize(
            radius, start, method="Nelder-Mead", options={"xatol": 1e-12, "fatol": 1e-14, "maxiter": 4000}
        ).x
    return 2 * radius(start) * scale


def swept(d: float, t: float, angle: float, planes: int = 41) -> np.ndarray:
    return np.vstack(cut_points(plumb(angle), d, np.linspace(-t / 2, t / 2, planes)))


# ---------------------------------------------------------------- pitch and slope


def test_the_printed_rafter_table_is_met_to_half_its_last_digit() -> None:
    printed = table("roof_pitch")
    assert len(printed) == 17
    for row in printed:
        angle = roof.pitch_angle(roof_pitch=float(row["rise_in_12"]) / 12)
        length = roof.rafter_length(rafter_run=12 * INCH, roof_angle=angle)
        assert length / INCH == pytest.approx(float(row["length_per_ft_run_in"]), abs=0.005)
        factor = roof.slope_factor(roof_angle=angle)
        assert factor == pytest.approx(float(row["length_per_ft_run_in"]) / 12, abs=0.005 / 12)
        assert factor == pytest.approx(float(row["slope_factor"]), abs=5e-7)
        assert math.degrees(float(angle)) == pytest.approx(float(row["angle_deg"]), abs=5e-5)


def test_a_limit_stated_as_a_pitch_is_the_printed_angle_of_that_pitch() -> None:
    for row in table("roof_pitch"):
        pitch = roof.steepest_roof_pitch(steepest_roof_angle=math.radians(float(row["angle_deg"])))
        assert 12 * float(pitch) == pytest.approx(float(row["rise_in_12"]), abs=1e-4)


@pytest.mark.parametrize("case", [case for case in cases() if case.topic == "roof"], ids=lambda case: case.name)
def test_a_printed_roof_case_is_met(case) -> None:  # type: ignore[no-untyped-def]
    assert all(compared.agrees for compared in case.compare())


@pytest.mark.parametrize("of", [d for d in all_derivations() if d in dir(roof)])
def test_a_derivation_of_the_roof_ends_in_its_formula(of: str) -> None:
    assert all_derivations()[of].agrees()


def test_a_wall_is_refused_as_a_roof_in_one_line() -> None:
    with pytest.raises(RangeError, match=r"roof angle is 90°; this holds from 0° to 89°") as refusal:
        roof.roof_hole_diameter(pipe_outside_diameter=0.09, deck_thickness=0.01, roof_angle=math.radians(90))
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize(("rise", "degrees"), [(21, 60.2551), (24, 63.4349)])
def test_a_steep_side_of_a_turret_or_a_mansard_has_the_angle_of_numpy(rise: int, degrees: float) -> None:
    assert degrees == pytest.approx(np.degrees(np.arctan2(rise, 12)), abs=5e-5)
    assert math.degrees(roof.pitch_angle(roof_pitch=rise / 12)) == pytest.approx(degrees, abs=5e-5)


# ---------------------------------------------------------------- the hole


@pytest.mark.parametrize(("d", "t", "angle"), SITUATIONS)
def test_the_round_hole_is_the_smallest_circle_around_the_swept_pipe(d: float, t: float, angle: float) -> None:
    hole = roof.roof_hole_diameter(pipe_outside_diameter=d, deck_thickness=t, roof_angle=angle)
    # The search stops within 1e-7 of the hole; 720 points around the pipe include both tips.
    assert hole == pytest.approx(smallest_circle(swept(d, t, angle, planes=5)), rel=1e-6)


@pytest.mark.parametrize(("d", "t", "angle"), SITUATIONS)
def test_the_cut_in_a_face_is_as_long_and_as_far_off_centre_as_its_points_say(d: float, t: float, angle: float) -> None:
    (top,) = cut_points(plumb(angle), d, np.array([t / 2]))
    assert roof.ellipse_axis(pipe_outside_diameter=d, roof_angle=angle) == pytest.approx(np.ptp(top[:, 0]), rel=1e-12)
    shift = (top[:, 0].max() + top[:, 0].min()) / 2
    assert roof.hole_centre_shift(deck_thickness=t, roof_angle=angle) == pytest.approx(shift, rel=1e-9, abs=1e-15)


def test_the_steepest_roof_is_the_one_on_which_the_swept_pipe_just_fills_the_hole() -> None:
    for d, t in PIPES:
        for hole, clearance in ((1.1 * d, 0.0), (1.4 * d + t, 0.125), (1.2 * d + 0.25, 0.25)):
            angle = roof.steepest_roof_for_hole(
                bored_hole_diameter=hole * INCH,
                hole_clearance=clearance * INCH,
                pipe_outside_diameter=d * INCH,
                deck_thickness=t * INCH,
            )
            filled = smallest_circle(swept(d, t, float(angle), planes=5))
            assert filled + clearance == pytest.approx(hole, rel=1e-6)


def test_a_hole_smaller_than_the_pipe_has_no_roof() -> None:
    with pytest.raises(RangeError, match="holds only if the hole, less its clearance, is no smaller than the pipe"):
        roof.steepest_roof_for_hole(
            bored_hole_diameter=3.5 * INCH,
            hole_clearance=0.1 * INCH,
            pipe_outside_diameter=3.5 * INCH,
            deck_thickness=0.5 * INCH,
        )


def test_the_rule_of_four_and_a_quarter_inches_fails_on_the_next_whole_pitch() -> None:
    (rule,) = (case for case in cases() if case.of == "steepest_roof_for_hole")
    said = read(rule.given["bored_hole_diameter"], "length").value
    needed = [
        roof.roof_hole_diameter(
            pipe_outside_diameter=3.5 * INCH, deck_thickness=0.5 * INCH, roof_angle=math.atan(rise / 12)
        )
        for rise in (6, 7)
    ]
    assert needed[0] <= said < needed[1]


# ---------------------------------------------------------------- openings and their areas


def opening(d: float, t: float, angle: float, clearance: float) -> tuple[float, float, float]:
    """End holes, centres and area of the slot-shaped opening."""
    hole = roof.roof_hole_diameter(pipe_outside_diameter=d, deck_thickness=t, roof_angle=angle)
    end = roof.end_hole_diameter(pipe_outside_diameter=d, hole_clearance=clearance)
    centres = roof.slot_hole_centres(roof_hole_diameter=hole, pipe_outside_diameter=d)
    return float(end), float(centres), float(roof.slot_hole_area(end_hole_diameter=end, slot_hole_centres=centres))


@pytest.mark.parametrize(("d", "t", "angle"), SITUATIONS)
def test_the_slot_shaped_opening_holds_the_pipe_and_nothing_shorter_or_narrower_does(
    d: float, t: float, angle: float
) -> None:
    end, centres, _ = opening(d, t, angle, 0.0)
    path = Polygon(swept(d, t, angle)[:720]).union(Polygon(swept(d, t, angle)[-720:])).convex_hull

    def slot(width: float, between: float) -> Polygon:
        return LineString([(-between / 2, 0), (between / 2 + 1e-12, 0)]).buffer(width / 2, quad_segs=2000)

    assert path.difference(slot(end * (1 + 1e-6), centres)).area < 1e-9 * path.area
    assert path.difference(slot(end * 0.999, centres + end * 0.001)).area > 1e-7 * path.area  # as long, narrower
    if angle:
        shorter = 0.99 * centres
        assert path.difference(slot(end, shorter)).area > 0
        left, _, right, _ = path.bounds
        assert right - left > end + shorter


def test_the_slot_with_clearance_leaves_half_of_it_all_round_and_no_less() -> None:
    for d, t, angle in SITUATIONS:
        end, centres, _ = opening(d, t, angle, INCH / 8)
        slot = LineString([(-centres / 2, 0), (centres / 2 + 1e-12, 0)]).buffer(end / 2, quad_segs=2000)
        gap = min(slot.exterior.distance(Point(*point)) for point in swept(d, t, angle, planes=2)[::8])
        assert gap == pytest.approx(INCH / 16, rel=1e-4)


@pytest.mark.parametrize(("d", "t", "angle"), SITUATIONS)
def test_the_path_of_the_pipe_has_the_area_shapely_finds_for_all_its_cuts(d: float, t: float, angle: float) -> None:
    axis = roof.ellipse_axis(pipe_outside_diameter=d, roof_angle=angle)
    shift = roof.hole_centre_shift(deck_thickness=t, roof_angle=angle)
    least = float(roof.least_opening_area(pipe_outside_diameter=d, ellipse_axis=axis, hole_centre_shift=shift))
    round_cut = Point(0, 0).buffer(d / 2, quad_segs=1000)
    cuts = [
        affinity.translate(affinity.scale(round_cut, xfact=1 / math.cos(angle)), xoff=height * math.tan(angle))
        for height in np.linspace(-t / 2, t / 2, 41)
    ]
    path = unary_union(cuts)
    # 41 cuts leave notches of the order of the square of their spacing; the union can only be smaller.
    assert path.area == pytest.approx(least, rel=2e-3)
    assert path.area <= least * (1 + 1e-9)
    assert path.convex_hull.area == pytest.approx(least, rel=2e-6)
    # Two cuts alone, those of the faces, would leave out what lies between them.
    assert unary_union([cuts[0], cuts[-1]]).area <= path.area * (1 + 1e-9)


@pytest.mark.parametrize(("d", "t", "angle"), SITUATIONS)
def test_the_openings_have_the_areas_and_waste_shapely_measures(d: float, t: float, angle: float) -> None:
    clearance = INCH / 8
    end, centres, slot_area = opening(d, t, angle, clearance)
    hole = roof.roof_hole_diameter(pipe_outside_diameter=d, deck_thickness=t, roof_angle=angle)
    bored = float(roof.bored_hole_diameter(roof_hole_diameter=hole, hole_clearance=clearance))
    round_area = float(roof.round_hole_area(bored_hole_diameter=bored))
    drawn_round = Point(0, 0).buffer(bored / 2, quad_segs=1000)
    drawn_slot = LineString([(-centres / 2, 0), (centres / 2 + 1e-12, 0)]).buffer(end / 2, quad_segs=1000)
    assert round_area == pytest.approx(drawn_round.area, rel=1e-6)
    assert slot_area == pytest.approx(drawn_slot.area, rel=1e-6)

    path = Polygon(swept(d, t, angle, planes=2)[:720]).union(Polygon(swept(d, t, angle, planes=2)[720:])).convex_hull
    axis = roof.ellipse_axis(pipe_outside_diameter=d, roof_angle=angle)
    shift = roof.hole_centre_shift(deck_thickness=t, roof_angle=angle)
    least = roof.least_opening_area(pipe_outside_diameter=d, ellipse_axis=axis, hole_centre_shift=shift)
    waste = (
        roof.round_hole_waste(round_hole_area=round_area, least_opening_area=least),
        roof.slot_hole_waste(slot_hole_area=slot_area, least_opening_area=least),
    )
    # The 720-sided path is smaller by 1.3e-5 of its area.
    assert waste[0] == pytest.approx(drawn_round.difference(path).area, abs=3e-5 * path.area)
    assert waste[1] == pytest.approx(drawn_slot.difference(path).area, abs=3e-5 * path.area)
    assert waste[1] <= waste[0] * (1 + 1e-9)


# ---------------------------------------------------------------- marks


def leaning_riser(slope: float, climb: float) -> tuple[np.ndarray, np.ndarray]:
    """Direction of a run and of a riser square to it in the same plumb plane; x up-slope in plan, y along the eaves, z up."""
    run = np.array([climb, math.sqrt(1 - climb**2), slope])
    side = np.cross(run, [0.0, 0.0, 1.0])
    riser = np.cross(side, run)
    return run, riser / np.linalg.norm(riser)


@pytest.mark.parametrize("climb", [1.0, -1.0, 0.0, 0.6])
@pytest.mark.parametrize("slope", [1 / 96, 1 / 48, 1 / 12, 1 / 6])
@pytest.mark.parametrize("angle", ANGLES)
def test_the_mark_moves_to_where_a_ray_along_the_riser_meets_the_plane_of_the_deck(
    angle: float, slope: float, climb: float
) -> None:
    height = 1.8
    run, riser = leaning_riser(slope, climb)
    normal = np.array([-math.sin(angle), 0.0, math.cos(angle)])
    mark = np.array([0.0, 0.0, height])
    reached = riser * (normal @ mark) / (normal @ riser)
    plan = roof.mark_shift_plan(riser_height=height, pipe_slope=slope, roof_angle=angle, climb_direction=climb)
    assert plan == pytest.approx(np.hypot(*reached[:2]), rel=1e-12)
    assert run[:2] @ reached[:2] < 0  # toward the low end
    deck = roof.mark_shift_deck(mark_shift_plan=plan, roof_angle=angle, climb_direction=climb)
    assert deck == pytest.approx(np.linalg.norm(reached - mark), rel=1e-12)
    if abs(climb) == 1:
        assert deck == pytest.approx(float(plan) / math.cos(angle), rel=1e-12)


def test_a_run_that_climbs_away_from_the_ridge_moves_the_mark_farther() -> None:
    given = {"riser_height": 1.8, "pipe_slope": 1 / 12, "roof_angle": math.radians(40)}
    assert roof.mark_shift_plan(**given, climb_direction=-1.0) > roof.mark_shift_plan(**given, climb_direction=1.0)


@pytest.mark.parametrize("climb", [1.0, -1.0, 0.0, 0.6])
@pytest.mark.parametrize("angle", ANGLES)
def test_a_leaning_riser_needs_the_smallest_circle_around_its_own_path(angle: float, climb: float) -> None:
    d, t, slope = 3.5, 0.625, 1 / 12
    _, riser = leaning_riser(slope, climb)
    up_slope = np.array([math.cos(angle), 0.0, math.sin(angle)])
    out = np.array([-math.sin(angle), 0.0, math.cos(angle)])
    axis = np.array([riser @ up_slope, riser[1], riser @ out])
    found = roof.riser_deck_angle(roof_angle=angle, pipe_slope=slope, climb_direction=climb)
    assert found == pytest.approx(math.acos(axis[2]), abs=1e-7)
    hole = roof.leaning_hole_diameter(pipe_outside_diameter=d, deck_thickness=t, riser_deck_angle=found)
    points = np.vstack(cut_points(axis, d, np.array([-t / 2, t / 2]), around=7200))
    assert hole == pytest.approx(smallest_circle(points), rel=2e-6)


def test_a_riser_square_to_the_deck_stands_at_no_angle_to_it() -> None:
    slope = 1 / 12
    found = roof.riser_deck_angle(roof_angle=math.atan(slope), pipe_slope=slope, climb_direction=1.0)
    assert found == pytest.approx(0.0, abs=1e-7)


def test_the_outlet_stands_higher_over_the_lower_side_by_the_fall_of_a_drawn_roof() -> None:
    for d, _, angle in SITUATIONS:
        roof_line = LineString([(-10 * d, -10 * d * math.tan(angle)), (10 * d, 10 * d * math.tan(angle))])
        top = d / 2 * math.tan(angle) + 0.3
        side = LineString([(-d / 2, top), (-d / 2, -10 * d - 1)])
        measured = side.intersection(roof_line)
        found = roof.outlet_height_downslope(outlet_height_upslope=0.3, pipe_outside_diameter=d, roof_angle=angle)
        assert found == pytest.approx(top - measured.y, rel=1e-9)


@pytest.mark.parametrize("offset", [-0.05, -0.01, 0.0, 0.02, 0.1])
def test_the_flashing_laps_the_hole_by_what_two_drawn_pieces_leave(offset: float) -> None:
    for d, t, angle in SITUATIONS:
        hole = roof.roof_hole_diameter(pipe_outside_diameter=d, deck_thickness=t, roof_angle=angle)
        (top,) = cut_points(plumb(angle), d, np.array([t / 2]))
        centre = (
            top[:, 0].max() + top[:, 0].min()
        ) / 2  # the pipe on the top side; the base is up-slope of it by the offset
        base = (centre + offset - 0.2, centre + offset + 0.2)
        laps = (-hole / 2 - base[0], base[1] - hole / 2)
        found = roof.flashing_lap(
            flashing_base=0.4,
            bored_hole_diameter=hole,
            flashing_offset=offset,
            hole_centre_shift=roof.hole_centre_shift(deck_thickness=t, roof_angle=angle),
        )
        assert found == pytest.approx(min(laps), abs=1e-12)


# ---------------------------------------------------------------- hole saws


def test_the_next_saw_up_is_the_least_that_is_large_enough() -> None:
    assert next_hole_saw(4.1631 * INCH) == pytest.approx(4.25 * INCH)
    assert next_hole_saw(4.25 * INCH + 1e-13) == pytest.approx(4.25 * INCH)  # worked out, a hair over by rounding
    assert next_hole_saw(4.26 * INCH) == pytest.approx(4.5 * INCH)


def test_the_users_own_saws_stand_in_place_of_the_list_in_any_order() -> None:
    own = [from_unit(size, "mm") for size in (127.0, 102.0, 111.0)]
    assert next_hole_saw(4.1631 * INCH, own) == pytest.approx(0.111)


@pytest.mark.parametrize(
    ("diameter", "sizes", "said"),
    [
        (
            7 * INCH,
            None,
            r"no hole saw on the list reaches 7 in, the largest is 6 in; cut the slot-shaped opening, or add",
        ),
        (0.1, [], r"tools\.hole_saws must list sizes above zero, such as"),
        (0.1, [0.12, float("nan")], r"tools\.hole_saws must list sizes above zero"),
        (float("nan"), None, r"a hole of nan in cannot be bored"),
        (0.0, None, r"a hole of 0 in cannot be bored"),
    ],
)
def test_a_hole_no_saw_cuts_is_refused_in_one_line(diameter: float, sizes: list[float] | None, said: str) -> None:
    with pytest.raises(NoHoleSaw, match=said) as refusal:
        next_hole_saw(diameter, sizes)
    assert "\n" not in str(refusal.value)


def test_the_list_of_saws_rises_and_says_what_it_rests_on() -> None:
    saws = listed_hole_saws()
    sizes = [saw.diameter for saw in saws]
    assert sizes == sorted(set(sizes))
    assert {saw.basis for saw in saws} == {"from memory, unverified"}
    for row, saw in zip(table("hole_saws"), saws, strict=True):
        assert float(row["size_mm"]) == pytest.approx(saw.diameter * 1000, abs=0.051)
    header = (DATA / "tables" / "hole_saws.csv").read_text(encoding="utf-8").split("size_in,")[0]
    assert "from memory, unverified" in header
    assert list(csv.reader(header.splitlines()))


# ---------------------------------------------------------------- drawings

HOUSE = {
    "pipe_outside_diameter": 3.5 * INCH,
    "deck_thickness": 0.5 * INCH,
    "hole_clearance": INCH / 8,
    "flashing_base": 14 * INCH,
    "flashing_offset": INCH / 2,
    "riser_height": 72 * INCH,
    "pipe_slope": 1 / 48,
    "climb_direction": 1.0,
}
VARIATIONS = [
    {},
    {"pipe_outside_diameter": 1.66 * INCH, "deck_thickness": 1.5 * INCH},
    {"pipe_outside_diameter": 4.5 * INCH, "deck_thickness": 0.375 * INCH, "climb_direction": -1.0},
    {"flashing_base": 30 * INCH, "flashing_offset": -2 * INCH, "pipe_slope": 1 / 6},
    {"flashing_base": 6 * INCH, "climb_direction": 0.5, "pipe_slope": 1 / 12, "riser_height": 144 * INCH},
]
SVG = "{http://www.w3.org/2000/svg}"


def drawn(drawing: Drawing, **values: float) -> ElementTree.Element:
    return ElementTree.fromstring(drawing.svg(values))


def corners(shape: ElementTree.Element) -> np.ndarray:
    return np.array([[float(number) for number in point.split(",")] for point in shape.get("points", "").split()])


@pytest.mark.parametrize("angle", ANGLES[1:])
def test_the_section_is_to_scale(angle: float) -> None:
    picture = drawn(SECTION, **HOUSE, roof_angle=angle)
    shapes = picture.findall(f"{SVG}polygon")
    (lower, upper), pipe = [corners(s) for s in shapes if "wood" in s.get("fill", "")], corners(shapes[2])
    hole = np.linalg.norm(upper[0] - lower[0])  # the two edges of the hole on the underside
    thickness = np.linalg.norm(upper[3] - upper[0])
    width = np.ptp(pipe[:, 0])
    needed = smallest_circle(swept(HOUSE["pipe_outside_diameter"], HOUSE["deck_thickness"], angle, planes=2))
    # Coordinates are written to a hundredth of a drawing unit.
    assert hole / width == pytest.approx((needed + HOUSE["hole_clearance"]) / HOUSE["pipe_outside_diameter"], rel=1e-3)
    assert thickness / width == pytest.approx(HOUSE["deck_thickness"] / HOUSE["pipe_outside_diameter"], rel=3e-3)
    rise, run = upper[1][1] - upper[0][1], upper[1][0] - upper[0][0]
    assert -rise / run == pytest.approx(math.tan(angle), rel=3e-3)  # paper counts downward


@pytest.mark.parametrize("variation", VARIATIONS, ids=str)
@pytest.mark.parametrize("drawing", [SECTION, DECK], ids=lambda d: d.name)
def test_no_label_covers_another_or_leaves_the_paper_over_the_range_of_pitch(
    drawing: Drawing, variation: dict[str, float]
) -> None:
    for degrees in range(5, 56, 5):
        picture = drawn(drawing, **(HOUSE | variation), roof_angle=math.radians(degrees))
        _, _, width, height = (float(number) for number in picture.get("viewBox", "").split())
        boxes = []
        for text in picture.iter(f"{SVG}text"):
            words = "".join(text.itertext())
            if not words or float(text.get("opacity", "1")) == 0:
                continue
            wide = 7.1 * len(words)  # DejaVu Sans at 13 units, on the wide side
            x, y = float(text.get("x", "")), float(text.get("y", ""))
            left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[text.get("text-anchor", "start")]
            boxes.append((words, left, y - 10, left + wide, y + 3))
        for number, (words, left, top, right, bottom) in enumerate(boxes):
            assert left >= 0 and right <= width and top >= 0 and bottom <= height, (degrees, words)  # noqa: PT018
            for other, *box in boxes[number + 1 :]:
                apart = right <= box[0] or box[2] <= left or bottom <= box[1] or box[3] <= top
                assert apart, (degrees, words, other)


def test_the_drawings_say_in_words_what_they_show() -> None:
    values = HOUSE | {"roof_angle": math.atan(0.5)}
    said = SECTION.described(values)
    assert re.search(r"round hole of 4-5/16 in \(4\.288 in\) bored square to the deck", said)
    assert "With no clearance the hole would be 4-3/16 in (4.163 in)." in said
    assert "14 in long" in DECK.described(values)
