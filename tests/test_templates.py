"""Templates at true size: the PDF is read back by another program and its lines are measured, to a tenth of a millimetre.

What is measured is held against sizes worked out here from the record's own words, and against the length of the bars.
"""

import io
import math
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import pdfplumber
import pytest
from ezdxf.math import BoundingBox

from radonwork.cli import main
from radonwork.drawings.templates import Round, Stroke, Template, templates
from radonwork.files import DATA
from radonwork.house.record import parse_house, read_house
from radonwork.report.template_dxf import template_dxf
from radonwork.report.template_pages import BARS, HEAD, MARGIN, MEASURE, OVERLAP, PAPERS, PaperName, sheets

ALDER, KESTREL = DATA / "houses" / "alder-court.toml", DATA / "houses" / "kestrel-lane.toml"
IN, ENOUGH = 25.4, 0.1  # mm; how near a printed line must be
POINT = 25.4 / 72  # mm
PITCH = math.atan(7 / 12)


@pytest.fixture(scope="module", params=["letter", "a4"])
def printed(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[PaperName, Any]]:
    """The PDF of one house on one paper, opened by a reader of PDF."""
    folder = tmp_path_factory.mktemp("cut") / "templates"
    assert main(["templates", str(ALDER), "-o", str(folder), "--paper", request.param]) == 0
    with pdfplumber.open(folder / "templates.pdf") as document:
        yield request.param, document


def titled(document: Any, words: str) -> list[Any]:
    """Every page whose first words are these."""
    pages = [page for page in document.pages if " ".join(page.extract_text().split()).startswith(words)]
    assert pages, words
    return pages


def spans(shapes: list[dict[str, Any]]) -> list[tuple[float, float]]:
    """Width and height of each shape, mm."""
    return [((s["x1"] - s["x0"]) * POINT, (s["bottom"] - s["top"]) * POINT) for s in shapes]


def there(found: list[tuple[float, float]], width: float | None, height: float | None) -> bool:
    """Whether a shape of this width and height is among them; None is any."""
    return any(
        (width is None or abs(w - width) < ENOUGH) and (height is None or abs(h - height) < ENOUGH) for w, h in found
    )


# ---------------------------------------------------------------- the paper and its bars


def test_every_page_is_as_large_as_the_paper_and_has_two_true_bars_and_says_to_measure_them(printed: Any) -> None:
    paper, document = printed
    assert len(document.pages) > 15
    for page in document.pages:
        width, height = PAPERS[paper]
        assert page.width * POINT == pytest.approx(width, abs=0.01)
        assert page.height * POINT == pytest.approx(height, abs=0.01)
        text = " ".join(page.extract_text().split())
        assert MEASURE in text
        assert "4 in" in text
        assert "100 mm" in text
        level = [(w, s) for s, (w, h) in zip(page.lines, spans(page.lines), strict=True) if h < 0.001]
        foot = [w for w, s in level if s["top"] * POINT > height - MARGIN - 20]
        assert sorted(foot) == pytest.approx([100.0, 4 * IN], abs=ENOUGH)
        assert dict(BARS) == {"4 in": 4 * IN, "100 mm": 100.0}


def test_nothing_is_printed_where_no_printer_reaches(printed: Any) -> None:
    paper, document = printed
    width, height = PAPERS[paper]
    for page in document.pages:
        for shape in [*page.lines, *page.curves, *page.chars]:
            assert shape["x0"] * POINT > MARGIN - 0.3, shape
            assert shape["x1"] * POINT < width - MARGIN + 0.3, shape
            assert shape["top"] * POINT > MARGIN - 1.5
            assert shape["bottom"] * POINT < height - MARGIN + 0.3


# ---------------------------------------------------------------- what is cut


def test_the_round_hole_in_the_deck_is_as_wide_as_the_pitch_and_the_deck_ask_for(printed: Any) -> None:
    """3-1/2 in pipe, 7 in 12, 5/8 in deck, 1/8 in clearance, as the record has them."""
    (page,) = titled(printed[1], "Round hole in the roof deck")
    hole = (3.5 / math.cos(PITCH) + 0.625 * math.tan(PITCH) + 0.125) * IN
    assert there(spans(page.curves), hole, hole)
    # The two marks for the pipe's centre lie half of t tan(angle) below and above the hole's centre.
    strokes = [s for s, (w, h) in zip(page.lines, spans(page.lines), strict=True) if abs(w - 8) < 0.01 and h > 1]
    middles = sorted({round((s["top"] + s["bottom"]) / 2 * POINT, 3) for s in strokes})
    assert middles[1] - middles[0] == pytest.approx(0.625 * math.tan(PITCH) * IN, abs=ENOUGH)


