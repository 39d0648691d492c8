"""The roof that the pipe passes, and the tools for its holes."""

from pydantic import Field, model_validator

from radonwork import glossary
from radonwork.house.fields import HoleSaw, Notes, Section, measured, wrong
from radonwork.units import Quantity


class Roof(Section):
    pitch: Quantity | None = measured("roof_angle")
    deck_thickness: Quantity | None = measured("deck_thickness")
    hole_clearance: Quantity | None = measured("hole_clearance")
    flashing_base: Quantity | None = measured("flashing_base")
    flashing_offset: Quantity | None = measured("flashing_offset")
    outlet_height: Quantity | None = measured("outlet_height_upslope")
    notes: Notes | None = None

    @model_validator(mode="after")
    def _not_a_wall(self) -> "Roof":
        if self.pitch and self.pitch.value >= glossary.term("roof_angle").read("90 deg").value:
            raise wrong(
                f"{self.pitch.text!r} is upright or more; write the roof's angle from level, such as 7/12", "pitch"
            )
        return self


class Tools(Section):
    hole_saws: tuple[HoleSaw, ...] = Field(default=(), strict=False)
