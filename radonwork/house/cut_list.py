"""What is cut for one house: each piece of its route with the fittings taken off, and the sticks the pieces come from.

A length that `go` gives lies from centre to centre, and the fittings at its ends take their share off it; a plain length
is the pipe itself, unless the record says otherwise. The owner's own measures stand before the table's, which are typical
and from memory. A fault is said of its piece with the figure, and the rest is cut.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import islice, pairwise

from radonwork.formulas.piping import turn_arc
from radonwork.glossary import System
from radonwork.house.in_space import letter_of, tape
from radonwork.house.record import House
from radonwork.house.route import STRAIGHT, Piece, Section
from radonwork.house.sections.parts import Cutting
from radonwork.house.sections.route import RoutePiece
from radonwork.house.take_offs import (
    CUT,
    LOOSE,
    OWN,
    Junction,
    Leg,
    Taken,
    junctions_of,
    size_name,
    take_off_of,
    together,
)
from radonwork.house.way import way_of
from radonwork.solvers.stock import StockPlan, cut_stock
from radonwork.solvers.turning import turn_between
from radonwork.units import from_unit

KERF = float(from_unit(0.125, "in"))
"""Taken where the record states no saw cut; common practice, no source."""
MOST_PIECES = 500
"""Pieces of one size that are cut; a house has a few dozen."""
_SECONDS = 2.0  # for the proof of one size
_END = ("entrance", "exit")
_TURNING = ("elbow", "mitre", "tee")
_ALONG = "tee, along the run"
_MITRE = "mitre"  # two ends of pipe and no fitting: the centre is on the cut
_HAIR = 1e-9


@dataclass(frozen=True)
class Cut:
    """One piece to cut, `copies` of it. `size` is what the pipe is called, `written` the record's length in metres.

    `in_wall` marks the pipes in the wall, `beside` those of them that the branch of a wye or tee leads to, where the first
    goes straight on.
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
    in_wall: bool
    beside: bool = False

    @property
    def name(self) -> str:
        """Its place in the record, and which of the pipes side by side it is where they are not alike."""
        return f"{self.path}, beside the first" if self.beside else self.path

    @property
    def label(self) -> str:
        """What it is called in the drawings: "4", on a branch "A4", of the pipes in the wall "4 beside"."""
        return f"{letter_of(self.path)}{self.number}{' beside' if self.beside else ''}"

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
        names = dict.fromkeys(name for cut in self.cuts for name in cut.unknown)
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
    def wall_cut(self) -> float:
        """The longest pipe in the wall. Raises ValueError without one, or while a take-off that may change it is not known."""
        cuts = [cut for cut in self.cuts if cut.in_wall]
        if not cuts:
            raise ValueError("the route lists no straight pipe that says pipe = 'wall'")
        if any(cut.unknown for cut in cuts):
            raise ValueError(self.open)
        return max(max(cut.length for cut in cuts), 0.0)

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
    joints = tuple(junctions_of(route))
    rows = [_Row(house, cutting, route.sections, house.run.piece, {j.after: j for j in joints}, "run", route.fan_after)]
    for joint in joints:
        if joint.point:
            point, listed = route.tributaries[joint.point - 1], house.run.branch[joint.point - 1].piece
            rows.append(_Row(house, cutting, point.sections, listed, {len(listed): joint}, "branch"))
    for row in rows:
        cuts += row.cuts()
        remarks += (*row.remarks, *row.crowded())
    if not cuts:
        return None
    sticks = tuple(sorted({stick.value for stick in cutting.stick}))
    kerf = cutting.kerf.value if cutting.kerf else KERF
    batches = tuple(_batch(size, cuts, sticks, kerf) for size in dict.fromkeys(cut.size for cut in cuts))
    there = {piece.name for row in rows for piece, _ in row.pieces} | {joint.kind for joint in joints}
    remarks += _faults(cuts, sticks, house.system)
    remarks += [
        f"fitting[{number}]: no {own.name} is on the route" for number, own in enumerate(house.fitting, 1)
        if own.name not in there
    ]  # fmt: skip
    return CutList(
        house.system, tuple(cuts), batches, tuple(_turns(house)), tuple(dict.fromkeys(remarks)), kerf, sticks
    )


