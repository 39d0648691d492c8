"""Whole-process time of `radonwork report` against importing sympy, matplotlib and the typesetter alone.

    python tests/benchmarks/report.py [RUNS]

Target: under 1.5 times the import plus one second, set when there were four topics. Measured for a record with the facts
of those four, and for the example with everything in it. They take turns, so that a busy machine slows all; the medians
are compared. Nothing here is a test, since a busy machine is not a failure.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

ROOT = Path(__file__).parents[2]
FOUR_TOPICS = Path(__file__).with_name("four_topics.toml")
EVERYTHING = ROOT / "data" / "houses" / "alder-court.toml"
IMPORTS = [sys.executable, "-c", "import sympy, matplotlib, typst"]
COMMAND = [sys.executable, "-c", "import sys; from radonwork.cli import main; sys.exit(main())", "report"]
FACTOR, EXTRA = 1.5, 1.0


def seconds(command: list[str], folder: str) -> float:
    environment = os.environ | {"PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": f"{folder}/compiled"}
    # an installed package has its modules compiled, and so has a checkout after its first run, unless this forbids it
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    start = perf_counter()
    subprocess.run(command, check=True, cwd=folder, env=environment, stdout=subprocess.DEVNULL)
    return perf_counter() - start


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    with tempfile.TemporaryDirectory() as folder:
        jobs = {"imports alone": IMPORTS}
        for words, house in (("four topics", FOUR_TOPICS), ("everything", EVERYTHING)):
            for kind in ("html", "pdf"):
                jobs[f"{words}, {kind}"] = [*COMMAND, str(house), "-o", f"r.{kind}"]
        for job in jobs.values():
            seconds(job, folder)  # once for the files of the disk and for compiled modules
        times: dict[str, list[float]] = {name: [] for name in jobs}
        for _ in range(runs):
            for name, job in jobs.items():
                times[name].append(seconds(job, folder))
    base = median(times["imports alone"])
    for name, taken in times.items():
        found = median(taken)
        print(
            f"{name:17} {found:6.2f} s  ({min(taken):.2f} to {max(taken):.2f})  {found / base:5.2f} times the imports"
        )
    print(f"target            {FACTOR * base + EXTRA:6.2f} s  ({FACTOR} times the imports plus {EXTRA:g} s)")


if __name__ == "__main__":
    main()
