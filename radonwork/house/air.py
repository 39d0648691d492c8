"""The air of one house: its own route, soil, lid and fan as a statement that a sheet can hold, and what else may be asked.

`air_of(house)` gives it, or None where the record lists no piece of the route or no point of the fan's curve (see
air_wanted). The statement takes the number and bore of the pipes in the wall as well, so that a control can
change them.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, cast

import numpy as np
import sympy

from radonwork.engine.formula import Values, symbol
from radonwork.engine.sheet import Run, Sheet
from radonwork.engine.solver import Solver
from radonwork.files import table
from radonwork.formulas.fan import fan_pressure_at_speed
from radonwork.glossary import term
from radonwork.house.air_wanted import unsettled
from radonwork.house.pipe_sizes import pipe_size
from radonwork.house.record import House
from radonwork.house.route import STRAIGHT, Section, VentRoute
from radonwork.solvers.fan_curve import FanCurve
from radonwork.solvers.route import Network, NotAttainable, Soil
from radonwork.solvers.system import Solved, Station, Tap, house_system, results_of, solve_system, tap_along, with_lid

Terms = Mapping[str, Values]
# The record's design flow, the reading on its gauge and the suction that a blower made at its soil are facts; what the
# system is found to do has names of its own.
FOUND = {"air_flow": "operating_flow", "gauge_suction": "gauge_reading", "soil_suction": "working_suction"}


@dataclass(frozen=True)
class HouseAir:
    """The way of the air and the fans of a record. `fans` has every fan with a curve: its name, curve, and power in W."""

    route: VentRoute
    curve: FanCurve
    fan_name: str = "fan"
    fans: tuple[tuple[str, FanCurve, float | None], ...] = ()

    @property
    def wall(self) -> bool:
        """Whether a part of the route is of the pipes in the wall."""
        return any(section.pipe == "wall.pipe" for section in self.route.sections)

    def route_with(self, terms: Terms) -> VentRoute:
        """The route with the number and bore of the pipes in the wall that `terms` states."""
        inside = next((s for s in self.route.sections if s.pipe == "wall.pipe"), None)
        if inside is None or "small_bore" not in terms:
            return self.route
        bore = terms["small_bore"]
        outside = bore + (inside.outside_diameter - inside.bore)  # a pipe of the same wall thickness
        return self.route.with_wall(
            count=round(float(np.max(terms.get("pipe_count", 1.0)))), bore=bore, outside_diameter=outside
        )

    def network(self, terms: Terms) -> Network:
        """The network of soil, lid and pipe."""
        made = self.route_with(terms).network(Soil(terms["soil_resistance"]))
        return with_lid(made, terms["lid_leak_area"], discharge=terms.get("discharge_coefficient", 0.6))

    def solved(self, terms: Terms, curve: FanCurve | None = None) -> Solved:
        """The whole system at SI values by term. Raises NotAttainable, NetworkError, RouteError, one line each."""
        network = self.network(terms)
        return solve_system(
            network,
            curve or self.curve,
            air_density=terms["air_density"],
            air_viscosity=terms["air_viscosity"],
            speed_ratio=terms.get("speed_ratio", 1.0),
            tap=self.tap(network),
        )

    def branches(self, network: Network, pipe: str = "") -> list[str]:
        """The branches along the way in the order of the air, one of several side by side; or those of one pipe only."""
        names = {branch.name for branch in network.branches}
        return [
            section.name if section.name in names else f"{section.name} 1"
            for section in self.route.sections
            if not pipe or section.pipe == pipe
        ]

    @staticmethod
    def side_by_side(network: Network, section: Section) -> list[str]:
        """The branches of all pipes of a section; none where the network holds nothing of it."""
        names = {branch.name for branch in network.branches}
        several = [f"{section.name} {number}" for number in range(1, section.side_by_side + 1)]
        return [name for name in (section.name, *several) if name in names]

    def tap(self, network: Network) -> Tap:
        """The gauge's tap: where the record has it, or else at the end of the first straight pipe."""
        along = self.branches(network)
        if self.route.tap_distance is not None:
            return tap_along(network, along, self.route.tap_distance)
        straights = [
            (piece.number, Tap(branch, place))
            for branch, section in zip(along, self.route.sections, strict=True)
            for place, piece in enumerate(section.pieces, 1)
            if piece.kind == STRAIGHT
        ]
        if not straights:
            raise ValueError("run.piece: the route has no straight pipe to tap for a gauge; list one")
        if self.route.tap_after is None:
            return straights[0][1]
        before = [tap for number, tap in straights if number <= self.route.tap_after]
        return before[-1] if before else replace(straights[0][1], share=0.0)

    def profile(self, terms: Terms) -> tuple[Station, ...]:
        """Pressure along the way, from the suction point to the outlet."""
        solved = self.solved(terms)
        return solved.profile(self.branches(solved.network), self.before_fan())

    def before_fan(self) -> int:
        """How many pieces of the fan's own section stand before it."""
        after = self.route.pieces[-1].number if self.route.fan_after is None else self.route.fan_after
        section = next(s for s in self.route.sections if s.pieces[-1].number >= max(after, 1))
        return max(after - section.pieces[0].number + 1, 0)

    def fan_pressures(
        self, flows: np.ndarray, density: float, speed: float = 1.0, curve: FanCurve | None = None
    ) -> Any:
        """Pressure of the fan at flows, moved by the fan laws."""
        of = curve or self.curve
        rated, _ = of.rated(np.asarray(flows) / speed)
        return fan_pressure_at_speed(rated_pressure=rated, speed_ratio=speed, density_ratio=density / of.rated_density)


