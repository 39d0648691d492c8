"""Suction under the slab as a topic: the two houses from record to finding, what is missing, the panel, the map."""

import math
from pathlib import Path

import numpy as np
import pytest
from scipy.special import k0, k1

from radonwork.drawings.catalogue import pictures
from radonwork.files import DATA
from radonwork.glossary import term
from radonwork.house import slab, slab_fit, slab_sheet
from radonwork.house.calculations import Calculation, calculate
from radonwork.house.record import House, parse_house, read_house
from radonwork.report.contents import missing
from radonwork.solvers.field_fit import fit
from radonwork.solvers.slab_plan import Reading
from radonwork.solvers.suction_field import Layer, suction_field
from radonwork.units import decimal
from radonwork.workbook import book

HOUSES = DATA / "houses"
ALDER, KESTREL = HOUSES / "alder-court.toml", HOUSES / "kestrel-lane.toml"


@pytest.fixture(scope="module")
def alder() -> Calculation:
    return calculate(read_house(ALDER), "suction")


@pytest.fixture(scope="module")
def kestrel() -> Calculation:
    return calculate(read_house(KESTREL), "suction")


def verdicts(found: Calculation) -> dict[str, str]:
    return {finding.requirement.name: finding.verdict for finding in found.findings}


def without(path: Path, *lines: str) -> House:
    """The record with every line left out that begins so."""
    kept = [line for line in path.read_text().splitlines() if not line.startswith(lines)]
    return parse_house("\n".join(kept), path.name)


# ---------------------------------------------------------------- the two houses


def test_nothing_is_missing_or_refused_for_the_two_houses(alder: Calculation, kestrel: Calculation) -> None:
    for found in (alder, kestrel):
        assert not found.missing
        assert not found.run.missing
        assert not found.run.refused
        assert len(found.run.works) == len(found.run.sheet.statements)


def test_the_layer_is_taken_from_the_test_holes_and_is_said_to_be(alder: Calculation, kestrel: Calculation) -> None:
    for found, holes in ((alder, 4), (kestrel, 3)):
        taken = {entry.term: entry for entry in found.assumed}
        assert taken["leakage_length"].because.startswith(f"fitted to the {holes} test holes")
        low, high = found.run.spread("leakage_length") or (0.0, 0.0)
        assert low < found.run.values["leakage_length"] < high


@pytest.mark.parametrize("weak", ["0 Pa", "1 ± 1 Pa", "2 Pa", "3 ± 1 Pa"])
@pytest.mark.parametrize("strong", ["72 Pa ± 5 Pa", "75 Pa ± 5 Pa"])
def test_a_hole_that_hardly_any_suction_reaches_leaves_a_layer_above_zero(strong: str, weak: str) -> None:
    """What the fit gives, its range of 95 % from its own profile, is what stands behind value and tolerance."""
    house = parse_house(ALDER.read_text().replace(f'"{strong}"', f'"{weak}"'), "weak.toml")
    found, told = slab_fit.fit_of(house), calculate(house, "suction")
    assert found
    estimates = {"leakage_length": found.leakage_length, "layer_transmissivity": found.transmissivity}
    for entry in slab_fit.fitted(house):
        (low, high), best = estimates[entry.term].wide, estimates[entry.term].best
        assert low is not None
        assert high is not None
        taken = term(entry.term).read(entry.value)
        assert taken.value == pytest.approx(best, rel=1e-3)  # written to four digits
        assert 0 < taken.tolerance < taken.value
        halves = best - low, high - best
        if "nearer half" in entry.because:
            assert max(halves) > 0.95 * best
            assert taken.tolerance <= 1.06 * min(halves)  # written to two digits
        else:
            assert taken.tolerance == pytest.approx(max(halves), rel=0.06)
        assert (told.run.spread(entry.term) or (0.0, 0.0))[0] > 0
    assert any("a footing or another fill may cut the slab" in line for line in slab_fit.fit_lines(house))


