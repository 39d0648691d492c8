"""The route of a house in space: where every piece lies, as its record says in words, and what is wrong with that.

East, north and up from the plan's origin and the top of the slab, in metres; centrelines, from where they meet to where
they meet. A fault of the route refuses nothing: it is said of its piece, with the figure, and the rest goes on.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, cached_property, lru_cache
from itertools import groupby, pairwise

from radonwork.files import table
from radonwork.glossary import System, term
from radonwork.house.going import Going, Toward, heading, heading_of
from radonwork.house.job import assumed
from radonwork.house.record import House
from radonwork.house.route import STRAIGHT, Section, VentRoute, other_routes_of
from radonwork.house.sections.route import RouteEnd, RoutePiece, RouteStart
from radonwork.requirements.rules import requirements_of
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
    `others` are built with it; `leaving` is the direction behind its last piece.
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

    @property
    def end(self) -> Vector:
        return self.legs[-1].end if self.legs else self.start

    @property
    def length(self) -> float:
        return sum(leg.length for leg in self.legs)

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
            "turn_error": [-abs(turn.turned - turn.own) for turn in self._told() if turn.turned is not None and turn.own is not None],
            "clear_distance": [distance for _, _, distance in self.distances],
            "route_bay_room": [room for _, _, room in self.rooms],
            "pipe_gap": [gap for _, _, gap in self.gaps],
        }  # fmt: skip
        found |= {name: abs(min(of)) if name == "turn_error" else min(of) for name, of in least.items() if of}
        if self.misclosure is not None:
            found["closure_gap"] = length(self.misclosure)
            found["closure_allowance"] = self.allowed + length(self._tolerance_where_stated)
        return found

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
        for leg in self.legs:
            if self.fan_after is not None and leg.number > self.fan_after and leg.place:
                if leg.place not in _PRESSURE_MAY_STAND:
                    yield leg

    def _told(self) -> Iterator[Turn]:
        return (turn for turn in self.turns if turn.count == 1 or not turn.own)

    # ---------------------------------------------------------------- remarks

    @cached_property
    def remarks(self) -> tuple[Remark, ...]:
        """Everything that is wrong, piece by piece in the order of the air; then what is wrong with the whole."""
        order = {thing.path: thing.number for thing in (*self.legs, *self.turns)}
        found = [*self.walked, *self._turned(), *self._sloped(), *self._held(), *self._crossed(), *self._pressing()]
        found.sort(key=lambda remark: order.get(remark.path, 0))
        return (*found, *self._closed())

    def _turned(self) -> Iterator[Remark]:
        for turn in self._told():
            if turn.turned is None or turn.own is None or abs(turn.turned - turn.own) <= joint_play():
                continue
            between, own = _degrees(turn.turned), _degrees(turn.own)
            yield Remark(
                turn.path,
                f"{turn.name} turns by {own}, and the pieces that it joins stand at {between} to each other, "
                f"{_degrees(abs(turn.turned - turn.own))} off; take another fitting or lay a piece another way",
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
        mends = "; ".join(self._mends(off))
        closes = f". It would close with {mends}" if mends else ""
        yield Remark(
            f"{self.at}.end",
            f"the route ends {tape(length(off), self.system)} from there ({', '.join(parts)}){known}{closes}",
            f"ends {tape(length(off), self.system)} off",
            self.end,
        )

    def _mends(self, off: Vector) -> Iterator[str]:
        """Changes of length that close the route, the piece that does most of it first."""
        left, taken = off, set()
        for _ in range(3):
            free = [leg for leg in self.legs if leg.path not in taken]
            best = max(free, key=lambda leg: abs(dot(leg.direction, left)), default=None)
            if best is None or abs(change := dot(best.direction, left)) < _SEEN or change >= best.length:
                return
            left = minus(left, scaled(best.direction, change))
            taken.add(best.path)
            yield f"{best.path} {tape(abs(change), self.system)} {'shorter' if change > 0 else 'longer'}"

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
    rule = next(rule for rule in requirements_of("route") if rule.check.quantity == "turn_error")
    return term("turn_error").read(rule.check.value).value


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


def _degrees(radians: float) -> str:
    return f"{round(math.degrees(radians), 1):g}°"


# ---------------------------------------------------------------- from words to places


class _Walk:
    """The pieces in the order of the air, each laid from where the one before it ends."""

    def __init__(
        self,
        named: tuple[Toward, ...],
        start: Vector,
        slope: float,
        sections: Mapping[str, Section],
        beside: tuple[Vector, str] | None,
    ) -> None:
        self.named, self.at, self.slope, self.sections, self.beside = named, start, slope, sections, beside
        self.direction: Vector | None = None
        self.level: tuple[float, float] | None = None
        self.place = ""
        self.last = ""
        self.legs: list[Leg] = []
        self.turns: list[Turn] = []
        self.waiting: list[tuple[Turn, Going | None]] = []  # fittings since the last straight pipe
        self.remarks: list[Remark] = []
        self.angles = {row["name"]: float(row["angle"]) for row in table("fittings") if row["angle"]}
        self.kinds = {row["name"]: row["kind"] for row in table("fittings")}

    def pieces(self, listed: Sequence[RoutePiece], at: str) -> None:
        for number, piece in enumerate(listed, 1):
            self.place = piece.place or self.place
            (self.fitting if piece.fitting else self.pipe)(piece, f"{at}.piece[{number}]", number)
        self.settle(None)

    def say(self, path: str, text: str, short: str) -> None:
        self.remarks.append(Remark(path, text, short, self.at))

    # ------------------------------------------------------------ fittings

    def fitting(self, piece: RoutePiece, path: str, number: int) -> None:
        name, count = piece.fitting or "", piece.count or 1
        own = math.radians(self.angles[name]) if name in self.angles else None
        if own and count > 1:
            self.say(
                path,
                f"stands for {count} fittings that turn; write each by itself, so that it is known how each is turned",
                f"{count} fittings as one",
            )
        before, go = self.direction, piece.go
        if go and go.angle is not None and own is not None and abs(math.radians(go.angle) - own) > math.radians(0.6):
            self.say(
                path,
                f"says that it turns by {go.angle:g}°, and {name} turns by {_degrees(own)}; change the one or the other",
                f"says {go.angle:g}°, is {_degrees(own)}",
            )
        if go:
            turned = math.radians(go.angle) if go.angle is not None else own
            self.direction = self.turned(go, turned, path)
            self.face(self.direction)
        turn = Turn(path, number, name, self.kinds[name], self.at, before, self.direction, own, self.place, count)
        self.waiting.append((turn, go))

    def turned(self, go: Going, by: float | None, path: str) -> Vector | None:
        """The direction of the air behind a fitting that turns it toward something."""
        wanted = self.pointing(go)
        if self.direction is None or wanted is None:
            return wanted
        if by is None:
            return wanted
        across = minus(wanted, scaled(self.direction, dot(wanted, self.direction)))
        size = length(across)
        if size < 1e-6:
            if abs(by) > joint_play() and dot(wanted, self.direction) > 0:
                self.say(path, f"turns toward {_toward(go)}, where the pipe goes already", "turns to where it goes")
            return wanted
        return plus(scaled(self.direction, math.cos(by)), scaled(across, math.sin(by) / size))

    def settle(self, direction: Vector | None) -> None:
        """Give the fittings since the last pipe the directions on their two sides, now that the next pipe has its own."""
        turning = [place for place, (turn, go) in enumerate(self.waiting) if turn.own or go]
        before = self.legs[-1].direction if self.legs else None
        for place, (turn, go) in enumerate(self.waiting):
            after = turn.after if go else before
            if turning and place == turning[-1] and direction is not None:
                after = direction
            elif turn.own and not go:
                after = None  # neither it nor a pipe behind it says which way it turns
                self.say(
                    turn.path,
                    "turns, and no straight pipe follows it at once that says which way; write that with go",
                    "which way?",
                )
            self.turns.append(replace(turn, before=before, after=after))
            before = after
        if not turning and direction is not None and self.legs:
            between = angle(self.legs[-1].direction, direction)
            if between > joint_play():
                self.remarks.append(
                    Remark(
                        self.last,
                        f"stands at {_degrees(between)} to {self.legs[-1].path}, and no fitting between them turns",
                        f"{_degrees(between)} without a fitting",
                        self.at,
                    )
                )
        self.waiting = []

    # ------------------------------------------------------------ straight pipe

    def pipe(self, piece: RoutePiece, path: str, number: int) -> None:
        size = piece.straight
        assert size is not None
        direction = self.laid(piece.go, path)
        self.last = path
        self.settle(direction)
        section = self.sections[path]
        end = plus(self.at, scaled(direction, size.value))
        self.legs.append(
            Leg(
                path, number, self.at, end, direction, size.value, size.tolerance,
                (section.outside_diameter or 0.0) / 2, piece.go.text if piece.go else size.text, self.place, piece.through,
                self.copies(section, path),
            )
        )  # fmt: skip
        self.at, self.direction = end, direction
        self.face(direction)

    def laid(self, go: Going | None, path: str) -> Vector:
        """The direction of a straight pipe."""
        if go is None or go.way == "on":
            if any(turn.own and not told for turn, told in self.waiting):
                self.say(
                    path,
                    "goes on behind a fitting that does not say which way it turns; write that there",
                    "which way?",
                )
            elif go is None:
                self.say(path, "does not say how it goes; taken as straight on", "which way?")
            return self.direction or (0.0, 0.0, 1.0)
        if go.way in ("up", "down") and go.angle is None:
            return (0.0, 0.0, 1.0 if go.way == "up" else -1.0)
        flat = heading_of(go.toward, self.named) if go.toward else self.level
        if flat is None:
            self.say(
                path, "does not say toward what it is laid, and nothing before it does; taken as east", "which way?"
            )
            flat = (1.0, 0.0)
        if go.angle is not None:
            climb = math.radians(go.angle if go.way == "up" else -go.angle)
        else:
            rise = go.pitch.value if go.pitch else self.slope
            climb = math.atan(rise * {"falling back": 1, "rising": 1, "falling": -1}.get(go.slope or "level", 0))
        return (flat[0] * math.cos(climb), flat[1] * math.cos(climb), math.sin(climb))

    def pointing(self, go: Going) -> Vector | None:
        if go.way in ("up", "down"):
            return (0.0, 0.0, 1.0 if go.way == "up" else -1.0)
        flat = heading_of(go.toward, self.named)
        return (flat[0], flat[1], 0.0) if flat else None

    def face(self, direction: Vector | None) -> None:
        """Remember which way on the plan the pipe last went."""
        if direction and (flat := math.hypot(direction[0], direction[1])) > math.sin(UPRIGHT):
            self.level = (direction[0] / flat, direction[1] / flat)

    def copies(self, section: Section, path: str) -> tuple[Vector, ...]:
        if section.side_by_side == 1:
            return ((0.0, 0.0, 0.0),)
        if self.beside is None:
            self.say(
                path,
                f"stands for {section.side_by_side} pipes side by side; wall.pipe.apart and wall.pipe.beside would say how "
                "they stand, and only the first is placed",
                f"{section.side_by_side} pipes, one placed",
            )
            return ((0.0, 0.0, 0.0),)
        return tuple(scaled(self.beside[0], count) for count in range(section.side_by_side))


def _toward(go: Going) -> str:
    return go.way or f"the {go.toward}"


# ---------------------------------------------------------------- of a house


@lru_cache(maxsize=64)
def way_of(house: House, slope: float | None = None, sloped_run: float | None = None) -> Way | None:
    """The route of a house with what is built with it; None where its record lists none or says of no piece how it goes.

    `slope` stands in for what "falling back" means, `sloped_run` for the length of the longest piece that is not upright.
    """
    run = house.run
    route = house.route()
    if run is None or route is None or not any(piece.go for piece in run.piece):
        return None
    made = _walked(house, "run", "the route", run.piece, route, run.start, 0, slope)
    if sloped_run is not None and (longest := made.sloped):
        listed = run.piece[longest.number - 1]
        size = replace(listed.straight, value=sloped_run, tolerance=0.0) if listed.straight else None
        changed = listed.model_copy(update={"go": replace(listed.go, length=size)} if listed.go else {"length": size})
        pieces = (*run.piece[: longest.number - 1], changed, *run.piece[longest.number :])
        made = _walked(house, "run", "the route", pieces, route, run.start, 0, slope)
    bays = tuple(
        (bay.name or f"run.stay_in[{count}]", _box(bay.box()), bay.pieces)
        for count, bay in enumerate(run.stay_in, 1)
        if bay.box()
    )
    made = replace(made, bays=bays, others=tuple(_branches(house, made, route, slope)), **_end(run.end))
    return replace(made, walked=(*made.walked, *(remark for way in made.others for remark in way.remarks)))


def _branches(house: House, main: Way, route: VentRoute, slope: float | None) -> Iterator[Way]:
    """The pipes of further suction points. Each must end where the main route has its wye, and at its angle."""
    assert house.run
    for count, branch in enumerate(house.run.branch, 1):
        if not any(piece.go for piece in branch.piece):
            continue
        point = route.tributaries[count - 1]
        way = _walked(
            house,
            f"run.branch[{count}]",
            point.name,
            branch.piece,
            VentRoute(point.sections),
            branch.start,
            count,
            slope,
        )
        before = [leg for leg in main.legs if leg.number <= point.joins_after]
        joint = before[-1].end if before else main.start
        way = replace(way, wanted_end=joint, allowed=JOINT_ROOM)
        through = next((leg for leg in main.legs if leg.number >= point.joins_after), None)
        if through and way.leaving:
            own, between = _ANGLES[point.joined_by], angle(way.leaving, through.direction)
            if abs(between - own) > joint_play():
                last = way.legs[-1]
                said = f"meets the route at {_degrees(between)} where a {point.joined_by} wants {_degrees(own)}"
                way = replace(
                    way, walked=(*way.walked, Remark(last.path, said, f"meets at {_degrees(between)}", last.end))
                )
        yield way


JOINT_ROOM = 0.025
"""m by which the pipe of a branch may miss its wye: what a coupling takes up. A choice."""
_ANGLES = {"wye": math.radians(45), "tee": math.radians(90)}


@lru_cache(maxsize=16)
def other_ways_of(house: House) -> tuple[Way, ...]:
    """The other routes of a record that say how they go, each by itself."""
    found = []
    for count, (at, route) in enumerate(other_routes_of(house).items()):
        other = house.run_alternative[count]
        if any(piece.go for piece in other.piece):
            name = other.name or f"other route {count + 1}"
            way = _walked(house, at, name, other.piece, route, other.start or (house.run and house.run.start), 0, None)
            found.append(replace(way, **_end(other.end)))
    return tuple(found)


def _walked(
    house: House,
    at: str,
    name: str,
    pieces: Sequence[RoutePiece],
    route: VentRoute,
    start: RouteStart | None,
    point: int,
    slope: float | None,
) -> Way:
    run = house.run
    sections = {piece.path: section for section in route.sections for piece in section.pieces}
    stated = (
        run.slope.value if run and run.slope else term("pipe_slope").read(assumed("route")["pipe_slope"].value).value
    )
    begins = _start(house, start, point)
    walk = _Walk(
        run.toward if run else (), begins, stated if slope is None else slope, sections, _beside(house)
    )  # fmt: skip
    walk.pieces(pieces, at)
    boxes = tuple(
        (box.name or f"run.keep_clear[{count}]", _box(box.box()))
        for count, box in enumerate(run.keep_clear if run else (), 1)
        if box.box()
    )
    return Way(
        at, name, begins, tuple(walk.legs), tuple(walk.turns), route.fan_after, house.system, tuple(walk.remarks),
        boxes=boxes, leaving=walk.direction,
    )  # fmt: skip


def _start(house: House, start: RouteStart | None, point: int) -> Vector:
    listed = house.suction.point if house.suction else ()
    branch = house.run.branch[point - 1].point if point and house.run else None
    named = [place for place in listed if branch and place.name == branch] or list(listed[point : point + 1])
    place = start.at if start and start.at else next((found.at for found in named if found.at), None)
    east, north = place.point if place else (0.0, 0.0)
    return east, north, start.height.value if start and start.height else 0.0


def _end(end: RouteEnd | None) -> dict[str, object]:
    if end is None:
        return {}
    at = end.at.point if end.at else (None, None)
    return {
        "wanted_end": (*at, end.height.value if end.height else None),
        "allowed": end.within.value if end.within else 0.0,
    }


def _beside(house: House) -> tuple[Vector, str] | None:
    pipe = house.wall.pipe if house.wall else None
    if not (pipe and pipe.apart and pipe.beside):
        return None
    east, north = heading(pipe.beside)
    return scaled((east, north, 0.0), pipe.apart.value), pipe.beside


def _box(corners: tuple[tuple[float, ...], tuple[float, ...]] | None) -> Box:
    assert corners
    low, high = corners
    if len(low) == 2:
        return (low[0], low[1], -math.inf), (high[0], high[1], math.inf)
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


__all__ = ["STRAIGHT", "Leg", "Remark", "Turn", "Way", "other_ways_of", "tape", "way_of"]
