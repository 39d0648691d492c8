"""The fan: how its curve moves with speed and density, what it takes from the mains and what it costs.

The laws follow from dimensions alone: a given fan knows only its speed, its size and the density of the air, as long as
friction inside it does not matter.
"""

import sympy

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, formula, symbol
from radonwork.engine.sources import Source

_DIMENSIONS = Source(kind="derived", place="dimensional analysis of one fan at two speeds and densities")
_WORK = Source(kind="derived", place="pressure times what it moves")
_ENERGY = Source(kind="derived", place="power times time")


@formula("density_ratio", Source(kind="derived", place="the definition"))
def density_ratio(air_density, rated_density="0.075 lb/ft3"):
    """Density of the air over that for which the fan's curve is stated.

    Assumes a curve stated for standard air, 0.075 lb/ft³, where nothing else is given.
    """
    return air_density / rated_density


@formula("density_ratio", Source(kind="derived", place="ideal gas at one pressure"))
def warm_air_density_ratio(air_temperature, rated_temperature):
    """Density of air at a temperature over that at the rated temperature, at the same pressure."""
    return rated_temperature / air_temperature


@formula("air_flow", _DIMENSIONS)
def fan_flow_at_speed(rated_flow, speed_ratio):
    """Flow of a fan at another speed, at the point of its curve that corresponds.

    Assumes the same fan in the same system; the density of the air changes nothing in its volume flow.
    """
    return rated_flow * speed_ratio


@formula("fan_pressure", _DIMENSIONS)
def fan_pressure_at_speed(rated_pressure, speed_ratio, density_ratio):
    """Pressure of a fan at another speed and density, at the point of its curve that corresponds.

    Assumes the same fan, with friction inside it too small to matter.
    """
    return rated_pressure * density_ratio * speed_ratio**2


@formula("fan_power", _DIMENSIONS)
def fan_power_at_speed(rated_power, speed_ratio, density_ratio):
    """Shaft power of a fan at another speed and density, at the point of its curve that corresponds.

    Assumes the same fan; a small motor's own losses do not follow this law.
    """
    return rated_power * density_ratio * speed_ratio**3


@formula(
    "fan_pressure",
    Source(kind="common practice, no source", place="an invented shape for examples; the fan's own points are better"),
    when={"the flow is not above the free flow": lambda air_flow, free_flow: air_flow <= free_flow},
    fan_exponent=("1", "4"),
)
def example_fan_pressure(air_flow, shutoff_pressure, free_flow, fan_exponent="1"):
    """Static pressure of an example fan that falls from shutoff to free flow.

    Assumes an invented curve, straight where no exponent is given.
    """
    return shutoff_pressure * (1 - (air_flow / free_flow) ** fan_exponent)


# ---------------------------------------------------------------- power and money


@formula("air_power", _WORK)
def air_power(air_flow, fan_pressure):
    """Power the fan gives to the air."""
    return air_flow * fan_pressure


@formula("fan_efficiency", Source(kind="derived", place="the definition"))
def fan_efficiency(air_power, fan_power):
    """Share of the electrical power that reaches the air."""
    return air_power / fan_power


@formula("yearly_energy", _ENERGY)
def yearly_energy(fan_power, running_time="8760 h"):
    """Electrical energy of the fan in a year.

    Assumes a fan that never stops, 365 days of 24 hours.
    """
    return fan_power * running_time


@formula("yearly_cost", Source(kind="derived", place="energy times its price"))
def yearly_cost(yearly_energy, energy_price):
    """Cost of the fan's energy in a year."""
    return yearly_energy * energy_price


@formula(
    "exhaust_heat", Source(kind="derived", place="warmth of the house's air that leaves"), house_air_share=("0", "1")
)
def exhaust_heat(air_flow, air_density, house_air_share, indoor_outdoor_gap, air_specific_heat="1006 J/(kg K)"):
    """Heat that the exhaust carries out of the house.

    Assumes that the share of house air is replaced by outdoor air, dry; the share itself is rarely known.
    """
    return house_air_share * air_flow * air_density * air_specific_heat * indoor_outdoor_gap


# ---------------------------------------------------------------- derivations

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
