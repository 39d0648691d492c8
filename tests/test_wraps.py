"""Cuts unrolled around a pipe, held against surfaces met by a root finder in three dimensions."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from radonwork.formulas import wraps

IN = 0.0254


def wall(axis: np.ndarray, side: np.ndarray, radius: float, turn: float, along: float) -> np.ndarray:
    """A point of a round pipe's wall: `turn` from the direction `side`, `along` the axis."""
    across = np.cross(axis, side)
    return along * axis + radius * (math.cos(turn) * side + math.sin(turn) * across)


@pytest.mark.parametrize("angle", [90.0, 60.0, 45.0])
@pytest.mark.parametrize("branch", [2.375 * IN, 3.5 * IN])
def test_a_saddle_lies_on_the_other_pipe_all_around(angle: float, branch: float) -> None:
    header, beta = 3.5 * IN, math.radians(angle)
    lying, axis = np.array([1.0, 0, 0]), np.array([math.cos(beta), 0, math.sin(beta)])
    heel = np.array([-math.sin(beta), 0, math.cos(beta)])  # square to the axis, on the side of the wider angle
    turns = np.linspace(0, 2 * math.pi, 49)
    found = wraps.saddle_reach(branch_diameter=branch, header_diameter=header, branch_angle=beta, wrap_angle=turns)
    for turn, reach in zip(turns, np.asarray(found), strict=True):

        def outside(along: float, turn: float = turn) -> float:
            """How far the point stands off the other pipe's wall, by its distance from that pipe's axis."""
            point = wall(axis, heel, branch / 2, turn, along)
            return float(np.linalg.norm(np.cross(lying, point))) - header / 2

        # From well outside down to where the wall is first met; where the pipes are alike the two only touch at the sides.
        if abs(outside(reach)) > 1e-9:
            assert reach == pytest.approx(brentq(outside, reach - 0.02, reach + 0.3), abs=1e-9)
        assert abs(outside(reach)) < 1e-9
        assert outside(reach + 0.05) > 0


def test_a_mitre_lies_in_one_plane_and_two_of_them_make_the_turn() -> None:
    pipe, turn = 4.5 * IN, math.radians(45)
    turns = np.linspace(0, 2 * math.pi, 73)
    heights = np.asarray(wraps.mitre_height(pipe_outside_diameter=pipe, mitre_angle=turn / 2, wrap_angle=turns))
    points = np.column_stack([-pipe / 2 * np.cos(turns), pipe / 2 * np.sin(turns), heights])
    middle = points - points[:-1].mean(axis=0)
    normal = np.linalg.svd(middle)[2][-1]
    assert np.max(np.abs(middle @ normal)) < 1e-12
    assert math.acos(abs(normal[2])) == pytest.approx(turn / 2)
    assert heights.min() == pytest.approx(0, abs=1e-15)


def test_marks_around_a_pipe_are_where_a_wrapped_strip_has_them() -> None:
    pipe = 3.5 * IN
    full = wraps.wrap_arc(pipe_outside_diameter=pipe, wrap_angle=2 * math.pi)
    sides = 100_000  # of a polygon: the limit of its chords is the circle
    assert full == pytest.approx(sides * pipe * math.sin(math.pi / sides), rel=1e-8)
    assert wraps.wrap_arc(pipe_outside_diameter=pipe, wrap_angle=math.pi / 4) == pytest.approx(full / 8)
