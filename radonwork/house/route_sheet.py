"""The statements of the topic "route": the route of a house in space as a sheet can hold it, and routes side by side."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from radonwork.engine.formula import Values
from radonwork.engine.solver import Solver
from radonwork.engine.sources import Source
from radonwork.house.air import air_of
from radonwork.house.calculations import calculate
from radonwork.house.record import House
from radonwork.house.route import PIT, STRAIGHT
from radonwork.house.sections.route import OtherRoute
from radonwork.house.way import Way, other_ways_of, way_of
from radonwork.units import Quantity

_SOURCE = Source(kind="derived", place="each piece laid from where the one before it ends, in the direction it says")
_ALWAYS = ("route_pieces", "route_fittings", "route_length", "route_height", "exposed_length", "framing_holes")


def laid_route(house: House) -> Solver:
    """The route of a house laid in space. It takes the slope that "falling back" means and the longest sloped length."""
    way = way_of(house)
    gives = tuple(way.values) if way else _ALWAYS
    longest = way.sloped if way else None

    def function(worded_pieces: Values, pipe_slope: Values, sloped_run: Values | None = None) -> Mapping[str, Values]:
        if sloped_run is not None and np.any(np.asarray(sloped_run) <= 0):
            raise ValueError("the longest sloped piece must have a length above zero")
        return _over(pipe_slope, sloped_run, lambda slope, run: _values(house, gives, slope, run))

    return Solver(
        name="laid_route",
        title="The route laid in space",
        gives=gives,
        takes=("worded_pieces", "pipe_slope", *(("sloped_run",) if longest else ())),
        source=_SOURCE,
        function=function,
        assumptions=(
            "lengths along the pipe, from where centrelines meet to where they meet",
            "pipe that is straight between its fittings and does not sag",
        ),
        defaults={"sloped_run": Quantity(longest.length, "ft", 0.0, "")} if longest else {},
    )


def moves_with_slope(house: House) -> bool:
    """Whether a piece of the route falls back by the slope of the record, not by a figure of its own."""
    listed = house.run.piece if house.run else ()
    return any(piece.go and piece.go.slope == "falling back" and not piece.go.pitch for piece in listed)


def _values(house: House, gives: tuple[str, ...], slope: float, run: float | None) -> Mapping[str, float]:
    way = way_of(house, slope, run)
    if way is None:
        raise ValueError("no piece of the route says how it goes; write run.piece[].go")
    return {name: way.values.get(name, 0.0) for name in gives}


def _over(
    slope: Values, run: Values | None, laid: Callable[[float, float | None], Mapping[str, float]]
) -> Mapping[str, Values]:
    """The figures of routes over arrays of slopes and lengths: parabolas through the least, middle and largest of each.

    A route is laid for nine of them. A distance from a place goes as a root, so its square is what the parabolas follow.
    """
    if np.ndim(slope) == 0 and np.ndim(0.0 if run is None else run) == 0:
        return laid(float(slope), None if run is None else float(run))
    slopes, runs = np.broadcast_arrays(np.asarray(slope, dtype=float), 0.0 if run is None else run)
    along, across = (np.unique(np.linspace(given.min(), given.max(), 3)) for given in (slopes, runs))
    each = [[laid(float(a), None if run is None else float(b)) for b in across] for a in along]
    shares = np.einsum("i...,j...->ij...", _parabolas(along, slopes), _parabolas(across, runs))
    found = {}
    for name in each[0][0]:
        nodes = np.array([[one[name] for one in row] for row in each])
        square = name == "closure_gap"
        values = np.einsum("ij,ij...->...", nodes**2 if square else nodes, shares)
        found[name] = np.sqrt(np.maximum(values, 0.0)) if square else values
    return found


def _parabolas(nodes: np.ndarray, at: np.ndarray) -> np.ndarray:
    """How much each node counts at the points `at`: 1 at its own node, 0 at the others, a parabola through three."""
    counts = []
    for place, node in enumerate(nodes):
        others = np.delete(nodes, place)
        counts.append(np.prod([(at - other) / (node - other) for other in others], axis=0) * np.ones(at.shape))
    return np.array(counts)


# ---------------------------------------------------------------- routes side by side


@dataclass(frozen=True)
class Compared:
    """One route beside the others. `way` is None where no piece says how it goes.

    `values` has the terms of the way in space, and of air and parts with the same soil, lid, fan and prices; `air_lacks`
    says why the air is not known. `not_met` names the rules of these topics that it breaks.
    """

    name: str
    path: str
    way: Way | None
    values: Mapping[str, float]
    air_lacks: str = ""
    not_met: tuple[str, ...] = ()


_OF_TOPICS = {
    "route": (),
    "air": ("operating_flow", "working_suction", "route_loss", "main_velocity", "wall_velocity", "running_cost"),
    "parts": ("parts_cost",),
}
"""The topics in which a route is judged, by their key, and what the others than its own work out for it."""


@lru_cache(maxsize=8)
def compared(house: House) -> tuple[Compared, ...]:
    """The route of a record and its alternatives; empty where it has no route."""
    if house.route() is None:
        return ()
    ways = {way.at: way for way in (way_of(house), *other_ways_of(house)) if way}
    found = [_one(house, "run", "as recorded", ways.get("run"))]
    for count, other in enumerate(house.run_alternative):
        at = f"run_alternative[{count + 1}]"
        found.append(_one(_with(house, other), at, other.name or f"alternative {count + 1}", ways.get(at)))
    return tuple(found)


def _one(house: House, at: str, name: str, way: Way | None) -> Compared:
    route = house.route()
    assert route is not None
    values: dict[str, float] = {
        "route_length": float(route.length),
        "route_fittings": float(sum(piece.count for piece in route.pieces if piece.kind != STRAIGHT)),
    }
    values |= way.values if way else {}
    lacks, broken = "", list[str]()
    for key, wanted in _OF_TOPICS.items():
        found = calculate(house, key)
        run = found.run
        broken += [finding.requirement.name for finding in found.findings if finding.verdict == "not met"]
        values |= {name: run.values[name] for name in wanted if name in run.values}
        if key == "air" and "operating_flow" not in run.values:
            lacks = " ".join(run.refused.values()) or "pipe, fan and soil are not settled by the record"
    return Compared(name, at, way, values, lacks, tuple(broken))


def _with(house: House, other: OtherRoute) -> House:
    """The house with another route in the place of its own; gauge and proof were of the first."""
    assert house.run
    run = {"piece": other.piece, "start": other.start or house.run.start, "end": other.end, "branch": (), "stay_in": ()}
    return house.model_copy(
        update={
            "run": house.run.model_copy(update=run),
            "run_alternative": (),
            "fan": house.fan.model_copy(update={"after_piece": other.after_piece}) if house.fan else None,
            "proof": None,
        }
    )


# ---------------------------------------------------------------- several suction points


@dataclass(frozen=True)
class AtPoint:
    """What flows and stands at one suction point: m³/s from its soil and through its lid, Pa, m/s in its pipe."""

    name: str
    soil_flow: float
    lid_flow: float
    suction: float
    velocity: float


def points_of(house: House) -> tuple[AtPoint, ...]:
    """Each suction point with a pipe of its own; empty where there is only one, or the air cannot be worked."""
    if not (house.run and house.run.branch):
        return ()
    air, worked = air_of(house), calculate(house, "air").run
    if air is None or "operating_flow" not in worked.values:
        return ()
    solved = air.solved(worked.values)
    flows, suctions = solved.solution.flows, solved.solution.suctions
    joined = {branch.point for branch in house.run.branch}
    first = next((point.name for point in house.suction_points() if point.name not in joined), "first suction point")
    nodes: list[tuple[str, str, tuple[str, ...]]] = [(PIT, first, (air.route.sections[0].name,))]
    nodes += [(point.node, point.name, point.branches) for point in air.route.tributaries]
    return tuple(
        AtPoint(
            name,
            float(flows[f"soil{node.removeprefix(PIT)}"]),
            float(flows.get(f"lid{node.removeprefix(PIT)}", 0.0)),
            float(suctions[node]),
            float(solved.largest_velocity(branches)),
        )
        for node, name, branches in nodes
    )
