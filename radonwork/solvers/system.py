"""The whole system solved together: soil and the leaky lid of the sump, the network of pipe, the fan, the gauge's tap.

Nothing is solved here: `network.solve` does that. Here stand what a house system has more than a network of air: a
suction point where soil and lid are side by side, a tap, and the changes a person may think of, each of which returns a
new network. The gauge reads static pressure through a hole in the wall of the pipe: what the air has lost up to there,
and the velocity pressure it has gained.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

import numpy as np
import sympy

from radonwork.engine.derivation import Eq
from radonwork.engine.formula import Values, symbol
from radonwork.engine.solver import Solver, solver
from radonwork.engine.sources import Source
from radonwork.formulas import condensate, fan, fittings, friction
from radonwork.glossary import term
from radonwork.solvers.branch_losses import HAIR
from radonwork.solvers.fan_curve import ExampleFan, Fan
from radonwork.solvers.junctions import junction_of
from radonwork.solvers.network import Solution, solve
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
    Soil,
    Wye,
)

PIT = "pit"
_SEALED = 1e-10
"""m² up to which a lid is sealed, a hundredth of a millimetre square. Among variants that leak such a lid has this: 1e-9 m³/s."""


# ---------------------------------------------------------------- the system and its changes


@dataclass(frozen=True)
class Tap:
    """Where the gauge is tapped: `share` of the length along the pipe that is piece `piece` (from 1) of a branch."""

    branch: str
    piece: int
    share: Any = 1.0


def tap_along(network: Network, branches: Sequence[str], distance: float) -> Tap:
    """The tap after `distance` m of straight pipe along branches in a row. Raises NetworkError if there is not so much."""
    left = distance
    for name in branches:
        for number, piece in enumerate(_branch(network, name).pieces, 1):
            if isinstance(piece, Pipe):
                if left <= piece.length:
                    return Tap(name, number, left / piece.length)
                left -= piece.length
    raise NetworkError(
        f"tap: {distance:.4g} m is {left:.4g} m more than the straight pipe of {', '.join(branches)}; give a shorter way"
    )


def suction_point(soil: Soil, lid_leak_area: Values = 0.0, *, at: str = PIT, discharge: Values = 0.6) -> list[Branch]:
    """Branches of one suction point: the soil under it, and the gaps of its lid unless it is sealed."""
    mark = at.removeprefix(PIT)
    branches = [Branch(f"soil{mark}", OUTSIDE, at, (soil,))]
    if np.any(np.asarray(lid_leak_area) > _SEALED):
        branches.append(Branch(f"lid{mark}", OUTSIDE, at, (Opening(np.maximum(lid_leak_area, _SEALED), discharge),)))
    return branches


def with_lid(network: Network, lid_leak_area: Values, *, at: str = "", discharge: Values = 0.6) -> Network:
    """The same system with gaps of this area in the lid of a suction point, the first if not named; zero seals it."""
    point = at or first_point(network)
    others = (branch for branch in network.branches if not (_is_lid(network, branch) and branch.end == point))
    (_, *lid) = suction_point(Soil(1.0), lid_leak_area, at=point, discharge=discharge)
    return replace(network, branches=(*others, *lid))


def with_soil(network: Network, soil_resistance: Values) -> Network:
    """The same system on soil of this resistance; soil under other points keeps its ratio to that of the first."""
    first = next((piece for branch in network.branches for piece in branch.pieces if isinstance(piece, Soil)), None)
    if first is None:
        raise NetworkError(_NO_SOIL)

    def moved(piece: Piece) -> Piece:
        if piece is first:
            return replace(piece, resistance=soil_resistance)
        if isinstance(piece, Soil):
            return replace(piece, resistance=soil_resistance * (piece.resistance / first.resistance))
        return piece

    made = (replace(branch, pieces=tuple(map(moved, branch.pieces))) for branch in network.branches)
    return replace(network, branches=tuple(made))


def with_branch(network: Network, branch: str, pieces: Sequence[Piece]) -> Network:
    """The same system with other pieces in one branch."""
    _branch(network, branch)
    made = (replace(b, pieces=tuple(pieces)) if b.name == branch else b for b in network.branches)
    return replace(network, branches=tuple(made))


def with_leak(network: Network, node: str, area: Values, *, name: str = "leak") -> Network:
    """The same system with a hole to outside at a node: a joint that has cracked, a clean-out left open."""
    if all(node not in (branch.start, branch.end) for branch in network.branches):
        raise NetworkError(f"leak: the network has no node {node[:40]}")
    return replace(network, branches=(*network.branches, Branch(name, OUTSIDE, node, (Opening(area),))))


def with_point(
    network: Network, point: str, joins: str, soil: Soil, pieces: Sequence[Piece], *, bore: Any, main_bore: Any,
    angle: float = math.pi / 4, lid_leak_area: Values = 0.0,
) -> Network:  # fmt: skip
    """The same system with a second suction point, whose pipe of these pieces joins at the node `joins` by a wye."""
    before = [branch for branch in network.branches if branch.end == joins]
    after = [branch for branch in network.branches if branch.start == joins]
    if len(before) != 1 or len(after) != 1:
        raise NetworkError(f"{point}: at {joins} there must be one branch before and one after, for a wye to join them")
    pipe = Branch(f"pipe of {point}", point, joins, tuple(pieces))
    wye = Wye(before[0].name, pipe.name, after[0].name, main_bore, bore, angle)
    made = (*network.branches, *suction_point(soil, lid_leak_area, at=point), pipe)
    return replace(network, branches=made, wyes=(*network.wyes, wye))


def split(
    network: Network, branch: str, paths: Sequence[Sequence[Piece]], *, bore: Any, main_bore: Any,
    angle: float = math.pi / 4,
) -> Network:  # fmt: skip
    """The same system with one branch parted into several pipes side by side by wyes, and joined again by wyes.

    The first path goes straight through the wyes; the others leave one after the other, the second first.
    """
    whole, count = _branch(network, branch), len(paths)
    if count == 1:
        return with_branch(network, branch, paths[0])
    before, after = _before(network, whole).name, _after(network, whole).name
    start, end = whole.start, whole.end
    branches, wyes = [], []
    for number in range(2, count + 1):
        aside, last = Branch(f"{branch} {number}", start, end, tuple(paths[number - 1])), number == count
        if last:
            runs = [Branch(f"{branch} 1", start, end, tuple(paths[0]))]
        else:  # lossless but for the wyes
            fork, join = f"{branch} parts {number}", f"{branch} joins {number}"
            nothing = (Fitting(0.0, main_bore),)
            runs = [
                Branch(f"{branch} in {number}", start, fork, nothing),
                Branch(f"{branch} out {number}", join, end, nothing),
            ]
            start, end = fork, join
        branches += [aside, *runs]
        wyes += [
            Wye(runs[0].name, aside.name, before, main_bore, bore, angle),
            Wye(runs[-1].name, aside.name, after, main_bore, bore, angle),
        ]
        before, after = runs[0].name, runs[-1].name
    others = tuple(b for b in network.branches if b is not whole)
    return replace(network, branches=(*others, *branches), wyes=(*network.wyes, *wyes))


def first_point(network: Network) -> str:
    """The node of the first suction point: soil leads to it, and a pipe or a lid too."""
    others = {node for branch in network.branches if not has_soil(branch) for node in (branch.start, branch.end)}
    found = next((branch.end for branch in network.branches if has_soil(branch) and branch.end in others), None)
    if found is None:
        raise NetworkError(_NO_SOIL)
    return found


_NO_SOIL = "soil: no branch of the network is soil; give the suction point its soil"


def _branch(network: Network, name: str) -> Branch:
    found = next((branch for branch in network.branches if branch.name == name), None)
    if found is None:
        raise NetworkError(f"no branch is called {name[:40]}; there are {', '.join(b.name for b in network.branches)}")
    return found


def _before(network: Network, branch: Branch) -> Branch:
    leading = [b for b in network.branches if b.end == branch.start and b.start != OUTSIDE and not has_soil(b)]
    return _only(leading, f"before {branch.name}")


def _after(network: Network, branch: Branch) -> Branch:
    return _only([b for b in network.branches if b.start == branch.end], f"after {branch.name}")


def _only(found: list[Branch], where: str) -> Branch:
    if len(found) != 1:
        raise NetworkError(f"there must be one branch of pipe {where}, for a wye to part or join it")
    return found[0]


def has_soil(branch: Branch) -> bool:
    """Whether the air passes soil in this branch."""
    return any(isinstance(piece, Soil) for piece in branch.pieces)


def _is_lid(network: Network, branch: Branch) -> bool:
    """An opening from outside into a node that soil leads to as well."""
    only_opening = branch.start == OUTSIDE and all(isinstance(piece, Opening) for piece in branch.pieces)
    return only_opening and any(has_soil(other) and other.end == branch.end for other in network.branches)


# ---------------------------------------------------------------- the system solved


@dataclass(frozen=True)
class Station:
    """A place along the way: after so much straight pipe, m, and the suctions and velocity there, one value a variant."""

    branch: str
    distance: float
    suction: Values
    static_suction: Values
    velocity: Values


@dataclass(frozen=True)
class Solved:
    """What stands and flows everywhere; SI, numbers for one variant, arrays for many. `solution` has all the rest."""

    solution: Solution
    tap: Tap

    @property
    def network(self) -> Network:
        return self.solution.network

    @property
    def air_flow(self) -> Values:
        """Through the fan."""
        return self.solution.fan_flow

    @property
    def soil_flow(self) -> Values:
        """Through the soil, under all suction points together."""
        return self._sum(b.name for b in self.network.branches if b.start == OUTSIDE and has_soil(b))

    @property
    def lid_flow(self) -> Values:
        """Through the gaps of lids, all together."""
        return self._sum(b.name for b in self.network.branches if _is_lid(self.network, b))

    @property
    def soil_suction(self) -> Values:
        """In the suction point, the first where there are several."""
        return self.solution.suctions[first_point(self.network)]

    @property
    def fan_pressure(self) -> Values:
        return self.solution.fan_pressure

    @property
    def tap_velocity_pressure(self) -> Values:
        """Velocity pressure where the gauge is tapped."""
        return self._velocity_pressure(self.tap)

    @property
    def gauge_suction(self) -> Values:
        """What the gauge reads: static suction at the tap."""
        return self.suction(self.tap) + self.tap_velocity_pressure

    def suction(self, tap: Tap) -> Values:
        """Total pressure below that outside, at a place in a pipe."""
        branch = self.solution.branch(tap.branch)
        losses = self.solution.losses(tap.branch)
        lost = sum(losses[: tap.piece - 1], start=self._forked(branch))
        before = 0.0 if branch.start == OUTSIDE else self.solution.suctions[branch.start]
        return cast(Values, before + lost + tap.share * losses[tap.piece - 1])

    def largest_velocity(self, branches: Sequence[str]) -> Values:
        """The largest mean velocity in any pipe of these branches."""
        found = [
            velocity
            for name in branches
            for piece, velocity in zip(self.solution.branch(name).pieces, self.solution.velocities(name), strict=True)
            if isinstance(piece, Pipe) and velocity is not None
        ]
        if not found:
            raise NetworkError(f"there is no pipe in {', '.join(branches)}")
        return cast(Values, np.max(np.stack(np.broadcast_arrays(*found)), axis=0)[()])

    def profile(self, branches: Sequence[str], fan_after: int = 0) -> tuple[Station, ...]:
        """Pressure along branches in a row: at both ends of every pipe. On the fan's pressure side suctions are below zero.

        `fan_after` is how many pieces of its branch stand before the fan.
        """
        stations: list[Station] = []
        distance: Any = 0.0
        raised: Values = 0.0
        for name in branches:
            for number, piece in enumerate(self.solution.branch(name).pieces, 1):
                if name == self.network.fan and number == fan_after + 1:
                    raised = self.fan_pressure
                if not isinstance(piece, Pipe):
                    continue
                for share in (0.0, 1.0):
                    tap = Tap(name, number, share)
                    total = self.suction(tap) - (raised if name == self.network.fan else 0.0)
                    pressure = self._velocity_pressure(tap)
                    velocity = condensate.mean_air_velocity(air_flow=np.abs(self.solution.flows[name]), bore=piece.bore)
                    place = distance + share * piece.length
                    stations.append(Station(name, place, total, total + pressure, velocity))
                distance += piece.length
        return tuple(stations)

    def _velocity_pressure(self, tap: Tap) -> Values:
        piece = self.solution.branch(tap.branch).pieces[tap.piece - 1]
        assert isinstance(piece, Pipe)
        velocity = condensate.mean_air_velocity(air_flow=np.abs(self.solution.flows[tap.branch]), bore=piece.bore)
        return friction.velocity_pressure(air_density=self.solution.air_density, air_velocity=velocity)

    def _forked(self, branch: Branch) -> Values:
        """Loss of the wye in which a branch parts from its main pipe."""
        for wye in self.network.wyes:
            if branch.name not in (wye.run, wye.branch) or self.solution.branch(wye.main).end != branch.start:
                continue
            junction = junction_of(wye, self.network.branches, cast(Any, self.solution.air_density))
            leg = junction.run_leg if branch.name == wye.run else junction.branch_leg
            flows = (np.maximum(self.solution.flows[name], HAIR) for name in (wye.branch, wye.run))
            loss, *_ = leg.function(*flows, *leg.terms)
            return cast(Values, junction.loss * loss)
        return 0.0

    def _sum(self, names: Iterator[str]) -> Values:
        return cast(Values, sum((self.solution.flows[name] for name in names), start=0.0 * self.air_flow))


def solve_system(
    network: Network,
    curve: Fan,
    *,
    air_density: Values,
    air_viscosity: Values,
    speed_ratio: Values = 1.0,
    tap: Tap | None = None,
) -> Solved:
    """Everything at once. Without a tap, one just before the fan. Raises NetworkError and NotAttainable as `solve` does."""
    place = tap or last_tap(network)
    pieces = _branch(network, place.branch).pieces
    if not (1 <= place.piece <= len(pieces) and isinstance(pieces[place.piece - 1], Pipe)):
        raise NetworkError(f"tap: piece {place.piece} of {place.branch} is not a pipe to tap; give one that is")
    if not np.all((place.share >= 0) & (place.share <= 1)):
        raise NetworkError(
            f"tap: it lies beyond the ends of piece {place.piece} of {place.branch}; give a share of 0 to 1"
        )
    solution = solve(network, curve, air_density=air_density, air_viscosity=air_viscosity, speed_ratio=speed_ratio)
    return Solved(solution, place)


def last_tap(network: Network) -> Tap:
    """At the end of the last pipe before the fan's branch, or of the first in it where only soil and lid come before."""
    holds = _branch(network, network.fan)
    while True:
        before = [branch for branch in network.branches if branch.end == holds.start and not has_soil(branch)]
        before = [branch for branch in before if branch.start != OUTSIDE]
        pipes = [number for b in before[:1] for number, piece in enumerate(b.pieces, 1) if isinstance(piece, Pipe)]
        if pipes:
            return Tap(before[0].name, pipes[-1])
        if not before:
            own = [n for n, piece in enumerate(_branch(network, network.fan).pieces, 1) if isinstance(piece, Pipe)]
            if not own:
                raise NetworkError("tap: there is no pipe before the fan to tap")
            return Tap(network.fan, own[0], 0.0)
        holds = before[0]


