"""The calculations of one house: its facts through the sheet of each topic, and what the rules say of the results."""

from collections.abc import Mapping
from dataclasses import dataclass

from radonwork.engine.sheet import Run
from radonwork.house.job import Topic, topics
from radonwork.house.record import House
from radonwork.house.sheets import sheet
from radonwork.requirements.rules import Finding, judge, requirements_of
from radonwork.units import Quantity


@dataclass(frozen=True)
class Calculation:
    """One topic worked for one house. `missing` maps each absent term to the field of the record that would supply it."""

    topic: Topic
    run: Run
    findings: tuple[Finding, ...]
    missing: Mapping[str, str]


def calculate(house: House, key: str, changed: Mapping[str, Quantity] | None = None) -> Calculation:
    """The topic `key` for `house`; `changed` stands in for facts of the record (a control that was moved)."""
    given = dict(house.facts()) | dict(changed or {})
    run = sheet(key).run(given, house.system)
    words = house.words()
    findings = tuple(judge(rule, run.values, words, run.samples, house.system) for rule in requirements_of(key))
    absent = [name for names in run.missing.values() for name in names]
    return Calculation(topics()[key], run, findings, house.missing(absent))


def calculations(house: House) -> tuple[Calculation, ...]:
    """Every topic built so far, in the order of the job."""
    return tuple(calculate(house, key) for key in topics())
