"""A pipe put up into a bay derived: the reach from the corners, the worst lean, the longest pipe, the second pipe."""

from typing import Any

import sympy
from sympy import Rational, atan, cos, sin, sqrt, tan

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import symbol
from radonwork.formulas.insertion import (
    bay_needed,
    bay_per_diameter,
    bay_per_height,
    bay_per_length,
    foot_room,
    hole_lean,
    joined_centres,
    joined_slot,
    longest_by_slot,
    longest_in_equal_corridors,
    longest_thin_pipe,
    reach,
    room_height_of_worst_lean,
    second_pipe_room,
    slot_needed,
    slot_per_height,
    slot_per_length,
    start_lean,
    thin_bay_needed,
    top_face_lean,
    underside_lean,
)

_L, _H, _T, _d = (symbol(n) for n in ("pipe_length", "room_height", "member_thickness", "pipe_outside_diameter"))
_lean, _g, _w, _bay = symbol("lean"), symbol("reach"), symbol("worst_lean"), symbol("bay_needed")
_s, _D, _hole, _room = (symbol(n) for n in ("slot_length", "hole_diameter", "hole_lean", "bay_room"))
_worst_of = sympy.Function("worst_lean")
# Symbols that are no terms of the glossary: places of corners, half-angle and other short names, and places along the wall.
_xA, _yA, _xB, _xC, _xD, _yC, _yD = sympy.symbols("x_A y_A x_B x_C x_D y_C y_D", real=True)
_half, _phi, _p, _r, _x, _x2 = sympy.symbols("t phi p r x_s x_2", positive=True)


def _corners(derivation: Derivation) -> Derivation:
    """The reach from the coordinates of the corners."""
    return (
        derivation.premise(
            "across",
            Eq(_xB, _xA + _d * cos(_lean)),
            "The foot is square: corner B lies a diameter from A, across the leaning pipe.",
        )
        .premise("up", Eq(_yA, _d * sin(_lean)), "B stands on the floor, so A is higher by its share of the diameter.")
        .premise(
            "touch",
            Eq(_xA + (_H - _yA) * tan(_lean), 0),
            "The left side rises from A and passes the slot edge E, at the height H of the underside; x counts from E.",
        )
        .premise("along", Eq(_xD, _xB + _L * sin(_lean)), "The right side rises from B to the top corner D.")
        .step(
            "foot",
            lambda touch, up: Eq(_xA, sympy.solve(touch.subs(_yA, up.rhs), _xA)[0]),
            "Where A stands when the side touches E.",
        )
        .step(
            "reach",
            lambda along, across, foot: Eq(
                _g,
                _tidy(along.rhs.subs(_xB, across.rhs).subs(_xA, foot.rhs)),
            ),
            "The reach is where D stands: put B and A in.",
        )
    )


def _tidy(expression: Any) -> Any:
    """sin tan + cos is 1/cos."""
    expanded = sympy.expand(expression)
    rest = expanded - _d * sin(_lean) * tan(_lean) - _d * cos(_lean)
    return rest + _d * sympy.simplify(sin(_lean) * sin(_lean) / cos(_lean) + cos(_lean))


def _lower_corner(derivation: Derivation) -> Derivation:
    """The height of the lower top corner over the floor."""
    return derivation.premise(
        "height",
        Eq(_yD, _L * cos(_lean)),
        "The lower top corner D lies a pipe's length along the lean from B on the floor.",
    )


def _stationary(derivation: Derivation) -> Derivation:
    """The lean of the greatest reach, as the height of the room that makes it so."""
    return (
        _corners(derivation)
        .step(
            "still",
            lambda reach: Eq(sympy.diff(reach.rhs, _lean).subs(_lean, _w), 0),
            "At the worst lean the reach stands still: its slope is nothing.",
        )
        .step(
            "height",
            lambda still: Eq(_H, _solved(still, _H)),
            "Solve for the height of the room.",
        )
    )


def _at_top_face(derivation: Derivation) -> Derivation:
    """The reach with D at the top face, in lengths."""
    return (
        _corners(derivation)
        .premise(
            "level",
            Eq(_L * cos(_lean), _H + _T),
            "D is at the top face. Beyond its worst lean the reach falls as the lean grows, so inside the member, at "
            "larger leans, it was less; once D is above the member the slot holds only the pipe itself, which fills it less.",
        )
        .step("cosine", lambda level: Eq(cos(_lean), sympy.solve(level, cos(_lean))[0]), "The lean by its cosine.")
        .step("sine", lambda cosine: Eq(sin(_lean), sqrt(1 - cosine.rhs**2)), "And by its sine.")
        .step(
            "slot",
            lambda reach, cosine, sine: Eq(
                symbol("slot_needed"),
                sympy.factor(
                    sympy.simplify(
                        reach.rhs.subs(tan(_lean), sin(_lean) / cos(_lean))
                        .subs(sin(_lean), sine.rhs)
                        .subs(cos(_lean), cosine.rhs)
                    )
                ),
            ),
            "The reach at that lean is the slot it takes.",
        )
    )


