"""Flows in a network by Newton's rule on the flows round its loops, all variants together.

Flows that add up at every node are sums of flows round loops, so the loop flows are the unknowns and there is one
equation a loop: the losses round it are what the fan gives. Derivatives are those of the stated formulas, taken by sympy.
A step that does not bring the equations nearer is halved. Every loss grows with its flow and every fan's pressure falls,
so a step short enough always gains and there is one answer, whatever the start; what a crease or rounding still keeps
from it is bracketed and halved loop by loop. Wyes whose coefficients depend on the split may break that rule in the
extreme: then no answer is given rather than a wrong one.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import cast

import numpy as np
from numpy.typing import NDArray

from radonwork.engine.formula import Values
from radonwork.solvers.branch_losses import HAIR, Losses, losses_of, per_flow_and_slope
from radonwork.solvers.fan_curve import Fan, pressure_and_slope
from radonwork.solvers.junctions import Junction, junction_of
from radonwork.solvers.route import OUTSIDE, Network, NetworkError
from radonwork.solvers.variants import rows

Array = NDArray[np.float64]
_CLOSE = 1e-10  # of the fan's highest pressure, left round any loop
_GUESSES, _ROUNDS, _ATTEMPTS, _HALVINGS = 3, 40, 12, 60
_LEAST = 1e-4
"""Pa/(m³/s), the slope that a branch is taken to have at least besides its own. Branches that take nothing, or nothing yet,
have none to tell how air parts between them; so they share alike. Slopes lead to an answer and are no part of it."""
Way = tuple[tuple[int, int], ...]
"""Branches by place, +1 along and -1 against their direction."""


@dataclass(frozen=True)
class Loops:
    """Each loop as a way round, the branch that closes it, and a way from OUTSIDE to each node."""

    passes: tuple[Way, ...]
    closed_by: tuple[int, ...]
    ways: Mapping[str, Way]

    def flows(self, loop_flows: list[Array], branches: int) -> list[Array]:
        """Flow of every branch."""
        found: list[Array] = [np.zeros(1)] * branches
        for passes, flow in zip(self.passes, loop_flows, strict=True):
            for branch, sign in passes:
                found[branch] = found[branch] + flow if sign > 0 else found[branch] - flow
        return found


@cache
def loops_of(ends: tuple[tuple[str, str, str], ...], fan: str) -> Loops:
    """The loops of branches given as (name, start, end): one for each branch that a tree from OUTSIDE leaves over."""
    way: dict[str, Way] = {OUTSIDE: ()}
    tree: set[int] = set()
    reached = [OUTSIDE]
    for node in reached:
        for index, (_, start, end) in enumerate(ends):
            for here, there, sign in ((start, end, 1), (end, start, -1)):
                if here == node and there not in way:
                    way[there] = (*way[node], (index, sign))
                    tree.add(index)
                    reached.append(there)
    passes, closed_by = [], []
    for index, (name, start, end) in enumerate(ends):
        for node in (start, end):
            if node not in way:
                raise NetworkError(f"branch {name}: nothing connects {node} to {OUTSIDE}; no air can pass it")
        if index not in tree:
            total: dict[int, int] = {index: 1}
            for branch, sign in way[start]:
                total[branch] = total.get(branch, 0) + sign
            for branch, sign in way[end]:
                total[branch] = total.get(branch, 0) - sign
            passes.append(tuple((branch, sign) for branch, sign in total.items() if sign))
            closed_by.append(index)
    for index, (name, _, end) in enumerate(ends):
        if not any(index == branch for loop in passes for branch, _ in loop):
            told = "no air can pass the fan" if name == fan else "it does not reach the fan"
            raise NetworkError(f"branch {name}: {told}; nothing leads on from {end}")
    return Loops(tuple(passes), tuple(closed_by), way)


# ---------------------------------------------------------------- the equations and their slopes


@dataclass(frozen=True)
class System:
    """A network ready to be worked: coefficients only."""

    losses: tuple[Losses, ...]
    junctions: tuple[Junction, ...]
    fan: Fan
    fan_branch: int
    density_ratio: Values
    speed_ratio: Values
    scale: Values


def system_of(network: Network, fan: Fan, density: Values, viscosity: Values, speed_ratio: Values) -> System:
    """The coefficients of a network in this air with its fan at this speed."""
    places = [branch.name for branch in network.branches]
    density_ratio = density / fan.rated_density
    return System(
        tuple(losses_of(branch, density, viscosity) for branch in network.branches),
        tuple(junction_of(wye, network.branches, density) for wye in network.wyes),
        fan,
        places.index(network.fan),
        density_ratio,
        speed_ratio,
        fan.shutoff * density_ratio * speed_ratio**2,
    )


@dataclass(frozen=True)
class Drops:
    """Pressure each branch takes, less what its fan gives; slopes with its own flow; those with another's, by places."""

    drops: list[Array]
    slopes: list[Array]
    crossed: list[tuple[int, int, Array]]
    fan_pressure: Array


