"""Panels without a browser: values are set as the page would set them, and everything that follows is read back."""

import shutil
from pathlib import Path
from typing import Any

import pytest

from radonwork.files import DATA
from radonwork.glossary import term
from radonwork.house.calculations import operating_flow
from radonwork.house.job import topics
from radonwork.house.record import read_house
from radonwork.requirements.rules import Finding
from radonwork.units import QuantityError, decimal
from radonwork.workbook import book
from radonwork.workbook.exercise import Exercise, questions
from radonwork.workbook.panel import Panel
from radonwork.workbook.panes import panes

PANELS = [(key, number) for key in topics() for number in range(1, len(panes(key)) + 1)]
every_panel = pytest.mark.parametrize(("key", "number"), PANELS)


class Page:
    """Stands for the page: keeps what the panel sends and can send it messages."""

    def __init__(self, panel: Panel) -> None:
        self.panel = panel
        self.said: list[dict[str, Any]] = []
        panel.send = lambda message, buffers=None: self.said.append(message)  # type: ignore[method-assign]

    def sends(self, **message: str | bool) -> dict[str, Any]:
        self.said.clear()
        self.panel._heard(dict(message))
        return {name: value for message in self.said for name, value in message.items()}


@every_panel
def test_a_panel_opens_with_the_houses_own_values_and_without_a_fault(key: str, number: int) -> None:
    panel = book(key).panel(number)
    assert panel.face["fault"] == ""
    assert "No result" not in repr(panel)
    house = read_house(DATA / "houses" / "alder-court.toml")
    facts = house.facts() | {"air_flow": operating_flow(house)}
    for name in panel.pane.controls:
        if name in facts and name not in topics()[key].instead:
            assert panel.values[name] == facts[name].value, name


@every_panel
def test_every_control_moves_the_result_or_the_drawing(key: str, number: int) -> None:
    panel = book(key).panel(number)

    def picture() -> str:
        return panel.pane.drawing.svg({**panel.values, **panel.run().values}, panel.system)

    for control in panel.spec["controls"]:
        name, unit = control["term"], control["unit"]
        panel.reset()
        before = repr(panel), picture()
        moved = 0
        for share in (0.3, 0.5, 0.7):
            reading = control["low"] + share * (control["high"] - control["low"])
            reading = control["low"] + round((reading - control["low"]) / control["step"]) * control["step"]
            panel.type(
                name, f"{reading:.6f} {unit}".strip() if control["step"] < 1 else f"{reading:.0f} {unit}".strip()
            )
            moved += not panel.face["fault"] and (repr(panel), picture()) != before
        assert moved, name


@every_panel
def test_what_the_rules_find_is_of_the_values_that_the_panel_shows(key: str, number: int) -> None:
    panel = book(key).panel(number)
    judged, seen = panel.judged, dict[str, Finding]()
    if judged is None:
        return
    panel.judged = lambda changed: [seen.setdefault(f.requirement.name, f) for f in judged(changed)]
    for control in panel.spec["controls"]:
        name, middle, digits = control["term"], (control["low"] + control["high"]) / 2, 0 if control["step"] >= 1 else 6
        panel.reset()
        seen.clear()
        panel.type(name, f"{middle:.{digits}f} {control['unit']}")
        if panel.face["fault"]:
            continue
        shown = {**panel.values, **panel.run(exact=True).values}
        shown.pop("reported_result", None) if (key, number) == ("tests", 1) else None  # of the pair, not of the house
        for finding in seen.values():
            quantity = finding.requirement.check.quantity
            if finding.value is not None and quantity in shown and finding.requirement.topic == key:
                assert finding.value == pytest.approx(shown[quantity], rel=1e-6), (name, finding.requirement.name)


def test_a_panel_shows_only_the_rules_that_its_controls_can_move() -> None:
    assert book("parts").panel(3).findings == ""  # a quote moves no rule on holes and pieces
    offset = book("parts").panel(1).findings
    assert "slanted piece" in offset
    assert "solvent cement" not in offset


