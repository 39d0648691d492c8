"""Putting a long pipe up through a slot into a stud bay: contact geometry with the face of formulas.

The slot is cut in a member whose underside is `room_height` above the floor. Everything is in the plane of the wall and
without clearance: play, plumb error and kerf come on top. Lengths in metres, leans in radians, floats or arrays.
"""

from collections.abc import Callable
from typing import Any

import numpy as np
from sympy import Max, Min, Piecewise, cos, sin, tan

from radonwork.engine.derivation import Eq
from radonwork.engine.formula import Values
from radonwork.engine.refusals import Refusal
from radonwork.engine.solver import solver
from radonwork.engine.sources import Source
from radonwork.formulas import insertion
from radonwork.solvers import contact

_CONTACT = Source(kind="derived", place="contact geometry of a leaning pipe")
_TOUCH = 1e-9  # of the pipe's length: nearer is touching, and shorter by no more than this still passes

Answers = dict[str, Values]


def _within(start: Values, length: Values, width: Values) -> None:
    """The slot ends within the bay, or one line says by how much it does not."""
    ends, limits = np.broadcast_arrays(np.asarray(start) + length, width)
    outside = ends > limits * (1 + 1e-9)
    if np.any(outside):
        end, limit = (float(values[outside].flat[0]) for values in (ends, limits))
        raise Refusal(
            lambda system: (
                f"the slot would end {contact.told(end, system)} from the left stud, "
                f"outside the bay of {contact.told(limit, system)}"
            )
        )


def _right(slot_length: Values, slot_start: Values, bay_width: Values) -> Any:
    """Whether the stud on the right is the farther one from the slot's other end."""
    return np.asarray(bay_width - slot_start >= slot_start + slot_length)


# ---------------------------------------------------------------- does it go in


def _reach(lean: Any, L: Any, H: Any, d: Any) -> Any:
    return L * sin(lean) - H * tan(lean) + d / cos(lean)


def _insertion_equations(
    pipe_length: Any, room_height: Any, member_thickness: Any, pipe_outside_diameter: Any, slot_length: Any,
    slot_start: Any, bay_width: Any, foot_lift_pit: Any, worst_lean: Any, underside_lean: Any, top_face_lean: Any,
    slot_lean: Any, bay_lean: Any, start_lean: Any, foot_room: Any, slot_needed: Any, bay_needed: Any, bay_room: Any,
    slot_margin: Any, bay_margin: Any, insertion_margin: Any,
) -> list[Eq]:  # fmt: skip
    L, H, d = pipe_length, room_height + foot_lift_pit, pipe_outside_diameter

    def steepness(lean: Any) -> Any:
        return L * cos(lean) ** 3 + d * sin(lean)

    return [
        # Where the reach still grows as the top passes the underside, that is the worst lean.
        Eq(steepness(worst_lean), Piecewise((H, worst_lean < underside_lean), (steepness(underside_lean), True))),
        Eq(slot_lean, Max(worst_lean, top_face_lean)),
        Eq(slot_needed, _reach(slot_lean, L, H, d)),
        Eq(bay_lean, Min(worst_lean, top_face_lean)),
        Eq(bay_needed, _reach(bay_lean, L, H, d)),
        Eq(foot_room, L * sin(start_lean)),
        Eq(bay_room, Max(bay_width - slot_start, slot_start + slot_length)),
        Eq(slot_margin, slot_length - slot_needed),
        Eq(bay_margin, bay_room - bay_needed),
        Eq(insertion_margin, Min(slot_margin, bay_margin)),
    ]


@solver(
    gives=(
        "slot_needed", "bay_needed", "start_lean", "underside_lean", "top_face_lean", "worst_lean", "slot_lean",
        "bay_lean", "foot_room", "bay_room", "slot_margin", "bay_margin", "insertion_margin", "lean_direction",
    ),
    source=_CONTACT,
    solves=_insertion_equations,
)  # fmt: skip
def pipe_insertion(
    pipe_length: Any,
    room_height: Any,
    member_thickness: Any,
    pipe_outside_diameter: Any,
    slot_length: Any,
    slot_start: Any,
    bay_width: Any,
    foot_lift_pit: Any = "0 in",
) -> Answers:
    """Whether a pipe goes in through the slot: what slot and bay it needs, and which way its top leans.

    Assumes a straight pipe in the plane of the wall, a level floor, studs plumb and the bay taller than needed.

    Assumes sharp edges and no clearance: play, plumb error and the saw's kerf come on top.

    Assumes a pit, if there is one, from under the slot to under the foot's start.
    """
    _within(slot_start, slot_length, bay_width)
    height = room_height + foot_lift_pit
    need = contact.needs(
        pipe_length=pipe_length,
        room_height=height,
        member_thickness=member_thickness,
        pipe_outside_diameter=pipe_outside_diameter,
    )
    leans = need.leans
    rooms = contact.bay_rooms(slot_length=slot_length, slot_start=slot_start, bay_width=bay_width)
    room = np.maximum(*rooms)
    slot_margin, bay_margin = slot_length - need.slot, room - need.bay
    direction = np.where(_right(slot_length, slot_start, bay_width), 1.0, -1.0) * (pipe_length > height)
    return {
        "slot_needed": need.slot,
        "bay_needed": need.bay,
        "start_lean": leans.start,
        "underside_lean": leans.underside,
        "top_face_lean": leans.top_face,
        "worst_lean": leans.worst,
        "slot_lean": np.maximum(leans.worst, leans.top_face),
        "bay_lean": np.minimum(leans.worst, leans.top_face),
        "foot_room": need.foot_room,
        "bay_room": room,
        "slot_margin": slot_margin,
        "bay_margin": bay_margin,
        "insertion_margin": np.minimum(slot_margin, bay_margin),
        "lean_direction": direction[()],
    }


