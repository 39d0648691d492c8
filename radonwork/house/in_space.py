"""A route in space: its straight pipes and fittings at their places, figures of the whole, and what is wrong with it.

East, north and up from the plan's origin and the top of the slab, in metres; centrelines, from where they meet to where
they meet. A fault of the route refuses nothing: it is said of its piece, with the figure, and the rest goes on.
"""

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, cached_property
from itertools import groupby, pairwise

from radonwork.glossary import System, term
from radonwork.house.sections.route import RouteEnd
from radonwork.requirements.rules import Comparison, requirements_of
from radonwork.solvers.clearances import (
    Box,
    Vector,
    angle,
    box_distance,
    box_room,
    dot,
    inside,
    length,
    line_distance,
    low_places,
    minus,
)
from radonwork.units import decimal, to_unit

UPRIGHT = math.radians(5)
"""A pipe within this of plumb drains whichever way it leans; a choice."""
COLD = ("attic", "garage", "crawl space", "outside")
_PRESSURE_MAY_STAND = ("attic", "garage", "outside")
_HAIR = 1e-9
_SEEN = 1e-3  # m; less than this nobody measures


@dataclass(frozen=True)
class Leg:
    """One straight pipe: `direction` as the air goes, `radius` outside, `tolerance` of its length.

    `copies` shifts it to each of the pipes side by side, the first not at all. `place` is where in the house it lies.
    """

    path: str
    number: int
    start: Vector
    end: Vector
    direction: Vector
    length: float
    tolerance: float
    radius: float
    words: str
    place: str = ""
    through: tuple[str, ...] = ()
    copies: tuple[Vector, ...] = ((0.0, 0.0, 0.0),)

    @property
    def upright(self) -> bool:
        return math.hypot(self.direction[0], self.direction[1]) < math.sin(UPRIGHT)

    @property
    def slope(self) -> float:
        """Rise over level distance as the air goes: above zero where water runs back to the suction point."""
        return self.direction[2] / max(math.hypot(self.direction[0], self.direction[1]), 1e-12)

    @property
    def shifted(self) -> tuple[tuple[Vector, Vector], ...]:
        """Ends of each of the pipes side by side."""
        return tuple((plus(self.start, shift), plus(self.end, shift)) for shift in self.copies)


@dataclass(frozen=True)
class Turn:
    """A fitting at its place. `before` and `after` are directions of the air, None where no piece says them.

    `own` is the angle by which the fitting turns the line, by its table; `turned` that between the pieces it joins.
    """

    path: str
    number: int
    name: str
    kind: str
    at: Vector
    before: Vector | None
    after: Vector | None
    own: float | None
    place: str = ""
    count: int = 1

    @property
    def turned(self) -> float | None:
        return angle(self.before, self.after) if self.before and self.after else None

    @property
    def error(self) -> float | None:
        """How far the fitting is off the angle between its pieces; None where one is not known, or it stands for several."""
        if self.turned is None or self.own is None or (self.own and self.count > 1):
            return None
        return abs(self.turned - self.own)

    @property
    def turns(self) -> bool:
        return bool(self.own) or (self.turned or 0.0) > joint_play()


@dataclass(frozen=True)
class Remark:
    """What is wrong with a piece: in full, and in a few words for a drawing, with its place."""

    path: str
    text: str
    short: str
    at: Vector

    def __str__(self) -> str:
        return f"{self.path}: {self.text}"


