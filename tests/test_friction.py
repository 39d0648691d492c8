"""Friction and the air at altitude against the fluids and PsychroLib libraries."""

import fluids
import numpy as np
import psychrolib
import pytest

from radonwork.engine.formula import RangeError
from radonwork.files import table
from radonwork.formulas import friction
from radonwork.solvers.friction import LAMINAR_BELOW, darcy_friction_factor, straight_pipe
from radonwork.solvers.vent_air import vent_air

CFM, INCH, FOOT = 0.3048**3 / 60, 0.0254, 0.3048
B3 = 3.068 * INCH
rng = np.random.default_rng(4)
NUMBERS = np.concatenate([10 ** rng.uniform(0, 7, 6000), [1.0, 1e7, 2039.999, 2040.0, 2300.0, 4000.0]])
ROUGHNESSES = np.concatenate([10 ** rng.uniform(-7, np.log10(0.05), 5000), np.zeros(500), np.full(506, 0.05)])


def test_the_friction_factor_is_that_of_the_fluids_library_over_the_whole_range() -> None:
    ours = darcy_friction_factor(reynolds_number=NUMBERS, relative_roughness=ROUGHNESSES)["darcy_factor"]
    theirs = [fluids.friction_factor(Re=re, eD=e) for re, e in zip(NUMBERS, ROUGHNESSES, strict=True)]
    assert np.max(np.abs(ours / theirs - 1)) < 1e-9  # a millionth was asked; Newton leaves far less


def test_colebrook_holds_at_the_factor_found() -> None:
    at = NUMBERS >= LAMINAR_BELOW
    re, e = NUMBERS[at], ROUGHNESSES[at]
    f = darcy_friction_factor(reynolds_number=re, relative_roughness=e)["darcy_factor"]
    assert np.max(np.abs(1 / np.sqrt(f) + 2 * np.log10(e / 3.7 + 2.51 / (re * np.sqrt(f))))) < 2e-10


def test_the_friction_exponent_is_the_slope_of_the_library_s_factor() -> None:
    at = (np.abs(NUMBERS / LAMINAR_BELOW - 1) > 1e-3) & (NUMBERS > 1.1)
    re, e, step = NUMBERS[at], ROUGHNESSES[at], 1e-4
    ours = darcy_friction_factor(reynolds_number=re, relative_roughness=e)["friction_exponent"]
    up, down = (
        np.array([fluids.friction_factor(Re=r * k, eD=x) for r, x in zip(re, e, strict=True)])
        for k in (1 + step, 1 / (1 + step))
    )
    slope = -np.log(up / down) / (2 * np.log1p(step))
    assert np.max(np.abs(ours - slope)) < 1e-6  # central difference: error of the order of the step squared


@pytest.mark.parametrize(("number", "regime"), [(100, 0), (2039, 0), (2041, 1), (3999, 1), (4001, 2), (1e6, 2)])
def test_the_uncertain_range_between_laminar_and_turbulent_is_flagged(number: float, regime: int) -> None:
    assert darcy_friction_factor(reynolds_number=number, relative_roughness=0.0)["flow_regime"] == regime


@pytest.mark.filterwarnings("ignore:overflow encountered:RuntimeWarning")  # inside the library, which then iterates
def test_the_explicit_forms_stay_within_what_they_state_of_colebrook() -> None:
    at = NUMBERS >= 4000
    re, e = NUMBERS[at], ROUGHNESSES[at]
    exact = np.array([fluids.friction.Colebrook(r, x) for r, x in zip(re, e, strict=True)])
    haaland = friction.haaland_factor(reynolds_number=re, relative_roughness=e) / exact - 1
    swamee = friction.swamee_jain_factor(reynolds_number=re, relative_roughness=e) / exact - 1
    assert np.max(np.abs(haaland)) < 0.015
    assert swamee.min() > -0.008
    assert swamee.max() < 0.033


def test_the_rough_factor_is_colebrook_s_at_an_enormous_reynolds_number() -> None:
    for e in (1e-5, 1e-3, 0.05):  # the smooth part still counts a few parts in ten million
        assert friction.rough_factor(relative_roughness=e) == pytest.approx(
            fluids.friction.Colebrook(1e14, e), rel=1e-6
        )


def test_straight_pipe_is_the_library_s_friction_with_darcy_and_weisbach_written_out() -> None:
    rho, mu, bore, flow = 1.18, 1.83e-5, 2.067 * INCH, 31 * CFM
    velocity = flow / (np.pi * bore**2 / 4)
    f = fluids.friction_factor(Re=rho * velocity * bore / mu, eD=4.6e-5 / bore)
    found = straight_pipe(
        air_flow=flow, straight_length=7.0, bore=bore, air_density=rho, air_viscosity=mu, wall_roughness=4.6e-5
    )
    assert found["friction_loss"] == pytest.approx(f * 7.0 / bore * rho * velocity**2 / 2, rel=1e-9)


