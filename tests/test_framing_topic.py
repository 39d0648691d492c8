"""Finding the framing and what may be cut: formulas, the two houses from record to finding, panels, and bad input."""

from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely  # type: ignore[import-untyped]

from radonwork.drawings.catalogue import pictures
from radonwork.files import DATA, table
from radonwork.formulas.framing import (
    centre_room,
    centre_spare,
    hole_chance,
    hole_gap,
    hole_spare,
    largest_hole,
    place_share,
    wood_after_a_hit,
    wood_after_a_miss,
)
from radonwork.house.calculations import Calculation, calculate
from radonwork.house.cutting import RULES, cuts_of
from radonwork.house.framing import readings_of, studs_of, wall_of
from radonwork.house.record import House, RecordError, parse_house, read_house
from radonwork.report.contents import missing
from radonwork.requirements.rules import Comparison, requirements_of
from radonwork.solvers.photo import Photo, read
from radonwork.units import from_unit, to_unit
from radonwork.workbook import book

INCH = float(from_unit(1.0, "in"))
HOUSES = DATA / "houses"
Fields = dict[str, str | bool]
ALDER, KESTREL = HOUSES / "alder-court.toml", HOUSES / "kestrel-lane.toml"


@pytest.fixture(scope="module")
def alder() -> Calculation:
    return calculate(read_house(ALDER), "framing")


@pytest.fixture(scope="module")
def kestrel() -> Calculation:
    return calculate(read_house(KESTREL), "framing")


def verdicts(found: Calculation) -> dict[str, str]:
    return {finding.requirement.text: finding.verdict for finding in found.findings}


def of(found: Calculation, words: str) -> str:
    (verdict,) = {verdict for text, verdict in verdicts(found).items() if text.startswith(words)}
    return verdict


def house_of(*lines: str) -> House:
    wall = '[wall]\nstud_thickness = "1-1/2 in"\nstud_spacing = "16 in"\n[framing]\nwall_length = "14 ft"\n'
    return parse_house(wall + "\n".join(lines), "wall.toml")


def cut(**fields: Any) -> Calculation:
    """A house with one hole or notch."""
    written = {name: f'"{value}"' if isinstance(value, str) else str(value).lower() for name, value in fields.items()}
    return calculate(house_of("[[framing.hole]]", *(f"{name} = {text}" for name, text in written.items())), "framing")


def judged(found: Calculation) -> dict[str, str]:
    return {
        finding.requirement.name: finding.verdict for finding in found.findings if finding.requirement.topic == RULES
    }


# ---------------------------------------------------------------- formulas, by shapely


@pytest.mark.parametrize(("depth", "hole", "edge"), [(3.5, 1.4, 0.625), (9.25, 2.5, 2.0), (5.5, 2.2, 1.25)])
def test_a_hole_as_far_off_as_it_may_be_leaves_the_edge_shapely_measures(
    depth: float, hole: float, edge: float
) -> None:
    room = float(centre_room(member_depth=depth * INCH, hole_diameter=hole * INCH, least_edge=edge * INCH)) / INCH
    spare = centre_spare(centre_room=room * INCH, hole_offset=0.25 * INCH)
    assert spare == pytest.approx((room - 0.25) * INCH)  # moved by a quarter inch it may move that much less
    round_hole = shapely.Point(0, depth / 2 + room).buffer(hole / 2, quad_segs=2000)
    edges = shapely.MultiLineString([[(-9, 0), (9, 0)], [(-9, depth), (9, depth)]])
    assert round_hole.distance(edges) == pytest.approx(edge, abs=1e-5)  # shapely's circle is a polygon


def test_the_wood_between_two_holes_is_what_shapely_measures() -> None:
    for spacing, one, other in ((6.0, 2.5, 1.0), (2.25, 1.0, 0.75)):
        first = shapely.Point(0, 0).buffer(one / 2, quad_segs=2000)
        second = shapely.Point(spacing, 0).buffer(other / 2, quad_segs=2000)
        ours = hole_gap(hole_spacing=spacing * INCH, hole_diameter=one * INCH, other_hole=other * INCH)
        assert ours == pytest.approx(first.distance(second) * INCH, rel=1e-5)


