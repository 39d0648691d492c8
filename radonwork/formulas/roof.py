"""A plumb pipe through a sloped roof deck: the hole, its centre, and what the flashing covers.

Along the deck `u` runs up the slope and `y` across it, both from the hole's centre, which lies on the pipe's axis half
way through the deck. A plumb pipe moves up the slope by t tan(theta) while it passes a deck of thickness t, so the two
faces are cut in equal ellipses shifted by that much, and a hole bored square to the deck must clear both. All of it is
exact geometry.
"""

from sympy import Abs, Min, acos, atan, cos, pi, sin, sqrt, tan

from radonwork.engine.formula import Formula, formula
from radonwork.engine.sources import Source

_GEOMETRY = Source(kind="derived", place="geometry of a straight round pipe and a plane deck")
# The geometry holds short of a wall, which a plumb pipe never crosses: turrets and mansards are steeper than any house roof.
_ROOF = ("0 deg", "89 deg")


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


@formula("leaning_hole_diameter", _GEOMETRY, riser_deck_angle=_ROOF)
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


__all__ = [name for name, value in list(globals().items()) if isinstance(value, Formula)]