@solver(
    gives=("longest_pipe", "longest_by_slot", "longest_by_bay"),
    source=_CONTACT,
    solves=lambda longest_pipe, longest_by_slot, longest_by_bay: [
        Eq(longest_pipe, Min(longest_by_slot, longest_by_bay)),
    ],
)
def longest_pipe(
    pipe_outside_diameter: Any,
    room_height: Any,
    member_thickness: Any,
    slot_length: Any,
    bay_room: Any,
    foot_lift_pit: Any = "0 in",
) -> Answers:
    """Longest pipe of that diameter that passes: nothing where slot or bay is narrower than the pipe.

    Assumes a straight pipe in the plane of the wall, a level floor and no clearance.
    """
    d, height = pipe_outside_diameter, room_height + foot_lift_pit
    # A diameter that does not enter at all must not stop the other samples of an array.
    slot, bay = np.maximum(slot_length, d), np.maximum(bay_room, d)
    by_slot = contact.longest_by_slot(
        slot_length=slot, room_height=height, member_thickness=member_thickness, pipe_outside_diameter=d
    )
    by_bay = contact.longest_by_bay(bay_room=bay, room_height=height, pipe_outside_diameter=d)
    by_slot, by_bay = by_slot * (slot_length >= d), by_bay * (bay_room >= d)
    return {"longest_pipe": np.minimum(by_slot, by_bay), "longest_by_slot": by_slot, "longest_by_bay": by_bay}


# ---------------------------------------------------------------- a second pipe, joists


def _second_pipe_equations(
    pipe_length: Any, room_height: Any, pipe_outside_diameter: Any, slot_start: Any, first_pipe_face: Any, clearance: Any,
    worst_lean: Any, second_pipe_needed: Any, second_pipe_room: Any, second_pipe_margin: Any,
) -> list[Eq]:  # fmt: skip
    return [
        Eq(second_pipe_room, first_pipe_face - clearance - slot_start),
        Eq(second_pipe_needed, _reach(worst_lean, pipe_length, room_height, pipe_outside_diameter)),
        Eq(second_pipe_margin, second_pipe_room - second_pipe_needed),
    ]


@solver(
    gives=(
        "second_pipe_room", "worst_lean", "second_pipe_needed", "second_pipe_margin", "longest_second_pipe",
    ),
    source=_CONTACT,
    solves=_second_pipe_equations,
)  # fmt: skip
def second_pipe(
    pipe_length: Any,
    room_height: Any,
    pipe_outside_diameter: Any,
    slot_start: Any,
    first_pipe_face: Any,
    clearance: Any = "0 in",
) -> Answers:
    """Whether a second pipe goes in beside one that stands already, its top leaning towards the first.

    Assumes the slot open up to the first pipe, which stands plumb from the floor up on the farther side.

    Assumes the second pipe stays in the plane of the wall; passing beside the first out of that plane is left out.
    """
    d = pipe_outside_diameter
    room = insertion.second_pipe_room(first_pipe_face=first_pipe_face, clearance=clearance, slot_start=slot_start)
    needed = contact.second_pipe_needed(pipe_length=pipe_length, room_height=room_height, pipe_outside_diameter=d)
    # The lean does not depend on the member, which may be of any thickness here.
    leans = contact.needs(
        pipe_length=pipe_length, room_height=room_height, member_thickness=d, pipe_outside_diameter=d
    ).leans
    longest = contact.longest_by_bay(bay_room=np.maximum(room, d), room_height=room_height, pipe_outside_diameter=d)
    return {
        "second_pipe_room": room,
        "worst_lean": leans.worst,
        "second_pipe_needed": needed,
        "second_pipe_margin": room - needed,
        "longest_second_pipe": longest * (room >= d),
    }


