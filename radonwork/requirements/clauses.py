"""What documents say of radon tests, clause by clause, as data/protocol.toml holds it in our own words."""

import tomllib
from dataclasses import dataclass
from functools import cache

from radonwork import glossary
from radonwork.engine.sources import Source
from radonwork.files import DATA
from radonwork.units import read


@dataclass(frozen=True)
class Clause:
    """What one document says, in our own words; `value` is its figure in SI and `figure` as written, where it has one."""

    key: str
    says: str
    source: Source
    value: float | None = None
    figure: str = ""
    protocol: str = ""
    level: str = ""
    note: str = ""

    @property
    def decides(self) -> bool:
        return self.source.kind != "from memory, unverified"


@cache
def clauses() -> tuple[Clause, ...]:
    """Every clause, in file order."""
    rows = tomllib.loads((DATA / "protocol.toml").read_text(encoding="utf-8"))["clause"]
    return tuple(
        Clause(
            row["key"],
            row["says"],
            Source(row.get("source", ""), row.get("place", ""), row["kind"]),
            read(row["value"], glossary.term(row["term"]).dimension).value if "value" in row else None,
            row.get("value", ""),
            row.get("protocol", ""),
            row.get("level", ""),
            row.get("note", ""),
        )
        for row in rows
    )


def clause(key: str, protocol: str = "") -> Clause:
    """The clause of that key, in the wording of `protocol` where documents disagree."""
    return next(c for c in clauses() if c.key == key and c.protocol in ("", protocol))


def limit(key: str, protocol: str = "") -> float:
    """The figure of a clause, in SI."""
    value = clause(key, protocol).value
    assert value is not None
    return value
