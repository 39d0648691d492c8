"""The outlet of one house on its plan, to scale: slab, ridge and eaves, openings, viewpoints, the rule's distance."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from html import escape

from radonwork.drawings.outlet import rule_distance
from radonwork.drawings.shapes import ACCENT, INK, PALE, TEXT_SIZE, WARN
from radonwork.glossary import System, term
from radonwork.house.discharge import Opened, View, openings, views
from radonwork.house.plan import Point
from radonwork.house.record import House
from radonwork.units import decimal, from_unit

_WIDTH, _HEIGHT, _MARGIN = 720.0, 520.0, 34.0
_FONTS = 'system-ui, "DejaVu Sans", sans-serif'


@dataclass(frozen=True)
class OutletPlan:
    """The plan around the outlet of `house`; a viewpoint that lies far out is shown by an arrow toward it."""

    house: House
    name: str = "outlet-plan"
    title: str = "The outlet on the plan of the house"
    takes: tuple[str, ...] = ("rafter_run", "ridge_distance")

    def svg(self, values: Mapping[str, float], system: System = "us") -> str:
        """The plan, north up where the record's places are so."""
        return "\n".join(_Plan(self.house, values["rafter_run"], system).lines(self.name, self.title))

    def described(self, values: Mapping[str, float], system: System = "us") -> str:
        """The plan in words."""
        drawn = _Plan(self.house, values["rafter_run"], system)
        away = decimal(values["ridge_distance"], drawn.unit, 3)
        said = [f"The pipe comes out {away} from the ridge, in plan."]
        said += [f"{one.name}: {decimal(one.away, drawn.unit, 3)} away." for one in drawn.openings]
        said += [
            f"{one.name}: the line of sight passes over {one.over}." for one in drawn.views if one.over[:4] == "the "
        ]
        said += [
            f"{one.name}: {'is under the roof' if one.over == 'under the roof' else 'looks past the end of the roof'}."
            for one in drawn.views
            if one.over[:4] != "the "
        ]
        return f"The plan to scale. {' '.join(said)}"


