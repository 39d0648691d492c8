"""The route in space: its words, where they lay each piece, and what is found wrong with it."""

import math
import re
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import lsq_linear
from scipy.spatial.transform import Rotation
from shapely import LineString, box  # type: ignore[import-untyped]

from radonwork.drawings.route_in_space import isometric, plan, route_words, unrolled
from radonwork.drawings.route_of_house import surroundings
from radonwork.files import DATA, table
from radonwork.house import going
from radonwork.house.record import RecordError, parse_house, read_house
from radonwork.house.way import Way, other_ways_of, tape, way_of
from radonwork.solvers.clearances import angle, box_distance, box_room, inside, line_distance, low_places
from radonwork.units import read

INCH, FOOT = 0.0254, 0.3048
HEAD = """
[run]
slope = "1/4 in/ft"
[run.toward]
stair = "west"
garden = "30 deg north of east"
[run.pipe]
nominal = "3"
schedule = 40
"""
PIT = '[[run.piece]]\nfitting = "entrance, flush and sharp"\n'


def record(*pieces: str, head: str = "", tail: str = "") -> str:
    """A record of these pieces: "up 3 ft", or the name of a fitting, " | " and how it turns."""
    listed = []
    for piece in pieces:
        name, _, go = piece.partition(" | ")
        if name in FITTINGS:
            listed.append(f'[[run.piece]]\nfitting = "{name}"\n' + (f'go = "{go}"\n' if go else ""))
        else:
            listed.append(f'[[run.piece]]\ngo = "{name}"\n' + "".join(f"{line}\n" for line in go.split(" | ") if go))
    return HEAD + PIT + "".join(listed) + tail + head


FITTINGS = {row["name"] for row in table("fittings")}
ELBOW, HALF = "90° elbow, regular", "45° elbow, regular"


def laid(*pieces: str, **parts: str) -> Way:
    way = way_of(parse_house(record(*pieces, **parts), "route.toml"))
    assert way is not None
    return way


def said(way: Way) -> str:
    return "\n".join(map(str, way.remarks))


def refused(*pieces: str, **parts: str) -> list[str]:
    with pytest.raises(RecordError) as told:
        parse_house(record(*pieces, **parts), "route.toml")
    assert all("\n" not in line and len(line) < 400 for line in told.value.lines)
    return list(told.value.lines)


def refusal(reads: Callable[[str], object], text: str) -> str:
    """Why the text is refused; "" where it is read."""
    try:
        reads(text)
    except ValueError as reason:
        return str(reason)
    return ""


# ---------------------------------------------------------------- the words


@pytest.mark.parametrize(
    ("text", "way", "toward", "length", "slope"),
    [
        ("up 9 ft 2 in", "up", "", 110 * INCH, None),
        ("over 6 ft 4 in toward the stair, falling back", "over", "stair", 76 * INCH, "falling back"),
        ("over 6 ft 4 in falling back", "over", "", 76 * INCH, "falling back"),
        ("north 9 ft rising 1/4 in/ft", "", "north", 108 * INCH, "rising"),
        ("over 2 ft 6 in east, falling back", "over", "east", 30 * INCH, "falling back"),
        ("North-East 1,050 mm", "", "north-east", 1.05, None),
        ("over toward the garden wall 2 m level", "over", "garden wall", 2.0, "level"),
        ("9 ft toward the stair falling 1 %", "", "stair", 108 * INCH, "falling"),
        ("45 up toward the stair 3 ft", "up", "stair", 36 * INCH, None),
        ("22-1/2° down south 1 m", "down", "south", 1.0, None),
        ("on 2 ft ± 1/4 in", "on", "", 24 * INCH, None),
    ],
)
def test_a_straight_pipe_goes_as_people_say_it(text: str, way: str, toward: str, length: float, slope: str) -> None:
    found = going.straight(text)
    assert found.length
    assert (found.way, found.toward, found.slope) == (way, toward, slope)
    assert found.length.value == pytest.approx(length, rel=1e-12)
    assert str(found) == text