# ---------------------------------------------------------------- the face of a statement

_TOGETHER = Source(kind="derived", place="soil, lid, pipe and fan in balance: losses as their own formulas state them")
_p_f, _p_u, _R, _Q, _Q_s, _Q_v = (
    symbol(n) for n in ("fan_pressure", "soil_suction", "soil_resistance", "air_flow", "soil_flow", "lid_flow")
)
_p_g, _lost, _p_v, _route = (symbol(n) for n in ("gauge_suction", "tap_loss", "velocity_pressure", "route_loss"))
with sympy.evaluate(False):
    _THROUGH_LID = Eq(
        _Q_v,
        fittings.opening_flow.expression.xreplace(
            {symbol("opening_area"): symbol("lid_leak_area"), symbol("opening_suction"): _p_u}
        ),
    )
    _BALANCES = (Eq(_p_f, _p_u + _route), Eq(_p_g, _p_u + _lost + _p_v), Eq(_Q, _Q_s + _Q_v))
    _THROUGH_SOIL = Eq(_p_u, _R * _Q_s)


def house_system(
    network: Network,
    curve: Fan,
    *,
    tap: Tap | None = None,
    main: Sequence[str] = (),
    wall: Sequence[str] = (),
    name: str = "house_system",
) -> Solver:
    """A house's own network and fan as a solver that a sheet can hold.

    It takes the soil's resistance, the leak of the lid, the air and the fan's speed; `network` gives all else, and the
    ratios of the soil's resistance under further points. `main` and `wall` name branches whose largest velocity it gives
    as main_velocity and wall_velocity, neither where none are named. Raises RangeError, one line, where the fan's curve
    does not reach.
    """
    place = tap or last_tap(network)
    velocities = {"main_velocity": main, "wall_velocity": wall}
    given = {result: branches for result, branches in velocities.items() if branches}
    soils = [piece for branch in network.branches for piece in branch.pieces if isinstance(piece, Soil)]
    alone = len(soils) == 1 and not np.any(soils[0].inertia)

    def function(
        soil_resistance: Values,
        lid_leak_area: Values,
        air_density: Values,
        air_viscosity: Values,
        discharge_coefficient: Values,
        speed_ratio: Values,
    ) -> Mapping[str, Values]:
        solved = solve_system(
            with_lid(with_soil(network, soil_resistance), lid_leak_area, discharge=discharge_coefficient),
            curve,
            air_density=air_density,
            air_viscosity=air_viscosity,
            speed_ratio=speed_ratio,
            tap=place,
        )
        if not np.all(solved.solution.attained):
            raise NotAttainable("not attainable on this fan's curve for every value given; add the maker's points")
        return results_of(solved) | {result: solved.largest_velocity(branches) for result, branches in given.items()}

    return Solver(
        name=name,
        title="Soil, lid, pipe and fan of this house together",
        gives=(*RESULTS, *given),
        takes=(
            "soil_resistance",
            "lid_leak_area",
            "air_density",
            "air_viscosity",
            "discharge_coefficient",
            "speed_ratio",
        ),
        source=_TOGETHER,
        function=function,
        equations=(*_BALANCES, *((_THROUGH_LID, _THROUGH_SOIL) if alone else ())),
        ranges={"discharge_coefficient": (0.3, 1.0)},
        assumptions=(
            "soil whose suction goes with its flow",
            "a fan that keeps to its curve by the fan laws",
            "a gauge that reads static pressure through a hole in the wall of the pipe",
        ),
        defaults={
            "discharge_coefficient": term("discharge_coefficient").read("0.6"),
            "speed_ratio": term("speed_ratio").read("1"),
        },
    )