@every_panel
def test_what_is_typed_wrong_is_said_in_one_line_and_changes_nothing(key: str, number: int) -> None:
    panel = book(key).panel(number)
    page = Page(panel)
    name = panel.pane.controls[0]
    before = dict(panel.values)
    for text in ("", "three", "9**9**9", "nan", "3 parsecs", "-4 in", "__import__('os')", "x" * 10_000):
        answer = page.sends(typed=name, text=text)
        assert answer["fault"].startswith(term(name).label)
        assert "\n" not in answer["fault"]
        assert len(answer["fault"]) < 400
    assert panel.values == before
    with pytest.raises(QuantityError):
        panel.type(name, "three")


def test_a_tolerance_that_is_typed_shows_what_it_does_to_the_result() -> None:
    panel = book("pipes").panel()
    panel.type("air_flow", "62 cfm")  # without the tolerance of the flow that fan and system find
    assert panel.spread == ""
    panel.type("small_bore", "2.067 in ± 0.01 in")
    assert "area ratio 89.9" in panel.spread
    assert panel.tails["small_bore"] == " ± 0.01 in"
    Page(panel).sends(exact="small_bore")
    assert panel.spread == ""


def test_an_answer_to_what_was_typed_speaks_of_nothing_else() -> None:
    page = Page(book("pipes").panel())
    answer = page.sends(typed="small_bore", text="2 in ± 0.01 in")
    assert set(answer["values"]) == {"small_bore"}
    assert answer["tails"] == {"small_bore": " ± 0.01 in"}
    assert page.sends(typed="small_bore", text="2 in")["tails"] == {"small_bore": ""}
    assert page.sends(typed="small_bore", text="two")["values"] == {}
    assert set(page.sends(reset=True)["values"]) == set(page.panel.values)


def test_reset_brings_the_record_back() -> None:
    panel = book("pipes").panel()
    before = repr(panel)
    panel.type("pipe_count", "5")
    assert repr(panel) != before
    Page(panel).sends(reset=True)
    assert repr(panel) == before


def test_a_change_is_shown_before_it_is_written_and_leaves_the_rest_of_the_record(tmp_path: Path) -> None:
    record = tmp_path / "house.toml"
    shutil.copy(DATA / "houses" / "alder-court.toml", record)
    text = record.read_text()
    panel = book("roof", record).panel()
    page = Page(panel)
    assert "first" in page.sends(write=True)["fault"]
    page.sends(typed="deck_thickness", text="3/4 in")
    answer = page.sends(compare=True)
    assert '-deck_thickness = "5/8 in"' in answer["difference"]
    assert '+deck_thickness = "3/4 in"' in answer["difference"]
    assert record.read_text() == text
    assert page.sends(write=True)["may_write"] is False
    assert record.read_text() == text.replace('deck_thickness = "5/8 in"', 'deck_thickness = "3/4 in"')
    assert read_house(record).facts()["deck_thickness"].text == "3/4 in"


@pytest.mark.parametrize(
    ("term", "typed", "stands"),
    [
        ("roof_angle", "8/12", "8/12"),
        ("roof_angle", "33 deg +/- 1 deg", "33 deg +/- 1 deg"),
        ("deck_thickness", "19.05 mm", "19.05 mm"),
        ("deck_thickness", "0.7", "0.7 in"),  # a record says its unit
        ("deck_thickness", "0.71234", "0.71234 in"),
    ],
)
def test_what_was_typed_goes_into_the_record_as_it_was_typed(
    tmp_path: Path, term: str, typed: str, stands: str
) -> None:
    record = tmp_path / "house.toml"
    shutil.copy(DATA / "houses" / "alder-court.toml", record)
    panel = book("roof", record).panel()
    page = Page(panel)
    page.sends(typed=term, text=typed)
    assert f' = "{stands}"' in page.sends(compare=True)["difference"]
    page.sends(write=True)
    assert read_house(record).facts()[term].value == pytest.approx(panel.values[term], rel=1e-12)


@every_panel
def test_what_cannot_be_is_refused_with_what_is_usual(key: str, number: int) -> None:
    panel = book(key).panel(number)
    page = Page(panel)
    for control in panel.spec["controls"]:
        before = dict(panel.values)
        fault = page.sends(typed=control["term"], text=f"1e99 {control['unit']}".strip())["fault"]
        assert fault.startswith(control["label"])
        assert "cannot be" in fault
        assert panel.values == before


