"""Radon and what it turns into: decay products, equilibrium, working level, exposure and dose.

Half-lives are those of the data set of radioactivedecay, alpha energies those from which the working level is rebuilt.
Every dose names whose coefficient it uses: the two in use differ by a factor of about two.
"""

from sympy import Rational, log

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

# Half-lives and alpha energies of the chain.
_RADON, _POLONIUM, _LEAD, _BISMUTH = "3.8235 d", "3.10 min", "26.8 min", "19.9 min"
_FIRST_ALPHA, _SECOND_ALPHA = "6.00 MeV", "7.69 MeV"
_CHAIN = Source(kind="derived", place="what decays of one kind is made of the next: Bateman's chain")
_ALPHA = Source(kind="derived", place="alpha energy still to come, atom by atom")
_STEADY = Source(kind="derived", place="steady balance of each decay product")

# ---------------------------------------------------------------- decay and ingrowth


@formula("decay_constant", Source(kind="derived", place="each atom decays with the same chance at any time"))
def decay_constant(half_life):
    """Share of the atoms that decays in a time, from the half-life."""
    return log(2) / half_life


@formula("radon_left", _CHAIN)
def radon_left(radon_at_start, air_age, radon_half_life=_RADON):
    """Radon left in air that came in some time ago.

    Assumes that no more radon comes in.
    """
    return radon_at_start * 2 ** (-air_age / radon_half_life)


@formula("polonium_activity", _CHAIN, air_age=("0 s", "30 d"))
def polonium_activity(radon_at_start, air_age, radon_half_life=_RADON, polonium_half_life=_POLONIUM):
    """Polonium-218 in air that came in with radon and no decay products.

    Assumes that nothing settles on walls and no more radon comes in.
    """
    T, P = radon_half_life, polonium_half_life
    return radon_at_start * T / (T - P) * (2 ** (-air_age / T) - 2 ** (-air_age / P))


@formula("lead_activity", _CHAIN, air_age=("1 s", "30 d"))
def lead_activity(radon_at_start, air_age, radon_half_life=_RADON, polonium_half_life=_POLONIUM, lead_half_life=_LEAD):
    """Lead-214 in air that came in with radon and no decay products.

    Assumes that nothing settles on walls and no more radon comes in. A fiftieth of a percent of the polonium takes
    another way and is left out.
    """
    T, P, L = radon_half_life, polonium_half_life, lead_half_life
    return radon_at_start * (
        T**2 / ((T - P) * (T - L)) * 2 ** (-air_age / T)
        + T * P / ((P - T) * (P - L)) * 2 ** (-air_age / P)
        + T * L / ((L - T) * (L - P)) * 2 ** (-air_age / L)
    )


@formula("bismuth_activity", _CHAIN, air_age=("1 s", "30 d"))
def bismuth_activity(
    radon_at_start,
    air_age,
    radon_half_life=_RADON,
    polonium_half_life=_POLONIUM,
    lead_half_life=_LEAD,
    bismuth_half_life=_BISMUTH,
):
    """Bismuth-214, and with it polonium-214, in air that came in with radon and no decay products.

    Assumes that nothing settles on walls and no more radon comes in. Polonium-214 lives a sixth of a millisecond and is
    always as active as the bismuth.
    """
    T, P, L, B = radon_half_life, polonium_half_life, lead_half_life, bismuth_half_life
    return radon_at_start * (
        T**3 / ((T - P) * (T - L) * (T - B)) * 2 ** (-air_age / T)
        + T * P**2 / ((P - T) * (P - L) * (P - B)) * 2 ** (-air_age / P)
        + T * L**2 / ((L - T) * (L - P) * (L - B)) * 2 ** (-air_age / L)
        + T * B**2 / ((B - T) * (B - P) * (B - L)) * 2 ** (-air_age / B)
    )


# ---------------------------------------------------------------- alpha energy, equilibrium


@formula("working_level", _ALPHA)
def potential_alpha_energy(
    polonium_activity,
    lead_activity,
    bismuth_activity,
    polonium_half_life=_POLONIUM,
    lead_half_life=_LEAD,
    bismuth_half_life=_BISMUTH,
    first_alpha=_FIRST_ALPHA,
    second_alpha=_SECOND_ALPHA,
):
    """Alpha energy that the decay products in the air will give off.

    Assumes lead-210 and what follows it never decays in the time that counts.
    """
    atoms = (
        polonium_half_life * polonium_activity,
        lead_half_life * lead_activity,
        bismuth_half_life * bismuth_activity,
    )
    return ((first_alpha + second_alpha) * atoms[0] + second_alpha * (atoms[1] + atoms[2])) / log(2)


