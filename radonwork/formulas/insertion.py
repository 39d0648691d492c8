"""A straight pipe, longer than the room is high, put up through a slot into a stud bay: what has a closed form.

In the plane of the wall x runs along it from the slot edge E that the pipe rests on, y up from the floor. The top leans
to the right; its mirror image leans left. The foot corners are A (left) and B (right, on the floor), the top corners C
above A and D above B. How far D lies beyond E, the reach, decides: the slot must hold it while D passes the member and
the bay while D is above it. No clearance is included anywhere: play, plumb error and kerf come on top.
"""

import sympy
from sympy import Rational, atan, cos, sin, sqrt, tan

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_CONTACT = Source(kind="derived", place="coordinates of the corners of a leaning pipe")
_WORST = Source(kind="derived", place="greatest reach over the leans")
_LADDER = Source("mathworld-moving-ladder", "the longest rod around a right-angled corner")
_WALL = Source(kind="derived", place="widths add up along the wall")


# ---------------------------------------------------------------- reach and leans


@formula(
    "reach",
    _CONTACT,
    when={
        "the top corner stands no lower than the underside": lambda lean, pipe_length, room_height: (
            room_height <= pipe_length * cos(lean)
        ),
    },
)
def reach(lean, pipe_length, room_height, pipe_outside_diameter):
    """How far the top of a leaning pipe reaches beyond the slot edge it rests on.

    Assumes the foot on the floor, the pipe straight and in the plane of the wall.
    """
    return pipe_length * sin(lean) - room_height * tan(lean) + pipe_outside_diameter / cos(lean)


@formula(
    "start_lean",
    _CONTACT,
    when={"the pipe is longer than the room is high": lambda pipe_length, room_height: room_height < pipe_length},
)
def start_lean(pipe_length, room_height, pipe_outside_diameter):
    """Lean at which the top of the pipe comes under the member.

    Assumes the foot on the floor and drawn in from afar.
    """
    diagonal = sqrt(pipe_length**2 + pipe_outside_diameter**2)
    return sympy.acos(room_height / diagonal) + atan(pipe_outside_diameter / pipe_length)


@formula(
    "underside_lean",
    _CONTACT,
    when={"the pipe is longer than the room is high": lambda pipe_length, room_height: room_height < pipe_length},
)
def underside_lean(pipe_length, room_height):
    """Lean at which the lower top corner passes the underside of the member.

    Assumes the foot on the floor.
    """
    return sympy.acos(room_height / pipe_length)


@formula(
    "top_face_lean",
    _CONTACT,
    when={
        "the pipe is longer than room and member together are high": lambda pipe_length, room_height, member_thickness: (
            room_height + member_thickness < pipe_length
        ),
    },
)
def top_face_lean(pipe_length, room_height, member_thickness):
    """Lean at which the lower top corner passes the top face of the member.

    Assumes the foot on the floor.
    """
    return sympy.acos((room_height + member_thickness) / pipe_length)


@formula("foot_room", _CONTACT)
def foot_room(pipe_length, start_lean):
    """Where on the floor the foot starts, measured from below the slot edge.

    Assumes the top of the pipe at the slot edge, the foot on the floor.
    """
    return pipe_length * sin(start_lean)


# ---------------------------------------------------------------- slot and bay


def _past_its_worst(pipe_length, room_height, member_thickness, pipe_outside_diameter):
    """With D at the top face the reach no longer grows with the lean: L cos^3 + d sin is no more than H there."""
    height = room_height + member_thickness
    cosine = height / pipe_length
    sine = sqrt(sympy.Max(0, 1 - cosine**2))
    return height * cosine**2 + pipe_outside_diameter * sine <= room_height


@formula(
    "slot_needed",
    _CONTACT,
    when={"the pipe reaches farthest with its top above the member": _past_its_worst},
)
def slot_needed(pipe_length, room_height, member_thickness, pipe_outside_diameter):
    """Shortest slot of a pipe that fills it most as its top passes the top face.

    Assumes the foot on the floor, the pipe straight and in the plane of the wall, and no clearance.
    """
    L, K = pipe_length, room_height + member_thickness
    return (pipe_outside_diameter * L + member_thickness * sqrt(L**2 - K**2)) / K


