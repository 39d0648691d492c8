"""Fan and system in one chart that follows a control: both curves, where they meet, and nothing that takes long.

Its curves come from the statement itself: at other speeds of the fan the same system is met at other points, and those
points are the system's curve.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from radonwork.drawings.plot import Anchor, Axis, Plot
from radonwork.engine.solver import Solver
from radonwork.formulas.fan import fan_flow_at_speed, fan_pressure_at_speed
from radonwork.glossary import System, term
from radonwork.house.air import AirSolver, air_solver
from radonwork.solvers.fan_curve import ExampleFan, pressure_and_slope
from radonwork.units import shown

Terms: TypeAlias = Mapping[str, float]
Curve: TypeAlias = tuple[np.ndarray, np.ndarray]
Also: TypeAlias = Callable[[Plot], None]
SPEEDS = np.linspace(0.15, 1.45, 24)


@dataclass(frozen=True)
class FanChart:
    """The chart of one statement. `at_speed` gives its terms with the fan at other speeds, `fan` the fan's own curve."""

    name: str
    title: str
    statement: Solver
    flow: str
    gauge: str
    soil: str
    at_speed: Callable[[Terms, np.ndarray], Mapping[str, float | np.ndarray]]
    fan: Callable[[Terms], Curve]

    @property
    def takes(self) -> tuple[str, ...]:
        """The terms without which there is no chart."""
        return self.statement.takes

    def system_curve(self, values: Terms) -> Curve:
        """Flow and pressure that the system takes, from still air upwards."""
        terms = {name: values[name] for name in self.statement.takes if name in values}
        found = self.statement(**self.at_speed(terms, SPEEDS))
        flow, pressure = (np.append(0.0, found[name]) for name in (self.flow, "fan_pressure"))
        return flow, pressure

    def svg(self, values: Terms, system: System = "us") -> str:
        """The chart at SI values by term, results of the statement among them."""
        return self.plot(values, system).svg()

    def plot(self, values: Terms, system: System, also: Also | None = None) -> Plot:
        """The chart, to be added to; `also` draws what belongs below the operating point."""
        flow_unit, pressure_unit = (term(name).unit(system) for name in (self.flow, "fan_pressure"))
        fan_flow, fan_pressure = self.fan(values)
        plot = Plot(
            self.name,
            self.title,
            Axis("flow of air", flow_unit, 0.0, 1.04 * float(fan_flow[-1])),
            Axis("pressure", pressure_unit, 0.0, 1.1 * float(fan_pressure[0])),
        )
        plot.line(fan_flow, fan_pressure, "ink", "the fan")
        plot.line(*self.system_curve(values), "accent dashed", "the system: soil, lid and pipe")
        if also:
            also(plot)
        q, p, soil = values[self.flow], values["fan_pressure"], values[self.soil]
        plot.line([q, q], [0.0, p], "warn dashed")
        plot.points([q], [soil], "square", "warn", "suction at the sump or pit")
        plot.points([q], [p], "circle", "warn", "where they meet")
        right = q < 0.62 * plot.x.high
        anchor: Anchor = "start" if right else "end"
        dx = 12 if right else -12
        plot.text(q, p, f"{shown(q, flow_unit)} at {shown(p, pressure_unit)}", anchor, "warn", dx, -8)
        plot.text(q, soil, shown(soil, pressure_unit), anchor, "warn", dx, 4)
        return plot

    def described(self, values: Terms, system: System = "us") -> str:
        """The same in words."""
        said = {n: shown(values[n], term(n).unit(system)) for n in (self.flow, "fan_pressure", self.soil, self.gauge)}
        return (
            f"The fan's curve falls and the system's curve rises with the flow; they meet at {said[self.flow]} and "
            f"{said['fan_pressure']}. Of that {said[self.soil]} stands at the sump or pit; the gauge reads "
            f"{said[self.gauge]}."
        )


def house_chart(statement: AirSolver) -> FanChart:
    """The chart of a house's own fan and system."""
    air = statement.air
    assert air

    def fan(values: Terms) -> Curve:
        speed = values.get("speed_ratio", 1.0)
        flows = np.linspace(air.curve.least_flow, air.curve.largest_flow, 41) * speed
        return flows, air.fan_pressures(flows, values["air_density"], speed)

    # The system is the same whatever fan meets it: the fan that traces its curve goes on where the maker's points end.
    points = air.curve.points
    before = ((0.0, points[0][1]),) if points[0][0] > 0 else ()
    behind = ((2 * points[-1][0], 0.0),) if points[-1][1] > 0 else ()
    traced = replace(air, curve=replace(air.curve, points=(*before, *points, *behind)))
    return FanChart(
        name="fan-and-house",
        title=f"Fan and system: {air.fan_name}",
        statement=air_solver(traced) if before or behind else statement,
        flow="operating_flow",
        gauge="gauge_reading",
        soil="working_suction",
        at_speed=lambda terms, speeds: {**terms, "speed_ratio": speeds * terms.get("speed_ratio", 1.0)},
        fan=fan,
    )


def example_chart(statement: Solver) -> FanChart:
    """The chart of the example sump, whose fan is stated by its shutoff pressure and free flow."""

    def at_speed(terms: Terms, speeds: np.ndarray) -> dict[str, float | np.ndarray]:
        pressure = fan_pressure_at_speed(
            rated_pressure=terms["shutoff_pressure"], speed_ratio=speeds, density_ratio=1.0
        )
        flow = fan_flow_at_speed(rated_flow=terms["free_flow"], speed_ratio=speeds)
        return {**terms, "shutoff_pressure": pressure, "free_flow": flow}

    def fan(values: Terms) -> Curve:
        flows = np.linspace(0.0, values["free_flow"], 41)
        curve = ExampleFan(
            values["shutoff_pressure"], values["free_flow"], values["fan_exponent"], values["rated_density"]
        )
        return flows, pressure_and_slope(curve, flows, values["air_density"] / values["rated_density"])[0]

    return FanChart(
        name="fan-and-sump",
        title="Fan and system: an invented fan",
        statement=statement,
        flow="air_flow",
        gauge="gauge_suction",
        soil="soil_suction",
        at_speed=at_speed,
        fan=fan,
    )
