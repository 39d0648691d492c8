"""The cost of exhausted air derived: the heat of a season added up moment by moment, and the energy bought for it."""

import sympy

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, symbol
from radonwork.formulas.energy import (
    cooling_cost,
    cooling_heat,
    heating_cost,
    heating_heat,
    house_air_flow,
    running_cost,
)

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
