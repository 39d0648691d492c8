"""The house in section with the pressures that draw soil gas in, how the level moves after a change, and levels compared."""

from sympy import Expr, Rational, Symbol, exp

from radonwork.drawings.shapes import Drawing, Frame, Number, Point, as_written, largest, least, terms

_neutral, _stack, _fan = terms("neutral_height", "stack_suction", "fan_suction")
_before, _after, _ventilated, _both, _outdoors = terms(
    "indoor_radon", "treated_radon", "ventilated_radon", "treated_ventilated_radon", "outdoor_radon"
)
_clear, _wait, _length, _read = terms("clearing_rate", "waiting_time", "test_length", "read_radon")


def _share(text: str) -> Rational:
    return Rational(text)


def _there(amount: Number, little: float) -> Expr:
    """How plainly something is drawn: not at all where there is none of it, in full from a few times `little` on."""
    return least(1, 3 * amount / (amount + little))


# ---------------------------------------------------------------- pressures


@as_written
def _pressures() -> Drawing:
    unit = _neutral / 10  # lengths follow the house: it reaches to twice its neutral height
    bar = Symbol("bar_of_a_pascal", positive=True)
    longest = largest(_stack, _fan, 10)  # Pa; what the longest bar stands for, so that a small pull is drawn small

    def at(x: Number, y: Number) -> Point:
        return x * unit, y * unit

    drawing = Drawing(
        name="house-pressures",
        title="Pressures over the height of the house",
        alternative=(
            "Section of a warm house, {indoor_temperature} inside and {outdoor_temperature} outdoors. At the slab it stands "
            "{stack_suction} below the outdoors, at {neutral_height} it is neutral, and above that it presses out as much. "
            "Air and soil gas come in below, air goes out above. With {fan_suction} of suction from a fan under the slab, "
            "{entry_pressure} are left to draw soil gas in."
        ),
        frame=Frame(-27 * unit, -10 * unit, 41 * unit, 29 * unit, height=440, margin=12),
        named=((bar, 9 * unit / longest),),
    )
    drawing.polygon("earth", [at(-27, -10), at(41, -10), at(41, 1), at(-27, 1)])
    drawing.polygon("house", [at(-11, 0), at(11, 0), at(11, 20), at(12, 20), at(0, 27), at(-12, 20), at(-11, 20)])
    drawing.polygon("gravel", [at(-11, -3), at(11, -3), at(11, -1), at(-11, -1)])
    drawing.polygon("concrete", [at(-12, -1), at(12, -1), at(12, 0), at(-12, 0)])
    for side in (-1, 1):
        drawing.polygon("concrete", [at(side * 11, 0), at(side * 12, 0), at(side * 12, 2), at(side * 11, 2)])

    # The pipe stands where there is a fan.
    fan = _there(_fan, 0.5)
    drawing.polygon("pipe", [at(4.5, -2.4), at(5.5, -2.4), at(5.5, 28), at(4.5, 28)], visible=fan)
    drawing.line("flow", [at(5, 3), at(5, 8)], visible=fan)

    # Soil gas comes up beside the slab where the house pulls more, house air goes down where the fan does.
    inward, downward = largest(_stack - _fan, 0), largest(_fan - _stack, 0)
    for side in (-1, 1):
        path = [at(side * 18, -8), at(side * 14, -5), at(side * 10, -2.6), at(side * 10, 3)]
        drawing.line("flow", path, visible=_there(inward, 0.5))
        drawing.line("fall", [at(side * 8, 3), at(side * 8, -2.4)], visible=_there(downward, 0.5))
    drawing.text(at(0, -5.2), "soil gas comes up", shift=(0, 4), visible=_there(inward, 0.5))
    drawing.text(
        at(0, -5.2),
        "the fan pulls more than the house: no soil gas comes up",
        shift=(0, 4),
        visible=_there(downward, 0.5),
    )

    # Air through the wall, as long as the pressure that drives it.
    for tenths in (3, 6.5, 13.5, 17):
        push = _stack * (1 - _share(str(tenths)) / 10) * bar
        if tenths < 10:
            drawing.line("flow", [(-13.5 * unit - push, tenths * unit), at(-11.5, tenths)])
        else:
            drawing.line("flow", [at(-11.5, tenths), (-13.5 * unit + push, tenths * unit)])

    # The pressure itself, beside the house: outward to the right of the axis is where the outdoors presses in.
    axis = 24 * unit
    drawing.polygon("water", [(axis, 0), (axis + _stack * bar, 0), (axis, 10 * unit)])
    drawing.polygon("bore", [(axis, 20 * unit), (axis - _stack * bar, 20 * unit), (axis, 10 * unit)])
    drawing.line("outline", [(axis, -unit), (axis, 21 * unit)])
    drawing.line("centreline", [at(-26, 10), at(40, 10)])
    drawing.polygon(
        "pipe",
        [(axis, -6 * unit), (axis + _fan * bar, -6 * unit), (axis + _fan * bar, -4 * unit), (axis, -4 * unit)],
        visible=fan,
    )
    drawing.text((axis, -6 * unit), "fan {fan_suction}", "start", (0, 17), visible=fan)
    drawing.text((axis, 0), "house {stack_suction}", "start", (4, 17))
    drawing.text((axis, 21 * unit), "outward", "end", (-6, -6), kind="pale")
    drawing.text((axis, 21 * unit), "inward", "start", (6, -6), kind="pale")
    drawing.text(at(-26, 10), "neutral, {neutral_height} up", "start", (0, -6))
    drawing.text(at(0, 14), "{indoor_temperature} inside")
    drawing.text(at(-26, 24), "{outdoor_temperature} outdoors", "start")
    return drawing


