"""Suction in a leaky layer against reference libraries and balances integrated step by step."""

import fluids.packed_bed
import numpy as np
import psychrolib
import pytest
from scipy.integrate import quad, solve_bvp
from scipy.optimize import brentq

from radonwork.engine.formula import NotSolvable, RangeError
from radonwork.engine.printing import LATEX, MATHML, TYPST, printed
from radonwork.engine.program import Program, javascript
from radonwork.formulas import soil

BED = {"stone_diameter": 0.019, "stone_porosity": 0.40}
AIR = {"air_density": 1.2014, "air_viscosity": 1.81e-5}
SIZES = [(0.003, 0.35), (0.010, 0.40), (0.019, 0.45), (0.038, 0.50)]


def forchheimer(diameter: float = 0.019, porosity: float = 0.40) -> tuple[float, float]:
    bed = {"stone_diameter": diameter, "stone_porosity": porosity}
    return float(soil.bed_permeability(**bed)), float(soil.bed_inertial_coefficient(**bed))


def librarys_gradient(velocity: float, diameter: float, porosity: float, density: float = 1.2014) -> float:
    """Ergun's law by fluids 1.3, for one metre of bed."""
    return float(
        fluids.packed_bed.Ergun(
            dp=diameter, voidage=porosity, vs=velocity, rho=density, mu=AIR["air_viscosity"], L=1.0
        )
    )  # fmt: skip


# ---------------------------------------------------------------- the balance, integrated


def strip(width: float, length: float, sealed: bool) -> tuple[object, float]:
    """P'' = P/B² from a drain of 1 Pa to an edge, by scipy's boundary value solver; also -P' at the drain."""

    def edge(at_drain: np.ndarray, at_edge: np.ndarray) -> np.ndarray:
        return np.array([at_drain[0] - 1, at_edge[1] if sealed else at_edge[0]])

    grid = np.linspace(0, width, 50)
    guess = np.vstack([np.exp(-grid / length), -np.exp(-grid / length) / length])
    found = solve_bvp(lambda x, y: np.vstack([y[1], y[0] / length**2]), edge, grid, guess, tol=1e-10, max_nodes=100_000)
    assert found.success
    return found.sol, float(-found.y[1, 0])


@pytest.mark.parametrize(("width", "length"), [(3.0, 5.0), (8.0, 2.0), (5.0, 12.0)])
def test_suction_between_a_drain_and_an_edge_is_the_balance_integrated(width: float, length: float) -> None:
    x = np.linspace(0, width, 7)
    for sealed, statement in ((True, soil.sealed_strip_suction), (False, soil.open_strip_suction)):
        whole, slope = strip(width, length, sealed)
        found = statement(drain_suction=1.0, drain_distance=x, strip_width=width, leakage_length=length)
        assert found == pytest.approx(whole(x)[0], abs=1e-8)  # type: ignore[operator]
        if sealed:
            flow = soil.sealed_strip_flow(
                layer_transmissivity=1.0, drain_suction=1.0, strip_width=width, leakage_length=length
            )
            assert flow == pytest.approx(slope, rel=1e-7)


def test_a_slab_without_leaks_is_the_limit_of_one_with_hardly_any() -> None:
    # The rings integrated by scipy with next to no leak, from an open edge at 6 m to the pit
    radius, edge, length = 0.15, 6.0, 1e3

    def slopes(log_r: np.ndarray, state: np.ndarray) -> np.ndarray:
        r = np.exp(log_r)
        return np.vstack([-state[1] / (2 * np.pi), -2 * np.pi * r**2 * state[0] / length**2])

    grid = np.linspace(np.log(radius), np.log(edge), 100)
    found = solve_bvp(
        slopes,
        lambda a, b: np.array([a[0] - 250, b[0]]),
        grid,
        np.vstack([250 * (1 - (grid - grid[0]) / np.ptp(grid)), 400 + 0 * grid]),
        tol=1e-9,
    )
    r = np.array([0.15, 0.5, 1.0, 3.0, 6.0])
    stated = soil.tight_slab_suction(pit_suction=250.0, point_distance=r, pit_radius=radius, edge_radius=edge)
    # (R/B)², 4e-5, is what the leak of the other still does
    assert stated == pytest.approx(found.sol(np.log(r))[0], rel=4e-5, abs=1e-3)
    flow = soil.tight_slab_flow(layer_transmissivity=1.0, pit_suction=250.0, pit_radius=radius, edge_radius=edge)
    assert flow == pytest.approx(found.y[1, 0], rel=4e-5)


