"""How a piece of the route goes, in the words of the person who measured it: a small grammar, read and never evaluated.

    straight  up | down | over | on, or a direction, or an angle with up or down; then its length
              "up 9 ft 2 in"   "over 6 ft 4 in toward the stair, falling back"   "north 9 ft rising 1/4 in/ft"
              "45 up toward the stair 3 ft"   "on 2 ft"
    fitting   by how much it turns, if that is to be checked, and which way
              "45 toward the stair"   "90 up"   "toward the stair"   "up"

A direction is one of the compass or a name that the record defines, after "toward". Lengths lie along the pipe, from
where its centreline meets that of the piece before to where it meets that of the piece after. "Falling back" is falling
toward the suction point; "rising" and "falling" are as the air goes. Plain Python, so that reading a record loads
nothing for it.
"""

import math
import re
from dataclasses import dataclass
from typing import Literal

from radonwork.glossary import term
from radonwork.house import plausible
from radonwork.units import Quantity, QuantityError

Plan = tuple[float, float]
Slope = Literal["falling back", "rising", "falling", "level"]

COMPASS = {
    "north": 90.0, "north-east": 45.0, "east": 0.0, "south-east": -45.0,
    "south": -90.0, "south-west": -135.0, "west": 180.0, "north-west": 135.0,
}  # fmt: skip
"""Degrees from east, counter-clockwise: the plan's first length runs east and its second north."""

_STRAIGHT = '"up 9 ft 2 in" or "over 6 ft 4 in toward the stair, falling back"'
_FITTING = '"45 toward the stair" or "90 up"'
_LONGEST = 120
_WAYS = ("up", "down", "over", "on")
_RESERVED = {*_WAYS, "toward", "towards", "falling", "rising", "level", "back", "the", "to", "at"}
_COMPASS = r"(?:north|south)[- ]?(?:east|west)|north|south|east|west"
_ANGLE = re.compile(r"(\d{1,3}(?:\.\d{1,3}|(?:-| )1/2)?) ?(?:°|degrees?|deg)?(?= |$)", re.IGNORECASE)
_CLAUSE = re.compile(r",(?!\d)|\b(towards?|falling back|falling|rising|level)\b", re.IGNORECASE)
_NAME = re.compile(r"[^\W\d_]+(?:[ -][^\W\d_]+){0,5}")


@dataclass(frozen=True)
class Going:
    """What a `go` says. `way` is "" where only a direction is given; `angle` in degrees; `toward` a direction's name."""

    text: str
    way: str
    angle: float | None = None
    toward: str = ""
    length: Quantity | None = None
    slope: Slope | None = None
    pitch: Quantity | None = None

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True)
class Toward:
    """A direction that the record names; as text it reads "stair: 20 deg south of west"."""

    name: str
    text: str
    heading: Plan

    def __str__(self) -> str:
        return f"{self.name}: {self.text}"


def straight(text: str) -> Going:
    """The words of a straight pipe. Raises ValueError, one plain line without the text itself."""
    found = _read(text)
    if not (found.way or found.toward):
        raise ValueError(f"does not say which way the pipe goes; write such as {_STRAIGHT}")
    if found.length is None:
        raise ValueError(f"gives no length; write one, such as {_STRAIGHT}")
    if found.length.value <= 0:
        raise ValueError(f"has {found.length.text!r}, which is no length; write one above zero, or leave the piece out")
    if found.angle is not None and found.way not in ("up", "down"):
        raise ValueError('gives an angle that is neither up nor down; write such as "45 up toward the stair 3 ft"')
    if found.angle is not None and not 0 < found.angle < 90:
        raise ValueError(f"climbs at {found.angle:g}°; write an angle above 0 and below 90, or up, down or over")
    if found.slope and (found.way == "on" or found.angle is not None or (found.way in ("up", "down"))):
        raise ValueError(f"gives a slope to a piece that is not laid over; write such as {_STRAIGHT}")
    if found.way in ("up", "down") and found.angle is None and found.toward:
        raise ValueError(
            'goes up or down and toward something; write by how much, such as "45 up toward the stair 3 ft"'
        )
    if found.way == "on" and found.toward:
        raise ValueError('goes straight on and toward something; write "over" to lay it toward there')
    return found


