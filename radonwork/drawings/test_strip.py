"""Radon tests on one scale against the levels: two results of a pair, and every test of one house.

The scale starts at zero, so that a bar twice as long is twice the radon.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from sympy import Piecewise, Rational, Symbol

from radonwork.drawings.plot import Axis, Plot
from radonwork.drawings.shapes import Drawing, Frame, as_written, largest, terms
from radonwork.formulas import radon_tests
from radonwork.glossary import System, term
from radonwork.house.levels import levels
from radonwork.house.record import House
from radonwork.house.testing import FOUR, Result, decided, named_level, ran, results
from radonwork.requirements.clauses import limit as clause_limit
from radonwork.units import shown

MOST_TESTS = 12  # drawn
_WIDE, _HIGH = 660, 240  # the paper less its margins: one unit is one px
_BAR, _ROOM = 22, 240  # height of a bar; room to the right for words
_CLEAR = 20  # px from a line to the next that words between them want
_HAIR = Rational(1, 10**9)

PAIR_FORMULAS = (
    radon_tests.pair_mean,
    radon_tests.relative_difference,
    radon_tests.pair_low,
    radon_tests.pair_high,
    radon_tests.pair_ratio,
    radon_tests.REPORTED_MEAN,
    radon_tests.level_margin,
)


@as_written
def _pair() -> Drawing:
    first, second, mean, level = terms("first_result", "second_result", "pair_mean", "action_level")
    low, high, apart = terms("pair_low", "pair_high", "relative_difference")
    across, most, spare = (Symbol(f"{name}_of_drawing", real=True) for name in ("across", "limit", "spare"))
    both_high, both_low, times = (
        Rational(clause_limit(f"pair {which}")).limit_denominator(1000) for which in ("high", "low", "across")
    )
    # On both sides of the level the higher may be so many times the lower: what they then differ by, of their mean.
    across_level = 2 * (times - 1) / (times + 1) + _HAIR
    limit = Piecewise((both_high, low >= FOUR), (both_low, high < FOUR), (across_level, True))
    drawing = Drawing(
        name="pair",
        title="Two results of a pair against the level",
        alternative=(
            "Bars from zero, to scale: the first result {first_result}, the second {second_result}, their mean {pair_mean}. "
            "They differ by {relative_difference} of the mean. The level, {action_level}, is drawn across them. A pale band "
            "shows how far apart two accepted results of this mean may lie."
        ),
        frame=Frame(0, 0, _WIDE, _HIGH, height=_HIGH + 60, margin=30),
        formulas=PAIR_FORMULAS,
        named=(
            (across, (_WIDE - _ROOM) / largest(first, second, level * Rational(21, 20))),
            (most, limit),
            (spare, most - apart),
        ),
    )
    tops = (190, 150, 110)
    drawing.rectangle(
        "earth", mean * (1 - most / 2) * across, tops[1] - _BAR - 8, mean * (1 + most / 2) * across, tops[0] + 8
    )
    for top, value, words, kind in (
        (tops[0], first, "first {first_result}", "gravel"),
        (tops[1], second, "second {second_result}", "gravel"),
        (tops[2], mean, "mean {pair_mean}, reported as {reported_result}", "house"),
    ):
        drawing.rectangle(kind, 0, top - _BAR, value * across, top)
        drawing.text((largest(value * across, level * across), top - _BAR / 2), words, "start", (10, 4))
    drawing.line("outline", [(0, 74), (0, 206)])
    drawing.line("accent", [(level * across, 74), (level * across, 214)])
    drawing.text((level * across, 214), "level {action_level}", shift=(0, -8), kind="accent")
    drawing.text((0, 74), "0", shift=(0, 16), kind="pale")
    accepted = Piecewise((1, spare > 0), (0, True))
    said = "they differ by {relative_difference} of their mean"
    drawing.text((0, 34), f"{said}: accepted, both lie in the pale band", "start", visible=accepted)
    drawing.text((0, 34), f"{said}: too much, make both again", "start", visible=1 - accepted, kind="warn")
    drawing.text((0, 14), "the bars begin at zero and are to one scale", "start", kind="pale")
    return drawing


PAIR = _pair()


@dataclass(frozen=True)
class HouseTests:
    """Every test of `house` on one scale, with the level it names and those of the table that were read."""

    house: House
    name: str = "tests-of-house"
    title: str = "The radon tests of this house"
    takes: tuple[str, ...] = ("radon_concentration",)

    def svg(self, values: Mapping[str, float], system: System = "us") -> str:
        """The strip: concentration upwards, one column a test, the last of them where there are very many."""
        found, unit = results(self.house)[-MOST_TESTS:], term("radon_concentration").unit(system)
        own, at = named_level(self.house), decided(self.house)
        most = max(
            *(r.concentration.value + r.concentration.tolerance for r in found),
            own.quantity.value if own else 0.0,
            values["radon_concentration"],
            FOUR,  # so that small results are seen to be small
        )
        right = 0.5 + 1.35 * len(found)  # names of levels stand beside the last test
        plot = Plot(
            self.name,
            self.title,
            Axis("test", "", 0.4, right, tuple((float(n), str(r.number)) for n, r in enumerate(found, 1))),
            Axis("radon", unit, 0.0, 1.15 * most),
            height=230,
            below=[self._called(result) for result in found],
        )
        drawn = _shown_levels(own.quantity.value if own else 0.0, 1.1 * most)
        others = [plot.up(one.value) for one in (own.quantity if own else None, at) if one]
        crowded = []
        for level in drawn:
            plot.level(level, "pale dotted")
            names = ", ".join(one.name for one in levels().values() if one.quantity.value == level and _read(one.basis))
            lines = [*others, *(plot.up(one) for one in drawn if one != level), plot.up(0.0)]
            # Words stand on their line or hang from it, or below the chart where other lines would run through them.
            for shift, near, far in ((-4, -_CLEAR, 0), (13, 0, _CLEAR)):
                if not any(near <= line - plot.up(level) <= far for line in lines):
                    plot.text(right, level, names, "end", "pale", -4, shift)
                    break
            else:
                crowded.append(f"{names}: {shown(level, unit)}")
        if crowded:
            plot.below = [*plot.below, f"dotted, from below: {'; '.join(crowded)}"]
        if own:
            plot.level(own.quantity.value, "warn dashed", f"the level: {own.name}, {shown(own.quantity.value, unit)}")
        for n, result in enumerate(found, 1):
            value, half = result.concentration.value, result.concentration.tolerance
            colour: Literal["water", "ink"] = "water" if ran(self.house, result.test) else "ink"
            plot.line([n, n], [0.0, value], colour)
            if half:
                plot.line([n, n], [value - half, value + half], "accent")
            plot.points([float(n)], [value], "diamond" if result.short is False else "circle", colour)
            plot.text(n, value, shown(value, unit), dx=0, dy=-10)
        if at:
            plot.level(at.value, "accent dashed", f"what decides: {shown(at.value, unit)}")
        return plot.svg()

    def _called(self, result: Result) -> str:
        kind = {True: "short", False: "long", None: "short or long"}[result.short]
        place = f", {result.test.place}" if result.test.place else ""
        side = f", {result.test.pair}" if result.test.pair else ""
        fan = ", while the fan ran" if ran(self.house, result.test) else ""
        return f"test {result.number}: {kind}{place}{side}{fan}"

    def described(self, values: Mapping[str, float], system: System = "us") -> str:
        """The strip in words."""
        unit, own, at = term("radon_concentration").unit(system), named_level(self.house), decided(self.house)
        read = "; ".join(
            f"{self._called(r)}, {shown(r.concentration.value, unit)}" for r in results(self.house)[-MOST_TESTS:]
        )
        line = (
            f" The level, {own.name}, is {shown(own.quantity.value, unit)}." if own else " The record names no level."
        )
        what = f" What decides is {shown(at.value, unit)}: {at.how}." if at else ""
        return f"Radon tests on one scale that begins at zero. {read}.{line}{what}"


def _read(basis: str) -> bool:
    return basis == "read"


def _shown_levels(own: float, most: float) -> tuple[float, ...]:
    """Levels of the table that were read, up to `most`, other than the one the record names."""
    read = {one.quantity.value for one in levels().values() if _read(one.basis)}
    return tuple(sorted(level for level in read - {own} if level <= most))
