"""Drainage against the air, checked by means that do not use its formulas: integration, finite elements, geometry."""

import math

import fluids
import numpy as np
import pytest
from fluids.core import Bond
from scipy.integrate import solve_bvp, solve_ivp
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve
from shapely import LineString, Point
from sympy import Eq, Function, Symbol, dsolve, simplify, solve

from radonwork.engine.formula import RangeError, symbol
from radonwork.formulas import condensate as c
from radonwork.solvers.drainage import _fanning_factor, drainage_band

INCH, CFM, IN_PER_FT = 0.0254, 0.0283168465920 / 60, 1 / 12
AIR = {"air_density": 1.2410, "air_viscosity": 1.77e-5}
WATER_VISCOSITY, WATER_DENSITY, GRAVITY = 1.307e-3, 999.7, 9.80665


def shear_and_gradient(flow: float, bore: float) -> tuple[float, float]:
    velocity = c.mean_air_velocity(air_flow=flow, bore=bore)
    reynolds = c.reynolds_number(bore=bore, air_velocity=velocity, **AIR)
    shear = c.air_shear(
        fanning_factor=c.fanning_factor(reynolds_number=reynolds),
        air_density=AIR["air_density"],
        air_velocity=velocity,
    )
    return shear, c.air_gradient(air_shear=shear, bore=bore)


# ---------------------------------------------------------------- the run


def test_a_run_over_a_5_12_13_triangle_has_its_sides_and_angle() -> None:
    angle = c.slope_angle(pipe_slope=5 / 12)
    assert math.degrees(angle) == pytest.approx(22.619864948, abs=1e-9)  # printed value of the 5-12-13 triangle
    assert c.run_drop(run_length=13.0, slope_angle=angle) == pytest.approx(5, rel=1e-14)
    assert c.run_plan_length(run_length=13.0, slope_angle=angle) == pytest.approx(12, rel=1e-14)
    assert c.plan_shortening(run_length=13.0, slope_angle=angle) == pytest.approx(1, rel=1e-12)
    assert c.run_drop_in_plan(run_plan_length=12.0, pipe_slope=5 / 12) == pytest.approx(5, rel=1e-14)


def lowest_slope(sag: float, slope: float, spacing: float, shape: np.ndarray) -> float:
    """Least slope, by differences, of a pipe whose sag from hanger to hanger follows `shape`, 1 at its deepest."""
    along = np.linspace(0, spacing, len(shape))
    return float(np.min(np.diff(slope * along - sag * shape) / np.diff(along)))


def test_the_levelling_sag_leaves_a_hung_curve_just_level() -> None:
    slope, spacing, share = 1 / 96, 1.2192, np.linspace(0, 1, 20001)
    sag = c.levelling_sag(pipe_slope=slope, hanger_spacing=spacing)
    assert sag == pytest.approx(0.125 * INCH, rel=1e-12)  # 4 ft between hangers at 1/8 in per ft
    hung, kinked, stiff = 4 * share * (1 - share), 1 - np.abs(2 * share - 1), 16 * share**2 * (1 - share) ** 2
    assert lowest_slope(sag, slope, spacing, hung) == pytest.approx(0, abs=1e-4 * slope)
    assert lowest_slope(2 * sag, slope, spacing, kinked) == pytest.approx(0, abs=1e-9)
    assert lowest_slope(1.299 * sag, slope, spacing, stiff) == pytest.approx(0, abs=1e-3 * slope)


# ---------------------------------------------------------------- film


def test_the_film_flows_as_an_integrated_boundary_value_problem() -> None:
    force, shear, depth = 180.0, 0.12, 1.4e-3
    height = np.linspace(0, depth, 50)
    found = solve_bvp(
        lambda y, u: np.array([u[1], np.full_like(y, -force / WATER_VISCOSITY)]),
        lambda wall, surface: np.array([wall[0], surface[1] + shear / WATER_VISCOSITY]),
        height,
        np.zeros((2, 50)),
        tol=1e-10,
    )
    flow = found.sol.antiderivative()(depth)[0] - found.sol.antiderivative()(0.0)[0]
    assert c.film_flow(net_force=force, surface_shear=shear, water_depth=depth) == pytest.approx(flow, rel=1e-8)


