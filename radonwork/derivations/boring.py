"""Holes through plates derived: a round hole along a leaning drill cut by level faces, errors of marks added up."""

import sympy
from sympy import acos, atan, cos, sin, sqrt, tan

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, symbol
from radonwork.formulas.boring import (
    largest_drill_angle,
    least_plate_hole,
    likely_centre_error,
    plate_lean_limit,
    stack_height,
    worst_centre_error,
)

_k, _t, _g, _H = (symbol(n) for n in ("plate_count", "plate_thickness", "plate_gap", "stack_height"))
_lean, _drift, _mark, _d = (symbol(n) for n in ("drill_lean", "hole_drift", "mark_error", "pipe_outside_diameter"))
_D, _hole = symbol("least_plate_hole"), symbol("hole_diameter")
_worst, _likely = symbol("worst_centre_error"), symbol("likely_centre_error")
# Symbols that are no terms of the glossary: length of a cut, its shift, width and diagonal, an angle, a counter.
_A, _s, _w, _q, _phi = sympy.symbols("A_c s_c w_c q_c phi_c", positive=True)
_j = sympy.Symbol("j", integer=True, positive=True)

(
    Derivation(of=stack_height, title="Plates and the gaps between them")
    .premise(
        "parts",
        Eq(_H, sympy.Sum(_t, (_j, 1, _k)) + sympy.Sum(_g, (_j, 1, _k - 1))),
        "All plates, and the gaps between them, of which there is one less.",
    )
    .step("height", lambda parts: Eq(_H, parts.rhs.doit()), "Add them up.")
)
(
    Derivation(of=worst_centre_error, title="Errors that all go the same way")
    .premise(
        "sum",
        Eq(_worst, sympy.Sum(_mark, (_j, 1, _k - 1)) + _drift),
        "From the first plate to the last the centre is carried on once less than there are plates; the drill's drift comes "
        "on top.",
    )
    .step("worst", lambda sum: Eq(_worst, sum.rhs.doit()), "Add them up.")
)
(
    Derivation(of=likely_centre_error, title="Errors by chance")
    .premise(
        "squares",
        Eq(_likely**2, sympy.Sum(_mark**2, (_j, 1, _k - 1)) + _drift**2),
        "Errors that have nothing to do with each other add by their squares (variances add).",
    )
    .step("likely", lambda squares: Eq(_likely, sqrt(squares.rhs.doit())), "Add them up and take the root.")
)


def _room(derivation: Derivation, high: sympy.Symbol) -> Derivation:
    """The width that a leaning hole leaves a plumb pipe."""
    return (
        derivation.premise(
            "cut",
            Eq(_A * cos(_lean), _hole),
            "A level face cuts the leaning round hole in an ellipse as wide as the hole; along the lean it is longer, by the "
            "cosine.",
        )
        .premise(
            "shift", Eq(_s, high * tan(_lean)), "From the first face to the last the cut moves aside by the drift."
        )
        .premise(
            "room",
            Eq(_A - _s, _w),
            "What both cuts have in common is so long along the lean. A circle of this width about its middle lies within "
            "both: at its ends it touches one ellipse each, whose curve there is the wider one as long as the hole is at "
            "least as high as the circle is wide, times the tangent of the lean.",
        )
        .step(
            "level",
            lambda room, cut, shift: Eq(
                sympy.expand(
                    cos(_lean) * (sympy.solve(cut, _A)[0] - shift.rhs.subs(tan(_lean), sin(_lean) / cos(_lean)))
                ),
                room.rhs * cos(_lean),
            ),
            "Put cut and shift in, times the cosine.",
        )
    )


def _limit(of: Formula, title: str, high: sympy.Symbol, wide: sympy.Expr, said: str) -> None:
    (
        _room(Derivation(of=of, title=title), high)
        .premise("wide", Eq(_w, wide), said)
        .premise("q", Eq(_q, sqrt(high**2 + _w**2)), "Call the diagonal of height and width q,")
        .premise("phi", Eq(_phi, atan(high / _w)), "and the angle between it and the width phi.")
        .step(
            "turned",
            lambda level: Eq(
                _hole,
                sympy.trigsimp(sympy.solve(level, _hole)[0].subs({high: _q * sin(_phi), _w: _q * cos(_phi)})),
            ),
            "The height is q sin(phi) and the width q cos(phi), so the two terms are one cosine.",
        )
        .step("angle", lambda turned: Eq(_lean, _phi - acos(_hole / _q)), "The lean is the smaller angle that does it.")
        .step(
            "largest",
            lambda angle, q, phi, wide: Eq(
                symbol(of.result), angle.rhs.subs({_q: q.rhs, _phi: phi.rhs}).subs(_w, wide.rhs)
            ),
            "Put q, phi and the width back.",
        )
    )


_room(Derivation(of=least_plate_hole, title="The hole that a leaning drill asks for"), _H).premise(
    "wide", Eq(_w, _d), "The pipe must pass there."
).step(
    "hole",
    lambda level, wide: Eq(_D, sympy.solve(level, _hole)[0].subs(_w, wide.rhs)),
    "Solve for the hole, and put in what must pass.",
)
_limit(largest_drill_angle, "The lean that a hole forgives", _H, _d, "The pipe must pass there.")
_limit(
    plate_lean_limit,
    "The lean that a plate's own hole forgives",
    _t,
    _d + 2 * _mark,
    "The pipe must pass there, and its line may be off the hole's middle by the mark's error either way.",
)
