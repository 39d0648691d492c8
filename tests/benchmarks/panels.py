"""Time from a key on a control to everything painted, in JupyterLab, beside the same panel made with `interact`.

    python -m tests.benchmarks.panels [MOVES [TOPIC ...]]

Each panel and its counterparts (interact.py) take turns, twenty moves at a time, so that a busy machine slows all alike.
One move is an arrow key on the focused control, pressed 50 to 350 ms after the last was painted. The page itself takes
the times, from the moment at which the browser received the key:

- changed: picture, sentence and worked equations in the page are all other ones (for `interact`, its image decoded and
  its equations typeset too);
- painted: the first task after the frame that follows. A task that a frame's own callback posts runs when that frame's
  style, layout and painting are done, so this is the paint, but for the compositor putting it on the glass;
- next frame: when the frame after that begins. It holds the wait for the screen's next refresh and so bounds the paint
  from above.

A fast drag is a key held down: twenty repeats, at most thirty a second. A value counts as shown when a frame with its picture was
painted. Nothing here is a test, since a busy machine is not a failure.
"""

import json
import os
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from playwright.sync_api import Browser, Locator, Page, sync_playwright

from radonwork.house.job import topics
from radonwork.workbook.panes import panes
from tests.browser.conftest import QUIET, SANDBOX
from tests.browser.driving import LIMIT, Lab, Workbook, free_port
from tests.everything import CHECKOUT, chromium

BLOCK = 20  # moves in a turn, and values in a fast drag
REPEAT = 1 / 30  # seconds between the repeats of a key held down
TIMES = ("changed", "painted", "next frame")
PANEL = "panel"
COUNTERPARTS = {"interact": False, "given MathML": True}  # how the worked equations are shown


@dataclass(frozen=True)
class Subject:
    """A panel and the control that is moved: one that picture, sentence and worked equations all depend on."""

    topic: str
    number: int
    control: str
    most: float  # milliseconds: what the 95th percentile must stay below
    ratio: float  # and how many times faster than `interact` it must be

    @property
    def title(self) -> str:
        return panes(self.topic)[self.number - 1].title


LIVE, KERNEL = (30, 10), (100, 3)
SUBJECTS = [
    Subject("pipes", 1, "small_bore", *LIVE),
    Subject("roof", 1, "roof_angle", *LIVE),
    Subject("condensate", 3, "run_length", *KERNEL),
    Subject("insertion", 1, "pipe_length", *KERNEL),
]

PROBE = """
([root, ours]) => {
  const text = (kind) => [...root.querySelectorAll(kind)].map((part) => part.textContent).join("");
  const figure = root.querySelector("figure");
  const typeset = () => {
    const made = [...root.querySelectorAll(".jp-RenderedLatex")];
    const done = made.every((one) => one.querySelector("mjx-container"));
    if (made.length) return done ? made.map((one) => one.innerHTML).join("") : "";
  };
  const read = ours
    ? () => [figure.innerHTML, text(".radonwork-result"), text(".radonwork-equations")]
    : () => [root.querySelector("img")?.src, text("pre"), typeset() ?? text("math")];
  const decoded = () => Promise.all([...root.querySelectorAll("img")].map((img) => img.decode()));
  const afterFrame = (then) => requestAnimationFrame(() => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = then;
    port2.postMessage(0);
  });
  let before = read(), pressed = null, tell = () => {};
  root.ownerDocument.addEventListener("keydown", (event) => { pressed = event.timeStamp; }, true);
  const look = async () => {
    if (pressed === null || tell === null) return;
    const now = read();
    if (now.some((part, i) => !part || part === before[i])) return;
    const start = pressed, done = tell;
    [pressed, tell, before] = [null, null, now];
    if (!ours) await decoded();
    const times = [performance.now() - start];
    afterFrame(() => {
      times.push(performance.now() - start);
      requestAnimationFrame(() => { times.push(performance.now() - start); done(times); });
    });
  };
  new MutationObserver(look).observe(root, { subtree: true, childList: true, characterData: true, attributes: true });

  let painted = null;
  const frame = () => afterFrame(() => {
    if (!painted) return;
    if ([...root.querySelectorAll("img")].every((img) => img.complete)) painted.add(read()[0]);
    frame();
  });
  return {
    arm() { pressed = null; before = read(); this.move = new Promise((resolve) => { tell = resolve; }); },
    watch() { tell = null; painted = new Set(); frame(); },
    shown() { const first = before[0]; painted.delete(first); painted.delete(undefined); return painted.size; },
    rest() { painted = null; },
  };
}
"""


