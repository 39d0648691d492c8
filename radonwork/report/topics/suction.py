"""Suction under the slab: what the test holes tell, and what a change does to the reach."""

from radonwork.glossary import term
from radonwork.house.calculations import Calculation
from radonwork.house.reach import Change, reach_of
from radonwork.house.slab_fit import fit_lines
from radonwork.house.slab_sheet import inertia_lines
from radonwork.report.blocks import Block, Items, Para, Table, Words
from radonwork.report.told import Told
from radonwork.units import decimal, number


def fit(calculation: Calculation) -> tuple[Block, ...]:
    """What the house's test holes tell of the layer under its slab, and where the next one would tell most."""
    if calculation.house is None:
        return ()
    return (Items(tuple((Para((line,)),) for line in fit_lines(calculation.house))),)


def inertia(calculation: Calculation) -> tuple[Block, ...]:
    """What fast air in clean stone takes away near the pits; empty where the record tells of no such stone."""
    lines = inertia_lines(calculation.run, calculation.house) if calculation.house else ()
    return (Items(tuple((Para((line,)),) for line in lines)),) if lines else ()


_REACHED = (
    ("flow at the fan", "air_flow", "operating_flow"),
    ("suction at sump or pit", "soil_suction", "soil_suction"),
    ("least suction under the slab", "least_suction", "least_suction"),
    ("share of the slab at the target", "share_reaching", "reached_share"),
)


def reach(calculation: Calculation) -> tuple[Block, ...]:
    """What a change of lid, suction points or pipe does under the slab; a line where facts lack."""
    if calculation.house is None:
        return ()
    found, system = reach_of(calculation.house), calculation.run.system
    if found.lacks:
        return (Para((f"What a change does to the reach is not worked. {found.lacks}",)),)
    rows: list[tuple[Words, ...]] = []
    for change in found.changes:
        cells: list[Words] = [(change.fault,), *[("",)] * (len(_REACHED) - 1)]
        if change.effect:
            cells = [(_amount(change, of, term(name).unit(system)),) for _, of, name in _REACHED]
        rows.append(((change.name,), *cells))
    head = ("Change", *(head for head, *_ in _REACHED))
    return (
        Table("What a change does to the reach", head, tuple(rows), (5, 3, 3, 3, 3)),
        *(Para((note,), "note") for note in found.notes),
    )


def _amount(change: Change, of: str, unit: str) -> str:
    """The value, and from the least to the most over the tolerances: "3.2 Pa (2.8 to 3.6)"."""
    value = decimal(getattr(change.effect, of), unit, 3)
    if of not in change.spread:
        return f"{value} (within the tolerances the fan's curve ends)"
    low, high = (number(end, unit, 3) for end in change.spread[of])
    return value if low == high else f"{value} ({low} to {high})"


TOLD = (
    Told("fit", "What the test holes tell", fit),
    Told("inertia", "Fast air in clean stone near a pit", inertia),
    Told("reach", "What a change does to the reach", reach),
)
