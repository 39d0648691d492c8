"""The house record: what it states, what is missing, and every fault of a bad one in a plain line."""

import math
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from radonwork.files import DATA
from radonwork.glossary import GLOSSARY
from radonwork.house import plan, record
from radonwork.house.layout import layout
from radonwork.house.plausible import bounds
from radonwork.house.record import House, RecordError, parse_house, read_house
from radonwork.solvers.fan_curve import FanCurve, FanCurveError
from radonwork.units import read

HOUSES = sorted((DATA / "houses").glob("*.toml"))
ALDER = (DATA / "houses" / "alder-court.toml").read_text(encoding="utf-8")
untimed = settings(deadline=None)  # a busy machine is not a failure


def faults(text: str) -> list[str]:
    """The lines of the refusal of a text, each checked to be one short printable line."""
    with pytest.raises(RecordError) as caught:
        parse_house(text, "house.toml")
    return lines_of(caught.value)


def file_faults(content: bytes, folder: Path) -> list[str]:
    """The lines of the refusal of a file with this content."""
    (folder / "house.toml").write_bytes(content)
    with pytest.raises(RecordError) as caught:
        read_house(folder / "house.toml")
    return lines_of(caught.value)


def lines_of(refusal: RecordError) -> list[str]:
    assert refusal.faults
    assert str(refusal) == "\n".join(refusal.lines)
    for line in refusal.lines:
        assert line.isprintable()
        assert len(line) < 400
    return list(refusal.lines)


# ---------------------------------------------------------------- what a record states


def test_the_house_in_us_units_states_its_figures_in_si() -> None:
    house = read_house(DATA / "houses" / "alder-court.toml")
    facts = {name: quantity.value for name, quantity in house.facts().items()}
    # by hand, from the exact inch of 25.4 mm, cubic foot of 28.316846592 L and -5 degF = -20.5555… degC
    assert facts["bay_width"] == pytest.approx(0.352425, rel=1e-12)
    assert house.facts()["bay_width"].tolerance == pytest.approx(0.003175, rel=1e-12)
    assert facts["room_height"] == pytest.approx(2.3749, rel=1e-12)
    assert facts["member_thickness"] == pytest.approx(0.05715, rel=1e-12)
    assert facts["pipe_length"] == pytest.approx(2.794, rel=1e-12)
    assert facts["run_length"] == pytest.approx(4.2672, rel=1e-12)
    assert facts["air_flow"] == pytest.approx(0.0292607415, rel=1e-9)
    assert facts["attic_temperature"] == pytest.approx(252.5944444, rel=1e-9)
    assert facts["roof_angle"] == pytest.approx(0.528074, rel=1e-6)  # 30.2564 deg, a rafter table's 7 in 12
    assert facts["slab_area"] == pytest.approx(97.5481922, rel=1e-8)
    assert facts["pipe_count"] == 2
    assert [test.concentration.value for test in house.test if test.concentration] == pytest.approx(
        [373.7, 336.7, 303.4, 22.2]  # 37 Bq/m3 to the pCi/L
    )
    assert (house.system, house.house and house.house.built, house.house and house.house.storeys) == ("us", 1986, 2)
    words = {
        "foundation": "basement",
        "drain_tile": "inside",
        "suction_point": "sump",
        "bearing_or_exterior_wall": False,
    }
    assert words.items() <= house.words().items()


def test_pipe_sizes_are_those_of_the_standard() -> None:
    facts = read_house(DATA / "houses" / "alder-court.toml").facts()
    inches = {name: facts[name].value / 0.0254 for name in ("main_pipe_diameter", "large_bore", "small_bore")}
    # ASTM D1785: 3 in is 3.500 in outside and 3.068 in inside with the least wall of Schedule 40, 2 in 2.067 in inside
    assert inches == pytest.approx({"main_pipe_diameter": 3.5, "large_bore": 3.068, "small_bore": 2.067}, rel=1e-12)
    thick = parse_house('[run.pipe]\nnominal = "3 in"\nschedule = "80"\ndiameters = "mean wall"\n', "x").facts()
    assert thick["bore"].value / 0.0254 == pytest.approx(2.864, abs=5e-4)
    named = parse_house('[run.pipe]\nnominal = 1.5\nschedule = 40\ndiameters = "nominal"\n', "x").facts()
    assert named["bore"].value / 0.0254 == pytest.approx(1.5, rel=1e-12)


def test_the_metric_house_gives_its_bore_from_diameter_and_wall() -> None:
    house = read_house(DATA / "houses" / "kestrel-lane.toml")
    facts = house.facts()
    assert house.system == "metric"
    assert facts["bore"].value == pytest.approx(0.1036, rel=1e-12)
    assert (facts["bore"].text, facts["bore"].unit) == ("103.6 mm", "mm")
    assert facts["stud_spacing"].value == pytest.approx(0.6, rel=1e-12)
    assert [test.concentration.value for test in house.test if test.concentration] == pytest.approx([340])


def test_tolerances_of_diameter_and_wall_add_up_in_the_bore() -> None:
    text = '[run.pipe]\noutside_diameter = "110 mm ± 0.2 mm"\nwall_thickness = "3.2 mm ± 0.1 mm"\n'
    bore = parse_house(text, "x").facts()["bore"]
    assert bore.tolerance == pytest.approx(0.0004, rel=1e-9)
    assert bore.text == "103.6 mm ± 0.4 mm"


def test_what_is_missing_is_named_by_its_field() -> None:
    house = read_house(DATA / "houses" / "kestrel-lane.toml")
    assert house.missing(["pipe_length", "attic_temperature", "bore", "room_height", "slot_needed"]) == {
        "pipe_length": "wall.piece_length",
        "attic_temperature": "climate.attic_temperature",
    }


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("", "run.pipe.nominal"),
        ('[run.pipe]\nnominal = "3"', "run.pipe.schedule"),
        ('[run.pipe]\noutside_diameter = "110 mm"', "run.pipe.wall_thickness"),
        ('[run.pipe]\nwall_thickness = "3 mm"', "run.pipe.outside_diameter"),
    ],
)
def test_half_a_pipe_size_says_what_would_complete_it(text: str, field: str) -> None:
    assert parse_house(text, "x").missing(["bore"]) == {"bore": field}


