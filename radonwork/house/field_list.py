"""Every field that a record may have, with what it takes, in the order of the record."""

from collections.abc import Iterator
from datetime import date
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from radonwork.glossary import term
from radonwork.house.faults import one_of
from radonwork.house.fields import FittingName, Place, declared, fitting_names
from radonwork.house.record import House, fields_of

_WORDS: tuple[tuple[Any, str], ...] = (
    (bool, "true or false"),
    (int, "a whole number"),
    (date, "a day, 2026-01-05"),
    (tuple, "a list in square brackets"),
    (Place, 'a place, two lengths in square brackets: ["12 ft", "5 ft 6 in"]'),
    (Any, "a day or a moment, 2026-01-05 or 2026-01-05T09:00:00"),  # one type for both
)
_FITTING = get_args(FittingName)[1]
"""What its type has beside that of text."""


def field_lines(section: str = "") -> tuple[str, ...]:
    """ "test[].concentration: radon concentration …, such as "1 pCi/L"", of all sections or those within `section`."""
    within = section.replace("[]", "").split(".") if section else []
    found = (
        (path, field) for path, field in fields_of(House) if path.replace("[]", "").split(".")[: len(within)] == within
    )
    return tuple(f"{path}: {_takes(field)}" for path, field in found)


def _takes(field: FieldInfo) -> str:
    if name := declared(field, "reads"):
        return f'{declared(field, "means") or term(name).meaning}, such as "{term(name).low}"'
    parts = set(_parts(field.annotation))
    choices = [choice for part in parts if get_origin(part) is Literal for choice in get_args(part)]
    if choices:
        return one_of([f'"{choice}"' for choice in choices])
    if _FITTING in parts:
        return f"a fitting by its name: {'; '.join(fitting_names())}"
    return next((said for kind, said in _WORDS if kind in parts), "text in quotes")


def _parts(annotation: Any) -> Iterator[Any]:
    """The types that an annotation is made of, a list by itself."""
    if get_origin(annotation) is Literal:
        yield annotation
    elif get_origin(annotation) is tuple:
        yield tuple
    elif inner := get_args(annotation):
        for one in inner:
            yield from _parts(one)
    else:
        yield annotation
