"""Bars to one scale: doses by two coefficients, risks side by side, decay products beside their radon."""

from sympy import Rational, Symbol

from radonwork.drawings.shapes import Drawing, Frame, Number, as_written, largest, terms
from radonwork.engine.formula import Formula
from radonwork.formulas import radon, radon_risk

_WIDE, _BAR = 628, 26  # one unit is one px
_ROOM = 170

EXPOSURE_FORMULAS: tuple[Formula, ...] = (
    radon.working_level_of_radon,
    radon.yearly_exposure,
    radon.icrp_dose,
    radon.unscear_dose,
    radon_risk.population_risk,
)
RISK_FORMULAS: tuple[Formula, ...] = (
    radon_risk.smoker_risk,
    radon_risk.lower_risk,
    radon_risk.higher_risk,
    radon_risk.never_smoker_risk,
    radon_risk.NEVER_SMOKER_LOWER,
    radon_risk.NEVER_SMOKER_HIGHER,
)
GROWTH_FORMULAS: tuple[Formula, ...] = (
    radon.radon_left,
    radon.polonium_activity,
    radon.lead_activity,
    radon.bismuth_activity,
    radon.equilibrium_radon,
    radon.equilibrium_factor,
)


STEADY_FORMULAS: tuple[Formula, ...] = (
    radon.POLONIUM_SHARE,
    radon.LEAD_SHARE,
    radon.BISMUTH_SHARE,
    radon.steady_factor,
)


def _scale(*parts: Number) -> tuple[tuple[Symbol, Number], ...]:
    return ((Symbol("across_of_drawing", positive=True), (_WIDE - _ROOM) / largest(*parts)),)


@as_written
def _dose() -> Drawing:
    icrp, unscear = terms("icrp_dose", "unscear_dose")
    named = _scale(icrp, unscear)
    across = named[0][0]
    drawing = Drawing(
        name="dose",
        title="Dose in a year, by two coefficients",
        alternative=(
            "Two bars to one scale: the dose in a year is {icrp_dose} by the coefficient of ICRP 137 and {unscear_dose} by "
            "that of UNSCEAR, for one and the same exposure of {yearly_exposure}."
        ),
        frame=Frame(0, 0, _WIDE, 150, height=224),
        formulas=EXPOSURE_FORMULAS,
        named=named,
    )
    for top, value, words in ((110, icrp, "ICRP 137: {icrp_dose}"), (64, unscear, "UNSCEAR: {unscear_dose}")):
        drawing.rectangle("gravel", 0, top - _BAR, value * across, top)
        drawing.text((value * across, top - _BAR / 2), words, "start", (10, 4))
    drawing.line("outline", [(0, 30), (0, 118)])
    drawing.text((0, 142), "one exposure, {yearly_exposure} in a year, by two coefficients", "start")
    drawing.text((0, 8), "neither is wrong: the coefficients differ by a factor of nearly two", "start", kind="pale")
    return drawing


@as_written
def _risk() -> Drawing:
    smoker, low, high = terms("smoker_risk", "smoker_risk_low", "smoker_risk_high")
    never, never_low, never_high = terms("never_smoker_risk", "never_smoker_risk_low", "never_smoker_risk_high")
    named = _scale(high)
    across = named[0][0]
    drawing = Drawing(
        name="risk",
        title="Lifetime risk side by side",
        alternative=(
            "Two bars to one scale, lifetime lung cancer deaths per 1000 people who spend a lifetime at "
            "{radon_concentration}: {smoker_risk} of current smokers, where another model may give {smoker_risk_low:2} to "
            "{smoker_risk_high:2}, and {never_smoker_risk} of people who never smoked, {never_smoker_risk_low:2} to "
            "{never_smoker_risk_high:2}."
        ),
        frame=Frame(0, 0, _WIDE, 190, height=264),
        formulas=RISK_FORMULAS,
        named=named,
    )
    for top, value, ends in ((142, smoker, (low, high)), (76, never, (never_low, never_high))):
        drawing.rectangle("gravel", 0, top - _BAR, value * across, top)
        middle = top - _BAR / 2
        drawing.line("accent", [(ends[0] * across, middle), (ends[1] * across, middle)])
        for end in ends:
            drawing.line("accent", [(end * across, middle - 7), (end * across, middle + 7)])
    drawing.line("outline", [(0, 42), (0, 150)])
    for top, who, risk in ((142, "current smokers", "smoker_risk"), (76, "never smoked", "never_smoker_risk")):
        words = f"{who}: {{{risk}}}; other models {{{risk}_low:2}} to {{{risk}_high:2}}"
        drawing.text((0, top), words, "start", (4, -7))
    drawing.text((0, 182), "deaths by lung cancer over a lifetime at {radon_concentration}", "start")
    drawing.text(
        (0, 20),
        "bar: chart of EPA; line: what another model may give, a factor of {model_spread}",
        "start",
        kind="pale",
    )
    drawing.text((0, 2), "either way. Nothing is drawn for a person: these are populations.", "start", kind="pale")
    return drawing


