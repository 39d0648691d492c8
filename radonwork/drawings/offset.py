"""A rolling offset to scale: seen along the pipe, and square to the slanted piece with its fittings and the cut."""

from sympy import Piecewise, Rational, Symbol, cos, sin, tan

from radonwork.drawings.shapes import Drawing, Frame, Number, Point, as_written, largest, terms
from radonwork.formulas import piping

_set, _roll, _f, _l, _a, _cut, _m, _phi, _d = terms(
    "offset_set", "offset_roll", "true_offset", "travel", "offset_run", "offset_cut", "take_off", "fitting_angle",
    "pipe_outside_diameter",
)  # fmt: skip


@as_written
def _offset() -> Drawing:
    half, leg, corner = (Symbol(f"{name}_of_drawing", positive=True) for name in ("half", "leg", "corner"))
    stub = Rational(5, 4) * _d
    end = corner + _a + leg + stub
    drawing = Drawing(
        name="rolling-offset",
        title="A rolling offset: along the pipe, and square to its slanted piece",
        alternative=(
            "Seen along the pipe, the second pipe stands {offset_set} off in the direction of the set and {offset_roll} off in "
            "that of the roll: {true_offset} straight across, rolled by {roll_angle}, which is {turn_arc} around the outside "
            "of a pipe of {pipe_outside_diameter}. Seen square to it, fittings of {fitting_angle} stand {travel} apart from "
            "centre to centre and {offset_run} along the pipe; less {take_off} at each end the piece is cut to {offset_cut}."
        ),
        frame=Frame(-_d / 2, -half, end, largest(_set, _f) + half, height=470, margin=96),
        formulas=(
            piping.true_offset,
            piping.roll_angle,
            piping.travel,
            piping.offset_run,
            piping.offset_cut,
            piping.turn_arc.with_terms("turn_arc", gives="turn_arc", turn_angle="roll_angle"),
        ),
        named=(
            (half, Rational(3, 5) * _d),  # half the outside of a socket
            (leg, largest(_m, half * tan(_phi / 2))),
            (corner, _roll + Rational(7, 2) * _d + leg + Rational(1, 5) * _f),
        ),
    )

    # Along the pipe.
    drawing.line("ghost", [(0, 0), (0, _set), (_roll, _set)])
    drawing.line("accent", [(0, 0), (_roll, _set)])
    drawing.circle("pipe", (0, 0), _d / 2)
    drawing.circle("pipe", (_roll, _set), _d / 2)
    drawing.dimension((-_d / 2, 0), (-_d / 2, _set), "set", away=-10, beside="left")
    drawing.dimension((0, _set + _d / 2), (_roll, _set + _d / 2), "roll", away=12)

    # Square to the slanted piece.
    along, across = (cos(_phi), sin(_phi)), (-sin(_phi), cos(_phi))
    first, last = (corner, 0), (corner + _a, _f)

    def on_travel(length: Number, aside: Number) -> Point:
        return (
            corner + length * along[0] + aside * across[0],
            length * along[1] + aside * across[1],
        )

    radius, mitre = _d / 2, half * tan(_phi / 2)
    drawing.rectangle("pipe", corner - leg - stub, -radius, corner - leg, radius)
    drawing.rectangle("pipe", corner + _a + leg, _f - radius, end, _f + radius)
    piece = [on_travel(_m, radius), on_travel(_l - _m, radius), on_travel(_l - _m, -radius), on_travel(_m, -radius)]
    drawing.polygon("pipe", piece, visible=Piecewise((1, _cut > 0), (0, True)))
    drawing.polygon(
        "house",
        [
            (corner - leg, half), (corner - mitre, half), on_travel(leg, half), on_travel(leg, -half),
            (corner + mitre, -half), (corner - leg, -half),
        ],
    )  # fmt: skip
    drawing.polygon(
        "house",
        [
            (last[0] + leg, _f + half), (last[0] - mitre, _f + half), on_travel(_l - leg, half), on_travel(_l - leg, -half),
            (last[0] + mitre, _f - half), (last[0] + leg, _f - half),
        ],
    )  # fmt: skip
    drawing.line("centreline", [(corner - leg - stub, 0), first, last, (end, _f)])
    drawing.dimension((corner, -half), (corner + _a, -half), "run", away=-14)
    drawing.dimension((end, 0), (end, _f), "offset", away=12)
    drawing.text((corner, half), "{fitting_angle}", "end", (-8, -10))
    bottom = ((drawing.frame.left + end) / 2, drawing.frame.bottom)
    for line, words in enumerate(
        (
            "set {offset_set}, roll {offset_roll}: true offset {true_offset}, run {offset_run}",
            "turned {roll_angle} from the set: {turn_arc} around the pipe",
            "travel {travel}, less {take_off} at each end: cut {offset_cut}",
        )
    ):
        drawing.text(bottom, words, shift=(0, 50 + 19 * line), kind="accent" if line == 2 else "label")
    return drawing


OFFSET = _offset()
