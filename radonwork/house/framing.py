"""The studs of one house: its wall as the record describes it, what its probes say, and the statements of its sheet."""

from collections.abc import Callable, Mapping
from functools import lru_cache

import numpy as np

from radonwork.engine.formula import Values
from radonwork.engine.solver import Solver
from radonwork.engine.sources import Source
from radonwork.files import table
from radonwork.glossary import System, term
from radonwork.house.job import assumed
from radonwork.house.record import House
from radonwork.house.sections.framing import Feature, Framing
from radonwork.solvers import photo, stud_finder
from radonwork.solvers.stud_finder import Box, Layout, NextProbe, Piece, Probe, Studs, Wall, WallError

# Spacings in use besides the one that the record states, and how much less likely each is than that one.
_SPACINGS: Mapping[System, tuple[tuple[str, float], ...]] = {
    "us": (("16 in", 0.7), ("24 in", 0.25), ("19.2 in", 0.05)),
    "metric": (("400 mm", 0.45), ("600 mm", 0.5), ("450 mm", 0.05)),
}
_STATED = 0.85  # what the record states of the spacing is believed so far; walls are altered
_ERROR = 0.006  # m, of a place whose tolerance is not stated
_START_ERROR = 0.012  # m, of a stated start
_SEEN = 0.005  # a stud that was seen is doubted so little
_POINTS = 64  # of an array; more are tolerances of what is chosen, and no question
_BAYES = Source(
    kind="independent computation",
    place="Bayes' rule over every layout and place",
)
_ASSUMED = (
    "Most studs stand within 1/2 in of a layout mark, one in twenty anywhere between two marks, one in fifty is not there.",
    "Readings err independently of each other: a pipe, a plate or a knot that deceives one tool may deceive the next.",
    "Of cables, gas and water in the wall nothing is known here.",
)


@lru_cache(maxsize=8)
def wall_of(house: House) -> Wall | None:
    """The wall of the record; None while its length or the thickness of its studs is not stated. Raises WallError."""
    framing, wall = house.framing, house.wall
    if not (framing and framing.wall_length and wall and wall.stud_thickness):
        return None
    stud, pieces, boxes, clear = wall.stud_thickness.value, [], [], []
    for feature in framing.feature:
        usual = next((row for row in table("framing_features") if row["kind"] == feature.kind), None)
        if not usual:
            continue  # a stud that was seen: see readings_of
        thickness = float(usual["studs"]) * stud
        presence = feature.presence.value if feature.presence else float(usual["presence"])
        if feature.kind == "opening":
            left, right = (place.value for place in feature.places)
            clear.append((left, right))
            for middle in (left - thickness / 2, right + thickness / 2):
                if 0 < middle < framing.wall_length.value:
                    pieces.append(Piece(middle, _error(feature), thickness, presence))
        elif feature.kind == "box":
            left, right = (place.value for place in feature.places)
            boxes.append(Box(left, right, _error(feature), presence))
        else:
            pieces.append(Piece(feature.places[0].value, _error(feature), thickness, presence))
    return Wall(
        framing.wall_length.value, stud, _layouts(house), tuple(sorted(pieces, key=lambda p: p.centre)), tuple(boxes),
        tuple(clear),
    )  # fmt: skip


def _error(feature: Feature) -> float:
    return max((place.tolerance for place in feature.places), default=0.0) or _ERROR


def _layouts(house: House) -> tuple[Layout, ...]:
    stated = house.wall.stud_spacing if house.wall else None
    start = house.framing.layout_start if house.framing else None
    usual = [(float(term("stud_spacing").read(text).value), share) for text, share in _SPACINGS[house.system]]
    if stated:
        others = [(value, share) for value, share in usual if abs(value - stated.value) > _ERROR]
        total = sum(share for _, share in others)
        usual = [(stated.value, _STATED), *((value, (1 - _STATED) * share / total) for value, share in others)]
    where = (start.value, start.tolerance or _START_ERROR) if start else (None, 0.0)
    return tuple(Layout(value, share, *where) for value, share in usual)


