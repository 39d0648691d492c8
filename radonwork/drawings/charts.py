"""Charts that are made once, for the report: where a curve says more than a drawing to scale.

matplotlib draws them as SVG with text as text. Nothing in them depends on the day or the machine's fonts, so the same
numbers give the same bytes. Every line has its words beside it or in the key; colour only helps.
"""

import io
import re
from collections.abc import Mapping
from html import escape
from typing import Any

import numpy as np

from radonwork.drawings.catalogue import Picture
from radonwork.drawings.shapes import ACCENT, INK, PALE, WATER
from radonwork.engine.formula import RangeError, Values
from radonwork.glossary import System, term
from radonwork.house.calculations import Calculation
from radonwork.units import shown, to_unit, unit_label

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
    made = {"pipes": _pipes, "condensate": _condensate}.get(calculation.topic.key)
    picture = made(calculation) if made else None
    return [picture] if picture else []


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
    axes.axvline(to_unit(design, flow_unit), color=INK, linewidth=0.8, linestyle=":", label="design flow")
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
