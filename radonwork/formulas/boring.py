"""Holes for a plumb pipe through plates, bored by a drill that leans a little: where they come out, what still passes.

A straight row of holes bored in one go through several plates is one leaning hole as far as a plumb pipe is concerned;
plates bored each from its own mark are so many short ones, with the errors of their marks. How far aside one leaning hole
comes out is in `radonwork.formulas.transfer`.
"""

import sympy
from sympy import acos, atan, cos, sin, sqrt, tan

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, formula, symbol
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


# ---------------------------------------------------------------- derivations

_k, _t, _g, _H = (symbol(n) for n in ("plate_count", "plate_thickness", "plate_gap", "stack_height"))
_lean, _drift, _mark, _d = (symbol(n) for n in ("drill_lean", "hole_drift", "mark_error", "pipe_outside_diameter"))
_D, _hole = symbol("least_plate_hole"), symbol("hole_diameter")
_worst, _likely = symbol("worst_centre_error"), symbol("likely_centre_error")
# Symbols that only the derivations use: length of a cut, its shift, width and diagonal, an angle, a counter.
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

__all__ = [name for name, value in list(globals().items()) if isinstance(value, Formula)]
