"""Contact geometry of a straight pipe, longer than the room is high, put up through a slot into a stud bay.

In the plane of the wall x runs along it and y up, the concrete at y = 0. The slotted member (plate and subfloor) fills
H <= y <= H + T but for the slot a <= x <= a + s; above it lies the bay between studs at x = 0 and x = W, taller than
needed. The pipe is a rectangle of length L and diameter d. With the top leaning right its foot corners are A (left) and
B (right, the lowest), its top corners C (left, the highest) and D (right). A lean to the left is the mirror image, so
"near" means the side of the foot and "far" the side the top leans to.

Rest the side AC on the near lower slot edge E and the corner B on the concrete. No pose of that lean keeps D nearer to E
(raising the foot by h moves D away by h tan), so what this pose cannot do, none can; and it is continuous in the lean,
so it is also the motion. All that follows is the greatest reach of D beyond E over the right leans. It holds for
d < H/sqrt(2): there the reach has one peak, and the slot's need above the underside lean only falls, since its slope
has the sign of cos^2 (H - L cos) - sin^2 (H - d sin), which is negative.

Lengths in metres, leans in radians, floats or arrays that broadcast. What does not hold raises Refusal, one line with the
length in people's units. No clearance is included: play, plumb error and kerf come on top.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf, sqrt
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from radonwork.engine.refusals import Refusal
from radonwork.glossary import System
from radonwork.units import decimal

Value = float | NDArray[np.float64]
Side = Literal["right", "left"]


def told(length: float, system: System) -> str:
    """A length as a person of that system writes it."""
    return decimal(length, "in" if system == "us" else "mm")


def require(name: str, value: Value, holds: Any, wanted: str) -> None:
    """Raises Refusal where a length is not what is wanted; `holds` says where it is."""
    if not np.all(holds):
        values, held = np.broadcast_arrays(value, holds)
        wrong = float(values[~held].flat[0])

        label = name.replace("_", " ")
        raise Refusal(lambda system: f"{label} is {told(wrong, system)}, which will not do; it must be {wanted}")


def _require_lengths(**lengths: Value) -> None:
    for name, value in lengths.items():
        require(name, value, np.isfinite(value) & (value > 0), "a length above zero")


def _require_pipe(d: Value, H: Value, **lengths: Value) -> None:
    """The diameter fits the room, and each length is no less than the diameter."""
    _require_lengths(room_height=H, **lengths)
    require("pipe_outside_diameter", d, (d >= 0) & (d * sqrt(2) < H), "zero or more and below 0.7 of the room height")
    for name, value in lengths.items():
        require(name, value, value >= d, "at least the pipe's outside diameter")


def _root(falling: Callable[[Value], tuple[Value, Value]], low: Value, high: Value) -> Value:
    """Where a function (given with its slope) that falls from low to high is zero: Newton, halving where it strays."""
    lean = (low + high) / 2
    with np.errstate(divide="ignore", invalid="ignore"):
        for _ in range(100):
            value, slope = falling(lean)
            low, high = np.where(value > 0, lean, low), np.where(value > 0, high, lean)
            newton = lean - value / slope
            last, lean = lean, np.where((low <= newton) & (newton <= high), newton, (low + high) / 2)
            if np.all(np.abs(lean - last) < 1e-9):  # Newton squares the error: nothing is left of it
                break
    return np.asarray(lean)[()]


# ---------------------------------------------------------------- leans, slot and bay


@dataclass(frozen=True)
class Leans:
    """Leans from plumb: C at the underside (start), D at the underside, D at the top face, D reaching farthest (worst).

    Zero where the pipe is too short to have one; `worst` is never above `underside`.
    """

    start: Value
    underside: Value
    top_face: Value
    worst: Value


@dataclass(frozen=True)
class Needs:
    """What a pipe asks for: slot, bay room from the near slot end to the far stud, floor from there to the start of A."""

    leans: Leans
    slot: Value
    bay: Value
    foot_room: Value


def reach(*, lean: Value, pipe_length: Value, room_height: Value, pipe_outside_diameter: Value) -> Value:
    """How far D lies beyond E, signed: g = L sin - H tan + d sec."""
    return _reach(lean, pipe_length, room_height, pipe_outside_diameter)


def _reach(lean: Value, L: Value, H: Value, d: Value) -> Value:
    return L * np.sin(lean) - H * np.tan(lean) + d / np.cos(lean)


def needs(*, pipe_length: Value, room_height: Value, member_thickness: Value, pipe_outside_diameter: Value) -> Needs:
    """The slot holds the reach while D passes the member, the bay while D is above it.

    At smaller leans the slot needs d sec + T tan, at larger ones (L cos + d sin - H)/(sin cos), both less.
    A pipe no longer than the room is high needs its diameter of each. A thin rod has the diameter zero.
    """
    _require_lengths(member_thickness=member_thickness)
    _require_pipe(pipe_outside_diameter, room_height, pipe_length=pipe_length)
    return _needs(pipe_length, room_height, member_thickness, pipe_outside_diameter)


def _needs(L: Value, H: Value, T: Value, d: Value) -> Needs:
    diagonal = np.hypot(L, d)
    start = np.arccos(np.minimum(H / diagonal, 1)) + np.arctan2(d, L) * (diagonal > H)
    underside, top_face = np.arccos(np.minimum(H / L, 1)), np.arccos(np.minimum((H + T) / L, 1))

    def slope_of_reach(lean: Value) -> tuple[Value, Value]:  # g' cos^2
        sine, cosine = np.sin(lean), np.cos(lean)
        return L * cosine**3 + d * sine - H, (d - 3 * L * cosine * sine) * cosine

    low = np.arcsin(d / H)  # there g' = L cos - H: the peak lies between this and the underside lean, or not below it
    worst = np.minimum(_root(slope_of_reach, low, np.maximum(low, underside)), underside)
    slot, bay = _reach(np.maximum(worst, top_face), L, H, d), _reach(np.minimum(worst, top_face), L, H, d)
    return Needs(Leans(start, underside, top_face, worst), slot, bay, L * np.sin(start))


# ---------------------------------------------------------------- longest pipe


@dataclass(frozen=True)
class Longest:
    """Longest pipe by the slot alone and by the bay alone, with the top to the right and to the left."""

    by_slot: Value
    by_bay_right: Value
    by_bay_left: Value

    @property
    def right(self) -> Value:
        return np.minimum(self.by_slot, self.by_bay_right)

    @property
    def left(self) -> Value:
        return np.minimum(self.by_slot, self.by_bay_left)

    @property
    def best(self) -> Value:
        return np.maximum(self.right, self.left)


def lean_in_hole(*, hole_diameter: Value, member_thickness: Value, pipe_outside_diameter: Value) -> Value:
    """Largest lean of a pipe right through a hole, or through a slot of that length: D_h cos - T sin = d."""
    D, T, d = hole_diameter, member_thickness, pipe_outside_diameter
    _require_lengths(hole_diameter=D, member_thickness=T)
    require("pipe_outside_diameter", d, (d >= 0) & (d <= D), "zero or more and no more than the hole")
    return np.arccos(d / np.hypot(D, T)) - np.arctan2(T, D)


def longest_by_bay(*, bay_room: Value, room_height: Value, pipe_outside_diameter: Value) -> Value:
    """Longest pipe whose reach never exceeds the bay room: the thick bar around a corner of corridors W' and H.

    It jams at the root of H sin^3 - W' cos^3 + d cos(2 lean), where g = W' and g' = 0, so L cos^3 = H - d sin. Only
    below W' = d/sqrt(1 - (d/H)^2) does it jam as D leaves the underside, at d sec = W' with L cos = H; the least value
    of the thick-bar function W'/sin + H/cos - d/(sin cos) would there be less than H.
    """
    W, H, d = bay_room, room_height, pipe_outside_diameter
    _require_pipe(d, H, bay_room=W)

    def corner(lean: Value) -> tuple[Value, Value]:
        sine, cosine = np.sin(lean), np.cos(lean)
        value = W * cosine**3 - H * sine**3 - d * (cosine**2 - sine**2)
        return value, sine * cosine * (4 * d - 3 * H * sine - 3 * W * cosine)

    low, leaves = np.arcsin(d / H), np.arccos(d / W)
    jam = np.minimum(_root(corner, low, np.maximum(low, leaves)), leaves)
    return np.maximum(H / np.cos(jam), (H - d * np.sin(jam)) / np.cos(jam) ** 3)


def longest_by_slot(
    *, slot_length: Value, room_height: Value, member_thickness: Value, pipe_outside_diameter: Value
) -> Value:
    """Longest pipe through the slot, the bay wide: D at the top face at the lean the slot allows, L cos = H + T.

    Where the reach peaks while D is still inside the member, the slot itself is the corridor of the thick bar.
    """
    s, H, T, d = slot_length, room_height, member_thickness, pipe_outside_diameter
    _require_lengths(member_thickness=T)
    _require_pipe(d, H, slot_length=s)
    lean = lean_in_hole(hole_diameter=s, member_thickness=T, pipe_outside_diameter=d)
    length = (H + T) / np.cos(lean)
    corridor = longest_by_bay(bay_room=s, room_height=H, pipe_outside_diameter=d)
    return np.where(_needs(length, H, T, d).leans.worst <= lean, length, corridor)[()]


def longest(
    *,
    room_height: Value,
    member_thickness: Value,
    pipe_outside_diameter: Value,
    slot_length: Value,
    slot_start: Value,
    bay_width: Value,
) -> Longest:
    """Longest pipe that passes: the slot lies within the bay, so with each lean it is the lesser of the two limits."""
    H, T, d = room_height, member_thickness, pipe_outside_diameter
    return Longest(
        longest_by_slot(slot_length=slot_length, room_height=H, member_thickness=T, pipe_outside_diameter=d),
        *(
            longest_by_bay(bay_room=room, room_height=H, pipe_outside_diameter=d)
            for room in bay_rooms(slot_length=slot_length, slot_start=slot_start, bay_width=bay_width)
        ),
    )


# ---------------------------------------------------------------- will it go in


@dataclass(frozen=True)
class Direction:
    """One way to lean the top: what is to spare (below zero: short) and the wall x at which the foot corner A starts."""

    top: Side
    slot_margin: float
    bay_margin: float
    foot_margin: float
    foot_start: float

    @property
    def passes(self) -> bool:
        return self.slot_margin >= 0 and self.bay_margin >= 0


@dataclass(frozen=True)
class Verdict:
    needs: Needs
    right: Direction
    left: Direction

    @property
    def passes(self) -> bool:
        return self.right.passes or self.left.passes

    @property
    def preferred(self) -> Direction | None:
        """Of the ways that pass, the one with room for the foot, then with more bay to spare, then with more floor."""

        def merit(way: Direction) -> tuple[bool, float, float]:
            return way.foot_margin >= 0, round(way.bay_margin, 9), way.foot_margin

        return max((way for way in (self.right, self.left) if way.passes), key=merit, default=None)


def bay_rooms(*, slot_length: Value, slot_start: Value, bay_width: Value) -> tuple[Value, Value]:
    """Bay room for a lean of the top to the right and to the left."""
    _require_lengths(slot_length=slot_length, bay_width=bay_width)
    require("slot_start", slot_start, slot_start >= 0, "zero or more, measured from the left stud")
    slot_end = slot_start + slot_length
    require("slot end", slot_end, slot_end <= bay_width * (1 + 1e-9), "within the bay (slot start plus slot length)")
    return bay_width - slot_start, slot_end


def verdict(
    *,
    pipe_length: float,
    room_height: float,
    member_thickness: float,
    pipe_outside_diameter: float,
    slot_length: float,
    slot_start: float,
    bay_width: float,
    foot_room_left: float = inf,
    foot_room_right: float = inf,
) -> Verdict:
    """A pipe passes if and only if the slot and, with one lean, the bay suffice.

    `foot_room_left` and `foot_room_right`, clear floor beyond the left and the right end of the slot, choose between
    two ways that pass; short of floor, a pipe with slot to spare may still go in with its foot raised.
    """
    right, left = bay_rooms(slot_length=slot_length, slot_start=slot_start, bay_width=bay_width)
    need = needs(
        pipe_length=pipe_length,
        room_height=room_height,
        member_thickness=member_thickness,
        pipe_outside_diameter=pipe_outside_diameter,
    )
    slot, bay, foot = slot_length - float(need.slot), float(need.bay), float(need.foot_room)
    return Verdict(
        need,
        Direction("right", slot, float(right) - bay, foot_room_left - foot, slot_start - foot),
        Direction("left", slot, float(left) - bay, foot_room_right - foot, slot_start + slot_length + foot),
    )


# ---------------------------------------------------------------- a second pipe, joists


@dataclass(frozen=True)
class JoinedHoles:
    """Two holes joined by a slot, a pipe in each: overall slot, distance of the centres, least bay without any gap."""

    slot: Value
    centres: Value
    bay: Value


@dataclass(frozen=True)
class JoistsAcross:
    """Needs where joists cross the wall; `gap` is the least clear distance between the two joists."""

    slot: Value
    bay: Value
    gap: Value
    start_lean: Value
    foot_room: Value


def second_pipe_needed(*, pipe_length: Value, room_height: Value, pipe_outside_diameter: Value) -> Value:
    """Room from the near slot end to a first pipe that stands plumb from the concrete up, the second leaning towards it.

    That room is slot and bay in one, so the need is the greatest reach, and the longest second pipe is
    `longest_by_bay` with that room. Leaning the other way would cross the first pipe in the plane of the wall.
    """
    _require_pipe(pipe_outside_diameter, room_height, pipe_length=pipe_length)
    # over a member of no thickness D is above it at every lean
    return _needs(pipe_length, room_height, 0.0, pipe_outside_diameter).bay


def joined_holes(
    *, pipe_length: Value, room_height: Value, pipe_outside_diameter: Value, hole_diameter: Value
) -> JoinedHoles:
    """The pipes end in the middle of the two end holes; at the least they stand side by side."""
    D, d = hole_diameter, pipe_outside_diameter
    _require_lengths(hole_diameter=D)
    require("hole_diameter", D, d <= D, "at least the pipe's outside diameter")
    room = second_pipe_needed(pipe_length=pipe_length, room_height=room_height, pipe_outside_diameter=d)
    slot = np.maximum(room + (D + d) / 2, D + d)
    return JoinedHoles(slot, slot - D, room + d)


def joists_across(
    *,
    pipe_length: Value,
    subfloor_underside: Value,
    joist_bottom: Value,
    member_thickness: Value,
    pipe_outside_diameter: Value,
    joist_gap_behind: Value,
) -> JoistsAcross:
    """The near joist's face is `joist_gap_behind` behind E; AC must clear E and the joist's lower corner.

    Holds while the far joist stays beyond the slot. Between the joists a joist is a member of its own depth and the gap
    is its slot. H is the subfloor's underside, T what the slot is cut through above it.
    """
    L, H, Hj, T, d = pipe_length, subfloor_underside, joist_bottom, member_thickness, pipe_outside_diameter
    _require_lengths(subfloor_underside=H, member_thickness=T)
    _require_pipe(d, Hj, pipe_length=L)
    require("joist_bottom", Hj, Hj < H, "below the underside of the subfloor")
    require("joist_gap_behind", joist_gap_behind, joist_gap_behind >= 0, "zero or more")
    edge, joist = _needs(L, H, T, d), _needs(L, Hj, H - Hj, d)
    low, high, worst = edge.leans.top_face, edge.leans.underside, joist.leans.worst
    return JoistsAcross(
        slot=np.maximum(edge.slot, _reach(np.clip(worst, low, high), L, Hj, d) - joist_gap_behind),
        bay=np.maximum(edge.bay, _reach(np.minimum(worst, low), L, Hj, d) - joist_gap_behind),
        gap=joist.slot,
        start_lean=joist.leans.start,
        foot_room=joist.foot_room + joist_gap_behind,
    )
