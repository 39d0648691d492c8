"""Radon and its decay products, exposure, dose and risk, against a decay library, linear algebra and printed tables."""

import math
from itertools import pairwise
from statistics import mean

import numpy as np
import pint
import pytest
import radioactivedecay
from scipy.integrate import quad

from radonwork.engine.formula import Formula, RangeError
from radonwork.files import table
from radonwork.formulas import radon, radon_risk, radon_tests
from radonwork.glossary import term

KINDS = ("Rn-222", "Po-218", "Pb-214", "Bi-214")
HALVES = {
    "Rn-222": "radon_half_life",
    "Po-218": "polonium_half_life",
    "Pb-214": "lead_half_life",
    "Bi-214": "bismuth_half_life",
}
GROWING: tuple[Formula, ...] = (
    radon.radon_left,
    radon.polonium_activity,
    radon.lead_activity,
    radon.bismuth_activity,
)
MINUTE, HOUR = 60.0, 3600.0
# A fiftieth of a percent of polonium-218 goes another way than to lead-214, which the library follows and we do not.
BRANCH = 3e-4


def si(name: str, text: str) -> float:
    return term(name).read(text).value


def activities(age: float) -> dict[str, float]:
    """SI activities by kind of 1 Bq/m3 of radon, so long after it came in alone."""
    return {kind: float(formula(radon_at_start=1.0, air_age=age)) for kind, formula in zip(KINDS, GROWING, strict=True)}


# ---------------------------------------------------------------- decay and ingrowth


@pytest.mark.parametrize("kind", KINDS)
def test_half_lives_are_those_of_the_decay_library(kind: str) -> None:
    ours = term(HALVES[kind]).si_range[0]
    assert ours == pytest.approx(radioactivedecay.Nuclide(kind).half_life("s"), rel=1e-12)
    constant = float(radon.decay_constant(half_life=ours))
    assert constant == pytest.approx(math.log(2) / radioactivedecay.Nuclide(kind).half_life("s"), rel=1e-12)


@pytest.mark.parametrize("minutes", [1, 3.1, 10, 30, 60, 180, 600, 5 * 24 * 60])
def test_decay_products_grow_in_as_the_decay_library_says(minutes: float) -> None:
    theirs = radioactivedecay.Inventory({"Rn-222": 1.0}, "Bq").decay(minutes, "m").activities("Bq")
    ours = activities(minutes * MINUTE)
    # What goes the other way is bismuth at once: early on, that is the most of a bismuth which has hardly begun.
    at_once = BRANCH * theirs["Po-218"] * math.log(2) * minutes / 19.9
    for kind in KINDS:
        stray = at_once if kind == "Bi-214" else 0.0
        assert ours[kind] == pytest.approx(theirs[kind], rel=BRANCH, abs=stray), kind


def test_after_hours_each_decay_product_is_as_active_as_the_radon() -> None:
    """Transient equilibrium: a shade above the radon, by how much longer radon lives."""
    found = activities(10 * HOUR)
    half = {kind: radioactivedecay.Nuclide(kind).half_life("s") for kind in KINDS}
    above = 1.0
    for kind in KINDS[1:]:
        above *= half["Rn-222"] / (half["Rn-222"] - half[kind])
        assert found[kind] / found["Rn-222"] == pytest.approx(above, rel=1e-3)


def mixture(age: float) -> dict[str, float]:
    found = activities(age)
    return {"polonium_activity": found["Po-218"], "lead_activity": found["Pb-214"], "bismuth_activity": found["Bi-214"]}


def test_alpha_energy_is_what_the_librarys_atoms_have_still_to_give() -> None:
    """Each atom counted by the library, each of its alpha rays to come by its energy."""
    first, second = si("first_alpha", "6.00 MeV"), si("second_alpha", "7.69 MeV")
    for minutes in (5.0, 40.0, 200.0):
        atoms = radioactivedecay.Inventory({"Rn-222": 1.0}, "Bq").decay(minutes, "m").numbers()
        energy = (first + second) * atoms["Po-218"] + second * (atoms["Pb-214"] + atoms["Bi-214"])
        ours = float(radon.potential_alpha_energy(**mixture(minutes * MINUTE)))
        assert ours == pytest.approx(energy, rel=BRANCH)