def test_what_the_record_does_not_state_is_said_to_be_taken(tmp_path: Path) -> None:
    assert book("roof").panel(1).spec["taken"] == ""
    record = tmp_path / "house.toml"
    record.write_text('[house]\nname = "Mine"\n[roof]\npitch = "6/12"\n')
    taken = book("roof", record).panel(1).spec["taken"]
    assert taken.startswith(
        "No field of the record, or one left empty, so only taken to begin with: pipe outside diameter"
    )
    assert "roof angle" not in taken


def test_a_record_too_short_for_its_own_panel_gets_no_example_twice(tmp_path: Path) -> None:
    record = tmp_path / "house.toml"
    record.write_text('[house]\nname = "Mine"\n')
    for key in ("air", "change"):
        assert "does not state enough" in repr(book(key, record).panel(1))
        assert book(key, record).panel(2).face["fault"] == ""
    assert book("suction", record).panel(1).face["fault"].count("foundation.outline") == 1


def test_a_number_that_stands_for_a_kind_says_what_it_means() -> None:
    controls = {one["term"]: one["stands_for"] for one in book("framing").panel(2).spec["controls"]}
    assert controls == {"stud_kind": True, "member_depth": False, "hole_diameter": False, "hole_offset": False}


def test_published_values_are_counted_and_folded_away() -> None:
    shown = book("pipes").published()
    assert f"<summary>{len(repr(shown).splitlines())} published values beside ours: " in shown._repr_html_()
    assert repr(shown).count(", agrees") == len(repr(shown).splitlines())


def test_a_record_that_changed_on_disk_is_not_overwritten(tmp_path: Path) -> None:
    record = tmp_path / "house.toml"
    shutil.copy(DATA / "houses" / "alder-court.toml", record)
    panel = book("roof", record).panel()
    page = Page(panel)
    page.sends(typed="deck_thickness", text="3/4 in")
    page.sends(compare=True)
    record.write_text(record.read_text() + "# somebody else was here\n")
    assert "changed on disk" in page.sends(write=True)["fault"]
    assert "somebody else" in record.read_text()


def test_a_bad_record_is_said_line_by_line_and_the_example_stands_in(tmp_path: Path) -> None:
    record = tmp_path / "house.toml"
    record.write_text('[wall]\nbay_width = "14 inn"\nbay_wdith = "3 in"\n')
    shown = book("pipes", record).question()
    for html in (shown._repr_html_(), repr(shown)):
        assert "line 2" in html
        assert "line 3" in html
    assert "&lt;" in book("pipes", _hostile(tmp_path)).question()._repr_html_()


def _hostile(folder: Path) -> Path:
    record = folder / "hostile.toml"
    record.write_text('[house]\nname = "<script>alert(1)</script>"\n')
    return record


def test_a_fault_in_a_callback_is_said_in_the_panel(monkeypatch: pytest.MonkeyPatch) -> None:
    panel = book("pipes").panel()
    monkeypatch.setattr(Panel, "run", lambda self: 1 / 0)
    panel.values = {**panel.values, "pipe_count": 4.0}
    assert "could not be worked out" in panel.face["fault"]


def test_a_question_says_its_topic_where_a_workbook_has_several() -> None:
    assert repr(book("tests").exercise(2)).startswith("Question 2 (Radon tests): ")
    assert repr(book("year").exercise(2)).startswith("Question 2 (What the results say of the year): ")
    assert repr(book("pipes").exercise(2)).startswith("Question 2: ")


@pytest.mark.parametrize("key", topics())
def test_there_are_three_questions_and_each_marks_its_own_answer_right(key: str) -> None:
    assert len(questions(key)) == 3
    for number, question in enumerate(questions(key), start=1):
        unit = question.unit
        assert question.mark(decimal(question.answer, unit, 8)).startswith("Right"), question.text
        assert question.mark(decimal(question.answer * 1.5, unit, 8)).startswith("Not yet: your answer is too large")
        assert question.mark(decimal(question.answer * 0.5, unit, 8)).startswith("Not yet: your answer is too small")
        assert question.mark("about so").startswith("That cannot be read")
        assert question.text in repr(Exercise(question, number))
