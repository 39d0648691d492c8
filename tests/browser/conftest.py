"""One JupyterLab and one Chromium for the browser tests, and a watch over every request that either makes."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, sync_playwright

from tests.browser.driving import Lab, Workbook, free_port
from tests.everything import CHECKOUT, chromium

# Chromium asks its maker's machines for many things on its own; with these it asks for none.
QUIET = [
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-domain-reliability",
    "--disable-features=MediaRouter,OptimizationHints,Translate",
    "--disable-sync",
    "--metrics-recording-only",
    "--no-first-run",
    "--no-pings",
]
SANDBOX = ["--no-sandbox"] if os.geteuid() == 0 else []
OWN_MACHINE = {"127.0.0.1", "localhost", "::1"}


@pytest.fixture(scope="session")
def environment(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """For JupyterLab: the checkout's code, nobody's settings, and a log of the other machines it asks for."""
    home = tmp_path_factory.mktemp("home")
    own = {f"JUPYTER_{kind}_DIR": str(home / kind.lower()) for kind in ("CONFIG", "DATA", "RUNTIME")}
    path = os.pathsep.join([str(Path(__file__).parent / "watched"), str(CHECKOUT)])
    log = {"ASKED_OUTSIDE": str(home / "asked_outside.txt"), "PYTHONPATH": path}
    return {**os.environ, **own, **log, "IPYTHONDIR": str(home / "ipython")}


@pytest.fixture(scope="session")
def lab(tmp_path_factory: pytest.TempPathFactory, environment: dict[str, str]) -> Iterator[Lab]:
    lab = Lab(tmp_path_factory.mktemp("workbooks"), free_port(), environment)
    yield lab
    lab.stop()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    command = chromium()
    assert command, "install the package chromium"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=command, args=[*SANDBOX, *QUIET])
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def asked_outside(environment: dict[str, str]) -> Callable[[], list[str]]:
    """Every request so far, of the page, the server or a kernel, for another machine."""
    log = Path(environment["ASKED_OUTSIDE"])
    return lambda: log.read_text().splitlines() if log.exists() else []


@pytest.fixture(scope="session")
def open_workbook(lab: Lab, browser: Browser, environment: dict[str, str]) -> Callable[..., Workbook]:
    """Opens a workbook by its name in a new page."""
    log = Path(environment["ASKED_OUTSIDE"])

    def note(url: str) -> None:
        parts = urlsplit(url)
        if parts.scheme not in {"data", "blob"} and parts.hostname not in OWN_MACHINE:
            with log.open("a") as lines:
                lines.write(f"page {url}\n")

    def open_it(name: str) -> Workbook:
        page = browser.new_page(viewport={"width": 1400, "height": 1000})
        page.context.on("request", lambda request: note(request.url))
        page.on("websocket", lambda socket: note(socket.url))
        workbook = Workbook(page)
        page.goto(lab.address_of(name))
        return workbook

    return open_it
