"""The way of the vent pipe piece by piece: its pieces, where it must end, what it must keep clear of, and other ways."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator, model_validator

from radonwork.house import going
from radonwork.house.faults import one_of
from radonwork.house.fields import (
    At,
    Corner,
    FittingName,
    Name,
    Notes,
    Section,
    Spot,
    like,
    measured,
    wrong,
)
from radonwork.house.going import Going, Toward
from radonwork.house.sections.pipes import Pipe
from radonwork.units import Quantity

Where = Literal["basement", "crawl space", "room", "wall", "garage", "attic", "outside"]
MOST_PIECES = 200


class RoutePiece(Pipe):
    """One piece of the way: straight pipe by its length, or so many fittings of one name.

    It is of the main pipe, of the pipes in the wall, or of a size of its own. In the wall it stands in each pipe. `go`
    says in words which way it goes (house.going); a straight pipe then has its length there. `through` names each plate,
    floor or other member of the house that it passes.
    """

    length: Quantity | None = like("straight_length")
    fitting: FittingName | None = None
    count: int | None = Field(default=None, ge=1, le=100)
    pipe: Literal["main", "wall"] | None = None
    go: Going | None = None
    place: Where | None = None
    through: tuple[Name, ...] = Field(default=(), strict=False, max_length=20)

    @field_validator("go", mode="before")
    @classmethod
    def _in_words(cls, value: object, info: ValidationInfo) -> object:
        if not isinstance(value, str):
            raise ValueError('is not text; write in quotes how the piece goes, such as "up 9 ft 2 in"')
        if "fitting" not in info.data:  # a fitting that is none was told already
            return None
        return going.turn(value) if info.data["fitting"] else going.straight(value)

    @model_validator(mode="after")
    def _one_piece(self) -> "RoutePiece":
        if not self.length and not self.fitting and not self.go:
            raise wrong("states no piece; write the length of a straight pipe, or a fitting")
        if self.length and self.fitting:
            raise wrong("is written beside a length; a piece is a straight pipe or a fitting, write two", "fitting")
        if self.length and self.length.value == 0:
            raise wrong(f"{self.length.text!r} is no length; write one above zero, or leave the piece out", "length")
        if self.length and self.go:
            raise wrong(f"{self.length.text!r} gives the length beside go, which has one; write it there", "length")
        if self.straight and self.count:
            raise wrong("counts fittings; a straight pipe has its whole length", "count")
        if self.pipe and self.of_its_own:
            raise wrong("is written beside a size; write the one or the other", "pipe")
        return self

    @property
    def straight(self) -> Quantity | None:
        """The length of a straight pipe, however it is written; None for a fitting."""
        return self.length or (self.go.length if self.go else None)

    @property
    def of_its_own(self) -> bool:
        """Whether the piece states a size of pipe."""
        return bool(self.nominal or self.schedule or self.outside_diameter or self.wall_thickness)


Pieces = Annotated[tuple[RoutePiece, ...], Field(strict=False, max_length=MOST_PIECES)]


class RouteStart(Section):
    """Where the centreline begins: by itself at the first suction point, level with the top of the slab."""

    at: At | None = None
    height: Quantity | None = like("route_height")


class RouteEnd(Section):
    """Where the route must end, on the plan and above the top of the slab, and how far off will do."""

    at: At | None = None
    height: Quantity | None = like("route_height")
    within: Quantity | None = like("closure_gap")


class KeepClear(Section):
    """Something the pipe must not cross: a box between two opposite corners, of any height where they state none."""

    name: Name | None = None
    corners: tuple[Corner, ...] = Field(default=(), strict=False)

    @field_validator("corners")
    @classmethod
    def _two(cls, corners: tuple[Spot, ...]) -> tuple[Spot, ...]:
        if len(corners) != 2:
            raise wrong(f"has {len(corners)} corners; write two that are opposite, each of two lengths or of three")
        one, other = (corner.point for corner in corners)
        if len(one) != len(other):
            raise wrong("has one corner with a height and one without; write both or neither")
        if any(a == b for a, b in zip(one, other, strict=True)):
            raise wrong("is a box without width or height; its corners must differ in every length")
        return corners

    def box(self) -> tuple[tuple[float, ...], tuple[float, ...]] | None:
        """Its lowest and highest corner in metres, of two or three lengths; None where it has none."""
        if not self.corners:
            return None
        sides = list(zip(*(corner.point for corner in self.corners), strict=True))
        return tuple(min(side) for side in sides), tuple(max(side) for side in sides)


class StayIn(KeepClear):
    """A bay or chase that pieces of the route, counted from the suction point, must stay in."""

    pieces: tuple[int, ...] = Field(default=(), strict=False, max_length=MOST_PIECES)


class Level(Section):
    """A floor or ceiling above the top of the slab, to draw."""

    name: Name | None = None
    height: Quantity | None = like("route_height")


class RouteBranch(Section):
    """The pipe of a further suction point, which joins the main route by a wye or tee after so many of its pieces.

    `point` is the name of the suction point. What is not stated of its soil is taken to be like that of the first.
    """

    point: Name | None = None
    joins_after: int | None = Field(default=None, ge=1, le=MOST_PIECES)
    joined_by: Literal["wye", "tee"] | None = None
    soil_resistance: Quantity | None = like("soil_resistance")
    soil_suction: Quantity | None = like(
        "soil_suction", "suction in its suction point, at which the field under the slab is worked there"
    )
    soil_flow: Quantity | None = like("air_flow")
    lid_leak_area: Quantity | None = like("lid_leak_area")
    start: RouteStart | None = None
    piece: Pieces = ()
    notes: Notes | None = None

    @model_validator(mode="after")
    def _joined(self) -> "RouteBranch":
        if not self.piece:
            raise wrong("has no piece; write a line [[run.branch.piece]] for each")
        if self.joins_after is None:
            raise wrong(
                "does not say where it joins; write joins_after, the number of the piece of the route before the wye"
            )
        if any(piece.pipe == "wall" for piece in self.piece):
            raise wrong("has a piece in the wall; a branch is of the main pipe or of sizes of its own")
        if self.soil_resistance and (self.soil_suction or self.soil_flow):
            raise wrong("gives the soil twice; write soil_resistance, or soil_suction and soil_flow", "soil_resistance")
        if self.soil_flow and self.soil_flow.value <= self.soil_flow.tolerance:
            raise wrong(f"{self.soil_flow.text!r} may be no flow at all; write a flow above zero", "soil_flow")
        return self

    @property
    def resistance(self) -> float | None:
        """Of the soil under its point, Pa s/m³; None where it is not stated."""
        if self.soil_suction and self.soil_flow:
            return self.soil_suction.value / self.soil_flow.value
        return self.soil_resistance.value if self.soil_resistance else None


class Route(Section):
    """The way of the main pipe from the suction point to the roof; `piece` lists it in the order of the air."""

    pipe: Pipe | None = None
    design_flow: Quantity | None = measured("air_flow")
    attic_run: Quantity | None = measured("run_length")
    slope: Quantity | None = measured("pipe_slope")
    inlet_temperature: Quantity | None = measured("inlet_temperature")
    riser_height: Quantity | None = measured("riser_height")
    hanger_spacing: Quantity | None = measured("hanger_spacing")
    riser_support: Quantity | None = measured("riser_support")
    toward: Annotated[tuple[Toward, ...], BeforeValidator(going.toward)] = ()
    start: RouteStart | None = None
    end: RouteEnd | None = None
    piece: Pieces = ()
    branch: tuple[RouteBranch, ...] = Field(default=(), strict=False, max_length=20)
    keep_clear: tuple[KeepClear, ...] = Field(default=(), strict=False, max_length=100)
    stay_in: tuple[StayIn, ...] = Field(default=(), strict=False, max_length=100)
    level: tuple[Level, ...] = Field(default=(), strict=False, max_length=20)
    notes: Notes | None = None

    @field_validator("piece")
    @classmethod
    def _some(cls, pieces: tuple[RoutePiece, ...]) -> tuple[RoutePiece, ...]:
        if not pieces:
            raise wrong("a route without a piece is none; write a line [[run.piece]] for each, or leave it out")
        return pieces

    @model_validator(mode="after")
    def _along_itself(self) -> "Route":
        """What names a piece names one there is, and a wye stands in the main pipe between two of its pieces."""
        lists = [((), self.piece), *((("branch", n), branch.piece) for n, branch in enumerate(self.branch))]
        for at, pieces in lists:
            if fault := unknown_direction(pieces, self.toward):
                raise wrong(fault[1], *at, "piece", fault[0], "go")
        for count, branch in enumerate(self.branch):
            after = branch.joins_after or 0
            if after >= len(self.piece):
                raise wrong(
                    f"{after} leaves no piece of the route after the wye; the route has {len(self.piece)}",
                    *("branch", count, "joins_after"),
                )
            if "wall" in (self.piece[after - 1].pipe, self.piece[after].pipe):
                raise wrong(
                    f"{after} puts the wye in or at the pipes in the wall; put it between two pieces of the main pipe",
                    *("branch", count, "joins_after"),
                )
            if after in [other.joins_after for other in self.branch[:count]]:
                raise wrong(
                    f"{after} has a wye already; put each after a piece of its own", *("branch", count, "joins_after")
                )
        for count, bay in enumerate(self.stay_in):
            if over := [n for n in bay.pieces if not 1 <= n <= len(self.piece)]:
                raise wrong(
                    f"{over[0]} is no piece of the route, which has {len(self.piece)}", "stay_in", count, "pieces"
                )
        return self


class OtherRoute(Section):
    """Another way that the pipe might take from the first suction point; `after_piece` pieces stand before its fan."""

    name: Name | None = None
    after_piece: int | None = Field(default=None, ge=0, le=MOST_PIECES)
    start: RouteStart | None = None
    end: RouteEnd | None = None
    piece: Pieces = ()
    notes: Notes | None = None

    @model_validator(mode="after")
    def _a_way(self) -> "OtherRoute":
        if not self.piece:
            raise wrong("has no piece; write a line [[run_alternative.piece]] for each")
        if self.after_piece is not None and self.after_piece > len(self.piece):
            raise wrong(
                f"{self.after_piece} is more than the route has pieces, {len(self.piece)}; correct one", "after_piece"
            )
        return self


def unknown_direction(pieces: tuple[RoutePiece, ...], named: tuple[Toward, ...]) -> tuple[int, str] | None:
    """The first piece that goes toward something neither compass nor record knows, and what to say of it."""
    for count, piece in enumerate(pieces):
        if piece.go and piece.go.toward and going.heading_of(piece.go.toward, named) is None:
            known = one_of([*(entry.name for entry in named), "a direction of the compass"])
            said = (
                f"goes toward {piece.go.toward!r}, which run.toward does not define; write {known}, or define it there"
            )
            return count, said
    return None
