"""The command as a person meets it: what it prints, how it ends, and one plain line for whatever is typed wrong."""

import json
import math
import re
import shutil
import tomllib
from pathlib import Path
from statistics import NormalDist

import fluids
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from radonwork.cli import _statements, main
from radonwork.engine.search import search
from radonwork.files import DATA
from radonwork.house.record import House, fields_of, read_house
from radonwork.workbook.pages import find_record

HOUSES = DATA / "houses"
Said = pytest.CaptureFixture[str]


def run(capsys: Said, *arguments: str) -> tuple[int, str, str]:
    """Exit code, standard output, standard error."""
    capsys.readouterr()
    code = main(arguments)
    said = capsys.readouterr()
    return code, said.out, said.err


def refused(capsys: Said, *arguments: str) -> str:
    """The one line of a command that is refused."""
    code, out, err = run(capsys, *arguments)
    assert code == 2
    assert out == ""
    assert err.startswith("radonwork: ")
    assert err.count("\n") == 1
    return err


def test_a_formula_is_worked_with_symbols_then_numbers_then_the_result(capsys: Said) -> None:
    code, out, _ = run(
        capsys, "work", "roof_hole_diameter", "pipe_outside_diameter=3.5 in", "deck_thickness=1/2 in", "roof_angle=9/12"
    )
    assert code == 0
    lines = [line.strip() for line in out.splitlines()]
    assert lines[1] == "D_r = d / cos(θ_r) + t · tan(θ_r)"
    assert lines[3] == "D_r = 4.75 in"  # 3.5 x 1.25 + 0.5 x 0.75: 9 in 12 is a 3-4-5 triangle
    assert lines[4].startswith("Source:")


def test_the_json_of_a_work_has_name_given_and_results_with_units(capsys: Said) -> None:
    code, out, _ = run(
        capsys, "work", "area_ratio", "pipe_count=2", "small_bore=52.5018 mm", "large_bore=3.068 in", "--json"
    )
    said = json.loads(out)
    assert code == 0
    assert set(said) == {"name", "given", "results"}
    assert said["name"] == "area_ratio"
    assert said["given"]["small_bore"] == {"value": pytest.approx(52.5018), "unit": "mm"}
    assert said["results"]["area_ratio"] == {"value": pytest.approx(90.78, abs=0.005), "unit": "%"}


def test_what_was_given_comes_back_as_it_was_written(capsys: Said) -> None:
    given = ("air_temperature=75 degF", "barometric_pressure=29.9 inHg")
    _, out, _ = run(capsys, "work", "dry_air_density", *given, "--json")
    said = json.loads(out)["given"]
    assert [said[name]["value"] for name in ("air_temperature", "barometric_pressure")] == [75.0, 29.9]


def test_a_result_that_is_given_asks_for_the_rearranged_form(capsys: Said) -> None:
    _, out, _ = run(
        capsys, "work", "area_ratio", "area_ratio=100 %", "small_bore=2.067 in", "large_bore=3.068 in", "--json"
    )
    assert json.loads(out)["results"]["pipe_count"]["value"] == pytest.approx(2.203, abs=0.0005)


def test_the_tolerances_that_are_stated_are_carried_through(capsys: Said) -> None:
    _, out, _ = run(capsys, "work", "bore_area", "bore=3 in ± 1/16 in", "--json")
    said = json.loads(out)
    assert said["given"]["bore"] == {"value": 3, "unit": "in", "tolerance": pytest.approx(1 / 16)}
    low, high = (math.pi / 4 * bore**2 for bore in (2.9375, 3.0625))  # the area of a circle at both ends
    assert said["results"]["bore_area"] == {
        "value": pytest.approx(math.pi / 4 * 9), "unit": "in2", "low": pytest.approx(low), "high": pytest.approx(high)
    }  # fmt: skip
    _, out, _ = run(capsys, "work", "bore_area", "bore=3 in ± 1/16 in")
    assert out.splitlines()[-1] == "  bore area: 6.777 in² to 7.366 in² over the stated tolerances"
    _, out, _ = run(
        capsys, "work", "dry_air_density", "air_temperature=70 degF ± 2 degF", "barometric_pressure=1 atm", "--json"
    )
    assert json.loads(out)["given"]["air_temperature"]["tolerance"] == pytest.approx(2)


