"""The house cut square to its ridge: who sees the outlet, and how far it is from an opening. To scale."""

from sympy import Max, Min, Piecewise, Rational, Symbol, cos, tan

from radonwork.drawings.shapes import Drawing, Frame, Number, as_written, largest, least, terms
from radonwork.formulas import discharge
from radonwork.house.discharge import OPENINGS_RULE
from radonwork.requirements.rules import Comparison, requirements_of

# ---------------------------------------------------------------- the line of sight

_ridge, _eave, _theta, _run = terms("ridge_height", "eave_height", "roof_angle", "rafter_run")
_x, _d, _top = terms("ridge_distance", "pipe_outside_diameter", "outlet_height_upslope")
_eye, _away, _sight = terms("eye_height", "viewer_ridge_distance", "sight_slope")
_start, _margin, _band = terms("hidden_from_ridge", "sight_margin", "hidden_band")


@as_written
def _sight_drawing() -> Drawing:
    whole, end, high = (Symbol(name, positive=True) for name in ("width_of_view", "hidden_from", "top_of_view"))
    hides = Symbol("hides", real=True)  # above zero where the ridge hides some of the slope
    left, right = -_away - whole / 40, _run + whole / 20
    drawing = Drawing(
        name="outlet-sight",
        title="What the ridge hides, the house cut square to its ridge",
        alternative=(
            "The house cut square to its ridge, which is {ridge_height} above the ground. A viewer's eyes, {eye_height} up, "
            "are {viewer_ridge_distance} from it. The line of sight over the ridge hides {hidden_height} above the roof where "
            "the pipe stands, {ridge_distance} behind the ridge; the pipe ends {outlet_height_upslope} above the roof, so "
            "{sight_margin} is to spare. From {hidden_from_ridge} down the far slope on, the pipe is hidden."
        ),
        frame=Frame(left, least(-whole / 60, _eye - whole / 30), right, high + whole / 5, height=400, margin=40),
        formulas=(
            discharge.run_from_heights,
            discharge.sight_over_ridge,
            discharge.hidden_behind_ridge,
            discharge.sight_margin,
            discharge.hidden_from_ridge,
            discharge.hidden_band,
        ),
        named=(
            (whole, _away + _run),
            (end, least(largest(0, _start * cos(_theta)), _run)),
            (hides, least(_band, _run * (tan(_theta) + _sight))),
            (high, largest(least(_ridge + _sight * right, _ridge + whole / 4), _ridge + _top, _eye)),
        ),
    )
    drawing.rectangle("earth", left, -whole / 50, right, 0)
    drawing.polygon("house", [(-_run, 0), (-_run, _eave), (0, _ridge), (_run, _eave), (_run, 0)])

    def roof(x: Number) -> Number:
        return _ridge - x * tan(_theta)

    # The line of sight, and what is hidden below it, as far as the picture goes up.
    above = high - _ridge
    edge = least(_run, Piecewise((above / Max(_sight, Rational(1, 1000)), _sight > 0), (_run, True)))
    hidden = [(0, _ridge), (edge, _ridge + _sight * edge), (_run, least(high, _ridge + _sight * _run)), (_run, _eave)]
    drawing.polygon("water", hidden, visible=_if(hides > 0))
    end_of_sight = least(right, Piecewise((above / Max(_sight, Rational(1, 1000)), _sight > 0), (right, True)))
    drawing.line("centreline", [(-_away, _eye), (end_of_sight, _ridge + _sight * end_of_sight)])
    drawing.line("accent", [(end, roof(end)), (_run, _eave)], visible=_if(hides > 0))
    side = _x - _d / 2
    drawing.rectangle("pipe", side, roof(side) - whole / 60, _x + _d / 2, roof(side) + _top)
    drawing.line("outline", [(-_away, 0), (-_away, _eye)])
    drawing.circle("mark", (-_away, _eye), whole / 160)

    drawing.dimension((-_away, least(0, _eye)), (0, least(0, _eye)), "to the ridge {viewer_ridge_distance}", away=-16)
    drawing.text((-_away, _eye), "eyes {eye_height}", "start", (9, 17), _if(_eye >= 0))
    drawing.text((-_away, 0), "eyes {eye_height}", "end", (-9, -8), _if(_eye < 0))
    drawing.text((0, _ridge), "ridge {ridge_height}", "end", (-12, -12))
    # What is said of it stands above the picture, where nothing is drawn.
    corner = ((left + right) / 2, high + whole / 5)
    said = "at the pipe {hidden_height} above the roof are hidden; the pipe ends {outlet_height_upslope} above it"
    drawing.text(corner, said, "middle", (0, 4))
    drawing.text(corner, "to spare {sight_margin}", "middle", (0, 22), _if(_margin >= 0), "accent")
    drawing.text(corner, "seen: {sight_margin} to spare", "middle", (0, 22), _if(_margin < 0), "warn")
    band = "hidden on the last {hidden_band} of the slope, down to the eave"
    drawing.text(corner, band, "middle", (0, 40), _if(hides > 0), "accent")
    drawing.text(corner, "nowhere hidden on this slope", "middle", (0, 40), _if(hides <= 0), "warn")
    return drawing


