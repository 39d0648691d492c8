"""The map of suction under the slab of one house, with the face of a drawing: SVG and words at SI values by term.

It is made from a field and not from shapes, so no page can redraw it by itself.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from radonwork.drawings.slab_map import slab_map, slab_words
from radonwork.glossary import System
from radonwork.house.record import House
from radonwork.house.slab import STONE, readings_of, slab_of
from radonwork.house.slab_fit import next_hole
from radonwork.solvers.slab_plan import Source
from radonwork.solvers.suction_field import SuctionMap

_LONGEST = 40  # letters of a name beside the plan


@dataclass(frozen=True)
class SlabDrawing:
    """The slab of `house`. Every pit and drain has the one suction that the values state, or that of its own branch."""

    house: House
    name: str = "slab-map"
    title: str = "Suction under the slab"

    @property
    def takes(self) -> tuple[str, ...]:
        """The last is there only where the field could be worked."""
        return ("soil_suction", "leakage_length", "target_suction", *self._stone, "least_suction")

    @property
    def _stone(self) -> tuple[str, ...]:
        slab = slab_of(self.house)
        return STONE if slab and slab.stone else ()

    def svg(self, values: Mapping[str, float], system: System = "us") -> str:
        """The map."""
        return slab_map(*self._field(values), system=system, name=self.name, **self._marks(values, system))

    def described(self, values: Mapping[str, float], system: System = "us") -> str:
        """The map in words."""
        return slab_words(*self._field(values), system=system, **self._marks(values, system))

    def _field(self, values: Mapping[str, float]) -> tuple[SuctionMap, tuple[Source, ...]]:
        slab = slab_of(self.house)
        assert slab is not None  # else there were no least suction
        stone = {name: values[name] for name in self._stone}
        suction = values["soil_suction"]
        return slab.map(suction, values["leakage_length"], **stone), slab.at(suction, **stone)

    def _marks(self, values: Mapping[str, float], system: System) -> dict[str, Any]:
        best = next_hole(self.house)
        return {
            "target": values["target_suction"],
            "holes": readings_of(self.house),
            "next_hole": best.at if best else None,
            "house_pull": values.get("stack_suction"),
            "called": called(self.house),
        }


def called(house: House) -> tuple[str, ...]:
    """What the places of the slab are called, in their order: drains, then pits by the names of their suction points."""
    names = [point.name for point in house.suction_points() if not point.on_drain]
    return (
        *("loop of drain" if drain.closed else "drain" for drain in house.drains()),
        *(name if len(name) <= _LONGEST else f"{name[: _LONGEST - 1].rstrip()}…" for name in names),
    )
