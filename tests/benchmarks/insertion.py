"""Time of the insertion geometry: one verdict, one motion, and arrays against a loop over scalars. Run as a script."""

from timeit import repeat
from typing import Any

import numpy as np

from radonwork.solvers import contact
from radonwork.solvers.pipe_motion import motion

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
    print(f"one verdict                    {verdict:8.3f} ms")
    print(f"one motion of 60 frames        {path:8.3f} ms")
    print(f"needs, array of {SAMPLES}          {array:8.3f} ms, {SAMPLES / array / 1e3:.2f} million pipes a second")
    print(f"needs, Python loop of {SAMPLES}    {one_by_one:8.3f} ms, {one_by_one / array:.0f} times the array")


if __name__ == "__main__":
    main()
