"""Curves around a pipe derived: a plane and another pipe met at each angle around it."""

import sympy
from sympy import cos, sin, sqrt, tan

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import symbol
from radonwork.formulas.wraps import mitre_height, saddle_reach, wrap_arc

_d, _phi, _mu = symbol("pipe_outside_diameter"), symbol("wrap_angle"), symbol("mitre_angle")
_b, _h, _beta = symbol("branch_diameter"), symbol("header_diameter"), symbol("branch_angle")
# Symbols that are no terms of the glossary: places along (x), across (y) and up (z), and lengths along the pipe's axis (t).
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
