"""Fan curves and fan laws: against scipy, pint and the definitions of the dimensionless coefficients."""

from itertools import pairwise

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from radonwork.formulas import fan
from radonwork.solvers.fan_curve import (
    RISE_ALLOWED,
    ExampleFan,
    FanCurve,
    FanCurveError,
    pressure_and_slope,
    typed_curve,
)

CFM, INWC = 0.3048**3 / 60, 249.08891
# Invented points.
TYPED = [
    ("0 cfm", "1.7 inWC"),
    ("40 cfm", "1.5 inWC"),
    ("80 cfm", "1.1 inWC"),
    ("120 cfm", "0.6 inWC"),
    ("150 cfm", "0 inWC"),
]
FIVE = typed_curve(TYPED)
untimed = settings(deadline=None)


def refusal(points: list[tuple[str, str]]) -> str:
    with pytest.raises(FanCurveError) as refused:
        typed_curve(points)
    line = str(refused.value)
    assert line.isprintable()
    assert len(line) < 300
    return line


# ---------------------------------------------------------------- the curve


def test_the_curve_and_its_slope_are_those_of_scipy_s_monotone_cubic() -> None:
    flows, pressures = np.array(FIVE.points).T
    theirs = PchipInterpolator(flows, pressures)
    at = np.linspace(0, flows[-1], 1001)
    pressure, slope = FIVE.rated(at)
    assert pressure == pytest.approx(theirs(at), rel=1e-12, abs=1e-9)
    assert slope == pytest.approx(theirs.derivative()(at), rel=1e-9)


falls = st.lists(st.tuples(st.floats(1, 80), st.integers(0, 1000).map(lambda n: n / 1000)), min_size=1, max_size=9)


@untimed
@given(start=st.floats(0, 50), top=st.floats(0.2, 6), steps=falls)
def test_between_two_points_the_pressure_never_leaves_theirs_and_never_rises(
    start: float, top: float, steps: list[tuple[float, float]]
) -> None:
    points = [(start * CFM, top * INWC)]
    for more, share in steps:
        points.append((points[-1][0] + more * CFM, points[-1][1] * share))
    curve = FanCurve(tuple(points))
    for (low, above), (high, below) in pairwise(points):
        pressure, slope = curve.rated(np.linspace(low, high, 50))
        assert np.all(pressure <= above * (1 + 1e-12))
        assert np.all(pressure >= below * (1 - 1e-12) - 1e-9)
        assert np.all(slope <= 1e-9)
    assert curve.rated(np.array([p[0] for p in points]))[0] == pytest.approx(
        [p[1] for p in points], rel=1e-12, abs=1e-9
    )


def test_a_reading_error_s_rise_is_levelled_and_a_larger_one_names_its_point() -> None:
    little = FanCurve(((0.0, 400.0), (0.02, 400.0 * (1 + 0.9 * RISE_ALLOWED)), (0.05, 100.0)))
    assert np.all(np.diff(little.rated(np.linspace(0, 0.05, 200))[0]) <= 0)
    line = refusal([("0 cfm", "1.5 inWC"), ("40 cfm", "1.6 inWC"), ("90 cfm", "0.2 inWC")])
    assert line.startswith("fan point 2: pressure 1.6 inWC at 40 cfm is above")


@pytest.mark.parametrize(
    ("points", "said"),
    [
        ([("0 cfm", "1.7 inWC")], "at least two points"),
        (
            [("0 cfm", "1.7 inWC"), ("50 cfm", "1 inWC"), ("40 cfm", "0.5 inWC")],
            "fan point 3: flow 40 cfm comes after 50 cfm",
        ),
        (
            [("0 cfm", "1.7 inWC"), ("50 cfm", "1 inWC"), ("50 cfm", "0.5 inWC")],
            "fan point 3: flow 50 cfm is there twice",
        ),
        ([("0 cfm", "1.7 inWC"), ("50 L/s", "1 inWC")], "fan point 2: 50 L/s is in L/s, point 1 in cfm"),
        ([("0 cfm", "1.7 inWC"), ("50 cfm", "250 Pa")], "fan point 2: 250 Pa is in Pa, point 1 in inWC"),
        ([("0 cfm", "1.7 inWC"), ("50 cfm", "-0.2 inWC")], "fan point 2: '-0.2 inWC' is below zero"),
        ([("-5 cfm", "1.7 inWC"), ("50 cfm", "1 inWC")], "fan point 1: '-5 cfm' is below zero"),
        ([("0 cfm", "1.7 inWC"), ("50", "1 inWC")], "fan point 2: '50' has no unit"),
        ([("0 cfm", "1.7 inWC"), ("many", "1 inWC")], "fan point 2: 'many'"),
        ([("0 cfm", "0 inWC"), ("50 cfm", "0 inWC")], "fan point 1: the pressure at the least flow must be above zero"),
    ],
)
def test_points_that_make_no_curve_are_refused_in_one_line_that_names_the_point(
    points: list[tuple[str, str]], said: str
) -> None:
    assert said in refusal(points)


