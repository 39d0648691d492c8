"""The hole in the roof derived: ellipses shifted by the deck, the circle and the slot around them, marks, flashing."""

import sympy
from sympy import Abs, Min, acos, atan, cos, sin, sqrt, tan

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, symbol
from radonwork.formulas.roof import (
    bored_hole_diameter,
    ellipse_axis,
    end_hole_diameter,
    flashing_lap,
    hole_centre_shift,
    leaning_hole_diameter,
    least_opening_area,
    mark_shift_deck,
    mark_shift_plan,
    outlet_height_downslope,
    pitch_angle,
    rafter_length,
    riser_deck_angle,
    roof_hole_diameter,
    round_hole_area,
    round_hole_waste,
    slope_factor,
    slot_hole_area,
    slot_hole_centres,
    slot_hole_waste,
    steepest_roof_for_hole,
    steepest_roof_pitch,
)

_d, _t, _theta = symbol("pipe_outside_diameter"), symbol("deck_thickness"), symbol("roof_angle")
_hole, _bored, _clearance = symbol("roof_hole_diameter"), symbol("bored_hole_diameter"), symbol("hole_clearance")
_sigma, _k = symbol("pipe_slope"), symbol("climb_direction")
# Symbols that are no terms of the glossary: positions along the deck (u) and across it (y), level along the slope (x) and
# up (z), the angle p around the pipe, the half axis A, half width B and half shift h of the cuts, lengths and areas.
_x, _y, _z, _u, _p = sympy.symbols("x y z u p", real=True)
_A, _B, _h, _r, _l, _c, _q, _phi = sympy.symbols("A B h r l c q phi", positive=True)
_C = sympy.Symbol("C", real=True)


def _gives(of: Formula, value: sympy.Expr) -> sympy.Eq:
    return Eq(symbol(of.result), value)


def _root(equation: sympy.Eq, wanted: sympy.Symbol) -> sympy.Expr:
    return sympy.solve(equation, wanted)[-1]


(
    Derivation(of=pitch_angle, title="From pitch to angle")
    .premise(
        "pitch", Eq(tan(_theta), symbol("roof_pitch")), "A pitch is rise over level run: the tangent of the angle."
    )
    .step("angle", lambda pitch: _gives(pitch_angle, atan(pitch.rhs)), "So the angle is its arctangent.")
)

(
    Derivation(of=steepest_roof_pitch, title="From angle to pitch")
    .premise(
        "rise", Eq(_z, symbol("steepest_roof_pitch") * _l), "Over a level run l the roof rises by its pitch times l."
    )
    .premise("angle", Eq(tan(symbol("steepest_roof_angle")), _z / _l), "Rise over run is the tangent of the angle.")
    .step(
        "pitch",
        lambda angle, rise: _gives(steepest_roof_pitch, _root(angle.subs(_z, rise.rhs), symbol("steepest_roof_pitch"))),
        "The run falls out.",
    )
)

(
    Derivation(of=rafter_length, title="From plan to slope")
    .premise(
        "rise",
        Eq(_z, symbol("rafter_run") * tan(_theta)),
        "Over its level run the rafter rises by the run times the tangent of the angle.",
    )
    .premise(
        "sides", Eq(_l**2, symbol("rafter_run") ** 2 + _z**2), "Run and rise are square to each other (Pythagoras)."
    )
    .step("squared", lambda sides, rise: sides.subs(_z, rise.rhs), "Put the rise in.")
    .step(
        "short",
        lambda squared: Eq(_l**2, sympy.trigsimp(squared.rhs)),
        "One plus the square of the tangent is one over the square of the cosine.",
    )
    .step(
        "length",
        lambda short: _gives(rafter_length, _root(short, _l).subs(Abs(cos(_theta)), cos(_theta))),
        "Take the root.",
    )
)

(
    Derivation(of=slope_factor, title="Slope factor")
    .premise("rafter", rafter_length.equations[0], "A length along the roof and the same length in plan.")
    .step(
        "factor",
        lambda rafter: _gives(slope_factor, rafter.rhs / symbol("rafter_run")),
        "Divide the one by the other: the same for every length.",
    )
)

