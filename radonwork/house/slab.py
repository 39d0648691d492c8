"""The slab of one house as the suction under it sees it: outline, pits and drains, test holes; the layer they tell of.

Every place is sucked at as the record's suction.soil_suction says: nothing else is known of what stands in each of
several points. The layer is fitted to the test holes where the record does not state it. Where the record tells of clean
stone under the slab, the loss to fast air near each pit is taken off its suction.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache, partial
from typing import Any

import numpy as np

from radonwork.engine.formula import Values
from radonwork.engine.sheet import Run
from radonwork.engine.solver import Solver
from radonwork.engine.sources import Source
from radonwork.glossary import System, term
from radonwork.house.job import Assumed, assumed
from radonwork.house.record import House
from radonwork.solvers import field_fit
from radonwork.solvers.field_fit import Estimate, Fit, FlowReading, NextHole, Reading
from radonwork.solvers.lengths import along
from radonwork.solvers.slab_plan import Drain, Footprint, Pit
from radonwork.solvers.slab_plan import Source as Sink
from radonwork.solvers.suction_field import SuctionField, SuctionMap, driven, inertia, respond
from radonwork.units import decimal

GRID = 64  # points of a map each way
# From one leakage length at which the field is worked to the next, over a tolerance: read between them, it is right to a
# thousandth of the suction.
_BETWEEN: Mapping[str, Any] = {"step": 0.1, "most": 6}
_BLOCK = 16  # rows of a grid's points that a processor keeps at hand
_LEAST_ERROR, _ERROR_SHARE = 1.0, 0.1  # Pa, and share of a reading, where the record does not say how good it is
_DERIVED = Source(kind="derived", place="balance of air in the layer, solved for this outline by its edge")
_LAYOUT = ("outline_corners", "suction_places")
_ASSUMED = (
    "The layer and the slab are alike everywhere; footings that cut the layer are not known to it.",
    "The walls let no air through at the height of the layer, and every suction point and drain has the same suction.",
    "Corners and walls are judged at the middle of the nearest of 64 by 64 squares.",
)
_NO_INERTIA = "Losses to fast air in clean stone near a pit are left out."
_INERTIA = (
    "The loss to fast air in clean stone is taken as if it were all at the pit: flow, and suction near it, come out too "
    "small, and suction far off a little too large."
)
_FAR_SHARE = 0.5
"""Of the leakage length: up to this inertial radius, what is said of the model's error holds (see solvers/suction_field)."""
_NEAR = (
    "Against the whole law, integrated around one pit, the flow so comes out up to 15 % too small, the suction a metre from "
    "the pit up to three fifths too small, and three leakage lengths away up to a fifth too large."
)
_FAR = (
    "Here it reaches farther than half a leakage length, and then these figures are rough: the flow may be twice as large, "
    "and the suction far from the pit a third of what is said or less. Rest on readings in test holes."
)
_MOST_TOLERANCE = 0.95
"""Of a fitted value: a tolerance up to this stays short of zero, however both are rounded to be written."""
_TIGHTER = 3.0
"""Times by which a layer may be tighter than its stone would make it, before that is said: a choice."""
STONE = ("layer_transmissivity", "layer_thickness", "inertial_coefficient", "air_density")
"""Terms by which the inertia near a pit in clean stone is worked."""


