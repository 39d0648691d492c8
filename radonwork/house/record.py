"""The record of one house: a TOML file made to be read and edited by hand, read strictly and never evaluated.

A section or field that is not there is None, and the report says what is missing. Whatever is there must be right:
every fault of a file is reported at once, with its line, and a faulty file gives no house at all.

A quantity field declares the glossary term it states, a yes-or-no or a choice the fact that the rules know it by.
`House.facts`, `House.words` and `House.missing` follow from that.
"""

import re
import stat
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from functools import cache
from math import pi
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal, get_args

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationError,
    ValidationInfo,
    field_validator,
    model_validator,
)
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails, PydanticCustomError

from radonwork import glossary
from radonwork.files import table
from radonwork.glossary import System
from radonwork.house import plan
from radonwork.house.layout import Layout, layout, too_deep
from radonwork.units import Quantity, QuantityError, decimal, read

if TYPE_CHECKING:  # what these load is loaded when a route, a curve or a footprint is asked for
    from radonwork.house.route import VentRoute
    from radonwork.solvers.fan_curve import FanCurve
    from radonwork.solvers.suction_field import Footprint

LARGEST = 256 * 1024  # bytes of a file
MOST_FAULTS = 100  # told in one go


# ---------------------------------------------------------------- faults


@dataclass(frozen=True)
class Fault:
    """One thing wrong in a record. `path` is dotted, entries of a list count from 1: "test[2].concentration"."""

    path: str
    line: int | None
    written: str
    message: str

    def __str__(self) -> str:
        place = f" line {self.line}" if self.line else ""
        return f"{place}: {self.path + ': ' if self.path else ''}{self.message}"


class RecordError(ValueError):
    """A record that cannot be used. `faults` holds every one; the message has one plain line for each."""

    def __init__(self, file: str, faults: Iterable[Fault]) -> None:
        self.file = file if file.isprintable() else repr(file)
        self.faults = tuple(faults)
        super().__init__(file, self.faults)

    @property
    def lines(self) -> tuple[str, ...]:
        return tuple(f"{self.file}{fault}" for fault in self.faults)

    def __str__(self) -> str:
        return "\n".join(self.lines)


# ---------------------------------------------------------------- what a field may hold


def measured(term: str) -> Any:
    """A field that states the quantity `term` of the glossary, a fact of the house."""
    return Field(default=None, json_schema_extra={"reads": glossary.term(term).name, "measured": term})


def like(term: str) -> Any:
    """A field read as the quantity `term` is, which by itself is no fact of the house: one test of several, say."""
    return Field(default=None, json_schema_extra={"reads": glossary.term(term).name})


def stated(fact: str) -> Any:
    """A field that states in words something the rules ask for under the name `fact`."""
    return Field(default=None, json_schema_extra={"stated": fact})


def _declared(field: FieldInfo, kind: Literal["reads", "measured", "stated"]) -> str | None:
    extra = field.json_schema_extra
    return str(extra[kind]) if isinstance(extra, dict) and kind in extra else None


def _quantity(value: object, term: str) -> Quantity:
    entry = glossary.term(term)
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise QuantityError(f'{_written(value)} is not a quantity; write one in quotes, such as "{entry.low}"')
    return entry.read(str(value))


def _in_words(value: object) -> object:
    """A size that is also a number may stand without quotes."""
    return str(value) if isinstance(value, int | float) and not isinstance(value, bool) else value


def _nominal(value: object) -> object:
    from radonwork.house.pipe_sizes import nominal_sizes

    text = _in_words(value)
    if not isinstance(text, str):
        return value
    sizes = {read(size, "length", unit="in").value: size for size in nominal_sizes()}
    size = sizes.get(read(text, "length", unit="in").value)
    if size is None:
        raise ValueError(f"is not a nominal size in the table; write {_one_of(sizes.values())}")
    return size


def _one_of(choices: Iterable[str]) -> str:
    *most, last = choices
    return f"{', '.join(most)} or {last}" if most else last


def _written(value: object) -> str:
    """What was written, on one short line."""
    if isinstance(value, dict | list | tuple):
        return "a section" if isinstance(value, dict) else "a list"
    if isinstance(value, bool):
        return str(value).lower()
    text = value if isinstance(value, str) else str(value)
    shown = repr(text[:48]) if isinstance(value, str) else text[:48]
    return shown if len(text) <= 48 else f"{shown}…"


def _plain(text: str) -> str:
    if strange := next((c for c in text if not (c.isprintable() or c == "\n")), None):
        raise ValueError(f"holds the control character {strange!r}; remove it")
    return text


