"""Offsets, take-offs and turns derived: right triangles of centre lines, and scalar products of their directions."""

import sympy
from sympy import Max, Min, acos, atan, cos, sin, sqrt, tan

from radonwork.engine.derivation import Derivation, Eq, solved
from radonwork.engine.formula import symbol
from radonwork.formulas.piping import (
    bend_take_off,
    compound_angle,
    cut_length,
    fitting_take_off,
    least_take_off,
    mitre_cut_angle,
    mitre_depth,
    offset_cut,
    offset_run,
    roll_angle,
    spread_shift,
    travel,
    true_angle,
    true_offset,
    turn_angle,
    turn_arc,
)

_s, _r, _f, _l, _a = (symbol(n) for n in ("offset_set", "offset_roll", "true_offset", "travel", "offset_run"))
_phi, _phi_2, _gamma, _turn = (
    symbol(n) for n in ("fitting_angle", "next_fitting_angle", "compound_angle", "turn_angle")
)
_d, _arc, _m, _m_2 = (symbol(n) for n in ("pipe_outside_diameter", "turn_arc", "take_off", "next_take_off"))
_R, _c, _e, _h = (symbol(n) for n in ("bend_radius", "centre_to_centre", "centre_to_end", "socket_depth"))
_w, _shift, _n, _cut = (symbol(n) for n in ("pipe_spread", "spread_shift", "mitre_cuts", "mitre_cut_angle"))
_bore, _other, _between, _least = (symbol(n) for n in ("bore", "other_bore", "leg_angle", "least_take_off"))
# Symbols that are no terms of the glossary: components of two directions.
_ux, _uy, _uz, _wx, _wy, _wz = sympy.symbols("u_x u_y u_z w_x w_y w_z", real=True)


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
    .step("travel", lambda triangle: solved(triangle, _l), "Solve for the travel.")
)
(
    Derivation(of=offset_run, title="Run of an offset")
    .premise("triangle", Eq(tan(_phi), _f / _a), "In the same triangle the run lies beside the angle.")
    .step("run", lambda triangle: solved(triangle, _a), "Solve for the run.")
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
    .step("arc", lambda share: solved(share, _arc), "Solve for the arc.")
)
(
    Derivation(of=bend_take_off, title="Take-off of a bend")
    .premise(
        "triangle",
        Eq(tan(_phi / 2), _m / _R),
        "The two straight centre lines touch the bend's arc at its ends and meet in the fitting's centre. The line from "
        "there to the arc's middle point halves the angle, and stands square to no side but the radius at the end.",
    )
    .step("take_off", lambda triangle: solved(triangle, _m), "Solve for the distance from centre to end of the arc.")
)
(
    Derivation(of=fitting_take_off, title="Take-off as measured on a fitting")
    .premise("parts", Eq(_e, _m + _h), "From the centre to the face: first to the pipe's end, then the socket's depth.")
    .step("take_off", lambda parts: solved(parts, _m), "Solve for the first.")
)
(
    Derivation(of=least_take_off, title="Where the openings of a wye or tee meet")
    .premise(
        "corner",
        Eq(_other / 2, _least * sin(_between) - _bore / 2 * cos(_between)),
        "The bores meet in a corner that lies half a bore aside of the one centre line and half the other bore aside of the "
        "other. A point so far along the first line, and half its bore toward the other, lies from the other line by its "
        "shares square to it.",
    )
    .step("least", lambda corner: solved(corner, _least), "Solve for the distance along the first line.")
)
(
    Derivation(of=cut_length, title="From centre to centre to the cut")
    .premise(
        "parts",
        Eq(_c, _m + symbol("cut_length") + _m_2),
        "From centre to centre: the take-off of the first fitting, the pipe, the take-off of the second.",
    )
    .step("cut", lambda parts: solved(parts, symbol("cut_length")), "Solve for the pipe.")
)
(
    Derivation(of=offset_cut, title="From the travel to the cut")
    .premise(
        "parts",
        Eq(_l, _m + symbol("offset_cut") + _m),
        "From centre to centre of the two fittings: one take-off, the pipe, the other take-off.",
    )
    .step("cut", lambda parts: solved(parts, symbol("offset_cut")), "Solve for the pipe.")
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
        lambda after: Eq(_shift, sympy.factor(solved(after, _shift).rhs)),
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
    .step("cut", lambda joint: solved(joint, _cut), "Solve for the slant of each cut.")
)
(
    Derivation(of=mitre_depth, title="Long side and short side of a mitred end")
    .premise(
        "triangle",
        Eq(tan(_cut), symbol("mitre_depth") / _d),
        "Seen from the side the cut slants across the whole diameter.",
    )
    .step("depth", lambda triangle: solved(triangle, symbol("mitre_depth")), "Solve for the difference.")
)
