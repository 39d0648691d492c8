"""What a series of daily means says of the level it comes from: its long-run mean, its days, what more days would bring.

The model, in natural logarithms of the daily means: a level, a yearly swing of unknown size, time and shape, and noise in
which each day resembles the one before,

    ln C(t) = m + a cos(2 pi t) + b sin(2 pi t) + c cos(4 pi t) + d sin(4 pi t) + u(t),
    u(t) = rho^k u(t - k days) + innovation,

with t in years. The swing is held by published spreads and otherwise learnt; `m`, the spread of `u` and its correlation
`rho` come from the series alone. A day that is missing is a wider step of `u`, so gaps are neither filled
nor passed over. The likelihood is worked exactly on a grid of `rho` and spread, `m`, `a` and `b` integrated out; what is
asked of the answer (a mean, a chance, a reduction) is read off draws of all of them together, so that what is not known
of the correlation and of the season widens every interval. The long-run mean is that of the lognormal over noise and
year: exp(s^2/2) times the mean of exp(m + swing) over the year.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

YEAR = 365.25  # days
DRAWS = 2000
HALF_YEAR_SPREAD = math.log(1.36)
"""ln GSD of six-month results around the mean of the year, 2,300 homes (cliff-miles-naismith)."""
SEASON_SPREAD = HALF_YEAR_SPREAD * math.pi / 2
"""Standard deviation of `a` and of `b` that gives half-years that spread: they average a swing to 2/pi of it."""
SHAPE_SPREAD = SEASON_SPREAD * math.sqrt((24.6 - 21.2) / 21.2)
"""That of `c` and of `d`: in four houses one wave a year told 21.2 % of the variance, two told 24.6 % (crockett-seasonal)."""
_TURNED = np.linspace(0.0, math.atanh(0.98), 30)  # steps of atanh rho: it is known equally well everywhere
_CORRELATIONS = np.tanh(_TURNED)
_STEP_OF_RHO = np.log(1 - _CORRELATIONS**2)  # ln of the steps of rho, where those of atanh rho are even
_STEPS = np.linspace(-3.5, 5.0, 24)  # of ln s about its centre, in its own standard deviations
LARGEST_SPREAD = 0.8
"""Days spread about their level by little more than this in ln, a factor of 2.2; short tests in one house spread by 42 %
(pmc7141775). It keeps a series of two weeks from being taken for a piece of swings that no house has."""
LEAST_DAYS = 10
"""Fewer daily means than this say too little of their own correlation; they are one short test."""


@dataclass(frozen=True)
class Draws:
    """Equally likely states of the model: coefficients (draws, columns), noise spread `s` and correlation `rho`."""

    coefficients: np.ndarray
    spread: np.ndarray
    correlation: np.ndarray

    def log_means(self) -> np.ndarray:
        """ln of the long-run mean, for columns that begin with those of `season`."""
        levels = self.coefficients[:, :SEASON_COLUMNS] @ _AROUND.T
        return np.log(np.exp(levels).mean(axis=1)) + self.spread**2 / 2


SEASON_COLUMNS = 5
_STILL = 1e-9  # share by which the rounding of a mean may move it


def season(days: np.ndarray) -> np.ndarray:
    """Columns of the level and of the yearly swing, shape (days, 5); `days` count from any day."""
    angle = 2 * np.pi / YEAR * np.asarray(days, dtype=float)
    return np.stack([np.ones_like(angle), np.cos(angle), np.sin(angle), np.cos(2 * angle), np.sin(2 * angle)], axis=1)


_AROUND = season(
    YEAR / 24 * np.arange(24)
)  # even steps round a year: its mean to many digits, since the swing is smooth


def passed_on(days: np.ndarray, correlations: np.ndarray) -> np.ndarray:
    """What each day has of the one before, for each correlation: rho^k over a gap of k days, nothing for the first."""
    passed = correlations[:, np.newaxis] ** np.diff(days)[np.newaxis, :]
    return np.concatenate([np.zeros((len(correlations), 1)), passed], axis=1)


def whitened(days: np.ndarray, rows: np.ndarray, correlations: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Rows freed of what each has from the row before, for each correlation: shape (correlations, days, columns).

    Also half the logarithm of the determinant that goes with it. `days` are whole and rising.
    """
    passed = passed_on(days, correlations)
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
    """Spreads at each correlation of the grid, and the logarithm of the likelihood there: (correlations, spreads)."""

    spreads: np.ndarray
    log_likelihood: np.ndarray