def test_the_equilibrium_equivalent_is_the_radon_with_that_energy() -> None:
    full = radioactivedecay.Inventory({"Rn-222": 1.0}, "Bq").decay(12.0, "h")
    per_radon = float(radon.potential_alpha_energy(
        polonium_activity=1.0, lead_activity=1.0, bismuth_activity=1.0,
    ))  # fmt: skip
    atoms, active = full.numbers(), full.activities("Bq")["Rn-222"]
    first, second = si("first_alpha", "6.00 MeV"), si("second_alpha", "7.69 MeV")
    energy = (first + second) * atoms["Po-218"] + second * (atoms["Pb-214"] + atoms["Bi-214"])
    # After twelve hours the products stand a little above the radon: by less than one part in a hundred in all.
    assert energy / active == pytest.approx(per_radon, rel=0.01)
    ages = mixture(25 * MINUTE)
    equivalent = float(radon.equilibrium_radon(**ages))
    assert equivalent * per_radon == pytest.approx(float(radon.potential_alpha_energy(**ages)), rel=1e-12)
    factor = float(radon.equilibrium_factor(equilibrium_radon=equivalent, radon_left=activities(25 * MINUTE)["Rn-222"]))
    assert 0 < factor < 1


def test_the_factor_of_old_closed_air_is_a_shade_above_one_and_nothing_higher_is_taken() -> None:
    old = mixture(10 * HOUR)
    left = activities(10 * HOUR)["Rn-222"]
    equivalent = float(radon.equilibrium_radon(**old))
    assert float(radon.equilibrium_factor(equilibrium_radon=equivalent, radon_left=left)) == pytest.approx(
        1.0063, abs=5e-5
    )
    with pytest.raises(RangeError, match="worth no more than their radon can make"):
        radon.equilibrium_factor(equilibrium_radon=1.02 * left, radon_left=left)


def test_air_that_has_just_come_in_holds_no_polonium() -> None:
    assert radon.polonium_activity(radon_at_start=1.0, air_age=0.0) == 0


# ---------------------------------------------------------------- air that is exchanged


def balance(away: float) -> np.ndarray:
    """Steady activities over that of the radon, by solving the three balances as linear equations."""
    rates = [math.log(2) / radioactivedecay.Nuclide(kind).half_life("s") for kind in KINDS[1:]]
    matrix, made = np.zeros((3, 3)), np.zeros(3)
    for n, rate in enumerate(rates):
        matrix[n, n] = rate + away
        if n:
            matrix[n, n - 1] = -rate
    made[0] = rates[0]
    return np.linalg.solve(matrix, made)


@pytest.mark.parametrize(("air", "walls"), [(0.1, 0.0), (0.5, 0.0), (1.0, 5.0), (0.3, 20.0)])
def test_steady_shares_and_factor_are_those_of_three_linear_balances(air: float, walls: float) -> None:
    away = {"air_change_rate": air / HOUR, "plateout_rate": walls / HOUR}
    shares = [float(radon.activity_share(half_life=term(HALVES[kind]).si_range[0], **away)) for kind in KINDS[1:]]
    found = balance(sum(away.values()))
    assert np.cumprod(shares) == pytest.approx(found, rel=1e-12)
    weights = [
        float(radon.equilibrium_radon(**dict(zip(mixture(60.0), row, strict=True)))) for row in np.eye(3).tolist()
    ]
    factor = float(radon.steady_factor(polonium_share=shares[0], lead_share=shares[1], bismuth_share=shares[2]))
    assert factor == pytest.approx(float(np.dot(weights, found)), rel=1e-12)


@pytest.mark.parametrize("air", [0.2, 0.5, 2.0])
def test_steady_air_is_the_mean_over_all_the_ages_that_its_parcels_have(air: float) -> None:
    """Air that is exchanged at a rate is a mixture of parcels with exponential ages; the library follows each parcel."""
    rate = air / HOUR
    decay = math.log(2) / radioactivedecay.Nuclide("Rn-222").half_life("s")
    for n, kind in enumerate(KINDS[1:]):

        def parcel(age: float, kind: str = kind) -> float:
            return rate * math.exp(-rate * age) * activities(age)[kind]

        whole, _ = quad(parcel, 1.0, 40 / rate, limit=200)
        # The radon of those parcels, and the same exchange and decay that the closed form calls one rate.
        radon_here = rate / (rate + decay)
        assert whole / radon_here == pytest.approx(balance(rate)[n], rel=2e-3), (
            kind
        )  # radon's own decay is left out there


