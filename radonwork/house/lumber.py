"""Dressed sizes of softwood lumber by nominal size, dry and green."""

from typing import Literal

from radonwork.files import table
from radonwork.units import from_unit

Seasoning = Literal["dry", "green"]


class LumberError(ValueError):
    """No such lumber in the table; one plain line that names the sizes there are."""


def dressed_size(nominal: str, seasoning: str = "dry") -> float:
    """Actual thickness or width, in metres, of lumber called `nominal` ("2", "4", … inches), by PS 20.

    `seasoning` is "dry" (19 % moisture or less) or "green". Old houses differ: measure. Raises LumberError, one line.
    """
    sizes = {row["nominal"]: row for row in table("lumber")}
    if nominal not in sizes:
        raise LumberError(f"lumber size {nominal[:40]!r} is not in the table; there are {', '.join(sizes)}")
    if seasoning not in ("dry", "green"):
        raise LumberError(f"seasoning {seasoning[:40]!r} is not known; there are dry and green")
    return float(from_unit(float(sizes[nominal][f"{seasoning}_in"]), "in"))


def stud_size(nominal: str, seasoning: str = "dry") -> tuple[float, float]:
    """Actual thickness and width, in metres, of lumber called "2x4" and the like."""
    thickness, _, width = nominal.partition("x")
    return dressed_size(thickness.strip(), seasoning), dressed_size(width.strip(), seasoning)
