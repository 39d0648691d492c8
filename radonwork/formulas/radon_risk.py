"""What radon does to a lifetime's risk of lung cancer, by several sources side by side.

No single figure is meant to stand alone: each has its basis, smokers and people who never smoked differ by a factor of
seven or more, and models differ by about two.
"""

from fractions import Fraction
from itertools import pairwise

import sympy
from sympy import Piecewise, Rational

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source
from radonwork.files import table

_GUIDE = Source("epa-citizens-guide", "risk charts, per 1000 people exposed over a lifetime")
_ASSESSMENT = Source("epa-402-r-03-003", "chart of lifetime risk by radon level, general population")
_RANGE = ("1.25 pCi/L", "20 pCi/L")


def _between_printed(radon: sympy.Symbol, unit: sympy.Symbol, column: str) -> sympy.Expr:
    """Straight from each printed concentration of the chart, in pCi/L, to the next; nothing beyond the first and last."""
    printed = sorted(
        (Fraction(row["Bq_m3"]) / 37, Fraction(row[column])) for row in table("radon_risk_guide") if row[column]
    )
    reading = radon / unit
    pieces = []
    for (low, risk), (high, more) in pairwise([(Rational(at), Rational(risk)) for at, risk in printed]):
        pieces.append(((risk + (more - risk) * (reading - low) / (high - low)) / 1000, reading <= high))
    return Piecewise(*pieces[:-1], (pieces[-1][0], True))


@formula("smoker_risk", _GUIDE, radon_concentration=_RANGE)
def smoker_risk(radon_concentration, unit_concentration="1 pCi/L"):
    """Lifetime lung cancer deaths among current smokers, by the chart of EPA.

    Assumes a lifetime in that air; read straight between the printed concentrations, and never beyond them.
    """
    return _between_printed(radon_concentration, unit_concentration, "current_smokers_per_1000")


@formula("never_smoker_risk", _GUIDE, radon_concentration=_RANGE)
def never_smoker_risk(radon_concentration, unit_concentration="1 pCi/L"):
    """Lifetime lung cancer deaths among people who have never smoked, by the chart of EPA.

    Assumes a lifetime in that air; read straight between the printed concentrations, and never beyond them.
    """
    return _between_printed(radon_concentration, unit_concentration, "never_smokers_per_1000")


@formula("general_risk", _ASSESSMENT, radon_concentration=_RANGE)
def general_risk(radon_concentration, unit_concentration="1 pCi/L"):
    """Lifetime lung cancer deaths among smokers and others together, by the assessment of EPA.

    Assumes a lifetime in that air, and as many smokers as the assessment counted; read straight between the printed
    concentrations, and never beyond them.
    """
    return _between_printed(radon_concentration, unit_concentration, "general_population_per_1000")


_MODELS = Source("hunter-2015", "abstract: 2.98 to 6.55 % over the models, and 0.19 to 0.42 %")


@formula("smoker_risk_low", _MODELS, smoker_risk=("0", "1"), model_spread=("1", "10"))
def lower_risk(smoker_risk, model_spread="2.2"):
    """The least that another model may give.

    Assumes that the chart's model may be the highest of those that differ by this factor.
    """
    return smoker_risk / model_spread


@formula(
    "smoker_risk_high",
    _MODELS,
    when={"nobody dies twice": lambda smoker_risk, model_spread: smoker_risk * model_spread <= 1},
    smoker_risk=("0", "1"),
    model_spread=("1", "10"),
)
def higher_risk(smoker_risk, model_spread="2.2"):
    """The most that another model may give.

    Assumes that the chart's model may be the lowest of those that differ by this factor.
    """
    return smoker_risk * model_spread


# The same for people who have never smoked: the study found the same factor for both.
NEVER_SMOKER_LOWER = lower_risk.with_terms(
    "never_smoker_lower_risk",
    gives="never_smoker_risk_low",
    title="The least that another model may give for people who never smoked",
    smoker_risk="never_smoker_risk",
)
NEVER_SMOKER_HIGHER = higher_risk.with_terms(
    "never_smoker_higher_risk",
    gives="never_smoker_risk_high",
    title="The most that another model may give for people who never smoked",
    smoker_risk="never_smoker_risk",
)


@formula("relative_odds", Source("krewski-2005", "abstract: 1.11 per 100 Bq/m3, 1.00 to 1.28"))
def relative_odds(radon_concentration, odds_per_radon="11 %/(100 Bq/m3)"):
    """Odds of lung cancer over those without radon, from the pooled studies of North America.

    Assumes that the odds rise in a straight line with radon, as far as the studies went: homes, nearly all of them below
    some 1000 Bq/m³.
    """
    return 1 + odds_per_radon * radon_concentration


@formula(
    "population_risk",
    Source("icrp-115", "summary: 5e-4 per WLM; other models 2.4e-4 to 7.5e-4"),
    when={
        "a straight line still stands for the risk, which cannot come to more than one": lambda yearly_exposure, exposure_years, risk_per_exposure: (  # noqa: E501
            risk_per_exposure * exposure_years * yearly_exposure <= 1
        ),
    },
)
def population_risk(yearly_exposure, exposure_years, risk_per_exposure="5e-4 1/WLM"):
    """Lifetime risk of lung cancer for smokers and others together, from their exposure.

    Assumes a population of which some smoke; it is neither the risk of a smoker nor that of somebody who never smoked.

    Assumes a straight line, found where exposures are low: miners show the risk at some 50 WLM, homes at some 200 Bq/m³.
    The source states no end of it; far above, it says too much.
    """
    return risk_per_exposure * exposure_years * yearly_exposure


@formula("attributable_risk", Source(kind="derived", place="cancers with and without radon, over all homes"))
def attributable_risk(excess_risk):
    """Share of the lung cancers that would not be there without radon."""
    return excess_risk / (1 + excess_risk)
