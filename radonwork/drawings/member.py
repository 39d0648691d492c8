"""A stud, and a joist, from the side: the strip in which a hole may lie, the largest hole, the hole that is wanted."""

import sympy

from radonwork.drawings.shapes import Drawing, Frame, largest, terms
from radonwork.engine.formula import Formula
from radonwork.formulas.bay import edge_distance, hole_share
from radonwork.formulas.framing import (
    centre_room,
    centre_spare,
    deepest_notch,
    hole_gap,
    hole_spare,
    largest_hole,
    stud_share,
)

_edge, _most, _spare, _side, _left = terms("least_edge", "largest_hole", "hole_spare", "centre_spare", "edge_distance")
_other, _apart, _gap = terms("other_hole", "hole_spacing", "hole_gap")


def _where(condition: sympy.Basic) -> sympy.Basic:
    return sympy.Piecewise((1, condition), (0, True))


def _member(
    name: str,
    title: str,
    said: str,
    names: tuple[str, str, str],
    ends: tuple[sympy.Basic, sympy.Basic],
    used: tuple[Formula, ...],
) -> Drawing:
    """A member from one end to the other, its strip and holes; `names` are its depth, its hole and the hole's offset.

    The hole's centre is at 0 along the member.
    """
    depth, hole, offset = terms(*names)
    half, (left, right) = depth / 2, ends
    drawing = Drawing(name, title, said, Frame(left, -half, right, half, height=400, margin=106), used)
    drawing.rectangle("wood", left, -half, right, half)
    strip = largest(half - _edge, 0)
    drawing.rectangle("earth", left, -strip, right, strip)
    drawing.line("ghost", [(left, strip), (right, strip)])
    drawing.line("ghost", [(left, -strip), (right, -strip)])
    drawing.line("centreline", [(left, 0), (right, 0)])
    drawing.circle("ghost", (0, 0), largest(_most, 0) / 2)
    drawing.circle("cut", (0, offset), hole / 2)
    drawing.dimension((-hole / 2, half), (hole / 2, half), f"hole {{{names[1]}}}", away=20)
    drawing.dimension((left, -half), (left, half), "", away=-16)
    drawing.text((left, -half), f"depth {{{names[0]}}}", anchor="start", shift=(-16, 24))
    drawing.dimension((right, strip), (right, half), "", away=16)
    drawing.text((right, half), "stays whole {least_edge}", anchor="end", shift=(16, -34))
    middle = (left + right) / 2
    drawing.text(
        (middle, half), "Largest hole in the middle {largest_hole} (broken circle); this one takes {hole_share}",
        shift=(0, -86), kind="accent",
    )  # fmt: skip
    drawing.text((middle, half), "Wood left at the nearer edge: {edge_distance}", shift=(0, -66))
    drawing.text(
        (middle, -half), "hole larger than its share allows", shift=(0, 72), visible=_where(_spare < 0), kind="warn"
    )
    near = sympy.And(_side < 0, _left > 0)
    drawing.text((middle, -half), "too near the edge", shift=(0, 88), visible=_where(near), kind="warn")
    drawing.text((middle, -half), "no wood left at the edge", shift=(0, 88), visible=_where(_left <= 0), kind="warn")
    return drawing


_depth, _joist, _joist_hole = terms("member_depth", "joist_depth", "joist_hole")
STUD = _member(
    "stud-hole",
    "A hole in a stud, from the side",
    "A stud {member_depth} deep, from the side, with a hole of {hole_diameter} that takes {hole_share} of it and leaves "
    "{edge_distance} of wood at its nearer edge. The largest hole allowed in the middle is {largest_hole}; {least_edge} stay "
    "whole at either edge.",
    ("member_depth", "hole_diameter", "hole_offset"),
    (-sympy.Rational(8, 5) * _depth, sympy.Rational(8, 5) * _depth),
    (stud_share, largest_hole, hole_spare, centre_room, centre_spare, hole_share, edge_distance),
)

_OF_JOIST = {"member_depth": "joist_depth", "hole_diameter": "joist_hole", "hole_offset": "joist_offset"}


def _of_joist(statement: Formula) -> Formula:
    names = {old: new for old, new in _OF_JOIST.items() if old in statement.takes}
    return statement.with_terms(statement.name, gives=statement.result, **names)


JOIST_FORMULAS = tuple(
    map(
        _of_joist,
        (largest_hole, hole_spare, centre_room, centre_spare, hole_share, edge_distance, hole_gap, deepest_notch),
    )
)
_reach = largest(_apart + _other, sympy.Rational(6, 5) * _joist)
JOIST = _member(
    "joist-hole",
    "A hole in a joist, from the side",
    "A joist {joist_depth} deep, from the side, with a hole of {joist_hole} that takes {hole_share} of it and leaves "
    "{edge_distance} of wood at its nearer edge, and another of {other_hole} beside it with {hole_gap} between them. The "
    "largest hole allowed in the middle is {largest_hole}; {least_edge} stay whole at top and bottom. A notch, outside the "
    "middle third of the span, may be {deepest_notch} deep.",
    ("joist_depth", "joist_hole", "joist_offset"),
    (-sympy.Rational(4, 5) * _joist, _reach),
    JOIST_FORMULAS,
)
JOIST.circle("cut", (_apart, 0), _other / 2)
_floor = -_joist / 2
_HAIR = sympy.Rational(1, 10**6)  # m: rounding is no trespass
JOIST.text((_reach, _floor), "other hole {other_hole}", anchor="end", shift=(16, 56))
JOIST.dimension((_joist_hole / 2, _floor), (_apart - _other / 2, _floor), "", away=-20, visible=_where(_gap > 0))
JOIST.text(((_joist_hole / 2 + _apart - _other / 2) / 2, _floor), "wood between {hole_gap}", shift=(0, 40))
JOIST.text(
    ((_reach - _joist * sympy.Rational(4, 5)) / 2, _floor),
    "too near to the other hole",
    shift=(0, 103),
    visible=_where(_gap < _edge - _HAIR),
    kind="warn",
)
