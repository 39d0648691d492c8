"""From what a gauge reads back to flow, soil and reach, with honest error bars.

What is not known is drawn many times over from what is stated beforehand, the system is solved for all of it at once, and
each variant counts by how likely it makes the readings (Bayes' rule with normal errors). What the readings leave open
stays as wide as it was stated beforehand, and a remark says so. SI units; errors are standard deviations.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from radonwork.engine.formula import Values
from radonwork.engine.refusals import Refusal
from radonwork.engine.sheet import evenly_spread
from radonwork.engine.sources import Source as Citation
from radonwork.glossary import System, term
from radonwork.solvers.fan_curve import Fan
from radonwork.solvers.field_fit import PLAUSIBLE_LENGTH
from radonwork.solvers.field_fit import Reading as HoleReading
from radonwork.solvers.lengths import along, nodes
from radonwork.solvers.network import solve
from radonwork.solvers.route import Fitting, Network, Piece, Pipe
from radonwork.solvers.slab_plan import Footprint, Pit, Source
from radonwork.solvers.splines import Cubics, smooth
from radonwork.solvers.suction_field import Layer, respond, suction_field
from radonwork.solvers.system import Solved, Tap, last_tap, results_of, with_lid, with_soil
from radonwork.solvers.variants import rows
from radonwork.units import decimal

Array = NDArray[np.float64]
Span = tuple[float, float]
_MEASURED = Citation("brodhead-saum-1996", "abstract: measured against calculated loss of plastic vent piping")
_ROUNDS = 5
_ENOUGH = 400  # equal variants; with fewer, twice as many are drawn where they count
_LIKELY = 25.0  # of chi squared above the least; beyond lies less than a hundred-thousandth
_NEAREST = 100  # variants on which the part that counts must stand before all others are left out
_UNLIKELY = 16.0  # the least chi squared that is no longer chance: readings that do not go together
_MAP = 40  # points of a map each way
# From one leakage length at which the holes, or the slab, are worked to the next; the slab's fields are read off between
# them at so many lengths.
_HOLES: Mapping[str, Any] = {"step": 0.05, "most": 27}
_MAPPED: Mapping[str, Any] = {"step": 0.1, "most": 6}
_MAPS = 33
_END, _OPEN = 0.05, 0.005  # with this probability in that end of a span, on its own scale, the end is open


class GaugeError(Refusal):
    """A reading that cannot be; one plain line that names the field."""


@dataclass(frozen=True)
class Measured:
    """A reading and the standard deviation of its error."""

    value: float
    error: float


@dataclass(frozen=True)
class Beforehand:
    """What is held possible before any reading. A span is held evenly, or evenly in its logarithm where it says so.

    Two equal ends say that it is known. The fan's speed error is a standard deviation about the speed of its curve.
    """

    soil_resistance: Span = (100.0, 1e7)
    lid_leak_area: Span = (0.0, 0.0)
    fan_speed_error: float = 0.025
    fitting_factor: Span = (0.47, 2.09)
    friction_factor: Span = (0.77, 1.07)
    leakage_length: Span = PLAUSIBLE_LENGTH

    def said(self, system: System = "us") -> tuple[str, ...]:
        """All of it in words, each with its source or the lack of one."""

        def span(name: str, ends: Span) -> str:
            low, high = (decimal(end, term(name).unit(system), 3) for end in ends)
            return low if ends[0] == ends[1] else f"{low} to {high}"

        return (
            f"soil resistance {span('soil_resistance', self.soil_resistance)}, evenly in its logarithm (no source)",
            f"open area of the lid {span('lid_leak_area', self.lid_leak_area)}, evenly (as stated)",
            f"the fan's speed within {self.fan_speed_error:.1%} of its curve's, one standard deviation (no source)",
            f"fittings lose {_times(self.fitting_factor)} times what is calculated, evenly in the logarithm ({_MEASURED})",
            f"straight pipe loses {_times(self.friction_factor)} times what is calculated, evenly ({_MEASURED}; "
            "the upper end is pipe at the rough end of what is published)",
            f"leakage length {span('leakage_length', self.leakage_length)}, evenly in its logarithm (no source)",
        )


@dataclass(frozen=True)
class Slab:
    """Test holes and what they need: pits and drains at the suction of the point, and the outline.

    The suction of a hole is what it reads more with the fan on than with it off. `target` Pa is the suction asked for.
    """

    sources: tuple[Source, ...]
    footprint: Footprint
    holes: tuple[HoleReading, ...] = ()
    target: float = 0.0


@dataclass(frozen=True)
class Inferred:
    """Variants by glossary term, and how much each counts, together 1. `effective` is how many equal ones they are worth."""

    values: Mapping[str, Array]
    weights: Array
    remarks: tuple[str, ...] = ()
    beforehand: Beforehand = field(default_factory=Beforehand)

    @property
    def effective(self) -> float:
        return float(1 / np.sum(self.weights**2))

    def quantiles(self, name: str, shares: Sequence[float] = (0.05, 0.5, 0.95)) -> tuple[float, ...]:
        """Values below which these shares of the probability lie."""
        order = np.argsort(self.values[name])
        below = np.cumsum(self.weights[order]) - self.weights[order] / 2
        return tuple(np.interp(shares, below, self.values[name][order]).tolist())

    def shown(self, name: str, system: System = "us") -> str:
        """The middle, and the range that holds nine tenths: "38.1 cfm (30.2 cfm to 47 cfm)"."""
        low, middle, high = (decimal(value, term(name).unit(system), 3) for value in self.quantiles(name))
        return f"{middle} ({low} to {high})"


def infer(
    network: Network,
    curve: Fan,
    reading: Measured,
    *,
    air_density: float,
    air_viscosity: float,
    tap: Tap | None = None,
    flow: Measured | None = None,
    slab: Slab | None = None,
    beforehand: Beforehand | None = None,
    count: int = 4096,
) -> Inferred:
    """Flow, soil resistance, suction in the sump and, with test holes, the layer and its reach, from the gauge's reading.

    Raises GaugeError, one line that names the field, for a reading this fan and route cannot give, or readings that do
    not go together.
    """
    held = beforehand or Beforehand()
    _check(curve, reading, flow, slab, air_density)
    try:
        field_of = _Field.of(slab, held.leakage_length) if slab else None
    except ValueError as reason:  # places that make no field: a pit that reaches through a wall, say
        raise GaugeError(str(reason)) from None
    asked = _Asked(network, curve, tap or last_tap(network), air_density, air_viscosity, reading, flow, slab, field_of)
    spans = {"soil_resistance": held.soil_resistance}
    if field_of:
        spans["leakage_length"] = held.leakage_length
    given = (math.inf, -math.inf)
    for drawn in range(_ROUNDS):
        values, chi = asked.variants(held, spans, count << drawn)
        given = (
            min(given[0], float(values["gauge_suction"].min())),
            max(given[1], float(values["gauge_suction"].max())),
        )
        weights = np.exp(-(chi - chi.min()) / 2)
        found = Inferred(values, weights / weights.sum(), (), held)
        if found.effective >= _ENOUGH:
            break
        spans = {name: _narrowed(values[name], chi, span) for name, span in spans.items()}
    _agree(values, chi, asked, given)
    if slab:
        reached = _reached(slab, found.values["leakage_length"], slab.target / found.values["soil_suction"])
        found = replace(found, values={**found.values, "reached_share": reached})
    return replace(found, remarks=tuple(_remarks(found, flow, slab)))


@dataclass(frozen=True)
class _Field:
    """Suction at the holes over that in the sump, and the logarithm of flow over transmissivity, by log length."""

    holes: Cubics | None
    drawn: Cubics

    @classmethod
    def of(cls, slab: Slab, span: Span) -> "_Field":
        logs = nodes(*span, **_HOLES)
        sources = tuple(replace(source, suction=1.0) for source in slab.sources)
        places = np.array([hole.at for hole in slab.holes])
        at_holes, drawn = [], []
        for length in np.exp(logs):
            response = respond(sources, slab.footprint, float(length))
            ones = np.ones(len(sources))
            drawn.append(ones @ response.drawn @ ones)
            if len(places):
                at_holes.append(response.at(places) @ ones)
        return cls(smooth(logs, np.array(at_holes)) if len(places) else None, smooth(logs, np.log(drawn)))


def _reached(slab: Slab, length: Array, share: Array) -> Array:
    """Share of the slab with at least this share of the sump's suction, between the slab's states at a few lengths."""
    sources = tuple(replace(source, suction=1.0) for source in slab.sources)

    def inside(length: float) -> Array:
        found = suction_field(Layer(1.0, length), sources, slab.footprint).map(_MAP).suction
        return found[np.isfinite(found)]

    logs = np.linspace(math.log(length.min()), math.log(length.max()), _MAPS)
    worked, between = along(np.exp(logs), inside, **_MAPPED)
    over = np.sort(np.broadcast_to(between @ worked, (_MAPS, worked.shape[1])), axis=1)
    rows_ = np.array([1 - np.searchsorted(one, share) / len(one) for one in over])
    place = np.clip((np.log(length) - logs[0]) / max(logs[1] - logs[0], 1e-12), 0, _MAPS - 1)
    row = np.minimum(place.astype(int), _MAPS - 2)
    part, each = place - row, np.arange(len(length))
    return cast(Array, (1 - part) * rows_[row, each] + part * rows_[row + 1, each])


@dataclass(frozen=True)
class _Asked:
    network: Network
    curve: Fan
    tap: Tap
    air_density: float
    air_viscosity: float
    reading: Measured
    flow: Measured | None
    slab: Slab | None
    field: _Field | None

    def variants(self, held: Beforehand, spans: Mapping[str, Span], count: int) -> tuple[dict[str, Array], Array]:
        """Variants that the fan's curve reaches, and chi squared of the readings in each."""
        drawn = _drawn(held, spans, count)
        network = _scaled(self.network, drawn["fitting"], drawn["friction"])
        solution = solve(
            with_lid(with_soil(network, drawn["soil_resistance"]), drawn["lid_leak_area"]),
            self.curve,
            air_density=self.air_density,
            air_viscosity=self.air_viscosity,
            speed_ratio=drawn["speed"],
        )
        kept = np.flatnonzero(solution.attained)
        if not len(kept):
            raise GaugeError(
                "fan points: the curve reaches no state of this system; add the maker's points beyond its ends"
            )
        values = cast(dict[str, Array], results_of(Solved(rows(solution, kept), self.tap)))
        values |= {name: drawn[name][kept] for name in ("soil_resistance", "lid_leak_area", *spans)}
        chi = ((values["gauge_suction"] - self.reading.value) / self.reading.error) ** 2
        if self.flow:
            chi = chi + ((values["air_flow"] - self.flow.value) / self.flow.error) ** 2
        if self.field and self.slab:
            length, suction = values["leakage_length"], values["soil_suction"]
            if self.field.holes:
                at = suction[:, np.newaxis] * self.field.holes(np.log(length))
                wanted, errors = (np.array([getattr(h, n) for h in self.slab.holes]) for n in ("suction", "error"))
                chi = chi + np.sum(((at - wanted) / errors) ** 2, axis=1)
            transmissivity = 1 / (values["soil_resistance"] * np.exp(self.field.drawn(np.log(length))))
            values["layer_transmissivity"] = transmissivity
            values["slab_leakage"] = transmissivity / length**2
        return values, chi