def test_the_slot_in_the_deck_is_the_pipe_wide_and_the_round_hole_long(printed: Any) -> None:
    (page,) = titled(printed[1], "Slot-shaped opening in the roof deck")
    width = 3.5 + 0.125
    length = 3.5 / math.cos(PITCH) + 0.625 * math.tan(PITCH) + 0.125
    assert there(spans(page.curves), width * IN, length * IN)


def test_the_hole_in_the_plate_stands_between_edges_a_plate_apart(printed: Any) -> None:
    (page,) = titled(printed[1], "Hole in a wall plate")
    assert there(spans(page.curves), 2.5 * IN, 2.5 * IN)
    levels = sorted(
        s["top"] * POINT for s, (w, h) in zip(page.lines, spans(page.lines), strict=True) if w > 120 and h < 0.001
    )
    assert levels[1] - levels[0] == pytest.approx(3.5 * IN, abs=ENOUGH)


@pytest.mark.parametrize(("turn", "words"), [(45, "turn of 45°"), (90, "turn of 90°")])
def test_a_mitre_s_curve_is_as_high_as_the_pipe_times_the_tangent_over_its_sheets(
    printed: Any, turn: int, words: str
) -> None:
    pages = titled(printed[1], f"Mitre of a 3-1/2 in pipe for a {words}")
    tall = max(h for page in pages for _, h in spans(page.curves))
    assert tall == pytest.approx(3.5 * math.tan(math.radians(turn) / 2) * IN, abs=ENOUGH)


def test_a_saddle_s_curve_is_as_wide_as_the_pipe_is_round_and_as_deep_as_two_pipes_meet(printed: Any) -> None:
    (page,) = titled(printed[1], "Saddle of a 2-3/8 in pipe on a 3-1/2 in pipe at 90°")
    deep = 3.5 / 2 - math.sqrt((3.5 / 2) ** 2 - (2.375 / 2) ** 2)
    assert there(spans(page.curves), math.pi * 2.375 * IN, deep * IN)


def test_marks_around_the_pipe_are_an_eighth_of_its_girth_apart_across_the_joint_of_two_sheets(printed: Any) -> None:
    """On each sheet the long marks stand 45 degrees apart; and the sheets together are once around."""
    paper, document = printed
    pages = titled(document, "Degrees around a 3-1/2 in pipe")
    step = math.pi * 3.5 * IN / 8
    places = []
    for column, page in enumerate(pages):
        long = {
            round(s["x0"] * POINT, 4)
            for s, (w, h) in zip(page.lines, spans(page.lines), strict=True)
            if w < 0.001 and abs(h - 14) < ENOUGH
        }
        here = sorted(long)
        assert all(b - a == pytest.approx(step, abs=ENOUGH) for a, b in pairwise(here))
        window = PAPERS[paper][0] - 2 * MARGIN
        places += [x + column * (window - OVERLAP) for x in here]
    around = sorted(places)
    whole = [around[0]]
    for x in around:  # a mark in the overlap is on both sheets
        if x - whole[-1] > ENOUGH:
            whole.append(x)
    assert len(whole) == 9
    assert whole[-1] - whole[0] == pytest.approx(math.pi * 3.5 * IN, abs=ENOUGH)


# ---------------------------------------------------------------- sheets that belong together


def test_crosses_in_the_overlap_lie_at_one_place_of_the_template_on_both_sheets(printed: Any) -> None:
    paper, document = printed
    pages = titled(document, "Holes in the lid of the sump")
    width, height = PAPERS[paper]
    wide, high = width - 2 * MARGIN, height - 2 * MARGIN - HEAD - 25.0
    found: dict[tuple[int, int], set[tuple[float, float]]] = {}
    for page in pages:
        told = re.search(r"Row (\d) of (\d), column (\d) of (\d)", " ".join(page.extract_text().split()))
        assert told
        row, column = int(told[1]) - 1, int(told[3]) - 1
        rings = [
            s
            for s, (w, h) in zip(page.curves, spans(page.curves), strict=True)
            if abs(w - 4) < 0.02 and abs(h - 4) < 0.02
        ]
        assert rings
        found[row, column] = {
            (
                round((s["x0"] + s["x1"]) / 2 * POINT + column * (wide - OVERLAP), 2),
                round((s["top"] + s["bottom"]) / 2 * POINT + row * (high - OVERLAP), 2),
            )
            for s in rings
        }
    assert len(found) == 9
    for (row, column), places in found.items():
        for other in ((row, column + 1), (row + 1, column)):
            if other in found:
                shared = [a for a in places for b in found[other] if math.dist(a, b) < ENOUGH]
                assert len(shared) == 2, (row, column, other)


