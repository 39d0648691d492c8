"""Words in drawings stand on the paper and not on each other, on a machine with DejaVu Sans too."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from xml.etree import ElementTree

import matplotlib as mpl
import pytest
from fontTools.ttLib import TTFont

from radonwork.drawings import lettering
from radonwork.drawings.catalogue import pictures
from radonwork.drawings.charts import charts
from radonwork.drawings.section import house_section
from radonwork.drawings.slab_of_house import called
from radonwork.files import DATA
from radonwork.house.calculations import Calculation, calculate
from radonwork.house.job import parts
from radonwork.house.record import House, parse_house, read_house

HOUSES = [read_house(DATA / "houses" / f"{name}.toml") for name in ("alder-court", "kestrel-lane")]
FONT = TTFont(Path(mpl.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf")
WORDS = "1: entrance, pipe that projects; 2: 90° elbow, long sweep (r/D 1.5); House's own pull 0.0229 inWC, 35 m³/h"


def advance(words: str) -> float:
    """The width of words by the font itself, in sizes."""
    names = FONT.getBestCmap()
    return sum(FONT["hmtx"][names[ord(letter)]][0] for letter in words) / FONT["head"].unitsPerEm


def test_words_are_as_wide_as_the_font_makes_them() -> None:
    assert lettering.width(WORDS, 13) == pytest.approx(
        13 * advance(WORDS), rel=1e-3
    )  # widths are rounded to thousandths
    for code in range(32, 127):
        assert lettering.width(chr(code), 1000) == pytest.approx(1000 * advance(chr(code)), abs=0.5)


def test_lines_hold_every_word_once_and_none_is_wider_than_it_may_be() -> None:
    found = lettering.lines(WORDS, 13, 200)
    assert " ".join(found) == WORDS
    assert all(13 * advance(line) <= 200.5 for line in found)
    assert lettering.lines("incomprehensibilities", 13, 20) == ["incomprehensibilities"]


Box = tuple[float, float, float, float]


def boxes(svg: str) -> Iterator[tuple[str, Box]]:
    """Each text of a drawing with its box, by the font; those that are turned or not seen left out."""
    root = ElementTree.fromstring(svg)
    size = float(root.get("font-size", "13"))
    for text in root.iter("{http://www.w3.org/2000/svg}text"):
        words = unescape("".join(text.itertext()))
        if not words or text.get("transform") or float(text.get("opacity", "1")) == 0:
            continue
        wide = size * advance(words)
        left = (
            float(text.get("x", "0"))
            - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[text.get("text-anchor", "start")]
        )
        foot = float(text.get("y", "0"))
        yield words, (left, foot - 0.75 * size, left + wide, foot + 0.2 * size)


def off_the_paper(svg: str) -> list[str]:
    _, _, width, height = map(float, ElementTree.fromstring(svg).get("viewBox", "").split())
    return [w for w, (a, b, c, d) in boxes(svg) if a < -1 or b < -1 or c > width + 1 or d > height + 1]


def on_each_other(svg: str) -> list[tuple[str, str]]:
    found, here = [], list(boxes(svg))
    for count, (one, (a, b, c, d)) in enumerate(here):
        for other, (e, f, g, h) in here[count + 1 :]:
            if min(c, g) - max(a, e) > 2 and min(d, h) - max(b, f) > 2:
                found.append((one, other))
    return found


def drawn(house: House, topic: str) -> dict[str, str]:
    one = calculate(house, topic)
    return {picture.title: picture.svg for picture in (*pictures(one), *charts(one))}


# Thirty-seven pieces, as a long way round beams has them, and the fan straight before the exit.
STEPS = "".join(
    f'[[run.piece]]\nfitting = "90° elbow, regular"\ngo = "90 {way}"\n'
    f'[[run.piece]]\ngo = "over {500 + 37 * count} mm toward {way}, falling back"\n'
    for count, way in enumerate(["north", "west"] * 6)
)
LONG = f"""
[house]
system = "metric"
level = "250 Bq/m3"
[[test]]
kind = "long-term"
concentration = "900 Bq/m3"
start = 2025-10-01
end = 2026-02-01
fan = "none"
[suction]
kind = "pit"
soil_suction = "60 Pa"
soil_flow = "20 L/s"
[run]
slope = "20 mm/m"
[run.pipe]
outside_diameter = "160 mm"
wall_thickness = "3.2 mm"
[[run.piece]]
fitting = "entrance, flush and sharp"
place = "basement"
[[run.piece]]
go = "up 2 m"
{STEPS}
[[run.piece]]
fitting = "90° elbow, regular"
go = "90 up"
[[run.piece]]
go = "up 3 m"
[[run.piece]]
fitting = "exit"
[fan]
after_piece = 28
point = [
  {{ flow = "0 L/s", pressure = "300 Pa" }},
  {{ flow = "50 L/s", pressure = "200 Pa" }},
  {{ flow = "100 L/s", pressure = "0 Pa" }},
]
[climate]
altitude = "300 m"
"""


@pytest.mark.parametrize("house", HOUSES, ids=lambda house: house.name)
@pytest.mark.parametrize("topic", ["suction", "air", "route", "tests", "pipes", "condensate", "change", "year"])
def test_every_word_of_a_drawing_stands_on_the_paper(house: House, topic: str) -> None:
    for title, svg in drawn(house, topic).items():
        assert not off_the_paper(svg), title


@pytest.mark.parametrize("house", [*HOUSES, parse_house(LONG, "long.toml")], ids=lambda house: house.name)
def test_no_label_of_a_route_lies_on_another(house: House) -> None:
    for title, svg in drawn(house, "route").items():
        assert not on_each_other(svg), title


def test_labels_that_find_no_room_are_counted_and_the_others_stand() -> None:
    svgs = drawn(parse_house(LONG, "long.toml"), "route")
    unrolled = next(svg for title, svg in svgs.items() if "unrolled" in title)
    assert re.search(r"\d+ labels are left off for want of room; the words with the drawing have all", unrolled)
    alder = next(svg for title, svg in drawn(HOUSES[0], "route").items() if "unrolled" in title)
    assert "left off" not in alder


def test_levels_too_near_to_each_other_to_be_named_on_their_lines_are_named_below() -> None:
    (svg,) = [
        svg for title, svg in drawn(parse_house(LONG, "long.toml"), "tests").items() if "radon tests of this" in title
    ]
    assert not on_each_other(svg)
    assert "dotted, from below: USA: 148 Bq/m³; UK, Ireland, Canada: 200 Bq/m³" in svg


# ---------------------------------------------------------------- what the charts say


def chart(calculation: Calculation) -> str:
    return next(picture.svg for picture in charts(calculation) if picture.title.startswith("Pressure along"))


def test_a_fan_that_stands_before_the_exit_raises_the_pressure_there_and_is_named_there() -> None:
    svg = chart(calculate(parse_house(LONG, "long.toml"), "air"))
    where = {words: box for words, box in boxes(svg)}
    line = max(re.findall(r"<polyline points='([^']*)'", svg), key=len).split()
    (x, before), (end, after) = (tuple(map(float, point.split(","))) for point in line[-2:])
    assert x == end
    assert where["fan"][2] == pytest.approx(end, abs=10)
    assert before - after > 100  # px up the page: from suction to the room's pressure
    room = re.search(r"points='68\.0,(\S+) 696\.0,\1'", svg)
    assert room
    assert after == pytest.approx(float(room[1]), abs=0.1)


def test_one_pipe_that_branches_join_is_named_once() -> None:
    for house in HOUSES:
        assert chart(calculate(house, "air")).count(">main pipe<") == 2
    branch = '[[run.branch]]\njoins_after = 4\njoined_by = "tee"\npiece = [{ go = "up 2 m" }]\n'
    joined = LONG.replace("[fan]", branch + "[fan]").replace('kind = "pit"', 'kind = "pit"\npoints = 2')
    assert chart(calculate(parse_house(joined, "joined.toml"), "air")).count(">main pipe<") == 1


def test_places_of_the_slab_bear_the_names_of_the_record() -> None:
    (svg,) = [svg for title, svg in drawn(HOUSES[1], "suction").items() if title == "Suction under the slab"]
    assert "1 pit in the store room: 150 Pa" in svg
    text = (DATA / "houses" / "kestrel-lane.toml").read_text(encoding="utf-8")
    two = text.replace("points = 1", "points = 2").replace(
        'at = ["6.5 m", "5 m"]', 'at = ["6.5 m", "5 m"]\n[[suction.point]]\nname = "hall"\nat = ["12 m", "2 m"]', 1
    )
    branch = (
        '[[run.branch]]\npoint = "hall"\njoins_after = 2\njoined_by = "tee"\nsoil_suction = "120 Pa"\n'
        'soil_flow = "12 L/s"\npiece = [{ go = "up 1.2 m" }]\n\n[[run.level]]'
    )
    house = parse_house(two.replace("[[run.level]]", branch, 1), "two.toml", DATA / "houses")
    assert called(house) == ("pit in the store room", "hall")


@pytest.mark.parametrize("house", HOUSES, ids=lambda house: house.name)
@pytest.mark.parametrize("topic", ["pipes", "bay", "insertion", "roof", "condensate"])
def test_words_of_a_drawing_to_scale_lie_over_its_lines(house: House, topic: str) -> None:
    for picture in pictures(calculate(house, topic)):
        kinds = [part.tag.rpartition("}")[2] for part in ElementTree.fromstring(picture.svg)]
        words = [kind == "text" for kind in kinds]
        assert any(words), picture.title
        assert words == sorted(words), picture.title


@pytest.mark.parametrize("below_ground", [True, False], ids=["basement", "slab"])
@pytest.mark.parametrize("storeys", [1, 2, 3])
@pytest.mark.parametrize("state", ["not built yet", "to be mended"])
def test_every_part_of_the_job_is_named_beside_its_house(below_ground: bool, storeys: int, state: str) -> None:
    states = {one.number: f"{one.name}: {state}" for one in parts()}
    svg = house_section(below_ground, storeys, states).svg({})
    assert not off_the_paper(svg)
    assert not on_each_other(svg)
