"""A panel, a derivation and a question as a person at the keyboard or with a screen reader meets them."""

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

import pytest
from playwright.sync_api import Locator

from radonwork.units import decimal
from radonwork.workbook import book
from radonwork.workbook.exercise import questions
from radonwork.workbook.panel import Panel
from tests.browser.driving import LIMIT, Lab, Workbook, drawing, field_beside, result, until

NAME, RECORD = "08-roof-hole.ipynb", "alder-court.toml"
KINDS = ".radonwork-panel, .radonwork-stepper, .radonwork-exercise"
STOPS = "input, [tabindex='0'], button:enabled"
# Commands of JupyterLab with a cell selected: delete, insert, cut, change kind, heading, run, restart, move, leave.
COMMANDS = [
    *("d", "d", "a", "b", "x", "v", "z", "m", "y", "r", "1", "i", "i", "0", "0", "j", "k", "s"),
    *("ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight", "Shift+M", "Shift+Enter", "Control+Enter", "Alt+Enter", "Escape"),
]  # fmt: skip


@pytest.fixture(scope="module")
def roof(open_workbook: Callable[[str], Workbook]) -> Iterator[Workbook]:
    workbook = open_workbook(NAME)
    workbook.page.set_default_timeout(LIMIT * 1000)
    workbook.wait_until_live()
    yield workbook
    workbook.page.close()


@pytest.fixture(scope="module")
def same(lab: Lab) -> Callable[[], Panel]:
    """Makes the panel on the page once more, in Python."""
    return lambda: book("roof", lab.folder / RECORD).panel(1)


@pytest.fixture
def panel(roof: Workbook, same: Callable[[], Panel]) -> Iterator[Locator]:
    """The first panel, at the record's values before and after."""
    start = str(same().face["text"])
    put_back(roof, roof.panels.first, start)
    yield roof.panels.first
    put_back(roof, roof.panels.first, start)


def put_back(roof: Workbook, panel: Locator, start: str) -> None:
    """Press the button, and wait until the panel says what the record's values give and owes no answer."""
    roof.press(panel.get_by_role("button", name="Back to the record's values"), "Enter")
    assert until(lambda: result(panel) == start and fault(panel) == "" and settled(panel)), result(panel)


def slider(panel: Locator, term: str) -> Locator:
    return panel.locator(f"input[type=range][data-term={term}]")


def fault(panel: Locator) -> str:
    """What the panel complains of; while there is nothing the line is not shown, so it is not found by its role."""
    return str(panel.locator(".radonwork-fault").text_content())


def spread(panel: Locator) -> str:
    return str(panel.locator(".radonwork-spread").text_content())


def settled(panel: Locator) -> bool:
    """Whether tolerances and findings are those of the values shown."""
    return panel.locator("[aria-busy=true]").count() == 0


def becomes(read: Callable[[], object], wanted: object) -> bool:
    """Whether what is read is, in time, what is wanted."""
    return until(lambda: read() == wanted)


def begins(read: Callable[[], object], words: str) -> bool:
    """Whether what is read begins, in time, with these words."""
    return until(lambda: str(read()).startswith(words))


def after_the_keys(workbook: Workbook) -> None:
    """Until the page has drawn twice: what a key set off in the notebook stands in it by then."""
    workbook.page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")


def tab_to(workbook: Workbook, start: Locator, target: Locator) -> None:
    """From one control to another with nothing but the Tab key."""
    start.focus()
    for _ in range(40):
        if target.evaluate("one => one === document.activeElement"):
            return
        workbook.page.keyboard.press("Tab")
    raise AssertionError("Tab does not reach it")


def spoken(workbook: Workbook, section: Locator) -> list[tuple[str, str]]:
    """Roles and names that Chromium gives a screen reader of one panel, derivation or question."""
    section.scroll_into_view_if_needed()
    section.evaluate("(one) => one.setAttribute('data-asked', '')")
    session = workbook.page.context.new_cdp_session(workbook.page)
    found = session.send("Runtime.evaluate", {"expression": "document.querySelector('[data-asked]')"})
    answer = session.send("Accessibility.queryAXTree", {"objectId": found["result"]["objectId"]})
    session.detach()
    section.evaluate("(one) => one.removeAttribute('data-asked')")
    nodes: list[dict[str, Any]] = answer["nodes"]
    return [(node["role"]["value"], str(node.get("name", {}).get("value", "")).strip()) for node in nodes]


FOCUSED = ("slider", "textbox", "button")


def told_of(workbook: Workbook, section: Locator, count: int) -> list[tuple[str, str]]:
    """What a screen reader is told of a section, once that holds as many things that take the focus.

    What lies far from the part in view is laid out, and told, only once it has been scrolled to.
    """
    told: list[tuple[str, str]] = []

    def complete() -> bool:
        told[:] = spoken(workbook, section)
        return sum(role in FOCUSED for role, _ in told) == count

    assert until(complete), section.inner_text()
    return told


# ---------------------------------------------------------------- names and order


