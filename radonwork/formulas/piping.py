"""Offsets, take-offs, cut lengths and turns of pipe: the mathematics of fitting pipe to a way in three dimensions.

An offset moves a pipe aside and leaves its direction. Its set is how far aside, its roll how far besides, square to the
set; the travel is the slanted piece between its two fittings and the run what it takes along the pipe. All lengths go
from centre to centre; what the fittings take off them gives the length to cut. All of it is exact geometry of straight
centre lines.
"""

from sympy import Abs, And, Max, Min, acos, atan, cos, sin, sqrt, tan

from radonwork.engine.formula import Formula, formula
from radonwork.engine.sources import Source

_OFFSET = Source(kind="derived", place="right triangles of two parallel centre lines and the piece between them")
_TURN = Source(kind="derived", place="directions of three pieces in a row and their scalar products")
_TAKE_OFF = Source(kind="derived", place="what lies between the centres of two fittings")
_MITRE = Source(kind="derived", place="a round pipe cut by a plane, one half turned half way round")
_ANGLE = ("0.1 deg", "90 deg")
_HAIR = 1e-7  # rad: an angle worked out before has its rounding, and the bounds themselves are allowed


@formula("true_offset", _OFFSET)
def true_offset(offset_set, offset_roll):
    """True offset of a rolling offset.

    Assumes a pipe that is parallel before and after, and a set and a roll measured square to it and to each other.
    """
    return sqrt(offset_set**2 + offset_roll**2)


@formula("roll_angle", _OFFSET, offset_set=("0.1 mm", "1000 m"))
def roll_angle(offset_set, offset_roll):
    """Angle by which a rolling offset is turned about the pipe from the direction of its set."""
    return atan(offset_roll / offset_set)


@formula("travel", _OFFSET, fitting_angle=_ANGLE)
def travel(true_offset, fitting_angle):
    """Length of the slanted piece of an offset, centre to centre.

    Assumes two fittings of the same angle.
    """
    return true_offset / sin(fitting_angle)


@formula("offset_run", _OFFSET, fitting_angle=_ANGLE)
def offset_run(true_offset, fitting_angle):
    """Length that an offset takes along the pipe, centre to centre.

    Assumes two fittings of the same angle.
    """
    return true_offset / tan(fitting_angle)


@formula("fitting_angle", _OFFSET, offset_run=("0.1 mm", "1000 m"))
def true_angle(true_offset, offset_run):
    """Angle of the two fittings that make a given offset in a given run."""
    return atan(true_offset / offset_run)


@formula("compound_angle", _TURN, fitting_angle=_ANGLE, next_fitting_angle=_ANGLE, turn_angle=("0 deg", "180 deg"))
def compound_angle(fitting_angle, next_fitting_angle, turn_angle):
    """Angle that two fittings make together when one is turned against the other."""
    cosine = cos(fitting_angle) * cos(next_fitting_angle) - sin(fitting_angle) * sin(next_fitting_angle) * cos(
        turn_angle
    )
    return acos(Max(-1, Min(1, cosine)))


@formula(
    "turn_angle",
    _TURN,
    when={
        "the angle is no more than both fittings together and no less than their difference": (
            lambda fitting_angle, next_fitting_angle, compound_angle: And(
                compound_angle <= fitting_angle + next_fitting_angle + _HAIR,
                compound_angle >= Abs(fitting_angle - next_fitting_angle) - _HAIR,
            )
        ),
    },
    fitting_angle=_ANGLE,
    next_fitting_angle=_ANGLE,
    compound_angle=("0 deg", "180 deg"),
)
def turn_angle(fitting_angle, next_fitting_angle, compound_angle):
    """How far to turn one fitting against the next so that together they make a given angle.

    Assumes the turn counted from the position in which both bend the same way.
    """
    cosine = (cos(fitting_angle) * cos(next_fitting_angle) - cos(compound_angle)) / (
        sin(fitting_angle) * sin(next_fitting_angle)
    )
    return acos(Max(-1, Min(1, cosine)))


@formula(
    "turn_arc", Source(kind="derived", place="an arc is its angle times its radius"), turn_angle=("0 deg", "180 deg")
)
def turn_arc(turn_angle, pipe_outside_diameter):
    """Turn of a fitting as a length to mark around the pipe."""
    return turn_angle * pipe_outside_diameter / 2


@formula("take_off", _TAKE_OFF, fitting_angle=("0 deg", "120 deg"))
def bend_take_off(bend_radius, fitting_angle):
    """Take-off of a bend from the radius of its centre line.

    Assumes pipe that ends where the bend begins; a socket's stop may leave a little straight before it.
    """
    return bend_radius * tan(fitting_angle / 2)


@formula(
    "take_off",
    _TAKE_OFF,
    when={"the socket is no deeper than the fitting reaches": lambda centre_to_end, socket_depth: (
        socket_depth <= centre_to_end
    )},
)  # fmt: skip
def fitting_take_off(centre_to_end, socket_depth):
    """Take-off of a fitting from what can be measured on it.

    Assumes the pipe pushed to the stop; where it stops short, measure the depth to which it really goes.
    """
    return centre_to_end - socket_depth


@formula(
    "least_take_off",
    Source(kind="derived", place="two straight bores whose centre lines meet, seen square to both"),
    leg_angle=("30 deg", "150 deg"),
)
def least_take_off(bore, other_bore, leg_angle):
    """Take-off of a leg of a wye or tee at which the end of its pipe just leaves the opening of another leg.

    Assumes straight bores and round pipes; a fitting takes more, as its sockets have walls and its corners are rounded.
    Below zero the pipe may reach past the centre.
    """
    return (other_bore + bore * cos(leg_angle)) / (2 * sin(leg_angle))


@formula("cut_length", _TAKE_OFF)
def cut_length(centre_to_centre, take_off, next_take_off):
    """Length to which a piece is cut.

    Assumes both ends at the stops of their sockets. Below zero the fittings are too near for any pipe between them.
    """
    return centre_to_centre - take_off - next_take_off


@formula("offset_cut", _TAKE_OFF)
def offset_cut(travel, take_off):
    """Length to which the slanted piece of an offset is cut.

    Assumes two fittings alike, and both ends at the stops of their sockets.
    """
    return travel - 2 * take_off


@formula(
    "spread_shift",
    Source(kind="derived", place="lines at one distance before and after the turn"),
    fitting_angle=_ANGLE,
)
def spread_shift(pipe_spread, fitting_angle):
    """How much earlier the inner of two pipes side by side turns so that they keep their distance.

    Assumes both turned by the same angle in the plane that holds both pipes.
    """
    return pipe_spread * tan(fitting_angle / 2)


@formula("mitre_cut_angle", _MITRE, fitting_angle=("0.1 deg", "180 deg"), mitre_cuts=("1", "100"))
def mitre_cut_angle(fitting_angle, mitre_cuts):
    """Angle of each cut of a mitred bend from a square cut.

    Assumes joints that all turn the pipe by the same angle.
    """
    return fitting_angle / (2 * mitre_cuts)


@formula("mitre_depth", _MITRE, mitre_cut_angle=("0 deg", "85 deg"))
def mitre_depth(pipe_outside_diameter, mitre_cut_angle):
    """How much longer the long side of a mitred end is than its short side."""
    return pipe_outside_diameter * tan(mitre_cut_angle)


__all__ = [name for name, value in list(globals().items()) if isinstance(value, Formula)]
