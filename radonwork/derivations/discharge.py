"""The outlet derived: the plane roof, lines of sight over its edges, distances to openings, flashing and snow."""

import sympy
from sympy import Max, cos, sqrt, tan

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, symbol
from radonwork.formulas.discharge import (
    eave_slope_distance,
    flashing_reach,
    hidden_band,
    hidden_behind_eave,
    hidden_behind_ridge,
    hidden_from_ridge,
    lifted_courses,
    opening_distance,
    opening_rise,
    outlet_course,
    outlet_over_ground,
    run_from_heights,
    sight_margin,
    sight_over_eave,
    sight_over_ridge,
    snow_clearance,
)

_theta, _d, _sight = symbol("roof_angle"), symbol("pipe_outside_diameter"), symbol("sight_slope")
_ridge, _eave, _run = symbol("ridge_height"), symbol("eave_height"), symbol("rafter_run")
_from_ridge, _from_eave = symbol("ridge_distance"), symbol("eave_distance")
_top, _out, _eye = symbol("outlet_height_upslope"), symbol("outlet_height"), symbol("eye_height")
# Symbols that are no terms of the glossary: level distance from the ridge or the eave (x), heights (z, w), lengths (l).
_x, _z, _w = sympy.symbols("x z w", real=True)
_l = sympy.Symbol("l", positive=True)


def _gives(of: Formula, value: sympy.Expr) -> sympy.Eq:
    return Eq(symbol(of.result), value)


def _root(equation: sympy.Eq, wanted: sympy.Symbol) -> sympy.Expr:
    return sympy.solve(equation, wanted)[-1]


(
    Derivation(of=run_from_heights, title="From two heights to the run")
    .premise("fall", Eq(_z, _run * tan(_theta)), "Over its level run the roof falls by the run times its slope.")
    .premise("heights", Eq(_ridge - _z, _eave), "Less that fall, the ridge's height is the eave's.")
    .step(
        "run",
        lambda heights, fall: _gives(run_from_heights, _root(heights.subs(_z, fall.rhs), _run)),
        "Solve for the run.",
    )
)

(
    Derivation(of=outlet_over_ground, title="The outlet over the ground")
    .premise("side", Eq(_x, _from_ridge - _d / 2), "The pipe's up-slope side is half its diameter nearer the ridge.")
    .premise("roof", Eq(_z, _ridge - _x * tan(_theta)), "There the roof is this much lower than the ridge.")
    .premise("top", Eq(_out, _z + _top), "From there the outlet's height above the roof is measured.")
    .step(
        "height",
        lambda top, roof, side: _gives(outlet_over_ground, top.rhs.subs(_z, roof.rhs).subs(_x, side.rhs)),
        "Put the one into the other.",
    )
)

(
    Derivation(of=eave_slope_distance, title="Up the roof from the eave")
    .premise("level", Eq(_x, _run - _from_ridge), "In plan the pipe is this far inside the eave.")
    .premise("slope", Eq(_l * cos(_theta), _x), "A length along the roof is in plan its cosine.")
    .step(
        "along",
        lambda slope, level: _gives(eave_slope_distance, (slope.subs(_x, level.rhs).rhs) / cos(_theta)),
        "So along the roof it is this.",
    )
)


def _derive_sight(of: Formula, edge: sympy.Symbol, away: sympy.Symbol, called: str) -> None:
    (
        Derivation(of=of, title=f"The line of sight over the {called}")
        .premise(
            "line",
            Eq(_z, _eye + _sight * _x),
            "Light runs straight: over each level unit from the eye the line rises by its slope.",
        )
        .premise("edge", Eq(_x, away), f"The {called} is this far from the eye,")
        .premise("touch", Eq(_z, edge), "and the line that just passes it is there as high as it.")
        .step("meet", lambda line, edge, touch: Eq(touch.rhs, line.rhs.subs(_x, edge.rhs)), "Both hold at once.")
        .step("slope", lambda meet: _gives(of, _root(meet, _sight)), "Solve for the slope.")
    )


_derive_sight(sight_over_ridge, _ridge, symbol("viewer_ridge_distance"), "ridge")
_derive_sight(sight_over_eave, _eave, symbol("viewer_eave_distance"), "eave")

(
    Derivation(of=hidden_behind_ridge, title="What the ridge hides")
    .premise("side", Eq(_x, _from_ridge - _d / 2), "The first of the pipe to come into view is its up-slope side.")
    .premise("line", Eq(_z, _sight * _x), "Beyond the ridge the line of sight goes on rising above it,")
    .premise("roof", Eq(_w, -_x * tan(_theta)), "and the roof falls below it.")
    .step("between", lambda line, roof: Eq(_z - _w, sympy.factor(line.rhs - roof.rhs)), "What is between is hidden.")
    .step(
        "height",
        lambda between, side: _gives(hidden_behind_ridge, between.rhs.subs(_x, side.rhs)),
        "At the pipe's up-slope side it is this.",
    )
)

