"""What doing the work oneself costs, part by part, beside a quote: bars on one scale of money."""

from sympy import Rational, Symbol

from radonwork.drawings.shapes import Drawing, Frame, as_written, largest, terms
from radonwork.formulas import buying

_parts, _tools, _own, _quote = terms("parts_cost", "tools_cost", "own_cost", "quoted_price")


@as_written
def _bars() -> Drawing:
    # Money is drawn as length: the longer bar fills the width, and a bar is a fixed share of it high.
    whole = Symbol("whole_of_drawing", positive=True)
    bar = whole / 9
    drawing = Drawing(
        name="own-or-quote",
        title="Own work beside a quote",
        alternative=(
            "Doing it oneself costs {own_cost}: parts {parts_cost}, tools {tools_cost}, and {work_hours} at {hour_value}. The "
            "quote asks {quoted_price}; the difference is {quote_saving}."
        ),
        frame=Frame(0, -Rational(5, 2) * bar, whole, Rational(3, 2) * bar, height=330, margin=40),
        formulas=(buying.own_cost, buying.quote_saving),
        named=((whole, largest(_own, _quote)),),
    )
    drawing.rectangle("wood", 0, 0, _parts, bar)
    drawing.rectangle("concrete", _parts, 0, _parts + _tools, bar)
    drawing.rectangle("water", _parts + _tools, 0, _own, bar)
    drawing.rectangle("house", 0, -2 * bar, _quote, -bar)
    drawing.text((0, bar), "doing it oneself {own_cost}", "start", (0, -26), kind="accent")
    drawing.text(
        (0, bar), "parts {parts_cost}, tools {tools_cost}, then {work_hours} at {hour_value}", "start", (0, -8)
    )
    drawing.text((0, -bar), "quote {quoted_price}", "start", (0, -8), kind="accent")
    for end in (_own, _quote):
        drawing.line("ghost", [(end, bar), (end, -2 * bar)])
    drawing.line("accent", [(_own, -bar / 2), (_quote, -bar / 2)])
    drawing.text(((_own + _quote) / 2, -2 * bar), "difference {quote_saving}", "middle", (0, 22))
    return drawing


BARS = _bars()
