"""The marks of a layout, and how much of a stud, plate or joist may be cut where a limit is stated."""

from sympy import Max, Min, Piecewise, Rational

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_LAYOUT = Source(kind="derived", place="spacings add up along the wall")
_ACROSS = Source(kind="derived", place="widths add up across the member")
_ODDS = Source(kind="derived", place="of all walls in which the probe finds what it found, those with wood there")
_ALONG = Source(kind="derived", place="lengths add up along the member")
_SHARE = ("0 %", "100 %")


@formula(
    "layout_mark",
    _LAYOUT,
    when={
        "the studs are further apart than they are thick": lambda stud_spacing, stud_thickness: (
            stud_thickness < stud_spacing
        )
    },
)
def layout_mark(stud_number, stud_spacing, stud_thickness):
    """Near edge of a stud on the layout, from the corner.

    Assumes that the layout starts at this corner, with board edges on the middles of studs.
    """
    return stud_number * stud_spacing - stud_thickness / 2


@formula("bay_centre", _LAYOUT)
def bay_centre(stud_number, stud_spacing):
    """Middle of the bay before a stud on the layout, from the corner.

    Assumes that the layout starts at this corner, with board edges on the middles of studs.
    """
    return stud_number * stud_spacing - stud_spacing / 2


@formula("largest_hole", _ACROSS, largest_share=_SHARE)
def largest_hole(member_depth, largest_share, least_edge):
    """Largest hole in the middle of a member that takes no more than a share of its depth and leaves an edge.

    None, a hole of no size, where the edges alone take the whole member.

    Assumes a round hole square through the member.
    """
    return Max(0, Min(largest_share * member_depth, member_depth - 2 * least_edge))


@formula("centre_room", _ACROSS)
def centre_room(member_depth, hole_diameter, least_edge):
    """How far off the middle of a member the centre of a hole may lie and still leave an edge.

    Assumes a round hole square through the member.
    """
    return (member_depth - hole_diameter) / 2 - least_edge


@formula("hole_gap", _ALONG)
def hole_gap(hole_spacing, hole_diameter, other_hole):
    """Wood left between two holes.

    Assumes round holes square through the member.
    """
    return hole_spacing - (hole_diameter + other_hole) / 2


@formula("notch_share", Source("irc-quoted", "R602.6 item 1 and R502.8.1: the notch as a share of the depth"))
def notch_share(notch_depth, member_depth):
    """Share of a member's depth that a notch takes."""
    return notch_depth / member_depth


@formula(
    "deepest_notch",
    Source("irc-quoted", "R602.6 item 1 and R502.8.1: the notch as a share of the depth"),
    largest_notch_share=_SHARE,
)
def deepest_notch(member_depth, largest_notch_share):
    """Deepest notch that takes no more than a share of a member's depth."""
    return largest_notch_share * member_depth


@formula("notch_length_share", Source("irc-quoted", "R502.8.1: the length of a notch as a share of the joist's depth"))
def notch_length_share(notch_length, member_depth):
    """Length of a notch over the depth of its joist."""
    return notch_length / member_depth


@formula(
    "place_share",
    _ALONG,
    when={"the place lies on the span": lambda support_distance, span: support_distance <= span},
)
def place_share(support_distance, span):
    """Share of a joist's span between a place on it and the nearer support."""
    return Min(support_distance, span - support_distance) / span


@formula("largest_share", Source("irc-2018", "R602.6 item 2, p. 203"), stud_kind=("-1", "1"))
def stud_share(stud_kind):
    """Largest share of a stud's depth that a hole may take.

    Assumes a kind of -1 for a single stud of a bearing or exterior wall, 0 for a doubled one there, and 1 for a stud of a
    nonbearing wall.

    Assumes sawn studs; where studs are doubled, no more than two successive ones are bored so.
    """
    return Piecewise((Rational(2, 5), stud_kind < 0), (Rational(3, 5), True))


@formula("hole_spare", _ACROSS)
def hole_spare(largest_hole, hole_diameter):
    """What is left of the largest hole allowed when the hole that is wanted is bored."""
    return largest_hole - hole_diameter


@formula("centre_spare", _ACROSS)
def centre_spare(centre_room, hole_offset):
    """Room that the centre of a hole still has before too little wood stays at its nearer edge."""
    return centre_room - hole_offset


@formula(
    "hole_chance",
    Source(kind="derived", place="chances of two things that have nothing to do with each other"),
    wood_chance=_SHARE,
    service_chance=_SHARE,
)
def hole_chance(wood_chance, service_chance):
    """Chance that a hole meets wood, a cable or a pipe.

    Assumes that cables and pipes run without regard to the studs; beside a box and along a stud they do not.
    """
    return 1 - (1 - wood_chance) * (1 - service_chance)


@formula("wood_after", _ODDS, wood_before=_SHARE, false_reading=_SHARE)
def wood_after_a_hit(wood_before, false_reading):
    """Chance of wood at a place where a probe has found wood.

    Assumes that the tool is as often wrong on wood as beside it.
    """
    return wood_before * (1 - false_reading) / (wood_before * (1 - false_reading) + (1 - wood_before) * false_reading)


@formula("wood_after", _ODDS, wood_before=_SHARE, false_reading=_SHARE)
def wood_after_a_miss(wood_before, false_reading):
    """Chance of wood at a place where a probe has found nothing.

    Assumes that the tool is as often wrong on wood as beside it.
    """
    return wood_before * false_reading / (wood_before * false_reading + (1 - wood_before) * (1 - false_reading))
