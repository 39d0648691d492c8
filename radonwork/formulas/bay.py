"""What stands in a stud bay, and what a hole leaves of the wood."""

import sympy

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import formula, symbol
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


_spacing, _thickness, _bay = symbol("stud_spacing"), symbol("stud_thickness"), symbol("bay_width")
_cavity, _play, _pipe = symbol("cavity_depth"), symbol("play"), symbol("pipe_outside_diameter")
_member, _hole, _offset = symbol("member_depth"), symbol("hole_diameter"), symbol("hole_offset")
_edge, _margin = symbol("edge_distance"), symbol("cavity_margin")
# Places along or across the wall that only the derivations use.
_left, _right, _wide = sympy.symbols("x_left x_right e_wide", real=True)

Derivation(bay_width, "The clear width between two studs").premise(
    "left", Eq(_left, _thickness / 2), "Measure from the centre of the left stud: its face is half a thickness away."
).premise(
    "right",
    Eq(_right, _spacing - _thickness / 2),
    "The next stud's centre is one spacing away, and its face half a thickness nearer.",
).step("bay", lambda left, right: Eq(_bay, right.rhs - left.rhs), "The bay lies between the two faces.")

Derivation(largest_outside_diameter, "The largest pipe that stands in the cavity").premise(
    "depth", Eq(_cavity, _pipe + _play), "At the limit the pipe and its play fill the cavity from board to board."
).step(
    "largest",
    lambda depth: Eq(symbol("largest_outside_diameter"), sympy.solve(depth, _pipe)[0]),
    "Solve for the pipe.",
)

Derivation(cavity_margin, "Depth to spare beside the pipe").premise(
    "depth", Eq(_cavity, _pipe + _play + _margin), "The pipe, its play and the depth to spare fill the cavity."
).step("margin", lambda depth: Eq(_margin, sympy.solve(depth, _margin)[0]), "Solve for the depth to spare.")

Derivation(centred_edge_distance, "Wood beside a hole in the middle").premise(
    "width", Eq(_member, _edge + _hole + _edge), "Edge, hole and the same edge again make the member's width."
).step("edge", lambda width: Eq(_edge, sympy.solve(width, _edge)[0]), "Solve for the edge.")

Derivation(edge_distance, "Wood beside a hole off the middle").premise(
    "width", Eq(_member, _edge + _hole + _wide), "Nearer edge, hole and wider edge make the member's width."
).premise(
    "moved",
    Eq(_wide - _edge, 2 * _offset),
    "Moving the hole takes its offset from one edge and gives it to the other, so the edges differ by twice as much.",
).step("wider", lambda moved: Eq(_wide, sympy.solve(moved, _wide)[0]), "The wider edge by the nearer.").step(
    "edge",
    lambda width, wider: Eq(_edge, sympy.solve(width.subs(_wide, wider.rhs), _edge)[0]),
    "Put it in and solve for the nearer edge.",
)