@dataclass(frozen=True)
class Way:
    """One route in space. `at` is its place in the record: "run", "run.branch[1]", "run_alternative[1]".

    `wanted_end` has a length or None for each axis that the record states; `allowed` is how far off it may be there.
    `others` are built with it; `leaving` is the direction behind its last piece. One that joins another does so by
    `joined_by`, a "wye" or a "tee".
    """

    at: str
    name: str
    start: Vector
    legs: tuple[Leg, ...]
    turns: tuple[Turn, ...]
    fan_after: int | None
    system: System
    walked: tuple[Remark, ...] = ()
    wanted_end: tuple[float | None, float | None, float | None] = (None, None, None)
    allowed: float = 0.0
    boxes: tuple[tuple[str, Box], ...] = ()
    bays: tuple[tuple[str, Box, tuple[int, ...]], ...] = ()
    others: "tuple[Way, ...]" = ()
    leaving: Vector | None = None
    joined_by: str = ""

    @property
    def joint(self) -> Vector | None:
        """Where its wye or tee stands on the way that it joins."""
        east, north, up = self.wanted_end
        if not self.joined_by or east is None or north is None or up is None:
            return None
        return east, north, up

    @property
    def end(self) -> Vector:
        return self.legs[-1].end if self.legs else self.start

    @property
    def length(self) -> float:
        return sum(leg.length for leg in self.legs)

    @property
    def things(self) -> list[Leg | Turn]:
        """Straight pipes and fittings in the order of the air."""
        found: list[Leg | Turn] = [*self.legs, *self.turns]
        return sorted(found, key=lambda thing: thing.number)

    @property
    def points(self) -> list[Vector]:
        """The start and the end of every straight pipe."""
        return [self.start, *(leg.end for leg in self.legs)]

    @property
    def tolerance(self) -> Vector:
        """How far the end may be off along each axis when every length is off by its tolerance the same way."""
        east, north, up = (sum(abs(leg.direction[axis]) * leg.tolerance for leg in self.legs) for axis in range(3))
        return east, north, up

    @property
    def misclosure(self) -> Vector | None:
        """From where the record says that the route ends to where it does; None where it does not say."""
        if all(length is None for length in self.wanted_end):
            return None
        east, north, up = (
            0.0 if wanted is None else here - wanted for here, wanted in zip(self.end, self.wanted_end, strict=True)
        )
        return east, north, up

    @property
    def sloped(self) -> Leg | None:
        """The longest piece that is not upright."""
        return max((leg for leg in self.legs if not leg.upright), key=lambda leg: leg.length, default=None)

    # ---------------------------------------------------------------- figures

    @cached_property
    def values(self) -> Mapping[str, float]:
        """What can be said of it in figures, by term; without those that the record gives no cause for."""
        found = {
            "route_pieces": float(len(self.legs) + len(self.turns)),
            "route_fittings": float(sum(turn.count for turn in self.turns)),
            "route_length": self.length,
            "route_height": self.end[2],
            "exposed_length": sum(leg.length for leg in self.legs if leg.place in COLD),
            "framing_holes": float(sum(len(leg.through) * len(leg.copies) for leg in self.legs)),
            "trap_depth": max((depth for _, depth in self.traps), default=0.0),
            "keep_clear_count": float(len(self.boxes)),
            "stay_in_count": float(len(self.bays)),
        }
        if self.fan_after is not None:
            found["pressure_length"] = sum(leg.length for leg in self._pressed())
        least: dict[str, Sequence[float]] = {
            "least_fall": [leg.slope for leg in self.legs if not leg.upright],
            # The last digits of an angle between two directions are rounding, and no turn.
            "turn_error": [-round(turn.error, 12) for turn in self.turns if turn.error is not None],
            "clear_distance": [distance for _, _, distance in self.distances],
            "route_bay_room": [room for _, _, room in self.rooms],
            "pipe_gap": [gap for _, _, gap in self.gaps],
        }  # fmt: skip
        found |= {name: abs(min(of)) if name == "turn_error" else min(of) for name, of in least.items() if of}
        if self.misclosure is not None:
            found["closure_gap"] = length(self.misclosure)
            found["closure_allowance"] = self.allowed + length(self._tolerance_where_stated)
        return found

    def ending(self, end: RouteEnd | None) -> "Way":
        """The same route, which must end where the record says."""
        if end is None:
            return self
        east, north = end.at.point if end.at else (None, None)
        wanted = (east, north, end.height.value if end.height else None)
        return replace(self, wanted_end=wanted, allowed=end.within.value if end.within else 0.0)

    @property
    def _tolerance_where_stated(self) -> Vector:
        east, north, up = (
            0.0 if wanted is None else off for off, wanted in zip(self.tolerance, self.wanted_end, strict=True)
        )
        return east, north, up

    @cached_property
    def traps(self) -> list[tuple[Vector, float]]:
        """Places that hold water, with its depth when full."""
        points = self.points
        return [(points[place], depth) for place, depth in low_places([point[2] for point in points])]

    @cached_property
    def distances(self) -> list[tuple[Leg, str, float]]:
        """From the outside of each piece to each thing to keep clear of; below zero inside it."""
        return [
            (leg, name, min(box_distance(a, b, box) for a, b in leg.shifted) - leg.radius)
            for leg in self.legs
            for name, box in self.boxes
        ]

    @cached_property
    def rooms(self) -> list[tuple[Leg, str, float]]:
        """From the outside of each piece that must stay in a bay to its nearest side; below zero outside it."""
        return [
            (leg, name, min(box_room(a, b, leg.radius, box) for a, b in leg.shifted))
            for name, box, numbers in self.bays
            for leg in self.legs
            if leg.number in numbers
        ]

    @cached_property
    def gaps(self) -> list[tuple[Leg, Leg, float]]:
        """Between the outsides of two pipes that no fitting joins, on this route or on one that is built with it."""
        found = []
        for count, leg in enumerate(self.legs):
            for one, other in pairwise(leg.shifted):
                found.append((leg, leg, line_distance(*one, *other) - 2 * leg.radius))
            for further, other_leg in enumerate(self.legs[count + 2 :]):
                # Round a short offset the two ends are as near as the piece between them is long, and do not touch.
                if further or dot(leg.direction, other_leg.direction) < 0:
                    found.append((leg, other_leg, _gap(leg, other_leg)))
        for way in self.others:
            joint = way.end
            for leg in self.legs:
                for other_leg in way.legs:
                    joined = other_leg is way.legs[-1] and _ends_at(leg, joint)
                    if not joined:
                        found.append((leg, other_leg, _gap(leg, other_leg)))
        return found

    def _pressed(self) -> Iterator[Leg]:
        """Pipe under pressure where none may stand."""
        after = math.inf if self.fan_after is None else self.fan_after
        return (leg for leg in self.legs if leg.number > after and leg.place not in ("", *_PRESSURE_MAY_STAND))

    # ---------------------------------------------------------------- remarks

    @cached_property
    def remarks(self) -> tuple[Remark, ...]:
        """Everything that is wrong, piece by piece in the order of the air; then what is wrong with the whole."""
        order = {leg.path: leg.number for leg in self.legs} | {turn.path: turn.number for turn in self.turns}
        found = [*self.walked, *self._turned(), *self._sloped(), *self._held(), *self._crossed(), *self._pressing()]
        found.sort(key=lambda remark: order.get(remark.path, len(order)))  # of a branch after the route's own
        return (*found, *self._closed())

    def _turned(self) -> Iterator[Remark]:
        for turn in self.turns:
            if turn.error is None or turn.error <= joint_play() or turn.turned is None or turn.own is None:
                continue
            between, own = degrees(turn.turned), degrees(turn.own)
            yield Remark(
                turn.path,
                f"{turn.name} turns by {own}, and the pieces that it joins stand at {between} to each other, "
                f"{degrees(turn.error)} off; take another fitting or lay a piece another way",
                f"{own} fitting, {between} between pieces",
                turn.at,
            )

    def _sloped(self) -> Iterator[Remark]:
        for leg in self.legs:
            if leg.upright or leg.slope > _HAIR:
                continue
            middle = plus(leg.start, scaled(leg.direction, leg.length / 2))
            if leg.slope >= -_HAIR:
                yield Remark(
                    leg.path,
                    f"is level over {tape(leg.length, self.system)}, so water stays in it; let it fall back",
                    "level: holds water",
                    middle,
                )
                continue
            drop, slope = tape(leg.start[2] - leg.end[2], self.system), self._slope(-leg.slope)
            yield Remark(
                leg.path,
                f"falls away from the suction point by {drop} over {tape(leg.length, self.system)} ({slope}); water runs "
                "to its far end",
                f"falls the wrong way, {drop}",
                middle,
            )

    def _held(self) -> Iterator[Remark]:
        points = self.points
        for at, depth in self.traps:
            before, after = (self.legs[place] for place in (points.index(at) - 1, points.index(at)))
            does = "shuts the pipe" if depth >= 2 * after.radius else "narrows the pipe"
            yield Remark(
                after.path,
                f"begins at a low place behind {before.path} that holds water {tape(depth, self.system)} deep, which "
                f"{does}; raise it, or drain it",
                f"trap, {tape(depth, self.system)} deep",
                at,
            )

    def _crossed(self) -> Iterator[Remark]:
        boxes = dict(self.boxes)
        for leg, name, distance in self.distances:
            if distance > -_HAIR:
                continue
            crossed = [within for a, b in leg.shifted if (within := inside(a, b, boxes[name]))]
            if crossed:
                low, high = crossed[0]
                middle = plus(leg.start, scaled(leg.direction, leg.length * (low + high) / 2))
                yield Remark(
                    leg.path,
                    f"goes through {name} for {tape((high - low) * leg.length, self.system)} of its length",
                    f"goes through {name}",
                    middle,
                )
            else:
                middle = plus(leg.start, scaled(leg.direction, leg.length / 2))
                off = tape(-distance, self.system)
                yield Remark(leg.path, f"touches {name}: its outside stands {off} into it", f"touches {name}", middle)
        for leg, name, room in self.rooms:
            if room < -_HAIR:
                off, middle = tape(-room, self.system), plus(leg.start, scaled(leg.direction, leg.length / 2))
                yield Remark(
                    leg.path, f"stands {off} out of {name}, in which it must stay", f"{off} out of {name}", middle
                )
        for leg, other, gap in self.gaps:
            if gap < -_HAIR:
                off = tape(-gap, self.system)
                middle = plus(leg.start, scaled(leg.direction, leg.length / 2))
                beside = "the pipe beside it in the wall" if leg is other else other.path
                yield Remark(
                    leg.path,
                    f"and {beside} are in one place: their outsides overlap by {off}",
                    f"overlaps another pipe by {off}",
                    middle,
                )

    def _pressing(self) -> Iterator[Remark]:
        for place, group in groupby(self._pressed(), key=lambda leg: leg.place):
            first, *more = group
            together = tape(sum(leg.length for leg in (first, *more)), self.system)
            also = f" with {', '.join(leg.path for leg in more)}" if more else ""
            yield Remark(
                first.path,
                f"is{also} behind the fan, so under pressure, {together} in the {place}; what leaks there is soil gas "
                "indoors: put the fan farther along",
                "under pressure indoors",
                plus(first.start, scaled(first.direction, first.length / 2)),
            )

    def _closed(self) -> Iterator[Remark]:
        off = self.misclosure
        if off is None or self.values["closure_gap"] <= self.values["closure_allowance"] + _HAIR:
            return
        axes = (("east", "west"), ("north", "south"), ("high", "low"))
        parts = [
            f"{tape(abs(here), self.system)} {way[0] if here > 0 else way[1]}"
            for here, way in zip(off, axes, strict=True)
            if abs(here) >= _SEEN
        ]
        allowed = self.values["closure_allowance"]
        known = f", more than the {tape(allowed, self.system)} that the record allows" if allowed else ""
        mends, left = self._mended(off)
        closes = ". No change of its lengths closes it"
        if mends:
            closes = f". It would close with {'; '.join(mends)}"
            if left > max(allowed, 2 * _SEEN):
                closes = f". With {'; '.join(mends)} it would still be {tape(left, self.system)} off"
        far, said = tape(length(off), self.system), f"({', '.join(parts)}){known}{closes}"
        short = f"ends {far} off"
        if self.at.startswith("run.branch") and self.legs:
            yield Remark(self.legs[-1].path, f"ends {far} from its wye {said}", short, self.end)
        else:
            yield Remark(f"{self.at}.end", f"the route ends {far} from there {said}", short, self.end)

    def _mended(self, off: Vector) -> tuple[list[str], float]:
        """Changes of at most three lengths that bring the end nearest, the piece that does most first, and what is left."""
        import numpy as np

        left, chosen = np.array(off), list[Leg]()
        changes = np.zeros(0)
        for _ in range(3):
            best = max(self.legs, key=lambda leg: abs(np.dot(leg.direction, left)), default=None)
            if best is None or best in chosen or abs(np.dot(best.direction, left)) < _SEEN:
                break
            ways = np.array([leg.direction for leg in (*chosen, best)]).T
            found = np.linalg.lstsq(ways, np.array(off), rcond=None)[0]
            if np.any(found >= [leg.length for leg in (*chosen, best)]):
                break  # a piece cannot lose more than it has
            chosen, changes, left = [*chosen, best], found, np.array(off) - ways @ found
        told = [
            f"{leg.path} {tape(abs(change), self.system)} {'shorter' if change > 0 else 'longer'}"
            for leg, change in zip(chosen, map(float, changes), strict=True)
            if abs(change) >= _SEEN
        ]
        return told, float(np.linalg.norm(left))

    def _slope(self, slope: float) -> str:
        return decimal(slope, term("pipe_slope").unit(self.system), 3)