@formula("equilibrium_radon", _ALPHA)
def equilibrium_radon(
    polonium_activity,
    lead_activity,
    bismuth_activity,
    polonium_half_life=_POLONIUM,
    lead_half_life=_LEAD,
    bismuth_half_life=_BISMUTH,
    first_alpha=_FIRST_ALPHA,
    second_alpha=_SECOND_ALPHA,
):
    """Equilibrium equivalent concentration of the decay products in the air."""
    first = (first_alpha + second_alpha) * polonium_half_life
    second, third = second_alpha * lead_half_life, second_alpha * bismuth_half_life
    return (first * polonium_activity + second * lead_activity + third * bismuth_activity) / (first + second + third)


# In air left to itself the factor ends at 1.0063, a little above one because the radon decays too; nothing makes it more.
_MOST_FACTOR = Rational("1.01")


@formula(
    "equilibrium_factor",
    Source("doe-std-1121-98", "definition of the equilibrium factor"),
    when={
        "the decay products are worth no more than their radon can make, 1 % above it": lambda equilibrium_radon, radon_left: (
            equilibrium_radon <= _MOST_FACTOR * radon_left
        ),
    },
)
def equilibrium_factor(equilibrium_radon, radon_left):
    """Equilibrium factor: how much of the alpha energy of full equilibrium is in the air.

    Assumes that the radon left is what is in the air now, beside these decay products.
    """
    return equilibrium_radon / radon_left


@formula("activity_share", _STEADY)
def activity_share(half_life, air_change_rate, plateout_rate):
    """Activity of a decay product over that of the one before it, in air that is steadily exchanged.

    Assumes fresh air without decay products, one well-mixed room, and one rate at which all of them settle. Products not
    yet on dust settle many times faster, polonium-218 most of all.
    """
    return 1 / (1 + (air_change_rate + plateout_rate) * half_life / log(2))


POLONIUM_SHARE = activity_share.with_terms(
    "polonium_share", "polonium_share", "Polonium-218 over radon in steady air", half_life="polonium_half_life"
)
LEAD_SHARE = activity_share.with_terms(
    "lead_share", "lead_share", "Lead-214 over polonium-218 in steady air", half_life="lead_half_life"
)
BISMUTH_SHARE = activity_share.with_terms(
    "bismuth_share", "bismuth_share", "Bismuth-214 over lead-214 in steady air", half_life="bismuth_half_life"
)


@formula("steady_factor", _STEADY, polonium_share=("0", "1"), lead_share=("0", "1"), bismuth_share=("0", "1"))
def steady_factor(
    polonium_share,
    lead_share,
    bismuth_share,
    polonium_half_life=_POLONIUM,
    lead_half_life=_LEAD,
    bismuth_half_life=_BISMUTH,
    first_alpha=_FIRST_ALPHA,
    second_alpha=_SECOND_ALPHA,
):
    """Equilibrium factor of air that is steadily exchanged, from the share of each decay product."""
    first = (first_alpha + second_alpha) * polonium_half_life
    second, third = second_alpha * lead_half_life, second_alpha * bismuth_half_life
    shares = first * polonium_share + polonium_share * lead_share * (second + third * bismuth_share)
    return shares / (first + second + third)


# ---------------------------------------------------------------- exposure and dose


@formula(
    "working_level",
    Source("doe-std-1121-98", "Table IV: 1 pCi/L in equilibrium is 0.01 WL"),
    equilibrium_factor=("0", str(float(_MOST_FACTOR))),
)
def working_level_of_radon(radon_concentration, equilibrium_factor, energy_per_radon="0.01 WL/(pCi/L)"):
    """Working level that goes with a radon concentration.

    Assumes the rounded definition, 100 pCi/L in equilibrium for one working level: 1.1 % more than from the half-lives.
    """
    return equilibrium_factor * energy_per_radon * radon_concentration


@formula(
    "yearly_exposure",
    Source("nas-beir-glossary", "p. 404: one working level for 170 hours is one WLM"),
    hours_indoors=("0 h", "8784 h"),  # a leap year
)
def yearly_exposure(working_level, hours_indoors):
    """Exposure in a year to the decay products of the air.

    Assumes that the air elsewhere adds nothing.
    """
    return working_level * hours_indoors


@formula("icrp_dose", Source("icrp-137", "summary of dose coefficients: homes and most workplaces"))
def icrp_dose(yearly_exposure, icrp_coefficient="10 mSv/WLM"):
    """Effective dose in a year by the coefficient of ICRP 137.

    Assumes the rounded coefficient; the same document prints 3 mSv per mJ h/m³, 6 % more.
    """
    return icrp_coefficient * yearly_exposure


@formula("unscear_dose", Source("unscear-dose-coefficient", "abstract"))
def unscear_dose(yearly_exposure, unscear_coefficient="5.7 mSv/WLM"):
    """Effective dose in a year by the coefficient of UNSCEAR, about half of that of ICRP 137."""
    return unscear_coefficient * yearly_exposure