@pytest.mark.parametrize("path", [ALDER, KESTREL], ids=lambda path: path.stem)
def test_the_fitted_layer_gives_back_the_readings_and_the_measured_flow(path: Path) -> None:
    """The readings and the flow are the record's; the fitted layer explains each within twice its stated tolerance."""
    house = read_house(path)
    values = calculate(house, "suction").run.values
    drawn = slab.slab_of(house)
    assert drawn
    layer = Layer(values["layer_transmissivity"], values["leakage_length"])
    field = suction_field(layer, drawn.at(values["soil_suction"]), drawn.footprint)
    for hole in house.test_holes():
        assert float(field.suction(*hole.at)) == pytest.approx(hole.suction, abs=2 * hole.tolerance)
    assert house.suction
    assert house.suction.soil_flow
    flow = house.suction.soil_flow
    assert values["soil_flow"] == pytest.approx(flow.value, abs=flow.tolerance)
    assert values["soil_flow"] == pytest.approx(sum(field.flows), rel=1e-3)  # the layer is taken to four digits


def test_one_house_meets_its_target_everywhere_and_the_other_does_not(alder: Calculation, kestrel: Calculation) -> None:
    assert alder.run.values["reached_share"] == 1.0
    assert verdicts(alder)["target suction everywhere"] == "met"
    assert 0.9 < kestrel.run.values["reached_share"] < 1.0
    assert verdicts(kestrel)["target suction everywhere"] == "not met"
    finding = next(f for f in kestrel.findings if f.requirement.name == "target suction everywhere")
    assert finding.holds_over_tolerance is False  # the error bars of the fit reach the target
    assert "at the edge of the stated tolerance it is met" in finding.reason


def test_area_share_and_reach_are_those_of_a_map_counted_square_by_square(kestrel: Calculation) -> None:
    house, values = read_house(KESTREL), kestrel.run.values
    (pit,) = house.suction_points()
    drawn = slab.slab_of(house)
    assert drawn
    layer = Layer(1.0, values["leakage_length"])
    found = suction_field(layer, drawn.at(values["soil_suction"]), drawn.footprint).map(slab.GRID)
    inside = np.isfinite(found.suction)
    enough = found.suction[inside] >= values["target_suction"]
    assert values["reached_share"] == pytest.approx(enough.mean())
    assert values["reached_area"] == pytest.approx(enough.mean() * (14 * 6 + 8 * 4.25))  # the L of the record
    x, y = (axis[inside] for axis in np.meshgrid(found.x, found.y))
    away = np.hypot(x - pit.at[0], y - pit.at[1])
    assert values["suction_reach"] == pytest.approx(away[~enough].min())
    assert values["least_suction"] == pytest.approx(found.suction[inside].min())


def test_on_a_slab_far_larger_than_its_leakage_length_the_target_reaches_as_far_as_the_bessel_function_says() -> None:
    house = parse_house(
        """
        [foundation]
        outline = [["0 m", "0 m"], ["20 m", "0 m"], ["20 m", "20 m"], ["0 m", "20 m"]]
        layer_transmissivity = "4e-5 m3/(s Pa)"
        slab_leakage = "4e-5 m/(s Pa)"
        [suction]
        soil_suction = "200 Pa"
        target = "5 Pa"
        point = [{ at = ["10 m", "10 m"], radius = "200 mm" }]
        """,
        "wide.toml",
    )
    values = calculate(house, "suction").run.values
    assert values["leakage_length"] == pytest.approx(1.0)
    radii = np.linspace(0.2, 8, 100_000)
    reach = radii[np.argmax(200 * k0(radii) / k0(0.2) < 5)]
    square = 20 / slab.GRID
    assert values["suction_reach"] == pytest.approx(reach, abs=square * math.sqrt(2) / 2)
    assert values["reached_area"] == pytest.approx(math.pi * reach**2, rel=0.02)  # the grid counts whole squares


def test_no_place_has_less_than_no_suction_however_far_from_the_pit() -> None:
    """Where nothing blows, the field lies between none and the pit's: it has neither a peak nor a hollow of its own."""
    corner = '["8 m", "10.25 m"]'
    text = KESTREL.read_text()
    assert text.count(corner) == 1
    far = calculate(parse_house(text.replace(corner, '["100 m", "10.25 m"]'), "far.toml"), "suction").run
    assert far.values["least_suction"] >= 0
    assert far.samples["least_suction"].min() >= 0


