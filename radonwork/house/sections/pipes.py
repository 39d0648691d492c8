"""Pipes by their size, the way of the vent pipe piece by piece, and the wall that takes it upwards."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, field_validator, model_validator

from radonwork.house.fields import (
    FittingName,
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


class PipesInWall(Pipe):
    count: Quantity | None = measured("pipe_count")
    joined_by: Literal["wye", "tee"] | None = None


class RoutePiece(Pipe):
    """One piece of the way: straight pipe by its length, or so many fittings of one name.

    It is of the main pipe, of the pipes in the wall, or of a size of its own. In the wall it stands in each pipe.
    """

    length: Quantity | None = like("straight_length")
    fitting: FittingName | None = None
    count: int | None = Field(default=None, ge=1, le=100)
    pipe: Literal["main", "wall"] | None = None

    @model_validator(mode="after")
    def _one_piece(self) -> "RoutePiece":
        if not self.length and not self.fitting:
            raise wrong("states no piece; write the length of a straight pipe, or a fitting")
        if self.length and self.fitting:
            raise wrong("is written beside a length; a piece is a straight pipe or a fitting, write two", "fitting")
        if self.length and self.length.value == 0:
            raise wrong(f"{self.length.text!r} is no length; write one above zero, or leave the piece out", "length")
        if self.length and self.count:
            raise wrong("counts fittings; a straight pipe has its whole length", "count")
        if self.pipe and self.of_its_own:
            raise wrong("is written beside a size; write the one or the other", "pipe")
        return self

    @property
    def of_its_own(self) -> bool:
        """Whether the piece states a size of pipe."""
        return bool(self.nominal or self.schedule or self.outside_diameter or self.wall_thickness)


class Route(Section):
    """The way of the main pipe from the suction point to the roof; `piece` lists it in the order of the air."""

    pipe: Pipe | None = None
    design_flow: Quantity | None = measured("air_flow")
    attic_run: Quantity | None = measured("run_length")
    slope: Quantity | None = measured("pipe_slope")
    inlet_temperature: Quantity | None = measured("inlet_temperature")
    riser_height: Quantity | None = measured("riser_height")
    piece: tuple[RoutePiece, ...] = Field(default=(), strict=False)
    notes: Notes | None = None

    @field_validator("piece")
    @classmethod
    def _some(cls, pieces: tuple[RoutePiece, ...]) -> tuple[RoutePiece, ...]:
        if not pieces:
            raise wrong("a route without a piece is none; write a line [[run.piece]] for each, or leave it out")
        return pieces


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