def _solved(equation: Eq, wanted: sympy.Symbol) -> Any:
    """The one root of an equation of the first degree in `wanted`."""
    rest, rate = (_parted(equation).coeff(wanted, power) for power in (0, 1))
    return sympy.expand(sympy.trigsimp(sympy.expand(sympy.cancel(-rest / rate))))


def _parted(equation: Eq) -> Any:
    """Both sides on one, tangents written as sine over cosine."""
    whole = (equation.lhs - equation.rhs).replace(tan, lambda angle: sin(angle) / cos(angle))
    return sympy.expand(sympy.numer(sympy.together(whole)))


def _larger(equation: Eq, wanted: sympy.Symbol) -> Any:
    """Of two roots the one with the square root added."""
    one, other = sympy.solve(equation, wanted)
    at = {_L: 110, _H: 93, _T: 2, _d: 2, _D: 3, _s: 3}
    return one if one.subs(at) > other.subs(at) else other


def _bar(fills: Eq) -> Any:
    """The length for which the reach fills the room, as one fraction."""
    whole = _parted(fills)
    return sympy.collect(-whole.coeff(_L, 0), _room) / whole.coeff(_L, 1)


def _by_sum_and_product(expression: Any, total: Eq, product: Eq) -> Any:
    """A fraction of sines and cosines of which only their sum and product appear."""
    top, bottom = sympy.fraction(expression)
    return top.subs(total.rhs, total.lhs) / bottom.subs(product.lhs, product.rhs)


def _through(derivation: Derivation, hole: sympy.Symbol) -> Derivation:
    """The largest lean in a hole or slot, by the tangent of half of it."""
    return (
        derivation.premise(
            "edges",
            Eq(_d, hole * cos(_lean) - _T * sin(_lean)),
            "The far upper edge lies the hole's length along and the member's thickness up from the near lower one. "
            "Square to the pipe they are a diameter apart: each touches its side.",
        )
        .premise("cosine", Eq(cos(_lean), (1 - _half**2) / (1 + _half**2)), "t is the tangent of half the lean.")
        .premise("sine", Eq(sin(_lean), 2 * _half / (1 + _half**2)), "The sine by the same t.")
        .step(
            "half",
            lambda edges, cosine, sine: Eq(
                edges.lhs, edges.rhs.subs(cos(_lean), cosine.rhs).subs(sin(_lean), sine.rhs)
            ),
            "Write it in t.",
        )
        .step("root", lambda half: Eq(_half, _larger(half, _half)), "Solve for t; the other root is below zero.")
    )


def _envelope(derivation: Derivation, by: sympy.Symbol, words: str) -> Derivation:
    """The bay needed as one term changes, the worst lean changing with it."""
    lean = _worst_of(by)
    return (
        _stationary(derivation)
        .step(
            "total",
            lambda reach: Eq(sympy.Derivative(_bay, by), sympy.diff(reach.rhs.subs(_lean, lean), by)),
            f"Let the {words} change. The worst lean changes with it.",
        )
        .step(
            "envelope",
            lambda total, still: Eq(
                total.lhs,
                sympy.expand(total.rhs - still.lhs.subs(_w, lean) * sympy.Derivative(lean, by)),
            ),
            "At the worst lean the reach stands still, so what the change of lean adds is nothing.",
        )
    )


_corners(Derivation(reach, "How far the top reaches"))

Derivation(start_lean, "Where the pipe comes under the member").premise(
    "diagonal", Eq(_r, sqrt(_L**2 + _d**2)), "The diagonal from the foot corner B to the upper top corner C."
).premise("corner", Eq(_phi, atan(_d / _L)), "The angle between that diagonal and the pipe's side.").premise(
    "height",
    Eq(_yC, _r * cos(_lean - _phi)),
    "B stands on the floor, and the diagonal leans by that angle less than the pipe.",
).premise("level", Eq(_yC, _H), "At the start C is at the underside.").step(
    "cosine", lambda height, level: Eq(cos(_lean - _phi), level.rhs / _r), "The diagonal's lean by its cosine."
).step(
    "lean",
    lambda cosine, diagonal, corner: Eq(
        symbol("start_lean"), sympy.acos(cosine.rhs.subs(_r, diagonal.rhs)) + corner.rhs
    ),
    "The pipe leans by the corner's angle more than the diagonal.",
)

