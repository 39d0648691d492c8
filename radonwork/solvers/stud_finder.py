"""Where the studs of a wall are likely to be: what is known of the wall beforehand, and what each probe says.

A layout is a spacing and a start that nobody knows. About each of its marks at most one stud stands: near the mark,
or moved, or not there at all. Framing that is known for itself (the posts of a corner, the studs beside an opening, the
backing of a partition) stands about its own place, and a stud of the layout that would fall there is left out. So for
one layout every piece is independent of the others, no tool touches two of them, and the probability of each layout
and of each place of each of its pieces follows from Bayes' rule exactly, on cells of 3 mm; nothing is sampled.

Places are metres along the wall from its left end.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import Literal

import numpy as np

from radonwork.engine.refusals import Refusal
from radonwork.units import decimal

CELL = 0.003  # m
APART = 0.0254  # m, one inch: no two pieces stand nearer to each other, and no tool that reads them is wider
LONGEST = 20.0  # m of wall
MOST_PROBES = 500
WIDEST = 2.032  # m between studs that are looked for: three times what is usual, a choice
_SURE = 1e300  # odds beyond which no further reading makes a difference
Reading = Literal["wood", "nothing", "edge"]


class WallError(Refusal):
    """A wall or a probe that cannot be worked; one plain line."""


@dataclass(frozen=True)
class Layout:
    """Studs meant to stand `spacing` apart, centre to centre. `start` is the mark of one of them, right to `start_error`."""

    spacing: float
    weight: float = 1.0
    start: float | None = None
    start_error: float = 0.0


@dataclass(frozen=True)
class Piece:
    """Framing with a place of its own, anywhere within `centre` ± `error`, and there with this probability."""

    centre: float
    error: float
    thickness: float
    presence: float = 1.0


@dataclass(frozen=True)
class Box:
    """A box in the wall: with the probability `nailed` one of its two sides lies against a stud, to ± `error`."""

    left: float
    right: float
    error: float
    nailed: float


@dataclass(frozen=True)
class Probe:
    """What a tool `width` wide found at a place, and how often such a reading is false."""

    at: float
    found: Reading
    width: float
    false: float


@dataclass(frozen=True)
class Wall:
    """What is known of a wall before it is probed. `clear` are stretches in which no stud stands: an opening's inside.

    A stud of the layout stands within `layout_error` (a standard deviation) of its mark, is moved to anywhere between
    the marks with the probability `moved`, and is not there with the probability `missing`.
    """

    length: float
    thickness: float
    layouts: tuple[Layout, ...]
    pieces: tuple[Piece, ...] = ()
    boxes: tuple[Box, ...] = ()
    clear: tuple[tuple[float, float], ...] = ()
    layout_error: float = 0.00635
    moved: float = 0.05
    missing: float = 0.02

    def __post_init__(self) -> None:
        if not 4 * self.thickness < self.length <= LONGEST:
            raise WallError(
                f"a wall is longer than four studs are thick and at most 65 ft ({LONGEST:g} m); correct its length"
            )
        for one, other in pairwise(sorted(self.pieces, key=lambda piece: piece.centre)):
            if other.centre - one.centre < one.error + other.error + (one.thickness + other.thickness) / 2:
                near, far = (f"{decimal(c, 'in', 3)} ({decimal(c, 'mm', 4)})" for c in (one.centre, other.centre))
                raise WallError(
                    f"two pieces of framing, {near} and {far} from the left end, may overlap; write them as one, or state "
                    "their places closer"
                )
        if self.layout_error < CELL:
            raise WallError(f"studs are set to no better than {CELL * 1000:g} mm; correct the layout's error")
        for layout in self.layouts:
            if layout.spacing <= 2 * (self.thickness + APART):
                raise WallError(
                    "the studs stand so near to each other that none can be told apart; correct the spacing"
                )
            if layout.spacing > WIDEST:
                raise WallError(f"studs stand no more than 80 in ({WIDEST:g} m) apart; correct the spacing")


@dataclass(frozen=True)
class Place:
    """A place with the range that holds it nine times in ten, and the probability that there is one at all."""

    at: float
    low: float
    high: float
    presence: float


@dataclass(frozen=True)
class NextProbe:
    """A place worth probing, and what one reading there is expected to tell, in bits."""

    at: float
    bits: float


# ---------------------------------------------------------------- before any probe


@dataclass(frozen=True)
class _Family:
    """One spacing at every start: rows are starts, columns cells. `first` are the cells at which windows begin."""

    weights: np.ndarray
    density: np.ndarray
    absent: np.ndarray
    first: np.ndarray
    window: np.ndarray
    spacing: float


def _cells(length: float) -> np.ndarray:
    count = round(length / CELL)
    return (np.arange(count) + 0.5) * (length / count)


def _share(distance: np.ndarray, reach: float, cell: float) -> np.ndarray:
    """Share of each cell that lies nearer than `reach`, for the distances of the cells' middles."""
    return np.clip((reach - distance) / cell + 0.5, 0.0, 1.0)