@pytest.mark.parametrize(("share", "error"), [(0.05, -0.08), (0.1, -0.35), (0.2, -1.56)])
def test_the_logarithm_near_a_pit_errs_as_published(share: float, error: float) -> None:
    # The printed errors, in per cent, are of ln(1.123 B/r) against K0
    terms = {"pit_flow": 1.0, "layer_transmissivity": 1.0, "point_distance": share, "leakage_length": 1.0}
    apart = float(soil.near_field_suction(**terms)) / float(soil.small_pit_suction(**terms)) - 1
    assert 100 * apart == pytest.approx(error, abs=0.01)
    with pytest.raises(RangeError, match="fifth of the leakage length"):
        soil.near_field_suction(**(terms | {"point_distance": 0.21}))


# ---------------------------------------------------------------- clean stone


@pytest.mark.parametrize(("diameter", "porosity"), SIZES)
@pytest.mark.parametrize("velocity", [0.001, 0.02, 0.5])
def test_a_bed_of_stones_loses_what_a_reference_library_says(diameter: float, porosity: float, velocity: float) -> None:
    terms = {"seepage_velocity": velocity, "stone_diameter": diameter, "stone_porosity": porosity, **AIR}
    theirs = librarys_gradient(velocity, diameter, porosity)
    assert soil.ergun_gradient(**terms) == pytest.approx(theirs, rel=1e-12)
    k, beta = forchheimer(diameter, porosity)
    assert AIR["air_viscosity"] / k * velocity + beta * AIR["air_density"] * velocity**2 == pytest.approx(
        theirs, rel=1e-12
    )


@pytest.mark.parametrize("flow", [0.005, 0.05])
def test_the_losses_around_a_pit_are_the_librarys_gradient_added_up(flow: float) -> None:
    k, beta = forchheimer()
    radius, edge, height = 0.15, 6.0, 0.1

    def added(low: float, high: float, density: float) -> float:
        def gradient(r: float) -> float:
            return librarys_gradient(flow / (2 * np.pi * r * height), *BED.values(), density=density)

        return float(quad(gradient, low, high, limit=400, epsrel=1e-10)[0])

    velocity = soil.radial_velocity(pit_flow=flow, point_distance=radius, layer_thickness=height)
    assert velocity * 2 * np.pi * radius * height == pytest.approx(flow, rel=1e-12)
    around = {"pit_flow": flow, "pit_radius": radius, "layer_thickness": height}
    viscous = soil.radial_viscous_loss(
        **around, edge_radius=edge, layer_permeability=k, air_viscosity=AIR["air_viscosity"]
    )
    assert viscous == pytest.approx(added(radius, edge, density=1e-12), rel=1e-8)
    inertial = soil.radial_inertial_loss(
        **around, edge_radius=edge, inertial_coefficient=beta, air_density=AIR["air_density"]
    )
    assert viscous + inertial == pytest.approx(added(radius, edge, AIR["air_density"]), rel=1e-9)
    whole = soil.pit_inertial_loss(**around, inertial_coefficient=beta, air_density=AIR["air_density"])
    far = 1e5
    alone = added(radius, far, AIR["air_density"]) - added(radius, far, density=1e-12)
    assert whole == pytest.approx(alone, rel=1e-4)  # what lies beyond a hundred kilometres, and the quadrature


