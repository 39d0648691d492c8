"""Putting a long pipe into the bay as a person meets it: solvers, drawings and panels, against shapely and each other."""

import json
import re
import subprocess
from math import cos, degrees, radians, sin
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely  # type: ignore[import-untyped]
import shapely.affinity  # type: ignore[import-untyped]
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import radonwork.workbook.panel
from radonwork.drawings.insertion import INSERTION, SLOT
from radonwork.engine.formula import RangeError
from radonwork.engine.program import Program, sentence
from radonwork.formulas import insertion as closed
from radonwork.glossary import term
from radonwork.house.sheets import sheet
from radonwork.solvers import contact, insertion
from radonwork.solvers.pipe_motion import motion
from radonwork.workbook import book
from radonwork.workbook.panel import Panel
from tests import javascript

IN = 0.0254
ALLOWED = 0.01  # in; coordinates are drawn to a hundredth of a px, which is up to 0.003 in
DRAWINGS = pytest.mark.parametrize("drawing", [INSERTION, SLOT], ids=lambda d: d.name)


def inches(**lengths: float) -> dict[str, float]:
    return {name: value * IN for name, value in lengths.items()}


def pipe(L: float, H: float, T: float, d: float) -> dict[str, float]:
    return inches(pipe_length=L, room_height=H, member_thickness=T, pipe_outside_diameter=d)


def opening(s: float, a: float, W: float) -> dict[str, float]:
    return inches(slot_length=s, slot_start=a, bay_width=W)


P110 = pipe(110, 93.5, 2.25, 2.375)


def worked(given: dict[str, float], stage: float = 0.4) -> dict[str, float]:
    """Everything the topic's sheet works out, as a panel does."""
    run = sheet("insertion").run(given | {"stage": stage})
    assert not run.refused
    return dict(run.values)


# Any geometry a control can reach: slots and bays ample, exactly enough or too small.
geometries = st.tuples(
    st.floats(80, 110), st.floats(0.7, 1.6), st.floats(1, 5), st.floats(1.5, 7), st.floats(0, 1), st.floats(6, 23),
    st.floats(0, 1),
)  # fmt: skip


def geometry(drawn: tuple[float, ...]) -> dict[str, float]:
    H, ratio, T, d, share_of_slot, W, share_of_start = drawn
    needed = float(contact.needs(**pipe(ratio * H, H, T, d)).slot) / IN
    s = min(d + (needed - d) * min(1.0, 1.5 * share_of_slot) + 4 * max(0.0, share_of_slot - 0.9), W)
    assume(s >= d)
    return pipe(ratio * H, H, T, d) | opening(s, share_of_start * (W - s), W)


# ---------------------------------------------------------------- the solvers


@settings(max_examples=200, deadline=None)
@given(geometries)
def test_the_solver_says_what_the_contact_geometry_says(drawn: tuple[float, ...]) -> None:
    given_ = geometry(drawn)
    found, known = insertion.pipe_insertion(**given_), contact.verdict(**given_)
    best = max(known.right.bay_margin, known.left.bay_margin)
    assert found["bay_margin"] == pytest.approx(best, abs=1e-12)
    assert found["slot_margin"] == pytest.approx(known.right.slot_margin, abs=1e-12)
    assert (found["insertion_margin"] >= 0) == known.passes
    if found["lean_direction"]:
        side = known.right if found["lean_direction"] > 0 else known.left
        assert side.bay_margin == pytest.approx(best, abs=1e-12)
    assert (found["lean_direction"] == 0) == (given_["pipe_length"] <= given_["room_height"])


