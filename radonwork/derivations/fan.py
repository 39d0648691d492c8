"""The laws of a fan derived from dimensions, its power and energy from what they mean."""

import sympy

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, symbol
from radonwork.formulas.fan import (
    air_power,
    density_ratio,
    exhaust_heat,
    fan_efficiency,
    fan_flow_at_speed,
    fan_power_at_speed,
    fan_pressure_at_speed,
    warm_air_density_ratio,
    yearly_cost,
    yearly_energy,
)

_rho, _Q, _p, _P = (symbol(n) for n in ("air_density", "air_flow", "fan_pressure", "fan_power"))
_rho_r, _Q_r, _p_r, _P_r = (symbol(n) for n in ("rated_density", "rated_flow", "rated_pressure", "rated_power"))
_r_rho, _r_n = symbol("density_ratio"), symbol("speed_ratio")
_T, _T_r, _T_p = symbol("air_temperature"), symbol("rated_temperature"), symbol("barometric_pressure")
_R = symbol("gas_constant")
_a, _b, _c = sympy.symbols("a b c", real=True)
_C, _n, _n_r, _d, _M, _L, _t = sympy.symbols("C n n_r d M L t", positive=True)
_volume, _work, _time = sympy.symbols("V W t_w", positive=True)


def _law(of: Formula, title: str, quantity: sympy.Symbol, rated: sympy.Symbol, units: tuple[int, int, int]) -> None:
    """The law of one quantity, of mass, length and time to the powers `units`, of a fan of one size."""
    mass, length, time = units
    density, speed = _M / _L**3, 1 / _t
    Derivation(of=of, title=title).premise(
        "product",
        Eq(quantity, _C * _rho**_a * _n**_b * _d**_c),
        "At corresponding points of the curve only density, speed n and size d of the fan are left to set it.",
    ).premise(
        "dimensions",
        Eq(
            _M**mass * _L**length * _t**time,
            sympy.powsimp(sympy.expand_power_base(density**_a * speed**_b * _L**_c, force=True)),
        ),
        "Mass, length and time must be the same on both sides, whatever units are taken for them.",
    ).step(
        "powers",
        lambda dimensions: Eq(
            sympy.Tuple(_a, _b, _c),
            sympy.Tuple(
                *sympy.solve(
                    [
                        base
                        * sympy.diff(sympy.expand_log(sympy.log(dimensions.lhs / dimensions.rhs), force=True), base)
                        for base in (_M, _L, _t)
                    ],
                    (_a, _b, _c),
                    dict=True,
                )[0].values()
            ),
        ),
        "Compare the powers of each: three equations for a, b and c.",
    ).step(
        "law",
        lambda product, powers: product.subs(dict(zip(powers.lhs, powers.rhs, strict=True))),
        "So the powers are known.",
    ).step(
        "rated", lambda law: law.subs({quantity: rated, _rho: _rho_r, _n: _n_r}), "The same at the rated point."
    ).step(
        "over", lambda law, rated: Eq(quantity, rated.lhs * law.rhs / rated.rhs), "Divide: size and constant drop out."
    ).premise("speeds", Eq(_r_n, _n / _n_r), "Write the speed by its ratio.").premise(
        "densities", Eq(_r_rho, _rho / _rho_r), "And the density by its own."
    ).step(
        "result",
        lambda over, speeds, densities: over.subs(
            {_n: sympy.solve(speeds, _n)[0], _rho: sympy.solve(densities, _rho)[0]}
        ),
        "Put the ratios in.",
    )


_law(fan_flow_at_speed, "Flow with speed", _Q, _Q_r, (0, 3, -1))
_law(fan_pressure_at_speed, "Pressure with speed and density", _p, _p_r, (1, -1, -2))
_law(fan_power_at_speed, "Power with speed and density", _P, _P_r, (1, 2, -3))

Derivation(of=density_ratio, title="Density ratio").premise(
    "definition", Eq(_r_rho * _rho_r, _rho), "The ratio says how many times the rated density the air's is."
).step("ratio", lambda definition: Eq(_r_rho, sympy.solve(definition, _r_rho)[0]), "Divide.")

Derivation(of=warm_air_density_ratio, title="Density with temperature").premise(
    "here", Eq(_rho, _T_p / (_R * _T)), "Air is an ideal gas."
).premise("rated", Eq(_rho_r, _T_p / (_R * _T_r)), "Under the same pressure at the rated temperature.").step(
    "ratio", lambda here, rated: Eq(_r_rho, here.rhs / rated.rhs), "Divide."
)

_P_a, _E, _k, _c_e, _t_y = (
    symbol(n) for n in ("air_power", "yearly_energy", "yearly_cost", "energy_price", "running_time")
)

Derivation(of=air_power, title="Power given to the air").premise(
    "work", Eq(_work, _p * _volume), "Moving a volume against a pressure takes their product."
).premise("flow", Eq(_volume, _Q * _time), "In a time the flow moves this volume.").premise(
    "rate", Eq(_P_a, _work / _time), "Power is work over time."
).step("result", lambda work, flow, rate: rate.subs(_work, work.rhs.subs(_volume, flow.rhs)), "Put them together.")

Derivation(of=fan_efficiency, title="Efficiency of the fan").premise(
    "share", Eq(_P_a, symbol("fan_efficiency") * _P), "The air gets a share of what the mains give."
).step(
    "ratio",
    lambda share: Eq(symbol("fan_efficiency"), sympy.solve(share, symbol("fan_efficiency"))[0]),
    "Take the share.",
)

Derivation(of=yearly_energy, title="Energy in a year").premise(
    "rate", Eq(_P, _E / _t_y), "Power is energy over time."
).step("energy", lambda rate: Eq(_E, sympy.solve(rate, _E)[0]), "Take the energy.")

Derivation(of=yearly_cost, title="Cost in a year").premise(
    "price", Eq(_c_e, _k / _E), "A price is cost over energy."
).step("cost", lambda price: Eq(_k, sympy.solve(price, _k)[0]), "Take the cost.")

_share, _gap, _c_a, _P_x = (
    symbol(n) for n in ("house_air_share", "indoor_outdoor_gap", "air_specific_heat", "exhaust_heat")
)

Derivation(of=exhaust_heat, title="Heat carried out").premise(
    "mass", Eq(_M, _share * _Q * _time * _rho), "The mass of the house's air that leaves in a time."
).premise("warmth", Eq(_work, _M * _c_a * _gap), "What it takes to warm as much outdoor air.").premise(
    "rate", Eq(_P_x, _work / _time), "Power is heat over time."
).step("result", lambda mass, warmth, rate: rate.subs(_work, warmth.rhs.subs(_M, mass.rhs)), "Put them together.")
