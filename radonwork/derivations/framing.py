"""Layout marks and cuts derived: spacings and widths added up, limits set equal, and the odds of what a probe finds."""

import sympy
from sympy import Max, Min

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import symbol
from radonwork.formulas.framing import (
    bay_centre,
    centre_room,
    centre_spare,
    hole_chance,
    hole_gap,
    hole_spare,
    largest_hole,
    layout_mark,
    place_share,
    wood_after_a_hit,
    wood_after_a_miss,
)

_number, _spacing, _thick = symbol("stud_number"), symbol("stud_spacing"), symbol("stud_thickness")
_depth, _hole, _edge = symbol("member_depth"), symbol("hole_diameter"), symbol("least_edge")
_share, _room, _gap = symbol("largest_share"), symbol("centre_room"), symbol("hole_gap")
# Places and widths that are no terms of the glossary.
_centre, _before, _wide, _under_both = sympy.symbols("x_centre x_before D_edge D_both", real=True)
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
    lambda by_share, by_edge: Eq(_under_both, Min(by_share.rhs, by_edge.rhs)),
    "Both limits hold, so the smaller hole is the largest allowed.",
).step(
    "none",
    lambda both: Eq(symbol("largest_hole"), Max(0, both.rhs)),
    "Where the edges meet it would be below zero: then there is none.",
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

_spare, _largest = symbol("hole_spare"), symbol("largest_hole")
Derivation(hole_spare, "To spare in the hole").premise(
    "largest", Eq(_largest, _hole + _spare), "The hole that is wanted and what is to spare make the largest allowed."
).step("spare", lambda largest: Eq(_spare, sympy.solve(largest, _spare)[0]), "Solve for what is to spare.")

_side = symbol("centre_spare")
Derivation(centre_spare, "To spare beside the hole").premise(
    "room", Eq(_room, symbol("hole_offset") + _side), "The centre's offset and what is to spare make its room."
).step("spare", lambda room: Eq(_side, sympy.solve(room, _side)[0]), "Solve for what is to spare.")

_wood, _service, _any = symbol("wood_chance"), symbol("service_chance"), symbol("hole_chance")
_neither = sympy.Symbol("P_n", positive=True)
Derivation(hole_chance, "Wood or a line").premise(
    "neither", Eq(_neither, (1 - _wood) * (1 - _service)), "Independent of each other, both are missed by this chance."
).premise("either", Eq(_any + _neither, 1), "Either something is met or nothing is.").step(
    "met",
    lambda neither, either: Eq(_any, sympy.solve(either, _any)[0].subs(_neither, neither.rhs)),
    "So something is met by this chance.",
)

_was, _is, _false = symbol("wood_before"), symbol("wood_after"), symbol("false_reading")
_right_and_wood, _wrong_and_none = sympy.symbols("P_a P_b", positive=True)
for _of, _title, _true, _words in (
    (wood_after_a_hit, "What a hit makes of the chance", 1 - _false, ("is right", "is wrong")),
    (wood_after_a_miss, "What a miss makes of the chance", _false, ("is wrong", "is right")),
):
    Derivation(_of, _title).premise(
        "wood", Eq(_right_and_wood, _was * _true), f"There is wood, and the tool {_words[0]} about it."
    ).premise(
        "none", Eq(_wrong_and_none, (1 - _was) * (1 - _true)), f"There is none, and the tool {_words[1]} about that."
    ).premise(
        "after",
        Eq(_is, _right_and_wood / (_right_and_wood + _wrong_and_none)),
        "Only walls that gave this reading are left; the chance is the share of those with wood among them.",
    ).step(
        "chance",
        lambda wood, none, after: Eq(_is, after.rhs.subs({_right_and_wood: wood.rhs, _wrong_and_none: none.rhs})),
        "Put both in.",
    )
