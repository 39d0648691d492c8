"""The way of the air through a house's pipe, piece by piece in metres, and the network that it makes.

`House.route()` gives a VentRoute. It stands in sections: pieces in a row that are of the same pipe. The pipes side by
side in the wall are one section whose pieces stand in each of them.
"""

import math
import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby
from typing import Any

import numpy as np

from radonwork.engine.refusals import Refusal
from radonwork.files import table
from radonwork.formulas import fittings
from radonwork.house.record import House
from radonwork.house.sections.pipes import Pipe
from radonwork.house.sections.route import RoutePiece
from radonwork.solvers import route as network_of
from radonwork.solvers.fitting_table import fitting
from radonwork.solvers.route import OUTSIDE, Branch, Network, Opening, Soil, Wye
from radonwork.solvers.system import suction_point

PIT = "pit"
"""The node of the suction point: soil and lid lead to it, the pipe leads on."""
STRAIGHT = "straight pipe"
_OF_TWO_BORES = {"sudden_expansion": fittings.sudden_expansion, "sudden_contraction": fittings.sudden_contraction}
JUNCTION_ANGLES = {"wye": math.radians(45), "tee": math.radians(90)}


class RouteError(Refusal):
    """A route that cannot be worked; one plain line that names the field that is wanting."""


@dataclass(frozen=True)
class Piece:
    """One piece. `path` is its place in the record, `number` counts from 1, `name` is STRAIGHT or the fitting's.

    `kind` is STRAIGHT or that of data/tables/fittings.csv; `count` so many alike in a row. Lengths in metres: a number or
    an array with one value a variant; `length` is 0 for fittings, `start` what of straight pipe lies before the piece.
    """

    path: str
    number: int
    name: str
    kind: str
    count: int
    length: Any
    tolerance: float
    start: Any

    @property
    def end(self) -> Any:
        """Straight pipe up to and with this piece."""
        return self.start + self.length


@dataclass(frozen=True)
class Section:
    """Pieces in a row of one pipe. `pipe` is where the record states its size: "run.pipe", "wall.pipe", "run.piece[3]".

    `side_by_side` pipes share the air, each with all the pieces. `bore` and `outside_diameter` in metres, a number or an
    array; None where the record leaves the size open, and `wanted` then names the field that would settle it.
    """

    name: str
    pipe: str
    side_by_side: int
    bore: Any
    outside_diameter: Any
    wanted: str
    pieces: tuple[Piece, ...]


@dataclass(frozen=True)
class Tributary:
    """The pipe of a further suction point, `node` of the network, which joins the way after its piece `joins_after`.

    `soil_ratio` is the resistance of its soil over that of the first point's; the lid's gaps are in m².
    """

    name: str
    node: str
    joins_after: int
    joined_by: str
    sections: tuple[Section, ...]
    soil_ratio: float = 1.0
    lid_leak_area: float = 0.0

    @property
    def branches(self) -> tuple[str, ...]:
        """The names of its branches in the network, in the order of the air."""
        return tuple(section.name for section in self.sections)


