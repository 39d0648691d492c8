"""Daily means before and after something was changed: by how much the level fell, and on which day where nobody noted it.

The model is that of `daily_levels` with two more columns: a slow trend, held by the published variation from year to
year, and the change itself. The days before and the days after have each a spread and a correlation of their own. The
season's swing is taken to multiply both alike, so it cancels in the reduction, which is the fall of the long-run mean

    1 - exp(delta + (s_after^2 - s_before^2) / 2).

A fan that is switched off and on again is the same model with more runs of days: each run starts afresh.
"""

from dataclasses import dataclass

import numpy as np

from radonwork.solvers.daily_levels import (
    _CORRELATIONS,
    _STEP_OF_RHO,
    LEAST_DAYS,
    YEAR,
    Draws,
    Gathered,
    gathered,
    held_season,
    joint_draws,
    passed_on,
    refuse_still,
    season,
    whitened,
)

TREND_SPREAD = 0.30
"""Per year, of ln: the mean of a year differs from the next by 35 % on the average house (steck-year-to-year)."""
CHANGE_SPREAD = 3.0
"""Standard deviation of the change beforehand, in ln: a twentyfold fall or rise is nothing unusual, so it decides nothing."""
LEAST_ON_EACH_SIDE = 5
OFF, ON, LEFT_OUT = 0, 1, -1


@dataclass(frozen=True)
class Reduction:
    """Draws of what the change did. `before` and `after` are ln of the long-run means, `log_ratio` after over before."""

    before: np.ndarray
    after: np.ndarray
    log_ratio: np.ndarray
    draws: Draws  # of the days after
    draws_before: Draws

    def share(self) -> np.ndarray:
        """Draws of the reduction, 0.9 where nine tenths are gone."""
        return 1 - np.exp(self.log_ratio)


def columns(days: np.ndarray, on: np.ndarray, origin: float) -> np.ndarray:
    """Level, cosine, sine, trend in years from `origin`, and whether it is on: shape (days, 7)."""
    return np.column_stack([season(days), (days - origin) / YEAR, on])


def _precision() -> np.ndarray:
    return np.concatenate([held_season(), [1 / TREND_SPREAD**2, 1 / CHANGE_SPREAD**2]])


def runs_of(days: np.ndarray, states: np.ndarray) -> list[np.ndarray]:
    """Places of the days of each run without a change of state; what is left out parts runs too."""
    ends = np.flatnonzero(np.diff(states)) + 1
    return [run for run in np.split(np.arange(len(days)), ends) if len(run) and states[run[0]] != LEFT_OUT]


def reduction(days: np.ndarray, values: np.ndarray, states: np.ndarray) -> Reduction:
    """What being on does to the daily means `values` (above zero, one unit) of whole rising `days`.

    `states` are OFF, ON or LEFT_OUT for each day. Raises ValueError where a side has fewer than five days, or
    days that never change.
    """
    told = {OFF: "before the fan, or with it off", ON: "with the fan on"}
    for state, side in told.items():
        if (count := int(np.sum(states == state))) < LEAST_ON_EACH_SIDE:
            raise ValueError(f"{count} daily means {side} are too few; {LEAST_ON_EACH_SIDE} or more would do")
    for state, side in told.items():
        refuse_still(values[states == state], side)
    on = days[states == ON]
    rows = columns(days, (states == ON).astype(float), float(on[0]))
    logs = np.log(values)
    sides: dict[int, Gathered] = {}
    for run in runs_of(days, states):
        found = gathered(days[run], rows[run], logs[run])
        state = int(states[run[0]])
        sides[state] = sides[state] + found if state in sides else found
    before, after = joint_draws([sides[OFF], sides[ON]], _precision())
    delta = after.coefficients[:, -1]
    ratio = delta + (after.spread**2 - before.spread**2) / 2
    at_start = before.log_means()
    return Reduction(at_start, at_start + ratio, ratio, after, before)


# ---------------------------------------------------------------- the day of the change


