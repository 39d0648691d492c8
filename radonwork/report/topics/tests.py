"""Radon tests: what they were, what to do next, the levels, the clauses, and the risk side by side."""

from collections.abc import Iterator, Mapping
from datetime import date, datetime

from radonwork.engine.sources import Source
from radonwork.files import table
from radonwork.formulas import radon_risk
from radonwork.glossary import System, term
from radonwork.house.calculations import Calculation
from radonwork.house.levels import levels
from radonwork.house.next_steps import steps
from radonwork.house.sections.radon import DAY, RadonTest
from radonwork.house.testing import named_level, ran, results
from radonwork.report.blocks import Block, Fold, Items, Para, Strong, Table, Words
from radonwork.report.told import Told
from radonwork.requirements.clauses import clauses
from radonwork.units import decimal, from_unit, shown


def made(calculation: Calculation) -> tuple[Block, ...]:
    """Every test with its result, where and when it was made and how."""
    house, system = calculation.house, calculation.run.system
    found = results(house) if house else ()
    if not house or not found:
        return ()
    unit = term("radon_concentration").unit(system)
    rows: list[tuple[Words, ...]] = []
    for result in found:
        test = result.test
        error = f", counting error {test.counting_error.text}" if test.counting_error else ""
        dates = " to ".join(_when(day) for day in (test.start, test.end) if day) or "not stated"
        length = _length(test)
        kind = ", ".join(part for part in (test.kind, test.device, test.pair and f"pair: {test.pair}") if part)
        system_then = "ran" if ran(house, test) else (test.fan or "not stated").replace("none", "none yet")
        rows.append(
            (
                (str(result.number),),
                (f"{shown(result.concentration.value, unit)}{error}",),
                (kind or "not stated",),
                (test.place or "not stated",),
                (f"{dates}; {length}",),
                (system_then,),
            )
        )
    head = ("Test", "Result", "Kind", "Place", "When, how long", "Suction system")
    return (Table("Radon tests", head, tuple(rows), (1, 4, 4, 4, 4, 2)),)


def _when(on: date) -> str:
    return f"{on:%Y-%m-%d %H:%M}" if isinstance(on, datetime) else str(on)


def _length(test: RadonTest) -> str:
    """How long a test ran, with what bare days leave open."""
    if not test.length:
        return "not stated" if test.lasted() is None else "less than a day"
    unit = "h" if test.length < 10 * DAY else "d"
    return decimal(test.length, unit, 3) + (f" ± {decimal(test.length_error, unit, 3)}" if test.length_error else "")


def next_(calculation: Calculation) -> tuple[Block, ...]:
    """What to do next, each step with the clauses it comes from, and the field that a missing fact belongs in."""
    if calculation.house is None:
        return ()
    items = []
    for step in steps(calculation.house):
        wanted = f" Field: {step.field}." if step.field else ""
        behind = "; ".join(str(one.source) for one in step.clauses)
        items.append((Para((Strong(step.says), f"{wanted} By: {behind}.")),))
    note = (
        "Local rules and licensed practice stand before these documents. No result is free of risk; a low one only carries "
        "less."
    )
    return (Items(tuple(items), ordered=True), Para((note,), "note"))


def level_table(calculation: Calculation) -> tuple[Block, ...]:
    """Action and reference levels, with the date of each and how it was read; the one that the record names is marked."""
    system = calculation.run.system
    own = named_level(calculation.house) if calculation.house else None
    rows: list[tuple[Words, ...]] = []
    for level in levels().values():
        units = [term("radon_concentration").unit(one) for one in _both(system)]
        here: Words = (level.name, Strong(" (this record)")) if own and own.name == level.name else (level.name,)
        read = str(Source(level.source)) if level.source else "known only from memory; decides nothing"
        dated = ", ".join(part for part in (level.document, level.date) if part)
        cells = [" = ".join(decimal(level.quantity.value, unit, 3) for unit in units), level.remark, dated, read]
        rows.append((here, (level.kind,), *((cell,) for cell in cells)))
    head = ("Level of", "Kind", "Level", "Remark", "Document and date", "Read in")
    found: list[Block] = [Table("Action and reference levels", head, tuple(rows), (2, 3, 3, 3, 3, 5))]
    if own is None:
        found.append(Para(("The record names no level (house.level), so none decides here.",), "note"))
    elif own.basis == "own":
        found.append(Para((f"The record states its own level, {own.quantity.text}.",), "note"))
    return tuple(found)


