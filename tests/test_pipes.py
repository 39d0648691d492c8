"""Several small pipes against one large: exponents and ratios against a reference library, sizes against the standard."""

from itertools import pairwise

import numpy as np
import pytest
import sympy
from fluids.friction import Blasius, Colebrook, friction_laminar  # type: ignore[import-untyped]
from scipy.optimize import brentq

from radonwork.derivations.pipes import FRICTION_EXPONENTS, FRICTION_LAWS
from radonwork.drawings.pipes import MOST_PIPES, PIPES
from radonwork.engine.case import cases
from radonwork.files import table
from radonwork.formulas import pipes
from radonwork.formulas.pipes import (
    area_ratio,
    bore_exponent,
    equal_area_count,
    equal_flow_count,
    equivalent_bore,
    flow_ratio,
    loss_ratio,
    velocity_in_each_pipe,
)
from radonwork.house.pipe_sizes import SCHEDULES, PipeSizeError, nominal_sizes, pipe_size
from radonwork.units import from_unit

CFM, INCH = from_unit(1.0, "cfm"), from_unit(1.0, "in")
DENSITY, VISCOSITY = from_unit(0.075, "lb/ft3"), 1.81e-5  # air as in the published friction cases
SMOOTH = 1.5e-6  # m, roughness of drawn plastic pipe in the same cases
TWO_INCH, THREE_INCH = 2.067 * INCH, 3.068 * INCH


def loss_per_metre(flow: float, bore: float, roughness: float = SMOOTH) -> float:
    """Darcy-Weisbach with the reference library's Colebrook."""
    velocity = flow / (np.pi * bore**2 / 4)
    reynolds = DENSITY * velocity * bore / VISCOSITY
    return float(Colebrook(reynolds, roughness / bore) / bore * DENSITY * velocity**2 / 2)


def flow_at(loss: float, bore: float, roughness: float = SMOOTH) -> float:
    return float(brentq(lambda q: loss_per_metre(q, bore, roughness) - loss, 1e-5, 2.0, xtol=1e-12))


def exponent_at(flow: float, bore: float, roughness: float) -> float:
    """Slope of log flow against log bore at the loss that drives `flow` through `bore`, by the library."""
    loss = loss_per_metre(flow, bore, roughness)
    wider, narrower = flow_at(loss, bore * 1.01, roughness), flow_at(loss, bore / 1.01, roughness)
    return float(np.log(wider / narrower) / (2 * np.log(1.01)))


# ---------------------------------------------------------------- the exponents


@pytest.mark.parametrize("reynolds", [4_000.0, 30_000.0, 100_000.0])
def test_the_smooth_law_is_the_one_the_library_has(reynolds: float) -> None:
    ours = float(FRICTION_LAWS["smooth"].subs({s: reynolds for s in FRICTION_LAWS["smooth"].free_symbols}))
    assert ours == pytest.approx(Blasius(reynolds), rel=1e-12)
    assert Blasius(reynolds) == pytest.approx(Colebrook(reynolds, 0), rel=0.03)  # Blasius's own accuracy


def test_the_laminar_law_is_the_one_the_library_has() -> None:
    law = FRICTION_LAWS["laminar"]
    assert float(law.subs({s: 1000 for s in law.free_symbols})) == pytest.approx(friction_laminar(1000), rel=1e-12)


def test_the_exponents_come_from_the_friction_laws() -> None:
    assert list(FRICTION_EXPONENTS.items()) == [("rough", 0), ("smooth", sympy.Rational(1, 4)), ("laminar", 1)]
    powers = [float(bore_exponent(friction_exponent=float(m))) for m in FRICTION_EXPONENTS.values()]
    assert powers == pytest.approx([5 / 2, 19 / 7, 4], rel=1e-15)


