"""Days before and days after a change: what is left, with its range, as shapes that follow a control.

Across runs the share that is left, from nothing to one and a quarter of what was there. Coordinates are px of the paper.
"""

from sympy import Integer, Rational

from radonwork.drawings.shapes import Drawing, Frame, Number, as_written, least, terms
from radonwork.formulas import statistics

_WIDE, _HIGH = Integer(628), Integer(190)
_WHOLE = _WIDE * Rational(4, 5)

effective_before = statistics.effective_days.with_terms(
    "effective_before",
    gives="days_before",
    title="Days before that count",
    day_count="days_measured_before",
)
effective_after = statistics.effective_days.with_terms(
    "effective_after",
    gives="days_after",
    title="Days after that count",
    day_count="days_measured_after",
)


@as_written
def _stretches() -> Drawing:
    ratio, low, high = terms("radon_ratio", "ratio_low", "ratio_high")
    drawing = Drawing(
        name="two-stretches",
        title="Before, after, and how sure the difference is",
        alternative=(
            "Two bars. The upper is the radon before the change, over {days_measured_before} days that count as "
            "{days_before}. The lower is what is left, {radon_ratio} of it, over {days_measured_after} days that count as "
            "{days_after}; a bracket shows the range that holds it with 95 % chance, from {ratio_low} to {ratio_high}."
        ),
        frame=Frame(0, 0, _WIDE, _HIGH, height=300),
        formulas=(
            effective_before,
            effective_after,
            statistics.ratio_error,
            statistics.ratio_low,
            statistics.ratio_high,
            statistics.reduction_of_ratio,
        ),
    )

    def at(share: Number) -> Number:
        return least(_WIDE, _WHOLE * share)

    drawing.rectangle("earth", 0, 120, _WHOLE, 156)
    drawing.rectangle("water", 0, 50, at(ratio), 86)
    drawing.line("outline", [(0, 30), (0, 170)])
    drawing.line("accent", [(at(low), 40), (at(low), 96)])
    drawing.line("accent", [(at(high), 40), (at(high), 96)])
    drawing.line("accent", [(at(low), 68), (at(high), 68)])
    drawing.line("ghost", [(_WHOLE, 30), (_WHOLE, 170)])
    drawing.text((0, 156), "before: {days_measured_before} days count as {days_before}", "start", (4, -6))
    drawing.text((0, 30), "after: {days_measured_after} days count as {days_after}", "start", (4, 14))
    drawing.text((_WIDE, 30), "left: {ratio_low} to {ratio_high}", "end", (0, 14))
    return drawing


STRETCHES = _stretches()
