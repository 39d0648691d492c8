"""Pieces of pipe out of sticks: the least pipe to buy, how to cut it, and why no less will do.

A piece takes its own length and, unless it ends with the stick, one saw cut. With sticks of one length the least number is
bought, with sticks of several lengths the least length all told; of ways with the same length, for few pieces, one with the
fewest sticks.

Three proofs are tried, the plain ones first: weights on the pieces, of which no stick can hold more than its own; a search
of every way for a handful of pieces; an integer program over the patterns that can still matter. Only the last loads
scipy, and it is left out where it would be large: the plan then says that it is not proven.
"""

import math
import time
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import chain
from typing import Any

import numpy as np

from radonwork.engine.refusals import Refusal

_GRID = 0.0254 / 2032
"""A length in which millimetres and 64ths of an inch are whole numbers, m. Pieces are taken to the nearest."""
_FEW = 16  # pieces: with more, a search of every way is not begun
_TRIED = 20_000  # ways of filling a stick that the search may look at
_PATTERNS = 60_000  # ways of filling a stick that an integer program may choose from
_SHAKEN = 20  # plans tried by chance
_KINDS = 120  # lengths of pieces: with more, only the plain proofs are tried
_CELLS = (
    20_000_000  # kinds of pieces times steps of the longest stick, in which every length is whole: with more, likewise
)
_SUMS = 2_000_000  # costs that sticks of several lengths may add up to
_HAIR = 1e-6
_SECONDS = 10.0


class StockError(Refusal):
    """Pieces that cannot be cut; one plain line."""


@dataclass(frozen=True)
class CutStick:
    """One stick: its length, which of the pieces come out of it, in order, and what is left; lengths in metres."""

    length: float
    pieces: tuple[int, ...]
    left: float


@dataclass(frozen=True)
class Proof:
    """Why no less will do. `kind` is "length", "halves", "weights", "search", "program", or "none" where it is not known.

    `weights` are one for each piece, in sticks (or metres of stick, with several lengths): no stick holds more than its
    own. `least` is what they add up to, or what search or program found, in the same measure; `tried` is how many ways of
    filling a stick were looked at.
    """

    kind: str
    least: float
    weights: tuple[float, ...] = ()
    tried: int = 0


@dataclass(frozen=True)
class StockPlan:
    """How to cut; `best` where it is proven that no less will do."""

    sticks: tuple[CutStick, ...]
    proof: Proof

    @property
    def best(self) -> bool:
        return self.proof.kind != "none"

    @property
    def bought(self) -> float:
        """Length of all sticks, m."""
        return sum(stick.length for stick in self.sticks)


@dataclass(frozen=True)
class _Task:
    """The same in whole numbers. Kinds of pieces are sorted, the longest first; `room` and `cost` are of each stick."""

    need: tuple[int, ...]  # length of each kind with its cut
    count: tuple[int, ...]
    room: tuple[int, ...]  # length of each stick, and the cut that its last piece does not need
    cost: tuple[int, ...]

    @property
    def one_length(self) -> bool:
        return len(self.room) == 1

    @property
    def total(self) -> int:
        return sum(n * c for n, c in zip(self.need, self.count, strict=True))

    def cheapest(self, need: int) -> int:
        """The stick that holds so much at the least cost."""
        return min((s for s, room in enumerate(self.room) if room >= need), key=lambda s: self.cost[s])


_Filled = tuple[int, tuple[int, ...]]  # a stick, and how many of each kind come out of it