@dataclass(frozen=True)
class VentRoute:
    """The way from the suction point to the outlet.

    `joined_by` is "wye" or "tee", what parts the air to the pipes in the wall and joins it again; None where not stated.
    `fan_after` and `tap_after` count the pieces before the fan and the gauge's tap; `tap_distance` is the straight pipe
    before the tap. Of the last two at most one is stated. `tributaries` are the pipes of further suction points; the
    way is parted into sections where they join.
    """

    sections: tuple[Section, ...]
    joined_by: str | None = None
    fan_after: int | None = None
    tap_after: int | None = None
    tap_distance: float | None = None
    tributaries: tuple[Tributary, ...] = ()

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """Every piece in the order of the air."""
        return tuple(piece for section in self.sections for piece in section.pieces)

    @property
    def length(self) -> Any:
        """All straight pipe along the way, pipes side by side counted once."""
        return self.pieces[-1].end

    @property
    def missing(self) -> tuple[str, ...]:
        """The fields of the record that would settle what the route leaves open."""
        every = [*self.sections, *(section for point in self.tributaries for section in point.sections)]
        return tuple(dict.fromkeys(section.wanted for section in every if section.bore is None))

    def section_of(self, piece: Piece) -> Section:
        """The section that a piece stands in."""
        return self.sections[self._place(piece)]

    def bores_beside(self, piece: Piece) -> tuple[Any, Any]:
        """The bores before and after a piece; its own pipe's where it is not the first or last of its section."""
        place = self._place(piece)
        own = self.sections[place]
        first, last = piece.number == own.pieces[0].number, piece.number == own.pieces[-1].number
        before = self.sections[place - 1] if first and place > 0 else own
        after = self.sections[place + 1] if last and place + 1 < len(self.sections) else own
        return self._bore(before), self._bore(after)

    def _place(self, piece: Piece) -> int:
        return next(n for n, section in enumerate(self.sections) if piece.number <= section.pieces[-1].number)

    def coefficient(self, piece: Piece) -> tuple[Any, Any]:
        """The loss coefficient of a fitting, all `count` together, and the bore whose velocity pressure it is of.

        A change of bore between pipes of one bore takes nothing. Raises RouteError where a size is not stated.
        """
        section = self.section_of(piece)
        listed, own = fitting(piece.name), self._bore(section)
        if piece.kind == "change of bore":
            beside = self.bores_beside(piece)
            narrow, wide = np.minimum(*beside), np.maximum(*beside)
            of = _OF_TWO_BORES.get(listed.formula)
            each = of(narrow_bore=narrow, wide_bore=wide) if of else listed.coefficient(narrow)
            return np.where(narrow == wide, 0.0, piece.count * each)[()], narrow
        if listed.formula == "mitre_coefficient":
            angle = math.radians(float(re.match(r"\d+", piece.name)[0]))  # type: ignore[index]  # its name says it
            return piece.count * fittings.mitre_coefficient(bend_angle=angle), own
        if listed.formula == "coupling_coefficient":  # the sleeve is as wide inside as the pipe is outside
            each = fittings.coupling_coefficient(narrow_bore=own, wide_bore=section.outside_diameter)
            return piece.count * each, own
        return piece.count * listed.coefficient(own), own

    def with_wall(self, *, count: int, bore: Any, outside_diameter: Any) -> "VentRoute":
        """The same way with other pipes in the wall: two of 2 in, three, or one of 3 in."""
        size = {"side_by_side": count, "bore": bore, "outside_diameter": outside_diameter}
        return replace(self, sections=tuple(replace(s, **size) if s.pipe == "wall.pipe" else s for s in self.sections))

    # ---------------------------------------------------------------- the network

    def air_pieces(self, section: Section) -> tuple[network_of.Piece, ...]:
        """The pieces of one pipe of a section as solvers.route has them, one for one. Raises RouteError."""
        bore = self._bore(section)
        return tuple(
            network_of.Pipe(piece.length, bore)
            if piece.kind == STRAIGHT
            else network_of.Fitting(*self.coefficient(piece))
            for piece in section.pieces
        )

    def network(self, soil: Soil, lid_leak: Opening | None = None) -> Network:
        """The network of soil, lid and this way: branches "soil" and "lid" from OUTSIDE to PIT, then one for each section.

        A section of n pipes side by side has n branches, "wall 1" to "wall n"; with more than two, branches without loss
        lie between the wyes. Wyes are there where `joined_by` says what they are: their branch has the bore of the main
        pipe where the wall's pieces begin or end with a change of bore, else that of the pipes in the wall. Further suction
        points have the nodes "pit 2" … and branches "soil 2", "lid 2", "point 2 main 1" …; their pipes join by wyes. The
        fan's branch is the section it stands in, the last one where the record does not say. Raises RouteError.
        """
        branches = [Branch("soil", OUTSIDE, PIT, (soil,))]
        if lid_leak:
            branches.append(Branch("lid", OUTSIDE, PIT, (lid_leak,)))
        wyes: list[Wye] = []
        nodes = [PIT, *(f"after {section.name}" for section in self.sections[:-1]), OUTSIDE]
        for place, section in enumerate(self.sections):
            start, end = nodes[place : place + 2]
            pieces = self.air_pieces(section)
            if section.side_by_side == 1:
                branches.append(Branch(section.name, start, end, pieces))
            else:
                made, joined = self._side_by_side(place, start, end, pieces)
                branches += made
                wyes += joined
        for point in self.tributaries:
            pipe, wye = self._tributary(point, soil)
            branches += pipe
            wyes.append(wye)
        return Network(tuple(branches), self._fan_branch(), tuple(wyes))

    def _tributary(self, point: Tributary, soil: Soil) -> tuple[list[Branch], Wye]:
        """Soil, lid and pipe of a further suction point, and the wye by which it joins the way."""
        own_soil = Soil(soil.resistance * point.soil_ratio, soil.inertia * point.soil_ratio)
        branches = suction_point(own_soil, point.lid_leak_area, at=point.node)
        place = next(n for n, section in enumerate(self.sections) if section.pieces[-1].number == point.joins_after)
        before, after, last = self.sections[place], self.sections[place + 1], point.sections[-1]
        nodes = [point.node, *(f"after {name}" for name in point.branches[:-1]), f"after {before.name}"]
        for start, end, section in zip(nodes, nodes[1:], point.sections, strict=False):
            branches.append(Branch(section.name, start, end, VentRoute(point.sections).air_pieces(section)))
        wye = Wye(
            before.name, last.name, after.name, self._bore(after), self._bore(last), JUNCTION_ANGLES[point.joined_by]
        )
        return branches, wye

    def _side_by_side(
        self, place: int, start: str, end: str, pieces: tuple[network_of.Piece, ...]
    ) -> tuple[list[Branch], list[Wye]]:
        section, count = self.sections[place], self.sections[place].side_by_side
        names = [f"{section.name} {n}" for n in range(1, count + 1)]
        before = self.sections[place - 1] if place else None
        after = self.sections[place + 1] if place + 1 < len(self.sections) else None
        parting = self._wyes(names, before, section, section.pieces[0], f"{section.name} in")
        joining = self._wyes(names, after, section, section.pieces[-1], f"{section.name} out")
        branches: list[Branch] = []
        starts, ends = [start] * count, [end] * count
        if parting:  # the last two pipes part at one node, each one before them at a node of its own
            starts = [start, *(f"{section.name} parts {n}" for n in range(2, count))]
            branches += [
                Branch(f"{section.name} in {n}", starts[n - 2], starts[n - 1], (_nothing(self._bore(before)),))
                for n in range(2, count)
            ]
            starts.append(starts[-1])
        if joining:
            ends = [end, *(f"{section.name} joins {n}" for n in range(2, count))]
            branches += [
                Branch(f"{section.name} out {n}", ends[n - 1], ends[n - 2], (_nothing(self._bore(after)),))
                for n in range(2, count)
            ]
            ends.append(ends[-1])
        branches += [Branch(name, a, b, pieces) for name, a, b in zip(names, starts, ends, strict=True)]
        return branches, [*parting, *joining]

    def _wyes(
        self, names: Sequence[str], main: Section | None, section: Section, at_main: Piece, between: str
    ) -> list[Wye]:
        """One wye for each pipe but the last: it leaves or meets the pipe that leads on to the others."""
        if not self.joined_by or main is None or main.side_by_side != 1:
            return []
        main_bore = self._bore(main)
        branch_bore = main_bore if at_main.kind == "change of bore" else self._bore(section)
        mains = [main.name, *(f"{between} {n}" for n in range(2, len(names)))]
        runs = [*mains[1:], names[-1]]
        return [
            Wye(run, name, into, main_bore, branch_bore, JUNCTION_ANGLES[self.joined_by])
            for run, name, into in zip(runs, names, mains, strict=False)
        ]

    def _fan_branch(self) -> str:
        last = self.pieces[-1].number if self.fan_after is None else max(self.fan_after, 1)
        section = next(s for s in self.sections if s.pieces[-1].number >= last)
        if section.side_by_side > 1:
            raise RouteError(
                "fan.after_piece: the fan stands in one of several pipes side by side; put it before or after"
            )
        return section.name

    def _bore(self, section: Section | None) -> Any:
        if section is None or section.bore is None:
            raise RouteError(f"{section.wanted if section else 'run.pipe'} is not stated; the route needs every bore")
        return section.bore


