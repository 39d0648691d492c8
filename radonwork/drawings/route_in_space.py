"""The route in space as SVG: isometric, in plan, and unrolled as a section, with its figures, falls and faults in words.

Each picture is made from the pieces of house.way and stands by itself. Labels look for room of their own: none lies on
another, and each keeps off the pipe where it can.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from itertools import groupby

from radonwork.drawings import lettering
from radonwork.drawings.shapes import ACCENT, INK, PALE, WARN, WATER
from radonwork.glossary import System, term
from radonwork.house.in_space import Leg, Turn, Way, letter_of, tape
from radonwork.solvers.clearances import Box, Vector
from radonwork.units import decimal

Flat = tuple[float, float]
WIDTH, HEIGHT, MARGIN = 760, 560, 78
_SIZE = 12.5
_LINE = 1.25 * _SIZE
_APART = 4  # px between words on one line
_FONTS = 'system-ui, "DejaVu Sans", sans-serif'
_ROOM = 0.7
"""m of floor drawn around the route."""
_COLOURS = {"ink": INK, "pale": PALE, "accent": ACCENT, "water": WATER, "warn": WARN}
_COS, _SIN = math.cos(math.radians(30)), math.sin(math.radians(30))


@dataclass(frozen=True)
class Surroundings:
    """What is drawn around a route: the outline of the slab, floors by name and height, what the suction points are called."""

    outline: tuple[Flat, ...] = ()
    levels: tuple[tuple[str, float], ...] = ()
    points: tuple[tuple[str, Vector], ...] = ()


# ---------------------------------------------------------------- paper


@dataclass
class _Paper:
    """Lines in metres of the picture, fitted to the sheet, and labels that look for room; y goes up until it is written."""

    name: str
    title: str
    scale: float
    left: float
    bottom: float
    height: int = HEIGHT
    parts: list[str] = field(default_factory=list)
    labels: list[str] = field(default_factory=list)
    taken: list[tuple[float, float, float, float]] = field(default_factory=list)
    lines: list[tuple[Flat, Flat]] = field(default_factory=list)
    leaders: list[tuple[Flat, Flat]] = field(default_factory=list)
    left_off: int = 0

    def at(self, point: Flat) -> Flat:
        return (point[0] - self.left) * self.scale, self.height - (point[1] - self.bottom) * self.scale

    def path(self, points: Iterable[Flat], look: str, closed: bool = False) -> None:
        text = " ".join(f"{x:.1f},{y:.1f}" for x, y in map(self.at, points))
        self.parts.append(f"<{'polygon' if closed else 'polyline'} points='{text}' {look}/>")

    def pipe(self, start: Flat, end: Flat, look: str) -> None:
        self.path((start, end), look)
        self.lines.append((self.at(start), self.at(end)))

    def ring(self, point: Flat, radius: float, look: str) -> None:
        x, y = self.at(point)
        self.parts.append(f"<circle cx='{x:.1f}' cy='{y:.1f}' r='{radius}' {look}/>")
        self.taken.append((x - radius, y - radius, x + radius, y + radius))

    def label(
        self, point: Flat, text: str, colour: str = "ink", away: float = 11, shorter: tuple[str, ...] | None = None
    ) -> None:
        """Words as near to a point as there is room; a thin line leads to them where they had to go far.

        Where they would lie on others or on a pipe the first of `shorter` that does not is taken; the last may lie on a
        pipe. Where that too would lie on words it is left off, and the drawing says so. Without `shorter` words always stand.
        """
        chosen = None
        for words in (text, *(shorter or ())):
            found = self._room(point, words, away)
            if shorter is not None or chosen is None:
                chosen = found
            if found.clear:
                break
        assert chosen
        if shorter is not None and not chosen.bare:
            self.left_off += 1
            return
        left, top, right, bottom = chosen.box
        self.taken.append((left - _APART, top, right + _APART, bottom))
        x, y = self.at(point)
        if chosen.distance > away + 8:
            self.leaders.append(((x, y), chosen.at))
            self.parts.append(
                f"<path d='M{x:.1f} {y:.1f}L{chosen.at[0]:.1f} {chosen.at[1]:.1f}' stroke='{_COLOURS[colour]}' "
                "stroke-width='0.7' fill='none'/>"
            )
        anchor = "start" if chosen.box[0] == chosen.at[0] else "end" if chosen.box[2] == chosen.at[0] else "middle"
        self._write(chosen.at[0], chosen.box[3] - 0.3 * _LINE, chosen.words, colour, anchor)

    def called(self, point: Flat, text: str) -> None:
        """What something around the route is called, unless that would lie on other words."""
        if self._overlap(self._room(point, text, 6).box) < 1:
            self.label(point, text, "pale", 6)

    def _room(self, point: Flat, words: str, away: float) -> "_Spot":
        """The best place for words near a point."""
        x, y = self.at(point)
        width = lettering.width(words, _SIZE)
        best = None
        for distance in (away, away + 9, away + 22, away + 38, away + 58, away + 84):
            for turn in (0, 180, 45, 135, -45, -135, 90, -90, 22, 158, -22, -158):
                cx, cy = x + distance * math.cos(math.radians(turn)), y - distance * math.sin(math.radians(turn))
                side = 0.5 if abs(turn) == 90 else 0.0 if abs(turn) < 90 else 1.0
                box = (cx - side * width, cy - _LINE / 2, cx + (1 - side) * width, cy + _LINE / 2)
                covered = self._covered(box)
                if distance > away + 8:  # the line that leads there must not run through words or other such lines
                    covered += 20 * sum(_crosses((x, y), (cx, cy), other) for other in self._words())
                    covered += 20 * sum(_meet((x, y), (cx, cy), *other) for other in self.leaders)
                crossed = 14 * sum(_crosses(one, other, box) for one, other in self.lines)
                cost = covered + crossed + 0.25 * distance
                if best is None or cost < best.cost:
                    best = _Spot(words, box, distance, (cx, cy), cost, covered < 1, covered + crossed < 1)
            if best and best.clear:
                break
        assert best
        return best

    def _words(self) -> list[tuple[float, float, float, float]]:
        """Boxes of words: rings and arrows are smaller, and a line may pass them."""
        return [box for box in self.taken if box[2] - box[0] > 20 and box[3] - box[1] < 1.2 * _LINE]

    def _write(self, x: float, y: float, text: str, colour: str, anchor: str = "start") -> None:
        halo = "paint-order='stroke' stroke='#ffffff' stroke-width='3' stroke-linejoin='round'"
        place = f"x='{x:.1f}' y='{y:.1f}' text-anchor='{anchor}'"
        self.labels.append(f"<text {place} fill='{_COLOURS[colour]}' {halo}>{escape(text)}</text>")

    def edge(self, height: float, text: str) -> None:
        """Words at the right edge of the sheet, on a level line."""
        y = self.at((0.0, height))[1]
        self.taken.append((WIDTH - 20 - lettering.width(text, _SIZE), y - _LINE, WIDTH - 20, y))
        self._write(WIDTH - 20, y - 4, text, "pale", "end")

    def corner(self, lines: Sequence[tuple[str, str]]) -> None:
        """Words in the upper left corner, a line each, kept free for them."""
        for count, (text, colour) in enumerate(lines):
            y = 20 + count * _LINE
            self.taken.append((10, y - _LINE, 10 + lettering.width(text, _SIZE), y + 3))
            self._write(10, y, text, colour)

    def directions(self, ways: Mapping[str, Flat]) -> None:
        """Which way is which, in the lower left corner."""
        x, y = 30.0, self.height - 46.0
        for name, (dx, dy) in ways.items():
            ex, ey = x + 26 * dx, y + 26 * dy
            self.parts.append(f"<path d='M{x} {y}L{ex:.1f} {ey:.1f}' stroke='{PALE}' stroke-width='1.2' fill='none'/>")
            self._write(ex + 3, ey + 4, name, "pale")
        self.taken.append((x, y - 34, x + 70, y + 22))

    def _covered(self, box: tuple[float, float, float, float]) -> float:
        """How much of a box lies on something or off the sheet."""
        left, top, right, bottom = box
        off = max(4 - left, 0) + max(right - WIDTH + 4, 0) + max(4 - top, 0) + max(bottom - self.height + 4, 0)
        leaders = sum(_crosses(one, other, box) for one, other in self.leaders)
        return 50 * off + 3 * self._overlap(box) + 20 * leaders

    def _overlap(self, box: tuple[float, float, float, float]) -> float:
        """How much of a box lies on something."""
        left, top, right, bottom = box
        overlap = 0.0
        for a, b, r, d in self.taken:
            if a < right and left < r and b < bottom and top < d:
                overlap += (min(right, r) - max(left, a)) * (min(bottom, d) - max(top, b))
        return overlap

    def svg(self) -> str:
        if self.left_off:
            are = "labels are" if self.left_off > 1 else "label is"
            said = f"{self.left_off} {are} left off for want of room; the words with the drawing have all"
            self._write(WIDTH - 10, self.height - 10, said, "pale", "end")
        return "\n".join(
            [
                f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {WIDTH} {self.height}' role='img' "
                f"aria-labelledby='{self.name}-title' font-family='{_FONTS}' font-size='{_SIZE}'>",
                f"<title id='{self.name}-title'>{escape(self.title)}</title>",
                *self.parts,
                *self.labels,
                "</svg>",
            ]
        )


@dataclass(frozen=True)
class _Spot:
    """A place for words: its box, how far off, where their line ends.

    `bare` if no words lie under it, `clear` if no pipe does either.
    """

    words: str
    box: tuple[float, float, float, float]
    distance: float
    at: Flat
    cost: float
    bare: bool
    clear: bool


def _meet(a: Flat, b: Flat, c: Flat, d: Flat) -> bool:
    """Whether two lines on the paper cross."""

    def side(p: Flat, q: Flat, r: Flat) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def _crosses(a: Flat, b: Flat, box: tuple[float, float, float, float]) -> bool:
    """Whether a line passes through a box on the paper."""
    if max(a[0], b[0]) < box[0] - 2 or min(a[0], b[0]) > box[2] + 2 or max(a[1], b[1]) < box[1] - 1:
        return False
    low, high = 0.0, 1.0
    for axis, (least, most) in enumerate(((box[0] - 2, box[2] + 2), (box[1] - 1, box[3] + 1))):
        step = b[axis] - a[axis]
        if abs(step) < 1e-9:
            if not least <= a[axis] <= most:
                return False
            continue
        one, other = sorted(((least - a[axis]) / step, (most - a[axis]) / step))
        low, high = max(low, one), min(high, other)
    return low < high


def _fitted(name: str, title: str, points: Sequence[Flat], height: int = HEIGHT) -> _Paper:
    low = [min(point[axis] for point in points) for axis in (0, 1)]
    high = [max(point[axis] for point in points) for axis in (0, 1)]
    spans = [max(b - a, 0.5) for a, b in zip(low, high, strict=True)]
    scale = min((WIDTH - 2 * MARGIN) / spans[0], (height - 2 * MARGIN * 0.72) / spans[1])
    left = (low[0] + high[0]) / 2 - WIDTH / 2 / scale
    bottom = (low[1] + high[1]) / 2 - height / 2 / scale
    return _Paper(name, title, scale, left, bottom, height)


# ---------------------------------------------------------------- isometric and plan


def isometric(way: Way, around: Surroundings, name: str = "route-isometric") -> str:
    """The route seen from the south-east and above; east goes down to the right, north up to the right."""
    return _Spatial(way, around, name, f"{way.name.capitalize()}, isometric", _isometric).drawn()


def plan(way: Way, around: Surroundings, name: str = "route-plan") -> str:
    """The route from above, north up the page."""
    return _Spatial(way, around, name, f"{way.name.capitalize()}, in plan", _from_above).drawn()


def _isometric(point: Vector) -> Flat:
    east, north, up = point
    return (east + north) * _COS, up + (north - east) * _SIN


def _from_above(point: Vector) -> Flat:
    return point[0], point[1]


class _Spatial:
    """One picture of a route and of what is built with it."""

    def __init__(
        self, way: Way, around: Surroundings, name: str, title: str, projected: Callable[[Vector], Flat]
    ) -> None:
        self.way, self.around, self.projected = way, around, projected
        self.flat = projected is _from_above
        self.ways = (way, *way.others)
        points = [point for one in self.ways for point in one.points]
        self.low: Vector = tuple(min(p[axis] for p in points) - (_ROOM if axis < 2 else 0) for axis in range(3))  # type: ignore[assignment]
        self.high: Vector = tuple(max(p[axis] for p in points) + (_ROOM if axis < 2 else 0) for axis in range(3))  # type: ignore[assignment]
        base = (*self.low[:2], min(self.low[2], 0.0))
        self.base: Vector = (base[0], base[1], base[2])
        seen = [projected(p) for p in (*points, *self._patch(self.base[2]))]
        self.paper = _fitted(name, title, seen)

    def drawn(self) -> str:
        paper = self.paper
        self._compass()
        self._floors()
        self._shadow()
        for name, box in self.way.boxes:
            self._box(name, box, PALE, "")
        for name, box, numbers in self.way.bays:
            heights = [point[2] for leg in self.way.legs if leg.number in numbers for point in (leg.start, leg.end)]
            (w, s, d), (e, n, u) = box
            if heights:  # a bay is drawn as far up and down as its pieces go
                box = (w, s, max(d, min(heights))), (e, n, min(u, max(heights)))
            self._box(name, box, ACCENT, " stroke-dasharray='4 3'")
        for one in self.ways:
            for leg in one.legs:
                self._pipe(leg)
        for one in self.ways:
            self._marks(one)
        for remark in self.way.remarks:
            paper.ring(self.projected(remark.at), 9, f"fill='none' stroke='{WARN}' stroke-width='2'")
        for remark in self.way.remarks:
            paper.label(self.projected(remark.at), remark.short, "warn", 16)
        for one in self.ways:
            self._ends(one)
        for one in self.ways:
            for leg in one.legs:
                self._measure(leg, letter_of(one.at))
        for one in self.ways:
            letter = letter_of(one.at)
            for at, turns in _joints(one):
                only = ", ".join(f"{letter}{turn.number}" for turn in turns)
                paper.label(self.projected(at), _numbered(turns, letter), "ink", 9, (only,))
        for point, text in self._names:
            paper.called(point, text)
        return paper.svg()

    # ------------------------------------------------------------ around it

    def _patch(self, height: float) -> list[Vector]:
        (w, s, _), (e, n, _) = self.low, self.high
        return [(w, s, height), (e, s, height), (e, n, height), (w, n, height)]

    def _compass(self) -> None:
        said = "from above, north up the page" if self.flat else "seen from the south-east and above"
        pipes = [(f"{letter_of(one.at)}: pipe of {one.name}", "ink") for one in self.way.others]
        self.paper.corner(((self.paper.title, "ink"), (said, "pale"), ("blue: which way water runs", "water"), *pipes))
        if not self.flat:
            self.paper.directions({"east": (_COS, _SIN), "north": (_COS, -_SIN), "up": (0.0, -1.0)})

    def _floors(self) -> None:
        self._names: list[tuple[Flat, str]] = []
        levels = [
            ("level of the slab", 0.0),
            *((n, h) for n, h in self.around.levels if self.low[2] - 0.1 <= h <= self.high[2]),
        ]
        for place, (name, height) in enumerate(levels[: 1 if self.flat else None]):
            patch = [self.projected(point) for point in self._patch(height)]
            fill = "#f1f0ec" if place == 0 else "none"
            look = (
                f"fill='{fill}' stroke='{PALE}' stroke-width='0.8' stroke-dasharray='{'none' if place == 0 else '3 4'}'"
            )
            self.paper.path(patch, look, closed=True)
            self._names.append(
                (patch[1 if self.flat else 2], f"{name}, {tape(height, self.way.system)}" if height else name)
            )
        walls = sorted(self._walls(), key=lambda wall: -math.dist(*wall))
        for a, b in walls:
            self.paper.path(
                (self.projected((*a, 0.0)), self.projected((*b, 0.0))), f"fill='none' stroke='{INK}' stroke-width='3'"
            )
        for a, b in walls[:1]:
            middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, 0.0)
            self._names.append((self.projected(middle), "edge of the slab"))

    def _walls(self) -> Iterator[tuple[Flat, Flat]]:
        """The sides of the slab as far as the drawn floor goes."""
        corners = self.around.outline
        for a, b in zip(corners, (*corners[1:], *corners[:1]), strict=True):
            low, high = 0.0, 1.0
            for axis in (0, 1):
                step = b[axis] - a[axis]
                if abs(step) < 1e-9:
                    if not self.low[axis] <= a[axis] <= self.high[axis]:
                        low = 2.0
                    continue
                one, other = sorted(((self.low[axis] - a[axis]) / step, (self.high[axis] - a[axis]) / step))
                low, high = max(low, one), min(high, other)
            if high - low > 1e-6:
                yield _along(a, b, low), _along(a, b, high)

    def _shadow(self) -> None:
        if self.flat:
            return
        for one in self.ways:
            points = [self.projected((p[0], p[1], 0.0)) for p in one.points]
            self.paper.path(points, f"fill='none' stroke='{PALE}' stroke-width='1' stroke-dasharray='2 4'")

    def _box(self, name: str, box: Box, colour: str, dashes: str) -> None:
        top = max([leg.start[2] for leg in self.way.legs if not leg.upright], default=self.low[2]) + 0.4
        ceiling = (*self.high[:2], self.high[2] if math.isfinite(box[1][2]) else min(top, self.high[2]))
        low, high = (
            tuple(min(max(corner[axis], self.base[axis]), ceiling[axis]) for axis in range(3)) for corner in box
        )
        if any(a >= b for a, b in zip(low[:2], high[:2], strict=True)):
            return  # it lies beyond the floor that is drawn
        (w, s, d), (e, n, u) = low, high
        faces: list[list[Vector]] = [[(w, s, u), (e, s, u), (e, n, u), (w, n, u)]]
        if not self.flat:
            faces += [[(w, s, d), (e, s, d), (e, s, u), (w, s, u)], [(e, s, d), (e, n, d), (e, n, u), (e, s, u)]]
        for face in faces:
            look = f"fill='{colour}' fill-opacity='0.13' stroke='{colour}' stroke-width='0.9'{dashes}"
            self.paper.path([self.projected(point) for point in face], look, closed=True)
        where = self.projected(((w + e) / 2, (s + n) / 2, u)) if self.flat else self.projected((e, s, (d + u) / 2))
        self._names.append((where, name))

    # ------------------------------------------------------------ the pipe

    def _pipe(self, leg: Leg) -> None:
        for start, end in leg.shifted:
            self.paper.pipe(
                self.projected(start),
                self.projected(end),
                f"fill='none' stroke='{ACCENT}' stroke-width='{5 if len(leg.copies) == 1 else 3.5}' stroke-linecap='round'",
            )

    def _measure(self, leg: Leg, letter: str) -> None:
        system = self.way.system
        start, end = self.projected(leg.start), self.projected(leg.end)
        side = f", {len(leg.copies)} side by side" if len(leg.copies) > 1 else ""
        up = f"{'up' if leg.direction[2] > 0 else 'down'} " if leg.upright else ""
        off = f" ± {tape(leg.tolerance, system)}" if leg.tolerance else ""
        fall = "" if leg.upright else f", {fall_words(leg, system)}"
        if not leg.upright and abs(leg.slope) > 1e-9:
            self._arrow(self.paper.at(start), self.paper.at(end), leg.slope > 0)
        said = f"{letter}{leg.number}: {up}{tape(leg.length, system)}"
        shorter = (said, f"{letter}{leg.number}")
        self.paper.label(_along(start, end, 0.5), f"{said}{off}{fall}{side}", "accent", 11, shorter)

    def _arrow(self, start: Flat, end: Flat, back: bool) -> None:
        """The way that water runs: against the air where the pipe falls back."""
        (x0, y0), (x1, y1) = (end, start) if back else (start, end)
        size = math.hypot(x1 - x0, y1 - y0)
        if size < 30:
            return
        ux, uy = (x1 - x0) / size, (y1 - y0) / size
        mx, my, half = (x0 + x1) / 2 - 9 * uy, (y0 + y1) / 2 + 9 * ux, min(size / 4, 26)
        ax, ay, bx, by = mx - half * ux, my - half * uy, mx + half * ux, my + half * uy
        head = f"M{bx:.1f} {by:.1f}l{-7 * ux - 3.2 * uy:.1f} {-7 * uy + 3.2 * ux:.1f}l{6.4 * uy:.1f} {-6.4 * ux:.1f}z"
        self.paper.parts.append(
            f"<path d='M{ax:.1f} {ay:.1f}L{bx:.1f} {by:.1f}' stroke='{WATER}' stroke-width='1.6' fill='none'/>"
            f"<path d='{head}' fill='{WATER}'/>"
        )
        self.paper.taken.append((min(ax, bx) - 3, min(ay, by) - 3, max(ax, bx) + 3, max(ay, by) + 3))

    def _marks(self, way: Way) -> None:
        paper, start, end = self.paper, self.projected(way.start), self.projected(way.end)
        paper.ring(start, 7, f"fill='#ffffff' stroke='{ACCENT}' stroke-width='2.4'")
        for turn in way.turns:
            if turn.turns:
                paper.ring(self.projected(turn.at), 4.5, f"fill='#ffffff' stroke='{INK}' stroke-width='1.6'")
            elif turn.kind not in ("entrance", "exit"):
                paper.ring(self.projected(turn.at), 3, f"fill='{INK}' stroke='none'")
        if way.joint:
            paper.ring(self.projected(way.joint), 4.5, f"fill='#ffffff' stroke='{INK}' stroke-width='1.6'")
        if way is self.way:
            x, y = paper.at(end)
            paper.parts.append(
                f"<path d='M{x - 6:.1f} {y + 1:.1f}L{x:.1f} {y - 11:.1f}L{x + 6:.1f} {y + 1:.1f}z' fill='{ACCENT}'/>"
            )
            paper.taken.append((x - 6, y - 11, x + 6, y + 1))
            if (fan := _fan(way)) is not None:
                fx, fy = paper.at(self.projected(fan))
                paper.parts.append(
                    f"<rect x='{fx - 9:.1f}' y='{fy - 9:.1f}' width='18' height='18' fill='#ffffff' stroke='{ACCENT}' "
                    "stroke-width='2.2'/>"
                )
                paper.taken.append((fx - 9, fy - 9, fx + 9, fy + 9))

    def _ends(self, way: Way) -> None:
        paper = self.paper
        name = next((text for text, at in self.around.points if at[:2] == way.start[:2]), "suction point")
        paper.label(self.projected(way.start), name, "ink", 13)
        if way.joint:
            paper.label(self.projected(way.joint), f"{way.joined_by} of {letter_of(way.at)}", "ink", 9)
        if way is self.way:
            paper.label(self.projected(way.end), f"outlet, {tape(way.end[2], way.system)} above the slab", "ink", 15)
            if (fan := _fan(way)) is not None:
                paper.label(self.projected(fan), "fan", "ink", 15)


def _joints(way: Way) -> Iterator[tuple[Vector, list[Turn]]]:
    """The fittings at each place where there are any between two pipes."""
    for at, group in groupby(way.turns, key=lambda turn: turn.at):
        if turns := [turn for turn in group if turn.kind not in ("entrance", "exit")]:
            yield at, turns


def _fan(way: Way) -> Vector | None:
    """Where the fan stands: behind so many pieces."""
    if way.fan_after is None:
        return None
    places = {leg.number: leg.end for leg in way.legs} | {turn.number: turn.at for turn in way.turns}
    return places.get(way.fan_after, way.start)


def _numbered(turns: Sequence[Turn], letter: str) -> str:
    """Fittings at one place: "5: 90°, 6"."""
    return ", ".join(
        f"{letter}{turn.number}: {math.degrees(turn.own):g}°" if turn.own else f"{letter}{turn.number}"
        for turn in turns
    )


def _along(a: Sequence[float], b: Sequence[float], share: float) -> Flat:
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


# ---------------------------------------------------------------- unrolled


def unrolled(way: Way, around: Surroundings, name: str = "route-unrolled") -> str:
    """The route as a section that is folded flat: along the page as it goes in plan, up the page as it rises."""
    flat = [0.0]
    for leg in way.legs:
        flat.append(flat[-1] + math.hypot(leg.end[0] - leg.start[0], leg.end[1] - leg.start[1]))
    heights = [point[2] for point in way.points]
    seen = list(zip(flat, heights, strict=True))
    paper = _fitted(name, f"{way.name.capitalize()}, unrolled", [*seen, (flat[0], 0.0), (flat[-1], 0.0)], 460)
    paper.corner(((paper.title, "ink"), ("along the page as it goes in plan, up the page as it rises", "pale")))
    left, right = paper.left + 20 / paper.scale, paper.left + (WIDTH - 20) / paper.scale
    floors = [("level of the slab", 0.0), *((n, h) for n, h in around.levels if h <= max(heights))]
    for floor, height in floors:
        paper.edge(height, floor)
        paper.path(
            ((left, height), (right, height)), f"fill='none' stroke='{PALE}' stroke-width='0.9' stroke-dasharray='3 4'"
        )
    for leg, a, b in zip(way.legs, seen, seen[1:], strict=False):
        paper.pipe(a, b, f"fill='none' stroke='{ACCENT}' stroke-width='5' stroke-linecap='round'")
        for turn in way.turns:
            if turn.at == leg.start and turn.turns:
                paper.ring(a, 4.5, f"fill='#ffffff' stroke='{INK}' stroke-width='1.6'")
    for remark in way.remarks:
        if remark.path.startswith(("suction.", "run.branch")):  # of another pipe, or of a point without one
            continue
        here = min(range(len(seen)), key=lambda n: math.dist(way.points[n], remark.at))
        paper.label(seen[here], remark.short, "warn", 16)
    for leg, a, b in zip(way.legs, seen, seen[1:], strict=False):
        fall = "" if leg.upright else f", {fall_words(leg, way.system)}"
        said = f"{leg.number}: {tape(leg.length, way.system)}"
        paper.label(_along(a, b, 0.5), said + fall, "accent", 11, (said, f"{leg.number}"))
    for place, point in enumerate(way.points):
        high = tape(point[2], way.system)
        paper.label(seen[place], f"at {high}", "ink", 9, (high,))
    return paper.svg()


def fall_words(leg: Leg, system: System) -> str:
    """How a piece that is not upright falls: "falls back 1/4 in/ft", "falls away at 45°", "level"."""
    if abs(leg.slope) < 1e-9:
        return "level"
    way, steep = "back" if leg.slope > 0 else "away", math.atan(abs(leg.slope))
    if steep > math.radians(15):
        return f"falls {way} at {math.degrees(steep):.3g}°"
    return f"falls {way} {decimal(abs(leg.slope), term('pipe_slope').unit(system), 3)}"


# ---------------------------------------------------------------- in words


def route_words(way: Way, around: Surroundings) -> str:
    """The route piece by piece, for who cannot see the picture."""
    system: System = way.system
    said = []
    for thing in way.things:
        if isinstance(thing, Turn):
            turned = f", {math.degrees(thing.turned):.3g}° between pieces" if thing.turned and thing.turns else ""
            said.append(f"{thing.number} {thing.name}{turned}")
            continue
        fall = "" if thing.upright else f", {fall_words(thing, system)}"
        many = f", {len(thing.copies)} side by side" if len(thing.copies) > 1 else ""
        where = f" in the {thing.place}" if thing.place and thing.place != "outside" else f" {thing.place}".rstrip()
        said.append(f"{thing.number} {thing.words}: {tape(thing.length, system)}{fall}{many}{where}, up to "
                    f"{tape(thing.end[2], system)} above the slab")  # fmt: skip
    said += [
        f"the pipe of {one.name} joins by a {one.joined_by}, {tape(one.joint[2], system)} above the slab"
        for one in way.others
        if one.joint
    ]
    faults = " ".join(f"{remark}." for remark in way.remarks) or "Nothing is found wrong in its geometry."
    return f"{way.name.capitalize()} from {_begins(way, around)}: {'; '.join(said)}. {faults}"


def plan_words(way: Way, around: Surroundings) -> str:
    """Where the route goes on the plan, east and north of its origin."""
    level = [
        f"{leg.number} goes {tape(leg.length, way.system)} to {_on_plan(leg.end, way.system)}"
        for leg in way.legs
        if not leg.upright
    ]
    upright = [str(leg.number) for leg in way.legs if leg.upright]
    points = f" Upright pieces are points: {', '.join(upright)}." if upright else ""
    start = f"From {_begins(way, around)}, at {_on_plan(way.start, way.system)}"
    return f"{start}: {'; '.join(level) or 'straight up'}.{points}"


def unrolled_words(way: Way, _around: Surroundings) -> str:
    """How high the ends of the pieces lie, and how each piece that is not upright falls."""
    heights = "; ".join(f"{leg.number} to {tape(leg.end[2], way.system)}" for leg in way.legs)
    falls = "; ".join(f"{leg.number} {fall_words(leg, way.system)}" for leg in way.legs if not leg.upright)
    traps = "; ".join(f"{tape(depth, way.system)} deep at {tape(at[2], way.system)}" for at, depth in way.traps)
    return (
        f"Heights above the slab, from {tape(way.start[2], way.system)}: {heights}. {falls[:1].upper() + falls[1:]}"
        f"{'. ' if falls else ''}{f'Low places hold water {traps}.' if traps else 'No place holds water.'}"
    )


def _on_plan(point: Vector, system: System) -> str:
    east, north = point[:2]
    return (
        f"{tape(abs(east), system)} {'east' if east >= 0 else 'west'} and "
        f"{tape(abs(north), system)} {'north' if north >= 0 else 'south'}"
    )


def _begins(way: Way, around: Surroundings) -> str:
    return next((text for text, at in around.points if at[:2] == way.start[:2]), "the suction point")
