"""Whole-process time of `radonwork templates`: every template of a house as PDF and SVG, and with DXF besides.

    python tests/benchmarks/templates.py [RUNS]

Target: under 2 s, imports and all, beside the time that importing sympy and the typesetter takes alone. They take turns,
so that a busy machine slows all; the medians are shown. Nothing here is a test, since a busy machine is not a failure.
"""

import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

from tests.benchmarks.report import seconds

HOUSES = Path(__file__).parents[2] / "data" / "houses"
COMMAND = [sys.executable, "-c", "import sys; from radonwork.cli import main; sys.exit(main())", "templates"]
TARGET = 2.0


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    jobs = {"imports alone": [sys.executable, "-c", "import sympy, typst"]}
    for house in sorted(HOUSES.glob("*.toml")):
        jobs[f"{house.stem}, PDF and SVG"] = [*COMMAND, str(house), "-o", house.stem]
        jobs[f"{house.stem}, and DXF"] = [*COMMAND, str(house), "-o", f"{house.stem}-dxf", "--dxf"]
    times: dict[str, list[float]] = {name: [] for name in jobs}
    with tempfile.TemporaryDirectory() as folder:
        for job in jobs.values():
            seconds(job, folder)  # once for the files of the disk and for compiled modules
        for _ in range(runs):
            for name, job in jobs.items():
                times[name].append(seconds(job, folder))
    for name, taken in times.items():
        print(f"{name:30} {median(taken):6.2f} s  ({min(taken):.2f} to {max(taken):.2f})")
    print(f"{'target':30} {TARGET:6.2f} s")


if __name__ == "__main__":
    try:
        main()
    except subprocess.CalledProcessError as reason:
        sys.exit(f"a command failed: {reason}")
