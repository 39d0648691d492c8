"""The deck cut along the slope, and the deck seen square on: hole, cuts, marks and flashing, to scale."""

import math

from sympy import Abs, Piecewise, Rational, Symbol, cos, sin, sqrt

from radonwork.drawings.outlines import slot_outline
from radonwork.drawings.shapes import Drawing, Frame, Number, Point, as_written, largest, least, terms
from radonwork.formulas import roof

_d, _t, _theta, _bored, _axis, _shift = terms(
    "pipe_outside_diameter", "deck_thickness", "roof_angle", "bored_hole_diameter", "ellipse_axis", "hole_centre_shift"
)


# ---------------------------------------------------------------- along the slope


def _at(along: Number, out: Number) -> Point:
    """`along` up the slope and `out` from the middle of the deck, square to it; the hole's centre is the origin."""
    return along * cos(_theta) - out * sin(_theta), along * sin(_theta) + out * cos(_theta)


@as_written
def _section() -> Drawing:
    half_deck = _bored / 2 + Rational(7, 10) * _d
    # As high as the sloping deck and a length of pipe above and below it; the labels stand in the room at the sides.
    half_height = Symbol("half_height_of_drawing", positive=True)
    drawing = Drawing(
        name="roof-section",
        title="The deck cut along the slope",
        alternative=(
            "Section through a roof deck {deck_thickness} thick at {roof_angle}. A plumb pipe of {pipe_outside_diameter} "
            "passes a round hole of {bored_hole_diameter} bored square to the deck. Its cut in each face is {ellipse_axis} "
            "long; the hole's centre lies {hole_centre_shift} up-slope of the pipe's centre on the underside. With no "
            "clearance the hole would be {roof_hole_diameter}."
        ),
        frame=Frame(-half_height, -half_height, half_height, half_height, margin=52),
        formulas=(
            roof.ellipse_axis,
            roof.roof_hole_diameter,
            roof.bored_hole_diameter,
            roof.hole_centre_shift,
            roof.pitch_angle.solved_for("roof_pitch"),
        ),
        named=((half_height, half_deck * sin(_theta) + Rational(3, 4) * _d + _t),),
    )
    px = half_height / 158  # a drawing unit: the paper is 420 high, less two margins, over the frame's two half heights

    for side in (-1, 1):
        near, far = side * _bored / 2, side * half_deck
        drawing.polygon("deck", [_at(near, -_t / 2), _at(far, -_t / 2), _at(far, _t / 2), _at(near, _t / 2)])
    drawing.rectangle("pipe", -_d / 2, -half_height, _d / 2, half_height)
    drawing.line("centreline", [(0, -half_height), (0, half_height)])
    drawing.line("centreline", [_at(0, -_t / 2 - 24 * px), _at(0, _t / 2 + 24 * px)])
    for side in (-1, 1):
        middle = side * _shift
        drawing.line("cut", [_at(middle - _axis / 2, side * _t / 2), _at(middle + _axis / 2, side * _t / 2)])

    drawing.dimension((-_d / 2, half_height), (_d / 2, half_height), "pipe {pipe_outside_diameter}", away=14)

    def along(start: Number, end: Number, face: Number, away: Number) -> None:
        """A dimension line along the slope, `away` from a face of the deck, with ticks and extension lines."""
        for point in (start, end):
            drawing.line("ghost", [_at(point, face), _at(point, face + away * Rational(6, 5))])
            drawing.line(
                "outline", [_at(point - 4 * px, face + away - 4 * px), _at(point + 4 * px, face + away + 4 * px)]
            )
        drawing.line("outline", [_at(start, face + away), _at(end, face + away)])

    along(-_bored / 2, _bored / 2, _t / 2, 30 * px)
    drawing.text(_at(-_bored / 2, _t / 2 + 30 * px), "round hole {bored_hole_diameter}", "end", (-10, 4))
    low = -_shift - _axis / 2, -_shift + _axis / 2
    along(*low, -_t / 2, -30 * px)
    drawing.text(_at(low[1], -_t / 2 - 30 * px), "cut in each face {ellipse_axis}", "start", (10, 8), kind="warn")

    end = half_deck + 12 * px
    drawing.line("outline", [_at(end, -_t / 2), _at(end, _t / 2)])
    for face in (-_t / 2, _t / 2):
        drawing.line("outline", [_at(end - 4 * px, face), _at(end + 4 * px, face)])
    drawing.text(_at(end, -_t / 2), "deck {deck_thickness}", "start", (9, 4))

    # The pitch as a triangle of its own, in the corner the deck leaves free.
    run, rise = 78 * px * cos(_theta), 78 * px * sin(_theta)
    corner = (-half_height * Rational(720, 420) + 12 * px, half_height - rise)
    drawing.polygon("house", [corner, (corner[0] + run, corner[1]), (corner[0] + run, corner[1] + rise)])
    drawing.text(corner, "roof {roof_angle}, {roof_pitch}", "start", (0, 17))
    return drawing


# ---------------------------------------------------------------- square to the deck


