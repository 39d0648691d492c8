"""Which drawings belong to which topic, and the pictures of one calculation."""

from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import Protocol

from radonwork.drawings.shapes import Drawing
from radonwork.glossary import System
from radonwork.house.calculations import Calculation
from radonwork.house.record import House

# Module and names of each topic's drawings; they are imported when their topic is drawn.
_DRAWINGS: dict[str, tuple[str, tuple[str, ...]]] = {
    "year": ("year_tests", ("TESTS",)),
    "change": ("two_stretches", ("STRETCHES",)),
    "tests": ("radon_bars", ("RISK",)),
    "balance": ("house_air", ("PRESSURES", "COMPARED", "CLEARING")),
    "pipes": ("pipes", ("PIPES",)),
    "framing": ("member", ("STUD", "JOIST")),
    "bay": ("bay", ("BAY",)),
    "insertion": ("insertion", ("INSERTION", "SLOT")),
    "condensate": ("drain", ("RUN", "INVERT")),
    "roof": ("roof", ("SECTION", "DECK")),
    "discharge": ("outlet", ("SIGHT", "OPENING")),
    "parts": ("parts", ("OFFSET", "ROW", "BARS", "TURN")),
    "commissioning": ("display", ("BETWEEN", "SETTLING")),
}

# Module and names of what draws a topic that takes more of the house than its quantities: called with the house, it has
# the face of a drawing.
_OF_HOUSE: dict[str, tuple[str, tuple[str, ...]]] = {
    "year": ("year_chart", ("YearChart",)),
    "change": ("series_chart", ("SeriesChart",)),
    "tests": ("test_strip", ("HouseTests",)),
    "route": ("route_of_house", ("Isometric", "Plan", "Unrolled")),
    "parts": ("sticks", ("Sticks",)),
    "suction": ("slab_of_house", ("SlabDrawing",)),
    "framing": ("framing_wall", ("WallDrawing",)),
    "discharge": ("outlet_plan", ("OutletPlan",)),
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


def topic_drawings(key: str) -> tuple[Drawing, ...]:
    """The drawings to scale of the topic `key`; some topics have only charts."""
    if key not in _DRAWINGS:
        return ()
    module, names = _DRAWINGS[key]
    found = import_module(f"radonwork.drawings.{module}")
    return tuple(getattr(found, name) for name in names)


def house_figures(key: str, house: House) -> tuple[Figure, ...]:
    """What draws the topic `key` for one house, where shapes of expressions do not do."""
    if key not in _OF_HOUSE:
        return ()
    module, names = _OF_HOUSE[key]
    found = import_module(f"radonwork.drawings.{module}")
    return tuple(getattr(found, name)(house) for name in names)


def pictures(calculation: Calculation) -> list[Picture]:
    """Every drawing of the topic for which the house states enough."""
    values, system = calculation.run.values, calculation.run.system
    of_house = house_figures(calculation.topic.key, calculation.house) if calculation.house else ()
    there = [figure for figure in of_house if all(name in values for name in figure.takes)]
    figures = [Picture(f.title, f.svg(values, system), f.described(values, system)) for f in there]
    drawn = [picture(drawing, values, calculation.run.system) for drawing in topic_drawings(calculation.topic.key)]
    return [*(one for one in drawn if one is not None), *figures]


def picture(drawing: Drawing, values: Mapping[str, float], system: System) -> Picture | None:
    """One drawing at SI values; None where a term it needs is not known."""
    template, words = drawing.template(system), drawing.description(system)
    program = drawing.program(template, words)
    if any(name not in values for name in program.takes):
        return None
    numbers = program(values)
    cut = len(template.slots)
    return Picture(drawing.title, template.fill(numbers[:cut]), words.fill(numbers[cut:]))
