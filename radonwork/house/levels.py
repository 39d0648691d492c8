"""Action and reference levels: the table of data/tables/action_levels.csv, and the one that a record names.

A level known only from memory is shown and decides nothing. The owner may also state a concentration.
"""

from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import Literal

from radonwork.files import table
from radonwork.house import plausible
from radonwork.units import Quantity, QuantityError, from_unit

OWN = "the owner's own level"


@dataclass(frozen=True)
class Level:
    """A level in SI. `basis` is "read", "memory", or "own" for one that the owner states."""

    name: str
    kind: str
    quantity: Quantity
    basis: Literal["read", "memory", "own"]
    remark: str = ""
    document: str = ""
    date: str = ""
    source: str = ""

    def __str__(self) -> str:
        """ "USA: action level, 148 Bq/m3"; the owner's own as the owner wrote it."""
        return self.quantity.text if self.basis == "own" else f"{self.name}: {self.kind}, {self.quantity.text}"

    @property
    def term(self) -> str:
        """The glossary term it stands for: one from memory has its own, which no rule compares with to decide."""
        return "remembered_level" if self.basis == "memory" else "action_level"


@cache
def levels() -> dict[str, Level]:
    """Every level of the table, by name."""
    return {row["name"]: _level(row) for row in table("action_levels")}


def _level(row: dict[str, str]) -> Level:
    value = float(from_unit(float(row["Bq_m3"]), "Bq/m3"))
    quantity = Quantity(value, "Bq/m3", 0.0, f"{row['Bq_m3']} Bq/m3")
    basis: Literal["read", "memory"] = "read" if row["basis"] == "read" else "memory"
    return Level(row["name"], row["kind"], quantity, basis, row["remark"], row["document"], row["date"], row["source"])


def level_named(text: str) -> Level:
    """The level of that name, or the concentration that is written; raises ValueError with one plain line."""
    if text[:1].isdigit():
        quantity = plausible.read(text, "action_level")
        if quantity.value <= 0 or quantity.tolerance:
            raise QuantityError(f"{text[:48]!r} is no level; write one concentration above zero, such as 148 Bq/m3")
        return Level(OWN, "own level", quantity, "own")
    known = {name.casefold(): level for name, level in levels().items()}
    if found := known.get(" ".join(text.casefold().split())):
        return found
    near = get_close_matches(text.casefold(), known, n=1)
    hint = f"did you mean {known[near[0]].name}?" if near else f"there are {', '.join(levels())}"
    raise ValueError(f"is no level of the table; {hint}; or write a concentration such as 148 Bq/m3")
