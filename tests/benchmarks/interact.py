"""The panels of a workbook as a notebook makes them with `interact` and inline matplotlib, to compare with.

Same controls, shapes, labels, sentence and worked equations as the panel, and the same statements behind them. Nothing is
made slow on purpose: coordinates are compiled once, the working of formulas is printed once, only numbers change, and
neither rules nor tolerances are worked out. The equations are shown with `Math`, as notebooks do, or else handed over in
the panel's own MathML, which spares the page their typesetting and which a notebook by itself does not have.
"""

import re
from collections.abc import Callable
from typing import Any

import matplotlib.pyplot as plt
import sympy
from IPython.display import HTML, Math, display
from ipywidgets import FloatSlider, interact
from matplotlib.patches import Ellipse, Polygon

from radonwork.drawings.shapes import _STYLES, INK, PALE, TEXT_SIZE, Drawing
from radonwork.engine.formula import Formula
from radonwork.engine.printing import MATHML, Latex
from radonwork.engine.program import Program, Template, sentence, worked
from radonwork.glossary import System
from radonwork.units import from_unit, to_unit
from radonwork.workbook import book

DOTS_PER_INCH = 100
POINT = 72 / DOTS_PER_INCH  # a pixel of the drawing in the points of matplotlib
_HATCHES = {"wood": ("#f3e6cf", "//"), "concrete": ("#e3e4e2", ".."), "gravel": ("#f2efe8", "oo")}
_COLOURS = {"label": INK, "pale": PALE, "accent": "#0b6e69", "water": "#2b78c5", "warn": "#a23b2a"}


class _Lines(Latex):
    """Equations one below the other."""

    def whole(self, inside: str) -> str:
        return rf"{inside} \\ "


class Picture:
    """A to-scale drawing, drawn with matplotlib."""

    def __init__(self, drawing: Drawing, system: System) -> None:
        self.drawing, self.system = drawing, system
        self.slots: list[sympy.Expr] = []
        f = drawing.frame
        self._corner = self._keep([drawing._left, drawing._bottom, drawing._scale])
        self._artists = [getattr(self, kind)(*arguments) for kind, arguments in drawing._shapes]
        self._program = Program(drawing.formulas, tuple(self.slots), drawing.lets)
        self._size = f.width, f.height

    def draw(self, values: dict[str, float]) -> None:
        """The figure for SI values by term, shown when the cell ends."""
        self.numbers = self._program(values)
        left, bottom, scale = self._corner()
        width, height = self._size
        figure = plt.figure(figsize=(width / DOTS_PER_INCH, height / DOTS_PER_INCH), dpi=DOTS_PER_INCH)
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set(xlim=(left, left + width / scale), ylim=(bottom, bottom + height / scale))
        axes.set_axis_off()
        for add in self._artists:
            add(axes)

    def _keep(self, expressions: list[Any]) -> Callable[[], list[float]]:
        """Puts expressions among those worked out for each picture; gives what fetches their numbers."""
        start, end = len(self.slots), len(self.slots) + len(expressions)
        self.slots += map(sympy.sympify, expressions)
        return lambda: self.numbers[start:end]

    def _points(self, points: list[Any]) -> Callable[[], list[tuple[float, float]]]:
        fetch = self._keep([coordinate for point in points for coordinate in point])
        return lambda: list(zip(fetch()[0::2], fetch()[1::2], strict=True))

    def _words(self, label: str) -> Callable[[], str]:
        template = sentence(label, self.system)
        fetch = self._keep([slot.expression for slot in template.slots])
        return lambda: template.fill(fetch())

    def polygon(self, kind: str, points: list[Any], visible: Any) -> Callable[[Any], None]:
        fetch, opacity = self._points(points), self._keep([visible])
        return lambda axes: axes.add_patch(Polygon(fetch(), alpha=opacity()[0], **_look(kind)))

    def line(self, kind: str, points: list[Any], visible: Any) -> Callable[[Any], None]:
        fetch, opacity = self._points(points), self._keep([visible])
        look = _look(kind)
        style = {"color": look["edgecolor"], "linewidth": look["linewidth"], "linestyle": look["linestyle"]}
        arrow = "marker-end" in _STYLES[kind]

        def add(axes: Any) -> None:
            places = fetch()
            axes.plot(*zip(*places, strict=True), alpha=opacity()[0], **style)
            if arrow:
                axes.annotate("", places[-1], places[-2], alpha=opacity()[0], arrowprops={"arrowstyle": "->", **style})

        return add

    def ellipse(self, kind: str, centre: Any, half_width: Any, half_height: Any, visible: Any) -> Callable[[Any], None]:
        fetch = self._keep([*centre, half_width, half_height, visible])

        def add(axes: Any) -> None:
            x, y, rx, ry, opacity = fetch()
            axes.add_patch(Ellipse((x, y), 2 * rx, 2 * ry, alpha=opacity, **_look(kind)))

        return add

    def text(
        self, at: Any, label: str, anchor: str, shift: tuple[float, float], visible: Any, kind: str
    ) -> Callable[[Any], None]:
        fetch, words = self._keep([*at, visible]), self._words(label)
        across = {"start": "left", "middle": "center", "end": "right"}[anchor]

        def add(axes: Any) -> None:
            x, y, opacity = fetch()
            offset = shift[0] * POINT, -shift[1] * POINT
            style = {"ha": across, "color": _COLOURS[kind], "fontsize": TEXT_SIZE * POINT, "alpha": opacity}
            axes.annotate(words(), (x, y), offset, textcoords="offset points", **style)

        return add

    def dimension(
        self, start: Any, end: Any, label: str, away: float, visible: Any, beside: str
    ) -> Callable[[Any], None]:
        upright = sympy.expand(sympy.sympify(start[0]) - end[0]) == 0
        scale = self.drawing._scale
        dx, dy = (away / scale, 0) if upright else (0, away / scale)
        ends = [(x + dx, y + dy) for x, y in (start, end)]
        fetch, extensions, opacity = self._points(ends), self._points([start, end]), self._keep([visible])
        side = beside or (("right" if away >= 0 else "left") if upright else ("above" if away >= 0 else "below"))
        anchor, tx, ty = {
            "right": ("start", 7, 4), "left": ("end", -7, 4), "above": ("middle", 0, -6), "below": ("middle", 0, 17),
        }[side]  # fmt: skip
        middle = [sum(pair) / sympy.Integer(2) for pair in zip(*ends, strict=True)]
        words = self.text(middle, label, anchor, (tx, ty), visible, "label")

        def add(axes: Any) -> None:
            shown = opacity()[0]
            axes.annotate("", *fetch(), arrowprops={"arrowstyle": "<->", "color": INK, "alpha": shown})
            for foot, tip in zip(extensions(), fetch(), strict=True):
                axes.plot(*zip(foot, tip, strict=True), color=PALE, linewidth=POINT, alpha=shown)
            words(axes)

        return add


