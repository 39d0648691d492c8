"""Layer and slab from the suction read at test holes, with honest error bars, and where to drill the next hole.

Two numbers describe the layer: its leakage length B and its transmissivity T. Suctions alone say how far suction
reaches, so they give B; T is the scale of the flow, and shows only where a flow was measured or where inertia near a pit
takes suction away. Both are sought over all that is plausible, evenly in their logarithms, so that readings which leave
an end open say so. SI units; places are (x, y) in metres; errors are standard deviations.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from statistics import NormalDist
from typing import Any

import numpy as np

from radonwork.solvers.lengths import along
from radonwork.solvers.slab_plan import Array, Footprint, Pit, Point, Reading, Source
from radonwork.solvers.splines import Cubics, smooth
from radonwork.solvers.suction_field import driven, inertial_resistances, respond

PLAUSIBLE_LENGTH = (0.3, 60.0)  # m: from a slab full of holes to one that hardly leaks under any house
PLAUSIBLE_TRANSMISSIVITY = (1e-8, 1e-1)  # m3/(s Pa): from 0.1 m of clay to 0.3 m of coarse clean stone
_ROWS = 41  # of each logarithm at a time
_VALUES = 401  # at which a profile is taken
_ROUNDS = 5
# From one leakage length at which the field is solved to the next: read between them, a narrow span is right to some
# millionths, the first wide one well enough to see where to look closer.
_BETWEEN: Mapping[str, Any] = {"step": 0.05, "most": 27}
_ENOUGH = 24  # rows on which the likely part must stand before it is finely enough drawn
_LIKELY = 20.0  # of chi squared above the least; beyond lies less than a ten-thousandth
# Chi-squared of one degree is the square of a normal deviate.
_ONE_SIGMA, _NINETY_FIVE = (NormalDist().inv_cdf((1 + held) / 2) ** 2 for held in (0.6827, 0.95))
_TOO_UNLIKELY = 0.01  # a misfit that chance makes more rarely than this is not chance
_FROM_WALL, _FROM_OTHERS = 0.3, 1.0  # m: where a hole is not drilled, and where one tells of the same piece of layer


@dataclass(frozen=True)
class FlowReading:
    """Flow m3/s drawn by a source, by its place in the list of sources (from 0)."""

    source: int
    flow: float
    error: float


@dataclass(frozen=True)
class Estimate:
    """One quantity: the best value, the ranges that hold 68 % and 95 %; None where the readings leave an end open.

    The best is not a number where they leave both open.
    """

    best: float
    likely: tuple[float | None, float | None]
    wide: tuple[float | None, float | None]

    @property
    def closed(self) -> bool:
        """Whether the readings hold it at both ends."""
        return None not in self.wide

    @property
    def known(self) -> bool:
        """Whether the readings hold it at one end at least."""
        return self.wide != (None, None)


_UNKNOWN = Estimate(math.nan, (None, None), (None, None))


@dataclass(frozen=True)
class Fit:
    """What the readings say. `remarks` are what a person must know about it, one sentence each."""

    readings: tuple[Reading, ...]
    sources: tuple[Source, ...]
    footprint: Footprint | None
    rest: float
    leakage_length: Estimate
    transmissivity: Estimate
    slab_leakage: Estimate
    chi_squared: float
    degrees: int
    inflation: float
    remarks: tuple[str, ...]
    _grid: "_Grid"

    def predicted(self, places: Array) -> tuple[Array, Array]:
        """Mean and standard deviation of the suction at points (n x 2) over everything the readings allow."""
        mean, square, _ = self._grid.moments(places)
        return mean, np.sqrt(np.maximum(square - mean**2, 0.0))

    def next_hole(self, error: float, points: int = 17) -> "NextHole":
        """Where one more reading with this error would teach most about the layer; wants a footprint."""
        if self.footprint is None:
            raise ValueError("the next hole wants the slab's outline")
        if not error > 0:
            raise ValueError(f"the error of the next reading is {error:g}; it must be above zero")
        corners = np.array(self.footprint.corners)
        x, y = (
            low + (np.arange(points) + 0.5) * (high - low) / points
            for low, high in zip(corners.min(axis=0), corners.max(axis=0), strict=True)
        )
        places = np.array([(a, b) for b in y for a in x])
        places = places[[self._drillable((float(a), float(b))) for a, b in places]]
        if not len(places):
            raise ValueError("no place on the slab is far enough from its edge, the pits and the other holes")
        mean, square, with_length = self._grid.moments(places)
        variance = np.maximum(square - mean**2, 0.0)
        # Information from one reading: half the logarithm of how much wider the predictions are than the reading's error.
        gain = 0.5 * np.log1p(variance / error**2)
        removed = with_length**2 / (variance + error**2)
        return NextHole(
            places, gain, int(np.argmax(gain)), mean, np.sqrt(variance), removed, self._grid.length_variance
        )

    def _drillable(self, place: Point) -> bool:
        assert self.footprint is not None
        others = [reading.at for reading in self.readings] + [s.at for s in self.sources if isinstance(s, Pit)]
        return (
            bool(self.footprint.holds(*np.array(place)))
            and self.footprint.distance(place) >= _FROM_WALL
            and all(math.dist(place, other) >= _FROM_OTHERS for other in others)
        )


@dataclass(frozen=True)
class NextHole:
    """Candidate `places` (n x 2), what a reading at each would teach (`gain`, nats), and which teaches most."""

    places: Array
    gain: Array
    best: int
    mean: Array
    deviation: Array
    _removed: Array
    _variance: float

    @property
    def at(self) -> Point:
        return float(self.places[self.best, 0]), float(self.places[self.best, 1])

    @property
    def share_of_variance_removed(self) -> float:
        """Share of the variance of the leakage length's logarithm that a reading at the best place would remove."""
        return float(self._removed[self.best] / self._variance) if self._variance > 0 else 0.0