def test_everything_that_takes_the_focus_has_a_role_and_a_name_of_its_own(roof: Workbook) -> None:
    sections = roof.node.locator(KINDS).all()
    assert len(sections) > 4
    for section in sections:
        inside = section.locator("input, button").count()
        told = told_of(roof, section, inside)
        named = [(role, name) for role, name in told if role in FOCUSED]
        assert len(set(named)) == inside, named
        assert all(name for _, name in named), named
        assert "status" in [role for role, _ in told], "nothing would announce an answer"


def test_the_drawing_says_in_words_what_it_shows(roof: Workbook, panel: Locator) -> None:
    figure = panel.locator("figure.radonwork-drawing")
    before = str(figure.get_attribute("aria-label"))
    assert len(before) > 40
    roof.type_over(field_beside(panel, slider(panel, "deck_thickness")), "1 in")
    assert until(lambda: "1 in" in str(figure.get_attribute("aria-label")))


def test_tab_goes_through_a_panel_in_the_order_shown_and_out_of_it(
    roof: Workbook, panel: Locator, same: Callable[[], Panel]
) -> None:
    named = "(one) => one.getAttribute('aria-label') || one.textContent"
    order = panel.locator(STOPS).evaluate_all(f"(stops) => stops.map({named})")
    terms = panel.locator("input[data-term]").evaluate_all("(all) => all.map(({dataset}) => dataset.term)")
    assert terms[::2] == list(same().pane.controls)
    assert terms[1::2] == terms[::2], "a slider's own field comes next"
    panel.locator(STOPS).first.focus()
    reached = []
    for _ in order:
        reached.append(roof.page.evaluate(f"({named})(document.activeElement)"))
        roof.page.keyboard.press("Tab")
    assert reached == order
    assert panel.locator(":focus").count() == 0


# ---------------------------------------------------------------- what a person types


@pytest.mark.parametrize(
    ("term", "texts", "stands"),
    [
        ("deck_thickness", ("3/4 in", "0.75", "19.05 mm", '3/4"'), "3/4 in"),
        ("roof_angle", ("12/12", "45 deg", "12 in 12"), "45°"),
        ("pipe_outside_diameter", ("4-1/2 in", "4 1/2", "114.3 mm", "0.375 ft"), "4-1/2 in"),
    ],
)
def test_one_value_however_it_is_written_moves_number_and_drawing_alike(
    roof: Workbook, panel: Locator, same: Callable[[], Panel], term: str, texts: tuple[str, ...], stands: str
) -> None:
    field, before = field_beside(panel, slider(panel, term)), (result(panel), drawing(panel))
    for text in texts:
        put_back(roof, panel, before[0])
        wanted = same()
        wanted.type(term, text)
        roof.type_over(field, text)
        assert becomes(field.input_value, stands), field.input_value()
        assert becomes(partial(result, panel), wanted.face["text"]), result(panel)
        assert drawing(panel) != before[1]
        assert result(panel) != before[0]


def test_a_typed_tolerance_is_carried_until_the_slider_moves(roof: Workbook, panel: Locator) -> None:
    control = slider(panel, "deck_thickness")
    field = field_beside(panel, control)
    assert spread(panel) == ""
    roof.type_over(field, "3/4 in ± 1/8 in")
    assert until(lambda: "roof hole diameter" in spread(panel) and settled(panel)), spread(panel)
    assert field.input_value() == "3/4 in ± 1/8 in"
    roof.press(control, "ArrowRight")
    assert until(lambda: spread(panel) == "" and settled(panel)), spread(panel)
    assert "±" not in field.input_value()


@pytest.mark.parametrize("text", ["three", "-4 in", "5 parsecs", "9**9**9", "<b>1</b>", "1 in; 2 in"])
def test_nonsense_gets_one_plain_line_and_the_old_value_stays(roof: Workbook, panel: Locator, text: str) -> None:
    control = slider(panel, "deck_thickness")
    field = field_beside(panel, control)
    before = field.input_value(), control.input_value(), result(panel), drawing(panel)
    roof.type_over(field, text)
    assert until(lambda: fault(panel).startswith("deck thickness: ")), fault(panel)
    assert "\n" not in fault(panel)
    assert panel.get_by_role("alert").count() == 1, "a screen reader is told"
    assert panel.locator(".radonwork-fault *").count() == 0, "what was typed is text"
    assert (field.input_value(), control.input_value(), result(panel), drawing(panel)) == before
    roof.type_over(field, before[0])
    assert until(lambda: fault(panel) == ""), "the complaint stays"


def test_escape_gives_up_what_was_being_typed(roof: Workbook, panel: Locator) -> None:
    field = field_beside(panel, slider(panel, "deck_thickness"))
    before = field.input_value()
    roof.press(field, "Control+a", "9")
    assert field.input_value() == "9"
    roof.press(field, "Escape")
    assert field.input_value() == before