def _drawn(held: Beforehand, spans: Mapping[str, Span], count: int) -> dict[str, Array]:
    """Variants of all that is not known, evenly over what is held possible."""
    from scipy.special import ndtri

    points = iter(evenly_spread(count, 4 + len(spans)).T)

    def even(span: Span) -> Array:
        return span[0] + (span[1] - span[0]) * next(points)

    def even_in_logarithm(span: Span) -> Array:
        return np.exp(even((math.log(span[0]), math.log(span[1]))))

    return {name: even_in_logarithm(span) for name, span in spans.items()} | {
        "lid_leak_area": even(held.lid_leak_area),
        "fitting": even_in_logarithm(held.fitting_factor),
        "friction": even(held.friction_factor),
        "speed": 1 + held.fan_speed_error * ndtri(next(points)),
    }


def _scaled(network: Network, fitting: Values, friction: Values) -> Network:
    """The network with the losses of its fittings and of its straight pipe multiplied."""

    def scaled(piece: Piece) -> Piece:
        if isinstance(piece, Fitting):
            return replace(piece, coefficient=piece.coefficient * fitting)
        # Friction goes with length, and nothing else about a pipe does.
        return replace(piece, length=piece.length * friction) if isinstance(piece, Pipe) else piece

    made = (replace(branch, pieces=tuple(map(scaled, branch.pieces))) for branch in network.branches)
    return replace(network, branches=tuple(made))


