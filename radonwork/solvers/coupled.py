"""Soil under the slab, pipe and fan together: what a change in the pipe does to how far suction reaches.

The balance of the layer is linear, so what its pits and drains draw is a matrix times their suctions. Such a matrix is a
network of resistances: from outside to each suction point, and between the points. It stands in the place of the soil in
the network of air, exactly; the suctions that come out are put into the field. The loss to inertia near a pit in clean
stone stands between its resistances and the pit.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

import numpy as np

from radonwork.engine.formula import Values
from radonwork.solvers.fan_curve import Fan
from radonwork.solvers.route import OUTSIDE, Branch, Network, NetworkError, Soil
from radonwork.solvers.slab_plan import Footprint, Pit, Point, Source
from radonwork.solvers.suction_field import Layer, SuctionField, SuctionMap, respond, suction_field
from radonwork.solvers.system import PIT, Solved, Tap, has_soil, solve_system


@dataclass(frozen=True)
class Ground:
    """The layer, its pits and drains, and the node of the network at which each of them is drawn from.

    The suctions written in `sources` do not matter here. `rest` Pa stands under the slab with the fan off; it counts in
    the field, not in the pipe, where it is too small to matter.
    """

    layer: Layer
    sources: tuple[Source, ...]
    points: tuple[str, ...] = (PIT,)
    footprint: Footprint | None = None
    rest: float = 0.0

    def __post_init__(self) -> None:
        if len(self.points) != len(self.sources):
            raise NetworkError(
                f"ground: there are {len(self.sources)} pits and drains and {len(self.points)} suction points; name one each"
            )

    @property
    def conductance(self) -> np.ndarray:
        """m³/(s Pa) that each suction point (rows, in order of first mention) draws for a suction at each (columns)."""
        return self._between(self.points)

    def _between(self, at: Sequence[str]) -> np.ndarray:
        """The same of nodes, one named for each source."""
        drawn = respond(self.sources, self.footprint, self.layer.leakage_length).drawn
        of = np.array([[float(node == other) for other in at] for node in dict.fromkeys(at)])
        together = self.layer.transmissivity * of @ drawn @ of.T
        return _both_ways(together)

    def branches(self) -> list[Branch]:
        """The soil as branches of a network."""
        losses = [source.inertial_resistance if isinstance(source, Pit) else 0.0 for source in self.sources]
        # A pit with a loss of its own stands alone, the others at a suction point together.
        alone = [
            f"{at} {number}" if loss else at for number, (at, loss) in enumerate(zip(self.points, losses, strict=True))
        ]
        first = [alone.index(name) for name in dict.fromkeys(alone)]
        return soil_branches(
            [self.points[number] for number in first], self._between(alone), [losses[number] for number in first]
        )


def soil_branches(points: Sequence[str], conductance: np.ndarray, losses: Sequence[Values]) -> list[Branch]:
    """The soil as branches of a network, of one variant or of many.

    `conductance` m³/(s Pa) is what each of some pits or drains (rows) draws for a suction at each (columns), with the
    variants along its first axis if there are many; `points` are the suction points at which they are drawn from, and
    `losses` Pa/(m³/s)² their losses to inertia: without one there may be only one at a point.
    """
    matrix = _both_ways(conductance)
    # Where the soil's resistances meet: at the suction point itself, or before a pit's loss to inertia.
    lossy = [bool(np.any(loss)) for loss in losses]
    meet = [f"ground {n} of {at}" if loss else at for n, (at, loss) in enumerate(zip(points, lossy, strict=True), 1)]
    made = []
    for row, (node, at, loss) in enumerate(zip(meet, points, losses, strict=True)):
        made.append(Branch(f"soil of {node}", OUTSIDE, node, (Soil(1 / matrix[..., row, :].sum(axis=-1)),)))
        if node != at:
            made.append(Branch(f"near {node}", node, at, (Soil(0.0, loss),)))
    for (i, one), (j, other) in combinations(enumerate(meet), 2):
        if np.all(matrix[..., i, j] < 0):
            made.append(Branch(f"soil from {one} to {other}", one, other, (Soil(-1 / matrix[..., i, j]),)))
    return made


def _both_ways(matrix: np.ndarray) -> np.ndarray:
    """What one draws for the other's suction is the same both ways, but for the rounding of the field's pieces."""
    return (matrix + matrix.swapaxes(-1, -2)) / 2


@dataclass(frozen=True)
class Coupled:
    """The air in the pipe and the suction under the slab that belong together."""

    solved: Solved
    field: SuctionField


def on_ground(network: Network, ground: Ground) -> Network:
    """The network with this ground in the place of its soil."""
    return on_soil(network, ground.points, ground.branches())


def on_soil(network: Network, points: Sequence[str], soil: Sequence[Branch]) -> Network:
    """The network with these branches, under these suction points, in the place of its soil."""
    nodes = {branch.end for branch in network.branches} | {branch.start for branch in network.branches}
    missing = [point for point in points if point not in nodes]
    if missing:
        raise NetworkError(f"ground: the network has no suction point {missing[0][:40]}")
    others = (branch for branch in network.branches if not has_soil(branch))
    return replace(network, branches=(*soil, *others))


def coupled(
    network: Network,
    curve: Fan,
    ground: Ground,
    *,
    air_density: float,
    air_viscosity: float,
    speed_ratio: float = 1.0,
    tap: Tap | None = None,
) -> Coupled:
    """One variant of soil, pipe and fan in balance. Raises NetworkError, NotAttainable and ValueError, one line each."""
    solved = solve_system(
        on_ground(network, ground), curve, air_density=air_density, air_viscosity=air_viscosity,
        speed_ratio=speed_ratio, tap=tap,
    )  # fmt: skip
    suctions = [float(solved.solution.suctions[point]) for point in ground.points]
    sources = tuple(replace(source, suction=p) for source, p in zip(ground.sources, suctions, strict=True))
    return Coupled(solved, suction_field(ground.layer, sources, ground.footprint, rest=ground.rest))


@dataclass(frozen=True)
class Effect:
    """What one variant of the system does: flows m³/s, suctions Pa, share of the slab that has the target suction.

    `soil_suction` stands in the first suction point, `least_suction` at `weakest_at`, the weakest place of the slab.
    """

    name: str
    air_flow: float
    soil_flow: float
    lid_flow: float
    soil_suction: float
    gauge_suction: float
    least_suction: float
    weakest_at: Point
    share_reaching: float


def effects(
    variants: Mapping[str, tuple[Network, Ground]], curve: Fan, *, target: float, points: int = 60, **air: Any
) -> list[Effect]:
    """Variants of a system side by side: a sealed lid, a second point, another riser. Each ground wants its outline."""
    found = [(name, coupled(network, curve, ground, **air)) for name, (network, ground) in variants.items()]
    return [effect_of(name, both, both.field.map(points), target) for name, both in found]


def effect_of(name: str, both: Coupled, suctions: SuctionMap, target: float) -> Effect:
    """What a variant does, from its balance and the suction that it keeps up under the slab."""
    solved = both.solved
    weakest_at, least = suctions.weakest()
    return Effect(
        name,
        float(solved.air_flow),
        float(solved.soil_flow),
        float(solved.lid_flow),
        float(solved.soil_suction),
        float(solved.gauge_suction),
        least,
        weakest_at,
        suctions.share_reaching(target),
    )