def test_an_empty_record_is_a_house_of_which_nothing_is_known() -> None:
    house = parse_house("", "house.toml")
    assert house == House()
    assert house.facts() == house.words() == {}
    assert house.system == "us"


def test_no_term_is_stated_by_two_fields() -> None:
    terms = [term for _, term, _ in House()._entries("measured")]
    terms += [term for names in record._PIPE_TERMS.values() for term in names]
    assert len(terms) == len(set(terms))
    assert set(terms) <= set(GLOSSARY)


@pytest.mark.parametrize("path", HOUSES, ids=lambda path: path.stem)
def test_an_example_house_says_that_it_is_invented(path: Path) -> None:
    assert "invented" in path.read_text(encoding="utf-8").splitlines()[0]
    assert "invented" in read_house(path).name


def test_a_house_cannot_be_changed_in_place() -> None:
    house = read_house(DATA / "houses" / "alder-court.toml")
    with pytest.raises(ValueError, match="frozen"):
        house.system = "metric"  # type: ignore[misc]


def test_reading_a_record_loads_no_sympy_and_no_chart_library() -> None:
    code = (
        "import sys, radonwork.house.saving; from radonwork.house.record import read_house; "
        f"[read_house(path) for path in {[str(path) for path in HOUSES]}]; "
        "print(sorted(sys.modules.keys() & {'sympy', 'matplotlib', 'scipy'}))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


# ---------------------------------------------------------------- the air: soil, slab, fan, gauge and prices


def test_the_air_of_the_house_in_us_units_is_stated_in_si() -> None:
    facts = read_house(DATA / "houses" / "alder-court.toml").facts()
    # by hand: 0.9 x 249.08891 Pa over 62 x 0.028316846592/60 m3/s, and 6,500 degF d as 6,500 x 5/9 x 86,400 K s
    assert facts["soil_resistance"].value == pytest.approx(224.180019 / 0.02926074148, rel=1e-9)
    assert facts["soil_resistance"].text == "0.0145161 inWC/cfm ± 0.00334101 inWC/cfm"
    # the larger end: 1.0 inWC at 56 cfm
    assert facts["soil_resistance"].tolerance / facts["soil_resistance"].value == pytest.approx(
        (1.0 / 56) / (0.9 / 62) - 1, rel=1e-9
    )
    assert facts["heating_degree_days"].value == pytest.approx(3.12e8, rel=1e-12)
    assert facts["gauge_suction"].value == pytest.approx(273.997801, rel=1e-9)
    assert facts["gauge_suction"].tolerance == pytest.approx(12.4544455, rel=1e-9)
    assert facts["energy_price"].value * 3.6e6 == pytest.approx(0.16, rel=1e-12)
    assert facts["outdoor_temperature"].value == pytest.approx(255.372222, rel=1e-8)
    assert facts["fan_power"].value == 75


def test_a_round_hole_in_the_lid_is_a_leak_of_its_area() -> None:
    leak = parse_house('[suction]\nlid_hole = "1/2 in ± 1/16 in"\n', "x").facts()["lid_leak_area"]
    assert leak.value / 0.0254**2 == pytest.approx(math.pi / 16, rel=1e-12)
    assert (leak.value + leak.tolerance) / 0.0254**2 == pytest.approx(math.pi * (9 / 32) ** 2, rel=1e-12)


@pytest.mark.parametrize(("house", "area"), [("alder-court", 1050 * 0.3048**2), ("kestrel-lane", 118.0)])
def test_the_outline_of_an_example_has_the_area_its_record_states(house: str, area: float) -> None:
    house_of = read_house(DATA / "houses" / f"{house}.toml")
    footprint = house_of.footprint()
    assert footprint is not None
    assert (
        footprint.area
        == pytest.approx(area, rel=1e-12)
        == pytest.approx(house_of.facts()["slab_area"].value, rel=1e-12)
    )


def test_the_slab_that_is_drawn_has_its_area_unless_the_record_states_one() -> None:
    """An L of 40 by 14 and 22 by 16 ft, on paper 912 ft2."""
    corners = [["0 ft", "0 ft"], ["40 ft", "0 ft"], ["40 ft", "14 ft"], ["22 ft", "14 ft"], ["22 ft", "30 ft"]]
    outline = f"outline = {[*corners, ['0 ft', '30 ft']]}\n"
    drawn = parse_house(f"[foundation]\n{outline}", "house.toml").facts()["slab_area"]
    assert (drawn.value, drawn.text) == (pytest.approx(912 * 0.3048**2, rel=1e-12), "912 ft²")
    stated = parse_house(f'[foundation]\nslab_area = "900 ft2"\n{outline}', "house.toml").facts()["slab_area"]
    assert stated.text == "900 ft2"
    assert "slab_area" not in parse_house('[foundation]\nslab_thickness = "4 in"\n', "house.toml").facts()


def test_places_on_the_slab_are_in_metres_with_their_field() -> None:
    alder, kestrel = (read_house(path) for path in HOUSES)
    (sump,), (pit,) = alder.suction_points(), kestrel.suction_points()
    assert (sump.path, sump.name, sump.on_drain) == ("suction.point[1]", "sump", True)
    assert sump.at == pytest.approx((28.5 * 0.3048, 33.5 * 0.3048), rel=1e-12)
    assert sump.radius == pytest.approx(0.2286, rel=1e-12)
    assert (pit.at, pit.radius, pit.on_drain) == ((6.5, 5.0), 0.25, False)
    (drain,) = alder.drains()
    assert (drain.path, len(drain.points), drain.closed, kestrel.drains()) == ("suction.drain[1]", 4, False, ())
    holes = kestrel.test_holes()
    assert [(hole.path, hole.name, hole.at, hole.suction, hole.tolerance) for hole in holes][1:] == [
        ("proof.test_hole[2]", "living room", (10.0, 3.0), 12.5, 1.5),
        ("proof.test_hole[3]", "far bedroom", (13.0, 1.0), 4.2, 1.0),
    ]
    assert str(alder.suction and alder.suction.point[0].at) == "28 ft 6 in, 33 ft 6 in"


def test_a_test_hole_may_blow() -> None:
    text = '[[proof.test_hole]]\nat = ["-1 m", "0 m"]\nsuction = "-0.4 Pa ± 0.2 Pa"\n'
    (hole,) = parse_house(text, "x").test_holes()
    assert (hole.at, hole.suction) == ((-1.0, 0.0), -0.4)


def test_nothing_stated_gives_no_route_curve_or_plan() -> None:
    house = House()
    assert house.route() is house.fan_curve() is house.footprint() is None
    assert house.suction_points() == house.drains() == house.test_holes() == ()
    assert house.fan_curves() == {}
    assert parse_house('[fan]\nname = "x"\n[[fan_alternative]]\n[[suction.point]]\n', "x").fan_curves() == {}


def test_the_curve_of_a_fan_is_that_of_its_points_whatever_their_units() -> None:
    house = read_house(DATA / "houses" / "alder-court.toml")
    assert list(house.fan_curves()) == ["Invented fan, larger", "Invented fan, smaller"]
    curve = house.fan_curve()
    assert curve == house.fan_curves()["Invented fan, larger"]
    assert curve is not None
    assert curve.points[2] == pytest.approx((60 * 0.028316846592 / 60, 1.75 * 249.08891), rel=1e-12)
    mixed = parse_house(
        '[fan]\npoint = [{ flow = "0 cfm", pressure = "1 inWC" }, { flow = "30 L/s", pressure = "90 Pa" }]\n', "x"
    ).fan_curve()
    assert mixed is not None
    assert mixed.points == ((0.0, pytest.approx(249.08891)), (0.03, 90.0))


def test_a_curve_for_air_of_20_degrees_is_for_1_204_kg_per_cubic_metre() -> None:
    # dry air at 20 degC and 101.325 kPa: 1.204 kg/m3 in the ASHRAE handbook's chapter on ducts
    curve = read_house(DATA / "houses" / "kestrel-lane.toml").fan_curve()
    assert curve is not None
    assert curve.rated_density == pytest.approx(1.204, abs=5e-4)


@st.composite
def fan_points(draw: st.DrawFn) -> list[tuple[int, int]]:
    """Flow in L/s and pressure in Pa: mostly in order, falling or rising by about as much as is still let pass."""
    flows = st.lists(st.integers(0, 60), min_size=2, max_size=5)
    ordered = draw(st.sampled_from([True, True, True, False]))
    flow = draw(flows.map(lambda found: sorted(set(found)) if ordered else found))
    steps = draw(st.lists(st.sampled_from([-200, -50, 0, 10, 19, 20, 21, 40, 100]), min_size=5, max_size=5))
    return [(count, max(1000 + sum(steps[:number]), 0)) for number, count in enumerate(flow)]


@untimed
@given(fan_points())
@example([(0, 0), (10, 0)])
@example([(0, 1000), (10, 1021)])
@example([(0, 1000), (10, 1020)])
def test_the_record_takes_just_the_points_that_make_a_curve(points: list[tuple[int, int]]) -> None:
    rows = ", ".join(f'{{ flow = "{flow} L/s", pressure = "{pressure} Pa" }}' for flow, pressure in points)
    house = told_or_read(f"[fan]\npoint = [{rows}]")
    try:
        curve = FanCurve(tuple((read(f"{flow} L/s", "volume_flow").value, float(p)) for flow, p in points))
    except FanCurveError:
        curve = None
    assert (house is None) == (curve is None)
    if house and curve:
        assert house.fan_curve() == curve


ELL = [(0, 0), (4, 0), (4, 1), (1, 1), (1, 4), (0, 4)]
corners = st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), min_size=3, max_size=7)