RESULTS = (
    "air_flow",
    "soil_flow",
    "lid_flow",
    "soil_suction",
    "fan_pressure",
    "route_loss",
    "tap_loss",
    "velocity_pressure",
    "gauge_suction",
)


def results_of(solved: Solved) -> dict[str, Values]:
    """What is found, by glossary term."""
    suction, pressure = solved.soil_suction, solved.tap_velocity_pressure
    at_tap = solved.suction(solved.tap)
    return {
        "air_flow": solved.air_flow,
        "soil_flow": solved.soil_flow,
        "lid_flow": solved.lid_flow,
        "soil_suction": suction,
        "fan_pressure": solved.fan_pressure,
        "route_loss": solved.fan_pressure - suction,
        "tap_loss": at_tap - suction,
        "velocity_pressure": pressure,
        "gauge_suction": at_tap + pressure,
    }


@solver(
    gives=(*RESULTS, "main_velocity"),
    source=_TOGETHER,
    solves=lambda: [
        *_BALANCES,
        _THROUGH_LID,
        _THROUGH_SOIL,
        Eq(_p_f, fan.example_fan_pressure.expression * fan.density_ratio.expression),
        Eq(symbol("main_velocity"), condensate.mean_air_velocity.expression),
        Eq(
            _p_v,
            friction.velocity_pressure.expression.xreplace({symbol("air_velocity"): symbol("main_velocity")}),
        ),
    ],
    fan_exponent=("1", "4"),
    discharge_coefficient=("0.3", "1"),
    loss_coefficient=("0", "1000"),
    entrance_coefficient=("0", "1000"),
)
def sump_system(
    soil_resistance: Any,
    lid_leak_area: Any,
    straight_length: Any,
    bore: Any,
    loss_coefficient: Any,
    shutoff_pressure: Any,
    free_flow: Any,
    tap_length: Any = "4 ft",
    entrance_coefficient: Any = "0.5",
    fan_exponent: Any = "1",
    discharge_coefficient: Any = "0.6",
    wall_roughness: Any = "1.5 um",
    air_density: Any = "0.075 lb/ft3",
    air_viscosity: Any = "1.81e-5 Pa s",
    rated_density: Any = "0.075 lb/ft3",
) -> dict[str, Values]:
    """A sump with a leaky lid, one size of pipe with a gauge on it, and an example fan.

    Assumes soil whose suction goes with its flow, a gauge that reads static pressure through the wall of the pipe with
    only the entrance and straight pipe before it, and an invented fan curve (straight where no exponent is given).

    Assumes, where they are not given, a tap 4 ft from the sump, a sharp entrance, standard air and smooth plastic pipe.
    `loss_coefficient` is that of all fittings, entrance and outlet included.
    """
    if np.any(loss_coefficient < entrance_coefficient):
        raise NetworkError("loss coefficient is that of all fittings, so not less than the entrance coefficient")
    if np.any(tap_length >= straight_length):
        raise NetworkError("tap length must be less than the straight length, of which it is a part")
    entrance, others = Fitting(entrance_coefficient, bore), Fitting(loss_coefficient - entrance_coefficient, bore)
    pieces = (entrance, Pipe(straight_length, bore, wall_roughness), others)
    route = Branch("route", PIT, OUTSIDE, pieces)
    solved = solve_system(
        Network(
            (*suction_point(Soil(soil_resistance), lid_leak_area, discharge=discharge_coefficient), route), "route"
        ),
        ExampleFan(shutoff_pressure, free_flow, fan_exponent, rated_density),
        air_density=air_density,
        air_viscosity=air_viscosity,
        tap=Tap("route", 2, tap_length / straight_length),
    )
    return results_of(solved) | {"main_velocity": solved.largest_velocity(["route"])}
