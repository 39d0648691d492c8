"""Straight pieces of drain and of wall, and what they do at points: quickly from afar, exactly nearby."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from radonwork.solvers.field_tables import K0, K0_WITHOUT_POLE, PULL, PULL_WITHOUT_POLE, Table
from radonwork.solvers.slab_plan import Array, Point

_GAUSS, _WEIGHTS = np.polynomial.legendre.leggauss(4)
_NEAR = 1.5  # lengths of a piece within which it is not taken for two points
_LEAST = 1e-20  # of a squared distance; only so that it has a logarithm
_EVEN, _FINER, _MOST = 10, 16, 60  # pieces of one straight: fewest if all alike, fewest if finer at its ends, most


@dataclass(frozen=True)
class Pieces:
    """Straight pieces from `start` to `end` (each n x 2), each with the number of the straight line it is cut from.

    "K0" is K₀(r/B) from a piece to a point; "pull" is how that grows as the piece moves outward, K₁(r/B)/(B r) times how
    far outward of the piece the point lies. Both are means over the piece.
    """

    start: Array
    end: Array
    straight: Array

    @cached_property
    def middle(self) -> Array:
        return (self.start + self.end) / 2

    @cached_property
    def length(self) -> Array:
        return np.hypot(*(self.end - self.start).T)

    @cached_property
    def along(self) -> Array:
        return (self.end - self.start) / self.length[:, np.newaxis]

    @cached_property
    def outward(self) -> Array:
        """To the right of the way they run: out of an outline that runs counterclockwise."""
        return np.column_stack([self.along[:, 1], -self.along[:, 0]])

    def only(self, part: slice | Array) -> "Pieces":
        return Pieces(self.start[part], self.end[part], self.straight[part])

    def mean_k0(self, x: Array, y: Array, leakage_length: float) -> Array:
        """At points, each from its own piece or, as a column, from all: the logarithm exactly, the rest by Gauss's rule."""
        along, outward, ends = self._seen(x, y)
        rest = self._mean(K0_WITHOUT_POLE, along, outward, leakage_length)
        upper, lower = (end * np.log(np.hypot(end, outward) + np.finfo(float).tiny) for end in ends)
        mean_log = (upper - lower + outward * self._angle(outward, ends)) / self.length - 1
        return rest - mean_log + math.log(leakage_length)

    def mean_pull(self, x: Array, y: Array, leakage_length: float) -> Array:
        """The same of the pull, whose part 1/r² is the angle under which the piece is seen."""
        along, outward, ends = self._seen(x, y)
        rest = self._mean(PULL_WITHOUT_POLE, along, outward, leakage_length)
        return outward * rest / leakage_length**2 + self._angle(outward, ends) / self.length

    def pull_of_edge(self, x: Array, y: Array, leakage_length: float) -> Array:
        """What a suction of one along each piece of sealed wall takes away at points."""
        return -self.length * self.mean_pull(x, y, leakage_length)

    def _mean(self, table: Table, along: Array, outward: Array, leakage_length: float) -> Array:
        """Of a smooth function of the distance, by Gauss's rule."""
        found = np.zeros_like(along)
        for place, weight in zip(_GAUSS, _WEIGHTS, strict=True):
            squared = ((along - place * self.length / 2) ** 2 + outward**2) / leakage_length**2
            found += weight / 2 * table(np.maximum(squared, _LEAST, out=squared))
        return found

    def sloped_pull(self, x: Array, y: Array) -> Array:
        """What a piece pulls more if the suction along it is not the same but grows by one per length: its part 1/r²."""
        along, outward, (behind, ahead) = self._seen(x, y)
        logarithm = np.log(np.hypot(ahead, outward) / np.hypot(behind, outward))
        found: Array = outward * logarithm + along * self._angle(outward, (behind, ahead))
        return found

    def quick_k0(self, x: Array, y: Array, leakage_length: float) -> tuple[Array, Array]:
        """K₀ of each piece (rows) at points that are not near, from two points of it; and which are near."""
        one, other, near = self._pair(x, y, leakage_length)
        found = K0(one)
        found += K0(other)
        return found / 2, near

    def quick_pull(self, x: Array, y: Array, leakage_length: float) -> tuple[Array, Array]:
        """The same of the pull."""
        one, other, near = self._pair(x, y, leakage_length)
        found = PULL(one)
        found += PULL(other)
        (nx, ny), (mx, my) = self.outward.T[..., np.newaxis], self.middle.T[..., np.newaxis]
        found *= nx * x + ny * y - (nx * mx + ny * my)
        return found / (2 * leakage_length**2), near

    def _pair(self, x: Array, y: Array, leakage_length: float) -> tuple[Array, Array, Array]:
        """Squared distances, in leakage lengths, from two points of each piece (rows), and which are near the piece."""
        step = (self.end - self.start) / (2 * math.sqrt(3))
        one, other = ((x - at[:, :1]) ** 2 + (y - at[:, 1:]) ** 2 for at in (self.middle - step, self.middle + step))
        for squared in (one, other):
            squared *= leakage_length**-2
        # The mean of the two squares is the square from the middle and that of the step.
        within = (_NEAR**2 + 1 / 12) * (self.length / leakage_length) ** 2
        return one, other, one + other < 2 * within[:, np.newaxis]

    def _seen(self, x: Array, y: Array) -> tuple[Array, Array, tuple[Array, Array]]:
        """Points as the pieces see them: along each from its middle, outward, and along it from its two ends."""
        away_x, away_y = (axis - middle for axis, middle in zip((x, y), self.middle.T, strict=True))
        along, outward = (away_x * axis[:, 0] + away_y * axis[:, 1] for axis in (self.along, self.outward))
        outward[np.abs(outward) < 1e-12 * self.length] = 0.0
        return along, outward, (along + self.length / 2, along - self.length / 2)

    @staticmethod
    def _angle(outward: Array, ends: tuple[Array, Array]) -> Array:
        """The angle under which a piece is seen, with the sign of `outward`; none from its own straight line."""
        across = np.abs(outward)
        return np.sign(outward) * (np.arctan2(ends[0], across) - np.arctan2(ends[1], across))


def cut(start: Point, end: Point, size: float, finer_ends: bool) -> Array:
    """Ends of the pieces of a straight: all alike, or shorter towards its ends, where what it draws changes fastest."""
    count = min(max(math.ceil(math.dist(start, end) / size), _FINER if finer_ends else _EVEN), _MOST)
    share = np.arange(count + 1) / count
    if finer_ends:
        share = (1 - np.cos(np.pi * share)) / 2
    return np.array(start) + share[:, np.newaxis] * (np.array(end) - np.array(start))