@dataclass(frozen=True)
class ChangeDay:
    """Chance of each day to be the first of the new level, and how much likelier a change is than none (`for_change`)."""

    days: np.ndarray
    chances: np.ndarray
    for_change: float

    @property
    def best(self) -> float:
        return float(self.days[int(np.argmax(self.chances))])

    def range(self, holds: float = 0.95) -> tuple[float, float]:
        """First and last of the likeliest days that together hold this chance."""
        order = np.argsort(self.chances)[::-1]
        enough = int(np.searchsorted(np.cumsum(self.chances[order]), holds)) + 1
        kept = self.days[order[:enough]]
        return float(kept.min()), float(kept.max())


def change_day(days: np.ndarray, values: np.ndarray) -> ChangeDay:
    """When the level of daily means changed once, all days but the first and last few being equally likely beforehand.

    Raises ValueError for fewer than LEAST_DAYS days. Noise is taken to be alike on both sides.
    """
    if len(days) < max(LEAST_DAYS, 2 * LEAST_ON_EACH_SIDE + 1):
        raise ValueError(
            f"{len(days)} daily means are too few to find a change in; {2 * LEAST_ON_EACH_SIDE + 1} would do"
        )
    correlations = _CORRELATIONS[::2]
    smooth = columns(days, np.zeros(len(days)), float(days[0]))[:, :-1]
    logs = np.log(values) - np.log(values).mean()
    rows, determinant = whitened(days, np.column_stack([smooth, logs]), correlations)
    steps = whitened(days, np.ones((len(days), 1)), correlations)[0]  # a step whitened is this from the day after it on
    first = 1 / np.sqrt(1 - passed_on(days, correlations) ** 2)  # and this on its own day
    weighted = steps * rows
    later = np.flip(np.cumsum(np.flip(weighted, axis=1), axis=1), axis=1) - weighted
    cross = later + first[..., np.newaxis] * rows
    squares = steps[..., 0] ** 2
    own = np.flip(np.cumsum(np.flip(squares, axis=1), axis=1), axis=1) - squares + first**2
    candidates = np.arange(LEAST_ON_EACH_SIDE, len(days) - LEAST_ON_EACH_SIDE + 1)
    products = np.einsum("rni,rnj->rij", rows, rows, optimize=True)
    shape = (len(correlations), len(candidates))
    last = smooth.shape[1]
    inside = np.empty((*shape, last + 1, last + 1))
    inside[..., :last, :last] = products[:, np.newaxis, :last, :last]
    inside[..., :last, last] = inside[..., last, :last] = cross[:, candidates, :last]
    inside[..., last, last] = own[:, candidates]
    right = np.concatenate(
        [np.broadcast_to(products[:, np.newaxis, :last, last], (*shape, last)), cross[:, candidates, last:]], axis=-1
    )
    square = products[:, last, last]
    with_change = _log_evidence(
        inside, right, square[:, np.newaxis], determinant[:, np.newaxis], len(days), _precision()
    )
    without = _log_evidence(
        products[:, :last, :last], products[:, :last, last], square, determinant, len(days), _precision()[:last]
    )
    top = float(with_change.max())
    steps_of_rho = np.exp(_STEP_OF_RHO[::2])
    each = steps_of_rho @ np.exp(with_change - top)
    none = float(steps_of_rho @ np.exp(without - top))
    for_change = float(np.mean(each)) / max(none, 1e-300)
    return ChangeDay(days[candidates], each / each.sum(), for_change)


def _log_evidence(
    inside: np.ndarray,
    right: np.ndarray,
    square: np.ndarray,
    determinant: np.ndarray,
    count: int,
    precision: np.ndarray,
) -> np.ndarray:
    """ln of the likelihood with coefficients and spread integrated out; what is held is held on the scale of the noise."""
    free = np.linalg.solve(inside + 1e-3 * np.eye(inside.shape[-1]), right[..., np.newaxis])[..., 0]
    noise = np.median(np.maximum(square - np.einsum("...i,...i->...", free, right), 1e-9)) / count
    held = inside + noise * np.diag(precision)
    fitted = np.linalg.solve(held, right[..., np.newaxis])[..., 0]
    left = np.maximum(square - np.einsum("...i,...i->...", fitted, right), 1e-12)
    known = np.log(noise * precision[precision > 0]).sum() / 2
    return np.asarray(known - 0.5 * np.linalg.slogdet(held)[1] - determinant - (count - 1) / 2 * np.log(left))
