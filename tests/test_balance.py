"""The house as a balance of radon, and how radon gets in: against integrations, finite differences and libraries."""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pint
import pytest
import radioactivedecay
from ht.conduction import S_isothermal_pipe_to_plane
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from radonwork.engine.formula import RangeError
from radonwork.formulas import balance, entry
from radonwork.formulas.soil import stack_suction

HOUR, DAY = 3600.0, 86400.0
DECAY = math.log(2) / radioactivedecay.Nuclide("Rn-222").half_life("s")
AIRS = [0.05 / HOUR, 0.1 / HOUR, 0.35 / HOUR, 1.0 / HOUR]


def history(
    entry_rate: float, volume: float, air: float, outdoors: float, start: float, until: float
) -> Callable[[float], float]:
    """The level of one box, integrated from its balance."""

    def change(_t: float, level: np.ndarray) -> np.ndarray:
        return (entry_rate + air * volume * outdoors - air * volume * level - DECAY * volume * level) / volume

    found = solve_ivp(change, (0, until), [start], dense_output=True, rtol=1e-11, atol=1e-9)
    return lambda t: float(found.sol(t)[0])


# ---------------------------------------------------------------- the box


@pytest.mark.parametrize("air", AIRS)
def test_the_steady_level_is_where_the_integrated_balance_ends(air: float) -> None:
    ends = history(20.0, 500.0, air, 12.0, 900.0, 40 / (air + DECAY))
    found = balance.steady_radon(
        entry_rate=20.0, house_volume=500.0, air_change_rate=air, outdoor_radon=12.0, radon_decay_constant=DECAY
    )
    assert found == pytest.approx(ends(40 / (air + DECAY)), rel=1e-8)


@pytest.mark.parametrize("air", AIRS)
def test_after_a_change_the_level_and_what_a_test_reads_are_those_of_the_integrated_balance(air: float) -> None:
    clear = balance.clearing_rate(air_change_rate=air, radon_decay_constant=DECAY)
    before = balance.steady_radon(
        entry_rate=30.0, house_volume=500.0, air_change_rate=air, outdoor_radon=12.0, radon_decay_constant=DECAY
    )
    after = balance.steady_radon(
        entry_rate=2.0, house_volume=500.0, air_change_rate=air, outdoor_radon=12.0, radon_decay_constant=DECAY
    )
    level = history(2.0, 500.0, air, 12.0, float(before), 5 * DAY)
    for hours in (0.0, 1.0, 6.0, 24.0, 72.0):
        share = balance.left_share(clearing_rate=clear, elapsed_time=hours * HOUR)
        assert share == pytest.approx((level(hours * HOUR) - after) / (before - after), abs=1e-8)
        then = balance.radon_after_change(
            start_radon=before, end_radon=after, clearing_rate=clear, elapsed_time=hours * HOUR
        )
        assert then == pytest.approx(level(hours * HOUR), rel=1e-8)
        length = 2 * DAY
        mean = quad(level, hours * HOUR, hours * HOUR + length, limit=200, epsrel=1e-10)[0] / length
        left = balance.mean_left_share(waiting_time=hours * HOUR, test_length=length, clearing_rate=clear)
        assert left == pytest.approx((mean - after) / (before - after), abs=1e-8)
        assert balance.read_radon(start_radon=before, end_radon=after, mean_left_share=left) == pytest.approx(mean)
        excess = balance.reading_excess(start_radon=before, end_radon=after, mean_left_share=left)
        assert excess == pytest.approx(mean / after - 1, abs=1e-7)


def test_a_share_that_nobody_could_notice_is_told_as_less_than_one() -> None:
    """Days after a change next to nothing of it is left: the figure stands in the equation, not in the table."""
    work = balance.left_share.work("us", clearing_rate=1 / HOUR, elapsed_time=48 * HOUR)
    assert 0 < work.results["left_share"] < 1e-20
    assert work.shown("left_share") == "less than 0.0001 %"
    spread = replace(work, spread={"left_share": (1e-30, 1e-3)})
    assert spread.between("left_share") == "less than 0.0001 % to 0.1 %"
    assert replace(work, spread={"left_share": (1e-30, 1e-12)}).between("left_share") == ""
    assert balance.left_share.work("us", clearing_rate=1 / HOUR, elapsed_time=0.0).shown("left_share") == "100 %"


