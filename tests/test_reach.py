"""What a change does to the reach: lid, second suction point and pipes in the wall, told by the suction under the slab."""

import itertools
import math
import re
from pathlib import Path

import pytest

from radonwork.files import DATA
from radonwork.house import air, slab, slab_sheet
from radonwork.house.calculations import calculate
from radonwork.house.reach import CLEAR, SECOND_POINT, Reach, reach_of
from radonwork.house.record import House, parse_house
from radonwork.report.topics.suction import reach
from radonwork.report.writing import write_report
from radonwork.solvers.coupled import Effect, Ground, effects
from radonwork.solvers.suction_field import Layer
from radonwork.units import Quantity
from radonwork.workbook import book

ALDER, KESTREL = "alder-court", "kestrel-lane"
SEALED, OPEN = "lid sealed", "lid open by 10 in² (65 cm²)"
every_house = pytest.mark.parametrize("name", [ALDER, KESTREL])


def text_of(name: str, **changed: str) -> str:
    text = (DATA / "houses" / f"{name}.toml").read_text()
    for old, new in changed.items():
        assert old in text
        text = text.replace(old, new)
    return text


def house(name: str, **changed: str) -> House:
    return parse_house(text_of(name, **changed), f"{name}.toml")


def without(name: str, *patterns: str) -> House:
    text = text_of(name)
    for pattern in patterns:
        text, count = re.subn(pattern, "", text, flags=re.MULTILINE)
        assert count, pattern
    return parse_house(text, f"{name}.toml")


def rows(found: Reach) -> dict[str, Effect]:
    assert not found.lacks
    return {change.name: change.effect for change in found.changes if change.effect}


def with_lid(name: str, area: str) -> House:
    if name == ALDER:
        return house(ALDER, **{'lid_leak_area = "0.15 in2 ± 0.1 in2"': f'lid_leak_area = "{area}"'})
    return house(KESTREL, **{'target = "5 Pa"': f'lid_leak_area = "{area}"\ntarget = "5 Pa"'})


# ---------------------------------------------------------------- what the changes do


@every_house
@pytest.mark.parametrize("area", ["0 cm2", "0.5 cm2", "10 cm2", "60 cm2"])
def test_sealing_the_lid_never_lowers_the_least_suction_and_opening_it_never_raises_it(name: str, area: str) -> None:
    found = rows(reach_of(with_lid(name, area)))
    here, sealed, opened = found["as it is"], found[SEALED], found[OPEN]
    assert opened.least_suction < here.least_suction <= sealed.least_suction
    assert opened.share_reaching <= here.share_reaching <= sealed.share_reaching
    assert opened.air_flow > here.air_flow >= sealed.air_flow
    assert (here.least_suction < sealed.least_suction) == (area != "0 cm2")


def faster(name: str, times: float) -> House:
    """The house with a fan that moves `times` as much air at each pressure."""
    changed = re.sub(r'flow = "(\d+) L/s", p', lambda of: f'flow = "{times * int(of[1])} L/s", p', text_of(name))
    return parse_house(changed, f"{name}.toml")


def test_a_second_point_raises_the_least_suction_where_the_fan_has_air_for_two() -> None:
    for here in (house(ALDER), faster(KESTREL, 2)):
        found = rows(reach_of(here))
        assert found[SECOND_POINT].least_suction > found["as it is"].least_suction
        assert found[SECOND_POINT].soil_suction < found["as it is"].soil_suction
        assert found[SECOND_POINT].air_flow > found["as it is"].air_flow


def test_a_small_fan_shared_with_a_far_corner_leaves_the_other_corner_with_less() -> None:
    """Why the flow alone does not tell: the fan of Kestrel Lane moves more air for less of the slab at the target."""
    found = rows(reach_of(house(KESTREL)))
    here, second = found["as it is"], found[SECOND_POINT]
    assert second.air_flow > here.air_flow
    assert second.share_reaching < here.share_reaching
    pit = (6.5, 5.0)
    assert here.weakest_at[0] > pit[0] > second.weakest_at[0]  # the far wing before, the other end of the L after


