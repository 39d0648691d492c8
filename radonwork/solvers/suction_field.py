"""Suction under a slab of any outline, from pits and drains whose suctions are given.

The balance of the layer is linear, so the suctions of all sinks add up. Sinks are pits (K₀ around a point) and short
straight pieces of drain (K₀ along a line). The slab's edge is cut into pieces too, and enters by Green's formula: a piece
of sealed wall by the suction that stands along it, a piece of open edge by the air it lets in. All these unknowns follow
from one small linear system: the suction of every pit and drain, and Green's formula at every piece of the edge. What
that leaves out, on purpose:

- the layer and the slab are alike everywhere, and the air runs level in the layer;
- a drain keeps its suction along its length, and the entry into it costs nothing;
- a side of the slab is either sealed down to the bottom of the layer or open to air at the pressure of the rest;
- in clean stone the loss to inertia, which fades out over some metres, is taken as if it were all at the pit. Where the
  radius within which that loss is the larger stays below half a leakage length, the flow is so up to 15 % too small, the
  suction a metre from the pit up to three fifths too small, and that at three leakage lengths up to a fifth too large
  (against the whole law integrated around one pit). Where it does not, all that is rough.

The pieces are cut so finely that this is within half a hundredth of the largest suction; right at a wall within one, and
right at an inner corner where a sealed side meets an open one within two.

SI units throughout; places are (x, y) in metres; suctions are against the room above the slab.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import combinations, pairwise
from typing import Literal, TypeAlias, cast

import numpy as np

from radonwork.engine.formula import Values
from radonwork.formulas import soil

Point: TypeAlias = tuple[float, float]
Straight: TypeAlias = tuple[Point, Point]
Array: TypeAlias = np.ndarray
Walls = Literal["pieces", "images"]

_GAUSS, _WEIGHTS = np.polynomial.legendre.leggauss(4)
_NEAR = 1.5  # lengths of a piece within which it is not taken for two points
_LEAST = 1e-20  # of a squared distance; only so that it has a logarithm
_IMAGES_WITHIN = 12.0  # leakage lengths; what is left out then is a hundred thousandth of the pit's suction
_OUT_OF_REACH = 5.0  # leakage lengths from the nearest sink at which a wall hardly matters
_PER_DISTANCE = 1.4  # pieces in the distance of a straight from another sink
_EVEN, _FINER, _MOST = 10, 16, 60  # pieces of one straight: fewest if all alike, fewest if finer at its ends, most
_AT_ONCE = 8  # pieces whose squares to some thousand points a processor has at hand


@dataclass(frozen=True)
class Layer:
    """`transmissivity` m3/(s Pa) of the layer and its `leakage_length` m under this slab."""

    transmissivity: float
    leakage_length: float

    def __post_init__(self) -> None:
        for name in ("transmissivity", "leakage_length"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value > 0):
                raise ValueError(f"the layer's {name.replace('_', ' ')} is {value:g}; it must be above zero")


@dataclass(frozen=True)
class Pit:
    """A round pit under the slab. `inertial_resistance` Pa/(m3/s)2 is the loss near it in clean stone; see `inertia`."""

    at: Point
    radius: float
    suction: float
    inertial_resistance: float = 0.0


@dataclass(frozen=True)
class Drain:
    """A drain pipe along `points`, straight from each to the next, and back to the first if `closed`."""

    points: tuple[Point, ...]
    suction: float
    closed: bool = False

    @property
    def straights(self) -> list[Straight]:
        return list(pairwise((*self.points, self.points[0]) if self.closed else self.points))


Source: TypeAlias = Pit | Drain


@dataclass(frozen=True)
class Footprint:
    """The slab's outline by its corners in order. Sides in `open_sides` (from 0) are open, the others sealed."""

    corners: tuple[Point, ...]
    open_sides: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        if len(self.corners) < 3:
            raise ValueError(f"the slab's outline has {len(self.corners)} corners; it needs three or more")
        for (i, (a, b)), (j, (c, d)) in combinations(enumerate(self.sides), 2):
            if len({a, b, c, d}) == 4 and _cross(a, b, c, d):
                raise ValueError(f"the slab's outline crosses itself: side {i + 1} and side {j + 1}")
        if min(math.dist(a, b) for a, b in self.sides) == 0 or self.area == 0:
            raise ValueError("the slab's outline has a side of no length or no area")
        if unknown := [side for side in self.open_sides if not 0 <= side < len(self.corners)]:
            raise ValueError(f"the slab has no side {unknown[0] + 1} to be open")

    @property
    def sides(self) -> list[Straight]:
        return list(pairwise((*self.corners, self.corners[0])))

    @property
    def signed_area(self) -> float:
        """Positive where the corners run counterclockwise."""
        return sum(a[0] * b[1] - b[0] * a[1] for a, b in self.sides) / 2

    @property
    def area(self) -> float:
        return abs(self.signed_area)

    def holds(self, x: Array, y: Array) -> Array:
        """Whether points lie inside: a ray from each crosses the outline an odd number of times."""
        inside = np.zeros(np.broadcast_shapes(np.shape(x), np.shape(y)), dtype=bool)
        for (x0, y0), (x1, y1) in self.sides:
            if y0 != y1:
                inside ^= ((y0 > y) != (y1 > y)) & (x < (x1 - x0) * (y - y0) / (y1 - y0) + x0)
        return inside

    def distance(self, point: Point) -> float:
        """From a point to the nearest side."""
        return min(_distance(point, a, b) for a, b in self.sides)