def test_the_holes_of_the_lid_are_as_far_apart_as_the_record_says_though_on_several_sheets() -> None:
    (lid,) = (t for t in templates(read_house(ALDER))[0] if t.name == "lid-holes")
    holes = {round(s.diameter / 0.0254, 4): s.centre for s in lid.shapes if isinstance(s, Round) and s.look == "cut"}
    assert holes[2.0] == pytest.approx((-4.5 * 0.0254, -3 * 0.0254))
    assert math.dist(holes[2.0], holes[0.75]) == pytest.approx(9 * 0.0254)
    assert math.dist(holes[3.5625], holes[0.75]) == pytest.approx(math.hypot(4.5, 7.5) * 0.0254)


@pytest.mark.parametrize("paper", list(PAPERS))
def test_an_svg_sheet_says_how_large_it_is_and_holds_what_the_pdf_does(paper: PaperName) -> None:
    (hole, *_) = templates(read_house(ALDER))[0]
    (sheet,) = sheets(hole, paper)
    root = ElementTree.fromstring(sheet.svg)
    width, height = PAPERS[paper]
    assert (root.get("width"), root.get("height")) == (f"{width:g}mm", f"{height:g}mm")
    assert root.get("viewBox") == f"0 0 {width:g} {height:g}"
    radii = [float(c.get("r", "0")) for c in root.iter("{http://www.w3.org/2000/svg}circle")]
    assert 2 * max(radii) == pytest.approx((3.5 / math.cos(PITCH) + 0.625 * math.tan(PITCH) + 0.125) * IN, abs=ENOUGH)
    bars = [path.get("d", "") for path in root.iter("{http://www.w3.org/2000/svg}path") if path.get("class") == "bar"]
    lengths = [float(d.partition("H")[2]) - float(re.split("[M ]", d)[1]) for d in bars]
    assert lengths == pytest.approx([101.6, 100.0], abs=0.001)


# ---------------------------------------------------------------- DXF


def test_dxf_holds_the_same_geometry_in_millimetres() -> None:
    made, _ = templates(read_house(ALDER))
    for template in made:
        drawing = ezdxf.read(io.StringIO(template_dxf(template).decode("utf-8")))
        assert drawing.units == ezdxf.units.MM
        space = drawing.modelspace()
        circles = sorted(2 * float(c.dxf.radius) for c in space.query("CIRCLE"))
        assert circles == pytest.approx(sorted(1000 * s.diameter for s in template.shapes if isinstance(s, Round)))
        lines = space.query("LWPOLYLINE")
        assert len(lines) == sum(isinstance(s, Stroke) for s in template.shapes)
        cut = BoundingBox()
        for line in space.query("LWPOLYLINE[layer=='CUT']"):
            cut.extend(line.vertices_in_wcs())
        if template.name == "mitre-90":
            assert cut.size.x == pytest.approx(math.pi * 3.5 * IN)
            assert cut.size.y == pytest.approx(3.5 * IN)  # the tangent of 45 degrees is one
        if template.name == "plate-slot":
            assert cut.size.x == pytest.approx(9 * IN)
            assert cut.size.y == pytest.approx(2.5 * IN)
        assert not drawing.audit().errors


def test_dxf_without_its_package_is_refused_in_one_line(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    import sys

    monkeypatch.delitem(sys.modules, "radonwork.report.template_dxf", raising=False)
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    assert main(["templates", str(ALDER), "-o", str(tmp_path / "t"), "--dxf"]) == 2
    said = capsys.readouterr().err.strip()
    assert said == 'radonwork: DXF takes the package ezdxf; install it with pip install "radonwork[dxf]"'
    assert not (tmp_path / "t").exists()


# ---------------------------------------------------------------- the command


def test_the_paper_follows_the_units_of_the_house_and_what_is_lacking_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["templates", str(KESTREL), "-o", str(tmp_path / "k")]) == 0
    said = capsys.readouterr().out
    assert "not made: Slot in the plate; missing: wall.slot_start, wall.slot_length" in said
    with pdfplumber.open(tmp_path / "k" / "templates.pdf") as document:
        assert document.pages[0].width * POINT == pytest.approx(210)
    assert main(["templates", str(ALDER), "-o", str(tmp_path / "a")]) == 0
    with pdfplumber.open(tmp_path / "a" / "templates.pdf") as document:
        assert document.pages[0].width * POINT == pytest.approx(215.9, abs=0.01)
    names = {path.name for path in (tmp_path / "a").iterdir()}
    assert {"templates.pdf", "roof-hole-round.svg", "lid-holes-1-1.svg"} <= names


