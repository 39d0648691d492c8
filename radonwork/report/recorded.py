"""The record of a house as blocks: every fact as it was written."""

from collections.abc import Iterator, Sequence
from datetime import date

from radonwork.glossary import plain
from radonwork.house.record import House
from radonwork.house.record import Section as RecordSection
from radonwork.report.blocks import Block, Para, Table, capital
from radonwork.units import Quantity


def stated(house: House) -> Iterator[Block]:
    """A table of each section of the record."""
    yield Para(
        (
            "Every fact below stands in the record as written here. What is not stated is not assumed unless a topic says so.",
        )
    )
    for name in type(house).model_fields:
        value = getattr(house, name)
        title = capital(plain(name))
        if isinstance(value, tuple):
            if value:
                yield _entries(title, value)
        elif rows := tuple(((label,), (text,)) for label, text in facts("", value)):
            yield Table(title, (), rows, (1, 2), "record")


def _entries(title: str, entries: Sequence[RecordSection]) -> Table:
    """A list of the record, one row an entry, with a column for every field that any of them states."""
    told = [dict(facts("", entry)) for entry in entries]
    columns = list(dict.fromkeys(label for entry in told for label in entry))
    rows = tuple(
        ((f"{count}",), *((entry.get(label, ""),) for label in columns)) for count, entry in enumerate(told, start=1)
    )
    return Table(title, ("", *columns), rows, (1, *(4 for _ in columns)), "record")


def facts(label: str, value: object) -> Iterator[tuple[str, str]]:
    """Each fact in `value` as it was written, by its name; `label` goes before the names."""
    if isinstance(value, RecordSection):
        for name in type(value).model_fields:
            inner = plain(name)
            yield from facts(f"{label}, {inner}" if label else inner, getattr(value, name))
    elif isinstance(value, tuple) and any(isinstance(entry, RecordSection) for entry in value):
        for count, entry in enumerate(value, start=1):
            yield from facts(f"{label} {count}".strip(), entry)
    elif isinstance(value, tuple):
        if value:
            yield label, "; ".join(_written(entry) for entry in value)
    elif value is not None:
        yield label, _written(value)


def _written(value: object) -> str:
    if isinstance(value, Quantity):
        return value.text
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value.isoformat() if isinstance(value, date) else str(value)