def inertia(*, pit_radius: float, layer_thickness: Values, inertial_coefficient: Values, air_density: Values) -> Values:
    """`inertial_resistance` of a pit in clean stone, Pa/(m3/s)2: what the loss near it is for a flow of 1 m3/s."""
    return soil.pit_inertial_loss(
        pit_flow=1.0,
        pit_radius=pit_radius,
        layer_thickness=layer_thickness,
        inertial_coefficient=inertial_coefficient,
        air_density=air_density,
    )


@dataclass(frozen=True)
class SuctionField:
    """The suction that `sources` keep up under the slab. `flows` m3/s are drawn by each, in order.

    `drives` Pa is what each leaves to the layer of its suction against `rest`, once inertia near it has taken its share.
    """

    layer: Layer
    sources: tuple[Source, ...]
    footprint: Footprint | None
    rest: float
    flows: tuple[float, ...]
    inertial_losses: tuple[float, ...]
    drives: Array
    _response: "Response"

    def suction(self, x: Array | float, y: Array | float) -> Array:
        """Suction at points, Pa, in the shape of x and y together; not a number outside the footprint, a pit's own inside it."""
        shape = np.broadcast_shapes(np.shape(x), np.shape(y))
        x, y = np.atleast_1d(np.asarray(x, dtype=float)), np.atleast_1d(np.asarray(y, dtype=float))
        found = self.rest + self._response.field(self.drives, x, y)
        for source in self.sources:
            if isinstance(source, Pit):
                found[(x - source.at[0]) ** 2 + (y - source.at[1]) ** 2 < source.radius**2] = source.suction
        if self.footprint:
            found[~self.footprint.holds(x, y)] = np.nan
        return found.reshape(shape)

    def map(self, points: int = 100) -> "SuctionMap":
        """Suction on a grid of `points` by `points` over the footprint's rectangle, none of them on its edge."""
        if self.footprint is None:
            raise ValueError("a map wants the slab's outline")
        corners = np.array(self.footprint.corners)
        x, y = (
            low + (np.arange(points) + 0.5) * (high - low) / points
            for low, high in zip(corners.min(axis=0), corners.max(axis=0), strict=True)
        )
        return SuctionMap(self.footprint, x, y, self.suction(x[np.newaxis, :], y[:, np.newaxis]))


