"""Pipe and fan: what changes if one thing is changed, and what the gauge says."""

import math
from collections.abc import Callable, Iterator, Mapping

from radonwork.formulas.pipes import bore_area
from radonwork.glossary import System, term
from radonwork.house import air
from radonwork.house import gauge as house_gauge
from radonwork.house.calculations import Calculation
from radonwork.report.blocks import Block, Fold, Items, Para, Table, Words
from radonwork.report.told import Told
from radonwork.requirements.rules import Comparison, requirements_of
from radonwork.units import decimal, number

_COMPARED = (
    ("flow", "operating_flow"),
    ("through the lid", "lid_flow"),
    ("suction at sump or pit", "working_suction"),
    ("gauge", "gauge_reading"),
    ("velocity, main pipe", "main_velocity"),
    ("velocity, wall", "wall_velocity"),
    ("fan power", "fan_power"),
    ("fan, a year", "yearly_cost"),
    ("all, a year", "running_cost"),
)


def alternatives(calculation: Calculation) -> tuple[Block, ...]:
    """The system as it is and with one thing changed at a time; empty where there is no system."""
    found = air.alternatives(calculation.run)
    if not found:
        return ()
    columns = [(head, name) for head, name in _COMPARED if name in found[0].run.values]
    rows: list[tuple[Words, ...]] = []
    for one in found:
        values, refused = one.run.values, " ".join(one.run.refused.values())
        cells = [(_amount(name, values, one.run.system),) for _, name in columns]
        rows.append(((one.name,), *(cells if not refused else [(refused,), *[("",)] * (len(columns) - 1)])))
    head = ("Change", *(head for head, _ in columns))
    note = (
        "One thing is changed at a time. All a year is the fan's electricity and the heat drawn out of the house. A reducer "
        "that the route does not list is not counted."
    )
    return (Table("What changes if", head, tuple(rows), (5, *(3 for _ in columns))), Para((note,), "note"))


def _amount(name: str, values: Mapping[str, float], system: System) -> str:
    return decimal(values[name], term(name).unit(system), 3) if name in values else "not known"


_NOISE, _WATER = "velocity at the outlet, noise", "velocity in the main pipe, drainage"


def velocities(calculation: Calculation) -> tuple[Block, ...]:
    """Velocity in every section beside the published limits, and what it means for pipes side by side in the wall."""
    run = calculation.run
    found = air.passages(run)
    if not found:
        return ()
    limits = {rule.name: rule.check for rule in requirements_of("air") if isinstance(rule.check, Comparison)}
    noise, water = (term("main_velocity").read(limits[name].value).value for name in (_NOISE, _WATER))
    names = {name: term(name).unit(run.system) for name in ("main_velocity", "operating_flow", "bore")}

    def said(name: str, value: float) -> str:
        return decimal(value, names[name], 3)

    rows: list[tuple[Words, ...]] = [
        (
            (one.name,),
            (f"{one.side_by_side} of {said('bore', one.bore)}",),
            (said("operating_flow", one.flow),),
            (_over(one.velocity, one.low, one.high, names["main_velocity"]),),
            (_against(one, noise),),
            (_against(one, water),),
            (said("operating_flow", one.published_flow) if one.published_flow else "none for this bore",),
        )
        for one in found
    ]
    head = (
        "Section", "Pipes", "Flow in each", "Velocity",
        f"Noise, {said('main_velocity', noise)}", f"Condensate, {said('main_velocity', water)}", "Published flow of the size",
    )  # fmt: skip
    note = (
        f"Both limits and the flows of the sizes are advice of the standard: above {said('main_velocity', noise)} the air at "
        f"the outlet becomes objectionably loud, above {said('main_velocity', water)} water no longer drains against it. In "
        "brackets, over the stated tolerances. Of pipes side by side the one with the most air is shown."
    )
    return (
        Table("Velocity in every section", head, tuple(rows), (3, 3, 3, 4, 3, 3, 3)),
        Para((note,), "note"),
        *(Para((line,)) for line in _in_the_wall(found, noise, said)),
    )


def _over(value: float, low: float, high: float, unit: str) -> str:
    shown = decimal(value, unit, 3)
    ends = number(low, unit, 3), number(high, unit, 3)
    return shown if ends[0] == ends[1] else f"{shown} ({ends[0]} to {ends[1]})"