@lru_cache(maxsize=8)
def readings_of(house: House) -> tuple[Probe, ...]:
    """The probes of the record, and three readings of every stud that was seen: wood, and an edge at either side."""
    framing = house.framing or Framing()
    width, false = (_chosen(framing, name) for name in ("probe_width", "false_reading"))
    found = [
        Probe(
            probe.at.value,
            probe.found,
            probe.width.value if probe.width else width,
            probe.false_reading.value if probe.false_reading else false,
        )
        for probe in framing.probe
        if probe.at and probe.found
    ]
    half = house.wall.stud_thickness.value / 2 if house.wall and house.wall.stud_thickness else 0.0
    for feature in framing.feature:
        if feature.kind == "stud" and feature.at:
            at, window = feature.at.value, min(2 * _error(feature), stud_finder.APART)
            found += [Probe(at, "wood", 0.0, _SEEN)]
            found += [Probe(at + side, "edge", window, 10 * _SEEN) for side in (-half, half)]
    return tuple(found)


def _chosen(framing: Framing, name: str) -> float:
    """What the record states of its probes, or what is assumed of them."""
    stated = getattr(framing, name)
    return float(stated.value if stated else term(name).read(assumed("framing")[name].value).value)


@lru_cache(maxsize=64)
def studs_of(house: House, *tried: Probe) -> Studs | None:
    """The studs after the record's probes and those tried besides; None while there is no wall. Raises WallError."""
    wall = wall_of(house)
    return stud_finder.find(wall, (*readings_of(house), *tried)) if wall else None


def trial(place: float, reading: float, width: float, false: float) -> tuple[Probe, ...]:
    """The probe that a panel tries: 1 wood, -1 nothing, 0 none."""
    if not reading:
        return ()
    return (Probe(place, "wood" if reading > 0 else "nothing", width, false),)


def hidden_of(house: House) -> tuple[tuple[float, float], ...]:
    """Stretches of the wall where a hole does not show."""
    return tuple(stretch.point for stretch in house.framing.hidden) if house.framing else ()


def survey(studs: Studs, width: float, false: float) -> NextProbe:
    """The place that tells most of all the studs together."""
    return studs.best(studs.bits(width, false))


def next_probe(house: House) -> NextProbe | None:
    """The place that tells most of whether the stretch wanted is clear; None where the record does not settle it."""
    framing = house.framing
    if fault_of(house) or not (framing and framing.bay_left and framing.bay_right):
        return None
    studs = studs_of(house)
    if studs is None:
        return None
    width, false = (_chosen(framing, name) for name in ("probe_width", "false_reading"))
    return studs.best(studs.bits_about(framing.bay_left.value, framing.bay_right.value, width, false))


# ---------------------------------------------------------------- the statements of its sheet

_TRIAL = ("probe_place", "probe_reading", "probe_width", "false_reading")