def air_of(house: House) -> HouseAir | None:
    """The air of a house whose record lists a route of known sizes and a fan with points."""
    route, curve = house.route(), house.fan_curve()
    if route is None or curve is None or route.missing or house.fan is None:
        return None
    powers = [house.fan.power, *(other.power for other in house.fan_alternative if other.point)]
    fans = tuple(
        (name, of, power.value if power else None)
        for (name, of), power in zip(house.fan_curves().items(), powers, strict=False)
    )
    return HouseAir(route, curve, house.fan.name or "fan", fans)


# ---------------------------------------------------------------- the statement


@dataclass(frozen=True)
class AirSolver(Solver):
    """The statement, and the air it is of."""

    air: HouseAir | None = field(default=None, repr=False)


def air_solver(air: HouseAir) -> AirSolver:
    """Route, soil, lid and fan of a house as a statement for its sheet. Raises RouteError for a route of no network."""
    network = air.route.network(Soil(1.0))
    own = house_system(
        network,
        air.curve,
        tap=air.tap(network),
        main=air.branches(network, "run.pipe"),
        wall=air.branches(network, "wall.pipe"),
    )

    def function(**terms: Values) -> Mapping[str, Values]:
        solved = air.solved(terms)
        if not np.all(solved.solution.attained):
            raise NotAttainable("not attainable on this fan's curve for every value given; add the maker's points")
        found = {FOUND.get(name, name): value for name, value in results_of(solved).items()}
        for name, pipe in (("main_velocity", "run.pipe"), ("wall_velocity", "wall.pipe")):
            sections = [section for section in air.route_with(terms).sections if section.pipe == pipe]
            if branches := [branch for one in sections for branch in air.side_by_side(solved.network, one)]:
                found[name] = solved.largest_velocity(branches)
        return found | {"curve_end_flow": air.curve.largest_flow * terms["speed_ratio"] + 0.0 * solved.air_flow}

    renamed = {symbol(old): symbol(new) for old, new in FOUND.items()}
    with sympy.evaluate(False):
        equations = tuple(cast(sympy.Eq, equation.xreplace(renamed)) for equation in own.equations)
    return AirSolver(
        name="house_air",
        title=own.title,
        gives=(*(FOUND.get(name, name) for name in own.gives), "curve_end_flow"),
        takes=(*own.takes, *(("pipe_count", "small_bore") if air.wall else ())),
        source=own.source,
        function=function,
        equations=equations,
        ranges=own.ranges,
        assumptions=own.assumptions,
        defaults=own.defaults,
        air=air,
    )


def air_statement(house: House) -> Solver:
    """The statement for the sheet of a house whose record settles its air, or why it makes no network."""
    air = air_of(house)
    assert air
    try:
        return air_solver(air)
    except ValueError as fault:  # a route that makes no network: said where the statement would be worked
        return unsettled((), str(fault))


# ---------------------------------------------------------------- velocity along the way


