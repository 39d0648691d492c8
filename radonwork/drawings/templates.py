"""What a house's record lets one cut and mark, at true size: outlines in metres, x to the right and y up.

Every size comes from the calculations and the formulas of the house; nothing is worked out here but where lines end.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from radonwork.drawings.outlines import slot_outline
from radonwork.formulas import wraps
from radonwork.house.calculations import calculate
from radonwork.house.record import House
from radonwork.units import shown

Look = Literal["cut", "mark", "edge"]
Place = tuple[float, float]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True)
class Stroke:
    """A line through points: to cut along, to mark, or an edge to lay the sheet against."""

    look: Look
    points: tuple[Place, ...]


@dataclass(frozen=True)
class Round:
    """A circle by its centre and diameter."""

    look: Look
    centre: Place
    diameter: float


@dataclass(frozen=True)
class Words:
    """Words beside a point, on the sheet only: nothing is measured by them."""

    at: Place
    text: str
    anchor: Anchor = "start"


Shape = Stroke | Round | Words


@dataclass(frozen=True)
class Template:
    """One thing to lay on the work; `name` is what its files are called, `says` how it is used."""

    name: str
    title: str
    says: str
    shapes: tuple[Shape, ...]

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of all that is cut or marked."""
        found: list[Place] = []
        for shape in self.shapes:
            if isinstance(shape, Stroke):
                found += shape.points
            elif isinstance(shape, Round):
                (x, y), r = shape.centre, shape.diameter / 2
                found += [(x - r, y - r), (x + r, y + r)]
            else:
                found.append(shape.at)
        (left, right), (bottom, top) = ((min(axis), max(axis)) for axis in zip(*found, strict=True))
        return left, bottom, right, top


@dataclass(frozen=True)
class Absent:
    """A template that could not be made, and the fields of the record that would supply what it lacks."""

    title: str
    fields: tuple[str, ...]


def templates(house: House) -> tuple[tuple[Template, ...], tuple[Absent, ...]]:
    """Every template for which the record states enough, and what the others lack."""
    roof = calculate(house, "roof").run.values
    values = {name: quantity.value for name, quantity in house.facts().items()} | dict(roof)
    made: list[Template] = []
    absent: list[Absent] = []
    for title, takes, make in _MADE:
        lacking = [name for name in takes if name not in values]
        if lacking:
            fields = house.missing(lacking)
            absent.append(Absent(title, tuple(dict.fromkeys(fields.values())) or tuple(lacking)))
        else:
            made += make(house, values)
    sump = house.suction and house.suction.kind == "sump"
    if sump and not any(hole.diameter for hole in (house.lid.hole if house.lid else ())):
        absent.append(Absent("Holes in the lid of the sump", ("lid.hole",)))
    return (*made, *_lid(house)), tuple(absent)


# ---------------------------------------------------------------- the roof


def _roof(house: House, values: Mapping[str, float]) -> Iterator[Template]:
    hole, shift = values["bored_hole_diameter"], values["hole_centre_shift"]
    end, centres = values["end_hole_diameter"], values["slot_hole_centres"]
    unit = "in" if house.system == "us" else "mm"
    reach = hole / 2 + 0.02

    def marks() -> Iterator[Shape]:
        yield Stroke("mark", ((0.0, -reach), (0.0, reach)))
        yield from _cross((0.0, 0.0), hole / 2 + 0.01)
        for at, side in ((-shift, "underside"), (shift, "top side")):
            yield Stroke("mark", ((-0.004, at - 0.004), (0.004, at + 0.004)))
            yield Stroke("mark", ((-0.004, at + 0.004), (0.004, at - 0.004)))
            yield Words((0.006, at + math.copysign(0.004, at) - 0.001), f"pipe’s centre on the {side}")
        yield from _arrow((-hole / 2 - 0.016, -0.02), (-hole / 2 - 0.016, 0.02))
        yield Words((-hole / 2 - 0.012, 0.022), "up-slope", "middle")

    saw = f" The next saw at hand is {shown(values['hole_saw'], unit)}." if "hole_saw" in values else ""
    says = (
        "Lay the sheet on the deck, the arrow straight up the slope, and the mark for the side you work on over the plumb "
        "mark of the pipe. Prick the centres through, and bore square to the deck."
    )
    yield Template(
        "roof-hole-round",
        f"Round hole in the roof deck, {shown(hole, unit)}",
        says + saw,
        (Round("cut", (0.0, 0.0), hole), *marks()),
    )
    outline = [(y, x) for x, y in slot_outline(end / 2, centres / 2)]
    ends = [shape for y in (-centres / 2, centres / 2) for shape in _cross((0.0, y), 0.006)]
    yield Template(
        "roof-hole-slot",
        f"Slot-shaped opening in the roof deck, end holes {shown(end, unit)}",
        says + " The slot wastes less of the deck: bore its two ends, then saw along the straight sides.",
        (Stroke("cut", (*outline, outline[0])), *ends, *marks()),
    )