@pytest.mark.parametrize(
    ("text", "angle", "way", "toward"),
    [
        ("45 toward the stair", 45, "", "stair"),
        ("90 up", 90, "up", ""),
        ("22-1/2 north", 22.5, "", "north"),
        ("22.5 deg down", 22.5, "down", ""),
        ("toward the stair", None, "", "stair"),
        ("up", None, "up", ""),
    ],
)
def test_a_fitting_turns_as_people_say_it(text: str, angle: float | None, way: str, toward: str) -> None:
    found = going.turn(text)
    assert (found.angle, found.way, found.toward) == (angle, way, toward)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("9 ft", "does not say which way"),
        ("up", "gives no length"),
        ("up 0 ft", "no length"),
        ("up -3 ft", "below zero"),
        ("up 2**9 ft", "not one number with one unit"),
        ("up nine ft", "'nine ft' where a length belongs"),
        ("over 9 ft, 3 in north", "one length"),
        ("north toward east 2 ft", "toward two things"),
        ("north 2 ft rising", "how steeply"),
        ("north 2 ft falling", "how steeply"),
        ("north 2 ft level 1/4 in/ft", "no slope to give"),
        ("north 2 ft rising 1/4 in", "a slope"),
        ("up 2 ft falling back", "not laid over"),
        ("on 2 ft rising 1 %", "not laid over"),
        ("up 2 ft toward the stair", "by how much"),
        ("95 up north 2 ft", "above 0 and below 90"),
        ("45 north 2 ft", "neither up nor down"),
        ("on 2 ft north", "straight on and toward"),
        ("__import__('os') 2 ft", "where a length belongs"),
        ("", "no way that a piece goes"),
        ("up " + "9" * 400 + " ft", "no way that a piece goes"),
    ],
)
def test_words_that_say_no_way_are_told_in_one_line_with_what_would_do(text: str, told: str) -> None:
    (line,) = refused(text)
    assert "run.piece[2].go" in line
    assert told in line


@pytest.mark.parametrize(
    "text", ["on", "45", "up 9 ft", "over north", "0 up", "200 up", "north south", "up falling back"]
)
def test_words_that_turn_no_fitting_are_told_in_one_line(text: str) -> None:
    assert refusal(going.turn, text)


@settings(max_examples=300)
@given(st.text(max_size=60) | st.from_regex(r"[a-z0-9°,./ -]{0,50}", fullmatch=True))
def test_any_text_is_a_way_or_one_plain_line(text: str) -> None:
    for reads in (going.straight, going.turn, going.heading):
        told = refusal(reads, text)
        assert "\n" not in told
        assert len(told) < 300


_LENGTHS = st.sampled_from(["9 ft 2 in", "6 ft", "1.25 m", "14-3/8 in ± 1/8 in", "1,050 mm"])
_PLACES = st.sampled_from([*going.COMPASS, "the stair", "garden wall"])
_SLOPES = (
    ("", ""), ("falling back", ""), (", falling back", "1/4 in/ft"), ("rising", "10 mm/m"), (", falling", "2 %"), ("level", ""),
)  # fmt: skip


@given(_LENGTHS, _PLACES, st.sampled_from(list(_SLOPES)), st.booleans())
def test_what_is_put_together_from_the_grammar_is_read_as_it_was_meant(
    length: str, place: str, slope: tuple[str, str], length_first: bool
) -> None:
    word, pitch = slope
    parts = f"{length} toward {place}" if length_first else f"toward {place} {length}"
    found = going.straight(f"over {parts} {word} {pitch}".rstrip())
    assert found.length == read(length, "length")
    assert found.toward == place.removeprefix("the ")
    assert (found.slope or "") == word.removeprefix(", ")
    assert found.pitch == (read(pitch, "slope") if pitch else None)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("west", 180), ("north-east", 45), ("south west", -135), ("20 deg south of west", 200), ("10° east of north", 80)],
)
def test_a_direction_is_an_angle_from_east(text: str, degrees: float) -> None:
    assert going.heading(text) == pytest.approx((math.cos(math.radians(degrees)), math.sin(math.radians(degrees))))


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('up = "west"', "cannot name a direction"),
        ('north = "west"', "cannot name a direction"),
        ('"st4ir" = "west"', "cannot name a direction"),
        ('door = "wset"', "no direction on the plan"),
        ('door = "20 deg east of west"', "no direction on the plan"),
        ("door = 3", "without a direction in quotes"),
    ],
)
def test_a_direction_that_is_none_is_told(line: str, told: str) -> None:
    with pytest.raises(RecordError) as found:
        parse_house(f"[run.toward]\n{line}\n", "route.toml")
    assert told in found.value.lines[0]


