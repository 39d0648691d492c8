"""Cubics through points, each with the slopes it has there: smooth, or monotone without overshoot.

scipy has both, and the tests hold these against it; but importing its interpolation takes longer than a report has.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

Array = np.ndarray


@dataclass(frozen=True)
class Cubics:
    """A cubic from each of the rising `knots` to the next, with `values` and `slopes` (along the first axis) at them."""

    knots: Array
    values: Array
    slopes: Array

    @cached_property
    def pieces(self) -> tuple[Array, Array, Array, Array]:
        """Coefficients of each piece, that of the third power of the distance from its first knot before the others."""
        width = _upright(np.diff(self.knots), self.values)
        rise, first, last = np.diff(self.values, axis=0) / width, self.slopes[:-1], self.slopes[1:]
        bend = (first + last - 2 * rise) / width
        return bend / width, (rise - first) / width - bend, first, self.values[:-1]

    def __call__(self, at: Array) -> Array:
        """Values at places; beyond the ends the outermost cubics go on."""
        piece = np.clip(np.searchsorted(self.knots, at, side="right") - 1, 0, len(self.knots) - 2)
        a, b, c, d = (part[piece] for part in self.pieces)
        x = np.asarray(at - self.knots[piece])
        x = x.reshape(*x.shape, *(1 for _ in self.values.shape[1:]))
        found: Array = ((a * x + b) * x + c) * x + d
        return found


def smooth(knots: Array, values: Array) -> Cubics:
    """The cubic spline through four points or more, its first two pieces one cubic and its last two another."""
    knots, values = np.asarray(knots, dtype=float), np.asarray(values, dtype=float)
    width = np.diff(knots)
    rise = np.diff(values, axis=0) / _upright(width, values)
    count = len(knots)
    system, right = np.zeros((count, count)), np.empty_like(values)
    for here in range(1, count - 1):  # the second derivative is the same from both sides
        before, after = width[here - 1], width[here]
        system[here, here - 1 : here + 2] = after, 2 * (before + after), before
        right[here] = 3 * (after * rise[here - 1] + before * rise[here])
    for end, inner in ((0, 1), (-1, -2)):  # and at the second knot from each end the third one too
        outer, next_ = width[end], width[inner]
        both = outer + next_
        system[end, end], system[end, inner] = next_, both
        right[end] = ((outer + 2 * both) * next_ * rise[end] + outer**2 * rise[inner]) / both
    flat = np.linalg.solve(system, right.reshape(count, -1))
    return Cubics(knots, values, flat.reshape(values.shape))


def monotone(knots: Array, values: Array) -> Cubics:
    """The monotone cubic (PCHIP) through two points or more: it never leaves the range of its two neighbours."""
    knots, values = np.asarray(knots, dtype=float), np.asarray(values, dtype=float)
    width = np.diff(knots)
    rise = np.diff(values) / width
    if len(knots) == 2:
        return Cubics(knots, values, np.repeat(rise, 2))
    before, after = rise[:-1], rise[1:]
    slopes = np.zeros_like(values)
    same = before * after > 0  # elsewhere the points turn, and the curve is level
    to_before, to_after = (2 * width[1:] + width[:-1])[same], (width[1:] + 2 * width[:-1])[same]
    slopes[1:-1][same] = (to_before + to_after) / (to_before / before[same] + to_after / after[same])
    slopes[0], slopes[-1] = _end_slope(*width[:2], *rise[:2]), _end_slope(*width[:-3:-1], *rise[:-3:-1])
    return Cubics(knots, values, slopes)


def _end_slope(width: float, next_width: float, rise: float, next_rise: float) -> float:
    """Of the parabola through three points at their end, held back where it would overshoot."""
    slope = ((2 * width + next_width) * rise - width * next_rise) / (width + next_width)
    if slope * rise <= 0:
        return 0.0
    return 3 * rise if rise * next_rise <= 0 and abs(slope) > 3 * abs(rise) else slope


def _upright(row: Array, beside: Array) -> Array:
    """A row as a column that goes with arrays of as many dimensions as `beside`."""
    return row.reshape(-1, *(1 for _ in beside.shape[1:]))
