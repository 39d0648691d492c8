"""A case: a published worked value, and whether we agree with it within what its last printed digit allows."""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from radonwork.engine.formula import FORMULAS
from radonwork.engine.searched import turned
from radonwork.engine.solver import SOLVERS
from radonwork.engine.sources import Source
from radonwork.files import DATA
from radonwork.glossary import term
from radonwork.units import Quantity, decimal, from_unit


@dataclass(frozen=True)
class Compared:
    """One printed value beside ours; `tolerance` is half the last printed digit unless the case gives a reason."""

    term: str
    published: Quantity
    ours: float
    tolerance: float

    @property
    def agrees(self) -> bool:
        return abs(self.ours - self.published.value) <= self.tolerance * (1 + 1e-9)

    @property
    def ours_shown(self) -> str:
        return decimal(self.ours, self.published.unit, 6)


@dataclass(frozen=True)
class Case:
    """`of` names a formula or solver; `given` and `published` are values as people write them, by glossary term.

    Where a result is given, `published` is a term that it is worked for.
    """

    name: str
    of: str
    given: dict[str, str]
    published: dict[str, str]
    source: Source
    topic: str
    within: dict[str, str]
    because: str = ""
    library: str = ""
    note: str = ""

    @property
    def decides(self) -> bool:
        """A value from memory is shown but never decides a pass."""
        return self.source.kind != "from memory, unverified"

    def compare(self) -> list[Compared]:
        """Work the case and set ours beside what was printed."""
        values = {name: term(name).read(text).value for name, text in self.given.items()}
        statement = turned(FORMULAS.get(self.of) or SOLVERS[self.of], values)
        found = statement(**values)
        results = found if isinstance(found, dict) else {statement.gives[0]: found}
        return [self._compared(name, text, float(results[name])) for name, text in self.published.items()]

    def _compared(self, name: str, text: str, ours: float) -> Compared:
        published = term(name).read(text)
        if name in self.within:
            written = self.within[name]
            share = re.fullmatch(r"([\d.]+) ?%", written)
            if share:
                tolerance = abs(published.value) * float(share[1]) / 100
            else:
                allowed = term(name).read(written)
                tolerance = allowed.value
                if term(name).dimension == "temperature" and allowed.unit != "K":
                    raise ValueError(f"case {self.name}: write the tolerance of a temperature in K or as a share")
        else:
            tolerance = half_last_digit(text, published.unit)
        return Compared(name, published, ours, tolerance)


def half_last_digit(text: str, unit: str) -> float:
    """Half a unit in the last place of the printed number, in SI: 4.163 in gives 0.0005 in."""
    number = re.match(r"\s*[-−]?([\d,]*)(?:\.(\d+))?(?:[eE]([-+]?\d+))?", text)
    assert number is not None
    fraction = re.match(r"\s*[-−]?(?:[\d,]+[- ] ?)?\d+ ?/ ?(\d+)", text)
    if fraction:  # a fraction of an inch is printed to its own denominator
        return float(from_unit(0.5 / int(fraction[1]), unit) - from_unit(0.0, unit))
    places = len(number[2] or "")
    step = 0.5 * 10.0 ** (int(number[3] or 0) - places)
    return float(from_unit(step, unit) - from_unit(0.0, unit))


@cache
def cases() -> tuple[Case, ...]:
    """Every case of data/cases, in file order."""
    return tuple(_read_all())


def _read_all() -> Iterator[Case]:
    for path in sorted((DATA / "cases").glob("*.toml")):
        for entry in tomllib.loads(path.read_text(encoding="utf-8")).get("case", []):
            within = entry.get("within", {})
            if within and not entry.get("because"):
                raise ValueError(f"case {entry['name']}: a wider tolerance needs a reason")
            yield Case(
                name=entry["name"],
                of=entry["of"],
                given=entry["given"],
                published=entry["published"],
                source=Source(entry.get("source", ""), entry.get("place", ""), entry["kind"]),
                topic=path.stem,
                within=within if isinstance(within, dict) else dict.fromkeys(entry["published"], within),
                because=entry.get("because", ""),
                library=entry.get("library", ""),
                note=entry.get("note", ""),
            )


def cases_of(name: str) -> list[Case]:
    """The cases that check the formula or solver called `name`."""
    return [case for case in cases() if case.of == name]
