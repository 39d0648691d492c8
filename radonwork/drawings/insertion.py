"""A long pipe on its way through a slot into a stud bay, seen square to the wall: the whole room, and the slot close by.

The pose is what the solver `insertion_pose` gives: the lean, the middle of the foot, and how the pipe stands.
"""

from sympy import Expr, Float, Piecewise, Rational, Symbol, cos, sin, tan

from radonwork.drawings.shapes import Drawing, Frame, Number, Point, as_written, largest, least, terms

STUD = 0.0381  # thickness the studs are drawn with, 1-1/2 in; nothing is worked from it
FLOOR = 0.08  # depth of floor that is drawn

_L, _d, _H, _T = terms("pipe_length", "pipe_outside_diameter", "room_height", "member_thickness")
_s, _a, _W = terms("slot_length", "slot_start", "bay_width")
_direction, _start, _foot_room = terms("lean_direction", "start_lean", "foot_room")
_slot_needed, _bay_needed, _passes = terms("slot_needed", "bay_needed", "insertion_margin")
_lean, _place, _height, _state = terms("lean", "foot_place", "foot_height", "pose_state")
_jam, _slot_margin = terms("jam_lean", "slot_margin")
_stud_jam = (_passes < 0) & (_slot_margin >= 0)

# Which way is "to the lean", the slot's edges on the foot's side and on the other, the height of the top face.
_k, _near, _far, _K = (Symbol(name, real=True) for name in ("to_the_lean", "near_edge", "far_edge", "top_face"))
_sine, _cosine = (Symbol(f"{name}_of_lean", real=True) for name in ("sine", "cosine"))
_NAMED = (
    (_k, Piecewise((-1, _direction < 0), (1, True))),
    (_near, Piecewise((_a + _s, _k < 0), (_a, True))),
    (_far, Piecewise((_a, _k < 0), (_a + _s, True))),
    (_K, _H + _T),
    (_sine, sin(_lean)),
    (_cosine, cos(_lean)),
)

_JUDGED = (
    "{insertion_margin?The pipe goes in|The pipe jams}: the slot is {slot_margin?long enough|too short}, margin {slot_margin}, "
    "and the bay is {bay_margin?wide enough|too narrow}, margin {bay_margin}."
)
VERDICT = "{insertion_margin?The pipe goes in|The pipe jams}: slot margin {slot_margin}, bay margin {bay_margin}"


def _if(condition: Expr) -> Expr:
    return Piecewise((1, condition), (0, True))


_LEANS = {1: _if(_k > 0), -1: _if(_k < 0)}  # visible with that lean
_ANCHORS = {1: ("start", "end"), -1: ("end", "start")}  # of words beyond the lean's side, and on the foot's side


def _corner(across: int, up: Number) -> Point:
    """A point of the pipe: `across` 1 is the side towards the lean, -1 the other, `up` along it from the foot."""
    half = across * _d / 2
    return _place + _k * (half * _cosine + up * _sine), _height - half * _sine + up * _cosine


_far_stud = Piecewise((0, _k < 0), (_W, True))
_lower_corner, _upper_corner = _corner(1, _L)[1], _corner(-1, _L)[1]


def _mark_contacts(drawing: Drawing, radius: Number) -> None:
    """Where the pipe touches wood: the slot edge it rests on, and where it is stuck."""
    drawing.circle("mark", (_near, _H), radius, visible=_if(_upper_corner >= _H - radius / 100))
    drawing.circle(
        "mark", (_far, least(largest(_lower_corner, _H), _K)), radius, visible=_if(abs(_state + 1) < Rational(1, 2))
    )
    drawing.circle("mark", (_far_stud, _lower_corner), radius, visible=_if(_state < Rational(-3, 2)))


# What the picture shows, by the state of the pose.
_STANCES = {
    1: "Here it stands plumb, its foot on the floor",
    0: "Here it is on its way in, its lean {lean}",
    -1: "Here it is jammed in the slot, its lean {lean}",
    -2: "Here it is jammed against the far stud, its lean {lean}",
}


def _say(drawing: Drawing, middle: Number, low: Number, high: Number, below: float, above: float) -> None:
    """The verdict over the picture and what it shows under it, so many px away."""
    for kind, verdict in (("accent", _passes >= 0), ("warn", _passes < 0)):
        drawing.text((middle, high), VERDICT, shift=(0, -above), visible=_if(verdict), kind=kind)
    for state, words in _STANCES.items():
        drawing.text((middle, low), words, shift=(0, below), visible=_if(abs(_state - state) < Rational(1, 2)))