_lower_corner(Derivation(underside_lean, "Where the lower corner passes the underside")).step(
    "level", lambda height: Eq(_H, height.rhs), "D is at the underside."
).step("cosine", lambda level: Eq(cos(_lean), sympy.solve(level, cos(_lean))[0]), "Solve for the cosine.").step(
    "lean", lambda cosine: Eq(symbol("underside_lean"), sympy.acos(cosine.rhs)), "The angle."
)

_lower_corner(Derivation(top_face_lean, "Where the lower corner passes the top face")).step(
    "level", lambda height: Eq(_H + _T, height.rhs), "D is at the top face."
).step("cosine", lambda level: Eq(cos(_lean), sympy.solve(level, cos(_lean))[0]), "Solve for the cosine.").step(
    "lean", lambda cosine: Eq(symbol("top_face_lean"), sympy.acos(cosine.rhs)), "The angle."
)

Derivation(foot_room, "Where the foot starts").premise(
    "side",
    Eq(_xA + _L * sin(symbol("start_lean")), _xC),
    "The left side runs from the foot corner A to the top corner C.",
).premise("top", Eq(_xC, 0), "At the start C is at the slot edge, from which x counts.").premise(
    "behind", Eq(symbol("foot_room"), -_xA), "The foot room is how far A lies behind it."
).step(
    "room",
    lambda side, top, behind: Eq(behind.lhs, -sympy.solve(side.subs(_xC, top.rhs), _xA)[0]),
    "Solve for A.",
)

_at_top_face(Derivation(slot_needed, "The shortest slot"))

_stationary(Derivation(room_height_of_worst_lean, "The worst lean, read backwards"))

_stationary(Derivation(bay_needed, "The least room in the bay")).step(
    "most", lambda reach: Eq(_bay, reach.rhs.subs(_lean, _w)), "The bay must hold the reach at the worst lean."
).step(
    "bay",
    lambda most, height: Eq(
        _bay,
        sympy.trigsimp(sympy.expand(most.rhs.subs(_H, height.rhs).subs(tan(_w), sin(_w) / cos(_w)))),
    ),
    "Put the height of the room in: it drops out.",
)

_stationary(Derivation(thin_bay_needed, "The ladder around a corner")).step(
    "thin", lambda height: Eq(_H, height.rhs.subs(_d, 0)), "Without thickness."
).step("cosine", lambda thin: Eq(cos(_w), (thin.lhs / _L) ** Rational(1, 3)), "The worst lean by its cosine.").step(
    "most",
    lambda reach: Eq(_bay, reach.rhs.subs(_d, 0).subs(_lean, _w).subs(tan(_w), sin(_w) / cos(_w))),
    "The bay must hold the reach there.",
).step(
    "bay",
    lambda most, cosine: Eq(
        _bay, sympy.simplify(most.rhs.subs(sin(_w), sqrt(1 - cosine.rhs**2)).subs(cos(_w), cosine.rhs))
    ),
    "Put the lean in.",
)

_stationary(Derivation(longest_thin_pipe, "The longest ladder around a corner")).step(
    "thin", lambda height: Eq(_H, height.rhs.subs(_d, 0)), "Without thickness."
).step(
    "most",
    lambda reach, thin: Eq(
        _room,
        sympy.trigsimp(reach.rhs.subs(_d, 0).subs(_lean, _w).subs(tan(_w), sin(_w) / cos(_w)).subs(_H, thin.rhs)),
    ),
    "The bay just holds the reach at the worst lean.",
).step("sine", lambda most: Eq(sin(_w) ** 2, (most.lhs / _L) ** Rational(2, 3)), "So its sine is known,").step(
    "cosine", lambda thin: Eq(cos(_w) ** 2, (thin.lhs / _L) ** Rational(2, 3)), "and its cosine."
).step("one", lambda sine, cosine: Eq(sine.rhs + cosine.rhs, 1), "Their squares add up to one.").step(
    "power",
    lambda one: Eq(_L ** Rational(2, 3), sympy.expand(one.lhs * _L ** Rational(2, 3))),
    "Multiply by what the length stands under.",
).step("length", lambda power: Eq(symbol("longest_by_bay"), power.rhs ** Rational(3, 2)), "Solve for the length.")