def turn(text: str) -> Going:
    """The words of a fitting. Raises ValueError, one plain line without the text itself."""
    found = _read(text)
    if found.length or found.slope:
        raise ValueError(f"gives a fitting a length or slope; the pipes have these, write such as {_FITTING}")
    if found.way in ("over", "on") or not (found.way or found.toward):
        raise ValueError(f"does not say which way the fitting turns; write such as {_FITTING}")
    if found.way and found.toward:
        raise ValueError(f"turns two ways; write one, such as {_FITTING}")
    if found.angle is not None and not 0 < found.angle <= 180:
        raise ValueError(f"turns by {found.angle:g}°; write an angle above 0 and up to 180")
    return found


def heading(text: str) -> Plan:
    """A direction on the plan: "west", "20 deg south of west". Raises ValueError, one plain line without the text."""
    words = " ".join(text.split()).casefold()
    if compass := _compass(words):
        return _unit(COMPASS[compass])
    found = re.fullmatch(
        r"(\d{1,2}(?:\.\d{1,3})?) ?(?:°|degrees?|deg) (north|south|east|west) of (north|south|east|west)", words
    )
    if found:
        off, aside, main = float(found[1]), COMPASS[found[2]], COMPASS[found[3]]
        between = (aside - main + 180) % 360 - 180
        if abs(between) == 90:
            return _unit(main + math.copysign(off, between))
    raise ValueError('is no direction on the plan; write one of the compass, or such as "20 deg south of west"')


def toward(entries: object) -> object:
    """The directions of run.toward, by name. Raises ValueError for the first that cannot be one."""
    if not isinstance(entries, dict):
        raise ValueError('is not a section; write a line [run.toward], and below it such as stair = "west"')
    found = []
    for name, text in entries.items():
        words = " ".join(str(name).replace("_", " ").split())
        if not _NAME.fullmatch(words) or set(words.casefold().split()) & _RESERVED or _compass(words.casefold()):
            raise ValueError(
                f"has {str(name)[:40]!r}, which cannot name a direction; write a word or two, such as stair"
            )
        if not isinstance(text, str):
            raise ValueError(f'has {words} without a direction in quotes; write such as {words} = "west"')
        try:
            found.append(Toward(words, text, heading(text)))
        except ValueError as reason:
            raise ValueError(f"has {words} = {text[:40]!r}, which {reason}") from None
    return tuple(found)


def heading_of(name: str, named: tuple[Toward, ...]) -> Plan | None:
    """The direction of a name after "toward"; None where neither the compass nor the record knows it."""
    if compass := _compass(name):
        return _unit(COMPASS[compass])
    return next((entry.heading for entry in named if entry.name.casefold() == name), None)


def _read(text: str) -> Going:
    """Whatever both kinds of words may hold, each at most once."""
    words = " ".join(text.replace("º", "°").split())
    if not words or len(words) > _LONGEST or not words.isprintable():
        raise ValueError(f"is no way that a piece goes; write such as {_STRAIGHT}")
    head, *rest = _CLAUSE.split(words)
    found = _Words(text)
    found.head(head.strip())
    for keyword, said in zip(rest[::2], rest[1::2], strict=True):
        found.clause((keyword or "").casefold(), said.strip())
    return Going(text, found.way, found.angle, found.toward, found.length, found.slope, found.pitch)