@pytest.mark.parametrize("cfm", [25, 50, 75, 125])
def test_the_bore_exponent_is_the_slope_a_reference_library_finds(cfm: float) -> None:
    # Smooth pipe, the flows of real systems: Colebrook's slope moves by about 1 % around that of the quarter power.
    assert exponent_at(cfm * CFM, THREE_INCH, SMOOTH) == pytest.approx(bore_exponent(friction_exponent=0.25), rel=0.015)
    # Rough to a twentieth of the bore at a very high Reynolds number: the friction factor no longer falls. It still
    # depends on the relative roughness, which the rough law holds constant, so the roughness is scaled with the bore.
    rough = 0.05
    bore, flow = THREE_INCH, 5.0
    loss = loss_per_metre(flow, bore, rough * bore)
    wider = brentq(lambda q: loss_per_metre(q, bore * 1.01, rough * bore * 1.01) - loss, 0.1, 50.0, xtol=1e-12)
    slope = np.log(wider / flow) / np.log(1.01)
    assert slope == pytest.approx(bore_exponent(friction_exponent=0), rel=1e-3)


def test_laminar_flow_grows_with_the_fourth_power_of_the_bore_by_the_library() -> None:
    def loss(flow: float, bore: float) -> float:
        velocity = flow / (np.pi * bore**2 / 4)
        return float(friction_laminar(DENSITY * velocity * bore / VISCOSITY) / bore * DENSITY * velocity**2 / 2)

    wanted = loss(1e-5, 0.01)
    wider = brentq(lambda q: loss(q, 0.011) - wanted, 1e-7, 1e-3, xtol=1e-18)
    assert np.log(wider / 1e-5) / np.log(1.1) == pytest.approx(bore_exponent(friction_exponent=1), rel=1e-6)


def test_a_friction_exponent_beyond_laminar_is_refused() -> None:
    with pytest.raises(ValueError, match="friction exponent"):
        bore_exponent(friction_exponent=1.2)


# ---------------------------------------------------------------- two small pipes against one large


def test_two_two_inch_pipes_have_nine_tenths_of_the_area_but_two_thirds_of_the_flow() -> None:
    two = {"pipe_count": 2.0, "small_bore": TWO_INCH, "large_bore": THREE_INCH}
    smooth = bore_exponent(friction_exponent=0.25)
    assert area_ratio(**two) == pytest.approx(0.908, abs=0.001)
    assert flow_ratio(**two, bore_exponent=smooth) == pytest.approx(0.685, abs=0.001)
    assert equal_area_count(small_bore=TWO_INCH, large_bore=THREE_INCH) == pytest.approx(2.20, abs=0.005)
    assert 2.9 < equal_flow_count(small_bore=TWO_INCH, large_bore=THREE_INCH, bore_exponent=smooth) < 3.0  # type: ignore[operator]


@pytest.mark.parametrize("cfm", [25, 50, 75, 125])
def test_the_flow_ratio_is_the_one_the_library_finds_at_real_flows(cfm: float) -> None:
    loss = loss_per_metre(cfm * CFM, THREE_INCH)
    theirs = 2 * flow_at(loss, TWO_INCH) / (cfm * CFM)
    ours = flow_ratio(
        pipe_count=2.0, small_bore=TWO_INCH, large_bore=THREE_INCH, bore_exponent=bore_exponent(friction_exponent=0.25)
    )
    assert ours == pytest.approx(theirs, rel=0.012)  # 1 % of slope at a bore ratio of 1.48


@pytest.mark.parametrize("cfm", [25, 50, 75, 125])
def test_the_loss_ratio_is_the_one_the_library_finds_at_real_flows(cfm: float) -> None:
    theirs = loss_per_metre(cfm * CFM / 2, TWO_INCH) / loss_per_metre(cfm * CFM, THREE_INCH)
    ours = loss_ratio(pipe_count=2.0, small_bore=TWO_INCH, large_bore=THREE_INCH, friction_exponent=0.25)
    assert ours == pytest.approx(theirs, rel=0.01)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 6])
