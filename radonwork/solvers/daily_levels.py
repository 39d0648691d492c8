"""What a series of daily means says of the level it comes from: its long-run mean, its days, what more days would bring.

The model, in natural logarithms of the daily means: a level, a yearly swing of unknown size and time, and noise in which
each day resembles the one before,

    ln C(t) = m + a cos(2 pi t) + b sin(2 pi t) + u(t),    u(t) = rho^k u(t - k days) + innovation,

with t in years. `a` and `b` are held by a published spread and otherwise learnt; `m`, the spread of `u` and its
correlation `rho` come from the series alone. A day that is missing is a wider step of `u`, so gaps are neither filled
nor passed over. The likelihood is worked exactly on a grid of `rho` and spread, `m`, `a` and `b` integrated out; what is
asked of the answer (a mean, a chance, a reduction) is read off draws of all of them together, so that what is not known
of the correlation and of the season widens every interval. The long-run mean is the mean of the lognormal over noise and
year: exp(m + s^2/2) I0(sqrt(a^2 + b^2)).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

YEAR = 365.25  # days
DRAWS = 4000
HALF_YEAR_SPREAD = math.log(1.36)
"""ln GSD of six-month results around the mean of the year, 2,300 homes (cliff-miles-naismith)."""
SEASON_SPREAD = HALF_YEAR_SPREAD * math.pi / 2
"""Standard deviation of `a` and of `b` that gives half-years that spread: they average a swing to 2/pi of it."""
_CORRELATIONS = np.linspace(0.0, 0.98, 50)
_STEPS = np.linspace(-3.5, 5.0, 30)  # of ln s about its centre, in its own standard deviations
LEAST_DAYS = 10
"""Fewer daily means than this say too little of their own correlation; they are one short test."""


@dataclass(frozen=True)
class Draws:
    """Equally likely states of the model: coefficients (draws, columns), noise spread `s` and correlation `rho`."""

    coefficients: np.ndarray
    spread: np.ndarray
    correlation: np.ndarray

    def log_means(self) -> np.ndarray:
        """ln of the long-run mean, for columns that begin with level, cosine and sine."""
        swing = np.hypot(self.coefficients[:, 1], self.coefficients[:, 2])
        return self.coefficients[:, 0] + np.log(np.i0(swing)) + self.spread**2 / 2


def season(days: np.ndarray) -> np.ndarray:
    """Columns of the level and of the yearly swing, shape (days, 3); `days` count from any day."""
    angle = 2 * np.pi / YEAR * np.asarray(days, dtype=float)
    return np.stack([np.ones_like(angle), np.cos(angle), np.sin(angle)], axis=1)


def whitened(days: np.ndarray, rows: np.ndarray, correlations: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Rows freed of what each has from the row before, for each correlation: shape (correlations, days, columns).

    Also half the logarithm of the determinant that goes with it. `days` are whole and rising; a gap of k days passes on
    rho^k.
    """
    passed = correlations[:, np.newaxis] ** np.diff(days)[np.newaxis, :]
    passed = np.concatenate([np.zeros((len(correlations), 1)), passed], axis=1)
    left = np.sqrt(1 - passed**2)
    before = np.concatenate([np.zeros((1, rows.shape[1])), rows[:-1]])
    return (rows - passed[..., np.newaxis] * before) / left[..., np.newaxis], np.log(left).sum(axis=1)


@dataclass(frozen=True)
class Gathered:
    """Sums of squares and products of whitened rows [columns, logarithm] for each correlation of the grid."""

    products: np.ndarray  # (correlations, columns + 1, columns + 1)
    half_log_determinant: np.ndarray
    count: int

    def __add__(self, other: "Gathered") -> "Gathered":
        return Gathered(
            self.products + other.products,
            self.half_log_determinant + other.half_log_determinant,
            self.count + other.count,
        )


def gathered(days: np.ndarray, columns: np.ndarray, logs: np.ndarray) -> Gathered:
    """One run of days without a change of state inside it."""
    rows, determinant = whitened(days, np.column_stack([columns, logs]), _CORRELATIONS)
    return Gathered(np.einsum("rni,rnj->rij", rows, rows, optimize=True), determinant, len(days))