def test_tolerances_are_carried_the_other_way_round_too(capsys: Said) -> None:
    wall = ("work", "pipe_bore", "pipe_outside_diameter=3.5 in ± 0.008 in", "bore=3.068 in ± 0.01 in", "--json")
    found = json.loads(run(capsys, *wall)[1])["results"]["wall_thickness"]
    assert (found["low"], found["high"]) == (pytest.approx((0.432 - 0.018) / 2), pytest.approx((0.432 + 0.018) / 2))
    level = ("work", "share_above", "share_above=5 % ± 1 %", "geometric_mean=1 pCi/L", "log_spread=1", "--json")
    found = json.loads(run(capsys, *level)[1])["results"]["compared_level"]
    ends = [math.exp(NormalDist().inv_cdf(1 - share)) for share in (0.06, 0.05, 0.04)]
    assert [found["low"], found["value"], found["high"]] == pytest.approx(ends)


def test_a_tolerance_that_reaches_beyond_what_holds_is_said(capsys: Said) -> None:
    slow = ("work", "laminar_darcy_factor", "reynolds_number=2250 ± 100")
    assert "Not within range over the whole stated tolerance: Reynolds number is 2,350" in run(capsys, *slow)[1]
    said = json.loads(run(capsys, *slow, "--json")[1])
    assert "over the whole stated tolerance" in said["note"]
    assert set(said["results"]["darcy_factor"]) == {"value", "unit"}


GROWTH = ("radon_after_change", "radon_then=50 pCi/L", "end_radon=100 pCi/L")  # half of what is to come, from none
RATE = "clearing_rate=0.0075536 1/h"
HOLE = ("largest_hole", "member_depth=9.25 in", "largest_hole=3.0833 in")  # 3 in 1/12 is a third of 9 in 1/4
TOLERANCE = ("transfer_tolerance", "transfer_tolerance=0.6 in", "plumb_shift=0.3 in", "tape_tolerance=0.1 in")


