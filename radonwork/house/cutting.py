"""Every hole and notch of a record by itself: its figures, and what each rule on cutting says of it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from radonwork.engine.formula import Formula
from radonwork.engine.sheet import Run, Sheet
from radonwork.glossary import System
from radonwork.house.record import House
from radonwork.house.sections.framing import Cut
from radonwork.requirements.rules import NONE_HERE, Finding, judge, requirements_of
from radonwork.units import Quantity

RULES = "framing hole"
"""The topic, in data/requirements.toml, of the rules that each hole is held against."""

_QUANTITIES = {
    "member_depth": "depth", "hole_diameter": "diameter", "hole_offset": "offset", "other_hole": "other_hole",
    "hole_spacing": "other_hole_distance", "notch_depth": "notch_depth", "notch_length": "notch_length",
    "span": "span", "support_distance": "support_distance",
}  # fmt: skip
_WORDS = (
    "member", "bearing", "doubled", "engineered", "only_cut", "at_end", "tie", "shield", "maker_allows", "licensed_person",
    "fireblocked", "garage_separation", "draft_stop",
)  # fmt: skip


@dataclass(frozen=True)
class Judged:
    """One cut with its figures and findings."""

    name: str
    cut: Cut
    run: Run
    findings: tuple[Finding, ...]


@lru_cache(maxsize=16)
def cuts_of(house: House) -> tuple[Judged, ...]:
    """Every hole and notch of the record, in its order."""
    cuts = house.framing.hole if house.framing else ()
    return tuple(_judged(cut, cut.name or f"Hole {number}", house.system) for number, cut in enumerate(cuts, 1))


def with_cuts(findings: tuple[Finding, ...], house: House, changed: Mapping[str, Quantity]) -> tuple[Finding, ...]:
    """The findings on the wall and on every cut of the record; only those on the cut, or the probe, that a panel tries."""
    if tried := _tried(changed):
        return _judged(tried, "The hole here", house.system).findings
    cuts = () if "probe_place" in changed else cuts_of(house)
    return (*findings, *(finding for one in cuts for finding in one.findings))


def _judged(cut: Cut, name: str, system: System) -> Judged:
    given = {term: getattr(cut, field) for term, field in _QUANTITIES.items() if getattr(cut, field)}
    if cut.diameter and not cut.offset:
        given["hole_offset"] = Quantity(0.0, "", 0.0, "")
    words = {fact: getattr(cut, fact) for fact in _WORDS if getattr(cut, fact) is not None}
    words["cut"] = "notch" if cut.notch_depth else "hole"
    if cut.other_hole:
        words["only_cut"] = False
    run = _sheet(cut).run(given, system)
    findings = []
    for rule in requirements_of(RULES):
        found = judge(rule, run.values, words, run.samples, system)
        if found.verdict != "does not apply":
            findings.append(replace(found, requirement=replace(rule, text=f"{name}: {rule.text}")))
    return Judged(name, cut, run, tuple(findings))


def _sheet(cut: Cut) -> Sheet:
    return Sheet("cut", "What is cut away, and what is left", tuple(_formulas(cut)))


def _formulas(cut: Cut) -> Iterator[Formula]:
    from radonwork.formulas import bay, framing

    if cut.diameter:
        yield bay.hole_share
        yield bay.edge_distance
        if cut.other_hole:
            yield framing.hole_gap
    else:
        yield framing.notch_share
        if cut.notch_length:
            yield framing.notch_length_share
    if cut.support_distance or cut.span:
        yield framing.place_share


def _tried(changed: Mapping[str, Quantity]) -> Cut | None:
    """The hole that a panel draws: in a stud where it has a kind of stud, in a joist where it has the depth of one."""
    words: dict[str, Any]
    if "stud_kind" in changed:
        kind = changed["stud_kind"].value
        words = {"member": "stud", "bearing": kind <= 0, "doubled": kind == 0}
    elif "joist_depth" in changed:
        words = {"member": "joist"}
        names = {"joist_depth": "member_depth", "joist_hole": "hole_diameter", "joist_offset": "hole_offset"}
        changed = {names.get(term, term): quantity for term, quantity in changed.items()}
    else:
        return None
    words |= {field: changed[term] for term, field in _QUANTITIES.items() if term in changed}
    words |= {"garage_separation": NONE_HERE, "draft_stop": NONE_HERE, "only_cut": "other_hole" not in words}
    return Cut.model_construct(engineered=False, **words)  # a panel has read its fields
