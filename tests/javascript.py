"""Programs printed to JavaScript, run over arrays in Node or, where there is none, in Chromium."""

import base64
import json
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from radonwork.engine.program import Program

NODE = shutil.which("node") or shutil.which("nodejs")
_BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")

# Doubles go in and come out as their bytes, so that nothing is lost in print. Each program is run over rows of its terms.
_RUN = """
function run(programs) {
  return programs.map(({source, takes, outputs, inputs}) => {
    const bytes = Uint8Array.from(atob(inputs), c => c.charCodeAt(0));
    const rows = new Float64Array(bytes.buffer);
    const work = new Function("return " + source)();
    const count = rows.length / takes.length;
    const found = new Float64Array(count * outputs);
    for (let i = 0; i < count; i++) {
      const values = {};
      takes.forEach((name, j) => { values[name] = rows[i * takes.length + j]; });
      found.set(work(values), i * outputs);
    }
    const out = new Uint8Array(found.buffer);
    let text = "";
    for (let i = 0; i < out.length; i += 8192) text += String.fromCharCode(...out.subarray(i, i + 8192));
    return btoa(text);
  });
}
"""


def run(jobs: Sequence[tuple[Program, np.ndarray]]) -> list[np.ndarray]:
    """Outputs of each program for its rows of inputs (rows x terms in the order of `takes`), as rows x outputs."""
    return (run_in_node if NODE else run_in_chromium)(jobs)


def run_in_node(jobs: Sequence[tuple[Program, np.ndarray]]) -> list[np.ndarray]:
    """In one process of Node."""
    script = _RUN + 'process.stdout.write(JSON.stringify(run(JSON.parse(require("fs").readFileSync(0, "utf8")))));'
    assert NODE is not None
    done = subprocess.run([NODE, "-e", script], input=_packed(jobs), capture_output=True, text=True, check=True)
    return _unpacked(jobs, json.loads(done.stdout))


def run_in_chromium(jobs: Sequence[tuple[Program, np.ndarray]]) -> list[np.ndarray]:
    """In one page of Chromium."""
    from playwright.sync_api import sync_playwright

    chromium = next(path for path in map(shutil.which, _BROWSERS) if path)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=Path(chromium), args=["--no-sandbox"])
        page = browser.new_page()
        found = page.evaluate(f"text => {{ {_RUN} return run(JSON.parse(text)); }}", _packed(jobs))
        browser.close()
    return _unpacked(jobs, found)


def _packed(jobs: Sequence[tuple[Program, np.ndarray]]) -> str:
    return json.dumps(
        [
            {
                "source": program.javascript,
                "takes": list(program.takes),
                "outputs": len(program.outputs),
                "inputs": base64.b64encode(np.ascontiguousarray(rows, dtype="<f8").tobytes()).decode(),
            }
            for program, rows in jobs
        ]
    )


def _unpacked(jobs: Sequence[tuple[Program, np.ndarray]], found: list[str]) -> list[np.ndarray]:
    return [
        np.frombuffer(base64.b64decode(text), dtype="<f8").reshape(-1, len(program.outputs))
        for (program, _), text in zip(jobs, found, strict=True)
    ]