(
    Derivation(of=ellipse_axis, title="The cut in one face")
    .premise("pipe", Eq(_x**2 + _y**2, (_d / 2) ** 2), "The pipe is plumb and round: every level cut is this circle.")
    .premise("along", Eq(_x, _u * cos(_theta)), "A distance u along the deck is u cos(theta) on the level.")
    .step("cut", lambda pipe, along: pipe.subs(_x, along.rhs), "On the deck the circle becomes an ellipse.")
    .step(
        "tip",
        lambda cut: Eq(_u, _root(cut.subs(_y, 0), _u)),
        "Its tip lies straight up the slope, where y is nothing; across, at u nothing, it is still the pipe's radius.",
    )
    .step("axis", lambda tip: _gives(ellipse_axis, 2 * tip.rhs), "The axis is twice that.")
)

(
    Derivation(of=hole_centre_shift, title="The mark on a face and the hole's centre")
    .premise(
        "plumb",
        Eq(_u * cos(_theta), _t / 2 * sin(_theta)),
        "From the middle of the deck to its top, square to it, is t/2, which leads t/2 sin(theta) down-slope on the level; "
        "the pipe's axis goes straight up, so on the top face it lies u up the slope, u cos(theta) on the level.",
    )
    .step(
        "shift",
        lambda plumb: _gives(hole_centre_shift, sympy.trigsimp(_root(plumb, _u))),
        "So the axis is this far up-slope of the hole's centre on top, and by symmetry as far down-slope below.",
    )
)


def _derive_hole(of: Formula, angle: sympy.Symbol, plumb: str) -> None:
    """The smallest circle around both cuts, for a pipe at `angle` to a line square to the deck."""
    half_axis, half_shift = _d / (2 * cos(angle)), _t * tan(angle) / 2
    (
        Derivation(of=of, title="The smallest round hole bored square to the deck")
        .premise("axis", Eq(_A, half_axis), f"Each face is cut in an ellipse. Its half axis along the slope: {plumb}")
        .premise("width", Eq(_B, _d / 2), "Across the slope it is as wide as the pipe.")
        .premise(
            "shift",
            Eq(_h, half_shift),
            "The pipe's axis crosses the top face this far up-slope of the hole's centre, the underside as far down-slope.",
        )
        .premise(
            "edge",
            Eq(_r**2, (_A * cos(_p) + _h) ** 2 + (_B * sin(_p)) ** 2),
            "A point of the upper cut, at the angle p around the pipe, is r from the hole's centre. The lower cut is its "
            "mirror image.",
        )
        .step(
            "slope",
            lambda edge: Eq(
                sympy.Derivative(_r**2, _p),
                -2 * sin(_p) * sympy.expand(sympy.cancel(sympy.diff(edge.rhs, _p) / (-2 * sin(_p)))),
            ),
            "How r changes around the cut: it is stationary at the tips, where sin p is nothing, and where the bracket is.",
        )
        .step(
            "convex",
            lambda edge: Eq(
                sympy.Derivative(_r**2, (_C, 2)),
                sympy.diff(sympy.expand(edge.rhs.subs(sin(_p) ** 2, 1 - cos(_p) ** 2)).subs(cos(_p), _C), _C, 2),
            ),
            "Against C = cos p the curve of r squared bends upward, since A is no less than B. So where the bracket is "
            "nothing r is least, and it is greatest at a tip.",
        )
        .step(
            "tips",
            lambda edge: Eq(edge.rhs.subs(_p, 0) - edge.rhs.subs(_p, sympy.pi), sympy.expand(
                edge.rhs.subs(_p, 0) - edge.rhs.subs(_p, sympy.pi)
            )),
            "Of the two tips the one up the slope (p = 0) is the farther.",
        )
        .step(
            "enough",
            lambda edge: Eq(_r, sqrt(edge.rhs.subs(_p, 0))),
            "So a circle of this radius holds the upper cut, the lower cut, and all between them.",
        )
        .step(
            "needed",
            lambda enough: Eq(_l, 2 * enough.rhs),
            "The upper cut's upper tip and the lower cut's lower tip are this far apart, and both must pass: no smaller "
            "circle does.",
        )
        .step(
            "hole",
            lambda needed, axis, shift: _gives(
                of, sympy.expand(needed.rhs.subs({_A: axis.rhs, _h: shift.rhs}))
            ),
            "That circle's diameter is the hole.",
        )
    )  # fmt: skip


