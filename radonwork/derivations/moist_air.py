"""Moist air derived from two ideal gases in one room, its heat from conduction through the wall and radiation."""

import sympy
from sympy import log, pi

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import symbol
from radonwork.formulas.moist_air import (
    dry_air_density,
    humidity_ratio,
    ice_bulb_humidity_ratio,
    moist_air_density,
    radiation_conductance,
    saturation_pressure,
    wall_conductance,
    wet_bulb_humidity_ratio,
)

# ---------------------------------------------------------------- moist air

_p_w, _p_b, _w, _T = (
    symbol(n) for n in ("vapour_pressure", "barometric_pressure", "humidity_ratio", "air_temperature")
)
_R_a, _ratio = symbol("gas_constant"), symbol("molar_mass_ratio")
_rho_m, _rho_g = symbol("moist_air_density"), symbol("air_density")
_T_wb, _w_s = symbol("wet_bulb_temperature"), symbol("saturated_humidity_ratio")
_T_0, _c_a, _c_v, _c_l, _h_0 = (
    symbol(n) for n in ("ice_point", "air_specific_heat", "vapour_specific_heat", "water_specific_heat", "latent_heat")
)
_c_i, _h_i = symbol("ice_specific_heat"), symbol("sublimation_heat")
_air_mass, _water_mass, _volume = sympy.symbols("m_a m_w V", positive=True)
_h, _h_s, _h_l = sympy.symbols("h h_s h_l", real=True)


_log, _p_s, _p_1 = symbol("saturation_logarithm"), symbol("saturation_pressure"), symbol("unit_pressure")

Derivation(of=saturation_pressure, title="Pressure from its logarithm").premise(
    "logarithm", Eq(_log, log(_p_s / _p_1)), "The fit is of the logarithm of the pressure in pascals."
).step("pressure", lambda logarithm: Eq(_p_s, sympy.solve(logarithm, _p_s)[0]), "Take the pressure.")


def _two_gases(derivation: Derivation) -> Derivation:
    """Dry air and vapour in the same room, each an ideal gas under its own pressure."""
    return derivation.premise(
        "air", Eq((_p_b - _p_w) * _volume, _air_mass * _R_a * _T), "The dry air is an ideal gas under its own pressure."
    ).premise(
        "water",
        Eq(_p_w * _volume, _water_mass * (_R_a / _ratio) * _T),
        "So is the vapour; being lighter by the ratio of the molar masses it takes more room.",
    )


_two_gases(Derivation(of=humidity_ratio, title="Water in air")).step(
    "ratio",
    lambda air, water: Eq(_w, sympy.solve(water, _water_mass)[0] / sympy.solve(air, _air_mass)[0]),
    "The humidity ratio is the mass of the one over that of the other.",
)

Derivation(of=dry_air_density, title="Density of dry air").premise(
    "gas", Eq(_p_b * _volume, _air_mass * _R_a * _T), "Dry air is an ideal gas."
).step("density", lambda gas: Eq(_rho_g, sympy.solve(gas, _air_mass)[0] / _volume), "Mass over volume.")

_two_gases(Derivation(of=moist_air_density, title="Density of moist air")).premise(
    "ratio", Eq(_water_mass, _w * _air_mass), "The water is the humidity ratio times the dry air."
).step(
    "room",
    lambda air, water, ratio: Eq(
        (air.lhs + water.lhs).simplify(), sympy.factor(air.rhs + water.rhs.subs(_water_mass, ratio.rhs))
    ),
    "Together they carry the barometric pressure.",
).step(
    "density",
    lambda room: Eq(_rho_m, (1 + _w) * sympy.solve(room, _air_mass)[0] / _volume),
    "Dry air and water over the volume.",
)


