"""Holes for a plumb pipe through plates, bored by a drill that leans a little: where they come out, what still passes.

A straight row of holes bored in one go through several plates is one leaning hole as far as a plumb pipe is concerned;
plates bored each from its own mark are so many short ones, with the errors of their marks. How far aside one leaning hole
comes out is in `radonwork.formulas.transfer`.
"""

from sympy import acos, atan, cos, sin, sqrt, tan

from radonwork.engine.formula import Formula, formula
from radonwork.engine.sources import Source

_ROW = Source(kind="derived", place="a round hole along a leaning drill, cut by two level faces")
_ERRORS = Source(kind="derived", place="how errors of marks add up")
_LEAN = ("0 deg", "45 deg")


@formula("stack_height", Source(kind="derived", place="the sum of its parts"), plate_count=("1", "100"))
def stack_height(plate_count, plate_thickness, plate_gap):
    """Height of all plates bored in one go.

    Assumes plates of one thickness at equal gaps.
    """
    return plate_count * plate_thickness + (plate_count - 1) * plate_gap


@formula("worst_centre_error", _ERRORS, plate_count=("1", "100"))
def worst_centre_error(plate_count, mark_error, hole_drift):
    """How far the last hole's centre is off at most.

    Assumes the centre carried on from plate to plate, every time off by the whole error and always the same way.
    """
    return (plate_count - 1) * mark_error + hole_drift


@formula("likely_centre_error", _ERRORS, plate_count=("1", "100"))
def likely_centre_error(plate_count, mark_error, hole_drift):
    """How far the last hole's centre is off if the errors have nothing to do with each other.

    Assumes errors that are as often to one side as to the other: the result is of the same kind as what went in, a
    standard deviation from standard deviations.
    """
    return sqrt((plate_count - 1) * mark_error**2 + hole_drift**2)


@formula(
    "least_plate_hole",
    _ROW,
    when={
        "the row is at least as high as the pipe is wide times the tangent of the lean": (
            lambda stack_height, pipe_outside_diameter, drill_lean: (
                stack_height >= pipe_outside_diameter * tan(drill_lean)
            )
        ),
    },
    drill_lean=_LEAN,
)
def least_plate_hole(pipe_outside_diameter, stack_height, drill_lean):
    """Smallest hole that a plumb pipe passes although it leans.

    Assumes a straight round hole through level faces, bored in one go, and a plumb straight pipe in the middle of it.
    """
    return pipe_outside_diameter * cos(drill_lean) + stack_height * sin(drill_lean)


def _lean_limit(hole, wide, high):
    """The lean at which a round hole leaves just so much between its first and its last face."""
    return atan(high / wide) - acos(hole / sqrt(high**2 + wide**2))


@formula(
    "largest_drill_angle",
    _ROW,
    when={
        "the hole is no smaller than the pipe": lambda hole_diameter, pipe_outside_diameter: (
            hole_diameter >= pipe_outside_diameter
        ),
        "the hole is smaller than the diagonal of row and pipe; a wider one passes at any lean": (
            lambda hole_diameter, pipe_outside_diameter, stack_height: (
                hole_diameter**2 < stack_height**2 + pipe_outside_diameter**2
            )
        ),
    },
)
def largest_drill_angle(hole_diameter, pipe_outside_diameter, stack_height):
    """Largest lean of the drill with which a plumb pipe still passes a row of holes bored in one go.

    Assumes a straight round hole through level faces and a plumb straight pipe in the middle of it.
    """
    return _lean_limit(hole_diameter, pipe_outside_diameter, stack_height)


@formula(
    "plate_lean_limit",
    _ROW,
    when={
        "the hole is no smaller than the pipe with the mark's error on both sides": (
            lambda hole_diameter, pipe_outside_diameter, mark_error: (
                hole_diameter >= pipe_outside_diameter + 2 * mark_error
            )
        ),
        "the hole is smaller than the diagonal of plate and pipe; a wider one passes at any lean": (
            lambda hole_diameter, pipe_outside_diameter, mark_error, plate_thickness: (
                hole_diameter**2 < plate_thickness**2 + (pipe_outside_diameter + 2 * mark_error) ** 2
            )
        ),
    },
)
def plate_lean_limit(hole_diameter, pipe_outside_diameter, mark_error, plate_thickness):
    """Largest lean of the drill where each plate is bored from a mark of its own.

    Assumes marks that all lie within their error of one plumb line, on which the pipe stands; each hole may lean its own
    way.
    """
    return _lean_limit(hole_diameter, pipe_outside_diameter + 2 * mark_error, plate_thickness)


__all__ = [name for name, value in list(globals().items()) if isinstance(value, Formula)]