def test_the_nearer_support_is_the_one_shapely_finds() -> None:
    supports = shapely.MultiPoint([(0, 0), (144, 0)])
    for place in (10.0, 72.0, 130.0):
        ours = place_share(support_distance=place * INCH, span=144 * INCH)
        assert ours == pytest.approx(shapely.Point(place, 0).distance(supports) / 144)


def test_the_largest_hole_is_the_largest_circle_that_shapely_fits_between_the_limits() -> None:
    """Circles grown until they touch the strip that must stay at either edge, or take more than their share."""
    for depth, share, edge in ((3.5, 0.4, 0.625), (5.5, 1 / 3, 2.0), (3.5, 0.9, 0.625)):
        strip = shapely.box(-20, edge, 20, depth - edge)
        diameters = np.arange(0.01, depth, 0.002)
        fits = [d <= share * depth and strip.covers(shapely.Point(0, depth / 2).buffer(d / 2)) for d in diameters]
        ours = float(largest_hole(member_depth=depth * INCH, largest_share=share, least_edge=edge * INCH)) / INCH
        largest = diameters[np.flatnonzero(fits)[-1]]
        assert ours == pytest.approx(largest, abs=0.003)
        spare = float(hole_spare(largest_hole=ours * INCH, hole_diameter=1.0 * INCH)) / INCH
        assert spare == pytest.approx(largest - 1.0, abs=0.003)


def test_where_the_edges_meet_no_hole_is_left() -> None:
    assert largest_hole(member_depth=1 * INCH, largest_share=0.4, least_edge=0.625 * INCH) == 0


def test_a_reading_changes_the_chance_as_counted_walls_say() -> None:
    """Walls counted one by one in exact fractions: 2000 of them, wood in 360, a tool wrong in one of twenty."""
    wood, walls, wrong = 360, 2000, Fraction(1, 20)
    hits, false_hits = wood * (1 - wrong), (walls - wood) * wrong
    misses, false_misses = (walls - wood) * (1 - wrong), wood * wrong
    given = {"wood_before": wood / walls, "false_reading": float(wrong)}
    assert wood_after_a_hit(**given) == pytest.approx(float(hits / (hits + false_hits)), rel=1e-12)
    assert wood_after_a_miss(**given) == pytest.approx(float(false_misses / (false_misses + misses)), rel=1e-12)


def test_wood_or_a_line_is_met_as_often_as_counted_walls_say() -> None:
    """Every pair of one of 40 places for wood, 6 of them wood, and one of 25 for a line, 2 of them a line."""
    met = sum(a < 6 or b < 2 for a in range(40) for b in range(25))
    assert hole_chance(wood_chance=6 / 40, service_chance=2 / 25) == pytest.approx(met / 1000)


# ---------------------------------------------------------------- the two houses


def test_nothing_is_refused_for_the_two_houses_and_what_is_missing_is_named(
    alder: Calculation, kestrel: Calculation
) -> None:
    assert not alder.missing
    assert not alder.run.missing
    assert not alder.run.refused
    assert not kestrel.run.refused
    assert kestrel.missing["transfer_height"] == "framing.transfer.height"
    assert missing(kestrel)


def test_the_likely_bay_is_the_one_that_was_measured(alder: Calculation, kestrel: Calculation) -> None:
    """The bay was measured elsewhere in the record, and the finder does not know of it."""
    for found in (alder, kestrel):
        bay = found.run.given["bay_width"]
        low = (
            found.run.values["right_stud_low"] - found.run.values["left_stud_high"] - found.run.values["stud_thickness"]
        )
        high = (
            found.run.values["right_stud_high"] - found.run.values["left_stud_low"] - found.run.values["stud_thickness"]
        )
        assert low < bay.value < high


