"""Time of the stud finder: one answer, a panel's move, and the same question asked of walls built at random. Run as a script.

    python tests/benchmarks/stud_finder.py

A move of the panel should take less than 60 ms.
"""

from timeit import repeat
from typing import Any

import numpy as np

from radonwork.files import DATA
from radonwork.solvers.stud_finder import Layout, Probe, Wall, find
from radonwork.workbook import book

INCH = 0.0254
WALL = Wall(168 * INCH, 1.5 * INCH, (Layout(16 * INCH, 0.9), Layout(24 * INCH, 0.1)))
PROBES = tuple(Probe(at * INCH, "wood" if at in (40, 56) else "nothing", INCH / 8, 0.05) for at in (40, 42, 56, 59))


def milliseconds(work: Any, times: int) -> float:
    return min(repeat(work, number=times, repeat=5)) / times * 1e3


def at_random(count: int) -> float:
    """Chance of wood at one place from walls built at random and weighed by the same readings."""
    rng = np.random.default_rng(1)
    spacing = np.where(rng.random(count) < 0.9, 16, 24)[:, np.newaxis]
    centres = rng.uniform(0, 1, (count, 1)) * spacing + np.arange(-1, 12) * spacing + rng.normal(0, 0.25, (count, 13))
    weight = np.ones(count)
    for probe in PROBES:
        wood = np.any(np.abs(centres - probe.at / INCH) < 0.8125, axis=1)
        weight *= np.where(wood == (probe.found == "wood"), 1 - probe.false, probe.false)
    hit = np.any(np.abs(centres - 72) < 0.8125, axis=1)
    return float(weight[hit].sum() / weight.sum())


def main() -> None:
    studs = find(WALL, PROBES)
    found = milliseconds(lambda: find(WALL, PROBES), 20)
    beside = milliseconds(lambda: (studs.first_left_of(50 * INCH), studs.first_right_of(50 * INCH)), 20)
    told = milliseconds(lambda: studs.bits_about(46 * INCH, 52 * INCH, INCH / 8, 0.05), 20)
    sampled = milliseconds(lambda: at_random(100_000), 1)
    print(f"one posterior, {len(studs.x)} places       {found:8.2f} ms")
    print(f"studs to either side           {beside:8.2f} ms")
    print(f"information at every place     {told:8.2f} ms")
    print(
        f"100,000 walls at random        {sampled:8.2f} ms, {sampled / found:.0f} times the posterior, to two digits only"
    )
    for key in ("alder-court", "kestrel-lane"):
        panel = book("framing", DATA / "houses" / f"{key}.toml").panel(1)
        length, steps = float(panel.values["framed_length"]), iter(range(1, 10_000))

        def move(panel: Any = panel, length: float = length, steps: Any = steps) -> None:
            panel.values = panel.values | {"probe_place": length * (next(steps) % 997) / 1000, "probe_reading": 1.0}

        print(f"one move of the panel, {key:12} {milliseconds(move, 10):5.1f} ms, with rules and tolerances")


if __name__ == "__main__":
    main()
