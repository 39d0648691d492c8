"""Charts of one calculation, for the report: where a curve says more than a drawing to scale."""

from collections.abc import Mapping
from textwrap import wrap
from typing import Any

import numpy as np

from radonwork.drawings.catalogue import Picture
from radonwork.drawings.fan_chart import house_chart
from radonwork.drawings.plot import Axis, Plot
from radonwork.engine.formula import RangeError, Values
from radonwork.glossary import System, term
from radonwork.house.air import AirSolver, HouseAir
from radonwork.house.calculations import Calculation
from radonwork.house.route import STRAIGHT, VentRoute
from radonwork.solvers.system import Tap
from radonwork.units import decimal, shown

MOST_PIPES = 6


def charts(calculation: Calculation) -> list[Picture]:
    """The charts of a topic whose quantities are known."""
    made = {"pipes": (_pipes,), "air": (_fan_and_system, _along_the_route), "condensate": (_condensate,)}
    drawn = (make(calculation) for make in made.get(calculation.topic.key, ()))
    return [picture for picture in drawn if picture]


def _pipes(calculation: Calculation) -> Picture | None:
    """Area and flow of one to six small pipes against the large one."""
    run = calculation.run
    counts = np.arange(1.0, MOST_PIPES + 1)
    found = along(calculation, "pipe_count", counts)
    if not {"area_ratio", "flow_ratio"} <= found.keys() or run.values["small_bore"] >= run.values["large_bore"]:
        return None
    area, flow = (np.broadcast_to(found[name], counts.shape) for name in ("area_ratio", "flow_ratio"))
    title = "Area and flow against the number of pipes"
    plot = Plot(
        "pipes-chart",
        title,
        Axis(f"number of pipes of {_shown('small_bore', run.values, run.system)} bore", "", 0.7, MOST_PIPES + 0.5),
        Axis("share of the single pipe", "%", 0.0, 1.08 * float(max(area.max(), flow.max(), 1.0))),
    )
    plot.level(1.0, "ink thin", "the single pipe")
    plot.upright(run.values["pipe_count"], "pale dotted", "this house")
    plot.line(counts, area, "pale")
    plot.points(counts, area, "square", "pale", "area")
    plot.line(counts, flow, "accent")
    plot.points(counts, flow, "circle", "accent", "flow at equal loss")
    for count, share in zip(counts, flow, strict=True):
        plot.text(count, share, f"{100 * share:.0f} %", "start", "accent", 6, 16)
    rows = "; ".join(
        f"{c:.0f}: area {a:.0%}, flow {q:.0%}".replace("%", " %") for c, a, q in zip(counts, area, flow, strict=True)
    )
    large = _shown("large_bore", run.values, run.system)
    words = f"Share of the area and of the flow at equal loss of one pipe of {large} bore, by number of pipes. {rows}."
    return Picture(title, plot.svg(), words)