def _one_line(text: str) -> str:
    if "\n" in text:
        raise ValueError("has more than one line; write one")
    return text


def _file_beside(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 ._-]*\.csv", text):
        raise ValueError("is not the plain name of a .csv file beside the record, such as monitor.csv")
    return text


@cache
def _fittings() -> dict[str, tuple[str, str]]:
    """Name and kind of every fitting of the table, by its name in plain lower case."""
    return {_folded(row["name"]): (row["name"], row["kind"]) for row in table("fittings")}


def _folded(text: str) -> str:
    return " ".join(text.replace("º", "°").casefold().split()).replace(" deg ", "° ").replace(" ° ", "° ")


# Two kinds of the table are no piece of one way: where streams share, and where air enters beside the way.
_ELSEWHERE = {
    "junction": (
        "depends on how two streams share, so it is no piece of one way; say in wall.pipe.joined_by how the pipes in the "
        "wall are joined, and write a tee with a closed leg as 'tee, along the run' or 'tee, round the corner'"
    ),
    "opening": "is beside the way, not on it; write its size as suction.lid_leak_area or suction.lid_hole",
}


def _fitting(value: object) -> object:
    """The fitting's name as the table has it; "90 deg" will do for "90°"."""
    if not isinstance(value, str):
        return value
    found = _fittings().get(_folded(value))
    if not found:
        names = [name for name, kind in _fittings().values() if kind not in _ELSEWHERE]
        near = get_close_matches(_folded(value), _fittings(), n=1)
        known = f"did you mean {_fittings()[near[0]][0]!r}?" if near else f"there are {'; '.join(names)}"
        raise ValueError(f"is no fitting of the table; {known}")
    if found[1] in _ELSEWHERE:
        raise ValueError(_ELSEWHERE[found[1]])
    return found[0]


@dataclass(frozen=True)
class Place:
    """A place on the floor plan, from any corner the owner likes; as text it reads "12 ft, 5 ft 6 in"."""

    x: Quantity
    y: Quantity

    @property
    def point(self) -> plan.Point:
        """The place in metres."""
        return self.x.value, self.y.value

    def __str__(self) -> str:
        return f"{self.x.text}, {self.y.text}"


def _place(value: object) -> Place:
    if not isinstance(value, list) or len(value) != 2:
        raise ValueError('is not a place; write two lengths in square brackets, such as ["12 ft", "5 ft 6 in"]')
    found = []
    for count, length in enumerate(value):
        try:
            if not isinstance(length, str):
                raise QuantityError(f'{_written(length)} is not a length; write one in quotes, such as "12 ft"')
            found.append(read(length, "length", negative=True))
        except QuantityError as reason:
            raise _wrong(str(reason), count) from None
    return Place(*found)


Name = Annotated[str, StringConstraints(max_length=120), AfterValidator(_plain), AfterValidator(_one_line)]
Notes = Annotated[str, StringConstraints(max_length=4000), AfterValidator(_plain)]
FileName = Annotated[str, StringConstraints(max_length=120), AfterValidator(_file_beside)]
FittingName = Annotated[str, BeforeValidator(_fitting)]
At = Annotated[Place, BeforeValidator(_place)]
HoleSaw = Annotated[Quantity, BeforeValidator(lambda value: _quantity(value, "hole_diameter"))]


# ---------------------------------------------------------------- sections


