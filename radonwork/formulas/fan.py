"""The fan: how its curve moves with speed and density, what it takes from the mains and what it costs.

The laws follow from dimensions alone: a given fan knows only its speed, its size and the density of the air, as long as
friction inside it does not matter.
"""

from radonwork.engine.formula import formula
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


@formula(
    "fan_efficiency",
    Source(kind="derived", place="the definition"),
    when={"the fan gives the air no more than it takes": lambda air_power, fan_power: air_power <= fan_power},
)
def fan_efficiency(air_power, fan_power):
    """Share of the electrical power that reaches the air."""
    return air_power / fan_power


@formula("yearly_energy", _ENERGY, running_time=("0 h", "8784 h"))  # a leap year
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