class Way:
    """One way to make a panel, in the page: its control and the probe that takes the times."""

    def __init__(self, page: Page, root: Locator, control: Locator, ours: bool) -> None:
        self.page, self.control = page, control
        page.bring_to_front()
        control.scroll_into_view_if_needed()
        self.probe = page.evaluate_handle(PROBE, [root.element_handle(), ours])
        self.moves: list[list[float]] = []
        self.shown: list[int] = []

    def take_turn(self) -> None:
        """Ten moves up and ten back."""
        self._focus()
        for key in ["ArrowRight"] * (BLOCK // 2) + ["ArrowLeft"] * (BLOCK // 2):
            time.sleep(random.uniform(0.05, 0.35))
            self.probe.evaluate("probe => probe.arm()")
            self.page.keyboard.press(key)
            self.moves.append(self.probe.evaluate(f"probe => Promise.race([probe.move, {_REFUSAL}])"))

    def drag(self, key: str) -> None:
        """The key held down for twenty repeats; waits until nothing more comes."""
        self._focus()
        self.probe.evaluate("probe => { probe.arm(); probe.watch(); }")
        for _ in range(BLOCK):
            pressed = time.perf_counter()
            self.page.keyboard.down(key)
            time.sleep(max(0.0, pressed + REPEAT - time.perf_counter()))
        self.page.keyboard.up(key)
        time.sleep(3)
        self.shown.append(self.probe.evaluate("probe => { const n = probe.shown(); probe.rest(); return n; }"))

    def _focus(self) -> None:
        self.page.bring_to_front()
        self.control.focus()
        time.sleep(0.5)

    def at(self, share: float, which: int) -> float:
        """A percentile of one of the times of all moves, in milliseconds."""
        return float(np.percentile([move[which] for move in self.moves], share))


_REFUSAL = "new Promise((_, refuse) => setTimeout(() => refuse(Error('a move was not painted within 20 s')), 20000))"


def main() -> None:
    moves = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    random.seed(1)
    command = chromium()
    assert command, "install the package chromium"
    subjects = [subject for subject in SUBJECTS if subject.topic in (sys.argv[2:] or topics())]
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        lab = start_lab(Path(folder), subjects)
        browser = playwright.chromium.launch(executable_path=command, args=[*SANDBOX, *QUIET])
        try:
            measure(browser, lab, subjects, moves)
        finally:
            browser.close()
            lab.stop()


def start_lab(folder: Path, subjects: list[Subject]) -> Lab:
    """JupyterLab with the workbooks and, beside them, notebooks that make their panels with `interact`."""
    home, work = folder / "home", folder / "work"
    work.mkdir()
    for subject in subjects:
        calls = ["from tests.benchmarks.interact import by_interact"]
        calls += [
            f"by_interact({subject.topic!r}, {subject.number}, mathml={mathml})" for mathml in COUNTERPARTS.values()
        ]
        (work / f"{subject.topic}.ipynb").write_text(json.dumps(notebook(calls)))
    own = {f"JUPYTER_{kind}_DIR": str(home / kind.lower()) for kind in ("CONFIG", "DATA", "RUNTIME")}
    environment = {**os.environ, **own, "IPYTHONDIR": str(home / "ipython"), "PYTHONPATH": str(CHECKOUT)}
    return Lab(work, free_port(), environment)


def notebook(cells: list[str]) -> dict[str, object]:
    nothing = {"cell_type": "code", "metadata": {}, "outputs": [], "execution_count": None}
    kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    made = [{**nothing, "id": f"cell-{place}", "source": source} for place, source in enumerate(cells)]
    return {"cells": made, "metadata": kernel, "nbformat": 4, "nbformat_minor": 5}


def measure(browser: Browser, lab: Lab, subjects: list[Subject], moves: int) -> None:
    print(
        f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors; {moves} moves each; milliseconds, median and p95"
    )
    for subject in subjects:
        workbook = open_page(browser, lab, f"{topics()[subject.topic].workbook}.ipynb")
        workbook.wait_until_live()
        comparison = open_page(browser, lab, f"{subject.topic}.ipynb")
        comparison.choose("Run", "Run All Cells")
        ways = dict(ways_of(subject, workbook, comparison))
        _wait_until_idle(comparison.page)  # a picture of `interact` still to come would be taken for that of a move
        for way in ways.values():
            way.take_turn()  # once for whatever is made when first used
            way.moves.clear()
        while len(ways[PANEL].moves) < moves:
            for way in ways.values():
                way.take_turn()
        for key in ("ArrowRight", "ArrowLeft", "ArrowRight", "ArrowLeft"):
            for way in ways.values():
                way.drag(key)
        report(subject, ways)
        workbook.page.close()
        comparison.page.close()
    print(f"load {os.getloadavg()[0]:.1f}")


def ways_of(subject: Subject, workbook: Workbook, comparison: Workbook) -> Iterator[tuple[str, Way]]:
    panel = workbook.page.get_by_role("region", name=subject.title, exact=True)
    yield PANEL, Way(workbook.page, panel, panel.locator(f"input[type=range][data-term={subject.control}]"), True)
    index = panes(subject.topic)[subject.number - 1].controls.index(subject.control)
    for place, name in enumerate(COUNTERPARTS, start=1):
        output = comparison.node.locator(".jp-CodeCell").nth(place).locator(".jp-Cell-outputArea")
        output.locator("img").wait_for(timeout=LIMIT * 1000)
        yield name, Way(comparison.page, output, output.locator(".noUi-handle").nth(index), False)


def open_page(browser: Browser, lab: Lab, name: str) -> Workbook:
    workbook = Workbook(browser.new_page(viewport={"width": 1400, "height": 1000}))
    workbook.page.goto(lab.address_of(name))
    _wait_until_idle(workbook.page)  # the kernel hears what it is told
    return workbook


def _wait_until_idle(page: Page) -> None:
    page.get_by_text("| Idle").wait_for(timeout=LIMIT * 1000)


def report(subject: Subject, ways: dict[str, Way]) -> None:
    print(f"\n{subject.topic}, {subject.control}: {subject.title}")
    print(f"{'':14}" + "".join(f"{time:>18}" for time in TIMES) + f"{'shown of ' + str(BLOCK):>18}{'times slower':>18}")
    ours = ways[PANEL]
    for name, way in ways.items():
        times = "".join(f"{way.at(50, i):11.1f}{way.at(95, i):7.1f}" for i in range(len(TIMES)))
        slower = f"{way.at(50, 1) / ours.at(50, 1):11.1f}{way.at(95, 1) / ours.at(95, 1):7.1f}"
        print(f"{name:14}{times}{', '.join(map(str, way.shown)):>18}{slower}")
    last, ratio = ours.at(95, 1), ways["interact"].at(50, 1) / ours.at(50, 1)
    print(
        f"painted: p95 {last:.1f} ms, to be under {subject.most:g}: {'met' if last < subject.most else 'MISSED'}; "
        f"{ratio:.1f} times faster, to be {subject.ratio:g}: {'met' if ratio >= subject.ratio else 'MISSED'}",
        flush=True,
    )


if __name__ == "__main__":
    main()