@pytest.mark.parametrize("air", AIRS)
@pytest.mark.parametrize("allowed", [0.02, 0.1, 0.3])
def test_a_test_begun_after_the_needed_wait_reads_too_high_by_just_what_is_allowed(air: float, allowed: float) -> None:
    clear, start, end, length = air + DECAY, 300.0, 20.0, 2 * DAY
    wait = float(
        balance.needed_wait(
            start_radon=start, end_radon=end, allowed_excess=allowed, test_length=length, clearing_rate=clear
        )
    )
    entry_rate = 500.0 * clear * end  # without radon outdoors
    level = history(entry_rate, 500.0, air, 0.0, start, wait + length + 1.0)
    mean = quad(level, wait, wait + length, limit=200, epsrel=1e-10)[0] / length
    if wait > 0:
        assert mean / end - 1 == pytest.approx(allowed, rel=1e-6)
    else:
        assert mean / end - 1 <= allowed


def test_no_wait_is_needed_where_the_level_hardly_falls_and_none_is_worked_where_it_rises() -> None:
    given = {"allowed_excess": 0.1, "test_length": 2 * DAY, "clearing_rate": 1 / HOUR}
    assert balance.needed_wait(start_radon=101.0, end_radon=100.0, **given) == 0.0
    with pytest.raises(RangeError, match="the level falls"):
        balance.needed_wait(start_radon=90.0, end_radon=100.0, **given)


def test_twenty_four_hours_are_not_enough_in_a_tight_house_and_plenty_in_an_airy_one() -> None:
    given = {"start_radon": 370.0, "end_radon": 37.0, "allowed_excess": 0.1, "test_length": 2 * DAY}
    assert balance.needed_wait(clearing_rate=0.1 / HOUR + DECAY, **given) > 24 * HOUR
    assert balance.needed_wait(clearing_rate=1.0 / HOUR + DECAY, **given) < 6 * HOUR


def test_what_returns_adds_what_the_balance_with_so_much_more_entry_adds() -> None:
    air, flow, share, gas = 0.3 / HOUR, 0.03, 0.01, 5000.0
    until = 40 / (air + DECAY)
    plain, more = (history(e, 500.0, air, 12.0, 100.0, until)(until) for e in (3.0, 3.0 + share * gas * flow))
    added = balance.returned_radon(
        returned_share=share, discharge_radon=gas, air_flow=flow, house_volume=500.0, clearing_rate=air + DECAY
    )
    assert added == pytest.approx(more - plain, rel=1e-7)


@pytest.mark.parametrize("mixing", [0.0, 0.02, 0.2])
def test_two_boxes_end_where_their_integrated_balances_end(mixing: float) -> None:
    below, above, into_basement, into_upstairs, outdoors, enters = 200.0, 450.0, 0.012, 0.05, 12.0, 25.0

    def change(_t: float, levels: np.ndarray) -> list[float]:
        b, u = levels
        up = into_basement + mixing
        return [
            (enters + into_basement * outdoors + mixing * u - up * b) / below - DECAY * b,
            (up * b + into_upstairs * outdoors - (up + into_upstairs) * u) / above - DECAY * u,
        ]

    end = solve_ivp(change, (0, 60 * DAY), [500.0, 50.0], method="LSODA", rtol=1e-11, atol=1e-9).y[:, -1]
    flows = {
        "upstairs_volume": above, "basement_air_flow": into_basement, "upstairs_air_flow": into_upstairs,
        "mixing_flow": mixing, "outdoor_radon": outdoors, "radon_decay_constant": DECAY,
    }  # fmt: skip
    basement = balance.basement_radon(entry_rate=enters, basement_volume=below, **flows)
    assert basement == pytest.approx(end[0], rel=1e-7)
    assert balance.upstairs_radon(basement_radon=basement, **flows) == pytest.approx(end[1], rel=1e-7)