@dataclass(frozen=True)
class SuctionMap:
    """`suction` Pa at the grid of `x` (columns) and `y` (rows), not a number outside the footprint."""

    footprint: Footprint
    x: Array
    y: Array
    suction: Array

    def share_reaching(self, target: float) -> float:
        """Share of the slab with at least the target suction, to about one row of grid points in the length of its edge."""
        inside = np.isfinite(self.suction)
        return float(np.count_nonzero(self.suction[inside] >= target) / np.count_nonzero(inside))

    def area_reaching(self, target: float) -> float:
        """The same as an area, m2."""
        return self.share_reaching(target) * self.footprint.area

    def weakest(self) -> tuple[Point, float]:
        """The grid point with the least suction, and that suction."""
        row, column = np.unravel_index(np.nanargmin(self.suction), self.suction.shape)
        return (float(self.x[column]), float(self.y[row])), float(self.suction[row, column])


def suction_field(
    layer: Layer,
    sources: Sequence[Source],
    footprint: Footprint | None = None,
    *,
    rest: float = 0.0,
    walls: Walls = "pieces",
) -> SuctionField:
    """The field of pits and drains under a slab, or under a slab without end if no footprint is given.

    `rest` Pa is the suction that stands under the slab with the system off, open edges included: what was measured then,
    or `-soil.stack_suction(...)` for the worst a cold day does if all the soil's air comes from outdoors. `walls` may be
    "images" for a sealed rectangle along x and y: exact, but slow where the leakage length is much longer than the slab.
    Raises ValueError, one line, for sources that do not fit.
    """
    made = tuple(sources)
    response = respond(made, footprint, layer.leakage_length, walls)
    resistances = inertial_resistances(made)
    available = np.array([source.suction for source in made]) - rest
    drives = driven(layer.transmissivity * response.drawn, resistances, available)
    flows = layer.transmissivity * response.drawn @ drives
    return SuctionField(
        layer, made, footprint, rest, tuple(flows.tolist()), tuple((available - drives).tolist()), drives, response
    )


def inertial_resistances(sources: Sequence[Source]) -> Array:
    """Inertial resistance of each source, Pa/(m3/s)2; a drain has none."""
    return np.array([source.inertial_resistance if isinstance(source, Pit) else 0.0 for source in sources])


def driven(drawn: Array, resistances: Array, available: Array) -> Array:
    """What is left of the suctions for the field: available = drive + resistance · flow |flow|, flow = drawn · drive.

    `drawn` (… x n x n), `resistances` and `available` (… x n) may be of many variants at once.
    """
    shape = np.broadcast_shapes(drawn.shape[:-1], resistances.shape, available.shape)
    drives = np.broadcast_to(available, shape).copy()
    if not resistances.any():
        return drives
    enough = 1e-12 * np.max(np.abs(available), axis=-1)
    # Newton's method. From the start with no loss, where the flows are largest, it comes down to the root.
    for _ in range(50):
        flows = np.einsum("...ij,...j->...i", drawn, drives)
        missing = drives + resistances * flows * np.abs(flows) - available
        if np.all(np.max(np.abs(missing), axis=-1) <= enough):
            return drives
        slope = np.eye(shape[-1]) + (2 * resistances * np.abs(flows))[..., np.newaxis] * drawn
        drives = drives - np.linalg.solve(slope, missing[..., np.newaxis])[..., 0]
    raise ValueError("the losses near the pits do not settle for these values")


# ---------------------------------------------------------------- the linear system


def respond(
    sources: tuple[Source, ...], footprint: Footprint | None, leakage_length: float, walls: Walls = "pieces"
) -> "Response":
    """What each source does by itself; it is kept, since neither layer, suctions nor inertia change it."""
    alike = tuple(
        replace(source, suction=1.0, inertial_resistance=0.0)
        if isinstance(source, Pit)
        else replace(source, suction=1.0)
        for source in sources
    )
    return _respond(alike, footprint, leakage_length, walls)