def _derive_clearance(of: Formula, title: str, tight: sympy.Symbol, said: str) -> None:
    """A diameter that leaves half the clearance on each side of one that leaves none."""
    (
        Derivation(of=of, title=title)
        .premise("gap", Eq((symbol(of.result) - tight) / 2, _clearance / 2), said)
        .step("wider", lambda gap: _gives(of, _root(gap, symbol(of.result))), "Solve for the wider one.")
    )


_derive_hole(roof_hole_diameter, _theta, "half the pipe over the cosine of the roof angle.")
_derive_hole(
    leaning_hole_diameter,
    symbol("riser_deck_angle"),
    "half the pipe over the cosine of the angle between the pipe and a line square to the deck.",
)

_derive_clearance(
    bored_hole_diameter,
    "Clearance around the round hole",
    _hole,
    "All round, the hole bored is half the clearance wider than the smallest that clears the pipe.",
)
_derive_clearance(
    end_hole_diameter,
    "Clearance around the end holes",
    _d,
    "All round, an end hole is half the clearance wider than the pipe.",
)

(
    Derivation(of=steepest_roof_for_hole, title="The roof a given hole still clears")
    .premise("hole", roof_hole_diameter.equations[0], "The smallest hole for a plumb pipe.")
    .premise("bored", bored_hole_diameter.equations[0], "The hole bored has its clearance on top.")
    .step(
        "level",
        lambda hole: Eq(_hole * cos(_theta) - _t * sin(_theta), sympy.simplify(
            (hole.rhs * cos(_theta)).expand().subs(tan(_theta), sin(_theta) / cos(_theta)) - _t * sin(_theta)
        )),
        "Times the cosine: the hole seen plumb, less what the deck's thickness hides of it, is the pipe.",
    )
    .premise("q", Eq(_q, sqrt(_hole**2 + _t**2)), "Call the hole's diagonal q,")
    .premise("phi", Eq(_phi, atan(_t / _hole)), "and the angle between it and the deck phi.")
    .step(
        "turned",
        lambda level: Eq(
            sympy.trigsimp(level.lhs.subs({_hole: _q * cos(_phi), _t: _q * sin(_phi)})), level.rhs
        ),
        "The hole is q cos(phi) and the deck q sin(phi), so the two terms are one cosine.",
    )
    .step(
        "angle",
        lambda turned: Eq(_theta, acos(turned.rhs / _q) - _phi),
        "The diagonal, seen plumb, is the pipe: one angle does it.",
    )
    .step(
        "steepest",
        lambda angle, q, phi, bored: _gives(
            steepest_roof_for_hole,
            angle.rhs.subs({_q: q.rhs, _phi: phi.rhs}).subs(_hole, _root(bored, _hole)),
        ),
        "Put q and phi back, and for the hole the one bored less its clearance.",
    )
)  # fmt: skip

