"""The slab of one house as the suction under it sees it: outline, pits and drains, test holes.

A place whose pipe states a suction of its own (run.branch.soil_suction) is sucked at by that, every other one as the
record's suction.soil_suction says. Where the record tells of clean stone under the slab, the loss to fast air near each
pit is taken off its suction.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache, partial
from typing import Any

import numpy as np

from radonwork.engine.formula import Values
from radonwork.glossary import term
from radonwork.house.job import assumed
from radonwork.house.plan import SuctionPoint
from radonwork.house.record import House
from radonwork.solvers.lengths import along
from radonwork.solvers.slab_plan import Drain, Footprint, Pit, Reading
from radonwork.solvers.slab_plan import Source as Sink
from radonwork.solvers.suction_field import SuctionField, SuctionMap, driven, inertia, respond

GRID = 64  # points of a map each way
# From one leakage length at which the field is worked to the next, over a tolerance: read between them, it is right to a
# thousandth of the suction.
_BETWEEN: Mapping[str, Any] = {"step": 0.1, "most": 6}
_BLOCK = 16  # rows of a grid's points that a processor keeps at hand
_LEAST_ERROR, _ERROR_SHARE = 1.0, 0.1  # Pa, and share of a reading, where the record does not say how good it is
STONE = ("layer_transmissivity", "layer_thickness", "inertial_coefficient", "air_density")
"""Terms by which the inertia near a pit in clean stone is worked."""


@dataclass(frozen=True)
class Slab:
    """An outline with the places where it is sucked at, each at a suction of 1 Pa; all in metres.

    With `stone` the layer is clean stone around its pits; what is asked of it then wants the terms in STONE too. `apart`
    names the suction point of each place, where they may differ in suction; `own` is the suction that stands in each, None
    where it is the one that is asked for.
    """

    footprint: Footprint
    sinks: tuple[Sink, ...]
    stone: bool = False
    apart: tuple[str, ...] = field(default=(), compare=False)
    own: tuple[float | None, ...] = field(default=(), compare=False)

    def at(self, suction: float, **stone: Values) -> tuple[Sink, ...]:
        """The places at this suction or their own, in clean stone each pit with its inertial resistance."""
        return tuple(
            replace(sink, suction=stands, inertial_resistance=float(_resistance(sink, stone)))
            if self.stone and isinstance(sink, Pit)
            else replace(sink, suction=stands)
            for sink, stands in zip(self.sinks, self._standing(suction), strict=True)
        )

    @property
    def parted(self) -> bool:
        """Whether a place has a suction of its own."""
        return any(own is not None for own in self.own)

    def _standing(self, suction: Values) -> list[Any]:
        """The suction in each place."""
        return [suction if own is None else own for own in self.own or len(self.sinks) * (None,)]

    def available(self, suction: Values) -> np.ndarray:
        """The suction in each group of places (columns), a row a variant."""
        standing = self._standing(suction)
        columns = [np.ravel(standing[group[0]]) for group in self.groups]
        return np.stack(np.broadcast_arrays(*columns), axis=-1)

    def map(self, suction: float, leakage_length: float, **stone: Values) -> SuctionMap:
        """The suction under the slab, on the grid."""
        available = self.available(suction)
        drives = self.drives(available, leakage_length, stone)
        return self._drawn_on_grid(self.suctions(leakage_length, drives, available)[0])

    def map_of(self, field: SuctionField) -> SuctionMap:
        """The suction of a field of these places, each group of them at a suction of its own, on the grid."""
        first = [group[0] for group in self.groups]
        drives, available = field.drives[first], [field.sources[number].suction for number in first]
        found = self.suctions(field.layer.leakage_length, drives[np.newaxis], np.array([available]))
        return self._drawn_on_grid(found[0])

    def _drawn_on_grid(self, inside: np.ndarray) -> SuctionMap:
        found = np.full(self._inside.shape, np.nan)
        found[self._inside] = inside
        return SuctionMap(self.footprint, *self._axes, found)

    @cached_property
    def _axes(self) -> tuple[np.ndarray, np.ndarray]:
        corners = np.array(self.footprint.corners)
        low, high = corners.min(axis=0), corners.max(axis=0)
        x, y = (a + (np.arange(GRID) + 0.5) * (b - a) / GRID for a, b in zip(low, high, strict=True))
        return x, y

    @cached_property
    def _inside(self) -> np.ndarray:
        x, y = self._axes
        return self.footprint.holds(x[np.newaxis, :], y[:, np.newaxis])

    @cached_property
    def points(self) -> tuple[np.ndarray, np.ndarray]:
        """x and y of the points of the grid that lie inside."""
        x, y = (axis[self._inside] for axis in np.meshgrid(*self._axes))
        return x, y

    @cached_property
    def groups(self) -> tuple[tuple[int, ...], ...]:
        """Places that have one share of one suction: those of a suction point, but in clean stone each pit by itself."""
        found: dict[tuple[str, int], tuple[int, ...]] = {}
        for number, (sink, at) in enumerate(zip(self.sinks, self.apart or len(self.sinks) * ("",), strict=True)):
            key = (at, number if self.stone and isinstance(sink, Pit) else -1)
            found[key] = (*found.get(key, ()), number)
        return tuple(found.values())

    @cached_property
    def distances(self) -> np.ndarray:
        """From each point of the grid that lies inside to the nearest pit or drain, m."""
        found = [
            _distances(*self.points, start, end)
            for sink in self.sinks
            for start, end in (sink.straights if isinstance(sink, Drain) else [(sink.at, sink.at)])
        ]
        return np.min(found, axis=0)

    def drives(self, available: np.ndarray, leakage_length: Values, stone: Mapping[str, Values]) -> np.ndarray:
        """What inertia leaves to the field of the suction `available` at each group (columns), a row a variant."""
        if not self.stone:
            return available
        transmissivity = np.reshape(stone["layer_transmissivity"], (-1, 1, 1))
        losses = np.stack(np.broadcast_arrays(*map(np.ravel, self.losses(stone))), axis=-1)
        return driven(transmissivity * self.drawn(leakage_length), losses, available)

    def losses(self, stone: Mapping[str, Values]) -> list[Values]:
        """Inertial resistance of each group."""
        first = [self.sinks[group[0]] for group in self.groups]
        return [_resistance(sink, stone) if self.stone and isinstance(sink, Pit) else 0.0 for sink in first]

    def suctions(self, leakage_length: Values, drives: np.ndarray, available: np.ndarray) -> np.ndarray:
        """Suction at every inside point (columns) for these drives of the groups, a row a variant.

        Inside the pits stands what is available to them.
        """
        return self._together(*self._fields(leakage_length), drives, available)

    def suctions_in_blocks(
        self, leakage_length: Values, drives: np.ndarray, available: np.ndarray
    ) -> Iterator[tuple[slice, np.ndarray]]:
        """The same a few rows at a time, which a processor has at hand while all of them it has not."""
        units, between = self._fields(leakage_length)
        count = max(len(between), len(drives), len(available))
        between, drives, available = (
            np.broadcast_to(rows, (count, rows.shape[1])) for rows in (between, drives, available)
        )
        for first in range(0, count, _BLOCK):
            rows = slice(first, first + _BLOCK)
            yield rows, self._together(units, between[rows], drives[rows], available[rows])

    def _fields(self, leakage_length: Values) -> tuple[np.ndarray, np.ndarray]:
        return along(leakage_length, partial(_unit_fields, self, self.groups), **_BETWEEN)

    def _together(
        self, units: np.ndarray, between: np.ndarray, drives: np.ndarray, available: np.ndarray
    ) -> np.ndarray:
        # One product of two matrices: what each group does in each field worked, by how much each counts.
        counts = (between[:, :, np.newaxis] * drives[:, np.newaxis, :]).reshape(-1, units.shape[0] * units.shape[2])
        found: np.ndarray = counts @ units.transpose(0, 2, 1).reshape(-1, units.shape[1])
        for number, group in enumerate(self.groups):
            for sink in group:
                found[:, self._in_pits[sink]] = available[:, number : number + 1]
        return found

    def flows(self, leakage_length: Values, layer_transmissivity: Values, drives: np.ndarray) -> np.ndarray:
        """Flow of each group of places (columns), m3/s, a row a variant; below zero where one gives air to the layer."""
        drawn = np.einsum("...ij,...j->...i", self.drawn(leakage_length), drives)
        return np.reshape(layer_transmissivity, (-1, 1)) * drawn

    def drawn(self, leakage_length: Values) -> np.ndarray:
        """Flow over transmissivity of each group for 1 Pa at each, a matrix a variant."""
        worked, between = along(leakage_length, partial(_unit_flow, self, self.groups), **_BETWEEN)
        return np.tensordot(between, worked, 1)

    @cached_property
    def _in_pits(self) -> list[np.ndarray]:
        """Which of the inside points lie in each place, if it is a pit, where its own suction stands."""
        x, y = self.points
        return [
            (x - sink.at[0]) ** 2 + (y - sink.at[1]) ** 2 < sink.radius**2
            if isinstance(sink, Pit)
            else np.zeros(len(x), dtype=bool)
            for sink in self.sinks
        ]


@lru_cache(maxsize=64)
def _unit_fields(slab: Slab, groups: tuple[tuple[int, ...], ...], leakage_length: float) -> np.ndarray:
    """Suction at the inside points for 1 Pa at the places of each group (last axis) and none at the others."""
    drives = np.array([np.isin(np.arange(len(slab.sinks)), group) for group in groups], dtype=float).T
    response, several = respond(slab.sinks, slab.footprint, leakage_length), len(groups) > 1
    found = response.field(drives if several else drives[:, 0], *slab.points).reshape(-1, len(groups))
    for number, group in enumerate(groups):
        for sink in group:  # inside a pit stands its own suction, and nowhere more than that
            found[slab._in_pits[sink], number] = 1.0
    return found


@lru_cache(maxsize=128)
def _unit_flow(slab: Slab, groups: tuple[tuple[int, ...], ...], leakage_length: float) -> np.ndarray:
    drawn = respond(slab.sinks, slab.footprint, leakage_length).drawn
    of = np.array([np.isin(np.arange(len(slab.sinks)), group) for group in groups], dtype=float)
    return of @ drawn @ of.T


def _resistance(pit: Pit, stone: Mapping[str, Values]) -> Values:
    found = {name: stone[name] for name in ("layer_thickness", "inertial_coefficient", "air_density")}
    return inertia(pit_radius=pit.radius, **found)


def _distances(x: np.ndarray, y: np.ndarray, start: tuple[float, float], end: tuple[float, float]) -> np.ndarray:
    along = np.array(end) - np.array(start)
    squared = float(along @ along)
    share = np.clip(((x - start[0]) * along[0] + (y - start[1]) * along[1]) / squared, 0, 1) if squared else 0.0 * x
    return np.hypot(x - start[0] - share * along[0], y - start[1] - share * along[1])


# ---------------------------------------------------------------- of a house


@lru_cache(maxsize=8)
def slab_of(house: House) -> Slab | None:
    """The slab as the record draws it; None while it states no outline or no place, or a pit without its radius."""
    footprint = house.footprint()
    pits = [point for point in house.suction_points() if not point.on_drain]
    sinks: list[Sink] = [Drain(drain.points, 1.0, drain.closed) for drain in house.drains()]
    sinks += [Pit(point.at, point.radius, 1.0) for point in pits if point.radius]
    if not (footprint and sinks and all(point.radius for point in pits)):
        return None
    own, apart = _own_suctions(house, pits)
    return Slab(footprint, tuple(sinks), stone=bool(pits) and bool(stone_of(house)), apart=apart, own=own)


def _own_suctions(house: House, pits: Sequence[SuctionPoint]) -> tuple[tuple[float | None, ...], tuple[str, ...]]:
    """The suction that a branch of the route states for the point that each drain and pit is drawn from, and its name.

    A drain is drawn from at the first point that lies on it.
    """
    branches = enumerate(house.run.branch if house.run else (), 2)
    stated = {one.point or f"suction point {n}": one.soil_suction for n, one in branches if one.soil_suction}
    on_drains = [point for point in house.suction_points() if point.on_drain]
    names = [next((p.name for p in on_drains if p.drain == number), "") for number, _ in enumerate(house.drains())]
    names += [pit.name for pit in pits]
    return (
        tuple(stated[name].value if name in stated else None for name in names),
        tuple(name if name in stated else "" for name in names),
    )


def stone_of(house: House) -> dict[str, float]:
    """What the record tells of clean stone under its slab, by term; empty while it leaves out a part of that."""
    ground = house.foundation
    depth = ground.gravel_depth if ground else None
    if not (ground and ground.stone_diameter and ground.stone_porosity and depth and depth.value > 0):
        return {}
    from radonwork.formulas.soil import bed_inertial_coefficient

    beta = bed_inertial_coefficient(
        stone_diameter=ground.stone_diameter.value, stone_porosity=ground.stone_porosity.value
    )
    density = term("air_density").read(assumed("suction")["air_density"].value)
    return {
        "layer_thickness": depth.value,
        "inertial_coefficient": float(beta),
        "air_density": density.value,
    }


def wants_radius(house: House) -> bool:
    """Whether a pit has a place and no radius."""
    return any(point.radius is None and not point.on_drain for point in house.suction_points())


def readings_of(house: House) -> tuple[Reading, ...]:
    """The test holes; the tolerance of a reading is taken for its standard deviation, which is the wider of the two."""
    return tuple(
        Reading(hole.at, hole.suction, hole.tolerance or max(_LEAST_ERROR, _ERROR_SHARE * abs(hole.suction)))
        for hole in house.test_holes()
    )
