"""Room between straight pipes and boxes in space: how near two of them come, how deep one is in the other.

Points are three lengths in metres; a box is its lowest and highest corner, infinite where it has no end. Plain Python:
a house has a few dozen pieces, and a panel asks for them again at every move.
"""

import math
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

Vector = tuple[float, float, float]
Box = tuple[Vector, Vector]


def between(a: Vector, b: Vector, share: float) -> Vector:
    """The point at this share of the way from `a` to `b`."""
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]), a[2] + share * (b[2] - a[2]))


def minus(a: Vector, b: Vector) -> Vector:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def length(a: Vector) -> float:
    return math.sqrt(dot(a, a))


def angle(a: Vector, b: Vector) -> float:
    """Between two directions, radians; exact for small angles and near straight ones too."""
    cross = (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
    return math.atan2(length(cross), dot(a, b))


def line_distance(a: Vector, b: Vector, c: Vector, d: Vector) -> float:
    """Least distance between the straight lines from a to b and from c to d, ends included."""
    along, other, apart = minus(b, a), minus(d, c), minus(a, c)
    aa, ee, f = dot(along, along), dot(other, other), dot(other, apart)
    if aa == 0 or ee == 0:
        return min(_from_point(a, c, d), _from_point(c, a, b))
    ae, ac = dot(along, other), dot(along, apart)
    denominator = aa * ee - ae * ae
    # Side by side every place of the one is as near: any will do to begin from.
    s = min(max((ae * f - ac * ee) / denominator, 0.0), 1.0) if denominator > 1e-14 * aa * ee else 0.0
    t = (ae * s + f) / ee
    if not 0 <= t <= 1:
        t = min(max(t, 0.0), 1.0)
        s = min(max((ae * t - ac) / aa, 0.0), 1.0)
    return length(minus(between(a, b, s), between(c, d, t)))


def _from_point(p: Vector, a: Vector, b: Vector) -> float:
    along = minus(b, a)
    squared = dot(along, along)
    share = min(max(dot(minus(p, a), along) / squared, 0.0), 1.0) if squared else 0.0
    return length(minus(p, between(a, b, share)))


def box_distance(a: Vector, b: Vector, box: Box) -> float:
    """Least distance from the straight line to the box; below zero by how deep it is inside, where it enters."""
    entered = inside(a, b, box)
    if entered:
        return -_depth(a, b, box, *entered)
    # Squared distance is a parabola between the places where the line crosses a plane of the box.
    crossings = sorted({0.0, 1.0, *(t for t in _crossings(a, b, box) if 0 < t < 1)})
    return math.sqrt(min(_least(a, b, box, low, high) for low, high in pairwise(crossings)))


def inside(a: Vector, b: Vector, box: Box) -> tuple[float, float] | None:
    """The shares of the line between which it lies inside the box; None where it does not enter."""
    low, high = 0.0, 1.0
    for axis in range(3):
        step = b[axis] - a[axis]
        for bound, sign in ((box[0][axis], 1.0), (box[1][axis], -1.0)):
            room = sign * (a[axis] - bound)  # what is left to the plane at the start, above zero inside
            if sign * step == 0:
                if room < 0:
                    return None
            elif math.isfinite(bound):
                share = -room / (sign * step)
                low, high = (max(low, share), high) if sign * step > 0 else (low, min(high, share))
    return (low, high) if high - low > 1e-12 else None


def box_room(a: Vector, b: Vector, radius: float, box: Box) -> float:
    """Least room between a pipe with square ends and the sides of the box around it; below zero by what it stands out."""
    along = minus(b, a)
    size = length(along)
    rooms = []
    for axis in range(3):
        reach = radius * math.sqrt(max(1 - (along[axis] / size) ** 2, 0.0)) if size else radius
        low, high = min(a[axis], b[axis]) - reach, max(a[axis], b[axis]) + reach
        rooms += [low - box[0][axis], box[1][axis] - high]
    return min(rooms)


def _crossings(a: Vector, b: Vector, box: Box) -> Iterator[float]:
    for axis in range(3):
        step = b[axis] - a[axis]
        for bound in (box[0][axis], box[1][axis]):
            if step and math.isfinite(bound):
                yield (bound - a[axis]) / step


def _least(a: Vector, b: Vector, box: Box, low: float, high: float) -> float:
    """The least squared distance to the box over a part of the line that crosses none of its planes."""
    middle = between(a, b, (low + high) / 2)
    square = linear = constant = 0.0
    for axis in range(3):
        bound = min(max(middle[axis], box[0][axis]), box[1][axis])
        if bound != middle[axis]:
            step, off = b[axis] - a[axis], a[axis] - bound
            square, linear, constant = square + step * step, linear + step * off, constant + off * off
    share = min(max(-linear / square, low), high) if square else low
    return max(square * share * share + 2 * linear * share + constant, 0.0)


def _depth(a: Vector, b: Vector, box: Box, low: float, high: float) -> float:
    """The most that a point of the line, between two shares of it, lies inside the box: the top of a roof of planes."""
    planes = [
        (sign * (a[axis] - bound), sign * (b[axis] - a[axis]))
        for axis in range(3)
        for bound, sign in ((box[0][axis], 1.0), (box[1][axis], -1.0))
        if math.isfinite(bound)
    ]
    shares = [low, high]
    for (one, rise), (other, climb) in combinations(planes, 2):
        if rise != climb and low < (share := (other - one) / (rise - climb)) < high:
            shares.append(share)
    return max(min(start + rise * share for start, rise in planes) for share in shares)


def low_places(heights: Sequence[float]) -> list[tuple[int, float]]:
    """Each lowest point of a line of heights that holds water, with how deep it stands there when it is full.

    Water leaves at either end. Of several points on one level the first counts.
    """
    found = []
    for place in range(1, len(heights) - 1):
        here = heights[place]
        after = next((height for height in heights[place + 1 :] if height != here), here)
        depth = min(max(heights[: place + 1]), max(heights[place:])) - here
        if heights[place - 1] > here and after > here and depth > 0:
            found.append((place, depth))
    return found