class Section(BaseModel):
    """Part of a record. Unknown keys are faults; quantities are read as people write them."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    @field_validator("*", mode="before")
    @classmethod
    def _read_quantity(cls, value: object, info: ValidationInfo) -> object:
        term = _declared(cls.model_fields[info.field_name or ""], "reads")
        return _quantity(value, term) if term else value


def _wrong(message: str, *at: str | int) -> PydanticCustomError:
    """A fault that only several fields together show, told at one of them."""
    return PydanticCustomError("together", "{message}", {"at": at, "message": message})


class About(Section):
    name: Name | None = None
    system: Literal["us", "metric"] | None = None
    built: int | None = Field(default=None, ge=1500, le=2200)
    storeys: int | None = Field(default=None, ge=1, le=100)
    notes: Notes | None = None


class RadonTest(Section):
    """One radon test or, of a longer series, its mean."""

    kind: Literal["short-term", "long-term"] | None = None
    concentration: Quantity | None = like("radon_concentration")
    place: Name | None = None
    start: date | None = None
    end: date | None = None
    notes: Notes | None = None

    @model_validator(mode="after")
    def _in_order(self) -> "RadonTest":
        if self.start and self.end and self.end < self.start:
            raise _wrong(f"{self.end} is before the start, {self.start}; correct one of them", "end")
        return self


class Monitor(Section):
    """Readings over time, in a CSV beside the record."""

    file: FileName | None = None
    place: Name | None = None


class Foundation(Section):
    kind: Literal["basement", "slab on grade", "crawl space", "mixed"] | None = stated("foundation")
    slab_area: Quantity | None = measured("slab_area")
    slab_thickness: Quantity | None = measured("slab_thickness")
    gravel_depth: Quantity | None = measured("gravel_depth")
    drain_tile: Literal["none", "inside", "outside", "both"] | None = stated("drain_tile")
    drain_tile_sides: int | None = Field(default=None, ge=0, le=20)
    outline: tuple[At, ...] = Field(default=(), strict=False)
    layer_permeability: Quantity | None = measured("layer_permeability")
    layer_transmissivity: Quantity | None = measured("layer_transmissivity")
    slab_leakage: Quantity | None = measured("slab_leakage")
    stone_diameter: Quantity | None = measured("stone_diameter")
    stone_porosity: Quantity | None = measured("stone_porosity")
    notes: Notes | None = None

    @field_validator("outline")
    @classmethod
    def _an_outline(cls, corners: tuple[Place, ...]) -> tuple[Place, ...]:
        if not corners:
            raise _wrong("an outline without a corner is none; write three or more, or leave it out")
        if fault := plan.outline_fault([corner.point for corner in corners]):
            at, message = fault
            raise _wrong(f"{corners[at]} {message}", at)
        return corners


class SuctionPlace(Section):
    """One place where the slab is sucked at, on the floor plan."""

    name: Name | None = None
    at: At | None = None
    radius: Quantity | None = like("pit_radius")


class DrainPath(Section):
    """Drain tile under the slab, straight from each place to the next, and back to the first if closed."""

    path: tuple[At, ...] = Field(default=(), strict=False)
    closed: bool | None = None

    @field_validator("path")
    @classmethod
    def _a_line(cls, places: tuple[Place, ...]) -> tuple[Place, ...]:
        if len(places) < 2:
            raise _wrong("a drain of fewer than two places is none; write where it begins and ends")
        if len(places) > plan.MOST_CORNERS:
            raise _wrong(f"has more than {plan.MOST_CORNERS} places; write fewer")
        for count in range(1, len(places)):
            if places[count].point == places[count - 1].point:
                raise _wrong(f"{places[count]} is the same place as the one before; write it once", count)
        return places


class Suction(Section):
    """Where the slab is sucked at, and what is known of the soil there.

    The soil's resistance stands as such, or as a suction at a flow, both measured at the point with the lid sealed.
    """

    kind: Literal["sump", "drain tile", "pit", "membrane", "block wall"] | None = stated("suction_point")
    points: int | None = Field(default=None, ge=1, le=50)
    place: Name | None = None
    pit_radius: Quantity | None = measured("pit_radius")
    lid_leak_area: Quantity | None = measured("lid_leak_area")
    lid_hole: Quantity | None = like("hole_diameter")
    soil_resistance: Quantity | None = measured("soil_resistance")
    soil_suction: Quantity | None = measured("soil_suction")
    soil_flow: Quantity | None = like("air_flow")
    target: Quantity | None = measured("target_suction")
    point: tuple[SuctionPlace, ...] = Field(default=(), strict=False)
    drain: tuple[DrainPath, ...] = Field(default=(), strict=False)
    notes: Notes | None = None

    @model_validator(mode="after")
    def _once(self) -> "Suction":
        if self.lid_leak_area and self.lid_hole:
            raise _wrong("gives the leak twice; write lid_leak_area, or lid_hole for one round hole", "lid_hole")
        if self.soil_resistance and (self.soil_suction or self.soil_flow):
            raise _wrong(
                "gives the soil twice; write soil_resistance, or soil_suction and soil_flow", "soil_resistance"
            )
        if self.soil_flow and self.soil_flow.value <= self.soil_flow.tolerance:
            raise _wrong(
                f"{self.soil_flow.text!r} may be no flow at all, which says nothing of the soil; write a flow above zero",
                "soil_flow",
            )
        if self.points and len(self.point) > self.points:
            raise _wrong(f"{self.points} is less than the {len(self.point)} places listed; correct one", "points")
        return self

    def derived(self) -> dict[str, Quantity]:
        """The leak of the lid and the resistance of the soil where the record states them by other figures."""
        found = {}
        if self.lid_hole:
            half, margin = self.lid_hole.value / 2, self.lid_hole.tolerance / 2
            unit = "in2" if self.lid_hole.unit in ("in", "ft") else "mm2"
            area = pi * half**2
            found["lid_leak_area"] = _derived(area, unit, pi * (half + margin) ** 2 - area)
        if self.soil_suction and self.soil_flow:
            suction, flow = self.soil_suction, self.soil_flow
            unit = "inWC/cfm" if flow.unit == "cfm" else "Pa s/L"
            resistance = suction.value / flow.value
            most = (suction.value + suction.tolerance) / (flow.value - flow.tolerance)
            found["soil_resistance"] = _derived(resistance, unit, most - resistance)
        return found


class Pipe(Section):
    """A pipe by its nominal size and schedule, or by its outside diameter and wall."""

    nominal: Annotated[str, BeforeValidator(_nominal)] | None = None
    schedule: Annotated[Literal["40", "80"], BeforeValidator(_in_words)] | None = None
    diameters: Literal["least wall", "mean wall", "nominal"] | None = None
    outside_diameter: Quantity | None = like("pipe_outside_diameter")
    wall_thickness: Quantity | None = like("wall_thickness")

    @model_validator(mode="after")
    def _one_size(self) -> "Pipe":
        outside, wall = self.outside_diameter, self.wall_thickness
        if self.nominal and (outside or wall):
            raise _wrong(
                "gives the size twice; write nominal and schedule, or outside_diameter and wall_thickness", "nominal"
            )
        if outside and wall and 2 * wall.value >= outside.value:
            raise _wrong(
                f"{wall.text!r} on both sides of {outside.text!r} leaves no bore; write one wall", "wall_thickness"
            )
        return self

    def size(self) -> dict[str, Quantity]:
        """Outside diameter, wall thickness and bore; empty where the record does not settle them."""
        if self.nominal and self.schedule:
            from radonwork.house.pipe_sizes import pipe_size

            size = pipe_size(self.nominal, self.schedule, (self.diameters or "least wall").removesuffix(" wall"))
            return {
                part: _derived(getattr(size, part), "in") for part in ("outside_diameter", "wall_thickness", "bore")
            }
        if self.outside_diameter and self.wall_thickness:
            from radonwork.formulas.pipes import pipe_bore

            outside, wall = self.outside_diameter, self.wall_thickness
            bore = float(pipe_bore(pipe_outside_diameter=outside.value, wall_thickness=wall.value))
            tolerance = outside.tolerance + 2 * wall.tolerance
            return {
                "outside_diameter": outside,
                "wall_thickness": wall,
                "bore": _derived(bore, outside.unit, tolerance),
            }
        return {}

    def wanted(self) -> str:
        """The field whose absence leaves the size open."""
        if self.outside_diameter or self.wall_thickness:
            return "wall_thickness" if self.outside_diameter else "outside_diameter"
        return "schedule" if self.nominal else "nominal"


def _derived(value: float, unit: str, tolerance: float = 0.0) -> Quantity:
    """A quantity that follows from the record, with a text that reads as a person's would."""
    text = decimal(value, unit, 6) + (f" ± {decimal(tolerance, unit, 6)}" if tolerance else "")
    return Quantity(value, unit, tolerance, text)


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
            raise _wrong("states no piece; write the length of a straight pipe, or a fitting")
        if self.length and self.fitting:
            raise _wrong("is written beside a length; a piece is a straight pipe or a fitting, write two", "fitting")
        if self.length and self.length.value == 0:
            raise _wrong(f"{self.length.text!r} is no length; write one above zero, or leave the piece out", "length")
        if self.length and self.count:
            raise _wrong("counts fittings; a straight pipe has its whole length", "count")
        if self.pipe and self.of_its_own:
            raise _wrong("is written beside a size; write the one or the other", "pipe")
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
            raise _wrong("a route without a piece is none; write a line [[run.piece]] for each, or leave it out")
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
            raise _wrong(
                f"{joist.text!r} is above the subfloor's underside, {floor.text!r}; correct one", "joist_bottom"
            )
        return self


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
            raise _wrong(
                f"{self.pitch.text!r} is upright or more; write the roof's angle from level, such as 7/12", "pitch"
            )
        return self


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
                raise _wrong(f"lacks its {'pressure' if flow else 'flow'}; a point of the curve has both", count)
            if last and flow.value == last.value:
                raise _wrong(f"{flow.text!r} is there twice; write each flow once", count, "flow")
            if last and flow.value < last.value:
                raise _wrong(f"{flow.text!r} comes after {last.text!r}; order by rising flow", count, "flow")
            if least and pressure.value - least.value > LEVELLED * highest:
                raise _wrong(
                    f"{pressure.text!r} is above {least.text!r} at a smaller flow; a fan's pressure falls as its flow "
                    "rises, so look at the units of each point",
                    count,
                    "pressure",
                )
            last, least = flow, pressure if not least or pressure.value < least.value else least
        if len(points) == 1:
            raise _wrong("a curve of one point is none; write at least two points, or leave it out", 0)
        if points and highest == 0:
            raise _wrong("is no pressure at the least flow; a fan makes one there", 0, "pressure")
        return points

    @model_validator(mode="after")
    def _rated_once(self) -> "FanData":
        if self.rated_density and self.rated_temperature:
            raise _wrong("gives the rated air twice; write its density or its temperature", "rated_temperature")
        if self.rated_density and not 0.1 < self.rated_density.value < 10:
            raise _wrong(
                f"{self.rated_density.text!r} is not that of air; standard air has 0.075 lb/ft3", "rated_density"
            )
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