_TALL = 190  # px of full equilibrium
_STEP = 110


def _columns(
    name: str, title: str, alternative: str, formulas: tuple[Formula, ...], columns: tuple[tuple[Number, str, str], ...],
    factor: Number, over: str, said: str,
) -> Drawing:  # fmt: skip
    """Columns of activity beside that of the radon; the equivalent of the mixture is a line across them."""
    drawing = Drawing(
        name=name, title=title, alternative=alternative, frame=Frame(0, -44, _WIDE, 250, height=364), formulas=formulas
    )
    for place, (height, words, value) in enumerate(columns):
        left = 20 + place * _STEP
        drawing.rectangle("water" if place == 0 else "gravel", left, 0, left + 66, height * _TALL)
        drawing.text((left + 33, 0), words, shift=(0, 17))
        drawing.text((left + 33, 0), value, shift=(0, 35), kind="pale")
    drawing.line("outline", [(0, 0), (_STEP * len(columns) + 20, 0)])
    drawing.line("accent", [(0, factor * _TALL), (_STEP * len(columns) + 20, factor * _TALL)])
    drawing.text((_STEP * len(columns) + 26, factor * _TALL), said, "start", (0, 4), kind="accent")
    drawing.text((0, 236), over, "start")
    return drawing


@as_written
def _growth() -> Drawing:
    start, rn, po, pb, bi, equal = terms(
        "radon_at_start", "radon_left", "polonium_activity", "lead_activity", "bismuth_activity", "equilibrium_radon"
    )
    return _columns(
        "growth",
        "Decay products growing in",
        (
            "Columns to one scale, {air_age} after air with {radon_at_start} of radon and no decay products came in: radon "
            "{radon_left}, polonium-218 {polonium_activity}, lead-214 {lead_activity}, bismuth-214 {bismuth_activity}. A "
            "line across shows the equilibrium equivalent, {equilibrium_radon}: a factor of {equilibrium_factor}."
        ),
        GROWTH_FORMULAS,
        (
            (rn / start, "radon-222", "{radon_left}"),
            (po / start, "polonium-218", "{polonium_activity}"),
            (pb / start, "lead-214", "{lead_activity}"),
            (bi / start, "bismuth-214", "{bismuth_activity}"),
        ),
        equal / start,
        "air {air_age} old; nothing settles on walls",
        "factor {equilibrium_factor}",
    )


@as_written
def _steady() -> Drawing:
    po, pb, bi, factor = terms("polonium_share", "lead_share", "bismuth_share", "steady_factor")
    return _columns(
        "steady",
        "Decay products in air that is exchanged",
        (
            "Columns to one scale, in air exchanged at {air_change_rate} while decay products settle at {plateout_rate}: "
            "radon as one, then polonium-218, lead-214 and bismuth-214, each a share of the one before: {polonium_share}, "
            "{lead_share}, {bismuth_share}. A line across shows the equilibrium factor, {steady_factor}."
        ),
        STEADY_FORMULAS,
        (
            (Rational(1), "radon-222", "1"),
            (po, "polonium-218", "{polonium_share} of it"),
            (po * pb, "lead-214", "{lead_share} of it"),
            (po * pb * bi, "bismuth-214", "{bismuth_share} of it"),
        ),
        factor,
        "air exchanged at {air_change_rate}, settling at {plateout_rate}",
        "factor {steady_factor}",
    )


DOSE, RISK, GROWTH, STEADY = _dose(), _risk(), _growth(), _steady()
