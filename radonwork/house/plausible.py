"""Quantities that no house can have: far outside what is usual a unit or a digit slipped.

What is usual is what a control offers. A hundred times as much, or a hundredth of it, cannot be; where that does not fit
a quantity, data/tables/plausible.csv has its own bounds. Whether there may be none of it is for whoever works with it.
"""

from functools import cache

from radonwork.files import table
from radonwork.glossary import term
from radonwork.units import Quantity, QuantityError, decimal

_FAR = 100


def read(text: str, name: str) -> Quantity:
    """The quantity `name` as a person wrote it; raises QuantityError, one line, where it cannot be read or cannot be."""
    quantity = term(name).read(text)
    if said := fault(quantity, name):
        raise QuantityError(f"{quantity.text[:48]!r} {said}")
    return quantity


def fault(quantity: Quantity, name: str) -> str | None:
    """Why that much of the quantity `name` cannot be and what would do, to stand after what was written; None if it can."""
    low, high, because = _bounds(name)
    if low <= quantity.value <= high or (quantity.value == 0 and not because):
        return None
    if not because:
        least, most = term(name).si_range
        because = f"from {decimal(least, quantity.unit)} to {decimal(most, quantity.unit)} is usual"
    return f"cannot be: {because}; write one from {decimal(low, quantity.unit)} to {decimal(high, quantity.unit)}"


@cache
def _bounds(name: str) -> tuple[float, float, str]:
    """Least and most in SI, and why where the table says so."""
    entry = term(name)
    if entry.name in bounds():
        return bounds()[entry.name]
    least, most = entry.si_range
    far = _FAR * max(abs(least), abs(most))
    return (-far if entry.signed else least / _FAR), far, ""


@cache
def bounds() -> dict[str, tuple[float, float, str]]:
    """Least and most in SI, and why, by glossary term: those of the table."""
    found = {}
    for row in table("plausible"):
        entry = term(row["term"])
        found[entry.name] = (entry.read(row["low"]).value, entry.read(row["high"]).value, row["because"])
    return found
