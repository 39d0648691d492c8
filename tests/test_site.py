"""The site as a topic: who does the dangerous parts, from the record's words to findings; nothing is ever called safe."""

import re
from pathlib import Path

import pytest

from radonwork.files import DATA
from radonwork.house.calculations import Calculation, calculate
from radonwork.house.job import topics
from radonwork.house.record import RecordError, parse_house, read_house
from radonwork.report.told import told
from radonwork.requirements.rules import requirements_of
from radonwork.workbook import book

ALDER, KESTREL = DATA / "houses" / "alder-court.toml", DATA / "houses" / "kestrel-lane.toml"
BARE = '[house]\nname = "x"\nbuilt = 1950\n[site]\n'


def verdicts(text: str | Path) -> dict[str, str]:
    house = read_house(text) if isinstance(text, Path) else parse_house(text, "h.toml")
    return {f.requirement.name: f.verdict for f in calculate(house, "site").findings}


def test_a_record_that_answers_nothing_meets_nothing() -> None:
    found = verdicts('[house]\nname = "x"\n')
    assert found
    assert "met" not in found.values()
    assert found["wiring by a licensed electrician"] == "cannot be judged"


def test_a_finished_record_meets_what_it_answers_and_memory_never_decides() -> None:
    found = verdicts(ALDER)
    memory = {rule.name for rule in requirements_of("site") if rule.source.kind == "from memory, unverified"}
    assert "disconnect in sight of the fan" in memory
    assert all(found[name] == "cannot be judged" for name in memory)
    assert {found[name] for name in found.keys() - memory} == {"met", "does not apply"}


def test_a_post_tensioned_slab_that_nobody_surveyed_is_not_met() -> None:
    found = verdicts(KESTREL)
    assert found["post-tensioned slab surveyed"] == "not met"
    assert verdicts(ALDER)["post-tensioned slab surveyed"] == "does not apply"


@pytest.mark.parametrize(
    ("written", "rule", "verdict"),
    [
        ('fan_place = "basement"', "fan outside conditioned space", "not met"),
        ('fan_place = "below rooms"', "fan outside conditioned space", "not met"),
        ('fan_place = "outdoors"', "fan outside conditioned space", "met"),
        ("fan_below_ground = true", "fan above the ground", "not met"),
        ("pressure_pipe_inside = true", "no pressure inside the house", "not met"),
        ("wiring_by_electrician = false", "wiring by a licensed electrician", "not met"),
        ("disconnect_in_sight = false", "disconnect in sight of the fan", "cannot be judged"),
        ("combustion_appliance = true", "back-drafting tested", "cannot be judged"),
        ("combustion_appliance = true\nback_draft_test = false", "back-drafting tested", "not met"),
        ("combustion_appliance = false", "back-drafting tested", "does not apply"),
        ("drain_sealed_shut = true", "needed drains stay open", "not met"),
        ('drain_to_soil = true\ndrain_trap_depth = "4 in"', "trap deep enough", "not met"),
        ('drain_to_soil = true\ndrain_trap_depth = "6 in"', "trap deep enough", "met"),
        ("solvent_aired = false", "solvent vapour aired out", "not met"),
    ],
)  # fmt: skip
def test_an_answer_is_judged_as_the_rule_has_it(written: str, rule: str, verdict: str) -> None:
    assert verdicts(BARE + written)[rule] == verdict


def test_the_year_decides_about_lead_and_asbestos() -> None:
    """Lead paint was banned from 1978 on; a house of that year is no longer before it."""
    for year, lead, asbestos in ((1977, "cannot be judged", "cannot be judged"), (1978, "does not apply", "cannot be judged"),
                                 (1990, "does not apply", "does not apply")):  # fmt: skip
        found = verdicts(f"[house]\nbuilt = {year}\n")
        assert (found["lead paint before 1978"], found["asbestos"]) == (lead, asbestos), year
    assert verdicts(BARE + "lead_checked = false")["lead paint before 1978"] == "not met"
    assert verdicts(BARE + "lead_checked = true")["lead paint before 1978"] == "met"
    assert verdicts("[site]\nlead_checked = true\n")["lead paint before 1978"] == "cannot be judged"  # no year


