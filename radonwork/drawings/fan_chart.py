"""Fan and system in one chart that follows a control: both curves, where they meet, and nothing that takes long.

Its curves come from the statement itself: at other speeds of the fan the same system is met at other points, and those
points are the system's curve.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from html import escape
from typing import TypeAlias

import numpy as np

from radonwork.drawings.shapes import ACCENT, INK, PALE, TEXT_SIZE, WARN
from radonwork.engine.solver import Solver
from radonwork.formulas.fan import fan_flow_at_speed, fan_pressure_at_speed
from radonwork.glossary import System, term
from radonwork.house.air import AirSolver
from radonwork.solvers.fan_curve import ExampleFan, pressure_and_slope
from radonwork.units import number, shown, to_unit, unit_label

Terms: TypeAlias = Mapping[str, float]
Curve: TypeAlias = tuple[np.ndarray, np.ndarray]
WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM = 720, 400, 64, 24, 22, 52
SPEEDS = np.linspace(0.15, 1.45, 24)
_FONTS = 'system-ui, "DejaVu Sans", sans-serif'


@dataclass(frozen=True)
class FanChart:
    """The chart of one statement. `at_speed` gives its terms with the fan at other speeds, `fan` the fan's own curve."""

    name: str
    title: str
    statement: Solver
    flow: str
    gauge: str
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
        flow_unit, pressure_unit = (term(name).unit(system) for name in (self.flow, "fan_pressure"))
        fan_flow, fan_pressure = self.fan(values)
        flow, pressure = self.system_curve(values)
        most_flow, most_pressure = 1.04 * float(fan_flow[-1]), 1.1 * float(fan_pressure[0])
        wide, high = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM

        def place(q: float, p: float) -> str:
            return f"{LEFT + wide * q / most_flow:.1f},{TOP + high * (1 - p / most_pressure):.1f}"

        def line(curve: Curve, look: str) -> str:
            inside = [(q, p) for q, p in zip(*curve, strict=True) if q <= most_flow and p <= most_pressure]
            return f"<polyline points='{' '.join(place(q, p) for q, p in inside)}' fill='none' {look}/>"

        def words(x: float, y: float, text: str, anchor: str = "middle", colour: str = INK, more: str = "") -> str:
            return (
                f"<text x='{x:.1f}' y='{y:.1f}' text-anchor='{anchor}' fill='{colour}' paint-order='stroke' "
                f"stroke='#ffffff' stroke-width='3' stroke-linejoin='round'{more}>{escape(text)}</text>"
            )

        parts = [
            f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {WIDTH} {HEIGHT}' role='img' "
            f"aria-labelledby='{self.name}-title' font-family='{_FONTS}' font-size='{TEXT_SIZE}'>",
            f"<title id='{self.name}-title'>{escape(self.title)}</title>",
        ]
        for value, text in _ticks(most_flow, flow_unit):
            x, y = (float(part) for part in place(value, 0.0).split(","))
            parts += [f"<path d='M{x} {TOP}V{y + 4}' stroke='{PALE}' stroke-opacity='0.35'/>", words(x, y + 18, text)]
        for value, text in _ticks(most_pressure, pressure_unit):
            x, y = (float(part) for part in place(0.0, value).split(","))
            parts += [f"<path d='M{x - 4} {y}H{WIDTH - RIGHT}' stroke='{PALE}' stroke-opacity='0.35'/>"]
            parts += [words(x - 8, y + 4, text, "end")]
        parts += [
            line((fan_flow, fan_pressure), f"stroke='{INK}' stroke-width='2'"),
            line((flow, pressure), f"stroke='{ACCENT}' stroke-width='2.5' stroke-dasharray='8 4'"),
        ]
        q, p = values[self.flow], values["fan_pressure"]
        x, y = (float(part) for part in place(q, p).split(","))
        u = TOP + high * (1 - values["soil_suction"] / most_pressure)
        parts += [
            f"<path d='M{x} {y}V{TOP + high}' stroke='{WARN}' stroke-dasharray='2 3'/>",
            f"<path d='M{x - 7} {u:.1f}h14' stroke='{WARN}' stroke-width='2'/>",
            f"<circle cx='{x}' cy='{y}' r='5' fill='{WARN}'/>",
        ]
        upright = f" transform='rotate(-90 16 {TOP + high / 2})'"
        right = x < WIDTH * 0.62
        beside, anchor = (x + 12, "start") if right else (x - 12, "end")
        parts += [
            words(beside, y - 8, f"{shown(q, flow_unit)} at {shown(p, pressure_unit)}", anchor, WARN),
            words(beside, u + 4, f"suction at the sump or pit {shown(values['soil_suction'], pressure_unit)}", anchor, WARN),
            words(LEFT + 6, TOP + 12, "solid: the fan, falling; dashed: the system, rising", "start", PALE),
            words(LEFT + wide / 2, HEIGHT - 10, f"flow of air, {unit_label(flow_unit)}"),
            words(16, TOP + high / 2, f"pressure, {unit_label(pressure_unit)}", more=upright),
            "</svg>",
        ]  # fmt: skip
        return "\n".join(parts)

    def described(self, values: Terms, system: System = "us") -> str:
        """The same in words."""
        said = {
            n: shown(values[n], term(n).unit(system)) for n in (self.flow, "fan_pressure", "soil_suction", self.gauge)
        }
        return (
            f"The fan's curve falls and the system's curve rises with the flow; they meet at {said[self.flow]} and "
            f"{said['fan_pressure']}. Of that {said['soil_suction']} stands at the sump or pit; the gauge reads "
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

    return FanChart(
        name="fan-and-house",
        title=f"Fan and system: {air.fan_name}",
        statement=statement,
        flow="operating_flow",
        gauge="gauge_reading",
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
        at_speed=at_speed,
        fan=fan,
    )


def _ticks(most: float, unit: str) -> list[tuple[float, str]]:
    """Round values from zero up, in SI, and how they are written."""
    top = float(to_unit(most, unit))
    place = 10.0 ** np.floor(np.log10(top))
    step = next(s for s in (place / 5, place / 2, place, 2 * place, 5 * place) if top / s <= 7)
    return [(most * k * step / top, number(most * k * step / top, unit, 3)) for k in range(int(top / step) + 1)]
