"""The job in eleven parts and the topics built so far, as data/job.toml states them."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from radonwork.files import DATA


@dataclass(frozen=True)
class Part:
    """One of the eleven parts of the job. `topics` are those built; `command` serves a part that has no workbook."""

    number: int
    name: str
    question: str
    topics: tuple[str, ...] = ()
    command: str = ""


@dataclass(frozen=True)
class Topic:
    """One question of the job that is worked with formulas.

    `instead` maps a term of its sheet to the fact of the house that stands for it here, where the house states that;
    `shows` are the results that stand on the first page of a report; `works_out` are results that its sheet takes from lists
    of the record, so that no single field would supply them.
    """

    key: str
    part: int
    workbook: str
    title: str
    question: str
    stands: str
    says: str
    governs: str
    cautions: tuple[str, ...]
    instead: Mapping[str, str] = field(default_factory=dict)
    shows: tuple[str, ...] = ()
    works_out: tuple[str, ...] = ()


@dataclass(frozen=True)
class OnFirstPage:
    """The `fields` of one section of the record that the first page of a report tells."""

    section: str
    fields: tuple[str, ...]


@dataclass(frozen=True)
class Assumed:
    """A value taken where the record states none, and why; for all topics, or for those of `topics`."""

    term: str
    value: str
    because: str
    topics: tuple[str, ...] = ()


@cache
def _job() -> dict[str, list[dict]]:
    return tomllib.loads((DATA / "job.toml").read_text(encoding="utf-8"))


@cache
def parts() -> tuple[Part, ...]:
    """The eleven parts, in order."""
    return tuple(Part(**(row | {"topics": tuple(row.get("topics", ()))})) for row in _job()["part"])


@cache
def topics() -> dict[str, Topic]:
    """The topics built so far, by key, in the order of the job."""
    lists = ("cautions", "shows", "works_out")
    rows = (row | {name: tuple(row.get(name, ())) for name in lists} for row in _job()["topic"])
    return {row["key"]: Topic(**row) for row in rows}


@cache
def first_page() -> tuple[OnFirstPage, ...]:
    """What the first page of a report tells of the record, in order."""
    return tuple(OnFirstPage(row["section"], tuple(row["fields"])) for row in _job()["first_page"])


@cache
def assumed(key: str) -> dict[str, Assumed]:
    """What the topic `key` takes where the record states nothing, by term."""
    entries = (Assumed(**(row | {"topics": tuple(row.get("topics", ()))})) for row in _job()["assumed"])
    return {entry.term: entry for entry in entries if not entry.topics or key in entry.topics}
