"""Soil, pipe and fan together: the field and the network must say the same, and a change must show in the reach."""

import math
from dataclasses import replace
from typing import Any

import pytest
from scipy.optimize import brentq
from scipy.special import k0, k1

from radonwork.solvers.coupled import Ground, coupled, effects, on_ground
from radonwork.solvers.route import Fitting, Network, NetworkError, Pipe, Soil
from radonwork.solvers.slab_plan import Drain, Footprint, Pit
from radonwork.solvers.suction_field import Layer, inertia
from radonwork.solvers.system import split, with_lid, with_point
from tests.test_system import AIR, ASIDE, B2, B3, FAN, INCH, INWC, TWO_INCH, house, solved

LAYER = Layer(5.5e-5, 5.0)
SLAB = Footprint(((0, 0), (12, 0), (12, 9), (0, 9)))
SUMP = Pit((2.0, 2.0), 0.23, 0.0)
FAR = Pit((9.0, 7.0), 0.15, 0.0)
ONE = Ground(LAYER, (SUMP,), footprint=SLAB)
TWO = Ground(LAYER, (SUMP, FAR), ("pit", "pit 2"), SLAB)


def with_second(network: Network) -> Network:
    pieces = (Fitting(0.5, B3), Pipe(4.0, B3))
    return with_point(network, "pit 2", "head", Soil(1.0), pieces, bore=B3, main_bore=B3)


def test_a_pit_under_a_wide_slab_is_one_resistance_by_its_bessel_functions() -> None:
    found = coupled(house(), FAN, Ground(LAYER, (SUMP,)), **AIR)
    share = SUMP.radius / LAYER.leakage_length
    resistance = k0(share) / (2 * math.pi * LAYER.transmissivity * share * k1(share))
    alone = solved(house(resistance))
    assert found.solved.air_flow == pytest.approx(alone.air_flow, rel=1e-9)
    at = 3.0
    wanted = alone.soil_suction * k0(at / LAYER.leakage_length) / k0(share)
    assert found.field.suction([[SUMP.at[0] + at]], [[SUMP.at[1]]])[0, 0] == pytest.approx(wanted, rel=1e-4)


STONY = tuple(
    replace(
        pit,
        inertial_resistance=float(
            inertia(pit_radius=pit.radius, layer_thickness=0.1, inertial_coefficient=863.5, air_density=1.2)
        ),
    )
    for pit in (SUMP, FAR)
)
grounds: list[tuple[str, Network, Ground]] = [
    ("one", house(lid=2 * INCH**2), ONE),
    ("two", with_second(house(lid=2 * INCH**2)), TWO),
    (
        "stone",
        with_second(house()),
        Ground(
            Layer(1e-3, 6.0),
            STONY,
            ("pit", "pit 2"),
            SLAB,
        ),
    ),
    ("two pits in stone on one pipe", house(), Ground(Layer(1e-3, 6.0), STONY, ("pit", "pit"), SLAB)),
    (
        "a pit in stone and a drain on one pipe",
        house(),
        Ground(Layer(1e-3, 6.0), (STONY[0], Drain(((4, 1), (11, 1), (11, 8)), 0.0)), ("pit", "pit"), SLAB),
    ),
    ("drains", house(), Ground(LAYER, (SUMP, Drain(((4, 1), (11, 1), (11, 8)), 0.0)), ("pit", "pit"), SLAB)),
]


@pytest.mark.parametrize(("network", "ground"), [g[1:] for g in grounds], ids=[g[0] for g in grounds])
def test_what_the_network_draws_through_the_soil_is_what_the_field_draws(network: Network, ground: Ground) -> None:
    found = coupled(network, FAN, ground, **AIR)
    assert sum(found.field.flows) == pytest.approx(found.solved.soil_flow, rel=1e-4)  # the field's pieces
    assert found.solved.soil_flow + found.solved.lid_flow == pytest.approx(found.solved.air_flow, rel=1e-9)
    if ground.points == ("pit", "pit 2"):
        own = found.solved.solution.flows["pipe of pit 2"]
        assert found.field.flows[1] == pytest.approx(own, rel=5e-4)


def test_the_coupled_point_is_where_a_root_finder_puts_it() -> None:
    ground = ONE
    conductance = float(ground.conductance[0, 0])
    found = coupled(house(lid=INCH**2), FAN, ground, **AIR)

    def missing(resistance: float) -> float:
        one = solved(house(resistance, INCH**2))
        return one.soil_flow - conductance * one.soil_suction

    root = brentq(missing, 1e3, 1e6, xtol=1e-9, rtol=1e-13)
    assert found.solved.soil_suction == pytest.approx(solved(house(root, INCH**2)).soil_suction, rel=1e-9)


def test_what_a_change_does_shows_in_flow_and_in_reach() -> None:
    leaky = house(lid=8 * INCH**2)
    small = split(leaky, "wall", [TWO_INCH], bore=B2, main_bore=B3)
    two = split(leaky, "wall", [TWO_INCH, ASIDE], bore=B2, main_bore=B3)
    variants = {
        "as it is": (leaky, ONE),
        "lid sealed": (with_lid(leaky, 0.0), ONE),
        "second point": (with_second(leaky), TWO),
        "one 2 in": (small, ONE),
        "two 2 in": (two, ONE),
    }
    rows = {e.name: e for e in effects(variants, FAN, target=0.15 * INWC, **AIR)}
    here, sealed = rows["as it is"], rows["lid sealed"]
    assert sealed.air_flow < here.air_flow
    assert sealed.soil_flow > here.soil_flow
    assert sealed.share_reaching > here.share_reaching
    assert rows["second point"].share_reaching > here.share_reaching
    assert rows["second point"].soil_suction < here.soil_suction
    assert rows["one 2 in"].share_reaching < rows["two 2 in"].share_reaching <= here.share_reaching


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: on_ground(house(), TWO), "ground: the network has no suction point pit 2"),
        (lambda: Ground(LAYER, (SUMP, FAR)), "ground: there are 2 pits and drains and 1 suction points"),
    ],
)
def test_a_ground_that_does_not_fit_is_refused_in_one_line(make: Any, said: str) -> None:
    with pytest.raises(NetworkError) as refused:
        make()
    assert str(refused.value).startswith(said)
