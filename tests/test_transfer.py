"""Carrying a place to the next floor: triangles by sympy, circles by shapely, photographs by a camera of our own."""

import itertools

import numpy as np
import pytest
import shapely  # type: ignore[import-untyped]
import sympy

from radonwork.formulas.transfer import (
    drill_drift,
    forgiving_hole,
    likely_transfer_error,
    place_above,
    plumb_lean,
    plumb_shift,
    scaled_length,
    transfer_tolerance,
)
from radonwork.solvers.photo import Photo, PhotoError, homography, read
from radonwork.units import from_unit

INCH = float(from_unit(1.0, "in"))


# ---------------------------------------------------------------- plumb, tape and drill


def test_a_lean_carried_up_ends_where_sympys_line_does() -> None:
    """A line through the two points between which the lean was found meets the level above where the shift says."""
    error, length, height = 0.375, 32, 96
    leaning = sympy.Line(sympy.Point(0, 0), sympy.Point(sympy.Rational(3, 8), length))
    above = sympy.Line(sympy.Point(0, height), sympy.Point(1, height))
    (meets,) = leaning.intersection(above)
    ours = plumb_shift(transfer_height=height * INCH, plumb_error=error * INCH, plumb_length=length * INCH)
    assert ours == pytest.approx(float(meets.x) * INCH, rel=1e-12)
    angle = float(leaning.angle_between(sympy.Line(sympy.Point(0, 0), sympy.Point(0, 1))))
    assert plumb_lean(plumb_error=error * INCH, plumb_length=length * INCH) == pytest.approx(angle, rel=1e-9)


def test_a_leaning_drill_comes_out_where_sympys_line_does() -> None:
    for degrees, thickness in ((1, 1.5), (3, 4.5), (10, 2.25)):
        drill = sympy.Line(sympy.Point(0, 0), slope=sympy.tan(sympy.pi / 2 - sympy.rad(degrees)))
        (out,) = drill.intersection(sympy.Line(sympy.Point(0, thickness), sympy.Point(1, thickness)))
        ours = drill_drift(member_thickness=thickness * INCH, drill_lean=np.radians(degrees))
        assert ours == pytest.approx(float(out.x.evalf()) * INCH, rel=1e-9)


def test_a_place_keeps_its_distance_from_a_flue_that_stands_on_both_floors() -> None:
    """One plan, measured from two walls: the floor above starts 7-1/4 in further left."""
    flue, place, step = 41.5, 118.25, 7.25
    above = place_above(place_below=place * INCH, reference_below=flue * INCH, reference_above=(flue + step) * INCH)
    assert above == pytest.approx((place + step) * INCH)


def test_a_photograph_taken_squarely_is_drawn_to_one_scale() -> None:
    """A door of 80 in is 1600 points high; by a rule of three done with fractions 37 points are 1.85 in."""
    exact = sympy.Rational(80, 1600) * 37
    assert scaled_length(known_length=80 * INCH, photo_length=37.0, photo_known=1600.0) == pytest.approx(
        float(exact) * INCH
    )


def test_the_worst_of_all_signs_is_the_tolerance_and_the_spread_of_chance_the_likely_error() -> None:
    """The hole's place is written down once more, error by error, and every sign and many chances are tried."""
    plumb, tape, photo, drift = 0.25, 0.0625, 0.2, 0.05
    given = {
        "plumb_shift": plumb * INCH, "tape_tolerance": tape * INCH, "photo_tolerance": photo * INCH,
        "drill_drift": drift * INCH,
    }  # fmt: skip
    limits = np.array([plumb, tape, tape, photo, drift])  # the tape is read below and above
    worst = max(float(np.dot(signs, limits)) for signs in itertools.product((-1, 1), repeat=5))
    assert transfer_tolerance(**given) == pytest.approx(worst * INCH)
    chance = np.random.default_rng(2).normal(size=(400_000, 5)) * limits
    # The standard deviation of so many draws is good to a ninth of a per cent.
    assert likely_transfer_error(**given) == pytest.approx(chance.sum(axis=1).std() * INCH, rel=0.005)


def test_a_pipe_off_by_the_tolerance_just_stands_in_the_forgiving_hole_by_shapely() -> None:
    pipe, off = 2.375, 0.3125
    hole = float(forgiving_hole(pipe_outside_diameter=pipe * INCH, transfer_tolerance=off * INCH)) / INCH
    for angle in np.linspace(0, 2 * np.pi, 7):
        standing = shapely.Point(off * np.cos(angle), off * np.sin(angle)).buffer(pipe / 2, quad_segs=500)
        assert shapely.Point(0, 0).buffer(hole / 2 + 1e-4, quad_segs=500).covers(standing)
        assert not shapely.Point(0, 0).buffer(hole / 2 - 1e-3, quad_segs=500).covers(standing)


# ---------------------------------------------------------------- photographs

# A camera of exact numbers: rows of a rotation matrix, its place before the wall, and a focal length, all rational.
_ROTATION = sympy.Matrix([[2, -1, 2], [2, 2, -1], [-1, 2, 2]]) / 3
_TILTED = sympy.Matrix([[3, 0, 4], [0, 5, 0], [-4, 0, 3]]) / 5 * sympy.Matrix([[5, 0, 0], [0, 4, 3], [0, -3, 4]]) / 5


def pictured(x: sympy.Rational, y: sympy.Rational, turned: sympy.Matrix) -> tuple[sympy.Rational, sympy.Rational]:
    """Where a place of the wall z = 0 falls in the picture, exactly."""
    seen = turned * sympy.Matrix([x, y, 0]) + sympy.Matrix([sympy.Rational(1, 5), sympy.Rational(-3, 10), 6])
    return 1800 * seen[0] / seen[2] + 2000, 1500 - 1800 * seen[1] / seen[2]