def solvers_of(house: House, *, tries: bool = False) -> tuple[Solver, ...]:
    """Wood at the hole, the studs beside it, the bay, and the next probe; `tries` adds a probe that a panel moves."""
    wants = ("framed_length", "stud_thickness")
    tried = _TRIAL if tries else ()

    def made(
        name: str, title: str, gives: tuple[str, ...], takes: tuple[str, ...], found: Callable[..., Mapping[str, float]]
    ) -> Solver:
        """A solver whose function takes the studs, and numbers by name."""
        names = tuple(dict.fromkeys((*wants, *takes, *tried)))

        def one(**numbers: float) -> Mapping[str, float]:
            probes = trial(*(numbers[term] for term in _TRIAL)) if tries else ()
            studs = studs_of(house, *probes)
            if studs is None:
                raise ValueError("it wants framing.wall_length and wall.stud_thickness")
            return found(studs, **{name: numbers[name] for name in takes})

        def function(**given: Values) -> dict[str, Values]:
            chosen = {name: given[name] for name in names if name not in wants}
            shape = np.broadcast_shapes(*(np.shape(value) for value in given.values()))
            if not shape:
                return dict(one(**{name: float(value) for name, value in chosen.items()}))
            rows = np.array([np.broadcast_to(value, shape).ravel() for value in chosen.values()]).T
            different, place = np.unique(rows, axis=0, return_inverse=True)
            if len(different) > _POINTS:
                raise ValueError("where and with what to drill is chosen, not measured; write it without a tolerance")
            told = [one(**dict(zip(chosen, map(float, row), strict=True))) for row in different]
            return {term: np.array([t[term] for t in told])[place.ravel()].reshape(shape) for term in gives}

        return Solver(name, title, gives, names, _BAYES, function, assumptions=_ASSUMED)

    def wood(studs: Studs, drill_place: float, drill_width: float) -> Mapping[str, float]:
        _on_wall(studs, drill_place)
        if drill_width <= stud_finder.APART:
            return {"wood_chance": float(studs.wood(drill_place, drill_width))}
        return {"wood_chance": 1 - studs.clear(drill_place - drill_width / 2, drill_place + drill_width / 2)}

    def beside(studs: Studs, drill_place: float) -> Mapping[str, float]:
        _on_wall(studs, drill_place)
        left, right = studs.first_left_of(drill_place), studs.first_right_of(drill_place)
        for side, place in (("left", left), ("right", right)):
            if place.presence < 0.5:
                raise ValueError(f"it is likelier than not that no stud stands {side} of the hole before the wall ends")
        return {
            "left_stud": left.at, "left_stud_low": left.low, "left_stud_high": left.high,
            "right_stud": right.at, "right_stud_low": right.low, "right_stud_high": right.high,
            "likely_bay": right.at - left.at - studs.wall.thickness,
        }  # fmt: skip

    def clear(studs: Studs, bay_left: float, bay_right: float) -> Mapping[str, float]:
        _in_order(studs, bay_left, bay_right)
        chance = studs.clear(bay_left, bay_right)
        return {"clear_chance": chance, "blocked_chance": 1 - chance}

    def following(
        studs: Studs, bay_left: float, bay_right: float, probe_width: float, false_reading: float
    ) -> Mapping[str, float]:
        _in_order(studs, bay_left, bay_right)
        best = studs.best(studs.bits_about(bay_left, bay_right, probe_width, false_reading))
        every = survey(studs, probe_width, false_reading)
        return {
            "next_probe": best.at, "next_probe_bits": best.bits,
            "survey_probe": every.at, "survey_probe_bits": every.bits,
        }  # fmt: skip

    return (
        made(
            "wood_at_the_hole", "Chance that the inspection hole meets wood", ("wood_chance",),
            ("drill_place", "drill_width"), wood,
        ),
        made(
            "studs_beside_the_hole", "The studs to either side of the hole",
            ("left_stud", "left_stud_low", "left_stud_high", "right_stud", "right_stud_low", "right_stud_high", "likely_bay"),
            ("drill_place",), beside,
        ),
        made(
            "clear_stretch", "Chance that the stretch wanted is free of wood", ("clear_chance", "blocked_chance"),
            ("bay_left", "bay_right"), clear,
        ),
        made(
            "where_to_probe", "Where one more probe tells most",
            ("next_probe", "next_probe_bits", "survey_probe", "survey_probe_bits"),
            ("bay_left", "bay_right", "probe_width", "false_reading"), following,
        ),
    )  # fmt: skip


def _on_wall(studs: Studs, place: float) -> None:
    if not 0 < place < studs.wall.length:
        raise ValueError("the hole does not lie on the wall; correct its place or the wall's length")


def _in_order(studs: Studs, left: float, right: float) -> None:
    if not 0 <= left < right <= studs.wall.length:
        raise ValueError("the stretch wanted has its left end left of its right one, both on the wall")


def photo_solver(house: House) -> Solver | None:
    """The place that a photograph shows; None where the record has none."""
    picture = house.framing.photo if house.framing else None
    if not picture or not picture.point:
        return None
    points = [mark.point for mark in picture.mark if mark.point]
    places = [mark.place for mark in picture.mark if mark.place]
    tolerance = max(max(place.x.tolerance, place.y.tolerance) for place in places)
    at, reading = picture.point, picture.reading_error or 0.0

    def function() -> dict[str, Values]:
        one, two, three, four = points
        north, east, south, west = (place.point for place in places)
        shot = photo.Photo((one, two, three, four), (north, east, south, west), reading, tolerance)
        found = photo.read(shot, at)
        return {
            "photo_x": found.x, "photo_y": found.y,
            "photo_tolerance": max(found.x_error, found.y_error),
        }  # fmt: skip

    return Solver(
        "photo_place",
        "The place that the photograph shows",
        ("photo_x", "photo_y", "photo_tolerance"),
        (),
        Source(kind="independent computation", place="the homography of four marks"),
        function,
        assumptions=(
            "A flat wall, and a lens that draws straight lines straight; errors to first order, all at their worst.",
        ),
    )


def fault_of(house: House) -> str:
    """In one line why the wall cannot be worked, empty where it can or where facts are missing."""
    try:
        studs_of(house)
    except WallError as reason:
        return str(reason)
    return ""