@untimed
@given(corners)
@example([(0, 4), (2, 0), (4, 4), (4, 0), (0, 0)])  # touches a side from its right
@example([(0, 0), (2, 2), (4, 0), (4, 4), (2, 2), (0, 4)])  # passes one corner twice
@example([(0, 0), (4, 0), (2, 0), (2, 2)])  # turns back
def test_an_outline_is_refused_just_where_it_meets_itself(points: list[tuple[int, int]]) -> None:
    """A geometry library's ring: simple, with no corner twice in a row, which it lets pass."""
    from shapely import LinearRing

    doubled = any(a == b for a, b in zip(points, [*points[1:], points[0]], strict=True))
    simple = not doubled and LinearRing(points).is_simple
    rows = ", ".join(f'["{x} m", "{y} m"]' for x, y in points)
    assert (told_or_read(f"[foundation]\noutline = [{rows}]") is not None) == simple


@untimed
@given(corners, st.lists(st.tuples(st.integers(0, 8), st.integers(0, 8)), min_size=2, max_size=4), st.booleans())
@example(ELL, [(6, 1), (1, 6)], False)  # across the inner corner, both ends inside
@example(ELL, [(6, 1), (1, 1), (1, 6)], False)
@example(ELL, [(6, 1), (1, 1), (1, 6)], True)  # only the way back leaves
def test_a_line_leaves_an_outline_just_where_a_geometry_library_says(
    points: list[tuple[int, int]], line: list[tuple[int, int]], closed: bool
) -> None:
    from shapely import LineString, Polygon

    if plan.outline_fault(points):
        return
    path = [(x / 2, y / 2) for x, y in line]
    drawn = LineString([*path, path[0]] if closed else path)
    if len(set(path)) > 1:
        assert (plan.leaves(path, closed, points) is None) == Polygon(points).contains_properly(drawn)


# ---------------------------------------------------------------- faults

