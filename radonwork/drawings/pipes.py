"""Several small bores beside the one large bore, and the bore that would carry what they carry."""

import sympy

from radonwork.drawings.shapes import Drawing, Frame, as_written, terms
from radonwork.formulas.pipes import (
    area_ratio,
    bore_exponent,
    equal_area_count,
    equal_flow_count,
    equivalent_bore,
    flow_ratio,
    loss_ratio,
)

MOST_PIPES = 6

_n, _small, _large, _equal = terms("pipe_count", "small_bore", "large_bore", "equivalent_bore")


@as_written
def _pipes() -> Drawing:
    pitch = sympy.Rational(5, 4) * _small
    half = sympy.Max(_large, _equal) / 2
    first = half + half / 2 + _small  # centre of the first small bore, from that of the large one
    top_row = sympy.Piecewise((0, _n <= 3), (pitch / 2, True))
    drawing = Drawing(
        "pipes",
        "Bores to scale: one large pipe and several small ones",
        "One bore of {large_bore} beside {pipe_count} of {small_bore}, drawn to scale. The small ones together have "
        "{area_ratio} of the area and carry {flow_ratio} of the flow at equal loss, as one bore of {equivalent_bore} "
        "would, which is dashed around the centre of the large one.",
        Frame(
            left=-half,
            bottom=-sympy.Max(half, pitch / 2 + _small / 2),
            right=first + 2 * pitch + _small / 2,
            top=sympy.Max(half, pitch / 2 + _small / 2),
            height=430,
            margin=100,
        ),
        (bore_exponent, area_ratio, flow_ratio, equivalent_bore, equal_area_count, equal_flow_count, loss_ratio),
    )

    drawing.circle("pipe", (0, 0), _large / 2)
    drawing.circle("ghost", (0, 0), _equal / 2)
    for place in range(MOST_PIPES):
        # Rows of three; four stand two by two.
        column = sympy.Piecewise((place % 3, _n <= 3), (place % 2, _n <= 4), (place % 3, True))
        row = sympy.Piecewise((place // 3, _n <= 3), (place // 2, _n <= 4), (place // 3, True))
        centre = (first + column * pitch, top_row - row * pitch)
        drawing.circle("pipe", centre, _small / 2, visible=sympy.Piecewise((1, _n > place), (0, True)) if place else 1)

    drawing.dimension((-_large / 2, -half), (_large / 2, -half), "large bore {large_bore}", away=-16)
    drawing.dimension((-_equal / 2, -half), (_equal / 2, -half), "dashed, same flow {equivalent_bore}", away=-50)
    above = top_row + _small / 2
    drawing.dimension((first - _small / 2, above), (first + _small / 2, above), "small bore {small_bore}", away=16)

    middle = (drawing.frame.left + drawing.frame.right) / 2
    for line, words in enumerate(
        (
            "Area of {pipe_count}: {area_ratio} of the large bore’s; it takes {equal_area_count} to equal it",
            "Flow of {pipe_count} at equal loss: {flow_ratio} of the large bore’s; it takes {equal_flow_count} to equal it",
            "Loss at the same total flow: {loss_ratio} times the large bore’s",
        )
    ):
        drawing.text(
            (middle, drawing.frame.top), words, shift=(0, 18 * line - 84), kind="accent" if line == 1 else "label"
        )
    return drawing


PIPES = _pipes()
