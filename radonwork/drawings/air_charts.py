"""Charts of pipe and fan: fan against system, and the pressure along the way from the soil to the outlet."""

from collections.abc import Mapping

import numpy as np

from radonwork.drawings.charts import Chart
from radonwork.drawings.fan_chart import house_chart
from radonwork.drawings.plot import Axis, Plot
from radonwork.glossary import term
from radonwork.house.air import AirSolver, HouseAir
from radonwork.house.calculations import Calculation
from radonwork.house.route import STRAIGHT, VentRoute
from radonwork.solvers.system import Tap
from radonwork.units import decimal, shown


def _fan_and_system(calculation: Calculation, _: str) -> tuple[Plot, str]:
    """The fans against the system, where they meet, and how the stated tolerances move the point."""
    run, (statement, air) = calculation.run, _air_of(calculation)
    chart = house_chart(statement)

    def others(plot: Plot) -> None:
        for (name, curve, _), look in zip(air.fans[1:], ("pale", "pale dotted", "ink thin"), strict=False):
            flows = np.linspace(curve.least_flow, curve.largest_flow, 41)
            plot.line(flows, air.fan_pressures(flows, run.values["air_density"], curve=curve), look, name)
        if {"operating_flow", "fan_pressure"} <= run.samples.keys():
            flows, pressures = (run.samples[name][::4] for name in ("operating_flow", "fan_pressure"))
            plot.points(flows, pressures, "dot", "warn", "over the tolerances")

    plot = chart.plot(run.values, run.system, others)
    flow_unit, pressure_unit = (term(name).unit(run.system) for name in ("operating_flow", "fan_pressure"))
    spans = [
        f"{term(name).label} from {shown(span[0], unit)} to {shown(span[1], unit)}"
        for name, unit in (("operating_flow", flow_unit), ("fan_pressure", pressure_unit))
        if (span := run.spread(name))
    ]
    spread = f" Over the stated tolerances: {'; '.join(spans)}." if spans else ""
    return plot, chart.described(run.values, run.system) + spread


def _along_the_route(calculation: Calculation, title: str) -> tuple[Plot, str]:
    """Pressure along the way, from the soil to the outlet, with the pieces named."""
    run, (statement, air) = calculation.run, _air_of(calculation)
    stops = air.profile({name: run.values[name] for name in statement.takes if name in run.values})
    length_unit, unit = term("run_length").unit(run.system), term("fan_pressure").unit(run.system)
    # Suction is drawn below the room's pressure; the soil stands before the first pipe.
    x = np.array([float(stop.distance) for stop in stops])
    y = -np.array([float(stop.static_suction) for stop in stops])
    fan = _fan_place(air.route)
    if fan >= x[-1]:  # behind it there is no pipe: the room outside, at no pressure, is what it blows into
        x, y = np.append(x, x[-1]), np.append(y, 0.0)
    start = -run.values["working_suction"]
    lead = 0.06 * x[-1]
    groups = _fittings(air.route)
    key = "; ".join(f"{number}: {names}" for number, (_, names) in enumerate(groups, 1))
    high, low = max(0.0, float(y.max())), min(start, float(y.min()))
    room = 0.12 * (high - low)
    plot = Plot(
        "route-chart",
        title,
        Axis("straight pipe from the sump or pit", length_unit, -2.4 * lead, 1.04 * x[-1]),
        Axis("pressure over the room's", unit, low - room, high + 2 * room),
        below=[key],
    )
    for place, (section, left, right) in enumerate(_spans(air.route)):
        if place % 2:
            plot.stripe(left, right)
        plot.text((left + right) / 2, plot.y.high, section, dy=14 if place % 2 == 0 else 30)
    plot.level(0.0, "ink thin")
    plot.line([-2 * lead, -lead, 0], [0, start, start], "pale")
    plot.points([-2 * lead, -lead, 0], [0, start, start], "square", "pale", "soil, then sump or pit")
    plot.line([0, 0], [start, y[0]], "pale dotted")
    plot.line(x, y, "accent")
    plot.points(x, y, "circle", "accent", "static pressure in the pipe")
    at_fan = y[np.isclose(x, fan)]
    right = fan < 0.9 * x[-1]
    plot.text(fan, float(at_fan.min() + at_fan.max()) / 2, "fan", "start" if right else "end", dx=7 if right else -7)
    tapped = _place_of(air.tap(air.network(run.values)), air, run.values)
    plot.points([tapped], [-run.values["gauge_reading"]], "diamond", "warn", "gauge")
    heights = dict(zip(np.round(x, 9), y, strict=True))  # the last station at a place
    for number, (before, _) in enumerate(groups, 1):
        plot.text(before, heights.get(np.round(before, 9), float(np.interp(before, x, y))), f"{number}", dx=9, dy=-7)
    told = "; ".join(
        f"after {shown(float(stop.distance), length_unit)} ({stop.branch}) {decimal(round(-float(stop.static_suction), 3), unit)}"
        for stop in stops
    )
    words = (
        f"Static pressure along the way: in the sump or pit {shown(-run.values['working_suction'], unit)}; {told}. The gauge "
        f"reads {shown(run.values['gauge_reading'], unit)}. Fittings: "
        + "; ".join(f"after {shown(place, length_unit)} {names}" for place, names in groups)
        + "."
    )
    return plot, words


def _fittings(route: VentRoute) -> list[tuple[float, str]]:
    """What stands between straight pipes: how much straight pipe lies before it, in metres, and its names."""
    found: dict[float, list[str]] = {}
    for piece in route.pieces:
        if piece.kind != STRAIGHT:
            found.setdefault(float(piece.start), []).append(
                f"{piece.count} × {piece.name}" if piece.count > 1 else piece.name
            )
        if piece.number == route.fan_after:
            found.setdefault(float(piece.end), []).append("fan")
    return [(place, " + ".join(names)) for place, names in found.items()]


def _spans(route: VentRoute) -> list[tuple[str, float, float]]:
    """Each section of the way: what it is called, and where it begins and ends."""
    found: list[tuple[str, float, float]] = []
    for section in route.sections:
        left, right = (float(at) for at in (section.pieces[0].start, section.pieces[-1].end))
        name = "main pipe"
        if section.pipe == "wall.pipe":
            name = f"{section.side_by_side} pipes in the wall" if section.side_by_side > 1 else "pipe in the wall"
        if found and found[-1][0] == name:  # only a branch joins between them
            found[-1] = (name, found[-1][1], max(right, found[-1][2]))
        elif right > left:
            found.append((name, left, right))
    return found


def _fan_place(route: VentRoute) -> float:
    """How much straight pipe stands before the fan: all of it where the record does not say where it is."""
    after = route.pieces[-1].number if route.fan_after is None else route.fan_after
    return float(next((piece.end for piece in route.pieces if piece.number == after), 0.0))


def _place_of(tap: Tap, air: HouseAir, values: Mapping[str, float]) -> float:
    """How much straight pipe stands before the gauge's tap."""
    along_it = air.branches(air.network(values))
    section = air.route.sections[along_it.index(tap.branch)]
    piece = section.pieces[tap.piece - 1]
    return float(piece.start + tap.share * piece.length)


def _air_of(calculation: Calculation) -> tuple[AirSolver, HouseAir]:
    """The statement of the house's air, and the air it is of, where it could be worked."""
    return next((s, s.air) for s in calculation.run.sheet.statements if isinstance(s, AirSolver) and s.air)


CHARTS = (
    Chart("Fan and system, and where they meet", ("operating_flow",), _fan_and_system),
    Chart("Pressure along the way, from the soil to the outlet", ("operating_flow",), _along_the_route),
)