@dataclass(frozen=True)
class _Grid:
    """Chi squared over the logarithm of B (rows) and of T against the row's own `usual` T (columns)."""

    sources: tuple[Source, ...]
    footprint: Footprint | None
    rest: float
    rows: Array
    columns: Array
    usual: Array
    chi: Array
    inflation: float = 1.0

    @cached_property
    def weights(self) -> Array:
        """How likely each cell is, all together 1, with nothing known beforehand but what is plausible."""
        likely = np.exp(-(self.chi - self.chi.min()) / (2 * self.inflation**2))
        return likely / likely.sum()

    @property
    def length_variance(self) -> float:
        """Variance of the logarithm of B."""
        share = self.weights.sum(axis=1)
        return float(share @ self.rows**2 - (share @ self.rows) ** 2)

    def moments(self, places: Array) -> tuple[Array, Array, Array]:
        """Mean and mean square of the suction at points, and its covariance with the logarithm of B."""
        mean, square, product = (np.zeros(len(places)) for _ in range(3))
        middle = float(self.weights.sum(axis=1) @ self.rows)
        counting = np.flatnonzero(self.weights.sum(axis=1) >= 1e-5)
        rows, usuals, likely = self.rows[counting], self.usual[counting], self.weights[counting]
        answers = _answers(self.sources, self.footprint, places, rows)
        for row, usual, weights, answer in zip(rows, usuals, likely, answers, strict=True):
            drives = _drives(answer, np.exp(usual + self.columns), self.rest)
            found = self.rest + answer.at @ drives.T  # places x transmissivities
            mean += found @ weights
            square += found**2 @ weights
            product += (found @ weights) * (row - middle)
        return mean, square, product

    def estimate(self, base: Array, plausible: tuple[float, float]) -> Estimate:
        """Of a quantity whose logarithm is `base` of the row and the column together: the best value and its ranges."""
        low, high = np.log(plausible)
        low, high = max(low, base.min() + self.columns[0]), min(high, base.max() + self.columns[-1])
        values = np.linspace(low, high, _VALUES)
        every = []
        for from_row, chi, slopes in zip(base, self.chi, smooth(self.columns, self.chi.T).slopes.T, strict=True):
            at = values - from_row
            inside = (self.columns[0] <= at) & (at <= self.columns[-1])
            every.append(np.where(inside, Cubics(self.columns, chi, slopes)(at), self.chi.max()))
        profile = np.min(every, axis=0)
        return _ranges(values, profile, self.inflation, np.log(plausible))

    def length(self) -> Estimate:
        """Of the leakage length."""
        values = np.linspace(self.rows[0], self.rows[-1], _VALUES)
        profile = smooth(self.rows, self.chi.min(axis=1))(values)
        return _ranges(values, profile, self.inflation, np.log(PLAUSIBLE_LENGTH))