def _nothing(bore: Any) -> network_of.Fitting:
    return network_of.Fitting(0.0, bore)


# ---------------------------------------------------------------- from the record


def route_of(house: House) -> VentRoute | None:
    """The route of a record; None where it lists no piece."""
    if not house.run or not house.run.piece:
        return None
    fan, proof = house.fan, house.proof
    return VentRoute(
        tuple(_sections(house, house.run.piece, "run", {branch.joins_after or 0 for branch in house.run.branch})),
        _joined_by(house),
        fan.after_piece if fan else None,
        proof.gauge_after_piece if proof else None,
        proof.gauge_distance.value if proof and proof.gauge_distance else None,
        tuple(_tributary(house, number) for number in range(len(house.run.branch))),
    )


def other_routes_of(house: House) -> dict[str, VentRoute]:
    """The other ways of a record, by their path: "run_alternative[1]". Their gauge is taken to stand on the first pipe."""
    return {
        (at := f"run_alternative[{count}]"): VentRoute(
            tuple(_sections(house, other.piece, at)), _joined_by(house), other.after_piece
        )
        for count, other in enumerate(house.run_alternative, 1)
    }


def _joined_by(house: House) -> str | None:
    return house.wall.pipe.joined_by if house.wall and house.wall.pipe else None


def _tributary(house: House, number: int) -> Tributary:
    assert house.run
    branch = house.run.branch[number]
    first, own = house.facts().get("soil_resistance"), branch.resistance
    return Tributary(
        branch.point or f"suction point {number + 2}",
        f"{PIT} {number + 2}",
        branch.joins_after or 0,
        branch.joined_by or "wye",
        tuple(
            replace(section, name=f"point {number + 2} {section.name}")
            for section in _sections(house, branch.piece, f"run.branch[{number + 1}]")
        ),
        own / first.value if own and first and first.value else 1.0,
        branch.lid_leak_area.value if branch.lid_leak_area else 0.0,
    )