@pytest.mark.parametrize(
    ("arguments", "term", "value", "close"),
    [
        ((*GROWTH, "start_radon=0 pCi/L", RATE), "elapsed_time", math.log(2) / 0.0075536, 1e-9),
        ((*GROWTH, "start_radon=0 pCi/L", "elapsed_time=91.764 h"), "clearing_rate", math.log(2) / 91.764, 1e-9),
        ((*GROWTH, "elapsed_time=1 h", f"clearing_rate={math.log(2)} 1/h"), "start_radon", 0, 1e-9),
        ((*HOLE, "least_edge=2 in"), "largest_share", 100 * 3.0833 / 9.25, 1e-9),  # 2 in of edge would leave 5 1/4 in
        ((*HOLE, "largest_share=50 %"), "least_edge", (9.25 - 3.0833) / 2, 1e-9),
        (("entry_pressure", "entry_pressure=2 Pa", "fan_suction=1 Pa"), "stack_suction", 3 / 249.08891, 1e-7),
        (("rolling_display", "rolling_display=4 pCi/L", "display_before=2 pCi/L", "new_level=5 pCi/L",
          "display_window=6 d"), "time_since_change", 4, 1e-9),
        (("coupling_coefficient", "loss_coefficient=0.9375", "wide_bore=2 in"), "narrow_bore", 1, 1e-9),
        (("cut_length", "cut_length=10.3 in", "centre_to_centre=12.1 in", "take_off=1.8 in"), "next_take_off", 0, 0),
        (("running_cost", "running_cost=0.3 USD", "yearly_cost=0.1 USD", "heating_cost=0.2 USD"), "cooling_cost", 0, 0),
        ((*TOLERANCE, "photo_tolerance=0.1 in"), "drill_drift", 0, 0),
        (("likely_centre_error", "likely_centre_error=0.3 in", "plate_count=10", "mark_error=0.1 in"),
         "hole_drift", 0, 0),
        (("compound_angle", "compound_angle=90 deg", "fitting_angle=45 deg", "next_fitting_angle=45 deg"),
         "turn_angle", 0, 0),
        (("compound_angle", "compound_angle=60 deg", "fitting_angle=30 deg", "next_fitting_angle=30 deg"),
         "turn_angle", 0, 0),
    ],
)  # fmt: skip
def test_the_one_term_that_answers_is_found_and_a_true_nothing_is_nothing(
    capsys: Said, arguments: tuple[str, ...], term: str, value: float, close: float
) -> None:
    """Each by hand from the relation itself: (C - C_2) = (C_1 - C_2) / 2 after ln 2 / rate, and so on."""
    code, out, err = run(capsys, "work", *arguments, "--json")
    assert (code, err) == (0, "")
    ((name, found),) = json.loads(out)["results"].items()
    assert name == term
    assert found["value"] == pytest.approx(value, rel=close, abs=close)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("largest_hole", "largest_hole=0 in", "largest_share=40 %", "least_edge=2 in"),
         "largest hole 0 in does not tell the member depth: 4 in gives it, and so do values below it"),
        (("entry_pressure", "entry_pressure=0 Pa", "fan_suction=0.01 inWC"),
         "does not tell the stack suction: 0.01 inWC gives it, and so do values below it"),
        (("wave_factor", "wave_factor=1", "water_depth=3 mm", "air_velocity=100 ft/min", "wave_velocity=900 ft/min"),
         "does not tell the bore: 1 in gives it, and so do values above"),
        (("pair_low", "pair_low=4 pCi/L", "first_result=4 pCi/L"),
         "does not tell the second result: 4 pCi/L gives it, and so do values above it"),
        (("pair_low", "pair_low=4 pCi/L", "first_result=3 pCi/L"),
         "with these values no second result is found that gives pair low 4 pCi/L"),
        (("relative_difference", "relative_difference=100 %", "first_result=6 pCi/L"),
         "does not tell the second result: 2 pCi/L and 18 pCi/L give it"),
        (("mitre_height", "mitre_height=1 in", "pipe_outside_diameter=2 in", "mitre_angle=45 deg"),
         "does not tell the wrap angle: 90° and 270° give it"),
        (("pipe_bore", "bore=3 in", "pipe_outside_diameter=2 in"), "wall thickness is -0.5 in"),
    ],
)  # fmt: skip
def test_what_does_not_tell_the_term_is_refused_in_a_line_that_names_what_would_do(
    capsys: Said, arguments: tuple[str, ...], said: str
) -> None:
    assert said in refused(capsys, "work", *arguments)


AIR = ("air_density=1.2 kg/m3", "air_viscosity=1.8e-5 Pa s")
FAN = ("shutoff_pressure=1.7 inWC", "free_flow=170 cfm")
PIPE = ("bore=3.068 in", "straight_length=40 ft")


def test_an_operating_point_is_worked_from_the_shell_and_balances(capsys: Said) -> None:
    """Fan, soil and pipe added up from outside: friction by the fluids library, all else by hand."""
    code, out, _ = run(
        capsys, "work", "operating_point", "--units", "metric", "--json", "soil_resistance=5000 Pa s/m3", *PIPE, *FAN,
        *AIR, "loss_coefficient=2", "rated_density=1.2 kg/m3",
    )  # fmt: skip
    assert code == 0
    said = json.loads(out)["results"]
    assert said["air_flow"]["unit"] == "L/s"
    flow, bore = said["air_flow"]["value"] / 1000, 3.068 * 0.0254
    speed = flow / (math.pi * bore**2 / 4)
    factor = fluids.friction_factor(Re=1.2 * speed * bore / 1.8e-5, eD=1.5e-6 / bore)
    lost = (factor * 40 * 0.3048 / bore + 2) * 1.2 * speed**2 / 2
    fan = 1.7 * 249.08891 * (1 - flow / (170 * 0.3048**3 / 60))
    assert fan == pytest.approx(5000 * flow + lost, rel=1e-4)


