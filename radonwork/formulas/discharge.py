"""Where the pipe comes out: heights over the ground, distances to openings, what the roof hides, flashing and snow.

Everything is worked in the plane square to the ridge. A roof is as high all along its ridge, so the line from an eye to
the pipe crosses the ridge at a height that only the distances square to the ridge decide, however askew it runs in plan.
Heights are over the ground by the house, level distances are in plan.
"""

from sympy import Max, cos, sqrt, tan

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_ROOF = Source(kind="derived", place="geometry of a plane roof and a plumb pipe")
_SIGHT = Source(kind="derived", place="geometry of a straight line of sight over a level edge")
_PLACES = Source(kind="derived", place="geometry of places on plan and section")
_ANGLE = ("0 deg", "89 deg")


# ---------------------------------------------------------------- the roof


@formula(
    "rafter_run",
    _ROOF,
    when={"the ridge is above the eave": lambda ridge_height, eave_height: eave_height < ridge_height},
    roof_angle=("1 deg", "89 deg"),  # on a flat roof heights tell nothing of the run
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