@every_house
def test_the_second_point_stands_on_the_slab_clear_of_walls_pits_and_drains_and_the_page_says_where(name: str) -> None:
    drawn = slab.slab_of(house(name))
    assert drawn
    said = reach_of(house(name)).notes[-1]
    found = re.search(r"at ([\d.]+) (ft|m), ([\d.]+) (?:ft|m) from the outline's origin", said)
    assert found
    metres = 0.3048 if found[2] == "ft" else 1.0
    at = (float(found[1]) * metres, float(found[3]) * metres)
    rounding = 0.1 * metres  # three digits are shown
    assert drawn.footprint.distance(at) >= CLEAR - rounding
    sinks = [
        point for sink in drawn.sinks for point in ([sink.at] if hasattr(sink, "at") else sink.points)
    ]  # fmt: skip
    assert min(math.dist(at, point) for point in sinks) >= drawn.distances.max() - CLEAR * math.sqrt(2) - rounding


def test_three_small_pipes_in_the_wall_reach_farther_than_two_and_one_of_the_main_size_farthest() -> None:
    for name in (ALDER, KESTREL):
        found = rows(reach_of(house(name)))
        least = {
            key.split(",")[0].removeprefix("wall: "): one.least_suction for key, one in found.items() if "wall" in key
        }
        assert least["two pipes"] < least["three pipes"] < least["one main-size pipe"]


# ---------------------------------------------------------------- against the separate solutions


@every_house
def test_the_rows_are_what_pipe_and_fan_alone_give_on_soil_of_the_same_resistance(name: str) -> None:
    """The network is closed to 1e-9 of its pressures, and the soil is one number both times: a millionth is a wide margin."""
    here = house(name)
    values, drawn = calculate(here, "suction").run.values, slab.slab_of(here)
    assert drawn
    layer = Layer(values["layer_transmissivity"], values["leakage_length"])
    ground = Ground(layer, drawn.sinks, tuple("pit" for _ in drawn.sinks), drawn.footprint)
    resistance = Quantity(1 / float(ground.conductance[0, 0]), "", 0.0, "")
    alone = {
        one.name: one.run.values
        for one in air.alternatives(calculate(here, "air", {"soil_resistance": resistance}).run)
    }
    found = rows(reach_of(here))
    for row in ("as it is", SEALED, OPEN):
        assert found[row].air_flow == pytest.approx(alone[row]["operating_flow"], rel=1e-6)
        assert found[row].soil_suction == pytest.approx(alone[row]["working_suction"], rel=1e-6)
        assert found[row].lid_flow == pytest.approx(alone[row]["lid_flow"], rel=1e-6, abs=1e-12)
    two = next(one for key, one in found.items() if "two pipes" in key)
    assert two.air_flow == pytest.approx(alone["two 2 in pipes in the wall"]["operating_flow"], rel=1e-6)


@every_house
def test_the_rows_are_what_the_slab_alone_gives_at_the_suction_that_was_found(name: str) -> None:
    """One field, worked at 1 Pa there and at its suction here: linear, so alike but for rounding."""
    here = house(name)
    values = calculate(here, "suction").run.values
    field, *_ = slab_sheet.solvers_of(here)
    for row, effect in rows(reach_of(here)).items():
        assert effect.air_flow == pytest.approx(effect.soil_flow + effect.lid_flow, rel=1e-9)
        if row == SECOND_POINT:
            continue
        given = {key: values[key] for key in ("leakage_length", "target_suction")}
        alone = field(soil_suction=effect.soil_suction, outline_corners=4.0, suction_places=1.0, **given)
        assert effect.least_suction == pytest.approx(alone["least_suction"], rel=1e-6)
        assert effect.share_reaching == pytest.approx(alone["reached_share"], rel=1e-6)