@dataclass(frozen=True)
class _State:
    """Losses round each loop, less what the fan gives, and their slopes with every loop flow."""

    round_loop: list[Array]
    slopes: list[list[Array]]

    @property
    def size(self) -> Array:
        """Sum of squares of what is left round the loops."""
        return cast(Array, sum(left * left for left in self.round_loop))

    def where(self, chosen: NDArray[np.bool_], other: "_State") -> "_State":
        """This state in the variants chosen, the other in the rest."""

        def either(here: list[Array], there: list[Array]) -> list[Array]:
            return [np.where(chosen, one, two) for one, two in zip(here, there, strict=True)]

        slopes = [either(here, there) for here, there in zip(self.slopes, other.slopes, strict=True)]
        return _State(either(self.round_loop, other.round_loop), slopes)


def drops_of(system: System, flows: list[Array]) -> Drops:
    """What every branch takes at these flows; a wye's legs count as forward, with no more to lose when flow turns back."""
    drops: list[Array] = []
    slopes: list[Array] = []
    for losses, flow in zip(system.losses, flows, strict=True):
        per_flow, slope = per_flow_and_slope(losses, np.abs(flow) + HAIR)
        drops.append(per_flow * flow)
        slopes.append(slope)
    pressure, fan_slope = pressure_and_slope(
        system.fan, flows[system.fan_branch], system.density_ratio, system.speed_ratio
    )
    drops[system.fan_branch] = drops[system.fan_branch] - pressure
    slopes[system.fan_branch] = slopes[system.fan_branch] - fan_slope
    crossed: list[tuple[int, int, Array]] = []
    for junction in system.junctions:
        branch, run = np.maximum(flows[junction.branch], HAIR), np.maximum(flows[junction.run], HAIR)
        forward = (flows[junction.branch] > HAIR, flows[junction.run] > HAIR)
        for leg, here in ((junction.branch_leg, junction.branch), (junction.run_leg, junction.run)):
            loss, *leg_slopes = leg.function(branch, run, *leg.terms)
            drops[here] = drops[here] + junction.loss * loss
            for other, with_other, counts in zip((junction.branch, junction.run), leg_slopes, forward, strict=True):
                part = np.where(counts, junction.loss * with_other, 0.0)
                if other == here:
                    slopes[here] = slopes[here] + part
                else:
                    crossed.append((here, other, part))
    return Drops(drops, slopes, crossed, pressure)


def state_of(system: System, loops: Loops, loop_flows: list[Array]) -> _State:
    """What is left round each loop at these loop flows, with its slopes."""
    found = drops_of(system, loops.flows(loop_flows, len(system.losses)))
    return _State(
        [along(passes, found.drops) for passes in loops.passes], _loop_slopes(loops, found.slopes, found.crossed)
    )


def _added(parts: Iterable[Array]) -> Array:
    first, *others = parts
    for other in others:
        first = first + other
    return first


def along(way: Way, values: list[Array]) -> Array:
    """Sum of the branches' values along a way."""
    return _added(values[branch] if sign > 0 else -values[branch] for branch, sign in way)


def _loop_slopes(loops: Loops, slopes: list[Array], crossed: list[tuple[int, int, Array]]) -> list[list[Array]]:
    """Slope of each loop's equation with each loop flow."""
    slopes = [slope + _LEAST for slope in slopes]
    signs = [dict(passes) for passes in loops.passes]
    matrix: list[list[Array]] = []
    for row, of in enumerate(signs):
        line: list[Array] = []
        for column, by in enumerate(signs):
            if column < row and not crossed:
                line.append(matrix[column][row])
                continue
            shared = [slopes[b] if of[b] == by[b] else -slopes[b] for b in of if b in by]
            shared += [part if of[b] == by[o] else -part for b, o, part in crossed if b in of and o in by]
            line.append(_added(shared) if shared else np.zeros_like(slopes[0]))
        matrix.append(line)
    return matrix


def _solved(matrix: list[list[Array]], right: list[Array]) -> list[Array]:
    """Solution of as many small systems of equations as there are variants; no exchange of rows is needed here."""
    rows = [list(row) for row in matrix]
    right = list(right)
    count = len(right)
    for pivot in range(count):
        for row in range(pivot + 1, count):
            share = rows[row][pivot] / rows[pivot][pivot]
            for column in range(pivot + 1, count):
                rows[row][column] = rows[row][column] - share * rows[pivot][column]
            right[row] = right[row] - share * right[pivot]
    for row in reversed(range(count)):
        for column in range(row + 1, count):
            right[row] = right[row] - rows[row][column] * right[column]
        right[row] = right[row] / rows[row][row]
    return right