def _narrowed(values: Array, chi: Array, span: Span) -> Span:
    """The part of a span that counts, or that comes nearest where too few count, with room at both ends."""
    nearest = np.partition(chi, min(_NEAREST, len(chi)) - 1)[min(_NEAREST, len(chi)) - 1]
    likely = np.log(values[chi <= max(chi.min() + _LIKELY, nearest)])
    room = 0.1 * (likely.max() - likely.min()) + 0.01
    low, high = math.exp(likely.min() - room), math.exp(likely.max() + room)
    return max(low, span[0]), min(high, span[1])


def _times(span: Span) -> str:
    return f"{span[0]:g}" if span[0] == span[1] else f"{span[0]:g} to {span[1]:g}"


def _check(curve: Fan, reading: Measured, flow: Measured | None, slab: Slab | None, density: float) -> None:
    for name, measured in (("gauge suction", reading), ("measured flow", flow)):
        if measured is None:
            continue
        if not (math.isfinite(measured.value) and measured.value >= 0):
            raise GaugeError(f"{name}: {measured.value:g} is not a reading; give a number of zero or more")
        if not (math.isfinite(measured.error) and measured.error > 0):
            raise GaugeError(f"{name}: its error is {measured.error:g}; give one above zero")
    highest = float(curve.shutoff) * density / float(curve.rated_density)
    if reading.value - 2 * reading.error > highest:
        raise GaugeError(
            lambda system: (
                f"gauge suction: {_read(reading.value, system)} is above {_read(highest, system)}, all that this fan gives "
                "with no air moving; check the gauge's zero and unit, and the fan's points"
            )
        )
    for number, source in enumerate(slab.sources if slab else (), 1):
        if isinstance(source, Pit) and source.inertial_resistance:
            raise GaugeError(f"source {number}: test holes are read here without inertia near the pit; leave it out")
    for number, hole in enumerate(slab.holes if slab else (), 1):
        if not (math.isfinite(hole.suction) and math.isfinite(hole.error) and hole.error > 0):
            raise GaugeError(f"test hole {number}: the error of its reading must be above zero")


