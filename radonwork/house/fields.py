"""What a field of a record may hold, and how it is read: quantities, words, places, names of fittings.

A quantity field declares the glossary term it states, a yes-or-no or a choice the fact that the rules know it by.
"""

import re
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationInfo,
    field_validator,
)
from pydantic.fields import FieldInfo
from pydantic_core import PydanticCustomError

from radonwork import glossary
from radonwork.files import table
from radonwork.house import going, plan, plausible
from radonwork.house.faults import as_written, one_of
from radonwork.units import Quantity, QuantityError, decimal, read


def measured(term: str) -> Any:
    """A field that states the quantity `term` of the glossary, a fact of the house."""
    return Field(default=None, json_schema_extra={"reads": glossary.term(term).name, "measured": term})


def like(term: str, means: str = "") -> Any:
    """A field read as the quantity `term` is, which by itself is no fact of the house: one test of several, say.

    `means` is what it states where that is not what the glossary says of the term.
    """
    return Field(default=None, json_schema_extra={"reads": glossary.term(term).name, "means": means})


def stated(fact: str) -> Any:
    """A field that states in words something the rules ask for under the name `fact`."""
    return Field(default=None, json_schema_extra={"stated": fact})


def declared(field: FieldInfo, kind: Literal["reads", "means", "measured", "stated"]) -> str | None:
    extra = field.json_schema_extra
    return str(extra[kind]) if isinstance(extra, dict) and kind in extra else None


def quantity(value: object, term: str) -> Quantity:
    entry = glossary.term(term)
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise QuantityError(f'{as_written(value)} is not a quantity; write one in quotes, such as "{entry.such_as}"')
    return plausible.read(str(value), term)


def in_words(value: object) -> object:
    """A size that is also a number may stand without quotes."""
    return str(value) if isinstance(value, int | float) and not isinstance(value, bool) else value


def nominal_size(value: object) -> object:
    from radonwork.house.pipe_sizes import nominal_sizes

    text = in_words(value)
    if not isinstance(text, str):
        return value
    sizes = {read(size, "length", unit="in").value: size for size in nominal_sizes()}
    size = sizes.get(read(text, "length", unit="in").value)
    if size is None:
        raise ValueError(f"is not a nominal size in the table; write {one_of(sizes.values())}")
    return size


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


JUNCTIONS = ("wye", "tee")
"""Where pipes part or join: no piece of one way, but a fitting that its owner can measure."""
# Two kinds of the table are no piece of one way: where streams share, and where air enters beside the way.
_ELSEWHERE = {
    "junction": (
        "depends on how two streams share, so it is no piece of one way; say in wall.pipe.joined_by how the pipes in the "
        "wall are joined, and write a tee with a closed leg as 'tee, along the run' or 'tee, round the corner'"
    ),
    "opening": "is beside the way, not on it; write its size as suction.lid_leak_area or suction.lid_hole",
}


def fitting_names() -> tuple[str, ...]:
    """What a piece of one way may be called."""
    return tuple(name for name, kind in _fittings().values() if kind not in _ELSEWHERE)


def _fitting(value: object) -> object:
    """The fitting's name as the table has it; "90 deg" will do for "90°"."""
    if not isinstance(value, str):
        return value
    found = _fittings().get(_folded(value))
    if not found:
        near = get_close_matches(_folded(value), _fittings(), n=1)
        known = f"did you mean {_fittings()[near[0]][0]!r}?" if near else "radonwork fields run.piece names them all"
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


@dataclass(frozen=True)
class Spot:
    """A place on the floor plan, with a height above the top of the slab or without one."""

    lengths: tuple[Quantity, ...]

    @property
    def point(self) -> tuple[float, ...]:
        """The two or three lengths in metres."""
        return tuple(length.value for length in self.lengths)

    def __str__(self) -> str:
        return ", ".join(length.text for length in self.lengths)


def _place(value: object) -> Place:
    return Place(
        *_lengths(value, (2,), 'a place; write two lengths in square brackets, such as ["12 ft", "5 ft 6 in"]')
    )


def _corner(value: object) -> Spot:
    such = 'a corner; write two lengths in square brackets, or three with its height, such as ["12 ft", "5 ft", "7 ft"]'
    return Spot(tuple(_lengths(value, (2, 3), such)))


def _lengths(value: object, counts: tuple[int, ...], wanted: str) -> list[Quantity]:
    if not isinstance(value, list) or len(value) not in counts:
        raise ValueError(f"is not {wanted}")
    found = []
    for count, length in enumerate(value):
        try:
            if not isinstance(length, str):
                raise QuantityError(f'{as_written(length)} is not a length; write one in quotes, such as "12 ft"')
            found.append(plausible.read(length, "plan_place"))
        except QuantityError as reason:
            raise wrong(str(reason), count) from None
    return found


def _heading(text: str) -> str:
    going.heading(text)
    return text


Name = Annotated[str, StringConstraints(max_length=120), AfterValidator(_plain), AfterValidator(_one_line)]
Notes = Annotated[str, StringConstraints(max_length=4000), AfterValidator(_plain)]
FileName = Annotated[str, StringConstraints(max_length=120), AfterValidator(_file_beside)]
FittingName = Annotated[str, BeforeValidator(_fitting)]
OwnFittingName = Annotated[str, BeforeValidator(lambda value: value if value in JUNCTIONS else _fitting(value))]
At = Annotated[Place, BeforeValidator(_place)]
Corner = Annotated[Spot, BeforeValidator(_corner)]
Heading = Annotated[str, StringConstraints(max_length=120), AfterValidator(_heading)]
HoleSaw = Annotated[Quantity, BeforeValidator(lambda value: quantity(value, "hole_diameter"))]


class Section(BaseModel):
    """Part of a record. Unknown keys are faults; quantities are read as people write them."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    @field_validator("*", mode="before")
    @classmethod
    def _read_quantity(cls, value: object, info: ValidationInfo) -> object:
        term = declared(cls.model_fields[info.field_name or ""], "reads")
        return quantity(value, term) if term else value


def wrong(message: str, *at: str | int) -> PydanticCustomError:
    """A fault that only several fields together show, told at one of them."""
    return PydanticCustomError("together", "{message}", {"at": at, "message": message})


def derived(value: float, unit: str, tolerance: float = 0.0) -> Quantity:
    """A quantity that follows from the record, with a text that reads as a person's would."""
    text = decimal(value, unit, 6) + (f" ± {decimal(tolerance, unit, 6)}" if tolerance else "")
    return Quantity(value, unit, tolerance, text)