# ---------------------------------------------------------------- a window


@as_written
def _window() -> Drawing:
    height, sill, share, neutral = terms("envelope_height", "opening_height", "opening_share", "opened_neutral_height")
    unit = height / 20

    def at(x: Number, y: Number) -> Point:
        return x * unit, y * unit

    drawing = Drawing(
        name="open-window",
        title="What an open window does to the pressures",
        alternative=(
            "Section of a house {envelope_height} high with a window open {opening_height} above the slab, which lets through "
            "{opening_share} times what all the leaks do. The neutral height moves from half the height to "
            "{opened_neutral_height}: the pull at the slab is {entry_ratio} times what it was, the air {air_ratio} times, and "
            "the level {level_ratio} times."
        ),
        frame=Frame(-27 * unit, -6 * unit, 41 * unit, 28 * unit, height=390, margin=12),
    )
    drawing.polygon("earth", [at(-27, -6), at(41, -6), at(41, 1), at(-27, 1)])
    drawing.polygon("house", [at(-11, 0), at(11, 0), at(11, 20), at(12, 20), at(0, 27), at(-12, 20), at(-11, 20)])
    drawing.polygon("concrete", [at(-12, -1), at(12, -1), at(12, 0), at(-12, 0)])
    drawing.line("flow", [at(-8, -4), at(-8, 2)])
    drawing.line("flow", [at(8, -4), at(8, 2)])
    drawing.text(at(0, -4), "soil gas", shift=(0, 4))

    # The window, as wide open as it lets through, and the way the air goes in it.
    half = unit * (1 + least(2, share))
    low, top = largest(sill - half, 0), least(sill + half, height)
    drawing.polygon("water", [(-11.6 * unit, low), (-10.4 * unit, low), (-10.4 * unit, top), (-11.6 * unit, top)])
    inward, outward = largest(neutral - sill, 0), largest(sill - neutral, 0)
    drawing.line("flow", [(-20 * unit, sill), (-12.5 * unit, sill)], visible=_there(inward / height, 0.05))
    drawing.line("flow", [(-12.5 * unit, sill), (-20 * unit, sill)], visible=_there(outward / height, 0.05))

    # The pressure beside the house before, dashed, and with the window open.
    axis, wide = 25 * unit, Rational(7, 10)
    drawing.polygon("water", [(axis, 0), (axis + wide * neutral, 0), (axis, neutral)])
    drawing.polygon("bore", [(axis, height), (axis - wide * (height - neutral), height), (axis, neutral)])
    drawing.line("ghost", [(axis + wide * height / 2, 0), (axis - wide * height / 2, height)])
    drawing.line("outline", [(axis, -unit), (axis, 21 * unit)])
    drawing.line("centreline", [(-26 * unit, neutral), (40 * unit, neutral)])
    drawing.text((40 * unit, neutral), "neutral, {opened_neutral_height} up", "end", (0, -6))
    drawing.text((axis, 21 * unit), "outward", "end", (-6, -6), kind="pale")
    drawing.text((axis, 21 * unit), "inward", "start", (6, -6), kind="pale")
    drawing.text((axis, 0), "pull {entry_ratio} times", "start", (4, 17))
    drawing.text(at(0, 16), "air {air_ratio} times")
    drawing.text(at(0, 16), "level {level_ratio} times", shift=(0, 18))
    return drawing


# ---------------------------------------------------------------- after a change