@pytest.mark.parametrize(
    ("name", "terms", "gives"),
    [
        ("sump_system", ("soil_resistance=0.02 inWC/cfm", "lid_leak_area=0.2 in2", *PIPE, *FAN, *AIR, "loss_coefficient=2"),
         "gauge"),
        ("straight_pipe", (*PIPE, "air_flow=60 cfm", *AIR), "inWC"),
        ("darcy_friction_factor", ("reynolds_number=1e5", "relative_roughness=1e-4"), "0.018"),
        ("vent_air", ("air_temperature=55 degF", "relative_humidity=100 %", "altitude=0 ft"), "lb/ft³"),
        ("saturated_air", ("air_temperature=55 degF", "barometric_pressure=101.325 kPa"), "lb/ft³"),
        ("air_from_wet_bulb", ("air_temperature=70 degF", "wet_bulb_temperature=60 degF",
         "barometric_pressure=101.325 kPa"), "lb/ft³"),
    ],
)  # fmt: skip
def test_every_solver_of_the_air_works_from_the_shell(
    capsys: Said, name: str, terms: tuple[str, ...], gives: str
) -> None:
    code, out, err = run(capsys, "work", name, *terms)
    assert (code, err) == (0, "")
    assert gives in out


def test_a_value_out_of_range_is_refused_in_the_units_that_were_asked_for(capsys: Said) -> None:
    """Air of 12,000 m, 39,370 ft: the standard atmosphere is taken up to 11,000 m."""
    given = ("work", "vent_air", "air_temperature=10 degC", "relative_humidity=50 %", "altitude=12000 m")
    assert "altitude is 12,000 m; this holds from -5,000 m to 11,000 m" in refused(capsys, *given, "--units", "metric")
    assert "altitude is 39,370 ft; this holds from -16,404 ft to 36,089 ft" in refused(capsys, *given)


@pytest.mark.parametrize(
    ("given", "us", "metric"),
    [
        ({}, "pipe outside diameter is 2.375 in, which", "pipe outside diameter is 60.32 mm, which"),
        ({"room_height": "0 mm"}, "room height is 0 in, which", "room height is 0 mm, which"),
        ({"slot_start": "12 in"}, "end 15 in from the left stud, outside the bay of 14 in", "end 381 mm from"),
    ],
)
def test_a_length_that_will_not_do_is_told_in_the_units_that_were_asked_for(
    capsys: Said, given: dict[str, str], us: str, metric: str
) -> None:
    stated = {
        "pipe_length": "3 in", "room_height": "1 in", "member_thickness": "1 in", "pipe_outside_diameter": "2.375 in",
        "slot_length": "3 in", "slot_start": "0 in", "bay_width": "14 in",
    }  # fmt: skip
    terms = [f"{name}={value}" for name, value in (stated | given).items()]
    assert us in refused(capsys, "work", "pipe_insertion", *terms)
    assert metric in refused(capsys, "work", "pipe_insertion", *terms, "--units", "metric")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"bore": "0 in"}, "pipe 1: bore is 0; it must be above zero"),
        ({"free_flow": "0 cfm"}, "free flow must be above zero"),
        ({"shutoff_pressure": "0 Pa"}, "shutoff pressure must be above zero"),
    ],
)
def test_a_pipe_or_fan_that_is_none_is_refused_in_one_line(capsys: Said, given: dict[str, str], said: str) -> None:
    stated = dict(text.split("=") for text in ("soil_resistance=5000 Pa s/m3", "loss_coefficient=2", *PIPE, *FAN, *AIR))
    terms = (f"{name}={value}" for name, value in (stated | given).items())
    assert said in refused(capsys, "work", "operating_point", *terms)


