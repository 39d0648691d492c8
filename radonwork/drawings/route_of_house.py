"""The route of one house with the face of drawings: isometric, plan and unrolled, at SI values by term.

Slope and length of the longest sloped piece may be moved; the whole route is laid again for them.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import ClassVar

from radonwork.drawings import route_in_space
from radonwork.drawings.route_in_space import Surroundings
from radonwork.glossary import System
from radonwork.house.record import House
from radonwork.house.way import Way, way_of


def surroundings(house: House) -> Surroundings:
    """What the record knows around the route."""
    foundation, suction, run = house.foundation, house.suction, house.run
    return Surroundings(
        tuple(corner.point for corner in foundation.outline) if foundation else (),
        tuple((level.name or "floor", level.height.value) for level in (run.level if run else ()) if level.height),
        tuple((p.name or "suction point", (*p.at.point, 0.0)) for p in (suction.point if suction else ()) if p.at),
    )


@dataclass(frozen=True)
class _RouteDrawing:
    house: House
    takes: ClassVar[tuple[str, ...]] = ("route_length",)
    title: ClassVar[str] = ""
    draw: ClassVar[Callable[..., str]]
    words: ClassVar[Callable[..., str]]

    def svg(self, values: Mapping[str, float], system: System = "us") -> str:
        """The picture."""
        return type(self).draw(self._way(values), surroundings(self.house))

    def described(self, values: Mapping[str, float], system: System = "us") -> str:
        """What the picture shows, in words."""
        return type(self).words(self._way(values), surroundings(self.house))

    def _way(self, values: Mapping[str, float]) -> Way:
        way = way_of(self.house, values.get("pipe_slope"), values.get("sloped_run"))
        assert way is not None  # else there were no length
        return way


class Isometric(_RouteDrawing):
    title = "The route, isometric"
    draw = staticmethod(route_in_space.isometric)
    words = staticmethod(route_in_space.route_words)


class Plan(_RouteDrawing):
    title = "The route in plan"
    draw = staticmethod(route_in_space.plan)
    words = staticmethod(route_in_space.plan_words)


class Unrolled(_RouteDrawing):
    title = "The route unrolled"
    draw = staticmethod(route_in_space.unrolled)
    words = staticmethod(route_in_space.unrolled_words)