def test_a_cold_day_takes_off_no_more_than_the_pull_of_the_house(alder: Calculation, kestrel: Calculation) -> None:
    for found in (alder, kestrel):
        values = found.run.values
        pull = values["stack_suction"]
        assert values["least_suction"] - pull < values["cold_least_suction"] < values["least_suction"]
        assert verdicts(found)["enough suction on a cold day"] == "met"


def test_arrays_of_layers_and_suctions_give_what_each_gives_alone(kestrel: Calculation) -> None:
    """Read off a curve between the leakage lengths that are worked: within a fiftieth of what the field itself is good to.

    The field is good to half a hundredth of the largest suction (radonwork/solvers/suction_field.py).
    """
    field, flow, cold = slab_sheet.solvers_of(read_house(KESTREL))
    lengths, suctions = np.linspace(1.8, 3.6, 7), np.linspace(100.0, 200.0, 7)
    given = {"target_suction": 5.0, "outline_corners": 6.0, "suction_places": 1.0}
    together = field(soil_suction=suctions, leakage_length=lengths, **given)
    for number, (length, suction) in enumerate(zip(lengths, suctions, strict=True)):
        alone = field(soil_suction=float(suction), leakage_length=float(length), **given)
        for name, value in alone.items():
            loose = {"abs": suction * 0.005 / 50} if name == "least_suction" else {"rel": 2 / slab.GRID}
            assert np.asarray(together[name])[number] == pytest.approx(value, **loose), name
    assert {*flow.gives, *cold.gives} == {"soil_flow", "cold_least_suction"}


# ---------------------------------------------------------------- what is missing


@pytest.mark.parametrize(
    ("lines", "field"),
    [
        (("outline",), "foundation.outline"),
        (("soil_suction", "soil_flow"), "suction.soil_suction"),
        (("target",), "suction.target"),
        (("pit_radius",), "suction.pit_radius"),
        (('at = ["6.5 m"', "[[suction.point]]", 'name = "pit'), "suction.point"),
        (("neutral_height",), "climate.neutral_height"),
    ],
)
def test_a_field_that_is_missing_is_named_and_nothing_falls_over(lines: tuple[str, ...], field: str) -> None:
    found = calculate(without(KESTREL, *lines), "suction")
    assert field in found.missing.values()
    assert missing(found)
    assert "least_suction" not in found.run.values or field == "climate.neutral_height"


def test_without_test_holes_the_layer_is_asked_for_and_the_holes_are() -> None:
    text = KESTREL.read_text()
    house = parse_house(text[: text.index("[[proof.test_hole]]")], "no-holes.toml")
    found = calculate(house, "suction")
    assert {"foundation.layer_permeability", "foundation.slab_leakage"} <= set(found.missing.values())
    assert verdicts(found)["three test holes"] == "cannot be judged"
    assert slab_fit.fit_lines(house)[0].startswith("No fit")


def test_an_empty_record_meets_nothing_and_its_panels_say_what_the_plan_wants(tmp_path: Path) -> None:
    record = tmp_path / "empty.toml"
    record.write_text('[house]\nname = "Empty"\n')
    found = book("suction", record)
    assert "met" not in verdicts(found.calculation).values()
    assert {"foundation.outline", "suction.point", "suction.target"} <= set(found.calculation.missing.values())
    assert "foundation.outline" in found.panel(1).face["fault"]
    assert repr(found.pictures()) == ""
    assert "No fit" in repr(found.told("fit"))


def test_a_pit_in_the_wall_is_told_in_one_line_and_draws_nothing() -> None:
    text = KESTREL.read_text().replace('at = ["6.5 m", "5 m"]', 'at = ["0.1 m", "5 m"]')  # its radius is 250 mm
    house = parse_house(text, "wall.toml")
    assert slab_fit.fit_lines(house) == ("No fit: source 1: the pit does not lie within the slab.",)
    layer = 'layer_transmissivity = "0.08 L/(s Pa)"\nslab_leakage = "0.014 L/(s m2 Pa)"\n[suction]\n'
    found = calculate(parse_house(text.replace("[suction]\n", layer, 1), "wall.toml"), "suction")
    assert found.run.refused["slab_suction"].endswith("the pit does not lie within the slab")
    assert "least_suction" not in found.run.values
    assert pictures(found) == []


