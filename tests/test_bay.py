"""The stud bay: what fits, what a hole leaves, against shapely, tables of lumber and the published cases."""

import numpy as np
import pytest
import shapely  # type: ignore[import-untyped]

from radonwork.drawings.bay import BAY
from radonwork.engine.formula import RangeError
from radonwork.formulas.bay import (
    bay_width,
    cavity_margin,
    centred_edge_distance,
    edge_distance,
    hole_share,
    largest_outside_diameter,
)
from radonwork.house.lumber import LumberError, dressed_size, stud_size
from radonwork.house.pipe_sizes import pipe_size
from radonwork.units import from_unit

INCH = from_unit(1.0, "in")
SIXTEENTH = INCH / 16


def round_shape(x: float, y: float, diameter: float) -> shapely.Polygon:
    return shapely.Point(x, y).buffer(diameter / 2, quad_segs=2000)


# ---------------------------------------------------------------- bay


@pytest.mark.parametrize(("seasoning", "clear"), [("dry", 14.5), ("green", 14.4375)])
def test_the_bay_of_sixteen_inch_centres_is_that_of_the_lumber_table(seasoning: str, clear: float) -> None:
    thickness, width = stud_size("2x4", seasoning)
    assert bay_width(stud_spacing=16 * INCH, stud_thickness=thickness) == pytest.approx(clear * INCH, rel=1e-12)
    assert width == pytest.approx((3.5 if seasoning == "dry" else 3.5625) * INCH)


def test_the_bay_is_the_gap_shapely_measures_between_two_studs() -> None:
    stud = shapely.box(-0.75, 0, 0.75, 3.5)
    gap = stud.distance(shapely.affinity.translate(stud, 16))
    assert bay_width(stud_spacing=16 * INCH, stud_thickness=1.5 * INCH) == pytest.approx(gap * INCH, rel=1e-12)


def test_studs_thicker_than_their_spacing_are_refused() -> None:
    with pytest.raises(RangeError, match="further apart than they are thick"):
        bay_width(stud_spacing=1 * INCH, stud_thickness=1.5 * INCH)


# ---------------------------------------------------------------- cavity


@pytest.mark.parametrize(("depth", "play"), [(3.5, 0.125), (5.5, 0.5), (3.5625, 0.0)])
def test_a_pipe_of_the_largest_diameter_just_stands_in_the_cavity_by_shapely(depth: float, play: float) -> None:
    largest = float(largest_outside_diameter(cavity_depth=depth * INCH, play=play * INCH)) / INCH
    cavity = shapely.box(-20, 0, 20, depth)
    assert cavity.covers(round_shape(0, depth / 2, largest + play - 1e-9))
    assert not cavity.covers(round_shape(0, depth / 2, largest + play + 1e-3))
    for diameter in (largest, largest - 1, largest + 0.25):
        margin = float(
            cavity_margin(cavity_depth=depth * INCH, pipe_outside_diameter=diameter * INCH, play=play * INCH)
        )
        # Room between the pipe, with its play around it, and the boards; shapely's circle is cut by 1e-6 of its size.
        low, _, high = (-(diameter + play) / 2, 0, (diameter + play) / 2)
        assert margin / INCH == pytest.approx(depth - (high - low), abs=1e-12)
        assert (margin >= -1e-12) == cavity.covers(round_shape(0, depth / 2, diameter + play - 1e-9))


def test_a_three_inch_pipe_fills_a_two_by_four_wall_and_a_two_inch_pipe_stands_in_it() -> None:
    _, cavity = stud_size("2x4")
    three, two = pipe_size("3").outside_diameter, pipe_size("2").outside_diameter
    assert cavity_margin(cavity_depth=cavity, pipe_outside_diameter=three, play=0.0) == pytest.approx(0, abs=1e-12)
    assert cavity_margin(cavity_depth=cavity, pipe_outside_diameter=three, play=2 * SIXTEENTH) < 0  # type: ignore[operator]
    assert cavity_margin(cavity_depth=cavity, pipe_outside_diameter=two, play=2 * SIXTEENTH) == pytest.approx(1 * INCH)


# ---------------------------------------------------------------- holes


