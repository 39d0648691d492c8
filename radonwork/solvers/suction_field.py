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
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Literal

import numpy as np

from radonwork.engine.formula import Values
from radonwork.formulas import soil
from radonwork.solvers.field_pieces import Pieces, cut
from radonwork.solvers.field_tables import K0, k0, k1
from radonwork.solvers.slab_plan import Array, Drain, Footprint, Pit, Point, Source, Straight, check, gap

Walls = Literal["pieces", "images"]

_IMAGES_WITHIN = 12.0  # leakage lengths; what is left out then is a hundred thousandth of the pit's suction
_OUT_OF_REACH = 5.0  # leakage lengths from the nearest sink at which a wall hardly matters
_PER_DISTANCE = 1.4  # pieces in the distance of a straight from another sink
_PIECES, _POINTS = 4, 4096  # worked together: for arrays beyond 128 KiB memory is asked from the system each time


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
    check(sources, footprint)
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
    def _pieces(self) -> Pieces:
        """Pieces of all drains, then of all walls, the shorter the nearer other sinks are."""
        straights = [*self._drains, *self.sides]
        sinks = [*self._drains, *((pit.at, pit.at) for pit in self._pits)]
        # Sealed walls alone need no finer ends: the suction along them is smooth up to the corners.
        mixed = self.footprint is not None and bool(self.footprint.open_sides)
        cuts = []
        for number, straight in enumerate(straights):
            apart = [distance for sink in sinks if (distance := gap(straight, sink)) > 0]
            nearest = min(apart, default=math.inf)
            size = nearest / _PER_DISTANCE
            if number < len(self._drains) or nearest < _OUT_OF_REACH * self.leakage_length:
                size = min(size, self.leakage_length / 2)
            cuts.append(cut(*straight, size, finer_ends=mixed or number < len(self._drains)))
        return Pieces(
            np.concatenate([np.empty((0, 2)), *(ends[:-1] for ends in cuts)]),
            np.concatenate([np.empty((0, 2)), *(ends[1:] for ends in cuts)]),
            np.repeat(np.arange(len(cuts)), [len(ends) - 1 for ends in cuts]),
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
            for kind, exactly in ((~self._sealed, Pieces.mean_k0), (self._sealed, Pieces.pull_of_edge)):
                some, columns = pieces.only(kind), len(pits) + np.flatnonzero(kind)
                for rows in _blocks(len(at), 1 + _PIECES * _POINTS // (1 + len(columns))):
                    total[rows, columns] += exactly(some, x[rows, np.newaxis], y[rows, np.newaxis], length)
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
                total += K0(apart / self.leakage_length**2)[:, np.newaxis] * strength
            kinds = (np.flatnonzero(~self._sealed), np.flatnonzero(self._sealed))
            for some in (kind[part] for kind in kinds for part in _blocks(len(kind), _PIECES)):
                strengths = unknowns[len(self._pits) + some]
                for part in _blocks(len(total), _POINTS):
                    self._add(total[part], some, strengths, slopes[some], *(axis[part] for axis in at))
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


def _blocks(count: int, size: int) -> Iterator[slice]:
    """`count` things, `size` at a time."""
    return (slice(first, first + size) for first in range(0, count, size))
