"""The gauge of one house: from its reading back to the system, and what each fault of the system does to it."""

from dataclasses import replace

from radonwork.engine.sheet import Run
from radonwork.house.air import air_in
from radonwork.house.record import House
from radonwork.house.slab import readings_of, slab_of
from radonwork.solvers.diagnosis import RESOLUTION, Diagnosis, diagnose
from radonwork.solvers.gauge import Beforehand, HoleReading, Inferred, Measured, Slab, infer


def diagnoses(run: Run) -> list[Diagnosis]:
    """What each fault of the running system does to the gauge; empty without a system."""
    air = air_in(run)
    if air is None or "operating_flow" not in run.values:
        return []
    network = air.network(run.values)
    return diagnose(
        network,
        air.curve,
        air_density=run.values["air_density"],
        air_viscosity=run.values["air_viscosity"],
        tap=air.tap(network),
        fan_after=air.before_fan(),
    )


def from_gauge(run: Run, house: House | None = None) -> Inferred | None:
    """What the gauge's reading, a measured flow and test holes say of the system; None where the record has no reading.

    Raises GaugeError for a reading that this fan and route cannot give. Stated limits are taken as two standard deviations.
    """
    air, reading = air_in(run), run.given.get("gauge_suction")
    if air is None or reading is None or "operating_flow" not in run.values:
        return None
    network, flow, lid = air.network(run.values), run.given.get("measured_flow"), run.given["lid_leak_area"]
    plan = slab_of(house) if house else None
    held = Beforehand(lid_leak_area=(max(lid.value - lid.tolerance, 0.0), lid.value + lid.tolerance))
    found = infer(
        network,
        air.curve,
        Measured(reading.value, (reading.tolerance or RESOLUTION) / 2),
        air_density=run.values["air_density"],
        air_viscosity=run.values["air_viscosity"],
        tap=air.tap(network),
        flow=Measured(flow.value, (flow.tolerance or _FLOW_ERROR * flow.value) / 2) if flow else None,
        slab=_holes_of(house) if house else None,
        beforehand=held,
    )
    left_out = _LEFT_OUT if plan and plan.stone else _OWN_SUCTION if plan and plan.parted else ""
    return replace(found, remarks=(*found.remarks, left_out)) if left_out else found


def _holes_of(house: House) -> Slab | None:
    """The test holes of a house as the gauge is read with; None without any, or without a plan to read them by.

    None too where a pit stands in clean stone, of which the loss near it is no part of what the gauge is read with, and
    where one has a suction of its own.
    """
    plan, readings = slab_of(house), readings_of(house)
    if plan is None or not readings or plan.stone or plan.parted:
        return None
    holes = tuple(HoleReading(hole.at, hole.suction, hole.error / 2) for hole in readings)
    target = house.suction.target if house.suction else None
    return Slab(plan.sinks, plan.footprint, holes, target.value if target else 0.0)


_LEFT_OUT = (
    "Test holes, if any, are left out here: with clean stone around the pit, what stands in it is not what drives the field. "
    "The fit of the layer does take them, with that loss."
)
_OWN_SUCTION = (
    "Test holes, if any, are left out here: a suction point has a suction of its own, and the gauge tells only that of the "
    "first. The fit of the layer does take them, with each point's own."
)
_FLOW_ERROR = 0.1
"""Share of a measured flow by which it may be off, where the record does not say how well it was measured."""