def test_an_unknown_word_or_option_is_still_refused(capsys: Said) -> None:
    assert "unrecognized arguments: x=1" in refused(capsys, "check", "house.toml", "x=1")
    assert "unrecognized arguments: --unit-s" in refused(capsys, "work", "area_ratio", "bore=3 in", "--unit-s")


def test_a_solver_is_worked_as_a_formula_is(capsys: Said) -> None:
    code, out, _ = run(
        capsys, "work", "pipe_insertion", "pipe_length=110 in", "room_height=93.5 in", "member_thickness=2.25 in",
        "pipe_outside_diameter=2.375 in", "slot_length=4.1 in", "slot_start=0 in", "bay_width=14.5 in", "--json",
    )  # fmt: skip
    results = json.loads(out)["results"]
    assert code == 0
    assert results["slot_needed"]["value"] == pytest.approx(4.0009, abs=0.00005)
    assert results["bay_margin"]["value"] == pytest.approx(8.3699, abs=0.00005)


@pytest.mark.parametrize(
    ("arguments", "names"),
    [
        ((), ("COMMAND",)),
        (("wrok",), ("wrok", "work")),
        (("work", "roof_hole_diametre"), ("roof_hole_diametre", "roof_hole_diameter")),
        (("work", "roof_hole_diameter", "deck"), ("deck", "term=")),
        (("work", "roof_hole_diameter", "deck_thicknes=1 in"), ("deck_thicknes", "deck_thickness")),
        (("work", "roof_hole_diameter", "deck_thickness=1 furlong"), ("deck_thickness", "furlong")),
        (("work", "roof_hole_diameter", "deck_thickness=1 in", "deck_thickness=2 in"), ("deck_thickness", "twice")),
        (("work", "roof_hole_diameter", "deck_thickness=1 in"), ("pipe_outside_diameter",)),
        (("work", "area_ratio", "bore=3 in"), ("bore", "small_bore")),
        (
            ("work", "roof_hole_diameter", "deck_thickness=1 in", "pipe_outside_diameter=3 in", "roof_angle=90 deg"),
            ("roof angle", "90", "89"),
        ),
        (("list", "zeppelin"), ("zeppelin",)),
        (("list", "roof", "zeppelin"), ("roof zeppelin",)),
        (("list", "..."), ("'...'",)),
        (("check", "nowhere.toml"), ("nowhere.toml",)),
        (("report", "nowhere.toml", "-o", "x.html"), ("nowhere.toml",)),
        (("report", str(HOUSES / "alder-court.toml")), ("output",)),
        (("report", str(HOUSES / "alder-court.toml"), "-o", "x.docx"), ("x.docx", ".html")),
        (("report", str(HOUSES / "alder-court.toml"), "-o", "nowhere/x.html"), ("nowhere",)),
    ],
)
def test_what_is_typed_wrong_gets_one_line_that_names_it(
    capsys: Said, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str, ...], names: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    line = refused(capsys, *arguments)
    for name in names:
        assert name in line


@given(st.lists(st.text(max_size=30), max_size=4))
@settings(max_examples=150, deadline=None)
def test_no_words_bring_a_traceback(words: list[str]) -> None:
    for command in ("work", "list"):
        assert main([command, "--", *words]) in (0, 2)


def listed(capsys: Said, *words: str) -> list[str]:
    """Names of the statements that `list` shows, in its order."""
    code, out, _ = run(capsys, "list", *words)
    return [line.partition(":")[0] for line in out.splitlines()[::2]] if code == 0 else []


