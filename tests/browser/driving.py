"""What a person does in JupyterLab, in the words a browser test uses."""

import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlsplit

from playwright.sync_api import Locator, Page

from radonwork.files import WORKBOOKS

NAMES = sorted(path.name for path in WORKBOOKS.glob("*.ipynb"))
LIMIT = 60.0  # seconds; what a loaded machine may take before a test gives up, and no measurement

_OPEN = """
import pathlib, sys
from radonwork.workbook.launch import open_workbooks
open_workbooks(pathlib.Path(sys.argv[1]), browser=False, port=int(sys.argv[2]))
"""
_ERRORS = (
    "[data-mime-type='application/vnd.jupyter.error']",
    "[data-mime-type='application/vnd.jupyter.stderr']",
    ":text('Error displaying widget')",
    ":text('Error creating widget')",
    ".radonwork-fault:not(:empty)",
)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def until(holds: Callable[[], bool], seconds: float = LIMIT) -> bool:
    """Whether `holds` comes true in time."""
    end = time.monotonic() + seconds
    while not holds():
        if time.monotonic() > end:
            return False
        time.sleep(0.02)
    return True


class Lab:
    """JupyterLab as `radonwork open` starts it."""

    def __init__(self, folder: Path, port: int, environment: dict[str, str]) -> None:
        self.folder = folder
        self.process = subprocess.Popen(
            [sys.executable, "-c", _OPEN, folder, str(port)],
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        assert self.process.stdout is not None
        self.said: list[str] = []
        for line in self.process.stdout:
            self.said.append(line.rstrip("\n"))
            if "Ctrl-C" in line:
                break
        address = re.search(r"http://\S+", "\n".join(self.said))
        assert address, f"JupyterLab did not start: {self.said}"
        self.address = address[0]
        self.port = urlsplit(self.address).port

    def address_of(self, name: str) -> str:
        parts = urlsplit(self.address)
        return f"{parts.scheme}://{parts.netloc}/doc/tree/{name}?{parts.query}"

    def stop(self) -> tuple[int, str]:
        """Ctrl-C; gives the exit code and what was said after the start."""
        self.process.send_signal(signal.SIGINT)
        rest, _ = self.process.communicate(timeout=LIMIT)
        return self.process.returncode, rest


class Workbook:
    """One workbook open in a page of its own."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.node = page.locator(".jp-NotebookPanel:visible")
        self.panels = self.node.locator("section.radonwork-panel")
        self.thrown: list[str] = []
        page.on("pageerror", lambda error: self.thrown.append(str(error)))

    def wait_until_live(self) -> None:
        """Its cells have all been run by the page itself, without a Run All."""
        self.page.locator(".jp-NotebookPanel[aria-busy=false]:visible").wait_for(timeout=LIMIT * 1000)

    def counts(self) -> list[str]:
        """What stands before the result of each cell of code: '[3]:'. Its code is folded away, and the count with it."""
        return self.node.locator(".jp-CodeCell .jp-OutputArea-executeResult .jp-OutputPrompt").all_text_contents()

    def choose(self, menu: str, item: str) -> None:
        self.page.get_by_role("menubar").get_by_text(menu, exact=True).click()
        self.page.get_by_role("menuitem", name=item, exact=True).click()

    def run_all(self) -> None:
        """Run every cell of a workbook that is live once more, to the end."""
        cells = self.node.locator(".jp-CodeCell").count()
        again = [f"[{int(count.strip('[]:')) + cells}]:" for count in self.counts()]
        self.choose("Run", "Run All Cells")
        assert until(lambda: self.counts() == again), f"Run All did not end: {self.counts()}"

    def errors(self) -> list[str]:
        """Every error, warning text and complaint that any cell shows, and what the page itself threw."""
        shown = [text for kind in _ERRORS for text in self.node.locator(kind).all_text_contents()]
        return shown + self.thrown

    def as_written(self) -> tuple[int, list[str], list[str]]:
        """Cells, code and counts: what no key pressed on a control may change."""
        code = self.node.locator(".jp-CodeCell .jp-InputArea-editor").all_text_contents()
        return self.node.locator(".jp-Cell").count(), code, self.counts()

    def press(self, control: Locator, *keys: str) -> None:
        control.focus()
        for key in keys:
            self.page.keyboard.press(key)

    def type_over(self, field: Locator, text: str) -> None:
        self.press(field, "Control+a")
        self.page.keyboard.type(text)
        self.page.keyboard.press("Enter")

    def focused(self) -> list[str]:
        """The term and kind of the control that has the focus; empty where it is on something else."""
        return list(
            self.page.evaluate(
                "(({dataset, type}) => dataset.term ? [dataset.term, type] : [])(document.activeElement)"
            )
        )


def controls(panel: Locator) -> list[Locator]:
    return panel.locator("input[type=range][data-term]").all()


def field_beside(panel: Locator, control: Locator) -> Locator:
    """The field that takes the value of `control` as people write it."""
    return panel.locator(f"input[type=text][data-term={control.get_attribute('data-term')}]")


def result(panel: Locator) -> str:
    return "\n".join(panel.locator("output.radonwork-result").all_text_contents())


def drawing(panel: Locator) -> str:
    return "".join(svg.evaluate("svg => svg.outerHTML") for svg in panel.locator("figure.radonwork-drawing svg").all())
