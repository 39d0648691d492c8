"""Where the pipe comes out, what it is near, and who looks at it; the lid of the sump.

Heights are over one level, the ground nearest the outlet. Places are on the same plan as the outline of the slab, and may
lie outside it.
"""

from typing import Literal

from pydantic import Field, model_validator

from radonwork.house.fields import At, Name, Notes, Section, like, measured, stated, wrong
from radonwork.units import Quantity


class Outlet(Section):
    """The end of the pipe: its place on the plan, and what is known of the way it faces.

    Its height over the ground follows from the roof; only a pipe that passes no roof states it.
    """

    at: At | None = None
    passes: Literal["roof", "outside wall"] | None = stated("outlet_passes")
    height: Quantity | None = measured("outlet_height")
    direction: Literal["straight up", "45° elbow", "level", "rain cap"] | None = stated("outlet_direction")
    aim_distance: Quantity | None = measured("aim_distance")
    screen: bool | None = stated("outlet_screen")
    screen_mesh: Quantity | None = measured("screen_mesh")
    wall_above_roof: bool | None = stated("wall_above_roof")
    wall_distance: Quantity | None = measured("wall_distance")
    wall_rise: Quantity | None = measured("wall_rise")
    neighbour_near: bool | None = stated("neighbour_near")
    hidden: bool | None = stated("outlet_to_be_hidden")
    notes: Notes | None = None

    @model_validator(mode="after")
    def _once(self) -> "Outlet":
        if self.height and self.passes != "outside wall":
            raise wrong(
                'is worked out from the roof; leave it out, or write passes = "outside wall" where the pipe passes no roof',
                "height",
            )
        if self.screen is False and self.screen_mesh:
            raise wrong("is written beside screen = false; write the one or the other", "screen_mesh")
        if self.wall_above_roof is False and (self.wall_distance or self.wall_rise):
            at = "wall_distance" if self.wall_distance else "wall_rise"
            raise wrong("is written beside wall_above_roof = false; write the one or the other", at)
        return self


class Opening(Section):
    """A window, door, intake or other opening into living space; `at` and `to` are its two ends on the plan."""

    name: Name | None = None
    of: Literal["this house", "neighbour"] | None = None
    at: At | None = None
    to: At | None = None
    sill: Quantity | None = like("opening_sill")
    head: Quantity | None = like("opening_head")

    @model_validator(mode="after")
    def _an_opening(self) -> "Opening":
        if self.sill and self.head and self.head.value < self.sill.value:
            raise wrong(f"{self.head.text!r} is below the sill, {self.sill.text!r}; correct one", "head")
        if self.to and not self.at:
            raise wrong("is the other end of an opening; write at, its first end, too", "to")
        return self


class Viewpoint(Section):
    """A place from which the pipe is not to be seen, or whose view is asked about."""

    name: Name | None = None
    at: At | None = None
    eye_height: Quantity | None = like("eye_height")


class LidHole(Section):
    """A hole in the lid of the sump, round; `at` is its centre, counted from the lid's, right and up."""

    name: Name | None = None
    diameter: Quantity | None = like("hole_diameter")
    at: At | None = None

    @model_validator(mode="after")
    def _a_hole(self) -> "LidHole":
        if self.diameter and self.diameter.value == 0:
            raise wrong(f"{self.diameter.text!r} is no hole; write a diameter above zero", "diameter")
        return self


class Lid(Section):
    """The lid of the sump and the holes cut in it: for the pipe, the pump's cord and its discharge."""

    diameter: Quantity | None = like("lid_diameter")
    hole: tuple[LidHole, ...] = Field(default=(), strict=False)

    @model_validator(mode="after")
    def _within(self) -> "Lid":
        for count, hole in enumerate(self.hole):
            if not (self.diameter and hole.diameter and hole.at):
                continue
            x, y = hole.at.point
            if (x**2 + y**2) ** 0.5 + hole.diameter.value / 2 > self.diameter.value / 2:
                raise wrong(
                    f"a hole of {hole.diameter.text!r} at {hole.at} reaches beyond the lid, {self.diameter.text!r} across; "
                    "correct one",
                    "hole",
                    count,
                )
        return self
