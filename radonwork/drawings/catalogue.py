"""Which drawings belong to which topic, and the pictures of one calculation."""

from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module

from radonwork.drawings.shapes import Drawing
from radonwork.glossary import System
from radonwork.house.calculations import Calculation

# Module and names of each topic's drawings; they are imported when their topic is drawn.
_DRAWINGS: dict[str, tuple[str, tuple[str, ...]]] = {
    "pipes": ("pipes", ("PIPES",)),
    "bay": ("bay", ("BAY",)),
    "insertion": ("insertion", ("INSERTION", "SLOT")),
    "condensate": ("drain", ("RUN", "INVERT")),
    "roof": ("roof", ("SECTION", "DECK")),
}


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


def pictures(calculation: Calculation) -> list[Picture]:
    """Every drawing of the topic for which the house states enough."""
    values = calculation.run.values
    drawn = [picture(drawing, values, calculation.run.system) for drawing in topic_drawings(calculation.topic.key)]
    return [one for one in drawn if one is not None]


def picture(drawing: Drawing, values: Mapping[str, float], system: System) -> Picture | None:
    """One drawing at SI values; None where a term it needs is not known."""
    template, words = drawing.template(system), drawing.description(system)
    program = drawing.program(template, words)
    if any(name not in values for name in program.takes):
        return None
    numbers = program(values)
    cut = len(template.slots)
    return Picture(drawing.title, template.fill(numbers[:cut]), words.fill(numbers[cut:]))