@lru_cache(maxsize=128)
def _respond(
    sources: tuple[Source, ...], footprint: Footprint | None, leakage_length: float, walls: Walls
) -> "Response":
    _check(sources, footprint)
    images: tuple[_Mirror, ...] = (_Mirror((1.0, 1.0), (0.0, 0.0)),)
    sides: list[Straight] = []
    if footprint and walls == "images":
        images = _mirrors(footprint, _IMAGES_WITHIN * leakage_length)
    elif footprint:
        sides = footprint.sides if footprint.signed_area > 0 else [(b, a) for a, b in footprint.sides]
    return Response(sources, footprint, tuple(sides), images, leakage_length)


@dataclass(frozen=True)
class _Mirror:
    """A point as an image behind some walls sees it: its coordinates, each turned or not, and shifted."""

    sign: Point
    shift: Point

    def __call__(self, x: Array, y: Array) -> tuple[Array, Array]:
        return self.sign[0] * x + self.shift[0], self.sign[1] * y + self.shift[1]


def _mirrors(footprint: Footprint, within: float) -> tuple[_Mirror, ...]:
    """Every mirroring in the walls of a sealed rectangle that brings a point nearer than `within`."""
    corners = np.array(footprint.corners)
    low, high = corners.min(axis=0), corners.max(axis=0)
    square = len(corners) == 4 and {tuple(c) for c in corners} == {
        (x, y) for x in (low[0], high[0]) for y in (low[1], high[1])
    }
    if not square or footprint.open_sides:
        raise ValueError("walls can be mirrors only for a sealed rectangle whose sides run along x and y")
    along: list[list[Point]] = []
    for start, size in zip(low, high - low, strict=True):
        most = math.ceil(within / (2 * size))
        shifts = [2.0 * size * step for step in range(-most, most + 1)]
        along.append([(1.0, s) for s in shifts] + [(-1.0, 2 * start + s) for s in shifts])
    return tuple(_Mirror((sx, sy), (tx, ty)) for sx, tx in along[0] for sy, ty in along[1])