(
    Derivation(of=slot_hole_centres, title="The slot-shaped opening that wastes least")
    .premise(
        "tip",
        Eq(_c / 2 + _d / 2, _hole / 2),
        "The cuts are as wide as the pipe and reach as far as the round hole does, so the opening can be no narrower than "
        "the pipe and no shorter than the round hole. Give it just that: end holes of the pipe's diameter, c apart.",
    )
    .premise("end", Eq(_c / 2, _A + _h - _B), "The middle of the upper end hole is its radius B short of the upper tip.")
    .premise(
        "edge",
        Eq(_q**2, (_A * cos(_p) + _h - _c / 2) ** 2 + (_B * sin(_p)) ** 2),
        "A point of the upper cut, at the angle p around the pipe, is q from the middle of the upper end hole.",
    )
    .step(
        "inside",
        lambda edge, end: Eq(
            _q**2 - _B**2,
            sympy.factor(
                edge.rhs.subs(sin(_p) ** 2, 1 - cos(_p) ** 2).subs((_B * sin(_p)) ** 2, _B**2 * (1 - cos(_p) ** 2))
                .subs(_c, 2 * end.rhs) - _B**2
            ),
        ),
        "Within the end hole this must not be above nothing. Beyond the end hole's middle A cos p is more than A - B, so "
        "the last factor is of one sign; cos p is at most 1 and A no less than B: it never is. Short of that middle the "
        "straight sides hold the cut, which is no wider than they. The lower cut is the mirror image, and the opening, "
        "having no hollow, holds all between the two.",
    )
    .step(
        "centres",
        lambda tip: _gives(slot_hole_centres, _root(tip, _c)),
        "So the opening clears the pipe, and the distance of its end holes is what the tips demand.",
    )
)  # fmt: skip


def _derive_area(of: Formula, title: str, chord: sympy.Expr, said: str, across: sympy.Expr) -> None:
    """An area as the sum of its lengths along the slope, `across` from one side to the other."""
    (
        Derivation(of=of, title=title)
        .premise("chord", Eq(_l, chord), said)
        .step(
            "strips",
            lambda chord: Eq(symbol(of.result), sympy.Integral(chord.rhs, (_y, -across / 2, across / 2))),
            "The area is the sum of these lengths from one side to the other.",
        )
        .step("area", lambda strips: _gives(of, sympy.simplify(strips.rhs.doit())), "Work the sum out.")
    )


_end, _centres = symbol("end_hole_diameter"), symbol("slot_hole_centres")
_derive_area(
    round_hole_area,
    "Area of the round hole",
    2 * sqrt((_bored / 2) ** 2 - _y**2),
    "At a distance y from its middle line a circle is this long.",
    _bored,
)
_derive_area(
    slot_hole_area,
    "Area of the slot-shaped opening",
    2 * sqrt((_end / 2) ** 2 - _y**2) + _centres,
    "At a distance y from its middle line the opening is as long as one of its end holes, and their distance more.",
    _end,
)
_derive_area(
    least_opening_area,
    "What the pipe's own path takes",
    symbol("ellipse_axis") * sqrt(1 - (2 * _y / _d) ** 2) + 2 * symbol("hole_centre_shift"),
    "At a distance y from its middle line the cut in one face, an ellipse, is as long as the first term. While the pipe "
    "passes the deck it moves along the slope by twice the shift, and covers every place between.",
    _d,
)


def _derive_waste(of: Formula, opening: sympy.Symbol, title: str) -> None:
    """An opening as the pipe's path and the rest."""
    (
        Derivation(of=of, title=title)
        .premise(
            "parts",
            Eq(opening, symbol("least_opening_area") + symbol(of.result)),
            "The opening is the pipe's own path and what is taken beyond it.",
        )
        .step(
            "waste",
            lambda parts: _gives(of, _root(parts, symbol(of.result))),
            "So the waste is the opening less the path.",
        )
    )


_derive_waste(round_hole_waste, symbol("round_hole_area"), "What the round hole wastes")
_derive_waste(slot_hole_waste, symbol("slot_hole_area"), "What the slot-shaped opening wastes")

(
    Derivation(of=mark_shift_plan, title="Where the leaning riser meets the deck")
    .premise(
        "square",
        Eq(-_x + _sigma * _z, 0),
        "From the foot of the riser let x be the distance in plan toward the run's low end, and z the height. The run "
        "climbs by sigma for each unit the other way, and the fitting sets the riser square to it: their product is nothing.",
    )
    .premise(
        "deck",
        Eq(_z, symbol("riser_height") - _k * _x * tan(_theta)),
        "Straight above, the deck is the riser's height away. Toward the low end it is lower if the run climbs toward the "
        "ridge, higher if it climbs away from it.",
    )
    .step("lean", lambda square: Eq(_x, _root(square, _x)), "So the riser leans toward the low end by the run's slope.")
    .step("meet", lambda lean, deck: deck.subs(_x, lean.rhs), "It meets the deck where both hold.")
    .step("height", lambda meet: Eq(_z, sympy.factor(_root(meet, _z))), "Solve for the height.")
    .step("plan", lambda lean, height: _gives(mark_shift_plan, lean.rhs.subs(_z, height.rhs)), "The distance in plan.")
)

