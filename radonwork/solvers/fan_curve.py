"""A fan's curve: the owner's points joined without overshoot, or an example's closed form; moved by speed and density.

A curve is used between its first and last point only. Beyond them it goes on straight, so that a search may pass there,
but an answer found there is no answer.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property
from typing import Any, Protocol

import numpy as np
import sympy
from numpy.typing import NDArray

from radonwork.engine.compiling import function_of
from radonwork.engine.formula import Values, symbol
from radonwork.engine.refusals import Refusal
from radonwork.formulas import fan
from radonwork.glossary import term
from radonwork.solvers.splines import monotone
from radonwork.units import QuantityError, decimal, read

Array = NDArray[np.float64]
RISE_ALLOWED = 0.02
"""Share of the highest pressure by which a point may stand above the one before it: a reading error, levelled out."""
STANDARD_DENSITY = fan.density_ratio.defaults["rated_density"].value


class FanCurveError(Refusal):
    """Points that make no curve; one plain line that names the point."""


class Fan(Protocol):
    """What a network asks of a fan: its pressure and slope at a flow, and where its curve begins and ends."""

    @property
    def rated_density(self) -> Values: ...
    @property
    def least_flow(self) -> Values: ...
    @property
    def largest_flow(self) -> Values: ...
    @property
    def shutoff(self) -> Values: ...
    def rated(self, flow: Array) -> tuple[Array, Array]: ...


@dataclass(frozen=True)
class FanCurve:
    """Points (flow m³/s, static pressure Pa) in order of flow, at `rated_density` kg/m³; at least two.

    Between the points a monotone cubic (PCHIP) runs: it passes through every point and never leaves the range of its two
    neighbours. Raises FanCurveError for points out of order, doubled, below zero or rising.
    """

    points: tuple[tuple[float, float], ...]
    rated_density: float = STANDARD_DENSITY
    _pressures: Array = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if len(self.points) < 2:
            raise FanCurveError("fan points: a curve needs at least two points of flow and pressure")
        for number, (flow, pressure) in enumerate(self.points, 1):
            if not (np.isfinite(flow) and np.isfinite(pressure)):
                raise FanCurveError(f"fan point {number}: flow and pressure must be numbers")
            for name, value, unit in (("flow", flow, "cfm"), ("pressure", pressure, "inWC")):
                if value < 0:
                    raise FanCurveError(f"fan point {number}: {name} {decimal(value, unit)} is below zero")
        if not 0.1 < self.rated_density < 10:
            raise FanCurveError(f"rated density {self.rated_density:g} kg/m³ is not that of air; standard air has 1.2")
        flows, pressures = np.array(self.points, dtype=float).T
        for number in range(1, len(flows)):
            here, before = decimal(flows[number], "cfm"), decimal(flows[number - 1], "cfm")
            if flows[number] == flows[number - 1]:
                raise FanCurveError(f"fan point {number + 1}: flow {here} is there twice; give each flow once")
            if flows[number] < flows[number - 1]:
                raise FanCurveError(
                    f"fan point {number + 1}: flow {here} comes after {before}; list the points in order of rising flow"
                )
        levelled = np.minimum.accumulate(pressures)
        rise = pressures - levelled
        if np.any(rise > RISE_ALLOWED * pressures.max()):
            number = int(np.argmax(rise > RISE_ALLOWED * pressures.max()))
            raise FanCurveError(
                f"fan point {number + 1}: pressure {decimal(pressures[number], 'inWC')} at {decimal(flows[number], 'cfm')} "
                f"is above that at a smaller flow; a fan's pressure falls with flow (a rise of {RISE_ALLOWED:.0%} is "
                "taken for a reading error). Check the units of each point"
            )
        if levelled[0] <= 0:
            raise FanCurveError("fan point 1: the pressure at the least flow must be above zero")
        object.__setattr__(self, "_pressures", levelled)

    @property
    def least_flow(self) -> float:
        return self.points[0][0]

    @property
    def largest_flow(self) -> float:
        return self.points[-1][0]

    @property
    def shutoff(self) -> float:
        return float(self._pressures[0])

    @cached_property
    def _pieces(self) -> tuple[Array, tuple[Array, ...]]:
        curve = monotone(np.array([flow for flow, _ in self.points]), self._pressures)
        return curve.knots, curve.pieces

    def rated(self, flow: Array) -> tuple[Array, Array]:
        """Pressure (Pa) and slope (Pa s/m³) at the rated speed and density."""
        knots, (a, b, c, d) = self._pieces
        inside = np.minimum(np.maximum(flow, knots[0]), knots[-1])
        piece = np.searchsorted(knots[1:-1], inside, side="right")
        x = inside - knots[piece]
        a_x = a[piece] * x
        b_i, c_i = b[piece], c[piece]
        slope = (3 * a_x + 2 * b_i) * x + c_i
        pressure = ((a_x + b_i) * x + c_i) * x + d[piece] + slope * (flow - inside)
        return pressure, slope


@dataclass(frozen=True)
class ExampleFan:
    """The invented shape of `example_fan_pressure`; each figure a number or an array, one a variant.

    Raises FanCurveError for a fan without pressure or flow.
    """

    shutoff_pressure: Any
    free_flow: Any
    fan_exponent: Any = 1.0
    rated_density: Any = STANDARD_DENSITY

    def __post_init__(self) -> None:
        for name in ("shutoff_pressure", "free_flow"):
            if not np.all(np.asarray(getattr(self, name)) > 0):
                raise FanCurveError(f"{term(name).label} must be above zero; a fan without any moves no air")

    @property
    def least_flow(self) -> Values:
        return 0.0

    @property
    def largest_flow(self) -> Values:
        return self.free_flow

    @property
    def shutoff(self) -> Values:
        return self.shutoff_pressure

    def rated(self, flow: Array) -> tuple[Array, Array]:
        """Pressure (Pa) and slope (Pa s/m³) at the rated density."""
        # A hair above no flow, where the power law's slope is not written as zero over zero.
        inside = np.minimum(np.maximum(flow, 1e-12 * self.free_flow), self.free_flow)
        terms = (inside, self.shutoff_pressure, self.free_flow, self.fan_exponent)
        pressure, slope = _example()
        rise = slope(*terms)
        return pressure(*terms) + rise * (flow - inside), rise


@cache
def _example() -> tuple[Callable[..., Array], Callable[..., Array]]:
    """Pressure and slope of the example's closed form."""
    terms, stated = [symbol(name) for name in fan.example_fan_pressure.takes], fan.example_fan_pressure.expression
    slope = sympy.diff(stated.doit(), symbol("air_flow"))
    return function_of(terms, stated, "numpy"), function_of(terms, slope, "numpy")