BAD = r"""
[house]
name = 3                                  #3  3 is not text
built = 86                                #4  86 is too small; write 1500 or more
storeys = "two"                           #5  'two' is not a whole number
system = "imperial"                       #6  'imperial' is not a choice; write 'us' or 'metric'
colour = "green"                          #7  known here: name, system
notes = "a\u0007b"                        #8  holds the control character '\x07'
[wal]                                     #9  wal: no section has this name; did you mean wall?
bay_width = "14 in"
[wall]
bay_width = "13-7/8 inn"                  #12 wall.bay_width: '13-7/8 inn' has an unknown unit 'inn'
bay_widht = "14 in"                       #13 wall.bay_widht: no field has this name; did you mean bay_width?
slot_length = 4.5                         #14 '4.5' has no unit; write a length
bearing_or_exterior = "yes"               #15 'yes' is not a yes or no; write true or false
pitch = "7/12"                            #16 did you mean roof.pitch?
play = true                               #17 true is not a quantity; write one in quotes
room_height = "20 degF"                   #18 a length was expected
joist_bottom = "9 ft"                     #19 wall
[wall.pipe]
nominal = "3.3"                           #21 is not a nominal size in the table; write 1-1/2, 2, 2-1/2, 3, 4, 5 or 6
schedule = 41                             #22 '41' is not a choice; write '40' or '80'
count = "2.5"                             #23 is not a whole number
[[test]]
kind = "short"                            #25 test[1].kind: 'short' is not a choice; write 'short-term' or 'long-term'
[[test]]
concentration = "-1 pCi/L"                #27 test[2].concentration: '-1 pCi/L' is below zero
start = "5 March"                         #28 '5 March' is not a date; write one as 2024-03-05
[[test]]
start = 2024-03-05
end = 2024-03-04                          #31 test[3].end: 2024-03-04 is before the start, 2024-03-05
[roof]
pitch = ["7/12"]                          #33 a list is not a quantity
"od\u0000d\nkey" = 1                      #34 no field has this name
deck_thickness = { inch = 1 }             #35 a section is not a quantity
[fan]
name = "one\ntwo"                         #37 has more than one line
point = [ { flow = "20 cfm", pressure = "1 inWC" },
          { flow = "10 cfm", pressure = "1 inWC" } ]   #39 fan.point[2].flow: '10 cfm' comes after '20 cfm'
[run]
slope = "1/8 in"                          #41 is a length; a slope was expected
pipe = "3"                                #42 '3' is not a section; write a line [run.pipe] above its fields
[tools]
hole_saws = ["1 in",
  "2 ni",                                 #45 tools.hole_saws[2]: '2 ni' has an unknown unit 'ni'
  "3 xx"]                                 #46 tools.hole_saws[3]: '3 xx' has an unknown unit 'xx'
[monitor]
file = "../other.csv"                     #48 is not the plain name of a .csv file beside the record
"""


