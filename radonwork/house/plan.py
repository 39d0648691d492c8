"""Places on the floor plan of a house: whether an outline is one, and what lies within it.

Plain Python in metres, so that reading a record loads no library for it. Closer than TOUCH counts as touching: what was
measured with a tape is never nearer than that by intent, and rounding never makes up as much.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

Point = tuple[float, float]
TOUCH = 1e-6  # m
NARROW = 0.05
"""m: no slab is so narrow, nor what parts two of its sides; through a narrower neck the field under it is not worked well."""
MOST_CORNERS = 100


@dataclass(frozen=True)
class SuctionPoint:
    """A place where the slab is sucked at: `path` in the record, metres; `radius` None where it is not stated.

    `drain` counts from 0 the drain on which it lies, None where it lies on none: then it is where that drain is drawn from,
    and no pit beside it.
    """

    path: str
    name: str
    at: Point
    radius: float | None
    drain: int | None = None

    @property
    def on_drain(self) -> bool:
        return self.drain is not None


@dataclass(frozen=True)
class DrainLine:
    """Drain tile along `points`, metres, and back to the first if `closed`."""

    path: str
    points: tuple[Point, ...]
    closed: bool

    @property
    def straights(self) -> list[tuple[Point, Point]]:
        return list(pairwise((*self.points, self.points[0]) if self.closed else self.points))


@dataclass(frozen=True)
class TestHole:
    """A reading under the slab against the room above it: metres, Pa; below zero where the slab blows."""

    __test__ = False  # not a test of pytest's

    path: str
    name: str
    at: Point
    suction: float
    tolerance: float


def sides(corners: Sequence[Point]) -> list[tuple[Point, Point]]:
    """The sides of an outline, the last back to the first corner."""
    return list(pairwise((*corners, corners[0])))


def outline_fault(corners: Sequence[Point]) -> tuple[int, str] | None:
    """The corner, counted from 0, and what is wrong with it; None for an outline that nowhere meets itself."""
    if len(corners) < 3:
        return max(len(corners) - 1, 0), "is the last of too few corners; an outline has three or more"
    if len(corners) > MOST_CORNERS:
        return MOST_CORNERS, f"is one corner too many; an outline has at most {MOST_CORNERS}"
    edges = sides(corners)
    for number, (start, end) in enumerate(edges):
        if math.dist(start, end) < TOUCH:
            later = (number + 1) % len(corners)
            if later == 0:
                return number, "is the first corner again; leave it out, the outline closes by itself"
            return later, "is the same place as the corner before; give each corner once"
    for number, (start, end) in enumerate(edges):
        after = edges[(number + 1) % len(edges)][1]
        if distance(after, start, end) < TOUCH or distance(start, end, after) < TOUCH:
            return (number + 1) % len(
                edges
            ), "turns straight back along the side before; list the corners round the slab"
        for other in range(number + 2, len(edges) - (number == 0)):
            if meet(start, end, *edges[other]):
                return other, (
                    f"begins a side that meets the one from corner {number + 1}; an outline must not cross or touch "
                    "itself: list the corners in order round the slab"
                )
    return _neck(edges)


def _neck(edges: Sequence[tuple[Point, Point]]) -> tuple[int, str] | None:
    """The first side that comes too near another with more than a small step of the outline between them."""
    lengths = [math.dist(*edge) for edge in edges]
    for number, (start, end) in enumerate(edges):
        for other in range(number + 2, len(edges) - (number == 0)):
            gap = min(
                *(distance(p, start, end) for p in edges[other]), *(distance(p, *edges[other]) for p in (start, end))
            )
            between = sum(lengths[number + 1 : other])
            round_about = sum(lengths) - between - lengths[number] - lengths[other]
            if gap < NARROW and min(between, round_about) > 2 * NARROW:
                return other, (
                    f"begins a side that comes within {1000 * NARROW:.0f} mm of the one from corner {number + 1}; neither a "
                    "slab nor what parts it is so narrow: check both"
                )
    return None


def inside(point: Point, corners: Sequence[Point]) -> bool:
    """Whether a point lies within an outline and not on it."""
    x, y = point
    found = False
    for (x0, y0), (x1, y1) in sides(corners):
        if distance(point, (x0, y0), (x1, y1)) < TOUCH:
            return False
        if (y0 > y) != (y1 > y) and x < x0 + (x1 - x0) * (y - y0) / (y1 - y0):
            found = not found
    return found


def leaves(points: Sequence[Point], closed: bool, corners: Sequence[Point]) -> int | None:
    """The first of these points, from 0, at which a line through them is not inside an outline, or leaves it."""
    line = [*points, *points[: int(closed)]]
    for number, point in enumerate(points):
        if not inside(point, corners):
            return number
    for number, (start, end) in enumerate(pairwise(line)):
        if any(meet(start, end, *side) for side in sides(corners)):
            return number
    return None


def meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether the straight from a to b crosses or touches that from c to d."""
    ends = (distance(a, c, d), distance(b, c, d), distance(c, a, b), distance(d, a, b))
    if min(ends) < TOUCH:
        return True
    return _left(a, b, c) != _left(a, b, d) and _left(c, d, a) != _left(c, d, b)


def distance(point: Point, start: Point, end: Point) -> float:
    """From a point to the nearest place of the straight from `start` to `end`."""
    along = (end[0] - start[0], end[1] - start[1])
    length = math.hypot(*along)
    if length < TOUCH:
        return math.dist(point, start)
    share = ((point[0] - start[0]) * along[0] + (point[1] - start[1]) * along[1]) / length**2
    share = min(max(share, 0.0), 1.0)
    return math.dist(point, (start[0] + share * along[0], start[1] + share * along[1]))


def beside(point: Point, start: Point, end: Point) -> Point:
    """A point counted from a line: how far along it from `start`, and how far to its left."""
    ux, uy = end[0] - start[0], end[1] - start[1]
    length = math.hypot(ux, uy)
    x, y = point[0] - start[0], point[1] - start[1]
    return (x * ux + y * uy) / length, (y * ux - x * uy) / length


def _left(a: Point, b: Point, c: Point) -> bool:
    return (b[0] - a[0]) * (c[1] - a[1]) > (b[1] - a[1]) * (c[0] - a[0])