class _Words:
    """What was said so far."""

    def __init__(self, text: str) -> None:
        self.text, self.way, self.toward = text, "", ""
        self.angle: float | None = None
        self.length: Quantity | None = None
        self.slope: Slope | None = None
        self.pitch: Quantity | None = None

    def head(self, words: str) -> None:
        angle = _ANGLE.match(words)
        after = words[angle.end() :].strip() if angle else ""
        # A number leads as an angle only where a way follows it: "9 ft" alone is a length.
        if angle and (not after or re.match(rf"(?:up|down|over|on|{_COMPASS})\b", after, re.IGNORECASE)):
            self.angle, words = _degrees(angle[1]), after
        way = re.match(rf"(?:({'|'.join(_WAYS)})|({_COMPASS}))(?= |$)", words, re.IGNORECASE)
        if way:
            self.way, self.toward = (way[1] or "").casefold(), _compass((way[2] or "").casefold())
            words = words[way.end() :].strip()
            if second := re.match(rf"({_COMPASS})(?= |$)", words, re.IGNORECASE):
                if self.toward:
                    raise ValueError("goes toward two things; write one")
                self.toward, words = _compass(second[1].casefold()), words[second.end() :].strip()
        self.measure(words)

    def clause(self, keyword: str, said: str) -> None:
        if keyword in ("toward", "towards"):
            name = _NAME.match(said)
            if not name or self.toward:
                raise ValueError("goes toward two things; write one" if self.toward else "names nothing after toward")
            self.toward = re.sub(r"^the ", "", name[0].casefold())
            self.toward = _compass(self.toward) or self.toward
            self.measure(said[name.end() :].strip())
        elif keyword:
            self.sloped(keyword, said)
        else:  # what follows a comma alone
            self.measure(said)

    def sloped(self, keyword: str, said: str) -> None:
        if self.slope:
            raise ValueError("gives two slopes; write one")
        self.slope = keyword  # type: ignore[assignment]  # one of the four that _CLAUSE knows
        if said:
            if keyword == "level":
                raise ValueError(f"has {said[:40]!r} after level; a level pipe has no slope to give")
            self.pitch = _quantity(said, "pipe_slope", "a slope")
        elif keyword in ("rising", "falling"):
            raise ValueError(f'does not say how steeply it is {keyword}; write such as "{keyword} 1/4 in/ft"')

    def measure(self, words: str) -> None:
        if last := re.search(rf"(?:^| )({_COMPASS})$", words, re.IGNORECASE):
            if self.toward:
                raise ValueError("goes toward two things; write one")
            self.toward, words = _compass(last[1].casefold()), words[: last.start()]
        if not words:
            return
        if self.length:
            raise ValueError(f"has {words[:40]!r} beside the length {self.length.text!r}; write one length")
        self.length = _quantity(words, "straight_length", "a length")


def _quantity(words: str, name: str, wanted: str) -> Quantity:
    try:
        found = term(name).read(words)
    except QuantityError as reason:
        if not re.match(r"[\d.$+-]", words):
            raise ValueError(f"has {words[:40]!r} where {wanted} belongs; write such as {_STRAIGHT}") from None
        raise ValueError(f"has {wanted} that {_said(words, reason)}") from None
    if said := plausible.fault(found, name):
        raise ValueError(f"has {found.text[:48]!r}, which {said}")
    return found


def _said(words: str, reason: QuantityError) -> str:
    text = str(reason)
    return f"cannot be read: {text}" if words[:10] in text else f"cannot be read: {words[:40]!r} {text}"


def _degrees(text: str) -> float:
    return float(text[:-4]) + 0.5 if text.endswith("1/2") else float(text)


def _compass(words: str) -> str:
    """The name in COMPASS of a direction written with or without its hyphen; "" for any other words."""
    plain = re.sub(r"(north|south)[- ]?(east|west)", r"\1-\2", words)
    return plain if plain in COMPASS else ""


def _unit(degrees: float) -> Plan:
    radians = math.radians(degrees)
    return round(math.cos(radians), 15), round(math.sin(radians), 15)