# ---------------------------------------------------------------- the whole room


@as_written
def _room() -> Drawing:
    left, right, base, top, ground = (
        Symbol(f"{side}_of_room", real=True) for side in ("left", "right", "base", "top", "ground")
    )
    pad = 0.15
    drawing = Drawing(
        name="insertion",
        title="The pipe on its way into the bay, to scale",
        alternative=(
            "A room {room_height} high, seen square to the wall. The member above it is {member_thickness} thick, with a slot "
            "{slot_length} long that starts {slot_start} from the left stud of a bay {bay_width} wide. A pipe {pipe_length} "
            "long and {pipe_outside_diameter} outside leans {lean} with its top to the {lean_direction?right|right|left}; "
            "its foot started on the floor {foot_room} from the slot edge. "
            f"{_JUDGED} In this picture it "
            "{pose_state?stands plumb, its foot on the floor|is on its way in, its foot on the floor and its side on the slot "
            "edge|is jammed between the slot edge its side rests on and the wood across}."
        ),
        frame=Frame(left, base, right, top, width=860, height=600, margin=64),
        named=(
            *_NAMED,
            (left, least(-STUD - pad, Piecewise((_a - _foot_room - pad, _k > 0), (0, True)))),
            (right, largest(_W + STUD + pad, Piecewise((_a + _s + _foot_room + pad, _k < 0), (0, True)))),
            (top, largest(_L, _K + 0.3) + 0.05),
            (ground, _height - _d / 2 * _sine),  # under the foot: below the floor where there is a pit
            (base, ground - FLOOR),
        ),
    )
    pit = _near - _k * (_foot_room + 0.03), _near + _k * (_d + 0.03)
    outer, inner = least(*pit), largest(*pit)
    drawing.polygon(
        "concrete",
        [
            (left, base), (right, base), (right, 0), (inner, 0), (inner, ground), (outer, ground), (outer, 0), (left, 0),
        ],
    )  # fmt: skip
    drawing.rectangle("wood", left, _H, _a, _K)
    drawing.rectangle("wood", _a + _s, _H, right, _K)
    drawing.rectangle("wood", -STUD, _K, 0, top)
    drawing.rectangle("wood", _W, _K, _W + STUD, top)

    drawing.line("ghost", [(_near, _H), (_near, base)])
    tilt, upright = sin(_start), cos(_start)
    foot = _near - _k * _foot_room, ground + _d * tilt
    begun = [
        (0, 0),
        (_d * upright, -_d * tilt),
        (_d * upright + _L * tilt, _L * upright - _d * tilt),
        (_L * tilt, _L * upright),
    ]
    drawing.polygon("ghost", [(foot[0] + _k * x, foot[1] + y) for x, y in begun])
    drawing.polygon("pipe", [_corner(-1, 0), _corner(1, 0), _corner(1, _L), _corner(-1, _L)])

    radius = 0.45
    drawing.line("centreline", [(_place, _height), (_place, _height + 1.15 * radius)])
    arc = [_lean * Rational(step, 10) for step in range(11)]
    drawing.line("accent", [(_place + _k * radius * sin(angle), _height + radius * cos(angle)) for angle in arc])
    _mark_contacts(drawing, 0.018)
    drawing.circle("mark", _corner(1, 0), 0.018)

    drawing.dimension((_a, _H), (_a + _s, _H), "", away=-12)
    drawing.dimension((0, top), (_W, top), "bay {bay_width}", away=12)
    floor = "foot starts {foot_room} from the slot edge"
    drawing.dimension((_near, base), (_near - _k * _foot_room, base), floor, away=-16)
    for side, ((beyond, behind), here) in {k: (_ANCHORS[k], _LEANS[k]) for k in (1, -1)}.items():
        end, stud, other = (right, _W + STUD, -STUD) if side > 0 else (left, -STUD, _W + STUD)
        drawing.dimension((end, 0), (end, _H), "", away=side * 14, visible=here)
        drawing.text((end, _H / 2), "room", beyond, (side * 22, -4), here)
        drawing.text((end, _H / 2), "{room_height}", beyond, (side * 22, 13), here)
        drawing.text((end, _H + _T / 2), "member {member_thickness}", beyond, (side * 8, 5), here)
        drawing.text((stud, _K), "slot {slot_length}", beyond, (side * 10, -10), here)
        drawing.text((other, (_K + top) / 2), "pipe {pipe_length} long", behind, (side * -14, -4), here)
        drawing.text((other, (_K + top) / 2), "{pipe_outside_diameter} outside", behind, (side * -14, 13), here)
        drawing.text((_place, _height + radius), "lean {lean}", behind, (side * -8, 0), here, "accent")
    _say(drawing, (left + right) / 2, base, top, below=54, above=43)
    return drawing