_plan = symbol("mark_shift_plan")
(
    Derivation(of=mark_shift_deck, title="The same along the deck")
    .premise("rise", Eq(_z, _k * _plan * tan(_theta)), "Between the two marks the deck rises or falls by this much.")
    .premise("sides", Eq(_l**2, _plan**2 + _z**2), "Plan and rise are square to each other (Pythagoras).")
    .step(
        "deck",
        lambda sides, rise: _gives(mark_shift_deck, sqrt(sympy.factor(sides.rhs.subs(_z, rise.rhs)))),
        "Put the rise in and take the root.",
    )
)

(
    Derivation(of=riser_deck_angle, title="The riser against the deck")
    .premise(
        "riser",
        Eq(_l**2, 1 + _sigma**2),
        "For each unit it rises the riser leans sigma toward the run's low end: the square of its length.",
    )
    .premise(
        "product",
        Eq(_l * cos(_phi), cos(_theta) + _k * _sigma * sin(_theta)),
        "A line square to the deck, one unit long, points cos(theta) up and sin(theta) down-slope; of the riser's lean k "
        "sigma points down-slope. Their scalar product is the product of the lengths and of the cosine between them.",
    )
    .step("length", lambda riser: Eq(_l, _root(riser, _l)), "The riser's length.")
    .step("cosine", lambda product, length: Eq(cos(_phi), product.rhs / length.rhs), "Divide by it.")
    .step(
        "angle",
        lambda cosine: _gives(riser_deck_angle, acos(Min(1, cosine.rhs))),
        "The angle itself; a cosine is never more than 1.",
    )
)

(
    Derivation(of=outlet_height_downslope, title="The outlet above the down-slope side")
    .premise("fall", Eq(_z, _d * tan(_theta)), "Across the pipe's width the roof falls by the width times the tangent.")
    .premise(
        "level",
        Eq(symbol("outlet_height_downslope") - _z, symbol("outlet_height_upslope")),
        "The outlet is cut level, so the two heights differ by that fall.",
    )
    .step(
        "height",
        lambda fall, level: _gives(
            outlet_height_downslope, _root(level.subs(_z, fall.rhs), symbol("outlet_height_downslope"))
        ),
        "Solve for the greater one.",
    )
)

_offset, _shift, _base = symbol("flashing_offset"), symbol("hole_centre_shift"), symbol("flashing_base")
(
    Derivation(of=flashing_lap, title="What the flashing covers")
    .premise(
        "middle",
        Eq(_u, _shift + _offset),
        "From the hole's centre up the slope: first the pipe's centre on the top side, then the middle of the base.",
    )
    .premise("up", Eq(_x, _u + _base / 2 - _bored / 2), "Up-slope, from the hole's edge to the base's edge.")
    .premise("down", Eq(_y, _base / 2 - _u - _bored / 2), "Down-slope, likewise.")
    .step(
        "mean",
        lambda up, down: Eq((_x + _y) / 2, sympy.expand((up.rhs + down.rhs) / 2)),
        "The two laps have this mean,",
    )
    .step(
        "half",
        lambda up, down: Eq((_x - _y) / 2, sympy.expand((up.rhs - down.rhs) / 2)),
        "and lie this much to either side of it.",
    )
    .step(
        "lap",
        lambda mean, half, middle: _gives(flashing_lap, mean.rhs - Abs(half.rhs.subs(_u, middle.rhs))),
        "The narrower one is the mean less the half difference, whichever side it is on.",
    )
)
