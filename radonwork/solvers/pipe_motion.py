"""The motion of a long pipe into a stud bay, frame by frame, so that it can be drawn and stepped.

It is the pose of `contact` (side AC on the near slot edge, corner B on the floor), from the lean at which the top just
comes under the slot down to plumb, or to the lean at which the pipe jams. Letters, units and validity as there.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, inf, sin, tan

import numpy as np
from scipy.optimize import brentq

from radonwork.solvers.contact import Side, bay_rooms, needs, require

Point = tuple[float, float]


@dataclass(frozen=True)
class Contact:
    """`part` of the pipe (a corner "B" or a side "AC") touches `on` at a point of the wall."""

    part: str
    on: str
    at: Point


@dataclass(frozen=True)
class Pose:
    """One frame. `lean` is positive with the top to the right; `corners` go round the pipe, A, B, D, C, in wall x and y.

    Gaps: pipe to the far slot end and, once D is above the member, D to the far stud (before that, infinite).
    """

    lean: float
    corners: dict[str, Point]
    contacts: tuple[Contact, ...]
    slot_gap: float
    bay_gap: float


def motion(
    *,
    pipe_length: float,
    room_height: float,
    member_thickness: float,
    pipe_outside_diameter: float,
    slot_length: float,
    slot_start: float,
    bay_width: float,
    top: Side,
    foot_lift_pit: float = 0.0,
    frames: int = 60,
) -> list[Pose]:
    """From the start, C under the near slot edge, to plumb on the floor, or to the pose in which the pipe jams.

    `frames` evenly spaced leans and, between them, the other leans of `contact.Leans`. Before the start the pipe lies
    in the room and its top is raised while the foot is drawn in to `foot_room`. A pit counts as room height if it runs
    from under the slot to under the starting foot; y = 0 stays the concrete. For a second pipe give a slot and a bay
    that end at the first one's face, and lean towards it. Raises Refusal, one line, as `contact.needs`.
    """
    require("foot_lift_pit", foot_lift_pit, foot_lift_pit >= 0, "zero or more")
    require("slot_length", slot_length, slot_length >= pipe_outside_diameter, "at least the pipe's outside diameter")
    L, H, T, d, s = pipe_length, room_height + foot_lift_pit, member_thickness, pipe_outside_diameter, slot_length
    room = float(bay_rooms(slot_length=s, slot_start=slot_start, bay_width=bay_width)[top == "left"])
    need = needs(pipe_length=L, room_height=H, member_thickness=T, pipe_outside_diameter=d)
    start, underside, top_face, worst = map(float, vars(need.leans).values())
    touch = 1e-9 * L  # nearer than this is touching, and shorter by no more than this still passes

    def reach(lean: float) -> float:
        return L * sin(lean) - H * tan(lean) + d / cos(lean)

    def slot_use(lean: float) -> float:
        if lean <= top_face:
            return d / cos(lean) + T * tan(lean)
        if lean <= underside:
            return reach(lean)
        return max(L * cos(lean) + d * sin(lean) - H, 0.0) / (sin(lean) * cos(lean))

    def wall(x: float, y: float) -> Point:
        return (slot_start + x if top == "right" else slot_start + s - x), y - foot_lift_pit

    def pose(lean: float) -> Pose:
        foot = reach(lean) - L * sin(lean)
        across, up = d * cos(lean), d * sin(lean)
        A, B = (foot - across, up), (foot, 0.0)
        D = reach(lean), L * cos(lean)
        C = D[0] - across, D[1] + up
        slot_gap = s - slot_use(lean)
        bay_gap = room - D[0] if D[1] > H + T else inf
        contacts = [("B" if lean else "AB", "floor", B)]
        if C[1] >= H - touch:
            contacts.append(("AC" if C[1] > H + touch else "C", "near slot edge", (0.0, H)))
        if slot_gap < touch:
            part = "BD" if D[1] > H + T else "D" if D[1] >= H else "CD"
            contacts.append((part, "far slot end", (s, min(max(D[1], H), H + T))))
        if bay_gap < touch:
            contacts.append(("D", "far stud", D))
        return Pose(
            lean if top == "right" else -lean,
            {name: wall(*point) for name, point in zip("ABDC", (A, B, D, C), strict=True)},
            tuple(Contact(part, on, wall(*at)) for part, on, at in contacts),
            slot_gap,
            bay_gap,
        )

    end = max(  # a jam, if any
        _used_up(lambda lean: s - slot_use(lean) + touch, max(worst, top_face), start),
        _used_up(lambda lean: room - reach(lean) + touch, min(worst, top_face), top_face),
    )
    stations = [lean for lean in (underside, top_face, worst) if end < lean < start]
    return [pose(float(lean)) for lean in np.union1d(np.linspace(start, end, frames), stations)[::-1]]


def _used_up(spare: Callable[[float], float], peak: float, start: float) -> float:
    """The lean, from the start down to the peak of the need, at which nothing is spare; 0 if something is throughout."""
    if spare(peak) >= 0:
        return 0.0
    return float(brentq(spare, peak, start)) if spare(start) > 0 else start
