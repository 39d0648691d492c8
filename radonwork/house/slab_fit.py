"""The layer under the slab of one house, fitted to the readings of its test holes, and where to drill the next."""

from functools import lru_cache

import numpy as np

from radonwork.glossary import System, term
from radonwork.house.job import Assumed, assumed
from radonwork.house.record import House
from radonwork.house.slab import readings_of, slab_of, stone_of
from radonwork.solvers import field_fit
from radonwork.solvers.field_fit import Estimate, Fit, FlowReading, NextHole
from radonwork.solvers.slab_plan import Footprint, Reading
from radonwork.solvers.slab_plan import Source as Sink
from radonwork.units import decimal

_MOST_TOLERANCE = 0.95
"""Of a fitted value: a tolerance up to this stays short of zero, however both are rounded to be written."""


def fit_of(house: House) -> Fit | None:
    """The layer that the test holes tell of; None while there are none, or no plan or suction to read them by."""
    found = _fit_or_fault(house)
    return found if isinstance(found, Fit) else None


@lru_cache(maxsize=8)
def _fit_or_fault(house: House) -> Fit | str:
    """The fit, or in one line why there is none."""
    slab, readings = slab_of(house), readings_of(house)
    suction = house.suction.soil_suction if house.suction else None
    if not (slab and readings and suction and suction.value > 0):
        return "it wants an outline, a suction point with its suction, and test holes with their readings"
    flow = house.suction.soil_flow if house.suction else None
    # With several places it is not known how they share the flow.
    flows = (FlowReading(0, flow.value, flow.tolerance or 0.1 * flow.value),) if flow and len(slab.sinks) == 1 else ()
    try:
        return _fit(readings, slab.at(suction.value, **stone_of(house)), slab.footprint, flows)
    except ValueError as reason:
        return str(reason)


@lru_cache(maxsize=8)
def _fit(
    readings: tuple[Reading, ...], sinks: tuple[Sink, ...], footprint: Footprint, flows: tuple[FlowReading, ...]
) -> Fit:
    return field_fit.fit(readings, sinks, footprint, flows=flows)


@lru_cache(maxsize=8)
def next_hole(house: House) -> NextHole | None:
    """Where one more test hole would teach most, read as well as the others on the average."""
    found = fit_of(house)
    if not found:
        return None
    try:
        return found.next_hole(float(np.mean([reading.error for reading in found.readings])))
    except ValueError:  # no room for another hole
        return None


def fitted(house: House) -> tuple[Assumed, ...]:
    """Layer terms that the record leaves to its test holes, with the range that holds 95 % as their tolerance."""
    stated = house.foundation
    if stated and (stated.slab_leakage or stated.layer_permeability or stated.layer_transmissivity):
        return ()
    found = fit_of(house)
    if not found:
        return ()
    holes = f"fitted to the {len(found.readings)} test holes of the record"
    estimates = {"leakage_length": found.leakage_length, "layer_transmissivity": found.transmissivity}
    return tuple(_taken(name, one, holes, house.system) for name, one in estimates.items() if one.closed)


def _taken(name: str, estimate: Estimate, holes: str, system: System) -> Assumed:
    """The best value with the farther half of its range as tolerance; with the nearer where the farther reaches zero.

    Readings that a layer alike everywhere fits badly leave ranges that go far up and not far down.
    """
    low, high = estimate.wide
    assert low is not None
    assert high is not None
    best, unit = estimate.best, term(name).unit(system)
    near, far = sorted((best - low, high - best))
    half, because = far, f"{holes}; the tolerance is the range that holds 95 %"
    if far > _MOST_TOLERANCE * best:
        half = min(near, _MOST_TOLERANCE * best)
        because = (
            f"{holes}; 95 % lies between {decimal(low, unit, 3)} and {decimal(high, unit, 3)}, and a tolerance as wide as "
            "its farther half would reach zero: it is the nearer half, so what follows may be farther off than its range says"
        )
    tolerance = f" ± {decimal(half, unit, 2)}" if half > 0 else ""
    return Assumed(name, f"{decimal(best, unit, 4)}{tolerance}", because)


def layer_of_fit(house: House, thickness: str) -> dict[str, str]:
    """The fitted layer by what it is made of, as text to start a control from; empty where the readings leave it open.

    `thickness` stands in for a gravel that the record does not measure.
    """
    found, ground = fit_of(house), house.foundation
    if not (found and found.transmissivity.closed):
        return {}
    height = ground.gravel_depth if ground and ground.gravel_depth else term("layer_thickness").read(thickness)
    permeability = (
        found.transmissivity.best
        * term("air_viscosity").read(assumed("suction")["air_viscosity"].value).value
        / height.value
    )
    return {
        "layer_permeability": f"{decimal(permeability, 'um2', 3)}",
        "slab_leakage": f"{decimal(found.slab_leakage.best, term('slab_leakage').unit(house.system), 3)}",
    }


def fit_lines(house: House) -> tuple[str, ...]:
    """What the fit says, a sentence each; what is missing for one where there is none."""
    found = _fit_or_fault(house)
    if isinstance(found, str):
        return (f"No fit: {found}.",)
    said = [f"The layer is fitted to {len(found.readings)} test holes, taken as read with {_suction(house)}."]
    names = {
        "leakage_length": found.leakage_length,
        "layer_transmissivity": found.transmissivity,
        "slab_leakage": found.slab_leakage,
    }
    said += [_estimate(name, one, house.system) for name, one in names.items() if one.known]
    if found.degrees > 0:
        said.append(
            f"Misfit: chi squared {found.chi_squared:.1f} with {found.degrees} reading{'s' * (found.degrees != 1)} to spare."
        )
    said += found.remarks
    unit, length = term("field_suction").unit(house.system), term("leakage_length").unit(house.system)
    mean, _ = found.predicted(np.array([reading.at for reading in found.readings]))
    for hole, reading, value in zip(house.test_holes(), found.readings, mean, strict=True):
        said.append(
            f"{hole.name}: read {decimal(reading.suction, unit, 3)} ± {decimal(reading.error, unit, 2)}, "
            f"the fitted layer gives {decimal(float(value), unit, 3)}."
        )
    if best := next_hole(house):
        place = ", ".join(decimal(axis, length, 3) for axis in best.at)
        said.append(
            f"Next test hole: at {place} from the outline's origin; one reading there would take away about "
            f"{100 * best.share_of_variance_removed:.0f} % of what is uncertain (the variance) in the leakage length."
        )
    return tuple(said)


def _suction(house: House) -> str:
    """The suctions by which the test holes are read."""
    slab, first = slab_of(house), house.suction.soil_suction if house.suction else None
    assert slab
    assert first
    unit = term("soil_suction").unit(house.system)
    own = {name: value for name, value in zip(slab.apart, slab.own, strict=True) if value is not None}
    said = ", ".join(f"{decimal(value, unit, 3)} at {name}" for name, value in own.items())
    every = f"{decimal(first.value, unit, 3)} at every {'other ' if own else ''}suction point"
    if len(own) and None not in slab.own:
        return said
    return f"{said} and {every}" if own else every


def _estimate(name: str, one: Estimate, system: System) -> str:
    unit = term(name).unit(system)
    ends = ["open" if end is None else decimal(end, unit, 3) for end in one.wide]
    return f"{term(name).label.capitalize()}: {decimal(one.best, unit, 3)}, 95 % between {ends[0]} and {ends[1]}."