@dataclass(frozen=True)
class Passage:
    """One section of the way: SI values as it is, and from the least to the most over the tolerances.

    `flow` and `velocity` are those of the pipe with the most air, where several stand side by side; `published_flow` is
    the flow that the standard names for a pipe of this size, None where it names none.
    """

    name: str
    in_wall: bool
    side_by_side: int
    bore: float
    flow: float
    velocity: float
    low: float
    high: float
    published_flow: float | None


def passages(run: Run) -> tuple[Passage, ...]:
    """Every section with pipe in it, in the order of the air; empty without a system."""
    air = air_in(run)
    if air is None or "operating_flow" not in run.values:
        return ()
    statement = next(s for s in run.sheet.statements if isinstance(s, AirSolver))
    values = {name: q.value for name, q in statement.defaults.items()} | dict(run.values)
    terms = {name: values[name] for name in statement.takes}
    route, now = air.route_with(terms), air.solved(terms)
    spread = air.solved({name: run.samples.get(name, value) for name, value in terms.items()})
    found = []
    for section in (*route.sections, *(part for point in route.tributaries for part in point.sections)):
        own = air.side_by_side(now.network, section)
        if not own or not any(piece.length for piece in section.pieces):
            continue
        over = spread.largest_velocity(own)
        bore = float(np.max(section.bore))
        found.append(
            Passage(
                section.name,
                section.pipe == "wall.pipe",
                section.side_by_side,
                bore,
                max(float(now.solution.flows[name]) for name in own),
                float(now.largest_velocity(own)),
                float(np.nanmin(over)),
                float(np.nanmax(over)),
                _published_flow(bore),
            )
        )
    return tuple(found)


def _published_flow(bore: float) -> float | None:
    """The flow at which a pipe of this bore is said to reach the velocity of noise (data/tables/asd_pipe_velocity.csv)."""
    for row in table("asd_pipe_velocity"):
        if abs(pipe_size(row["nominal_in"]).bore / bore - 1) < _SAME_SIZE:
            return term("air_flow").read(row["flow_cfm"], unit="cfm").value
    return None


_SAME_SIZE = 0.03
"""Share by which a bore may differ from that of a size in the table and be of it: walls of other schedules are within."""


# ---------------------------------------------------------------- what changes if


@dataclass(frozen=True)
class Alternative:
    """One change of the system, and its topic worked again."""

    name: str
    run: Run


OPEN_LID = 10 * 0.0254**2
"""m²: a lid off its seal, ten square inches of gap."""
_WALLS = (
    ("one 3 in pipe in the wall", 1, "3"),
    ("two 2 in pipes in the wall", 2, "2"),
    ("three 2 in pipes in the wall", 3, "2"),
)


def alternatives(run: Run) -> tuple[Alternative, ...]:
    """The system as it is and with one thing changed at a time: pipes in the wall, lid, fan. Empty without a system."""
    air = air_in(run)
    if air is None or "operating_flow" not in run.values:
        return ()
    given = {name: quantity.value for name, quantity in run.given.items()}
    return tuple(
        Alternative(name, _with_curve(run.sheet, curve).run({**given, **changed}, run.system))
        for name, changed, curve in _changes(air)
    )


def _changes(air: HouseAir) -> Iterator[tuple[str, Mapping[str, float], FanCurve]]:
    yield "as it is", {}, air.curve
    if air.wall:
        for name, count, size in _WALLS:
            yield name, {"pipe_count": float(count), "small_bore": pipe_size(size).bore}, air.curve
    yield "lid sealed", {"lid_leak_area": 0.0}, air.curve
    yield "lid open by 10 in² (65 cm²)", {"lid_leak_area": OPEN_LID}, air.curve
    for name, curve, power in air.fans[1:]:
        yield name, {} if power is None else {"fan_power": power}, curve


def _with_curve(sheet: Sheet, curve: FanCurve) -> Sheet:
    statements = tuple(
        air_solver(replace(s.air, curve=curve)) if isinstance(s, AirSolver) and s.air else s for s in sheet.statements
    )
    return Sheet(sheet.name, sheet.title, statements, sheet.optional)


def air_in(run: Run) -> HouseAir | None:
    """The air that the sheet of a run is of."""
    return next((s.air for s in run.sheet.statements if isinstance(s, AirSolver)), None)
