"""The air in a network of soil, pipe, fittings and one fan, for one house or for many variants of it at once.

Air enters from OUTSIDE through soil and openings and leaves to it from the branch that holds the fan. The fan's static
pressure is set against all losses, that of the outlet included where it is given as a fitting; where the fan's outlet has
the bore of the pipe this counts the outlet's velocity pressure twice, on the cautious side.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray

from radonwork.engine.formula import Values
from radonwork.formulas import condensate
from radonwork.glossary import System, term
from radonwork.solvers.branch_losses import HAIR, losses_of, per_flow_and_slope
from radonwork.solvers.fan_curve import Fan
from radonwork.solvers.loop_flows import Loops, along, drops_of, first_guess, loops_of, settled, system_of
from radonwork.solvers.route import (
    OUTSIDE,
    Branch,
    Fitting,
    Network,
    NetworkError,
    NotAttainable,
    Opening,
    Piece,
    Pipe,
)
from radonwork.solvers.variants import lengths, rows
from radonwork.units import decimal

Array = NDArray[np.float64]
_CHUNK = 8192  # variants worked together: their arrays stay in the processor's cache


@dataclass(frozen=True)
class Solution:
    """Flows and suctions found, SI; numbers for one variant, arrays for many.

    `flows` by branch; `suctions` by node, total pressure below that outside; `fan_pressure` is what the fan gives.
    `attained` is false where the answer lies beyond the fan's curve: everything else is then not a number.
    """

    network: Network
    air_density: Values
    air_viscosity: Values
    flows: Mapping[str, Values]
    suctions: Mapping[str, Values]
    fan_pressure: Values
    attained: bool | NDArray[np.bool_]

    @property
    def fan_flow(self) -> Values:
        """Flow through the fan."""
        return self.flows[self.network.fan]

    def branch(self, name: str) -> Branch:
        """The branch of this name."""
        return next(branch for branch in self.network.branches if branch.name == name)

    def velocities(self, name: str) -> tuple[Values | None, ...]:
        """Mean velocity in each piece of a branch, m/s; None for soil."""
        return tuple(self._velocity(self.flows[name], piece) for piece in self.branch(name).pieces)

    def _velocity(self, flow: Values, piece: Piece) -> Values | None:
        if isinstance(piece, Pipe | Fitting):
            return condensate.mean_air_velocity(air_flow=np.abs(flow), bore=piece.bore)
        return np.abs(flow) / piece.area if isinstance(piece, Opening) else None

    def losses(self, name: str) -> tuple[Values, ...]:
        """Pressure that each piece of a branch takes, Pa, along its direction; wyes are not in it."""
        flow = np.asarray(self.flows[name], dtype=float)
        return tuple(self._loss(flow, piece) for piece in self.branch(name).pieces)

    def _loss(self, flow: Array, piece: Piece) -> Values:
        losses = losses_of(Branch("", "", "", (piece,)), self.air_density, self.air_viscosity)
        per_flow, _ = per_flow_and_slope(losses, np.abs(flow) + HAIR)
        return cast(Values, (per_flow * flow)[()])

    def require_flow(self, air_flow: float) -> None:
        """Raises NotAttainable if the fan moves less than `air_flow`, m³/s, through this system even unthrottled."""
        most = float(np.nanmax(self.fan_flow))
        if not most >= air_flow:
            raise NotAttainable(
                lambda system: (
                    f"{_flow(air_flow, system)} is not attainable: this fan moves at most {_flow(most, system)} through this "
                    "system"
                )
            )

    def require_suction(self, node: str, suction: float) -> None:
        """Raises NotAttainable if the suction at a node stays below `suction`, Pa."""
        most = float(np.nanmax(self.suctions[node]))
        if not most >= suction:
            raise NotAttainable(
                lambda system: (
                    f"{_pressure(suction, system)} at {node} is not attainable: this fan gives at most "
                    f"{_pressure(most, system)} there"
                )
            )


def solve(
    network: Network,
    fan: Fan,
    *,
    air_density: Values,
    air_viscosity: Values,
    speed_ratio: Values = 1.0,
    start: Mapping[str, Values] | None = None,
) -> Solution:
    """Flows and suctions of a network, of one variant or of as many as the longest array holds.

    `start` are flows by branch to begin from; those not given, and without it all, are guessed. Raises NetworkError for a
    network that cannot be worked. For one variant NotAttainable says where the fan's curve ends; for many see `attained`.
    """
    names = [branch.name for branch in network.branches]
    doubled = next((name for name in names if names.count(name) > 1), None)
    if doubled is not None:
        raise NetworkError(f"branch {doubled}: the name is there twice; give each branch its own")
    if network.fan not in names:
        raise NetworkError(f"fan: no branch is called {network.fan[:40]}; there are {', '.join(names)}")
    loops = loops_of(tuple((b.name, b.start, b.end) for b in network.branches), network.fan)
    given = _Given(network, fan, air_density, air_viscosity, speed_ratio, dict(start or {}))
    found = set(lengths(given))
    if len(found) > 1:
        raise NetworkError(f"arrays of {' and '.join(map(str, sorted(found)))} values do not go together")
    many = bool(found)
    count = found.pop() if many else 1
    if count <= _CHUNK:
        attained, *values = _worked(loops, given, count)
    else:
        starts = range(0, count, _CHUNK)
        parts = [_worked(loops, rows(given, slice(i, i + _CHUNK)), min(_CHUNK, count - i)) for i in starts]
        attained, *values = np.concatenate(parts, axis=1)
    if not many and not attained[0]:
        raise NotAttainable(_beyond(fan, float(values[1 + names.index(network.fan)][0]), float(speed_ratio)))
    pressure, *rest = (np.where(attained, value, np.nan) if many else float(value[0]) for value in values)
    nodes = [node for node in loops.ways if node != OUTSIDE]
    return Solution(
        network,
        air_density,
        air_viscosity,
        dict(zip(names, rest, strict=False)),
        dict(zip(nodes, rest[len(names) :], strict=True)),
        pressure,
        attained.astype(bool) if many else True,
    )


@dataclass(frozen=True)
class _Given:
    """Everything that may differ from variant to variant."""

    network: Network
    fan: Fan
    air_density: Values
    air_viscosity: Values
    speed_ratio: Values
    start: dict[str, Values]


def _worked(loops: Loops, given: _Given, count: int) -> Array:
    """One row each: whether the fan's curve reaches it, fan pressure, flow of every branch, suction of every node."""
    network, fan = given.network, given.fan
    system = system_of(network, fan, given.air_density, given.air_viscosity, given.speed_ratio)
    loop_flows = first_guess(system, loops, count)
    for loop, place in enumerate(loops.closed_by):
        name = network.branches[place].name
        if name in given.start:
            loop_flows[loop] = np.broadcast_to(np.asarray(given.start[name], dtype=float), (count,))
    flows = loops.flows(settled(system, loops, loop_flows), len(network.branches))
    found = drops_of(system, flows)
    suctions = [along(way, found.drops) for way in loops.ways.values() if way]
    rated = flows[system.fan_branch] / given.speed_ratio
    attained = (rated >= fan.least_flow * (1 - 1e-9)) & (rated <= fan.largest_flow * (1 + 1e-9))
    rows = [attained, found.fan_pressure, *flows, *suctions]
    return np.stack([np.broadcast_to(row, (count,)).astype(float) for row in rows])


def _beyond(fan: Fan, flow: float, speed_ratio: float) -> Callable[[System], str]:
    """What to say where the answer lies outside the fan's curve."""
    least, most = (float(end) * speed_ratio for end in (fan.least_flow, fan.largest_flow))
    if flow > most:
        return lambda system: (
            f"not attainable on this fan's curve: the system would take more than {_flow(most, system)}, where the curve "
            "ends; add the maker's points beyond it"
        )
    return lambda system: (
        f"not attainable on this fan's curve: the system would take less than {_flow(least, system)}, where the curve "
        "begins; add the maker's points below it"
    )


def _flow(value: float, system: System) -> str:
    return decimal(value, term("air_flow").unit(system))


def _pressure(value: float, system: System) -> str:
    return decimal(value, term("fan_pressure").unit(system))
