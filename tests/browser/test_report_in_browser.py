"""The HTML report in Chromium: quiet, whole without network, and its mathematics fits the paper."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from radonwork.files import DATA
from radonwork.house.record import read_house
from radonwork.report.writing import write_report

# Width between the margins of 16 mm, at 96 px an inch.
PAPERS = {"A4": (210 - 32) / 25.4 * 96, "letter": 7.24 * 96}


@pytest.fixture(scope="module", params=["alder-court", "kestrel-lane"])
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("report") / "report.html"
    write_report(read_house(DATA / "houses" / f"{request.param}.toml"), file)
    return file


@pytest.fixture
def heard() -> list[str]:
    """Whatever the page asked for or complained of."""
    return []


@pytest.fixture
def page(browser: Browser, written: Path, heard: list[str]) -> Iterator[Page]:
    page = browser.new_page()
    page.on("request", lambda request: heard.append(request.url))
    page.on("console", lambda message: heard.append(message.text))
    page.on("pageerror", lambda error: heard.append(str(error)))
    page.goto(written.as_uri())
    page.evaluate("document.fonts.ready")
    yield page
    page.close()


def test_the_report_asks_for_nothing_and_complains_of_nothing(page: Page, heard: list[str], written: Path) -> None:
    assert [said for said in heard if not said.startswith("data:font/woff2")] == [written.as_uri()]


def test_the_mathematics_font_inside_the_page_is_the_one_used(page: Page) -> None:
    assert page.evaluate("[...document.fonts].map(font => font.family.replaceAll('\"', '') + ' ' + font.status)") == [
        "Report Mathematics loaded"
    ]
    tallest = page.evaluate(
        """Math.max(...[...document.querySelectorAll('.equations mo')].filter(mo => mo.textContent == '(')
           .map(mo => mo.getBoundingClientRect().height / parseFloat(getComputedStyle(mo).fontSize)))"""
    )
    assert tallest > 2  # a bracket around a fraction stretches over it


@pytest.mark.parametrize("paper", PAPERS)
def test_no_equation_table_or_picture_is_wider_than_the_paper(page: Page, paper: str) -> None:
    page.emulate_media(media="print")
    page.set_viewport_size({"width": int(PAPERS[paper]), "height": 900})
    wide = page.evaluate(
        """[...document.querySelectorAll('.equations, table, figure, td, th')]
           .filter(box => box.scrollWidth > box.clientWidth + 1).map(box => box.textContent.slice(0, 80))"""
    )
    assert wide == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