_corners(Derivation(longest_in_equal_corridors, "The longest bar around a corner of equal corridors")).step(
    "fills",
    lambda reach: Eq(_room, reach.rhs.subs(_H, _room)),
    "The room is as high as the bay is wide, and the reach just fills it.",
).step(
    "length",
    lambda fills: Eq(_L, _bar(fills)),
    "The bar that fills it at a lean. The longest that passes is the shortest of these.",
).premise(
    "sum", Eq(_p, sin(_lean) + cos(_lean)), "Write p for sine and cosine together, which is at most the root of 2."
).step(
    "product",
    lambda sum: Eq(sin(_lean) * cos(_lean), (sum.lhs**2 - 1) / 2),
    "Its square holds their product.",
).step(
    "short",
    lambda length, sum, product: Eq(_L, _by_sum_and_product(length.rhs, sum, product)),
    "The bar by p alone.",
).step(
    "falls",
    lambda short: Eq(sympy.Derivative(_L, _p), sympy.factor(sympy.diff(short.rhs, _p))),
    "It falls as p grows, since 2 d p is less than W (p² + 1) for a bar thinner than the corridor.",
).step(
    "least",
    lambda short: Eq(symbol("longest_by_bay"), sympy.expand(sympy.radsimp(short.rhs.subs(_p, sqrt(2))))),
    "So it is least at the largest p, where the bar leans at 45 degrees.",
)

_through(Derivation(hole_lean, "How far a pipe leans in a plain hole"), _D).step(
    "lean", lambda root: Eq(_hole, 2 * atan(root.rhs)), "Twice the angle."
)

_through(Derivation(longest_by_slot, "The longest pipe through a slot"), _s).premise(
    "level",
    Eq(_L * cos(_lean), _H + _T),
    "At that lean the top of the longest pipe is just at the top face; a longer one would have to lean more there.",
).step(
    "length",
    lambda level, cosine, root: Eq(
        symbol("longest_by_slot"), sympy.solve(level, _L)[0].subs(cos(_lean), cosine.rhs.subs(_half, root.rhs))
    ),
    "Solve for the length and put the lean in.",
)

Derivation(second_pipe_room, "Room beside a standing pipe").premise(
    "widths",
    Eq(symbol("slot_start") + symbol("second_pipe_room") + symbol("clearance"), symbol("first_pipe_face")),
    "From the stud: the start of the slot, the room, the clearance, and there is the first pipe.",
).step(
    "room",
    lambda widths: Eq(symbol("second_pipe_room"), sympy.solve(widths, symbol("second_pipe_room"))[0]),
    "Solve for the room.",
)

Derivation(joined_slot, "Two holes joined by a slot").premise(
    "centre", Eq(_x, symbol("joined_slot") - _D / 2), "The far hole's centre is half a hole before the slot's end."
).premise("face", Eq(_x2, _x - _d / 2), "The pipe in it begins half a diameter before that centre.").premise(
    "room", Eq(_x2, symbol("second_pipe_needed")), "Up to there the second pipe must find the room it needs."
).step(
    "slot",
    lambda centre, face, room: Eq(
        symbol("joined_slot"),
        sympy.solve(Eq(room.rhs, face.rhs.subs(_x, centre.rhs)), symbol("joined_slot"))[0],
    ),
    "Solve for the slot.",
)

Derivation(joined_centres, "Centres of the end holes").premise(
    "ends",
    Eq(symbol("joined_slot"), _D / 2 + symbol("joined_centres") + _D / 2),
    "Half a hole, the distance of the centres and half a hole again make the slot.",
).step(
    "centres",
    lambda ends: Eq(symbol("joined_centres"), sympy.solve(ends, symbol("joined_centres"))[0]),
    "Solve for the distance.",
)

_envelope(Derivation(bay_per_length, "The bay and the pipe's length"), _L, "length").step(
    "rate", lambda envelope: Eq(symbol("bay_per_length"), envelope.rhs.subs(_worst_of(_L), _w)), "The rate."
)
_envelope(Derivation(bay_per_height, "The bay and the height of the room"), _H, "height").step(
    "rate", lambda envelope: Eq(symbol("bay_per_height"), envelope.rhs.subs(_worst_of(_H), _w)), "The rate."
)
_envelope(Derivation(bay_per_diameter, "The bay and the pipe's diameter"), _d, "diameter").step(
    "rate", lambda envelope: Eq(symbol("bay_per_diameter"), envelope.rhs.subs(_worst_of(_d), _w)), "The rate."
)

_at_top_face(Derivation(slot_per_length, "The slot and the pipe's length")).step(
    "rate", lambda slot: Eq(symbol("slot_per_length"), sympy.diff(slot.rhs, _L)), "Its slope with the length."
)
_at_top_face(Derivation(slot_per_height, "The slot and the height of the room")).step(
    "rate", lambda slot: Eq(symbol("slot_per_height"), sympy.diff(slot.rhs, _H)), "Its slope with the height."
)