@settings(max_examples=40, deadline=None)
@given(geometries, st.floats(0, 4))
def test_the_pose_is_the_frame_of_the_motion_at_its_lean(drawn: tuple[float, ...], pit: float) -> None:
    given_ = geometry(drawn) | inches(foot_lift_pit=pit)
    for direction, side in ((1.0, "right"), (-1.0, "left")):
        frames = motion(**given_, top=side, frames=7)  # type: ignore[arg-type]
        start, end = abs(frames[0].lean), abs(frames[-1].lean)
        for frame in frames:
            stage = (start - abs(frame.lean)) / (start - end) if start > end else 1.0
            pose = insertion.insertion_pose(**given_, lean_direction=direction, stage=min(max(stage, 0.0), 1.0))
            assert pose["lean"] == pytest.approx(abs(frame.lean), abs=1e-9)
            assert pose["jam_lean"] == pytest.approx(end, abs=1e-9)
            (ax, ay), (bx, by) = frame.corners["A"], frame.corners["B"]
            assert pose["foot_place"] == pytest.approx((ax + bx) / 2, abs=1e-8)
            assert pose["foot_height"] == pytest.approx((ay + by) / 2, abs=1e-8)
        touched = {touch.on for touch in frames[-1].contacts}
        stuck_on = {-1.0: "far slot end", -2.0: "far stud"}
        if end:
            assert stuck_on[float(pose["pose_state"])] in touched
        else:
            assert pose["pose_state"] == 1


@pytest.mark.parametrize(("slot", "bay"), [(2.5, 14.5), (3, 14.5), (4, 14.5), (6, 14.5), (5, 5)])
def test_the_longest_pipe_passes_and_one_a_hundredth_longer_does_not(slot: float, bay: float) -> None:
    room = inches(room_height=97, member_thickness=2.25, pipe_outside_diameter=2.375)
    place = opening(slot, 0, bay)
    longest = insertion.longest_pipe(**room, slot_length=slot * IN, bay_room=bay * IN)["longest_pipe"]
    margins = [
        insertion.pipe_insertion(**room, **place, pipe_length=longest + more * IN)["insertion_margin"]
        for more in (-1e-6, 0.01)
    ]
    assert margins[0] >= 0 > margins[1]


def test_no_length_of_a_pipe_wider_than_the_slot_passes_beside_samples_that_do() -> None:
    found = insertion.longest_pipe(
        **inches(room_height=97, member_thickness=2.25, bay_room=14.5, pipe_outside_diameter=2.375),
        slot_length=np.array([2.0, 4.0]) * IN,
    )
    assert found["longest_pipe"] / IN == pytest.approx([0, 114.0087], abs=5e-5)


def test_the_longest_second_pipe_has_nothing_to_spare() -> None:
    given_ = inches(room_height=93.5, pipe_outside_diameter=2.375, slot_start=1, first_pipe_face=6.875, clearance=0.25)
    longest = insertion.second_pipe(**given_, pipe_length=110 * IN)["longest_second_pipe"]
    again = insertion.second_pipe(**given_, pipe_length=longest)
    assert again["second_pipe_margin"] == pytest.approx(0, abs=1e-9)


def test_the_shown_work_states_the_equation_of_the_worst_lean_with_numbers() -> None:
    lines = list(insertion.pipe_insertion.work("us", **P110, **opening(4.1, 0, 14.5)).steps())
    assert lines[1].startswith("110 in × cos(19.1559°)^3 + 2.375 in × sin(19.1559°) = {93.5 in + 0 in if 19.1559° < ")
    left = 110 * cos(radians(19.1559)) ** 3 + 2.375 * sin(radians(19.1559))
    assert left == pytest.approx(93.5, abs=1e-4)
    assert "W_min = 6.1301 in" in lines
    assert "s_min = 4.0009 in" in lines


