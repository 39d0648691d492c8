"""Fans and their curves, typed in by the owner."""

from typing import TYPE_CHECKING

from pydantic import Field, field_validator, model_validator

from radonwork import glossary
from radonwork.house.fields import Name, Notes, Section, like, measured, wrong

if TYPE_CHECKING:  # what it loads is loaded when a curve is asked for
    from radonwork.solvers.fan_curve import FanCurve
from radonwork.units import Quantity


class FanPoint(Section):
    flow: Quantity | None = like("air_flow")
    pressure: Quantity | None = like("fan_pressure")


LEVELLED = 0.02
"""Share of the highest pressure by which a point may lie above the one before: a reading error (solvers.fan_curve)."""


class FanData(Section):
    """A fan and its curve, typed in by the owner from what its maker publishes, at the density it is stated for."""

    name: Name | None = None
    point: tuple[FanPoint, ...] = Field(default=(), strict=False)
    power: Quantity | None = like("fan_power")
    rated_density: Quantity | None = like("rated_density")
    rated_temperature: Quantity | None = like("rated_temperature")
    notes: Notes | None = None

    @field_validator("point")
    @classmethod
    def _a_curve(cls, points: tuple[FanPoint, ...]) -> tuple[FanPoint, ...]:
        last: Quantity | None = None
        least: Quantity | None = None
        highest = max((point.pressure.value for point in points if point.pressure), default=0.0)
        for count, point in enumerate(points):
            flow, pressure = point.flow, point.pressure
            if flow is None or pressure is None:
                raise wrong(f"lacks its {'pressure' if flow else 'flow'}; a point of the curve has both", count)
            if last and flow.value == last.value:
                raise wrong(f"{flow.text!r} is there twice; write each flow once", count, "flow")
            if last and flow.value < last.value:
                raise wrong(f"{flow.text!r} comes after {last.text!r}; order by rising flow", count, "flow")
            if least and pressure.value - least.value > LEVELLED * highest:
                raise wrong(
                    f"{pressure.text!r} is above {least.text!r} at a smaller flow; a fan's pressure falls as its flow "
                    "rises, so look at the units of each point",
                    count,
                    "pressure",
                )
            last, least = flow, pressure if not least or pressure.value < least.value else least
        if len(points) == 1:
            raise wrong("a curve of one point is none; write at least two points, or leave it out", 0)
        if points and highest == 0:
            raise wrong("is no pressure at the least flow; a fan makes one there", 0, "pressure")
        return points

    @model_validator(mode="after")
    def _rated_once(self) -> "FanData":
        if self.rated_density and self.rated_temperature:
            raise wrong("gives the rated air twice; write its density or its temperature", "rated_temperature")
        return self

    def curve(self) -> "FanCurve | None":
        """The curve through the points at its rated density, standard air where none is stated; None without points."""
        if not self.point:
            return None
        from radonwork.formulas.moist_air import dry_air_density
        from radonwork.solvers.fan_curve import STANDARD_DENSITY, FanCurve

        density = STANDARD_DENSITY
        if self.rated_density:
            density = self.rated_density.value
        elif self.rated_temperature:
            standard = glossary.term("sea_level_pressure").si_range[0]
            density = float(dry_air_density(air_temperature=self.rated_temperature.value, barometric_pressure=standard))
        return FanCurve(
            tuple((point.flow.value, point.pressure.value) for point in self.point if point.flow and point.pressure),
            density,
        )


class Fan(FanData):
    """The fan that is chosen. `after_piece` pieces of the route stand before it, counted from the suction point."""

    power: Quantity | None = measured("fan_power")
    rated_density: Quantity | None = measured("rated_density")
    rated_temperature: Quantity | None = measured("rated_temperature")
    after_piece: int | None = Field(default=None, ge=0, le=1000)