@formula("room_height", _WORST)
def room_height_of_worst_lean(pipe_length, pipe_outside_diameter, worst_lean):
    """Room height at which a pipe reaches farthest at a given lean.

    Assumes the foot on the floor.
    """
    return pipe_length * cos(worst_lean) ** 3 + pipe_outside_diameter * sin(worst_lean)


@formula("bay_needed", _WORST)
def bay_needed(pipe_length, pipe_outside_diameter, worst_lean):
    """Least room in the bay from the worst lean, without the height of the room.

    Assumes the worst lean comes with the top above the member, the foot on the floor, and no clearance.
    """
    return pipe_length * sin(worst_lean) ** 3 + pipe_outside_diameter * cos(worst_lean)


@formula(
    "bay_needed",
    _LADDER,
    when={
        "the pipe is no shorter than the room is high": lambda pipe_length, room_height: room_height <= pipe_length,
    },
)
def thin_bay_needed(pipe_length, room_height):
    """Least room in the bay for a pipe of no thickness: the ladder around a corner.

    Assumes a pipe thin against the room it needs; a real one needs more.
    """
    two_thirds = Rational(2, 3)
    return (pipe_length**two_thirds - room_height**two_thirds) ** Rational(3, 2)


# ---------------------------------------------------------------- longest pipe


@formula("longest_by_bay", _LADDER)
def longest_thin_pipe(bay_room, room_height):
    """Longest pipe of no thickness that the bay allows: the ladder around a corner.

    Assumes a pipe thin against the room it has; a real one must be shorter.
    """
    two_thirds = Rational(2, 3)
    return (bay_room**two_thirds + room_height**two_thirds) ** Rational(3, 2)


@formula(
    "longest_by_bay",
    _WORST,
    when={
        "the pipe is less than 0.7 of the corridor thick": lambda bay_room, pipe_outside_diameter: (
            sqrt(2) * pipe_outside_diameter < bay_room
        ),
    },
)
def longest_in_equal_corridors(bay_room, pipe_outside_diameter):
    """Longest thick bar around a corner of two equally wide corridors.

    Assumes a room as high as the bay is wide, which no house has: the case to check others by.
    """
    return 2 * sqrt(2) * bay_room - 2 * pipe_outside_diameter


@formula(
    "hole_lean",
    _CONTACT,
    when={
        "the pipe is no thicker than the hole": lambda hole_diameter, pipe_outside_diameter: (
            pipe_outside_diameter <= hole_diameter
        ),
    },
)
def hole_lean(hole_diameter, member_thickness, pipe_outside_diameter):
    """Largest lean of a pipe right through a plain hole, or through a slot of that length.

    Assumes a hole square through the member, with sharp edges.
    """
    D, T, d = hole_diameter, member_thickness, pipe_outside_diameter
    return 2 * atan((D - d) / (T + sqrt(T**2 + D**2 - d**2)))


def _slot_lean_parts(slot_length, member_thickness, pipe_outside_diameter):
    """Cosine and sine of the largest lean in a slot, from s cos - T sin = d and cos^2 + sin^2 = 1."""
    s, T, d = slot_length, member_thickness, pipe_outside_diameter
    root = sqrt(sympy.Max(0, s**2 + T**2 - d**2))
    return (s * d + T * root) / (s**2 + T**2), (s * root - T * d) / (s**2 + T**2)


def _slot_is_past_its_worst(slot_length, room_height, member_thickness, pipe_outside_diameter):
    cosine, sine = _slot_lean_parts(slot_length, member_thickness, pipe_outside_diameter)
    return (room_height + member_thickness) * cosine**2 + pipe_outside_diameter * sine <= room_height


