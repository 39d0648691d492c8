"""Where the pipe comes out: heights over the ground, distances to openings, what the roof hides, flashing and snow.

Everything is worked in the plane square to the ridge. A roof is as high all along its ridge, so the line from an eye to
the pipe crosses the ridge at a height that only the distances square to the ridge decide, however askew it runs in plan.
Heights are over the ground by the house, level distances are in plan.
"""

import sympy
from sympy import Max, cos, sqrt, tan

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, formula, symbol
from radonwork.engine.sources import Source

_ROOF = Source(kind="derived", place="geometry of a plane roof and a plumb pipe")
_SIGHT = Source(kind="derived", place="geometry of a straight line of sight over a level edge")
_PLACES = Source(kind="derived", place="geometry of places on plan and section")
_ANGLE = ("1 deg", "60 deg")


# ---------------------------------------------------------------- the roof


@formula(
    "rafter_run",
    _ROOF,
    when={"the ridge is above the eave": lambda ridge_height, eave_height: eave_height < ridge_height},
    roof_angle=_ANGLE,
)
def run_from_heights(ridge_height, eave_height, roof_angle):
    """Level distance from the ridge to the eave.

    Assumes one slope from ridge to eave, and both heights at the top side of the roof.
    """
    return (ridge_height - eave_height) / tan(roof_angle)


@formula(
    "outlet_height",
    _ROOF,
    when={
        "the whole pipe stands on one side of the ridge": lambda ridge_distance, pipe_outside_diameter: (
            2 * ridge_distance >= pipe_outside_diameter
        ),
        "the outlet is above the ground": lambda ridge_height, ridge_distance, roof_angle, outlet_height_upslope: (
            ridge_distance * tan(roof_angle) <= ridge_height + outlet_height_upslope
        ),
    },
    roof_angle=_ANGLE,
)
def outlet_over_ground(ridge_height, ridge_distance, pipe_outside_diameter, roof_angle, outlet_height_upslope):
    """Height of the outlet above the ground.

    Assumes a plumb pipe through one slope of the roof, cut level, its height above the roof measured along its up-slope
    side; and one level of the ground for all heights: where the ground falls away, take it where it is nearest the outlet.
    """
    return ridge_height - (ridge_distance - pipe_outside_diameter / 2) * tan(roof_angle) + outlet_height_upslope


@formula("eave_slope_distance", _ROOF, roof_angle=_ANGLE)
def eave_slope_distance(rafter_run, ridge_distance, roof_angle):
    """How far up the roof from the eave the pipe comes out.

    Below zero it would be beyond the eave.
    """
    return (rafter_run - ridge_distance) / cos(roof_angle)


# ---------------------------------------------------------------- what is seen


@formula("sight_slope", _SIGHT)
def sight_over_ridge(ridge_height, eye_height, viewer_ridge_distance):
    """Rise of the line of sight that just passes over the ridge.

    Assumes a viewer on the other side of the ridge than the pipe, and nothing else between: no chimney, no tree. Where the
    near eave stands higher in the line of sight it hides more than this.
    """
    return (ridge_height - eye_height) / viewer_ridge_distance


@formula("sight_slope", _SIGHT)
def sight_over_eave(eave_height, eye_height, viewer_eave_distance):
    """Rise of the line of sight that just passes over the eave.

    Assumes a viewer on the pipe's own side of the ridge, and nothing else between.
    """
    return (eave_height - eye_height) / viewer_eave_distance


@formula(
    "hidden_height",
    _SIGHT,
    when={
        "the whole pipe stands on one side of the ridge": lambda ridge_distance, pipe_outside_diameter: (
            2 * ridge_distance >= pipe_outside_diameter
        ),
    },
    roof_angle=_ANGLE,
)
def hidden_behind_ridge(ridge_distance, pipe_outside_diameter, roof_angle, sight_slope):
    """Height above the roof up to which the ridge hides the pipe.

    It is worked at the pipe's up-slope side, which comes into view first.

    Assumes a straight level ridge that reaches past the line of sight on both sides.
    """
    return (ridge_distance - pipe_outside_diameter / 2) * (tan(roof_angle) + sight_slope)


@formula(
    "hidden_height",
    _SIGHT,
    when={
        "the whole pipe stands inside the eave": lambda eave_distance, pipe_outside_diameter: (
            2 * eave_distance >= pipe_outside_diameter
        ),
    },
    roof_angle=_ANGLE,
)
def hidden_behind_eave(eave_distance, pipe_outside_diameter, roof_angle, sight_slope):
    """Height above the roof up to which the eave hides the pipe.

    It is worked at the pipe's down-slope side, which comes into view first.

    Assumes a straight level eave that reaches past the line of sight on both sides. Below zero the roof itself is in view.
    """
    return (eave_distance - pipe_outside_diameter / 2) * (sight_slope - tan(roof_angle))


