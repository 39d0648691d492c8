"""What a record must state before the air of its house can be worked. Nothing here loads a solver."""

from collections.abc import Mapping

from radonwork.engine.formula import Values
from radonwork.engine.solver import Solver
from radonwork.engine.sources import Source
from radonwork.house.record import House

_STANDS_FOR = {"run.pipe": "large_bore", "wall.pipe": "small_bore"}


def lacking(house: House) -> dict[str, str]:
    """What keeps the air from being worked: a term that stands for it, and the field of the record that would supply it."""
    found = {}
    if not (house.run and house.run.piece):
        found["straight_length"] = "run.piece"
    elif route := house.route():
        for section in route.sections:
            if section.bore is None:
                found[_STANDS_FOR.get(section.pipe, "reference_bore")] = section.wanted
    if not (house.fan and house.fan.point):
        found["shutoff_pressure"] = "fan.point"
    return found


def unsettled(wants: tuple[str, ...], reason: str = "") -> Solver:
    """The statement of a house's air where its record does not settle it: it lacks the terms `wants`, or says why not."""

    def refuse(**_terms: Values) -> Mapping[str, Values]:
        raise ValueError(reason)

    return Solver(
        name="house_air",
        title="Soil, lid, pipe and fan of this house together",
        gives=("operating_flow",),
        takes=("soil_resistance", *wants),
        source=Source(kind="derived", place="soil, lid, pipe and fan in balance"),
        function=refuse,
    )