def test_what_the_sheet_says_of_the_studs_is_what_the_finder_says(alder: Calculation) -> None:
    house, values = read_house(ALDER), alder.run.values
    studs = studs_of(house)
    assert studs
    assert len(readings_of(house)) == 4
    assert values["wood_chance"] == pytest.approx(float(studs.wood(37 * INCH, INCH)))
    assert values["clear_chance"] == pytest.approx(studs.clear(32 * INCH, 41 * INCH))
    assert values["left_stud"] < 37 * INCH < values["right_stud"]


def test_the_pieces_of_a_wall_are_where_the_record_has_its_features() -> None:
    wall = wall_of(read_house(ALDER))
    assert wall
    corner, left, right = wall.pieces
    assert corner.centre == pytest.approx(1.5 * INCH)
    # Two studs of 1-1/2 in beside each jamb of a door from 70 to 102 in.
    assert (left.centre, right.centre) == pytest.approx((68.5 * INCH, 103.5 * INCH))
    assert wall.clear == ((pytest.approx(70 * INCH), pytest.approx(102 * INCH)),)
    assert wall.layouts[0].spacing == pytest.approx(16 * INCH)
    assert sum(layout.weight for layout in wall.layouts) == pytest.approx(1)


def test_a_stud_that_was_seen_is_where_the_finder_puts_it() -> None:
    studs = studs_of(house_of("[[framing.feature]]", 'kind = "stud"', 'at = "52-1/4 in ± 1/4 in"'))
    assert studs
    assert studs.wood(52.25 * INCH, 0.003) > 0.97
    (seen,) = [place for place in studs.places() if abs(place.at - 52.25 * INCH) < 2 * INCH]
    assert seen.low > 51.7 * INCH
    assert seen.high < 52.8 * INCH


def test_an_inspection_hole_that_is_not_looked_into_for_lines_is_never_met(
    alder: Calculation, kestrel: Calculation
) -> None:
    for found in (alder, kestrel):
        assert of(found, "An inspection hole is made") == "met"
        assert of(found, "The chance of meeting a cable") == "cannot be judged"
    text = ALDER.read_text().replace("accepted_chance", 'service_chance = "2 %"\naccepted_chance', 1)
    assert of(calculate(parse_house(text, "told.toml"), "framing"), "The chance of meeting a cable") == "met"


def test_an_accepted_chance_that_is_not_stated_is_never_met() -> None:
    text = "".join(
        line for line in ALDER.read_text().splitlines(keepends=True) if not line.startswith("accepted_chance")
    )
    assert of(calculate(parse_house(text, "open.toml"), "framing"), "An inspection hole is made") == "cannot be judged"


def test_the_place_in_the_photograph_of_the_record_is_the_one_read_by_itself(kestrel: Calculation) -> None:
    marks = ((612.0, 1410.0), (1205.0, 1392.0), (1192.0, 838.0), (655.0, 806.0))
    photo = Photo(marks, ((0.0, 0.0), (1.2, 0.0), (1.2, 1.0), (0.0, 1.0)), 2.0, 0.003)
    found = read(photo, (930.0, 745.0))
    assert kestrel.run.values["photo_x"] == pytest.approx(found.x)
    assert kestrel.run.values["photo_y"] == pytest.approx(found.y)
    assert kestrel.run.values["photo_tolerance"] == pytest.approx(max(found.x_error, found.y_error))


# ---------------------------------------------------------------- what may be cut


