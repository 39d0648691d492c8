"""Formulas over an array of a million against the same expressions written by hand in numpy. Run as a script.

    python -m tests.benchmarks.formulas

The two take turns, so that a busy machine slows both; a ratio above 2 misses the mark. Highest are formulas of a few
operations: each array is read once more to hold it to its range, and so is what a stated condition compares, which by
hand is left out. With many operations, or costly ones, that is not seen.
"""

from collections.abc import Callable
from time import perf_counter
from typing import Any

import numpy as np

from radonwork.engine.formula import Formula, sampled
from radonwork.formulas import bay, condensate, moist_air, pipes, roof

SIZE = 1_000_000
ROUNDS = 25

BY_HAND: list[tuple[Formula, Callable[..., Any]]] = [
    (pipes.pipe_bore, lambda pipe_outside_diameter, wall_thickness: pipe_outside_diameter - 2 * wall_thickness),
    (pipes.bore_area, lambda bore: np.pi * bore**2 / 4),
    (pipes.area_ratio, lambda pipe_count, small_bore, large_bore: pipe_count * (small_bore / large_bore) ** 2),
    (
        pipes.flow_ratio,
        lambda pipe_count, small_bore, large_bore, bore_exponent: (
            pipe_count * (small_bore / large_bore) ** bore_exponent
        ),
    ),
    (
        pipes.loss_ratio,
        lambda pipe_count, small_bore, large_bore, friction_exponent: (
            (large_bore / small_bore) ** (5 - friction_exponent) / pipe_count ** (2 - friction_exponent)
        ),
    ),
    (
        bay.edge_distance,
        lambda member_depth, hole_diameter, hole_offset: (member_depth - hole_diameter) / 2 - hole_offset,
    ),
    (
        roof.roof_hole_diameter,
        lambda pipe_outside_diameter, deck_thickness, roof_angle: (
            pipe_outside_diameter / np.cos(roof_angle) + deck_thickness * np.tan(roof_angle)
        ),
    ),
    (
        condensate.wallis_number,
        lambda air_velocity, air_density, water_density, bore, gravity: (
            air_velocity * np.sqrt(air_density / (gravity * bore * (water_density - air_density)))
        ),
    ),
    (
        moist_air.humidity_ratio,
        lambda vapour_pressure, barometric_pressure, molar_mass_ratio: (
            molar_mass_ratio * vapour_pressure / (barometric_pressure - vapour_pressure)
        ),
    ),
]


def points(formula: Formula) -> dict[str, Any]:
    """A million points at which the formula holds; constants as the numbers they are."""
    few = sampled(formula, 50_000)
    return {
        name: quantity.value if (quantity := formula.defaults.get(name)) else np.resize(few[name], SIZE)
        for name in formula.takes
    }


def seconds(work: Callable[[], object]) -> float:
    start = perf_counter()
    work()
    return perf_counter() - start


def main() -> None:
    print(f"{'formula':24}{'by hand':>10}{'formula':>10}{'ratio':>8}")
    worst = 0.0
    for formula, by_hand in BY_HAND:
        given = points(formula)
        assert np.allclose(formula(**given), by_hand(**given), rtol=1e-12)
        pairs = [(seconds(lambda: by_hand(**given)), seconds(lambda: formula(**given))) for _ in range(ROUNDS)]  # noqa: B023
        hand, ours = (min(times) for times in zip(*pairs, strict=True))
        worst = max(worst, ours / hand)
        print(f"{formula.name:24}{hand * 1e3:7.2f} ms{ours * 1e3:7.2f} ms{ours / hand:8.2f}")
    print(f"worst ratio {worst:.2f}")


if __name__ == "__main__":
    main()