@dataclass(frozen=True)
class Slab:
    """An outline with the places where it is sucked at, each at a suction of 1 Pa; all in metres.

    With `stone` the layer is clean stone around its pits; what is asked of it then wants the terms in STONE too. `apart`
    names the suction point of each place, where they may differ in suction.
    """

    footprint: Footprint
    sinks: tuple[Sink, ...]
    stone: bool = False
    apart: tuple[str, ...] = field(default=(), compare=False)

    def at(self, suction: float, **stone: Values) -> tuple[Sink, ...]:
        """The places at this suction, in clean stone each pit with its inertial resistance."""
        return tuple(
            replace(sink, suction=suction, inertial_resistance=float(_resistance(sink, stone)))
            if self.stone and isinstance(sink, Pit)
            else replace(sink, suction=suction)
            for sink in self.sinks
        )

    def map(self, suction: float, leakage_length: float, **stone: Values) -> SuctionMap:
        """The suction under the slab, on the grid."""
        return self._drawn_on_grid(suction * self.units(leakage_length, self.shares(suction, leakage_length, stone))[0])

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

    def shares(self, suction: Values, leakage_length: Values, stone: Mapping[str, Values]) -> np.ndarray:
        """Share of the one suction that inertia leaves to the field at each group (columns), a row a variant."""
        if not self.stone:
            return np.ones((1, len(self.groups)))
        available = np.repeat(np.reshape(suction, (-1, 1)), len(self.groups), axis=1)
        return self.drives(available, leakage_length, stone) / available

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

    def units(self, leakage_length: Values, shares: np.ndarray) -> np.ndarray:
        """Suction at every inside point (columns) for 1 Pa at the places, a row a variant."""
        return np.concatenate([found for _, found in self.units_in_blocks(leakage_length, shares)])

    def units_in_blocks(self, leakage_length: Values, shares: np.ndarray) -> Iterator[tuple[slice, np.ndarray]]:
        """The same a few rows at a time, which a processor has at hand while all of them it has not."""
        count = max(np.size(leakage_length), len(shares))
        units, between = self._fields(leakage_length)
        between, shares = (np.broadcast_to(rows, (count, rows.shape[1])) for rows in (between, shares))
        ones = np.ones((1, len(self.groups)))
        for first in range(0, count, _BLOCK):
            rows = slice(first, first + _BLOCK)
            yield rows, self._together(units, between[rows], shares[rows], ones)

    def suctions(self, leakage_length: Values, drives: np.ndarray, available: np.ndarray) -> np.ndarray:
        """Suction at every inside point (columns) for these drives of the groups, a row a variant.

        Inside the pits stands what is available to them.
        """
        return self._together(*self._fields(leakage_length), drives, available)

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

    def flows(
        self, suction: Values, leakage_length: Values, layer_transmissivity: Values, shares: np.ndarray
    ) -> np.ndarray:
        """Flow of each group of places (columns), m3/s, a row a variant."""
        drawn = np.einsum("...ij,...j->...i", self.drawn(leakage_length), shares)
        return np.reshape(layer_transmissivity * np.asarray(suction), (-1, 1)) * drawn

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
    return Slab(footprint, tuple(sinks), stone=bool(pits) and bool(stone_of(house)))


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


def fit_of(house: House) -> Fit | None:
    """The layer that the test holes tell of; None while there are none, or no plan or suction to read them by."""
    found = _fit_or_fault(house)
    return found if isinstance(found, Fit) else None


@lru_cache(maxsize=8)
def _fit_or_fault(house: House) -> Fit | str:
    """The fit, or in one line why there is none."""
    slab, readings = slab_of(house), readings_of(house)
    suction = house.suction.soil_suction if house.suction else None
    if not (slab and readings and suction and suction.value > 0):
        return "it wants an outline, a suction point with its suction, and test holes with their readings"
    flow = house.suction.soil_flow if house.suction else None
    # With several places it is not known how they share the flow.
    flows = (FlowReading(0, flow.value, flow.tolerance or 0.1 * flow.value),) if flow and len(slab.sinks) == 1 else ()
    try:
        return _fit(readings, slab.at(suction.value, **stone_of(house)), slab.footprint, flows)
    except ValueError as reason:
        return str(reason)


@lru_cache(maxsize=8)
def _fit(
    readings: tuple[Reading, ...], sinks: tuple[Sink, ...], footprint: Footprint, flows: tuple[FlowReading, ...]
) -> Fit:
    return field_fit.fit(readings, sinks, footprint, flows=flows)


