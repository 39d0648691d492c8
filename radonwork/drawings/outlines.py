"""Outlines that drawings and templates have in common, in numbers or in expressions alike."""

import math
from typing import Any, TypeAlias

Length: TypeAlias = Any  # a number, or an expression of the glossary's terms


def slot_outline(radius: Length, half_centres: Length) -> list[tuple[Length, Length]]:
    """Two half circles `half_centres` to each side of the middle, joined."""
    steps = 24
    ends = []
    for side, start in ((1, -math.pi / 2), (-1, math.pi / 2)):
        for step in range(steps + 1):
            turn = start + math.pi * step / steps
            ends.append((side * half_centres + radius * math.cos(turn), radius * math.sin(turn)))
    return ends
