"""A plumb pipe through a sloped roof deck: the hole, its centre, and what the flashing covers.

Along the deck `u` runs up the slope and `y` across it, both from the hole's centre, which lies on the pipe's axis half
way through the deck. A plumb pipe moves up the slope by t tan(theta) while it passes a deck of thickness t, so the two
faces are cut in equal ellipses shifted by that much, and a hole bored square to the deck must clear both. All of it is
exact geometry.
"""

import sympy
from sympy import Abs, Min, acos, atan, cos, pi, sin, sqrt, tan

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, formula, symbol
from radonwork.engine.sources import Source

_GEOMETRY = Source(kind="derived", place="geometry of a straight round pipe and a plane deck")
_ROOF = ("0 deg", "60 deg")


@formula("roof_angle", Source(kind="derived", place="definition of pitch: rise over level run"), roof_angle=_ROOF)
def pitch_angle(roof_pitch):
    """Slope of a roof from its pitch."""
    return atan(roof_pitch)


@formula("slope_factor", _GEOMETRY, roof_angle=_ROOF)
def slope_factor(roof_angle):
    """Length along the roof over the same length in plan.

    Assumes a length that runs straight up the slope.
    """
    return 1 / cos(roof_angle)


@formula("rafter_length", _GEOMETRY, roof_angle=_ROOF)
def rafter_length(rafter_run, roof_angle):
    """Length of a common rafter along the roof.

    Assumes the line over which the run is measured: no tail, no ridge board taken off.
    """
    return rafter_run / cos(roof_angle)


@formula("ellipse_axis", _GEOMETRY, roof_angle=_ROOF)
def ellipse_axis(pipe_outside_diameter, roof_angle):
    """Length along the slope of the cut that a plumb pipe makes in one face of the deck; across it is the diameter.

    Assumes a plumb pipe and a plane deck. It is also what a saw of the pipe's diameter, held plumb, leaves.
    """
    return pipe_outside_diameter / cos(roof_angle)


@formula("roof_hole_diameter", _GEOMETRY, roof_angle=_ROOF)
def roof_hole_diameter(pipe_outside_diameter, deck_thickness, roof_angle):
    """Smallest round hole bored square to the deck that clears a plumb pipe.

    Assumes a plumb, straight, round pipe and a plane deck of even thickness.

    Assumes the hole's centre on the pipe's axis half way through the deck, and no clearance.
    """
    return pipe_outside_diameter / cos(roof_angle) + deck_thickness * tan(roof_angle)


@formula("bored_hole_diameter", Source(kind="derived", place="definition of the clearance"))
def bored_hole_diameter(roof_hole_diameter, hole_clearance):
    """Round hole to bore, with clearance.

    Assumes half the clearance on each side of the pipe. How much is wanted is for the installer to say.
    """
    return roof_hole_diameter + hole_clearance


@formula("hole_centre_shift", _GEOMETRY, roof_angle=_ROOF)
def hole_centre_shift(deck_thickness, roof_angle):
    """How far the hole's centre lies from the pipe's centre marked on a face of the deck.

    Assumes a hole bored square to the deck: its centre is up-slope of a mark on the underside, and as far down-slope of
    a mark on the top side.
    """
    return deck_thickness * tan(roof_angle) / 2


@formula(
    "steepest_roof_angle",
    _GEOMETRY,
    when={
        "the hole, less its clearance, is no smaller than the pipe": (
            lambda bored_hole_diameter, hole_clearance, pipe_outside_diameter: (
                bored_hole_diameter - hole_clearance >= pipe_outside_diameter
            )
        ),
    },
)
def steepest_roof_for_hole(bored_hole_diameter, hole_clearance, pipe_outside_diameter, deck_thickness):
    """Steepest roof on which a round hole bored square to the deck clears a plumb pipe.

    Assumes a plumb, straight, round pipe, a plane deck of even thickness and the hole's centre on the pipe's axis half
    way through it.
    """
    hole = bored_hole_diameter - hole_clearance
    return acos(pipe_outside_diameter / sqrt(hole**2 + deck_thickness**2)) - atan(deck_thickness / hole)


@formula("steepest_roof_pitch", Source(kind="derived", place="definition of pitch: rise over level run"))
def steepest_roof_pitch(steepest_roof_angle):
    """The same limit as a pitch."""
    return tan(steepest_roof_angle)


@formula("end_hole_diameter", Source(kind="derived", place="definition of the clearance"))
def end_hole_diameter(pipe_outside_diameter, hole_clearance):
    """End holes of the slot-shaped opening that wastes least.

    Assumes half the clearance on each side of the pipe.
    """
    return pipe_outside_diameter + hole_clearance


@formula(
    "slot_hole_centres",
    _GEOMETRY,
    when={
        "the round hole is no smaller than the pipe": lambda roof_hole_diameter, pipe_outside_diameter: (
            roof_hole_diameter >= pipe_outside_diameter
        ),
    },
)
def slot_hole_centres(roof_hole_diameter, pipe_outside_diameter):
    """Distance along the slope between the end holes of the slot-shaped opening that wastes least.

    Assumes a plumb pipe, an opening cut square to the deck, and its middle where that of the round hole would be. With
    end holes enlarged by the clearance the same distance leaves the clearance at the ends too.
    """
    return roof_hole_diameter - pipe_outside_diameter


@formula("round_hole_area", _GEOMETRY)
def round_hole_area(bored_hole_diameter):
    """Area of the round hole in the face of the deck."""
    return pi * bored_hole_diameter**2 / 4


@formula("slot_hole_area", _GEOMETRY)
def slot_hole_area(end_hole_diameter, slot_hole_centres):
    """Area of the slot-shaped opening in the face of the deck.

    Assumes two round end holes joined by straight cuts that touch both.
    """
    return end_hole_diameter * slot_hole_centres + pi * end_hole_diameter**2 / 4


