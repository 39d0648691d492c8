"""What the fittings of a house take off the pipe at their ends, and the wyes and tees where pipes part or join.

The owner's own measures stand before the table's, which are typical and from memory. Of a wye or tee that nobody has
measured only the least is known: so much that none of its pipes stands in the opening of another.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from radonwork.files import table
from radonwork.formulas.piping import bend_take_off, fitting_take_off, least_take_off
from radonwork.glossary import System
from radonwork.house.in_space import tape
from radonwork.house.pipe_sizes import nominal_sizes, pipe_size
from radonwork.house.record import House
from radonwork.house.route import JUNCTION_ANGLES, Section, VentRoute
from radonwork.house.sections.parts import MeasuredFitting
from radonwork.units import from_unit, read

LOOSE = float(from_unit(0.0625, "in"))
"""What a fitting may differ by (astm-d3311), where its own tolerance is not stated."""
OWN, TYPICAL, BY_RADIUS, LEAST, CUT = (
    "measured by the owner",
    "typical, from memory",
    "by the radius in its name",
    "the least that its openings leave",
    "cut, no fitting",
)
_SAME_SIZE = 0.0006  # m: outside diameters nearer than this are one size


@dataclass(frozen=True)
class Taken:
    """What the fittings at one end take off a piece: in all, how far that may be off, their names and whose figures.

    `unknown` names those of which it is not known, or only the least; `length` is without what more they take.
    """

    length: float = 0.0
    tolerance: float = 0.0
    names: tuple[str, ...] = ()
    basis: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()


def together(parts: Sequence[Taken], share: float = 1.0) -> Taken:
    """This share of what several fittings take."""
    return Taken(
        share * sum(part.length for part in parts),
        share * sum(part.tolerance for part in parts),
        tuple(name for part in parts for name in part.names),
        tuple(basis for part in parts for basis in part.basis),
        tuple(name for part in parts for name in part.unknown),
    )


def take_off_of(house: House, name: str, outside: float | None) -> Taken | None:
    """What a fitting of this name takes off a pipe of this outside diameter: the owner's figure before the table's."""
    if own := _own(house, name, outside):
        return _measured(own)
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


def _own(house: House, name: str, outside: float | None, branch: float | None = None) -> MeasuredFitting | None:
    """The owner's fitting of this name and size, one of just this size before one of every size."""
    own = [one for one in house.fitting if one.name == name and _fits(one, outside, branch)]
    return max(own, key=lambda one: bool(one.nominal or one.outside_diameter), default=None)


def _fits(fitting: MeasuredFitting, outside: float | None, branch: float | None) -> bool:
    wanted = fitting.branch_outside_diameter
    if not _alike(branch, wanted.value if wanted else (None if branch is None else outside)):
        return False
    if fitting.nominal:
        return fitting.nominal == nominal_of(outside)
    return not fitting.outside_diameter or _alike(outside, fitting.outside_diameter.value)


def _alike(one: float | None, other: float | None) -> bool:
    return one is other or (one is not None and other is not None and abs(one - other) < _SAME_SIZE)


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


# ---------------------------------------------------------------- where pipes part or join

Leg = Literal["common", "run", "branch"]
_ACROSS = {"common": ("branch", math.pi), "run": ("branch", 0.0), "branch": ("run", 0.0)}


@dataclass(frozen=True)
class Junction:
    """A wye or tee behind the piece `after` of the way, or `count` of them in a row: its kind and the pipes it takes.

    `parts` where the air parts in it. `point` is the number of the further suction point whose pipe joins there, whose
    record states its centre; None for those of the pipes in the wall, which stand end in end with what is beside them.
    """

    kind: str
    after: int
    run: Section
    branch: Section
    count: int = 1
    point: int | None = None

    def named(self, system: System) -> str:
        """What it is called on the parts list: "wye, 3 in", or with a narrower branch "wye, 3 in by 2 in"."""
        run, branch = (size_name(leg.outside_diameter, system) for leg in (self.run, self.branch))
        return f"{self.kind}, {run}" if run == branch else f"{self.kind}, {run} by {branch}"

    def taken(self, house: House, leg: Leg) -> Taken:
        """What it takes off the pipe in one of its legs, from where the centre lines of the three meet."""
        own = _own(house, self.kind, self.run.outside_diameter, self.branch.outside_diameter)
        name = self.named(house.system)
        if own:
            stated = own.leg(leg)
            return Taken(stated.value, stated.tolerance or LOOSE, (name,), (OWN,))
        if self.run.bore is None or self.branch.bore is None:
            return Taken(0.0, 0.0, (name,), (), (name,))
        return Taken(self._least(leg), 0.0, (name,), (LEAST,), (name,))

    def _least(self, leg: Leg) -> float:
        across, turned = _ACROSS[leg]
        bores = {"branch": self.branch.bore, "run": self.run.bore, "common": self.run.bore}
        between = abs(turned - JUNCTION_ANGLES[self.kind])
        return max(0.0, float(least_take_off(bore=bores[leg], other_bore=bores[across], leg_angle=between)))


def junctions_of(route: VentRoute) -> Iterator[Junction]:
    """Every wye and tee of a route. Those of the pipes in the wall stand where its network has them."""
    for place, section in enumerate(route.sections):
        if section.side_by_side == 1 or not route.joined_by:
            continue
        for end, beside, after in (
            (section.pieces[0], place - 1, section.pieces[0].number - 1),
            (section.pieces[-1], place + 1, section.pieces[-1].number),
        ):
            if 0 <= beside < len(route.sections) and route.sections[beside].side_by_side == 1:
                main = route.sections[beside]
                # A pipe in the wall that begins or ends with a change of bore meets the main pipe in that pipe's size.
                branch = main if end.kind == "change of bore" else section
                yield Junction(route.joined_by, after, main, branch, section.side_by_side - 1)
    for number, point in enumerate(route.tributaries, 1):
        main = next(section for section in route.sections if section.pieces[0].number == point.joins_after + 1)
        yield Junction(point.joined_by, point.joins_after, main, point.sections[-1], point=number)