def test_fresh_air_has_a_low_factor_and_stale_air_a_high_one() -> None:
    factors = []
    for minutes in (5, 20, 60, 180):
        equivalent = float(radon.equilibrium_radon(**mixture(minutes * MINUTE)))
        factors.append(equivalent / activities(minutes * MINUTE)["Rn-222"])
    assert factors == sorted(factors)
    assert factors[0] < 0.15
    assert factors[-1] > 0.95


# ---------------------------------------------------------------- exposure and dose


def test_exposure_and_dose_are_what_pint_makes_of_the_same_words() -> None:
    registry: pint.UnitRegistry = pint.UnitRegistry()
    registry.define("WL = 130000 * MeV / liter")
    registry.define("WLM = 170 * hour * WL")
    level = 0.4 * registry.Quantity(8.2, "pCi/L") * registry.Quantity(0.01, "WL/(pCi/L)")
    exposure = level * registry.Quantity(7000, "hour")
    ours = float(
        radon.working_level_of_radon(radon_concentration=si("radon_concentration", "8.2 pCi/L"), equilibrium_factor=0.4)
    )
    assert ours == pytest.approx(level.to("J/m^3").magnitude, rel=1e-12)
    year = float(radon.yearly_exposure(working_level=ours, hours_indoors=7000 * HOUR))
    assert year == pytest.approx(exposure.to("J*s/m^3").magnitude, rel=1e-12)
    assert exposure.to("WLM").magnitude == pytest.approx(1.3506, abs=5e-5)
    for formula, each in ((radon.icrp_dose, 10), (radon.unscear_dose, 5.7)):
        dose = (exposure * registry.Quantity(each, "mSv/WLM")).to("Sv").magnitude
        assert float(formula(yearly_exposure=year)) == pytest.approx(dose, rel=1e-12)
    years = (exposure * 30 * registry.Quantity(5e-4, "1/WLM")).to("dimensionless").magnitude
    assert float(radon_risk.population_risk(yearly_exposure=year, exposure_years=30.0)) == pytest.approx(
        years, rel=1e-12
    )


def test_the_dose_coefficient_per_radon_follows_from_the_one_per_exposure() -> None:
    """ICRP 137 prints 6.7 nSv per Bq h/m3 at an equilibrium factor of 0.4, within the 6 % of its own rounding."""
    level = float(radon.working_level_of_radon(radon_concentration=1.0, equilibrium_factor=0.4))
    dose = float(radon.icrp_dose(yearly_exposure=level * HOUR))
    assert dose == pytest.approx(6.7e-9, rel=0.06)


def test_the_two_doses_differ_by_a_factor_of_nearly_two() -> None:
    both = [float(formula(yearly_exposure=1.0)) for formula in (radon.icrp_dose, radon.unscear_dose)]
    assert both[0] / both[1] == pytest.approx(10 / 5.7)


# ---------------------------------------------------------------- risk


@pytest.mark.parametrize(
    ("formula", "column"),
    [
        (radon_risk.smoker_risk, "current_smokers_per_1000"),
        (radon_risk.never_smoker_risk, "never_smokers_per_1000"),
        (radon_risk.general_risk, "general_population_per_1000"),
    ],
)
def test_the_chart_of_the_guide_is_met_at_every_printed_concentration(formula: Formula, column: str) -> None:
    printed = [(float(row["Bq_m3"]), float(row[column])) for row in table("radon_risk_guide") if row[column]]
    assert len(printed) == 6
    for concentration, deaths in printed:
        assert 1000 * float(formula(radon_concentration=concentration)) == pytest.approx(deaths, rel=1e-12)
    halfway = [(low + high) / 2 for (low, _), (high, _) in pairwise(printed)]
    known, deadly = np.array(sorted(printed)).T
    between = np.interp(np.array(halfway), known, deadly)
    assert [1000 * float(formula(radon_concentration=c)) for c in halfway] == pytest.approx(between, rel=1e-12)