def test_the_equivalent_bore_carries_what_several_pipes_carry_by_the_library(count: int) -> None:
    flow = 20 * CFM
    loss = loss_per_metre(flow, TWO_INCH)
    theirs = brentq(lambda bore: loss_per_metre(count * flow, bore) - loss, TWO_INCH, 8 * INCH, xtol=1e-12)
    ours = equivalent_bore(
        pipe_count=float(count), small_bore=TWO_INCH, bore_exponent=bore_exponent(friction_exponent=0.25)
    )
    assert ours == pytest.approx(theirs, rel=0.005)


def test_what_ratio_counts_and_equivalent_bore_say_agrees() -> None:
    p = float(bore_exponent(friction_exponent=0.25))
    count = equal_flow_count(small_bore=TWO_INCH, large_bore=THREE_INCH, bore_exponent=p)
    pair = {"small_bore": TWO_INCH, "large_bore": THREE_INCH}
    assert flow_ratio(**pair, pipe_count=count, bore_exponent=p) == pytest.approx(1, rel=1e-12)
    assert equivalent_bore(pipe_count=count, small_bore=TWO_INCH, bore_exponent=p) == pytest.approx(
        THREE_INCH, rel=1e-12
    )
    # Loss grows with flow to the power 2 - m, so the loss ratio is the flow ratio to that power, upside down.
    loss = loss_ratio(**pair, pipe_count=2.0, friction_exponent=0.25)
    flow = flow_ratio(**pair, pipe_count=2.0, bore_exponent=p)
    assert loss == pytest.approx(flow ** -(2 - 0.25), rel=1e-12)


def test_the_flow_at_a_velocity_is_the_velocity_rearranged() -> None:
    flow = velocity_in_each_pipe.solved_for("air_flow")
    speed = from_unit(2000.0, "ft/min")
    # 2000 ft/min in a 3.068 in bore: 0.05134 ft2 of area, by hand.
    assert flow(air_velocity=speed, pipe_count=1.0, small_bore=THREE_INCH) / CFM == pytest.approx(102.68, abs=0.02)


# ---------------------------------------------------------------- the printed equation of pipes


def printed_counts() -> list[tuple[float, float, float]]:
    """Large, small, printed count of the city code's table, nominal inches."""
    rows = [case for case in cases() if case.name.startswith("equation-of-pipes")]
    assert len(rows) == 3
    return [
        (
            float(case.given["large_bore"].split()[0]),
            float(case.given["small_bore"].split()[0]),
            float(case.published["equal_flow_count"]),
        )
        for case in rows
    ]


def test_the_printed_equation_of_pipes_lies_between_rough_and_smooth_pipe() -> None:
    for large, small, printed in printed_counts():
        rough, smooth = (
            equal_flow_count(
                large_bore=large * INCH, small_bore=small * INCH, bore_exponent=bore_exponent(friction_exponent=m)
            )
            for m in (0.0, 0.25)
        )
        assert rough - 0.05 <= printed <= smooth + 0.05, (large, small)


def test_one_power_read_off_the_printed_table_gives_its_other_rows() -> None:
    (large, small, widest), *others = sorted(printed_counts(), key=lambda row: row[1] / row[0])
    power = np.log(widest) / np.log(large / small)
    assert 2.5 < power < 19 / 7
    for large, small, printed in others:
        count = equal_flow_count(large_bore=large * INCH, small_bore=small * INCH, bore_exponent=power)
        assert count == pytest.approx(printed, abs=0.05)


# ---------------------------------------------------------------- sizes


@pytest.mark.parametrize("schedule", SCHEDULES)
@pytest.mark.parametrize("nominal", nominal_sizes())
def test_a_bore_is_the_one_in_the_table_of_the_standard(nominal: str, schedule: str) -> None:
    row = next(r for r in table("pipe_dimensions") if r["nominal_in"] == nominal)
    for wall in ("least", "mean"):
        column = f"ID_{schedule}_{'min' if wall == 'least' else 'mean'}_wall_in"
        # The table is rounded to a thousandth, of which the bore takes two walls.
        assert pipe_size(nominal, schedule, wall).bore / INCH == pytest.approx(float(row[column]), abs=0.0011)
    assert pipe_size(nominal, schedule).outside_diameter == pytest.approx(
        (float(row["OD_min_mm"]) + float(row["OD_max_mm"])) / 2000, abs=0.00003
    )


