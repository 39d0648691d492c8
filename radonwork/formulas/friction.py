"""Friction of the air in straight pipe, and what altitude does to the air.

Darcy-Weisbach follows from a balance of forces, laminar friction from the law of viscosity; turbulent friction is
Colebrook's relation, which has no closed form (see `radonwork.solvers.friction`). Two explicit forms stand beside it.
Factors here are Darcy factors, four times Fanning's.
"""

import sympy
from sympy import Rational, log

from radonwork.engine.formula import formula, symbol
from radonwork.engine.sources import Source

_BALANCE = Source(kind="derived", place="balance of forces on the air in the pipe")
_POISEUILLE = Source(kind="derived", place="balance of forces and the law of viscosity")
_EXPLICIT = Source("fluids", "fluids.friction, explicit approximations", kind="reference library")
_COLEBROOK = Source("fluids", "fluids.friction.Colebrook", kind="reference library")
_ATMOSPHERE = Source(kind="derived", place="air at rest whose temperature falls evenly with height")


@formula("velocity_pressure", Source(kind="derived", place="energy of motion per volume"))
def velocity_pressure(air_density, air_velocity):
    """Velocity pressure of the air."""
    return air_density * air_velocity**2 / 2


@formula("relative_roughness", Source(kind="derived", place="the definition"))
def relative_roughness(wall_roughness, bore):
    """Roughness of the wall over the bore."""
    return wall_roughness / bore


@formula("friction_loss", _BALANCE)
def friction_loss(darcy_factor, straight_length, bore, air_density, air_velocity):
    """Pressure lost to friction in straight pipe, after Darcy and Weisbach.

    Assumes steady air of constant density that fills the pipe.
    """
    return darcy_factor * straight_length / bore * air_density * air_velocity**2 / 2


@formula("darcy_factor", _POISEUILLE, reynolds_number=("0", "2300"))
def laminar_darcy_factor(reynolds_number):
    """Darcy friction factor of laminar flow.

    Assumes flow that has settled, some dozens of bores after the entrance.

    Assumes flow that is laminar: texts let it be so up to Re 2000, 2100 or 2300; the factor of either flow, used for
    pipes, takes it so below 2040 only.
    """
    return 64 / reynolds_number


@formula("darcy_factor", _EXPLICIT, reynolds_number=("4000", "1e8"), relative_roughness=("0", "0.05"))
def haaland_factor(reynolds_number, relative_roughness):
    """Darcy friction factor of turbulent flow in one step, after Haaland.

    Assumes turbulent flow; within 1.5 % of Colebrook's relation.
    """
    rough, smooth = (relative_roughness / Rational("3.7")) ** Rational("1.11"), Rational("6.9") / reynolds_number
    return 1 / (Rational("1.8") * log(rough + smooth) / log(10)) ** 2


@formula("darcy_factor", _EXPLICIT, reynolds_number=("4000", "1e8"), relative_roughness=("0", "0.05"))
def swamee_jain_factor(reynolds_number, relative_roughness):
    """Darcy friction factor of turbulent flow in one step, after Swamee and Jain.

    Assumes turbulent flow; from 0.8 % below to 3.3 % above Colebrook's relation. Also printed with 5.74/Re^0.9, which
    is the same to four digits.
    """
    rough, smooth = relative_roughness / Rational("3.7"), (Rational("6.97") / reynolds_number) ** Rational("0.9")
    return Rational("0.25") / (log(rough + smooth) / log(10)) ** 2


@formula(
    "rough_factor",
    _COLEBROOK,
    when={"the wall is not perfectly smooth": lambda relative_roughness: relative_roughness > 0},
    relative_roughness=("0", "0.05"),
)
def rough_factor(relative_roughness):
    """Darcy friction factor where only the roughness counts: Colebrook's relation at a high Reynolds number."""
    return 1 / (2 * log(relative_roughness / Rational("3.7")) / log(10)) ** 2


INVERSE_ROOT = sympy.Symbol("x", positive=True)
"""One over the root of the Darcy factor."""
COLEBROOK = INVERSE_ROOT + 2 * log(
    symbol("relative_roughness") / Rational("3.7") + Rational("2.51") * INVERSE_ROOT / symbol("reynolds_number")
) / log(10)
"""Colebrook's relation: this is zero."""

# ---------------------------------------------------------------- the air at altitude
# Two conventions. Air drawn from a house has the house's temperature at any altitude; the standard atmosphere gets
# colder with height, so that its density falls less. Never mix the two: the first is the one for a vent pipe.

_ALTITUDES = (
    "-5000 m",
    "11000 m",
)  # ASHRAE states its equation of the standard atmosphere from -16,500 ft to 36,000 ft


@formula("barometric_pressure", _ATMOSPHERE, altitude=_ALTITUDES)
def standard_pressure(
    altitude,
    sea_level_pressure="101.325 kPa",
    sea_level_temperature="15 degC",
    temperature_height="44330.77 m",
    gas_constant="287.042 J/(kg K)",
    gravity="9.80665 m/s2",
):
    """Barometric pressure of the standard atmosphere at an altitude.

    Assumes the standard atmosphere outdoors: 15 °C at sea level, 6.5 K colder each kilometre up; the weather moves the
    barometer by some 3 %.
    """
    return sea_level_pressure * (1 - altitude / temperature_height) ** (
        gravity * temperature_height / (gas_constant * sea_level_temperature)
    )


@formula("density_ratio", _ATMOSPHERE, altitude=_ALTITUDES)
def house_air_density_ratio(
    altitude,
    sea_level_temperature="15 degC",
    temperature_height="44330.77 m",
    gas_constant="287.042 J/(kg K)",
    gravity="9.80665 m/s2",
):
    """Density of air of a fixed temperature at an altitude over its density at sea level.

    Assumes air of the house's temperature at both, under the pressure of the standard atmosphere: the convention for
    air drawn from a house or its soil.
    """
    return (1 - altitude / temperature_height) ** (
        gravity * temperature_height / (gas_constant * sea_level_temperature)
    )


@formula("density_ratio", _ATMOSPHERE, altitude=_ALTITUDES)
def outdoor_air_density_ratio(
    altitude,
    sea_level_temperature="15 degC",
    temperature_height="44330.77 m",
    gas_constant="287.042 J/(kg K)",
    gravity="9.80665 m/s2",
):
    """Density of the standard atmosphere at an altitude over its density at sea level.

    Assumes the temperature of the standard atmosphere, colder with height: not the convention for air drawn from a
    house.
    """
    return (1 - altitude / temperature_height) ** (
        gravity * temperature_height / (gas_constant * sea_level_temperature) - 1
    )
