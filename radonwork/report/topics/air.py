"""Pipe and fan: what changes if one thing is changed, and what the gauge says."""

from collections.abc import Iterator, Mapping

from radonwork.glossary import System, term
from radonwork.house import air
from radonwork.house import gauge as house_gauge
from radonwork.house.calculations import Calculation
from radonwork.report.blocks import Block, Fold, Items, Para, Table, Words
from radonwork.report.told import Told
from radonwork.units import decimal

_COMPARED = (
    ("flow", "operating_flow"),
    ("through the lid", "lid_flow"),
    ("suction at sump or pit", "soil_suction"),
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
        yield Para((f"The reading in the record: {reason}.",))
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
    Told("alternatives", "What changes if", alternatives),
    Told("gauge", "Reading the gauge", gauge),
)