(
    Derivation(of=hidden_behind_eave, title="What the eave hides")
    .premise("side", Eq(_x, _from_eave - _d / 2), "Seen from below, the pipe's down-slope side comes into view first.")
    .premise("line", Eq(_z, _sight * _x), "Beyond the eave the line of sight goes on rising above it,")
    .premise("roof", Eq(_w, _x * tan(_theta)), "and so does the roof.")
    .step("between", lambda line, roof: Eq(_z - _w, sympy.factor(line.rhs - roof.rhs)), "What is between is hidden.")
    .step(
        "height",
        lambda between, side: _gives(hidden_behind_eave, between.rhs.subs(_x, side.rhs)),
        "At the pipe's down-slope side it is this.",
    )
)

(
    Derivation(of=sight_margin, title="To spare before it is seen")
    .premise(
        "parts",
        Eq(symbol("hidden_height"), _top + symbol("sight_margin")),
        "What is hidden is the pipe above the roof and what is to spare above it.",
    )
    .step("margin", lambda parts: _gives(sight_margin, _root(parts, symbol("sight_margin"))), "Solve for the rest.")
)

(
    Derivation(of=hidden_from_ridge, title="Where on the far slope the ridge hides the pipe")
    .premise(
        "hidden",
        Eq(_top, (_x - _d / 2) * (tan(_theta) + _sight)),
        "At the limit the whole of the pipe above the roof is hidden: its height is what the ridge hides there.",
    )
    .premise("along", Eq(_l * cos(_theta), _x), "A length along the roof is in plan its cosine.")
    .step("level", lambda hidden: Eq(_x, _root(hidden, _x)), "So in plan the pipe's centre is this far from the ridge.")
    .step(
        "apart",
        lambda level: Eq(_x, sympy.apart(level.rhs, _top)),
        "One part grows with the pipe's height, the other is half its width.",
    )
    .step(
        "slope", lambda apart, along: _gives(hidden_from_ridge, _root(along, _l).subs(_x, apart.rhs)), "Along the roof."
    )
)

(
    Derivation(of=hidden_band, title="The hidden part of the slope")
    .premise("whole", Eq(_l * cos(_theta), _run), "In plan the whole slope, l along the roof, is the run.")
    .premise(
        "parts",
        Eq(_l, symbol("hidden_from_ridge") + symbol("hidden_band")),
        "From the ridge the slope is first in view, then hidden.",
    )
    .step(
        "band",
        lambda whole, parts: _gives(
            hidden_band, _root(parts, symbol("hidden_band")).subs(_l, _root(whole, _l))
        ),
        "So the hidden part is the rest.",
    )
)  # fmt: skip

_sill, _head = symbol("opening_sill"), symbol("opening_head")
(
    Derivation(of=opening_rise, title="The outlet above the opening")
    .premise("above", Eq(_out, _head + symbol("opening_rise")), "The outlet is as high as the opening's top and the rise.")
    .step("rise", lambda above: _gives(opening_rise, _root(above, symbol("opening_rise"))), "Solve for the rise.")
)  # fmt: skip

(
    Derivation(of=opening_distance, title="The nearest point of an opening")
    .premise(
        "apart",
        Eq(_z, Max(0, _out - _head, _sill - _out)),
        "An outlet above the opening is nearest to its head, one below it to its sill; between the two it is level with a "
        "point of the opening, and nothing is between them in height.",
    )
    .premise(
        "sides",
        Eq(_l**2, symbol("opening_level_distance") ** 2 + _z**2),
        "The level distance and the difference in height are square to each other (Pythagoras).",
    )
    .step(
        "distance",
        lambda sides, apart: _gives(opening_distance, sqrt(sides.rhs.subs(_z, apart.rhs))),
        "Put the difference in and take the root.",
    )
)

(
    Derivation(of=snow_clearance, title="The outlet above the snow")
    .premise(
        "layers",
        Eq(_top, symbol("snow_depth") + symbol("snow_clearance")),
        "Plumb above the roof come first the snow, then what is free.",
    )
    .step("free", lambda layers: _gives(snow_clearance, _root(layers, symbol("snow_clearance"))), "The rest is free.")
)

_reach, _exposure = symbol("flashing_reach"), symbol("shingle_exposure")
(
    Derivation(of=flashing_reach, title="How far the flashing goes up")
    .premise("half", Eq(_l, symbol("flashing_base") / 2), "From its middle the base reaches half its length up-slope,")
    .premise(
        "moved", Eq(_reach, symbol("flashing_offset") + _l), "and its middle is up-slope of the pipe by the offset."
    )
    .step("reach", lambda moved, half: _gives(flashing_reach, moved.rhs.subs(_l, half.rhs)), "Together.")
)

(
    Derivation(of=lifted_courses, title="Courses over the flashing")
    .premise(
        "courses",
        Eq(_reach, symbol("lifted_courses") * _exposure),
        "The lower edges of the courses follow each other at the exposure.",
    )
    .step("count", lambda courses: _gives(lifted_courses, _root(courses, symbol("lifted_courses"))), "Count them.")
)

(
    Derivation(of=outlet_course, title="Courses up from the eave")
    .premise(
        "courses",
        Eq(symbol("eave_slope_distance"), symbol("outlet_course") * _exposure),
        "The lower edges of the courses follow each other at the exposure.",
    )
    .step("count", lambda courses: _gives(outlet_course, _root(courses, symbol("outlet_course"))), "Count them.")
)