def test_a_layer_that_is_stated_stands_before_the_test_holes() -> None:
    text = ALDER.read_text().replace(
        "[suction]\n", 'layer_permeability = "5000 um2"\nslab_leakage = "0.1 cfm/(ft2 inWC)"\n[suction]\n', 1
    )
    found = calculate(parse_house(text, "stated.toml"), "suction")
    values = found.run.values
    assert "leakage_length" not in {entry.term for entry in found.assumed}
    transmissivity = 5000e-12 * 4 * 0.0254 / 1.78e-5  # Darcy's law, by hand: gravel of 4 in
    leakage = 0.1 * 4.719474432e-4 / 0.09290304 / 249.08891
    assert values["layer_transmissivity"] == pytest.approx(transmissivity)
    assert values["leakage_length"] == pytest.approx(math.sqrt(transmissivity / leakage), rel=1e-6)


# ---------------------------------------------------------------- points with a suction of their own

WIDE, DEEP, LENGTH, RADIUS, TRANSMISSIVITY = 12.0, 9.0, 3.0, 0.15, 2e-4
PITS = ((3.0, 3.0), (9.0, 6.0))
FIRST, SECOND = 90.0, 30.0  # Pa
RIGHT = 0.005 * FIRST
"""What solvers/suction_field says of itself: half a hundredth of the largest suction, right at a wall twice that."""
LAYER = f'layer_transmissivity = "{TRANSMISSIVITY} m3/(s Pa)"\nslab_leakage = "{TRANSMISSIVITY / LENGTH**2} m/(s Pa)"\n'
OWN = f'soil_suction = "{SECOND} Pa"\n'


def two_pits(layer: str = LAYER, own: str = OWN, more: str = "", point: str = "b") -> House:
    points = "".join(
        f'[[suction.point]]\nname = "{name}"\nat = ["{x} m", "{y} m"]\n'
        for name, (x, y) in zip("ab", PITS, strict=True)
    )
    return parse_house(
        f"""[house]
system = "metric"
[foundation]
outline = [["0 m", "0 m"], ["{WIDE} m", "0 m"], ["{WIDE} m", "{DEEP} m"], ["0 m", "{DEEP} m"]]
{layer}[suction]
soil_suction = "{FIRST} Pa"
pit_radius = "{RADIUS} m"
target = "12 Pa"
{points}
[run.pipe]
nominal = "3"
schedule = 40
[[run.piece]]
length = "2 m"
[[run.piece]]
length = "2 m"
[[run.branch]]
point = "{point}"
joins_after = 1
{own}piece = [{{ length = "2 m" }}]
{more}""",
        "two.toml",
    )


def images(x: np.ndarray, y: np.ndarray, at: tuple[float, float]) -> np.ndarray:
    """K0 of a sink and of its mirror images in four sealed walls, as far as 30 m away; no more than at the pit's edge."""
    mirrored = [
        (side * at[0] + 2 * m * WIDE, up * at[1] + 2 * n * DEEP)
        for m in range(-3, 4) for n in range(-3, 4) for side in (1, -1) for up in (1, -1)
    ]  # fmt: skip
    return np.sum([k0(np.maximum(np.hypot(x - a, y - b), RADIUS) / LENGTH) for a, b in mirrored], axis=0)


def strengths(*suctions: float) -> np.ndarray:
    """Of the two sinks that together make these suctions at the pits."""
    return np.linalg.solve([[float(images(*np.array(one), other)) for other in PITS] for one in PITS], suctions)


def superposed(x: np.ndarray, y: np.ndarray, *suctions: float) -> np.ndarray:
    return np.tensordot(strengths(*suctions), [images(x, y, pit) for pit in PITS], 1)