@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("dew point", "dew_point_of_air"),
        ("Dew-Point", "dew_point_of_air"),
        ("dewpoint", "dew_point_of_air"),
        ("wet bulb", "air_from_wet_bulb"),
        ("hole diameter", "bored_hole_diameter"),
        ("hole diameters", "bored_hole_diameter"),
        ("slope factor", "slope_factor"),
        ("take off", "bend_take_off"),
        ("takeoff", "bend_take_off"),
        ("pipe insertion", "pipe_insertion"),
        ("pipe_insertion", "pipe_insertion"),
        ("equivalent length", "equivalent_length_coefficient"),
        ("half life", "decay_constant"),
        ("well water", "water_transfer"),
        ("Colebrook", "rough_factor"),
    ],
)
def test_a_list_begins_with_what_bears_the_words_in_its_name_or_title(capsys: Said, words: str, first: str) -> None:
    assert listed(capsys, words)[0] == first
    assert listed(capsys, *words.split())[0] == first


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("entry rate", "steady_radon"),  # of the name of a term
        ("air change rate", "natural_flow"),
        ("degree days", "heating_heat"),  # of a meaning
        ("Colebrook", "darcy_friction_factor"),  # of the module's first lines
        ("kerf", "pipe_insertion"),  # of an assumption
        ("gravel", "bed_permeability"),
        ("WLM", "yearly_exposure"),  # of a unit
        ("pCi", "steady_radon"),
        ("ICRP", "icrp_dose"),  # of a source
        ("airflow", "cold_run"),
        ("psychrometric", "air_from_wet_bulb"),
        ("minor loss", "fitting_loss"),
        ("elbow", "bend_take_off"),
        ("K factor", "fitting_loss"),
        ("stack effect", "stack_suction"),
        ("fan law", "fan_power_at_speed"),
        ("system curve", "operating_point"),
        ("ingrowth", "lead_activity"),
        ("parallel pipes", "area_ratio"),
        ("miter", "mitre_cut_angle"),
        ("elbow miters", "mitre_cut_angle"),
    ],
)
def test_a_list_finds_what_speaks_of_every_word(capsys: Said, words: str, name: str) -> None:
    assert name in listed(capsys, words)


def test_a_list_without_a_word_shows_everything_and_more_words_show_less(capsys: Said) -> None:
    everything, pipes, small = (set(listed(capsys, *words)) for words in ((), ("pipe",), ("small", "pipes")))
    assert everything > pipes > small > set()


def test_one_letter_is_no_beginning_of_a_word_and_no_unit(capsys: Said) -> None:
    assert listed(capsys, "q") == ["cold_run"]  # whose module speaks of the heat q'
    assert len(listed(capsys, "m")) < 20  # although most lengths are in m


def test_other_words_are_needed_and_lead_somewhere() -> None:
    table = tomllib.loads((DATA / "other_words.toml").read_text(encoding="utf-8"))
    statements = _statements()
    assert list(table) == sorted(table, key=str.casefold)
    for theirs, ours in table.items():
        found = search(statements, ours)
        assert found, ours
        assert set(found) <= set(search(statements, theirs)), theirs
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("radonwork.engine.search._other_words", lambda: [])
            assert search(statements, theirs)[:1] != found[:1], theirs


def test_every_fault_of_a_record_is_a_line_of_its_own(capsys: Said, tmp_path: Path) -> None:
    record = tmp_path / "bad.toml"
    record.write_text('[wall]\nbay_width = "14 inn"\nbay_wdith = "3 in"\n[roof]\npitch = "steep"\n')
    for command in (("check", str(record)), ("report", str(record), "-o", str(tmp_path / "x.html"))):
        code, out, err = run(capsys, *command)
        assert code == 2
        assert out == ""
        assert len(err.splitlines()) == 3
        assert [f"line {n}" in line for n, line in zip((2, 3, 5), err.splitlines(), strict=True)] == [True] * 3
    assert not (tmp_path / "x.html").exists()


def test_check_says_what_is_found_and_ends_in_one_where_something_is_not_met(capsys: Said) -> None:
    code, out, _ = run(capsys, "check", str(HOUSES / "alder-court.toml"))
    assert code == 1
    assert "not met: Pipes side by side have together at least the area" in out
    assert "margin -9.22 %" in out


def test_check_says_what_is_wrong_with_the_monitors_file(capsys: Said, tmp_path: Path) -> None:
    record = tmp_path / "h.toml"
    record.write_text('[monitor]\nfile = "nothing.csv"\n')
    _, out, _ = run(capsys, "check", str(record))
    assert "wrong with a file: monitor.file: nothing.csv is not beside the record" in out
    assert "missing: monitor.file" not in out


