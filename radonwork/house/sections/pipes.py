"""Pipes by their size, and the wall that takes them upwards."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, field_validator, model_validator

from radonwork.house.fields import (
    Heading,
    Notes,
    Section,
    derived,
    in_words,
    like,
    measured,
    nominal_size,
    stated,
    wrong,
)
from radonwork.units import Quantity


class Pipe(Section):
    """A pipe by its nominal size and schedule, or by its outside diameter and wall."""

    nominal: Annotated[str, BeforeValidator(nominal_size)] | None = None
    schedule: Annotated[Literal["40", "80"], BeforeValidator(in_words)] | None = None
    diameters: Literal["least wall", "mean wall", "nominal"] | None = None
    outside_diameter: Quantity | None = like("pipe_outside_diameter")
    wall_thickness: Quantity | None = like("wall_thickness")

    @model_validator(mode="after")
    def _one_size(self) -> "Pipe":
        outside, wall = self.outside_diameter, self.wall_thickness
        if self.nominal and (outside or wall):
            raise wrong(
                "gives the size twice; write nominal and schedule, or outside_diameter and wall_thickness", "nominal"
            )
        if outside and wall and 2 * wall.value >= outside.value:
            raise wrong(
                f"{wall.text!r} on both sides of {outside.text!r} leaves no bore; write one wall", "wall_thickness"
            )
        return self

    def size(self) -> dict[str, Quantity]:
        """Outside diameter, wall thickness and bore; empty where the record does not settle them."""
        if self.nominal and self.schedule:
            from radonwork.house.pipe_sizes import pipe_size

            size = pipe_size(self.nominal, self.schedule, (self.diameters or "least wall").removesuffix(" wall"))
            return {part: derived(getattr(size, part), "in") for part in ("outside_diameter", "wall_thickness", "bore")}
        if self.outside_diameter and self.wall_thickness:
            from radonwork.formulas.pipes import pipe_bore

            outside, wall = self.outside_diameter, self.wall_thickness
            bore = float(pipe_bore(pipe_outside_diameter=outside.value, wall_thickness=wall.value))
            tolerance = outside.tolerance + 2 * wall.tolerance
            return {
                "outside_diameter": outside,
                "wall_thickness": wall,
                "bore": derived(bore, outside.unit, tolerance),
            }
        return {}

    def wanted(self) -> str:
        """The field whose absence leaves the size open."""
        if self.outside_diameter or self.wall_thickness:
            return "wall_thickness" if self.outside_diameter else "outside_diameter"
        return "schedule" if self.nominal else "nominal"


MOST_IN_WALL = 8
"""Pipes side by side in a wall: a choice, four in each of two stud bays. Each more makes the network they form larger."""


class PipesInWall(Pipe):
    """The pipes side by side: how many, how far from centre to centre, and toward where the others stand beside the first.

    The first goes straight through the wyes or tees; side_gap is of two pipes, of which the other is led around.
    """

    count: Quantity | None = measured("pipe_count")
    joined_by: Literal["wye", "tee"] | None = None
    apart: Quantity | None = like("pipe_spacing")
    beside: Heading | None = None
    side_gap: Quantity | None = like(
        "take_off",
        "distance along the wall from the end of the main pipe in the wye or tee to the end of the second pipe, all that "
        "lies between put together dry",
    )

    @field_validator("count")
    @classmethod
    def _whole(cls, count: Quantity | None) -> Quantity | None:
        if count and (count.value not in range(1, MOST_IN_WALL + 1) or count.tolerance):
            raise wrong(
                f"{count.text!r} is no number of pipes in a wall; write a whole number from 1 to {MOST_IN_WALL}"
            )
        return count


class Wall(Section):
    """The wall that takes the pipe from the lowest room upwards, its plates, and the way a long piece is put in."""

    pipe: PipesInWall | None = None
    bearing_or_exterior: bool | None = stated("bearing_or_exterior_wall")
    stud_spacing: Quantity | None = measured("stud_spacing")
    stud_thickness: Quantity | None = measured("stud_thickness")
    bay_width: Quantity | None = measured("bay_width")
    cavity_depth: Quantity | None = measured("cavity_depth")
    play: Quantity | None = measured("play")
    plate_width: Quantity | None = measured("member_depth")
    hole_diameter: Quantity | None = measured("hole_diameter")
    hole_offset: Quantity | None = measured("hole_offset")
    room_height: Quantity | None = measured("room_height")
    opening_thickness: Quantity | None = measured("member_thickness")
    piece_length: Quantity | None = measured("pipe_length")
    slot_length: Quantity | None = measured("slot_length")
    slot_start: Quantity | None = measured("slot_start")
    first_pipe_face: Quantity | None = measured("first_pipe_face")
    pipe_clearance: Quantity | None = measured("clearance")
    subfloor_underside: Quantity | None = measured("subfloor_underside")
    joist_bottom: Quantity | None = measured("joist_bottom")
    joist_gap_behind: Quantity | None = measured("joist_gap_behind")
    notes: Notes | None = None

    @model_validator(mode="after")
    def _joist_under_the_floor(self) -> "Wall":
        joist, floor = self.joist_bottom, self.subfloor_underside
        if joist and floor and joist.value > floor.value:
            raise wrong(
                f"{joist.text!r} is above the subfloor's underside, {floor.text!r}; correct one", "joist_bottom"
            )
        return self