def _both(system: System) -> tuple[System, System]:
    return ("us", "metric") if system == "us" else ("metric", "us")


def clause_table(_calculation: Calculation) -> tuple[Block, ...]:
    """The clauses side by side, with their sources; where documents disagree, both."""
    rows: list[tuple[Words, ...]] = []
    for one in clauses():
        only = f"protocol {one.protocol}" if one.protocol else f"level {one.level}" if one.level else "both"
        note = f" {one.note}" if one.note else ""
        rows.append(((one.says,), (only,), (f"{one.source}.{note}",)))
    return (Fold("Clauses on radon tests", (Table("Clauses on radon tests", _CLAUSES, tuple(rows), (7, 2, 5)),)),)


_CLAUSES = ("What it says, in our words", "Holds with", "Source")


# ---------------------------------------------------------------- risk


def risk(calculation: Calculation) -> tuple[Block, ...]:
    """Lifetime risk at the deciding result by several sources, smokers and people who never smoked side by side."""
    values, system = calculation.run.values, calculation.run.system
    if "radon_concentration" not in values:
        return ()
    at = shown(values["radon_concentration"], term("radon_concentration").unit(system))
    rows = (*_guide(values, system), *_relative(values), *_population(values), *_by_75())
    head = ("Source and what it counts", "People who smoke", "People who never smoked", "Basis and spread")
    return (
        Para(
            (
                f"At {at}. These are figures for populations, not for a person. Sources differ in model, in what they count "
                "and in who is in them, so none stands alone; by model alone they differ by a factor of about two.",
            )
        ),
        Table("Risk side by side", head, tuple(rows), (5, 3, 3, 6)),
        Table("The same for a whole country", ("Counted", "Printed", "Source"), tuple(_nation()), (6, 3, 5)),
        Para(
            ("Most of that risk stands in homes with low results, because there are so many: none is without.",), "note"
        ),
    )


def _printed(key: str) -> dict[str, str]:
    return next(row for row in table("radon_risk_printed") if row["key"] == key)


def _ends(key: str) -> tuple[float, float, float]:
    """Least, middle and most of a printed figure, in SI; the middle is the least where none is printed."""
    row = _printed(key)
    least, middle, most = (row[name] or row["least"] for name in ("least", "middle", "most"))
    low, mid, high = (float(from_unit(float(text), row["unit"])) for text in (least, middle, most))
    return low, mid, high


def _nation() -> Iterator[tuple[Words, ...]]:
    for key in ("deaths_by_two_models", "deaths_range", "deaths_guide", "deaths_guide_never", "share_below_148"):
        row = _printed(key)
        figures = [f"{float(row[name]):,g}" for name in ("least", "middle", "most") if row[name]]
        said = f"{' to '.join(figures)} {row['unit']}".strip()
        if key == "deaths_by_two_models":
            said = " or ".join(figures)
        yield (row["what"],), (said,), (f"{Source(row['source'], row['place'])}.",)


def _per_1000(value: float) -> str:
    return decimal(value, "in 1000", 3)


def _span(low: float, high: float) -> str:
    return f"{_per_1000(low)} to {_per_1000(high)}"