# ---------------------------------------------------------------- plates


def _plate(house: House, values: Mapping[str, float]) -> Iterator[Template]:
    width, hole = values["member_depth"], values["hole_diameter"]
    unit = "in" if house.system == "us" else "mm"
    half = hole
    yield Template(
        "plate-hole",
        f"Hole in a wall plate, {shown(hole, unit)}",
        "Lay the two long edges on the edges of the plate, the cross line on your mark across it, and prick the centre through. "
        "The local code says whether the hole may be bored at all.",
        (
            Round("cut", (0.0, 0.0), hole),
            *_cross((0.0, 0.0), hole / 2 + 0.008),
            *(Stroke("edge", ((-half, side * width / 2), (half, side * width / 2))) for side in (-1, 1)),
            Words((-half, width / 2 + 0.002), "edge of the plate"),
        ),
    )


def _slot(house: House, values: Mapping[str, float]) -> Iterator[Template]:
    width, start, length = (values[name] for name in ("member_depth", "slot_start", "slot_length"))
    hole = min(values["hole_diameter"], length)  # its ends are bored with the saw of the other holes
    unit = "in" if house.system == "us" else "mm"
    outline = [(x + start + length / 2, y) for x, y in slot_outline(hole / 2, (length - hole) / 2)]
    far = start + length + 0.02
    marks: list[Shape] = [
        shape
        for x in (start + hole / 2, start + length - hole / 2)
        for shape in _cross((x, 0.0), 0.008)
    ]  # fmt: skip
    if "first_pipe_face" in values:
        face = values["first_pipe_face"]
        marks.append(Stroke("mark", ((face, -width / 2), (face, width / 2))))
        marks.append(Words((face + 0.001, -width / 2 - 0.005), "near face of the first pipe"))
    yield Template(
        "plate-slot",
        f"Slot in the plate for putting a long pipe in, {shown(length, unit)} long",
        "Lay the short edge against the face of the stud and the two long edges on the edges of the plate. Bore the ends, saw "
        "between them. A slot takes wood that may carry load: a licensed person decides.",
        (
            Stroke("cut", (*outline, outline[0])),
            *marks,
            *(Stroke("edge", ((0.0, side * width / 2), (far, side * width / 2))) for side in (-1, 1)),
            Stroke("edge", ((0.0, -width / 2), (0.0, width / 2))),
            Words((0.001, width / 2 + 0.002), "face of the stud"),
        ),
    )


# ---------------------------------------------------------------- the lid


def _lid(house: House) -> Iterator[Template]:
    """Holes with a place in the lid stand together about its centre; one without stands by itself."""
    lid = house.lid
    if lid is None:
        return
    unit = "in" if house.system == "us" else "mm"
    together: list[Shape] = []
    for count, hole in enumerate(lid.hole, 1):
        if not hole.diameter:
            continue
        name, size = hole.name or f"hole {count}", hole.diameter.value
        centre = hole.at.point if hole.at else (0.0, 0.0)
        shapes: list[Shape] = [
            Round("cut", centre, size),
            *_cross(centre, size / 2 + 0.006),
            Words((centre[0], centre[1] + size / 2 + 0.008), f"{name}, {shown(size, unit)}", "middle"),
        ]
        if hole.at:
            together += shapes
        else:
            yield Template(
                f"lid-hole-{count}", f"Hole in the lid of the sump: {name}",
                "Lay the cross on your mark, and prick the centre through.", tuple(shapes),
            )  # fmt: skip
    if together:
        if lid.diameter:
            together.append(Round("edge", (0.0, 0.0), lid.diameter.value))
        yield Template(
            "lid-holes",
            "Holes in the lid of the sump",
            "Lay the middle cross on the centre of the lid. The lid must still come off for the pump, and be sealed again.",
            (*together, *_cross((0.0, 0.0), 0.012)),
        )


# ---------------------------------------------------------------- around a pipe

_AROUND = np.radians(np.arange(0.0, 361.0, 2.5))
_STRIP = 0.025  # m of paper beyond the curve, to hold it by
_SADDLES, _MITRES = (90, 45), (45, 90)  # degrees: between the two axes; of the whole turn


def _saddles(house: House, values: Mapping[str, float]) -> Iterator[Template]:
    small, large = sorted((values["small_pipe_diameter"], values["pipe_outside_diameter"]))
    unit = "in" if house.system == "us" else "mm"
    for angle in _SADDLES:
        reach = np.asarray(
            wraps.saddle_reach(
                branch_diameter=small, header_diameter=large, branch_angle=math.radians(angle), wrap_angle=_AROUND
            )
        )
        top = float(reach.max()) + _STRIP
        yield _wrap(
            f"saddle-{angle}", f"Saddle of a {shown(small, unit)} pipe on a {shown(large, unit)} pipe at {angle}°",
            "Wrap the strip square around the pipe, the straight edge away from the end to be cut, its two ends meeting at 0°. "
            f"Cut along the curve. The straight edge lies {shown(top, unit)} from the other pipe’s axis. 0° is the heel, in the "
            "wider angle. Where a fitting is made for the joint, use the fitting.",
            small, reach, top,
        )  # fmt: skip