@formula("sight_margin", Source(kind="derived", place="definition of the margin"))
def sight_margin(hidden_height, outlet_height_upslope):
    """How much higher the pipe could end and still be hidden.

    Below zero that much of it is seen.
    """
    return hidden_height - outlet_height_upslope


@formula(
    "hidden_from_ridge",
    _SIGHT,
    when={
        "the line of sight passes above the far slope": lambda roof_angle, sight_slope: (
            tan(roof_angle) + sight_slope > 0
        ),
    },
    roof_angle=_ANGLE,
)
def hidden_from_ridge(outlet_height_upslope, pipe_outside_diameter, roof_angle, sight_slope):
    """How far down the far slope from the ridge the pipe's centre must be for the ridge to hide it.

    Assumes a straight level ridge that reaches past the line of sight on both sides. The farther the viewer, the more of
    the far slope is in view: from very far the line of sight is level.
    """
    return (outlet_height_upslope / (tan(roof_angle) + sight_slope) + pipe_outside_diameter / 2) / cos(roof_angle)


@formula("hidden_band", Source(kind="derived", place="lengths add up along the slope"), roof_angle=_ANGLE)
def hidden_band(rafter_run, roof_angle, hidden_from_ridge):
    """Length of the far slope, down to the eave, on which the pipe is hidden.

    Below zero it is seen everywhere on that slope.
    """
    return rafter_run / cos(roof_angle) - hidden_from_ridge


# ---------------------------------------------------------------- what the outlet is near


@formula("opening_rise", Source(kind="derived", place="difference of two heights"))
def opening_rise(outlet_height, opening_head):
    """Height of the outlet above the top of an opening.

    Below zero the opening reaches higher.
    """
    return outlet_height - opening_head


@formula(
    "opening_distance",
    _PLACES,
    when={"the opening's sill is not above its head": lambda opening_sill, opening_head: opening_sill <= opening_head},
)
def opening_distance(opening_level_distance, outlet_height, opening_sill, opening_head):
    """Straight distance from the outlet to the nearest point of an opening.

    Assumes a straight line, through whatever stands between: a tape led around walls and roofs is longer.
    """
    return sqrt(opening_level_distance**2 + Max(0, outlet_height - opening_head, opening_sill - outlet_height) ** 2)


# ---------------------------------------------------------------- snow, and courses of roofing


@formula("snow_clearance", Source(kind="derived", place="difference of two heights"))
def snow_clearance(outlet_height_upslope, snow_depth):
    """Height of the outlet above the snow that lies on the roof.

    Assumes snow of even depth measured plumb; it drifts deeper behind a chimney, and slides down a smooth roof.
    """
    return outlet_height_upslope - snow_depth


@formula("flashing_reach", Source(kind="derived", place="lengths add up along the slope"))
def flashing_reach(flashing_base, flashing_offset):
    """How far the flashing's base reaches up the slope from the pipe's centre on the top side of the deck."""
    return flashing_base / 2 + flashing_offset


@formula("lifted_courses", Source(kind="derived", place="definition of the exposure"))
def lifted_courses(flashing_reach, shingle_exposure):
    """Courses of roofing whose lower edge comes to lie over the flashing, above the pipe's centre.

    Assumes courses of one exposure. The whole number is the one below or the one above, by where the courses happen to
    fall: lift as many as there are. The lower end of the flashing lies over the courses below it.
    """
    return flashing_reach / shingle_exposure


@formula("outlet_course", Source(kind="derived", place="definition of the exposure"))
def outlet_course(eave_slope_distance, shingle_exposure):
    """Courses of roofing from the eave up to the pipe's centre.

    Assumes courses of one exposure from the edge of the eave; count the courses on the roof before cutting.
    """
    return eave_slope_distance / shingle_exposure


# Derivations. Symbols that only they use: level distance from the ridge or the eave (x), heights (z, w), lengths (l).
_theta, _d, _sight = symbol("roof_angle"), symbol("pipe_outside_diameter"), symbol("sight_slope")
_ridge, _eave, _run = symbol("ridge_height"), symbol("eave_height"), symbol("rafter_run")
_from_ridge, _from_eave = symbol("ridge_distance"), symbol("eave_distance")
_top, _out, _eye = symbol("outlet_height_upslope"), symbol("outlet_height"), symbol("eye_height")
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
