"""What the air drawn out of a house costs: its heat by degree days, and the money for it beside the fan's.

The fan's own power, energy and cost, and the heat that the exhaust carries at one temperature, are in
`radonwork.formulas.fan`. How much of the exhaust is air of the house is rarely known and decides the result: it is an
input, for which only figures from memory are at hand (data/cases/energy.toml).
"""

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_DEGREE_DAYS = Source(kind="derived", place="warmth of the house's air, added up over a season")
_PRICE = Source(kind="derived", place="energy bought times its price")
_MOST = ("0 %", "1000 %")  # common practice, no source: heat pumps stay below


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


@formula("heating_cost", _PRICE, heating_efficiency=_MOST)
def heating_cost(heating_heat, heating_efficiency, heating_price):
    """Cost of heating the air that takes the place of the house's.

    Assumes that no heating gives more than ten times what is bought for it: an 80 without its percent sign is no efficiency.
    """
    return heating_heat / heating_efficiency * heating_price


@formula("cooling_cost", _PRICE, cooling_performance=_MOST)
def cooling_cost(cooling_heat, cooling_performance, energy_price):
    """Cost of cooling the air that takes the place of the house's, by electricity.

    Assumes a performance that is heat over energy in one unit, and that no cooling takes out more than ten times what it
    uses. A label's seasonal figure in Btu per watt-hour is 3.412 times as large.
    """
    return cooling_heat / cooling_performance * energy_price


@formula("running_cost", Source(kind="derived", place="the sum of its parts"))
def running_cost(yearly_cost, heating_cost, cooling_cost):
    """Cost of running the system for a year: its fan, and heating and cooling the air it draws out of the house."""
    return yearly_cost + heating_cost + cooling_cost