STUD: Fields = {"member": "stud", "engineered": False, "only_cut": True, "garage_separation": "none here"}
JOIST: Fields = {"member": "joist", "engineered": False, "garage_separation": "none here", "draft_stop": "none here"}
LIMITS: list[tuple[str, Fields, str, float]] = [
    # rule, fields, a size that just holds and one that just does not
    ("stud hole, bearing or exterior", STUD | {"bearing": True, "doubled": False, "depth": "3.5 in"}, "diameter", 1.4),
    (
        "stud hole, bearing or exterior, doubled",
        STUD | {"bearing": True, "doubled": True, "depth": "3.5 in"},
        "diameter",
        2.1,
    ),
    ("stud hole, nonbearing", STUD | {"bearing": False, "depth": "5.5 in"}, "diameter", 3.3),
    ("stud hole, edge", STUD | {"bearing": False, "depth": "3.5 in"}, "diameter", 2.25),
    ("stud notch, bearing or exterior", STUD | {"bearing": True, "depth": "3.5 in"}, "notch_depth", 0.875),
    ("stud notch, nonbearing", STUD | {"bearing": False, "depth": "5.5 in"}, "notch_depth", 2.2),
    ("joist hole, share", JOIST | {"only_cut": True, "depth": "9 in"}, "diameter", 3.0),
    ("joist hole, edges", JOIST | {"only_cut": True, "depth": "5.5 in"}, "diameter", 1.5),
    ("joist notch, depth", JOIST | {"depth": "9 in", "at_end": False}, "notch_depth", 1.5),
    ("joist notch at the end", JOIST | {"depth": "9 in", "at_end": True}, "notch_depth", 2.25),
]


@pytest.mark.parametrize(("rule", "fields", "size", "limit"), LIMITS, ids=[entry[0] for entry in LIMITS])
def test_a_limit_of_the_code_holds_to_its_figure_and_no_further(
    rule: str, fields: Fields, size: str, limit: float
) -> None:
    """The figures are those of data/tables/boring_limits.csv: International Residential Code R602.6, R502.8.1."""
    assert judged(cut(**fields, **{size: f"{limit} in"}))[rule] == "met"
    assert judged(cut(**fields, **{size: f"{limit + 0.002:.4f} in"}))[rule] == "not met"


def test_every_limit_of_the_table_is_the_limit_of_a_rule_on_cutting() -> None:
    """Shares and edges as printed; the inches beside them are the share of that depth."""
    printed = {
        "<= 25 %": 0.25,
        "<= 40 %": 0.4,
        "<= 60 %": 0.6,
        "above 50 %": 0.5,
        "<= D/3": 1 / 3,
        "<= D/6": 1 / 6,
        "<= D/4": 0.25,
    }
    shares = {share for row in table("boring_limits") for words, share in printed.items() if words in row["rule"]}
    comparisons = [c for rule in requirements_of(RULES) for c in (rule.check, *rule.when) if isinstance(c, Comparison)]
    ruled = {limit for c in comparisons if "share" in c.quantity and (limit := c.limit({})) is not None}
    assert {round(share, 6) for share in shares} <= {round(float(share), 6) for share in ruled}
    edges = {
        float(row["limit_in"]) for row in table("boring_limits") if row["basis_limit"] == "read" and row["limit_in"]
    }
    asked = {
        round(float(to_unit(c.limit({}) or 0, "in")), 4)
        for c in comparisons
        if c.quantity in ("edge_distance", "hole_gap")
    }
    assert {0.625, 1.25, 1.5, 2.0} <= asked & edges | {0.625}
    for row in table("boring_limits"):
        share = next((value for words, value in printed.items() if words in row["rule"]), None)
        if row["basis_limit"] == "computed" and share and row["depth_in"]:
            assert float(row["limit_in"]) == pytest.approx(share * float(row["depth_in"]), abs=5e-4)


def test_holes_keep_their_distance_from_each_other_in_a_joist() -> None:
    fields: Fields = JOIST | {"depth": "9 in", "diameter": "2 in", "other_hole": "1 in"}
    assert judged(cut(**fields, other_hole_distance="3.5 in"))["joist hole, other cuts"] == "met"
    assert judged(cut(**fields, other_hole_distance="3.4 in"))["joist hole, other cuts"] == "not met"


def test_a_notch_keeps_out_of_the_middle_third_of_a_joist() -> None:
    fields: Fields = JOIST | {
        "depth": "9 in",
        "notch_depth": "1 in",
        "notch_length": "3 in",
        "at_end": False,
        "span": "12 ft",
    }
    assert judged(cut(**fields, support_distance="4 ft"))["joist notch, outer thirds"] == "met"
    assert judged(cut(**fields, support_distance="8 ft"))["joist notch, outer thirds"] == "met"
    assert judged(cut(**fields, support_distance="5 ft"))["joist notch, outer thirds"] == "not met"
    assert (
        judged(cut(**fields | {"notch_length": "3.1 in"}, support_distance="4 ft"))["joist notch, length"] == "not met"
    )