@every_house
def test_as_it_is_agrees_with_the_two_topics_within_the_error_of_what_was_measured(name: str) -> None:
    here = house(name)
    effect = rows(reach_of(here))["as it is"]
    low, high = calculate(here, "air").run.spread("operating_flow") or (0.0, 0.0)
    assert low < effect.air_flow < high
    low, high = calculate(here, "suction").run.spread("least_suction") or (0.0, 0.0)
    assert low < effect.least_suction < high


# ---------------------------------------------------------------- over the tolerances


@every_house
def test_the_brackets_are_the_least_and_the_most_of_the_variants_worked_one_by_one(name: str) -> None:
    """Each variant by itself: its own network, ground and map. Between its fields a curve is read, to a thousandth."""
    here = house(name)
    of_air, of_slab = calculate(here, "air"), calculate(here, "suction")
    air_of_house, drawn = air.air_of(here), slab.slab_of(here)
    assert air_of_house
    assert drawn
    values = {**of_slab.run.values, **of_air.run.values}
    tolerances = {
        term: run.given[term].tolerance
        for run in (of_air.run, of_slab.run)
        for term in ("lid_leak_area", "leakage_length", "layer_transmissivity")
        if term in run.given and run.given[term].tolerance
    } | {"speed_ratio": 0.05}
    assert {"leakage_length", "layer_transmissivity"} < tolerances.keys()
    found: dict[str, list[float]] = {"least_suction": [], "share_reaching": [], "soil_suction": [], "air_flow": []}
    for corner in itertools.product((-1, 1), repeat=len(tolerances)):
        here_ = values | {"speed_ratio": 1.0, "soil_resistance": 1.0}
        for sign, (term, tolerance) in zip(corner, tolerances.items(), strict=True):
            here_[term] += sign * tolerance
        layer = Layer(here_["layer_transmissivity"], here_["leakage_length"])
        ground = Ground(layer, drawn.sinks, tuple("pit" for _ in drawn.sinks), drawn.footprint)
        state = {term: here_[term] for term in ("air_density", "air_viscosity", "speed_ratio")}
        (effect,) = effects(
            {"": (air_of_house.network(here_), ground)}, air_of_house.curve, target=values["target_suction"],
            points=slab.GRID, **state,
        )  # fmt: skip
        for term, one in found.items():
            one.append(getattr(effect, term))
    spread = reach_of(here).changes[0].spread
    for term, one in found.items():
        # A share counts squares: one in a hundred may be on the other side of the target by a thousandth of suction.
        for end, wanted in zip(spread[term], (min(one), max(one)), strict=True):
            assert end == pytest.approx(wanted, abs=0.01 if term == "share_reaching" else 2e-3 * wanted)


@every_house
def test_every_row_lies_within_its_brackets_and_says_them(name: str) -> None:
    found = reach_of(house(name))
    for change in found.changes:
        assert change.effect
        for term, (low, high) in change.spread.items():
            assert low <= getattr(change.effect, term) * 1.001
            assert getattr(change.effect, term) <= high * 1.001
    assert {len(change.spread) for change in found.changes} == {4}
    text = str(reach(calculate(house(name), "suction")))
    assert re.search(r"[\d.]+ (Pa|inWC) \([\d.]+ to [\d.]+\)", text)
    assert "5 % more or less of the fan's speed (no source)" in text


def test_where_the_fans_curve_ends_within_the_tolerances_the_row_says_so() -> None:
    short = house(
        KESTREL, **{'{ flow = "45 L/s"': '{ flow = "41.9 L/s"', '  { flow = "60 L/s", pressure = "0 Pa" },\n': ""}
    )
    changes = {change.name: change for change in reach_of(short).changes}
    assert changes[OPEN].effect
    assert not changes[OPEN].spread
    assert "(within the tolerances the fan's curve ends)" in str(reach(calculate(short, "suction")))


# ---------------------------------------------------------------- what is missing or cannot be


