"""The climate of the place, and what things cost there."""

from radonwork.house.fields import Name, Notes, Section, measured
from radonwork.units import Quantity


class Climate(Section):
    attic_temperature: Quantity | None = measured("attic_temperature")
    barometric_pressure: Quantity | None = measured("barometric_pressure")
    altitude: Quantity | None = measured("altitude")
    indoor_temperature: Quantity | None = measured("indoor_temperature")
    winter_temperature: Quantity | None = measured("outdoor_temperature")
    neutral_height: Quantity | None = measured("neutral_height")
    heating_degree_days: Quantity | None = measured("heating_degree_days")
    cooling_degree_days: Quantity | None = measured("cooling_degree_days")


class Costs(Section):
    """Prices, and what of the house's heat the exhaust takes along.

    `house_air_source` says where the share of house air comes from, or that it is a guess.
    """

    quote: Quantity | None = measured("quoted_price")
    electricity_price: Quantity | None = measured("energy_price")
    heating_price: Quantity | None = measured("heating_price")
    heating_efficiency: Quantity | None = measured("heating_efficiency")
    cooling_performance: Quantity | None = measured("cooling_performance")
    house_air_share: Quantity | None = measured("house_air_share")
    house_air_source: Name | None = None
    notes: Notes | None = None