def test_every_fault_is_told_at_once_with_its_line() -> None:
    wanted = {}
    for count, line in enumerate(BAD.splitlines(), 1):
        if "#" in line:
            number, _, message = line.partition("#")[2].partition(" ")
            assert int(number) == count, "the marks of this test are off"
            wanted[count] = message.strip()
    del wanted[19]  # a joist is compared with the subfloor only once its section is otherwise right
    told = faults(BAD)
    assert len(told) == len(wanted)
    for line, (number, message) in zip(told, wanted.items(), strict=True):
        assert line.startswith(f"house.toml line {number}: ")
        assert message in line


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (
            '[run.pipe]\nnominal = "3"\noutside_diameter = "110 mm"',
            "house.toml line 2: run.pipe.nominal: gives the size twice; "
            "write nominal and schedule, or outside_diameter and wall_thickness",
        ),
        (
            '[run.pipe]\noutside_diameter = "10 mm"\nwall_thickness = "5 mm"',
            "house.toml line 3: run.pipe.wall_thickness: '5 mm' on both sides of '10 mm' leaves no bore; write one wall",
        ),
        (
            '[wall]\njoist_bottom = "9 ft"\nsubfloor_underside = "8 ft"',
            "house.toml line 2: wall.joist_bottom: '9 ft' is above the subfloor's underside, '8 ft'; correct one",
        ),
        (
            '[roof]\npitch = "90 deg"',
            "house.toml line 2: roof.pitch: '90 deg' is upright or more; write the roof's angle from level, such as 7/12",
        ),
        (
            '[[fan.point]]\nflow = "1 cfm"\n[[fan.point]]\npressure = "1 Pa"',
            "house.toml line 1: fan.point[1]: lacks its pressure; a point of the curve has both",
        ),
        (
            '[[fan.point]]\nflow = "1 cfm"\npressure = "1 Pa"',
            "house.toml line 1: fan.point[1]: a curve of one point is none; write at least two points, or leave it out",
        ),
        (
            '[test]\nkind = "long-term"',
            "house.toml line 1: test: a section is not a list of sections; write a line [[test]] above each one's fields",
        ),
        (
            '[[run.piece]]\nlength = "1 m"\n[[run.piece]]\nfitting = "exit"\n[[run.piece]]\nlength = "0 ft"',
            "house.toml line 6: run.piece[3].length: '0 ft' is no length; write one above zero, or leave the piece out",
        ),
        (
            '[[run.piece]]\nfitting = "90 deg elbow, regulr"',
            "house.toml line 2: run.piece[1].fitting: '90 deg elbow, regulr' is no fitting of the table; "
            "did you mean '90° elbow, regular'?",
        ),
        (
            '[[run.piece]]\nfitting = "hole in a sump lid"',
            "house.toml line 2: run.piece[1].fitting: 'hole in a sump lid' is beside the way, not on it; "
            "write its size as suction.lid_leak_area or suction.lid_hole",
        ),
        (
            '[[run.piece]]\nfitting = "wye, streams joining, run"',
            "house.toml line 2: run.piece[1].fitting: 'wye, streams joining, run' depends on how two streams share, so it "
            "is no piece of one way; say in wall.pipe.joined_by how the pipes in the wall are joined, and write a tee "
            "with a closed leg as 'tee, along the run' or 'tee, round the corner'",
        ),
        (
            "run.piece = []",
            "house.toml line 1: run.piece: a route without a piece is none; "
            "write a line [[run.piece]] for each, or leave it out",
        ),
        (
            "[[run.piece]]",
            "house.toml line 1: run.piece[1]: states no piece; write the length of a straight pipe, or a fitting",
        ),
        (
            '[[run.piece]]\nfitting = "exit"\nlength = "1 m"',
            "house.toml line 2: run.piece[1].fitting: is written beside a length; "
            "a piece is a straight pipe or a fitting, write two",
        ),
        (
            '[[run.piece]]\nlength = "1 m"\ncount = 2',
            "house.toml line 3: run.piece[1].count: counts fittings; a straight pipe has its whole length",
        ),
        (
            '[[run.piece]]\nlength = "1 m"\npipe = "wall"\nnominal = "2"',
            "house.toml line 3: run.piece[1].pipe: is written beside a size; write the one or the other",
        ),
        (
            '[[run.piece]]\nlength = "1 m"\n[fan]\nafter_piece = 2',
            "house.toml line 4: fan.after_piece: 2 is more than the route has pieces, 1; correct one",
        ),
        (
            "[fan]\nafter_piece = 2\n[proof]\ngauge_after_piece = 3",
            "house.toml line 4: proof.gauge_after_piece: 3 is beyond the fan, which stands after piece 2; "
            "the gauge stands on the suction side",
        ),
        (
            '[[run.piece]]\nlength = "6 ft"\n[[run.piece]]\nlength = "9 ft"\n[fan]\nafter_piece = 1\n'
            '[proof]\ngauge_distance = "7 ft"',
            "house.toml line 8: proof.gauge_distance: '7 ft' is beyond the 6 ft of straight pipe up to the fan; "
            "the gauge stands on the suction side",
        ),
        (
            '[proof]\ngauge_after_piece = 1\ngauge_distance = "7 ft"',
            "house.toml line 2: proof.gauge_after_piece: places the tap twice; write gauge_distance or gauge_after_piece",
        ),
        (
            '[fan]\npoint = [{ flow = "20 cfm", pressure = "2 inWC" },\n{ flow = "20 cfm", pressure = "1 inWC" }]',
            "house.toml line 3: fan.point[2].flow: '20 cfm' is there twice; write each flow once",
        ),
        (
            '[[fan_alternative]]\npoint = [{ flow = "20 cfm", pressure = "2 inWC" },\n'
            '{ flow = "30 cfm", pressure = "2 kPa" }]',
            "house.toml line 3: fan_alternative[1].point[2].pressure: '2 kPa' is above '2 inWC' at a smaller flow; "
            "a fan's pressure falls as its flow rises, so look at the units of each point",
        ),
        (
            '[fan]\npoint = [{ flow = "20 cfm", pressure = "0 Pa" }, { flow = "30 cfm", pressure = "0 Pa" }]',
            "house.toml line 2: fan.point[1].pressure: is no pressure at the least flow; a fan makes one there",
        ),
        (
            '[fan]\nrated_density = "0.075 lb/ft3"\nrated_temperature = "68 degF"',
            "house.toml line 3: fan.rated_temperature: gives the rated air twice; write its density or its temperature",
        ),
        (
            '[framing.photo]\nreading_error = "2"',
            "house.toml line 2: framing.photo.reading_error: '2' is not a number; write one without quotes",
        ),
        (
            '[fan]\nrated_density = "12 kg/m3"',
            "house.toml line 2: fan.rated_density: '12 kg/m3' cannot be: that is not air; standard air has 0.075 lb/ft3; write "
            "one from 0.2 kg/m³ to 9 kg/m³",
        ),
        (
            '[foundation]\noutline = [["0 ft", "0 ft"], ["9 ft", "9 ft"],\n["9 ft", "0 ft"], ["0 ft", "9 ft"]]',
            "house.toml line 3: foundation.outline[3]: 9 ft, 0 ft begins a side that meets the one from corner 1; "
            "an outline must not cross or touch itself: list the corners in order round the slab",
        ),
        (
            '[foundation]\noutline = [["0 m", "0 m"], ["14 m", "0 m"], ["14 m", "6 m"], ["0.01 m", "6 m"], ["8 m", "10 m"], '
            '["0 m", "10 m"]]',
            "house.toml line 2: foundation.outline[6]: 0 m, 10 m begins a side that comes within 50 mm of the one from "
            "corner 3; neither a slab nor what parts it is so narrow: check both",
        ),
        (
            '[foundation]\noutline = [["0 m", "0 m"], ["9 m", "0 m"], ["0 m", "9 m"], ["0 m", "0 m"]]',
            "house.toml line 2: foundation.outline[4]: 0 m, 0 m is the first corner again; "
            "leave it out, the outline closes by itself",
        ),
        (
            '[foundation]\noutline = [["0 m", "0 m"], ["9 m", "0 m"]]',
            "house.toml line 2: foundation.outline[2]: 9 m, 0 m is the last of too few corners; "
            "an outline has three or more",
        ),
        (
            "foundation.outline = []",
            "house.toml line 1: foundation.outline: an outline without a corner is none; write three or more, or leave it out",
        ),
        (
            '[foundation]\noutline = [["0 m", 3]]',
            'house.toml line 2: foundation.outline[1][2]: 3 is not a length; write one in quotes, such as "12 ft"',
        ),
        (
            '[foundation]\noutline = "round"',
            "house.toml line 2: foundation.outline: 'round' is not a list; write one in square brackets",
        ),
        (
            '[[suction.point]]\nat = "corner"',
            "house.toml line 2: suction.point[1].at: 'corner' is not a place; "
            'write two lengths in square brackets, such as ["12 ft", "5 ft 6 in"]',
        ),
        (
            '[[suction.point]]\nat = ["9 m", "1 m"]\n'
            '[foundation]\noutline = [["0 m", "0 m"], ["9 m", "0 m"], ["0 m", "9 m"]]',
            "house.toml line 2: suction.point[1].at: 9 m, 1 m is not within foundation.outline; correct one",
        ),
        (
            '[[suction.drain]]\npath = [["1 m", "1 m"],\n["2 m", "9 m"]]\n'
            '[foundation]\noutline = [["0 m", "0 m"], ["9 m", "0 m"], ["0 m", "9 m"]]',
            "house.toml line 3: suction.drain[1].path[2]: from 2 m, 9 m the drain is not within foundation.outline; "
            "correct one",
        ),
        (
            '[[suction.drain]]\npath = [["1 m", "1 m"]]',
            "house.toml line 2: suction.drain[1].path: a drain of fewer than two places is none; "
            "write where it begins and ends",
        ),
        (
            '[suction]\nlid_hole = "1 in"\nlid_leak_area = "1 in2"',
            "house.toml line 2: suction.lid_hole: gives the leak twice; write lid_leak_area, or lid_hole for one round hole",
        ),
        (
            '[suction]\nsoil_flow = "10 cfm ± 10 cfm"',
            "house.toml line 2: suction.soil_flow: '10 cfm ± 10 cfm' may be no flow at all, which says nothing of the "
            "soil; write a flow above zero",
        ),
        (
            '[suction]\nsoil_flow = "10 cfm"\nsoil_resistance = "0.02 inWC/cfm"',
            "house.toml line 3: suction.soil_resistance: gives the soil twice; "
            "write soil_resistance, or soil_suction and soil_flow",
        ),
        (
            "[suction]\npoints = 1\n[[suction.point]]\n[[suction.point]]",
            "house.toml line 2: suction.points: 1 is less than the 2 places listed; correct one",
        ),
        ("[[wall]]", "house.toml line 1: wall: a list is not a section; write a line [wall] above its fields"),
        ('wall = "x"', "house.toml line 1: wall: 'x' is not a section; write a line [wall] above its fields"),
        (
            '[tools]\nhole_saws = "3 in"',
            "house.toml line 2: tools.hole_saws: '3 in' is not a list; write one in square brackets",
        ),
    ],
)
def test_fields_that_contradict_each_other_or_stand_wrongly_are_told(text: str, line: str) -> None:
    assert faults(text) == [line]


