"""The cold run: saturated soil gas through a pipe in a cold attic, what it loses on the way and what condenses.

The bulk of the gas stays saturated, so its temperature alone fixes its state and the heat q' that a metre of pipe loses.
The run is marched in steps of temperature: a step takes the length m dH/q', H being the enthalpy less that of the water
that left, and q' the logarithmic mean over the step, which is exact where q' is a straight line in H. The last
temperature is the one at which the steps fill the run. Arrays of samples are worked side by side. Twelve steps instead of
ninety-six move the exit temperature by less than 0.001 K and the condensate by less than 0.01 % while nothing freezes, and
by 0.01 K and 0.02 % where the gas freezes on the way.
"""

from typing import Any, NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

from radonwork.engine.derivation import Eq
from radonwork.engine.formula import Formula, Values
from radonwork.engine.solver import solver
from radonwork.engine.sources import Source
from radonwork.formulas import condensate, moist_air

Array = NDArray[np.float64]

_STEPS = 12
_ROUNDS = 60
_CLOSE = 1e-7  # kelvin of wall temperature, and share of the run's length
_NUDGE = 1e-3  # kelvin, for difference quotients


def _of(formula: Formula, **terms: Values) -> Array:
    """A formula's value as an array."""
    return cast(Array, formula(**terms))


_ENTHALPY = {name: quantity.value for name, quantity in moist_air.moist_enthalpy.defaults.items()}
_C_AIR, _C_VAPOUR = _ENTHALPY["air_specific_heat"], _ENTHALPY["vapour_specific_heat"]
_C_WATER = moist_air.wet_bulb_humidity_ratio.defaults["water_specific_heat"].value
_bore_conductance = moist_air.surface_conductance.with_terms(
    name="inside_conductance", gives="surface_conductance", pipe_outside_diameter="bore"
)


class _Run(NamedTuple):
    """What does not change along the run, one entry a sample."""

    air: Array
    bore: Array
    outside: Array
    attic: Array
    emissivity: Array
    barometric: Array
    wall: Array


def _saturated(temperature: Array, barometric: Array) -> Array:
    """Humidity ratio of saturated air."""
    logarithm = moist_air.saturation_logarithm(air_temperature=temperature)
    pressure = moist_air.saturation_pressure(saturation_logarithm=logarithm)
    return _of(moist_air.humidity_ratio, vapour_pressure=pressure, barometric_pressure=barometric)


def _vapour_less_water(temperature: Array) -> Array:
    """What a kilogram of water gives up when it condenses."""
    return _ENTHALPY["latent_heat"] - (_C_WATER - _C_VAPOUR) * (temperature - _ENTHALPY["ice_point"])


def _inside_conductance(run: _Run, temperature: Array, humidity: Array) -> Array:
    """From the gas to the wall, per area: Gnielinski."""
    density = _of(
        moist_air.moist_air_density,
        air_temperature=temperature, humidity_ratio=humidity, barometric_pressure=run.barometric,
    )  # fmt: skip
    viscosity = _of(moist_air.air_viscosity, air_temperature=temperature)
    conductivity = _of(moist_air.air_conductivity, air_temperature=temperature)
    flow = run.air * (1 + humidity) / density
    velocity = _of(condensate.mean_air_velocity, air_flow=flow, bore=run.bore)
    reynolds = _of(
        condensate.reynolds_number,
        air_density=density, air_velocity=velocity, bore=run.bore, air_viscosity=viscosity,
    )  # fmt: skip
    nusselt = moist_air.inside_nusselt_number(
        reynolds_number=reynolds,
        prandtl_number=moist_air.prandtl_number(air_viscosity=viscosity, air_conductivity=conductivity),
        darcy_factor=moist_air.smooth_darcy_factor(reynolds_number=reynolds),
    )
    return cast(Array, _bore_conductance(nusselt_number=nusselt, air_conductivity=conductivity, bore=run.bore))


