"""What is cut for one house: each piece of its route with the fittings taken off, and the sticks the pieces come from.

A length that `go` gives lies from centre to centre, and the fittings at its ends take their share off it; a plain length
is the pipe itself, unless the record says otherwise. The owner's own measures stand before the table's, which are typical
and from memory. A fault is said of its piece with the figure, and the rest is cut.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice, pairwise

from radonwork.files import table
from radonwork.formulas.piping import bend_take_off, fitting_take_off, turn_arc
from radonwork.glossary import System
from radonwork.house.pipe_sizes import nominal_sizes, pipe_size
from radonwork.house.record import House
from radonwork.house.route import STRAIGHT, Piece, Section
from radonwork.house.sections.parts import Cutting, MeasuredFitting
from radonwork.house.sections.route import RoutePiece
from radonwork.house.way import tape, way_of
from radonwork.solvers.stock import StockPlan, cut_stock
from radonwork.solvers.turning import turn_between
from radonwork.units import from_unit, read

KERF = float(from_unit(0.125, "in"))
"""Taken where the record states no saw cut; common practice, no source."""
LOOSE = float(from_unit(0.0625, "in"))
"""What a fitting may differ by (astm-d3311), where its own tolerance is not stated."""
OWN, TYPICAL, BY_RADIUS, CUT = (
    "measured by the owner",
    "typical, from memory",
    "by the radius in its name",
    "cut, no fitting",
)
MOST_PIECES = 500
"""Pieces of one size that are cut; a house has a few dozen."""
_SECONDS = 2.0  # for the proof of one size
_SAME_SIZE = 0.0006  # m: outside diameters nearer than this are one size
_END = ("entrance", "exit")
_TURNING = ("elbow", "mitre", "tee")
_ALONG = "tee, along the run"
_MITRE = "mitre"  # two ends of pipe and no fitting: the centre is on the cut
_HAIR = 1e-9


@dataclass(frozen=True)
class Taken:
    """What the fittings at one end take off a piece: in all, how far that may be off, their names and whose figures.

    `unknown` names those of which it is not known; they take something, and `length` is without it.
    """

    length: float = 0.0
    tolerance: float = 0.0
    names: tuple[str, ...] = ()
    basis: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True)
class Cut:
    """One piece to cut, `copies` of it. `size` is what the pipe is called, `written` the record's length in metres.

    `length` is what is left of it, `mark` the same to the sixteenth of an inch or the millimetre: what one marks and cuts.
    """

    path: str
    number: int
    size: str
    copies: int
    written: float
    to_centres: bool
    before: Taken
    after: Taken
    length: float
    mark: float
    tolerance: float

    @property
    def unknown(self) -> tuple[str, ...]:
        """Fittings at its ends whose take-off is not known: the piece is shorter than `mark`, by nobody knows how much."""
        return tuple(dict.fromkeys((*self.before.unknown, *self.after.unknown)))

    def marked(self, system: System) -> str:
        """Where to mark and cut, or the most that this can be."""
        return f"at most {tape(self.mark, system)}" if self.unknown else tape(self.mark, system)


@dataclass(frozen=True)
class Batch:
    """The pieces of one size of pipe, each as often as it is cut, and how they come out of sticks; None without sticks.

    The plan's sticks number the pieces as `cuts` has them.
    """

    size: str
    cuts: tuple[Cut, ...]
    plan: StockPlan | None


@dataclass(frozen=True)
class Turned:
    """How far the fitting `path` is turned against the one before: rad, and m along the outside of the pipe."""

    path: str
    before: str
    turn: float
    arc: float


@dataclass(frozen=True)
class CutList:
    """Everything cut for one house. `remarks` are faults and things not known, one plain line each."""

    system: System
    cuts: tuple[Cut, ...]
    batches: tuple[Batch, ...]
    turns: tuple[Turned, ...]
    remarks: tuple[str, ...]
    kerf: float
    sticks: tuple[float, ...]

    @property
    def open(self) -> str:
        """Why the lengths are not settled, in one line: fittings whose take-off nobody has stated; empty where they are."""
        names = dict.fromkeys(f"{name}, {cut.size}" for cut in self.cuts for name in cut.unknown)
        short = sum(bool(cut.unknown) for cut in self.cuts)
        said = f"{short} piece{'s are' if short > 1 else ' is'} shorter by what is not known, the take-off of "
        return said + "; ".join(names) if names else ""

    @property
    def lengths(self) -> dict[str, float]:
        """The shortest and the longest piece. Raises ValueError while a take-off that may change them is not known."""
        shortest = min(cut.length for cut in self.cuts)
        if self.open and shortest > 0:  # of a piece that is nothing already, what else is taken off changes no verdict
            raise ValueError(self.open)
        return {"shortest_cut": shortest, "longest_cut": max(max(cut.length for cut in self.cuts), 0.0)}

    @property
    def values(self) -> dict[str, float]:
        """Figures by term, of what could be cut."""
        return {
            "piece_count": float(sum(cut.copies for cut in self.cuts)),
            "pipe_cut": sum(max(cut.mark, 0.0) * cut.copies for cut in self.cuts),
            "longest_stick": max(self.sticks, default=0.0),
            "stick_count": float(sum(len(batch.plan.sticks) for batch in self.batches if batch.plan)),
            "pipe_bought": sum(batch.plan.bought for batch in self.batches if batch.plan),
        }


@lru_cache(maxsize=8)
def cut_list_of(house: House) -> CutList | None:
    """The pieces of the route and how they are cut; None while the record lists no straight pipe."""
    route, cutting = house.route(), house.cutting or Cutting()
    if not route or not house.run:
        return None
    remarks: list[str] = []
    cuts: list[Cut] = []
    ways = [(route.sections, house.run.piece, route.fan_after)]
    ways += [
        (point.sections, branch.piece, None)
        for point, branch in zip(route.tributaries, house.run.branch, strict=True)
    ]  # fmt: skip
    for sections, listed, fan_after in ways:
        row = _Row(house, cutting, sections, listed, fan_after)
        cuts += row.cuts()
        remarks += row.remarks
    if not cuts:
        return None
    if junctions(house):
        remarks.append(
            "the wyes or tees where pipes part or join are no pieces of the route: nothing is taken off for them; measure "
            "yours, and shorten the pieces beside them"
        )
    sticks = tuple(sorted({stick.value for stick in cutting.stick}))
    kerf = cutting.kerf.value if cutting.kerf else KERF
    batches = tuple(_batch(size, cuts, sticks, kerf) for size in dict.fromkeys(cut.size for cut in cuts))
    there = {piece.name for sections, *_ in ways for section in sections for piece in section.pieces}
    remarks += _faults(cuts, sticks, house.system)
    remarks += [
        f"fitting[{number}]: no {own.name} is on the route" for number, own in enumerate(house.fitting, 1)
        if own.name not in there
    ]  # fmt: skip
    return CutList(
        house.system, tuple(cuts), batches, tuple(_turns(house)), tuple(dict.fromkeys(remarks)), kerf, sticks
    )


def junctions(house: House) -> dict[str, int]:
    """Wyes and tees where pipes part or join, by their kind and the size of the pipe that joins, and how many."""
    found: dict[str, int] = {}
    route, wall = house.route(), house.wall.pipe if house.wall else None
    for place, section in enumerate(route.sections if route else ()):
        if section.side_by_side > 1 and wall and wall.joined_by and route:
            for end, beside in ((section.pieces[0], place - 1), (section.pieces[-1], place + 1)):
                # A pipe in the wall that begins or ends with a change of bore meets the main pipe in that pipe's size.
                main = route.sections[beside] if 0 <= beside < len(route.sections) else section
                of = main if end.kind == "change of bore" else section
                name = f"{wall.joined_by}, {size_name(of.outside_diameter, house.system)}"
                found[name] = found.get(name, 0) + section.side_by_side - 1
    for point in route.tributaries if route else ():
        name = f"{point.joined_by}, {size_name(point.sections[-1].outside_diameter, house.system)}"
        found[name] = found.get(name, 0) + 1
    return found


def _faults(cuts: Sequence[Cut], sticks: tuple[float, ...], system: System) -> Iterator[str]:
    if (pieces := sum(cut.copies for cut in cuts)) > MOST_PIECES:
        yield f"{pieces:,} pieces are more than a house has; the first {MOST_PIECES} of a size are cut: look at wall.pipe.count"
    for cut in cuts:
        taken = cut.before.length + cut.after.length
        if cut.length <= 0:
            names = " and ".join(dict.fromkeys((*cut.before.names, *cut.after.names)))
            yield (
                f"{cut.path}: {tape(cut.written, system)} leaves {tape(cut.length, system)} after {names} take off "
                f"{tape(taken, system)}; between these a piece is longer than that, or there are other fittings"
            )
        elif sticks and cut.mark > sticks[-1] + _HAIR:
            yield (
                f"{cut.path}: {tape(cut.mark, system)} is longer than the longest stick, {tape(sticks[-1], system)}; take a "
                "longer stick, or two pieces with a coupling"
            )


def _batch(size: str, cuts: Sequence[Cut], sticks: tuple[float, ...], kerf: float) -> Batch:
    wanted = tuple(
        islice((cut for cut in cuts if cut.size == size and cut.mark > 0 for _ in range(cut.copies)), MOST_PIECES)
    )
    if not sticks:
        return Batch(size, wanted, None)
    wanted = tuple(cut for cut in wanted if cut.mark <= sticks[-1] + _HAIR)
    return Batch(size, wanted, cut_stock([cut.mark for cut in wanted], sticks, kerf, seconds=_SECONDS))


class _Row:
    """The pieces of one way in a row, and what the fittings between the straight ones take off them."""

    def __init__(
        self,
        house: House,
        cutting: Cutting,
        sections: Sequence[Section],
        listed: Sequence[RoutePiece],
        fan_after: int | None,
    ) -> None:
        self.house, self.cutting, self.listed, self.fan_after = house, cutting, listed, fan_after
        self.pieces = [(piece, section) for section in sections for piece in section.pieces]
        self.remarks: list[str] = []

    def cuts(self) -> Iterator[Cut]:
        for at, (piece, section) in enumerate(self.pieces):
            if piece.kind != STRAIGHT:
                continue
            to_centres = self.listed[at].go is not None or self.cutting.lengths == "centre to centre"
            before = self._taken(at, -1) if to_centres else Taken()
            after = self._taken(at, 1) if to_centres else Taken()
            length = piece.length - before.length - after.length
            yield Cut(
                piece.path,
                piece.number,
                size_name(section.outside_diameter, self.house.system),
                section.side_by_side,
                piece.length,
                to_centres,
                before,
                after,
                length,
                _as_marked(length, self.house.system),
                piece.tolerance + before.tolerance + after.tolerance,
            )

    def _taken(self, at: int, way: int) -> Taken:
        """Off one end: the gaps of what does not turn, up to and with the take-off of the first fitting that turns.

        Where nothing turns before the next straight pipe, each of the two bears half of what lies between.
        """
        between: list[Taken] = []
        place = at + way
        while 0 <= place < len(self.pieces):
            between += self._fan_between(place - way, place)
            piece, section = self.pieces[place]
            if piece.kind == STRAIGHT:
                return _together(between, 0.5)
            turns = _turns_the_pipe(piece)
            if piece.kind not in _END:
                between += [self._one(piece, section)] * (1 if turns else piece.count)
            if turns:
                break
            place += way
        return _together(between)

    def _fan_between(self, one: int, other: int) -> list[Taken]:
        if self.fan_after is None or max(one, other) != self.fan_after:
            return []
        length = self.cutting.fan_length
        if length is None:
            self.remarks.append(
                f"cutting.fan_length is not stated: nothing is taken off for the fan after piece {self.fan_after}; write "
                "the distance between the ends of the pipe in its couplings"
            )
            return [Taken(0.0, 0.0, ("the fan",), (), ("the fan",))]
        return [Taken(length.value, length.tolerance or LOOSE, ("the fan",), (OWN,))]

    def _one(self, piece: Piece, section: Section) -> Taken:
        if piece.kind == _MITRE:
            return Taken(0.0, 0.0, (piece.name,), (CUT,))
        found = take_off_of(self.house, piece.name, section.outside_diameter)
        if found is None:
            size = size_name(section.outside_diameter, self.house.system)
            self.remarks.append(
                f"{piece.path}: {piece.name}, {size}, is not in the table of take-offs, so nothing is taken off for it; "
                f"measure yours and write a [[fitting]] with its name and {'take_off' if _turns_the_pipe(piece) else 'gap'}"
            )
            return Taken(0.0, 0.0, (piece.name,), (), (piece.name,))
        return found


def _turns_the_pipe(piece: Piece) -> bool:
    return piece.kind in _TURNING and piece.name != _ALONG


def _together(parts: Sequence[Taken], share: float = 1.0) -> Taken:
    return Taken(
        share * sum(part.length for part in parts),
        share * sum(part.tolerance for part in parts),
        tuple(name for part in parts for name in part.names),
        tuple(basis for part in parts for basis in part.basis),
        tuple(name for part in parts for name in part.unknown),
    )


def _as_marked(length: float, system: System) -> float:
    """To the sixteenth of an inch or the millimetre: what one marks on a pipe."""
    step = float(from_unit(0.0625, "in")) if system == "us" else 0.001
    return round(length / step) * step


def take_off_of(house: House, name: str, outside: float | None) -> Taken | None:
    """What a fitting of this name takes off a pipe of this outside diameter: the owner's figure before the table's."""
    own = [fitting for fitting in house.fitting if fitting.name == name and _fits(fitting, outside)]
    if own:
        # One of just this size before one of every size.
        return _measured(max(own, key=lambda fitting: bool(fitting.nominal or fitting.outside_diameter)))
    nominal = nominal_of(outside)
    for row in table("laying_lengths"):
        if row["fitting"] == name and nominal and row["nominal_in"] == nominal:
            return Taken(read(row["take_off_in"], "length", unit="in").value, LOOSE, (name,), (TYPICAL,))
        if row["fitting"] == name and nominal and row["bend_radii"]:
            radius = float(row["bend_radii"]) * read(nominal, "length", unit="in").value
            angle = next(float(r["angle"]) for r in table("fittings") if r["name"] == name)
            length = float(bend_take_off(bend_radius=radius, fitting_angle=math.radians(angle)))
            return Taken(length, LOOSE, (name,), (BY_RADIUS,))
    return None


def _fits(fitting: MeasuredFitting, outside: float | None) -> bool:
    if fitting.nominal:
        return fitting.nominal == nominal_of(outside)
    if fitting.outside_diameter:
        return outside is not None and abs(fitting.outside_diameter.value - outside) < _SAME_SIZE
    return True


def _measured(fitting: MeasuredFitting) -> Taken:
    name = (fitting.name or "",)
    face, depth = fitting.centre_to_end, fitting.socket_depth
    if face and depth:
        length = float(fitting_take_off(centre_to_end=face.value, socket_depth=depth.value))
        return Taken(length, (face.tolerance + depth.tolerance) or LOOSE, name, (OWN,))
    stated = fitting.take_off or fitting.gap
    assert stated
    return Taken(stated.value, stated.tolerance or LOOSE, name, (OWN,))


def nominal_of(outside: float | None) -> str | None:
    """The nominal size with this outside diameter; None for pipe of another make."""
    if outside is None:
        return None
    near = ((abs(pipe_size(size).outside_diameter - outside), size) for size in nominal_sizes())
    return next((size for off, size in near if off < _SAME_SIZE), None)


def size_name(outside: float | None, system: System) -> str:
    """What a pipe is called: "3 in" by its nominal size, or its outside diameter."""
    if outside is None:
        return "size not stated"
    nominal = nominal_of(outside)
    return f"{nominal} in" if nominal else f"{tape(outside, system)} outside"


def _turns(house: House) -> Iterator[Turned]:
    """How far each fitting that turns is turned against the one before, where the record says in words how they go."""
    way, route = way_of(house), house.route()
    if not way or not route:
        return
    outside = {piece.path: section.outside_diameter for section in route.sections for piece in section.pieces}
    told = [turn for turn in way.turns if turn.before and turn.after and turn.turns]
    for one, other in pairwise(told):
        assert one.before
        assert one.after
        assert other.after
        turn, size = turn_between(one.before, one.after, other.after), outside.get(other.path)
        if turn is not None and size is not None:
            arc = float(turn_arc(turn_angle=abs(turn), pipe_outside_diameter=size))
            yield Turned(other.path, one.path, turn, arc)