def test_a_bay_narrower_than_its_pipe_is_no_fault_of_the_record() -> None:
    house = parse_house('[wall]\nbay_width = "2 in"\n[wall.pipe]\noutside_diameter = "110 mm"\n', "x")
    assert house.facts()["bay_width"].value == pytest.approx(0.0508)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (
            "[house]\nname = ",
            "line 2: house.name: has no value; write one, or # before the line to leave the field out",
        ),
        ("[house]\nbuilt = 1\nbuilt = 2", "line 3: house.built: is written twice, first in line 2; keep one"),
        ('[house]\nname = "x', 'line 2: house.name: "x is not text in quotes; write name = "x"'),
        ("[house\n", "line 1: house: [house is not closed as it was opened; write [house]"),
        (
            "[[test]]\nstart = 05.01.2026",
            "line 2: test[1].start: 05.01.2026 is not a date; write one as 2026-01-05, without quotes",
        ),
        (
            "[[test]]\n[[test]]\nstart = 1/5/2026 # day",
            "line 3: test[2].start: 1/5/2026 is not a date; write one as 2026-01-05, without quotes",
        ),
        (
            "[[test]]\nstart = 5 January 2026",
            "line 2: test[1].start: 5 January 2026 is not a date; write one as 2026-01-05, without quotes",
        ),
        (
            "[[test]]\nconcentration = 6.2 pCi/L",
            'line 2: test[1].concentration: 6.2 pCi/L lacks quotes; write concentration = "6.2 pCi/L"',
        ),
        ("[house]\nname = My house\r\n", 'line 2: house.name: My house lacks quotes; write name = "My house"'),
        (
            "[wall]\nroom_height = 7'-10 3/8\"",
            "line 2: wall.room_height: 7'-10 3/8\" lacks quotes; write room_height = '''7'-10 3/8\"'''",
        ),
        (
            "[house]\nname = “My house”",
            'line 2: house.name: “My house” stands in printer\'s quotes; write straight ones, name = "My house"',
        ),
        (
            "[wall]\nbearing_or_exterior = Yes",
            "line 2: wall.bearing_or_exterior: Yes is not a yes or no; write true, in small letters and without quotes",
        ),
        (
            '[house]\nname: "x"',
            "line 2: house.name: a colon stands where an equals sign does; write name = and the value",
        ),
        ("[house]\nbuilt = 01986", "line 2: house.built: 01986 begins with a zero; write 1986"),
        (
            '[house]\nname = "x"\n[house]\nbuilt = 1986',
            "line 3: house: [house] stands twice, first in line 1; write its fields under one",
        ),
        ("[[test]]\n[test]", "line 2: test: is written [[test]] in line 1, and here [test]; write one way"),
        (
            '[house]\nnotes = """x\n',
            "line 3: the text ends before the quotes or brackets of a line above are closed; close them",
        ),
        ('name = "x"', "line 1: name: no section has this name here; did you mean house.name?"),
        (
            "house.built = 99999999999999",
            "line 1: house.built: 99999999999999 is too large; write 2200 or less",
        ),
    ],
)
def test_broken_toml_is_one_fault_with_its_line_its_field_and_what_would_do(text: str, line: str) -> None:
    assert faults(text) == [f"house.toml {line}"]


