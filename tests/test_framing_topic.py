"""Finding the framing and what may be cut: formulas, the two houses from record to finding, panels, and bad input."""

from fractions import Fraction

import numpy as np
import pytest
import shapely  # type: ignore[import-untyped]

from radonwork.formulas.framing import (
    centre_room,
    centre_spare,
    hole_chance,
    hole_gap,
    hole_spare,
    largest_hole,
    place_share,
    wood_after_a_hit,
    wood_after_a_miss,
)
from radonwork.units import from_unit

INCH = float(from_unit(1.0, "in"))


# ---------------------------------------------------------------- formulas, by shapely


@pytest.mark.parametrize(("depth", "hole", "edge"), [(3.5, 1.4, 0.625), (9.25, 2.5, 2.0), (5.5, 2.2, 1.25)])
def test_a_hole_as_far_off_as_it_may_be_leaves_the_edge_shapely_measures(
    depth: float, hole: float, edge: float
) -> None:
    room = float(centre_room(member_depth=depth * INCH, hole_diameter=hole * INCH, least_edge=edge * INCH)) / INCH
    spare = centre_spare(centre_room=room * INCH, hole_offset=0.25 * INCH)
    assert spare == pytest.approx((room - 0.25) * INCH)  # moved by a quarter inch it may move that much less
    round_hole = shapely.Point(0, depth / 2 + room).buffer(hole / 2, quad_segs=2000)
    edges = shapely.MultiLineString([[(-9, 0), (9, 0)], [(-9, depth), (9, depth)]])
    assert round_hole.distance(edges) == pytest.approx(edge, abs=1e-5)  # shapely's circle is a polygon


def test_the_wood_between_two_holes_is_what_shapely_measures() -> None:
    for spacing, one, other in ((6.0, 2.5, 1.0), (2.25, 1.0, 0.75)):
        first = shapely.Point(0, 0).buffer(one / 2, quad_segs=2000)
        second = shapely.Point(spacing, 0).buffer(other / 2, quad_segs=2000)
        ours = hole_gap(hole_spacing=spacing * INCH, hole_diameter=one * INCH, other_hole=other * INCH)
        assert ours == pytest.approx(first.distance(second) * INCH, rel=1e-5)


def test_the_nearer_support_is_the_one_shapely_finds() -> None:
    supports = shapely.MultiPoint([(0, 0), (144, 0)])
    for place in (10.0, 72.0, 130.0):
        ours = place_share(support_distance=place * INCH, span=144 * INCH)
        assert ours == pytest.approx(shapely.Point(place, 0).distance(supports) / 144)


def test_the_largest_hole_is_the_largest_circle_that_shapely_fits_between_the_limits() -> None:
    """Circles grown until they touch the strip that must stay at either edge, or take more than their share."""
    for depth, share, edge in ((3.5, 0.4, 0.625), (5.5, 1 / 3, 2.0), (3.5, 0.9, 0.625)):
        strip = shapely.box(-20, edge, 20, depth - edge)
        diameters = np.arange(0.01, depth, 0.002)
        fits = [d <= share * depth and strip.covers(shapely.Point(0, depth / 2).buffer(d / 2)) for d in diameters]
        ours = float(largest_hole(member_depth=depth * INCH, largest_share=share, least_edge=edge * INCH)) / INCH
        largest = diameters[np.flatnonzero(fits)[-1]]
        assert ours == pytest.approx(largest, abs=0.003)
        spare = float(hole_spare(largest_hole=ours * INCH, hole_diameter=1.0 * INCH)) / INCH
        assert spare == pytest.approx(largest - 1.0, abs=0.003)


def test_a_reading_changes_the_chance_as_counted_walls_say() -> None:
    """Walls counted one by one in exact fractions: 2000 of them, wood in 360, a tool wrong in one of twenty."""
    wood, walls, wrong = 360, 2000, Fraction(1, 20)
    hits, false_hits = wood * (1 - wrong), (walls - wood) * wrong
    misses, false_misses = (walls - wood) * (1 - wrong), wood * wrong
    given = {"wood_before": wood / walls, "false_reading": float(wrong)}
    assert wood_after_a_hit(**given) == pytest.approx(float(hits / (hits + false_hits)), rel=1e-12)
    assert wood_after_a_miss(**given) == pytest.approx(float(false_misses / (false_misses + misses)), rel=1e-12)


def test_wood_or_a_line_is_met_as_often_as_counted_walls_say() -> None:
    """Every pair of one of 40 places for wood, 6 of them wood, and one of 25 for a line, 2 of them a line."""
    met = sum(a < 6 or b < 2 for a in range(40) for b in range(25))
    assert hole_chance(wood_chance=6 / 40, service_chance=2 / 25) == pytest.approx(met / 1000)
