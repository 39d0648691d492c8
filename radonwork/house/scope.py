"""What a house has and has not by its own route, as rules ask for it in words, and where its fan stands.

The pieces of the route say where they lie. Where they tell of the fan's place they stand before the word of the record: a
fault that they show is one whatever the word is, and a word that the route contradicts settles nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from radonwork.files import table
from radonwork.requirements.rules import Stated, requirements_of

if TYPE_CHECKING:  # the record asks this module for words
    from radonwork.house.record import House

FAN_PLACE, PRESSED_INSIDE = "fan_place", "pipe_above_the_fan_inside_the_house"
INSIDE = ("basement", "crawl space", "room", "wall")
"""Places of the house where no pipe may stand under pressure."""
# Place of a piece, and the words for the fan's that agree with it; the first is what the route alone says, if it says all.
_SAME = {
    "basement": ("basement",),
    "crawl space": ("crawl space",),
    "room": ("living space", "below rooms"),
    "wall": ("living space", "below rooms"),
    "attic": ("attic",),
    "outside": ("outdoors",),
}
_RIGHT_ANGLE = 85.0  # degrees: a fitting of less makes no square corner


@dataclass(frozen=True)
class Told:
    """What the route says of something that the record may also state in a word, and how that reads as a reason."""

    said: bool | str | None
    reason: str
    contradiction: str = ""


def words(house: "House", found: Mapping[str, bool | str]) -> dict[str, bool | str]:
    """`found`, what the record says in words, with what its route tells besides, and without what that contradicts."""
    merged = {**found, **_has(house), **_plates(house)}
    for fact, told in from_route(house, found).items():
        if told.said is None:
            merged.pop(fact, None)
        else:
            merged[fact] = told.said
    return merged


def because(house: "House") -> dict[str, str]:
    """By fact, how the route tells it, or why the record's own word does not settle it."""
    return {fact: told.reason for fact, told in from_route(house, house.stated_words()).items()}


# ---------------------------------------------------------------- what there is


def _has(house: "House") -> dict[str, bool | str]:
    """Whether a pipe stands in a wall, lies in an attic or makes an offset; silent where neither route nor section tells."""
    run = house.run
    pieces = run.piece if run else ()
    found: dict[str, bool | str] = {}
    if house.wall or house.framing:
        found["pipe_in_the_wall"] = True
    elif pieces:
        found["pipe_in_the_wall"] = any(piece.pipe == "wall" or piece.place == "wall" for piece in pieces)
    places = _places(house)
    if run and run.attic_run:
        found["run_in_the_attic"] = True
    elif places and all(places):
        found["run_in_the_attic"] = "attic" in places
    if house.offset:
        found["offset"] = True
    elif pieces:
        angles = {row["name"]: float(row["angle"]) for row in table("fittings") if row["angle"]}
        found["offset"] = any(0 < angles.get(piece.fitting or "", 0.0) < _RIGHT_ANGLE for piece in pieces)
    if run and pieces:
        found["end_of_the_route_stated"] = run.end is not None
    return found


def _plates(house: "House") -> dict[str, bool | str]:
    """Whether the plate that the wall's hole goes through has shield plates and its tie, by the cuts that are that hole."""
    wall = house.wall
    if not (wall and wall.plate_width and wall.hole_diameter):
        return {}
    same = [
        cut
        for cut in (house.framing.hole if house.framing else ())
        if cut.member == "plate" and cut.depth and cut.diameter
        and (cut.depth.value, cut.diameter.value) == (wall.plate_width.value, wall.hole_diameter.value)
    ]  # fmt: skip
    found: dict[str, bool | str] = {}
    for fact, answers in (("shield_plates", [cut.shield for cut in same]), ("metal_tie", [cut.tie for cut in same])):
        if answers and None not in answers:
            found[fact] = all(answers)
    return found


# ---------------------------------------------------------------- where the fan stands


def from_route(house: "House", found: Mapping[str, bool | str]) -> dict[str, Told]:
    """What the route tells of the fan and of the pipe above it, where that is not what the record's word is already."""
    after, places = house.fan.after_piece if house.fan else None, _places(house)
    if after is None or not places:
        return {}
    told = {}
    beside = set(places[max(after - 1, 0) : after + 1])
    if len(beside) == 1 and (place := beside.pop()) in _SAME:
        told[FAN_PLACE] = _fan(
            found.get(FAN_PLACE), _SAME[place], f"by the route the fan stands after piece {after}, {_in(place)}"
        )
    above = [(number, place) for number, place in enumerate(places[after:], after + 1) if place]
    inside = [f"piece {number} {_in(place)}" for number, place in above if place in INSIDE]
    if inside:
        told[PRESSED_INSIDE] = _pressed(found.get(PRESSED_INSIDE), inside[0])
    return {fact: one for fact, one in told.items() if one}


def _fan(word: bool | str | None, same: tuple[str, ...], where: str) -> Told | None:
    if word in same:
        return None
    if word is None:
        return Told(same[0], f"fan place: {where}")
    reason = f"fan place is said to be: {word}, but {where}"
    contradiction = f"says {word}, and {where}; correct one"
    (rule,) = (one for one in requirements_of("site") if one.check.quantity == FAN_PLACE)
    assert isinstance(rule.check, Stated)
    # A fault of the route is one; a word that only the route would mend leaves it open.
    return Told(None if rule.check.holds(same[0]) else same[0], reason, contradiction)


def _pressed(word: bool | str | None, where: str) -> Told | None:
    if word is True:
        return None
    reason = f"pipe above the fan inside the house: by the route there is some, {where}"
    if word is None:
        return Told(True, reason)
    return Told(
        True,
        f"{reason}, though the record says no",
        f"says no, and by the route {where} stands above the fan; correct one",
    )


def _places(house: "House") -> list[str]:
    """Where each piece lies; a place holds until a later piece says another, and is empty before the first."""
    found, place = [], ""
    for piece in house.run.piece if house.run else ():
        place = piece.place or place
        found.append(place)
    return found


def _in(place: str) -> str:
    return "outside" if place == "outside" else f"in the {place}"
