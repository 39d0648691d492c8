"""The calculations of one house: its facts through the sheet of each topic, and what the rules say of the results."""

from collections.abc import Mapping
from dataclasses import dataclass

from radonwork.engine.sheet import Run
from radonwork.glossary import term
from radonwork.house.job import Assumed, Topic, assumed, topics
from radonwork.house.record import House
from radonwork.house.sheets import sheet
from radonwork.requirements.rules import Finding, judge, requirements_of
from radonwork.units import Quantity


@dataclass(frozen=True)
class Calculation:
    """One topic worked for one house.

    `missing` maps each absent term to the field of the record that would supply it; `assumed` are values taken where
    the record states none.
    """

    topic: Topic
    run: Run
    findings: tuple[Finding, ...]
    missing: Mapping[str, str]
    assumed: tuple[Assumed, ...] = ()


def stated(house: House, key: str, terms: tuple[str, ...]) -> tuple[dict[str, Quantity], tuple[Assumed, ...]]:
    """The facts of a house as the topic `key` takes them, and what is assumed of `terms` where it states none."""
    facts = dict(house.facts())
    facts |= {name: facts[other] for name, other in topics()[key].instead.items() if other in facts}
    taken = tuple(entry for name, entry in assumed().items() if name in terms and name not in facts)
    return {entry.term: term(entry.term).read(entry.value) for entry in taken} | facts, taken


def calculate(house: House, key: str, changed: Mapping[str, Quantity] | None = None) -> Calculation:
    """The topic `key` for `house`; `changed` stands in for facts of the record (a control that was moved)."""
    worked = sheet(key, house)
    given, taken = stated(house, key, worked.takes)
    changed = changed or {}
    taken = tuple(entry for entry in taken if entry.term not in changed)
    run = worked.run(given | dict(changed), house.system)
    words = house.words()
    # A rule about a quantity is not met by what was merely assumed of it.
    known = {name: value for name, value in run.values.items() if name not in {entry.term for entry in taken}}
    findings = tuple(judge(rule, known, words, run.samples, house.system) for rule in requirements_of(key))
    absent = [name for names in run.missing.values() for name in names]
    return Calculation(topics()[key], run, findings, house.missing(absent), taken)


def calculations(house: House) -> tuple[Calculation, ...]:
    """Every topic built so far, in the order of the job."""
    return tuple(calculate(house, key) for key in topics())
