"""The roof that the pipe passes, and the tools for its holes."""

import math

from pydantic import Field, field_validator, model_validator

from radonwork import glossary
from radonwork.house import plan
from radonwork.house.fields import At, HoleSaw, Notes, Place, Section, derived, measured, wrong
from radonwork.units import Quantity


class Roof(Section):
    pitch: Quantity | None = measured("roof_angle")
    deck_thickness: Quantity | None = measured("deck_thickness")
    hole_clearance: Quantity | None = measured("hole_clearance")
    flashing_base: Quantity | None = measured("flashing_base")
    flashing_offset: Quantity | None = measured("flashing_offset")
    outlet_height: Quantity | None = measured("outlet_height_upslope")
    climb_direction: Quantity | None = measured("climb_direction")
    ridge: tuple[At, ...] = Field(default=(), strict=False)
    ridge_height: Quantity | None = measured("ridge_height")
    eave_height: Quantity | None = measured("eave_height")
    shingle_exposure: Quantity | None = measured("shingle_exposure")
    snow_depth: Quantity | None = measured("snow_depth")
    notes: Notes | None = None

    @field_validator("ridge")
    @classmethod
    def _a_ridge(cls, ends: tuple[Place, ...]) -> tuple[Place, ...]:
        if len(ends) != 2:
            raise wrong("a ridge is a straight line; write its two ends on the plan, or leave it out")
        if ends[0].point == ends[1].point:
            raise wrong(f"{ends[1]} is both ends of the ridge; write two places", 1)
        return ends

    @model_validator(mode="after")
    def _not_a_wall(self) -> "Roof":
        if self.pitch and self.pitch.value >= glossary.term("roof_angle").read("90 deg").value:
            raise wrong(
                f"{self.pitch.text!r} is upright or more; write the roof's angle from level, such as 7/12", "pitch"
            )
        if self.ridge_height and self.eave_height and self.eave_height.value >= self.ridge_height.value:
            raise wrong(
                f"{self.eave_height.text!r} is not below the ridge, {self.ridge_height.text!r}; correct one",
                "eave_height",
            )
        return self

    def derived(self, outlet: Place | None) -> dict[str, Quantity]:
        """How far from the ridge the pipe comes out, by its place on the plan and how well that is known."""
        if not (outlet and self.ridge):
            return {}
        start, end = (place.point for place in self.ridge)
        (run, rise), length = (end[0] - start[0], end[1] - start[1]), math.dist(start, end)
        tolerance = (abs(rise) * outlet.x.tolerance + abs(run) * outlet.y.tolerance) / length
        away = abs(plan.beside(outlet.point, start, end)[1])
        return {"ridge_distance": derived(away, outlet.x.unit, tolerance)}


class Tools(Section):
    hole_saws: tuple[HoleSaw, ...] = Field(default=(), strict=False)