@pytest.mark.parametrize(
    "line",
    ["start = 05.01.2026", "concentration = 6.2 pCi/L", "name = My house", "name = it's", "room = 7'-10 3/8\"", "on = yes",
     "built = 007", "name = “x”", "name = 'it's'", 'name = "a\\q"'],
)  # fmt: skip
def test_what_a_fault_of_toml_says_would_do_is_toml(line: str) -> None:
    (told,) = faults(f"[house]\n{line}\n")
    key = line.partition(" =")[0]
    wanted = re.search(
        rf"write (?:straight ones, )?(?:{key} = |one as )?(.+?)(?:, in small letters.*|, without.*)?$", told
    )
    assert wanted, told
    tomllib.loads(f"{key} = {wanted[1]}")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('[climate]\nbarometric_pressure = "29.2 psi"', "climate.barometric_pressure: '29.2 psi' cannot be: the air presses so"),
        ('[climate]\naltitude = "52800 ft"', "climate.altitude: '52800 ft' cannot be: no house stands lower or higher; write one "
         "from -1,640 ft to 29,528 ft"),
        ('[[test]]\nconcentration = "1e12 pCi/L"', "test[1].concentration: '1e12 pCi/L' cannot be: that is more than is known"),
        ('[house]\nlevel = "1e12 pCi/L"', "house.level: '1e12 pCi/L' cannot be: that is more than is known of any house"),
        ('[wall]\nstud_spacing = "600 m"', "wall.stud_spacing: '600 m' cannot be: from 0.3048 m to 0.6096 m is usual; write one "
         "from 0.003048 m to 60.96 m"),
        ('[foundation]\noutline = [["0 m", "0 m"], ["9000 m", "0 m"], ["9 m", "7 m"]]', "foundation.outline[2][1]: '9000 m' "
         "cannot be: from -30.48 m to 30.48 m is usual; write one from -3,048 m to 3,048 m"),
        ('[[run.piece]]\ngo = "up 9 mm"\n[[run.piece]]\ngo = "up 9000 m"', "run.piece[2].go: 'up 9000 m' has '9000 m', which "
         "cannot be: no house has so much pipe; write one from 0 m to 3,048 m"),
        ('[cutting]\nstick = ["3 mm"]', "cutting.stick[1]: '3 mm' cannot be: from 1,524 mm to 6,096 mm is usual"),
        ('[framing]\naccepted_chance = "1000 %"', "framing.accepted_chance: '1000 %' cannot be: a chance is at most all"),
    ],
)  # fmt: skip
def test_what_no_house_can_have_is_a_fault_with_its_reason(text: str, told: str) -> None:
    (line,) = faults(text)
    assert re.sub(r" line \d+", "", line).startswith(f"house.toml: {told}"), line


def test_the_bounds_of_barometric_pressure_are_those_of_the_heights_its_reason_names() -> None:
    """By the barometric formula of the standard atmosphere: 288.15 K at 101,325 Pa, 6.5 K a km, 9.80665 m/s2, 287.05 J/kg/K."""
    low, high, because = bounds()["barometric_pressure"]
    assert "9 km" in because
    assert "700 m" in because
    there = [101325 * (1 - 0.0065 * h / 288.15) ** (9.80665 / (287.05 * 0.0065)) for h in (9000, -700)]
    assert there == pytest.approx([low, high], rel=0.03)


def test_bounds_lie_well_outside_what_a_control_offers() -> None:
    for name, (low, high, because) in bounds().items():
        assert because
        least, most = GLOSSARY[name].si_range
        assert low <= least < most <= high, name


def test_a_list_where_sections_are_wanted_is_told_how_they_are_written() -> None:
    assert (
        faults("test = [1, 2]")[0]
        == "house.toml line 1: test[1]: 1 is not a section; write a line [[test]] above its fields"
    )


@given(st.text(alphabet="[]{}=.:#\"'\n\\ ,-0ax“", max_size=60))
@untimed
def test_no_broken_text_brings_anything_but_plain_lines(text: str) -> None:
    try:
        parse_house(text, "house.toml")
    except RecordError as refusal:
        lines_of(refusal)


@pytest.mark.parametrize(
    "line",
    ["[a" + " " * 100_000 + "x", "a" + " ." * 3, "x = y " + "# " * 60_000 + '"', "[[t]]\na = 1\n" * 20_000 + "a = 2"],
)
def test_a_long_broken_text_is_told_in_a_moment(line: str) -> None:
    """Far below what looking at every pair of its characters would take, an hour and more."""
    assert len(faults(line)) == 1


def test_a_faulty_file_gives_no_house_at_all(tmp_path: Path) -> None:
    loaded = None
    with pytest.raises(RecordError):
        loaded = parse_house(ALDER + '\n[costs]\nquote = "much"\n', "house.toml")
    assert loaded is None


def test_more_faults_than_anyone_reads_are_counted() -> None:
    told = faults("".join(f"strange{count} = 1\n" for count in range(1234)))
    assert told[-1] == "house.toml: and 1,134 more"
    assert len(told) == 101


# ---------------------------------------------------------------- files and hostile text


def test_a_byte_order_mark_and_windows_line_ends_are_no_fault(tmp_path: Path) -> None:
    (tmp_path / "house.toml").write_bytes(b"\xef\xbb\xbf" + ALDER.replace("\n", "\r\n").encode())
    assert read_house(tmp_path / "house.toml").model_dump() == parse_house(ALDER, "alder-court.toml").model_dump()


def test_a_file_in_another_encoding_is_told_with_its_line(tmp_path: Path) -> None:
    assert file_faults('[house]\nname = "Müller"\n'.encode("latin-1"), tmp_path) == [
        "house.toml line 2: byte 0xfc is not UTF-8; save the file as UTF-8 text"
    ]
    assert file_faults("[house]\n".encode("utf-16"), tmp_path)[0].startswith(
        "house.toml line 1: byte 0xff is not UTF-8"
    )


def test_a_file_larger_than_a_record_is_refused(tmp_path: Path) -> None:
    assert read_house(_file(tmp_path, b"#" * 256 * 1024)).model_dump() == House().model_dump()
    assert file_faults(b"#" * (256 * 1024 + 1), tmp_path) == [
        "house.toml: is larger than 256 KiB; a house record is not"
    ]


def _file(folder: Path, content: bytes) -> Path:
    (folder / "large.toml").write_bytes(content)
    return folder / "large.toml"


def test_what_is_no_file_is_told_in_one_line(tmp_path: Path) -> None:
    names: list[Path | str] = [tmp_path, tmp_path / "none.toml", tmp_path / ("x" * 300), "a\0b", os.devnull]
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.toml")
        names.append(tmp_path / "pipe.toml")
    for name in names:
        with pytest.raises(RecordError) as caught:
            read_house(name)
        assert len(caught.value.lines) == 1
        assert caught.value.lines[0].isprintable()


def test_a_file_name_with_a_line_break_stays_on_one_line(tmp_path: Path) -> None:
    (tmp_path / "a\nb\x1b[31m.toml").write_text("x = 1\ny = 2\n")
    with pytest.raises(RecordError) as caught:
        read_house(tmp_path / "a\nb\x1b[31m.toml")
    assert len(str(caught.value).splitlines()) == 2