def _outside_heat(run: _Run, surface: Array) -> Array:
    """From the pipe's surface to the attic, per length: Churchill and Chu, and radiation."""
    film, gap = (surface + run.attic) / 2, surface - run.attic
    viscosity = _of(moist_air.air_viscosity, air_temperature=film)
    conductivity = _of(moist_air.air_conductivity, air_temperature=film)
    rayleigh = moist_air.rayleigh_number(
        temperature_gap=gap,
        film_temperature=film,
        pipe_outside_diameter=run.outside,
        air_density=moist_air.dry_air_density(air_temperature=film, barometric_pressure=run.barometric),
        air_viscosity=viscosity,
        air_conductivity=conductivity,
    )
    nusselt = moist_air.outside_nusselt_number(
        rayleigh_number=rayleigh,
        prandtl_number=moist_air.prandtl_number(air_viscosity=viscosity, air_conductivity=conductivity),
    )
    convection = _of(
        moist_air.surface_conductance,
        nusselt_number=nusselt, air_conductivity=conductivity, pipe_outside_diameter=run.outside,
    )  # fmt: skip
    radiation = _of(moist_air.radiation_conductance, emissivity=run.emissivity, film_temperature=film)
    return np.pi * run.outside * (convection + radiation) * gap


class _Section(NamedTuple):
    """Cross-sections of the pipe: humidity ratio, heat lost per length, temperatures of the wall inside and outside."""

    humidity: Array
    heat: Array
    wall: Array
    surface: Array


def _section(run: _Run, gas: Array, surface: Array) -> _Section:
    """The state where the gas has the temperature `gas`; `surface` is a first guess of the outside of the wall.

    What the gas brings to the wall, by its warmth and by what condenses, passes the wall and leaves its outside:
    Newton's rule on the outside temperature, with the slope from a second point a little beside it.
    """
    humidity = _saturated(gas, run.barometric)
    sensible = _C_AIR + humidity * _C_VAPOUR
    conductance = np.pi * run.bore * _inside_conductance(run, gas, humidity)
    for _ in range(_ROUNDS):
        both = np.stack([surface, surface + _NUDGE])
        heat = _outside_heat(run, both)
        wall = both + heat / run.wall
        condensing = _vapour_less_water(wall) / sensible * (humidity - _saturated(wall, run.barometric))
        excess = conductance * (gas - wall + condensing) - heat
        step = excess[0] * _NUDGE / (excess[0] - excess[1])
        middle = (surface + np.where(step > 0, gas, run.attic)) / 2  # where Newton would leave the pipe
        moved = surface + step
        moved = np.where((moved > run.attic) & (moved < gas), moved, middle)
        settled = bool(np.all(np.abs(moved - surface) < _CLOSE))
        surface = moved
        if settled:
            break
    else:
        raise ValueError("the temperature of the pipe's wall does not settle for these values")
    return _Section(humidity, heat[0], wall[0], surface)


def _given_up(gas: Array, humidity: Array) -> Array:
    """Enthalpy the gas gives up from each section to the next, per dry air, less that of the water that leaves it."""
    enthalpy = _of(moist_air.moist_enthalpy, air_temperature=gas, humidity_ratio=humidity)
    water = _C_WATER * ((gas[:-1] + gas[1:]) / 2 - _ENTHALPY["ice_point"]) * np.diff(humidity, axis=0)
    return water - np.diff(enthalpy, axis=0)