def test_a_name_that_no_direction_has_is_told_with_those_there_are() -> None:
    (line,) = refused("over 3 ft toward the stare")
    assert "run.piece[2].go: goes toward 'stare', which run.toward does not define; write stair, garden or" in line


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ("[run]\n" + '[[run.piece]]\ngo = "up 1 ft"\n' * 201, "run.piece: has 201 entries; write at most 200"),
        ('[[run.stay_in]]\ncorners = [["1 ft", "2 ft"]]\n', "has 1 corners; write two that are opposite"),
        ('[[run.keep_clear]]\ncorners = [["1 ft", "2 ft"], ["1 ft", "3 ft"]]\n', "without width or height"),
        ('[[run.keep_clear]]\ncorners = [["1 ft", "2 ft"], ["2 ft", "3 ft", "1 ft"]]\n', "write both or neither"),
        ('[[run.keep_clear]]\ncorners = ["1 ft", ["2 ft", "3 ft"]]\n', "'1 ft' is not a corner"),
        ('[run]\ntoward = "west"\n', "is not a section; write a line [run.toward]"),
        ("[[run.piece]]\ngo = 3\n", "3 is not text; write in quotes how the piece goes"),
        ('[[run.piece]]\ngo = "up 1 ft"\nplace = "loft"\n', "'loft' is not a choice"),
        ('[wall.pipe]\nbeside = "left"\n', "'left' is no direction on the plan"),
        ('[[run_alternative]]\nname = "x"\n', "has no piece; write a line [[run_alternative.piece]]"),
        (
            '[[run_alternative]]\nafter_piece = 3\npiece = [{ go = "up 3 ft" }]\n',
            "3 is more than the route has pieces, 1",
        ),
        ('[[run_alternative]]\npiece = [{ go = "over 3 ft toward the stare" }]\n', "which run.toward does not define"),
        ('[run.end]\nheight = "up"\n', "does not start with a number"),
    ],
)
def test_what_stands_wrongly_around_a_route_is_told_in_one_line(lines: str, told: str) -> None:
    with pytest.raises(RecordError) as found:
        parse_house(lines, "route.toml")
    (line, *more) = found.value.lines
    assert told in line
    assert not more
    assert "\n" not in line


def test_a_fitting_that_is_not_in_the_table_and_a_length_given_twice_are_told() -> None:
    text = (
        record() + '[[run.piece]]\nfitting = "80° elbow"\ngo = "up"\n[[run.piece]]\nlength = "3 ft"\ngo = "up 3 ft"\n'
    )
    with pytest.raises(RecordError) as found:
        parse_house(text, "route.toml")
    one, other = found.value.lines
    assert "run.piece[2].fitting: '80° elbow' is no fitting of the table" in one
    assert "run.piece[3].length: '3 ft' gives the length beside go" in other


# ---------------------------------------------------------------- where the pieces lie


def test_the_route_of_the_house_in_us_units_lies_where_trigonometry_puts_it() -> None:
    """By hand: a rise of 1 on 48 has the level length L cos(atan(1/48)) and the rise L sin(atan(1/48))."""
    way = way_of(read_house(DATA / "houses" / "alder-court.toml"))
    assert way is not None
    slope = math.atan(1 / 48)
    east = 28.5 - 9 * math.cos(slope)
    north = 33.5 - 14 * math.cos(slope)
    up = 6 + 9 * math.sin(slope) + 135.125 / 12 + 14 * math.sin(slope) + 4
    assert [value / FOOT for value in way.end] == pytest.approx([east, north, up], rel=1e-12)
    assert way.remarks == ()
    assert way.length / FOOT == pytest.approx(6 + 9 + 135.125 / 12 + 14 + 4)
    riser = next(leg for leg in way.legs if len(leg.copies) == 2)
    assert riser.copies[1] == pytest.approx((0, -6 * INCH, 0))


