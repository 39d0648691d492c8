"""What stands in a stud bay, and what a hole leaves of the wood."""

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_LAYOUT = Source(kind="derived", place="widths add up along the wall")
_DEPTH = Source(kind="derived", place="depths add up across the wall")
_EDGE = Source(kind="derived", place="widths add up across the member")


@formula(
    "bay_width",
    _LAYOUT,
    when={
        "the studs are further apart than they are thick": lambda stud_spacing, stud_thickness: (
            stud_thickness < stud_spacing
        ),
    },
)
def bay_width(stud_spacing, stud_thickness):
    """Clear width of a stud bay from the layout.

    Assumes studs of one thickness, straight and on their marks; measure the bay before cutting.
    """
    return stud_spacing - stud_thickness


@formula(
    "largest_outside_diameter",
    _DEPTH,
    when={"the play is less than the cavity is deep": lambda cavity_depth, play: play < cavity_depth},
)
def largest_outside_diameter(cavity_depth, play):
    """Largest outside diameter of a pipe that stands in the cavity with the stated play.

    Assumes nothing else in the cavity: no cable, no brace, no board that bows in.
    """
    return cavity_depth - play


@formula("cavity_margin", _DEPTH)
def cavity_margin(cavity_depth, pipe_outside_diameter, play):
    """Depth of the cavity beyond what the pipe and its play need.

    Assumes nothing else in the cavity: no cable, no brace, no board that bows in.
    """
    return cavity_depth - pipe_outside_diameter - play


@formula("hole_share", Source("irc-2018", "R602.6 item 2 and R602.6.1, p. 203: the hole as a share of depth or width"))
def hole_share(hole_diameter, member_depth):
    """Share of a stud's depth or a plate's width that a hole takes.

    Assumes a round hole square through the member.
    """
    return hole_diameter / member_depth


@formula("edge_distance", _EDGE)
def centred_edge_distance(member_depth, hole_diameter):
    """Wood left at each edge beside a hole in the middle of a member.

    Assumes a round hole square through the member.
    """
    return (member_depth - hole_diameter) / 2


@formula(
    "edge_distance",
    _EDGE,
    when={
        "the hole's centre lies within the member": lambda hole_offset, member_depth: 2 * hole_offset <= member_depth,
    },
)
def edge_distance(member_depth, hole_diameter, hole_offset):
    """Wood left at the nearer edge beside a hole off the middle of a member.

    Assumes a round hole square through the member.
    """
    return (member_depth - hole_diameter) / 2 - hole_offset