# ---------------------------------------------------------------- the search


def first_guess(system: System, loops: Loops, count: int) -> list[Array]:
    """Loop flows as if every loss were in line with the flow: at half of what the fan moves at most, then nearer.

    Where a loss goes with the square of the flow, the mean of a flow taken and that found with it, in the logarithm, is
    the flow that one pressure drives through it.
    """
    half = 0.5 * system.fan.largest_flow * system.speed_ratio
    push = np.broadcast_to(np.asarray(system.scale, dtype=float), (count,))
    pushes = [dict(passes).get(system.fan_branch, 0) * push for passes in loops.passes]
    squares = [losses.square + sum(0.02 * pipe.loss for pipe in losses.pipes) for losses in system.losses]
    taken = [np.broadcast_to(np.asarray(half, dtype=float), (count,))] * len(squares)
    for _ in range(_GUESSES):
        slopes = [
            losses.linear + square * flow for losses, square, flow in zip(system.losses, squares, taken, strict=True)
        ]
        slopes[system.fan_branch] = slopes[system.fan_branch] + system.scale / (2 * half)
        guess = _solved(_loop_slopes(loops, slopes, []), pushes)
        found = loops.flows(guess, len(squares))
        taken = [np.sqrt(flow * np.abs(there) + HAIR**2) for flow, there in zip(taken, found, strict=True)]
    return guess


def _newton(system: System, loops: Loops, flows: list[Array]) -> tuple[list[Array], NDArray[np.intp]]:
    """Loop flows after Newton's rule with halved steps, and which variants have not settled."""
    found = [flow.copy() for flow in flows]
    left = np.arange(len(flows[0]))
    state = state_of(system, loops, flows)
    share = np.ones(len(left))
    for _ in range(_ROUNDS):
        size, close = state.size, (_CLOSE * system.scale) ** 2
        done = size <= close
        if done.all():
            break
        if 2 * np.count_nonzero(done) > len(left):  # carry on with the rest only
            _put(found, left, flows)
            rest = np.flatnonzero(~done)
            system, flows, close = rows(system, rest), rows(flows, rest), rows(close, rest)
            left, share, size = left[rest], share[rest], size[rest]
            state = _State(rows(state.round_loop, rest), rows(state.slopes, rest))
        with np.errstate(
            all="ignore"
        ):  # the slopes of wyes may cancel where the legs take nothing: no step, none taken
            step = _solved(state.slopes, state.round_loop)
        tried = [flow - share * part for flow, part in zip(flows, step, strict=True)]
        there = state_of(system, loops, tried)
        gained = (there.size < size) | (there.size <= close)
        if gained.all():
            flows, state = tried, there
            share = np.minimum(2 * share, 1.0)
            continue
        share = np.where(gained, np.minimum(2 * share, 1.0), share / 2)
        if gained.any():
            flows = [np.where(gained, new, old) for new, old in zip(tried, flows, strict=True)]
            state = there.where(gained, state)
    _put(found, left, flows)
    return found, left[~(state.size <= (_CLOSE * system.scale) ** 2)]


def _put(whole: list[Array], places: NDArray[np.intp], parts: list[Array]) -> None:
    for row, part in zip(whole, parts, strict=True):
        row[places] = part


def halved(system: System, loops: Loops, flows: list[Array]) -> list[Array]:
    """Loop flows after each loop's equation in turn was bracketed and halved: slow, and always nearer."""
    flows = list(flows)
    for loop in range(len(flows)):

        def left_round(flow: Array, loop: int = loop) -> Array:
            return state_of(system, loops, [*flows[:loop], flow, *flows[loop + 1 :]]).round_loop[loop]

        width = np.full_like(flows[loop], 1e-4)
        low, high = flows[loop] - width, flows[loop] + width
        for _ in range(_HALVINGS):
            too_high, too_low = left_round(low) > 0, left_round(high) < 0
            if not (too_high.any() or too_low.any()):
                break
            width = 2 * width
            low, high = np.where(too_high, low - width, low), np.where(too_low, high + width, high)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            above = left_round(middle) > 0
            low, high = np.where(above, low, middle), np.where(above, middle, high)
        flows[loop] = (low + high) / 2
    return flows


def settled(system: System, loops: Loops, flows: list[Array]) -> list[Array]:
    """Loop flows that close every loop, from any start; raises NetworkError if they do not settle."""
    for _ in range(_ATTEMPTS):
        flows, open_ = _newton(system, loops, flows)
        if not len(open_):
            return flows
        nearer = halved(rows(system, open_), loops, rows(flows, open_))
        _put(flows, open_, nearer)
    raise NetworkError(
        "the flows of this network do not settle; check its wyes, and branches that air could pass backwards"
    )