@pytest.mark.parametrize("offset", [0.0, 0.25, 0.5])
@pytest.mark.parametrize(("depth", "hole"), [(3.5, 2.5), (5.5, 3.625), (7.25, 2.375)])
def test_an_off_centre_hole_leaves_the_wood_that_shapely_measures(depth: float, hole: float, offset: float) -> None:
    edges = shapely.MultiLineString([[(-9, 0), (9, 0)], [(-9, depth), (9, depth)]])
    left = round_shape(0, depth / 2 + offset, hole).distance(edges)
    ours = edge_distance(member_depth=depth * INCH, hole_diameter=hole * INCH, hole_offset=offset * INCH)
    assert ours / INCH == pytest.approx(left, abs=1e-5)  # shapely's circle is a polygon


def test_a_hole_in_the_middle_is_the_off_centre_one_without_offset() -> None:
    depths, holes = np.linspace(0.09, 0.28, 50), np.linspace(0.03, 0.09, 50)
    assert centred_edge_distance(member_depth=depths, hole_diameter=holes) == pytest.approx(
        edge_distance(member_depth=depths, hole_diameter=holes, hole_offset=np.zeros(50)), rel=1e-14
    )


def test_a_hole_wider_than_the_plate_leaves_less_than_nothing_and_takes_more_than_all() -> None:
    assert centred_edge_distance(member_depth=3.5 * INCH, hole_diameter=3.625 * INCH) == pytest.approx(-SIXTEENTH)
    assert hole_share(member_depth=3.5 * INCH, hole_diameter=3.625 * INCH) > 1  # type: ignore[operator]


def test_a_hole_whose_centre_lies_outside_the_member_is_refused() -> None:
    with pytest.raises(RangeError, match="centre lies within the member"):
        edge_distance(member_depth=3.5 * INCH, hole_diameter=1 * INCH, hole_offset=2 * INCH)


def test_the_largest_hole_a_share_allows_is_the_share_rearranged() -> None:
    # International Residential Code R602.6 item 2: 40 % of a 2x4 and 60 % of a 2x6 are 1.40 and 3.30 in.
    largest = hole_share.solved_for("hole_diameter")
    assert largest(hole_share=0.40, member_depth=3.5 * INCH) == pytest.approx(1.40 * INCH)
    assert largest(hole_share=0.60, member_depth=5.5 * INCH) == pytest.approx(3.30 * INCH)


# ---------------------------------------------------------------- lumber


@pytest.mark.parametrize(
    ("arguments", "says"),
    [(("5",), "2, 3, 4, 6, 8, 10, 12"), (("2", "wet"), "dry and green"), (("",), "2, 3, 4, 6, 8, 10, 12")],
)
def test_lumber_that_is_not_in_the_table_is_refused_with_what_is(arguments: tuple[str, ...], says: str) -> None:
    with pytest.raises(LumberError) as refusal:
        dressed_size(*arguments)
    assert says in str(refusal.value)
    assert "\n" not in str(refusal.value)


# ---------------------------------------------------------------- the drawing


def values(**changed: float) -> dict[str, float]:
    inches = {
        "bay_width": 14.5, "stud_thickness": 1.5, "cavity_depth": 3.5, "member_depth": 3.5, "play": 0.125,
        "pipe_outside_diameter": 2.375, "hole_diameter": 2.5, "hole_offset": 0.0,
    }  # fmt: skip
    return {name: value * INCH for name, value in inches.items()} | {"pipe_count": 1.0} | changed


WARNINGS = {
    "too large for the cavity": values(pipe_outside_diameter=3.5 * INCH),
    "too many for the bay": values(pipe_count=6.0, pipe_outside_diameter=2.9 * INCH),
    "no wood left at the edge": values(hole_diameter=3.6 * INCH),
}


@pytest.mark.parametrize("words", WARNINGS)
def test_a_warning_is_seen_only_where_it_is_due(words: str) -> None:
    def seen(svg: str) -> bool:
        line = next(line for line in svg.splitlines() if words in line)
        return "opacity='1.00'" in line

    assert seen(BAY.svg(WARNINGS[words]))
    assert not seen(BAY.svg(values()))


def test_the_drawing_writes_what_it_shows() -> None:
    svg = BAY.svg(values())
    for written in ("14-1/2 in", "1-1/2 in", "3-1/2 in", "71.43 %", "edge 1/2 in", "margin here 1 in"):
        assert written in svg


def test_the_words_for_those_who_do_not_see_the_drawing_state_its_numbers() -> None:
    said = BAY.described(values(), "metric")
    for written in ("368.3 mm", "60.3", "12.7 mm", "71.43 %"):
        assert written in said
