"""Where a statement comes from: a work of data/references.toml and the place in it, or an honest "no source"."""

import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Literal

from radonwork.files import DATA

Kind = Literal[
    "published",
    "derived",
    "reference library",
    "independent computation",
    "common practice, no source",
    "from memory, unverified",
]

_HOW_READ = {
    "abstract": "read as an abstract",
    "secondary copy": "read in a copy that quotes it",
    "no": "known from memory, not read",
}


@cache
def references() -> dict[str, dict[str, object]]:
    """Every work cited, by key."""
    return tomllib.loads((DATA / "references.toml").read_text(encoding="utf-8"))


@dataclass(frozen=True)
class Source:
    """A work by its key and the place in it. Without a key, `kind` says in so many words what stands behind it."""

    key: str = ""
    place: str = ""
    kind: Kind = "published"

    def __post_init__(self) -> None:
        if self.key and self.key not in references():
            raise KeyError(f"no work is cited as {self.key!r} in data/references.toml")
        if not self.key and self.kind in ("published", "reference library"):
            raise ValueError(f"a source that is {self.kind} needs the key of a work")

    @property
    def work(self) -> str:
        """Author, title, number and year in one line; empty where there is no work."""
        if not self.key:
            return ""
        entry = references()[self.key]
        parts = [entry.get("author"), entry["title"], entry.get("number"), entry.get("year")]
        return ", ".join(str(part) for part in parts if part)

    @property
    def how_read(self) -> str:
        """How the work was read, where that was not the work itself."""
        return _HOW_READ.get(str(references()[self.key].get("read")), "") if self.key else ""

    def __str__(self) -> str:
        cited = ", ".join(part for part in (self.work, self.place) if part)
        said = self.kind if self.kind != "published" else self.how_read
        if not cited:
            return said
        return f"{cited} ({said})" if said else cited