@pytest.mark.parametrize(
    ("test", "verdict"),
    [("90 pCi/L", "does not apply"), ("101 pCi/L", "not met"), ("3800 Bq/m3", "not met")],
)
def test_a_respirator_is_asked_for_above_a_hundred_picocuries_read_strictly(test: str, verdict: str) -> None:
    """1 WL is 100 pCi/L or 3,700 Bq/m3 with all decay products in the air; the highest test of the record counts."""
    text = f'{BARE}respirator = false\n[[test]]\nconcentration = "8 pCi/L"\n[[test]]\nconcentration = "{test}"\n'
    assert verdicts(text)["respirator above one working level"] == verdict


def test_what_is_open_is_listed_with_what_to_do_and_a_bad_answer_to_a_rule_from_memory_is_too() -> None:
    def listed(text: str) -> str:
        house = parse_house(text, "h.toml")
        (piece,) = (piece for piece in told("site") if piece.name == "before work")
        return repr(piece.blocks(calculate(house, "site")))

    good, bad = (listed(f"{BARE}disconnect_in_sight = {answer}\n") for answer in ("true", "false"))
    assert "cuts the fan off" not in good
    assert "cuts the fan off" in bad
    assert "Ask the building department first" not in good  # advice is added to its rule, not repeated elsewhere
    assert "ask the building department first" in good


def test_everything_answered_as_asked_leaves_nothing_open() -> None:
    text = repr(book("site", ALDER).told("before work"))
    assert text == "Every question of the site that this record must answer is answered as asked."
    assert "Before work begins, settle these" in repr(book("site", KESTREL).told("before work"))


def test_what_is_handed_over_names_the_trades() -> None:
    text = repr(book("site", ALDER).told("handed over"))
    for trade in ("licensed electrician", "roofer", "engineer", "certified"):
        assert trade in text


def test_nothing_said_of_the_site_calls_anything_safe() -> None:
    topic = topics()["site"]
    words = [topic.question, topic.stands, topic.says, topic.governs, *topic.cautions]
    words += [part for rule in requirements_of("site") for part in (rule.text, rule.advice, rule.note)]
    words += [(DATA / "site.toml").read_text()]
    assert not [text for text in words if re.search(r"\bsafe\b", text, re.IGNORECASE)]


@pytest.mark.parametrize(
    ("written", "told_line"),
    [
        ('fan_place = "cellar"', "site.fan_place: 'cellar' is not a choice"),
        ("wiring_by_electrician = 1", "site.wiring_by_electrician: 1 is not a yes or no; write true or false"),
        ('disconnect_in_sight = "yes"', "site.disconnect_in_sight: 'yes' is not a yes or no"),
        ("disconect_in_sight = true", "did you mean disconnect_in_sight?"),
    ],
)  # fmt: skip
def test_a_wrong_answer_is_told_in_one_line(written: str, told_line: str) -> None:
    with pytest.raises(RecordError) as refused:
        parse_house(BARE + written, "h.toml")
    assert len(refused.value.lines) == 1
    assert told_line in refused.value.lines[0]


def test_every_rule_of_the_site_has_a_place_and_every_fact_a_field() -> None:
    from radonwork.house.fields import declared
    from radonwork.house.record import House, fields_of
    from radonwork.requirements.rules import Stated

    facts = {declared(field, "stated") for _, field in fields_of(House)}
    calculation: Calculation = calculate(read_house(ALDER), "site")
    for finding in calculation.findings:
        rule = finding.requirement
        assert rule.source.place, rule.name
        if isinstance(rule.check, Stated):
            assert rule.check.fact in facts, rule.name
        for fact in rule.where:
            assert fact in facts | {"built_before_1978", "built_before_1990"}, rule.name
