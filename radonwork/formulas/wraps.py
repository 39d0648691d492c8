"""Curves drawn around a pipe and cut along: the mitre, and the saddle that sits on another pipe.

A strip of paper laid around the pipe turns the angle around it into a length. Along the pipe, the cut is as high as the
other body's surface is at that angle. All of it is exact geometry of the outside surfaces; the wall has no thickness.
"""

import sympy
from sympy import cos, sin, sqrt, tan

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import formula, symbol
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


# Derivations. Symbols that only they use: places along (x), across (y) and up (z), and lengths along the pipe's axis (t).
_d, _phi, _mu = symbol("pipe_outside_diameter"), symbol("wrap_angle"), symbol("mitre_angle")
_b, _h, _beta = symbol("branch_diameter"), symbol("header_diameter"), symbol("branch_angle")
_x, _y, _z, _t = sympy.symbols("x y z t", real=True)
_turn = sympy.Symbol("c", positive=True)

(
    Derivation(of=wrap_arc, title="An angle as a length around the pipe")
    .premise(
        "share",
        Eq(symbol("wrap_arc") / _turn, _phi / (2 * sympy.pi)),
        "Of the way c once around, the mark has gone the share that its angle is of a full turn.",
    )
    .premise("round", Eq(_turn, sympy.pi * _d), "Once around a round pipe is pi times its diameter.")
    .step(
        "arc",
        lambda share, round: Eq(symbol("wrap_arc"), sympy.solve(share.subs(_turn, round.rhs), symbol("wrap_arc"))[0]),
        "Put it in.",
    )
)

(
    Derivation(of=mitre_height, title="A plane cut, unrolled")
    .premise(
        "plane",
        Eq(_z, _x * tan(_mu)),
        "The cut is a plane; from the pipe's axis toward its high side it rises by the tangent of its angle.",
    )
    .premise(
        "wall",
        Eq(_x, -_d / 2 * cos(_phi)),
        "At the angle phi from the low side the wall is the radius times the cosine away from the axis, on the low side.",
    )
    .step("cut", lambda plane, wall: plane.subs(_x, wall.rhs), "So the cut lies this high, counted from the axis.")
    .step("lowest", lambda cut: Eq(_t, cut.rhs.subs(_phi, 0)), "Its lowest point is at no angle.")
    .step(
        "height",
        lambda cut, lowest: Eq(symbol("mitre_height"), sympy.factor(cut.rhs - lowest.rhs)),
        "The height above it.",
    )
)

(
    Derivation(of=saddle_reach, title="One pipe upon another, unrolled")
    .premise(
        "across",
        Eq(_y, _b / 2 * sin(_phi)),
        "Let the wider pipe lie along x. A point of the other's wall, at the angle phi around it and t along it, is this far "
        "to the side of the plane of both axes,",
    )
    .premise(
        "up",
        Eq(_z, _t * sin(_beta) + _b / 2 * cos(_phi) * cos(_beta)),
        "and this high above the wider pipe's axis: t along an axis that climbs by beta, and the radius turned to the side.",
    )
    .premise("round", Eq(_y**2 + _z**2, (_h / 2) ** 2), "Where the two walls meet, the point is on the wider pipe.")
    .step(
        "level", lambda round, across: Eq(_z**2, round.rhs - across.rhs**2), "So its height above that axis squared is"
    )
    .step("height", lambda level: Eq(_z, sqrt(level.rhs)), "and it lies on the upper side.")
    .step(
        "reach",
        lambda up, height: Eq(symbol("saddle_reach"), sympy.solve(Eq(height.rhs, up.rhs), _t)[0]),
        "Solve for the length along the pipe.",
    )
)
