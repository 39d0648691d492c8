"""The route as a topic: the two houses from words to finding, drawings, panels, routes compared, several suction points."""

import re
from pathlib import Path

import fluids
import numpy as np
import pytest
from fluids.fittings import K_branch_converging_Crane, K_run_converging_Crane
from scipy.optimize import fsolve

from radonwork.cli import main
from radonwork.drawings import lettering, route_in_space
from radonwork.drawings.catalogue import pictures
from radonwork.drawings.route_of_house import surroundings
from radonwork.files import DATA
from radonwork.house.air import air_of
from radonwork.house.calculations import Calculation, calculate
from radonwork.house.reach import reach_of
from radonwork.house.record import House, parse_house, read_house
from radonwork.house.route_sheet import compared, laid_route, points_of
from radonwork.house.way import other_ways_of, route_remarks, tape, way_of
from radonwork.report.contents import missing
from radonwork.report.told import told
from radonwork.solvers.fitting_table import fitting
from radonwork.solvers.route import Fitting, Pipe
from radonwork.workbook import book

ALDER, KESTREL = (DATA / "houses" / f"{name}.toml" for name in ("alder-court", "kestrel-lane"))
both = pytest.mark.parametrize("path", [ALDER, KESTREL], ids=lambda path: path.stem)
FOOT = 0.3048

# Kestrel Lane with a second pit, whose pipe joins the first above the store room. By hand: 0.945 m up, 4.288 m at 1 in
# 100 (4.2878 m level, 0.0429 m up), 0.3 m at 45° (0.2121 m both ways) end 4.5 m west and 1.2 m up.
BRANCH = """
[[run.branch]]
point = "pit in the hall"
joins_after = 2
joined_by = "wye"
piece = [
  { fitting = "entrance, flush and sharp", place = "room" },
  { go = "up 0.945 m" },
  { fitting = "90° elbow, regular", go = "90 west" },
  { go = "over 4.288 m west, falling back" },
  { fitting = "45° elbow, regular", go = "45 up" },
  { go = "45 up west 0.3 m" },
]

[run.pipe]"""


def two_pits(more: str = "", layer: str = "", changed: tuple[str, str] = ("", ""), second_first: bool = False) -> House:
    branch = BRANCH.replace('joined_by = "wye"\n', f'joined_by = "wye"\n{more}').replace(*changed)
    one = '[[suction.point]]\nname = "pit in the store room"\nat = ["6.5 m", "5 m"]\n'
    two = '[[suction.point]]\nname = "pit in the hall"\nat = ["11 m", "5 m"]\n'
    text = KESTREL.read_text().replace("points = 1", "points = 2").replace("\n[run.pipe]", branch, 1)
    text = text.replace(one, f"{two}\n{one}" if second_first else f"{one}\n{two}", 1)
    return parse_house(text.replace("[suction]\n", f"{layer}[suction]\n", 1), "two-pits.toml")


def verdicts(found: Calculation) -> dict[str, str]:
    return {finding.requirement.name: finding.verdict for finding in found.findings}


def table_of(name: str, house: House) -> dict[str, list[str]]:
    """Rows of the table that a piece of the topic tells, by their first cell."""
    blocks = next(one for one in told("route") if one.name == name).blocks(calculate(house, "route"))
    rows = [row for block in blocks if hasattr(block, "rows") for row in block.rows]
    return {str(row[0][0]): ["".join(map(str, cell)) for cell in row[1:]] for row in rows}


# ---------------------------------------------------------------- the two houses


@both
def test_nothing_is_missing_or_refused_and_no_rule_is_broken(path: Path) -> None:
    found = calculate(read_house(path), "route")
    assert not found.missing
    assert not found.run.refused
    assert "not met" not in verdicts(found).values()


def test_the_words_give_the_air_the_lengths_and_fittings_that_it_had_before() -> None:
    """The straight pipe of the records as it was listed before any piece said how it goes."""
    alder, kestrel = (read_house(path).route() for path in (ALDER, KESTREL))
    assert alder
    assert kestrel
    assert [p.length / 0.0254 for p in alder.pieces if p.length] == pytest.approx([72, 108, 135.125, 168, 48])
    assert [p.length for p in kestrel.pieces if p.length] == pytest.approx([1.2, 1.5, 1.0, 0.75])
    assert sum(piece.count for piece in kestrel.pieces if piece.kind == "elbow") == 4