@dataclass(frozen=True)
class Response:
    """The field of each source for a drive of 1 Pa. Strengths are flow over transmissivity, so they too are in Pa."""

    sources: tuple[Source, ...]
    footprint: Footprint | None
    sides: tuple[Straight, ...]
    images: tuple[_Mirror, ...]
    leakage_length: float

    @cached_property
    def _pits(self) -> list[Pit]:
        return [source for source in self.sources if isinstance(source, Pit)]

    @cached_property
    def _drains(self) -> list[Straight]:
        return [straight for source in self.sources if isinstance(source, Drain) for straight in source.straights]

    @cached_property
    def _pieces(self) -> "_Pieces":
        """Pieces of all drains, then of all walls, the shorter the nearer other sinks are."""
        straights = [*self._drains, *self.sides]
        sinks = [*self._drains, *((pit.at, pit.at) for pit in self._pits)]
        # Sealed walls alone need no finer ends: the suction along them is smooth up to the corners.
        mixed = self.footprint is not None and bool(self.footprint.open_sides)
        cuts = []
        for number, straight in enumerate(straights):
            apart = [distance for sink in sinks if (distance := _apart(straight, sink)) > 0]
            nearest = min(apart, default=math.inf)
            size = nearest / _PER_DISTANCE
            if number < len(self._drains) or nearest < _OUT_OF_REACH * self.leakage_length:
                size = min(size, self.leakage_length / 2)
            cuts.append(_cut(*straight, size, finer_ends=mixed or number < len(self._drains)))
        return _Pieces(
            np.concatenate([np.empty((0, 2)), *(cut[:-1] for cut in cuts)]),
            np.concatenate([np.empty((0, 2)), *(cut[1:] for cut in cuts)]),
            np.repeat(np.arange(len(cuts)), [len(cut) - 1 for cut in cuts]),
        )

    @cached_property
    def _walls(self) -> Array:
        """Which pieces are of a wall."""
        return self._pieces.straight >= len(self._drains)

    @cached_property
    def _sealed(self) -> Array:
        """Which pieces are of a sealed wall."""
        opened = [len(self._drains) + side for side in self.footprint.open_sides] if self.footprint else []
        return self._walls & ~np.isin(self._pieces.straight, opened)

    @cached_property
    def _belongs(self) -> Array:
        """The source to which each unknown belongs: the pits', then those of the pieces; -1 for pieces of wall."""
        pits = [i for i, source in enumerate(self.sources) if isinstance(source, Pit)]
        drains = [i for i, source in enumerate(self.sources) if isinstance(source, Drain) for _ in source.straights]
        of_straight = np.array([*drains, *(-1 for _ in self.sides)], dtype=int)
        return np.concatenate([np.array(pits, dtype=int), of_straight[self._pieces.straight]])

    @cached_property
    def _unknowns(self) -> Array:
        """Strength of each pit and piece, or suction along a sealed wall (rows), for a drive of 1 Pa at each source."""
        pits, pieces = self._pits, self._pieces
        system = self._suctions(np.concatenate([np.array([pit.at for pit in pits]).reshape(-1, 2), pieces.middle]))
        rows = len(pits) + np.flatnonzero(self._sealed)
        system[rows, rows] -= 0.5  # Green's formula on the edge itself gives half the suction there
        wanted = (self._belongs[:, np.newaxis] == np.arange(len(self.sources))).astype(float)
        return np.linalg.solve(system, wanted)

    def at(self, places: Array) -> Array:
        """Suction at points (n x 2, rows) for a drive of 1 Pa at each source (columns)."""
        return self._suctions(places) @ self._unknowns

    @cached_property
    def drawn(self) -> Array:
        """Flow over transmissivity that each source (rows) draws for a drive of 1 Pa at each (columns)."""
        # A pit draws what comes through its wall, a little less than its sink: the slab over the pit leaks too.
        share = np.array([pit.radius / self.leakage_length for pit in self._pits])
        taken = np.ones(len(self._belongs))
        taken[: len(share)] = share * k1(share)
        return np.array([(taken * (self._belongs == i)) @ self._unknowns for i in range(len(self.sources))])

    def _suctions(self, at: Array) -> Array:
        """Suction at points (rows) by every unknown being one (columns), in full accuracy."""
        pits, pieces, length = self._pits, self._pieces, self.leakage_length
        total = np.zeros((len(at), len(self._belongs)))
        for mirror in self.images:
            x, y = mirror(at[:, 0], at[:, 1])
            for column, pit in enumerate(pits):
                total[:, column] += k0(np.maximum(np.hypot(x - pit.at[0], y - pit.at[1]), pit.radius) / length)
            for kind, exactly in ((~self._sealed, _Pieces.mean_k0), (self._sealed, _Pieces.pull_of_edge)):
                total[:, len(pits) + np.flatnonzero(kind)] += exactly(
                    pieces.only(kind), x[:, np.newaxis], y[:, np.newaxis], length
                )
        return total / (2 * np.pi)

    def field(self, drives: Array, x: Array, y: Array) -> Array:
        """Suction at points for these drives of the sources; for several sets of them (columns) along a last axis."""
        unknowns = (self._unknowns @ drives / (2 * np.pi)).reshape(len(self._belongs), -1)
        slopes = self._slopes(unknowns[len(self._pits) :])
        shape = np.broadcast_shapes(np.shape(x), np.shape(y))
        places = [np.broadcast_to(axis, shape).ravel() for axis in (x, y)]
        total = np.zeros((len(places[0]), unknowns.shape[1]))
        for mirror in self.images:
            at = mirror(*places)
            for strength, pit in zip(unknowns, self._pits, strict=False):
                apart = np.maximum((at[0] - pit.at[0]) ** 2 + (at[1] - pit.at[1]) ** 2, pit.radius**2)
                total += _K0(apart / self.leakage_length**2)[:, np.newaxis] * strength
            for kind in (np.flatnonzero(~self._sealed), np.flatnonzero(self._sealed)):
                for some in (kind[first : first + _AT_ONCE] for first in range(0, len(kind), _AT_ONCE)):
                    self._add(total, some, unknowns[len(self._pits) + some], slopes[some], *at)
        return total.reshape(*shape, *np.shape(drives)[1:])

    def _add(self, total: Array, some: Array, unknowns: Array, slopes: Array, x: Array, y: Array) -> None:
        """What some pieces, all of one kind, do at points (rows of `total`): quickly, and exactly at those near them."""
        sealed, length, pieces = self._sealed[some[0]], self.leakage_length, self._pieces.only(some)
        quick, near = pieces.quick_pull(x, y, length) if sealed else pieces.quick_k0(x, y, length)
        piece, point = np.divmod(np.flatnonzero(near), len(x))
        quick[piece, point] = 0.0
        counts = -unknowns * pieces.length[:, np.newaxis] if sealed else unknowns
        total += quick.T @ counts
        if len(piece):
            beside, near_x, near_y = pieces.only(piece), x[point], y[point]
            exactly = (beside.mean_pull if sealed else beside.mean_k0)(near_x, near_y, length)
            more = exactly[:, np.newaxis] * counts[piece]
            if sealed:
                more -= beside.sloped_pull(near_x, near_y)[:, np.newaxis] * slopes[piece]
            np.add.at(total, point, more)

    def _slopes(self, unknowns: Array) -> Array:
        """How fast the suction along each piece of sealed wall changes, from the pieces beside it."""
        slopes = np.zeros(np.shape(unknowns))
        for straight in np.unique(self._pieces.straight[self._sealed]):
            side = self._pieces.straight == straight
            slopes[side] = np.gradient(unknowns[side], np.cumsum(self._pieces.length[side]), axis=0)
        return slopes