@lru_cache(maxsize=8)
def next_hole(house: House) -> NextHole | None:
    """Where one more test hole would teach most, read as well as the others on the average."""
    found = fit_of(house)
    if not found:
        return None
    try:
        return found.next_hole(float(np.mean([reading.error for reading in found.readings])))
    except ValueError:  # no room for another hole
        return None


def fitted(house: House) -> tuple[Assumed, ...]:
    """Layer terms that the record leaves to its test holes, with the range that holds 95 % as their tolerance."""
    stated = house.foundation
    if stated and (stated.slab_leakage or stated.layer_permeability or stated.layer_transmissivity):
        return ()
    found = fit_of(house)
    if not found:
        return ()
    holes = f"fitted to the {len(found.readings)} test holes of the record"
    estimates = {"leakage_length": found.leakage_length, "layer_transmissivity": found.transmissivity}
    return tuple(_taken(name, one, holes, house.system) for name, one in estimates.items() if one.closed)


def _taken(name: str, estimate: Estimate, holes: str, system: System) -> Assumed:
    """The best value with the farther half of its range as tolerance; with the nearer where the farther reaches zero.

    Readings that a layer alike everywhere fits badly leave ranges that go far up and not far down.
    """
    low, high = estimate.wide
    assert low is not None
    assert high is not None
    best, unit = estimate.best, term(name).unit(system)
    near, far = sorted((best - low, high - best))
    half, because = far, f"{holes}; the tolerance is the range that holds 95 %"
    if far > _MOST_TOLERANCE * best:
        half = min(near, _MOST_TOLERANCE * best)
        because = (
            f"{holes}; 95 % lies between {decimal(low, unit, 3)} and {decimal(high, unit, 3)}, and a tolerance as wide as "
            "its farther half would reach zero: it is the nearer half, so what follows may be farther off than its range says"
        )
    tolerance = f" ± {decimal(half, unit, 2)}" if half > 0 else ""
    return Assumed(name, f"{decimal(best, unit, 4)}{tolerance}", because)


def layer_of_fit(house: House, thickness: str) -> dict[str, str]:
    """The fitted layer by what it is made of, as text to start a control from; empty where the readings leave it open.

    `thickness` stands in for a gravel that the record does not measure.
    """
    found, ground = fit_of(house), house.foundation
    if not (found and found.transmissivity.closed):
        return {}
    height = ground.gravel_depth if ground and ground.gravel_depth else term("layer_thickness").read(thickness)
    permeability = (
        found.transmissivity.best
        * term("air_viscosity").read(assumed("suction")["air_viscosity"].value).value
        / height.value
    )
    return {
        "layer_permeability": f"{decimal(permeability, 'um2', 3)}",
        "slab_leakage": f"{decimal(found.slab_leakage.best, term('slab_leakage').unit(house.system), 3)}",
    }


def fit_lines(house: House) -> tuple[str, ...]:
    """What the fit says, a sentence each; what is missing for one where there is none."""
    found = _fit_or_fault(house)
    if isinstance(found, str):
        return (f"No fit: {found}.",)
    said = [
        f"The layer is fitted to {len(found.readings)} test holes, taken as read with {_suction(found, house.system)} at "
        "every suction point."
    ]
    names = {
        "leakage_length": found.leakage_length,
        "layer_transmissivity": found.transmissivity,
        "slab_leakage": found.slab_leakage,
    }
    said += [_estimate(name, one, house.system) for name, one in names.items() if one.known]
    if found.degrees > 0:
        said.append(
            f"Misfit: chi squared {found.chi_squared:.1f} with {found.degrees} reading{'s' * (found.degrees != 1)} to spare."
        )
    said += found.remarks
    unit, length = term("field_suction").unit(house.system), term("leakage_length").unit(house.system)
    mean, _ = found.predicted(np.array([reading.at for reading in found.readings]))
    for hole, reading, value in zip(house.test_holes(), found.readings, mean, strict=True):
        said.append(
            f"{hole.name}: read {decimal(reading.suction, unit, 3)} ± {decimal(reading.error, unit, 2)}, "
            f"the fitted layer gives {decimal(float(value), unit, 3)}."
        )
    if best := next_hole(house):
        place = ", ".join(decimal(axis, length, 3) for axis in best.at)
        said.append(
            f"Next test hole: at {place} from the outline's origin; one reading there would take away about "
            f"{100 * best.share_of_variance_removed:.0f} % of what is uncertain (the variance) in the leakage length."
        )
    return tuple(said)