def _mitres(house: House, values: Mapping[str, float]) -> Iterator[Template]:
    pipe = values["pipe_outside_diameter"]
    unit = "in" if house.system == "us" else "mm"
    for turn in _MITRES:
        heights = wraps.mitre_height(pipe_outside_diameter=pipe, mitre_angle=math.radians(turn) / 2, wrap_angle=_AROUND)
        yield _wrap(
            f"mitre-{turn}", f"Mitre of a {shown(pipe, unit)} pipe for a turn of {turn}°",
            "Wrap the strip square around the pipe, its two ends meeting at 0°, and cut along the curve; two such ends make the "
            "turn. 0° is the short side, inside the bend. Where a fitting is made for the turn, use the fitting.",
            pipe, np.asarray(heights), -_STRIP,
        )  # fmt: skip


def _wrap(name: str, title: str, says: str, pipe: float, heights: np.ndarray, edge: float) -> Template:
    """A curve unrolled: `heights` along the pipe at each angle around it, and the straight edge of the strip."""
    arcs = np.asarray(wraps.wrap_arc(pipe_outside_diameter=pipe, wrap_angle=_AROUND))
    once = float(arcs[-1])
    shapes: list[Shape] = [Stroke("cut", tuple(zip(arcs.tolist(), heights.tolist(), strict=True)))]
    shapes.append(Stroke("edge", ((0.0, edge), (once, edge))))
    shapes += [Stroke("edge", ((x, edge), (x, float(heights[0])))) for x in (0.0, once)]
    for degrees in (90, 180, 270):
        at = int(np.argmin(np.abs(_AROUND - math.radians(degrees))))
        x, end = float(arcs[at]), float(heights[at])
        shapes.append(Stroke("mark", ((x, edge), (x, end))))
        shapes.append(Words((x + 0.001, edge + (0.002 if edge < end else -0.004)), f"{degrees}°"))
    return Template(name, title, says, tuple(shapes))


def _turning(house: House, values: Mapping[str, float]) -> Iterator[Template]:
    unit = "in" if house.system == "us" else "mm"
    sizes = {values[name] for name in ("pipe_outside_diameter", "small_pipe_diameter") if name in values}
    for count, pipe in enumerate(sorted(sizes, reverse=True), 1):
        ticks: list[Shape] = []
        for degrees in range(0, 361, 5):
            x = float(wraps.wrap_arc(pipe_outside_diameter=pipe, wrap_angle=math.radians(degrees)))
            tall = 0.014 if degrees % 45 == 0 else 0.010 if degrees % 15 == 0 else 0.006
            ticks.append(Stroke("mark", ((x, 0.0), (x, tall))))
            if degrees % 15 == 0:
                ticks.append(Words((x, tall + 0.002), f"{degrees}", "middle"))
        once = float(wraps.wrap_arc(pipe_outside_diameter=pipe, wrap_angle=2 * math.pi))
        box = ((0.0, 0.0), (once, 0.0), (once, 0.022), (0.0, 0.022), (0.0, 0.0))
        yield Template(
            f"turning-marks-{count}", f"Degrees around a {shown(pipe, unit)} pipe, for turning one fitting against another",
            "Cut out, wrap around the pipe so that 0 meets 360, and mark the pipe and the hub at the angle you want. If the ends "
            "do not meet, the print is not at true size or the pipe is not of this diameter.",
            (Stroke("edge", box), *ticks),
        )  # fmt: skip


# ---------------------------------------------------------------- what all share


def _cross(at: Place, size: float) -> Iterator[Shape]:
    x, y = at
    yield Stroke("mark", ((x - size, y), (x + size, y)))
    yield Stroke("mark", ((x, y - size), (x, y + size)))


def _arrow(tail: Place, tip: Place) -> Iterator[Shape]:
    (x, y), head = tip, 0.005
    yield Stroke("mark", (tail, tip))
    yield Stroke("mark", ((x - head / 2, y - head), (x, y), (x + head / 2, y - head)))


_MADE = (
    (
        "Hole in the roof deck",
        ("pipe_outside_diameter", "roof_angle", "deck_thickness", "bored_hole_diameter", "slot_hole_centres"),
        _roof,
    ),
    ("Hole in a wall plate", ("member_depth", "hole_diameter"), _plate),
    ("Slot in the plate", ("member_depth", "hole_diameter", "slot_start", "slot_length"), _slot),
    ("Saddle of one pipe on another", ("small_pipe_diameter", "pipe_outside_diameter"), _saddles),
    ("Mitre", ("pipe_outside_diameter",), _mitres),
    ("Degrees around the pipe", ("pipe_outside_diameter",), _turning),
)
