"""Time of the suction under a slab: a map, its parts, and against plainer ways to the same numbers. Run as a script."""

from timeit import repeat
from typing import Any

import numpy as np
from scipy.special import k0

from radonwork.solvers import suction_field as field
from radonwork.solvers.field_fit import fit
from radonwork.solvers.slab_plan import Footprint, Pit, Reading
from radonwork.solvers.suction_field import Layer, suction_field

LAYER = Layer(5.5e-5, 5.0)
PITS = (
    Pit((2.0, 2.0), 0.15, 250.0),
    Pit((7.0, 5.0), 0.15, 200.0),
    Pit((5.0, 7.0), 0.15, 200.0),
    Pit((8.0, 1.0), 0.15, 200.0),
)
SLABS = {
    "a rectangle": Footprint(((0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (0.0, 8.0))),
    "an L": Footprint(((0.0, 0.0), (10.0, 0.0), (10.0, 6.0), (8.0, 6.0), (8.0, 8.0), (0.0, 8.0))),
}


def milliseconds(work: Any, times: int = 5) -> float:
    return min(repeat(work, number=times, repeat=7)) / times * 1e3


def main() -> None:
    x, y = (np.arange(100) + 0.5) * 0.1, (np.arange(100) + 0.5) * 0.08
    print("map of 100 x 100 points, four suction points")
    wide = suction_field(LAYER, PITS)
    open_field = milliseconds(lambda: wide.suction(x[np.newaxis], y[:, np.newaxis]))
    print(f"  slab without end            {open_field:8.2f} ms")
    for name, slab in SLABS.items():

        def anew(slab: Footprint = slab) -> Any:
            field._respond.cache_clear()
            return suction_field(LAYER, PITS, slab)

        solved = anew()
        solve, drawn = milliseconds(anew), milliseconds(solved.map)
        print(
            f"  {name:12} solved anew    {solve:8.2f} ms; map {drawn:8.2f} ms; both {solve + drawn:8.2f} ms, limit 20 ms"
        )

    mirrored = suction_field(LAYER, PITS, SLABS["a rectangle"], walls="images")
    lined = suction_field(LAYER, PITS, SLABS["a rectangle"])
    by_images, by_pieces = milliseconds(mirrored.map, 1), milliseconds(lined.map, 1)
    print(f"  walls by images             {by_images:8.2f} ms, {by_images / by_pieces:.1f} times the walls by pieces")

    squares = np.random.default_rng(1).uniform(1e-3, 20, 10_000)
    table, library = milliseconds(lambda: field.K0(squares)), milliseconds(lambda: k0(np.sqrt(squares)))
    print(
        f"10,000 of K0: table {table * 1e3:.0f} us, scipy {library * 1e3:.0f} us, {library / table:.1f} times the table"
    )

    def one_by_one() -> list[float]:
        return [float(lined.suction(a, b)) for a in x[::10] for b in y[::10]]

    loop = milliseconds(one_by_one, 1) * 100
    print(f"map by a loop over points     {loop:8.0f} ms, {loop / by_pieces:.0f} times the array")

    holes = [(5.0, 2.0), (9.0, 5.0), (3.0, 5.5)]
    read = [Reading(h, float(lined.suction(*h)), 1.0) for h in holes]

    def fitted() -> Any:
        field._respond.cache_clear()
        return fit(read, PITS, SLABS["a rectangle"])

    found = fitted()
    print(f"fit to three holes            {milliseconds(fitted, 1):8.0f} ms")
    print(f"next hole of 25 x 25 places   {milliseconds(lambda: found.next_hole(1.0), 1):8.0f} ms")


if __name__ == "__main__":
    main()