def test_a_film_of_least_depth_climbs_as_much_as_it_drains() -> None:
    y, u = Symbol("y"), Function("u")
    force, shear, depth, mu = (symbol(n) for n in ("net_force", "surface_shear", "water_depth", "water_viscosity"))
    climbs = {u(0): 0, u(depth).diff(depth): -shear / mu}
    velocity = dsolve(Eq(mu * u(y).diff(y, 2), -force), u(y), ics=climbs).rhs
    balance = velocity.integrate((y, 0, depth))
    (least,) = (d for d in solve(balance, depth) if d != 0)
    assert simplify(least - 3 * shear / (2 * force)) == 0
    still = velocity.subs(force, 3 * shear / (2 * depth))
    assert simplify(still.subs(y, depth) + shear * depth / (4 * mu)) == 0
    assert simplify(mu * still.diff(y).subs(y, 0) - shear / 2) == 0
    found = c.film_least_depth(surface_shear=0.2, net_force=150.0)
    assert c.film_flow(net_force=150.0, surface_shear=0.2, water_depth=found) == pytest.approx(0, abs=1e-18)
    assert c.least_depth(shape_factor=1.5, surface_shear=0.2, net_force=150.0) == pytest.approx(found, rel=1e-14)


# ---------------------------------------------------------------- rivulet


def segment_flows(depth: float, bore: float, across: int = 320, up: int = 48) -> tuple[float, float]:
    """Flow per force and per shear, times the viscosity, of laminar water in the true circular segment.

    Poisson's equation by linear finite elements, water at rest on the wall, the shear on the level surface: neither
    strips nor a parabola.
    """
    radius, half = bore / 2, math.sqrt(depth * (bore - depth))
    z = half * np.sin(np.linspace(-np.pi / 2, np.pi / 2, across + 1))
    wall = np.minimum(radius - np.sqrt(radius**2 - z**2), depth)
    y = wall[:, None] + (depth - wall)[:, None] * np.linspace(0, 1, up + 1)
    points = np.stack([np.repeat(z, up + 1), y.ravel()], -1)
    at = np.arange(len(points)).reshape(across + 1, up + 1)
    a, b, d, e = at[:-1, :-1].ravel(), at[1:, :-1].ravel(), at[1:, 1:].ravel(), at[:-1, 1:].ravel()
    triangles = np.concatenate([np.stack([a, b, d], -1), np.stack([a, d, e], -1)])
    corner = points[triangles]
    edge = corner[:, [2, 0, 1]] - corner[:, [1, 2, 0]]
    area = (edge[:, 2, 0] * -edge[:, 1, 1] + edge[:, 2, 1] * edge[:, 1, 0]) / 2
    kept = area > 1e-9 * area.max()
    triangles, edge, area = triangles[kept], edge[kept], area[kept]
    stiffness = np.einsum("tik,tjk->tij", edge, edge) / (4 * area)[:, None, None]
    rows, columns = np.repeat(triangles, 3, 1).ravel(), np.tile(triangles, (1, 3)).ravel()
    matrix = coo_matrix((stiffness.ravel(), (rows, columns)), (len(points), len(points))).tocsr()
    body = np.bincount(triangles.ravel(), np.repeat(area / 3, 3), len(points))
    dragged = np.zeros(len(points))
    dragged[at[:-1, -1]] += np.diff(z) / 2
    dragged[at[1:, -1]] += np.diff(z) / 2
    free = np.isin(np.arange(len(points)), at[1:-1, 1:])
    velocity = np.zeros(len(points))
    velocity[free] = spsolve(matrix[free][:, free], body[free])
    return float(velocity @ body), float(velocity @ dragged)


# The parabola stands for a shallow segment: how far off it is, as the docstring of rivulet_flow says.
@pytest.mark.parametrize(("share", "too_high"), [(1 / 80, 0.015), (1 / 15, 0.07), (1 / 4, 0.26)])
def test_the_rivulet_flows_as_finite_elements_say(share: float, too_high: float) -> None:
    bore, force, shear = 3.068 * INCH, 400.0, 0.1
    depth = share * bore
    by_force, by_shear = segment_flows(depth, bore)
    width = c.rivulet_width(water_depth=depth, bore=bore)
    still = c.still_air_rivulet_flow(net_force=force, water_depth=depth, rivulet_width=width)
    assert 1 < still / (force * by_force / WATER_VISCOSITY) < 1 + too_high
    ours = c.rivulet_flow(net_force=force, surface_shear=shear, water_depth=depth, rivulet_width=width)
    assert 1 < (still - ours) / (shear * by_shear / WATER_VISCOSITY) < 1 + too_high


@pytest.mark.parametrize("depth", [0.5e-3, 1e-3, 3.72e-3, 10e-3])
def test_the_least_depth_of_a_rivulet_is_that_of_finite_elements(depth: float) -> None:
    bore, shear = 3.068 * INCH, 0.19
    by_force, by_shear = segment_flows(depth, bore)
    force_that_holds = shear * by_shear / by_force
    assert c.rivulet_least_depth(surface_shear=shear, net_force=force_that_holds) == pytest.approx(depth, rel=0.0105)


def test_the_finite_elements_have_settled() -> None:
    coarse, fine = segment_flows(5e-3, 0.0779, 160, 24), segment_flows(5e-3, 0.0779, 320, 48)
    assert coarse == pytest.approx(fine, rel=1e-3)