class Climate(Section):
    attic_temperature: Quantity | None = measured("attic_temperature")
    barometric_pressure: Quantity | None = measured("barometric_pressure")
    altitude: Quantity | None = measured("altitude")
    indoor_temperature: Quantity | None = measured("indoor_temperature")
    winter_temperature: Quantity | None = measured("outdoor_temperature")
    neutral_height: Quantity | None = measured("neutral_height")
    heating_degree_days: Quantity | None = measured("heating_degree_days")
    cooling_degree_days: Quantity | None = measured("cooling_degree_days")


class Costs(Section):
    """Prices, and what of the house's heat the exhaust takes along.

    `house_air_source` says where the share of house air comes from, or that it is a guess.
    """

    quote: Quantity | None = measured("quoted_price")
    electricity_price: Quantity | None = measured("energy_price")
    heating_price: Quantity | None = measured("heating_price")
    heating_efficiency: Quantity | None = measured("heating_efficiency")
    cooling_performance: Quantity | None = measured("cooling_performance")
    house_air_share: Quantity | None = measured("house_air_share")
    house_air_source: Name | None = None
    notes: Notes | None = None


class TestHole(Section):
    """A hole through the slab, and the suction found there against the room above while the fan ran."""

    __test__ = False  # not a test of pytest's

    name: Name | None = None
    at: At | None = None
    suction: Quantity | None = like("field_suction")