def _sections(house: House, listed: Sequence[RoutePiece], at: str, joins: Collection[int] = ()) -> Iterator[Section]:
    """Pieces in a row of one pipe, parted where a branch joins as well."""
    kinds = {row["name"]: row["kind"] for row in table("fittings")}
    start, mains, walls = 0.0, 0, 0

    def along(entry: tuple[int, RoutePiece]) -> tuple[str, int]:
        number, piece = entry
        return _pipe_of(f"{at}.piece[{number}]", piece), sum(joint < number for joint in joins)

    for (pipe, _), group in groupby(enumerate(listed, 1), key=along):
        pieces = []
        for number, piece in group:
            name, straight = piece.fitting or STRAIGHT, piece.straight
            pieces.append(
                Piece(
                    f"{at}.piece[{number}]",
                    number,
                    name,
                    kinds.get(name, STRAIGHT),
                    piece.count or 1,
                    straight.value if straight else 0.0,
                    straight.tolerance if straight else 0.0,
                    start,
                )
            )
            start += pieces[-1].length
        in_wall = pipe == "wall.pipe"
        walls, mains = walls + in_wall, mains + (not in_wall)
        name = ("wall" if walls == 1 else f"wall section {walls}") if in_wall else f"main {mains}"
        stated = _stated(house, pipe) or (listed[pieces[0].number - 1] if pipe.startswith(at + ".piece") else None)
        size = stated.size() if stated else {}
        count = house.wall.pipe.count if in_wall and house.wall and house.wall.pipe else None
        yield Section(
            name,
            pipe,
            round(count.value) if count else 1,
            size["bore"].value if size else None,
            size["outside_diameter"].value if size else None,
            "" if size else f"{pipe}.{stated.wanted() if stated else 'nominal'}",
            tuple(pieces),
        )


def _pipe_of(path: str, piece: RoutePiece) -> str:
    if piece.of_its_own:
        return path
    return "wall.pipe" if piece.pipe == "wall" else "run.pipe"


def _stated(house: House, pipe: str) -> Pipe | None:
    if pipe == "run.pipe":
        return house.run.pipe if house.run else None
    return house.wall.pipe if pipe == "wall.pipe" and house.wall else None