def test_the_rivulet_is_as_wide_as_shapely_measures_the_chord() -> None:
    bore, depth = 52.5e-3, 3.7e-3
    circle = Point(0, 0).buffer(bore / 2, quad_segs=20000)
    surface = LineString([(-bore, depth - bore / 2), (bore, depth - bore / 2)])
    assert c.rivulet_width(water_depth=depth, bore=bore) == pytest.approx(circle.intersection(surface).length, rel=1e-7)


def test_the_force_that_drains_a_flow_lets_just_that_flow_run() -> None:
    rivulet = {"surface_shear": 0.19, "water_depth": 1e-3, "rivulet_width": 17.5e-3}
    force = c.draining_force(rivulet_flow=7e-8, **rivulet)
    assert c.rivulet_flow(net_force=force, **rivulet) == pytest.approx(7e-8, rel=1e-12)


# ---------------------------------------------------------------- slopes


def test_water_that_no_slope_drains_is_refused_in_one_clear_line() -> None:
    _, gradient = shear_and_gradient(100 * CFM, 2.067 * INCH)
    assert gradient == pytest.approx(105.6, abs=0.05)
    weight = (WATER_DENSITY - AIR["air_density"]) * GRAVITY * math.sin(math.atan(IN_PER_FT / 8))
    assert weight == pytest.approx(102.0, abs=0.05)
    with pytest.raises(RangeError, match="at this flow and slope nothing drains at any depth") as refusal:
        c.net_force(slope_angle=c.slope_angle(pipe_slope=IN_PER_FT / 8), air_gradient=gradient, air_density=1.2410)
    assert "\n" not in str(refusal.value)


def test_at_a_fixed_depth_the_slope_grows_as_the_flow_to_the_seven_fourths() -> None:
    slopes = []
    for flow in (40 * CFM, 80 * CFM):
        shear, gradient = shear_and_gradient(flow, 3.068 * INCH)
        slopes.append(
            c.no_flow_slope(
                shape_factor=1.75, surface_shear=shear, water_depth=1e-3, air_gradient=gradient, air_density=1.2410
            )
        )
    assert slopes[1] / slopes[0] == pytest.approx(2**1.75, rel=1e-3)  # the tangent bends by less


def slope_with_condensate(cfm: float, depth: float) -> float:
    """Slope that drains what the cold attic condenses (published at 25, 75 and 120 cfm) at this depth, smooth water."""
    shear, gradient = shear_and_gradient(cfm * CFM, 3.068 * INCH)
    force = c.draining_force(
        rivulet_flow=float(np.interp(cfm, [25, 75, 120], [5.095e-8, 7.017e-8, 7.549e-8])),
        surface_shear=shear,
        water_depth=depth,
        rivulet_width=c.rivulet_width(water_depth=depth, bore=3.068 * INCH),
    )
    return c.drain_slope(net_force=force, air_gradient=gradient, air_density=1.2410)


@pytest.mark.parametrize(("cfm", "depth"), [(31, 1e-3), (76, 3.717e-3)])
def test_the_least_slope_serves_31_cfm_by_a_strict_reading_and_76_by_a_puddles(cfm: int, depth: float) -> None:
    assert slope_with_condensate(cfm - 1, depth) < IN_PER_FT / 8 < slope_with_condensate(cfm + 1, depth)


# ---------------------------------------------------------------- waves, from memory: arithmetic only


def test_waves_only_add_to_the_shear_as_the_relation_states() -> None:
    onset = c.wave_velocity(air_density=1.2410)
    assert onset == pytest.approx(5 * (1.2 / 1.2410) ** 0.5, rel=1e-14)
    calm = c.wave_factor(water_depth=1e-3, bore=0.0779, air_velocity=onset * 0.999, wave_velocity=onset)
    assert calm == 1
    assert c.surface_shear(air_shear=0.2, wave_factor=calm) == c.surface_shear(air_shear=0.2) == 0.2
    twice = c.wave_factor(water_depth=0.04 * 0.0779, bore=0.0779, air_velocity=2 * onset, wave_velocity=onset)
    assert twice == pytest.approx(1 + 15 * 0.2, rel=1e-12)
    assert c.surface_shear(air_shear=0.2, wave_factor=twice) == pytest.approx(0.8, rel=1e-12)


# ---------------------------------------------------------------- puddle and riser


def test_a_puddle_is_as_deep_as_its_integrated_edge() -> None:
    tension, angle = 0.0742, math.radians(85)
    # From the flat top outward the surface steepens with the pressure: gamma d(sin psi)/dx = rho g z.
    start = 1e-6
    edge = solve_ivp(
        lambda turned, z: tension * np.sin(turned) / (WATER_DENSITY * GRAVITY * z),
        (start, angle),
        [start * math.sqrt(tension / (WATER_DENSITY * GRAVITY))],
        rtol=1e-10,
        atol=1e-14,
    )
    assert c.puddle_depth(surface_tension=tension, contact_angle=angle) == pytest.approx(edge.y[0, -1], rel=1e-6)


