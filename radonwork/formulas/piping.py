"""Offsets, take-offs, cut lengths and turns of pipe: the mathematics of fitting pipe to a way in three dimensions.

An offset moves a pipe aside and leaves its direction. Its set is how far aside, its roll how far besides, square to the
set; the travel is the slanted piece between its two fittings and the run what it takes along the pipe. All lengths go
from centre to centre; what the fittings take off them gives the length to cut. All of it is exact geometry of straight
centre lines.
"""

import sympy
from sympy import Abs, And, Max, Min, acos, atan, cos, sin, sqrt, tan

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, formula, symbol
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


# ---------------------------------------------------------------- derivations

_s, _r, _f, _l, _a = (symbol(n) for n in ("offset_set", "offset_roll", "true_offset", "travel", "offset_run"))
_phi, _phi_2, _gamma, _turn = (
    symbol(n) for n in ("fitting_angle", "next_fitting_angle", "compound_angle", "turn_angle")
)
_d, _arc, _m, _m_2 = (symbol(n) for n in ("pipe_outside_diameter", "turn_arc", "take_off", "next_take_off"))
_R, _c, _e, _h = (symbol(n) for n in ("bend_radius", "centre_to_centre", "centre_to_end", "socket_depth"))
_w, _shift, _n, _cut = (symbol(n) for n in ("pipe_spread", "spread_shift", "mitre_cuts", "mitre_cut_angle"))
# Symbols that only the derivations use: components of two directions.
_ux, _uy, _uz, _wx, _wy, _wz = sympy.symbols("u_x u_y u_z w_x w_y w_z", real=True)


def _solved(equation: Eq, wanted: sympy.Symbol) -> Eq:
    (root,) = sympy.solve(equation, wanted)
    return Eq(wanted, root)


(
    Derivation(of=true_offset, title="The true offset of a rolling offset")
    .premise(
        "sides",
        Eq(_f**2, _s**2 + _r**2),
        "Seen along the pipe, set and roll are the sides of a right angle and the true offset joins their ends (Pythagoras).",
    )
    .step("offset", lambda sides: Eq(_f, sqrt(sides.rhs)), "A distance is the positive root.")
)
(
    Derivation(of=roll_angle, title="How far an offset is rolled")
    .premise(
        "sides",
        Eq(tan(symbol("roll_angle")), _r / _s),
        "Seen along the pipe, the roll lies opposite the angle and the set beside it.",
    )
    .step("angle", lambda sides: Eq(symbol("roll_angle"), atan(sides.rhs)), "The angle with that tangent.")
)
(
    Derivation(of=travel, title="Travel of an offset")
    .premise(
        "triangle",
        Eq(sin(_phi), _f / _l),
        "Travel, offset and run make a right triangle in the plane of the offset. The first fitting turns the pipe by the "
        "angle between run and travel, so the offset lies opposite it.",
    )
    .step("travel", lambda triangle: _solved(triangle, _l), "Solve for the travel.")
)
(
    Derivation(of=offset_run, title="Run of an offset")
    .premise("triangle", Eq(tan(_phi), _f / _a), "In the same triangle the run lies beside the angle.")
    .step("run", lambda triangle: _solved(triangle, _a), "Solve for the run.")
)
(
    Derivation(of=true_angle, title="The angle that an offset and a run ask for")
    .premise("triangle", Eq(tan(_phi), _f / _a), "In the triangle of the offset the run lies beside the angle.")
    .step("angle", lambda triangle: Eq(_phi, atan(triangle.rhs)), "The angle with that tangent.")
)


def _directions(derivation: Derivation) -> Derivation:
    """The angle between the first and the last of three pieces, from their directions."""
    return (
        derivation.premise(
            "first_across",
            Eq(_ux, -sin(_phi)),
            "Let z run along the middle piece and x lie in the plane of the first fitting. The piece before it, one unit "
            "long, has this part along x,",
        )
        .premise("first_along", Eq(_uz, cos(_phi)), "this part along z, and none along y.")
        .premise(
            "last_across",
            Eq(_wx, sin(_phi_2) * cos(_turn)),
            "The piece after the second fitting, turned about z, has this part along x,",
        )
        .premise("last_aside", Eq(_wy, sin(_phi_2) * sin(_turn)), "this along y,")
        .premise("last_along", Eq(_wz, cos(_phi_2)), "and this along z.")
        .premise(
            "product",
            Eq(cos(_gamma), _ux * _wx + _uz * _wz),
            "The scalar product of two directions is the cosine of the angle between them; the first has no part along y.",
        )
        .step(
            "together",
            lambda product, first_across, first_along, last_across, last_along: Eq(
                product.lhs,
                product.rhs.subs(
                    {_ux: first_across.rhs, _uz: first_along.rhs, _wx: last_across.rhs, _wz: last_along.rhs}
                ),
            ),
            "Put the parts in.",
        )
    )


