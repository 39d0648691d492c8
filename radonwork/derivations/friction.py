"""Friction derived from forces and viscosity, air at altitude from its weight, the rough limit from Colebrook."""

import sympy
from sympy import log, pi

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import symbol
from radonwork.engine.sources import Source
from radonwork.formulas.friction import (
    COLEBROOK,
    INVERSE_ROOT,
    friction_loss,
    house_air_density_ratio,
    laminar_darcy_factor,
    outdoor_air_density_ratio,
    relative_roughness,
    rough_factor,
    standard_pressure,
    velocity_pressure,
)

# ---------------------------------------------------------------- the pipe

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

# ---------------------------------------------------------------- the atmosphere

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

# ---------------------------------------------------------------- the rough limit

Derivation(of=rough_factor, title="Friction where only roughness counts").premise(
    "colebrook",
    Eq(COLEBROOK, 0),
    "Colebrook's relation; x is one over the root of the Darcy factor.",
    rough_factor.source,
).step(
    "limit",
    lambda colebrook: Eq(colebrook.lhs.subs(1 / _Re, 0), 0),
    "At a high Reynolds number its part drops out.",
).step("root", lambda limit: Eq(INVERSE_ROOT, sympy.solve(limit, INVERSE_ROOT)[0]), "Solve for x.").step(
    "factor", lambda root: Eq(symbol("rough_factor"), 1 / root.rhs**2), "The factor is one over its square."
)
