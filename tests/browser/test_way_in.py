"""The command that opens the workbooks: what it leaves alone, who may ask it, and what it runs unasked."""

import json
import urllib.error
import urllib.request
from collections.abc import Callable
from pathlib import Path

import pytest

from radonwork.workbook.launch import FolderError, new_folder
from tests.browser.driving import NAMES, Lab, Workbook, free_port, until

START = "00-start.ipynb"


@pytest.fixture(autouse=True)
def nobodys_list_of_what_is_trusted(environment: dict[str, str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("JUPYTER_DATA_DIR", environment["JUPYTER_DATA_DIR"])


def test_a_link_leads_to_a_workbook_that_is_live_too(open_workbook: Callable[[str], Workbook]) -> None:
    workbook = open_workbook(START)
    workbook.wait_until_live()
    workbook.node.locator("a[href*='.ipynb']:not(.jp-InternalAnchorLink)").first.click()
    workbook.page.wait_for_url(lambda url: START not in url)
    workbook.wait_until_live()
    assert workbook.errors() == []
    workbook.page.close()


def test_a_workbook_from_a_stranger_is_not_run_before_it_is_read(
    lab: Lab, open_workbook: Callable[[str], Workbook]
) -> None:
    stranger = json.loads((lab.folder / START).read_text())
    for cell in stranger["cells"]:
        if cell["cell_type"] == "code":
            cell |= {"source": "open('ran', 'w').close()", "outputs": [], "metadata": {"trusted": True}}
    (lab.folder / "stranger.ipynb").write_text(json.dumps(stranger))
    workbook = open_workbook("stranger.ipynb")
    workbook.node.locator(".jp-Notebook-ExecutionIndicator[data-status=idle]").wait_for()
    workbook.page.get_by_text("nothing in it has been run").first.wait_for()  # and it says what to do
    assert workbook.node.get_attribute("aria-busy") is None
    assert not (lab.folder / "ran").exists()

    def runs() -> bool:
        workbook.node.page.keyboard.press("Escape")  # a dialog of a busy server's would lie over the menu
        workbook.choose("Run", "Run All Cells")
        return until((lab.folder / "ran").exists, 15)

    assert any(runs() for _ in range(4))  # a click that comes before the kernel is ready is lost: a person clicks again
    workbook.page.close()


def test_opening_a_workbook_asks_nobody_to_save_it(open_workbook: Callable[[str], Workbook]) -> None:
    workbook = open_workbook(START)
    workbook.wait_until_live()
    assert workbook.page.locator(".jp-mod-dirty").count() == 0
    workbook.choose("Run", "Run All Cells")
    workbook.page.locator(".jp-mod-dirty").first.wait_for(state="attached")  # that is how it looks when there is
    workbook.page.close()


def test_it_answers_nobody_without_the_token(lab: Lab) -> None:
    with pytest.raises(urllib.error.HTTPError, match="403"):
        urllib.request.urlopen(f"http://127.0.0.1:{lab.port}/api/contents")


def test_a_second_start_in_a_folder_takes_the_next_port_and_overwrites_nothing(
    tmp_path: Path, environment: dict[str, str]
) -> None:
    first = Lab(tmp_path, free_port(), environment)
    (tmp_path / START).write_text("mine now")
    second = Lab(tmp_path, first.port, environment)
    assert second.port > first.port
    assert second.said[0].startswith("Kept as they were")
    assert (tmp_path / START).read_text() == "mine now"
    assert first.stop() == second.stop() == (0, "Stopped.\n")


def test_a_new_folder_holds_the_workbooks_and_an_example_record(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new_folder(tmp_path / "new")
    assert {*NAMES, "alder-court.toml"} <= {path.name for path in (tmp_path / "new").iterdir()}
    assert capsys.readouterr().out.startswith("Copied into")


def test_a_folder_that_holds_a_record_gets_no_example(tmp_path: Path) -> None:
    (tmp_path / "my-house.toml").touch()
    new_folder(tmp_path)
    assert [path.name for path in tmp_path.glob("*.toml")] == ["my-house.toml"]


def test_a_folder_that_is_a_file_is_refused_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(FolderError, match=r"^folder .*: File exists \(.*\); name a folder that you may write into$"):
        new_folder(tmp_path / "file")