def test_words_that_turn_and_go_on_lie_where_rotations_of_a_library_put_them() -> None:
    """Each fitting turns the direction about the axis square to it and to where it turns, as scipy's Rotation does."""
    way = laid(
        "up 2 m", f"{HALF} | toward the garden", "on 3 m", f"{ELBOW} | north", "on 1 m", f"{HALF} | down", "on 2 m"
    )
    direction, at = np.array([0.0, 0.0, 1.0]), np.zeros(3)
    garden = np.array([math.cos(math.radians(30)), math.sin(math.radians(30)), 0.0])
    at = at + 2 * direction
    for toward, degrees, length in ((garden, 45, 3), (np.array([0, 1.0, 0]), 90, 1), (np.array([0, 0, -1.0]), 45, 2)):
        axis = np.cross(direction, toward)
        direction = Rotation.from_rotvec(math.radians(degrees) * axis / np.linalg.norm(axis)).apply(direction)
        at = at + length * direction
    assert way.end == pytest.approx(tuple(at), abs=1e-12)


@settings(max_examples=50, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(["north", "west", "the garden"]), st.integers(5, 80), st.integers(1, 30)),
        min_size=1,
        max_size=6,
    )
)
def test_stated_angles_lie_as_a_library_turns_them(legs: list[tuple[str, int, int]]) -> None:
    way = laid("up 1 ft", *(f"{degrees} up toward {toward} {inches} in" for toward, degrees, inches in legs))
    headings = {"north": 90, "west": 180, "the garden": 30}
    at = np.array([0, 0, FOOT])
    for toward, degrees, inches in legs:
        at = at + inches * INCH * Rotation.from_euler("ZY", [headings[toward], -degrees], degrees=True).apply(
            [1.0, 0, 0]
        )
    assert way.end == pytest.approx(tuple(at), abs=1e-9)


def test_over_without_a_direction_goes_on_as_the_pipe_last_went_on_the_plan() -> None:
    way = laid(
        "up 3 ft",
        f"{ELBOW} | toward the stair",
        "over 2 ft falling back",
        ELBOW,
        "up 4 ft",
        f"{ELBOW} | north",
        "over 5 ft",
    )
    assert way.end[0] == pytest.approx(-2 * FOOT * math.cos(math.atan(1 / 48)))
    assert way.end[1] == pytest.approx(5 * FOOT)


def test_tolerances_of_the_lengths_are_carried_to_the_end_axis_by_axis() -> None:
    way = laid("up 6 ft ± 1/4 in", ELBOW, "north 9 ft ± 1/2 in", ELBOW, "up 3 ft ± 1/8 in")
    assert [value / INCH for value in way.tolerance] == pytest.approx([0, 1 / 2, 1 / 4 + 1 / 8])


@pytest.mark.parametrize(
    ("inches", "us"),
    [
        (110, "9 ft 2 in"),
        (0.0625, "1/16 in"),
        (12, "1 ft"),
        (23.97, "2 ft"),
        (170.51, "14 ft 2-1/2 in"),
        (0.001, "0 in"),
    ],
)
def test_a_length_is_told_as_it_is_read_off_a_tape(inches: float, us: str) -> None:
    assert tape(inches * INCH, "us") == us
    assert tape(-inches * INCH, "us").lstrip("-") == us


# ---------------------------------------------------------------- what is wrong


def test_a_fitting_that_does_not_fit_is_named_with_the_figure_and_the_rest_is_still_laid() -> None:
    way = laid("up 3 ft", HALF, "north 4 ft falling back", ELBOW, "up 2 ft")
    assert (
        "run.piece[3]: 45° elbow, regular turns by 45°, and the pieces that it joins stand at 88.8° to each other"
        in said(way)
    )
    assert len(way.remarks) == 1
    assert way.end[2] == pytest.approx((5 + 4 * math.sin(math.atan(1 / 48))) * FOOT)


