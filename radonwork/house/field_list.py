"""Every field that a record may have, with what it takes and how an invented house has it, in the order of the record."""

import tomllib
from collections.abc import Iterator
from datetime import date
from functools import cache
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from radonwork.files import DATA
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
_LONGEST = 40  # characters of an example; notes are longer


def field_lines(section: str = "") -> tuple[str, ...]:
    """ "test[].concentration: radon concentration …, such as "1 pCi/L"", of all sections or those within `section`."""
    within = section.replace("[]", "").split(".") if section else []
    found = (
        (path, field) for path, field in fields_of(House) if path.replace("[]", "").split(".")[: len(within)] == within
    )
    return tuple(f"{path}: {_takes(path, field)}" for path, field in found)


def _takes(path: str, field: FieldInfo) -> str:
    such = _examples().get(path)
    if name := declared(field, "reads"):
        return f'{declared(field, "means") or term(name).meaning}, such as "{such or term(name).such_as}"'
    parts = set(_parts(field.annotation))
    choices = [choice for part in parts if get_origin(part) is Literal for choice in get_args(part)]
    if choices:
        return one_of([f'"{choice}"' for choice in choices])
    if _FITTING in parts:
        return f"a fitting by its name: {'; '.join(fitting_names())}"
    text = f'text in quotes, such as "{such}"' if such else "text in quotes"
    return next((said for kind, said in _WORDS if kind in parts), text)


@cache
def _examples() -> dict[str, str]:
    """By field, the first text that an invented house has there."""
    found: dict[str, str] = {}
    for record in sorted((DATA / "houses").glob("*.toml")):
        for path, text in _texts(tomllib.loads(record.read_text(encoding="utf-8"))):
            if len(text) <= _LONGEST:
                found.setdefault(path, text)
    return found


def _texts(part: Any, path: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(part, str):
        yield path, part
    elif isinstance(part, list):
        for one in part:
            yield from _texts(one, f"{path}[]")
    elif isinstance(part, dict):
        for key, one in part.items():
            yield from _texts(one, f"{path}.{key}" if path else key)


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