def test_numbers_that_are_none_are_refused() -> None:
    with pytest.raises(FanCurveError, match="fan point 2: flow and pressure must be numbers"):
        FanCurve(((0.0, 400.0), (float("nan"), 100.0)))
    with pytest.raises(FanCurveError, match=r"fan point 1: pressure -0\.04015 inWC is below zero"):
        FanCurve(((0.0, -10.0), (0.1, -20.0)))
    with pytest.raises(FanCurveError, match="rated density 75 kg/m³ is not that of air"):
        FanCurve(((0.0, 400.0), (0.1, 100.0)), rated_density=75)


@pytest.mark.parametrize("exponent", [1.0, 1.5, 2.0, 3.0])
def test_the_example_fan_s_slope_is_that_of_its_pressure(exponent: float) -> None:
    example = ExampleFan(1.7 * INWC, 170 * CFM, exponent)
    at, step = np.linspace(1, 169, 60) * CFM, 1e-4 * CFM
    up, down = (example.rated(at + sign * step)[0] for sign in (1, -1))
    assert example.rated(at)[1] == pytest.approx((up - down) / (2 * step), rel=1e-6)
    assert np.all(np.isfinite(example.rated(np.array([-0.1, 0.0, 1.0]))))


# ---------------------------------------------------------------- the laws


def test_fan_laws_keep_the_flow_pressure_and_power_coefficients() -> None:
    size, speed, faster, density, thinner = 0.25, 47.0, 39.0, 1.2, 0.96
    flow, pressure, power = 0.06, 310.0, 41.0
    ratios = {"speed_ratio": faster / speed}
    here = {
        "flow": fan.fan_flow_at_speed(rated_flow=flow, **ratios),
        "pressure": fan.fan_pressure_at_speed(rated_pressure=pressure, density_ratio=thinner / density, **ratios),
        "power": fan.fan_power_at_speed(rated_power=power, density_ratio=thinner / density, **ratios),
    }
    # The definitions of the three coefficients: Q/(n d^3), p/(rho n^2 d^2), P/(rho n^3 d^5).
    assert here["flow"] / (faster * size**3) == pytest.approx(flow / (speed * size**3), rel=1e-14)
    assert here["pressure"] / (thinner * faster**2 * size**2) == pytest.approx(
        pressure / (density * speed**2 * size**2), rel=1e-14
    )
    assert here["power"] / (thinner * faster**3 * size**5) == pytest.approx(
        power / (density * speed**3 * size**5), rel=1e-14
    )


def test_a_curve_at_another_speed_and_density_moves_point_by_point_as_the_laws_say() -> None:
    speed, density = np.array([0.6, 0.8, 1.0, 1.1]), np.array([0.8, 1.0, 0.9, 1.05])
    for flow, pressure in FIVE.points[:-1]:
        moved, _ = pressure_and_slope(FIVE, fan.fan_flow_at_speed(rated_flow=flow, speed_ratio=speed), density, speed)
        assert moved == pytest.approx(
            fan.fan_pressure_at_speed(rated_pressure=pressure, speed_ratio=speed, density_ratio=density), rel=1e-12
        )


def test_power_efficiency_and_cost_are_what_pint_makes_of_the_same_words() -> None:
    q = pint.UnitRegistry()
    q.define("USD = [money]")
    air = (q("85 ft^3/min") * q("0.85 inch_H2O")).to("W").magnitude
    ours = fan.air_power(air_flow=85 * CFM, fan_pressure=0.85 * INWC)
    assert ours == pytest.approx(air, rel=1e-6)
    assert fan.fan_efficiency(air_power=ours, fan_power=60.0) == pytest.approx(air / 60, rel=1e-6)
    energy = fan.yearly_energy(fan_power=60.0)
    assert energy == pytest.approx((q("60 W") * q("365 day")).to("J").magnitude, rel=1e-12)
    cost = (q("60 W") * q("365 day") * q("0.16 USD/kWh")).to("USD").magnitude
    assert fan.yearly_cost(yearly_energy=energy, energy_price=0.16 / 3.6e6) == pytest.approx(cost, rel=1e-12)