def pressure_and_slope(
    curve: Fan, flow: Array, density_ratio: Values = 1.0, speed_ratio: Values = 1.0
) -> tuple[Array, Array]:
    """Pressure (Pa) and slope (Pa s/m³) of a fan at a flow, by the fan laws; everything broadcasts."""
    rated_flow = flow / speed_ratio
    pressure, slope = curve.rated(rated_flow)
    return pressure * density_ratio * speed_ratio**2, slope * density_ratio * speed_ratio


def typed_curve(points: Sequence[tuple[str, str]], rated_density: float = STANDARD_DENSITY) -> FanCurve:
    """A curve from points as people type them from a maker's sheet: ("25 cfm", "1.6 inWC").

    Raises FanCurveError, one line that names the point: what cannot be read, has no unit or another unit than the first.
    """
    rows = []
    units: list[str] = []
    for number, point in enumerate(points, 1):
        try:
            quantities = [read(text, kind) for text, kind in zip(point, ("volume_flow", "pressure"), strict=True)]
        except QuantityError as reason:
            raise FanCurveError(f"fan point {number}: {reason}") from None
        units = units or [quantity.unit for quantity in quantities]
        for quantity, first in zip(quantities, units, strict=True):
            if quantity.unit != first:
                raise FanCurveError(
                    f"fan point {number}: {quantity.text[:40]} is in {quantity.unit}, point 1 in {first}; "
                    "write all points in the units of the maker's sheet"
                )
        rows.append((quantities[0].value, quantities[1].value))
    return FanCurve(tuple(rows), rated_density)
