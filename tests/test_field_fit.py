"""The layer fitted to test holes: against scipy's fit of the closed form, over many draws, and where it cannot tell."""

from typing import Any

import numpy as np
import pytest
from scipy.optimize import curve_fit
from scipy.special import k0, k1

from radonwork.solvers.field_fit import FlowReading, fit
from radonwork.solvers.slab_plan import Footprint, Pit, Point, Reading
from radonwork.solvers.suction_field import Layer, suction_field

PIT = Pit((0.0, 0.0), 0.15, 250.0)
LENGTH, TRANSMISSIVITY = 4.0, 5e-5
HOLES: list[Point] = [(1.0, 0.5), (2.5, -1.0), (-4.0, 1.0), (1.0, 6.0)]
ELL = Footprint(((0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (6.0, 4.0), (6.0, 9.0), (0.0, 9.0)))
IN_ELL = (Pit((2.0, 2.0), 0.15, 250.0),)
ELL_HOLES: list[Point] = [(5.0, 2.0), (9.0, 3.0), (3.0, 8.0)]


def closed_form(r: np.ndarray, length: float) -> np.ndarray:
    return np.asarray(PIT.suction * k0(r / length) / k0(PIT.radius / length))


def drawn(length: float, transmissivity: float) -> float:
    share = PIT.radius / length
    return float(2 * np.pi * transmissivity * PIT.suction * share * k1(share) / k0(share))


def readings(rng: np.random.Generator, error: float, holes: list[Point] = HOLES) -> list[Reading]:
    true = closed_form(np.hypot(*np.array(holes).T), LENGTH)
    return [
        Reading(hole, float(suction), error)
        for hole, suction in zip(holes, true + error * rng.standard_normal(len(holes)), strict=True)
    ]


def in_ell(layer: Layer, holes: list[Point], error: float, seed: int = 0) -> list[Reading]:
    rng = np.random.default_rng(seed)
    true = suction_field(layer, IN_ELL, ELL).suction(*np.array(holes).T)
    return [Reading(hole, float(p + error * rng.standard_normal()), error) for hole, p in zip(holes, true, strict=True)]


# ---------------------------------------------------------------- the right answer, with the right error bars


@pytest.mark.parametrize("seed", range(4))
def test_the_leakage_length_and_its_error_are_those_of_scipys_fit_of_the_closed_form(seed: int) -> None:
    read = readings(np.random.default_rng(seed), 1.0)
    found = fit(read, [PIT]).leakage_length
    r, suctions = np.hypot(*np.array([x.at for x in read]).T), np.array([x.suction for x in read])
    best, covariance = curve_fit(closed_form, r, suctions, p0=[3.0], sigma=np.ones(len(r)), absolute_sigma=True)
    deviation = float(np.sqrt(covariance[0, 0]))
    assert found.best == pytest.approx(best[0], abs=0.03 * deviation)  # the grid's own step
    low, high = found.likely
    assert low is not None
    assert high is not None
    assert (high - low) / 2 == pytest.approx(deviation, rel=0.03)  # theirs is of the tangent, ours of the curve


def test_with_a_flow_both_unknowns_and_their_errors_are_those_of_scipys_fit() -> None:
    read, flow_error = readings(np.random.default_rng(9), 1.0), 0.05 * drawn(LENGTH, TRANSMISSIVITY)
    flow = drawn(LENGTH, TRANSMISSIVITY) * 1.04
    found = fit(read, [PIT], flows=[FlowReading(0, flow, flow_error)])
    r = np.hypot(*np.array([x.at for x in read]).T)

    def both(where: np.ndarray, log_length: float, log_transmissivity: float) -> np.ndarray:
        length = np.exp(log_length)
        return np.append(closed_form(where[:-1], length), drawn(length, np.exp(log_transmissivity)))

    seen = np.append([x.suction for x in read], flow)
    errors = np.append([x.error for x in read], flow_error)
    best, covariance = curve_fit(
        both, np.append(r, 0.0), seen, p0=np.log([3.0, 1e-5]), sigma=errors, absolute_sigma=True
    )
    leak_variance = np.array([-2.0, 1.0]) @ covariance @ np.array([-2.0, 1.0])
    for ours, middle, variance in (
        (found.leakage_length, best[0], covariance[0, 0]),
        (found.transmissivity, best[1], covariance[1, 1]),
        (found.slab_leakage, best[1] - 2 * best[0], leak_variance),
    ):
        low, high = (np.log(end) for end in ours.likely)  # type: ignore[arg-type]
        assert np.log(ours.best) == pytest.approx(middle, abs=0.08 * np.sqrt(variance))
        assert (high - low) / 2 == pytest.approx(np.sqrt(variance), rel=0.05)
    assert found.degrees == 3
    assert found.remarks == ()


def test_the_ranges_hold_the_truth_as_often_as_they_say() -> None:
    rng, draws = np.random.default_rng(42), 150
    flow = drawn(LENGTH, TRANSMISSIVITY)
    hits = {"likely": np.zeros(2), "wide": np.zeros(2)}
    for _ in range(draws):
        read = readings(rng, 2.0)
        measured = FlowReading(0, flow * (1 + 0.05 * rng.standard_normal()), 0.05 * flow)
        found = fit(read, [PIT], flows=[measured])
        for kind, count in hits.items():
            for i, (estimate, truth) in enumerate(
                ((found.leakage_length, LENGTH), (found.transmissivity, TRANSMISSIVITY))
            ):
                low, high = getattr(estimate, kind)
                count[i] += low <= truth <= high
    for kind, share in (("likely", 0.683), ("wide", 0.95)):
        assert hits[kind] / draws == pytest.approx([share, share], abs=3 * np.sqrt(share * (1 - share) / draws)), hits


def test_walls_are_seen_by_the_fit() -> None:
    layer = Layer(TRANSMISSIVITY, LENGTH)
    read = in_ell(layer, ELL_HOLES, 1.0)
    inside, boundless = fit(read, IN_ELL, ELL), fit(read, IN_ELL)
    low, high = inside.leakage_length.wide
    assert low is not None
    assert high is not None
    assert low <= LENGTH <= high
    assert boundless.leakage_length.wide[0] > 1.2 * high  # type: ignore[operator]  # without walls the slab seems tighter


# ---------------------------------------------------------------- what the readings cannot tell


def test_suctions_alone_do_not_tell_the_transmissivity_and_the_fit_says_so() -> None:
    found = fit(in_ell(Layer(TRANSMISSIVITY, LENGTH), ELL_HOLES, 1.0), IN_ELL, ELL)
    assert found.leakage_length.closed
    for estimate in (found.transmissivity, found.slab_leakage):
        assert not estimate.known
        assert np.isnan(estimate.best)
        assert estimate.wide == (None, None)
    assert any("measure the flow" in remark for remark in found.remarks)


def test_holes_that_read_nothing_put_only_an_upper_end_to_the_reach() -> None:
    read = [Reading((9.0, 3.0), 0.2, 1.0), Reading((3.0, 8.0), -0.4, 1.0)]
    found = fit(read, IN_ELL, ELL)
    assert found.leakage_length.wide[0] is None
    assert 0.5 < found.leakage_length.wide[1] < 3.0  # type: ignore[operator]
    assert any("no lower end" in remark for remark in found.remarks)


def test_holes_that_read_the_pits_own_suction_put_only_a_lower_end_to_the_reach() -> None:
    read = [Reading((9.0, 3.0), 249.0, 2.0), Reading((3.0, 8.0), 250.5, 2.0)]
    found = fit(read, IN_ELL, ELL)
    assert found.leakage_length.wide[1] is None
    assert found.leakage_length.wide[0] > 10.0  # type: ignore[operator]
    assert any("no upper end" in remark for remark in found.remarks)


def test_a_hole_read_with_no_care_tells_nothing() -> None:
    found = fit([Reading((9.0, 3.0), 100.0, 1000.0)], IN_ELL, ELL)
    assert not found.leakage_length.known
    assert any("do not tell how far" in remark for remark in found.remarks)


def test_one_hole_gives_a_reach_that_nothing_tests() -> None:
    found = fit(in_ell(Layer(TRANSMISSIVITY, LENGTH), ELL_HOLES[:1], 1.0), IN_ELL, ELL)
    assert found.leakage_length.closed
    assert found.degrees == 0
    assert any("nothing tests" in remark for remark in found.remarks)


def test_readings_of_a_slab_cut_by_a_footing_are_called_out_and_widen_the_ranges() -> None:
    layer = Layer(TRANSMISSIVITY, LENGTH)
    read = in_ell(layer, [*ELL_HOLES, (5.0, 6.0)], 1.0)
    cut = [*read[:2], Reading(read[2].at, 5.0, 1.0), read[3]]  # next to nothing behind the footing
    whole, parted = fit(read, IN_ELL, ELL), fit(cut, IN_ELL, ELL)
    assert not any("footing" in remark for remark in whole.remarks)
    assert any("footing" in remark for remark in parted.remarks)
    assert parted.inflation > 10
    spans = [np.log(f.leakage_length.likely[1] / f.leakage_length.likely[0]) for f in (whole, parted)]  # type: ignore[operator]
    assert spans[1] > 4 * spans[0]


def test_inertia_near_a_pit_lets_suctions_tell_of_the_transmissivity() -> None:
    pit = Pit((2.0, 2.0), 0.15, 250.0, inertial_resistance=3e5)
    layer = Layer(1e-3, LENGTH)
    field = suction_field(layer, [pit], ELL)
    assert field.inertial_losses[0] > 50
    holes = [(2.8, 2.0), *ELL_HOLES]
    read = [Reading(h, float(field.suction(np.array(h[:1]), np.array(h[1:]))[0]), 0.5) for h in holes]
    found = fit(read, [pit], ELL)
    low, high = found.transmissivity.wide
    assert low is not None
    assert high is not None
    assert low <= layer.transmissivity <= high


def test_the_suction_at_rest_is_taken_into_account() -> None:
    rest = -4.0
    field = suction_field(Layer(TRANSMISSIVITY, LENGTH), IN_ELL, ELL, rest=rest)
    read = [Reading(h, float(field.suction(np.array(h[:1]), np.array(h[1:]))[0]), 0.5) for h in ELL_HOLES]
    told, untold = fit(read, IN_ELL, ELL, rest=rest), fit(read, IN_ELL, ELL)
    assert told.leakage_length.best == pytest.approx(LENGTH, rel=0.01)
    assert told.chi_squared < 1
    assert untold.leakage_length.best < told.leakage_length.best


# ---------------------------------------------------------------- the next hole


def test_the_next_hole_is_where_the_closed_form_is_most_sensitive() -> None:
    # For one unknown the D-optimal place is where the suction changes most with it. Closed form, differenced here.
    wide = Footprint(((-14.0, -14.0), (14.0, -14.0), (14.0, 14.0), (-14.0, 14.0)))
    rng = np.random.default_rng(3)
    found = fit(readings(rng, 0.2), [PIT], wide).next_hole(0.2, points=41)
    r = np.hypot(*found.places.T)
    step = 1e-4
    sensitivity = np.abs(closed_form(r, LENGTH * (1 + step)) - closed_form(r, LENGTH * (1 - step))) / (2 * step)
    assert sensitivity[found.best] >= 0.97 * sensitivity.max()  # the unknown is known to 1 % only, and the walls help
    order = np.argsort(found.gain)
    assert np.all(sensitivity[order[-20:]] > np.median(sensitivity))


def test_a_reading_at_the_chosen_place_teaches_what_was_promised_and_more_than_elsewhere() -> None:
    layer = Layer(TRANSMISSIVITY, LENGTH)
    read = in_ell(layer, [(4.0, 2.0)], 3.0)
    before = fit(read, IN_ELL, ELL)
    chosen = before.next_hole(3.0)
    field = suction_field(layer, IN_ELL, ELL)

    def variance(*extra: Point) -> float:
        more = [Reading(at, float(field.suction(np.array(at[:1]), np.array(at[1:]))[0]), 3.0) for at in extra]
        return fit([*read, *more], IN_ELL, ELL)._grid.length_variance

    removed = 1 - variance(chosen.at) / variance()
    assert removed == pytest.approx(chosen.share_of_variance_removed, abs=0.1)
    elsewhere = chosen.places[np.argmin(chosen.gain)]
    assert variance(chosen.at) < variance((float(elsewhere[0]), float(elsewhere[1])))


def test_the_next_hole_keeps_off_walls_pits_and_the_holes_there_are() -> None:
    read = in_ell(Layer(TRANSMISSIVITY, LENGTH), ELL_HOLES, 1.0)
    found = fit(read, IN_ELL, ELL).next_hole(1.0)
    for place in found.places:
        assert ELL.distance((float(place[0]), float(place[1]))) >= 0.3
        assert all(np.hypot(*(place - np.array(other))) >= 1.0 for other in [*ELL_HOLES, IN_ELL[0].at])


def test_what_is_predicted_lies_around_the_truth() -> None:
    layer = Layer(TRANSMISSIVITY, LENGTH)
    found = fit(in_ell(layer, ELL_HOLES, 2.0), IN_ELL, ELL)
    places = np.array([(1.0, 5.0), (8.0, 1.0), (5.0, 8.0)])
    mean, deviation = found.predicted(places)
    true = suction_field(layer, IN_ELL, ELL).suction(*places.T)
    assert np.all(np.abs(mean - true) < 4 * deviation)
    assert np.all(deviation < 3.0)


# ---------------------------------------------------------------- what does not fit


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: fit([], IN_ELL, ELL), "at least one test hole"),
        (lambda: fit([Reading((1.0, 1.0), 5.0, 0.0)], IN_ELL, ELL), "test hole 1: the error"),
        (lambda: fit([Reading((1.0, 1.0), float("nan"), 1.0)], IN_ELL, ELL), "test hole 1"),
        (lambda: fit([Reading((9.0, 8.0), 5.0, 1.0)], IN_ELL, ELL), "test hole 1 does not lie on the slab"),
        (lambda: fit([Reading((2.0, 2.1), 5.0, 1.0)], IN_ELL, ELL), "test hole 1 lies in a pit"),
        (lambda: fit([Reading((5.0, 2.0), 5.0, 1.0)], IN_ELL, ELL, flows=[FlowReading(1, 0.01, 0.001)]), "source 2"),
        (lambda: fit([Reading((5.0, 2.0), 5.0, 1.0)], IN_ELL, ELL, flows=[FlowReading(0, 0.0, 0.001)]), "source 1"),
        (lambda: fit([Reading((5.0, 2.0), 5.0, 1.0)], IN_ELL).next_hole(1.0), "outline"),
        (lambda: fit([Reading((5.0, 2.0), 5.0, 1.0)], IN_ELL, ELL).next_hole(0.0), "above zero"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused_in_one_line(make: Any, said: str) -> None:
    with pytest.raises(ValueError, match=said) as refusal:
        make()
    assert "\n" not in str(refusal.value)
