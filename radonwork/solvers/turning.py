"""How far one fitting is turned against the next, from the directions of the three pieces they join."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    import numpy as np

Direction: TypeAlias = "Sequence[float] | np.ndarray"
_STRAIGHT = 1e-6  # sine of an angle too small for a fitting


def angle_between(one: Direction, other: Direction) -> float:
    """The angle of a fitting between two pieces, rad, from 0 to pi; directions of any length."""
    return math.atan2(math.hypot(*_cross(one, other)), _dot(one, other))


def turn_between(before: Direction, between: Direction, after: Direction) -> float | None:
    """By how much the second fitting is turned about the middle piece against the first, rad, above -pi and up to pi.

    Nothing where both bend the same way; positive turns by the right hand along the flow. None where a piece goes
    straight on or straight back, so that there is no bend to turn.
    """
    first, second = _cross(before, between), _cross(between, after)
    if math.hypot(*first) < _STRAIGHT * math.hypot(*before) * math.hypot(*between):
        return None
    if math.hypot(*second) < _STRAIGHT * math.hypot(*between) * math.hypot(*after):
        return None
    return math.atan2(_dot(_cross(first, second), between) / math.hypot(*between), _dot(first, second))


def _cross(a: Direction, b: Direction) -> tuple[float, float, float]:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _dot(a: Direction, b: Direction) -> float:
    return float(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])
