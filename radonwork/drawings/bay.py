"""A stud bay from above: studs, boards, the plate between them, the pipes that stand in it and the wood beside the hole."""

import sympy

from radonwork.drawings.shapes import Drawing, Frame, as_written, terms
from radonwork.formulas.bay import cavity_margin, edge_distance, hole_share, largest_outside_diameter

MOST_PIPES = 6
BOARD = 0.0127  # thickness the boards are drawn with, 1/2 in; nothing is worked from it

_stud, _bay, _cavity, _plate = terms("stud_thickness", "bay_width", "cavity_depth", "member_depth")
_n, _pipe, _play = terms("pipe_count", "pipe_outside_diameter", "play")
_hole, _offset, _margin, _edge = terms("hole_diameter", "hole_offset", "cavity_margin", "edge_distance")


@as_written
def _bay_above() -> Drawing:
    half = _cavity / 2
    spacing = _bay + _stud  # the bay as measured, not as the layout would have it
    near, far = _stud / 2, spacing - _stud / 2  # faces of the two studs, from the left stud's centre

    drawing = Drawing(
        "bay",
        "Stud bay to scale, seen from above",
        "A stud bay {bay_width} wide and {cavity_depth} deep, seen from above, between two studs and two boards. "
        "{pipe_count} of pipe, {pipe_outside_diameter} outside, in a hole of {hole_diameter} in the plate, which leaves "
        "{edge_distance} of wood at the nearer edge and takes {hole_share} of the plate. The largest pipe that stands in "
        "the cavity with {play} of play is {largest_outside_diameter} outside; the margin is {cavity_margin}.",
        Frame(left=-near, bottom=-half - BOARD, right=spacing + near, top=half + BOARD, height=430, margin=112),
        (largest_outside_diameter, cavity_margin, hole_share, edge_distance),
    )

    drawing.rectangle("earth", near, -_plate / 2, far, _plate / 2)
    for side in (-1, 1):
        drawing.rectangle("house", -near, side * half, spacing + near, side * (half + BOARD))
    for middle in (0, spacing):
        left, right = middle - near, middle + near
        drawing.rectangle("wood", left, -half, right, half)
        # Crossed, as cut wood is drawn: the studs are cut, the plate lies below.
        drawing.line("outline", [(left, -half), (right, half)])
        drawing.line("outline", [(left, half), (right, -half)])

    for place in range(MOST_PIPES):
        centre = (near + _bay * (place + sympy.Rational(1, 2)) / _n, _offset)
        here = sympy.Piecewise((1, _n > place), (0, True)) if place else 1
        drawing.circle("cut", centre, _hole / 2, visible=here)
        drawing.circle("pipe", centre, _pipe / 2, visible=here)

    first, above, below = near + _bay / (2 * _n), half + BOARD, -half - BOARD
    drawing.dimension((first - _pipe / 2, above), (first + _pipe / 2, above), "pipe {pipe_outside_diameter}", away=16)
    drawing.dimension((first - _hole / 2, below), (first + _hole / 2, below), "hole {hole_diameter}", away=-16)
    drawing.dimension((near, below), (far, below), "clear bay {bay_width}", away=-48)
    drawing.dimension((-near, below), (near, below), "", away=-80)
    drawing.text((near, below), "stud {stud_thickness}", anchor="start", shift=(8, 84))
    drawing.dimension((-near, -half), (-near, half), "", away=-18)
    drawing.text((-near, above), "cavity {cavity_depth}", anchor="start", shift=(-18, -44))
    drawing.dimension((spacing + near, _offset + _hole / 2), (spacing + near, _plate / 2), "", away=18)
    drawing.text((spacing + near, above), "edge {edge_distance}", anchor="end", shift=(18, -44))

    amid = spacing / 2
    drawing.text(
        (amid, above),
        "Fits up to {largest_outside_diameter} outside with {play} of play; margin here {cavity_margin}",
        shift=(0, -98),
        kind="accent",
    )
    drawing.text((amid, above), "The hole takes {hole_share} of the plate’s width", shift=(0, -80))

    def warn(at: sympy.Expr, anchor: str, words: str, when: sympy.Basic) -> None:
        drawing.text((at, above), words, anchor, (0, -62), visible=sympy.Piecewise((1, when), (0, True)), kind="warn")

    warn(-near, "start", "too large for the cavity", _margin < 0)
    warn(amid, "middle", "too many for the bay", _n * _pipe > _bay)
    warn(spacing + near, "end", "no wood left at the edge", _edge <= 0)
    return drawing


BAY = _bay_above()