def test_engineered_wood_is_never_met_by_a_limit_of_sawn_wood() -> None:
    fields: Fields = {"member": "joist", "depth": "11-7/8 in", "diameter": "1 in", "engineered": True}
    assert judged(cut(**fields)) == {
        "hole leaves wood at its edges": "met",
        "engineered wood": "cannot be judged",
        "garage separation": "cannot be judged",
        "draft stop": "cannot be judged",
    }
    assert judged(cut(**fields, maker_allows=False))["engineered wood"] == "not met"
    assert judged(cut(**fields, maker_allows=True))["engineered wood"] == "met"


def test_what_is_not_said_of_a_member_is_not_taken_for_granted() -> None:
    found = judged(cut(member="stud", depth="3.5 in", diameter="1 in"))
    assert found["stud hole, nonbearing"] == "cannot be judged"
    assert found["stud hole, bearing or exterior"] == "cannot be judged"
    assert found["engineered wood"] == "cannot be judged"


def test_a_plate_cut_by_more_than_half_wants_its_tie_and_shield_plates_and_its_fire_stop() -> None:
    fields: Fields = {"member": "plate", "bearing": True, "depth": "3.5 in", "diameter": "2.5 in", "engineered": False}
    bare = judged(cut(**fields, tie=False, shield=False, fireblocked=False))
    assert {bare[rule] for rule in ("plate tie", "shield plate", "fireblocking restored")} == {"not met"}
    assert bare["bearing wall, licensed person"] == "cannot be judged"
    whole = judged(cut(**fields, tie=True, shield=True, fireblocked=True, licensed_person=True))
    assert "not met" not in whole.values()
    small = judged(cut(**fields | {"diameter": "1.75 in"}, tie=False))
    assert "plate tie" not in small  # half of 3-1/2 in is not more than half


def test_limits_known_only_from_memory_never_decide() -> None:
    for said in ("closed again", "open"):
        found = judged(cut(**JOIST | {"garage_separation": said, "draft_stop": said}, depth="9 in", diameter="1 in"))
        assert found["garage separation"] == found["draft stop"] == "cannot be judged"


def test_a_hole_that_leaves_no_edge_is_named_with_the_figure_and_the_others_are_still_judged() -> None:
    found = book("framing", ALDER)
    said = repr(found.told("cuts"))
    assert "No edge. Top plate, if one 3 in pipe went through: leaves -1/16 in at its nearer edge." in said
    assert "Joist in the basement joist 27.03 %" in said
    bad = [f for f in found.calculation.findings if f.requirement.name == "hole leaves wood at its edges"]
    assert [f.verdict for f in bad] == ["met", "met", "not met", "met"]
    assert "-1/16 in" in bad[2].reason


def test_the_tolerance_of_a_hole_shows_in_its_finding() -> None:
    fields: Fields = STUD | {"bearing": False, "depth": "3.5 in"}
    found = cut(**fields, diameter="2 in ± 1/4 in")
    finding = next(f for f in found.findings if f.requirement.name == "stud hole, nonbearing")
    assert finding.verdict == "met"
    assert finding.holds_over_tolerance is False


def test_each_cut_has_only_the_rules_of_its_kind() -> None:
    names = {one.name: {f.requirement.name for f in one.findings} for one in cuts_of(read_house(ALDER))}
    assert not any("joist" in rule for rule in names["Stud of the closet, to pass sideways"])
    assert not any("stud" in rule for rule in names["Joist in the basement"])


# ---------------------------------------------------------------- the panels