def _drawn(log_weights: np.ndarray, at: np.ndarray) -> np.ndarray:
    """Places along the last axis where the running sum of the weights passes `at`, from 0 to 1."""
    weights = np.exp(log_weights - log_weights.max(axis=-1, keepdims=True))
    passed = np.cumsum(weights, axis=-1) / weights.sum(axis=-1, keepdims=True)
    return np.minimum((passed < at[..., np.newaxis]).sum(axis=-1), log_weights.shape[-1] - 1)


def _split(products: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    return products[..., :-1, :-1], products[..., :-1, -1], products[..., -1, -1]


def grid(of: Gathered, precision: np.ndarray) -> Grid:
    """Spreads that the days of one state leave possible, by themselves; `precision` holds the coefficients, (columns,)."""
    inside, cross, square = _split(of.products)
    degrees = max(of.count - 1, 2)
    scale = max(float(np.median(square - cross[:, 0] ** 2 / inside[:, 0, 0])) / degrees, 1e-6)
    fitted = np.linalg.solve(inside + scale * np.diag(precision), cross[..., np.newaxis])[..., 0]
    centre = np.sqrt(np.maximum(square - np.einsum("ri,ri->r", fitted, cross), 1e-9 * degrees) / degrees)
    spreads = centre[:, np.newaxis] * np.exp(_STEPS / math.sqrt(2 * degrees))
    places = np.repeat(np.arange(len(_CORRELATIONS)), len(_STEPS))
    likelihood = _log_likelihood([of], [places], [spreads.ravel()], precision)
    return Grid(spreads, likelihood.reshape(spreads.shape))


def _posterior(
    states: Sequence[Gathered], places: Sequence[np.ndarray], spreads: Sequence[np.ndarray], precision: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Precision and its right side for the coefficients, and the square of the logarithms, at places and spreads."""
    sums = sum(
        state.products[at] / s[:, np.newaxis, np.newaxis] ** 2
        for state, at, s in zip(states, places, spreads, strict=True)
    )
    inside, cross, square = _split(np.asarray(sums))
    return inside + np.diag(precision), cross, square


def _log_likelihood(
    states: Sequence[Gathered], places: Sequence[np.ndarray], spreads: Sequence[np.ndarray], precision: np.ndarray
) -> np.ndarray:
    """ln of the likelihood, the coefficients integrated out, with what is held of the spreads; but for a constant."""
    inside, cross, square = _posterior(states, places, spreads, precision)
    fitted = np.linalg.solve(inside, cross[..., np.newaxis])[..., 0]
    found = -0.5 * (square - np.einsum("gi,gi->g", fitted, cross)) - 0.5 * np.linalg.slogdet(inside)[1]
    for state, at, s in zip(states, places, spreads, strict=True):
        found = found - state.count * np.log(s) - state.half_log_determinant[at] - (s / LARGEST_SPREAD) ** 2 / 2
    return np.asarray(found)


@lru_cache(maxsize=8)
def _normal(count: int, columns: int) -> np.ndarray:
    """Standard normal numbers, the same ones each time, each with its opposite."""
    half = np.random.default_rng(20).standard_normal((count // 2, columns))
    return np.concatenate([half, -half])


def joint_draws(states: Sequence[Gathered], precision: np.ndarray) -> tuple[Draws, ...]:
    """Draws for the days of each state together: they share the coefficients, each has a spread and correlation of its own.

    Beforehand every spread is equally likely on every scale up to LARGEST_SPREAD or so, and every correlation from 0 to
    0.98 as likely as another. Both are drawn by what each state says alone, then weighted by what all say together.
    """
    shuffle = np.random.default_rng(21)
    even = (np.arange(DRAWS) + 0.5) / DRAWS
    places, spreads, alone = [], [], np.zeros(DRAWS)
    for state in states:
        one = grid(state, precision)
        log_likelihood = one.log_likelihood - one.log_likelihood.max()
        place = _drawn(_STEP_OF_RHO + np.log(np.exp(log_likelihood).sum(axis=1) + 1e-300), shuffle.permutation(even))
        step = _drawn(log_likelihood[place], shuffle.permutation(even))
        places.append(place)
        spreads.append(one.spreads[place, step])
        alone = alone + log_likelihood[place, step]
    if len(states) > 1:
        kept = _drawn(_log_likelihood(states, places, spreads, precision) - alone, even)
        places, spreads = [at[kept] for at in places], [s[kept] for s in spreads]
    inside, cross, _ = _posterior(states, places, spreads, precision)
    mean = np.linalg.solve(inside, cross[..., np.newaxis])[..., 0]
    root = np.linalg.cholesky(np.linalg.inv(inside))
    drawn = mean + np.einsum("gij,gj->gi", root, shuffle.permutation(_normal(DRAWS, len(precision))))
    return tuple(Draws(drawn, s, _CORRELATIONS[at]) for at, s in zip(places, spreads, strict=True))


def held_season() -> np.ndarray:
    """Precision of level and swing beforehand: the level free, the season by its published spread."""
    return np.array([0.0, *[1 / SEASON_SPREAD**2] * 2, *[1 / SHAPE_SPREAD**2] * 2])


def refuse_still(values: np.ndarray, side: str = "") -> None:
    """Raises ValueError where every day has the same mean: the air of a house never stands so still."""
    if np.ptp(values) <= _STILL * np.max(values):
        raise ValueError(
            f"all {len(values)} daily means{side and ' '}{side} are the same; a monitor that never moves is stuck or shows "
            "nothing so small, and tells nothing of the house"
        )


def long_run_draws(days: np.ndarray, values: np.ndarray) -> Draws:
    """Draws of the model for daily means `values` (above zero, any one unit) of the whole `days`, rising.

    Raises ValueError for fewer than LEAST_DAYS days, and for days that never change.
    """
    if len(days) < LEAST_DAYS:
        raise ValueError(f"{len(days)} daily means are too few to learn from; {LEAST_DAYS} or more would do")
    refuse_still(values)
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
    variance = _variances(
        days,
        float(np.median(draws.spread)),
        float(np.median(draws.correlation)),
        draws.coefficients[:, :SEASON_COLUMNS].mean(axis=0),
    )
    return _enough(abs(float(np.median(means)) - log_level), variance + other_spread**2)


USUAL_SPREAD, USUAL_CORRELATION = 0.4, 0.6
"""Of the days of a house that no monitor has watched: an assumption of ours, near the middle of what the studies draw."""


def days_to_settle_from_tests(away: float, spread: float, other_spread: float = 0.0) -> int | None:
    """The same before a monitor is set up: tests put the mean at `away` from the level, in ln, give or take `spread`."""
    if away >= _Z_SETTLED * spread:
        return 0
    of_monitor = _variances(np.zeros(0), USUAL_SPREAD, USUAL_CORRELATION, np.zeros(SEASON_COLUMNS)) + other_spread**2
    return _enough(away, 1 / (1 / of_monitor + 1 / spread**2))


def _enough(away: float, variances: np.ndarray) -> int | None:
    enough = np.flatnonzero(away >= _Z_SETTLED * np.sqrt(variances))
    return int(enough[0]) + 1 if len(enough) else None


def _variances(days: np.ndarray, spread: float, correlation: float, coefficients: np.ndarray) -> np.ndarray:
    """Variance of ln of the long-run mean after 1, 2, ... MOST_DAYS further days."""
    swing = np.exp(_AROUND @ coefficients)
    gradient = swing @ _AROUND / swing.sum()  # of ln of the mean over the year
    future = (days[-1] + 1 if len(days) else 0) + np.arange(MOST_DAYS)
    every = np.concatenate([days, future]).astype(float)
    rows = whitened(every, season(every), np.array([correlation]))[0][0]
    known = np.cumsum(rows[:, :, np.newaxis] * rows[:, np.newaxis, :], axis=0)[len(days) :] / spread**2
    variance = np.einsum("i,nij,j->n", gradient, np.linalg.inv(known + np.diag(held_season())), gradient)
    alike = (1 + correlation**2) / (1 - correlation**2)
    return np.asarray(variance + spread**4 / 2 * alike / np.arange(len(days) + 1, len(every) + 1))