@solver(
    gives=("slot_needed", "bay_needed", "joist_gap_needed", "start_lean", "foot_room"),
    source=_CONTACT,
)
def joists_across(
    pipe_length: Any,
    subfloor_underside: Any,
    joist_bottom: Any,
    member_thickness: Any,
    pipe_outside_diameter: Any,
    joist_gap_behind: Any,
) -> Answers:
    """Slot and bay needed where joists cross the wall and the foot comes from under one of them.

    Assumes the other joist stays beyond the slot, and at least the stated gap between the two.

    Assumes a straight pipe in the plane of the wall, a level floor and no clearance.
    """
    lower, higher = np.broadcast_arrays(joist_bottom, subfloor_underside)
    if np.any(lower >= higher):
        at = float(lower[lower >= higher].flat[0])
        raise Refusal(
            lambda system: (
                f"joist bottom is {contact.told(at, system)}, which is not below the underside of the subfloor"
            )
        )
    need = contact.joists_across(
        pipe_length=pipe_length,
        subfloor_underside=subfloor_underside,
        joist_bottom=joist_bottom,
        member_thickness=member_thickness,
        pipe_outside_diameter=pipe_outside_diameter,
        joist_gap_behind=joist_gap_behind,
    )
    return {
        "slot_needed": need.slot,
        "bay_needed": need.bay,
        "joist_gap_needed": need.gap,
        "start_lean": need.start_lean,
        "foot_room": need.foot_room,
    }


# ---------------------------------------------------------------- the motion


@solver(
    gives=("lean", "foot_place", "foot_height", "jam_lean", "pose_state"),
    source=_CONTACT,
    stage=("0", "1"),
)
def insertion_pose(
    pipe_length: Any,
    room_height: Any,
    member_thickness: Any,
    pipe_outside_diameter: Any,
    slot_length: Any,
    slot_start: Any,
    bay_width: Any,
    lean_direction: Any,
    stage: Any,
    foot_lift_pit: Any = "0 in",
) -> Answers:
    """Where the pipe is at one stage of its way in, from the lean at the start to plumb or to where it jams.

    Assumes the left side of a pipe that leans right on the slot's left lower edge and the foot on the floor: no other
    pose of that lean needs less room.
    """
    _within(slot_start, slot_length, bay_width)
    L, H, T, d = pipe_length, room_height + foot_lift_pit, member_thickness, pipe_outside_diameter
    right = np.asarray(lean_direction) >= 0
    rooms = contact.bay_rooms(slot_length=slot_length, slot_start=slot_start, bay_width=bay_width)
    room = np.where(right, *rooms)
    leans = contact.needs(pipe_length=L, room_height=H, member_thickness=T, pipe_outside_diameter=d).leans
    start, top_face, worst = leans.start, leans.top_face, leans.worst
    touch = _TOUCH * L

    def reach(lean: Any) -> Any:
        return contact.reach(lean=lean, pipe_length=L, room_height=H, pipe_outside_diameter=d)

    def slot_spare(lean: Any) -> Any:
        return slot_length - _slot_filled(lean, reach(lean), L, H, T, d) + touch

    def bay_spare(lean: Any) -> Any:
        return room - reach(lean) + touch

    slot_jam = _used_up(slot_spare, np.maximum(worst, top_face), start)
    bay_jam = _used_up(bay_spare, np.minimum(worst, top_face), top_face)
    jam = np.maximum(slot_jam, bay_jam)
    lean = start + stage * (jam - start)
    # the middle of the foot, measured from the slot edge the pipe rests on
    foot = reach(lean) - L * np.sin(lean) - d / 2 * np.cos(lean)
    stuck = (jam > 0) & (lean <= jam * (1 + 1e-9))
    state = np.where(stuck, np.where(slot_jam >= bay_jam, -1.0, -2.0), np.where(lean < 1e-9, 1.0, 0.0))
    return {
        "lean": lean,
        "foot_place": np.where(right, slot_start + foot, slot_start + slot_length - foot)[()],
        "foot_height": d / 2 * np.sin(lean) - foot_lift_pit,
        "jam_lean": jam,
        "pose_state": state[()],
    }


def _slot_filled(lean: Any, reach: Any, L: Any, H: Any, T: Any, d: Any) -> Any:
    """Length of slot that the pipe fills at a lean: through the member, with its top in it, with its tip in it."""
    sine, cosine = np.sin(lean), np.cos(lean)
    tip = np.maximum(L * cosine + d * sine - H, 0) / np.maximum(sine * cosine, 1e-12)
    return np.where(L * cosine >= H + T, d / cosine + T * sine / cosine, np.where(L * cosine >= H, reach, tip))


def _used_up(spare: Callable[[Any], Any], peak: Any, start: Any) -> Any:
    """The lean, from the start down to the peak of the need, at which nothing is spare; 0 if something is throughout."""
    low, high = np.broadcast_arrays(peak, start)
    for _ in range(60):
        middle = (low + high) / 2
        free = spare(middle) > 0
        low, high = np.where(free, low, middle), np.where(free, middle, high)
    jam = np.where(spare(start) > 0, high, start)
    return np.where(spare(peak) >= 0, 0.0, jam)[()]