class _Plan:
    """Places of one house brought onto the paper."""

    def __init__(self, house: House, run: float, system: System) -> None:
        assert house.outlet
        assert house.outlet.at
        assert house.roof
        self.at: Point = house.outlet.at.point
        self.unit = term("ridge_distance").unit(system)
        self.openings: list[Opened] = [*openings(house, "this house"), *openings(house, "neighbour")]
        self.views: list[View] = views(house, run)
        self.outline = [place.point for place in house.foundation.outline] if house.foundation else []
        self.ridge = [place.point for place in house.roof.ridge]
        self.eaves = self._beside_the_ridge(run)
        self.far = rule_distance()
        shown = [*self.outline, *self.ridge, *(end for side in self.eaves for end in side)]
        shown += [end for one in self.openings for end in one.ends if math.dist(end, self.at) < 4 * self.far]
        shown += [(self.at[0] + dx * self.far, self.at[1] + dy * self.far) for dx in (-1, 1) for dy in (-1, 1)]
        (x0, x1), (y0, y1) = ((min(axis), max(axis)) for axis in zip(*shown, strict=True))
        self.scale = min((_WIDTH - 2 * _MARGIN) / (x1 - x0), (_HEIGHT - 2 * _MARGIN - 30) / (y1 - y0))
        self.middle = (x0 + x1) / 2, (y0 + y1) / 2
        self.taken: list[tuple[float, float, float, float]] = []

    def _beside_the_ridge(self, run: float) -> list[tuple[Point, Point]]:
        (x0, y0), (x1, y1) = self.ridge
        length = math.dist(*self.ridge)
        nx, ny = -(y1 - y0) / length * run, (x1 - x0) / length * run
        return [((x0 + s * nx, y0 + s * ny), (x1 + s * nx, y1 + s * ny)) for s in (-1, 1)]

    def paper(self, point: Point) -> Point:
        x, y = ((at - middle) * self.scale for at, middle in zip(point, self.middle, strict=True))
        return _WIDTH / 2 + x, (_HEIGHT - 30) / 2 - y

    def lines(self, name: str, title: str) -> Iterator[str]:
        yield (
            f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {_WIDTH:g} {_HEIGHT:g}' role='img' "
            f"aria-labelledby='{name}-title' font-family='{_FONTS}' font-size='{TEXT_SIZE}'>"
        )
        yield f"<title id='{name}-title'>{escape(title)}</title>"
        yield (
            f"<defs><marker id='{name}-head' viewBox='0 0 8 8' refX='6' refY='4' markerWidth='7' markerHeight='7' "
            f"orient='auto'><path d='M0 0.5L7 4L0 7.5z' fill='{WARN}'/></marker></defs>"
        )
        if self.outline:
            yield self._drawn(self.outline, f"fill='#efe9df' stroke='{INK}' stroke-width='1.6'", closed=True)
        corners = [*self.eaves[0], *reversed(self.eaves[1])]
        yield self._drawn(corners, f"fill='none' stroke='{PALE}' stroke-width='1' stroke-dasharray='4 4'", closed=True)
        yield self._drawn(self.ridge, f"stroke='{INK}' stroke-width='1.4' stroke-dasharray='10 3 2 3'")
        x, y = self.paper(self.at)
        yield (
            f"<circle cx='{x:.1f}' cy='{y:.1f}' r='{self.far * self.scale:.1f}' fill='none' stroke='{ACCENT}' "
            "stroke-width='1.2' stroke-dasharray='5 3'/>"
        )
        yield self._label((x, y), "outlet", ACCENT)
        for one in self.openings:
            yield from self._opening(one)
        for view in self.views:
            yield from self._view(name, view)
        yield f"<circle cx='{x:.1f}' cy='{y:.1f}' r='5' fill='{ACCENT}'/>"
        yield self._label(self.paper(self.ridge[1]), "ridge")
        yield self._label(self.paper(self.eaves[0][1]), "eave", PALE)
        yield from self._key()
        yield "</svg>"

    def _drawn(self, points: list[Point], look: str, closed: bool = False) -> str:
        places = " ".join(f"{x:.1f},{y:.1f}" for x, y in map(self.paper, points))
        return f"<{'polygon' if closed else 'polyline'} points='{places}' {look}/>"

    def _opening(self, one: Opened) -> Iterator[str]:
        yield self._drawn(list(one.ends), f"stroke='{WARN}' stroke-width='4' stroke-linecap='round'")
        near = _nearest(self.at, *one.ends)
        yield self._drawn([self.at, near], f"stroke='{PALE}' stroke-width='1'")
        yield self._label(self.paper(near), f"{one.name}, {decimal(one.away, self.unit, 3)}")

    def _label(self, at: Point, words: str, colour: str = INK) -> str:
        """Words beside a point, at the first of some places where they cover no others and stay on the paper."""
        (x, y), wide = at, 0.58 * TEXT_SIZE * len(words)
        spots = [
            (x + dx, y + dy)
            for dy in (-6, 14, -22, 30, -38, 46, -54, 62)
            for dx in ((8, -8) if x < _WIDTH * 0.6 else (-8, 8))
        ]
        boxes = [(p - wide * (p < x), base - TEXT_SIZE, p + wide * (p > x), base + 4) for p, base in spots]
        free = [n for n, box in enumerate(boxes) if self._on_paper(box) and not any(_meet(box, t) for t in self.taken)]
        chosen = free[0] if free else 0
        self.taken.append(boxes[chosen])
        return _text(*spots[chosen], words, "start" if spots[chosen][0] > x else "end", colour)

    @staticmethod
    def _on_paper(box: tuple[float, float, float, float]) -> bool:
        return box[0] > 4 and box[1] > 4 and box[2] < _WIDTH - 4 and box[3] < _HEIGHT - 32

    def _view(self, name: str, view: View) -> Iterator[str]:
        (x, y), (px, py) = self.paper(view.at), self.paper(self.at)
        inside = _MARGIN < x < _WIDTH - _MARGIN and _MARGIN < y < _HEIGHT - 30 - _MARGIN
        if inside:
            yield f"<circle cx='{x:.1f}' cy='{y:.1f}' r='4' fill='{WARN}'/>"
            yield self._label((x, y), view.name)
            return
        # An arrow from the edge of the rule's circle outward, toward the viewpoint, as long as the paper has room.
        length = math.hypot(x - px, y - py)
        ux, uy = (x - px) / length, (y - py) / length
        rooms = [
            (edge - at) / step
            for at, step, edges in ((px, ux, (12, _WIDTH - 12)), (py, uy, (24, _HEIGHT - 54)))
            for edge in edges
            if step * (edge - at) > 0
        ]
        end = min(rooms)
        tip = px + ux * end, py + uy * end
        start = px + ux * end * 0.8, py + uy * end * 0.8
        yield (
            f"<path d='M{start[0]:.1f} {start[1]:.1f}L{tip[0]:.1f} {tip[1]:.1f}' stroke='{WARN}' stroke-width='1.6' "
            f"marker-end='url(#{name}-head)'/>"
        )
        yield self._label(start, f"to {view.name}, {decimal(math.dist(view.at, self.at), self.unit, 3)}")

    def _key(self) -> Iterator[str]:
        bar = from_unit(10.0, "ft") if self.unit == "ft" else 3.0
        long = float(bar) * self.scale
        y = _HEIGHT - 14
        yield f"<path d='M12 {y - 4}v4h{long:.1f}v-4' fill='none' stroke='{INK}' stroke-width='1.4'/>"
        yield _text(18 + long, y, decimal(float(bar), self.unit, 3))
        yield _text(150 + long, y, f"dashed circle: {decimal(self.far, self.unit, 3)} around the outlet", colour=ACCENT)


def _nearest(point: Point, start: Point, end: Point) -> Point:
    dx, dy = end[0] - start[0], end[1] - start[1]
    squared = dx * dx + dy * dy
    share = ((point[0] - start[0]) * dx + (point[1] - start[1]) * dy) / squared if squared else 0.0
    share = min(max(share, 0.0), 1.0)
    return start[0] + share * dx, start[1] + share * dy


def _meet(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _text(x: float, y: float, words: str, anchor: str = "start", colour: str = INK) -> str:
    halo = "paint-order='stroke' stroke='#ffffff' stroke-width='3' stroke-linejoin='round'"
    return f"<text x='{x:.1f}' y='{y:.1f}' text-anchor='{anchor}' fill='{colour}' {halo}>{escape(words)}</text>"