@dataclass(frozen=True)
class _Pieces:
    """Straight pieces from `start` to `end` (each n x 2), each with the number of the straight line it is cut from.

    "K0" is K₀(r/B) from a piece to a point; "pull" is how that grows as the piece moves outward, K₁(r/B)/(B r) times how
    far outward of the piece the point lies. Both are means over the piece.
    """

    start: Array
    end: Array
    straight: Array

    @cached_property
    def middle(self) -> Array:
        return (self.start + self.end) / 2

    @cached_property
    def length(self) -> Array:
        return np.hypot(*(self.end - self.start).T)

    @cached_property
    def along(self) -> Array:
        return (self.end - self.start) / self.length[:, np.newaxis]

    @cached_property
    def outward(self) -> Array:
        """To the right of the way they run: out of an outline that runs counterclockwise."""
        return np.column_stack([self.along[:, 1], -self.along[:, 0]])

    def only(self, part: slice | Array) -> "_Pieces":
        return _Pieces(self.start[part], self.end[part], self.straight[part])

    def mean_k0(self, x: Array, y: Array, leakage_length: float) -> Array:
        """At points, each from its own piece or, as a column, from all: the logarithm exactly, the rest by Gauss's rule."""
        along, outward, ends = self._seen(x, y)
        rest = self._mean(_K0_WITHOUT_POLE, along, outward, leakage_length)
        upper, lower = (end * np.log(np.hypot(end, outward) + np.finfo(float).tiny) for end in ends)
        mean_log = (upper - lower + outward * self._angle(outward, ends)) / self.length - 1
        return rest - mean_log + math.log(leakage_length)

    def mean_pull(self, x: Array, y: Array, leakage_length: float) -> Array:
        """The same of the pull, whose part 1/r² is the angle under which the piece is seen."""
        along, outward, ends = self._seen(x, y)
        rest = self._mean(_PULL_WITHOUT_POLE, along, outward, leakage_length)
        return outward * rest / leakage_length**2 + self._angle(outward, ends) / self.length

    def pull_of_edge(self, x: Array, y: Array, leakage_length: float) -> Array:
        """What a suction of one along each piece of sealed wall takes away at points."""
        return -self.length * self.mean_pull(x, y, leakage_length)

    def _mean(self, table: "_Table", along: Array, outward: Array, leakage_length: float) -> Array:
        """Of a smooth function of the distance, by Gauss's rule."""
        found = np.zeros_like(along)
        for place, weight in zip(_GAUSS, _WEIGHTS, strict=True):
            squared = ((along - place * self.length / 2) ** 2 + outward**2) / leakage_length**2
            found += weight / 2 * table(np.maximum(squared, _LEAST, out=squared))
        return found

    def sloped_pull(self, x: Array, y: Array) -> Array:
        """What a piece pulls more if the suction along it is not the same but grows by one per length: its part 1/r²."""
        along, outward, (behind, ahead) = self._seen(x, y)
        logarithm = np.log(np.hypot(ahead, outward) / np.hypot(behind, outward))
        found: Array = outward * logarithm + along * self._angle(outward, (behind, ahead))
        return found

    def quick_k0(self, x: Array, y: Array, leakage_length: float) -> tuple[Array, Array]:
        """K₀ of each piece (rows) at points that are not near, from two points of it; and which are near."""
        one, other, near = self._pair(x, y, leakage_length)
        found = _K0(one)
        found += _K0(other)
        return found / 2, near

    def quick_pull(self, x: Array, y: Array, leakage_length: float) -> tuple[Array, Array]:
        """The same of the pull."""
        one, other, near = self._pair(x, y, leakage_length)
        found = _PULL(one)
        found += _PULL(other)
        (nx, ny), (mx, my) = self.outward.T[..., np.newaxis], self.middle.T[..., np.newaxis]
        found *= nx * x + ny * y - (nx * mx + ny * my)
        return found / (2 * leakage_length**2), near

    def _pair(self, x: Array, y: Array, leakage_length: float) -> tuple[Array, Array, Array]:
        """Squared distances, in leakage lengths, from two points of each piece (rows), and which are near the piece."""
        step = (self.end - self.start) / (2 * math.sqrt(3))
        one, other = ((x - at[:, :1]) ** 2 + (y - at[:, 1:]) ** 2 for at in (self.middle - step, self.middle + step))
        for squared in (one, other):
            squared *= leakage_length**-2
        # The mean of the two squares is the square from the middle and that of the step.
        within = (_NEAR**2 + 1 / 12) * (self.length / leakage_length) ** 2
        return one, other, one + other < 2 * within[:, np.newaxis]

    def _seen(self, x: Array, y: Array) -> tuple[Array, Array, tuple[Array, Array]]:
        """Points as the pieces see them: along each from its middle, outward, and along it from its two ends."""
        away_x, away_y = (axis - middle for axis, middle in zip((x, y), self.middle.T, strict=True))
        along, outward = (away_x * axis[:, 0] + away_y * axis[:, 1] for axis in (self.along, self.outward))
        outward[np.abs(outward) < 1e-12 * self.length] = 0.0
        return along, outward, (along + self.length / 2, along - self.length / 2)

    @staticmethod
    def _angle(outward: Array, ends: tuple[Array, Array]) -> Array:
        """The angle under which a piece is seen, with the sign of `outward`; none from its own straight line."""
        across = np.abs(outward)
        return np.sign(outward) * (np.arctan2(ends[0], across) - np.arctan2(ends[1], across))


