"""The next hole saw up, from the project's list or the house's own (tools.hole_saws)."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from radonwork.files import table
from radonwork.units import decimal, read, shown

if TYPE_CHECKING:
    from radonwork.engine.formula import Formula, Values
    from radonwork.engine.solver import Solver
    from radonwork.engine.sources import Source

# A hole worked out may miss a saw's size by rounding; a nanometre is no difference in wood.
_ROUNDING = 1e-9


class NoHoleSaw(ValueError):
    """No saw on the list will do; one plain line that says what would."""


@dataclass(frozen=True)
class HoleSaw:
    """One saw of data/tables/hole_saws.csv: diameter in metres, and what the size rests on."""

    diameter: float
    basis: str


def listed_hole_saws() -> tuple[HoleSaw, ...]:
    """Every saw of the project's list. None has a source: show the basis wherever a size is shown."""
    return tuple(HoleSaw(read(row["size_in"], "length", unit="in").value, row["basis"]) for row in table("hole_saws"))


def next_hole_saw(diameter: float, sizes: Sequence[float] | None = None) -> float:
    """The least size, in metres, that is no smaller than `diameter`; `sizes` are the user's own, in any order.

    Raises NoHoleSaw if none is large enough or the list or the diameter is no good.
    """
    saws = [saw.diameter for saw in listed_hole_saws()] if sizes is None else list(sizes)
    if not saws or not all(math.isfinite(size) and size > 0 for size in saws):
        raise NoHoleSaw('tools.hole_saws must list sizes above zero, such as ["4-1/4 in", "4-1/2 in"]')
    if not (math.isfinite(diameter) and diameter > 0):
        raise NoHoleSaw(f"a hole of {decimal(diameter, 'in')} cannot be bored; its diameter must be above zero")
    enough = [size for size in saws if size >= diameter - _ROUNDING]
    if not enough:
        raise NoHoleSaw(
            f"no hole saw on the list reaches {shown(diameter, 'in')}, the largest is {shown(max(saws), 'in')}; "
            "cut the slot-shaped opening, or add a larger size to tools.hole_saws"
        )
    return min(enough)


def saw_solver(sizes: tuple[float, ...]) -> "Solver":
    """The next saw up as a statement of a sheet; `sizes` are the house's own, or none for the project's list."""
    from radonwork.engine.solver import Solver

    def function(bored_hole_diameter: "Values") -> dict[str, "Values"]:
        found = np.vectorize(lambda diameter: next_hole_saw(float(diameter), sizes or None))(bored_hole_diameter)
        return {"hole_saw": found if np.ndim(bored_hole_diameter) else float(found)}

    return Solver(
        "next_hole_saw", "Next hole saw up", ("hole_saw",), ("bored_hole_diameter",), _source(sizes), function
    )


def saw_formula(sizes: tuple[float, ...]) -> "Formula":
    """The same as one expression, a case for each size, so that a live panel can show it too."""
    import sympy

    from radonwork.engine.formula import Formula, symbol

    saws = sorted(sizes or [saw.diameter for saw in listed_hole_saws()])
    hole = symbol("bored_hole_diameter")
    cases = [(sympy.Float(size), hole <= size + _ROUNDING) for size in saws[:-1]]
    expression = sympy.Piecewise(*cases, (sympy.Float(saws[-1]), True))
    limits = {"bored_hole_diameter": (0.0, max(saws))}
    return Formula(
        "next_hole_saw", "Next hole saw up", "hole_saw", expression, ("bored_hole_diameter",), _source(sizes), limits
    )


def _source(sizes: tuple[float, ...]) -> "Source":
    from radonwork.engine.sources import Source

    if sizes:
        return Source(kind="common practice, no source", place="the saws at hand, tools.hole_saws of the record")
    return Source(kind="from memory, unverified", place="sizes of common hole saws")
