"""The record of one house: a TOML file made to be read and edited by hand, read strictly and never evaluated.

A section or field that is not there is None, and the report says what is missing. Whatever is there must be right:
every fault of a file is reported at once, with its line, and a faulty file gives no house at all.

`House.facts`, `House.words` and `House.missing` follow from what the fields of the sections declare (see fields.py).
"""

import re
import stat
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from difflib import get_close_matches
from functools import cache, cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

from pydantic import Field, PrivateAttr, ValidationError, model_validator
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from radonwork.glossary import System
from radonwork.house import plan
from radonwork.house.faults import MOST_FAULTS, Fault, RecordError, as_written
from radonwork.house.fields import Section, declared, wrong
from radonwork.house.layout import Layout, layout, too_deep
from radonwork.house.not_toml import fault_of
from radonwork.house.sections.about import About
from radonwork.house.sections.air import Ground, HouseAir, TestAfter
from radonwork.house.sections.climate import Climate, Costs
from radonwork.house.sections.commissioning import Display, Done, GaugeReading, OtherSource
from radonwork.house.sections.fan import Fan, FanData
from radonwork.house.sections.foundation import Foundation, Suction
from radonwork.house.sections.framing import Framing
from radonwork.house.sections.monitor import Monitor
from radonwork.house.sections.outlet import Lid, Opening, Outlet, Viewpoint
from radonwork.house.sections.parts import Boring, Cutting, MeasuredFitting, Offset, OwnWork, Part, Price, Quote
from radonwork.house.sections.pipes import Pipe, Wall
from radonwork.house.sections.proof import Proof
from radonwork.house.sections.radon import RadonTests
from radonwork.house.sections.roof import Roof, Tools
from radonwork.house.sections.route import OtherRoute, Route, unknown_direction
from radonwork.house.sections.site import Site
from radonwork.units import Quantity, QuantityError, decimal

if TYPE_CHECKING:  # what these load is loaded when a route, a curve or a footprint is asked for
    from radonwork.house.route import VentRoute
    from radonwork.solvers.fan_curve import FanCurve
    from radonwork.solvers.slab_plan import Footprint

LARGEST = 256 * 1024  # bytes of a file