@lru_cache(maxsize=8)
def _families(wall: Wall) -> tuple[_Family, ...]:
    x = _cells(wall.length)
    cell = x[1] - x[0]
    # No layout stud beyond the ends, inside an opening, or where other framing may stand.
    half = wall.thickness / 2
    free = (x > half) & (x < wall.length - half)
    for low, high in wall.clear:
        free &= (x < low - half) | (x > high + half)
    for piece in wall.pieces:
        free &= np.abs(x - piece.centre) > piece.error + piece.thickness / 2 + half + APART
    total = sum(layout.weight for layout in wall.layouts)
    return tuple(_family(wall, layout, layout.weight / total, x, cell, free) for layout in wall.layouts)


def _family(wall: Wall, layout: Layout, weight: float, x: np.ndarray, cell: float, free: np.ndarray) -> _Family:
    s = layout.spacing
    starts = max(24, round(s / wall.layout_error))
    start = (np.arange(starts) + 0.5) * s / starts
    windows = np.rint((x - start[:, np.newaxis]) / s).astype(np.intp)
    away = np.abs(x - start[:, np.newaxis] - windows * s)
    windows -= windows[:, :1]
    reach = (s - wall.thickness - APART) / 2
    inside = _share(away, reach, cell)
    near = np.exp(-0.5 * (away / wall.layout_error) ** 2) * inside
    # Every mark has the same stud about it, so one whole window says how much stands there.
    ruler = np.abs(np.arange(-s, s, cell))
    norm = float((np.exp(-0.5 * (ruler / wall.layout_error) ** 2) * _share(ruler, reach, cell)).sum())
    moved = inside * cell / (2 * reach)
    density = (1 - wall.missing) * ((1 - wall.moved) * near / norm + wall.moved * moved) * free
    count = int(windows.max()) + 2
    first = np.array([np.searchsorted(row, np.arange(count + 1)) for row in windows])
    absent = 1.0 - _in_windows(_cumulative(density), first)
    return _Family(weight * _of_starts(layout, start), density, np.maximum(absent, 0.0), first, windows, s)


def _of_starts(layout: Layout, start: np.ndarray) -> np.ndarray:
    """Probability of each start; a stated one is believed four times in five, since the tape may begin elsewhere."""
    even = np.full(len(start), 1 / len(start))
    if layout.start is None:
        return even
    away = np.abs((start - layout.start + layout.spacing / 2) % layout.spacing - layout.spacing / 2)
    error = max(layout.start_error, layout.spacing / len(start) / 2)
    told = np.exp(-0.5 * (away / error) ** 2)
    return 0.2 * even + 0.8 * told / told.sum()


def _cumulative(density: np.ndarray) -> np.ndarray:
    """Sums of all cells before each edge, one column more than there are cells."""
    found = np.zeros((*density.shape[:-1], density.shape[-1] + 1))
    np.cumsum(density, axis=-1, out=found[..., 1:])
    return found


