"""Curves drawn around a pipe and cut along: the mitre, and the saddle that sits on another pipe.

A strip of paper laid around the pipe turns the angle around it into a length. Along the pipe, the cut is as high as the
other body's surface is at that angle. All of it is exact geometry of the outside surfaces; the wall has no thickness.
"""

from sympy import cos, sin, sqrt, tan

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_GEOMETRY = Source(kind="derived", place="geometry of straight round pipes, their outside surfaces")


@formula("wrap_arc", _GEOMETRY)
def wrap_arc(pipe_outside_diameter, wrap_angle):
    """Length around the outside of a pipe that an angle takes: where the mark goes on a strip of paper.

    Assumes a strip without thickness, laid square around the pipe.
    """
    return pipe_outside_diameter * wrap_angle / 2


@formula("mitre_height", _GEOMETRY, mitre_angle=("0 deg", "75 deg"))
def mitre_height(pipe_outside_diameter, mitre_angle, wrap_angle):
    """Height of a mitre's cut around the pipe, above its lowest point.

    Assumes a plane cut through a round pipe, and angles counted from the lowest point of the cut.
    """
    return pipe_outside_diameter / 2 * tan(mitre_angle) * (1 - cos(wrap_angle))


@formula(
    "saddle_reach",
    _GEOMETRY,
    when={
        "the pipe that is cut is no wider than the one it sits on": lambda branch_diameter, header_diameter: (
            branch_diameter <= header_diameter
        ),
    },
    branch_angle=("20 deg", "90 deg"),
)
def saddle_reach(branch_diameter, header_diameter, branch_angle, wrap_angle):
    """Where a pipe's wall meets the pipe on which it sits, measured along it from the other's axis.

    Assumes two round pipes whose axes meet, and angles counted from the heel: at 0 the wall of the pipe that is cut stands
    in the wider angle between the two, at 180 degrees in the narrower one.
    """
    around = branch_diameter / 2 * sin(wrap_angle)
    along = branch_diameter / 2 * cos(wrap_angle)
    return (sqrt((header_diameter / 2) ** 2 - around**2) - along * cos(branch_angle)) / sin(branch_angle)
