"""The records of the invented houses with one thing changed: every field and section, at odds with what stood there."""

import json
import math
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from radonwork.drawings.catalogue import drawings
from radonwork.drawings.charts import charts
from radonwork.files import DATA
from radonwork.glossary import term
from radonwork.house.calculations import calculations
from radonwork.house.proving import due
from radonwork.house.record import parse_house, parse_toml
from radonwork.house.way import route_remarks
from radonwork.report.checked import lines
from radonwork.report.document import document
from radonwork.units import DIMENSIONS, Quantity, QuantityError, read

HOUSES = DATA / "houses"
REMOVED = object()
_ROUNDING = 1e-12  # what the difference of two equal numbers may leave, in SI
Place = tuple[str | int, ...]


@dataclass(frozen=True)
class Change:
    """One thing changed in the record of the house `name`: what stands at `place` there, which was `old`."""

    name: str
    place: Place
    old: Any
    new: Any

    def __str__(self) -> str:
        told = "removed" if self.new is REMOVED else repr(self.new)
        return f"{self.name} {'.'.join(map(str, self.place))}: {self.old!r:.50} -> {told:.50}"

    def text(self) -> str:
        """The record so changed, as TOML."""
        data = deepcopy(_record(self.name))
        *most, last = self.place
        within: Any = data
        for key in most:
            within = within[key]
        if self.new is REMOVED:
            del within[last]
        else:
            within[last] = self.new
        return "".join(f"{_toml(key)} = {_toml(value)}\n" for key, value in data.items())


def changes() -> list[Change]:
    """Every change of every house."""
    names = sorted(file.stem for file in HOUSES.glob("*.toml"))
    return [
        Change(name, place, old, new)
        for name in names
        for place, old in _places(_record(name))
        for new in (REMOVED, *_others(old))
    ]


def work_through(text: str) -> None:
    """The house of a record's text as check and report work it, all but the file. Raises RecordError for a faulty one.

    Every value found is a number, and none is below zero whose quantity has no such values.
    """
    house = parse_house(text, "house.toml", HOUSES)
    found = calculations(house)
    for one in found:
        for name, value in one.run.values.items():
            assert math.isfinite(value), name
            assert term(name).signed or value > -_ROUNDING, f"{name} is {value}"
    assert list(lines(house, found))
    due(house)
    route_remarks(house)
    document(house, found, {c.topic.key: [*drawings(c), *charts(c)] for c in found})


@cache
def _record(name: str) -> dict[str, Any]:
    return parse_toml((HOUSES / f"{name}.toml").read_text(encoding="utf-8"), name)


def _places(value: Any, at: Place = ()) -> Iterator[tuple[Place, Any]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, one in inner:
        yield (*at, key), one
        yield from _places(one, (*at, key))


def _others(value: Any) -> tuple[Any, ...]:
    """Other values: none, tiny, small, large, huge, as uncertain as it is large, empty, of another kind."""
    if isinstance(value, bool):
        return (not value, "perhaps")
    if isinstance(value, int | float):
        return (0, 1, 99, -1, 1e9, True)
    if isinstance(value, list):
        return ([], [*value, *value], "one")
    if isinstance(value, dict):
        return ({}, "one")
    if not isinstance(value, str):
        return ("some day",)
    if not (quantity := _quantity(value)):
        return ("", "0", 7)
    first = value.split("±")[0].strip()
    numbers = ("0", "1e-9", "0.01", "100", "1e9")
    return (*(f"{number} {quantity.unit}".strip() for number in numbers), f"{first} ± {first}", True, "some")


def _quantity(text: str) -> Quantity | None:
    for dimension in DIMENSIONS:
        try:
            return read(text, dimension, negative=True)
        except QuantityError:
            continue
    return None


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_toml(key)} = {_toml(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return f"[{', '.join(map(_toml, value))}]"
    return value.isoformat() if isinstance(value, date) else json.dumps(value, ensure_ascii=False)
