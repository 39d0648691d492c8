"""The plan of a slab: its outline, and the pits and drains under it. Places are (x, y) in metres."""

import math
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import TypeAlias

import numpy as np

Point: TypeAlias = tuple[float, float]
Straight: TypeAlias = tuple[Point, Point]
Array: TypeAlias = np.ndarray


@dataclass(frozen=True)
class Pit:
    """A round pit under the slab. `inertial_resistance` Pa/(m3/s)2 is the loss near it in clean stone; see `inertia`."""

    at: Point
    radius: float
    suction: float
    inertial_resistance: float = 0.0


@dataclass(frozen=True)
class Drain:
    """A drain pipe along `points`, straight from each to the next, and back to the first if `closed`."""

    points: tuple[Point, ...]
    suction: float
    closed: bool = False

    @property
    def straights(self) -> list[Straight]:
        return list(pairwise((*self.points, self.points[0]) if self.closed else self.points))


Source: TypeAlias = Pit | Drain


@dataclass(frozen=True)
class Footprint:
    """The slab's outline by its corners in order. Sides in `open_sides` (from 0) are open, the others sealed."""

    corners: tuple[Point, ...]
    open_sides: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        if len(self.corners) < 3:
            raise ValueError(f"the slab's outline has {len(self.corners)} corners; it needs three or more")
        for (i, (a, b)), (j, (c, d)) in combinations(enumerate(self.sides), 2):
            if len({a, b, c, d}) == 4 and _cross(a, b, c, d):
                raise ValueError(f"the slab's outline crosses itself: side {i + 1} and side {j + 1}")
        if min(math.dist(a, b) for a, b in self.sides) == 0 or self.area == 0:
            raise ValueError("the slab's outline has a side of no length or no area")
        if unknown := [side for side in self.open_sides if not 0 <= side < len(self.corners)]:
            raise ValueError(f"the slab has no side {unknown[0] + 1} to be open")

    @property
    def sides(self) -> list[Straight]:
        return list(pairwise((*self.corners, self.corners[0])))

    @property
    def signed_area(self) -> float:
        """Positive where the corners run counterclockwise."""
        return sum(a[0] * b[1] - b[0] * a[1] for a, b in self.sides) / 2

    @property
    def area(self) -> float:
        return abs(self.signed_area)

    def holds(self, x: Array, y: Array) -> Array:
        """Whether points lie inside: a ray from each crosses the outline an odd number of times."""
        inside = np.zeros(np.broadcast_shapes(np.shape(x), np.shape(y)), dtype=bool)
        for (x0, y0), (x1, y1) in self.sides:
            if y0 != y1:
                inside ^= ((y0 > y) != (y1 > y)) & (x < (x1 - x0) * (y - y0) / (y1 - y0) + x0)
        return inside

    def distance(self, point: Point) -> float:
        """From a point to the nearest side."""
        return min(_distance(point, a, b) for a, b in self.sides)


@dataclass(frozen=True)
class Reading:
    """Suction Pa read at a test hole, with the standard deviation of that reading."""

    at: Point
    suction: float
    error: float


def _distance(point: Point, start: Point, end: Point) -> float:
    """From a point to a straight line between two others."""
    (px, py), (ax, ay), (bx, by) = point, start, end
    squared = (bx - ax) ** 2 + (by - ay) ** 2
    share = 0.0 if squared == 0 else min(max(((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / squared, 0.0), 1.0)
    return math.hypot(px - ax - share * (bx - ax), py - ay - share * (by - ay))


def gap(one: Straight, other: Straight) -> float:
    """Least distance of two straight lines that do not cross."""
    return min(*(_distance(end, *other) for end in one), *(_distance(end, *one) for end in other))


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether the straight line from a to b crosses the one from c to d."""

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def check(sources: tuple[Source, ...], footprint: Footprint | None) -> None:
    """Raises ValueError, one line, for sources that cross, touch, leave the slab or have no size."""
    if not sources:
        raise ValueError("there is no pit and no drain; give at least one")
    for number, source in enumerate(sources, 1):
        if isinstance(source, Drain):
            if len(source.points) < 2 or min(math.dist(a, b) for a, b in source.straights) == 0:
                raise ValueError(f"source {number}: a drain needs two points or more, no two alike in a row")
            if footprint and not all(footprint.holds(*np.array(p)) for p in source.points):
                raise ValueError(f"source {number}: the drain leaves the slab")
            continue
        if not (source.radius > 0 and math.isfinite(source.radius)):
            raise ValueError(f"source {number}: the pit's radius is {source.radius:g}; it must be above zero")
        if footprint and (not footprint.holds(*np.array(source.at)) or footprint.distance(source.at) < source.radius):
            raise ValueError(f"source {number}: the pit does not lie within the slab")
    for (i, one), (j, other) in combinations(enumerate(sources, 1), 2):
        room = sum(s.radius for s in (one, other) if isinstance(s, Pit))
        lines = [[(s.at, s.at)] if isinstance(s, Pit) else s.straights for s in (one, other)]
        if any(_cross(*a, *b) or gap(a, b) <= room for a in lines[0] for b in lines[1]):
            raise ValueError(f"sources {i} and {j} touch; give them as one")
