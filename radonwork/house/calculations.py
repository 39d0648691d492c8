"""The calculations of one house: its facts through the sheet of each topic, and what the rules say of the results."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache

from radonwork.engine.sheet import Run, Sheet
from radonwork.glossary import term
from radonwork.house import scope
from radonwork.house.job import Assumed, Topic, assumed, topics
from radonwork.house.record import House
from radonwork.house.sheets import from_readings, sheet
from radonwork.requirements.rules import Finding, judge, requirements_of
from radonwork.units import Quantity, decimal


@dataclass(frozen=True)
class Calculation:
    """One topic worked for one house.

    `missing` maps each absent term to the field of the record that would supply it; `assumed` are values taken where
    the record states none; `flow` says which flow of air was taken, where the topic takes one.
    """

    topic: Topic
    run: Run
    findings: tuple[Finding, ...]
    missing: Mapping[str, str]
    assumed: tuple[Assumed, ...] = ()
    house: House | None = None
    flow: str = ""


def stated(house: House, key: str, terms: tuple[str, ...]) -> tuple[dict[str, Quantity], tuple[Assumed, ...]]:
    """The facts of a house as the topic `key` takes them, and what is assumed of `terms` where it states none.

    The flow of air is that at which fan and system of the house meet, or else the flow the record is designed for.
    """
    facts = dict(house.facts())
    if "air_flow" in terms and (solved := operating_flow(house)):
        facts["air_flow"] = solved
    facts |= {name: facts[other] for name, other in topics()[key].instead.items() if other in facts}
    told = (*from_readings(key, house), *assumed(key).values())
    taken = tuple(entry for entry in told if entry.term in terms and entry.term not in facts)
    return {entry.term: term(entry.term).read(entry.value) for entry in taken} | facts, taken


@lru_cache(maxsize=16)
def operating_flow(house: House) -> Quantity | None:
    """The flow at which fan and system of a house meet, with what the stated tolerances do to it; None if not known."""
    if not (house.fan and house.run):
        return None
    run = calculate(house, "air").run
    if "operating_flow" not in run.values:
        return None
    value, unit = run.values["operating_flow"], term("air_flow").unit(house.system)
    low, high = run.spread("operating_flow") or (value, value)
    tolerance = max(high - value, value - low)
    return Quantity(value, unit, tolerance, "")


def _flow_taken(house: House, given: Mapping[str, Quantity], takes: tuple[str, ...]) -> str:
    """Which flow of air a topic took, in words."""
    if "air_flow" not in takes or "air_flow" not in given:
        return ""
    unit, design = term("air_flow").unit(house.system), house.facts().get("air_flow")
    flow = decimal(given["air_flow"].value, unit)
    if operating_flow(house) is None:
        return f"The flow of air is the design flow of the record, {flow}; a fan and a route would settle the real one."
    beside = f"; the record is designed for {decimal(design.value, unit)}" if design else ""
    return f"The flow of air is that at which fan and system of this house meet, {flow}{beside}."


def calculate(house: House, key: str, changed: Mapping[str, Quantity] | None = None) -> Calculation:
    """The topic `key` for `house`.

    `changed` stands in for facts of the record (a control that was moved), and for what the topic would work out itself.
    """
    if changed:
        return _calculated(house, key, changed)
    if key not in house.worked:
        house.worked[key] = _calculated(house, key, {})
    found: Calculation = house.worked[key]
    return found


def _calculated(house: House, key: str, changed: Mapping[str, Quantity]) -> Calculation:
    worked = _without(sheet(key, house), changed)
    given, taken = stated(house, key, tuple(name for name in worked.takes if name not in changed))
    flow = "" if "air_flow" in changed else _flow_taken(house, given, worked.takes)
    taken = tuple(entry for entry in taken if entry.term not in changed)
    run = worked.run(given | dict(changed), house.system)
    words = house.words()
    # A rule about a quantity is not met by what was merely assumed of it.
    known = {name: value for name, value in run.values.items() if name not in {entry.term for entry in taken}}
    why = _why_not(run)
    because = {**scope.because(house), **why}
    findings = tuple(
        judge(rule, known, words, run.samples, house.system, because) for rule in requirements_of(key)
    )  # fmt: skip
    if key == "framing":  # its holes are judged one by one
        from radonwork.house.cutting import with_cuts

        findings = with_cuts(findings, house, changed)
    absent = {} if _foreign(findings) else _missing(house, topics()[key], run, why)
    return Calculation(topics()[key], run, findings, absent, taken, house, flow)


def _without(worked: Sheet, changed: Mapping[str, Quantity]) -> Sheet:
    """The sheet without the statements in whose place values stand."""
    if not any(changed.keys() >= set(statement.gives) for statement in worked.statements):
        return worked
    statements = tuple(one for one in worked.statements if not changed.keys() >= set(one.gives))
    return Sheet(worked.name, worked.title, statements, worked.optional)


def _why_not(run: Run) -> dict[str, str]:
    """By term, why it could not be worked though nothing was missing: a value out of the range of the statement before."""
    why: dict[str, str] = {}
    for statement in run.sheet.statements:
        reason = run.refused.get(statement.name)
        absent = run.missing.get(statement.name, ())
        reason = reason or next((why[name] for name in absent if name in why), None)
        if reason:
            why |= {name: reason for name in statement.gives if name not in run.values}
    return why


def _foreign(findings: tuple[Finding, ...]) -> bool:
    """Whether a topic does not concern this house at all, so that nothing is missing of it."""
    return bool(findings) and all(finding.verdict == "does not apply" for finding in findings)


def _missing(house: House, topic: Topic, run: Run, why: Mapping[str, str]) -> dict[str, str]:
    """The fields of the record that would supply terms; a route and a fan stand there as lists.

    A term that only a refused statement withholds (`why` tells) is not missing.
    """
    # What the list of openings gives is there when a statement takes it; a height is worked out where there is a roof.
    worked = {name for statement in run.sheet.statements for name in statement.gives} & set(topic.works_out)
    absent = [name for names in run.missing.values() for name in names if name not in why and name not in worked]
    fields = house.missing(absent)
    if all(name in fields for name in absent):
        return fields
    from radonwork.house.air_wanted import lacking

    return {name: field for name, field in lacking(house).items() if name in absent} | fields


def calculations(house: House, parts: Collection[int] = ()) -> tuple[Calculation, ...]:
    """Every topic, or those of these `parts` of the job, in its order."""
    return tuple(calculate(house, key) for key, topic in topics().items() if not parts or topic.part in parts)