@formula(
    "longest_by_slot",
    _CONTACT,
    when={
        "the pipe is no thicker than the slot is long": lambda slot_length, pipe_outside_diameter: (
            pipe_outside_diameter <= slot_length
        ),
        "that pipe reaches farthest with its top above the member": _slot_is_past_its_worst,
    },
)
def longest_by_slot(slot_length, room_height, member_thickness, pipe_outside_diameter):
    """Longest pipe through the slot into a wide bay.

    Assumes the foot on the floor, the pipe straight and in the plane of the wall, and no clearance.
    """
    s, T, d = slot_length, member_thickness, pipe_outside_diameter
    return (room_height + T) * (s**2 + T**2) / (s * d + T * sqrt(s**2 + T**2 - d**2))


# ---------------------------------------------------------------- a second pipe


@formula(
    "second_pipe_room",
    _WALL,
    when={
        "the first pipe stands beyond the start of the slot and the clearance": lambda first_pipe_face, clearance, slot_start: (
            slot_start + clearance < first_pipe_face
        ),
    },
)
def second_pipe_room(first_pipe_face, clearance, slot_start):
    """Room for a second pipe between the slot's start and the pipe that stands already.

    Assumes the first pipe plumb from the floor up, and the second leaning towards it.
    """
    return first_pipe_face - clearance - slot_start


@formula(
    "joined_slot",
    _WALL,
    when={
        "the pipes do not touch as they stand": lambda second_pipe_needed, hole_diameter, pipe_outside_diameter: (
            (hole_diameter + pipe_outside_diameter) / 2 <= second_pipe_needed
        ),
        "the pipe is no thicker than the hole": lambda hole_diameter, pipe_outside_diameter: (
            pipe_outside_diameter <= hole_diameter
        ),
    },
)
def joined_slot(second_pipe_needed, hole_diameter, pipe_outside_diameter):
    """Least length over two round holes joined into one slot, a pipe in the middle of each end hole.

    Assumes the second pipe put in beside the first, the slot as wide as the holes, and no clearance.
    """
    return second_pipe_needed + (hole_diameter + pipe_outside_diameter) / 2


@formula(
    "joined_centres",
    _WALL,
    when={"the slot is longer than a hole": lambda joined_slot, hole_diameter: hole_diameter < joined_slot},
)
def joined_centres(joined_slot, hole_diameter):
    """Distance between the centres of the end holes of a slot.

    Assumes round ends as wide as the holes.
    """
    return joined_slot - hole_diameter


# ---------------------------------------------------------------- what an inch more does


@formula("bay_per_length", _WORST)
def bay_per_length(worst_lean):
    """Growth of the bay needed with the length of the pipe.

    Assumes the worst lean comes with the top above the member.
    """
    return sin(worst_lean)


@formula("bay_per_height", _WORST)
def bay_per_height(worst_lean):
    """Growth of the bay needed with the height of the room: a higher room needs less.

    Assumes the worst lean comes with the top above the member.
    """
    return -tan(worst_lean)


@formula("bay_per_diameter", _WORST)
def bay_per_diameter(worst_lean):
    """Growth of the bay needed with the outside diameter of the pipe.

    Assumes the worst lean comes with the top above the member.
    """
    return 1 / cos(worst_lean)


@formula(
    "slot_per_length",
    _CONTACT,
    when={"the pipe reaches farthest with its top above the member": _past_its_worst},
)
def slot_per_length(pipe_length, room_height, member_thickness, pipe_outside_diameter):
    """Growth of the slot needed with the length of the pipe.

    Assumes a pipe that fills the slot most as its top passes the top face.
    """
    L, K = pipe_length, room_height + member_thickness
    return (pipe_outside_diameter + member_thickness * L / sqrt(L**2 - K**2)) / K


@formula(
    "slot_per_height",
    _CONTACT,
    when={"the pipe reaches farthest with its top above the member": _past_its_worst},
)
def slot_per_height(pipe_length, room_height, member_thickness, pipe_outside_diameter):
    """Growth of the slot needed with the height of the room: a higher room needs less.

    Assumes a pipe that fills the slot most as its top passes the top face.
    """
    L, K, T = pipe_length, room_height + member_thickness, member_thickness
    root = sqrt(L**2 - K**2)
    return -(pipe_outside_diameter * L + T * root) / K**2 - T / root