def cut_stock(
    pieces: Sequence[float], sticks: Sequence[float], kerf: float, *, seconds: float = _SECONDS, program: bool = False
) -> StockPlan:
    """How to cut `pieces` out of as little pipe as can be; all lengths in metres, sticks to be had in any number.

    `seconds` limits the integer program; where it does not end, the plan says that it is not proven. `program` goes to
    it at once. Raises StockError in one line for a length that is none, or a piece that no stick holds.
    """
    if not pieces:
        return StockPlan((), Proof("length", 0.0))
    if not sticks or min(sticks) <= 0 or min(pieces) <= 0 or kerf < 0:
        raise StockError("pieces and sticks must be longer than nothing, and the cut no less than nothing")
    lengths = sorted({_whole(stick) for stick in sticks})
    for number, piece in enumerate(pieces, 1):
        if _whole(piece) > lengths[-1]:
            raise StockError(f"piece {number} is longer than the longest stick")
    needs = [_whole(piece) + _whole(kerf) for piece in pieces]
    rooms = [length + _whole(kerf) for length in lengths]
    unit, step = math.gcd(*needs, *rooms), math.gcd(*lengths)
    kinds = sorted(set(needs), reverse=True)
    task = _Task(
        tuple(kind // unit for kind in kinds),
        tuple(needs.count(kind) for kind in kinds),
        tuple(room // unit for room in rooms),
        tuple(length // step for length in lengths),
    )
    filled, kind, weights, tried = _solved(task, seconds, program)
    scale = 1.0 if task.one_length else step * _GRID
    of_kind = dict(zip(kinds, weights or [0.0] * len(kinds), strict=True))
    proof = Proof(
        kind,
        (sum(of_kind[need] for need in needs) if weights else _cost(task, filled)) * scale,
        tuple(of_kind[need] * scale for need in needs) if weights else (),
        tried,
    )
    return StockPlan(tuple(_sticks(task, filled, pieces, needs, kinds, lengths, kerf)), proof)


def _whole(length: float) -> int:
    return round(length / _GRID)


def _sticks(
    task: _Task,
    filled: Sequence[_Filled],
    pieces: Sequence[float],
    needs: Sequence[int],
    kinds: Sequence[int],
    lengths: Sequence[int],
    kerf: float,
) -> Iterator[CutStick]:
    """The pieces by number again, the fullest stick first."""
    waiting = {kind: [n for n, need in enumerate(needs) if need == kind] for kind in kinds}
    order = sorted(filled, key=lambda f: (-lengths[f[0]], [-c for c in f[1]]))
    for stick, counts in order:
        numbers = tuple(waiting[kinds[k]].pop(0) for k, count in enumerate(counts) for _ in range(count))
        taken = sum(pieces[n] for n in numbers) + kerf * len(numbers)
        length = lengths[stick] * _GRID
        yield CutStick(length, numbers, max(length - taken, 0.0))


# ---------------------------------------------------------------- a plan, and why none is better


def _solved(task: _Task, seconds: float, program: bool) -> tuple[list[_Filled], str, tuple[float, ...], int]:
    """The sticks filled, the kind of proof, its weights by kind of piece, and how many ways were tried."""
    found = min((_first_fit(task, stick) for stick in range(len(task.room))), key=lambda f: _price(task, f))
    if not program:
        tried = 0
        if sum(task.count) <= _FEW:
            with suppress(_TooMany):
                found, tried = _Search(task).best()
        for kind, weights in _plain_weights(task):
            if _reaches(task, weights, _cost(task, found)):
                return found, kind, weights, 0
        if tried:
            return found, "search", (), tried
    if len(task.need) > _KINDS or len(task.need) * max(task.room) > _CELLS:
        return found, "none", (), 0
    return _by_program(task, found, time.monotonic() + seconds)


def _cost(task: _Task, filled: Sequence[_Filled]) -> int:
    return sum(task.cost[stick] for stick, _ in filled)


def _price(task: _Task, filled: Sequence[_Filled]) -> tuple[int, int]:
    """What a plan costs, and of plans that cost the same, how many sticks it takes."""
    return _cost(task, filled), len(filled)


def _first_fit(task: _Task, largest: int) -> list[_Filled]:
    """The longest piece first, into the first stick with room; each stick then as short as what it holds allows.

    Sticks are of kind `largest`, or longer for a piece that needs it.
    """
    open_sticks: list[tuple[int, list[int]]] = []
    left: list[int] = []
    for kind, (need, count) in enumerate(zip(task.need, task.count, strict=True)):
        for _ in range(count):
            at = next((n for n, room in enumerate(left) if room >= need), None)
            if at is None:
                at = len(left)
                size = largest if task.room[largest] >= need else task.cheapest(need)
                open_sticks.append((size, [0] * len(task.need)))
                left.append(task.room[size])
            open_sticks[at][1][kind] += 1
            left[at] -= need
    return [
        (task.cheapest(task.room[size] - room), tuple(counts))
        for (size, counts), room in zip(open_sticks, left, strict=True)
    ]


def _heaviest_first(task: _Task, weights: Sequence[float]) -> list[_Filled]:
    """One stick after the other as heavy as the pieces left allow, for what it costs; then as short as may be."""
    left = task
    filled: list[_Filled] = []
    while any(left.count):
        heaviest = _Heaviest(left, weights)
        stick = max(range(len(task.room)), key=lambda s: heaviest.value(s) / task.cost[s])
        counts = heaviest.best(stick)
        if not any(counts):  # its weights are nothing
            return filled + _first_fit(left, stick)
        taken = sum(n * c for n, c in zip(task.need, counts, strict=True))
        filled.append((task.cheapest(taken), counts))
        left = replace(left, count=tuple(a - b for a, b in zip(left.count, counts, strict=True)))
    return filled


def _by_length(task: _Task) -> Iterator[list[_Filled]]:
    """Plans that fill one stick after the other as full as may be, with more and more favour to long pieces."""
    for power in (1.0, 1.02, 1.05, 1.1, 1.2):
        yield _heaviest_first(task, [need**power for need in task.need])


def _by_chance(task: _Task) -> Iterator[list[_Filled]]:
    """The same with lengths shaken by a tenth, by the same numbers every time."""
    chance = np.random.default_rng(0)
    for _ in range(_SHAKEN):
        yield _heaviest_first(task, list(np.array(task.need) * chance.uniform(1, 1.1, len(task.need))))


def _plain_weights(task: _Task) -> Iterator[tuple[str, tuple[float, ...]]]:
    """Weights of which no stick can hold more than its cost, that need no solver: kind of proof, weight of each kind."""
    yield "length", tuple(need * min(c / r for c, r in zip(task.cost, task.room, strict=True)) for need in task.need)
    longest = max(task.room)
    yield "halves", tuple(float(task.cost[task.cheapest(need)]) if 2 * need > longest else 0.0 for need in task.need)
    if task.one_length:
        # Pieces shorter than `a` left out, pieces that leave less than `a` a whole stick, the rest their length.
        for a in sorted({need for need in task.need if 2 * need <= longest}):
            yield (
                "weights",
                tuple(1.0 if need > longest - a else need / longest if need >= a else 0.0 for need in task.need),
            )


def _reaches(task: _Task, weights: Sequence[float], cost: int) -> bool:
    """Whether no plan that costs less than `cost` is left above what the weights add up to."""
    least = sum(w * c for w, c in zip(weights, task.count, strict=True))
    return _next_cost(task, least) >= cost


def _next_cost(task: _Task, least: float) -> int:
    """The least cost of any number of sticks that is no less than `least`."""
    wanted = math.ceil(least - _HAIR * max(1.0, least))
    if task.one_length:
        return wanted
    size = wanted + max(task.cost) + 1
    if size > _SUMS:
        return wanted  # a weaker bound, and still one
    reached = np.zeros(size, dtype=bool)
    reached[0] = True
    for cost in task.cost:
        for start in range(0, size - cost, cost):
            reached[start + cost : start + 2 * cost] |= reached[start : start + cost][: size - start - cost]
    return wanted + int(np.argmax(reached[wanted:]))


# ---------------------------------------------------------------- a search of every way


class _TooMany(Exception):
    """More ways than the search may look at."""


class _Search:
    """The longest piece left comes out of some stick, with some of the others; try every way, and never the same twice."""

    def __init__(self, task: _Task) -> None:
        self.task = task
        self.known: dict[tuple[int, ...], tuple[tuple[int, int], _Filled | None]] = {}
        self.tried = 0

    def best(self) -> tuple[list[_Filled], int]:
        left = self.task.count
        self._least(left)
        filled = []
        while any(left):
            _, chosen = self.known[left]
            assert chosen
            filled.append(chosen)
            left = tuple(a - b for a, b in zip(left, chosen[1], strict=True))
        return filled, self.tried

    def _least(self, left: tuple[int, ...]) -> tuple[int, int]:
        """The least cost, and with it the fewest sticks."""
        if not any(left):
            return 0, 0
        if left not in self.known:
            best: tuple[tuple[int, int], _Filled | None] = ((0, 0), None)
            for stick in range(len(self.task.room)):
                for counts in self._fillings(left, stick):
                    self.tried += 1
                    if self.tried > _TRIED:
                        raise _TooMany
                    cost, sticks = self._least(tuple(a - b for a, b in zip(left, counts, strict=True)))
                    price = (cost + self.task.cost[stick], sticks + 1)
                    if best[1] is None or price < best[0]:
                        best = (price, (stick, counts))
            self.known[left] = best
        return self.known[left][0]

    def _fillings(self, left: tuple[int, ...], stick: int) -> Iterator[tuple[int, ...]]:
        """Ways to fill a stick with the longest piece left and others, so that none of those left would still go in."""
        need = self.task.need
        first = next(kind for kind, count in enumerate(left) if count)
        if need[first] > self.task.room[stick]:
            return
        counts = [0] * len(left)
        counts[first] = 1

        def fill(kind: int, room: int, tightest: int) -> Iterator[tuple[int, ...]]:
            # `tightest` is the shortest piece that was left out although there are more of it.
            if kind == len(left):
                if room < tightest:
                    yield tuple(counts)
                return
            before = counts[kind]
            most = min(left[kind] - before, room // need[kind])
            for more in range(most, -1, -1):
                counts[kind] = before + more
                out = min(tightest, need[kind]) if before + more < left[kind] else tightest
                yield from fill(kind + 1, room - more * need[kind], out)
            counts[kind] = before

        yield from fill(first, self.task.room[stick] - need[first], self.task.room[stick] + 1)


# ---------------------------------------------------------------- an integer program over patterns


def _by_program(task: _Task, found: list[_Filled], until: float) -> tuple[list[_Filled], str, tuple[float, ...], int]:
    """Weights by linear programming, patterns added while any weighs more than its stick; then whole numbers of them.

    The patterns with which a plan cheaper than the one at hand could be made are few once the weights are known: an
    integer program over all of those either finds it or proves that there is none.
    """
    known = {
        (task.cheapest(need), tuple(int(k == n) for k in range(len(task.need)))) for n, need in enumerate(task.need)
    }
    for plan in chain([found], _by_length(task)):
        known |= set(plan)
        found = min(found, plan, key=lambda filled: _price(task, filled))
        if time.monotonic() > until:
            break
    while True:
        weights = _linear(task, list(known))
        heaviest = _Heaviest(task, weights)
        # Until no pattern is missing, some stick can hold more than its own weight: scaled down, the weights hold.
        over = max(1.0, *(heaviest.value(stick) / cost for stick, cost in enumerate(task.cost)))
        weights = tuple(weight / over for weight in weights)
        if _reaches(task, weights, _cost(task, found)):
            return found, "weights", weights, 0
        fresh = set(heaviest.of_each_stick()) - known
        if not fresh or time.monotonic() > until:
            break
        known |= fresh
    for plan in chain([_heaviest_first(task, weights)], _by_chance(task)):
        found = min(found, plan, key=lambda filled: _price(task, filled))
        if _reaches(task, weights, _cost(task, found)):
            return found, "weights", weights, 0
        if time.monotonic() > until:
            break
    found, _ = _whole_numbers(task, list(known), found, until)
    if _reaches(task, weights, _cost(task, found)):
        return found, "weights", weights, 0
    least = sum(w * c for w, c in zip(weights, task.count, strict=True))
    try:
        patterns = list(_Heaviest(task, weights).lacking(_cost(task, found) - 1 - least))
    except _TooMany:
        return found, "none", weights, 0
    best, proven = _whole_numbers(task, patterns, found, until)
    return (best, "program", (), len(patterns)) if proven else (best, "none", weights, len(patterns))


def _linear(task: _Task, patterns: Sequence[_Filled]) -> tuple[float, ...]:
    """The weights of the kinds of pieces at which the patterns, in any fraction, are worth what they cost."""
    from scipy.optimize import linprog

    matrix = np.array([counts for _, counts in patterns], dtype=float).T
    found = linprog([task.cost[s] for s, _ in patterns], A_ub=-matrix, b_ub=-np.array(task.count), method="highs")
    return tuple(max(0.0, -float(m)) for m in found.ineqlin.marginals)


def _whole_numbers(
    task: _Task, patterns: Sequence[_Filled], found: list[_Filled], until: float
) -> tuple[list[_Filled], bool]:
    """The cheapest plan made of these patterns, or the one at hand where none is cheaper; and whether that is proven."""
    left = until - time.monotonic()
    if not patterns:
        return found, True
    if left <= 0:
        return found, False
    from scipy.optimize import LinearConstraint, milp

    matrix = np.array([counts for _, counts in patterns], dtype=float).T
    cost = np.array([task.cost[s] for s, _ in patterns], dtype=float)
    solved: Any = milp(
        cost,
        constraints=LinearConstraint(matrix, lb=np.array(task.count)),
        integrality=np.ones(len(cost)),
        options={"time_limit": left, "mip_rel_gap": 0},
    )
    proven = solved.status == 0 or (
        solved.mip_dual_bound is not None and _next_cost(task, solved.mip_dual_bound) >= _cost(task, found)
    )
    if solved.x is None:
        return found, proven or solved.status == 2  # no plan at all of these patterns
    plan = _without_surplus(task, [p for p, n in zip(patterns, np.round(solved.x), strict=True) for _ in range(int(n))])
    return min(found, plan, key=lambda filled: _cost(task, filled)), proven


def _without_surplus(task: _Task, filled: Sequence[_Filled]) -> list[_Filled]:
    """The same sticks, each piece cut no more often than it is wanted."""
    left, plan = list(task.count), []
    for stick, counts in filled:
        taken = tuple(min(count, more) for count, more in zip(counts, left, strict=True))
        left = [a - b for a, b in zip(left, taken, strict=True)]
        if any(taken):
            plan.append((stick, taken))
    return plan


class _Heaviest:
    """The heaviest that a stick can hold at given weights: for every length, with the first kinds of pieces only."""

    def __init__(self, task: _Task, weights: Sequence[float]) -> None:
        self.task, self.weights = task, weights
        best = np.zeros(max(task.room) + 1)
        self.stages = [best]  # what the kinds before hold at most, by room
        for need, count, weight in zip(task.need, task.count, weights, strict=True):
            # Each round allows one more of the kind, on top of what the rounds before made.
            for _ in range(min(count, max(task.room) // need) if weight > 0 else 0):
                grown = best.copy()
                np.maximum(grown[need:], best[:-need] + weight, out=grown[need:])
                if np.array_equal(grown, best):
                    break
                best = grown
            self.stages.append(best)

    def value(self, stick: int) -> float:
        return float(self.stages[-1][self.task.room[stick]])

    def best(self, stick: int) -> tuple[int, ...]:
        """How many of each kind make the heaviest filling."""
        least = self.value(stick) * (1 - 1e-9) - 1e-12
        return next(self._fillings(len(self.task.need), self.task.room[stick], least))

    def of_each_stick(self) -> Iterator[_Filled]:
        """The heaviest filling of each stick that weighs more than the stick costs."""
        for stick, cost in enumerate(self.task.cost):
            if self.value(stick) > cost * (1 + 1e-9):
                yield stick, self.best(stick)

    def lacking(self, most: float) -> Iterator[_Filled]:
        """Every filling that weighs no more than `most` less than its stick costs. Raises _TooMany."""
        found = 0
        for stick, cost in enumerate(self.task.cost):
            for counts in self._fillings(len(self.task.need), self.task.room[stick], cost - most - 1e-6):
                if any(counts):
                    found += 1
                    if found > _PATTERNS:
                        raise _TooMany
                    yield stick, counts

    def _fillings(self, kinds: int, room: int, least: float) -> Iterator[tuple[int, ...]]:
        """Fillings of `room` with the first kinds that weigh `least` or more; what cannot reach it is not followed."""
        if self.stages[kinds][room] < least:
            return
        if kinds == 0:
            yield ()
            return
        kind = kinds - 1
        need, weight = self.task.need[kind], self.weights[kind]
        for count in range(min(self.task.count[kind], room // need), -1, -1):
            for before in self._fillings(kind, room - count * need, least - count * weight):
                yield (*before, count)