def _gap(leg: Leg, other: Leg) -> float:
    nearest = min(line_distance(*one, *two) for one in leg.shifted for two in other.shifted)
    return nearest - leg.radius - other.radius


def _ends_at(leg: Leg, joint: Vector) -> bool:
    return min(length(minus(leg.start, joint)), length(minus(leg.end, joint))) < 2 * leg.radius


@cache
def joint_play() -> float:
    """How far a fitting and the angle between its pipes may differ, as the rule has it; radians."""
    check = next(rule.check for rule in requirements_of("route") if rule.check.quantity == "turn_error")
    assert isinstance(check, Comparison)
    return term("turn_error").read(check.value).value


def letter_of(path: str) -> str:
    """What stands before the number of a piece: nothing on the route itself, A on the pipe of run.branch[1], and so on."""
    branch = re.match(r"run\.branch\[(\d+)\]", path)
    return chr(ord("A") + int(branch[1]) - 1) if branch else ""


def plus(a: Vector, b: Vector) -> Vector:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def scaled(a: Vector, by: float) -> Vector:
    return (a[0] * by, a[1] * by, a[2] * by)


def tape(value: float, system: System) -> str:
    """A length as one reads it off a tape: "9 ft 2-1/4 in", "1.2 m", "85 mm"."""
    if system == "metric":
        return decimal(value, "m", 4) if abs(value) >= 1 else decimal(value, "mm", 3)
    sixteenths = round(float(to_unit(abs(value), "in")) * 16)
    feet, rest = divmod(sixteenths, 12 * 16)
    whole, part = divmod(rest, 16)
    inches = "-".join([str(whole)] * bool(whole) + [str(Fraction(part, 16))] * bool(part))
    said = " ".join([f"{feet} ft"] * bool(feet) + [f"{inches} in"] * bool(inches)) or "0 in"
    return f"-{said}" if value < 0 and sixteenths else said


def degrees(radians: float) -> str:
    return f"{round(math.degrees(radians), 1):g}°"