def test_two_points_with_suctions_of_their_own_make_the_field_that_images_of_both_superpose_to() -> None:
    found = calculate(two_pits(), "suction")
    drawn, values = slab.slab_of(two_pits()), found.run.values
    assert drawn
    field = drawn.map(FIRST, LENGTH)
    x, y = np.meshgrid(field.x, field.y)
    here = superposed(x, y, FIRST, SECOND)
    assert np.abs(field.suction - here).max() < RIGHT
    assert (
        np.abs(field.suction - superposed(x, y, FIRST, FIRST)).max() > 50 * RIGHT
    )  # as one suction at both would have it
    assert values["least_suction"] == pytest.approx(here.min(), abs=RIGHT)
    assert values["reached_share"] == pytest.approx((here >= 12).mean(), abs=0.001)  # a few of 4096 squares
    assert values["reached_area"] == pytest.approx(values["reached_share"] * WIDE * DEEP)
    # Each draws the flow of a well: the gradient at its edge all around it.
    wells = 2 * math.pi * TRANSMISSIVITY * strengths(FIRST, SECOND) * RADIUS / LENGTH * k1(RADIUS / LENGTH)
    flows = drawn.flows(LENGTH, TRANSMISSIVITY, drawn.available(FIRST))[0]
    assert flows == pytest.approx(wells, rel=(RADIUS / LENGTH) ** 2)  # over a pit the other's field is not quite level
    assert values["soil_flow"] == pytest.approx(wells.sum(), rel=1e-3)


def test_on_a_cold_day_the_houses_pull_comes_on_top_of_each_points_own_suction() -> None:
    more = '[climate]\nindoor_temperature = "20 degC"\nwinter_temperature = "-20 degC"\nneutral_height = "3 m"\n'
    values = calculate(two_pits(more=more), "suction").run.values
    field = slab.slab_of(two_pits()).map(FIRST, LENGTH)  # type: ignore[union-attr]
    x, y = np.meshgrid(field.x, field.y)
    pull = values["stack_suction"]
    least = superposed(x, y, FIRST + pull, SECOND + pull).min() - pull
    assert values["cold_least_suction"] == pytest.approx(least, abs=RIGHT)


def test_holes_are_fitted_by_each_points_own_suction() -> None:
    places = np.array([(1.0, 7.0), (6.0, 4.0), (6.0, 8.0), (11.0, 1.0), (8.0, 7.5)])
    read = superposed(*places.T, FIRST, SECOND)
    holes = "".join(
        f'[[proof.test_hole]]\nname = "{n}"\nat = ["{x} m", "{y} m"]\nsuction = "{suction:.3f} Pa ± 0.3 Pa"\n'
        for n, ((x, y), suction) in enumerate(zip(places, read, strict=True))
    )
    house = two_pits("", OWN, holes)
    found, other = slab_fit.fit_of(house), slab_fit.fit_of(two_pits("", "", holes))
    assert found
    assert other
    assert [source.suction for source in found.sources] == [FIRST, SECOND]
    assert found.leakage_length.best == pytest.approx(LENGTH, rel=0.01)
    assert found.chi_squared < 1 < 100 < other.chi_squared  # as one suction at both would have it
    said = slab_fit.fit_lines(house)[0]
    assert (
        said
        == "The layer is fitted to 5 test holes, taken as read with 30 Pa at b and 90 Pa at every other suction point."
    )


def test_the_page_says_by_which_suction_each_point_is_drawn() -> None:
    found = calculate(two_pits(), "suction")
    (plan,) = (picture for picture in pictures(found) if picture.title == "Suction under the slab")
    assert "1 a: 90 Pa; 2 b: 30 Pa" in plan.description
    assumed = {line for statement in found.run.sheet.statements for line in getattr(statement, "assumptions", ())}
    assert any("states a suction of its own has that" in line for line in assumed)
    assert "Every suction point and drain has the same suction." not in assumed


def test_a_drain_is_drawn_from_at_the_suction_of_the_first_point_on_it() -> None:
    drain = '[[suction.drain]]\npath = [["1 m", "1 m"], ["1 m", "8 m"]]\n'
    on_drain = '[[suction.point]]\nname = "c"\nat = ["1 m", "5 m"]\n'
    drawn, of_drain = (slab.slab_of(two_pits(more=drain + on_drain, point=point)) for point in ("b", "c"))
    assert drawn
    assert of_drain
    assert drawn.own == (None, None, SECOND)  # no branch is for the point on the drain
    assert of_drain.own == (SECOND, None, None)
    assert of_drain.groups == ((0,), (1, 2))


