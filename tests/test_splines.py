"""Cubics through points, against the reference library."""

import numpy as np
import pytest
from scipy.interpolate import CubicSpline, PchipInterpolator

from radonwork.solvers.splines import monotone, smooth


@pytest.mark.parametrize("count", [4, 5, 9])
def test_a_smooth_curve_is_that_of_the_reference_library(count: int) -> None:
    rng = np.random.default_rng(count)
    knots, values = np.cumsum(rng.uniform(0.2, 2, count)), rng.normal(size=(count, 3, 2))
    places = np.linspace(knots[0] - 0.3, knots[-1] + 0.3, 71)
    assert smooth(knots, values)(places) == pytest.approx(CubicSpline(knots, values)(places), rel=1e-10, abs=1e-11)
    one = smooth(knots, values[:, 0, 0])
    assert one(places.reshape(71, 1)).shape == (71, 1)
    assert one(places) == pytest.approx(CubicSpline(knots, values[:, 0, 0])(places), rel=1e-10, abs=1e-11)


@pytest.mark.parametrize("seed", range(40))
def test_a_monotone_curve_is_that_of_the_reference_library(seed: int) -> None:
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 8))
    knots, values = np.cumsum(rng.uniform(0.1, 3, count)), rng.normal(size=count)
    if seed % 2:
        values = -np.sort(values)
    if seed % 5 == 0 and count > 2:
        values[1] = values[0]  # level from the start
    places = np.linspace(knots[0], knots[-1], 83)
    assert monotone(knots, values)(places) == pytest.approx(PchipInterpolator(knots, values)(places), abs=1e-12)
