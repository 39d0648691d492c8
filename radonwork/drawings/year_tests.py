"""The lognormal about radon tests taken together, as shapes that follow a control.

Across runs the logarithm, the result in the middle, a fortieth of it at the left and forty times it at the right; upwards
how likely each mean of the year is, its peak as tall whatever the spread. Coordinates are px of the paper.
"""

from sympy import Integer, Rational, Symbol, exp, log

from radonwork.drawings.shapes import Drawing, Frame, Number, Point, as_written, largest, least, terms
from radonwork.formulas import statistics

_WIDE, _HIGH, _FLOOR = Integer(628), Integer(300), Integer(30)
_TALL = _HIGH - 80 - _FLOOR
_FACTOR = 40
_ABOUT = {"geometric_mean": "combined_result", "log_spread": "combined_spread"}

mean_low = statistics.spread_low.with_terms("tests_low", gives="year_mean_low", **_ABOUT)
mean_high = statistics.spread_high.with_terms("tests_high", gives="year_mean_high", **_ABOUT)
chance_above = statistics.share_above.with_terms(
    "tests_chance",
    gives="chance_above",
    title="Chance that the mean of the year is above the level",
    compared_level="action_level",
    **_ABOUT,
)


@as_written
def _tests() -> Drawing:
    result, spread, level, z = terms("combined_result", "combined_spread", "action_level", "normal_quantile")
    across = Symbol("across_of_drawing", positive=True)
    drawing = Drawing(
        name="year-tests",
        title="What the tests alone say of the mean of the year",
        alternative=(
            "A curve of how likely each mean of the year is, over its logarithm, highest at {combined_result:2}. The shaded "
            "middle holds the mean with 95 % chance: from {year_mean_low:2} to {year_mean_high:2}. An upright line marks the "
            "level, {action_level}; {chance_above:3} of the area under the curve lies to its right."
        ),
        frame=Frame(0, 0, _WIDE, _HIGH),
        formulas=(statistics.combined_spread, mean_low, mean_high, chance_above),
        named=((across, _WIDE / 2 / log(_FACTOR)),),
    )

    def curve(deviations: Number) -> Point:
        place = _WIDE / 2 + across * spread * deviations
        return largest(0, least(_WIDE, place)), _FLOOR + _TALL * exp(-(deviations**2) / 2)

    steps = [Rational(n, 10) for n in range(-33, 34, 3)]
    inside = [z * Rational(n, 10) for n in range(-10, 11)]
    left, right = curve(inside[0])[0], curve(inside[-1])[0]
    drawing.polygon("water", [(left, _FLOOR), *[curve(d) for d in inside], (right, _FLOOR)])
    drawing.line("accent", [curve(d) for d in steps])
    drawing.line("outline", [(0, _FLOOR), (_WIDE, _FLOOR)])
    at = _WIDE / 2 + across * largest(-log(_FACTOR), least(log(_FACTOR), log(level / result)))
    drawing.line("cut", [(at, _FLOOR), (at, _FLOOR + _TALL + 30)])
    drawing.text((at, _FLOOR + _TALL + 30), "level, {action_level}", "middle", (0, -6), kind="warn")
    drawing.text((_WIDE / 2, _FLOOR), "{combined_result:2}", "middle", (0, 18))
    apart = 56  # px, so that the words of the two ends do not meet
    drawing.text((least(left, _WIDE / 2 - apart), _FLOOR), "{year_mean_low:2}", "middle", (0, 36))
    drawing.text((largest(right, _WIDE / 2 + apart), _FLOOR), "{year_mean_high:2}", "middle", (0, 36))
    return drawing


TESTS = _tests()