def _look(kind: str) -> dict[str, Any]:
    """The look of a kind of thing, read from the drawing's own table."""
    style = dict(re.findall(r"([\w-]+)='([^']*)'", _STYLES[kind]))
    face, hatch = next(
        (_HATCHES[name] for name in _HATCHES if style["fill"].endswith(f"-{name})")), (style["fill"], None)
    )
    dashes = tuple(float(part) for part in style.get("stroke-dasharray", "").split())
    return {
        "facecolor": face, "hatch": hatch, "edgecolor": style["stroke"],
        "linewidth": float(style.get("stroke-width", 1)) * POINT, "linestyle": (0, dashes) if dashes else "-",
    }  # fmt: skip


def by_interact(topic: str, number: int, mathml: bool = False) -> None:
    """A slider for each control of that panel; the picture, the sentence and the worked equations below them."""
    panel = book(topic).panel(number)
    pane, system, given = panel.pane, panel.system, dict(panel.values)
    controls = {control["term"]: control for control in panel.spec["controls"]}
    picture, said = Picture(pane.drawing, system), sentence(pane.result, system)
    say = Program((), _expressions(said))
    notation = MATHML if mathml else _Lines()
    shown = [statement for statement in pane.sheet.statements if statement.name in pane.worked]
    templates = {s.name: worked(s, system, notation) for s in shown if isinstance(s, Formula)}
    programs = {name: Program((), _expressions(template)) for name, template in templates.items()}

    def move(**readings: float) -> None:
        values = given | {name: from_unit(reading, controls[name]["unit"]) for name, reading in readings.items()}
        equations = []
        for statement in pane.sheet.statements:
            inputs = {name: values[name] for name in statement.takes if name in values}
            if isinstance(statement, Formula):
                values[statement.result] = float(statement(**inputs))
                if statement in shown:
                    equations.append(templates[statement.name].fill(programs[statement.name](values)))
            else:
                work = statement.work(system, **inputs)
                values |= work.results
                if statement in shown:
                    equations.append("".join(map(notation.whole, work.steps(notation))))
        print(said.fill(say(values)))
        if mathml:
            display(HTML("".join(equations)))
        else:
            display(*(Math(rf"\begin{{gathered}}{lines}\end{{gathered}}") for lines in equations))
        picture.draw(values)

    sliders = {}
    for name, control in controls.items():
        here = float(to_unit(given[name], control["unit"]))
        sliders[name] = FloatSlider(
            value=here, min=control["low"], max=control["high"], step=control["step"], description=control["label"]
        )
    interact(move, **sliders)


def _expressions(template: Template) -> tuple[sympy.Expr, ...]:
    return tuple(slot.expression for slot in template.slots)
