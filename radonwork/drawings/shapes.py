"""To-scale drawings as lists of shapes whose coordinates and labels are sympy expressions of glossary terms.

Lengths are metres, x to the right, y up; `Frame` fits them to the paper. The same drawing is evaluated in Python for
the report and printed to JavaScript for the live panel. A verdict or a part is always named in words too: colour and
hatch only help.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property, wraps
from html import escape
from typing import TypeAlias

import sympy

from radonwork.engine.formula import Formula, symbol
from radonwork.engine.program import Form, Let, Marked, Program, Template, sentence
from radonwork.glossary import System, term

Number: TypeAlias = "sympy.Expr | float | int"
Point: TypeAlias = tuple[Number, Number]

INK, PALE, ACCENT, WATER, WARN = "#26323a", "#7d8a92", "#0b6e69", "#2b78c5", "#a23b2a"
TEXT_SIZE = 13
_FONTS = 'system-ui, "DejaVu Sans", sans-serif'

# Fill and line of each kind of thing. Hatches are patterns of the drawing itself.
_STYLES: dict[str, str] = {
    "wood": f"fill='url(#{{id}}-wood)' stroke='{INK}' stroke-width='1.2'",
    "concrete": f"fill='url(#{{id}}-concrete)' stroke='{INK}' stroke-width='1.2'",
    "gravel": f"fill='url(#{{id}}-gravel)' stroke='{PALE}' stroke-width='0.8'",
    "deck": f"fill='url(#{{id}}-wood)' stroke='{INK}' stroke-width='1.2'",
    "pipe": f"fill='#f4f6f5' fill-opacity='0.85' stroke='{ACCENT}' stroke-width='2'",
    "bore": f"fill='#ffffff' stroke='{ACCENT}' stroke-width='1.2'",
    "water": f"fill='{WATER}' fill-opacity='0.55' stroke='{WATER}' stroke-width='1'",
    "cut": f"fill='#ffffff' stroke='{WARN}' stroke-width='1.4' stroke-dasharray='5 3'",
    "ghost": f"fill='none' stroke='{PALE}' stroke-width='1' stroke-dasharray='4 4'",
    "outline": f"fill='none' stroke='{INK}' stroke-width='1.2'",
    "house": f"fill='#ffffff' stroke='{INK}' stroke-width='1.6'",
    "earth": "fill='#efe9df' stroke='none'",
    "accent": f"fill='none' stroke='{ACCENT}' stroke-width='2.5'",
    "mark": f"fill='{WARN}' stroke='none'",
    "centreline": f"fill='none' stroke='{PALE}' stroke-width='1' stroke-dasharray='10 3 2 3'",
    "flow": f"fill='none' stroke='{ACCENT}' stroke-width='1.6' marker-end='url(#{{id}}-head)'",
    "fall": f"fill='none' stroke='{WATER}' stroke-width='1.6' marker-end='url(#{{id}}-drop)'",
}

_DEFS = f"""<defs>
<pattern id='{{id}}-wood' width='9' height='9' patternUnits='userSpaceOnUse' patternTransform='rotate(28)'>
<rect width='9' height='9' fill='#f3e6cf'/><path d='M0 4.5H9' stroke='#c9a874' stroke-width='0.9'/></pattern>
<pattern id='{{id}}-concrete' width='14' height='14' patternUnits='userSpaceOnUse'>
<rect width='14' height='14' fill='#e3e4e2'/><circle cx='3' cy='4' r='0.9' fill='#9aa09e'/>
<path d='M8 10l2-3 2 3z' fill='none' stroke='#9aa09e' stroke-width='0.8'/></pattern>
<pattern id='{{id}}-gravel' width='16' height='12' patternUnits='userSpaceOnUse'>
<rect width='16' height='12' fill='#f2efe8'/><circle cx='4' cy='4' r='3' fill='none' stroke='#a89f8c' stroke-width='0.9'/>
<circle cx='12' cy='8' r='3' fill='none' stroke='#a89f8c' stroke-width='0.9'/></pattern>
<marker id='{{id}}-arrow' viewBox='0 0 8 8' refX='7' refY='4' markerWidth='7' markerHeight='7' orient='auto-start-reverse'>
<path d='M0 1.4L7 4L0 6.6z' fill='{INK}'/></marker>
<marker id='{{id}}-head' viewBox='0 0 8 8' refX='6' refY='4' markerWidth='6' markerHeight='6' orient='auto-start-reverse'>
<path d='M0 0.5L7 4L0 7.5z' fill='{ACCENT}'/></marker>
<marker id='{{id}}-drop' viewBox='0 0 8 8' refX='6' refY='4' markerWidth='6' markerHeight='6' orient='auto-start-reverse'>
<path d='M0 0.5L7 4L0 7.5z' fill='{WATER}'/></marker>
</defs>"""


@dataclass(frozen=True)
class Frame:
    """What part of the world the drawing shows, in metres, and the paper it goes on, in drawing units (px)."""

    left: Number
    bottom: Number
    right: Number
    top: Number
    width: int = 720
    height: int = 420
    margin: int = 46


@dataclass
class Drawing:
    """Shapes are added in painting order; `alternative` is the text alternative, with {term} for a quantity.

    `named` gives names to expressions that many coordinates share, in order, so that each is worked out once.
    """

    name: str
    title: str
    alternative: str
    frame: Frame
    formulas: tuple[Formula, ...] = ()
    named: tuple[Let, ...] = ()
    _shapes: list[tuple[str, tuple[object, ...]]] = field(default_factory=list)

    # Symbols that only the drawing uses: the scale and the corner everything is measured from.
    _scale = sympy.Symbol("scale_of_drawing", positive=True)
    _left = sympy.Symbol("left_of_drawing", real=True)
    _bottom = sympy.Symbol("bottom_of_drawing", real=True)
    _to_left = -_left

    def polygon(self, kind: str, points: list[Point], visible: Number = 1) -> None:
        """A closed shape."""
        self._shapes.append(("polygon", (kind, points, visible)))

    def rectangle(
        self, kind: str, left: Number, bottom: Number, right: Number, top: Number, visible: Number = 1
    ) -> None:
        self.polygon(kind, [(left, bottom), (right, bottom), (right, top), (left, top)], visible)

    def line(self, kind: str, points: list[Point], visible: Number = 1) -> None:
        """An open line through the points."""
        self._shapes.append(("line", (kind, points, visible)))

    def circle(self, kind: str, centre: Point, radius: Number, visible: Number = 1) -> None:
        self._shapes.append(("ellipse", (kind, centre, radius, radius, visible)))

    def ellipse(self, kind: str, centre: Point, half_width: Number, half_height: Number, visible: Number = 1) -> None:
        self._shapes.append(("ellipse", (kind, centre, half_width, half_height, visible)))

    def dimension(
        self, start: Point, end: Point, label: str, away: float = 0, visible: Number = 1, beside: str = ""
    ) -> None:
        """A dimension line from `start` to `end`, both on one level or one plumb line, set off by `away` px.

        `label` holds {term} for a quantity. `beside` puts the text "left", "right", "above" or "below" the line.
        """
        self._shapes.append(("dimension", (start, end, label, away, visible, beside)))

    def text(
        self,
        at: Point,
        label: str,
        anchor: str = "middle",
        shift: tuple[float, float] = (0, 0),
        visible: Number = 1,
        kind: str = "label",
    ) -> None:
        """Words at a point, shifted by px; `label` holds {term} for a quantity."""
        self._shapes.append(("text", (at, label, anchor, shift, visible, kind)))

    def template(self, system: System) -> Template:
        """The SVG with its numbers as slots."""
        return _Drawn(self, system).template

    def description(self, system: System) -> Template:
        """The text alternative with its numbers as slots."""
        return sentence(self.alternative, system)

    @cached_property
    def lets(self) -> tuple[Let, ...]:
        """Scale and corner, so that every coordinate is short."""
        f = self.frame
        width, height = sympy.sympify(f.right) - f.left, sympy.sympify(f.top) - f.bottom
        scale = least((f.width - 2 * f.margin) / width, (f.height - 2 * f.margin) / height)
        middle = (sympy.sympify(f.left) + f.right) / 2
        left = middle - (f.width / sympy.Integer(2)) / self._scale
        bottom = (sympy.sympify(f.bottom) + f.top) / 2 - (f.height / sympy.Integer(2)) / self._scale
        return (*self.named, (self._scale, scale), (self._left, left), (self._bottom, bottom))

    def program(self, *templates: Template) -> Program:
        """What works out the slots of `templates` (this drawing's own and others) from the terms."""
        return Program(self.formulas, tuple(slot.expression for t in templates for slot in t.slots), self.lets)

    def svg(self, values: Mapping[str, float], system: System = "us") -> str:
        """The drawing for SI values by term."""
        template = self.template(system)
        return template.fill(self.program(template)(values))

    def described(self, values: Mapping[str, float], system: System = "us") -> str:
        """The text alternative for SI values by term."""
        template = self.description(system)
        return template.fill(self.program(template)(values))


class _Drawn:
    """One drawing turned into a template."""

    def __init__(self, drawing: Drawing, system: System) -> None:
        self.drawing = drawing
        self.system = system
        self.marked = Marked()
        self.labels: list[str] = []  # over everything else, so that no line of a later shape runs through a word
        frame = drawing.frame
        parts = [
            f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {frame.width} {frame.height}' role='img' "
            f"aria-labelledby='{drawing.name}-title' font-family='{_FONTS}' font-size='{TEXT_SIZE}'>",
            f"<title id='{drawing.name}-title'>{escape(drawing.title)}</title>",
            _DEFS.replace("{id}", drawing.name),
        ]
        parts += [getattr(self, kind)(*arguments) for kind, arguments in drawing._shapes]
        self.template = self.marked.template("\n".join([*filter(None, parts), *self.labels, "</svg>"]))

    def x(self, value: Number, shift: float = 0) -> str:
        return self.marked.mark(_times(_sum(value, self.drawing._to_left), self.drawing._scale, shift))

    def y(self, value: Number, shift: float = 0) -> str:
        down = _sum(self.drawing._bottom, sympy.Mul(-1, sympy.sympify(value), evaluate=False))
        return self.marked.mark(_times(down, self.drawing._scale, self.drawing.frame.height + shift))

    def look(self, kind: str, visible: Number) -> str:
        style = _STYLES[kind].replace("{id}", self.drawing.name)
        return style if visible == 1 else f"{style} opacity='{self.marked.mark(sympy.sympify(visible))}'"

    def points(self, points: list[Point]) -> str:
        return " ".join(f"{self.x(x)},{self.y(y)}" for x, y in points)

    def polygon(self, kind: str, points: list[Point], visible: Number) -> str:
        return f"<polygon points='{self.points(points)}' {self.look(kind, visible)}/>"

    def line(self, kind: str, points: list[Point], visible: Number) -> str:
        return f"<polyline points='{self.points(points)}' {self.look(kind, visible)}/>"

    def ellipse(self, kind: str, centre: Point, half_width: Number, half_height: Number, visible: Number) -> str:
        rx, ry = (self.marked.mark(sympy.sympify(r) * self.drawing._scale) for r in (half_width, half_height))
        return f"<ellipse cx='{self.x(centre[0])}' cy='{self.y(centre[1])}' rx='{rx}' ry='{ry}' {self.look(kind, visible)}/>"

    def words(self, label: str) -> str:
        parts = sentence(label, self.system)
        marks = [self.marked.mark(slot.expression, slot.form) for slot in parts.slots]
        return "".join(part for pair in zip(map(escape, parts.pieces), [*marks, ""], strict=True) for part in pair)

    def text(self, at: Point, label: str, anchor: str, shift: tuple[float, float], visible: Number, kind: str) -> str:
        colour = {"label": INK, "pale": PALE, "accent": ACCENT, "water": WATER, "warn": WARN}[kind]
        shown = "" if visible == 1 else f" opacity='{self.marked.mark(sympy.sympify(visible))}'"
        place = f"x='{self.x(at[0], shift[0])}' y='{self.y(at[1], shift[1])}'"
        halo = "paint-order='stroke' stroke='#ffffff' stroke-width='3' stroke-linejoin='round'"
        self.labels.append(
            f"<text {place} text-anchor='{anchor}' fill='{colour}' {halo}{shown}>{self.words(label)}</text>"
        )
        return ""

    def dimension(self, start: Point, end: Point, label: str, away: float, visible: Number, beside: str) -> str:
        upright = sympy.expand(sympy.sympify(start[0]) - end[0]) == 0
        (x0, y0), (x1, y1) = start, end
        dx, dy = (away, 0.0) if upright else (0.0, -away)
        shown = "" if visible == 1 else f" opacity='{self.marked.mark(sympy.sympify(visible))}'"
        beyond = 4 if away >= 0 else -4
        ex, ey = (beyond, 0) if upright else (0, -beyond)
        extension = "".join(
            f"<path d='M{self.x(px)} {self.y(py)}L{self.x(px, dx + ex)} {self.y(py, dy + ey)}' stroke='{PALE}'/>"
            for px, py in (start, end)
            if away
        )
        ends = f"marker-start='url(#{self.drawing.name}-arrow)' marker-end='url(#{self.drawing.name}-arrow)'"
        path = f"M{self.x(x0, dx)} {self.y(y0, dy)}L{self.x(x1, dx)} {self.y(y1, dy)}"
        line = f"<path d='{path}' fill='none' stroke='{INK}' stroke-width='1' {ends}/>"
        middle = ((sympy.sympify(x0) + x1) / 2, (sympy.sympify(y0) + y1) / 2)
        side = beside or (("right" if away >= 0 else "left") if upright else ("above" if away >= 0 else "below"))
        anchor, tx, ty = {
            "right": ("start", 7, 4), "left": ("end", -7, 4), "above": ("middle", 0, -6), "below": ("middle", 0, 17),
        }[side]  # fmt: skip
        self.text(middle, label, anchor, (dx + tx, dy + ty), visible, "label")
        return f"<g{shown}>{extension}{line}</g>"


def _sum(*parts: Number) -> sympy.Expr:
    """A sum as it stands: a drawing has thousands, and sympy would put each in order first."""
    return sympy.Add(*map(sympy.sympify, parts), evaluate=False)


def _times(one: sympy.Expr, other: sympy.Expr, shift: float) -> sympy.Expr:
    product = sympy.Mul(one, other, evaluate=False)
    return _sum(product, shift) if shift else product


def as_written(draw: Callable[[], Drawing]) -> Callable[[], Drawing]:
    """Draws with every expression as it stands: to put each in order takes sympy longer than all the rest of a drawing."""

    @wraps(draw)
    def drawn() -> Drawing:
        with sympy.evaluate(False):
            return draw()

    return drawn


def largest(*parts: Number) -> sympy.Expr:
    """The largest of some lengths, as it stands: sympy would first try every two of them against each other."""
    return sympy.Max(*parts, evaluate=False)


def least(*parts: Number) -> sympy.Expr:
    """The least of some lengths, as it stands."""
    return sympy.Min(*parts, evaluate=False)


def terms(*names: str) -> tuple[sympy.Symbol, ...]:
    """The symbols of glossary terms, to draw with."""
    return tuple(symbol(term(name).name) for name in names)


__all__ = ["Drawing", "Form", "Frame", "as_written", "largest", "least", "terms"]