def test_a_probe_that_is_tried_moves_the_chances_and_the_record_is_left_alone() -> None:
    found = book("framing", ALDER)
    panel, before = found.panel(1), found.calculation.run.values["clear_chance"]
    assert panel.values["probe_place"] == pytest.approx(found.calculation.run.values["next_probe"], abs=0.001)
    panel.values = {**panel.values, "probe_reading": 0.0}
    assert panel.run().values["clear_chance"] == pytest.approx(before)
    assert "No probe is tried" in panel.face["text"]
    panel.values = {**panel.values, "probe_place": 38 * INCH, "probe_reading": 1.0}
    assert panel.face["fault"] == ""
    assert panel.run().values["clear_chance"] < before - 0.02  # it may be a stray stud, or a false reading
    assert "A probe that finds wood is tried" in panel.face["text"]
    assert "tried: wood" in panel.face["svg"]
    panel.values = {**panel.values, "probe_reading": -1.0}
    assert panel.run().values["clear_chance"] > before
    assert len(readings_of(read_house(ALDER))) == 4


def test_the_panel_of_a_stud_judges_the_hole_it_draws() -> None:
    panel = book("framing", ALDER).panel(2)
    assert "Too large: at most 1-3/8 in (1.4 in)" in panel.face["text"]
    assert "not met" in panel.findings
    assert "Sole plate" not in panel.findings
    panel.values = {**panel.values, "stud_kind": 1.0, "hole_diameter": 1.5 * INCH, "hole_offset": 0.0}
    assert "A stud of a nonbearing wall. Small enough: at most 2-1/8 in (2.1 in)" in panel.face["text"]
    assert "nonbearing" in panel.findings
    assert "not met" not in panel.findings


def test_the_panel_of_a_joist_judges_the_hole_it_draws() -> None:
    panel = book("framing", ALDER).panel(3)
    assert "not met" not in panel.findings
    panel.type("joist_offset", "2-1/4 in")
    assert "Too near the edge" in panel.face["text"]
    assert "not met" in panel.findings


def test_a_wall_without_a_length_says_what_it_wants_and_draws_nothing(tmp_path: Path) -> None:
    record = tmp_path / "empty.toml"
    record.write_text('[house]\nname = "Empty"\n')
    found = book("framing", record)
    assert "met" not in verdicts(found.calculation).values()
    assert found.calculation.missing["framed_length"] == "framing.wall_length"
    assert "framing.wall_length" in found.panel(1).face["fault"]
    assert found.panel(2).face["fault"] == ""
    assert not [picture for picture in pictures(found.calculation) if "wall" in picture.title]
    assert "does not state enough" in repr(found.told("studs"))
    assert "does not state enough" in repr(found.told("transfer"))


# ---------------------------------------------------------------- the drawing and the words


def test_the_drawing_says_what_it_shows(alder: Calculation) -> None:
    (wall,) = [picture for picture in pictures(alder) if "wood is likely" in picture.title]
    for words in ("stretch wanted for the pipe", "probe: wood", "probe: nothing", "probe: an edge", "opening", "box"):
        assert words in wall.svg
    assert "A stud or post likely at 30.8 in" in wall.description


def test_the_words_of_a_record_are_escaped(tmp_path: Path) -> None:
    record = tmp_path / "escaped.toml"
    record.write_text(ALDER.read_text().replace("Joist in the basement", "<b>Joist"))
    shown = book("framing", record).told("cuts")._repr_html_()
    assert "<b>Joist" not in shown
    assert "&lt;b&gt;Joist" in shown


def test_the_likely_studs_of_the_table_are_those_of_the_finder() -> None:
    studs = studs_of(read_house(KESTREL))
    assert studs
    said = repr(book("framing", KESTREL).told("studs"))
    assert said.count("nine times") + said.count(" mm to ") >= len(studs.places())
    assert "552 mm ± 3 mm" in said


def test_the_next_hole_never_says_that_a_place_is_without_danger() -> None:
    for path in (ALDER, KESTREL):
        found = book("framing", path)
        for piece in ("studs", "next", "cuts", "limits", "transfer"):
            assert " safe" not in repr(found.told(piece)).lower()
        assert "cables, gas pipes or water pipes" in repr(found.told("next"))