def test_a_house_whose_route_has_no_words_says_which_field_wants_them() -> None:
    text = re.sub(r"\bgo = \"(?:up|over|45 up)[^\"]*?(\d[^\"]*? m)[^\"]*\"", r'length = "\1"', KESTREL.read_text())
    text = re.sub(r"(?m)^go = .*$", "", text)
    text = text[: text.index("[[run_alternative]]")] + text[text.index("[run.pipe]") :]
    found = calculate(parse_house(text, "plain.toml"), "route")
    assert found.missing["worded_pieces"] == "run.piece[].go"
    assert missing(found)
    assert pictures(found) == []
    assert all(not one.blocks(found) for one in told("route") if one.name != "routes")


def test_an_empty_record_meets_nothing_and_its_panels_say_what_is_wanted(tmp_path: Path) -> None:
    record = tmp_path / "empty.toml"
    record.write_text('[house]\nname = "Empty"\n')
    found = book("route", record)
    assert "met" not in verdicts(found.calculation).values()
    assert "run.piece[].go" in found.panel(1).face["fault"]


def test_the_command_names_each_piece_that_is_wrong(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record = tmp_path / "level.toml"
    level = '[[run.piece]]\ngo = "up 3 ft"\n[[run.piece]]\nfitting = "90° elbow, regular"\n[[run.piece]]\ngo = "north 8 ft"\n'
    record.write_text(level)
    assert main(["check", str(record)]) == 1
    said = capsys.readouterr().out
    assert "wrong with a route: run.piece[3]: is level over 8 ft, so water stays in it; let it fall back" in said
    record.write_text(level.replace("north 8 ft", "north 8 ft falling back"))
    main(["check", str(record)])
    assert "wrong with a route" not in capsys.readouterr().out


# ---------------------------------------------------------------- drawings


@both
def test_no_label_of_a_drawing_lies_on_another_or_leaves_the_paper(path: Path) -> None:
    house = read_house(path)
    for way in (way_of(house), *other_ways_of(house)):
        assert way is not None
        for draw in (route_in_space.isometric, route_in_space.plan, route_in_space.unrolled):
            svg = draw(way, surroundings(house))
            height = int(re.search(r"viewBox='0 0 \d+ (\d+)'", svg)[1])  # type: ignore[index]
            boxes = []
            shown = r"<text x='([\d.-]+)' y='([\d.-]+)' text-anchor='(\w+)'[^>]*>([^<]*)</text>"
            for x, y, anchor, text in re.findall(shown, svg):
                wide, base = lettering.width(text, route_in_space._SIZE), float(y)
                left = float(x) - wide * {"start": 0, "middle": 0.5, "end": 1}[anchor]
                assert left >= 0, text
                assert left + wide <= route_in_space.WIDTH, text
                assert 0 < base < height, text
                boxes.append((left, base - 10, left + wide, base, text))
            for count, (a, b, c, d, one) in enumerate(boxes):
                for e, f, g, h, other in boxes[count + 1 :]:
                    assert min(c, g) <= max(a, e) or min(d, h) <= max(b, f), (draw.__name__, one, other)


@both
def test_the_report_has_three_pictures_of_the_route_and_the_same_in_words(path: Path) -> None:
    house = read_house(path)
    found = pictures(calculate(house, "route"))
    assert [one.title for one in found] == ["The route, isometric", "The route in plan", "The route unrolled"]
    way = way_of(house)
    assert way is not None
    whole, above, section = (one.description for one in found)
    for leg in way.legs:
        assert all(f"{leg.number}: " in one.svg for one in found)
        assert f"{leg.number} {leg.words}" in whole
        assert f"{leg.number} to {tape(leg.end[2], house.system)}" in section
        assert leg.upright or f"{leg.number} goes {tape(leg.length, house.system)}" in above
    assert "No place holds water." in section


def test_faults_are_marked_in_words_on_the_drawing_and_what_a_record_says_is_escaped() -> None:
    text = ALDER.read_text().replace('name = "supply duct"', 'name = "<b>duct"')
    text = text.replace('["22 ft", "29 ft", "6 ft 3 in"]', '["22 ft", "29 ft", "5 ft"]').replace(
        '"32 ft", "7 ft"', '"34 ft", "7 ft"'
    )
    house = parse_house(text, "duct.toml")
    way = way_of(house)
    assert way is not None
    assert [remark.short for remark in way.remarks] == ["goes through <b>duct"]
    svg = route_in_space.isometric(way, surroundings(house))
    assert "goes through &lt;b&gt;duct" in svg
    assert "<b>" not in svg
    page = book("route").told("faults")
    assert "nothing is found wrong" in repr(page)
    assert "1 found." in "".join(str(block) for block in told("route")[0].blocks(calculate(house, "route")))


def test_the_unrolled_route_is_as_long_and_as_high_as_the_pieces() -> None:
    house = read_house(ALDER)
    way = way_of(house)
    assert way is not None
    svg = route_in_space.unrolled(way, surroundings(house))
    lines = re.findall(r"<polyline points='([^']*)' fill='none' stroke='#0b6e69'", svg)
    ends = [[tuple(map(float, point.split(","))) for point in line.split()] for line in lines]
    level = sum(
        ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
        for leg in way.legs
        for a, b in [(leg.start, leg.end)]
        if not leg.upright
    )
    assert len(ends) == len(way.legs)
    scale = (ends[0][0][1] - ends[-1][1][1]) / (way.end[2] - way.start[2])
    assert (ends[-1][1][0] - ends[0][0][0]) / scale == pytest.approx(level, rel=0.01)


# ---------------------------------------------------------------- panels


def test_the_panel_lays_the_whole_route_again_for_slope_and_length() -> None:
    panel = book("route", ALDER).panel(1)
    before = panel.face["svg"]
    panel.type("pipe_slope", "1 in/ft")
    assert panel.face["svg"] != before
    assert "1 in/ft" in panel.face["result"]
    rise = 23 * (12 / (12**2 + 1) ** 0.5) / 12  # ft that 9 ft and 14 ft rise at 1 in 12
    end = 6 + 135.125 / 12 + 4 + rise
    assert panel.run().values["route_height"] / FOOT == pytest.approx(end)
    panel.type("sloped_run", "10 ft")
    assert panel.run().values["route_length"] / FOOT == pytest.approx(6 + 9 + 135.125 / 12 + 10 + 4)
    assert "not met" in panel.findings
    panel.reset()
    assert panel.face["svg"] == before


def test_a_length_of_nothing_is_refused_in_the_panel_in_one_line() -> None:
    panel = book("route", ALDER).panel(1)
    panel.type("sloped_run", "0 ft")
    assert "above zero" in panel.face["fault"]
    assert "\n" not in panel.face["fault"]


def test_tolerances_of_slope_and_length_hold_what_each_corner_gives() -> None:
    laid = laid_route(read_house(ALDER))
    slopes, runs = np.meshgrid(np.linspace(0.018, 0.024, 5), np.linspace(4.2, 4.4, 5))
    together = laid(worded_pieces=9.0, pipe_slope=slopes.ravel(), sloped_run=runs.ravel())
    for number, (slope, run) in enumerate(zip(slopes.ravel(), runs.ravel(), strict=True)):
        alone = laid(worded_pieces=9.0, pipe_slope=float(slope), sloped_run=float(run))
        for name, value in alone.items():
            # Read off between nine routes: a tenth of a millimetre; near nothing the square of the gap is, which is a root more.
            loose = 1e-3 if name == "closure_gap" else 1e-4
            assert np.asarray(together[name])[number] == pytest.approx(value, abs=loose), name


# ---------------------------------------------------------------- routes compared


def test_routes_are_compared_with_the_same_fan_and_soil() -> None:
    house = read_house(ALDER)
    own, outside = compared(house)
    air = calculate(house, "air").run.values
    assert own.values["operating_flow"] == pytest.approx(air["operating_flow"])
    assert outside.values["operating_flow"] > own.values["operating_flow"]  # shorter, and no split riser
    for one in (own, outside):  # the same soil: its suction goes with its flow
        leak = 0.6 * 0.15 * 0.0254**2 * (2 * one.values["working_suction"] / air["air_density"]) ** 0.5
        soil = one.values["operating_flow"] - leak
        assert one.values["working_suction"] / soil == pytest.approx(air["soil_resistance"], rel=1e-6)
    assert own.values["framing_holes"] == 2 * 2 + 1  # two members for each of two pipes, and the deck
    assert outside.values["exposed_length"] / FOOT == pytest.approx(16)


def test_another_route_is_worth_what_a_record_with_only_that_route_is_worth() -> None:
    text = ALDER.read_text()
    start = text.index("[[run_alternative]]")
    listed = text[start : text.index("[wall]")]
    pieces = re.search(r"piece = \[(.*?)\n\]", listed, re.DOTALL)[1]  # type: ignore[index]
    lines = "\n".join(
        f"[[run.piece]]\n{re.sub(', (?=go|place|through)', chr(10), line.strip(' {},'))}"
        for line in pieces.split("\n")
        if line.strip()
    )
    lines = re.sub(r"\n(place = [^\n]*) \}?", r"\n\1", lines)
    alone = text[: text.index("[[run.piece]]")] + lines + "\n[[run.level]]" + text.split("[[run.level]]", 1)[1]
    alone = alone.replace(listed, "").replace("after_piece = 12", "after_piece = 7")
    house = parse_house(re.sub(r"(?s)\[run\.end\].*?\n\n", "", alone), "alone.toml")
    worth = calculate(house, "air").run.values
    other = compared(read_house(ALDER))[1]
    assert other.values["operating_flow"] == pytest.approx(worth["operating_flow"], rel=1e-9)
    assert other.values["working_suction"] == pytest.approx(worth["working_suction"], rel=1e-9)
    way = way_of(house)
    assert way is not None
    assert way.end == pytest.approx(other.way.end if other.way else ())


def test_the_table_of_routes_says_what_is_not_known() -> None:
    rows = table_of("routes", read_house(KESTREL))
    assert rows["straight pipe"] == ["4.45 m", "10.8 m"]
    assert rows["found wrong in its geometry"] == ["nothing", "nothing"]
    level = KESTREL.read_text().replace("north 5.6 m falling back", "north 5.6 m")
    rows = table_of("routes", parse_house(level, "level.toml"))
    assert rows["found wrong in its geometry"] == ["nothing", "piece[4]: level: holds water"]
    own, other = rows["rules of route, air and parts not met"]
    assert "falls back everywhere" in other
    assert "falls back everywhere" not in own
    text = KESTREL.read_text()
    nothing = text[: text.index("[fan]")] + text[text.index("# No attic temperature") :]
    without = table_of("routes", parse_house(nothing, "no-fan.toml"))
    assert "flow with this fan and soil" not in without


# ---------------------------------------------------------------- several suction points


def test_the_pipe_of_a_second_point_meets_its_wye() -> None:
    house = two_pits()
    way = way_of(house)
    assert way is not None
    (branch,) = way.others
    assert branch.name == "pit in the hall"
    assert branch.values["closure_gap"] < 1e-3  # lengths are written to the millimetre
    assert way.remarks == ()
    assert branch.joint == pytest.approx((6.5, 5.0, 1.2))  # where the first straight pipe ends
    drawn, said = (of(way, surroundings(house)) for of in (route_in_space.isometric, route_in_space.route_words))
    assert "A4: 4.288 m, falls back 10 mm/m" in drawn
    assert ">wye of A<" in drawn
    assert "the pipe of pit in the hall joins by a wye, 1.2 m above the slab" in said


def test_a_second_point_that_misses_its_wye_or_meets_it_askew_is_named() -> None:
    house = two_pits()
    assert house.run
    run = house.run.model_copy(update={"branch": (house.run.branch[0].model_copy(update={"joined_by": "tee"}),)})
    way = way_of(house.model_copy(update={"run": run}))
    assert way is not None
    assert [str(remark) for remark in way.remarks] == [
        "run.branch[1].piece[6]: meets the route at 45° where a tee wants 90°"
    ]
    off = way_of(two_pits(changed=("4.288 m", "4.4 m"), second_first=True))
    assert off is not None
    assert off.start == (6.5, 5.0, 0.0)
    assert any("run.branch[1].piece[6]: ends 112 mm from its wye" in str(remark) for remark in off.remarks)


def test_flows_and_suctions_at_two_points_are_those_of_equations_that_scipy_and_fluids_solve() -> None:
    """Friction of smooth pipe and the wye by the fluids library, the fan through its two nearest points, roots by scipy."""
    house = two_pits('soil_resistance = "2.5 Pa s/L"\n')
    air, values = air_of(house), calculate(house, "air").run.values
    assert air is not None
    one, two = points_of(house)
    density, bore = values["air_density"], 0.11 - 2 * 0.0032
    network = air.network(values)

    def dynamic(flow: float) -> float:
        return float(density * (flow / (np.pi * bore**2 / 4)) ** 2 / 2)

    def loss(branch: str, flow: float) -> float:
        total = 0.0
        for piece in next(b for b in network.branches if b.name == branch).pieces:
            if isinstance(piece, Pipe):
                reynolds = fluids.Reynolds(
                    V=flow / (np.pi * bore**2 / 4), D=bore, rho=density, mu=values["air_viscosity"]
                )
                total += fluids.friction_factor(Re=reynolds, eD=1.5e-6 / bore) * piece.length / bore * dynamic(flow)
            elif isinstance(piece, Fitting):
                total += piece.coefficient * dynamic(flow)
        return total

    def wrong(flows: np.ndarray) -> list[float]:
        first, second = map(float, flows)
        shared = {"D_run": bore, "D_branch": bore, "Q_run": first, "Q_branch": second, "angle": 45}
        run, aside = K_run_converging_Crane(**shared), K_branch_converging_Crane(**shared)
        both = first + second
        here = values["soil_resistance"] * first + loss("main 1", first) + run * dynamic(both)
        there = 2500 * second + loss(network.wyes[0].branch, second) + aside * dynamic(both)
        rest = sum(loss(name, both) for name in air.branches(network)[1:])
        fan = float(air.fan_pressures(np.array([both]), density)[0])
        return [here - there, here + rest - fan]

    first, second = fsolve(wrong, [0.02, 0.015], xtol=1e-12)
    # The library's friction factors lie within a few thousandths of each other, on a tenth of the pressure.
    assert one.soil_flow == pytest.approx(first, rel=1e-3)
    assert two.soil_flow == pytest.approx(second, rel=1e-3)
    assert one.suction == pytest.approx(values["soil_resistance"] * first, rel=1e-3)
    assert two.suction == pytest.approx(2500 * second, rel=1e-3)
    assert (one.name, two.name) == ("pit in the store room", "pit in the hall")


def test_a_second_point_takes_suction_from_the_first_and_moves_more_air() -> None:
    one, two = (calculate(house, "air").run.values for house in (read_house(KESTREL), two_pits()))
    assert two["operating_flow"] > one["operating_flow"]
    assert two["working_suction"] < one["working_suction"]


def test_each_point_is_told_with_its_flow_and_suction_and_which_soil_was_taken() -> None:
    rows = table_of("points", two_pits())
    assert set(rows) == {"pit in the store room", "pit in the hall"}
    blocks = next(one for one in told("route") if one.name == "points").blocks(calculate(two_pits(), "route"))
    assert "The record states no soil for pit in the hall: it is taken to be like that of the first." in str(blocks)
    assert table_of("points", read_house(KESTREL)) == {}


def test_the_reach_counts_two_points_that_draw_on_one_layer() -> None:
    layer = 'layer_transmissivity = "0.08 L/(s Pa)"\nslab_leakage = "0.014 L/(s m2 Pa)"\n'
    single = KESTREL.read_text().replace("[suction]\n", f"{layer}[suction]\n", 1)
    one = {change.name: change.effect for change in reach_of(parse_house(single, "one.toml")).changes}["as it is"]
    changes = {change.name: change for change in reach_of(two_pits(layer=layer)).changes}
    two, third = changes["as it is"].effect, changes["second suction point"].effect
    assert one
    assert two
    assert third
    assert two.air_flow > one.air_flow
    assert two.soil_suction < one.soil_suction
    assert two.least_suction != one.least_suction
    assert third.air_flow > two.air_flow  # a third pit beside the two of the record
    apart = sum(point.soil_flow for point in points_of(two_pits(layer=layer)))
    assert two.air_flow < apart  # on one layer each takes some of the other's air


def test_a_branch_whose_point_has_no_place_is_told_under_the_slab() -> None:
    house = two_pits(layer='layer_transmissivity = "0.08 L/(s Pa)"\nslab_leakage = "0.014 L/(s m2 Pa)"\n')
    assert house.run
    branch = house.run.branch[0].model_copy(update={"point": "nowhere"})
    lost = house.model_copy(update={"run": house.run.model_copy(update={"branch": (branch,)})})
    assert "run.branch: nowhere has no pit of its own on the plan" in reach_of(lost).lacks


SECOND = '[[suction.point]]\nname = "pit in the hall"\nat = ["2 m", "5 m"]\n\n[run]\n'


def test_a_suction_point_that_no_pipe_leads_from_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = KESTREL.read_text().replace("points = 1\n", "").replace("[run]\n", SECOND, 1)
    line = "suction.point[2]: 'pit in the hall' has no pipe: the route leads from another suction point"
    way = way_of(parse_house(text, "two.toml"))
    assert way is not None
    assert [str(remark).partition(";")[0] for remark in way.remarks] == [line]
    record = tmp_path / "two.toml"
    record.write_text(text)
    main(["check", str(record)])
    assert f"wrong with a route: {line}" in capsys.readouterr().out
    # It needs no piece that says how it goes, and is no fault while there is no route at all.
    plain = re.sub(r'^go = "[^"]*?([0-9.]+ m)[^\n]*$', r'length = "\1"', text, flags=re.MULTILINE)
    plain = re.sub(r"^go = [^\n]*\n", "", plain, flags=re.MULTILINE)
    plain = re.sub(r"\[\[run_alternative\]\].*?\n\]\n", "", plain, flags=re.DOTALL)
    house = parse_house(plain, "plain.toml")
    assert way_of(house) is None
    assert [str(remark).partition(";")[0] for remark in route_remarks(house)] == [line]
    (faults,) = (piece for piece in told("route") if piece.name == "faults")
    assert line in str(faults.blocks(calculate(house, "route")))
    assert house.run
    unrouted = house.model_copy(update={"run": house.run.model_copy(update={"piece": ()})})
    assert route_remarks(unrouted) == ()


@pytest.mark.parametrize(
    ("change", "line"),
    [
        (("joins_after = 2", "joins_after = 10"), "joins_after: 10 leaves no piece of the route after the wye"),
        (("joins_after = 2", "joins_after = 4"), "puts the wye in or at the pipes in the wall"),
        (("joins_after = 2\n", ""), "does not say where it joins"),
        (('go = "up 0.945 m" }', 'go = "up 0.945 m", pipe = "wall" }'), "has a piece in the wall"),
    ],
)
def test_a_branch_that_cannot_join_is_told_in_one_line(change: tuple[str, str], line: str) -> None:
    text = KESTREL.read_text().replace("\n[run.pipe]", BRANCH.replace(*change), 1)
    with pytest.raises(ValueError, match=r"run\.branch\[1\]") as refusal:
        parse_house(text, "branch.toml")
    assert line in str(refusal.value)


def test_what_fittings_lose_is_that_of_their_table_in_a_branch_too() -> None:
    air = air_of(two_pits())
    assert air is not None
    (point,) = air.route.tributaries
    network = air.network(calculate(two_pits(), "air").run.values)
    branch = next(b for b in network.branches if b.name == point.branches[0])
    bore = 0.1036
    listed = [
        fitting(piece.name).coefficient(bore) for piece in point.sections[0].pieces if piece.kind != "straight pipe"
    ]
    assert [p.coefficient for p in branch.pieces if isinstance(p, Fitting)] == pytest.approx(listed)
