"""Charts: curves, bands and points over two axes with ticks and a key, as SVG with text as text.

Values are SI and lie along axes that name a unit. Nothing depends on the day or the machine's fonts, so the same numbers
give the same bytes, and a chart is quick enough to follow a control. Every look has its words in the key or beside it;
colour only helps.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Literal, TypeAlias

import numpy as np

from radonwork.drawings import lettering
from radonwork.drawings.shapes import ACCENT, INK, PALE, TEXT_SIZE, WARN, WATER
from radonwork.units import from_unit, number, to_unit, unit_label

WIDTH, LEFT, RIGHT, TOP = 720, 68, 24, 22
_BELOW = 48  # from the axis to the key: tick labels and the axis' own
_ROW = 20  # of the key
_FONTS = 'system-ui, "DejaVu Sans", sans-serif'

Numbers: TypeAlias = "Sequence[float] | np.ndarray"
Anchor = Literal["start", "middle", "end"]
Shape = Literal["circle", "square", "diamond", "dot", "cross"]
LOOKS: dict[str, str] = {
    "ink": f"stroke='{INK}' stroke-width='2'",
    "ink thin": f"stroke='{INK}' stroke-width='1.2' stroke-dasharray='7 4'",
    "accent": f"stroke='{ACCENT}' stroke-width='2.5'",
    "accent dashed": f"stroke='{ACCENT}' stroke-width='2.5' stroke-dasharray='8 4'",
    "pale": f"stroke='{PALE}' stroke-width='2' stroke-dasharray='10 3 2 3'",
    "pale dotted": f"stroke='{PALE}' stroke-width='2' stroke-dasharray='2 3'",
    "water": f"stroke='{WATER}' stroke-width='2'",
    "water dashed": f"stroke='{WATER}' stroke-width='2' stroke-dasharray='7 4'",
    "warn": f"stroke='{WARN}' stroke-width='2'",
    "warn dashed": f"stroke='{WARN}' stroke-width='1.6' stroke-dasharray='5 3'",
}
_COLOURS = {"ink": INK, "accent": ACCENT, "pale": PALE, "water": WATER, "warn": WARN}


@dataclass(frozen=True)
class Axis:
    """One axis from `low` to `high` in SI, its words, and the unit of its ticks; `ticks` as (SI value, words) instead.

    Raises ValueError for one of no length or without an end: nothing has a place on it.
    """

    label: str
    unit: str
    low: float
    high: float
    ticks: tuple[tuple[float, str], ...] = ()

    def __post_init__(self) -> None:
        if not 0 < self.high - self.low < math.inf:
            raise ValueError(f"an axis from {self.low:g} to {self.high:g} has no places")

    def marks(self, most: int = 7) -> tuple[tuple[float, str], ...]:
        """Where ticks stand, in SI, and how they are written: round values in the unit, at most `most` steps."""
        if self.ticks:
            return self.ticks
        low, high = (float(to_unit(end, self.unit)) for end in (self.low, self.high))
        power = 10.0 ** math.floor(math.log10(high - low))
        step = next(
            s for s in (power / 5, power / 2, power, 2 * power, 5 * power, 10 * power) if (high - low) / s <= most
        )
        first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
        values = [float(from_unit(k * step, self.unit)) for k in range(first, last + 1)]
        return tuple((value, number(value, self.unit, 3)) for value in values)

    @property
    def words(self) -> str:
        unit = unit_label(self.unit)
        return f"{self.label}, {unit}" if unit else self.label


@dataclass
class Plot:
    """A chart that is added to in painting order; `words` of a line, band or points put it in the key below."""

    name: str
    title: str
    x: Axis
    y: Axis
    height: int = 320  # of the field between the axes
    below: Sequence[str] = ()  # text under the key, each on lines of its own
    _parts: list[str] = field(default_factory=list)
    _key: list[tuple[str, str]] = field(default_factory=list)

    # ------------------------------------------------------------ places

    @property
    def wide(self) -> int:
        return WIDTH - LEFT - RIGHT

    def across(self, value: float) -> float:
        """Where an SI value of x stands on the paper."""
        return LEFT + self.wide * (value - self.x.low) / (self.x.high - self.x.low)

    def up(self, value: float) -> float:
        """Where an SI value of y stands on the paper."""
        return TOP + self.height * (self.y.high - value) / (self.y.high - self.y.low)

    def _points(self, xs: Numbers, ys: Numbers) -> str:
        return " ".join(f"{self.across(x):.1f},{self.up(y):.1f}" for x, y in zip(xs, ys, strict=True))

    # ------------------------------------------------------------ what is drawn

    def line(self, xs: Numbers, ys: Numbers, look: str, words: str = "") -> None:
        """A line through the points, cut where it leaves the field; a value that is not a number breaks it."""
        stroke = LOOKS[look]
        for run in _runs(np.asarray(xs, float), np.asarray(ys, float), self.x, self.y):
            self._parts.append(
                f"<polyline points='{self._points(*run)}' fill='none' {stroke} stroke-linejoin='round'/>"
            )
        self._entry(words, f"<path d='M0 0H26' fill='none' {stroke}/>")

    def band(self, xs: Numbers, low: Numbers, high: Numbers, colour: str, words: str = "") -> None:
        """The area between two lines."""
        bottom, top = (np.clip(np.asarray(ys, float), self.y.low, self.y.high) for ys in (low, high))
        points = f"{self._points(xs, top)} {self._points(np.asarray(xs)[::-1], bottom[::-1])}"
        look = f"fill='{_COLOURS[colour]}' fill-opacity='0.15' stroke='none'"
        self._parts.append(f"<polygon points='{points}' {look}/>")
        self._entry(words, f"<path d='M0 -6H26V6H0z' {look}/>")

    def stripe(self, left: float, right: float, colour: str = "pale", words: str = "") -> None:
        """The whole height between two values of x."""
        a, b = self.across(left), self.across(right)
        look = f"fill='{_COLOURS[colour]}' fill-opacity='0.13' stroke='none'"
        self._parts.append(f"<path d='M{a:.1f} {TOP}H{b:.1f}V{TOP + self.height}H{a:.1f}z' {look}/>")
        self._entry(words, f"<path d='M0 -6H26V6H0z' {look}/>")

    def points(self, xs: Numbers, ys: Numbers, shape: Shape, colour: str, words: str = "") -> None:
        """A mark at each point within the field."""
        look = _marker(shape, _COLOURS[colour])
        inside = [
            (x, y)
            for x, y in zip(xs, ys, strict=True)
            if self.x.low <= x <= self.x.high and self.y.low <= y <= self.y.high
        ]
        self._parts += [look.format(x=f"{self.across(x):.1f}", y=f"{self.up(y):.1f}") for x, y in inside]
        self._entry(words, look.format(x="13", y="0"))

    def level(self, y: float, look: str, words: str = "") -> None:
        """A line across the whole field."""
        self.line([self.x.low, self.x.high], [y, y], look, words)

    def upright(self, x: float, look: str, words: str = "") -> None:
        """A line over the whole height."""
        self.line([x, x], [self.y.low, self.y.high], look, words)

    def text(
        self,
        x: float,
        y: float,
        words: str,
        anchor: Anchor = "middle",
        colour: str = "ink",
        dx: float = 0,
        dy: float = 0,
    ) -> None:
        """Words at a place of the field, moved by so much on the paper (down is positive)."""
        self._parts.append(_text(self.across(x) + dx, self.up(y) + dy, words, anchor, _COLOURS[colour]))

    def _entry(self, words: str, sample: str) -> None:
        if words:
            self._key.append((words, sample))

    # ------------------------------------------------------------ the whole

    def svg(self) -> str:
        """The chart."""
        floor = TOP + self.height
        rows = _rows(self._key)
        foot = floor + _BELOW + _ROW * len(rows)
        below = [line for text in self.below for line in lettering.lines(text, TEXT_SIZE, WIDTH - LEFT - 4)]
        high = foot + (8 + 16 * len(below) if below else 4)
        parts = [
            f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {WIDTH} {high}' role='img' "
            f"aria-labelledby='{self.name}-title' font-family='{_FONTS}' font-size='{TEXT_SIZE}'>",
            f"<title id='{self.name}-title'>{escape(self.title)}</title>",
        ]
        for value, words in self.x.marks():
            x = self.across(value)
            parts.append(f"<path d='M{x:.1f} {TOP}V{floor + 4}' stroke='{PALE}' stroke-opacity='0.35'/>")
            parts.append(_text(x, floor + 18, words))
        for value, words in self.y.marks():
            y = self.up(value)
            parts.append(f"<path d='M{LEFT - 4} {y:.1f}H{WIDTH - RIGHT}' stroke='{PALE}' stroke-opacity='0.35'/>")
            parts.append(_text(LEFT - 8, y + 4, words, "end"))
        parts += self._parts
        middle = TOP + self.height / 2
        parts.append(_text(LEFT + self.wide / 2, floor + 38, self.x.words))
        parts.append(_text(16, middle, self.y.words, more=f" transform='rotate(-90 16 {middle:.1f})'"))
        for row, entries in enumerate(rows):
            y = floor + _BELOW + _ROW * row + 10
            for x, words, sample in entries:
                parts.append(f"<g transform='translate({x:.1f} {y})'>{sample}</g>")
                parts.append(_text(x + 33, y + 4, words, "start"))
        parts += [_text(LEFT, foot + 12 + 16 * count, line, "start") for count, line in enumerate(below)]
        return "\n".join([*parts, "</svg>"])


def _rows(key: Sequence[tuple[str, str]]) -> list[list[tuple[float, str, str]]]:
    """The entries of the key in as few rows as hold them, each with its place from the left."""
    rows: list[list[tuple[float, str, str]]] = []
    x = float(WIDTH)
    for words, sample in key:
        width = 33 + lettering.width(words, TEXT_SIZE) + 22
        if x + width > WIDTH + 22 or not rows:
            rows.append([])
            x = float(LEFT)
        rows[-1].append((x, words, sample))
        x += width
    return rows


def _runs(xs: np.ndarray, ys: np.ndarray, x: Axis, y: Axis) -> Iterable[tuple[list[float], list[float]]]:
    """The stretches of a line within the field, cut at its edges."""
    if np.all((xs >= x.low) & (xs <= x.high) & (ys >= y.low) & (ys <= y.high)):
        yield xs.tolist(), ys.tolist()
        return
    run: list[tuple[float, float]] = []
    for before, after in zip(zip(xs[:-1], ys[:-1], strict=True), zip(xs[1:], ys[1:], strict=True), strict=True):
        kept = _cut(before, after, x, y)
        if kept is None or (run and run[-1] != kept[0]):
            if run:
                yield [p for p, _ in run], [p for _, p in run]
            run = []
        if kept:
            run += [kept[1]] if run else list(kept)
    if run:
        yield [p for p, _ in run], [p for _, p in run]


def _cut(
    a: tuple[float, float], b: tuple[float, float], x: Axis, y: Axis
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The part of a straight piece within the field, by its two ends; None where there is none."""
    if not all(map(math.isfinite, (*a, *b))):
        return None
    start, end = 0.0, 1.0
    for p, q, low, high in ((a[0], b[0], x.low, x.high), (a[1], b[1], y.low, y.high)):
        if p == q:
            if not low <= p <= high:
                return None
            continue
        first, last = sorted(((low - p) / (q - p), (high - p) / (q - p)))
        start, end = max(start, first), min(end, last)
    if start > end:
        return None

    def at(share: float) -> tuple[float, float]:
        if share in (0.0, 1.0):  # the point itself, so that stretches join
            return b if share else a
        return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])

    return at(start), at(end)


def _marker(shape: Shape, colour: str) -> str:
    """A mark, its place left open."""
    return {
        "circle": f"<circle cx='{{x}}' cy='{{y}}' r='4.5' fill='{colour}'/>",
        "dot": f"<circle cx='{{x}}' cy='{{y}}' r='1.6' fill='{colour}' fill-opacity='0.55'/>",
        "square": f"<path d='M-4 -4H4V4H-4z' fill='{colour}' transform='translate({{x}} {{y}})'/>",
        "diamond": f"<path d='M0 -6L6 0L0 6L-6 0z' fill='{colour}' transform='translate({{x}} {{y}})'/>",
        "cross": f"<path d='M-4 -4L4 4M-4 4L4 -4' stroke='{colour}' stroke-width='1.8' transform='translate({{x}} {{y}})'/>",
    }[shape]


def _text(x: float, y: float, words: str, anchor: Anchor = "middle", colour: str = INK, more: str = "") -> str:
    return (
        f"<text x='{x:.1f}' y='{y:.1f}' text-anchor='{anchor}' fill='{colour}' paint-order='stroke' "
        f"stroke='#ffffff' stroke-width='3' stroke-linejoin='round'{more}>{escape(words)}</text>"
    )