BAD = [
    (insertion.pipe_insertion, P110 | opening(4, 12, 14.5), "end 16 in from the left stud, outside the bay of 14.5 in"),
    (insertion.insertion_pose, P110 | opening(4, 12, 14.5) | {"lean_direction": 1.0, "stage": 0.5}, "outside the bay"),
    (insertion.insertion_pose, P110 | opening(4, 0, 14.5) | {"lean_direction": 1.0, "stage": 1.5}, "stage is 1.5"),
    (
        insertion.joists_across,
        inches(
            pipe_length=110, subfloor_underside=93, joist_bottom=94, member_thickness=2, pipe_outside_diameter=2,
            joist_gap_behind=1,
        ),
        "joist bottom is 94 in, which is not below the underside",
    ),
    (
        insertion.second_pipe,
        inches(pipe_length=110, room_height=93, pipe_outside_diameter=2, slot_start=4, first_pipe_face=3),
        "the first pipe stands beyond the start of the slot",
    ),
    (closed.slot_needed, pipe(98.5, 97, 2.25, 2.375), "the pipe reaches farthest with its top above the member"),
    (closed.slot_needed, pipe(90, 97, 2.25, 2.375), "the pipe reaches farthest with its top above the member"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("direction", "word"), [(1.0, "1 (to the right)"), (-1.0, "-1 (to the left)"), (0.0, "0 (neither way)")]
)
def test_a_way_to_lean_and_a_state_are_told_in_words(direction: float, word: str) -> None:
    assert term("lean_direction").written(direction, "us") == word
    pose = insertion.insertion_pose.work("us", **P110 | opening(9, 0, 13.875), lean_direction=direction, stage=0.4)
    assert pose.shown("lean_direction") == word
    assert pose.shown("pose_state") == "0 (on its way in)"
    assert term("pipe_count").written(2.0, "us") == "2"


@pytest.mark.parametrize(("statement", "given_", "said"), BAD)
def test_what_does_not_hold_is_refused_in_one_line_of_peoples_units(
    statement: Any, given_: dict[str, float], said: str
) -> None:
    with pytest.raises(RangeError) as refusal:
        statement(**given_)
    assert said in str(refusal.value)
    assert "\n" not in str(refusal.value)


# ---------------------------------------------------------------- closed forms against shapely and the solver


@pytest.mark.parametrize(("L", "H"), [(110, 93.5), (118, 97), (98.5, 97)])
def test_at_the_underside_lean_a_turned_rectangle_has_its_lower_top_corner_at_the_underside(L: float, H: float) -> None:
    lean = closed.underside_lean(pipe_length=L, room_height=H)
    turned = shapely.affinity.rotate(shapely.box(-2.375, 0, 0, L), -degrees(lean), origin=(0, 0))
    corners = sorted({round(y, 9) for _, y in turned.exterior.coords})
    assert corners[-2] == pytest.approx(H, abs=1e-6)  # the highest but one


def test_the_room_for_a_second_pipe_is_the_gap_shapely_measures() -> None:
    room = closed.second_pipe_room(**inches(first_pipe_face=6.875, clearance=0.5, slot_start=1)) / IN
    kept_clear, edge = shapely.box(6.875 - 0.5, 0, 9.25, 100), shapely.box(-10, 90, 1, 92)
    assert room == pytest.approx(shapely.distance(kept_clear, edge), abs=1e-9)


def test_where_the_closed_slot_form_holds_it_is_the_solvers_and_elsewhere_it_is_refused() -> None:
    rng = np.random.default_rng(3)
    held = 0
    for _ in range(400):
        given_ = pipe(*(rng.uniform(low, high) for low, high in ((85, 140), (80, 110), (0.5, 8), (1, 5))))
        need = contact.needs(**given_)
        if need.leans.top_face > need.leans.worst:
            assert closed.slot_needed(**given_) == pytest.approx(need.slot, rel=1e-12)
            held += 1
        else:
            with pytest.raises(RangeError):
                closed.slot_needed(**given_)
    assert 100 < held < 350


def test_the_rates_are_differences_of_the_needs() -> None:
    need, step = contact.needs(**P110), 1e-5
    found = {"worst_lean": need.leans.worst}
    for name, what, rate in [
        ("pipe_length", "bay", closed.bay_per_length(**found)),
        ("room_height", "bay", closed.bay_per_height(**found)),
        ("pipe_outside_diameter", "bay", closed.bay_per_diameter(**found)),
        ("pipe_length", "slot", closed.slot_per_length(**P110)),
        ("room_height", "slot", closed.slot_per_height(**P110)),
    ]:
        more, less = (getattr(contact.needs(**P110 | {name: P110[name] + by}), what) for by in (step, -step))
        assert (more - less) / (2 * step) == pytest.approx(rate, rel=1e-6), (name, what)


# ---------------------------------------------------------------- the drawings


def polygons(svg: str, look: str) -> list[Any]:
    found = re.findall(rf"<polygon points='([^']*)' fill='{re.escape(look)}[^/]*/>", svg)
    return [shapely.Polygon([tuple(map(float, point.split(","))) for point in points.split()]) for points in found]


def solids(drawing: Any, svg: str) -> list[Any]:
    return polygons(svg, f"url(#{drawing.name}-wood)") + polygons(svg, f"url(#{drawing.name}-concrete)")


def drawn_pipe(svg: str) -> Any:
    (found,) = polygons(svg, "#f4f6f5")
    return found


def px_per_inch(drawing: Any, svg: str, slot_length: float) -> float:
    """The scale, by the gap that is left for the slot."""
    left, right = polygons(svg, f"url(#{drawing.name}-wood)")[:2]
    return float((right.bounds[0] - left.bounds[2]) / (slot_length / IN))


def overlap(drawing: Any, values: dict[str, float]) -> float:
    """The lesser side of the box around what the drawn pipe shares with drawn wood or floor, in inches."""
    svg = drawing.svg(values)
    shared = [shapely.intersection(drawn_pipe(svg), solid) for solid in solids(drawing, svg)]
    boxes = [shape.bounds for shape in shared if not shape.is_empty]
    deepest = max((min(high_x - low_x, high_y - low_y) for low_x, low_y, high_x, high_y in boxes), default=0.0)
    return float(deepest) / px_per_inch(drawing, svg, values["slot_length"])


def visible_words(svg: str) -> list[str]:
    return re.findall(r"<text (?:(?!opacity='0.00')[^>])*>([^<]*)</text>", svg)


@DRAWINGS
@settings(max_examples=40, deadline=None)
@given(drawn=geometries, stage=st.floats(0, 1), pit=st.sampled_from([0.0, 3.5]))
def test_no_frame_of_a_drawing_shows_the_pipe_in_wood_or_floor(
    drawing: Any, drawn: tuple[float, ...], stage: float, pit: float
) -> None:
    given_ = geometry(drawn) | inches(foot_lift_pit=pit)
    for at in (0.0, stage, 1.0):
        assert overlap(drawing, worked(given_, at)) < ALLOWED


@DRAWINGS
def test_the_check_of_frames_sees_a_twentieth_of_an_inch(drawing: Any) -> None:
    values = worked(P110 | opening(3.9, 2, 14.5), 1.0)
    assert overlap(drawing, values) < ALLOWED
    if drawing is INSERTION:
        assert overlap(drawing, values | {"foot_place": values["foot_place"] + 0.05 * IN}) > 4 * ALLOWED
    assert overlap(drawing, values | {"lean": values["lean"] - radians(0.5)}) > ALLOWED


def test_the_pipe_is_drawn_to_scale_leaning_as_it_says_on_the_side_it_says() -> None:
    for place, direction in ((0, 1), (10.4, -1)):
        values = worked(P110 | opening(4.1, place, 14.5), 0.5)
        svg = INSERTION.svg(values)
        scale = px_per_inch(INSERTION, svg, values["slot_length"])
        corners = np.array(drawn_pipe(svg).exterior.coords)
        sides = np.hypot(*np.diff(corners, axis=0).T) / scale
        assert sorted(sides) == pytest.approx([2.375, 2.375, 110, 110], abs=0.02)
        (across, down) = corners[2] - corners[1]
        assert degrees(np.arctan2(across * direction, -down)) == pytest.approx(degrees(values["lean"]), abs=0.02)


@pytest.mark.parametrize(
    ("given_", "stage", "verdict", "stance"),
    [
        (P110 | opening(4.1, 0, 14.5), 0.0, "The pipe goes in", "Here it is on its way in, its lean 33.05°"),
        (P110 | opening(4.1, 0, 14.5), 1.0, "The pipe goes in", "Here it stands plumb, its foot on the floor"),
        (P110 | opening(3.9, 0, 14.5), 0.5, "The pipe jams", "Here it is on its way in"),
        (P110 | opening(3.9, 0, 14.5), 1.0, "The pipe jams", "Here it is jammed in the slot"),
        (pipe(126, 97, 2.25, 2.375) | opening(10.25, 0, 10.25), 1.0, "The pipe jams", "Here it is jammed against the far stud"),
        (pipe(90, 93.5, 2.25, 2.375) | opening(4.1, 0, 14.5), 0.3, "The pipe goes in", "Here it stands plumb"),
    ],
)  # fmt: skip
@DRAWINGS
def test_a_drawing_and_its_text_alternative_say_the_verdict_and_where_the_pipe_is(
    drawing: Any, given_: dict[str, float], stage: float, verdict: str, stance: str
) -> None:
    values = worked(given_, stage)
    said = visible_words(drawing.svg(values))
    (line,) = [words for words in said if words.startswith("The pipe ")]
    assert line.startswith(f"{verdict}: slot margin ")
    (line,) = [words for words in said if words.startswith("Here it ")]
    assert line.startswith(stance)
    alternative = drawing.described(values)
    assert f"{verdict}: the slot is " in alternative
    wanted = stance.removeprefix("Here it ").partition(" in the slot")[0].partition(" against")[0].partition(",")[0]
    assert f"In this picture it {wanted}" in alternative


@DRAWINGS
@pytest.mark.parametrize("system", ["us", "metric"])
def test_no_two_visible_labels_of_a_drawing_overlap_and_none_is_cut_off(drawing: Any, system: Any) -> None:
    """Boxes of 0.55 em a character and 0.75 em in height: what a sans-serif at this size takes, a little tight."""
    frame = drawing.frame
    for given_ in (
        P110 | opening(4.5, 0, 13.875),
        P110 | opening(4.5, 9.375, 13.875),
        pipe(140, 80, 2.25, 3.5) | opening(8, 4, 20),
    ):
        for stage in (0.0, 0.4, 0.8, 1.0):
            svg = drawing.svg(worked(given_, stage), system)
            boxes = {}
            for x, y, anchor, opacity, words in re.findall(
                r"<text x='([^']*)' y='([^']*)' text-anchor='(\w+)'[^>]*?(?: opacity='([^']*)')?>([^<]*)</text>", svg
            ):
                if opacity == "0.00":
                    continue
                width = 0.55 * 13 * len(words)
                left = float(x) - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
                boxes[words] = shapely.box(left, float(y) - 0.75 * 13, left + width, float(y))
            for words, box in boxes.items():
                assert shapely.box(0, 0, frame.width, frame.height).contains(box), words
                for other, beside in boxes.items():
                    assert words == other or not box.intersects(beside), (words, other)


# ---------------------------------------------------------------- the panels


def panel(number: int = 1) -> Panel:
    return book("insertion").panel(number)


@pytest.mark.parametrize("number", [1, 2])
def test_stepping_the_stage_takes_the_pipe_from_its_start_to_plumb_through_frames_that_are_free(number: int) -> None:
    shown = panel(number)
    drawing = shown.pane.drawing
    leans, pictures = [], []
    for step in range(0, 101, 5):
        shown.values = shown.values | {"stage": step / 100}
        assert shown.face["fault"] == ""
        values = {**shown.values, **shown.run().values}
        assert shown.face["svg"] == drawing.svg(values)
        assert overlap(drawing, values) < ALLOWED
        leans.append(values["lean"])
        pictures.append(shown.face["svg"])
    assert len(set(pictures)) == len(pictures)
    assert leans[0] == pytest.approx(radians(33.0467), abs=1e-6)
    assert leans[-1] == 0
    assert np.all(np.diff(leans) < 0)
    assert shown.face["result"].endswith("In the picture the pipe stands plumb, its lean 0°.")


def test_the_result_turns_from_passing_to_jamming_as_the_slot_gets_too_short() -> None:
    shown = panel()
    before = shown.face["svg"]
    shown.type("slot_length", "3.9 in")
    assert shown.face["svg"] != before
    assert shown.face["result"].startswith("The pipe jams. Slot: 4 in (4.001 in) needed, margin -1/8 in (-0.1009 in).")
    shown.type("stage", "1")
    assert "In the picture the pipe is jammed, its lean 29.7" in shown.face["result"]
    assert "The pipe jams: the slot is too short" in shown.face["description"]
    shown.type("slot_length", "4-1/8 in ± 1/4 in")
    assert shown.face["result"].startswith("The pipe goes in.")
    assert "slot margin -0.1" in shown.spread
    shown.reset()
    assert shown.face["result"].startswith("The pipe goes in.")


def test_the_result_says_which_way_to_lean() -> None:
    shown = panel()
    assert "Lean the top to the right" in shown.face["result"]
    shown.type("slot_length", "4-1/2 in")
    shown.type("slot_start", "9 in")
    assert "Lean the top to the left" in shown.face["result"]
    shown.type("pipe_length", "93 in")
    assert "It needs no lean" in shown.face["result"]


def test_a_slot_beyond_the_bay_is_refused_once_in_one_line() -> None:
    shown = panel()
    shown.type("slot_length", "4-1/2 in")
    shown.type("slot_start", "11 in")
    assert shown.face["fault"] == ("the slot would end 15.5 in from the left stud, outside the bay of 13.88 in")
    assert shown.face["result"] == "No result for these values."


# ---------------------------------------------------------------- words that follow a sign

WORDS = "It {slot_margin?passes|jams}; lean it {lean_direction?right|neither way|left}."


@pytest.mark.parametrize(
    ("margin", "direction", "said"),
    [
        (0.01, 1.0, "It passes; lean it right."),
        (0.0, 0.0, "It passes; lean it neither way."),
        (-1e-9, -1.0, "It jams; lean it left."),
    ],
)
def test_words_follow_the_sign_of_a_quantity_in_python_and_in_the_page(
    margin: float, direction: float, said: str, tmp_path: Path
) -> None:
    template = sentence(WORDS, "us")
    program = Program((), tuple(slot.expression for slot in template.slots))
    numbers = program({"slot_margin": margin, "lean_direction": direction})
    assert template.fill(numbers) == said
    if javascript.NODE:
        page = tmp_path / "panel.mjs"
        page.write_text((Path(radonwork.workbook.panel.__file__).parent / "panel.js").read_text(encoding="utf-8"))
        parts = {"pieces": template.pieces, "slots": [vars(slot.form) for slot in template.slots]}
        script = (
            f"import {{ fill }} from '{page}'; console.log(fill({json.dumps(parts)}, {json.dumps(numbers)}, {{}}));"
        )
        done = subprocess.run(
            [javascript.NODE, "--input-type=module", "-e", script], capture_output=True, text=True, check=True
        )
        assert done.stdout.strip() == said


def test_a_quantity_is_still_written_where_no_words_are_given() -> None:
    template = sentence("margin {slot_margin}", "us")
    assert template.fill([0.25 * IN]) == "margin 1/4 in"
    assert term("slot_margin").unit("us") == "in"