def test_pieces_at_an_angle_without_a_fitting_are_named() -> None:
    way = laid("up 3 ft", "north 4 ft falling back")
    assert "run.piece[3]: stands at 88.8° to run.piece[2], and no fitting between them turns" in said(way)


def test_two_elbows_in_a_row_must_say_how_the_first_is_turned() -> None:
    assert "run.piece[3]: turns, and no straight pipe follows it at once" in said(
        laid("up 3 ft", ELBOW, ELBOW, "up 4 ft")
    )
    assert said(laid("up 3 ft", f"{ELBOW} | north", ELBOW, "up 4 ft")) == ""


def test_a_fitting_that_says_another_angle_than_its_own_is_named() -> None:
    assert "says that it turns by 45°, and 90° elbow, regular turns by 90°" in said(
        laid("up 3 ft", f"{ELBOW} | 45 north", "on 3 ft")
    )


def test_fittings_counted_as_one_are_named_because_nobody_knows_their_turns() -> None:
    text = record("up 3 ft", ELBOW, "up 3 ft").replace(f'"{ELBOW}"\n', f'"{ELBOW}"\ncount = 2\n')
    way = way_of(parse_house(text, "route.toml"))
    assert way is not None
    assert "run.piece[3]: stands for 2 fittings that turn; write each by itself" in said(way)


def test_a_level_stretch_and_one_that_falls_away_are_named_with_the_drop() -> None:
    assert "run.piece[4]: is level over 8 ft, so water stays in it" in said(laid("up 3 ft", ELBOW, "north 8 ft"))
    away = said(laid("up 3 ft", ELBOW, "north 8 ft falling 1/4 in/ft"))
    assert "run.piece[4]: falls away from the suction point by 2 in over 8 ft (0.25 in/ft)" in away
    assert said(laid("up 3 ft", ELBOW, "north 8 ft falling back")) == ""


def test_a_place_that_holds_water_is_named_with_its_depth() -> None:
    way = laid(
        "up 5 ft",
        ELBOW,
        "north 4 ft falling back",
        ELBOW,
        "down 2 ft",
        ELBOW,
        "north 3 ft falling back",
        ELBOW,
        "up 6 ft",
    )
    assert (
        "run.piece[8]: begins at a low place behind run.piece[6] that holds water 2 ft deep, which shuts the pipe"
        in said(way)
    )
    assert way.values["trap_depth"] == pytest.approx(2 * FOOT)


def test_a_route_that_does_not_close_says_by_how_much_and_what_would_close_it() -> None:
    end = '[run.end]\nat = ["-6 ft", "4 ft"]\nheight = "9 ft 1-1/2 in"\nwithin = "1/4 in"\n'
    way = laid("up 6 ft", ELBOW, "over 6 ft 5 in toward the stair rising 1 in 48", ELBOW, "up 3 ft", head=end)
    (line,) = way.remarks
    assert str(line).startswith("run.end: the route ends 4 ft 1/4 in from there (5 in west, 4 ft south, 1/8 in high)")
    assert "more than the 1/4 in that the record allows" in str(line)
    assert "With run.piece[4] 5 in shorter it would still be 4 ft off" in str(line)  # no piece goes north or south
    end = '[run.end]\nat = ["-3 ft", "4 ft"]\n'
    askew = laid(
        "up 6 ft", f"{HALF} | toward the stair", "on 5 ft", HALF, "up 1 ft", ELBOW, "north 3 ft falling back", head=end
    )
    away = math.hypot(5 / math.sqrt(2) - 3, 1 - 3 * (1 - math.cos(math.atan(1 / 48))))
    assert askew.values["closure_gap"] / FOOT == pytest.approx(away, abs=0.01)
    assert "It would close with run.piece[8] 1 ft longer" in said(askew)
    north = laid("up 6 ft", ELBOW, "north 4 ft", head='[run.end]\nat = ["0 ft", "4 ft"]\n')
    assert north.values["closure_gap"] == pytest.approx(0, abs=1e-12)
    loose = laid("up 6 ft", ELBOW, "north 4 ft ± 3 in", head='[run.end]\nat = ["0 ft", "3 ft 10 in"]\n')
    assert loose.values["closure_allowance"] == pytest.approx(3 * INCH)
    assert "ends" not in said(loose)


