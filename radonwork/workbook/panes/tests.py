"""Radon tests: what its panels hold."""

from radonwork.drawings import radon_bars as bars
from radonwork.drawings.test_strip import PAIR, PAIR_FORMULAS
from radonwork.engine.sheet import Sheet
from radonwork.house.job import assumed
from radonwork.house.record import House
from radonwork.workbook.panel import Pane


def panes(_house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    usual = assumed("tests")
    air = {"equilibrium_factor": usual["equilibrium_factor"].value, "hours_indoors": usual["hours_indoors"].value}
    here = {"radon_concentration": "4 pCi/L"}
    return (
        Pane(
            title="Two results of a pair",
            topic="tests",
            sheet=Sheet("pair", "Two results of a pair", PAIR_FORMULAS),
            controls=("first_result", "second_result", "action_level"),
            drawing=PAIR,
            result="The two differ by {relative_difference} of their mean, {pair_mean}, which is reported as "
            "{reported_result}: {level_margin?below|at|above} the level of {action_level}.",
            worked=("relative_difference", "pair_mean", "reported_mean"),
            defaults={"first_result": "10.1 pCi/L", "second_result": "9.1 pCi/L", "action_level": "4 pCi/L"},
        ),
        Pane(
            title="What a level adds up to in a year",
            topic="tests",
            sheet=Sheet("exposure", "Exposure and dose", bars.EXPOSURE_FORMULAS),
            controls=("radon_concentration", "equilibrium_factor", "hours_indoors", "exposure_years"),
            drawing=bars.DOSE,
            result="{radon_concentration} is {working_level}, and {yearly_exposure} in a year: {icrp_dose} by the coefficient "
            "of ICRP 137, {unscear_dose} by that of UNSCEAR. After {exposure_years} such years the lifetime risk by ICRP 115 is "
            "{population_risk}, for smokers and others together; models differ by a factor of about two.",
            worked=("working_level_of_radon", "yearly_exposure", "icrp_dose", "unscear_dose", "population_risk"),
            defaults=here | air | {"exposure_years": usual["exposure_years"].value},
        ),
        Pane(
            title="Risk side by side",
            topic="tests",
            sheet=Sheet("risk", "Risk side by side", bars.RISK_FORMULAS),
            controls=("radon_concentration", "model_spread"),
            drawing=bars.RISK,
            result="At {radon_concentration} over a lifetime, the chart of EPA has {smoker_risk} of current smokers die by lung "
            "cancer and {never_smoker_risk} of people who never smoked. Another model may give {smoker_risk_low} to "
            "{smoker_risk_high} and {never_smoker_risk_low} to {never_smoker_risk_high}.",
            worked=("smoker_risk", "never_smoker_risk"),
            defaults=here,
        ),
        Pane(
            title="Decay products grow in",
            topic="tests",
            sheet=Sheet("growth", "Decay products of radon", bars.GROWTH_FORMULAS),
            controls=("air_age", "radon_at_start"),
            drawing=bars.GROWTH,
            result="In air {air_age} old, {radon_left} of radon are left. The decay products stand at {polonium_activity}, "
            "{lead_activity} and {bismuth_activity}, worth {equilibrium_radon} in equilibrium: a factor of {equilibrium_factor}.",
            worked=("polonium_activity", "lead_activity", "equilibrium_radon", "equilibrium_factor"),
            defaults={"air_age": "40 min", "radon_at_start": "10 pCi/L"},
            judged=False,
        ),
        Pane(
            title="Decay products in air that is exchanged",
            topic="tests",
            sheet=Sheet("steady", "Decay products in steady air", bars.STEADY_FORMULAS),
            controls=("air_change_rate", "plateout_rate"),
            drawing=bars.STEADY,
            result="With {air_change_rate} of fresh air and {plateout_rate} of settling, the equilibrium factor is "
            "{steady_factor}. Airing lowers the factor as well as the radon.",
            worked=("polonium_share", "lead_share", "bismuth_share", "steady_factor"),
            defaults={"air_change_rate": "0.35 1/h", "plateout_rate": "0.5 1/h"},
            judged=False,
        ),
    )
