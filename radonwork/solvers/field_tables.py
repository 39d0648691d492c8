"""The Bessel functions of a leaking layer, and tables of what the field of a sink is made of, read by squared distance."""

from collections.abc import Callable
from functools import cached_property
from typing import TypeAlias, cast

import numpy as np

Array: TypeAlias = np.ndarray


def k0(x: Array) -> Array:
    """The Bessel function K0. scipy's take long to load, and a house without a plan asks for none."""
    from scipy import special

    return cast(Array, special.k0(x))


def k1(x: Array) -> Array:
    """The Bessel function K1."""
    from scipy import special

    return cast(Array, special.k1(x))


class Table:
    """A function of x as a table over x², straight between rows that stand as the leading bits of x² do.

    So 256 rows stand in every octave, evenly, and the row of a number is read off its bits. K₀ and its kin are so smooth
    in the logarithm that this is right to a millionth, at a fortieth of the time of the functions themselves.
    """

    octaves, bits = (-70, 11), 8  # of x²

    def __init__(self, function: Callable[[Array], Array]) -> None:
        self.function = function

    @cached_property
    def _first(self) -> int:
        return int(np.array(2.0 ** self.octaves[0]).view(np.int64) >> (52 - self.bits))

    @cached_property
    def _lines(self) -> tuple[Array, Array]:
        """Value at zero and slope of the straight line in each row; beyond the last the function is as at its end."""
        rows = self._first + np.arange(((self.octaves[1] - self.octaves[0]) << self.bits) + 1)
        squared = (rows << (52 - self.bits)).view(float)
        values = self.function(np.sqrt(squared))
        slopes = np.append(np.diff(values) / np.diff(squared), 0.0)
        return values - slopes * squared, slopes

    def __call__(self, squared: Array) -> Array:
        row = squared.view(np.int64) >> (52 - self.bits)
        row -= self._first
        starts, slopes = self._lines
        found = slopes.take(row, mode="clip")
        found *= squared
        found += starts.take(row, mode="clip")
        return found


K0, PULL = Table(k0), Table(lambda x: k1(x) / x)
K0_WITHOUT_POLE, PULL_WITHOUT_POLE = Table(lambda x: k0(x) + np.log(x)), Table(lambda x: (x * k1(x) - 1) / x**2)