def test_two_boxes_that_mix_well_are_one_box() -> None:
    flows = {"basement_air_flow": 0.012, "upstairs_air_flow": 0.05, "mixing_flow": 1e5, "outdoor_radon": 12.0}
    found = balance.basement_radon(
        entry_rate=25.0, basement_volume=200.0, upstairs_volume=450.0, radon_decay_constant=DECAY, **flows
    )
    one = balance.steady_radon(
        entry_rate=25.0,
        house_volume=650.0,
        air_change_rate=0.062 / 650.0,
        outdoor_radon=12.0,
        radon_decay_constant=DECAY,
    )
    assert found == pytest.approx(one, rel=1e-5)


# ---------------------------------------------------------------- words worked by pint


def test_flows_and_shares_are_what_pint_makes_of_the_same_words() -> None:
    unit: pint.UnitRegistry = pint.UnitRegistry()
    gas, flow = 800 * unit("pCi/L"), 1.5 * unit("ft^3/min")
    pull, soil, crack = 0.03 * unit.inch_H2O, 9000 * unit("Pa*s/m^3"), 400 * unit("Pa*s/m^3")
    si = {
        name: value.to_base_units().magnitude
        for name, value in {"gas": gas, "flow": flow, "pull": pull, "soil": soil, "crack": crack}.items()
    }
    carried = entry.advective_entry(soil_gas_flow=si["flow"], soil_gas_radon=si["gas"])
    assert carried == pytest.approx((gas * flow).to("Bq/s").magnitude)
    together = entry.entry_resistance(ground_resistance=si["soil"], crack_resistance=si["crack"])
    drawn = entry.soil_gas_flow(entry_pressure=si["pull"], entry_resistance=together)
    assert drawn == pytest.approx((pull / (soil + crack)).to("m^3/s").magnitude)
    # The pressure between soil and crack at which both pass the same.
    middle = brentq(lambda p: (si["pull"] - p) / si["soil"] - p / si["crack"], 0, si["pull"])
    assert drawn == pytest.approx(middle / si["crack"])
    through = entry.diffusive_entry(radon_flux=(2 * unit("pCi/m^2/s")).to("Bq/m^2/s").magnitude, slab_area=100.0)
    assert through == pytest.approx((200 * unit("pCi/s")).to("Bq/s").magnitude)
    assert entry.ground_entry(advective_entry=20.0, diffusive_entry=1.5, other_entry=0.5) == pytest.approx(22.0)
    left = balance.remaining_entry(advective_entry=20.0, stopped_share=0.9, diffusive_entry=1.5, other_entry=0.5)
    assert left == pytest.approx(
        (20 * unit("Bq/s") - 90 * unit.percent * 20 * unit("Bq/s") + 2 * unit("Bq/s")).magnitude
    )
    house = (0.35 / unit.hour * 26000 * unit("ft^3")).to("m^3/s").magnitude
    assert entry.soil_gas_share(drawn_flow=si["flow"], natural_flow=house) == pytest.approx(
        (flow / (0.35 / unit.hour * 26000 * unit("ft^3"))).to("").magnitude
    )
    more = balance.increased_air_change(more_air=2.5, air_change_rate=(0.4 / unit.hour).to("1/s").magnitude)
    assert more == pytest.approx((1 / unit.hour).to("1/s").magnitude)


def test_a_fan_that_pulls_more_than_the_house_lets_no_soil_gas_in() -> None:
    pulls, fans = np.array([6.0, 6.0, 6.0]), np.array([0.0, 4.0, 9.0])
    assert list(np.asarray(entry.entry_pressure(stack_suction=pulls, fan_suction=fans))) == [
        max(pull - fan, 0.0) for pull, fan in zip(pulls, fans, strict=True)
    ]


# ---------------------------------------------------------------- the ground


def test_radon_in_soil_gas_is_what_the_library_lets_grow_from_the_radium_of_a_cubic_metre() -> None:
    radium, out, grain, pores, wet, partition = 40.0, 0.2, 2700.0, 0.25, 0.4, 0.25
    in_soil = radioactivedecay.Inventory({"Ra-226": radium * grain * (1 - pores)}, "Bq").decay(120, "d")
    free = in_soil.activities("Bq")["Rn-222"] * out
    room = pores * (1 - wet) + pores * wet * partition  # water holds as much as so much less air
    found = entry.soil_gas_radon(
        radium_content=radium, emanation_share=out, grain_density=grain, soil_porosity=pores, water_saturation=wet,
        water_partition=partition,
    )  # fmt: skip
    assert found == pytest.approx(free / room, rel=2e-4)  # radium itself loses a seven-thousandth in 120 days