class Proof(Section):
    """What was found when the system ran.

    The gauge's tap stands at a distance along the straight pipe from the suction point, or after so many pieces.
    """

    gauge_suction: Quantity | None = measured("gauge_suction")
    gauge_distance: Quantity | None = measured("tap_length")
    gauge_after_piece: int | None = Field(default=None, ge=0, le=1000)
    flow: Quantity | None = measured("measured_flow")
    test_hole: tuple[TestHole, ...] = Field(default=(), strict=False)
    on: date | None = None
    notes: Notes | None = None

    @model_validator(mode="after")
    def _one_tap(self) -> "Proof":
        if self.gauge_distance and self.gauge_after_piece is not None:
            raise _wrong("places the tap twice; write gauge_distance or gauge_after_piece", "gauge_after_piece")
        return self


class Tools(Section):
    hole_saws: tuple[HoleSaw, ...] = Field(default=(), strict=False)


class House(Section):
    """One house as its record states it."""

    house: About | None = None
    test: tuple[RadonTest, ...] = Field(default=(), strict=False)
    monitor: Monitor | None = None
    foundation: Foundation | None = None
    suction: Suction | None = None
    run: Route | None = None
    wall: Wall | None = None
    roof: Roof | None = None
    fan: Fan | None = None
    fan_alternative: tuple[FanData, ...] = Field(default=(), strict=False)
    climate: Climate | None = None
    costs: Costs | None = None
    proof: Proof | None = None
    tools: Tools | None = None

    @model_validator(mode="after")
    def _along_the_route(self) -> "House":
        """The fan and the gauge's tap stand on the route, the tap before the fan."""
        pieces = self.run.piece if self.run else ()
        fan = self.fan.after_piece if self.fan else None
        tap = self.proof.gauge_after_piece if self.proof else None
        for place, at in ((fan, ("fan", "after_piece")), (tap, ("proof", "gauge_after_piece"))):
            if pieces and place is not None and place > len(pieces):
                raise _wrong(f"{place} is more than the route has pieces, {len(pieces)}; correct one", *at)
        if fan is not None and tap is not None and tap > fan:
            raise _wrong(
                f"{tap} is beyond the fan, which stands after piece {fan}; the gauge stands on the suction side",
                *("proof", "gauge_after_piece"),
            )
        distance = self.proof.gauge_distance if self.proof else None
        before = pieces if fan is None else pieces[:fan]
        if pieces and distance and distance.value > (most := sum(p.length.value for p in before if p.length)):
            raise _wrong(
                f"{distance.text!r} is beyond the {decimal(most, distance.unit)} of straight pipe up to the "
                f"{'outlet' if fan is None else 'fan'}; the gauge stands on the suction side",
                *("proof", "gauge_distance"),
            )
        return self

    @model_validator(mode="after")
    def _within_the_outline(self) -> "House":
        corners = [corner.point for corner in self.foundation.outline] if self.foundation else []
        if not corners:
            return self
        for name, place in (
            *((("suction", "point", n, "at"), p.at) for n, p in enumerate(self.suction.point if self.suction else ())),
            *(
                (("proof", "test_hole", n, "at"), h.at)
                for n, h in enumerate(self.proof.test_hole if self.proof else ())
            ),
        ):
            if place and not plan.inside(place.point, corners):
                raise _wrong(f"{place} is not within foundation.outline; correct one", *name)
        for count, drain in enumerate(self.suction.drain if self.suction else ()):
            leaves = plan.leaves([place.point for place in drain.path], bool(drain.closed), corners)
            if leaves is not None:
                raise _wrong(
                    f"from {drain.path[leaves]} the drain is not within foundation.outline; correct one",
                    *("suction", "drain", count, "path", leaves),
                )
        return self

    @property
    def name(self) -> str:
        return (self.house and self.house.name) or "a house without a name"

    @property
    def system(self) -> System:
        """The units the owner wants to be shown."""
        return (self.house and self.house.system) or "us"

    @property
    def hole_saws(self) -> tuple[float, ...]:
        """Diameters of the hole saws at hand, in metres; none where the record lists none."""
        return tuple(saw.value for saw in self.tools.hole_saws) if self.tools else ()

    def facts(self) -> dict[str, Quantity]:
        """Every quantity that the calculations can take from this record, by glossary term, with its tolerance."""
        found = {term: value for _, term, value in self._entries("measured") if isinstance(value, Quantity)}
        for at, names in _PIPE_TERMS.items():
            pipe = self._pipe(at)
            size = pipe.size() if pipe else {}
            found |= {term: size[part] for term, part in names.items() if part in size}
        counts = {
            "outline_corners": len(self.foundation.outline) if self.foundation else 0,
            "suction_places": len(self.drains()) + sum(not point.on_drain for point in self.suction_points()),
            "test_hole_count": len(self.test_holes()),
        }
        found |= {term: Quantity(float(count), "", 0.0, str(count)) for term, count in counts.items() if count}
        return found | (self.suction.derived() if self.suction else {})

    def words(self) -> dict[str, bool | str]:
        """What the record says in words, by the name of the fact that rules ask for."""
        return {fact: value for _, fact, value in self._entries("stated") if isinstance(value, bool | str)}

    def missing(self, terms: Iterable[str]) -> dict[str, str]:
        """Of `terms`, those that the record could state and does not, each with its field: "wall.room_height"."""
        fields = {term: path for path, term, _ in self._entries("measured")} | dict(_COUNTED)
        for at, names in _PIPE_TERMS.items():
            pipe = self._pipe(at)
            fields |= dict.fromkeys(names, f"{at}.pipe.{pipe.wanted() if pipe else 'nominal'}")
        known = self.facts()
        return {term: fields[term] for term in terms if term in fields and term not in known}

    def field_of(self, term: str) -> str | None:
        """The field to write `term` in; None where the record has none, or states it by a nominal size."""
        for path, name, _ in self._entries("measured"):
            if name == term:
                return path
        for at, names in _PIPE_TERMS.items():
            pipe = self._pipe(at)
            if term in names and names[term] != "bore" and not (pipe and pipe.nominal):
                return f"{at}.pipe.{names[term]}"
        return None

    def route(self) -> "VentRoute | None":
        """The way of the air piece by piece, in metres; None where the record lists none."""
        from radonwork.house.route import route_of

        return route_of(self)

    def fan_curve(self) -> "FanCurve | None":
        """The curve of the chosen fan; None where the record has no points."""
        return self.fan.curve() if self.fan else None

    def fan_curves(self) -> dict[str, "FanCurve"]:
        """Every fan with a curve by its name, the chosen one first; one without a name is "fan", "alternative 1" …"""
        fans = [(self.fan.name or "fan", self.fan.curve())] if self.fan else []
        fans += [(fan.name or f"alternative {n}", fan.curve()) for n, fan in enumerate(self.fan_alternative, 1)]
        return {name: curve for name, curve in fans if curve}

    def footprint(self) -> "Footprint | None":
        """The outline of the slab, every side sealed, in metres; None where the record has none."""
        if not self.foundation or not self.foundation.outline:
            return None
        from radonwork.solvers.suction_field import Footprint

        return Footprint(tuple(corner.point for corner in self.foundation.outline))

    def suction_points(self) -> tuple[plan.SuctionPoint, ...]:
        """Every place with a position where the slab is sucked at; its radius is its own or else that of all pits."""
        suction = self.suction or Suction()
        straights = [straight for drain in self.drains() for straight in drain.straights]
        found = []
        for count, point in enumerate(suction.point, 1):
            if point.at:
                size = point.radius or suction.pit_radius
                radius = size.value if size else None
                touching = any(plan.distance(point.at.point, *s) <= (radius or plan.TOUCH) for s in straights)
                name = point.name or f"suction point {count}"
                found.append(plan.SuctionPoint(f"suction.point[{count}]", name, point.at.point, radius, touching))
        return tuple(found)

    def drains(self) -> tuple[plan.DrainLine, ...]:
        """Every length of drain tile whose course the record states."""
        return tuple(
            plan.DrainLine(f"suction.drain[{count}]", tuple(p.point for p in drain.path), bool(drain.closed))
            for count, drain in enumerate(self.suction.drain if self.suction else (), 1)
            if drain.path
        )

    def test_holes(self) -> tuple[plan.TestHole, ...]:
        """Every test hole with a position and a reading."""
        return tuple(
            plan.TestHole(
                f"proof.test_hole[{count}]",
                hole.name or f"test hole {count}",
                hole.at.point,
                hole.suction.value,
                hole.suction.tolerance,
            )
            for count, hole in enumerate(self.proof.test_hole if self.proof else (), 1)
            if hole.at and hole.suction
        )

    def _pipe(self, at: str) -> Pipe | None:
        section: Route | Wall | None = self.run if at == "run" else self.wall
        return section.pipe if section else None

    def _entries(self, kind: Literal["measured", "stated"]) -> Iterator[tuple[str, str, object]]:
        """Path, declared name and value of every such field, None where it or its section is not there."""
        for path, field in fields_of(House):
            if name := _declared(field, kind):
                value: object = self
                for part in path.split("."):
                    value = getattr(value, part, None)
                yield path, name, value