def _cut(start: Point, end: Point, size: float, finer_ends: bool) -> Array:
    """Ends of the pieces of a straight: all alike, or shorter towards its ends, where what it draws changes fastest."""
    count = min(max(math.ceil(math.dist(start, end) / size), _FINER if finer_ends else _EVEN), _MOST)
    share = np.arange(count + 1) / count
    if finer_ends:
        share = (1 - np.cos(np.pi * share)) / 2
    return np.array(start) + share[:, np.newaxis] * (np.array(end) - np.array(start))


def k0(x: Array) -> Array:
    """The Bessel function K0. scipy's take long to load, and a house without a plan asks for none."""
    from scipy import special

    return cast(Array, special.k0(x))


def k1(x: Array) -> Array:
    """The Bessel function K1."""
    from scipy import special

    return cast(Array, special.k1(x))


class _Table:
    """A function of x as a table over x², straight between rows that stand as the leading bits of x² do.

    So 256 rows stand in every octave, evenly, and the row of a number is read off its bits. K₀ and its kin are so smooth
    in the logarithm that this is right to a millionth, at a fortieth of the time of the functions themselves.
    """

    octaves, bits = (-70, 11), 8  # of x²

    def __init__(self, function: Callable[[Array], Array]) -> None:
        self.function = function

    @cached_property
    def _first(self) -> int:
        return int(np.array(2.0 ** self.octaves[0]).view(np.int64) >> (52 - self.bits))

    @cached_property
    def _lines(self) -> tuple[Array, Array]:
        """Value at zero and slope of the straight line in each row; beyond the last the function is as at its end."""
        rows = self._first + np.arange(((self.octaves[1] - self.octaves[0]) << self.bits) + 1)
        squared = (rows << (52 - self.bits)).view(float)
        values = self.function(np.sqrt(squared))
        slopes = np.append(np.diff(values) / np.diff(squared), 0.0)
        return values - slopes * squared, slopes

    def __call__(self, squared: Array) -> Array:
        row = squared.view(np.int64) >> (52 - self.bits)
        row -= self._first
        starts, slopes = self._lines
        found = slopes.take(row, mode="clip")
        found *= squared
        found += starts.take(row, mode="clip")
        return found