def test_a_beam_that_is_crossed_and_one_that_is_touched_are_named() -> None:
    beam = '[[run.keep_clear]]\nname = "beam"\ncorners = [["-5 ft", "3 ft", "{}"], ["5 ft", "4 ft", "{}"]]\n'
    through = laid("up 3 ft", ELBOW, "north 8 ft falling back", head=beam.format("2 ft 6 in", "3 ft 6 in"))
    assert "run.piece[4]: goes through beam for 1 ft of its length" in said(through)
    assert through.values["clear_distance"] < 0
    touching = laid("up 3 ft", ELBOW, "north 8 ft rising 0 %", head=beam.format("3 ft 1 in", "4 ft"))
    assert "run.piece[4]: touches beam: its outside stands 3/4 in into it" in said(
        touching
    )  # 3-1/2 in pipe: 1-3/4 less 1
    clear = laid("up 3 ft", ELBOW, "north 8 ft falling back", head=beam.format("4 ft", "5 ft"))
    assert said(clear) == ""
    assert clear.values["clear_distance"] / INCH == pytest.approx(12 - 1.75 - 1, abs=0.01)  # 4 ft on it has risen 1 in


def test_a_piece_that_stands_out_of_its_bay_is_named_with_the_figure() -> None:
    bay = '[[run.stay_in]]\nname = "bay"\ncorners = [["-2 in", "-7 in"], ["{} in", "7 in"]]\npieces = [2]\n'
    assert said(laid("up 3 ft", head=bay.format("2"))) == ""
    out = laid("up 3 ft", head=bay.format("1-1/2"))
    assert "run.piece[2]: stands 1/4 in out of bay, in which it must stay" in said(out)
    assert out.values["route_bay_room"] == pytest.approx(-0.25 * INCH)


def test_two_pipes_in_one_place_are_named_and_pipes_apart_are_not() -> None:
    loop = (
        "up 3 ft",
        ELBOW,
        "north 4 ft rising 1/4 in/ft",
        ELBOW,
        "west 2 ft falling back",
        ELBOW,
        "south 2 ft falling back",
        ELBOW,
    )
    crossing = laid(*loop, "east 4 ft falling back")
    assert "run.piece[4] and" not in said(crossing)
    assert "run.piece[4]: and run.piece[10] are in one place: their outsides overlap by" in said(crossing)
    assert "are in one place" not in said(laid(*loop, "east 1 ft falling back"))


def test_pipes_side_by_side_that_overlap_are_named() -> None:
    wall = '[wall.pipe]\nnominal = "2"\nschedule = 40\ncount = "2"\napart = "{}"\nbeside = "north"\n'
    for apart, found in (("2 in", True), ("3 in", False)):
        way = laid('up 3 ft | pipe = "wall"', head=wall.format(apart))
        assert ("and the pipe beside it in the wall are in one place" in said(way)) is found
        assert way.values["pipe_gap"] / INCH == pytest.approx(float(apart.split()[0]) - 2.375)


def test_pipe_under_pressure_indoors_is_named() -> None:
    text = record('up 3 ft | place = "basement"', 'up 2 ft | place = "attic"') + "[fan]\nafter_piece = 1\n"
    way = way_of(parse_house(text, "route.toml"))
    assert way is not None
    assert "run.piece[2]: is behind the fan, so under pressure, 3 ft in the basement" in said(way)
    assert way.values["pressure_length"] == pytest.approx(3 * FOOT)