@solver(
    gives=(
        "exit_temperature",
        "condensate_flow",
        "heat_loss",
        "exit_wall_temperature",
        "dry_air_flow",
        "inlet_humidity_ratio",
        "exit_humidity_ratio",
    ),
    source=Source(kind="derived", place="steady balance of heat and water along the pipe"),
    solves=lambda condensate_flow, dry_air_flow, inlet_humidity_ratio, exit_humidity_ratio: [
        Eq(condensate_flow, dry_air_flow * (inlet_humidity_ratio - exit_humidity_ratio))
    ],
    inlet_temperature=("0 degC", "40 degC"),
    attic_temperature=("-45 degC", "40 degC"),
    emissivity=("0", "1"),
)
def cold_run(
    air_flow: Any,
    bore: Any,
    pipe_outside_diameter: Any,
    run_length: Any,
    inlet_temperature: Any,
    attic_temperature: Any,
    wall_conductivity: Any = "0.19 W/(m K)",
    emissivity: Any = "0.9",
    barometric_pressure: Any = "101.325 kPa",
) -> dict[str, Values]:
    """Temperature, condensate and heat loss of saturated soil gas in a bare pipe through a cold attic.

    Assumes gas that enters saturated and stays so, and turbulent flow; the air flow is that at the inlet.

    Assumes a bare pipe in a still attic whose surfaces are as cold as its air; wind through the attic takes more heat,
    insulation less.

    Assumes that the water drains off as water; where the wall is below freezing it may stay as frost, and the
    heat of freezing is left out.

    Assumes, where they are not stated, a wall that conducts 0.19 W/(m K) with an emissivity of 0.9, both from memory,
    and sea level.
    """
    if np.any(np.asarray(attic_temperature) >= np.asarray(inlet_temperature)):
        raise ValueError("the attic is as warm as the gas or warmer, so nothing condenses in the run")
    given = (air_flow, bore, pipe_outside_diameter, run_length, inlet_temperature, attic_temperature)
    *given_arrays, conductivity, emits, barometric = np.broadcast_arrays(
        *(
            np.atleast_1d(np.asarray(v, dtype=float))
            for v in (*given, wall_conductivity, emissivity, barometric_pressure)
        )
    )
    flow, inside, outside, length, inlet, attic = given_arrays
    inlet_humidity = _saturated(inlet, barometric)
    inlet_density = _of(
        moist_air.moist_air_density,
        air_temperature=inlet, humidity_ratio=inlet_humidity, barometric_pressure=barometric,
    )  # fmt: skip
    conducts = _of(
        moist_air.wall_conductance, wall_conductivity=conductivity, pipe_outside_diameter=outside, bore=inside
    )
    air = flow * inlet_density / (1 + inlet_humidity)
    run = _Run(air, inside, outside, attic, emits, barometric, conducts)

    drop = inlet - attic
    shares = np.linspace(0, 1, _STEPS + 1)[:, np.newaxis]
    span = np.full_like(inlet, 0.3)  # of s = ln((T_i - T_o)/(T - T_o)), in which the run is nearly a straight line
    surface = np.broadcast_to(attic + drop / 2, (len(shares), len(inlet)))
    for _ in range(_ROUNDS):
        gas = attic + drop * np.exp(-span * shares)
        section = _section(run, gas, np.clip(surface, attic + 1e-6 * drop, gas - 1e-6 * drop))
        surface = section.surface
        given_up = air * _given_up(gas, section.humidity)
        mean_heat = np.diff(section.heat, axis=0) / np.diff(np.log(section.heat), axis=0)
        steps = given_up / mean_heat
        missing = length - np.sum(steps, axis=0)
        if np.all(np.abs(missing) < _CLOSE * length):
            break
        span = np.maximum(span * (1 + missing / (_STEPS * steps[-1])), span / 4)
    else:
        raise ValueError("the balance of heat along the run does not settle for these values")

    found = {
        "exit_temperature": gas[-1],
        "condensate_flow": air * (inlet_humidity - section.humidity[-1]),
        "heat_loss": np.sum(given_up, axis=0),
        "exit_wall_temperature": section.wall[-1],
        "dry_air_flow": air,
        "inlet_humidity_ratio": inlet_humidity,
        "exit_humidity_ratio": section.humidity[-1],
    }
    scalar = all(np.ndim(value) == 0 for value in (*given, wall_conductivity, emissivity, barometric_pressure))
    return {name: float(value[0]) if scalar else value for name, value in found.items()}