def test_check_begins_in_short_with_what_is_not_met_and_what_to_do_next(capsys: Said) -> None:
    house = str(HOUSES / "alder-court.toml")
    _, out, _ = run(capsys, "check", house)
    verdicts = [entry["verdict"] for entry in json.loads(run(capsys, "check", house, "--json")[1])]
    short, _, full = out.partition("\n\n")
    first, *others = short.splitlines()
    kinds = ("not met", "cannot be judged", "met", "does not apply")
    assert first.endswith(f"{len(verdicts)} rules: " + ", ".join(f"{kind} {verdicts.count(kind)}" for kind in kinds))
    begins = [line.partition(":")[0] for line in others]
    assert begins == sorted(begins, key=["not met, in short", "next", "not worked", "wrong with a file"].index)
    assert begins.count("not met, in short") == full.count("\nnot met: ") + full.startswith("not met: ")
    assert "next: Before the fan the house had 8.2 pCi/L" in short


def test_check_says_what_could_not_be_worked_without_the_names_of_formulas(capsys: Said, tmp_path: Path) -> None:
    record = tmp_path / "house.toml"
    record.write_text((HOUSES / "alder-court.toml").read_text().replace('"-5 degF"', '"-140 degF"'))
    _, out, _ = run(capsys, "check", str(record))
    told = [line for line in out.partition("\n\n")[0].splitlines() if line.startswith("not worked: ")]
    assert told
    assert [line for line in told if "_" in line] == []
    assert any("attic temperature is -140 °F" in line for line in told), told


def test_check_names_the_fields_that_are_missing(capsys: Said) -> None:
    code, out, _ = run(capsys, "check", str(HOUSES / "kestrel-lane.toml"))
    assert code == 1
    assert "missing: wall.slot_length" in out


def test_the_json_of_a_check_holds_every_finding_with_numbers_and_unit(capsys: Said) -> None:
    _, out, _ = run(capsys, "check", str(HOUSES / "alder-court.toml"), "--json")
    found = {entry["requirement"]: entry for entry in json.loads(out)}
    slope = found["least slope"]
    assert slope["verdict"] == "met"
    assert slope["value"] == pytest.approx(1 / 48)  # 1/4 in per ft
    assert slope["limit"] == pytest.approx(1 / 96)
    assert {entry["verdict"] for entry in found.values()} <= {"met", "not met", "cannot be judged", "does not apply"}