def test_an_attic_run_that_is_stated_by_itself_must_be_that_of_the_pieces() -> None:
    pieces = ("up 3 ft", ELBOW, 'north 9 ft falling back | place = "attic"', ELBOW, "up 1 ft")
    for stated, found in (("9 ft", False), ("9 ft 1/4 in", False), ("10 ft", True)):
        text = record(*pieces).replace("[run]\n", f'[run]\nattic_run = "{stated}"\n')
        way = way_of(parse_house(text, "route.toml"))
        assert way is not None
        assert (
            "run.attic_run: says 10 ft, and the pieces that lie in the attic (run.piece[4]) are 9 ft" in said(way)
        ) is found


def test_a_route_without_words_has_no_place_in_space() -> None:
    assert way_of(parse_house('[run]\npiece = [{ length = "3 ft" }]\n', "plain.toml")) is None
    assert way_of(parse_house("", "empty.toml")) is None


def test_a_piece_that_does_not_say_how_it_goes_is_named_and_taken_as_straight_on() -> None:
    text = record("up 3 ft") + '[[run.piece]]\nlength = "2 ft"\n'
    way = way_of(parse_house(text, "route.toml"))
    assert way is not None
    assert "run.piece[3]: does not say how it goes; taken as straight on" in said(way)
    assert way.end[2] == pytest.approx(5 * FOOT)


_STRAIGHTS = (
    "up 3 ft", "down 2 ft", "over 4 ft falling back", "north 2 ft", "45 up west 3 ft", "on 2 ft", "south 1 in",
    "over 3 ft toward the stair rising 1 in/ft", "on 0.01 in", "30 down toward the garden 2 m",
)  # fmt: skip
_TURNS = (
    "",
    " | up",
    " | down",
    " | north",
    " | 45 toward the stair",
    " | 90 up",
    " | 180 north",
    " | toward the garden",
)
_ANY_FITTING = sorted(name for name in FITTINGS if "streams" not in name and "hole in" not in name)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.sampled_from(_STRAIGHTS)
        | st.builds(str.__add__, st.sampled_from([ELBOW, HALF, *_ANY_FITTING]), st.sampled_from(_TURNS)),
        max_size=14,
    )
)
def test_whatever_pieces_somebody_lists_the_route_is_shown_with_its_faults_in_plain_lines(pieces: list[str]) -> None:
    head = '[run.end]\nat = ["3 ft", "2 ft"]\n[[run.keep_clear]]\ncorners = [["-1 ft", "1 ft"], ["1 ft", "2 ft"]]\n'
    house = parse_house(record(*pieces, head=head), "route.toml")
    way = way_of(house)
    if way is None:  # not one of them says how it goes
        return
    assert len(way.legs) + len(way.turns) == len(pieces) + 1
    assert all(math.isfinite(value) for value in way.values.values())
    assert all("\n" not in str(remark) and len(str(remark)) < 600 for remark in way.remarks)
    for draw in (isometric, plan, unrolled):
        svg = draw(way, surroundings(house))
        assert "nan" not in svg
        unnamed = sum(not re.search(rf">[A-T]?{leg.number}(: |<)", svg) for leg in way.legs)
        left_off = re.search(r"(\d+) labels? (?:is|are) left off", svg)
        assert unnamed <= int(left_off[1] if left_off else 0)
    assert all(f"{leg.number} {leg.words}" in route_words(way, surroundings(house)) for leg in way.legs)


def test_the_other_routes_of_the_houses_start_at_the_same_point() -> None:
    for name in ("alder-court", "kestrel-lane"):
        house = read_house(DATA / "houses" / f"{name}.toml")
        way = way_of(house)
        (other,) = other_ways_of(house)
        assert way is not None
        assert way.start == other.start
        assert other.remarks == ()


# ---------------------------------------------------------------- room between pipes and boxes


def points(count: int) -> np.ndarray:
    return np.random.default_rng(5).uniform(-2, 2, (200, count, 3))


def test_two_straight_lines_come_as_near_as_bounded_least_squares_finds() -> None:
    for a, b, c, d in points(4):
        best = lsq_linear(np.array([b - a, c - d]).T, c - a, bounds=(0, 1), method="bvls", tol=1e-15)
        assert line_distance(tuple(a), tuple(b), tuple(c), tuple(d)) == pytest.approx(
            math.sqrt(2 * best.cost), abs=1e-7
        )