def _if(condition: object) -> Piecewise:
    return Piecewise((1, condition), (0, True))


# ---------------------------------------------------------------- an opening and the outlet


def rule_distance() -> float:
    """The distance that the rule on openings asks for, in metres."""
    (rule,) = (rule for rule in requirements_of("discharge") if rule.name == OPENINGS_RULE)
    assert isinstance(rule.check, Comparison)
    limit = rule.check.limit({})
    assert limit is not None
    return limit


@as_written
def _opening_drawing() -> Drawing:
    outlet, sill, head, level = terms("outlet_height", "opening_sill", "opening_head", "opening_level_distance")
    near, half, thick = Symbol("nearest_height", real=True), Symbol("half_of_view", positive=True), Rational(1, 8)
    far = rule_distance()
    drawing = Drawing(
        name="outlet-opening",
        title="The outlet and an opening, the line between them upright in the paper",
        alternative=(
            "The outlet {outlet_height} above the ground, and an opening from {opening_sill} to {opening_head} up, "
            "{opening_level_distance} away on the level. The nearest point of the opening is {opening_distance} away in a "
            "straight line; the outlet is {opening_rise} above the opening's top, below zero where the opening is higher. A "
            "circle shows the distance that the rule on openings asks for."
        ),
        frame=Frame(
            -half, least(0, outlet - far), half + level / 2, largest(outlet + far, head), height=430, margin=56
        ),
        formulas=(discharge.opening_rise, discharge.opening_distance),
        named=(
            (half, largest(level + 2, far)),
            (near, Min(Max(outlet, sill, evaluate=False), head, evaluate=False)),
        ),
    )
    drawing.rectangle("earth", -half, least(0, outlet - far) - 1, half + level / 2, 0)
    drawing.line("outline", [(-half, 0), (half + level / 2, 0)])
    drawing.circle("ghost", (0, outlet), far)
    # A length of pipe below the outlet, in the thickness of the line only.
    drawing.line("accent", [(0, outlet - largest(thick, outlet / 6)), (0, outlet)])
    drawing.rectangle("cut", level, sill, level + thick, head)
    drawing.line("outline", [(level + thick / 2, 0), (level + thick / 2, sill)])
    drawing.line("centreline", [(0, outlet), (level, near)])
    drawing.circle("mark", (0, outlet), Rational(1, 14))

    drawing.dimension((0, 0), (0, outlet), "outlet {outlet_height}", away=-26)
    drawing.dimension((0, 0), (level, 0), "level {opening_level_distance}", away=-18)
    drawing.text((level + thick, head), "head {opening_head}", "start", (8, -2))
    drawing.text((level + thick, sill), "sill {opening_sill}", "start", (8, 12))
    drawing.text((0, outlet), "straight {opening_distance}", "end", (-12, -28), kind="accent")
    drawing.text((0, outlet), "above the head {opening_rise}", "end", (-12, -10))
    drawing.text((0, outlet + far), "the rule’s distance around the outlet", "middle", (0, -7), kind="pale")
    return drawing


SIGHT = _sight_drawing()
OPENING = _opening_drawing()
