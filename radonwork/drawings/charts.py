"""Charts that are made once, for the report: where a curve says more than a drawing to scale.

matplotlib draws them as SVG with text as text. Nothing in them depends on the day or the machine's fonts, so the same
numbers give the same bytes. Every line has its words beside it or in the key; colour only helps.
"""

import io
import re
from collections.abc import Mapping
from html import escape
from textwrap import wrap
from typing import Any

import numpy as np

from radonwork.drawings.catalogue import Picture
from radonwork.drawings.fan_chart import house_chart
from radonwork.drawings.shapes import ACCENT, INK, PALE, WARN, WATER
from radonwork.engine.formula import RangeError, Values
from radonwork.glossary import System, term
from radonwork.house.air import AirSolver, HouseAir
from radonwork.house.calculations import Calculation
from radonwork.house.route import STRAIGHT, VentRoute
from radonwork.solvers.system import Tap
from radonwork.units import decimal, shown, to_unit, unit_label

MOST_PIPES = 6
_SIZE = (6.6, 3.3)  # inches
_STYLE: Any = {
    "svg.hashsalt": "radonwork",  # names inside the file, otherwise made up anew each time
    "svg.fonttype": "none",
    "font.family": ["DejaVu Sans"],
    "font.size": 9.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
}


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
    area, flow = (100 * np.broadcast_to(found[name], counts.shape) for name in ("area_ratio", "flow_ratio"))
    figure, axes = _blank()
    axes.axhline(100, color=INK, linewidth=1, linestyle="--")
    axes.plot(counts, area, color=PALE, marker="s", markersize=5, label="area (squares)")
    axes.plot(counts, flow, color=ACCENT, marker="o", markersize=6, label="flow at equal loss (circles)")
    for count, share in zip(counts, flow, strict=True):
        axes.annotate(f"{share:.0f} %", (count, share), (4, -12), textcoords="offset points", color=ACCENT)
    axes.axvline(run.values["pipe_count"], color=INK, linewidth=0.8, linestyle=":")
    axes.set_xlabel(f"number of pipes of {_shown('small_bore', run.values, run.system)} bore; dotted: this house")
    axes.set_xlim(0.7, MOST_PIPES + 0.5)
    axes.set_ylabel("% of the single pipe")
    axes.set_ylim(0, None)
    axes.legend(frameon=False, loc="upper left")
    rows = "; ".join(f"{c:.0f}: area {a:.0f} %, flow {q:.0f} %" for c, a, q in zip(counts, area, flow, strict=True))
    large = _shown("large_bore", run.values, run.system)
    words = f"Share of the area and of the flow at equal loss of one pipe of {large} bore, by number of pipes. {rows}."
    title = "Area and flow against the number of pipes"
    return Picture(title, _svg(figure, title), words)


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
    x = to_unit(flows, flow_unit)
    low, high = (
        to_unit(np.broadcast_to(found[name], flows.shape), slope_unit) for name in ("band_low_slope", "band_high_slope")
    )
    figure, axes = _blank()
    axes.fill_between(x, low, high, color=WATER, alpha=0.15)
    axes.plot(x, high, color=WATER, linewidth=1.6, label="high end: shallow water under waves")
    axes.plot(x, low, color=WATER, linewidth=1.6, linestyle="--", label="low end: deep water, smooth surface")
    if "pipe_slope" in run.values:
        axes.axhline(
            to_unit(run.values["pipe_slope"], slope_unit),
            color=INK,
            linewidth=1,
            linestyle="-.",
            label="slope of this run",
        )
    axes.axvline(to_unit(design, flow_unit), color=INK, linewidth=0.8, linestyle=":", label="flow of this house")
    axes.set_xlabel(f"flow of air, {unit_label(flow_unit)}")
    axes.set_ylabel(f"slope, {unit_label(slope_unit)}")
    axes.set_ylim(0, None)
    axes.legend(frameon=False, loc="upper left")
    ends = [
        f"at {shown(flows[at], flow_unit)} from {shown(float(low_end), slope_unit)} to {shown(float(high_end), slope_unit)}"
        for at in (0, len(flows) // 2, -1)
        for low_end, high_end in [(found["band_low_slope"][at], found["band_high_slope"][at])]
    ]
    words = f"Band of slopes that drain the condensate, against the flow of air: {'; '.join(ends)}."
    title = "Slope that drains, against the flow of air"
    return Picture(title, _svg(figure, title), words)


def _fan_and_system(calculation: Calculation) -> Picture | None:
    """The fans against the system, where they meet, and how the stated tolerances move the point."""
    run, statement = calculation.run, _air_of(calculation)
    if statement is None or statement.air is None:
        return None
    chart = house_chart(statement)
    fan_flow, fan_pressure = chart.fan(run.values)
    flow, pressure = chart.system_curve(run.values)
    flow_unit, pressure_unit = (term(name).unit(run.system) for name in ("operating_flow", "fan_pressure"))
    shown_part = (flow <= fan_flow[-1]) & (pressure <= 1.05 * fan_pressure[0])
    figure, axes = _blank()
    axes.plot(
        to_unit(flow[shown_part], flow_unit),
        to_unit(pressure[shown_part], pressure_unit),
        color=ACCENT,
        linewidth=2,
        linestyle="--",
        label="the system: soil, lid and pipe",
    )
    looks = zip(("-", "-.", ":", (0, (5, 1))), (INK, PALE, PALE, PALE), strict=True)
    for (name, curve, _), (style, colour) in zip(statement.air.fans, looks, strict=False):
        flows = np.linspace(curve.least_flow, curve.largest_flow, 41)
        pressures = statement.air.fan_pressures(flows, run.values["air_density"], curve=curve)
        axes.plot(
            to_unit(flows, flow_unit), to_unit(pressures, pressure_unit), color=colour, linestyle=style, label=name
        )
    if {"operating_flow", "fan_pressure"} <= run.samples.keys():
        cloud = [
            to_unit(run.samples[n][::4], u) for n, u in (("operating_flow", flow_unit), ("fan_pressure", pressure_unit))
        ]
        axes.plot(*cloud, ".", color=WARN, markersize=2.5, alpha=0.5, label="over the tolerances (small dots)")
    at = (to_unit(run.values["operating_flow"], flow_unit), to_unit(run.values["fan_pressure"], pressure_unit))
    axes.plot(*at, "o", color=WARN, markersize=7, label="operating point (large dot)")
    axes.set_xlabel(f"flow of air, {unit_label(flow_unit)}")
    axes.set_ylabel(f"pressure, {unit_label(pressure_unit)}")
    axes.set_xlim(0, None)
    axes.set_ylim(0, 1.5 * to_unit(fan_pressure[0], pressure_unit))  # room for the key above the curves
    axes.legend(frameon=False, loc="upper right", ncols=2)
    spans = [
        f"{term(name).label} from {shown(span[0], unit)} to {shown(span[1], unit)}"
        for name, unit in (("operating_flow", flow_unit), ("fan_pressure", pressure_unit))
        if (span := run.spread(name))
    ]
    spread = f" Over the stated tolerances: {'; '.join(spans)}." if spans else ""
    title = "Fan and system, and where they meet"
    return Picture(title, _svg(figure, title), chart.described(run.values, run.system) + spread)


def _along_the_route(calculation: Calculation) -> Picture | None:
    """Pressure along the way, from the soil to the outlet, with the pieces named."""
    run, statement = calculation.run, _air_of(calculation)
    if statement is None or statement.air is None:
        return None
    air = statement.air
    stops = air.profile({name: run.values[name] for name in statement.takes if name in run.values})
    length_unit, unit = term("run_length").unit(run.system), term("fan_pressure").unit(run.system)
    # Suction is drawn below the room's pressure; the soil stands before the first pipe.
    x = np.array([to_unit(float(stop.distance), length_unit) for stop in stops])
    y = np.array([-to_unit(float(stop.static_suction), unit) for stop in stops])
    start = -to_unit(run.values["soil_suction"], unit)
    lead = 0.06 * x[-1]
    figure, axes = _blank()
    axes.axhline(0, color=INK, linewidth=1)
    axes.plot(
        [-2 * lead, -lead, 0], [0, start, start], color=PALE, marker="s", markersize=4, label="soil, then sump or pit"
    )
    axes.plot(x, y, color=ACCENT, linewidth=2, marker="o", markersize=3.5, label="static pressure in the pipe")
    axes.plot([0, 0], [start, y[0]], color=ACCENT, linewidth=1, linestyle=":")
    for place, (section, left, right) in enumerate(_spans(air.route, length_unit)):
        if place % 2:
            axes.axvspan(left, right, color=PALE, alpha=0.12, linewidth=0)
        level = 1.01 if place % 2 == 0 else 1.07
        axes.text((left + right) / 2, level, section, ha="center", transform=axes.get_xaxis_transform(), color=INK)
    jump = int(np.argmax(np.diff(y)))
    axes.annotate("fan", ((x[jump] + x[jump + 1]) / 2, (y[jump] + y[jump + 1]) / 2), (6, 0), textcoords="offset points")
    gauge = air.tap(air.network(run.values))
    tapped = _place_of(gauge, air, run.values, length_unit)
    reading = -to_unit(run.values["gauge_reading"], unit)
    axes.plot([tapped], [reading], "D", color=WARN, markersize=6, label="gauge")
    axes.set_xlabel(f"straight pipe from the sump or pit, {unit_label(length_unit)}")
    axes.set_ylabel(f"pressure over the room's, {unit_label(unit)}")
    axes.legend(frameon=False, loc="upper center", bbox_to_anchor=(0.45, 0.93))
    groups = _fittings(air.route)
    heights = dict(zip(np.round(x, 6), y, strict=True))  # the last station at a place
    for number, (before, _) in enumerate(groups, 1):
        at = to_unit(before, length_unit)
        height = heights.get(np.round(at, 6), float(np.interp(at, x, y)))
        axes.annotate(f"{number}", (at, height), (5, 5), textcoords="offset points", color=INK)
    lines = wrap("; ".join(f"{number}: {names}" for number, (_, names) in enumerate(groups, 1)), 104)
    figure.set_figheight(_SIZE[1] + 0.3 + 0.15 * len(lines))
    figure.text(0.09, 0.015, "\n".join(lines), color=INK, fontsize=8, va="bottom")
    figure.subplots_adjust(left=0.11, top=0.87, bottom=(0.6 + 0.15 * len(lines)) / figure.get_figheight())
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
    title = "Pressure along the way, from the soil to the outlet"
    return Picture(title, _svg(figure, title), words)


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


def _spans(route: VentRoute, unit: str) -> list[tuple[str, float, float]]:
    """Each section of the way: what it is called, and where it begins and ends."""
    found = []
    for section in route.sections:
        left, right = (to_unit(float(at), unit) for at in (section.pieces[0].start, section.pieces[-1].end))
        name = "main pipe"
        if section.pipe == "wall.pipe":
            name = f"{section.side_by_side} pipes in the wall" if section.side_by_side > 1 else "pipe in the wall"
        if right > left:
            found.append((name, left, right))
    return found


def _place_of(tap: Tap, air: HouseAir, values: Mapping[str, float], unit: str) -> float:
    """How much straight pipe stands before the gauge's tap."""
    along_it = air.branches(air.network(values))
    section = air.route.sections[along_it.index(tap.branch)]
    piece = section.pieces[tap.piece - 1]
    return float(to_unit(float(piece.start + tap.share * piece.length), unit))


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


def _blank() -> tuple[Any, Any]:
    import matplotlib
    from matplotlib.figure import Figure

    with matplotlib.rc_context(_STYLE):
        figure = Figure(figsize=_SIZE)
        figure.subplots_adjust(left=0.09, right=0.985, top=0.97, bottom=0.15)  # a tenth of the time of a fitted layout
        return figure, figure.add_subplot()


def _svg(figure: Any, title: str) -> str:
    import matplotlib

    written = io.StringIO()
    with matplotlib.rc_context(_STYLE):
        figure.savefig(written, format="svg", metadata={"Date": None, "Creator": None})
    text = written.getvalue()
    # Its own style sheet would reach the whole page, and its metadata names addresses.
    text = re.sub(r"<(style|metadata)\b.*?</\1>", "", text[text.index("<svg") :], flags=re.DOTALL)
    return text.replace("<svg ", f'<svg role="img" aria-label="{escape(title)}" ', 1)
