"""Moist air and the heat a cold pipe loses: what the soil gas holds, what it weighs, how readily it cools.

Ideal gases throughout, about 0.4 % below tables of real moist air in the water it holds. Fits carry their constants
as terms of their own, so that every statement stays right in any units.
"""

import sympy
from sympy import Piecewise, Rational, exp, log, pi, sqrt

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_HYLAND_WEXLER = Source("hyland-wexler-1983", "saturation over ice and over water, as quoted through PsychroLib")
_IDEAL_GAS = Source(kind="derived", place="ideal gases")
_ENTHALPY = Source("psychrolib", "GetMoistAirEnthalpy", kind="reference library")
_SATURATION = Source(kind="derived", place="adiabatic saturation at the wet bulb temperature")
_ATMOSPHERE = Source("fluids", "ATMOSPHERE_1976, after the US Standard Atmosphere 1976", kind="reference library")
_GNIELINSKI = Source("ht", "conv_internal.turbulent_Gnielinski", kind="reference library")
_PETUKHOV = Source("incropera", "friction factor used with Gnielinski's relation")
_CHURCHILL_CHU = Source("ht", "conv_free_immersed.Nu_horizontal_cylinder_Churchill_Chu", kind="reference library")
_POWER_LAW = Source("subbu-convection", "worked problem")
_RADIATION = Source(kind="derived", place="Stefan-Boltzmann law between temperatures that differ little")
_CONDUCTION = Source(kind="derived", place="Fourier's law through the wall of a tube")

# ---------------------------------------------------------------- moist air


@formula("saturation_logarithm", _HYLAND_WEXLER, air_temperature=("-100 degC", "200 degC"))
def saturation_logarithm(air_temperature, unit_temperature="1 K", triple_point="273.16 K"):
    """Logarithm of the vapour pressure of saturated air in pascals: over ice up to the triple point, then over water."""
    t = air_temperature / unit_temperature
    over_ice = (
        -5674.5359 / t
        + 6.3925247
        - 9.677843e-3 * t
        + 6.2215701e-7 * t**2
        + 2.0747825e-9 * t**3
        - 9.484024e-13 * t**4
        + 4.1635019 * log(t)
    )
    over_water = (
        -5800.2206 / t + 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t**2 - 1.4452093e-8 * t**3 + 6.5459673 * log(t)
    )
    return Piecewise((over_ice, air_temperature <= triple_point), (over_water, True))


@formula("saturation_pressure", Source(kind="derived", place="from its logarithm"))
def saturation_pressure(saturation_logarithm, unit_pressure="1 Pa"):
    """Vapour pressure of saturated air."""
    return unit_pressure * exp(saturation_logarithm)


@formula(
    "vapour_pressure",
    Source("psychrolib", "GetVapPresFromRelHum, the definition", kind="reference library"),
    relative_humidity=("0", "1"),
)
def vapour_pressure(relative_humidity, saturation_pressure):
    """Partial pressure of the water vapour, from the relative humidity."""
    return relative_humidity * saturation_pressure


@formula(
    "humidity_ratio",
    _IDEAL_GAS,
    when={
        "the vapour pressure is below the barometric pressure": lambda vapour_pressure, barometric_pressure: (
            vapour_pressure < barometric_pressure
        )
    },
)
def humidity_ratio(vapour_pressure, barometric_pressure, molar_mass_ratio="0.621945"):
    """Water vapour per dry air, by mass.

    Assumes ideal gases: about 0.4 % below tables of real moist air.
    """
    return molar_mass_ratio * vapour_pressure / (barometric_pressure - vapour_pressure)


@formula("moist_enthalpy", _ENTHALPY)
def moist_enthalpy(
    air_temperature,
    humidity_ratio,
    air_specific_heat="1006 J/(kg K)",
    vapour_specific_heat="1860 J/(kg K)",
    latent_heat="2501 kJ/kg",
    ice_point="273.15 K",
):
    """Enthalpy of moist air per mass of dry air, counted from dry air and liquid water at 0 °C."""
    warmth = air_temperature - ice_point
    return air_specific_heat * warmth + humidity_ratio * (latent_heat + vapour_specific_heat * warmth)


@formula("air_density", _IDEAL_GAS)
def dry_air_density(air_temperature, barometric_pressure, gas_constant="287.042 J/(kg K)"):
    """Density of dry air."""
    return barometric_pressure / (gas_constant * air_temperature)


@formula("moist_air_density", _IDEAL_GAS)
def moist_air_density(
    air_temperature,
    humidity_ratio,
    barometric_pressure,
    gas_constant="287.042 J/(kg K)",
    molar_mass_ratio="0.621945",
):
    """Density of moist air."""
    return (
        barometric_pressure
        * (1 + humidity_ratio)
        / (gas_constant * air_temperature * (1 + humidity_ratio / molar_mass_ratio))
    )


