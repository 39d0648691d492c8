"""What the air drawn out costs: against pint and a season added up hour by hour."""

import numpy as np
import pint
import pytest

from radonwork.cli import main
from radonwork.engine.case import cases
from radonwork.engine.formula import RangeError
from radonwork.formulas import energy, fan
from radonwork.glossary import term

CFM = 0.3048**3 / 60


def test_the_heat_of_a_season_is_the_exhaust_s_heat_added_up_hour_by_hour() -> None:
    hours = np.arange(8760.0)
    base, mean, swing = 291.5, 283.0, 14.0  # an invented climate
    outdoors = mean - swing * np.cos(2 * np.pi * hours / 8760) - 4 * np.cos(2 * np.pi * hours / 24)
    below, above = np.maximum(base - outdoors, 0), np.maximum(outdoors - base - 4, 0)
    share, flow, density = 0.4, 60 * CFM, 1.19
    for gaps, heat, days in (
        (below, energy.heating_heat, "heating_degree_days"),
        (above, energy.cooling_heat, "cooling_degree_days"),
    ):
        power = fan.exhaust_heat(air_flow=flow, air_density=density, house_air_share=share, indoor_outdoor_gap=gaps)
        season = heat(
            house_air_flow=energy.house_air_flow(air_flow=flow, house_air_share=share),
            air_density=density,
            **{days: float(gaps.sum() * 3600)},
        )
        assert season == pytest.approx(np.sum(power) * 3600, rel=1e-12)


def test_heat_and_cost_are_what_pint_makes_of_the_same_words() -> None:
    q = pint.UnitRegistry()
    q.define("USD = [money]")
    heat = q("45 ft^3/min") * q("0.4") * q("0.075 lb/ft^3") * q("1006 J/(kg*delta_degC)") * q("5500 delta_degF*day")
    flow = energy.house_air_flow(air_flow=45 * CFM, house_air_share=0.4)
    assert flow == pytest.approx((q("45 ft^3/min") * 0.4).to("m^3/s").magnitude, rel=1e-12)
    density = term("air_density").read("0.075 lb/ft3").value
    days = term("heating_degree_days").read("5,500 degF d").value
    ours = energy.heating_heat(house_air_flow=flow, air_density=density, heating_degree_days=days)
    assert ours == pytest.approx(heat.to("J").magnitude, rel=1e-9)
    price = term("heating_price").read("0.05 USD/kWh").value
    heating = energy.heating_cost(heating_heat=ours, heating_efficiency=0.9, heating_price=price)
    assert heating == pytest.approx((heat / 0.9 * q("0.05 USD/kWh")).to("USD").magnitude, rel=1e-9)
    electric = term("energy_price").read("0.16 USD/kWh").value
    cooling = energy.cooling_cost(cooling_heat=ours, cooling_performance=3.5, energy_price=electric)
    assert cooling == pytest.approx((heat / 3.5 * q("0.16 USD/kWh")).to("USD").magnitude, rel=1e-9)
    total = energy.running_cost(yearly_cost=84.0, heating_cost=heating, cooling_cost=cooling)
    assert total == pytest.approx(84 + heating + cooling, rel=1e-15)


def test_a_degree_day_is_a_degree_for_a_day_in_either_scale() -> None:
    read = term("heating_degree_days").read
    assert read("9 degF d").value == pytest.approx(read("5 degC days").value, rel=1e-15)
    assert read("1 K d").value == 86400.0


def test_the_share_of_house_air_comes_from_memory_and_decides_nothing() -> None:
    (share,) = [case for case in cases() if case.name == "house-air-share"]
    assert not share.decides
    assert "house_air_share" not in energy.house_air_flow.defaults


def test_more_than_all_of_the_exhaust_is_refused_in_one_line() -> None:
    with pytest.raises(RangeError, match="house air share is 120 %") as refused:
        energy.house_air_flow(air_flow=0.03, house_air_share=1.2)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("name", "given"),
    [
        ("heating_cost", ["heating_heat=100 therm", "heating_efficiency=80", "heating_price=1.20 USD/therm"]),
        ("cooling_cost", ["cooling_heat=100 therm", "cooling_performance=13", "energy_price=0.15 USD/kWh"]),
    ],
)
def test_a_percentage_without_its_sign_and_a_seasonal_figure_in_other_units_are_refused(
    name: str, given: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["work", name, *given]) == 2
    assert "this holds from 0" in capsys.readouterr().err