def test_what_is_moved_while_something_typed_is_being_read_stays(
    roof: Workbook, panel: Locator, same: Callable[[], Panel]
) -> None:
    field, angle = field_beside(panel, slider(panel, "deck_thickness")), slider(panel, "roof_angle")
    angle.evaluate(  # one straight after the other, with no time for an answer between them
        """(angle, field) => {
            field.value = "3/4 in ± 1/16 in";
            field.dispatchEvent(new Event("change"));
            angle.value = "20";
            angle.dispatchEvent(new Event("input"));
        }""",
        field.element_handle(),
    )
    wanted = same()
    wanted.type("deck_thickness", "3/4 in ± 1/16 in")
    wanted.type("roof_angle", "20 deg")
    assert becomes(partial(result, panel), wanted.face["text"]), result(panel)
    assert becomes(partial(spread, panel), wanted.spread), spread(panel)
    assert until(lambda: settled(panel))
    assert (field.input_value(), angle.input_value()) == ("3/4 in ± 1/16 in", "20")
    assert "Roof angle is 20°" in str(panel.locator(".radonwork-findings").text_content())


def test_the_findings_follow_what_is_typed(roof: Workbook, panel: Locator) -> None:
    findings = panel.locator(".radonwork-findings")
    before = findings.inner_html()
    roof.type_over(field_beside(panel, slider(panel, "roof_angle")), "2 deg")
    assert until(lambda: settled(panel) and findings.inner_html() != before)


# ---------------------------------------------------------------- a derivation and a question by keyboard alone


def test_a_derivation_is_stepped_by_keyboard_alone(roof: Workbook) -> None:
    stepper = roof.node.locator(".radonwork-stepper").first
    first, back, onward, whole = (
        stepper.get_by_role("button", name=name, exact=True) for name in ("First line", "Back", "Next", "All lines")
    )
    count = stepper.locator("li").count()
    walk = [
        (onward, "Enter", 2), (onward, "Space", 3), (back, "Enter", 2), (whole, "Space", count), (onward, "Enter", count),
        (first, "Enter", 1), (back, "Space", 1),
    ]  # fmt: skip
    for button, key, line in walk:
        tab_to(roof, first, button)
        roof.page.keyboard.press(key)
        assert becomes(stepper.get_by_role("status").text_content, f"line {line} of {count}")
        assert stepper.locator("li:visible").count() == line
        assert button.evaluate("one => one === document.activeElement"), "a button that was used keeps the focus"
    assert back.get_attribute("aria-disabled") == "true"
    assert onward.get_attribute("aria-disabled") == "false"


def test_a_question_is_answered_by_keyboard_alone(roof: Workbook) -> None:
    question = roof.node.locator(".radonwork-exercise").first
    answer, check = question.get_by_role("textbox"), question.get_by_role("button", name="Check the answer")
    verdict = question.get_by_role("status")
    first = questions("roof")[0]
    right = decimal(first.answer, first.unit, 6)
    for text, said in (("1 in", "Not yet"), ("about four", "That cannot be read"), (right, "Right")):
        roof.press(answer, "Control+a")
        roof.page.keyboard.type(text)
        tab_to(roof, answer, check)
        roof.page.keyboard.press("Space")
        assert begins(verdict.text_content, said), verdict.text_content()
    roof.press(answer, "Control+a")
    roof.page.keyboard.type("1 in")
    roof.page.keyboard.press("Enter")
    assert begins(verdict.text_content, "Not yet"), "Enter does not check"


# ---------------------------------------------------------------- the record


def test_a_change_is_shown_before_it_is_written_to_the_record(roof: Workbook, panel: Locator, lab: Lab) -> None:
    record = lab.folder / RECORD
    before, there = record.read_text(), set(lab.folder.iterdir())
    difference = panel.locator(".radonwork-difference")
    write = panel.get_by_role("button", name="Write this to the record")
    control = slider(panel, "deck_thickness")
    assert write.is_disabled()
    roof.type_over(field_beside(panel, control), "3/4 in")
    assert becomes(control.input_value, "0.75")
    try:
        roof.press(panel.get_by_role("button", name="Show what would change in the record"), "Enter")
        assert until(write.is_enabled)
        shown = str(difference.text_content())
        assert '-deck_thickness = "5/8 in"' in shown
        assert '+deck_thickness = "3/4 in"' in shown
        assert record.read_text() == before, "written before it was confirmed"
        roof.press(write, "Enter")
        assert until(lambda: str(difference.text_content()).startswith("Written"))
        assert record.read_text() == before.replace('deck_thickness = "5/8 in"', 'deck_thickness = "3/4 in"')
        kept = set(lab.folder.iterdir()) - there
        assert [one.read_text() for one in kept] == [before], "the record as it was is kept"
        assert write.is_disabled()
    finally:  # other tests open workbooks on the same record
        record.write_text(before)
        for one in set(lab.folder.iterdir()) - there:
            one.unlink()


# ---------------------------------------------------------------- the notebook around it


def test_no_key_pressed_on_anything_that_takes_the_focus_changes_the_notebook(roof: Workbook) -> None:
    before = roof.as_written()
    for section in roof.node.locator(KINDS).all():
        for stop in section.locator(STOPS).all():
            roof.press(stop, *COMMANDS)
            after_the_keys(roof)
            assert roof.as_written() == before, stop.evaluate("(stop) => stop.outerHTML")
    assert roof.thrown == []