def slices(diffusivity: float, depth: float, top: float, bottom: float, count: int = 4000) -> tuple[np.ndarray, float]:
    """Concentration by finite differences between two faces, and the slope at the upper one (depth 0)."""
    from scipy.linalg import solve_banded

    step = depth / count
    inner = count - 1
    bands = np.zeros((3, inner))
    bands[0, 1:] = bands[2, :-1] = diffusivity / step**2
    bands[1] = -2 * diffusivity / step**2 - DECAY
    right = np.zeros(inner)
    right[0] -= top * diffusivity / step**2
    right[-1] -= bottom * diffusivity / step**2
    level = np.concatenate([[top], solve_banded((1, 1), bands, right), [bottom]])
    return level, float((-3 * level[0] + 4 * level[1] - level[2]) / (2 * step))


@pytest.mark.parametrize(("diffusivity", "thickness"), [(2e-8, 0.1), (1e-7, 0.12), (3e-9, 0.1)])
def test_radon_through_a_slab_is_what_finite_differences_give(diffusivity: float, thickness: float) -> None:
    _, slope = slices(diffusivity, thickness, top=200.0, bottom=30_000.0)
    found = entry.slab_flux(
        open_porosity=0.15, radon_decay_constant=DECAY, soil_gas_radon=30_000.0, indoor_radon=200.0,
        diffusion_length=entry.diffusion_length(pore_diffusivity=diffusivity, radon_decay_constant=DECAY),
        slab_thickness=thickness,
    )  # fmt: skip
    assert found == pytest.approx(0.15 * diffusivity * slope, rel=1e-5)


def test_bare_soil_gives_what_finite_differences_of_a_deep_soil_give() -> None:
    diffusivity, deep = 2e-6, 40_000.0
    length = float(entry.diffusion_length(pore_diffusivity=diffusivity, radon_decay_constant=DECAY))
    lacking, slope = slices(diffusivity, 15 * length, top=deep, bottom=0.0, count=20_000)
    found = entry.bare_soil_flux(
        open_porosity=0.3, radon_decay_constant=DECAY, diffusion_length=length, soil_gas_radon=deep
    )
    assert found == pytest.approx(-0.3 * diffusivity * slope, rel=1e-5)
    one_length = int(20_000 / 15)
    assert lacking[one_length] / deep == pytest.approx(math.exp(-one_length * 15 / 20_000), rel=1e-4)


@pytest.mark.parametrize("deep", [5.0, 10.0, 60.0])
def test_soil_around_a_crack_resists_as_the_shape_factor_of_a_buried_pipe_says(deep: float) -> None:
    """The library has the exact inverse hyperbolic cosine of x = depth over radius, which is ln 2x less 1/(4 x²) …"""
    shape = S_isothermal_pipe_to_plane(D=2 * 0.02, Z=deep * 0.02, L=30.0)
    found = entry.ground_resistance(
        air_viscosity=1.78e-5, soil_permeability=1e-11, crack_length=30.0, crack_depth=deep * 0.02, crack_reach=0.02
    )
    assert found == pytest.approx(1.78e-5 / (1e-11 * shape), rel=0.26 / deep**2 / math.log(2 * deep))


def test_a_crack_resists_as_a_velocity_profile_by_finite_differences_says() -> None:
    width, count = 1e-3, 2000
    step = width / count
    inner = np.diag(np.full(count - 1, -2.0)) + np.diag(np.ones(count - 2), 1) + np.diag(np.ones(count - 2), -1)
    speed = np.linalg.solve(inner * 1.78e-5 / step**2, np.full(count - 1, -5.0 / 0.1))
    flow = 30.0 * step * speed.sum()
    found = entry.crack_resistance(air_viscosity=1.78e-5, slab_thickness=0.1, crack_width=width, crack_length=30.0)
    assert found == pytest.approx(5.0 / flow, rel=1e-5)