# What the record draws rather than states: the number of entries with a place.
_COUNTED: Mapping[str, str] = {
    "outline_corners": "foundation.outline",
    "suction_places": "suction.point",
    "test_hole_count": "proof.test_hole",
}

# The main pipe and the pipes in the wall are sizes of the same kind under different names.
_PIPE_TERMS: Mapping[str, Mapping[str, str]] = {
    "run": {
        "pipe_outside_diameter": "outside_diameter",
        "main_pipe_diameter": "outside_diameter",
        "wall_thickness": "wall_thickness",
        "bore": "bore",
        "large_bore": "bore",
    },
    "wall": {"small_pipe_diameter": "outside_diameter", "small_bore": "bore"},
}


def fields_of(section: type[Section], before: str = "") -> Iterator[tuple[str, FieldInfo]]:
    """Dotted path of every field in the order of the record; "test[].concentration" where there may be several."""
    for name, field in section.model_fields.items():
        path = f"{before}{name}"
        if inner := _section(field):
            yield from fields_of(inner, f"{path}[]." if isinstance(field.default, tuple) else f"{path}.")
        else:
            yield path, field


def _section(field: FieldInfo) -> type[Section] | None:
    """The section that a field holds, once or several times."""
    inside = [field.annotation, *get_args(field.annotation)]
    return next((part for part in inside if isinstance(part, type) and issubclass(part, Section)), None)


