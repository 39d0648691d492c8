"""What a change of lid, suction points or pipe does to how far suction reaches under the slab of one house.

Soil, lid, pipe and fan are solved together: the soil is the layer of the topic "suction", stated or fitted, under the
house's own outline; the way of the air and the fan are those of the topic "air".
"""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from typing import Any

import numpy as np

from radonwork.engine.formula import Values
from radonwork.engine.refusals import Refusal
from radonwork.engine.sheet import Run, tolerance_samples
from radonwork.glossary import term
from radonwork.house.air import OPEN_LID, HouseAir, air_of
from radonwork.house.calculations import calculate
from radonwork.house.pipe_sizes import pipe_size
from radonwork.house.record import House
from radonwork.house.slab import STONE, Slab, slab_of
from radonwork.solvers.coupled import Effect, Ground, coupled, effect_of, on_soil, soil_branches
from radonwork.solvers.fitting_table import fitting
from radonwork.solvers.gauge import Beforehand
from radonwork.solvers.network import solve
from radonwork.solvers.route import Branch, Fitting, Network, Pipe, Soil
from radonwork.solvers.slab_plan import Pit, Point
from radonwork.solvers.suction_field import Layer
from radonwork.solvers.system import PIT, with_point
from radonwork.units import Quantity, decimal

CLEAR = 0.6
"""m that a second suction point keeps from the walls and their footings: a choice."""
SECOND_POINT = "second suction point"
_VARIANTS = 33  # the corners of lid, layer and fan, and as many points between
_ELBOW = "90° elbow, regular"
_SMALL = "2"
_FROM_AIR = ("lid_leak_area", "air_density", "air_viscosity")
_FROM_SLAB = ("layer_transmissivity", "leakage_length", "target_suction")


@dataclass(frozen=True)
class Change:
    """One change: what it does, or in one line why that cannot be worked.

    `spread` has the least and the most of what it does over the stated tolerances, by the names of an Effect.
    """

    name: str
    effect: Effect | None = None
    fault: str = ""
    spread: Mapping[str, tuple[float, float]] = field(default_factory=dict)


@dataclass(frozen=True)
class Reach:
    """The system as it is and with one thing changed at a time; without changes, `lacks` says in one line what is wanting."""

    changes: tuple[Change, ...] = ()
    notes: tuple[str, ...] = ()
    lacks: str = ""


@lru_cache(maxsize=8)
def reach_of(house: House) -> Reach:
    """The changes for a house, or the fields of its record that would supply what they want."""
    of_air, of_slab = calculate(house, "air"), calculate(house, "suction")
    # The layer stands in the place of the soil's resistance, and the fan in that of a stated suction.
    of_pipe = [name for name in _absent(of_air.run, "house_air") if name != "soil_resistance"]
    fields = [of_air.missing[name] for name in of_pipe if name in of_air.missing]  # others were refused
    layer = _absent(of_slab.run, "layer_transmissivity", "leakage_length")
    absent = dict.fromkeys((*layer, *_absent(of_slab.run, "slab_suction")))
    fields += [of_slab.missing[name] for name in absent if name in of_slab.missing and name != "soil_suction"]
    if fields:
        instead = "; test holes, with suction.soil_suction, tell the layer as well" if layer else ""
        return Reach(lacks=f"The record wants {', '.join(dict.fromkeys(fields))}{instead}.")
    air, slab, of = air_of(house), slab_of(house), {**of_slab.run.values, **of_air.run.values}
    if air is None or slab is None or not all(name in of for name in (*_FROM_AIR, *_FROM_SLAB)):
        refused = {**of_air.run.refused, **of_slab.run.refused}
        return Reach(lacks="; ".join(refused.values()) or "Pipe and fan, or the slab, are not settled by the record.")
    return _System(house, air, slab, of, _samples((of_air.run, of_slab.run), of)).reach()


def _samples(runs: tuple[Run, ...], values: Mapping[str, float]) -> Mapping[str, np.ndarray]:
    """Variants of what lid, layer, air and fan are within their tolerances, by term; empty where none is stated.

    Statements that lead to one of these, such as the layer's from its stone, are worked for each variant.
    """
    wanted = {*_FROM_AIR, *_FROM_SLAB, *STONE, "speed_ratio"} - {"target_suction"}
    leading: list[Any] = []
    for run in runs:
        for statement in reversed(run.sheet.statements):
            if wanted & set(statement.gives) and all(
                name in {**values, **statement.defaults} for name in statement.takes
            ):
                wanted |= set(statement.takes)
                leading.insert(0, statement)
    given = {name: quantity for run in runs for name, quantity in run.given.items() if name in wanted}
    given.setdefault("speed_ratio", Quantity(1.0, "", 2 * Beforehand().fan_speed_error, ""))
    samples = tolerance_samples(given, _VARIANTS)
    for statement in leading:
        if any(name in samples for name in statement.takes):
            found = statement(**{name: samples.get(name, values[name]) for name in statement.takes if name in values})
            named = found if isinstance(found, dict) else {statement.gives[0]: found}
            samples |= {name: np.broadcast_to(value, (_VARIANTS,)) for name, value in named.items()}
    return samples