def test_a_risers_numbers_are_bound_by_a_librarys_bond_number() -> None:
    velocity, density, bore, tension = 10.16, 1.2410, 2.067 * INCH, 0.0742
    wallis = c.wallis_number(air_velocity=velocity, air_density=density, bore=bore)
    bond = Bond(rhol=WATER_DENSITY, rhog=density, sigma=tension, L=bore)
    found = c.kutateladze_number(air_velocity=velocity, air_density=density, surface_tension=tension)
    assert found == pytest.approx(wallis * bond**0.25, rel=1e-5)  # that library's gravity is 9.80665 too


# ---------------------------------------------------------------- the band


def test_the_band_spans_from_a_deep_plug_to_a_wavy_rivulet() -> None:
    flow, bore, water = 120 * CFM, 3.068 * INCH, 7.549e-5
    velocity = flow / (math.pi * bore**2 / 4)
    shear = 0.0791 * (1.2410 * velocity * bore / 1.77e-5) ** -0.25 * 1.2410 * velocity**2 / 2
    weight = (WATER_DENSITY - 1.2410) * GRAVITY
    low = math.tan(math.asin((shear / 3.717e-3 + 4 * shear / bore) / weight))
    waves = 1 + 15 * math.sqrt(1e-3 / bore) * (velocity / (5 * math.sqrt(1.2 / 1.2410)) - 1)
    width = 2 * math.sqrt(1e-3 * (bore - 1e-3))
    force = 1.75 * waves * shear / 1e-3 + 105 / 16 * WATER_VISCOSITY * water / WATER_DENSITY / (width * 1e-9)
    high = math.tan(math.asin((force + 4 * shear / bore) / weight))
    band = drainage_band(air_flow=flow, bore=bore, condensate_flow=water, **AIR)
    assert band["band_low_slope"] == pytest.approx(low, rel=2e-4)  # the puddle's depth is rounded
    assert band["band_high_slope"] == pytest.approx(high, rel=1e-9)


def test_slow_and_still_air_shears_as_the_library_s_laminar_and_smooth_factors_say() -> None:
    numbers = np.array([1.0, 500.0, 2039.0, 2500.0, 2999.0])
    theirs = [fluids.friction_factor(Re=number, eD=0.0) / 4 for number in numbers]
    assert _fanning_factor(numbers) == pytest.approx(theirs, rel=1e-9)
    assert _fanning_factor(2999.999) / _fanning_factor(3000.0) == pytest.approx(1.02, abs=0.005)
    assert _fanning_factor(108_000.0) == pytest.approx(
        fluids.friction.Blasius(108_000.0) / 4, rel=1e-3
    )  # 0.0791 is rounded
    still = drainage_band(air_flow=0.0, bore=3.068 * INCH, **AIR)
    assert still == {"band_low_slope": IN_PER_FT / 8, "band_high_slope": IN_PER_FT / 8}


def test_the_band_is_never_below_the_least_slope_of_the_standard() -> None:
    band = drainage_band(air_flow=np.linspace(10, 130, 60) * CFM, bore=3.068 * INCH, **AIR)
    assert np.all(band["band_low_slope"] >= IN_PER_FT / 8)
    assert np.all(band["band_high_slope"] >= band["band_low_slope"])
    assert band["band_low_slope"][0] == IN_PER_FT / 8
    assert np.all(np.diff(band["band_high_slope"]) >= 0)


def test_the_band_holds_every_slope_between_its_depths_shapes_and_surfaces() -> None:
    rng = np.random.default_rng(4)
    for _ in range(40):
        flow, bore = rng.uniform(20, 110) * CFM, rng.choice([3.068, 4.026]) * INCH
        shear, gradient = shear_and_gradient(flow, bore)
        band = drainage_band(air_flow=flow, bore=bore, **AIR)
        velocity, depth = c.mean_air_velocity(air_flow=flow, bore=bore), rng.uniform(1e-3, 3.717e-3)
        waves = c.wave_factor(
            water_depth=depth, bore=bore, air_velocity=velocity, wave_velocity=c.wave_velocity(air_density=1.2410)
        )
        slope = c.no_flow_slope(
            shape_factor=rng.uniform(1, 1.75),
            surface_shear=shear * rng.uniform(1, waves),
            water_depth=depth,
            air_gradient=gradient,
            air_density=1.2410,
        )
        assert slope <= band["band_high_slope"] * (1 + 1e-9)
        assert max(slope, IN_PER_FT / 8) >= band["band_low_slope"] * (1 - 1e-4)