class House(Section):
    """One house as its record states it."""

    house: About | None = None
    test: RadonTests = Field(default=(), strict=False)
    monitor: Monitor | None = None
    foundation: Foundation | None = None
    suction: Suction | None = None
    run: Route | None = None
    run_alternative: tuple[OtherRoute, ...] = Field(default=(), strict=False, max_length=10)
    wall: Wall | None = None
    framing: Framing | None = None
    roof: Roof | None = None
    outlet: Outlet | None = None
    opening: tuple[Opening, ...] = Field(default=(), strict=False)
    viewpoint: tuple[Viewpoint, ...] = Field(default=(), strict=False)
    lid: Lid | None = None
    site: Site | None = None
    fan: Fan | None = None
    fan_alternative: tuple[FanData, ...] = Field(default=(), strict=False)
    house_air: HouseAir | None = None
    ground: Ground | None = None
    test_after: TestAfter | None = None
    climate: Climate | None = None
    costs: Costs | None = None
    fitting: tuple[MeasuredFitting, ...] = Field(default=(), strict=False, max_length=200)
    cutting: Cutting | None = None
    offset: Offset | None = None
    boring: Boring | None = None
    part: tuple[Part, ...] = Field(default=(), strict=False, max_length=200)
    price: tuple[Price, ...] = Field(default=(), strict=False, max_length=200)
    quote: tuple[Quote, ...] = Field(default=(), strict=False, max_length=50)
    own_work: OwnWork | None = None
    proof: Proof | None = None
    commissioning: tuple[Done, ...] = Field(default=(), strict=False)
    reading: tuple[GaugeReading, ...] = Field(default=(), strict=False)
    display: tuple[Display, ...] = Field(default=(), strict=False)
    other_source: tuple[OtherSource, ...] = Field(default=(), strict=False)
    tools: Tools | None = None

    _folder: Path | None = PrivateAttr(default=None)

    @model_validator(mode="after")
    def _along_the_route(self) -> "House":
        """The fan and the gauge's tap stand on the route, the tap before the fan."""
        pieces = self.run.piece if self.run else ()
        fan = self.fan.after_piece if self.fan else None
        tap = self.proof.gauge_after_piece if self.proof else None
        for place, at in ((fan, ("fan", "after_piece")), (tap, ("proof", "gauge_after_piece"))):
            if pieces and place is not None and place > len(pieces):
                raise wrong(f"{place} is more than the route has pieces, {len(pieces)}; correct one", *at)
        if fan is not None and tap is not None and tap > fan:
            raise wrong(
                f"{tap} is beyond the fan, which stands after piece {fan}; the gauge stands on the suction side",
                *("proof", "gauge_after_piece"),
            )
        distance = self.proof.gauge_distance if self.proof else None
        before = pieces if fan is None else pieces[:fan]
        if pieces and distance and distance.value > (most := sum(p.straight.value for p in before if p.straight)):
            raise wrong(
                f"{distance.text!r} is beyond the {decimal(most, distance.unit)} of straight pipe up to the "
                f"{'outlet' if fan is None else 'fan'}; the gauge stands on the suction side",
                *("proof", "gauge_distance"),
            )
        return self

    @model_validator(mode="after")
    def _known_directions(self) -> "House":
        named = self.run.toward if self.run else ()
        for count, other in enumerate(self.run_alternative):
            if fault := unknown_direction(other.piece, named):
                raise wrong(fault[1], "run_alternative", count, "piece", fault[0], "go")
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
                raise wrong(f"{place} is not within foundation.outline; correct one", *name)
        for count, drain in enumerate(self.suction.drain if self.suction else ()):
            leaves = plan.leaves([place.point for place in drain.path], bool(drain.closed), corners)
            if leaves is not None:
                raise wrong(
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

    def beside(self, name: str) -> Path | None:
        """The file of that plain name beside the record; None where the record did not come from a file."""
        return self._folder / name if self._folder else None

    @property
    def hole_saws(self) -> tuple[float, ...]:
        """Diameters of the hole saws at hand, in metres; none where the record lists none."""
        return tuple(saw.value for saw in self.tools.hole_saws) if self.tools else ()

    def __eq__(self, other: object) -> bool:
        """Whether both state the same and lie in the same folder, whatever has been worked out of them."""
        if not isinstance(other, House):
            return NotImplemented
        return self._folder == other._folder and all(
            getattr(self, name) == getattr(other, name) for name in type(self).model_fields
        )

    def __hash__(self) -> int:
        return self._content_hash

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> "House":
        """A copy with fields changed, and nothing kept of what was worked out for this house."""
        copied = super().model_copy(update=update, deep=deep)
        for kept in ("_content_hash", "_facts", "worked"):
            copied.__dict__.pop(kept, None)
        return copied

    @cached_property
    def worked(self) -> dict[str, Any]:
        """What is worked out of this house as it was read, kept by its maker's own keys for as long as the house."""
        return {}

    @cached_property
    def _content_hash(self) -> int:
        """Worked out once: what is kept of a house is looked up by it again and again."""
        return hash(tuple(getattr(self, name) for name in type(self).model_fields))

    def facts(self) -> dict[str, Quantity]:
        """Every quantity that the calculations can take from this record, by glossary term, with its tolerance."""
        return dict(self._facts)

    @cached_property
    def _facts(self) -> dict[str, Quantity]:
        found = {term: value for _, term, value in self._entries("measured") if isinstance(value, Quantity)}
        for at, names in _PIPE_TERMS.items():
            pipe = self._pipe(at)
            size = pipe.size() if pipe else {}
            found |= {term: size[part] for term, part in names.items() if part in size}
        counts = {
            "outline_corners": len(self.foundation.outline) if self.foundation else 0,
            "suction_places": len(self.drains()) + sum(not point.on_drain for point in self.suction_points()),
            "test_hole_count": len(self.test_holes()),
            "listed_pieces": len(self.run.piece) if self.run else 0,
            "stick_choices": len(self.cutting.stick) if self.cutting else 0,
            "worded_pieces": sum(piece.go is not None for piece in self.run.piece) if self.run else 0,
        }
        found |= {term: Quantity(float(count), "", 0.0, str(count)) for term, count in counts.items() if count}
        if self.roof and self.outlet:
            found |= self.roof.derived(self.outlet.at)
        if self.foundation:
            found |= self.foundation.derived()
        from radonwork.house import proving, testing

        return found | proving.facts(self) | testing.facts(self) | (self.suction.derived() if self.suction else {})

    def stated_words(self) -> dict[str, bool | str]:
        """What the fields of the record say in words, by the name of the fact that rules ask for."""
        return {fact: value for _, fact, value in self._entries("stated") if isinstance(value, bool | str)}

    def words(self) -> dict[str, bool | str]:
        """What the record as a whole says in words, its route before a word that it contradicts (see scope.py)."""
        from radonwork.house import proving, scope, testing

        found = scope.words(self, self.stated_words())
        return found | proving.words(self) | testing.words(self) | (self.house.ages() if self.house else {})

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
        from radonwork.solvers.slab_plan import Footprint

        return Footprint(tuple(corner.point for corner in self.foundation.outline))

    def suction_points(self) -> tuple[plan.SuctionPoint, ...]:
        """Every place with a position where the slab is sucked at; its radius is its own or else that of all pits."""
        suction = self.suction or Suction()
        straights = [(n, straight) for n, drain in enumerate(self.drains()) for straight in drain.straights]
        found = []
        for count, point in enumerate(suction.point, 1):
            if point.at:
                size = point.radius or suction.pit_radius
                radius = size.value if size else None
                touching = (n for n, s in straights if plan.distance(point.at.point, *s) <= (radius or plan.TOUCH))
                name = point.name or f"suction point {count}"
                found.append(
                    plan.SuctionPoint(f"suction.point[{count}]", name, point.at.point, radius, next(touching, None))
                )
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
        for path, name in _declaring(kind):
            value: object = self
            for part in path.split("."):
                value = getattr(value, part, None)
            yield path, name, value


# What the record draws rather than states: the number of entries with a place.
_COUNTED: Mapping[str, str] = {
    "outline_corners": "foundation.outline",
    "suction_places": "suction.point",
    "test_hole_count": "proof.test_hole",
    "least_hole_suction": "proof.test_hole",
    "indoor_radon": "test.concentration",
    "radon_concentration": "test.concentration",
    "first_result": "test.pair, the same name on two tests",
    "second_result": "test.pair, the same name on two tests",
    "pair_distance": "test.apart",
    "action_level": "house.level",
    "day_count": "monitor.file",
    "days_after": "monitor.fan_start, or a commissioning entry of the fan start",
    "closed_time": "test.closed_before",
    "least_test_duration": "test.duration",
    "least_long_duration": "test.duration",
    "monitor_time": "test.duration",
    "fan_time": "test.fan_before",
    "severe_count": "test.severe_weather",
    "test_count": "test",
    "test_wait": "test.start, with a commissioning entry of the fan start",
    "gauge_mark": "a commissioning entry of the gauge mark",
    "gauge_later": "reading",
    "display_before": "display.reading",
    "display_after": "display.reading",
    "time_before": "display.since",
    "time_after": "display.since",
    "time_between": "display.reading",
    "display_window": "display.window",
    "display_time_constant": "display.time_constant",
    "display_step": "display.reading",
    "water_radon": "an other_source entry of the well water",
    "ridge_distance": "outlet.at, with roof.ridge",
    **dict.fromkeys(("opening_level_distance", "opening_sill", "opening_head"), "opening, of this house"),
    **dict.fromkeys(("neighbour_level_distance", "neighbour_sill", "neighbour_head"), "opening, of a neighbour"),
    "sight_margin": "viewpoint",
    "worded_pieces": "run.piece[].go",
    "listed_pieces": "run.piece",
    "stick_choices": "cutting.stick",
    "parts_cost": "price, for every item of the parts list",
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


@cache
def _declaring(kind: Literal["measured", "stated"]) -> tuple[tuple[str, str], ...]:
    """Path and declared name of every field that declares one."""
    return tuple((path, name) for path, field in fields_of(House) if (name := declared(field, kind)))


def _section(field: FieldInfo) -> type[Section] | None:
    """The section that a field holds, once or several times."""
    inside = [field.annotation, *get_args(field.annotation)]
    return next((part for part in inside if isinstance(part, type) and issubclass(part, Section)), None)


# ---------------------------------------------------------------- reading


def read_house(path: Path | str) -> House:
    """The house of the record at `path`. Raises RecordError with every fault; a faulty file gives no house at all."""
    file = Path(path)
    return parse_house(decoded(read_bytes(file), file.name), file.name, file.absolute().parent)


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


def parse_house(text: str, name: str, folder: Path | None = None) -> House:
    """The house that `text` records; `name` is what faults call the file, `folder` where files beside it lie."""
    data = parse_toml(text, name)
    try:
        house = House.model_validate(data)
        house._folder = folder
        return house
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
        numbered = re.search(r"\(at line (\d+)", str(reason))
        if numbered is None and "(at end" not in str(reason):
            plain = " ".join(str(reason).split())
            raise RecordError(name, [Fault("", None, "", f"is not TOML: {plain[:1].lower()}{plain[1:]}")]) from None
        raise RecordError(name, [fault_of(text, int(numbered[1]) if numbered else text.count("\n") + 1)]) from None


def _at(error: ErrorDetails) -> tuple[str | int, ...]:
    return (*error["loc"], *error.get("ctx", {}).get("at", ()))


def _fault(error: ErrorDetails, places: Layout) -> Fault:
    at = _at(error)
    return Fault(dotted(at), places.line(at), as_written(error["input"]), _message(error, at))


def dotted(path: tuple[str | int, ...]) -> str:
    """A path as people read it; entries of lists count from 1."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            text += f"{'.' if text else ''}{part if re.fullmatch('[A-Za-z0-9_-]{1,60}', part) else as_written(part)}"
    return text


def _message(error: ErrorDetails, at: tuple[str | int, ...]) -> str:
    """One plain line: what was written, and what would do."""
    written, given = as_written(error["input"]), error.get("ctx", {})
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
        case "float_type":
            return f"{written} is not a number; write one without quotes"
        case "int_type":
            return f"{written} is not a whole number; write one without quotes"
        case "string_type" | "string_unicode":
            return f"{written} is not text; write text in quotes"
        case "string_too_long":
            return f"{written} is longer than {given['max_length']} characters; shorten it"
        case "too_long":
            return f"has {given['actual_length']} entries; write at most {given['max_length']}"
        case "greater_than_equal":
            return f"{written} is too small; write {given['ge']} or more"
        case "less_than_equal":
            return f"{written} is too large; write {given['le']} or less"
        case "tuple_type" if at[-1] in (
            "hole_saws",
            "outline",
            "path",
            "ridge",
            "corners",
            "through",
            "pieces",
            "stick",
        ):
            return f"{written} is not a list; write one in square brackets"
        case "tuple_type":
            return f"{written} is not a list of sections; write a line [[{names}]] above each one's fields"
        case "model_type" | "model_attributes_type":
            heading = f"[[{names}]]" if isinstance(at[-1], int) else f"[{names}]"
            return f"{written} is not a section; write a line {heading} above its fields"
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
    elsewhere: dict[str, str] = {}
    for path, _ in fields_of(House):  # of several of a name, the first in the order of the record
        elsewhere.setdefault(path.rpartition(".")[2], path)
    if near := get_close_matches(key, elsewhere, n=1, cutoff=0.75):
        return f"no {what} has this name here; did you mean {elsewhere[near[0]]}?"
    return f"no {what} has this name; known here: {', '.join(section.model_fields)}"


__all__ = ["Fault", "House", "RecordError", "Section", "dotted", "fields_of", "parse_house", "read_house"]