@pytest.mark.parametrize("turned", [sympy.eye(3), _ROTATION, _TILTED], ids=["square", "turned", "tilted"])
def test_the_place_is_that_from_which_an_exact_camera_took_the_picture(turned: sympy.Matrix) -> None:
    corners = [(0, 0), (2, 0), (2, 1), (0, 1)]
    marks = [pictured(sympy.Rational(x), sympy.Rational(y), turned) for x, y in corners]
    photo = Photo(tuple((float(u), float(v)) for u, v in marks), tuple(map(tuple, corners)))  # type: ignore[arg-type]
    for x, y in ((sympy.Rational(3, 4), sympy.Rational(1, 3)), (sympy.Rational(5, 2), sympy.Rational(-1, 4))):
        u, v = pictured(x, y, turned)
        found = read(photo, (float(u), float(v)))
        assert found.x == pytest.approx(float(x), abs=1e-9)
        assert found.y == pytest.approx(float(y), abs=1e-9)
        assert found.x_error == 0.0


def test_the_matrix_is_the_null_vector_a_singular_value_decomposition_finds() -> None:
    """The direct linear transform: cross products of each mark with its image, solved by numpy's SVD."""
    rng = np.random.default_rng(4)
    corners = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], dtype=float)
    for _ in range(20):
        marks = corners * 900 + rng.uniform(-200, 200, (4, 2)) + 400
        places = corners * [3, 2] + rng.uniform(-0.3, 0.3, (4, 2))
        ones = np.ones((4, 1))
        m, zero = np.hstack([marks, ones]), np.zeros((4, 3))
        x, y = places[:, :1], places[:, 1:]
        system = np.vstack([np.hstack([m, zero, -x * m]), np.hstack([zero, m, -y * m])])
        scale = np.linalg.norm(system, axis=0)
        null = np.linalg.svd(system / scale)[2][-1] / scale
        theirs = (null / null[-1]).reshape(3, 3)
        assert homography(marks, places) == pytest.approx(theirs, rel=1e-6, abs=1e-9)


def test_the_error_of_a_place_is_the_worst_of_all_signs_of_the_errors_of_the_marks() -> None:
    """Every sign of the eight errors of the marks and two of the point, by solving each picture afresh."""
    marks = [pictured(sympy.Rational(x), sympy.Rational(y), _TILTED) for x, y in ((0, 0), (2, 0), (2, 1), (0, 1))]
    places = ((0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0))
    photo = Photo(tuple((float(u), float(v)) for u, v in marks), places, reading_error=1.5)  # type: ignore[arg-type]
    point = tuple(map(float, pictured(sympy.Rational(1), sympy.Rational(1, 2), _TILTED)))
    found = read(photo, point)  # type: ignore[arg-type]
    signs = np.array(list(itertools.product((-1.5, 1.5), repeat=10)))
    moved = np.array(photo.marks) + signs[:, :8].reshape(-1, 4, 2)
    matrices = homography(moved, np.broadcast_to(np.array(places), moved.shape))
    points = np.column_stack([np.array(point) + signs[:, 8:], np.ones(len(signs))])
    seen = np.einsum("nij,nj->ni", matrices, points)
    x, y = (seen[:, axis] / seen[:, 2] for axis in (0, 1))
    # First order: what is left out is the square of an error of two thousandths.
    assert found.x_error == pytest.approx(max(x.max() - found.x, found.x - x.min()), rel=0.02)
    assert found.y_error == pytest.approx(max(y.max() - found.y, found.y - y.min()), rel=0.02)


def test_errors_of_the_places_of_the_marks_are_carried_too() -> None:
    marks = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 500.0), (0.0, 500.0))
    places = ((0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0))
    found = read(Photo(marks, places, place_error=0.002), (500.0, 250.0))
    # The middle is where the diagonals cross, so the worst is each corner moved along and up in turn, crossing anew.
    corners = [sympy.Point(0, 0), sympy.Point(2, 0), sympy.Point(2, 1), sympy.Point(0, 1)]
    worst = sympy.Integer(0)
    for corner in range(4):
        for move in (sympy.Point(sympy.Rational(2, 1000), 0), sympy.Point(0, sympy.Rational(2, 1000))):
            a, b, c, d = (point + move if n == corner else point for n, point in enumerate(corners))
            (crossing,) = sympy.Line(a, c).intersection(sympy.Line(b, d))
            worst += abs(crossing.x - 1)
    assert found.x_error == pytest.approx(float(worst), rel=2e-3)  # first order against the crossing itself


@pytest.mark.parametrize(
    ("marks", "says"),
    [
        (((0.0, 0.0), (100.0, 0.0), (200.0, 1.0), (100.0, 200.0)), "in one line in the picture"),
        (((0.0, 0.0), (100.0, 100.0), (100.0, 0.0), (0.0, 100.0)), "not in order round about"),
        (((0.0, 0.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0)), "in one line in the picture"),
    ],
)
def test_marks_that_settle_nothing_are_refused_in_one_line(marks: tuple[tuple[float, float], ...], says: str) -> None:
    with pytest.raises(PhotoError, match=says) as refusal:
        Photo(marks, ((0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0)))  # type: ignore[arg-type]
    assert "\n" not in str(refusal.value)


def test_a_point_beyond_the_horizon_is_refused() -> None:
    # A floor seen slantwise: the far side is half as wide, so its lines meet one picture's height above it.
    marks = ((0.0, 0.0), (400.0, 0.0), (300.0, 100.0), (100.0, 100.0))
    photo = Photo(marks, ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)))
    assert read(photo, (200.0, 150.0)).y > 2
    with pytest.raises(PhotoError, match="horizon"):
        read(photo, (200.0, 210.0))