_directions(Derivation(of=compound_angle, title="What two fittings make together")).step(
    "angle",
    lambda together: Eq(_gamma, acos(Max(-1, Min(1, together.rhs)))),
    "The angle with that cosine, which is never beyond 1.",
)
_directions(Derivation(of=turn_angle, title="How far to turn one fitting against the next")).step(
    "cosine",
    lambda together: Eq(cos(_turn), sympy.solve(together, cos(_turn))[0]),
    "Solve for the cosine of the turn.",
).step(
    "angle",
    lambda cosine: Eq(_turn, acos(Max(-1, Min(1, cosine.rhs)))),
    "The angle with that cosine, which is never beyond 1.",
)
(
    Derivation(of=turn_arc, title="The turn as a length around the pipe")
    .premise(
        "share",
        Eq(_arc / (sympy.pi * _d), _turn / (2 * sympy.pi)),
        "The arc is the same share of the circumference as the turn is of a whole one.",
    )
    .step("arc", lambda share: _solved(share, _arc), "Solve for the arc.")
)
(
    Derivation(of=bend_take_off, title="Take-off of a bend")
    .premise(
        "triangle",
        Eq(tan(_phi / 2), _m / _R),
        "The two straight centre lines touch the bend's arc at its ends and meet in the fitting's centre. The line from "
        "there to the arc's middle point halves the angle, and stands square to no side but the radius at the end.",
    )
    .step("take_off", lambda triangle: _solved(triangle, _m), "Solve for the distance from centre to end of the arc.")
)
(
    Derivation(of=fitting_take_off, title="Take-off as measured on a fitting")
    .premise("parts", Eq(_e, _m + _h), "From the centre to the face: first to the pipe's end, then the socket's depth.")
    .step("take_off", lambda parts: _solved(parts, _m), "Solve for the first.")
)
(
    Derivation(of=cut_length, title="From centre to centre to the cut")
    .premise(
        "parts",
        Eq(_c, _m + symbol("cut_length") + _m_2),
        "From centre to centre: the take-off of the first fitting, the pipe, the take-off of the second.",
    )
    .step("cut", lambda parts: _solved(parts, symbol("cut_length")), "Solve for the pipe.")
)
(
    Derivation(of=offset_cut, title="From the travel to the cut")
    .premise(
        "parts",
        Eq(_l, _m + symbol("offset_cut") + _m),
        "From centre to centre of the two fittings: one take-off, the pipe, the other take-off.",
    )
    .step("cut", lambda parts: _solved(parts, symbol("offset_cut")), "Solve for the pipe.")
)
(
    Derivation(of=spread_shift, title="Two pipes that keep their distance around a turn")
    .premise(
        "after",
        Eq(_shift * sin(_phi) + _w * cos(_phi), _w),
        "From the outer pipe's corner let the inner pipe's corner lie w aside, where it keeps its distance before the turn, "
        "and the shift earlier. Its distance from the outer pipe's line after the turn is the left side, and that is to be w "
        "too.",
    )
    .step(
        "shift",
        lambda after: Eq(_shift, sympy.factor(_solved(after, _shift).rhs)),
        "Solve for the shift.",
    )
    .step(
        "half",
        lambda shift: Eq(
            _shift,
            sympy.simplify(
                shift.rhs.subs(
                    {cos(_phi): 1 - 2 * sin(_phi / 2) ** 2, sin(_phi): 2 * sin(_phi / 2) * cos(_phi / 2)}
                )
            ),
        ),
        "Sine and cosine by those of half the angle: their quotient is the tangent of the half.",
    )
)  # fmt: skip
(
    Derivation(of=mitre_cut_angle, title="Cuts of a mitred bend")
    .premise(
        "joint",
        Eq(_phi, _n * 2 * _cut),
        "A pipe cut slanting, one half turned half way round and put back, turns by twice the slant of the cut; n such "
        "joints turn it by the whole angle.",
    )
    .step("cut", lambda joint: _solved(joint, _cut), "Solve for the slant of each cut.")
)
(
    Derivation(of=mitre_depth, title="Long side and short side of a mitred end")
    .premise(
        "triangle",
        Eq(tan(_cut), symbol("mitre_depth") / _d),
        "Seen from the side the cut slants across the whole diameter.",
    )
    .step("depth", lambda triangle: _solved(triangle, symbol("mitre_depth")), "Solve for the difference.")
)

__all__ = [name for name, value in list(globals().items()) if isinstance(value, Formula)]
