"""The wall that is to be opened, seen from the room: how likely wood is along it, what was probed, where to probe next.

Along the wall it is to scale; upwards it is not. It is made from a distribution and not from shapes, so no page can
redraw it by itself.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from radonwork.drawings.plot import Axis, Plot, Shape
from radonwork.drawings.shapes import INK
from radonwork.glossary import System, term
from radonwork.house.framing import readings_of, studs_of, trial
from radonwork.house.record import House
from radonwork.solvers.stud_finder import Probe, Studs
from radonwork.units import decimal

_FLOOR, _CEILING = 1.16, 1.62  # of the wall seen above the chances
_ROW = 1.07  # where the probes stand, between the two
_BARS = 240
_FOUND: dict[str, tuple[Shape, str, str]] = {
    "wood": ("diamond", "ink", "probe: wood"),
    "nothing": ("cross", "warn", "probe: nothing"),
    "edge": ("square", "accent", "probe: an edge"),
}


@dataclass(frozen=True)
class WallDrawing:
    """The framing of `house`'s wall, and a probe that a panel tries where the values name one."""

    house: House
    name: str = "framing-wall"
    title: str = "Where wood is likely along the wall"
    takes: tuple[str, ...] = ("framed_length", "stud_thickness", "drill_place", "wood_chance")

    def svg(self, values: Mapping[str, float], system: System = "us") -> str:
        """The wall above, the chance of wood below."""
        return self._drawn(values, system).svg()

    def described(self, values: Mapping[str, float], system: System = "us") -> str:
        """The wall in words."""
        studs, unit = self._studs(values), term("wall_place").unit(system)
        said = [f"A wall {decimal(studs.wall.length, unit, 3)} long."]
        for place in studs.places():
            span = f"{decimal(place.low, unit, 3)} to {decimal(place.high, unit, 3)}"
            said.append(f"A stud or post likely at {decimal(place.at, unit, 3)}, nine times in ten within {span}.")
        if not studs.places():
            said.append("Nothing probed yet tells where the studs are.")
        if "next_probe" in values:
            said.append(f"The next probe tells most at {decimal(values['next_probe'], unit, 3)}.")
        return " ".join(said)

    def _tried(self, values: Mapping[str, float]) -> tuple[Probe, ...]:
        if "probe_place" not in values:
            return ()
        return trial(*(values[name] for name in ("probe_place", "probe_reading", "probe_width", "false_reading")))

    def _studs(self, values: Mapping[str, float]) -> Studs:
        studs = studs_of(self.house, *self._tried(values))
        assert studs is not None  # else there were no length of the wall
        return studs

    def _drawn(self, values: Mapping[str, float], system: System) -> "_Elevation":
        studs, unit = self._studs(values), term("wall_place").unit(system)
        percents = tuple((share / 100, f"{share} %") for share in (0, 25, 50, 75, 100))
        drawn = _Elevation(
            self.name,
            self.title,
            Axis("along the wall from its left end", unit, 0.0, studs.wall.length),
            Axis("chance of wood", "", 0.0, 1.68, percents),
            height=300,
        )
        if "bay_left" in values and "bay_right" in values:
            drawn.stripe(values["bay_left"], values["bay_right"], "water", "stretch wanted for the pipe")
        drawn.wood(studs)
        drawn.line(
            studs.x, studs.wood(studs.x, values.get("probe_width", 0.003)), "accent", "chance that a probe meets wood"
        )
        features = self.house.framing.feature if self.house.framing else ()
        for feature in features:
            if feature.left and feature.right:
                tall = feature.kind == "opening"
                drawn.outline(
                    feature.left.value,
                    feature.right.value,
                    _FLOOR,
                    _CEILING - 0.06 if tall else _FLOOR + 0.16,
                    feature.kind or "",
                )
        self._probes(drawn, values)
        place = values["drill_place"]
        if 0 < place < studs.wall.length:
            drawn.points([place], [values["wood_chance"]], "circle", "warn", "the hole wanted")
        if "next_probe" in values:
            drawn.upright(values["next_probe"], "warn dashed", "next probe, for the stretch wanted")
        if "survey_probe" in values:
            drawn.upright(values["survey_probe"], "pale dotted", "next probe, for all studs together")
        return drawn

    def _probes(self, drawn: "_Elevation", values: Mapping[str, float]) -> None:
        probes = readings_of(self.house)
        for found, (shape, colour, words) in _FOUND.items():
            here = [probe.at for probe in probes if probe.found == found]
            if here:
                drawn.points(here, [_ROW] * len(here), shape, colour, words)
        if "probe_place" in values:
            drawn.upright(values["probe_place"], "ink thin", "place of the probe that is tried")
        for probe in self._tried(values):
            drawn.text(probe.at, _ROW, f"tried: {probe.found}", anchor="start", colour="warn", dx=9, dy=4)
            shape, colour, _ = _FOUND[probe.found]
            drawn.points([probe.at], [_ROW], shape, colour)


class _Elevation(Plot):
    """A plot with the wall above its field."""

    def wood(self, studs: Studs) -> None:
        """The wall shaded where wood is likely: the darker, the likelier."""
        edges = np.linspace(0.0, studs.wall.length, _BARS + 1)
        chances = studs.wood((edges[:-1] + edges[1:]) / 2, 0.0)
        top, floor = self.up(_CEILING), self.up(_FLOOR)
        for left, right, chance in zip(edges[:-1], edges[1:], chances, strict=True):
            if chance >= 0.02:
                a, b = self.across(left), self.across(right)
                look = f"fill='#a8763a' fill-opacity='{chance:.2f}'"
                self._parts.append(f"<path d='M{a:.1f} {top:.1f}H{b:.1f}V{floor:.1f}H{a:.1f}z' {look}/>")
        self.outline(0.0, studs.wall.length, _FLOOR, _CEILING, "")

    def outline(self, left: float, right: float, low: float, high: float, words: str) -> None:
        """A rectangle of the wall with words in it."""
        a, b, top, floor = self.across(left), self.across(right), self.up(high), self.up(low)
        look = f"fill='none' stroke='{INK}' stroke-width='1.2'"
        self._parts.append(f"<path d='M{a:.1f} {top:.1f}H{b:.1f}V{floor:.1f}H{a:.1f}z' {look}/>")
        if words:
            self.text((left + right) / 2, high, words, dy=-5 if words == "box" else 16)