@pytest.mark.parametrize(
    "text",
    [
        "a" + ".a" * 20000 + " = 1",
        "a = " + "[" * 100_000,
        "a = " + "{b=" * 50_000,
        "a = " + "1" * 5000,
        "a = 0x" + "f" * 5000,
        '"""\\' * 60_000,
        "'''" * 80_001,
        'a = """' + '\\"""' * 60_000,
        "".join(f"[t{count}]\n" for count in range(25_000)),
        "[[test]]\nx = 1\n" * 15_000,
        "a = 1979-99-27",
        "a = 1e999",
        "[house]\nbuilt = 0x" + "f" * 90,
        "[wall]\nplay = nan\nslot_start = inf\nhole_offset = -inf",
        "[house]\n__class__ = 1\nmodel_config = 2\nmodel_fields = 3",
        '[house]\nname = "\u202egnp.exe"',
        '[house]\nname = "' + "x" * 121 + '"',
        '[house]\nnotes = "' + "x" * 4001 + '"',
        '[wall]\nbay_width = "' + "9" * 100_000 + ' in"',
        '[wall]\nbay_width = "9**9**9 in"',
        "[wall]\nbay_width = \"__import__('os').getcwd()\"",
    ],
    ids=lambda text: text[:20],
)
def test_hostile_text_is_refused_in_plain_lines(text: str) -> None:
    assert len(faults(text)) <= 101


def test_markup_in_a_name_is_kept_as_the_text_it_is() -> None:
    name = "<script>alert(1)</script> {{ 7*7 }} $(id) {name!r}"
    assert parse_house(f"[house]\nname = '{name}'", "x").name == name


def told_or_read(text: str) -> House | None:
    """A house, or else plain lines; anything but a RecordError comes through and fails the test."""
    refusal = None
    try:
        return parse_house(text, "house.toml")
    except RecordError as reason:
        refusal = reason
    lines_of(refusal)
    return None


pieces = st.sampled_from(
    [*"[]{}=.,\"'#\n\\ ", '"""', "'''", "\r\n", "[[test]]\n", "[wall]\n", "bay_width", '"3 in"', "nan"]
)


@untimed
@given(st.lists(st.one_of(pieces, st.text(max_size=4)), max_size=40).map("".join))
def test_any_text_is_a_house_or_plain_lines(text: str) -> None:
    told_or_read(text)


@untimed
@given(st.data())
def test_a_damaged_record_is_a_house_or_plain_lines(data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(ALDER)))
    cut = data.draw(st.integers(0, 60))
    put = data.draw(st.one_of(pieces, st.text(max_size=8)))
    told_or_read(ALDER[:at] + put + ALDER[at + cut :])


sections = st.sampled_from([*House.model_fields, "wal", "x"])
fields = st.sampled_from(
    [path.rpartition(".")[2] for path, _ in record.fields_of(House)] + ["bay_widht", "pipe", "point"]
)
values: Any = st.recursive(
    st.sampled_from(["3 in", "110 mm", "7/12", "sump", "", "3", "\0", "\ud7ff"])
    | st.text(max_size=6)
    | st.integers()
    | st.booleans()
    | st.floats()
    | st.dates(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(fields, inner, max_size=3),
    max_leaves=6,
)


@untimed
@given(st.dictionaries(sections, st.one_of(values, st.dictionaries(fields, values, max_size=5)), max_size=4))
@example({"test": [{"start": True}]})
@example({"fan": {"point": [{"flow": "1 cfm", "pressure": {}}]}})
def test_any_values_in_any_fields_are_a_house_or_plain_lines(data: dict[str, Any]) -> None:
    import tomlkit

    told_or_read(tomlkit.dumps(data))


# ---------------------------------------------------------------- where things stand

TRICKY = r"""
top."dotted key".x = 1 # "not a string"
[a] # comment [b]
list = [ "one", # ]
  'two]', [1, 2.5], { in = "x", n.m = [3] } ]
text = @@@one " two ""\" three ] \@@@@@
text_of_quotes = @@@@@@
raw = ~~~a
'b' # no comment
\~~~
when = 1979-05-27 07:32:00.5
"quoted = key" = "= ]\\"
[[ b.c ]]
n = 1
[b.c.d]
n = +1_000
[[b.c]]
n = 0x1F
[[b.c.e]]
n = -inf
""".replace("@", '"').replace("~", "'")


def leaves(data: object, path: tuple[str | int, ...] = ()) -> dict[tuple[str | int, ...], object]:
    if isinstance(data, dict):
        return {k: v for key, entry in data.items() for k, v in leaves(entry, (*path, key)).items()}
    if isinstance(data, list) and all(isinstance(entry, dict) for entry in data):
        return {k: v for key, entry in enumerate(data) for k, v in leaves(entry, (*path, key)).items()}
    return {path: data}


@pytest.mark.parametrize(
    "text",
    [TRICKY, TRICKY.replace("\n", "\r\n"), *(path.read_text(encoding="utf-8") for path in HOUSES)],
    ids=["tricky", "windows", *(path.stem for path in HOUSES)],
)
def test_the_layout_finds_what_the_toml_parser_reads(text: str) -> None:
    found = layout(text)
    read = leaves(tomllib.loads(text))
    assert read.keys() <= found.values.keys()
    for path, (start, end) in found.values.items():
        value: Any = tomllib.loads(text)
        for part in path:
            value = value[part]
        assert tomllib.loads(f"value = {text[start:end]}") == {"value": value}
        assert found.line(path) == text.count("\n", 0, start) + 1


def test_a_changed_copy_of_a_house_states_its_own_facts() -> None:
    house = parse_house(ALDER, "alder-court.toml")
    before, kept = house.facts(), hash(house)
    other = house.model_copy(update={"roof": None})
    assert "deck_thickness" in before
    assert "deck_thickness" not in other.facts()
    assert other != house
    assert hash(other) != kept


def test_houses_are_compared_by_what_they_state_and_not_by_what_was_worked_out() -> None:
    one, other = (parse_house(ALDER, "alder-court.toml") for _ in range(2))
    one.worked["suction"] = np.arange(3)
    other.worked["suction"] = np.arange(3)
    assert one == other
    assert hash(one) == hash(other)
    assert one != other.model_copy(update={"roof": None})
