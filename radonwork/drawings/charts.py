"""Charts of one calculation, for the report: where a curve says more than a drawing to scale."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from radonwork.drawings.catalogue import Picture, Undrawn
from radonwork.drawings.plot import Axis, Plot
from radonwork.engine.formula import RangeError
from radonwork.engine.sheet import Found
from radonwork.glossary import System, term
from radonwork.house.calculations import Calculation
from radonwork.units import shown

MOST_PIPES = 6


@dataclass(frozen=True)
class Chart:
    """A chart of a topic: its title, the terms without which there is none, and what makes it and says it in words.

    `make` takes a calculation and the title; None where there is nothing to show. It raises ValueError, a refusal among
    them, or ArithmeticError at values that it cannot be made of.
    """

    title: str
    takes: tuple[str, ...]
    make: Callable[[Calculation, str], tuple[Plot, str] | None]


def charts(calculation: Calculation) -> list[Picture | Undrawn]:
    """The charts of a topic whose quantities are known."""
    found = [_made(chart, calculation) for chart in _charts(calculation.topic.key)]
    return [one for one in found if one is not None]


def _made(chart: Chart, calculation: Calculation) -> Picture | Undrawn | None:
    if any(name not in calculation.run.values for name in chart.takes):
        return None
    try:
        made = chart.make(calculation, chart.title)
        return made and Picture(chart.title, made[0].svg(), made[1])
    except (ArithmeticError, ValueError):  # an axis of no length, a formula that does not hold along it
        return Undrawn(chart.title)


def _charts(key: str) -> tuple[Chart, ...]:
    if key == "air":
        from radonwork.drawings.air_charts import CHARTS

        return CHARTS
    return _CHARTS.get(key, ())


def _pipes(calculation: Calculation, title: str) -> tuple[Plot, str] | None:
    """Area and flow of one to six small pipes against the large one."""
    run = calculation.run
    if run.values["small_bore"] >= run.values["large_bore"]:
        return None  # no pipe that several could stand in for
    counts = np.arange(1.0, MOST_PIPES + 1)
    found = along(calculation, "pipe_count", counts)
    area, flow = (np.broadcast_to(found[name], counts.shape) for name in ("area_ratio", "flow_ratio"))
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
    return plot, words


def _condensate(calculation: Calculation, title: str) -> tuple[Plot, str]:
    """The band of slopes that drain the condensate, against the flow of air."""
    run = calculation.run
    design = run.values["air_flow"]
    flows = design * np.linspace(0.4, 1.6, 41)
    found = along(calculation, "air_flow", flows)
    flow_unit, slope_unit = (term(name).unit(run.system) for name in ("air_flow", "pipe_slope"))
    low, high = (np.broadcast_to(found[name], flows.shape) for name in ("band_low_slope", "band_high_slope"))
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
        f"at {shown(flows[at], flow_unit)} from {shown(float(low[at]), slope_unit)} to {shown(float(high[at]), slope_unit)}"
        for at in (0, len(flows) // 2, -1)
    ]
    return plot, f"Band of slopes that drain the condensate, against the flow of air: {'; '.join(ends)}."


_CHARTS = {
    "pipes": (
        Chart(
            "Area and flow against the number of pipes",
            ("pipe_count", "small_bore", "large_bore", "friction_exponent"),
            _pipes,
        ),
    ),
    "condensate": (
        Chart("Slope that drains, against the flow of air", ("air_flow", "bore", "air_temperature"), _condensate),
    ),
}


def along(calculation: Calculation, name: str, points: np.ndarray) -> Mapping[str, Any]:
    """What the sheet of `calculation` gives with `points` in place of the one value of `name`, by term, in SI.

    A statement that does not hold over all the points gives nothing; who asks for what it would have given is refused.
    """
    run = calculation.run
    values: dict[str, Any] = Found({term_: quantity.value for term_, quantity in run.given.items()})
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