def _saturating(air, bulb, saturated, air_heat, vapour_heat, bulb_heat, change_heat, ice_point):
    """The balance of heat at a bulb whose wick is wet, or frozen, for the water vapour in the air."""
    wet, warmth = bulb - ice_point, air - ice_point
    return ((change_heat - (bulb_heat - vapour_heat) * wet) * saturated - air_heat * (air - bulb)) / (
        change_heat + vapour_heat * warmth - bulb_heat * wet
    )


_NO_WARMER = {
    "the wet bulb is no warmer than the air": lambda wet_bulb_temperature, air_temperature: (
        wet_bulb_temperature <= air_temperature
    ),
}


@formula(
    "humidity_ratio",
    _SATURATION,
    when=_NO_WARMER
    | {
        "the wet bulb is not colder than quite dry air would make it": lambda air_temperature, wet_bulb_temperature, saturated_humidity_ratio, air_specific_heat, vapour_specific_heat, water_specific_heat, latent_heat, ice_point: (  # noqa: E501
            (latent_heat - (water_specific_heat - vapour_specific_heat) * (wet_bulb_temperature - ice_point))
            * saturated_humidity_ratio
            > air_specific_heat * (air_temperature - wet_bulb_temperature)
        ),
    },
    wet_bulb_temperature=("0 degC", "90 degC"),
)
def wet_bulb_humidity_ratio(
    air_temperature,
    wet_bulb_temperature,
    saturated_humidity_ratio,
    air_specific_heat="1006 J/(kg K)",
    vapour_specific_heat="1860 J/(kg K)",
    water_specific_heat="4186 J/(kg K)",
    latent_heat="2501 kJ/kg",
    ice_point="273.15 K",
):
    """Water vapour per dry air, by mass, from a dry and a wet thermometer.

    Assumes that the wet thermometer stands at the temperature of adiabatic saturation; its saturated humidity ratio is
    that at the wet bulb temperature.
    """
    return _saturating(
        air_temperature, wet_bulb_temperature, saturated_humidity_ratio, air_specific_heat, vapour_specific_heat,
        water_specific_heat, latent_heat, ice_point,
    )  # fmt: skip


@formula(
    "humidity_ratio",
    _SATURATION,
    when=_NO_WARMER
    | {
        "the ice bulb is not colder than quite dry air would make it": lambda air_temperature, wet_bulb_temperature, saturated_humidity_ratio, air_specific_heat, vapour_specific_heat, ice_specific_heat, sublimation_heat, ice_point: (  # noqa: E501
            (sublimation_heat - (ice_specific_heat - vapour_specific_heat) * (wet_bulb_temperature - ice_point))
            * saturated_humidity_ratio
            > air_specific_heat * (air_temperature - wet_bulb_temperature)
        ),
    },
    wet_bulb_temperature=("-60 degC", "0 degC"),
)
def ice_bulb_humidity_ratio(
    air_temperature,
    wet_bulb_temperature,
    saturated_humidity_ratio,
    air_specific_heat="1006 J/(kg K)",
    vapour_specific_heat="1860 J/(kg K)",
    ice_specific_heat="2100 J/(kg K)",
    sublimation_heat="2830 kJ/kg",
    ice_point="273.15 K",
):
    """Water vapour per dry air, by mass, from a dry thermometer and one whose wick is frozen.

    Assumes that the frozen thermometer stands at the temperature of adiabatic saturation over ice; its saturated humidity
    ratio is that over ice at its temperature.
    """
    return _saturating(
        air_temperature, wet_bulb_temperature, saturated_humidity_ratio, air_specific_heat, vapour_specific_heat,
        ice_specific_heat, sublimation_heat, ice_point,
    )  # fmt: skip


# ---------------------------------------------------------------- what air is like


@formula("air_viscosity", _ATMOSPHERE, air_temperature=("-100 degC", "200 degC"))
def air_viscosity(
    air_temperature,
    reference_viscosity="1.716079e-5 Pa s",
    ice_point="273.15 K",
    sutherland_temperature="110.4 K",
):
    """Viscosity of air after Sutherland.

    Assumes dry air; water vapour makes it a little less viscous.
    """
    return (
        reference_viscosity
        * (air_temperature / ice_point) ** Rational(3, 2)
        * (ice_point + sutherland_temperature)
        / (air_temperature + sutherland_temperature)
    )