@pytest.mark.parametrize("formula", [radon_risk.smoker_risk, radon_risk.never_smoker_risk, radon_risk.general_risk])
@pytest.mark.parametrize("text", ["0.4 pCi/L", "1.2 pCi/L", "21 pCi/L"])
def test_nothing_is_read_beyond_the_printed_concentrations(formula: Formula, text: str) -> None:
    with pytest.raises(RangeError, match=r"from 1\.25 pCi/L to 20 pCi/L"):
        formula(radon_concentration=si("radon_concentration", text))


def test_the_spread_of_models_is_the_same_for_smokers_and_others_in_the_printed_study() -> None:
    spread = radon_risk.higher_risk.defaults["model_spread"].value
    for most, least in ((6.55, 2.98), (0.42, 0.19)):  # percent, men at 200 Bq/m3: Hunter and others 2015, abstract
        assert spread == pytest.approx(most / least, abs=0.05)


def test_attributable_risks_and_deaths_are_those_of_the_canadian_table() -> None:
    """Chen, Moir and Whyte 2012, Table 1. Its rows are rounded: totals agree within 0.003, deaths within 1."""
    rows = table("radon_relative_risk_canada")
    share = np.array([float(row["homes_pct"]) for row in rows]) / 100
    for who, total, deaths in (("ever", 0.1527, 1639), ("never", 0.2945, 166)):
        excess = np.array([float(row[f"RR_{who}_smoker"]) for row in rows]) - 1
        attributable = float(radon_risk.attributable_risk(excess_risk=float(share @ excess)))
        assert attributable == pytest.approx(total, abs=0.003)
        assert sum(float(row[f"deaths2011_{who}"]) for row in rows) == pytest.approx(deaths, abs=1)


# ---------------------------------------------------------------- two results


def test_mean_and_difference_of_two_results_are_those_of_the_standard_library() -> None:
    rng = np.random.default_rng(3)
    for first, second in rng.uniform(10, 500, (200, 2)).tolist():
        both = {"first_result": first, "second_result": second}
        assert float(radon_tests.pair_mean(**both)) == pytest.approx(mean((first, second)), rel=1e-12)
        low, high = sorted((first, second))
        assert float(radon_tests.pair_low(**both)) == low
        assert float(radon_tests.pair_high(**both)) == high
        assert float(radon_tests.pair_ratio(pair_high=high, pair_low=low)) == pytest.approx(high / low, rel=1e-12)
        apart = float(radon_tests.relative_difference(**both))
        assert apart == pytest.approx((high - low) / mean((first, second)), rel=1e-12)
        # Twice as high is two thirds of the mean apart: the limit of 67 % in the protocol.
        assert (high > 2 * low) == (apart > 2 / 3)


def test_a_higher_result_below_the_lower_one_is_refused() -> None:
    with pytest.raises(RangeError, match="the higher result is no less than the lower"):
        radon_tests.pair_ratio(pair_high=111.0, pair_low=148.0)


@pytest.mark.parametrize(
    ("measured", "reported"),
    [
        ("3.94", "3.9"),
        ("3.949", "3.9"),
        ("3.95", "4.0"),
        ("3.96", "4.0"),
        ("4.04", "4.0"),
        ("4.05", "4.1"),
        ("9.6", "9.6"),
        ("0.04", "0"),
    ],
)
def test_results_are_reported_to_a_tenth_with_the_half_upwards(measured: str, reported: str) -> None:
    found = float(radon_tests.reported_result(radon_concentration=si("radon_concentration", f"{measured} pCi/L")))
    assert found == pytest.approx(si("radon_concentration", f"{reported} pCi/L"), abs=1e-9)


def test_at_the_level_itself_nothing_is_left_of_the_margin() -> None:
    level = si("action_level", "4 pCi/L")
    rounded = float(radon_tests.reported_result(radon_concentration=si("radon_concentration", "3.95 pCi/L")))
    assert float(radon_tests.level_margin(action_level=level, reported_result=rounded)) == pytest.approx(0, abs=1e-9)
    assert float(radon_tests.level_margin(action_level=level, reported_result=level - 37)) == pytest.approx(37)