def test_where_the_librarys_two_losses_are_alike_the_forchheimer_number_is_one() -> None:
    k, beta = forchheimer()

    def inertial_over_viscous(velocity: float) -> float:
        viscous = librarys_gradient(velocity, *BED.values(), density=1e-12)
        return librarys_gradient(velocity, *BED.values()) / viscous - 1

    for velocity in (0.001, 0.01, 0.1):
        number = soil.forchheimer_number(
            seepage_velocity=velocity, layer_permeability=k, inertial_coefficient=beta, **AIR
        )
        assert number == pytest.approx(inertial_over_viscous(velocity), rel=1e-8)
        share = soil.inertial_share(forchheimer_number=number)
        assert share == pytest.approx(1 - 1 / (1 + inertial_over_viscous(velocity)), rel=1e-8)
    alike = brentq(lambda v: inertial_over_viscous(v) - 1, 1e-4, 1.0, xtol=1e-14)
    flow, height = 0.02, 0.1
    radius = soil.inertial_radius(
        pit_flow=flow, layer_thickness=height, layer_permeability=k, inertial_coefficient=beta, **AIR
    )
    assert radius == pytest.approx(flow / (2 * np.pi * height * alike), rel=1e-7)


def test_gravel_is_turbulent_near_a_pit_and_sand_is_not() -> None:
    # EPA/600/R-92/090, abstract: the flow in gravel is usually turbulent, in soil laminar
    for diameter, porosity, flow, turbulent in ((0.019, 0.40, 0.03, True), (0.0005, 0.40, 0.002, False)):
        k, beta = forchheimer(diameter, porosity)
        velocity = soil.radial_velocity(pit_flow=flow, point_distance=0.15, layer_thickness=0.1)
        number = soil.forchheimer_number(
            seepage_velocity=velocity, layer_permeability=k, inertial_coefficient=beta, **AIR
        )
        assert (number > 1) is turbulent


# ---------------------------------------------------------------- the house


@pytest.mark.parametrize(("indoors", "outdoors"), [(20.0, -15.0), (22.0, 5.0), (21.0, 21.0), (20.0, 35.0)])
def test_the_stack_pulls_as_two_columns_of_a_librarys_air_weigh(indoors: float, outdoors: float) -> None:
    # psychrolib 2.5, dry air at sea level; its gas constant and ours agree to 2e-5
    psychrolib.SetUnitSystem(psychrolib.SI)
    heavy, light = (psychrolib.GetDryAirDensity(t, 101325.0) for t in (outdoors, indoors))
    pull = soil.stack_suction(
        neutral_height=4.0, indoor_temperature=indoors + 273.15, outdoor_temperature=outdoors + 273.15
    )
    assert pull == pytest.approx(9.80665 * 4.0 * (heavy - light), rel=5e-5, abs=1e-12)


# ---------------------------------------------------------------- statements with Bessel functions


def test_bessel_functions_are_printed_in_every_notation() -> None:
    tree = soil.small_pit_suction.expression
    assert printed(tree) == "Q_w / (2 · π · T_l) · K_0(r / B)"
    assert r"K_{\mathrm{0}} \left(\frac{r }{B }\right)" in printed(tree, LATEX)
    assert "<msub><mi>K</mi><mi mathvariant='normal'>0</mi></msub>" in printed(tree, MATHML)
    assert 'K_"0" lr((frac(r, B)))' in printed(tree, TYPST)
    assert "I_1(R_o / B)" in printed(soil.loop_flow.expression)
    assert "γ_E" in printed(soil.near_field_suction.expression)


def test_a_page_is_told_that_it_has_no_bessel_functions() -> None:
    assert not soil.point_sink_suction.runs_in_page
    assert soil.near_field_suction.runs_in_page
    with pytest.raises(NotImplementedError, match="no Bessel functions") as refusal:
        print(Program((soil.point_sink_suction,), ()).javascript)
    assert "\n" not in str(refusal.value)
    assert "0.5772156649015329" in javascript(soil.near_field_suction.expression)


def test_a_number_and_an_array_of_bessel_functions_are_of_the_usual_kinds() -> None:
    terms = {"pit_suction": 250.0, "pit_radius": 0.15, "leakage_length": 5.0}
    assert isinstance(soil.point_sink_suction(**terms, point_distance=1.0), float)
    assert soil.point_sink_suction(**terms, point_distance=np.array([1.0, 2.0])).shape == (2,)  # type: ignore[union-attr]
    with pytest.raises(RangeError, match="inside the pit"):
        soil.point_sink_suction(**terms, point_distance=0.1)
    with pytest.raises(NotSolvable):
        soil.point_sink_suction.solved_for("leakage_length")