@formula("air_conductivity", _ATMOSPHERE, air_temperature=("-100 degC", "200 degC"))
def air_conductivity(
    air_temperature,
    reference_conductivity="0.04373738 W/(m K)",
    ice_point="273.15 K",
    conductivity_temperature="245.4 K",
    conductivity_offset="12 K",
):
    """Thermal conductivity of air.

    Assumes dry air.
    """
    return (
        reference_conductivity
        * (air_temperature / ice_point) ** Rational(3, 2)
        * ice_point
        / (air_temperature + conductivity_temperature * 10 ** (-conductivity_offset / air_temperature))
    )


@formula("prandtl_number", Source("fluids", "fluids.core.Prandtl, the definition", kind="reference library"))
def prandtl_number(air_viscosity, air_conductivity, air_specific_heat="1006 J/(kg K)"):
    """Prandtl number of air."""
    return air_viscosity * air_specific_heat / air_conductivity


# ---------------------------------------------------------------- heat from the air to the wall


@formula("darcy_factor", _PETUKHOV, reynolds_number=("3000", "5000000"))
def smooth_darcy_factor(reynolds_number):
    """Darcy friction factor of turbulent flow in a smooth pipe, in the form that goes with Gnielinski's relation."""
    return 1 / (sympy.Float("0.79") * log(reynolds_number) - sympy.Float("1.64")) ** 2


@formula("nusselt_number", _GNIELINSKI, reynolds_number=("3000", "5000000"), prandtl_number=("0.5", "2000"))
def inside_nusselt_number(reynolds_number, prandtl_number, darcy_factor):
    """Nusselt number of turbulent flow inside a pipe, after Gnielinski.

    Assumes fully developed turbulent flow; at the start of a run the heat transfer is larger.
    """
    eighth = darcy_factor / 8
    return (
        eighth
        * (reynolds_number - 1000)
        * prandtl_number
        / (1 + sympy.Float("12.7") * sqrt(eighth) * (prandtl_number ** Rational(2, 3) - 1))
    )


@formula("surface_conductance", Source("fluids", "fluids.core.Nusselt, the definition", kind="reference library"))
def surface_conductance(nusselt_number, air_conductivity, pipe_outside_diameter):
    """Heat from a surface to the air, per area and temperature difference."""
    return nusselt_number * air_conductivity / pipe_outside_diameter


# ---------------------------------------------------------------- heat through the wall and away from it


@formula(
    "wall_conductance",
    _CONDUCTION,
    when={"the pipe has a wall": lambda pipe_outside_diameter, bore: pipe_outside_diameter > bore},
)
def wall_conductance(wall_conductivity, pipe_outside_diameter, bore):
    """Heat through the pipe wall per length and temperature difference."""
    return 2 * pi * wall_conductivity / log(pipe_outside_diameter / bore)


@formula("rayleigh_number", Source("fluids", "fluids.core.Grashof times Prandtl, ideal gas", kind="reference library"))
def rayleigh_number(
    temperature_gap,
    film_temperature,
    pipe_outside_diameter,
    air_density,
    air_viscosity,
    air_conductivity,
    air_specific_heat="1006 J/(kg K)",
    gravity="9.80665 m/s2",
):
    """Rayleigh number of the still air around a horizontal pipe; its properties are those at the film temperature."""
    return (
        gravity
        * temperature_gap
        * pipe_outside_diameter**3
        * air_density**2
        * air_specific_heat
        / (film_temperature * air_viscosity * air_conductivity)
    )


@formula("nusselt_number", _CHURCHILL_CHU, rayleigh_number=("0", "1e12"))
def outside_nusselt_number(rayleigh_number, prandtl_number):
    """Nusselt number of a horizontal cylinder in still air, after Churchill and Chu.

    Assumes still air around the pipe; a ventilated attic takes more heat.
    """
    return (
        sympy.Float("0.6")
        + sympy.Float("0.387")
        * rayleigh_number ** Rational(1, 6)
        / (1 + (sympy.Float("0.559") / prandtl_number) ** Rational(9, 16)) ** Rational(8, 27)
    ) ** 2


@formula("nusselt_number", _POWER_LAW, rayleigh_number=("1e4", "1e9"))
def power_law_nusselt_number(rayleigh_number):
    """Nusselt number of a horizontal cylinder in still air, the handbooks' power law, to set beside the other.

    Assumes still air around the pipe; the range is the usual one, from memory.
    """
    return sympy.Float("0.53") * rayleigh_number ** Rational(1, 4)


@formula("surface_conductance", _RADIATION, emissivity=("0", "1"))
def radiation_conductance(emissivity, film_temperature, black_conductance="4.62248 W/(m2 K)", ice_point="273.15 K"):
    """Radiation from the pipe to surroundings as cold as the air, per area and temperature difference.

    Assumes a pipe that is small beside what surrounds it, and temperatures that differ by less than 40 K (0.6 %).
    """
    return emissivity * black_conductance * (film_temperature / ice_point) ** 3