def _saturated_on_the_way(derivation: Derivation, what: str, heat: sympy.Expr, capacity: sympy.Expr) -> None:
    """Air that takes up water or ice until it is saturated; enthalpies are counted from that at the ice point."""
    derivation.premise(
        "saturation",
        Eq(_h + (_w_s - _w) * _h_l, _h_s),
        f"Air that passes over the thermometer takes up {what} until it is saturated, and no heat is lost.",
    ).premise(
        "before",
        Eq(_h, _c_a * (_T - _T_0) + _w * (heat + _c_v * (_T - _T_0))),
        f"The enthalpy of the air before, at the dry temperature, counted from {what} at 0 °C.",
    ).premise(
        "after",
        Eq(_h_s, _c_a * (_T_wb - _T_0) + _w_s * (heat + _c_v * (_T_wb - _T_0))),
        "That of the saturated air, at the wet bulb temperature.",
    ).premise("taken", Eq(_h_l, capacity * (_T_wb - _T_0)), f"That of the {what} it takes up.").step(
        "whole",
        lambda saturation, before, after, taken: saturation.subs({_h: before.rhs, _h_s: after.rhs, _h_l: taken.rhs}),
        "Put the three in.",
    ).step("ratio", lambda whole: Eq(_w, sympy.solve(whole, _w)[0]), "Take the humidity ratio.")


_saturated_on_the_way(
    Derivation(of=wet_bulb_humidity_ratio, title="Humidity from a wet thermometer"), "water", _h_0, _c_l
)
_saturated_on_the_way(
    Derivation(of=ice_bulb_humidity_ratio, title="Humidity from a frozen wet thermometer"), "ice", _h_i, _c_i
)

# ---------------------------------------------------------------- heat

_k_w, _d, _D, _K_w = (symbol(n) for n in ("wall_conductivity", "pipe_outside_diameter", "bore", "wall_conductance"))
_epsilon, _T_m, _h_b, _h_q = (
    symbol(n) for n in ("emissivity", "film_temperature", "black_conductance", "surface_conductance")
)
_r, _heat, _gap = sympy.symbols("r q_l Delta_T", positive=True)
_stefan, _half = sympy.symbols("sigma_B x", positive=True)
_theta = sympy.Function("T")

Derivation(of=wall_conductance, title="Heat through the wall").premise(
    "fourier",
    Eq(-_k_w * 2 * pi * _r * _theta(_r).diff(_r), _heat),
    "The same heat per length passes every radius; there the temperature falls with the heat over the area.",
).step(
    "fall",
    lambda fourier: Eq(_theta(_r).diff(_r), sympy.solve(fourier, _theta(_r).diff(_r))[0]),
    "How steeply the temperature falls.",
).step(
    "across",
    lambda fall: Eq(_gap, -sympy.integrate(fall.rhs, (_r, _D / 2, _d / 2))),
    "From the inside to the outside the temperature falls by the sum of it.",
).step(
    "conductance",
    lambda across: Eq(_K_w, sympy.simplify(sympy.solve(across, _heat)[0] / _gap)),
    "Heat per temperature difference.",
)

Derivation(of=radiation_conductance, title="Radiation as a conductance").premise(
    "law",
    Eq(_heat, _epsilon * _stefan * ((_T_m + _half) ** 4 - (_T_m - _half) ** 4)),
    "What a small pipe sends out less what it takes in, per area, x above and below the mean temperature.",
).step(
    "per_difference",
    lambda law: Eq(_h_q, sympy.expand(law.rhs / (2 * _half))),
    "Per temperature difference.",
).step(
    "small",
    lambda per_difference: Eq(_h_q, sympy.limit(per_difference.rhs, _half, 0)),
    "A difference small beside the absolute temperature leaves the first part.",
).premise("black", Eq(_h_b, 4 * _stefan * _T_0**3), "The same for a black surface at the ice point.").step(
    "result",
    lambda small, black: Eq(_h_q, small.rhs.subs(_stefan, sympy.solve(black, _stefan)[0])),
    "Measure it by that.",
)