# ---------------------------------------------------------------- bad input


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (
            ("[[framing.probe]]", 'at = "15 ft"', 'found = "wood"'),
            "framing.probe[1].at: '15 ft' does not lie on a wall 14 ft long",
        ),
        (("[[framing.probe]]", 'at = "5 ft"'), "framing.probe[1]: lacks what was found"),
        (("[[framing.probe]]", 'at = "5 ft"', 'found = "maybe"'), "'maybe' is not a choice"),
        (
            ("[[framing.probe]]", 'at = "5 ft"', 'found = "wood"', 'false_reading = "60 %"'),
            "no share of false readings",
        ),
        (("[[framing.feature]]", 'kind = "box"', 'at = "3 ft"'), "placed by its two sides"),
        (
            ("[[framing.feature]]", 'kind = "opening"', 'left = "9 ft"', 'right = "6 ft"'),
            "does not lie right of '9 ft'",
        ),
        (("[[framing.feature]]", 'kind = "corner"', 'left = "9 ft"', 'right = "6 ft"'), "placed by its middle"),
        (("[[framing.hole]]", 'depth = "3 in"', 'diameter = "1 in"'), "states no member"),
        (("[[framing.hole]]", 'member = "stud"', 'depth = "3 in"'), "is a hole or a notch"),
        (
            ("[[framing.hole]]", 'member = "stud"', 'diameter = "1 in"', 'other_hole = "1 in"'),
            "wants the other of the two",
        ),
        (("[[framing.hole]]", 'member = "stud"', 'depth = "0 in"', 'diameter = "1 in"'), "is no depth"),
        (("[[framing.hole]]", 'member = "stud"', 'diameter = "0 in"'), "cuts nothing"),
        (("[[framing.probe]]", 'at = "5 ft"', 'found = "wood"', 'width = "3 in"'), "wider than 1 in"),
        (('probe_width = "2 in"',), "framing.probe_width: '2 in' is wider than 1 in"),
        (("[[framing.hole]]", 'member = "beam"', 'diameter = "1 in"'), "'beam' is not a choice"),
        (('bay_left = "5 ft"', 'bay_right = "4 ft"'), "framing.bay_right: '4 ft' does not lie right of '5 ft'"),
        (('inspection_at = "5 ft ± 1 in"',), "is chosen, not measured"),
        (("[framing.photo]", "point = [1, 2]", "mark = [{ point = [1, 2], place = ['0 in', '0 in'] }]"), "has 1 marks"),
        (("[framing.photo]", 'point = [1, "x"]'), "is not a point of the picture"),
    ],
)
def test_a_wrong_field_is_refused_in_one_line_that_names_it(lines: tuple[str, ...], says: str) -> None:
    with pytest.raises(RecordError) as refusal:
        house_of(*lines)
    (line,) = refusal.value.lines
    assert says in line
    assert "framing" in line


def test_two_things_in_one_place_are_told_in_one_line_and_the_cuts_are_judged_all_the_same() -> None:
    house = house_of(
        "[[framing.feature]]", 'kind = "corner"', 'at = "30 in"', "[[framing.feature]]", 'kind = "partition"', 'at = "32 in"',
        "[[framing.hole]]", 'member = "joist"', "engineered = false", 'depth = "9 in"', 'diameter = "4 in"',
    )  # fmt: skip
    found = calculate(house, "framing")
    assert judged(found)["joist hole, share"] == "not met"
    with pytest.raises(ValueError, match=r"two pieces of framing, 30 in \(762 mm\) and 32 in"):
        studs_of(house)
    assert pictures(found) == []


def test_a_hundred_readings_in_one_place_are_no_more_than_sure() -> None:
    lines = ["[[framing.probe]]", 'at = "5 ft"', 'found = "wood"', 'false_reading = "0.1 %"'] * 100
    studs = studs_of(house_of(*lines))
    assert studs
    assert studs.wood(60 * INCH, 0.003) == pytest.approx(1.0, abs=2e-3)  # to what a share of one cell makes
    assert np.all(np.isfinite(studs.wood(studs.x, 0.003)))
