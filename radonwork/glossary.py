"""Every quantity of the project: its name, symbol, unit in each system, meaning and the range a control offers.

A formula, a record and a control all speak in these names; a name that is not here fails when it is first used.
The quantities themselves are rows of data/glossary.csv. The range (`low`, `high`) is what a slider offers and what
the laws of the test suite sample; it is not a limit of validity, which each formula states for itself.
"""

import difflib
import re
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from radonwork import files, units

System = Literal["us", "metric"]


NEGLIGIBLE = "0.0001 %"
"""A share below this is told as less than it: nothing in a house is known to a millionth. A choice, without a source."""
_NEGLIGIBLE = units.read(NEGLIGIBLE, "ratio").value


class UnknownTerm(KeyError):
    """A name the glossary does not hold; the message names the nearest one."""

    def __str__(self) -> str:
        return str(self.args[0])


@dataclass(frozen=True)
class Term:
    """One quantity. `symbol` is a base letter with an optional subscript ("theta_0"); bounds are written with a unit."""

    name: str
    symbol: str
    dimension: str
    us: str
    metric: str
    low: str
    high: str
    signed: bool
    meaning: str

    def unit(self, system: System) -> str:
        """The unit this quantity is shown in: inches or millimetres, cfm or litres a second."""
        return self.us if system == "us" else self.metric

    def read(self, text: str, unit: str | None = None) -> units.Quantity:
        """What a person wrote, in SI; raises units.QuantityError with one plain line."""
        return units.read(text, self.dimension, unit=unit, negative=self.signed or self.dimension == "temperature")

    @cached_property
    def si_range(self) -> tuple[float, float]:
        """`low` and `high` in SI units."""
        return self.read(self.low).value, self.read(self.high).value

    @cached_property
    def codes(self) -> dict[float, str]:
        """The words that its numbers stand for, as its meaning says them; empty where a number is a number."""
        found = re.findall(r"[:,] (-?\d) ([^,]+)", self.meaning) if self.dimension == "count" else ()
        return {float(number): words for number, words in found}

    @property
    def such_as(self) -> str:
        """A value to show how one is written: the low end of the range, or the high where that is nothing or less."""
        return self.low if self.si_range[0] > 0 else self.high

    def written(self, value: float, system: System) -> str:
        """A value (SI) as people write it: "13-7/8 in", and with its word where it is a code: "1 (to the right)"."""
        if self.negligible(value):
            return f"less than {NEGLIGIBLE}"
        word = self.codes.get(value)
        return units.shown(value, self.unit(system)) + (f" ({word})" if word else "")

    def negligible(self, value: float) -> bool:
        """Whether it is a share in percent, too small to be told and yet not zero."""
        return self.us == "%" and 0 < value < _NEGLIGIBLE

    @property
    def label(self) -> str:
        """The name in plain words: "pipe outside diameter", "Reynolds number"."""
        return plain(self.name)


# What a name writes small or short: people and bodies keep their capitals.
_SAID = {"sd": "standard deviation"} | {
    word.lower(): word
    for word in (
        "Darcy", "Fanning", "Forchheimer", "ICRP", "Kutateladze", "Nusselt", "Prandtl", "Rayleigh", "Reynolds", "Sutherland",
        "UNSCEAR", "Wallis",
    )
}  # fmt: skip


def plain(name: str) -> str:
    """A name of the glossary or of a record in words: "slab area"."""
    return " ".join(_SAID.get(word, word) for word in name.split("_"))


def term(name: str) -> Term:
    """The term of this name; raises UnknownTerm, naming the nearest."""
    try:
        return GLOSSARY[name]
    except KeyError:
        near = difflib.get_close_matches(name, GLOSSARY, n=1, cutoff=0.4)
        hint = f"; nearest: {near[0]}" if near else ""
        raise UnknownTerm(f"no quantity is called {name[:60]!r}{hint}") from None


GLOSSARY: dict[str, Term] = {
    row["name"]: Term(**{key: value for key, value in row.items() if key != "sign"}, signed=row["sign"] == "signed")
    for row in files.rows(files.DATA / "glossary.csv")
}
