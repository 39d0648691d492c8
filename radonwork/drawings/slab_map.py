"""The slab from above with the suction under it: bands by level, suction points, drains, test holes, the area that
meets the target.

Bands are counted in targets: below nothing, too little, enough, several times enough. Each has a colour of its own
lightness, and the two that are not enough are hatched besides, so the map can be read in grey. Every band, point and
reading is named in words at the side.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from html import escape
from itertools import pairwise
from typing import Any

import numpy as np
from contourpy import FillType, LineType, contour_generator

from radonwork.drawings import lettering
from radonwork.drawings.shapes import _FONTS, ACCENT, INK, PALE, TEXT_SIZE, WARN
from radonwork.glossary import System, term
from radonwork.solvers.slab_plan import Drain, Pit, Point, Reading, Source
from radonwork.solvers.suction_field import SuctionMap
from radonwork.units import decimal, from_unit, to_unit

STEPS = (1.0, 3.0, 10.0, 30.0)  # levels, in targets
_COLOURS = ("#ffffff", "#f3ece0", "#cfe4e0", "#93c4bd", "#4f9890", "#1f665f")
_PLAN_WIDTH, _MOST_HEIGHT, _MARGIN, _LINE, _SWATCH = 470, 560, 18, 19, 32
_TITLE, _NEXT = "Suction under the slab", "next: where one more test hole tells most"
_ASSUMED = "A layer and a slab alike everywhere are assumed."
_LABEL_ROOM = 46  # px between a label on a line and whatever else is there
_ROUND_LENGTHS = {"us": ("ft", (1, 2, 5, 10, 20, 50)), "metric": ("m", (0.5, 1, 2, 5, 10, 20))}


def slab_map(
    found: SuctionMap,
    sources: Sequence[Source],
    *,
    target: float,
    holes: Sequence[Reading] = (),
    next_hole: Point | None = None,
    house_pull: float | None = None,
    called: Sequence[str] = (),
    system: System = "us",
    name: str = "slab-map",
) -> str:
    """The map as SVG. `target` Pa is the suction that is asked for everywhere, above zero; places are in metres.

    `house_pull` Pa is the suction of the house itself at its slab, on a cold day say: what the system has to beat.
    `called` names the sources in their order; without it they are called what they are.
    """
    name = escape(name, quote=True)
    made = _Map(found, tuple(sources), target, tuple(holes), next_hole, house_pull, system, name, tuple(called))
    return made.svg()


def slab_words(
    found: SuctionMap,
    sources: Sequence[Source],
    *,
    target: float,
    holes: Sequence[Reading] = (),
    next_hole: Point | None = None,
    house_pull: float | None = None,
    called: Sequence[str] = (),
    system: System = "us",
) -> str:
    """The same in words."""
    return _Map(found, tuple(sources), target, tuple(holes), next_hole, house_pull, system, "", tuple(called)).words()


@dataclass(frozen=True)
class _Band:
    low: float
    high: float
    colour: str
    hatch: str
    words: str


@dataclass(frozen=True)
class _Map:
    found: SuctionMap
    sources: tuple[Source, ...]
    target: float
    holes: tuple[Reading, ...]
    next_hole: Point | None
    house_pull: float | None
    system: System
    name: str
    called: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not (self.target > 0 and math.isfinite(self.target)):
            raise ValueError(f"the target is {self.target:g} Pa; it must be above zero")

    # ---- what is said

    def suction(self, value: float) -> str:
        return decimal(value, term("field_suction").unit(self.system), 3)

    def area(self, value: float) -> str:
        return decimal(value, term("slab_area").unit(self.system), 3)

    @cached_property
    def bands(self) -> list[_Band]:
        """Those that occur, from the least."""
        levels = [-math.inf, 0.0, *(step * self.target for step in STEPS), math.inf]
        said = [
            "below 0: soil air still comes up",
            f"0 to {self.suction(self.target)}: too little",
            *(f"{self.suction(low)} to {self.suction(high)}" for low, high in pairwise(levels[2:-1])),
            f"above {self.suction(levels[-2])}",
        ]
        said[2] = f"{said[2]}: enough"
        hatches = ["dots", "lines", *[""] * 4]
        least, most = float(np.nanmin(self.found.suction)), float(np.nanmax(self.found.suction))
        return [
            _Band(low, high, colour, hatch, words)
            for low, high, colour, hatch, words in zip(levels[:-1], levels[1:], _COLOURS, hatches, said, strict=True)
            if high > least and low < most
        ]

    @cached_property
    def summary(self) -> list[str]:
        share = self.found.share_reaching(self.target)
        _, least = self.found.weakest()
        return [
            f"{100 * share:.0f} % of the slab, {self.area(share * self.found.footprint.area)}, has the target of "
            f"{self.suction(self.target)} or more.",
            f"The least, at the cross, is {self.suction(least)}.",
        ]

    def named_sources(self) -> Iterator[str]:
        for number, source in enumerate(self.sources, 1):
            kind = "pit" if isinstance(source, Pit) else "loop of drain" if source.closed else "drain"
            name = self.called[number - 1] if self.called else kind
            yield f"{number} {name}: {self.suction(source.suction)}"

    def named_holes(self) -> Iterator[str]:
        for letter, hole in zip(_letters(), self.holes, strict=False):
            yield f"{letter} test hole: read {self.suction(hole.suction)}"

    def words(self) -> str:
        corners = np.ptp(np.array(self.found.footprint.corners), axis=0)
        length = term("leakage_length").unit(self.system)
        inside = self.found.suction[np.isfinite(self.found.suction)]
        shares = [
            f"{b.words}, {100 * np.mean((inside >= b.low) & (inside < b.high)):.0f} % of the slab" for b in self.bands
        ]
        extra = ["The place where the next test hole teaches most is marked."] if self.next_hole else []
        return " ".join(
            [
                f"Plan of the slab, {decimal(corners[0], length, 3)} by {decimal(corners[1], length, 3)}, "
                f"{self.area(self.found.footprint.area)}, with the suction under it.",
                *self.summary,
                f"Bands: {'; '.join(shares)}.",
                f"Sources: {'; '.join(self.named_sources())}.",
                *([f"Test holes: {'; '.join(self.named_holes())}."] if self.holes else []),
                *extra,
                *(f"{words}." for words in self.pull_words),
            ]
        )

    @property
    def pull_words(self) -> list[str]:
        """How the suction stands to that of the house; nothing where that is not known."""
        if self.house_pull is None:
            return []
        pull = self.suction(self.house_pull)
        if self.pull_is_drawn:
            return [f"Dashed: {pull}, the house's own pull"]
        _, least = self.found.weakest()
        return [f"House's own pull {pull}: {'less' if least > self.house_pull else 'more'} everywhere"]

    @property
    def pull_is_drawn(self) -> bool:
        """Whether some of the slab has more suction than the house's own and some less."""
        suction = self.found.suction
        return self.house_pull is not None and float(np.nanmin(suction)) < self.house_pull < float(np.nanmax(suction))

    # ---- what is drawn

    @cached_property
    def scale(self) -> float:
        width, height = np.ptp(np.array(self.found.footprint.corners), axis=0)
        return float(min(_PLAN_WIDTH / width, _MOST_HEIGHT / height))

    def place(self, point: Point | np.ndarray) -> tuple[float, float]:
        corners = np.array(self.found.footprint.corners)
        left, top = corners[:, 0].min(), corners[:, 1].max()
        return _MARGIN + (point[0] - left) * self.scale, _MARGIN + (top - point[1]) * self.scale

    def path(self, points: Sequence[Point] | np.ndarray, close: bool) -> str:
        places = [f"{x:.1f} {y:.1f}" for x, y in map(self.place, points)]
        kept = [place for i, place in enumerate(places) if i == 0 or place != places[i - 1]]
        return f"M{'L'.join(kept)}{'Z' if close else ''}"

    def svg(self) -> str:
        plan_width, plan_height = np.ptp(np.array(self.found.footprint.corners), axis=0) * self.scale
        left = plan_width + 2 * _MARGIN + 8
        side = list(self.side(left))
        height = max(plan_height + 118, _LINE * len(side) + 2 * _MARGIN)
        below = max(_MARGIN + lettering.width(words, TEXT_SIZE) for words in (*self.summary, _ASSUMED))
        width = max(left + self.side_width, below) + _MARGIN
        outline = self.path(self.found.footprint.corners, close=True)
        return "\n".join(
            [
                f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {width:.0f} {height:.0f}' role='img' "
                f"aria-labelledby='{self.name}-title' font-family='{_FONTS}' font-size='{TEXT_SIZE}'>",
                f"<title id='{self.name}-title'>{_TITLE}</title>",
                self.patterns(outline),
                f"<g clip-path='url(#{self.name}-slab)'>",
                *self.fills(),
                "</g>",
                *self.contours(),
                f"<path d='{outline}' fill='none' stroke='{INK}' stroke-width='2.5' stroke-linejoin='round'/>",
                *self.marks(),
                *side,
                *self.below(plan_height + _MARGIN),
                "</svg>",
            ]
        )

    def patterns(self, outline: str) -> str:
        return f"""<defs><clipPath id='{self.name}-slab'><path d='{outline}'/></clipPath>
<pattern id='{self.name}-lines' width='8' height='8' patternUnits='userSpaceOnUse' patternTransform='rotate(45)'>
<path d='M0 4H8' stroke='{WARN}' stroke-width='1' stroke-opacity='0.55'/></pattern>
<pattern id='{self.name}-dots' width='9' height='9' patternUnits='userSpaceOnUse'>
<circle cx='4.5' cy='4.5' r='1.7' fill='{WARN}'/></pattern></defs>"""

    @cached_property
    def contoured(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """The grid carried on to the slab's edge and a little beyond, so that bands end at the outline and not before."""
        suction = self.found.suction
        if np.any(outside := ~np.isfinite(suction)):
            from scipy.ndimage import distance_transform_edt  # long to load, and a rectangle needs none

            suction = suction[tuple(distance_transform_edt(outside, return_distances=False, return_indices=True))]
        filled = np.pad(suction, 1, mode="edge")
        x, y = (
            np.concatenate([[axis[0] - (axis[1] - axis[0])], axis, [axis[-1] + (axis[1] - axis[0])]])
            for axis in (self.found.x, self.found.y)
        )
        return x, y, filled

    def fills(self) -> Iterator[str]:
        x, y, z = self.contoured
        made: Any = contour_generator(x, y, z, fill_type=FillType.OuterOffset)
        for band in self.bands:
            low, high = max(band.low, float(z.min()) - 1), min(band.high, float(z.max()) + 1)
            rings = [
                points[start:end]
                for points, offsets in zip(*made.filled(low, high), strict=True)
                for start, end in pairwise(offsets)
            ]
            shape = "".join(self.path(ring, close=True) for ring in rings)
            yield f"<path d='{shape}' fill='{band.colour}' fill-rule='evenodd'/>"
            if band.hatch:
                yield f"<path d='{shape}' fill='url(#{self.name}-{band.hatch})' fill-rule='evenodd'/>"

    def contours(self) -> Iterator[str]:
        """Lines between bands, that of the target heaviest, each with its suction where there is room."""
        x, y, z = self.contoured
        made: Any = contour_generator(x, y, z, line_type=LineType.Separate)
        taken = [self.place(at) for at in self._points()]
        labels = []
        for band in self.bands[1:]:
            lines = made.lines(band.low)
            heavy = band.low == self.target
            shape = "".join(self.path(line, close=False) for line in lines)
            look = f"stroke='{INK}' stroke-width='{2.4 if heavy else 0.9}'"
            yield f"<path d='{shape}' fill='none' {look} clip-path='url(#{self.name}-slab)'/>"
            text = f"target {self.suction(band.low)}" if heavy else self.suction(band.low)
            spot = self._free(
                [self.place(point) for line in lines for point in line if self._well_inside(point)], taken
            )
            if spot:
                taken.append(spot)
                # On a slab narrower than the words they keep on the paper.
                labels.append(_text(max(spot[0], 4.3 * len(text)), spot[1], text, INK, "middle", bold=heavy))
        if self.pull_is_drawn:
            shape = "".join(self.path(line, close=False) for line in made.lines(self.house_pull))
            look = f"stroke='{WARN}' stroke-width='2' stroke-dasharray='7 4'"
            yield f"<path d='{shape}' fill='none' {look} clip-path='url(#{self.name}-slab)'/>"
        yield from labels

    def _points(self) -> list[Point]:
        """Everything that is marked on the plan."""
        drains = [point for s in self.sources if isinstance(s, Drain) for point in s.points]
        marked = [self.next_hole] if self.next_hole else []
        pits = [source.at for source in self.sources if isinstance(source, Pit)]
        return [*pits, *drains, *(hole.at for hole in self.holes), *marked, self.found.weakest()[0]]

    def _well_inside(self, point: np.ndarray) -> bool:
        at = (float(point[0]), float(point[1]))
        room = self.found.footprint.distance(at) * self.scale
        return bool(self.found.footprint.holds(point[:1], point[1:])[0]) and room > _LABEL_ROOM

    @staticmethod
    def _free(
        places: Sequence[tuple[float, float]], taken: Sequence[tuple[float, float]]
    ) -> tuple[float, float] | None:
        """The place farthest from everything that is there, if there is room at it; words are wide and low."""
        rooms = [min((math.hypot((x - a) / 1.6, y - b) for a, b in taken), default=math.inf) for x, y in places]
        best = int(np.argmax(rooms)) if rooms else 0
        return places[best] if rooms and rooms[best] * 1.6 > _LABEL_ROOM else None

    def marks(self) -> Iterator[str]:
        for number, source in enumerate(self.sources, 1):
            if isinstance(source, Drain):
                shape = self.path(source.points, close=source.closed)
                yield f"<path d='{shape}' fill='none' stroke='#ffffff' stroke-width='6' stroke-linejoin='round'/>"
                yield (
                    f"<path d='{shape}' fill='none' stroke='{ACCENT}' stroke-width='3.4' stroke-dasharray='9 4' "
                    "stroke-linejoin='round'/>"
                )
                (x, y), radius = self.place(source.points[0]), 6.0
            else:
                x, y = self.place(source.at)
                radius = max(source.radius * self.scale, 6)
                yield f"<circle cx='{x:.1f}' cy='{y:.1f}' r='{radius:.1f}' fill='#ffffff' stroke='{ACCENT}' stroke-width='3'/>"
                yield f"<circle cx='{x:.1f}' cy='{y:.1f}' r='2.2' fill='{ACCENT}'/>"
            yield self._beside(x, y, str(number), ACCENT, away=radius + 5)
        for letter, hole in zip(_letters(), self.holes, strict=False):
            x, y = self.place(hole.at)
            yield f"<circle cx='{x:.1f}' cy='{y:.1f}' r='4' fill='{INK}' stroke='#ffffff' stroke-width='1.5'/>"
            yield self._beside(x, y, letter, INK)
        if self.next_hole:
            x, y = self.place(self.next_hole)
            diamond = f"M{x:.1f} {y - 8:.1f}l8 8l-8 8l-8 -8z"
            yield f"<path d='{diamond}' fill='#ffffff' stroke='{INK}' stroke-width='2'/>"
            yield self._beside(x, y, "next", INK)
        x, y = self.place(self.found.weakest()[0])
        cross = f"M{x - 6:.1f} {y - 6:.1f}l12 12m0 -12l-12 12"
        yield f"<path d='{cross}' stroke='#ffffff' stroke-width='5'/><path d='{cross}' stroke='{WARN}' stroke-width='2.4'/>"

    def _beside(self, x: float, y: float, words: str, colour: str, away: float = 12) -> str:
        """Words to the right of a mark, or to the left where the slab ends."""
        corners = np.array(self.found.footprint.corners)
        right = x + away + 9 * len(words) + 8 < self.place(corners.max(axis=0))[0]
        return _text(x + away if right else x - away, y + 5, words, colour, "start" if right else "end", bold=True)

    def side(self, left: float) -> Iterator[str]:
        """Bands from the most suction down, sources, holes, the meaning of marks; a line each."""
        row = _MARGIN + 12.0
        yield _text(left, row, _TITLE, INK, "start", bold=True)
        for band in reversed(self.bands):
            row += _LINE
            box = f"x='{left:.0f}' y='{row - 12:.1f}' width='24' height='14'"
            fills = [band.colour, *([f"url(#{self.name}-{band.hatch})"] if band.hatch else [])]
            boxes = "".join(f"<rect {box} fill='{fill}' stroke='{INK}' stroke-width='0.8'/>" for fill in fills)
            yield boxes + _text(left + _SWATCH, row, band.words, INK, "start")
        row += _LINE / 2
        for words in [*self.named_sources(), *self.named_holes()]:
            row += _LINE
            yield _text(left, row, words, INK, "start")
        if self.next_hole:
            row += _LINE
            yield _text(left, row, _NEXT, INK, "start")
        for words in self.pull_words:
            row += _LINE
            yield _text(left, row, words, INK, "start")

    @property
    def side_width(self) -> float:
        """How wide the words at the side are."""
        plain = [*self.named_sources(), *self.named_holes(), *self.pull_words, *([_NEXT] if self.next_hole else [])]
        said = [lettering.width(words, TEXT_SIZE) for words in plain]
        said += [_SWATCH + lettering.width(band.words, TEXT_SIZE) for band in self.bands]
        return max(*said, lettering.width(_TITLE, TEXT_SIZE, bold=True))

    def below(self, top: float) -> Iterator[str]:
        """A scale bar, and how much of the slab has the target."""
        unit, rounds = _ROUND_LENGTHS[self.system]
        widest = float(to_unit(150 / self.scale, unit))
        size = max((r for r in rounds if r <= widest), default=rounds[0])
        length = float(from_unit(float(size), unit)) * self.scale
        row = top + 26
        bar = f"M{_MARGIN} {row - 5:.1f}v5h{length:.1f}v-5"
        yield f"<path d='{bar}' fill='none' stroke='{INK}' stroke-width='1.6'/>"
        yield _text(_MARGIN + length + 8, row, f"{size:g} {unit}", INK, "start")
        for words in self.summary:
            row += _LINE + 2
            yield _text(_MARGIN, row, words, INK, "start")
        yield _text(_MARGIN, row + _LINE, _ASSUMED, PALE, "start")


def _letters() -> Iterator[str]:
    """A to Z, then AA, AB and on."""
    alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    yield from alphabet
    for first in alphabet:
        yield from (first + second for second in alphabet)


def _text(x: float, y: float, words: str, colour: str, anchor: str, bold: bool = False) -> str:
    halo = "paint-order='stroke' stroke='#ffffff' stroke-width='3.5' stroke-linejoin='round'"
    weight = " font-weight='600'" if bold else ""
    return f"<text x='{x:.1f}' y='{y:.1f}' text-anchor='{anchor}' fill='{colour}' {halo}{weight}>{escape(words)}</text>"
