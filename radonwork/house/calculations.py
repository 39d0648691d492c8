"""The calculations of one house: its facts through the sheet of each topic, and what the rules say of the results."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache

from radonwork.engine.sheet import Run
from radonwork.glossary import term
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
    """The topic `key` for `house`; `changed` stands in for facts of the record (a control that was moved)."""
    if changed:
        return _calculated(house, key, changed)
    if key not in house.worked:
        house.worked[key] = _calculated(house, key, {})
    found: Calculation = house.worked[key]
    return found


def _calculated(house: House, key: str, changed: Mapping[str, Quantity]) -> Calculation:
    worked = sheet(key, house)
    given, taken = stated(house, key, tuple(name for name in worked.takes if name not in changed))
    flow = "" if "air_flow" in changed else _flow_taken(house, given, worked.takes)
    taken = tuple(entry for entry in taken if entry.term not in changed)
    run = worked.run(given | dict(changed), house.system)
    words = house.words()
    # A rule about a quantity is not met by what was merely assumed of it.
    known = {name: value for name, value in run.values.items() if name not in {entry.term for entry in taken}}
    findings = tuple(judge(rule, known, words, run.samples, house.system) for rule in requirements_of(key))
    if key == "framing":  # its holes are judged one by one
        from radonwork.house.cutting import with_cuts

        findings = with_cuts(findings, house, changed)
    absent = [name for names in run.missing.values() for name in names]
    return Calculation(topics()[key], run, findings, _missing(house, absent), taken, house, flow)


def _missing(house: House, absent: list[str]) -> dict[str, str]:
    """The fields of the record that would supply terms; a route and a fan stand there as lists."""
    fields = house.missing(absent)
    if all(name in fields for name in absent):
        return fields
    from radonwork.house.air_wanted import lacking

    return {name: field for name, field in lacking(house).items() if name in absent} | fields


def calculations(house: House, parts: Collection[int] = ()) -> tuple[Calculation, ...]:
    """Every topic, or those of these `parts` of the job, in its order."""
    return tuple(calculate(house, key) for key, topic in topics().items() if not parts or topic.part in parts)
