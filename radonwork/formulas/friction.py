"""Friction of the air in straight pipe, and what altitude does to the air.

Darcy-Weisbach follows from a balance of forces, laminar friction from the law of viscosity; turbulent friction is
Colebrook's relation, which has no closed form (see `radonwork.solvers.friction`). Two explicit forms stand beside it.
Factors here are Darcy factors, four times Fanning's.
"""

import sympy
from sympy import Rational, log, pi

from radonwork.engine.derivation import Derivation, Eq
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


@formula("darcy_factor", _POISEUILLE, reynolds_number=("0", "2040"))
def laminar_darcy_factor(reynolds_number):
    """Darcy friction factor of laminar flow.

    Assumes flow that has settled, some dozens of bores after the entrance.
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


# ---------------------------------------------------------------- the air at altitude
# Two conventions. Air drawn from a house has the house's temperature at any altitude; the standard atmosphere gets
# colder with height, so that its density falls less. Never mix the two: the first is the one for a vent pipe.


@formula("barometric_pressure", _ATMOSPHERE, altitude=("0 m", "11000 m"))
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


@formula("density_ratio", _ATMOSPHERE, altitude=("0 m", "11000 m"))
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


@formula("density_ratio", _ATMOSPHERE, altitude=("0 m", "11000 m"))
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


# ---------------------------------------------------------------- derivations: the pipe

_rho, _U, _p_v = symbol("air_density"), symbol("air_velocity"), symbol("velocity_pressure")
_f, _L, _D, _loss = (symbol(n) for n in ("darcy_factor", "straight_length", "bore", "friction_loss"))
_Re, _mu, _tau = symbol("reynolds_number"), symbol("air_viscosity"), symbol("air_shear")
_r, _s, _G, _u = sympy.symbols("r s G u", positive=True)
_profile = sympy.Function("u")
_mass, _volume, _work = sympy.symbols("m V W", positive=True)

Derivation(of=velocity_pressure, title="Velocity pressure").premise(
    "motion", Eq(_work, _mass * _U**2 / 2), "Bringing a mass of air to rest gives back its energy of motion."
).premise("mass", Eq(_mass, _rho * _volume), "The mass is density times volume.").premise(
    "pressure", Eq(_p_v, _work / _volume), "Without friction that energy becomes pressure: energy per volume."
).step(
    "result",
    lambda motion, mass, pressure: Eq(_p_v, pressure.rhs.subs(_work, motion.rhs).subs(_mass, mass.rhs)),
    "Put them together.",
)

Derivation(of=relative_roughness, title="Relative roughness").premise(
    "same", Eq(symbol("relative_roughness") * _D, symbol("wall_roughness")), "Roughness is measured by the bore."
).step(
    "ratio",
    lambda same: Eq(symbol("relative_roughness"), sympy.solve(same, symbol("relative_roughness"))[0]),
    "Divide by the bore.",
)

Derivation(of=friction_loss, title="Darcy and Weisbach").premise(
    "forces",
    Eq(_loss * pi * _D**2 / 4, _tau * pi * _D * _L),
    "The air does not speed up: what pressure does at its ends, the shear of the wall takes along its side.",
).premise("factor", Eq(_f, 8 * _tau / (_rho * _U**2)), "The Darcy factor is the shear made dimensionless.").step(
    "shear", lambda factor: Eq(_tau, sympy.solve(factor, _tau)[0]), "Shear from the factor."
).step(
    "loss",
    lambda forces, shear: Eq(_loss, sympy.solve(forces, _loss)[0].subs(_tau, shear.rhs)),
    "Take the loss.",
)

Derivation(of=laminar_darcy_factor, title="Laminar friction").premise(
    "forces",
    Eq(-_mu * _profile(_r).diff(_r) * 2 * pi * _r, _G * pi * _r**2),
    "A core of any radius r moves steadily: the shear on its side balances the pressure gradient G over its end.",
).step(
    "slope",
    lambda forces: Eq(_profile(_r).diff(_r), sympy.solve(forces, _profile(_r).diff(_r))[0]),
    "How fast the velocity falls outward.",
).step(
    "profile",
    lambda slope: Eq(_profile(_r), -sympy.integrate(slope.rhs.subs(_r, _s), (_s, _r, _D / 2))),
    "The air stands still at the wall, so add up from there: a parabola.",
).step(
    "mean",
    lambda profile: Eq(
        _U, sympy.simplify(sympy.integrate(profile.rhs * 2 * pi * _r, (_r, 0, _D / 2)) / (pi * _D**2 / 4))
    ),
    "Its mean over the pipe.",
).premise("darcy", Eq(_G, _f / _D * _rho * _U**2 / 2), "Darcy-Weisbach, per length.").premise(
    "number", Eq(_Re, _rho * _U * _D / _mu), "What the Reynolds number stands for."
).step(
    "factor",
    lambda mean, darcy: Eq(_f, sympy.solve(darcy, _f)[0].subs(_G, sympy.solve(mean, _G)[0])),
    "The factor that this gradient amounts to.",
).step(
    "result",
    lambda factor, number: Eq(_f, sympy.simplify(factor.rhs.subs(_mu, sympy.solve(number, _mu)[0]))),
    "Everything but the Reynolds number drops out.",
)

# ---------------------------------------------------------------- derivations: the atmosphere

_z, _H, _p, _p_0, _T_0 = (
    symbol(n)
    for n in ("altitude", "temperature_height", "barometric_pressure", "sea_level_pressure", "sea_level_temperature")
)
_R, _g, _ratio = symbol("gas_constant"), symbol("gravity"), symbol("density_ratio")
_log_pressure = sympy.Function("ln_p")
_temperature, _x = sympy.symbols("T x", positive=True)


def _atmosphere(derivation: Derivation) -> Derivation:
    """Pressure of air at rest against height."""
    return (
        derivation.premise(
            "rest",
            Eq(_log_pressure(_z).diff(_z), -_g / (_R * _temperature)),
            "Air at rest carries what is above it: its pressure falls by density times gravity. The density of an ideal "
            "gas is its pressure over R T, so the logarithm of the pressure falls by g over R T.",
        )
        .premise(
            "cooler",
            Eq(_temperature, _T_0 * (1 - _z / _H)),
            "The temperature of the standard atmosphere falls evenly with height.",
            Source("ashrae-fundamentals-1997", "standard atmosphere equation"),
        )
        .step("fall", lambda rest, cooler: rest.subs(_temperature, cooler.rhs), "Put the temperature in.")
        .step(
            "sum",
            lambda fall: Eq(
                log(_p / _p_0), sympy.integrate(-_H * fall.rhs.subs(_z, _H * (1 - _x)), (_x, 1, 1 - _z / _H))
            ),
            "Add up from sea level, counting height by x = 1 - z/H.",
        )
        .step("pressure", lambda sum: Eq(_p, _p_0 * sympy.exp(sum.rhs)), "Undo the logarithm.")
    )


_atmosphere(Derivation(of=standard_pressure, title="Pressure at altitude"))

_atmosphere(Derivation(of=house_air_density_ratio, title="Density at altitude, house air")).premise(
    "gas",
    Eq(_ratio, _p / _p_0),
    "At one and the same temperature the density of an ideal gas goes with its pressure.",
).step("ratio", lambda gas, pressure: gas.subs(_p, pressure.rhs), "Put the pressure in.")

_atmosphere(Derivation(of=outdoor_air_density_ratio, title="Density at altitude, standard atmosphere")).premise(
    "gas",
    Eq(_ratio, _p / _temperature / (_p_0 / _T_0)),
    "The density of an ideal gas goes with its pressure over its temperature.",
).step(
    "ratio",
    lambda gas, pressure, cooler: Eq(_ratio, sympy.powsimp(gas.rhs.subs({_p: pressure.rhs, _temperature: cooler.rhs}))),
    "Put pressure and temperature in.",
)

# ---------------------------------------------------------------- derivations: the rough limit

INVERSE_ROOT = sympy.Symbol("x", positive=True)
"""One over the root of the Darcy factor."""
COLEBROOK = INVERSE_ROOT + 2 * log(
    symbol("relative_roughness") / Rational("3.7") + Rational("2.51") * INVERSE_ROOT / _Re
) / log(10)
"""Colebrook's relation: this is zero."""

Derivation(of=rough_factor, title="Friction where only roughness counts").premise(
    "colebrook", Eq(COLEBROOK, 0), "Colebrook's relation; x is one over the root of the Darcy factor.", _COLEBROOK
).step(
    "limit",
    lambda colebrook: Eq(colebrook.lhs.subs(1 / _Re, 0), 0),
    "At a high Reynolds number its part drops out.",
).step("root", lambda limit: Eq(INVERSE_ROOT, sympy.solve(limit, INVERSE_ROOT)[0]), "Solve for x.").step(
    "factor", lambda root: Eq(symbol("rough_factor"), 1 / root.rhs**2), "The factor is one over its square."
)