def test_the_limits_of_three_inch_pipe_are_those_printed_in_millimetres() -> None:
    # ASTM D1785, metric extract: 88.70 to 89.10 mm outside, 5.49 to 6.15 mm wall.
    least, mean = pipe_size("3", "40", "least"), pipe_size("3", "40", "mean")
    assert 0.08870 <= least.outside_diameter <= 0.08910
    assert least.wall_thickness == pytest.approx(0.00549, abs=5e-6)
    assert mean.wall_thickness == pytest.approx((0.00549 + 0.00615) / 2, abs=8e-6)


def test_nominal_figures_stand_beside_the_actual_ones() -> None:
    actual, nominal = pipe_size("3 in"), pipe_size("3 in", wall="nominal")
    assert actual.bore / INCH == pytest.approx(3.068)
    assert actual.nominal_diameter == nominal.bore == nominal.nominal_diameter == pytest.approx(3 * INCH)
    assert nominal.outside_diameter == actual.outside_diameter


@pytest.mark.parametrize("written", ["1-1/2", "1-1/2 in", "1.5 in", "1 1/2", "38.1 mm"])
def test_a_size_is_found_however_it_is_written(written: str) -> None:
    assert pipe_size(written).nominal == "1-1/2"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("7",), "1-1/2, 2, 2-1/2, 3, 4, 5, 6 in"),
        (("110 mm",), "1-1/2, 2, 2-1/2, 3, 4, 5, 6 in"),
        (("wide",), "1-1/2, 2, 2-1/2, 3, 4, 5, 6 in"),
        (("9**9**9",), "1-1/2, 2, 2-1/2, 3, 4, 5, 6 in"),
        (("3", "60"), "40 and 80"),
        (("3", "40", "thick"), "least, mean and nominal"),
    ],
)
def test_a_size_that_is_not_there_is_refused_in_one_line_with_those_that_are(
    arguments: tuple[str, ...], says: str
) -> None:
    with pytest.raises(PipeSizeError) as refusal:
        pipe_size(*arguments)
    assert says in str(refusal.value)
    assert "\n" not in str(refusal.value)


def test_schedule_80_has_the_smaller_bore_and_sizes_grow() -> None:
    bores = [pipe_size(nominal).bore for nominal in nominal_sizes()]
    assert all(smaller < larger for smaller, larger in pairwise(bores))
    assert all(pipe_size(n, "80").bore < pipe_size(n, "40").bore for n in nominal_sizes())


# ---------------------------------------------------------------- the drawing


def drawn(count: int) -> str:
    return PIPES.svg(
        {"pipe_count": float(count), "small_bore": TWO_INCH, "large_bore": THREE_INCH, "friction_exponent": 0.25}
    )


@pytest.mark.parametrize("count", range(1, MOST_PIPES + 1))
def test_as_many_small_bores_are_seen_as_there_are(count: int) -> None:
    circles = [line for line in drawn(count).splitlines() if line.startswith("<ellipse")]
    hidden = [line for line in circles if "opacity='0.00'" in line]
    assert len(circles) - len(hidden) == 2 + count  # the large bore, the dashed one, the small ones


def test_the_drawing_is_to_scale_and_writes_the_ratios() -> None:
    svg = drawn(2)
    radii = [float(line.split("rx='")[1].split("'")[0]) for line in svg.splitlines() if line.startswith("<ellipse")]
    assert radii[2] / radii[0] == pytest.approx(2.067 / 3.068, rel=1e-3)
    assert "90.78 %" in svg
    assert "68.47 %" in svg


def test_the_module_speaks_only_of_pipes() -> None:
    assert pipes.__doc__
    assert "equal area is not equal flow" in pipes.__doc__
