"""Time of the insertion: one verdict, one motion, arrays against a loop over scalars, a panel's move. Run as a script.

    python tests/benchmarks/insertion.py

A verdict should take less than 5 ms.
"""

from timeit import repeat
from typing import Any

import numpy as np

from radonwork.solvers import contact, insertion
from radonwork.solvers.pipe_motion import motion
from radonwork.workbook import book

SAMPLES = 1024
PIPE: dict[str, Any] = {
    "pipe_length": 110.0,
    "room_height": 93.5,
    "member_thickness": 2.25,
    "pipe_outside_diameter": 2.375,
}
OPENING: dict[str, Any] = {"slot_length": 4.1, "slot_start": 0.0, "bay_width": 14.5}


def milliseconds(work: Any, times: int) -> float:
    return min(repeat(work, number=times, repeat=5)) / times * 1e3


def main() -> None:
    rng = np.random.default_rng(1)
    spread = {name: value * rng.uniform(0.99, 1.01, SAMPLES) for name, value in PIPE.items()}

    def loop() -> list[contact.Needs]:
        return [contact.needs(**{name: float(values[i]) for name, values in spread.items()}) for i in range(SAMPLES)]

    array, one_by_one = milliseconds(lambda: contact.needs(**spread), 20), milliseconds(loop, 1)
    verdict = milliseconds(lambda: contact.verdict(**PIPE, **OPENING), 200)
    path = milliseconds(lambda: motion(**PIPE, **OPENING, top="right"), 20)
    metres = {name: value * 0.0254 for name, value in (PIPE | OPENING).items()}
    solver = milliseconds(lambda: insertion.pipe_insertion(**metres), 200)
    pose = milliseconds(lambda: insertion.insertion_pose(**metres, lean_direction=1.0, stage=0.4), 50)
    panel = book("insertion").panel()
    steps = iter(range(1, 10_000))

    def move() -> None:
        panel.values = panel.values | {"stage": next(steps) / 10_000}

    moved = milliseconds(move, 10)
    print(f"one verdict, geometry          {verdict:8.3f} ms")
    print(f"one verdict, solver            {solver:8.3f} ms")
    print(f"one pose, solver               {pose:8.3f} ms")
    print(
        f"one move of a panel's control  {moved:8.3f} ms: verdict, pose, drawing, working, tolerances of {SAMPLES} samples"
    )
    print(f"one motion of 60 frames        {path:8.3f} ms")
    print(f"needs, array of {SAMPLES}          {array:8.3f} ms, {SAMPLES / array / 1e3:.2f} million pipes a second")
    print(f"needs, Python loop of {SAMPLES}    {one_by_one:8.3f} ms, {one_by_one / array:.0f} times the array")


if __name__ == "__main__":
    main()
