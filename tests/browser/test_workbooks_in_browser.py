"""Every workbook in JupyterLab: live when it opens, moved from the keyboard, with no error and no request outside."""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Locator

from tests.browser.driving import NAMES, Workbook, controls, drawing, field_beside, result, until

COMMANDS = ["d", "d", "a", "b", "x", "m", "y", "j", "k", "Enter", "Shift+Enter", "Control+Enter", "Escape"]


@pytest.fixture(scope="module", params=NAMES)
def workbook(request: pytest.FixtureRequest, open_workbook: Callable[[str], Workbook]) -> Iterator[Workbook]:
    workbook = open_workbook(request.param)
    workbook.wait_until_live()
    yield workbook
    workbook.page.close()


def test_it_is_live_when_it_opens_without_a_run_all(workbook: Workbook) -> None:
    workbook.node.locator("svg[role=img]:visible").first.wait_for()
    assert workbook.errors() == []


def test_run_all_ends_without_an_error(workbook: Workbook) -> None:
    workbook.run_all()
    assert workbook.errors() == []


def test_a_key_on_a_control_changes_the_number_and_the_drawing(workbook: Workbook) -> None:
    for panel in workbook.panels.all():
        moved = [_number_and_drawing_follow(workbook, panel, control) for control in controls(panel)]
        assert any(moved), panel.get_attribute("aria-label")
    assert workbook.errors() == []


def test_every_control_has_a_name_and_a_field_that_follows_it(workbook: Workbook) -> None:
    for panel in workbook.panels.all():
        assert panel.get_attribute("aria-label")
        for control in controls(panel):
            named = panel.get_by_role("slider", name=str(control.get_attribute("aria-label")), exact=True)
            assert named.count() == 1, control.evaluate("control => control.outerHTML")
            field, before = field_beside(panel, named), field_beside(panel, named).input_value()
            back = _step(workbook, named)
            assert until(lambda field=field, before=before: field.input_value() != before, 5)
            workbook.press(named, back)


def test_a_typed_value_that_cannot_be_read_is_refused_in_the_panel(workbook: Workbook) -> None:
    for panel in workbook.panels.all():
        control = controls(panel)[0]
        field, fault = field_beside(panel, control), panel.locator(".radonwork-fault")
        before = field.input_value(), control.input_value()
        workbook.type_over(field, "9**9**9")
        assert until(lambda fault=fault: "9**9**9" in "".join(fault.all_text_contents()))
        workbook.type_over(field, before[0])
        assert until(lambda fault=fault: not "".join(fault.all_text_contents()))
        assert (field.input_value(), control.input_value()) == before


def test_a_derivation_steps_forwards_and_back_from_the_keyboard(workbook: Workbook) -> None:
    for stepper in workbook.node.locator(".radonwork-stepper").all():
        place = stepper.get_by_role("status")
        first = place.text_content()
        workbook.press(stepper.get_by_role("button", name="Next"), "Enter")
        assert place.text_content() != first
        workbook.press(stepper.get_by_role("button", name="Back"), "Enter")
        assert place.text_content() == first


def test_an_answer_to_a_question_is_marked(workbook: Workbook) -> None:
    for question in workbook.node.locator(".radonwork-exercise").all():
        verdict = question.get_by_role("status")
        workbook.type_over(question.get_by_role("textbox"), "1")
        assert until(lambda verdict=verdict: bool(verdict.text_content()), 5)


def test_tab_reaches_every_control_in_the_order_shown(workbook: Workbook) -> None:
    for panel in workbook.panels.all():
        shown = panel.locator("input[data-term]")
        order = shown.evaluate_all("inputs => inputs.map(({dataset, type}) => [dataset.term, type])")
        shown.first.focus()
        reached = [workbook.focused()]
        for _ in range(10 * len(order)):  # buttons and links lie between
            workbook.page.keyboard.press("Tab")
            reached.append(workbook.focused())
        assert [place for place in reached if place in order][: len(order)] == order


def test_no_key_pressed_on_a_control_changes_the_notebook(workbook: Workbook) -> None:
    before = workbook.as_written()
    for panel in workbook.panels.all():
        workbook.press(controls(panel)[0], *COMMANDS)
        workbook.press(field_beside(panel, controls(panel)[0]), "Shift+Enter", "Control+Enter", "Escape")
    assert workbook.as_written() == before
    assert workbook.errors() == []


def test_no_request_left_the_machine(workbook: Workbook, asked_outside: Callable[[], list[str]]) -> None:
    assert workbook.counts(), "nothing was run"
    assert asked_outside() == []


def _step(workbook: Workbook, control: Locator) -> str:
    """One step from the keyboard, away from the end if it stands there; gives the key that takes it back."""
    before = control.input_value()
    workbook.press(control, "ArrowRight")
    if control.input_value() != before:
        return "ArrowLeft"
    workbook.press(control, "ArrowLeft")
    return "ArrowRight"


def _number_and_drawing_follow(workbook: Workbook, panel: Locator, control: Locator) -> bool:
    before = result(panel), drawing(panel)
    back = _step(workbook, control)
    followed = until(lambda: result(panel) != before[0] and drawing(panel) != before[1], 3)
    workbook.press(control, back)
    return followed