def _in_windows(cumulative: np.ndarray, first: np.ndarray) -> np.ndarray:
    ends: np.ndarray = np.take_along_axis(cumulative, first, axis=1)
    return np.diff(ends, axis=1)


# ---------------------------------------------------------------- what probes and boxes say


def _said(wall: Wall, probes: tuple[Probe, ...], x: np.ndarray, thickness: float, spacing: float) -> np.ndarray:
    """How much likelier everything that was read is with a piece centred on each cell than with none in reach."""
    cell, factor = x[1] - x[0], np.ones(len(x))
    for probe in probes:
        away = np.abs(x - probe.at)
        touched = _share(away, (thickness + probe.width) / 2, cell)
        whole = _share(away, (thickness - probe.width) / 2, cell)
        on_face, within = _ratios(probe)
        factor *= 1 + (touched - whole) * (on_face - 1) + whole * (within - 1)
        factor = np.clip(factor, 1 / _SURE, _SURE)
    for box in wall.boxes:
        # Against either side, anywhere within the error; beside it stands that the box is hung on no stud.
        sides = (box.left - thickness / 2, box.right + thickness / 2)
        reach = max(box.error, cell)
        beside = sum(_share(np.abs(x - side), reach, cell) for side in sides) / (2 * reach)
        factor = np.clip(factor * (1 + box.nailed / (1 - box.nailed) * spacing / 2 * beside), 1 / _SURE, _SURE)
    return factor


def _ratios(probe: Probe) -> tuple[float, float]:
    """Likelihood of the reading with the tool on a face, and wholly on wood, each over that with no wood there.

    A tool that tells wood from nothing is right on a face as on wood; one that tells an edge hears no edge in wood.
    """
    right = (1 - probe.false) / probe.false
    match probe.found:
        case "wood":
            return right, right
        case "edge":
            return right, 1.0
        case "nothing":
            return 1 / right, 1 / right


def find(wall: Wall, probes: tuple[Probe, ...] = ()) -> "Studs":
    """Where the studs are after these probes. Raises WallError, one line, for what cannot be worked."""
    if len(probes) > MOST_PROBES:
        raise WallError(f"more than {MOST_PROBES} probes; leave some out")
    for number, probe in enumerate(probes, 1):
        if not 0 <= probe.at <= wall.length:
            raise WallError(f"probe {number} lies beyond the wall's ends; correct its place or the wall's length")
        if not 0 <= probe.width <= APART:
            raise WallError(f"probe {number}: a tool wider than 1 in (25.4 mm) tells no stud from its neighbour")
        if not 0 < probe.false < 0.5:
            raise WallError(f"probe {number}: a share of false readings lies above 0 and below a half")
    x = _cells(wall.length)
    told = [_after(family, _said(wall, probes, x, wall.thickness, family.spacing)) for family in _families(wall)]
    top = max(float(logs.max()) for logs, _ in told)
    shares = [np.exp(logs - top) for logs, _ in told]
    total = sum(float(share.sum()) for share in shares)
    layouts = tuple(
        _Posterior(share / total, density, family)
        for share, (_, density), family in zip(shares, told, _families(wall), strict=True)
    )
    masses = tuple(_piece(wall, piece, probes, x) for piece in wall.pieces)
    return Studs(wall, x, layouts, masses)