# ---------------------------------------------------------------- the slot and the bay, close by


@as_written
def _close_by() -> Drawing:
    left, right, low, high = (Symbol(f"{side}_of_view", real=True) for side in ("left", "right", "low", "high"))
    drawing = Drawing(
        name="insertion-slot",
        title="The slot and the bay close by, to scale",
        alternative=(
            "The slot and the foot of the bay, seen square to the wall: a member {member_thickness} thick with a slot "
            "{slot_length} long, {slot_needed} of it needed, and above it a bay {bay_width} wide, of which {bay_needed} are "
            "needed from the slot's end on the side of the foot. The pipe, {pipe_outside_diameter} outside, leans {lean} with "
            "its top to the {lean_direction?right|right|left}. "
            f"{_JUDGED} In this picture it "
            "{pose_state?stands plumb, its foot on the floor|is on its way in|is jammed}."
        ),
        frame=Frame(left, low, right, high, width=760, height=520, margin=104),
        named=(
            *_NAMED,
            (left, Float(-STUD - 0.2)),
            (right, _W + STUD + 0.2),
            (low, _H - 0.2),
            (high, largest(_K + 0.36, Piecewise((_L * cos(_jam) + 0.06, _stud_jam), (0, True)))),
        ),
    )
    drawing.rectangle("wood", left, _H, _a, _K)
    drawing.rectangle("wood", _a + _s, _H, right, _K)
    drawing.rectangle("wood", -STUD, _K, 0, high)
    drawing.rectangle("wood", _W, _K, _W + STUD, high)
    for edge in (_a, _a + _s):
        drawing.line("ghost", [(edge, _H), (edge, low)])
    drawing.line("ghost", [(_near, _K), (_near, high)])
    drawing.polygon("pipe", _part_in_view(low, high), visible=_if(_upper_corner > low))
    _mark_contacts(drawing, 0.006)

    # the outer line first, so that its extension lines pass behind the words of the inner one
    drawing.dimension((0, high), (_W, high), "bay {bay_width}", away=46)
    drawing.dimension((_near, high), (_near + _k * _bay_needed, high), "needs {bay_needed}", away=14)
    drawing.dimension((_a, low), (_a + _s, low), "slot {slot_length}", away=-46)
    drawing.dimension((_near, low), (_near + _k * _slot_needed, low), "needs {slot_needed}", away=-14)
    for side, end, anchor in ((1, right, "end"), (-1, left, "start")):
        drawing.text((end, _H), "member {member_thickness}", anchor, (0, 18), _LEANS[side])
    _say(drawing, (left + right) / 2, low, high, below=92, above=82)
    return drawing


def _part_in_view(low: Number, high: Number) -> list[Point]:
    """The pipe cut off at two levels. Its side rests on the slot edge; `out` counts from there towards the lean."""
    width, turn = _d / _cosine, tan(_lean)
    top, other = least(_upper_corner, high), least(_lower_corner, high)

    def side(level: Number, across: Number) -> Expr:
        return (level - _H) * turn + across

    # Where the end of the pipe, from its upper to its lower corner, comes down to the upper level.
    share = least(1, largest(0, _upper_corner - high) / largest(_d * _sine, 1e-9))
    level = least(_upper_corner - share * _d * _sine, high)
    end = least(side(_upper_corner, 0) + share * _d * _cosine, side(level, width))
    points = [
        (side(low, 0), low),
        (side(top, 0), top),
        (end, level),
        (side(other, width), other),
        (side(low, width), low),
    ]
    return [(_near + _k * out, at) for out, at in points]


INSERTION = _room()
SLOT = _close_by()
