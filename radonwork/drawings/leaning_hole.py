"""A row of holes bored in one go by a leaning drill, and the plumb pipe in it, to scale."""

from sympy import Piecewise, Rational, Symbol, cos, tan

from radonwork.drawings.shapes import Drawing, Frame, as_written, terms
from radonwork.formulas import boring, transfer

MOST_PLATES = 6

_n, _t, _g, _H, _lean, _D, _d, _drift = terms(
    "plate_count", "plate_thickness", "plate_gap", "stack_height", "drill_lean", "hole_diameter", "small_pipe_diameter",
    "hole_drift",
)  # fmt: skip


@as_written
def _row() -> Drawing:
    half = Symbol("half_hole_of_drawing", positive=True)
    reach = Rational(8, 5) * _D
    drawing = Drawing(
        name="leaning-hole",
        title="Plates bored in one go, and a plumb pipe in the leaning hole",
        alternative=(
            "{plate_count} plates of {plate_thickness}, {stack_height} in all, bored by a drill that leans {drill_lean}: the "
            "hole of {hole_diameter} comes out {hole_drift} aside. A plumb pipe of {small_pipe_diameter} needs a hole of "
            "{least_plate_hole} there; this hole forgives a lean of up to {largest_drill_angle}."
        ),
        frame=Frame(-reach, -_d / 2, reach + _drift, _H + _d / 2, height=430, margin=70),
        formulas=(
            boring.stack_height,
            transfer.drill_drift.with_terms("hole_drift", gives="hole_drift", member_thickness="stack_height"),
            *(
                of.with_terms(of.name, gives=of.result, pipe_outside_diameter="small_pipe_diameter")
                for of in (boring.least_plate_hole, boring.largest_drill_angle)
            ),
        ),
        named=((half, _D / (2 * cos(_lean))),),
    )
    for plate in range(MOST_PLATES):
        there = Piecewise((1, _n > plate), (0, True)) if plate else 1
        low, high = plate * (_t + _g), plate * (_t + _g) + _t
        for side, edge in ((-1, -reach), (1, reach + _drift)):
            corners = [(y * tan(_lean) + side * half, y) for y in (low, high)]
            drawing.polygon("wood", [corners[0], corners[1], (edge, high), (edge, low)], visible=there)
    middle = _drift / 2
    drawing.rectangle("pipe", middle - _d / 2, -_d / 2, middle + _d / 2, _H + _d / 2)
    drawing.line("centreline", [(0, 0), (_drift, _H)])
    for side in (-1, 1):
        drawing.line("cut", [(side * half, 0), (_drift + side * half, _H)])
    drawing.dimension(
        (middle - _d / 2, _H + _d / 2), (middle + _d / 2, _H + _d / 2), "pipe {small_pipe_diameter}", away=12
    )
    drawing.dimension((-half, -_d / 2), (half, -_d / 2), "hole {hole_diameter}", away=-12)
    drawing.dimension((-reach, 0), (-reach, _H), "{stack_height}", away=-12, beside="left")
    below = (middle, -_d / 2)
    drawing.text(
        below,
        "lean {drill_lean}: out {hole_drift} aside, and the pipe needs a hole of {least_plate_hole}",
        shift=(0, 52),
    )
    return drawing


ROW = _row()
