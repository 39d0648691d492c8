"""The map of the slab: its bands have the areas they should, it says in words what it shows, and is well-formed."""

import re
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely

from radonwork.drawings.slab_map import STEPS, slab_map, slab_words
from radonwork.solvers.slab_plan import Drain, Footprint, Pit, Reading
from radonwork.solvers.suction_field import Layer, suction_field

ELL = Footprint(((0.0, 0.0), (12.0, 0.0), (12.0, 5.0), (7.0, 5.0), (7.0, 9.0), (0.0, 9.0)))
SOURCES = (Pit((2.0, 2.0), 0.15, 250.0), Drain(((8.0, 1.0), (11.0, 1.0)), 60.0))
FIELD = suction_field(Layer(5e-5, 1.5), SOURCES, ELL, rest=-3.0)
MAP = FIELD.map(100)
TARGET = 6.0
HOLES = (Reading((5.0, 2.0), 31.0, 1.0), Reading((3.0, 7.5), 2.0, 1.0))
SVG = "{http://www.w3.org/2000/svg}"


def drawn(system: str = "metric", name: str = "slab-map") -> str:
    return slab_map(MAP, SOURCES, target=TARGET, holes=HOLES, next_hole=(6.0, 8.0), system=system, name=name)  # type: ignore[arg-type]


def ring(text: str) -> np.ndarray:
    return np.array([[float(v) for v in point.split()] for point in text.strip("MZ").split("L")])


def region(path: str) -> shapely.Geometry:
    """A path of closed rings under the even-odd rule, by shapely."""
    whole: shapely.Geometry = shapely.Polygon()
    for part in re.findall(r"M[^MZ]*Z", path):
        points = ring(part)
        if len(points) > 3:
            whole = whole.symmetric_difference(shapely.Polygon(points).buffer(0))
    return whole


def test_each_band_covers_the_share_of_the_slab_that_has_its_suctions() -> None:
    root = ElementTree.fromstring(drawn())
    clip = root.find(f".//{SVG}clipPath/{SVG}path")
    assert clip is not None
    slab = shapely.Polygon(ring(clip.attrib["d"]))
    group = root.find(f"{SVG}g")
    assert group is not None
    fills = [path for path in group.findall(f"{SVG}path") if path.attrib["fill"].startswith("#")]
    fine = FIELD.map(400).suction  # the field itself, not the grid that was drawn
    inside = fine[np.isfinite(fine)]
    levels = [-np.inf, 0.0, *(step * TARGET for step in STEPS), np.inf]
    shares = [np.mean((inside >= low) & (inside < high)) for low, high in pairwise(levels)]
    assert len(fills) == sum(share > 0 for share in shares)
    for path, share in zip(fills, [share for share in shares if share > 0], strict=True):
        covered = region(path.attrib["d"]).intersection(slab).area / slab.area
        assert covered == pytest.approx(share, abs=0.005)  # half a grid square along a line as long as the slab


def test_the_lightness_of_the_bands_falls_as_suction_rises_and_what_is_not_enough_is_hatched() -> None:
    root = ElementTree.fromstring(drawn())
    group = root.find(f"{SVG}g")
    assert group is not None
    fills = [path.attrib["fill"] for path in group.findall(f"{SVG}path")]
    colours = [fill for fill in fills if fill.startswith("#")]
    grey = [int(c[1:3], 16) * 0.299 + int(c[3:5], 16) * 0.587 + int(c[5:7], 16) * 0.114 for c in colours]
    assert all(lighter - darker > 12 for lighter, darker in pairwise(grey))
    assert [fill for fill in fills if fill.startswith("url")] == ["url(#slab-map-dots)", "url(#slab-map-lines)"]


@pytest.mark.parametrize(("system", "target"), [("us", "0.0241 inWC"), ("metric", "6 Pa")])
def test_what_is_shown_is_said(system: str, target: str) -> None:
    words = slab_words(MAP, SOURCES, target=TARGET, holes=HOLES, next_hole=(6.0, 8.0), system=system)  # type: ignore[arg-type]
    text = "".join(ElementTree.fromstring(drawn(system)).itertext())
    share = f"{100 * MAP.share_reaching(TARGET):.0f} % of the slab"
    for said in (
        share,
        f"{target} or more",
        "soil air still comes up",
        "too little",
        "1 pit",
        "2 drain",
        "A test hole",
    ):
        assert said in words
        assert said in text
    assert f"target {target}" in text
    assert "next" in words


def test_the_map_is_the_same_each_time_and_escapes_its_name() -> None:
    assert drawn() == drawn()
    odd = drawn(name="a'<b>&")
    assert "<b>" not in odd
    ElementTree.fromstring(odd)


def test_nothing_is_drawn_beyond_the_paper() -> None:
    root = ElementTree.fromstring(drawn())
    width, height = (float(v) for v in root.attrib["viewBox"].split()[2:])
    for text in root.iter(f"{SVG}text"):
        x, words = float(text.attrib["x"]), "".join(text.itertext())
        long = 7.2 * len(words)  # a generous width of a letter at 13 px
        start = {"start": x, "middle": x - long / 2, "end": x - long}[text.attrib["text-anchor"]]
        assert start >= -8
        assert start + long <= width + 8, words
        assert float(text.attrib["y"]) <= height


def test_a_target_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="target is 0 Pa"):
        slab_map(MAP, SOURCES, target=0.0)