# ---------------------------------------------------------------- reading


def read_house(path: Path | str) -> House:
    """The house of the record at `path`. Raises RecordError with every fault; a faulty file gives no house at all."""
    file = Path(path)
    return parse_house(decoded(read_bytes(file), file.name), file.name)


def read_bytes(file: Path) -> bytes:
    """The content of a record file, and no more of a larger one than shows that it is. Raises RecordError."""
    told = "is not a file; name the record's .toml file"
    try:
        if stat.S_ISREG(file.stat().st_mode):
            with file.open("rb") as stream:
                return stream.read(LARGEST + 1)
    except OSError as reason:
        told = f"cannot be read: {reason.strerror}"
    except ValueError:  # a name that holds a null character
        told = "cannot be read: no file can have this name"
    raise RecordError(file.name, [Fault("", None, "", told)])


def decoded(content: bytes, name: str) -> str:
    """The bytes of a record as text, without a byte-order mark."""
    if len(content) > LARGEST:
        raise RecordError(name, [Fault("", None, "", f"is larger than {LARGEST // 1024} KiB; a house record is not")])
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as reason:
        line = content.count(b"\n", 0, reason.start) + 1
        fault = Fault(
            "", line, "", f"byte {reason.object[reason.start]:#04x} is not UTF-8; save the file as UTF-8 text"
        )
        raise RecordError(name, [fault]) from None