# ---------------------------------------------------------------- the fit on the page


@pytest.mark.parametrize("path", [ALDER, KESTREL], ids=lambda path: path.stem)
def test_the_fit_is_said_in_words_with_its_error_bars_and_the_next_hole(path: Path) -> None:
    house, shown = read_house(path), repr(book("suction", path).told("fit"))
    drawn = slab.slab_of(house)
    assert drawn
    assert house.suction
    assert house.suction.soil_suction
    readings = [Reading(h.at, h.suction, h.tolerance) for h in house.test_holes()]
    alone = fit(readings, drawn.at(house.suction.soil_suction.value), drawn.footprint).leakage_length
    low, high = alone.wide
    best = slab_fit.fit_of(house)
    assert best
    assert low is not None
    assert high is not None
    assert low < best.leakage_length.best < high  # the flow that was measured does not move the length out of its range
    length = term("leakage_length").unit(house.system)
    assert f"Leakage length: {decimal(best.leakage_length.best, length, 3)}, 95 % between" in shown
    assert "Next test hole: at" in shown
    for hole in house.test_holes():
        assert f"{hole.name}: read " in shown
    assert drawn.footprint.holds(*np.array(slab_fit.next_hole(house).at))  # type: ignore[union-attr]


# ---------------------------------------------------------------- panel and map


def test_the_panel_follows_what_python_sets_and_the_map_with_it() -> None:
    panel = book("suction", KESTREL).panel(1)
    assert "<svg" in panel.face["svg"]
    assert "0 to 5 Pa: too little" in panel.face["description"]
    assert "96.17 % of the slab" in panel.face["result"]
    panel.type("leakage_length", "6 m")
    assert "100 % of the slab" in panel.face["result"]
    assert "too little" not in panel.face["description"]
    panel.values = {**panel.values, "target_suction": 60.0}
    assert "0 to 60 Pa: too little" in panel.face["description"]
    panel.reset()
    assert "96.17 % of the slab" in panel.face["result"]


def test_a_target_or_a_layer_of_nothing_is_refused_in_the_panel_in_one_line() -> None:
    panel = book("suction", KESTREL).panel(1)
    panel.type("target_suction", "0 Pa")
    assert "must be above zero" in panel.face["fault"]
    assert "\n" not in panel.face["fault"]
    panel.reset()
    assert panel.face["fault"] == ""


def test_the_rules_beside_the_second_panel_follow_its_layer() -> None:
    panel = book("suction", KESTREL).panel(2)
    assert "not met" in panel.findings
    panel.type("slab_leakage", "0.002 L/(s m2 Pa)")
    assert "not met" not in panel.findings


@pytest.mark.parametrize("path", [ALDER, KESTREL], ids=lambda path: path.stem)
def test_the_map_of_the_report_is_the_one_of_the_panel(path: Path) -> None:
    found = book("suction", path)
    assert found.panel(1).face["svg"] in found.pictures()._repr_html_()


def test_what_a_record_calls_its_holes_is_escaped_in_the_page(tmp_path: Path) -> None:
    text = KESTREL.read_text().replace('name = "kitchen"', 'name = "<b>kitchen"')
    record = tmp_path / "escaped.toml"
    record.write_text(text)
    shown = book("suction", record).told("fit")._repr_html_()
    assert "<b>kitchen" not in shown
    assert "&lt;b&gt;kitchen" in shown


def test_a_colder_day_shows_on_the_map_where_the_house_pulls_more_than_the_fan() -> None:
    panel = book("suction", KESTREL).panel(1)
    assert "House's own pull 2.32 Pa: less everywhere" in panel.face["description"]
    panel.type("outdoor_temperature", "-30 degC")
    panel.type("soil_suction", "110 Pa")
    pull, least = panel.run().values["stack_suction"], panel.run().values["least_suction"]
    assert least < pull
    assert f"Dashed: {decimal(pull, 'Pa', 3)}, the house's own pull" in panel.face["description"]
    assert "stroke-dasharray='7 4'" in panel.face["svg"]