def test_still_air_loses_nothing_and_says_so_without_a_warning() -> None:
    found = straight_pipe(air_flow=0.0, straight_length=7.0, bore=B3, air_density=1.18, air_viscosity=1.83e-5)
    assert (found["friction_loss"], found["air_velocity"], found["flow_regime"]) == (0, 0, 0)


def test_the_rough_bound_of_plastic_pipe_adds_what_its_table_says() -> None:
    def loss(roughness: float) -> float:
        return float(
            straight_pipe(
                air_flow=75 * CFM, straight_length=1.0, bore=3.068 * INCH, air_density=1.2014, air_viscosity=1.81e-5,
                wall_roughness=roughness,
            )["friction_loss"]
        )  # fmt: skip

    rows = {row["material"]: row for row in table("pipe_roughness")}
    pvc = rows["PVC plastic pipe"]
    # Printed 0.00003 to 0.00015 ft (swim-1982).
    assert float(pvc["low_um"]) == pytest.approx(0.00003 * FOOT * 1e6, abs=0.05)
    assert float(pvc["high_um"]) == pytest.approx(0.00015 * FOOT * 1e6, abs=0.05)
    smooth = float(rows["drawn smooth tube"]["roughness_um"]) * 1e-6
    assert loss(float(pvc["high_um"]) * 1e-6) / loss(smooth) == pytest.approx(1.074, abs=0.001)


def test_pressure_and_density_at_altitude_are_those_of_two_libraries() -> None:
    for altitude in (-430.0, 0.0, 500.0, 1609.0, 3048.0):
        ours = friction.standard_pressure(altitude=altitude)
        psychrolib.SetUnitSystem(psychrolib.SI)
        assert ours == pytest.approx(psychrolib.GetStandardAtmPressure(altitude), rel=2e-5)  # exponent rounded there
        air = fluids.ATMOSPHERE_1976(altitude)  # takes geopotential height: 0.05 % lower at 10,000 ft
        sea = fluids.ATMOSPHERE_1976(0.0)
        assert friction.outdoor_air_density_ratio(altitude=altitude) == pytest.approx(air.rho / sea.rho, rel=2e-4)
        house = psychrolib.GetDryAirDensity(
            21, psychrolib.GetStandardAtmPressure(altitude)
        ) / psychrolib.GetDryAirDensity(21, psychrolib.GetStandardAtmPressure(0))
        assert friction.house_air_density_ratio(altitude=altitude) == pytest.approx(house, rel=2e-5)


def test_the_two_conventions_for_altitude_differ_and_agree_only_at_the_sea() -> None:
    house, outdoors = (
        f(altitude=1828.8) for f in (friction.house_air_density_ratio, friction.outdoor_air_density_ratio)
    )
    assert outdoors / house == pytest.approx(288.15 / (288.15 - 0.0065 * 1828.8), rel=1e-5)
    assert friction.house_air_density_ratio(altitude=0.0) == friction.outdoor_air_density_ratio(altitude=0.0) == 1


def test_below_the_sea_the_pressure_is_that_of_psychrolib() -> None:
    for altitude in (-304.8, -500.0, -5000.0):
        ours = friction.standard_pressure(altitude=altitude)
        assert ours == pytest.approx(psychrolib.GetStandardAtmPressure(altitude), rel=5e-5)  # exponent rounded there


def test_up_to_the_2300_of_the_texts_the_laminar_factor_is_the_library_s() -> None:
    for number in (2100.0, 2300.0):
        ours = friction.laminar_darcy_factor(reynolds_number=number)
        assert ours == pytest.approx(fluids.friction.friction_laminar(number), rel=1e-12)


def test_laminar_friction_is_refused_where_flow_is_no_longer_laminar() -> None:
    with pytest.raises(RangeError, match="Reynolds number is"):
        friction.laminar_darcy_factor(reynolds_number=3000.0)


@pytest.mark.parametrize("celsius", [2.0, 12.0, 21.0, 35.0])
@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("altitude", [0.0, 1609.344, 2438.4])
def test_the_air_in_the_pipe_is_that_of_psychrolib_and_fluids(celsius: float, share: float, altitude: float) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    pressure = psychrolib.GetStandardAtmPressure(altitude)
    ratio = psychrolib.GetHumRatioFromRelHum(celsius, share, pressure) if share else 0.0
    density = psychrolib.GetMoistAirDensity(celsius, ratio, pressure)
    found = vent_air(air_temperature=celsius + 273.15, relative_humidity=share, altitude=altitude)
    assert found["air_density"] == pytest.approx(density, rel=5e-5)  # its constants have five or six digits
    assert found["air_viscosity"] == pytest.approx(fluids.ATMOSPHERE_1976.viscosity(celsius + 273.15), rel=1e-5)