def _condensate(calculation: Calculation) -> Picture | None:
    """The band of slopes that drain the condensate, against the flow of air."""
    run = calculation.run
    if "air_flow" not in run.values:
        return None
    design = run.values["air_flow"]
    flows = design * np.linspace(0.4, 1.6, 41)
    found = along(calculation, "air_flow", flows)
    if not {"band_low_slope", "band_high_slope"} <= found.keys():
        return None
    flow_unit, slope_unit = (term(name).unit(run.system) for name in ("air_flow", "pipe_slope"))
    low, high = (np.broadcast_to(found[name], flows.shape) for name in ("band_low_slope", "band_high_slope"))
    title = "Slope that drains, against the flow of air"
    slope = run.values.get("pipe_slope", 0.0)
    plot = Plot(
        "slope-chart",
        title,
        Axis("flow of air", flow_unit, float(flows[0]), float(flows[-1])),
        Axis("slope", slope_unit, 0.0, 1.08 * max(float(np.max(high)), slope)),
    )
    plot.band(flows, low, high, "water")
    plot.line(flows, high, "water", "high end: shallow water under waves")
    plot.line(flows, low, "water dashed", "low end: deep water, smooth surface")
    if slope:
        plot.level(slope, "ink", "slope of this run")
    plot.upright(design, "pale dotted", "flow of this house")
    ends = [
        f"at {shown(flows[at], flow_unit)} from {shown(float(low_end), slope_unit)} to {shown(float(high_end), slope_unit)}"
        for at in (0, len(flows) // 2, -1)
        for low_end, high_end in [(found["band_low_slope"][at], found["band_high_slope"][at])]
    ]
    words = f"Band of slopes that drain the condensate, against the flow of air: {'; '.join(ends)}."
    return Picture(title, plot.svg(), words)


def _fan_and_system(calculation: Calculation) -> Picture | None:
    """The fans against the system, where they meet, and how the stated tolerances move the point."""
    run, statement = calculation.run, _air_of(calculation)
    if statement is None or statement.air is None:
        return None
    chart = house_chart(statement)
    air = statement.air

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
    return Picture("Fan and system, and where they meet", plot.svg(), chart.described(run.values, run.system) + spread)


def _along_the_route(calculation: Calculation) -> Picture | None:
    """Pressure along the way, from the soil to the outlet, with the pieces named."""
    run, statement = calculation.run, _air_of(calculation)
    if statement is None or statement.air is None:
        return None
    air = statement.air
    stops = air.profile({name: run.values[name] for name in statement.takes if name in run.values})
    length_unit, unit = term("run_length").unit(run.system), term("fan_pressure").unit(run.system)
    # Suction is drawn below the room's pressure; the soil stands before the first pipe.
    x = np.array([float(stop.distance) for stop in stops])
    y = -np.array([float(stop.static_suction) for stop in stops])
    start = -run.values["soil_suction"]
    lead = 0.06 * x[-1]
    groups = _fittings(air.route)
    key = "; ".join(f"{number}: {names}" for number, (_, names) in enumerate(groups, 1))
    title = "Pressure along the way, from the soil to the outlet"
    high, low = max(0.0, float(y.max())), min(start, float(y.min()))
    room = 0.12 * (high - low)
    plot = Plot(
        "route-chart",
        title,
        Axis("straight pipe from the sump or pit", length_unit, -2.4 * lead, 1.04 * x[-1]),
        Axis("pressure over the room's", unit, low - room, high + 2 * room),
        below=wrap(key, 104),
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
    jump = int(np.argmax(np.diff(y)))
    plot.text((x[jump] + x[jump + 1]) / 2, (y[jump] + y[jump + 1]) / 2, "fan", "start", dx=7)
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
        f"Static pressure along the way: in the sump or pit {shown(-run.values['soil_suction'], unit)}; {told}. The gauge "
        f"reads {shown(run.values['gauge_reading'], unit)}. Fittings: "
        + "; ".join(f"after {shown(place, length_unit)} {names}" for place, names in groups)
        + "."
    )
    return Picture(title, plot.svg(), words)


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
    found = []
    for section in route.sections:
        left, right = (float(at) for at in (section.pieces[0].start, section.pieces[-1].end))
        name = "main pipe"
        if section.pipe == "wall.pipe":
            name = f"{section.side_by_side} pipes in the wall" if section.side_by_side > 1 else "pipe in the wall"
        if right > left:
            found.append((name, left, right))
    return found


def _place_of(tap: Tap, air: HouseAir, values: Mapping[str, float]) -> float:
    """How much straight pipe stands before the gauge's tap."""
    along_it = air.branches(air.network(values))
    section = air.route.sections[along_it.index(tap.branch)]
    piece = section.pieces[tap.piece - 1]
    return float(piece.start + tap.share * piece.length)


def _air_of(calculation: Calculation) -> AirSolver | None:
    """The statement of the house's air, where it could be worked."""
    found = next((s for s in calculation.run.sheet.statements if isinstance(s, AirSolver)), None)
    return found if found and "operating_flow" in calculation.run.values else None


def along(calculation: Calculation, name: str, points: np.ndarray) -> dict[str, Any]:
    """What the sheet of `calculation` gives with `points` in place of the one value of `name`, by term, in SI.

    A statement that does not hold over all the points gives nothing.
    """
    run = calculation.run
    values: dict[str, Values] = {term_: quantity.value for term_, quantity in run.given.items()}
    if name not in values:
        return {}
    values[name] = points
    for statement in run.sheet.statements:
        terms = {term_: values[term_] for term_ in statement.takes if term_ in values}
        if any(term_ not in values and term_ not in statement.defaults for term_ in statement.takes):
            continue
        try:
            found = statement(**terms)
        except RangeError:
            continue
        values |= found if isinstance(found, dict) else {statement.gives[0]: found}
    return values


def _shown(name: str, values: Mapping[str, float], system: System) -> str:
    return shown(values[name], term(name).unit(system))