def inertia_lines(run: Run, house: House) -> tuple[str, ...]:
    """What fast air in clean stone takes away near the pits, a sentence each; empty where it is not worked."""
    slab, values = slab_of(house), run.values
    if not (slab and slab.stone and "inertial_loss" in values and "least_suction" in values):
        return ()
    from radonwork.formulas.soil import bed_permeability

    without = replace(slab, stone=False)
    least, flow = _suctions(without, values)["least_suction"], _flows(without, values)["soil_flow"]

    def said(name: str, value: float) -> str:
        return decimal(value, term(name).unit(house.system), 3)

    suction, loss = values["soil_suction"], values["inertial_loss"]
    span = run.spread("inertial_loss")
    ends = (
        f" ({said('inertial_loss', span[0])} to {said('inertial_loss', span[1])} over the tolerances)" if span else ""
    )
    radius, pit = values["inertial_radius"], values["drawing_radius"]
    within = (
        f"Up to {said('inertial_radius', radius)} from its middle the loss that grows as the square of the flow is the larger."
        if radius > pit
        else "Nowhere outside the pit is the loss that grows as the square of the flow the larger."
    )
    bed = bed_permeability(stone_diameter=values["stone_diameter"], stone_porosity=values["stone_porosity"])
    tighter = float(bed) / values["layer_permeability"]
    doubt = (
        f"The layer lets {tighter:.0f} times less air through than clean stone of that size would: it is likely mixed with "
        "finer stuff, and then more is lost near the pit than is said here.",
    )
    return (
        f"By the record the slab lies on clean stone, in which air near a pit is fast: of {said('soil_suction', suction)} at "
        f"the pit that draws most, {said('inertial_loss', loss)}{ends} or {100 * loss / suction:.0f} % is "
        "lost there and does not reach the slab.",
        within,
        f"Without this loss the soil would give {said('soil_flow', float(flow[0]))} in place of "
        f"{said('soil_flow', values['soil_flow'])}, and the least suction under the slab would be "
        f"{said('least_suction', float(least[0]))} in place of {said('least_suction', values['least_suction'])}.",
        "The loss fades out over some metres but is taken as if it were all at the pit. "
        + (_FAR if radius > _FAR_SHARE * values["leakage_length"] else _NEAR),
        *(doubt if tighter > _TIGHTER else ()),
    )


def _suction(found: Fit, system: System) -> str:
    return decimal(found.sources[0].suction, term("soil_suction").unit(system), 3)


def _estimate(name: str, one: Estimate, system: System) -> str:
    unit = term(name).unit(system)
    ends = ["open" if end is None else decimal(end, unit, 3) for end in one.wide]
    return f"{term(name).label.capitalize()}: {decimal(one.best, unit, 3)}, 95 % between {ends[0]} and {ends[1]}."


# ---------------------------------------------------------------- the statements of its sheet


