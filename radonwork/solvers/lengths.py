"""What depends on the leakage length, worked at a few lengths and read between them off a smooth curve.

The lengths stand on a fixed scale of their logarithm, so that whoever asks next finds them worked already.
"""

import math
from collections.abc import Callable

import numpy as np

from radonwork.engine.formula import Values
from radonwork.solvers.splines import smooth

Array = np.ndarray


def nodes(low: float, high: float, *, step: float, most: int) -> Array:
    """Logarithms of leakage lengths, four or more, from below `low` m to above `high` m.

    `step` of the logarithm lies between two of them, twice or four times as much where more than `most` steps were wanted.
    """
    first, last = math.log(low), math.log(high)
    step *= 2 ** max(0, math.ceil(math.log2(max(last - first, step) / (most * step))))
    start = math.floor(first / step)
    return step * np.arange(start, max(math.ceil(last / step), start + 3) + 1)


def along(leakage_length: Values, of_one: Callable[[float], Array], *, step: float, most: int) -> tuple[Array, Array]:
    """`of_one` at a few lengths (first axis), and how much each of them counts (columns) at each length m asked for (rows).

    The few are `nodes`; but for one length alone it is worked there itself. Raises ValueError for a length that is not
    above zero.
    """
    lengths = np.atleast_1d(np.asarray(leakage_length, dtype=float))
    if not np.all((lengths > 0) & np.isfinite(lengths)):
        raise ValueError("the leakage length must be above zero: a layer that lets some air through, a slab that leaks")
    low, high = float(lengths.min()), float(lengths.max())
    if high - low < 1e-12 * high:
        return of_one(low)[np.newaxis], np.ones((1, 1))
    logs = nodes(low, high, step=step, most=most)
    return np.array([of_one(math.exp(one)) for one in logs]), smooth(logs, np.eye(len(logs)))(np.log(lengths))
