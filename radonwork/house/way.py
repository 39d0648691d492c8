"""From the words of a record to a route in space: each piece laid from where the one before it ends.

`way_of(house)` gives the route with what is built with it, `other_ways_of(house)` its alternatives; what they are made of
stands in in_space.py.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from radonwork.files import table
from radonwork.glossary import term
from radonwork.house import scope
from radonwork.house.going import Going, Toward, heading, heading_of
from radonwork.house.in_space import UPRIGHT, Leg, Remark, Turn, Way, degrees, joint_play, plus, scaled, tape
from radonwork.house.job import assumed
from radonwork.house.record import House
from radonwork.house.route import JUNCTION_ANGLES, Section, VentRoute, other_routes_of
from radonwork.house.sections.route import RoutePiece, RouteStart
from radonwork.solvers.clearances import Box, Vector, angle, dot, length, minus

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
                f"says that it turns by {go.angle:g}°, and {name} turns by {degrees(own)}; change the one or the other",
                f"says {go.angle:g}°, is {degrees(own)}",
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
                        f"stands at {degrees(between)} to {self.legs[-1].path}, and no fitting between them turns",
                        f"{degrees(between)} without a fitting",
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
    made = replace(made.ending(run.end), bays=bays, others=tuple(_branches(house, made, route, slope)))
    of_branches = (remark for way in made.others for remark in way.remarks)
    said = (*_attic_run(house, made), *_against_words(house, made), *points_without_pipe(house))
    return replace(made, walked=(*made.walked, *said, *of_branches))


def points_without_pipe(house: House) -> tuple[Remark, ...]:
    """Suction points of the plan that neither the route nor a branch of it leads from; nothing while there is no route."""
    if not (house.suction and house.run and house.run.piece):
        return ()
    named = {branch.point for branch in house.run.branch if branch.point}
    others = [(count, one) for count, one in enumerate(house.suction.point, 1) if one.name not in named]
    piped = 1 + sum(branch.point is None for branch in house.run.branch)  # the route's own, and branches of no name
    found = []
    for count, point in others[piped:]:
        said = (
            f"{point.name!r} has no pipe: the route leads from another suction point; write a [[run.branch]] with this name "
            "as its point, or leave the point out"
        )
        unnamed = "has no name and no pipe; write its name, and a [[run.branch]] with that name as its point"
        east, north = point.at.point if point.at else (0.0, 0.0)
        found.append(
            Remark(f"suction.point[{count}]", said if point.name else unnamed, "no pipe from here", (east, north, 0.0))
        )
    return tuple(found)


def _against_words(house: House, way: Way) -> Iterator[Remark]:
    """What the record says in a word of the fan's place and the pipe above it, where the pieces say another."""
    told = scope.from_route(house, house.stated_words())
    at = next((leg.end for leg in reversed(way.legs) if leg.number <= (way.fan_after or 0)), way.start)
    for fact, field in ((scope.FAN_PLACE, "fan_place"), (scope.PRESSED_INSIDE, "pressure_pipe_inside")):
        if fact in told and told[fact].contradiction:
            yield Remark(f"site.{field}", told[fact].contradiction, f"not as site.{field} says", at)


def _attic_run(house: House, way: Way) -> Iterator[Remark]:
    """The attic run that the record states by itself, where the pieces in the attic say another."""
    stated = house.run.attic_run if house.run else None
    lying = [leg for leg in way.legs if leg.place == "attic" and not leg.upright]
    if stated is None or not lying:
        return
    together, loose = sum(leg.length for leg in lying), sum(leg.tolerance for leg in lying)
    if abs(together - stated.value) > loose + stated.tolerance + ROUNDED:
        told, pieces = tape(together, house.system), ", ".join(leg.path for leg in lying)
        said = f"says {stated.text}, and the pieces that lie in the attic ({pieces}) are {told} long; correct one"
        yield Remark("run.attic_run", said, "not the attic run", lying[0].end)


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
        way = replace(way, wanted_end=joint, allowed=JOINT_ROOM, joined_by=point.joined_by)
        through = next((leg for leg in main.legs if leg.number >= point.joins_after), None)
        if through and way.leaving:
            own, between = JUNCTION_ANGLES[point.joined_by], angle(way.leaving, through.direction)
            if abs(between - own) > joint_play():
                last = way.legs[-1]
                said = f"meets the route at {degrees(between)} where a {point.joined_by} wants {degrees(own)}"
                way = replace(
                    way, walked=(*way.walked, Remark(last.path, said, f"meets at {degrees(between)}", last.end))
                )
        yield way


ROUNDED = 0.0127
"""m by which two lengths of one thing may differ because each was rounded as people do: half an inch, a choice."""
JOINT_ROOM = 0.025
"""m by which the pipe of a branch may miss its wye: what a coupling takes up. A choice."""


@lru_cache(maxsize=16)
def other_ways_of(house: House) -> tuple[Way, ...]:
    """The other routes of a record that say how they go, each by itself."""
    found = []
    for count, (at, route) in enumerate(other_routes_of(house).items()):
        other = house.run_alternative[count]
        if any(piece.go for piece in other.piece):
            name = other.name or f"other route {count + 1}"
            start = other.start or (house.run.start if house.run else None)
            way = _walked(house, at, name, other.piece, route, start, 0, None)
            found.append(way.ending(other.end))
    return tuple(found)


def route_remarks(house: House) -> tuple[Remark, ...]:
    """What is wrong with the route of a record and with its alternatives."""
    main = way_of(house)
    of_main = main.remarks if main else points_without_pipe(house)  # those need no piece that says how it goes
    return (*of_main, *(remark for way in other_ways_of(house) for remark in way.remarks))


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
    branches = [branch.point for branch in house.run.branch] if house.run else []
    if point and branches[point - 1]:
        named = [place for place in listed if place.name == branches[point - 1]]
    else:
        named = [place for place in listed if place.name is None or place.name not in branches][point:]
    place = start.at if start and start.at else next((found.at for found in named if found.at), None)
    east, north = place.point if place else (0.0, 0.0)
    return east, north, start.height.value if start and start.height else 0.0


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


__all__ = ["Leg", "Remark", "Turn", "Way", "other_ways_of", "points_without_pipe", "route_remarks", "tape", "way_of"]