def parse_house(text: str, name: str) -> House:
    """The house that `text` records; `name` is what faults call the file."""
    data = parse_toml(text, name)
    try:
        return House.model_validate(data)
    except ValidationError as reason:
        places = layout(text)
        errors = sorted(reason.errors(include_url=False), key=lambda error: places.line(_at(error)) or 0)
    faults = [_fault(error, places) for error in errors[:MOST_FAULTS]]
    if (more := len(errors) - MOST_FAULTS) > 0:
        faults.append(Fault("", None, "", f"and {more:,} more"))
    raise RecordError(name, faults)


def parse_toml(text: str, name: str) -> dict[str, Any]:
    """`text` as TOML; what no record needs and costs a parser dear is refused before it starts."""
    if costly := too_deep(text):
        at, message = costly
        raise RecordError(name, [Fault("", text.count("\n", 0, at) + 1, "", message)])
    try:
        return tomllib.loads(text)
    except ValueError as reason:  # a TOMLDecodeError, or a date or number out of Python's range
        message, _, place = str(reason).partition(" (at ")
        numbered = re.match(r"line (\d+)", place)
        line = int(numbered[1]) if numbered else text.count("\n") + 1 if place else None
        plain = " ".join(message.split())
        raise RecordError(name, [Fault("", line, "", f"is not TOML: {plain[:1].lower()}{plain[1:]}")]) from None


def _at(error: ErrorDetails) -> tuple[str | int, ...]:
    return (*error["loc"], *error.get("ctx", {}).get("at", ()))


def _fault(error: ErrorDetails, places: Layout) -> Fault:
    at = _at(error)
    return Fault(dotted(at), places.line(at), _written(error["input"]), _message(error, at))


def dotted(path: tuple[str | int, ...]) -> str:
    """A path as people read it; entries of lists count from 1."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            text += f"{'.' if text else ''}{part if re.fullmatch('[A-Za-z0-9_-]{1,60}', part) else _written(part)}"
    return text


def _message(error: ErrorDetails, at: tuple[str | int, ...]) -> str:
    """One plain line: what was written, and what would do."""
    written, given = _written(error["input"]), error.get("ctx", {})
    names = ".".join(part for part in at if isinstance(part, str))
    match error["type"]:
        case "extra_forbidden":
            return _unknown(at)
        case "value_error":
            reason = given["error"]
            return str(reason) if isinstance(reason, QuantityError) else f"{written} {reason}"  # one quotes for itself
        case "together":
            return str(given["message"])
        case "literal_error":
            return f"{written} is not a choice; write {given['expected']}"
        case "bool_type":
            return f"{written} is not a yes or no; write true or false, without quotes"
        case "int_type":
            return f"{written} is not a whole number; write one without quotes"
        case "string_type" | "string_unicode":
            return f"{written} is not text; write text in quotes"
        case "string_too_long":
            return f"{written} is longer than {given['max_length']} characters; shorten it"
        case "greater_than_equal":
            return f"{written} is too small; write {given['ge']} or more"
        case "less_than_equal":
            return f"{written} is too large; write {given['le']} or less"
        case "tuple_type" if at[-1] in ("hole_saws", "outline", "path"):
            return f"{written} is not a list; write one in square brackets"
        case "tuple_type":
            return f"{written} is not a list of sections; write a line [[{names}]] above each one's fields"
        case "model_type" | "model_attributes_type":
            return f"{written} is not a section; write a line [{names}] above its fields"
        case kind if kind.startswith("date"):
            return f"{written} is not a date; write one as 2024-03-05, without quotes"
    return f"{written}: {error['msg']}"


def _unknown(at: tuple[str | int, ...]) -> str:
    """The nearest known name to an unknown one, first among its neighbours, then anywhere in the record."""
    section: type[Section] = House
    for part in at[:-1]:
        if isinstance(part, str):
            section = _section(section.model_fields[part]) or section
    key, around = str(at[-1]), ".".join(str(part) for part in at[:-1] if isinstance(part, str))
    what = "field" if around else "section"
    if near := get_close_matches(key, section.model_fields, n=1):
        return f"no {what} has this name; did you mean {near[0]}?"
    elsewhere = {path.rpartition(".")[2]: path for path, _ in fields_of(House)}
    if near := get_close_matches(key, elsewhere, n=1, cutoff=0.75):
        return f"no {what} has this name here; did you mean {elsewhere[near[0]]}?"
    return f"no {what} has this name; known here: {', '.join(section.model_fields)}"
