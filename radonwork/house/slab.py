"""The slab of one house as the suction under it sees it: outline, pits and drains, test holes; the layer they tell of.

Every place is sucked at as the record's suction.soil_suction says: nothing else is known of what stands in each of
several points. The layer is fitted to the test holes where the record does not state it.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from radonwork.engine.formula import Values
from radonwork.engine.solver import Solver
from radonwork.engine.sources import Source
from radonwork.glossary import System, term
from radonwork.house.job import Assumed, assumed
from radonwork.house.record import House
from radonwork.solvers import field_fit
from radonwork.solvers.field_fit import Estimate, Fit, FlowReading, NextHole, Reading
from radonwork.solvers.splines import smooth
from radonwork.solvers.suction_field import Drain, Footprint, Pit, SuctionMap, respond
from radonwork.solvers.suction_field import Source as Sink
from radonwork.units import decimal

GRID = 64  # points of a map each way
# Leakage lengths at which the field is worked over a tolerance, fewer over one that spans less than a third of the
# length; between them it is read off a smooth curve, to a ten-thousandth of the suction.
_NODES, _FEW_NODES, _NARROW = 7, 4, 0.3
_LEAST_ERROR, _ERROR_SHARE = 1.0, 0.1  # Pa, and share of a reading, where the record does not say how good it is
_DERIVED = Source(kind="derived", place="balance of air in the layer, solved for this outline by its edge")
_LAYOUT = ("outline_corners", "suction_places")
_ASSUMED = (
    "The layer and the slab are alike everywhere; footings that cut the layer are not known to it.",
    "The walls let no air through at the height of the layer, and every suction point and drain has the same suction.",
    "Losses to fast air in clean stone near a pit are left out.",
    "Corners and walls are judged at the middle of the nearest of 64 by 64 squares.",
)


@dataclass(frozen=True)
class Slab:
    """An outline with the places where it is sucked at, each at a suction of 1 Pa; all in metres."""

    footprint: Footprint
    sinks: tuple[Sink, ...]

    def at(self, suction: float) -> tuple[Sink, ...]:
        """The places at this suction."""
        return tuple(_with_suction(sink, suction) for sink in self.sinks)

    def map(self, suction: float, leakage_length: float) -> SuctionMap:
        """The suction under the slab, on the grid."""
        x, y = self._axes
        return SuctionMap(self.footprint, x, y, suction * _unit_field(self, leakage_length))

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
    def distances(self) -> np.ndarray:
        """From each point of the grid that lies inside to the nearest pit or drain, m."""
        x, y = self._axes
        grid_x, grid_y = (axis[self._inside] for axis in np.meshgrid(x, y))
        found = [
            _distances(grid_x, grid_y, start, end)
            for sink in self.sinks
            for start, end in (sink.straights if isinstance(sink, Drain) else [(sink.at, sink.at)])
        ]
        return np.min(found, axis=0)

    def units(self, leakage_length: Values) -> np.ndarray:
        """Suction at every inside point (columns) for 1 Pa at the places, for each leakage length (rows)."""
        return self._along(leakage_length, lambda length: _unit_field(self, length)[self._inside])

    def drawn(self, leakage_length: Values) -> np.ndarray:
        """Flow over transmissivity for 1 Pa at the places, for each leakage length."""
        return self._along(leakage_length, lambda length: np.array([_unit_flow(self, length)]))[:, 0]

    @staticmethod
    def _along(leakage_length: Values, of_one: Callable[[float], np.ndarray]) -> np.ndarray:
        lengths = np.atleast_1d(np.asarray(leakage_length, dtype=float))
        if not np.all((lengths > 0) & np.isfinite(lengths)):
            raise ValueError(
                "the leakage length must be above zero: a layer that lets some air through, a slab that leaks"
            )
        lengths = np.log(lengths)
        low, high = float(lengths.min()), float(lengths.max())
        if high - low < 1e-12:
            return np.broadcast_to(of_one(math.exp(low)), (len(lengths), *of_one(math.exp(low)).shape))
        nodes = np.linspace(low, high, _NODES if high - low > _NARROW else _FEW_NODES)
        found: np.ndarray = smooth(nodes, np.array([of_one(math.exp(node)) for node in nodes]))(lengths)
        return found


@lru_cache(maxsize=64)
def _unit_field(slab: Slab, leakage_length: float) -> np.ndarray:
    response = respond(slab.sinks, slab.footprint, leakage_length)
    x, y = slab._axes
    found = response.field(np.ones(len(slab.sinks)), x[np.newaxis, :], y[:, np.newaxis])
    # Inside a pit stands its own suction, and nowhere more than that.
    for sink in slab.sinks:
        if isinstance(sink, Pit):
            found[(x[np.newaxis, :] - sink.at[0]) ** 2 + (y[:, np.newaxis] - sink.at[1]) ** 2 < sink.radius**2] = 1.0
    found[~slab._inside] = np.nan
    return found


@lru_cache(maxsize=64)
def _unit_flow(slab: Slab, leakage_length: float) -> float:
    return float(respond(slab.sinks, slab.footprint, leakage_length).drawn.sum())


def _with_suction(sink: Sink, suction: float) -> Sink:
    if isinstance(sink, Pit):
        return Pit(sink.at, sink.radius, suction)
    return Drain(sink.points, suction, sink.closed)


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
    return Slab(footprint, tuple(sinks)) if footprint and sinks and all(point.radius for point in pits) else None


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
        return _fit(readings, slab.at(suction.value), slab.footprint, flows)
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
    because = (
        f"fitted to the {len(found.readings)} test holes of the record; the tolerance is the range that holds 95 %"
    )
    estimates = {"leakage_length": found.leakage_length, "layer_transmissivity": found.transmissivity}
    return tuple(
        Assumed(name, _as_quantity(name, one, house.system), because) for name, one in estimates.items() if one.closed
    )


def _as_quantity(name: str, estimate: Estimate, system: System) -> str:
    low, high = estimate.wide
    assert low is not None
    assert high is not None
    unit = term(name).unit(system)
    half = max(estimate.best - low, high - estimate.best)
    return f"{decimal(estimate.best, unit, 4)} ± {decimal(half, unit, 2)}"


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
        said.append(f"Misfit: chi squared {found.chi_squared:.1f} with {found.degrees} readings to spare.")
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

    def made(
        name: str,
        title: str,
        gives: tuple[str, ...],
        takes: tuple[str, ...],
        function: Callable[..., Mapping[str, Values]],
    ) -> Solver:
        return Solver(name, title, gives, (*takes, *plan), _DERIVED, function, assumptions=_ASSUMED)

    def suction(soil_suction: Values, leakage_length: Values, target_suction: Values, **_: Values) -> dict[str, Values]:
        return _shaped(
            _suctions(_drawn(slab), soil_suction, leakage_length, target_suction),
            soil_suction,
            leakage_length,
            target_suction,
        )

    def flow(
        soil_suction: Values, leakage_length: Values, layer_transmissivity: Values, **_: Values
    ) -> dict[str, Values]:
        drawn = layer_transmissivity * soil_suction * _drawn(slab).drawn(leakage_length)
        return _shaped({"soil_flow": drawn}, soil_suction, leakage_length, layer_transmissivity)

    def cold(soil_suction: Values, leakage_length: Values, stack_suction: Values, **_: Values) -> dict[str, Values]:
        least = _drawn(slab).units(leakage_length).min(axis=1)
        found = (soil_suction + stack_suction) * least - stack_suction
        return _shaped({"cold_least_suction": found}, soil_suction, leakage_length, stack_suction)

    return (
        made(
            "slab_suction", "Suction under this slab", ("least_suction", "reached_share", "reached_area", "suction_reach"),
            ("soil_suction", "leakage_length", "target_suction"), suction,
        ),
        made(
            "slab_flow", "Air drawn from under this slab", ("soil_flow",),
            ("soil_suction", "leakage_length", "layer_transmissivity"), flow,
        ),
        made(
            "cold_day", "Least suction on a cold day, if all the soil's air comes from outdoors", ("cold_least_suction",),
            ("soil_suction", "leakage_length", "stack_suction"), cold,
        ),
    )  # fmt: skip


def _drawn(slab: Slab | None) -> Slab:
    if slab is None:
        raise ValueError("the plan wants foundation.outline, and a place in suction.point or suction.drain")
    return slab


def _suctions(slab: Slab, suction: Values, length: Values, target: Values) -> dict[str, np.ndarray]:
    if np.any(np.asarray(target) <= 0) or np.any(np.asarray(suction) <= 0):
        raise ValueError("the target and the suction at the suction point must be above zero")
    units = slab.units(length)
    # Reached where the share of the place's suction that comes through is at least the share that is asked for.
    reached = units >= np.atleast_1d(target / np.asarray(suction))[:, np.newaxis]
    short = np.where(reached, np.inf, slab.distances)
    share = reached.mean(axis=1)
    return {
        "least_suction": suction * units.min(axis=1),
        "reached_share": share,
        "reached_area": share * slab.footprint.area,
        "suction_reach": np.minimum(short.min(axis=1), slab.distances.max()),
    }


def _shaped(found: dict[str, np.ndarray], *given: Values) -> dict[str, Values]:
    """Numbers for numbers, arrays for arrays."""
    shape = np.broadcast_shapes(*(np.shape(value) for value in given))
    if shape:
        return {name: np.broadcast_to(value, shape) for name, value in found.items()}
    return {name: float(np.ravel(value)[0]) for name, value in found.items()}