@pytest.mark.parametrize(
    ("where", "told"),
    [
        ("nowhere/t", "there is no folder"),
        ("file", "this is a file; name a folder"),
    ],
)
def test_a_folder_that_cannot_be_is_refused_in_one_line(
    where: str, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").write_text("")
    assert main(["templates", str(ALDER), "-o", str(tmp_path / where)]) == 2
    said = capsys.readouterr().err.strip()
    assert told in said
    assert "\n" not in said


def test_a_record_that_settles_nothing_is_told_what_it_would_take(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "h.toml").write_text('[house]\nname = "x"\n')
    assert main(["templates", str(tmp_path / "h.toml"), "-o", str(tmp_path / "t")]) == 2
    said = capsys.readouterr().err.strip()
    assert "roof.pitch" in said
    assert "\n" not in said
    assert not (tmp_path / "t").exists()


def test_a_template_larger_than_anybody_would_print_is_refused_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "h.toml").write_text(ALDER.read_text().replace('diameter = "20 in"', 'diameter = "20 ft"'))
    assert main(["templates", str(tmp_path / "h.toml"), "-o", str(tmp_path / "t")]) == 2
    said = capsys.readouterr().err.strip()
    assert said.startswith("radonwork: Holes in the lid of the sump: 6.1 by 6.1 m would take")
    assert "\n" not in said
    assert not (tmp_path / "t").exists()


def test_the_same_record_gives_the_same_bytes(tmp_path: Path) -> None:
    for name in ("a", "b"):
        assert main(["templates", str(ALDER), "-o", str(tmp_path / name)]) == 0
    for path in sorted((tmp_path / "a").iterdir()):
        assert path.read_bytes() == (tmp_path / "b" / path.name).read_bytes(), path.name


def test_templates_of_another_run_never_lie_beside_new_ones(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without --dxf the old DXF would lie there still; a thinner pipe's mitres take fewer sheets."""
    folder, smaller = tmp_path / "t", tmp_path / "h.toml"
    smaller.write_text(ALDER.read_text().replace('nominal = "3"', 'nominal = "1-1/2"', 1))
    assert main(["templates", str(ALDER), "-o", str(folder), "--dxf"]) == 0
    (folder / "photo.png").write_bytes(b"mine")
    assert main(["templates", str(ALDER), "-o", str(folder), "--dxf"]) == 0  # the same ones again
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    capsys.readouterr()
    for command in (
        ["templates", str(ALDER), "-o", str(folder)],
        ["templates", str(smaller), "-o", str(folder), "--dxf"],
    ):
        assert main(command) == 2
        said = capsys.readouterr().err.strip()
        assert "\n" not in said
        assert "which this run does not make" in said
        assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_a_name_from_the_record_is_shown_and_never_read_as_markup(tmp_path: Path) -> None:
    name = '<b>&"#{1+1}\\u{41}'
    written = ALDER.read_text().replace('name = "vent pipe"', f"name = '{name}'")
    house = parse_house(written, "h.toml")
    (lid,) = (t for t in templates(house)[0] if t.name == "lid-holes")
    pages = sheets(lid, "letter")
    texts = [
        t.text for page in pages for t in ElementTree.fromstring(page.svg).iter("{http://www.w3.org/2000/svg}text")
    ]
    assert any(name in (text or "") for text in texts)
    (tmp_path / "h.toml").write_text(written)
    assert main(["templates", str(tmp_path / "h.toml"), "-o", str(tmp_path / "t")]) == 0
    with pdfplumber.open(tmp_path / "t" / "templates.pdf") as document:
        assert any("<b>&" in page.extract_text() for page in document.pages)


def test_lines_are_cut_off_at_the_window_and_nothing_of_them_is_lost() -> None:
    """A long slanting line over many sheets: its parts, without the overlaps, add up to its length."""
    line = Template("x", "x", "x", (Stroke("cut", ((0.0, 0.0), (0.9, 0.7))),))
    seen: list[tuple[tuple[float, float], tuple[float, float]]] = []
    for sheet in sheets(line, "a4"):
        root = ElementTree.fromstring(sheet.svg)
        for part in root.iter("{http://www.w3.org/2000/svg}polyline"):
            points = [tuple(map(float, p.split(","))) for p in part.get("points", "").split()]
            assert all(MARGIN - 0.001 <= x <= 210 - MARGIN + 0.001 for x, _ in points)
            wide, high = 210 - 2 * MARGIN, 297 - 2 * MARGIN - HEAD - 25
            shift = ((sheet.column - 1) * (wide - OVERLAP), (sheet.row - 1) * (high - OVERLAP))
            ends = [(x + shift[0], y + shift[1]) for x, y in (points[0], points[-1])]
            seen.append((ends[0], ends[1]))
    along = sorted((min(a[0], b[0]), max(a[0], b[0])) for a, b in seen)
    reached = along[0][0]
    for start, end in along:
        assert start <= reached + 0.001, "a gap between two sheets"
        reached = max(reached, end)
    assert reached - along[0][0] == pytest.approx(900, abs=ENOUGH)
