"""A stud bay from above: studs, boards, the plate between them, the pipes that stand in it and the wood beside the hole."""

import sympy

from radonwork.drawings.shapes import Drawing, Frame, terms
from radonwork.formulas.bay import cavity_margin, edge_distance, hole_share, largest_outside_diameter

MOST_PIPES = 6
BOARD = 0.0127  # thickness the boards are drawn with, 1/2 in; nothing is worked from it

_stud, _bay, _cavity, _plate = terms("stud_thickness", "bay_width", "cavity_depth", "member_depth")
_n, _pipe, _play = terms("pipe_count", "pipe_outside_diameter", "play")
_hole, _offset, _margin, _edge = terms("hole_diameter", "hole_offset", "cavity_margin", "edge_distance")

_half = _cavity / 2
_spacing = _bay + _stud  # the bay as measured, not as the layout would have it
_near, _far = _stud / 2, _spacing - _stud / 2  # faces of the two studs, from the left stud's centre

BAY = Drawing(
    "bay",
    "Stud bay to scale, seen from above",
    "A stud bay {bay_width} wide and {cavity_depth} deep, seen from above, between two studs and two boards. "
    "{pipe_count} of pipe, {pipe_outside_diameter} outside, in a hole of {hole_diameter} in the plate, which leaves "
    "{edge_distance} of wood at the nearer edge and takes {hole_share} of the plate. The largest pipe that stands in "
    "the cavity with {play} of play is {largest_outside_diameter} outside; the margin is {cavity_margin}.",
    Frame(left=-_near, bottom=-_half - BOARD, right=_spacing + _near, top=_half + BOARD, height=430, margin=112),
    (largest_outside_diameter, cavity_margin, hole_share, edge_distance),
)

BAY.rectangle("earth", _near, -_plate / 2, _far, _plate / 2)
for side in (-1, 1):
    BAY.rectangle("house", -_near, side * _half, _spacing + _near, side * (_half + BOARD))
for middle in (0, _spacing):
    left, right = middle - _near, middle + _near
    BAY.rectangle("wood", left, -_half, right, _half)
    # Crossed, as cut wood is drawn: the studs are cut, the plate lies below.
    BAY.line("outline", [(left, -_half), (right, _half)])
    BAY.line("outline", [(left, _half), (right, -_half)])

for place in range(MOST_PIPES):
    centre = (_near + _bay * (place + sympy.Rational(1, 2)) / _n, _offset)
    here = sympy.Piecewise((1, _n > place), (0, True)) if place else 1
    BAY.circle("cut", centre, _hole / 2, visible=here)
    BAY.circle("pipe", centre, _pipe / 2, visible=here)

_first, _above, _below = _near + _bay / (2 * _n), _half + BOARD, -_half - BOARD
BAY.dimension((_first - _pipe / 2, _above), (_first + _pipe / 2, _above), "pipe {pipe_outside_diameter}", away=16)
BAY.dimension((_first - _hole / 2, _below), (_first + _hole / 2, _below), "hole {hole_diameter}", away=-16)
BAY.dimension((_near, _below), (_far, _below), "clear bay {bay_width}", away=-48)
BAY.dimension((-_near, _below), (_near, _below), "", away=-80)
BAY.text((_near, _below), "stud {stud_thickness}", anchor="start", shift=(8, 84))
BAY.dimension((-_near, -_half), (-_near, _half), "", away=-18)
BAY.text((-_near, _above), "cavity {cavity_depth}", anchor="start", shift=(-18, -44))
BAY.dimension((_spacing + _near, _offset + _hole / 2), (_spacing + _near, _plate / 2), "", away=18)
BAY.text((_spacing + _near, _above), "edge {edge_distance}", anchor="end", shift=(18, -44))

_centre = _spacing / 2
BAY.text(
    (_centre, _above),
    "Fits up to {largest_outside_diameter} outside with {play} of play; margin here {cavity_margin}",
    shift=(0, -98),
    kind="accent",
)
BAY.text((_centre, _above), "The hole takes {hole_share} of the plate’s width", shift=(0, -80))


def _warn(at: sympy.Expr, anchor: str, words: str, when: sympy.Basic) -> None:
    BAY.text((at, _above), words, anchor, (0, -62), visible=sympy.Piecewise((1, when), (0, True)), kind="warn")


_warn(-_near, "start", "too large for the cavity", _margin < 0)
_warn(_centre, "middle", "too many for the bay", _n * _pipe > _bay)
_warn(_spacing + _near, "end", "no wood left at the edge", _edge <= 0)
