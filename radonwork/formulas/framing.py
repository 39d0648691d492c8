"""The marks of a layout, and how much of a stud, plate or joist may be cut where a limit is stated."""

import sympy
from sympy import Eq, Min

from radonwork.engine.derivation import Derivation
from radonwork.engine.formula import formula, symbol
from radonwork.engine.sources import Source

_LAYOUT = Source(kind="derived", place="spacings add up along the wall")
_ACROSS = Source(kind="derived", place="widths add up across the member")
_ALONG = Source(kind="derived", place="lengths add up along the member")


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


@formula("largest_hole", _ACROSS)
def largest_hole(member_depth, largest_share, least_edge):
    """Largest hole in the middle of a member that takes no more than a share of its depth and leaves an edge.

    Assumes a round hole square through the member.
    """
    return Min(largest_share * member_depth, member_depth - 2 * least_edge)


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


@formula("deepest_notch", Source("irc-quoted", "R602.6 item 1 and R502.8.1: the notch as a share of the depth"))
def deepest_notch(member_depth, largest_share):
    """Deepest notch that takes no more than a share of a member's depth."""
    return largest_share * member_depth


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


_number, _spacing, _thick = symbol("stud_number"), symbol("stud_spacing"), symbol("stud_thickness")
_depth, _hole, _edge = symbol("member_depth"), symbol("hole_diameter"), symbol("least_edge")
_share, _room, _gap = symbol("largest_share"), symbol("centre_room"), symbol("hole_gap")
# Places and widths that only the derivations use.
_centre, _before, _wide = sympy.symbols("x_centre x_before D_edge", real=True)
_by_share, _right = sympy.symbols("D_share x_right", positive=True)

Derivation(layout_mark, "Where a stud is marked").premise(
    "centre", Eq(_centre, _number * _spacing), "Stud after stud the middles stand one spacing further from the corner."
).step(
    "mark",
    lambda centre: Eq(symbol("layout_mark"), centre.rhs - _thick / 2),
    "The near edge lies half a thickness before the middle; that is where the mark goes.",
)

Derivation(bay_centre, "The middle of a bay").premise(
    "centre", Eq(_centre, _number * _spacing), "The middle of the stud at the far side of the bay."
).premise(
    "before", Eq(_before, (_number - 1) * _spacing), "The middle of the stud at its near side, or the corner itself."
).step(
    "middle",
    lambda centre, before: Eq(symbol("bay_centre"), sympy.expand((centre.rhs + before.rhs) / 2)),
    "Half way between the two.",
)

Derivation(largest_hole, "The largest hole under two limits").premise(
    "share", Eq(_by_share / _depth, _share), "The hole takes the share of the depth that is allowed, and no more."
).premise(
    "edges", Eq(_edge + _wide + _edge, _depth), "Or it leaves just the edge that is asked for, on either side."
).step("by_share", lambda share: Eq(_by_share, sympy.solve(share, _by_share)[0]), "The hole by its share.").step(
    "by_edge", lambda edges: Eq(_wide, sympy.solve(edges, _wide)[0]), "The hole by its edges."
).step(
    "both",
    lambda by_share, by_edge: Eq(symbol("largest_hole"), Min(by_share.rhs, by_edge.rhs)),
    "Both limits hold, so the smaller hole is the largest allowed.",
)

Derivation(centre_room, "Room for the centre of a hole").premise(
    "half",
    Eq(_depth / 2, _room + _hole / 2 + _edge),
    "From the middle to the edge: as far as the centre may move, half the hole, and the edge that must stay.",
).step("room", lambda half: Eq(_room, sympy.solve(half, _room)[0]), "Solve for the room.")

Derivation(hole_gap, "Wood between two holes").premise(
    "between",
    Eq(symbol("hole_spacing"), _hole / 2 + _gap + symbol("other_hole") / 2),
    "From centre to centre: half of one hole, the wood, half of the other.",
).step("gap", lambda between: Eq(_gap, sympy.solve(between, _gap)[0]), "Solve for the wood.")

_near, _span = symbol("support_distance"), symbol("span")
Derivation(place_share, "How near to a support").premise(
    "span", Eq(_near + _right, _span), "The distances to both supports make the span."
).step("other", lambda span: Eq(_right, sympy.solve(span, _right)[0]), "The distance to the other support.").step(
    "share",
    lambda other: Eq(symbol("place_share"), Min(_near, other.rhs) / _span),
    "The nearer support counts, as a share of the span.",
)