@dataclass(frozen=True)
class Grid:
    """States (correlation by its place on the grid, spread) with the logarithm of their weight."""

    places: np.ndarray
    spreads: np.ndarray
    log_weights: np.ndarray

    def drawn(self, count: int, start: float) -> np.ndarray:
        """Indices of `count` states, each as often as its weight says."""
        weights = np.exp(self.log_weights - self.log_weights.max())
        return np.searchsorted(np.cumsum(weights) / weights.sum(), (np.arange(count) + start) / count)


def _split(products: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    return products[..., :-1, :-1], products[..., :-1, -1], products[..., -1, -1]


def grid(of: Gathered, precision: np.ndarray) -> Grid:
    """States and their weights given one run alone; `precision` holds the coefficients beforehand, (columns,).

    Beforehand the spread is equally likely on every scale and the correlation equally likely anywhere from 0 to 0.98.
    """
    inside, cross, square = _split(of.products)
    degrees = max(of.count - 1, 2)
    held = np.diag(precision)
    scale = max(float(np.median(square - cross[:, 0] ** 2 / inside[:, 0, 0])) / degrees, 1e-6)
    fitted = np.linalg.solve(inside + scale * held, cross[..., np.newaxis])[..., 0]
    centre = np.sqrt(np.maximum(square - np.einsum("ri,ri->r", fitted, cross), 1e-9 * degrees) / degrees)
    spreads = centre[:, np.newaxis] * np.exp(_STEPS / math.sqrt(2 * degrees))
    places = np.broadcast_to(np.arange(len(_CORRELATIONS))[:, np.newaxis], spreads.shape)
    weights = _log_likelihood([of], [places.ravel()], [spreads.ravel()], precision)
    # A first day that stands alone and the correlation share what is known; steps of ln s are equal for every rho.
    return Grid(places.ravel(), spreads.ravel(), weights)


def _posterior(
    runs: Sequence[Gathered], places: Sequence[np.ndarray], spreads: Sequence[np.ndarray], precision: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Precision and its right side for the coefficients, and the square of the logarithms, at each state."""
    sums = sum(
        run.products[at] / s[:, np.newaxis, np.newaxis] ** 2 for run, at, s in zip(runs, places, spreads, strict=True)
    )
    inside, cross, square = _split(np.asarray(sums))
    return inside + np.diag(precision), cross, square


def _log_likelihood(
    runs: Sequence[Gathered], places: Sequence[np.ndarray], spreads: Sequence[np.ndarray], precision: np.ndarray
) -> np.ndarray:
    """ln of the likelihood with the coefficients integrated out, but for a constant."""
    inside, cross, square = _posterior(runs, places, spreads, precision)
    fitted = np.linalg.solve(inside, cross[..., np.newaxis])[..., 0]
    found = -0.5 * (square - np.einsum("gi,gi->g", fitted, cross)) - 0.5 * np.linalg.slogdet(inside)[1]
    for run, at, s in zip(runs, places, spreads, strict=True):
        found = found - run.count * np.log(s) - run.half_log_determinant[at]
    return np.asarray(found)


@lru_cache(maxsize=8)
def _normal(count: int, columns: int) -> np.ndarray:
    """Standard normal numbers, the same ones each time, each with its opposite."""
    half = np.random.default_rng(20).standard_normal((count // 2, columns))
    return np.concatenate([half, -half])


def joint_draws(runs: Sequence[Gathered], precision: np.ndarray) -> tuple[Draws, ...]:
    """Draws of all runs together, one for each run; they share the coefficients, each has a spread and correlation of its own.

    States of each run are drawn from what it alone says, put side by side, and weighted by what all say together.
    """
    grids = [grid(run, precision) for run in runs]
    count = DRAWS if len(runs) > 1 else 1000
    shuffle = np.random.default_rng(21)
    chosen = [shuffle.permutation(one.drawn(count, 0.5)) for one in grids]
    places = [one.places[index] for one, index in zip(grids, chosen, strict=True)]
    spreads = [one.spreads[index] for one, index in zip(grids, chosen, strict=True)]
    if len(runs) > 1:
        weights = _log_likelihood(runs, places, spreads, precision)
        for one, index in zip(grids, chosen, strict=True):
            weights = weights - one.log_weights[index]
        kept = Grid(np.arange(count), np.zeros(count), weights).drawn(DRAWS, 0.5)
    else:
        kept = np.repeat(np.arange(count), DRAWS // count)
    places, spreads = [at[kept] for at in places], [s[kept] for s in spreads]
    inside, cross, _ = _posterior(runs, places, spreads, precision)
    mean = np.linalg.solve(inside, cross[..., np.newaxis])[..., 0]
    root = np.linalg.cholesky(np.linalg.inv(inside))
    numbers = shuffle.permutation(_normal(DRAWS, len(precision)))
    drawn = mean + np.einsum("gij,gj->gi", root, numbers)
    return tuple(Draws(drawn, s, _CORRELATIONS[at]) for s, at in zip(spreads, places, strict=True))


def held_season() -> np.ndarray:
    """Precision of level, cosine and sine beforehand: the level free, the season by its published spread."""
    return np.array([0.0, 1 / SEASON_SPREAD**2, 1 / SEASON_SPREAD**2])


def long_run_draws(days: np.ndarray, values: np.ndarray) -> Draws:
    """Draws of the model for daily means `values` (above zero, any one unit) of the whole `days`, rising.

    Raises ValueError for fewer than LEAST_DAYS days.
    """
    if len(days) < LEAST_DAYS:
        raise ValueError(f"{len(days)} daily means are too few to learn from; {LEAST_DAYS} or more would do")
    return joint_draws([gathered(days, season(days), np.log(values))], held_season())[0]


# ---------------------------------------------------------------- more days


SETTLED = 0.95
"""A question is settled where the chance of the one answer is this or more."""
_Z_SETTLED = 1.6448536269514722
MOST_DAYS = 730


def days_to_settle(draws: Draws, days: np.ndarray, log_level: float, other_spread: float = 0.0) -> int | None:
    """How many further days in a row would make it 95 % sure on which side of the level the long-run mean lies.

    What is known now is taken to stay as it is but for its width; `other_spread` is a standard deviation of ln that no
    number of days takes away, such as that of the device. 0 where it is settled; None where two years would not settle it.
    """
    means = draws.log_means()
    above = float(np.mean(means + other_spread * _normal(len(means), 1)[:, 0] > log_level))
    if max(above, 1 - above) >= SETTLED:
        return 0
    _, cosine, sine = draws.coefficients[:, :3].mean(axis=0)
    spread, correlation = float(np.median(draws.spread)), float(np.median(draws.correlation))
    swing = max(math.hypot(cosine, sine), 1e-9)
    pull = _bessel_ratio(swing) / swing
    gradient = np.array([1.0, pull * cosine, pull * sine])
    future = days[-1] + 1 + np.arange(MOST_DAYS)
    every = np.concatenate([days, future]).astype(float)
    rows = whitened(every, season(every), np.array([correlation]))[0][0]
    known = np.cumsum(rows[:, :, np.newaxis] * rows[:, np.newaxis, :], axis=0)[len(days) :] / spread**2
    variance = np.einsum("i,nij,j->n", gradient, np.linalg.inv(known + np.diag(held_season())), gradient)
    alike = (1 + correlation**2) / (1 - correlation**2)
    variance = variance + spread**4 / 2 * alike / np.arange(len(days) + 1, len(every) + 1) + other_spread**2
    enough = np.flatnonzero(abs(float(np.median(means)) - log_level) >= _Z_SETTLED * np.sqrt(variance))
    return int(enough[0]) + 1 if len(enough) else None


def _bessel_ratio(x: float) -> float:
    """I1(x) / I0(x), the slope of ln I0, by a step of numpy's I0."""
    step = 1e-5
    return float((np.log(np.i0(x + step)) - np.log(np.i0(x - step))) / (2 * step))