def junctions(house: House) -> dict[str, int]:
    """Wyes and tees where pipes part or join, by what they are called, and how many."""
    found: dict[str, int] = {}
    route = house.route()
    for joint in junctions_of(route) if route else ():
        name = joint.named(house.system)
        found[name] = found.get(name, 0) + joint.count
    return found


def _faults(cuts: Sequence[Cut], sticks: tuple[float, ...], system: System) -> Iterator[str]:
    if (pieces := sum(cut.copies for cut in cuts)) > MOST_PIECES:
        yield f"{pieces:,} pieces are more than a house has; the first {MOST_PIECES} of a size are cut: look at wall.pipe.count"
    for cut in cuts:
        taken = cut.before.length + cut.after.length
        if cut.length <= 0:
            names = " and ".join(dict.fromkeys((*cut.before.names, *cut.after.names)))
            yield (
                f"{cut.name}: {tape(cut.written, system)} leaves {tape(cut.length, system)} after {names} take off "
                f"{tape(taken, system)}; between these a piece is longer than that, or there are other fittings"
            )
        elif sticks and cut.mark > sticks[-1] + _HAIR:
            yield (
                f"{cut.name}: {tape(cut.mark, system)} is longer than the longest stick, {tape(sticks[-1], system)}; take a "
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
    """The pieces of one way in a row, and what the fittings between the straight ones take off them.

    `joints` are its wyes and tees by the number of the piece before each; `leg` is the leg by which the air comes to those
    that the pipe of a further suction point joins.
    """

    def __init__(
        self,
        house: House,
        cutting: Cutting,
        sections: Sequence[Section],
        listed: Sequence[RoutePiece],
        joints: Mapping[int, Junction],
        leg: Leg,
        fan_after: int | None = None,
    ) -> None:
        self.house, self.cutting, self.listed, self.fan_after = house, cutting, listed, fan_after
        self.joints, self.leg = joints, leg
        self.pieces = [(piece, section) for section in sections for piece in section.pieces]
        self.remarks: list[str] = []

    def crowded(self) -> Iterator[str]:
        """Wyes and tees of further suction points that have one place with a fitting that turns."""
        for after, joint in self.joints.items():
            for piece, _ in self.pieces[after - 1 : after + 1]:
                if joint.point and _turns_the_pipe(piece):
                    yield (
                        f"run.branch[{joint.point}]: its {joint.kind} has one place with {piece.path}, {piece.name}; write "
                        "the straight pipe between their centres as a piece"
                    )

    def cuts(self) -> Iterator[Cut]:
        for at, (piece, section) in enumerate(self.pieces):
            if piece.kind != STRAIGHT:
                continue
            to_centres = self.listed[at].go is not None or self.cutting.lengths == "centre to centre"
            (before, before_beside), (after, after_beside) = (
                self._taken(at, way) if to_centres else (Taken(), None) for way in (-1, 1)
            )
            first = self._cut(piece, section, to_centres, before, after)
            if before_beside is None and after_beside is None:
                yield first
                continue
            yield replace(first, copies=1)
            beside = self._cut(piece, section, to_centres, before_beside or before, after_beside or after)
            yield replace(beside, copies=section.side_by_side - 1, beside=True)

    def _cut(self, piece: Piece, section: Section, to_centres: bool, before: Taken, after: Taken) -> Cut:
        length = piece.length - before.length - after.length
        return Cut(
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
            section.pipe == "wall.pipe",
        )

    def _taken(self, at: int, way: int) -> tuple[Taken, Taken | None]:
        """Off one end: the gaps of what does not turn, up to and with the take-off of the first fitting with a centre.

        Where none has one before the next straight pipe, each of the two bears half of what lies between. The second is
        what is taken off a pipe in the wall that the branch of a wye leads to; None where the pipes there are alike.
        """
        between: list[Taken] = []
        aside, share = 0, 1.0  # how many of them the branch of a wye leads around
        place = at + way
        while True:
            if joint := self.joints.get(max(place - way, place)):
                between += self._through(joint, way)
                if joint.point:
                    break
                if self.pieces[at][1].side_by_side > 1:
                    aside = len(between)
            if not 0 <= place < len(self.pieces):
                break
            between += self._fan_between(place - way, place)
            piece, section = self.pieces[place]
            if piece.kind == STRAIGHT:
                share = 0.5
                break
            turns = _turns_the_pipe(piece)
            if piece.kind not in _END:
                between += [self._one(piece, section)] * (1 if turns else piece.count)
            if turns:
                break
            place += way
        beside = self._beside(together(between[:aside]), together(between[aside:]), share) if aside else None
        return together(between, share), beside

    def _through(self, joint: Junction, way: int) -> list[Taken]:
        """What a wye or tee takes off a piece from which one comes to it along the air (`way` 1) or against it."""
        if joint.point is None:
            found = [joint.taken(self.house, "common"), joint.taken(self.house, "run")] * joint.count
        else:
            found = [joint.taken(self.house, self.leg if way > 0 else "common")]
        if found[0].unknown:
            told = "only the least is" if found[0].basis else "nothing is"
            self.remarks.append(
                f"{f'run.branch[{joint.point}]' if joint.point else 'wall.pipe'}.joined_by: {told} taken off for the "
                f"{joint.named(self.house.system)}, which takes more; measure yours and write a [[fitting]] of the name "
                f"'{joint.kind}' with common_take_off, run_take_off and branch_take_off"
            )
        return found

    def _beside(self, near: Taken, beyond: Taken, share: float) -> Taken:
        """Off a pipe beside the first: what is near goes around by the branch of the wye, what is beyond is the same.

        Where the first and the main pipe bear half each of all that is between, so does the main pipe in this way too.
        """
        pipe = self.house.wall.pipe if self.house.wall else None
        gap = pipe.side_gap if pipe and pipe.count and pipe.count.value == 2 else None
        name = "from the wye to the pipe beside the first"
        if gap is None:
            self.remarks.append(
                "wall.pipe.side_gap is not stated: nothing is taken off the pipe beside the first for its way from the wye or "
                "tee; put that together dry and write the distance along the wall between the ends of the two pipes in it"
                if pipe and pipe.count and pipe.count.value == 2
                else "wall.pipe.count: of more than two pipes side by side only the first is cut; nothing is taken off the "
                "others for their way from the wyes or tees, which is to be put together dry and measured"
            )
            around = Taken(0.0, 0.0, (name,), (), (name,))
        else:
            around = Taken(gap.value, gap.tolerance or LOOSE, (name,), (OWN,))
        if share == 1:
            return together([beyond, around])
        back = replace(together([near], share - 1), tolerance=(1 - share) * near.tolerance, names=(), basis=())
        return together([together([beyond], share), around, back])

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
            name = f"{piece.name}, {size_name(section.outside_diameter, self.house.system)}"
            self.remarks.append(
                f"{piece.path}: {name}, is not in the table of take-offs, so nothing is taken off for it; "
                f"measure yours and write a [[fitting]] with its name and {'take_off' if _turns_the_pipe(piece) else 'gap'}"
            )
            return Taken(0.0, 0.0, (piece.name,), (), (name,))
        return found


def _turns_the_pipe(piece: Piece) -> bool:
    return piece.kind in _TURNING and piece.name != _ALONG


def _as_marked(length: float, system: System) -> float:
    """To the sixteenth of an inch or the millimetre: what one marks on a pipe."""
    step = float(from_unit(0.0625, "in")) if system == "us" else 0.001
    return round(length / step) * step


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