@as_written
def _deck() -> Drawing:
    end_hole, centres, base, offset, plan, climb = terms(
        "end_hole_diameter",
        "slot_hole_centres",
        "flashing_base",
        "flashing_offset",
        "mark_shift_plan",
        "climb_direction",
    )
    middle = _shift + offset  # of the flashing base, up-slope of the hole's centre
    mark = (plan * climb / cos(_theta), -plan * sqrt(1 - climb**2))
    # Half of what must be seen along the slope; the hole is kept small enough for the labels above and below it.
    wide = largest(base / 2 + Abs(middle), Abs(mark[0]), 3 * Abs(mark[1]), _bored * Rational(3, 2)) * Rational(21, 20)
    reach, strip = Symbol("reach_of_drawing", positive=True), Symbol("strip_of_drawing", positive=True)
    paper = Frame(0, 0, 1, 1, height=470, margin=40)
    px = 2 * reach / (paper.width - 2 * paper.margin)
    drawing = Drawing(
        name="roof-deck",
        title="The deck seen square on, up-slope to the right",
        alternative=(
            "The deck seen square on. The round hole is {bored_hole_diameter}. The slot-shaped opening that wastes least has "
            "end holes of {end_hole_diameter} with centres {slot_hole_centres} apart along the slope. The pipe cuts an "
            "ellipse {ellipse_axis} long and {pipe_outside_diameter} wide in each face. The hole's centre lies "
            "{mark_shift_deck} from the plumb mark. The flashing base is {flashing_base} long and reaches {flashing_lap} "
            "beyond the hole at its narrower side."
        ),
        frame=Frame(-reach, -reach / 8, reach, reach / 8, width=paper.width, height=paper.height, margin=paper.margin),
        formulas=(
            roof.ellipse_axis,
            roof.roof_hole_diameter,
            roof.bored_hole_diameter,
            roof.hole_centre_shift,
            roof.end_hole_diameter,
            roof.slot_hole_centres,
            roof.mark_shift_plan,
            roof.mark_shift_deck,
            roof.flashing_lap,
        ),
        named=((reach, wide), (strip, largest(_bored / 2, Abs(mark[1])) + 12 * px)),
    )
    drawing.rectangle("deck", -reach, -strip, reach, strip)
    drawing.circle("bore", (0, 0), _bored / 2)
    drawing.ellipse("cut", (_shift, 0), _axis / 2, _d / 2)
    drawing.line(
        "ghost",
        [
            (-_shift + _axis / 2 * math.cos(turn), _d / 2 * math.sin(turn))
            for turn in (2 * math.pi * n / 48 for n in range(49))
        ],
    )
    outline = slot_outline(end_hole / 2, centres / 2)
    drawing.line("accent", [*outline, outline[0]])
    for x, y in ((-centres / 2, 0), (centres / 2, 0)):
        _cross(drawing, "outline", (x, y), 5 * px)
    _cross(drawing, "outline", (0, 0), 9 * px)

    for side in (-1, 1):
        edge = middle + side * base / 2
        drawing.line("outline", [(edge, -strip - 8 * px), (edge, strip + 8 * px)])

    # Above: the hole, and the flashing's lap at the narrower side, which is down-slope where the base sits up-slope.
    drawing.dimension((-_bored / 2, strip), (_bored / 2, strip), "round hole {bored_hole_diameter}", away=16)
    for side, shown in ((-1, Piecewise((1, middle >= 0), (0, True))), (1, Piecewise((1, middle < 0), (0, True)))):
        hole, edge = side * _bored / 2, middle + side * base / 2
        drawing.dimension((least(hole, edge), strip), (largest(hole, edge), strip), "", away=50, visible=shown)
        beside = _within((hole + edge) / 2, reach - 60 * px)
        drawing.text((beside, strip), "lap {flashing_lap}", shift=(0, -58), visible=shown)

    # Below: the plumb mark and how far it moves, then the flashing's base.
    _cross(drawing, "outline", mark, 6 * px)
    drawing.line("ghost", [mark, (mark[0], -strip - 8 * px)])
    drawing.text(
        (_within(mark[0], reach - 150 * px), -strip), "plumb mark, centre moves {mark_shift_deck}", shift=(0, 23)
    )
    ends = (middle - base / 2, -strip), (middle + base / 2, -strip)
    drawing.dimension(*ends, "flashing base {flashing_base}", away=-42, beside="below")

    opening = "slot-shaped opening: end holes {end_hole_diameter}, centres {slot_hole_centres} apart"
    drawing.line("accent", [(-310 * px, -199 * px), (-282 * px, -199 * px)])
    drawing.text((-276 * px, -199 * px), opening, "start", (0, 4))
    drawing.line("cut", [(-310 * px, -221 * px), (-282 * px, -221 * px)])
    drawing.text((-276 * px, -221 * px), "cut in the top face {ellipse_axis}", "start", (0, 4))
    drawing.line("ghost", [(36 * px, -221 * px), (64 * px, -221 * px)])
    drawing.text((70 * px, -221 * px), "the same cut in the underside", "start", (0, 4))
    return drawing


def _within(x: Number, most: Number) -> Number:
    return largest(-most, least(most, x))


def _cross(drawing: Drawing, kind: str, at: Point, size: Number) -> None:
    drawing.line(kind, [(at[0] - size, at[1]), (at[0] + size, at[1])])
    drawing.line(kind, [(at[0], at[1] - size), (at[0], at[1] + size)])


SECTION = _section()
DECK = _deck()