def test_check_ends_in_nothing_wrong_only_where_every_rule_is_met_or_does_not_apply(
    capsys: Said, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from radonwork.house import job

    monkeypatch.setattr(job, "topics", lambda all_topics=job.topics: {"roof": all_topics()["roof"]})
    monkeypatch.setattr("radonwork.house.calculations.topics", job.topics)
    record = tmp_path / "house.toml"
    text = (HOUSES / "alder-court.toml").read_text()
    record.write_text(text.replace('pitch = "7/12"', 'pitch = "4/12"'))
    assert run(capsys, "check", str(record))[0] == 0
    record.write_text(text)
    assert run(capsys, "check", str(record))[0] == 1


def test_list_speaks_of_a_word_and_shows_the_terms(capsys: Said) -> None:
    code, out, _ = run(capsys, "list", "roof_hole")
    assert code == 0
    assert "roof_hole_diameter: Smallest round hole" in out
    assert "takes pipe_outside_diameter, deck_thickness, roof_angle" in out


def test_new_copies_once_and_never_overwrites(capsys: Said, tmp_path: Path) -> None:
    folder = tmp_path / "house"
    assert run(capsys, "new", str(folder))[0] == 0
    book = folder / "08-roof-hole.ipynb"
    book.write_text("mine")
    code, out, _ = run(capsys, "new", str(folder))
    assert code == 0
    assert "Kept as they were" in out
    assert book.read_text() == "mine"
    assert (folder / "alder-court.toml").exists()


def test_a_new_folder_has_a_record_to_begin_with_that_states_nothing_until_its_lines_are_taken(
    capsys: Said, tmp_path: Path
) -> None:
    assert run(capsys, "new", str(tmp_path / "house"))[0] == 0
    record = tmp_path / "house" / "my-house.toml"
    text = record.read_text(encoding="utf-8")
    assert len([line for line in text.splitlines() if line]) < 35
    assert "next: Make a first short test" in run(capsys, "check", str(record))[1]
    assert read_house(record).facts() == {}
    assert find_record(record.parent).name == "alder-court.toml"  # until there is something of one's own
    record.write_text(re.sub(r"^# (?=\[|[a-z_]+ = )", "", text, flags=re.MULTILINE), encoding="utf-8")
    (test,) = read_house(record).test
    assert test.concentration is not None
    assert test.length == 72 * 3600
    assert "next: One short test decides nothing yet" in run(capsys, "check", str(record))[1]
    assert find_record(record.parent) == record


def test_a_folder_without_a_name_is_refused_and_nothing_is_put_there(
    capsys: Said, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for command in (
        ["new", ""],
        ["new", "  "],
        ["open", ""],
        ["templates", str(HOUSES / "alder-court.toml"), "-o", ""],
    ):
        assert "an empty name is none" in refused(capsys, *command)
    assert list(tmp_path.iterdir()) == []


def test_every_field_is_listed_with_what_it_takes(capsys: Said) -> None:
    _, out, _ = run(capsys, "fields")
    assert [line.partition(": ")[0] for line in out.splitlines()] == [path for path, _ in fields_of(House)]
    _, out, _ = run(capsys, "fields", "test")
    lines = dict(line.split(": ", 1) for line in out.splitlines())
    assert all(path.startswith("test[].") for path in lines)
    assert lines["test[].kind"] == '"short-term" or "long-term"'
    assert lines["test[].severe_weather"] == "true or false"
    assert lines["test[].start"].startswith("a day")
    assert lines["test[].place"] == 'text in quotes, such as "basement, north half"'
    assert lines["test[].notes"] == "text in quotes"
    assert lines["test[].concentration"].endswith('such as "10.1 pCi/L"')  # as an invented house has it
    assert not re.search(r'such as "(0 |-)', out)
    assert "test_hole" in run(capsys, "fields", "proof.test_hole")[1]
    assert "90° elbow, regular; 90° elbow, long sweep" in run(capsys, "fields", "run.piece")[1]
    assert "in the leg of the branch, at the stop" in run(capsys, "fields", "fitting")[1]  # its own, not the term's
    assert "no section 'zeppelin'" in refused(capsys, "fields", "zeppelin")


def test_a_report_is_written_beside_and_moved_into_place(capsys: Said, tmp_path: Path) -> None:
    shutil.copy(HOUSES / "kestrel-lane.toml", tmp_path)
    code, out, _ = run(capsys, "report", str(tmp_path / "kestrel-lane.toml"), "-o", str(tmp_path / "r.html"))
    assert code == 0
    assert "r.html" in out
    assert "Kestrel Lane" in (tmp_path / "r.html").read_text(encoding="utf-8")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["kestrel-lane.toml", "r.html"]


def test_a_report_of_some_parts_holds_those_and_says_what_it_leaves_out(capsys: Said, tmp_path: Path) -> None:
    file = tmp_path / "r.html"
    code, _, _ = run(capsys, "report", str(HOUSES / "kestrel-lane.toml"), "-o", str(file), "--part", "8", "--part", "4")
    page = file.read_text(encoding="utf-8")
    assert code == 0
    assert [key for key in ("pipes", "roof", "discharge", "suction", "tests") if f'id="{key}"' in page] == [
        "pipes",
        "roof",
        "discharge",
    ]
    assert page.count("not part of this report") == 8
    assert "part" in refused(capsys, "report", "house.toml", "-o", str(file), "--part", "12")