def solvers_of(house: House) -> tuple[Solver, ...]:
    """Suction, area and reach; the flow from the soil; the worst of a cold day. Each wants what the plan still lacks."""
    slab = slab_of(house)
    plan = (*_LAYOUT, *(["pit_radius"] if wants_radius(house) else []))
    stony = bool(slab and slab.stone)
    assumptions = (*_ASSUMED, _INERTIA if stony else _NO_INERTIA)

    def made(
        name: str,
        title: str,
        gives: tuple[str, ...],
        takes: tuple[str, ...],
        function: Callable[[Slab, Mapping[str, Values]], Mapping[str, np.ndarray]],
    ) -> Solver:
        takes = tuple(dict.fromkeys((*takes, *(STONE if stony else ()))))

        def shaped(**terms: Values) -> dict[str, Values]:
            if slab is None:
                raise ValueError("the plan wants foundation.outline, and a place in suction.point or suction.drain")
            return _shaped(function(slab, terms), *(terms[name] for name in takes))

        return Solver(name, title, gives, (*takes, *plan), _DERIVED, shaped, assumptions=assumptions)

    return (
        made(
            "slab_suction", "Suction under this slab", ("least_suction", "reached_share", "reached_area", "suction_reach"),
            ("soil_suction", "leakage_length", "target_suction"), _suctions,
        ),
        made(
            "slab_flow", "Air drawn from under this slab",
            ("soil_flow", *(("pit_flow", "drawing_radius") if stony else ())),
            ("soil_suction", "leakage_length", "layer_transmissivity"), _flows,
        ),
        made(
            "cold_day", "Least suction on a cold day, if all the soil's air comes from outdoors", ("cold_least_suction",),
            ("soil_suction", "leakage_length", "stack_suction"), _cold,
        ),
    )  # fmt: skip


def _suctions(slab: Slab, terms: Mapping[str, Values]) -> dict[str, np.ndarray]:
    given = (terms[name] for name in ("soil_suction", "leakage_length", "target_suction"))
    suction, length, target = np.broadcast_arrays(*map(np.atleast_1d, given))
    if np.any(target <= 0) or np.any(suction <= 0):
        raise ValueError("the target and the suction at the suction point must be above zero")
    # Reached where the share of the place's suction that comes through is at least the share that is asked for.
    asked, nearest_first = target / suction, np.argsort(slab.distances)
    distances = np.append(slab.distances[nearest_first], slab.distances.max())
    least, share, reach = [], [], []
    for rows, units in slab.units_in_blocks(length, slab.shares(suction, length, terms)):
        reached = units >= asked[rows, np.newaxis]
        least.append(units.min(axis=1))
        share.append(reached.mean(axis=1))
        ordered = np.append(reached[:, nearest_first], np.zeros((len(reached), 1), dtype=bool), axis=1)
        reach.append(distances[ordered.argmin(axis=1)])
    reached_share = np.concatenate(share)
    return {
        "least_suction": suction * np.concatenate(least),
        "reached_share": reached_share,
        "reached_area": reached_share * slab.footprint.area,
        "suction_reach": np.concatenate(reach),
    }


def _flows(slab: Slab, terms: Mapping[str, Values]) -> dict[str, np.ndarray]:
    suction, length = terms["soil_suction"], terms["leakage_length"]
    flows = slab.flows(suction, length, terms["layer_transmissivity"], slab.shares(suction, length, terms))
    found = {"soil_flow": flows.sum(axis=1)}
    if slab.stone:  # the pit that draws most
        first = [slab.sinks[group[0]] for group in slab.groups]
        radii = np.array([sink.radius for sink in first if isinstance(sink, Pit)])
        of_pits = flows[:, [isinstance(sink, Pit) for sink in first]]
        found |= {"pit_flow": of_pits.max(axis=1), "drawing_radius": radii[of_pits.argmax(axis=1)]}
    return found


def _cold(slab: Slab, terms: Mapping[str, Values]) -> dict[str, np.ndarray]:
    pull, length = terms["stack_suction"], terms["leakage_length"]
    available = terms["soil_suction"] + pull
    shares = slab.shares(available, length, terms)
    least = np.concatenate([units.min(axis=1) for _, units in slab.units_in_blocks(length, shares)])
    return {"cold_least_suction": available * least - pull}


def _shaped(found: Mapping[str, np.ndarray], *given: Values) -> dict[str, Values]:
    """Numbers for numbers, arrays for arrays."""
    shape = np.broadcast_shapes(*(np.shape(value) for value in given))
    if shape:
        return {name: np.broadcast_to(value, shape) for name, value in found.items()}
    return {name: float(np.ravel(value)[0]) for name, value in found.items()}