@pytest.mark.parametrize(
    ("patterns", "field"),
    [
        ((r"^outline.*\n",), "foundation.outline"),
        ((r"^target.*\n",), "suction.target"),
        ((r"^pit_radius.*\n",), "suction.pit_radius"),
        ((r"^\[\[suction\.point\]\]\n.*\n.*\n",), "suction.point"),
        ((r"^\[\[proof\.test_hole\]\]\n.*\n.*\n.*\n",), "foundation.slab_leakage"),
        ((r"^soil_suction.*\n",), "suction.soil_suction"),
        ((r"^\[fan\](?:.|\n)*?(?=^# No attic)",), "fan.point"),
        ((r"^\[\[run\.piece\]\](?:.|\n)*?(?=^\[(?!\[run))",), "run.piece"),
    ],
    ids=lambda given: given if isinstance(given, str) else "",
)
def test_what_is_missing_is_one_line_that_names_its_field(
    patterns: tuple[str, ...], field: str, tmp_path: Path
) -> None:
    here = without(KESTREL, *patterns)
    found = reach_of(here)
    assert found.changes == ()
    assert field in found.lacks
    assert "\n" not in found.lacks
    write_report(here, tmp_path / "report.html")
    assert "What a change does to the reach is not worked." in (tmp_path / "report.html").read_text()


def test_a_bare_record_wants_the_plan_the_route_and_the_fan_in_one_line() -> None:
    lacks = reach_of(parse_house('[house]\nname = "bare"\n', "bare.toml")).lacks
    assert all(field in lacks for field in ("run.piece", "fan.point", "foundation.outline", "suction.target"))
    assert "\n" not in lacks


def test_a_layer_that_is_stated_needs_no_measured_soil() -> None:
    values = calculate(house(KESTREL), "suction").run.values
    transmissivity, leakage = (
        values["layer_transmissivity"],
        values["layer_transmissivity"] / values["leakage_length"] ** 2,
    )
    stated = f'layer_transmissivity = "{transmissivity:.12g} m3/(s Pa)"\nslab_leakage = "{leakage:.12g} m/(s Pa)"\n'
    text = text_of(KESTREL, drain_tile=f"{stated}drain_tile")
    text = re.sub(r"^soil_(suction|flow).*\n", "", text, flags=re.MULTILINE)
    found, fitted = rows(reach_of(parse_house(text, "stated.toml"))), rows(reach_of(house(KESTREL)))
    for row, effect in fitted.items():
        assert found[row].least_suction == pytest.approx(effect.least_suction, rel=1e-6)  # one layer, told two ways


def test_a_change_that_the_fan_cannot_serve_says_so_in_its_own_row() -> None:
    short = house(
        KESTREL,
        **{'{ flow = "45 L/s"': '{ flow = "38 L/s"', '  { flow = "60 L/s", pressure = "0 Pa" },\n': ""},
    )
    changes = {change.name: change for change in reach_of(short).changes}
    assert "not attainable" in changes[OPEN].fault
    assert changes[OPEN].effect is None
    assert changes[SEALED].effect
    assert changes[OPEN].fault in str(reach(calculate(short, "suction")))


def test_drains_without_a_pit_want_its_radius_for_the_second_point_only() -> None:
    changes = {change.name: change for change in reach_of(without(ALDER, r"^pit_radius.*\n")).changes}
    assert "suction.pit_radius" in changes[SECOND_POINT].fault
    assert all(change.effect for name, change in changes.items() if name != SECOND_POINT)


# ---------------------------------------------------------------- on the page


@every_house
def test_page_and_report_hold_the_table(name: str, tmp_path: Path) -> None:
    record = DATA / "houses" / f"{name}.toml"
    told = repr(book("suction", record).told("reach"))
    write_report(house(name), tmp_path / "report.html")
    page = (tmp_path / "report.html").read_text()
    for words in ("What a change does to the reach", SEALED, OPEN, SECOND_POINT, "share of the slab at the target"):
        assert words in told
        assert words in page
