"""Several small bores beside the one large bore, and the bore that would carry what they carry."""

import sympy

from radonwork.drawings.shapes import Drawing, Frame, terms
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
_pitch = sympy.Rational(5, 4) * _small
_half = sympy.Max(_large, _equal) / 2
_first = _half + _half / 2 + _small  # centre of the first small bore, from that of the large one
_top_row = sympy.Piecewise((0, _n <= 3), (_pitch / 2, True))

PIPES = Drawing(
    "pipes",
    "Bores to scale: one large pipe and several small ones",
    "One bore of {large_bore} beside {pipe_count} of {small_bore}, drawn to scale. The small ones together have "
    "{area_ratio} of the area and carry {flow_ratio} of the flow at equal loss, as one bore of {equivalent_bore} "
    "would, which is dashed around the centre of the large one.",
    Frame(
        left=-_half,
        bottom=-sympy.Max(_half, _pitch / 2 + _small / 2),
        right=_first + 2 * _pitch + _small / 2,
        top=sympy.Max(_half, _pitch / 2 + _small / 2),
        height=430,
        margin=100,
    ),
    (bore_exponent, area_ratio, flow_ratio, equivalent_bore, equal_area_count, equal_flow_count, loss_ratio),
)

PIPES.circle("pipe", (0, 0), _large / 2)
PIPES.circle("ghost", (0, 0), _equal / 2)
for place in range(MOST_PIPES):
    # Rows of three; four stand two by two.
    column = sympy.Piecewise((place % 3, _n <= 3), (place % 2, _n <= 4), (place % 3, True))
    row = sympy.Piecewise((place // 3, _n <= 3), (place // 2, _n <= 4), (place // 3, True))
    centre = (_first + column * _pitch, _top_row - row * _pitch)
    PIPES.circle("pipe", centre, _small / 2, visible=sympy.Piecewise((1, _n > place), (0, True)) if place else 1)

PIPES.dimension((-_large / 2, -_half), (_large / 2, -_half), "large bore {large_bore}", away=-16)
PIPES.dimension((-_equal / 2, -_half), (_equal / 2, -_half), "dashed, same flow {equivalent_bore}", away=-50)
_above = _top_row + _small / 2
PIPES.dimension((_first - _small / 2, _above), (_first + _small / 2, _above), "small bore {small_bore}", away=16)

_middle = (PIPES.frame.left + PIPES.frame.right) / 2
for line, words in enumerate(
    (
        "Area of {pipe_count}: {area_ratio} of the large bore’s; it takes {equal_area_count} to equal it",
        "Flow of {pipe_count} at equal loss: {flow_ratio} of the large bore’s; it takes {equal_flow_count} to equal it",
        "Loss at the same total flow: {loss_ratio} times the large bore’s",
    )
):
    PIPES.text((_middle, PIPES.frame.top), words, shift=(0, 18 * line - 84), kind="accent" if line == 1 else "label")
