"""Quantities that no house can have: beyond the bounds of data/tables/plausible.csv a unit or a digit slipped."""

from functools import cache

from radonwork.files import table
from radonwork.glossary import term
from radonwork.units import Quantity, QuantityError, decimal


def read(text: str, name: str) -> Quantity:
    """The quantity `name` as a person wrote it; raises QuantityError, one line, where it cannot be read or cannot be."""
    quantity = term(name).read(text)
    low, high, because = bounds().get(name, (quantity.value, quantity.value, ""))
    if not low <= quantity.value <= high:
        said = f"from {decimal(low, quantity.unit)} to {decimal(high, quantity.unit)}"
        raise QuantityError(f"{quantity.text[:48]!r} cannot be: {because}; write one {said}")
    return quantity


@cache
def bounds() -> dict[str, tuple[float, float, str]]:
    """Least and most in SI, and why, by glossary term."""
    found = {}
    for row in table("plausible"):
        entry = term(row["term"])
        found[entry.name] = (entry.read(row["low"]).value, entry.read(row["high"]).value, row["because"])
    return found