def test_lines_side_by_side_end_to_end_and_of_no_length_have_their_distance() -> None:
    assert line_distance((0, 0, 0), (1, 0, 0), (0.5, 2, 0), (3, 2, 0)) == 2
    assert line_distance((0, 0, 0), (1, 0, 0), (3, 0, 0), (4, 0, 0)) == 2
    assert line_distance((0, 0, 0), (0, 0, 0), (3, 4, 0), (3, 4, 0)) == 5


def test_a_line_and_a_box_are_as_far_apart_as_a_geometry_library_says() -> None:
    """In a plane: boxes and lines of equal height, measured by shapely."""
    for a, b, low, size in points(4):
        corner, far = np.minimum(low, low + size)[:2], np.maximum(low, low + size)[:2]
        line = LineString([a[:2], b[:2]])
        square = box(*corner, *far)
        found = box_distance((*a[:2], 0.0), (*b[:2], 0.0), ((*corner, -9.0), (*far, 9.0)))
        if line.intersects(square):
            assert found <= 0
            within = inside((*a[:2], 0.0), (*b[:2], 0.0), ((*corner, -9.0), (*far, 9.0)))
            part = line.intersection(square).length
            assert (within[1] - within[0]) * line.length == pytest.approx(part, abs=1e-9) if within else part < 1e-9
        else:
            assert found == pytest.approx(line.distance(square), abs=1e-9)


def test_how_deep_a_line_is_in_a_box_is_what_many_points_of_it_say() -> None:
    for a, b, low, size in points(4):
        corner, far = np.minimum(low, low + size), np.maximum(low, low + size)
        along = a + np.linspace(0, 1, 4001)[:, np.newaxis] * (b - a)
        outside = np.linalg.norm(np.maximum(np.maximum(corner - along, along - far), 0), axis=1).min()
        depth = np.minimum(along - corner, far - along).min(axis=1).max()
        wanted = outside if outside > 0 else -depth
        # Half a step between the points, 4 m long at most in each direction.
        assert box_distance(tuple(a), tuple(b), (tuple(corner), tuple(far))) == pytest.approx(wanted, abs=4e-3)


def test_a_pipe_with_square_ends_fills_the_box_that_its_rim_touches() -> None:
    """The rim of each end as 720 points around it: the box around them leaves no room."""
    for a, b in points(2):
        along = (b - a) / np.linalg.norm(b - a)
        aside = np.cross(along, [1.0, 0, 0])
        aside /= np.linalg.norm(aside)
        up = np.cross(along, aside)
        turns = np.linspace(0, 2 * math.pi, 721)[:, np.newaxis]
        rim = 0.04 * (np.cos(turns) * aside + np.sin(turns) * up)
        cloud = np.concatenate([a + rim, b + rim])
        room = box_room(tuple(a), tuple(b), 0.04, (tuple(cloud.min(axis=0)), tuple(cloud.max(axis=0))))
        assert room == pytest.approx(0, abs=1e-5)


def test_angles_are_those_of_the_cosine_and_exact_for_small_ones() -> None:
    for a, b in points(2):
        cosine = np.dot(a, b) / np.linalg.norm(a) / np.linalg.norm(b)
        assert angle(tuple(a), tuple(b)) == pytest.approx(math.acos(cosine), abs=1e-7)
    assert angle((1, 0, 0), (1, 1e-9, 0)) == pytest.approx(1e-9)
    assert angle((1, 0, 0), (-1, 0, 0)) == pytest.approx(math.pi)


@given(st.lists(st.integers(0, 6), min_size=2, max_size=12))
def test_low_places_hold_what_rain_would_leave_standing(heights: list[int]) -> None:
    """Against rain on every point, which runs off at both ends: the water over a point reaches the lower of the two
    highest points on its sides."""
    water = [min(max(heights[: n + 1]), max(heights[n:])) - height for n, height in enumerate(heights)]
    found = low_places([float(height) for height in heights])
    assert max((depth for _, depth in found), default=0) == max(water)
    assert all(depth == water[place] for place, depth in found)