def fit(
    readings: Sequence[Reading],
    sources: Sequence[Source],
    footprint: Footprint | None = None,
    *,
    flows: Sequence[FlowReading] = (),
    rest: float = 0.0,
) -> Fit:
    """The layer that explains the readings best, and all those that explain them nearly as well.

    `sources` are the pits and drains with the suctions that stood in them while the holes were read; `rest` Pa is what
    stood under the slab with the fan off. Where the readings disagree with any uniform layer by more than their errors,
    the ranges are widened accordingly and a remark says so. Raises ValueError, one line, for readings that do not fit.
    """
    asked = _Asked(tuple(readings), tuple(flows), tuple(sources), footprint, rest)
    asked.check()
    lengths = math.log(PLAUSIBLE_LENGTH[0]), math.log(PLAUSIBLE_LENGTH[1])
    scales: tuple[float, float] | None = None
    for _ in range(_ROUNDS):
        grid = asked.grid(lengths, scales)
        likely = grid.chi <= grid.chi.min() + _LIKELY
        before = lengths, scales
        lengths = _narrowed(grid.rows, likely.any(axis=1))
        scales = _narrowed(grid.columns, likely.any(axis=0))
        if (lengths, scales) == before:
            break
    least = float(grid.chi.min())
    from scipy.special import chdtrc

    disagree = asked.degrees > 0 and chdtrc(asked.degrees, least) < _TOO_UNLIKELY
    inflation = math.sqrt(least / asked.degrees) if disagree else 1.0
    grid = replace(grid, inflation=inflation)
    length = grid.length()
    transmissivity = grid.estimate(grid.usual, PLAUSIBLE_TRANSMISSIVITY)
    leak = (
        PLAUSIBLE_TRANSMISSIVITY[0] / PLAUSIBLE_LENGTH[1] ** 2,
        PLAUSIBLE_TRANSMISSIVITY[1] / PLAUSIBLE_LENGTH[0] ** 2,
    )
    return Fit(
        readings=asked.readings,
        sources=asked.sources,
        footprint=footprint,
        rest=rest,
        leakage_length=length,
        transmissivity=transmissivity,
        slab_leakage=grid.estimate(grid.usual - 2 * grid.rows, leak) if transmissivity.known else _UNKNOWN,
        chi_squared=least,
        degrees=asked.degrees,
        inflation=inflation,
        remarks=tuple(_remarks(length, transmissivity, asked.degrees, inflation)),
        _grid=grid,
    )


@dataclass(frozen=True)
class _Asked:
    """What a fit is asked."""

    readings: tuple[Reading, ...]
    flows: tuple[FlowReading, ...]
    sources: tuple[Source, ...]
    footprint: Footprint | None
    rest: float

    @property
    def degrees(self) -> int:
        """Readings less the unknowns they can tell of."""
        scale_shows = bool(self.flows) or any(s.inertial_resistance for s in self.sources if isinstance(s, Pit))
        return len(self.readings) + len(self.flows) - (2 if scale_shows else 1)

    def grid(self, lengths: tuple[float, float], scales: tuple[float, float] | None) -> _Grid:
        rows = np.linspace(*lengths, _ROWS)
        responses = _answers(self.sources, self.footprint, np.array([reading.at for reading in self.readings]), rows)
        usual = np.array([self._usual(response) for response in responses])
        low, high = np.log(PLAUSIBLE_TRANSMISSIVITY)
        first, last = scales or (low - usual.min(), high - usual.max())
        columns = np.linspace(first, last, _ROWS)
        chi = np.array([self._chi(r, np.exp(u + columns)) for r, u in zip(responses, usual, strict=True)])
        return _Grid(self.sources, self.footprint, self.rest, rows, columns, usual, chi)

    def _usual(self, response: "_Answers") -> float:
        """Logarithm of the transmissivity that the flows ask for at this leakage length, inertia aside."""
        if not self.flows:
            return 0.0
        unit = response.drawn @ (np.array([source.suction for source in self.sources]) - self.rest)
        weights = np.array([unit[f.source] / f.error**2 for f in self.flows])
        wanted = weights @ [f.flow for f in self.flows] / (weights @ [unit[f.source] for f in self.flows])
        return math.log(max(float(wanted), PLAUSIBLE_TRANSMISSIVITY[0]))

    def _chi(self, response: "_Answers", transmissivities: Array) -> Array:
        drives = _drives(response, transmissivities, self.rest)
        found = self.rest + drives @ response.at.T
        suctions, errors = (np.array([getattr(r, name) for r in self.readings]) for name in ("suction", "error"))
        chi: Array = np.sum(((found - suctions) / errors) ** 2, axis=1)
        drawn = transmissivities[:, np.newaxis] * (drives @ response.drawn.T)
        for flow in self.flows:
            chi += ((drawn[:, flow.source] - flow.flow) / flow.error) ** 2
        return chi

    def check(self) -> None:
        if not self.readings:
            raise ValueError("there is no reading; give at least one test hole")
        for number, reading in enumerate(self.readings, 1):
            if not (math.isfinite(reading.suction) and math.isfinite(reading.error) and reading.error > 0):
                raise ValueError(f"test hole {number}: the error of its reading must be above zero")
            if self.footprint and not self.footprint.holds(*np.array(reading.at)):
                raise ValueError(f"test hole {number} does not lie on the slab")
            if any(isinstance(s, Pit) and math.dist(reading.at, s.at) <= s.radius for s in self.sources):
                raise ValueError(f"test hole {number} lies in a pit")
        for flow in self.flows:
            if not 0 <= flow.source < len(self.sources):
                raise ValueError(f"a flow is given for source {flow.source + 1}, of which there is none")
            if not (math.isfinite(flow.flow) and flow.flow > 0 and math.isfinite(flow.error) and flow.error > 0):
                raise ValueError(f"source {flow.source + 1}: its flow and the error of it must be above zero")


