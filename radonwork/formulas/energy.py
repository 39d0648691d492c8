"""What the air drawn out of a house costs: its heat by degree days, and the money for it beside the fan's.

The fan's own power, energy and cost, and the heat that the exhaust carries at one temperature, are in
`radonwork.formulas.fan`. How much of the exhaust is air of the house is rarely known and decides the result: it is an
input, for which only figures from memory are at hand (data/cases/energy.toml).
"""

import sympy

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, formula, symbol
from radonwork.engine.sources import Source

_DEGREE_DAYS = Source(kind="derived", place="warmth of the house's air, added up over a season")
_PRICE = Source(kind="derived", place="energy bought times its price")


@formula("house_air_flow", Source(kind="derived", place="the definition of the share"), house_air_share=("0", "1"))
def house_air_flow(air_flow, house_air_share):
    """Air of the house that the exhaust carries out.

    Assumes a share that somebody states; no measurement stands behind a usual value.
    """
    return house_air_share * air_flow


@formula("heating_heat", _DEGREE_DAYS)
def heating_heat(house_air_flow, air_density, heating_degree_days, air_specific_heat="1006 J/(kg K)"):
    """Heat that goes with the house's air in the heating season.

    Assumes a fan that never stops, outdoor air in the place of what it draws out, and degree days from the outdoor
    temperature at which sun, people and appliances alone keep the house warm.
    """
    return house_air_flow * air_density * air_specific_heat * heating_degree_days


@formula("cooling_heat", _DEGREE_DAYS)
def cooling_heat(house_air_flow, air_density, cooling_degree_days, air_specific_heat="1006 J/(kg K)"):
    """Heat that comes in with the air that takes the place of the house's in the cooling season.

    Assumes a fan that never stops and a house that is cooled all season; drying the air is extra, and in a humid
    climate that is the larger part.
    """
    return house_air_flow * air_density * air_specific_heat * cooling_degree_days


@formula("heating_cost", _PRICE)
def heating_cost(heating_heat, heating_efficiency, heating_price):
    """Cost of heating the air that takes the place of the house's."""
    return heating_heat / heating_efficiency * heating_price


@formula("cooling_cost", _PRICE)
def cooling_cost(cooling_heat, cooling_performance, energy_price):
    """Cost of cooling the air that takes the place of the house's, by electricity."""
    return cooling_heat / cooling_performance * energy_price


@formula("running_cost", Source(kind="derived", place="the sum of its parts"))
def running_cost(yearly_cost, heating_cost, cooling_cost):
    """Cost of running the system for a year: its fan, and heating and cooling the air it draws out of the house."""
    return yearly_cost + heating_cost + cooling_cost


# ---------------------------------------------------------------- derivations

_Q, _Q_h, _share, _rho, _c_a = (
    symbol(n) for n in ("air_flow", "house_air_flow", "house_air_share", "air_density", "air_specific_heat")
)
_t, _year, _bought = sympy.symbols("t t_1 W_b", positive=True)
_gap = sympy.Function("Delta")

Derivation(of=house_air_flow, title="Air of the house in the exhaust").premise(
    "definition", Eq(_share, _Q_h / _Q), "The share says how much of the exhaust was air of the house."
).step("flow", lambda definition: Eq(_Q_h, sympy.solve(definition, _Q_h)[0]), "Take the flow.")


def _season(of: Formula, title: str, heat: str, degree_days: str, warmth: str) -> None:
    """Heat of a season, from the heat at each moment."""
    E, D = symbol(heat), symbol(degree_days)
    Derivation(of=of, title=title).premise(
        "year",
        Eq(E, sympy.Integral(_Q_h * _rho * _c_a * _gap(_t), (_t, 0, _year))),
        warmth,
    ).premise(
        "count",
        Eq(D, sympy.Integral(_gap(_t), (_t, 0, _year))),
        "Degree days are just that difference added up over the year, nothing where it is below zero.",
    ).step(
        "apart",
        lambda year: Eq(E, sympy.expand(year.rhs.doit())),
        "Flow and density stay what they are: they come out.",
    ).step("result", lambda apart, count: apart.subs(count.rhs, count.lhs), "What is left to add up are degree days.")


_season(
    heating_heat,
    "Heat by degree days",
    "heating_heat",
    "heating_degree_days",
    "At each moment the air that comes in is to be warmed by the difference Delta: its mass flow times its specific heat.",
)
_season(
    cooling_heat,
    "Heat by cooling degree days",
    "cooling_heat",
    "cooling_degree_days",
    "At each moment the air that comes in is warmer than the house by Delta: its mass flow times its specific heat.",
)


def _price(of: Formula, title: str, heat: str, yield_: str, price: str) -> None:
    """Cost of the energy that is bought for a heat."""
    cost = symbol(of.result)
    Derivation(of=of, title=title).premise(
        "bought",
        Eq(symbol(yield_), symbol(heat) / _bought),
        "What is bought yields so many times its own energy as heat.",
    ).premise("price", Eq(cost, _bought * symbol(price)), "What is bought is paid by its price.").step(
        "cost",
        lambda bought, price: price.subs(_bought, sympy.solve(bought, _bought)[0]),
        "Put what is bought into the price.",
    )


_price(heating_cost, "Cost of heating", "heating_heat", "heating_efficiency", "heating_price")
_price(cooling_cost, "Cost of cooling", "cooling_heat", "cooling_performance", "energy_price")

_k_y, _k_1, _k_2, _k_3 = (symbol(n) for n in ("yearly_cost", "heating_cost", "cooling_cost", "running_cost"))

Derivation(of=running_cost, title="Cost of a year").premise(
    "sum", Eq(_k_3 - _k_1 - _k_2, _k_y), "What is not for heating and cooling is for the fan."
).step("result", lambda sum: Eq(_k_3, sympy.solve(sum, _k_3)[0]), "Take the whole.")
