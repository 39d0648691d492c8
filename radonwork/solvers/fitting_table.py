"""The table of fittings: what each is worth on a pipe of a stated bore, and how far sources disagree."""

from dataclasses import dataclass
from functools import cache

from radonwork.engine.formula import Values
from radonwork.engine.sources import Source
from radonwork.files import table
from radonwork.formulas import fittings, friction
from radonwork.units import read


class FittingError(ValueError):
    """No such fitting in the table, or one whose loss is not a plain coefficient; one plain line."""


@dataclass(frozen=True)
class ListedFitting:
    """One row of data/tables/fittings.csv. `fixed` or `multiple` or neither, where `formula` gives the coefficient."""

    name: str
    kind: str
    fixed: float | None
    multiple: float | None
    formula: str
    reference: str
    low: float | None
    high: float | None
    source: Source
    basis: str
    remark: str

    def coefficient(self, bore: Values) -> Values:
        """Loss coefficient on its reference bore, here the pipe's bore in metres.

        Raises FittingError for a fitting whose coefficient depends on more than the bore.
        """
        if self.fixed is not None:
            return self.fixed
        if self.multiple is None:
            raise FittingError(
                f"{self.name}: its coefficient is worked out by {self.formula}, which needs more than the bore"
            )
        relative = friction.relative_roughness(wall_roughness=_steel_roughness(), bore=bore)
        return fittings.rough_multiple_coefficient(
            fitting_multiple=self.multiple, rough_factor=friction.rough_factor(relative_roughness=relative)
        )


@cache
def _steel_roughness() -> float:
    """Of the pipe on which multiples of its rough friction are stated, m."""
    steel = next(row for row in table("pipe_roughness") if row["material"] == "clean steel pipe")
    return read(f"{steel['roughness_um']} um", "length").value


@cache
def listed_fittings() -> tuple[ListedFitting, ...]:
    """Every fitting of the table, in its order."""
    return tuple(
        ListedFitting(
            row["name"],
            row["kind"],
            _number(row["coefficient"]),
            _number(row["multiple"]),
            row["formula"],
            row["reference"],
            _number(row["low"]),
            _number(row["high"]),
            Source(row["source"], row["place"]) if row["source"] else Source(kind="common practice, no source"),
            row["basis"],
            row["remark"],
        )
        for row in table("fittings")
    )


def fitting(name: str) -> ListedFitting:
    """The fitting of this name; raises FittingError, one line, naming those there are."""
    rows = listed_fittings()
    found = next((row for row in rows if row.name == name), None)
    if found is None:
        raise FittingError(f"no fitting is called {name[:60]!r}; there are {'; '.join(row.name for row in rows)}")
    return found


def _number(text: str) -> float | None:
    return float(text) if text else None
