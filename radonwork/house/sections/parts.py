"""What is cut, bored and bought: the owner's own fittings, sticks, an offset, holes through plates, prices and quotes."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from radonwork.house.fields import (
    JUNCTIONS,
    Name,
    Notes,
    OwnFittingName,
    Section,
    like,
    measured,
    nominal_size,
    quantity,
    stated,
    wrong,
)
from radonwork.units import Quantity

Material = Literal["PVC, Schedule 40", "ABS, Schedule 40", "PVC of another make", "ABS of another make", "other"]
StickLength = Annotated[Quantity, BeforeValidator(lambda value: quantity(value, "longest_stick"))]


_LEG = "distance from where the centre lines of a wye or tee meet to the end of the pipe in the leg {}, at the stop"


class MeasuredFitting(Section):
    """A fitting of the owner's, measured; it stands in place of the table's. Without a size it is of every size.

    A fitting that turns the pipe has its take-off, from its centre to the end of the pipe at the stop, or centre_to_end
    and socket_depth that give it. One that does not turn has its gap, between the ends of the two pipes in it.

    A wye or a tee, where pipes part or join, has three take-offs, of the leg with all the air, of the leg straight across
    and of the branch. Its size is that of the first two; the branch is as wide unless branch_outside_diameter says another.
    """

    name: OwnFittingName | None = None
    nominal: Annotated[str, BeforeValidator(nominal_size)] | None = None
    outside_diameter: Quantity | None = like("pipe_outside_diameter")
    take_off: Quantity | None = like("take_off")
    centre_to_end: Quantity | None = like("centre_to_end")
    socket_depth: Quantity | None = like("socket_depth")
    gap: Quantity | None = like(
        "take_off", "distance between the ends of the two pipes in a fitting that does not turn"
    )
    common_take_off: Quantity | None = like("take_off", _LEG.format("with all the air"))
    run_take_off: Quantity | None = like("take_off", _LEG.format("straight across from it"))
    branch_take_off: Quantity | None = like("take_off", _LEG.format("of the branch"))
    branch_outside_diameter: Quantity | None = like(
        "pipe_outside_diameter", "outside diameter of the pipe in the branch of a wye or tee, where it is another"
    )

    @model_validator(mode="after")
    def _one_measure(self) -> "MeasuredFitting":
        if self.name is None:
            raise wrong("names no fitting; write its name as the route has it")
        if self.nominal and self.outside_diameter:
            raise wrong("gives the size twice; write nominal or outside_diameter", "outside_diameter")
        stated = [self.take_off is not None, self.centre_to_end is not None, self.gap is not None]
        legs = [self.common_take_off, self.run_take_off, self.branch_take_off]
        if self.name in JUNCTIONS:
            if None in legs or any(stated) or self.socket_depth:
                raise wrong(
                    f"a {self.name} has three measures; write common_take_off, run_take_off and branch_take_off, no other"
                )
            return self
        if any(legs) or self.branch_outside_diameter:
            raise wrong(f"{self.name} has no branch; common_take_off and the like are of a 'wye' or a 'tee'")
        if sum(stated) != 1:
            raise wrong("must have one measure: take_off, centre_to_end with socket_depth, or gap; write one of them")
        face, depth = self.centre_to_end, self.socket_depth
        if (face is None) != (depth is None):
            raise wrong("has centre_to_end or socket_depth alone; write both, or take_off")
        if face and depth and depth.value > face.value:
            raise wrong(
                f"{depth.text!r} is deeper than the fitting reaches, {face.text!r}; correct one", "socket_depth"
            )
        return self

    def leg(self, name: Literal["common", "run", "branch"]) -> Quantity:
        """The take-off of a leg of a wye or tee."""
        stated = {"common": self.common_take_off, "run": self.run_take_off, "branch": self.branch_take_off}[name]
        assert stated
        return stated


class Cutting(Section):
    """Sticks that can be had and the saw. `lengths` says what a piece's plain length is; with `go` it is to centres."""

    stick: tuple[StickLength, ...] = Field(default=(), strict=False, max_length=10)
    kerf: Quantity | None = like("saw_kerf")
    lengths: Literal["cut", "centre to centre"] | None = None
    fan_length: Quantity | None = like("take_off")
    material: Material | None = stated("pipe_material")
    joints: Literal["solvent cement", "other"] | None = stated("pipe_joints")

    @model_validator(mode="after")
    def _sticks(self) -> "Cutting":
        for count, stick in enumerate(self.stick):
            if stick.value <= 0:
                raise wrong(f"{stick.text!r} is no stick; write a length above zero", "stick", count)
        return self


class Offset(Section):
    """An offset that is planned somewhere on the way; `spread` is that of two pipes which make it side by side."""

    set: Quantity | None = measured("offset_set")
    roll: Quantity | None = measured("offset_roll")
    angle: Quantity | None = measured("fitting_angle")
    take_off: Quantity | None = measured("take_off")
    spread: Quantity | None = measured("pipe_spread")
    notes: Notes | None = None

    @model_validator(mode="after")
    def _turns(self) -> "Offset":
        if self.angle and not 0 < self.angle.value < 1.5708:
            raise wrong(f"{self.angle.text!r} makes no offset; write an angle above 0 and below 90 deg", "angle")
        return self


class Boring(Section):
    """A row of holes bored in one go through the plates, and how well each mark is set.

    How the drill is held is framing.transfer.drill_lean.
    """

    plate_count: Quantity | None = measured("plate_count")
    plate_thickness: Quantity | None = measured("plate_thickness")
    plate_gap: Quantity | None = measured("plate_gap")
    mark_error: Quantity | None = measured("mark_error")
    notes: Notes | None = None


class Part(Section):
    """Something to buy that the route does not show."""

    item: Name | None = None
    count: int | None = Field(default=None, ge=1, le=1000)

    @model_validator(mode="after")
    def _named(self) -> "Part":
        if self.item is None:
            raise wrong("names nothing to buy; write item")
        return self


class Price(Section):
    """What one of an item of the parts list costs: from `low` to `high`, or just one of them."""

    item: Name | None = None
    low: Quantity | None = like("parts_cost")
    high: Quantity | None = like("parts_cost")

    @model_validator(mode="after")
    def _a_range(self) -> "Price":
        if self.item is None or not (self.low or self.high):
            raise wrong("must name its item and give low, high, or both")
        if self.low and self.high and self.low.value > self.high.value:
            raise wrong(f"{self.low.text!r} is above high, {self.high.text!r}; correct one", "low")
        return self

    @property
    def ends(self) -> tuple[float, float]:
        """Lowest and highest price of one."""
        low, high = self.low or self.high, self.high or self.low
        assert low
        assert high
        return low.value - low.tolerance, high.value + high.tolerance


class Quote(Section):
    """What somebody asks for the whole job, and what that includes."""

    name: Name | None = None
    price: Quantity | None = like("quoted_price")
    includes: Name | None = None


class OwnWork(Section):
    """One's own hours, what one of them is held to be worth, and tools, permit and the like that are paid besides."""

    hours: Quantity | None = measured("work_hours")
    hour_value: Quantity | None = measured("hour_value")
    tools: Quantity | None = measured("tools_cost")
    notes: Notes | None = None