def _agree(values: Mapping[str, Array], chi: Array, asked: _Asked, given: Span) -> None:
    """Raises GaugeError where nothing held possible gives these readings; `given` are the least and the most it gives."""
    if chi.min() <= _UNLIKELY:
        return
    gauge, reading, (low, high) = values["gauge_suction"], asked.reading.value, given
    if asked.reading.value < low:
        raise GaugeError(
            lambda system: (
                f"gauge suction: {_read(reading, system)} is below {_read(low, system)}, the least this fan and route give; "
                "the fan may be weak or stopped, its outlet blocked, or the gauge's hose off"
            )
        )
    if asked.reading.value > high:
        raise GaugeError(
            lambda system: (
                f"gauge suction: {_read(reading, system)} is above {_read(high, system)}, the most this fan and route give; "
                "the pipe before the gauge may be blocked, or the gauge's zero wrong"
            )
        )
    nearest = int(np.argmin(chi))
    flow = float(values["air_flow"][nearest])
    names = ["gauge suction", *(["measured flow"] if asked.flow else [])]
    names += ["test holes"] if asked.slab and asked.slab.holes else []
    raise GaugeError(
        lambda system: (
            f"{' and '.join(names)}: they do not go together on this fan and route; the nearest is "
            f"{_read(float(gauge[nearest]), system)} at {decimal(flow, term('air_flow').unit(system))}. Check the readings, "
            "the route and the fan's points"
        )
    )


def _read(value: float, system: System) -> str:
    return decimal(value, term("gauge_suction").unit(system))


def _remarks(found: Inferred, flow: Measured | None, slab: Slab | None) -> Iterator[str]:
    held = {"soil_resistance": found.beforehand.soil_resistance}
    if slab:
        held["leakage_length"] = found.beforehand.leakage_length
    for name, span in held.items():
        low, high = np.log(span)
        if high <= low:
            continue
        along = (np.log(found.values[name]) - low) / (high - low)
        ends = {"lower": along < _END, "upper": along > 1 - _END}
        open_ = [end for end, there in ends.items() if found.weights[there].sum() > _OPEN]
        if open_:
            yield (
                f"The readings put no {' or '.join(open_)} end to the {term(name).label}: there the range is only what was "
                "held possible beforehand."
            )
    first, last = found.quantiles("air_flow", (0.05, 0.95))
    if last > 2 * first and flow is None:
        yield "The gauge alone leaves the flow open by more than a factor of two; a measured flow would narrow all the rest."
    if slab and not slab.holes:
        yield "Without test holes nothing tells how far the suction reaches; the reach is what was held possible beforehand."
    if found.effective < _ENOUGH / 2:
        yield f"Only about {found.effective:.0f} of the variants agree with the readings; the ranges are rough."


__all__ = ["Beforehand", "GaugeError", "HoleReading", "Inferred", "Measured", "Slab", "infer"]