def _after(family: _Family, factor: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Logarithm of each start's weight, and the density of centres by start."""
    density = family.density * factor
    whole = family.absent + _in_windows(_cumulative(density), family.first)
    with np.errstate(divide="ignore"):
        logs = np.log(family.weights) + np.log(whole).sum(axis=1)
    density /= np.take_along_axis(whole, family.window, axis=1)
    return logs, density


def _piece(wall: Wall, piece: Piece, probes: tuple[Probe, ...], x: np.ndarray) -> np.ndarray:
    """Probability of each cell to hold the centre of a piece."""
    cell = x[1] - x[0]
    place = _share(np.abs(x - piece.centre), max(piece.error, cell / 2), cell)
    if not place.any():
        raise WallError("framing with a place of its own lies beyond the wall's ends; correct its place")
    mass = piece.presence * place / place.sum() * _said(wall, probes, x, piece.thickness, wall.layouts[0].spacing)
    return mass / (1 - piece.presence + mass.sum())


# ---------------------------------------------------------------- afterwards


@dataclass(frozen=True)
class _Posterior:
    """Weight of each start of one spacing, and for each the density of centres."""

    weights: np.ndarray
    density: np.ndarray
    family: _Family

    @cached_property
    def cumulative(self) -> np.ndarray:
        return _cumulative(self.density)

    @cached_property
    def mean(self) -> np.ndarray:
        found: np.ndarray = self.weights @ self.density
        return found

    def by_window(self, low: int, high: int) -> np.ndarray:
        """Probability, by start and window, that the window's stud is centred on the cells from `low` up to `high`."""
        return _in_windows(self.cumulative, np.clip(self.family.first, low, high))


@dataclass(frozen=True)
class Studs:
    """Everything that is known of the studs; `x` are the middles of the cells."""

    wall: Wall
    x: np.ndarray
    layouts: tuple[_Posterior, ...] = field(repr=False)
    masses: tuple[np.ndarray, ...] = field(repr=False)

    @property
    def spacings(self) -> tuple[tuple[float, float], ...]:
        """Each spacing with its probability."""
        return tuple((layout.family.spacing, float(layout.weights.sum())) for layout in self.layouts)

    @cached_property
    def _layout(self) -> np.ndarray:
        """Probability of each cell to hold the centre of a stud of the layout."""
        found: np.ndarray = np.sum([layout.mean for layout in self.layouts], axis=0)
        return found

    @cached_property
    def _sums(self) -> tuple[tuple[float, np.ndarray], ...]:
        """Thickness, and sums of probability before each edge of a cell, of the layout's studs and of every piece."""
        pieces = [(piece.thickness, mass) for piece, mass in zip(self.wall.pieces, self.masses, strict=True)]
        return tuple((thick, _cumulative(mass)) for thick, mass in [(self.wall.thickness, self._layout), *pieces])

    @cached_property
    def _edges(self) -> np.ndarray:
        return np.linspace(0.0, self.wall.length, len(self.x) + 1)

    def wood(self, at: np.ndarray | float, width: float) -> np.ndarray:
        """Probability that a tool of this width touches wood at each of the places.

        Two pieces stand APART or more, so a wider tool may touch both; for it this is the most that it can be.
        """
        total = np.zeros(np.shape(at))
        for thickness, sums in self._sums:
            reach = (thickness + width) / 2
            total = total + np.interp(at + reach, self._edges, sums) - np.interp(at - reach, self._edges, sums)
        return np.clip(total, 0.0, 1.0)

    def clear(self, low: float, high: float) -> float:
        """Probability that no wood lies between two places."""
        others = 1.0
        for piece, mass in zip(self.wall.pieces, self.masses, strict=True):
            others *= 1 - float(mass[slice(*self._span(low, high, piece.thickness))].sum())
        return others * sum(float(layout.weights @ self._clear(layout, low, high)) for layout in self.layouts)

    def _clear(self, layout: _Posterior, low: float, high: float) -> np.ndarray:
        found: np.ndarray = np.prod(1 - layout.by_window(*self._span(low, high, self.wall.thickness)), axis=1)
        return found

    def _span(self, low: float, high: float, thickness: float) -> tuple[int, int]:
        """Cells whose centre puts a piece of this thickness between two places."""
        first, last = np.searchsorted(self.x, (low - thickness / 2, high + thickness / 2))
        return int(first), int(last)

    # ------------------------------------------------------------ the studs themselves

    def first_right_of(self, place: float) -> Place:
        """The centre of the first stud or post to the right of a place."""
        start = int(np.searchsorted(self.x, place))
        return _place(self.x[start:], self._first(start, right=True))

    def first_left_of(self, place: float) -> Place:
        """The centre of the first stud or post to the left of a place."""
        stop = int(np.searchsorted(self.x, place))
        return _place(self.x[:stop], self._first(stop, right=False)[::-1])

    def _first(self, start: int, right: bool) -> np.ndarray:
        """Probability of each cell, counted away from an edge of cells, to hold the first centre on that side of it."""
        found = none_of_layout = np.zeros(len(self.x) - start if right else start)
        for layout in self.layouts:
            first, window = layout.family.first, layout.family.window
            if right:
                density, edges, window = layout.density[:, start:], first - start, window[:, start:]
            else:  # the same, read backwards
                density, edges = layout.density[:, :start][:, ::-1], start - first[:, ::-1]
                window = first.shape[1] - 2 - window[:, :start][:, ::-1]
            passed = _cumulative(density)
            begun = np.take_along_axis(passed, np.clip(edges, 0, len(found)), axis=1)
            # Nothing in any window before this one, and nothing so far in this one.
            before = np.ones_like(begun[:, :-1])
            np.cumprod(1 - np.diff(begun[:, :-1], axis=1), axis=1, out=before[:, 1:])
            alone = np.take_along_axis(before, window, axis=1)
            so_far = passed[:, :-1] - np.take_along_axis(begun, window, axis=1)
            found = found + layout.weights @ (density * alone)
            none_of_layout = none_of_layout + layout.weights @ (alone * (1 - so_far))
        masses = [mass[start:] if right else mass[:start][::-1] for mass in self.masses]
        none = [1 - _cumulative(mass)[:-1] for mass in masses]
        found = found * np.prod(none, axis=0) if none else found
        for number, mass in enumerate(masses):
            others = [one for other, one in enumerate(none) if other != number]
            found = found + mass * none_of_layout * (np.prod(others, axis=0) if others else 1.0)
        return found

    def places(self, least: float = 0.75) -> tuple[Place, ...]:
        """The likely studs and posts from left to right: where at least `least` of one is expected close by.

        Close by is nearer than a third of the narrowest spacing; `presence` is how many are expected there, of which the
        range holds nine tenths.
        """
        return tuple(sorted(self._places(least), key=lambda place: place.at))

    def _places(self, least: float) -> Iterator[Place]:
        centres = np.sum([self._layout, *self.masses], axis=0)
        sums = _cumulative(centres)
        reach = self.wall.thickness / 2
        crowd = np.interp(self.x + reach, self._edges, sums) - np.interp(self.x - reach, self._edges, sums)
        close = round(min(layout.spacing for layout in self.wall.layouts) / 3 / (self.x[1] - self.x[0]))
        while crowd.max() > 1e-6:
            peak = int(np.argmax(crowd))
            here = slice(max(peak - close, 0), peak + close + 1)
            found = _place(self.x[here], np.where(crowd[here] >= 0, centres[here], 0.0))
            if found.presence >= least:
                yield found
            crowd[here] = -1.0  # taken, and told once

    # ------------------------------------------------------------ where to probe next

    def bits(self, width: float, false: float) -> np.ndarray:
        """What one reading at each cell is expected to tell of all the studs, in bits.

        That is the information the reading shares with them: the doubt about the reading, less the doubt that its own
        falseness leaves.
        """
        wood = self.wood(self.x, width)
        return _doubt(wood * (1 - false) + (1 - wood) * false) - float(_doubt(np.array(false)))

    def bits_about(self, low: float, high: float, width: float, false: float) -> np.ndarray:
        """What one reading at each cell is expected to tell of whether it is clear between two places, in bits."""
        wood, clear = self.wood(self.x, width), self.clear(low, high)
        both = np.clip(self._wood_and_clear(low, high, width), 0.0, np.minimum(wood, clear))
        left = np.maximum(wood - both, 0.0)

        def heard(wood_there: np.ndarray, all_there: float) -> np.ndarray:
            return wood_there * (1 - false) + (all_there - wood_there) * false

        given = sum(
            share * _doubt(heard(part, share) / share)
            for part, share in ((both, clear), (left, 1 - clear))
            if share > 1e-12
        )
        return np.maximum(_doubt(heard(wood, 1.0)) - given, 0.0)

    def _wood_and_clear(self, low: float, high: float, width: float) -> np.ndarray:
        """Probability at each cell that a tool there touches wood while it is clear between two places."""
        none = 1.0
        pieces = []
        for piece, mass in zip(self.wall.pieces, self.masses, strict=True):
            first, last = self._span(low, high, piece.thickness)
            within = float(mass[first:last].sum())
            beside = mass.copy()
            beside[first:last] = 0.0
            pieces.append((self._touching(beside, (piece.thickness + width) / 2), 1 - within))
            none *= 1 - within
        first, last = self._span(low, high, self.wall.thickness)
        found, clear_of_layout = np.zeros(len(self.x)), 0.0
        for layout in self.layouts:
            windows = layout.by_window(first, last)
            clear = np.prod(1 - windows, axis=1)
            beside = layout.density.copy()
            beside[:, first:last] = 0.0
            scaled = beside * np.take_along_axis(
                clear[:, np.newaxis] / np.maximum(1 - windows, 1e-12), layout.family.window, axis=1
            )
            found += self._touching(layout.weights @ scaled, (self.wall.thickness + width) / 2)
            clear_of_layout += float(layout.weights @ clear)
        found *= none
        for touching, absent in pieces:
            found += touching * clear_of_layout * none / max(absent, 1e-12)
        return found

    def _touching(self, mass: np.ndarray, reach: float) -> np.ndarray:
        sums = _cumulative(mass)
        found: np.ndarray = np.interp(self.x + reach, self._edges, sums) - np.interp(self.x - reach, self._edges, sums)
        return found

    def best(self, bits: np.ndarray, within: tuple[tuple[float, float], ...] = ()) -> NextProbe:
        """The cell at which `bits` is largest, in the stretches `within` if any are named."""
        allowed = np.ones(len(self.x), dtype=bool)
        if within:
            allowed = np.any([(self.x >= low) & (self.x <= high) for low, high in within], axis=0)
        for low, high in self.wall.clear:
            allowed &= (self.x < low) | (self.x > high)
        if not allowed.any():
            raise WallError("the stretches named leave no place to probe; name others")
        told = np.where(allowed, bits, -1.0)
        # Of places that tell alike, as in a wall of which nothing is known yet, the middle one of the first row of them.
        alike = np.flatnonzero(told >= told.max() - 1e-9)
        row = alike[: 1 + int(np.argmax(np.diff(alike, append=alike[-1] + 2) > 1))]
        at = int(row[len(row) // 2])
        return NextProbe(float(self.x[at]), float(told[at]))


def _doubt(share: np.ndarray) -> np.ndarray:
    """Entropy of a yes or no, in bits."""
    p = np.clip(share, 1e-15, 1 - 1e-15)
    found: np.ndarray = -(p * np.log2(p) + (1 - p) * np.log2(1 - p))
    return found


def _place(x: np.ndarray, chance: np.ndarray) -> Place:
    """Median and the middle nine tenths, of those cases in which there is one."""
    presence = float(chance.sum())
    if presence < 1e-9 or len(x) < 2:
        return Place(float("nan"), float("nan"), float("nan"), 0.0)
    sums = np.cumsum(chance) / presence
    low, middle, high = np.interp((0.05, 0.5, 0.95), sums, x + (x[1] - x[0]) / 2)
    return Place(float(middle), float(low), float(high), presence)