_K0, _PULL = _Table(k0), _Table(lambda x: k1(x) / x)
_K0_WITHOUT_POLE, _PULL_WITHOUT_POLE = _Table(lambda x: k0(x) + np.log(x)), _Table(lambda x: (x * k1(x) - 1) / x**2)


# ---------------------------------------------------------------- places


def _distance(point: Point, start: Point, end: Point) -> float:
    """From a point to a straight line between two others."""
    (px, py), (ax, ay), (bx, by) = point, start, end
    squared = (bx - ax) ** 2 + (by - ay) ** 2
    share = 0.0 if squared == 0 else min(max(((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / squared, 0.0), 1.0)
    return math.hypot(px - ax - share * (bx - ax), py - ay - share * (by - ay))


def _apart(one: Straight, other: Straight) -> float:
    """Least distance of two straight lines that do not cross."""
    return min(*(_distance(end, *other) for end in one), *(_distance(end, *one) for end in other))


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether the straight line from a to b crosses the one from c to d."""

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def _check(sources: tuple[Source, ...], footprint: Footprint | None) -> None:
    if not sources:
        raise ValueError("there is no pit and no drain; give at least one")
    for number, source in enumerate(sources, 1):
        if isinstance(source, Drain):
            if len(source.points) < 2 or min(math.dist(a, b) for a, b in source.straights) == 0:
                raise ValueError(f"source {number}: a drain needs two points or more, no two alike in a row")
            if footprint and not all(footprint.holds(*np.array(p)) for p in source.points):
                raise ValueError(f"source {number}: the drain leaves the slab")
            continue
        if not (source.radius > 0 and math.isfinite(source.radius)):
            raise ValueError(f"source {number}: the pit's radius is {source.radius:g}; it must be above zero")
        if footprint and (not footprint.holds(*np.array(source.at)) or footprint.distance(source.at) < source.radius):
            raise ValueError(f"source {number}: the pit does not lie within the slab")
    for (i, one), (j, other) in combinations(enumerate(sources, 1), 2):
        room = sum(s.radius for s in (one, other) if isinstance(s, Pit))
        lines = [[(s.at, s.at)] if isinstance(s, Pit) else s.straights for s in (one, other)]
        if any(_cross(*a, *b) or _apart(a, b) <= room for a in lines[0] for b in lines[1]):
            raise ValueError(f"sources {i} and {j} touch; give them as one")


__all__ = [
    "Drain",
    "Footprint",
    "Layer",
    "Pit",
    "SuctionField",
    "SuctionMap",
    "driven",
    "inertia",
    "inertial_resistances",
    "respond",
    "suction_field",
]
