"""Carrying a place from one floor to the next, and how far off the hole may come out."""

from sympy import atan, sqrt, tan

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_TRIANGLE = Source(kind="derived", place="right triangle of height and lean")
_SUMS = Source(kind="derived", place="errors added up from the first mark to the hole")


@formula("plumb_lean", _TRIANGLE, plumb_length=("1 in", "100 ft"))
def plumb_lean(plumb_error, plumb_length):
    """Angle from plumb of a lean that is stated as so much in such a height."""
    return atan(plumb_error / plumb_length)


@formula("plumb_shift", _TRIANGLE, plumb_length=("1 in", "100 ft"))
def plumb_shift(transfer_height, plumb_error, plumb_length):
    """How far off a place comes out that is carried up by something that leans.

    Assumes that what carries it (plumb line, laser, stud, standing pipe) is straight and leans one way.
    """
    return transfer_height * plumb_error / plumb_length


@formula("place_above", Source(kind="derived", place="one thing measured to on both floors"))
def place_above(place_below, reference_below, reference_above):
    """Place on the floor above, measured from there, by something that stands on both floors.

    Assumes that it stands plumb (a flue, a drain, a corner of the outside wall) and that both floors measure the same way.
    """
    return reference_above + (place_below - reference_below)


@formula(
    "scaled_length", Source(kind="derived", place="one scale over the whole photograph"), photo_known=("1", "100000")
)
def scaled_length(known_length, photo_length, photo_known):
    """Length on a wall from a photograph with something of known length in it.

    Assumes the camera square to the wall and the known length beside what is measured; else use four marks.
    """
    return known_length * photo_length / photo_known


@formula("drill_drift", _TRIANGLE, drill_lean=("0 deg", "80 deg"))
def drill_drift(member_thickness, drill_lean):
    """How far the drill comes out beside its mark after boring at a lean."""
    return member_thickness * tan(drill_lean)


@formula("transfer_tolerance", _SUMS)
def transfer_tolerance(plumb_shift, tape_tolerance, photo_tolerance, drill_drift):
    """The most that the final hole can be off: every error at its limit and all of them the same way."""
    return plumb_shift + 2 * tape_tolerance + photo_tolerance + drill_drift


@formula("likely_transfer_error", _SUMS)
def likely_transfer_error(plumb_shift, tape_tolerance, photo_tolerance, drill_drift):
    """How far the final hole is likely to be off: independent errors seldom all fall the same way.

    Assumes errors independent of each other; each stated limit stands for the same number of standard deviations.
    """
    return sqrt(plumb_shift**2 + 2 * tape_tolerance**2 + photo_tolerance**2 + drill_drift**2)


@formula("forgiving_hole", Source(kind="derived", place="a circle inside a larger one"))
def forgiving_hole(pipe_outside_diameter, transfer_tolerance):
    """Smallest hole in which the pipe stands on its true place though the hole is off by the tolerance.

    Assumes a round hole square through a level member, and a plumb pipe.
    """
    return pipe_outside_diameter + 2 * transfer_tolerance