def _guide(values: Mapping[str, float], system: System) -> Iterator[tuple[Words, ...]]:
    name = "Chart of EPA: lifetime lung cancer deaths, current smokers beside people who never smoked"
    source = str(Source("epa-citizens-guide", "risk charts"))
    if "smoker_risk" not in values:
        unit = term("radon_concentration").unit(system)
        least, most = (decimal(end, unit, 3) for end in radon_risk.smoker_risk.ranges["radon_concentration"])
        basis = f"{source}. The chart has figures from {least} to {most} only, and nothing is drawn of it either."
        yield (name,), ("not read",), ("not read",), (basis,)
        return
    smokers, others = (
        f"{_per_1000(values[who])}; another model may give {_span(values[f'{who}_low'], values[f'{who}_high'])}"
        for who in ("smoker_risk", "never_smoker_risk")
    )
    spread = str(Source("hunter-2015", "abstract"))
    factor = decimal(values["model_spread"], "", 2)
    basis = f"{source}. Read straight between printed concentrations. Spread of models, a factor of {factor}: {spread}."
    yield (name,), (smokers,), (others,), (basis,)


def _relative(values: Mapping[str, float]) -> Iterator[tuple[Words, ...]]:
    here = values["radon_concentration"]
    rows = table("radon_relative_risk_canada")
    row = next((r for r in rows if "-" in r["radon_range_Bq_m3"] and here <= _end(r) + 0.5), rows[-1])
    basis = (
        f"{Source('chen-moir-whyte-2012', 'Table 1')}. For {row['radon_range_Bq_m3']} Bq/m³. Over the risk of the like without "
        "radon: more for people who never smoked, because theirs is so much lower to begin with."
    )
    yield (
        ("Canadian men, BEIR VI: lifetime relative risk",),
        (f"{row['RR_ever_smoker']} times (ever smoked)",),
        (f"{row['RR_never_smoker']} times",),
        (basis,),
    )
    odds = [
        float(radon_risk.relative_odds(radon_concentration=here, odds_per_radon=b)) for b in _ends("odds_per_radon")
    ]
    low, middle, high = (f"{one:.3g}" for one in odds)
    yield (
        ("Pooled studies of homes in North America: odds over those without radon",),
        (f"{middle} times, 95 % {low} to {high}",),
        ("the same studies, not told apart",),
        (f"{Source('krewski-2005', 'abstract')}. 1.11 per 100 Bq/m³, 1.00 to 1.28, taken as a straight line.",),
    )


def _end(row: dict[str, str]) -> float:
    return float(row["radon_range_Bq_m3"].partition("-")[2])


def _population(values: Mapping[str, float]) -> Iterator[tuple[Words, ...]]:
    if "population_risk" not in values:
        return
    given = {name: values[name] for name in ("yearly_exposure", "exposure_years")}
    least, _, most = _ends("risk_per_exposure")
    low, high = (float(radon_risk.population_risk(**given, risk_per_exposure=each)) for each in (least, most))
    both = f"{_per_1000(values['population_risk'])}, models {_span(low, high)}: smokers and others together"
    years = decimal(values["exposure_years"], "", 3)
    yield (
        (f"By exposure: lifetime risk from {years} years in this air",),
        (both,),
        ("not told apart",),
        (f"{Source('icrp-115', 'summary')}. 5e-4 per WLM; 2.4e-4 to 7.5e-4 over the models.",),
    )


def _by_75() -> Iterator[tuple[Words, ...]]:
    ends = [_ends(key) for key in ("smokers_by_75", "never_smokers_by_75")]
    factors = " and ".join(decimal(most / least, "", 2) for least, _, most in ends)
    yield (
        ("Men at 200 Bq/m³ (5.4 pCi/L): risk from radon by the age of 75, as printed and not moved to this house",),
        *((_span(least, most),) for least, _, most in ends),
        (f"{Source('hunter-2015', 'abstract')}. The ends are those of several models, a factor of {factors}.",),
    )


TOLD = (
    Told("tests", "Radon tests of this house", made),
    Told("next", "What to do next", next_),
    Told("levels", "Action and reference levels", level_table),
    Told("clauses", "What documents say of tests", clause_table),
    Told("risk", "Risk side by side", risk),
)
