"""Which drawings belong to which topic, and the pictures of one calculation."""

import math
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import Any, Protocol

from radonwork.drawings.shapes import Drawing
from radonwork.engine.formula import Formula, RangeError
from radonwork.glossary import System
from radonwork.house.calculations import Calculation
from radonwork.house.record import House

# Module of each topic's drawings, and each by its name with a term without which there is none: a topic of which the
# house states too little loads no drawing.
_DRAWINGS: dict[str, tuple[str, dict[str, str]]] = {
    "year": ("year_tests", {"TESTS": "action_level"}),
    "change": ("two_stretches", {"STRETCHES": "radon_ratio"}),
    "tests": ("radon_bars", {"RISK": "radon_concentration"}),
    "balance": (
        "house_air",
        {"PRESSURES": "neutral_height", "COMPARED": "ventilated_radon", "CLEARING": "time_constant"},
    ),
    "pipes": ("pipes", {"PIPES": "small_bore"}),
    "framing": ("member", {"STUD": "least_edge", "JOIST": "joist_depth"}),
    "bay": ("bay", {"BAY": "cavity_depth"}),
    "insertion": ("insertion", {"INSERTION": "room_height", "SLOT": "slot_length"}),
    "condensate": ("drain", {"RUN": "run_length", "INVERT": "bore"}),
    "roof": ("roof", {"SECTION": "roof_angle", "DECK": "roof_angle"}),
    "discharge": ("outlet", {"SIGHT": "eye_height", "OPENING": "opening_head"}),
    "parts": (
        "parts",
        {"OFFSET": "offset_set", "ROW": "plate_thickness", "BARS": "parts_cost", "TURN": "next_fitting_angle"},
    ),
    "commissioning": ("display", {"BETWEEN": "display_before", "SETTLING": "display_before"}),
}

# The same of what draws a topic that takes more of the house than its quantities: called with the house, it has the
# face of a drawing.
_OF_HOUSE: dict[str, tuple[str, dict[str, str]]] = {
    "year": ("year_chart", {"YearChart": "year_mean"}),
    "change": ("series_chart", {"SeriesChart": "mean_after"}),
    "tests": ("test_strip", {"HouseTests": "radon_concentration"}),
    "route": (
        "route_of_house",
        {"Isometric": "route_length", "Plan": "route_length", "Unrolled": "route_length"},
    ),
    "parts": ("sticks", {"Sticks": "stick_count"}),
    "suction": ("slab_of_house", {"SlabDrawing": "least_suction"}),
    "framing": ("framing_wall", {"WallDrawing": "framed_length"}),
    "discharge": ("outlet_plan", {"OutletPlan": "rafter_run"}),
}


class Figure(Protocol):
    """What draws a picture at SI values by term, and says it in words; `takes` are the terms without which it cannot."""

    @property
    def title(self) -> str: ...
    @property
    def takes(self) -> tuple[str, ...]: ...
    def svg(self, values: Mapping[str, float], system: System = "us") -> str: ...
    def described(self, values: Mapping[str, float], system: System = "us") -> str: ...


@dataclass(frozen=True)
class Picture:
    """One drawing of one house, and the same in words."""

    title: str
    svg: str
    description: str


@dataclass(frozen=True)
class Undrawn:
    """A drawing whose terms are known, but that cannot be made at these values."""

    title: str

    @property
    def description(self) -> str:
        return f"Not drawn: {self.title}. At these values it makes no shape, or a formula that it draws does not hold."


def topic_drawings(key: str, known: Container[str] | None = None) -> tuple[Drawing, ...]:
    """The drawings to scale of the topic `key`, or those that may be made with the `known` terms."""
    return tuple(_found(_DRAWINGS, key, known))


def house_figures(key: str, house: House, known: Container[str] | None = None) -> tuple[Figure, ...]:
    """What draws the topic `key` for one house, where shapes of expressions do not do; or what may with `known` terms."""
    return tuple(figure(house) for figure in _found(_OF_HOUSE, key, known))


def _found(listed: Mapping[str, tuple[str, dict[str, str]]], key: str, known: Container[str] | None) -> Iterator[Any]:
    module, names = listed.get(key, ("", {}))
    for name, needs in names.items():
        if known is None or needs in known:
            yield getattr(import_module(f"radonwork.drawings.{module}"), name)


def pictures(calculation: Calculation) -> list[Picture]:
    """Every drawing of the topic for which the house states enough, and whose values make a shape."""
    return [one for one in drawings(calculation) if isinstance(one, Picture)]


def drawings(calculation: Calculation) -> list[Picture | Undrawn]:
    """Every drawing of the topic for which the house states enough."""
    key, values, system = calculation.topic.key, calculation.run.values, calculation.run.system
    of_house = house_figures(key, calculation.house, values) if calculation.house else ()
    drawn = [picture(drawing, values, system) for drawing in topic_drawings(key, values)]
    figures = [_figured(figure, values, system) for figure in of_house]
    return [one for one in (*drawn, *figures) if one is not None]


def _figured(figure: Figure, values: Mapping[str, float], system: System) -> Picture | Undrawn | None:
    if any(name not in values for name in figure.takes):
        return None
    try:
        return Picture(figure.title, figure.svg(values, system), figure.described(values, system))
    except (ArithmeticError, ValueError):  # values that make no such shape, as below
        return Undrawn(figure.title)


def _hold(formulas: Iterable[Formula], values: Mapping[str, float]) -> bool:
    """Whether formulas hold one after the other at these values: no picture reads a chart beyond its ends."""
    known = dict(values)
    for one in formulas:
        try:
            known[one.result] = float(one(**{name: known[name] for name in one.takes}))
        except RangeError:
            return False
    return True


def picture(drawing: Drawing, values: Mapping[str, float], system: System) -> Picture | Undrawn | None:
    """One drawing at SI values; None where a term it needs is not known."""
    template, words = drawing.template(system), drawing.description(system)
    program = drawing.program(template, words)
    constants = {name: given.value for one in drawing.formulas for name, given in one.defaults.items()}
    values = {**constants, **values}
    if any(name not in values for name in program.takes):
        return None
    if not _hold(drawing.formulas, values):
        return Undrawn(drawing.title)
    try:
        numbers = program(values)
    except (ArithmeticError, ValueError):  # divided by a length of nothing, the root of less than nothing
        return Undrawn(drawing.title)
    if not all(map(math.isfinite, numbers)):
        return Undrawn(drawing.title)
    cut = len(template.slots)
    return Picture(drawing.title, template.fill(numbers[:cut]), words.fill(numbers[cut:]))
