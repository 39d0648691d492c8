"""Places on a wall read from a photograph of it: four marks of known place take the perspective out.

A flat wall seen by a camera without barrel distortion is mapped to the picture by a homography, eight numbers that four
marks settle. Points of the picture are counted in any unit, from any corner; places are metres along and up the wall.
"""

from dataclasses import dataclass

import numpy as np

from radonwork.engine.refusals import Refusal

Point = tuple[float, float]
_FLAT = 0.02  # share of the picture of the marks that a triangle of three of them must take, or they are in one line


class PhotoError(Refusal):
    """A photograph that no place can be read from; one plain line."""


@dataclass(frozen=True)
class Photo:
    """Four marks in the picture, in order round about, and their places on the wall; each right to the stated error."""

    marks: tuple[Point, Point, Point, Point]
    places: tuple[Point, Point, Point, Point]
    reading_error: float = 0.0
    place_error: float = 0.0

    def __post_init__(self) -> None:
        for what, points in (("picture", self.marks), ("wall", self.places)):
            turns = _turns(np.array(points))
            size = np.abs(turns).max()
            if size == 0 or np.abs(turns).min() < _FLAT * size:
                raise PhotoError(f"three of the four marks lie in one line in the {what}; choose marks at four corners")
            if len(set(np.sign(turns))) > 1:
                raise PhotoError(f"the four marks are not in order round about in the {what}; write them going round")


@dataclass(frozen=True)
class Read:
    """A place on the wall in metres, and how far off it may be along and up the wall, every error at its worst."""

    x: float
    y: float
    x_error: float
    y_error: float


def homography(marks: np.ndarray, places: np.ndarray) -> np.ndarray:
    """The matrix, (…, 3, 3), that takes points of the picture to places on the wall, from four of each, (…, 4, 2)."""
    x, y = marks[..., 0], marks[..., 1]
    one, none = np.ones_like(x), np.zeros_like(x)
    rows = []
    for axis, left in ((0, (x, y, one, none, none, none)), (1, (none, none, none, x, y, one))):
        place = places[..., axis]
        rows.append(np.stack([*left, -place * x, -place * y], axis=-1))
    equations = np.concatenate(rows, axis=-2)
    right = np.concatenate([places[..., 0], places[..., 1]], axis=-1)
    found = np.linalg.solve(equations, right[..., np.newaxis])[..., 0]
    whole = np.concatenate([found, np.ones_like(found[..., :1])], axis=-1)
    matrix: np.ndarray = whole.reshape(*found.shape[:-1], 3, 3)
    return matrix


def read(photo: Photo, point: Point, point_error: float | None = None) -> Read:
    """The place on the wall of a point of the picture, with the errors of marks, places and point carried through.

    To first order, every error at its worst: the changes that each makes alone are added up. Raises PhotoError where
    the point lies beyond the wall's horizon.
    """
    error = photo.reading_error if point_error is None else point_error
    start = np.array([*np.ravel(photo.marks), *np.ravel(photo.places), *point], dtype=float)
    moves = np.array([photo.reading_error] * 8 + [photo.place_error] * 8 + [error] * 2)
    inputs = np.concatenate([[start], start + np.diag(moves), start - np.diag(moves)])
    places, seen = _read_all(inputs)
    if not np.all(seen):
        raise PhotoError(
            "the point of the picture lies at or beyond the horizon of the wall; choose one among the marks"
        )
    change = np.abs(places[1:19] - places[19:]) / 2
    x_error, y_error = change.sum(axis=0)
    return Read(float(places[0, 0]), float(places[0, 1]), float(x_error), float(y_error))


def _read_all(inputs: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Places, (n, 2), and whether each is seen, for rows of four marks, four places and a point."""
    marks, places, points = inputs[:, :8].reshape(-1, 4, 2), inputs[:, 8:16].reshape(-1, 4, 2), inputs[:, 16:]
    # Counted from the middle of the marks and in their size the equations are even; the middle is never on the horizon.
    middle = marks.mean(axis=1, keepdims=True)
    size = np.abs(marks - middle).max(axis=(1, 2), keepdims=True)
    even, point = (marks - middle) / size, (points - middle[:, 0]) / size[:, 0]
    matrix = homography(even, places)
    put = np.concatenate([point, np.ones((len(point), 1))], axis=1)
    found = np.einsum("nij,nj->ni", matrix, put)
    seen = found[:, 2] > 1e-6  # one at the middle of the marks
    return found[:, :2] / np.where(seen, found[:, 2], 1.0)[:, np.newaxis], seen


def _turns(points: np.ndarray) -> np.ndarray:
    """Twice the signed area of the triangle at each corner."""
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    found: np.ndarray = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return found