@dataclass(frozen=True)
class _Answers:
    """What a field answers at one leakage length: suction at some places (rows) and flows, for 1 Pa at each source."""

    sources: tuple[Source, ...]
    resistances: Array
    at: Array
    drawn: Array


def _answers(sources: tuple[Source, ...], footprint: Footprint | None, places: Array, rows: Array) -> list[_Answers]:
    """The field's answers at places (n x 2) for each logarithm of the leakage length, read between fewer of them."""

    def of_one(length: float) -> Array:
        response = respond(sources, footprint, length)
        return np.concatenate([response.at(places), response.drawn])

    worked, between = along(np.exp(rows), of_one, **_BETWEEN)
    resistances = inertial_resistances(sources)
    return [
        _Answers(sources, resistances, found[: len(places)], found[len(places) :])
        for found in np.tensordot(between, worked, 1)
    ]


def _drives(response: _Answers, transmissivities: Array, rest: float) -> Array:
    """What drives the field at each source (columns) for each transmissivity (rows)."""
    available = np.array([source.suction for source in response.sources]) - rest
    return driven(transmissivities[:, np.newaxis, np.newaxis] * response.drawn, response.resistances, available)


def _narrowed(axis: Array, likely: Array) -> tuple[float, float]:
    """The part of an axis that is likely, if it stands on too few of its points to be drawn well; else all of it."""
    if np.count_nonzero(likely) >= _ENOUGH:
        return float(axis[0]), float(axis[-1])
    first, last = np.flatnonzero(likely)[[0, -1]]
    return float(axis[max(first - 1, 0)]), float(axis[min(last + 1, len(axis) - 1)])


def _ranges(logs: Array, profile: Array, inflation: float, plausible: Array) -> Estimate:
    """Best value and ranges from the least chi squared at each logarithm; ends at the limits of plausible are open."""
    above = (profile - profile.min()) / inflation**2
    best = int(np.argmin(above))

    def ends(limit: float) -> tuple[float | None, float | None]:
        inside = np.flatnonzero(above <= limit)
        found: list[float | None] = []
        for last, step, bound in ((inside[0], -1, plausible[0]), (inside[-1], 1, plausible[1])):
            beyond = last + step
            if not 0 <= beyond < len(logs):
                found.append(None if abs(logs[last] - bound) < 1e-9 else math.exp(logs[last]))
                continue
            share = (limit - above[last]) / (above[beyond] - above[last])
            found.append(math.exp(logs[last] + share * (logs[beyond] - logs[last])))
        return found[0], found[1]

    likely, wide = ends(_ONE_SIGMA), ends(_NINETY_FIVE)
    return Estimate(math.nan if wide == (None, None) else math.exp(logs[best]), likely, wide)


def _remarks(length: Estimate, transmissivity: Estimate, degrees: int, inflation: float) -> Iterator[str]:
    if not length.known:
        yield "The readings do not tell how far suction reaches: every plausible leakage length explains them."
    elif length.wide[1] is None:
        yield "The readings put no upper end to the leakage length: the slab may leak as little as one likes."
    elif length.wide[0] is None:
        yield "The readings put no lower end to the leakage length: no suction is sure to have reached a hole."
    if not transmissivity.known:
        yield (
            "Suctions alone do not tell the layer's transmissivity or the slab's leakage; "
            "measure the flow out of a pit while the holes are read."
        )
    elif not transmissivity.closed:
        yield "The readings leave one end of the layer's transmissivity open; a measured flow would close it."
    if degrees <= 0:
        yield "There are no more readings than unknowns, so nothing tests whether the layer is alike everywhere."
    elif inflation > 1:
        yield (
            f"The readings lie {inflation:.1f} times as far from any uniform layer as their errors allow: "
            "a footing or another fill may cut the slab, or a reading is wrong. The ranges are widened by as much."
        )
