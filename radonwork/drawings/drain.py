"""The sloped run through the attic seen from the side, and the pipe cut across with its water, both to scale."""

from sympy import Rational, Symbol, acos, cos, pi, sin

from radonwork.drawings.shapes import Drawing, Frame, Number, Point, as_written, terms
from radonwork.formulas import condensate

# ---------------------------------------------------------------- the run


@as_written
def _run() -> Drawing:
    length, alpha, plan, rise, outside = terms(
        "run_length", "slope_angle", "run_plan_length", "run_drop", "pipe_outside_diameter"
    )
    px = Symbol("px_of_drawing", positive=True)
    half = outside / 2
    wide, high = 628 * px, 268 * px  # the paper less its margins; the run takes 350 of the 628, words the rest
    left, bottom = -56 * px, rise / 2 - high / 2 - 8 * px
    stub = half + 52 * px  # how much of each riser is shown
    drawing = Drawing(
        name="drain-run",
        title="The sloped run through the attic, from the side",
        alternative=(
            "Side view to scale of a pipe of {pipe_outside_diameter} that runs {run_length} through the attic at "
            "{pipe_slope}, from the riser in the wall at the left up to the riser to the roof at the right. It covers "
            "{run_plan_length} in plan, {plan_shortening} less than its length, and its lower end lies {run_drop} below "
            "its upper end. Air moves up the slope, water runs back down it."
        ),
        frame=Frame(left, bottom, left + wide, bottom + high, height=360),
        formulas=(
            condensate.slope_angle,
            condensate.run_drop,
            condensate.run_plan_length,
            condensate.plan_shortening,
        ),
        named=((px, plan / 350),),
    )

    def beside(along: Number, away: Number) -> Point:
        """`along` up the run from its lower end and `away` from its middle, above it."""
        return along * cos(alpha) - away * sin(alpha), along * sin(alpha) + away * cos(alpha)

    drawing.line("ghost", [(0, 0), (plan + half + 40 * px, 0)])
    mitre = half * (1 - sin(alpha)) / cos(alpha)
    drawing.polygon(
        "pipe",
        [
            (-half, -stub), (-half, mitre), (plan - half, rise + mitre), (plan - half, rise + stub),
            (plan + half, rise + stub), (plan + half, rise - mitre), (half, -mitre), (half, -stub),
        ],
    )  # fmt: skip
    drawing.line("centreline", [(0, -stub), (0, 0), (plan, rise), (plan, rise + stub)])

    clear = half + 11 * px
    drawing.line("flow", [beside(length * Rational(8, 100), clear), beside(length * Rational(24, 100), clear)])
    drawing.text(beside(length * Rational(8, 100), clear), "air", "end", (-6, 4), kind="accent")
    drawing.line("fall", [beside(length * Rational(80, 100), -clear), beside(length * Rational(64, 100), -clear)])
    drawing.text(beside(length * Rational(80, 100), -clear), "water", "start", (6, 8), kind="water")
    # High enough that the rising pipe clears the far end of the words.
    above = rise / 2 + 150 * px * rise / plan + half / cos(alpha) + 30 * px
    drawing.text(((plan - half) / 2, above), "{run_length} along the pipe, rising {pipe_slope}")

    drawing.text((half, -stub), "riser in the wall", "start", (9, -6), kind="pale")
    drawing.text((plan + half, rise + stub), "riser to the roof", "start", (9, 12), kind="pale")
    drawing.line("ghost", [(plan, rise - half - 2 * px), (plan, -stub)])
    drawing.dimension((0, -stub), (plan, -stub), "{run_plan_length} in plan", away=-16)

    foot = plan + half + 30 * px
    drawing.line("ghost", [(plan, rise), (foot + 10 * px, rise)])
    drawing.line("outline", [(foot, 0), (foot, rise)])
    for level in (0, rise):
        drawing.line("outline", [(foot - 4 * px, level - 4 * px), (foot + 4 * px, level + 4 * px)])
    drawing.text((foot, rise / 2), "drop {run_drop}", "start", (14, 4))
    return drawing


# ---------------------------------------------------------------- the water in the invert


@as_written
def _invert() -> Drawing:
    bore, outside, depth, width = terms("bore", "pipe_outside_diameter", "water_depth", "rivulet_width")
    px = outside / 328  # the paper is 420 high, less two margins, over the pipe
    surface = depth - bore / 2
    drawing = Drawing(
        name="drain-invert",
        title="The pipe cut across, with the water in its invert",
        alternative=(
            "Cross-section to scale of a pipe of {pipe_outside_diameter}, bore {bore}. Water {water_depth} deep lies in "
            "the invert, {rivulet_width} wide at its surface; air fills the rest."
        ),
        frame=Frame(-outside / 2, -outside / 2, outside / 2, outside / 2),
        formulas=(condensate.rivulet_width,),
    )
    drawing.circle("pipe", (0, 0), outside / 2)
    drawing.circle("bore", (0, 0), bore / 2)

    # The arc under the water in even steps of its angle.
    steps = 24
    half_angle = Symbol("half_angle_of_water", positive=True)
    drawing.named = ((half_angle, acos(1 - 2 * depth / bore)),)
    turns = [-pi / 2 + half_angle * Rational(2 * step - steps, steps) for step in range(steps + 1)]
    drawing.polygon("water", [(bore / 2 * cos(turn), bore / 2 * sin(turn)) for turn in turns])

    drawing.dimension((-bore / 2, 0), (bore / 2, 0), "bore {bore}")
    drawing.dimension((-width / 2, surface), (width / 2, surface), "water {rivulet_width} wide", away=24)
    side = outside / 2 + 26 * px
    drawing.line("ghost", [(width / 2, surface), (side + 8 * px, surface)])
    drawing.line("ghost", [(0, -bore / 2), (side + 8 * px, -bore / 2)])
    drawing.line("outline", [(side, -bore / 2), (side, surface)])
    for level in (-bore / 2, surface):
        drawing.line("outline", [(side - 4 * px, level - 4 * px), (side + 4 * px, level + 4 * px)])
    drawing.text((side, (surface - bore / 2) / 2), "{water_depth} deep", "start", (14, 4), kind="water")
    return drawing


RUN, INVERT = _run(), _invert()
