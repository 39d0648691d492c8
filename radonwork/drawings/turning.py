"""How far one fitting is turned against the next: the marks seen along the pipe, and on a strip laid around it."""

from sympy import Rational, cos, pi, sin

from radonwork.drawings.shapes import Drawing, Frame, Point, as_written, terms
from radonwork.formulas import piping

STEPS = 48  # straight pieces of the drawn arc

_d, _turn, _arc = terms("pipe_outside_diameter", "turn_angle", "turn_arc")


@as_written
def _turning() -> Drawing:
    radius = _d / 2
    left = Rational(9, 4) * radius  # where the strip begins
    drawing = Drawing(
        name="turning",
        title="Marks of a turn, along the pipe and on a strip around it",
        alternative=(
            "A fitting of {fitting_angle} and one of {next_fitting_angle} make {compound_angle} together when one is turned "
            "{turn_angle} against the other. On pipe {pipe_outside_diameter} across the two marks are {turn_arc} apart, measured "
            "around the outside; a strip of paper around the pipe is three times its diameter and a seventh long."
        ),
        frame=Frame(-radius, -radius, left + pi * _d, radius, height=330, margin=62),
        formulas=(piping.turn_angle, piping.turn_arc),
    )

    def on_pipe(angle: object, out: object = 1) -> Point:
        """At an angle from the top, clockwise."""
        return radius * out * sin(angle), radius * out * cos(angle)

    drawing.circle("pipe", (0, 0), radius)
    drawing.line("ghost", [(0, 0), on_pipe(0)])
    drawing.line("ghost", [(0, 0), on_pipe(_turn)])
    drawing.line("accent", [on_pipe(_turn * Rational(step, STEPS)) for step in range(STEPS + 1)])
    for angle in (0, _turn):
        drawing.line("outline", [on_pipe(angle, Rational(9, 10)), on_pipe(angle, Rational(11, 10))])
    drawing.text((0, 0), "{turn_angle}", shift=(0, 18), kind="accent")

    half = radius / 3
    drawing.rectangle("house", left, -half, left + pi * _d, half)
    drawing.line("accent", [(left, half), (left + _arc, half)])
    for place in (left, left + _arc):
        drawing.line("outline", [(place, -half), (place, Rational(3, 2) * half)])
    drawing.dimension((left, half), (left + _arc, half), "{turn_arc}", away=26)
    drawing.text((left + pi * _d, -half), "strip once around the pipe", "end", (0, 20))
    bottom = ((left + pi * _d - radius) / 2, -radius)
    drawing.text(
        bottom,
        "{fitting_angle} and {next_fitting_angle} make {compound_angle}; first mark at the top of the pipe",
        shift=(0, 44),
    )
    return drawing


TURN = _turning()