# ---------------------------------------------------------------- the height of the house


def test_the_pressure_at_each_height_is_that_of_two_columns_that_thin_out_upward() -> None:
    """Each column by the barometric law; the straight line differs by the little that air thins out over a house."""
    inside, outside, neutral, gas, g = 293.15, 258.15, 3.0, 287.042, 9.80665
    pull = float(stack_suction(neutral_height=neutral, indoor_temperature=inside, outdoor_temperature=outside))
    for z in (0.0, 1.5, 3.0, 6.0):
        column = [math.exp(-g * (z - neutral) / (gas * t)) for t in (outside, inside)]
        expected = 101325 * (column[0] - column[1])
        found = entry.wall_pressure(stack_suction=pull, height_above_slab=z, neutral_height=neutral)
        assert found == pytest.approx(expected, abs=1e-3 * pull)


def leaky(window_height: float, window: float, exhaust: float, height: float = 6.0) -> tuple[float, float]:
    """Pull at the slab and air that comes in, of a house cut into slices that leak alike, by a root finder.

    The air loses 1 Pa with each metre, and each metre leaks 1 m3/s for each Pa.
    """
    z = (np.arange(60_000) + 0.5) * height / 60_000
    slice_ = height / 60_000

    def parts(pull: float) -> tuple[np.ndarray, float]:
        return slice_ * (pull - z), window * height * (pull - window_height)

    pull = brentq(lambda p: parts(p)[0].sum() + parts(p)[1] - exhaust, -50, 50, xtol=1e-12)
    leaks, through = parts(pull)
    return pull, leaks[leaks > 0].sum() + max(through, 0.0)


@pytest.mark.parametrize("window_height", [0.0, 1.0, 3.0, 5.5])
@pytest.mark.parametrize("window", [0.0, 0.3, 2.0])
def test_an_open_window_moves_pull_and_air_as_a_house_cut_into_slices_says(window_height: float, window: float) -> None:
    closed_pull, closed_air = leaky(window_height, 0.0, 0.0)
    pull, air = leaky(window_height, window, 0.0)
    given = {"envelope_height": 6.0, "opening_height": window_height, "opening_share": window}
    neutral = entry.opened_neutral_height(**given)
    assert neutral == pytest.approx(pull, rel=1e-9)  # 1 Pa a metre
    more_pull = entry.opened_pull(opened_neutral_height=neutral, envelope_height=6.0)
    more_air = entry.opened_air_ratio(opened_neutral_height=neutral, **given)
    assert more_pull == pytest.approx(pull / closed_pull, rel=1e-9)
    assert more_air == pytest.approx(air / closed_air, rel=1e-6)
    level = entry.level_ratio(entry_ratio=more_pull, air_ratio=more_air)
    assert level == pytest.approx(pull / air / (closed_pull / closed_air), rel=1e-6)


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0, 2.5, 4.0])
def test_an_exhaust_fan_moves_pull_and_air_as_a_house_cut_into_slices_says(share: float) -> None:
    closed_pull, closed_air = leaky(0.0, 0.0, 0.0)
    pull, air = leaky(0.0, 0.0, share * closed_air)
    given = {"exhaust_flow": share * closed_air, "natural_flow": closed_air}
    assert entry.exhaust_pull(**given) == pytest.approx(pull / closed_pull, rel=1e-9)
    assert entry.exhaust_air_ratio(**given) == pytest.approx(air / closed_air, rel=1e-6)


def test_a_window_low_down_helps_more_than_its_air_and_one_high_up_less() -> None:
    levels = []
    for height in (0.5, 5.5):
        given = {"envelope_height": 6.0, "opening_height": height, "opening_share": 0.5}
        neutral = entry.opened_neutral_height(**given)
        pull = entry.opened_pull(opened_neutral_height=neutral, envelope_height=6.0)
        air = entry.opened_air_ratio(opened_neutral_height=neutral, **given)
        levels.append(entry.level_ratio(entry_ratio=pull, air_ratio=air))
        assert (pull < 1) == (height < 3.0)
    assert levels[0] < levels[1]