@formula("least_opening_area", _GEOMETRY)
def least_opening_area(pipe_outside_diameter, ellipse_axis, hole_centre_shift):
    """Area of the deck that the pipe's own path takes, cut square to the deck: no opening so cut can be smaller.

    Assumes a plumb pipe without clearance. All its cuts count, not only those in the two faces.
    """
    return pi * pipe_outside_diameter * ellipse_axis / 4 + pipe_outside_diameter * 2 * hole_centre_shift


@formula(
    "round_hole_waste",
    _GEOMETRY,
    when={
        "the hole is no smaller than the pipe's path": lambda round_hole_area, least_opening_area: (
            round_hole_area >= least_opening_area
        ),
    },
)
def round_hole_waste(round_hole_area, least_opening_area):
    """What the round hole takes from the deck beyond the pipe's own path."""
    return round_hole_area - least_opening_area


@formula(
    "slot_hole_waste",
    _GEOMETRY,
    when={
        "the opening is no smaller than the pipe's path": lambda slot_hole_area, least_opening_area: (
            slot_hole_area >= least_opening_area
        ),
    },
)
def slot_hole_waste(slot_hole_area, least_opening_area):
    """What the slot-shaped opening takes from the deck beyond the pipe's own path."""
    return slot_hole_area - least_opening_area


@formula(
    "mark_shift_plan",
    _GEOMETRY,
    when={
        "the leaning riser meets the deck": lambda pipe_slope, roof_angle, climb_direction: (
            climb_direction * pipe_slope * tan(roof_angle) > -1
        ),
    },
    roof_angle=_ROOF,
    climb_direction=("-1", "1"),
)
def mark_shift_plan(riser_height, pipe_slope, roof_angle, climb_direction):
    """How far, in plan, a riser square to a sloped run meets the deck from the plumb mark, toward the run's low end.

    Assumes a fitting that turns exactly 90 degrees; one with fall built in leans the riser less.

    Assumes the riser's height measured plumb, from where its axis leaves the run to the face that is marked.

    Assumes a direction of climb of 1 straight toward the ridge, -1 straight away from it, and in between the cosine of
    the angle in plan.
    """
    return riser_height * pipe_slope / (1 + climb_direction * pipe_slope * tan(roof_angle))


@formula("mark_shift_deck", _GEOMETRY, roof_angle=_ROOF, climb_direction=("-1", "1"))
def mark_shift_deck(mark_shift_plan, roof_angle, climb_direction):
    """The same distance measured on the deck, toward the run's low end.

    Assumes a direction of climb of 1 straight toward the ridge (the mark moves down the slope), -1 straight away from it
    (up the slope); in both the distance is the one in plan over the cosine of the roof angle.
    """
    return mark_shift_plan * sqrt(1 + climb_direction**2 * tan(roof_angle) ** 2)


@formula("riser_deck_angle", _GEOMETRY, roof_angle=_ROOF, climb_direction=("-1", "1"))
def riser_deck_angle(roof_angle, pipe_slope, climb_direction):
    """Angle between a riser square to a sloped run and a line square to the deck; the roof angle if the riser is plumb.

    Assumes a fitting that turns exactly 90 degrees, and the directions of climb 1 toward the ridge, -1 away from it.
    """
    facing = (cos(roof_angle) + climb_direction * pipe_slope * sin(roof_angle)) / sqrt(1 + pipe_slope**2)
    return acos(Min(1, facing))  # rounding may carry the cosine of a riser square to the deck past 1


@formula("leaning_hole_diameter", _GEOMETRY, riser_deck_angle=("0 deg", "70 deg"))
def leaning_hole_diameter(pipe_outside_diameter, deck_thickness, riser_deck_angle):
    """Smallest round hole bored square to the deck that clears a riser left leaning by its sloped run.

    Assumes a straight round pipe, a plane deck of even thickness, the hole's centre on the pipe's axis half way through
    the deck, and no clearance.
    """
    return pipe_outside_diameter / cos(riser_deck_angle) + deck_thickness * tan(riser_deck_angle)


@formula("outlet_height_downslope", _GEOMETRY, roof_angle=_ROOF)
def outlet_height_downslope(outlet_height_upslope, pipe_outside_diameter, roof_angle):
    """Height of the outlet above the roof on the down-slope side of the pipe.

    Assumes a plumb pipe cut level, and heights measured along its up-slope and its down-slope side to the roof.
    """
    return outlet_height_upslope + pipe_outside_diameter * tan(roof_angle)


@formula("flashing_lap", _GEOMETRY)
def flashing_lap(flashing_base, bored_hole_diameter, flashing_offset, hole_centre_shift):
    """Flashing beyond the edge of the hole along the slope, at the narrower of the up-slope and down-slope sides.

    Assumes the flashing on the top side of the deck, its sleeve on the pipe, and a base that lies flat. How much lap is
    enough is for the flashing's and the roofing's makers and the local code to say; nothing is claimed here.
    """
    return (flashing_base - bored_hole_diameter) / 2 - Abs(flashing_offset + hole_centre_shift)


# Derivations. Symbols that only they use: positions along the deck (u) and across it (y), level along the slope (x) and
# up (z), the angle p around the pipe, the half axis A, half width B and half shift h of the cuts, lengths and areas.
_d, _t, _theta = symbol("pipe_outside_diameter"), symbol("deck_thickness"), symbol("roof_angle")
_hole, _bored, _clearance = symbol("roof_hole_diameter"), symbol("bored_hole_diameter"), symbol("hole_clearance")
_sigma, _k = symbol("pipe_slope"), symbol("climb_direction")
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

__all__ = [name for name, value in list(globals().items()) if isinstance(value, Formula)]
