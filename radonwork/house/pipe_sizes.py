"""Sizes of PVC pipe by nominal size and schedule, the nominal figure beside the actual ones."""

from dataclasses import dataclass
from functools import cache
from typing import Literal

from radonwork.files import table
from radonwork.units import QuantityError, from_unit, read

Schedule = Literal["40", "80"]
Wall = Literal["least", "mean", "nominal"]
SCHEDULES: tuple[Schedule, ...] = ("40", "80")


class PipeSizeError(ValueError):
    """No such pipe in the table; one plain line that names the sizes there are."""


@dataclass(frozen=True)
class PipeSize:
    """One pipe, in metres. `wall` says which wall the bore was taken with; `nominal_diameter` is what it is called by."""

    nominal: str
    schedule: Schedule
    wall: Wall
    outside_diameter: float
    wall_thickness: float
    bore: float
    nominal_diameter: float


@cache
def nominal_sizes() -> tuple[str, ...]:
    """Nominal sizes in the table: "1-1/2", "2", …"""
    return tuple(row["nominal_in"] for row in table("pipe_dimensions"))


@cache
def pipe_size(nominal: str, schedule: str = "40", wall: str = "least") -> PipeSize:
    """The pipe called `nominal` ("3", "3 in" or "1-1/2 in"), with ASTM D1785's dimensions.

    The bore is that left by the `wall`: the standard's least wall (the largest bore), the mean of its least and largest
    wall, or "nominal", where the bore is the nominal size, as a trade table reckons, and the wall is what that leaves.
    Raises PipeSizeError, one line.
    """
    sizes = ", ".join(nominal_sizes()) + " in"
    try:
        wanted = read(nominal, "length", unit="in").value
    except QuantityError as reason:
        raise PipeSizeError(f"pipe size {reason}; there are {sizes}") from None
    row = next(
        (r for r in table("pipe_dimensions") if read(r["nominal_in"], "length", unit="in").value == wanted), None
    )
    if row is None:
        raise PipeSizeError(f"pipe size {nominal[:40]!r} is not in the table; there are {sizes}")
    if schedule not in SCHEDULES:
        raise PipeSizeError(f"schedule {schedule[:40]!r} is not in the table; there are {' and '.join(SCHEDULES)}")
    outside = _inches(row["OD_in"])
    least, largest = (_inches(row[f"wall_{schedule}_{which}_in"]) for which in ("min", "max"))
    if wall == "least":
        thickness = least
    elif wall == "mean":
        thickness = (least + largest) / 2
    elif wall == "nominal":
        thickness = (outside - wanted) / 2
    else:
        raise PipeSizeError(f"wall {wall[:40]!r} is not known; there are least, mean and nominal")
    from radonwork.formulas.pipes import (
        pipe_bore,  # here, so that reading a record without a nominal size loads no sympy
    )

    bore = float(pipe_bore(pipe_outside_diameter=outside, wall_thickness=thickness))
    return PipeSize(row["nominal_in"], schedule, wall, outside, thickness, bore, wanted)  # type: ignore[arg-type]


def _inches(text: str) -> float:
    return float(from_unit(float(text), "in"))