def _absent(run: Run, *statements: str) -> Iterator[str]:
    """What statements of a sheet lack, other than what they lack of each other."""
    for name in statements:
        yield from (absent for absent in run.missing.get(name, ()) if absent not in run.missing)


_Variant = Callable[[Mapping[str, Values]], tuple[Network, Slab]]
"""The network of a change, and the slab with the places that it sucks at, at values or at samples of them."""


@dataclass(frozen=True)
class _System:
    """A house's air and slab, and the values of both topics."""

    house: House
    air: HouseAir
    slab: Slab
    values: Mapping[str, float]
    samples: Mapping[str, np.ndarray]

    def reach(self) -> Reach:
        changes = tuple(self.worked(name, variant) for name, variant in self.variants())
        if changes[0].fault:
            return Reach(lacks=changes[0].fault)
        return Reach(changes, tuple(self.notes(changes)))

    def variants(self) -> Iterator[tuple[str, _Variant]]:
        yield "as it is", partial(self.changed, terms={})
        yield "lid sealed", partial(self.changed, terms={"lid_leak_area": 0.0})
        yield "lid open by 10 in² (65 cm²)", partial(self.changed, terms={"lid_leak_area": OPEN_LID})
        yield SECOND_POINT, self.with_second
        for name, pipes in self.walls():
            yield name, partial(self.changed, terms=pipes)

    def worked(self, name: str, variant: _Variant) -> Change:
        try:
            network, slab = variant(self.values)
            ground = Ground(
                Layer(self.values["layer_transmissivity"], self.values["leakage_length"]),
                slab.at(0.0, **self.stone(self.values)),
                slab.apart,
                slab.footprint,
            )
            density, viscosity = (self.values[term] for term in ("air_density", "air_viscosity"))
            both = coupled(network, self.air.curve, ground, air_density=density, air_viscosity=viscosity)
            # The fields of the places stand already, whatever suction each has.
            effect = effect_of(name, both, slab.map_of(both.field), self.values["target_suction"])
        except ValueError as fault:  # a fan that cannot serve it, a route that makes no network, a pit without room
            return Change(name, fault=fault.reason(self.house.system) if isinstance(fault, Refusal) else str(fault))
        return Change(name, effect, spread=self.spread(variant))

    def spread(self, variant: _Variant) -> Mapping[str, tuple[float, float]]:
        """What a change does over the tolerances, all variants at once; empty where the fan's curve ends within them."""
        values: dict[str, Any] = {**self.values, **self.samples}
        transmissivity, length = (
            np.broadcast_to(values[name], (_VARIANTS,)) for name in ("layer_transmissivity", "leakage_length")
        )
        network, slab = variant(values)
        points = [slab.apart[group[0]] for group in slab.groups]
        conductance = transmissivity[:, np.newaxis, np.newaxis] * slab.drawn(length)
        soil = soil_branches(points, conductance, slab.losses(self.stone(values)))
        solution = solve(
            on_soil(network, points, soil), self.air.curve,
            **{name: values[name] for name in ("air_density", "air_viscosity", "speed_ratio")},
        )  # fmt: skip
        if not np.all(solution.attained):
            return {}
        available = np.stack([solution.suctions[point] for point in points], axis=-1)
        drives = slab.drives(available, length, self.stone(values))
        suctions = slab.suctions(length, drives, available)
        found = {
            "air_flow": solution.fan_flow,
            "soil_suction": solution.suctions[PIT],
            "least_suction": suctions.min(axis=1),
            "share_reaching": (suctions >= values["target_suction"]).mean(axis=1),
        }
        return {name: (float(np.min(one)), float(np.max(one))) for name, one in found.items()}

    # ------------------------------------------------------------ what is changed

    def changed(self, values: Mapping[str, Values], terms: Mapping[str, float]) -> tuple[Network, Slab]:
        """The system at these values, with other ones of some terms."""
        # What stands for the soil here gives way to the layer.
        return self.air.network({**values, "soil_resistance": 1.0, **terms}), self.places()

    def places(self, *more: Pit) -> Slab:
        """Every place of the record, and more: each drawn from at the suction point with its own pipe.

        Drains, and pits that no branch of the route is for, are drawn from at the first.
        """
        nodes = {point.name: point.node for point in self.air.route.tributaries}
        pits = [point for point in self.house.suction_points() if not point.on_drain]
        points = [*(PIT for _ in self.house.drains()), *(nodes.get(pit.name, PIT) for pit in pits)]
        if alone := [name for name, node in nodes.items() if node not in points]:
            raise ValueError(
                f"run.branch: {alone[0]} has no pit of its own on the plan; place a suction.point of that name"
            )
        return replace(self.slab, sinks=(*self.slab.sinks, *more), apart=(*points, *(self.added for _ in more)), own=())

    def stone(self, values: Mapping[str, Values]) -> dict[str, Any]:
        return {name: values[name] for name in STONE} if self.slab.stone else {}

    @property
    def added(self) -> str:
        """The node of a suction point beside those of the record."""
        return f"{PIT} {len(self.air.route.tributaries) + 2}"

    def walls(self) -> Iterator[tuple[str, Mapping[str, float]]]:
        """The wall as one pipe of the main size, as two small ones, as three."""
        main = next((s.bore for s in self.air.route.sections if s.pipe == "run.pipe"), None)
        own = next((s.bore for s in self.air.route.sections if s.pipe == "wall.pipe"), None)
        if main is None or own is None:
            return
        small = own if own < main else pipe_size(_SMALL).bore
        for count, words, bore in ((1, "one main-size pipe", main), (2, "two pipes", small), (3, "three pipes", small)):
            unit = term("small_bore").unit(self.house.system)
            yield f"wall: {words}, bore {decimal(bore, unit, 4)}", {"pipe_count": float(count), "small_bore": bore}

    def second(self) -> Pit:
        """A pit like the record's at the place farthest from every pit and drain, clear of the walls."""
        suction = self.house.suction
        radius = next((p.radius for p in self.house.suction_points() if p.radius), None)
        radius = radius or (suction.pit_radius.value if suction and suction.pit_radius else None)
        if radius is None:
            raise ValueError("a second suction point wants suction.pit_radius in the record")
        x, y = self.slab.points
        for place in np.argsort(-self.slab.distances, kind="stable"):
            at = (float(x[place]), float(y[place]))
            if self.slab.footprint.distance(at) >= max(CLEAR, radius):
                return Pit(at, radius, 1.0)
        raise ValueError("the slab of foundation.outline has no place clear of its walls for a second suction point")

    def with_second(self, values: Mapping[str, Values]) -> tuple[Network, Slab]:
        """Its pipe has the entrance and rise of the first, then goes along the walls to a wye above the first."""
        (network, _), pit = self.changed(values, {}), self.second()
        lead, rise = self.rise(network)
        bore = lead.pieces[rise - 1].bore  # type: ignore[union-attr]  # a straight pipe
        before, after = lead.pieces[:rise], lead.pieces[rise:] or (Fitting(0.0, bore),)
        # The part after the wye keeps the name, since wyes in the wall and the fan go by it.
        parted = (Branch(f"{lead.name} below the wye", PIT, "head", before), Branch(lead.name, "head", lead.end, after))
        network = replace(network, branches=(*(b for b in network.branches if b is not lead), *parted))
        elbow = Fitting(fitting(_ELBOW).coefficient(bore), bore)
        pieces = (*before, elbow, Pipe(self.way(pit.at), bore), elbow)
        joined = with_point(network, self.added, "head", Soil(1.0), pieces, bore=bore, main_bore=bore)
        return joined, self.places(pit)

    def rise(self, network: Network) -> tuple[Branch, int]:
        """The branch that leads from the suction point, and how many of its pieces stand up to its first straight pipe."""
        leads = [branch for branch in network.branches if branch.start == PIT]
        straights = [n for n, piece in enumerate(leads[0].pieces, 1) if isinstance(piece, Pipe)]
        if len(leads) != 1 or not straights:
            raise ValueError("run.piece: a second suction point joins a straight main pipe, and none comes first")
        return leads[0], straights[0]

    def way(self, at: Point) -> float:
        """m of pipe from the second point along the walls to the first."""
        points = [point.at for point in self.house.suction_points()] or [self.house.drains()[0].points[0]]
        return math.fabs(at[0] - points[0][0]) + math.fabs(at[1] - points[0][1])

    # ------------------------------------------------------------ what is said

    def notes(self, changes: tuple[Change, ...]) -> Iterator[str]:
        unit = term("leakage_length").unit(self.house.system)
        yield (
            "Soil, lid, pipe and fan are solved together, one thing changed at a time. The soil is the layer as stated or "
            "fitted here, so the flow as it is may differ from that of pipe and fan by the error of what was measured. "
            "Suction at sump or pit is that of the first. The pull of the house itself is not taken off, and a reducer or "
            "wye that the route does not list is not counted."
        )
        yield (
            "In brackets, from the least to the most: all corners of the stated tolerances of lid and layer, and of "
            f"{200 * Beforehand().fan_speed_error:.0f} % more or less of the fan's speed (no source). They move together down "
            "the table: where two rows differ by less than their brackets, the change may still be a sure one."
        )
        second = next(change.effect for change in changes if change.name == SECOND_POINT)
        if second is None:
            return
        at = self.second().at
        place, weakest = (", ".join(decimal(axis, unit, 3) for axis in point) for point in (at, second.weakest_at))
        yield (
            f"The second suction point is a sealed pit like the first at {place} from the outline's origin: the place "
            f"farthest from every pit and drain that lies {decimal(CLEAR, unit, 2)} or more from the walls. Its pipe, of "
            f"the main size, has the entrance and rise of the first, {decimal(self.way(at), unit, 3)} along the walls and "
            "two elbows, and joins the first by a wye after its first straight piece. The fan then serves both, so suction "
            f"at the first falls; the slab is weakest at {weakest}."
        )