def _against(one: air.Passage, limit: float) -> str:
    if one.velocity >= limit:
        return "above" if one.low >= limit else "above, but below within the tolerances"
    return "below" if one.high < limit else "below, but reaches it within the tolerances"


def _in_the_wall(found: tuple[air.Passage, ...], noise: float, said: Callable[[str, float], str]) -> Iterator[str]:
    """What the velocity means for the riser where it is in the wall, in plain words."""
    inside = max((one for one in found if one.in_wall), key=lambda one: one.velocity, default=None)
    outside = max((one.velocity for one in found if not one.in_wall), default=None)
    if inside is None or outside is None or inside.side_by_side == 1:
        return
    area = bore_area(bore=inside.bore)
    enough = max(math.ceil(inside.side_by_side * inside.flow / (noise * float(area)) - 1e-9), 1)
    yield (
        f"In the wall the air is {inside.velocity / outside:.2g} times as fast as where it is fastest outside of it: "
        f"{inside.side_by_side} pipes of {said('bore', inside.bore)} with up to {said('operating_flow', inside.flow)} in "
        f"each. At this flow it takes {enough} of that bore to keep the air there below {said('main_velocity', noise)}; with "
        "more of them the fan moves a little more air, see what changes if. The clause speaks of the outlet: for pipes behind "
        "a bedroom wall its limit is only a comparison. Water that condenses above the wall comes down these pipes against "
        "the air, so each of them must drain."
    )


def gauge(calculation: Calculation) -> tuple[Block, ...]:
    """What the record's gauge reading says, and what each fault would do to the gauge; empty where there is no system."""
    run, rows = calculation.run, house_gauge.diagnoses(calculation.run)
    if not rows:
        return ()
    unit, flow = (term(name).unit(run.system) for name in ("gauge_reading", "operating_flow"))
    cells: list[tuple[Words, ...]] = [
        (
            (row.fault,),
            (_moved(row.reading, row.gauge_after, unit),),
            (_moved(row.flow, row.flow_after, flow),),
            ("none" if row.suction_after < row.resolution / 10 else decimal(row.suction_after, unit, 3),),
        )
        for row in sorted(rows, key=lambda row: row.reading)
    ]
    sound = (
        f"As it is the gauge reads {decimal(rows[0].gauge_before, unit, 3)} at {decimal(rows[0].flow_before, flow, 3)}."
    )
    head = ("Fault", "The gauge", "The flow", "Suction at sump or pit")
    return (
        *_read(calculation),
        Para((sound,)),
        Table("What a fault does to the gauge", head, tuple(cells), (6, 3, 3, 3)),
    )


def _moved(how: str, value: float, unit: str) -> str:
    return how if how == "zero" else f"{how}, {decimal(value, unit, 3)}"


def _read(calculation: Calculation) -> Iterator[Block]:
    """From the gauge's reading back to the system."""
    from radonwork.solvers.gauge import GaugeError

    run = calculation.run
    try:
        found = house_gauge.from_gauge(run, calculation.house)
    except GaugeError as reason:
        yield Para((f"The reading in the record: {reason.told(run.system)}.",))
        return
    if found is None:
        yield Para(("The record has no reading of the gauge, so nothing can be told back from it.",))
        return
    names = ["air_flow", "soil_suction", "soil_resistance", "lid_flow", "leakage_length", "layer_transmissivity"]
    if calculation.house and calculation.house.suction and calculation.house.suction.target:
        names.append("reached_share")
    rows: tuple[tuple[Words, ...], ...] = tuple(
        ((term(name).label,), (found.shown(name, run.system),)) for name in names if name in found.values
    )
    yield Table("What the readings say: the middle, and the range that holds nine tenths", (), rows, (2, 3))
    yield Items(tuple((Para((remark,)),) for remark in found.remarks), look="note")
    yield Fold("Held possible before the readings", tuple(Para((line,)) for line in found.beforehand.said(run.system)))


TOLD = (
    Told("velocities", "Velocity in every section", velocities),
    Told("alternatives", "What changes if", alternatives),
    Told("gauge", "Reading the gauge", gauge),
)