@as_written
def _clearing() -> Drawing:
    wide, high, points = 1.6, 0.74, 30
    span = Symbol("span_of_the_axis", positive=True)
    day = 86400

    def x(time: Number) -> Expr:
        return wide * time / span

    def y(level: Number) -> Expr:
        return high * level / _before

    drawing = Drawing(
        name="after-the-change",
        title="How the level falls after the fan starts, and what the test shows",
        alternative=(
            "The level falls from {indoor_radon} toward {treated_radon} with a time constant of {time_constant}. A test begun "
            "after {waiting_time} that runs for {test_length} reads {read_radon}."
        ),
        frame=Frame(-0.3, -0.23, 1.9, 0.82, height=365, margin=12),
        named=((span, largest(_wait + _length, 4 / _clear) * Rational(26, 25)),),
    )
    drawing.rectangle("earth", x(_wait), 0, x(_wait + _length), high * 1.08)
    for number in range(1, 13):
        shown = largest(0, least(1, (span - number * day) * 1000 / span))
        drawing.line("ghost", [(x(number * day), 0), (x(number * day), high * 1.08)], visible=shown)
        drawing.text((x(number * day), 0), str(number), shift=(0, 15), visible=shown, kind="pale")
    drawing.line("ghost", [(0, y(_after)), (wide, y(_after))])
    drawing.line("outline", [(0, high * 1.08), (0, 0), (wide, 0)])
    # Nearer together at the start, where the level falls fastest.
    times = [span * Rational(number, points) ** 2 for number in range(points + 1)]
    falling: list[Point] = [(x(time), y(_after + (_before - _after) * exp(-_clear * time))) for time in times]
    drawing.line("accent", [(-0.06, y(_before)), *falling])
    drawing.line("cut", [(x(_wait), y(_read)), (x(_wait + _length), y(_read))])
    drawing.text((-0.07, y(_before)), "before", "end", (0, -4))
    drawing.text((-0.07, y(_before)), "{indoor_radon}", "end", (0, 12))
    drawing.text((wide, y(_after)), "settles at", "start", (6, -4))
    drawing.text((wide, y(_after)), "{treated_radon}", "start", (6, 12))
    drawing.text((0, 0), "days", "end", (-8, 15), kind="pale")
    drawing.dimension((0, -0.09), (x(_wait), -0.09), "wait {waiting_time}", beside="below", visible=_there(_wait, 3600))
    drawing.dimension((x(_wait), -0.09), (x(_wait + _length), -0.09), "test {test_length}", beside="below")
    drawing.text((x(_wait + _length / 2), -0.09), "reads {read_radon}", shift=(0, 38), kind="warn")
    return drawing


# ---------------------------------------------------------------- air or suction


@as_written
def _compared() -> Drawing:
    high, wide, step = 0.7, 0.26, 0.44
    most = largest(_before, _ventilated, _after, _both)
    drawing = Drawing(
        name="air-or-suction",
        title="Levels with more air and with suction",
        alternative=(
            "Levels side by side: now {indoor_radon}; with {more_air} times the air {ventilated_radon}; with suction under the "
            "slab {treated_radon}; with both {treated_ventilated_radon}. Outdoors there are {outdoor_radon}."
        ),
        frame=Frame(-0.28, -0.14, 1.92, 0.78, height=320, margin=12),
    )
    bars = (
        ("concrete", _before, "now", "", "{indoor_radon}"),
        ("water", _ventilated, "more air", "{more_air} times as much", "{ventilated_radon}"),
        ("pipe", _after, "suction", "under the slab", "{treated_radon}"),
        ("bore", _both, "both", "", "{treated_ventilated_radon}"),
    )
    for number, (kind, level, name, how, value) in enumerate(bars):
        left, top = number * step, high * level / most
        drawing.rectangle(kind, left, 0, left + wide, top)
        drawing.text((left + wide / 2, top), value, shift=(0, -7))
        drawing.text((left + wide / 2, 0), name, shift=(0, 18))
        drawing.text((left + wide / 2, 0), how, shift=(0, 34), kind="pale")
    drawing.line("outline", [(-0.1, 0), (1.7, 0)])
    drawing.line("ghost", [(-0.1, high * _outdoors / most), (1.7, high * _outdoors / most)])
    drawing.text((1.7, high * _outdoors / most), "outdoors", "start", (6, -3), kind="pale")
    drawing.text((1.7, high * _outdoors / most), "{outdoor_radon}", "start", (6, 12), kind="pale")
    return drawing


PRESSURES = _pressures()
WINDOW = _window()
CLEARING = _clearing()
COMPARED = _compared()
