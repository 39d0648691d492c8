"""A term of a statement, worked from a result: where algebra gives no form, the term is searched for."""

from typing import Any

import numpy as np
import pytest
import scipy.optimize
import scipy.special
import scipy.stats

from radonwork.cli import main
from radonwork.engine import searched
from radonwork.engine.formula import NotSolvable, RangeError, TermError
from radonwork.engine.searched import turned
from radonwork.engine.solver import Solver
from radonwork.engine.sources import Source
from radonwork.formulas.fittings import converging_run_tee, mitre_coefficient
from radonwork.formulas.framing import stud_share
from radonwork.formulas.soil import point_sink_suction
from radonwork.formulas.statistics import share_above
from radonwork.solvers.friction import straight_pipe
from radonwork.solvers.insertion import longest_pipe, pipe_insertion
from radonwork.solvers.moist_air import air_from_wet_bulb, saturated_air
from radonwork.solvers.vent_air import vent_air
from tests.statements import ALL_FORMULAS, ALL_SOLVERS, held_points

AIR = {"air_density": 1.2, "air_viscosity": 1.8e-5, "wall_roughness": 0.0}


def worked_back(statement: Any, **given: float) -> dict[str, float]:
    found = turned(statement, given)(**given)
    return found if isinstance(found, dict) else {turned(statement, given).result: found}


def refusal(statement: Any, **given: float) -> str:
    with pytest.raises(RangeError) as raised:
        turned(statement, given)(**given)
    assert "\n" not in str(raised.value)
    return str(raised.value)


def unsolvable() -> list[tuple[Any, str]]:
    """Every term for which a formula has no closed form."""
    found = []
    for formula in ALL_FORMULAS:
        for name in formula.takes:
            try:
                formula.solved_for(name)
            except NotSolvable:
                found.append((formula, name))
    return found


# ---------------------------------------------------------------- every statement


TURNS = [(s, name, s.gives[0]) for s in ALL_SOLVERS for name in s.takes if name not in s.defaults]
TURNS += [(f, name, f.result) for f, name in unsolvable() if name not in f.defaults]


@pytest.mark.parametrize(("statement", "name", "result"), TURNS, ids=lambda x: getattr(x, "name", x))
def test_a_term_that_was_given_comes_back_from_the_result(
    statement: Any, name: str, result: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Or the refusal names it among several, or says that the result does not tell it."""
    monkeypatch.setattr(searched, "_TRIED", 30)
    (point,) = held_points(statement, 12, seed=5)[:1]
    answer = statement(**point)
    given = {other: value for other, value in point.items() if other != name}
    given[result] = answer[result] if isinstance(answer, dict) else answer
    try:
        found = turned(statement, given)(**given)
    except RangeError as several:
        found = str(several)
    if isinstance(found, str):
        assert "does not tell" in found
        return
    again = statement(**{**point, name: found[name]})
    again = again if isinstance(again, dict) else {result: again}
    assert again[result] == pytest.approx(given[result], rel=1e-6, abs=1e-9)
    assert {other: again[other] for other in found if other != name} == pytest.approx(
        {other: value for other, value in found.items() if other != name}
    )


# ---------------------------------------------------------------- against what others find


def test_the_level_that_a_share_of_houses_exceeds_is_that_of_scipy() -> None:
    for share in (0.01, 0.05, 0.5, 0.9):
        found = worked_back(share_above, share_above=share, geometric_mean=100.0, log_spread=1.1)
        assert found["compared_level"] == pytest.approx(scipy.stats.lognorm.isf(share, 1.1, scale=100.0), rel=1e-9)


def test_the_place_to_which_suction_reaches_is_where_scipy_finds_it() -> None:
    found = worked_back(point_sink_suction, field_suction=1.0, pit_suction=250.0, pit_radius=0.15, leakage_length=3.0)
    k0 = scipy.special.k0
    reach = scipy.optimize.brentq(lambda r: 250.0 * k0(r / 3.0) / k0(0.05) - 1.0, 0.15, 50.0, xtol=1e-12)
    assert found["point_distance"] == pytest.approx(reach, rel=1e-9)


def test_the_flow_and_the_bore_of_laminar_pipe_are_those_of_poiseuille() -> None:
    # Loss = 128 mu L Q / (pi D^4), solved by hand for Q and for D
    loss, length, bore = 0.05, 10.0, 0.05
    flow = np.pi * bore**4 * loss / (128 * AIR["air_viscosity"] * length)
    terms = {**AIR, "friction_loss": loss, "straight_length": length}
    assert worked_back(straight_pipe, bore=bore, **terms)["air_flow"] == pytest.approx(flow, rel=1e-9)
    assert worked_back(straight_pipe, air_flow=float(flow), **terms)["bore"] == pytest.approx(bore, rel=1e-9)


def test_the_pipe_that_leaves_no_margin_in_the_slot_is_the_longest_that_the_slot_lets_through() -> None:
    given = {"room_height": 2.44, "member_thickness": 0.038, "pipe_outside_diameter": 0.089, "slot_length": 0.13}
    found = worked_back(pipe_insertion, slot_margin=0.0, slot_start=0.0, bay_width=0.368, foot_lift_pit=0.0, **given)
    longest = longest_pipe(bay_room=0.368, foot_lift_pit=0.0, **given)
    assert found["pipe_length"] == pytest.approx(longest["longest_by_slot"], rel=1e-9)


# ---------------------------------------------------------------- what is told


def test_a_solver_gives_its_other_results_with_the_term() -> None:
    found = worked_back(air_from_wet_bulb, air_temperature=293.15, relative_humidity=0.5, barometric_pressure=101325.0)
    assert set(found) == {"wet_bulb_temperature", *air_from_wet_bulb.gives} - {"relative_humidity"}
    assert found["dew_point"] < found["wet_bulb_temperature"] < 293.15


def test_a_root_at_the_very_end_of_what_holds_is_found() -> None:
    found = worked_back(air_from_wet_bulb, air_temperature=293.15, relative_humidity=1.0, barometric_pressure=101325.0)
    assert found["wet_bulb_temperature"] == pytest.approx(293.15, abs=1e-9)


def test_a_term_with_a_usual_value_is_searched_for_where_it_alone_is_not_stated() -> None:
    found = worked_back(vent_air, air_temperature=285.0, relative_humidity=1.0, barometric_pressure=90000.0)
    assert found["altitude"] == pytest.approx(988.6, abs=1.0)  # US Standard Atmosphere 1976: 89875 Pa at 1000 m
    with pytest.raises(TermError, match="not given: relative_humidity, altitude"):
        turned(vent_air, {"air_temperature", "barometric_pressure"})


def test_a_result_with_two_terms_missing_names_both() -> None:
    with pytest.raises(TermError, match="not given: compared_level, log_spread"):
        turned(share_above, {"share_above", "geometric_mean"})


def test_several_roots_are_named_and_none_is_chosen() -> None:
    assert "58.05 % and 96.95 % give it" in refusal(converging_run_tee, loss_coefficient=0.5628)  # a parabola's two
    assert "and so do values between them" in refusal(
        straight_pipe, flow_regime=2.0, straight_length=10.0, bore=0.08, **AIR
    )


def test_a_whole_number_is_searched_among_whole_numbers() -> None:
    assert worked_back(stud_share, largest_share=0.4) == {"stud_kind": -1.0}
    assert "0 and 1 give it" in refusal(stud_share, largest_share=0.6)


def test_what_no_value_gives_and_what_the_other_terms_forbid_is_said() -> None:
    assert "no bend angle is found that gives loss coefficient 9" in refusal(mitre_coefficient, loss_coefficient=9.0)
    assert "barometric pressure" in refusal(saturated_air, humidity_ratio=0.01, barometric_pressure=-1.0)
    assert "pit radius" in refusal(
        point_sink_suction, field_suction=1.0, pit_suction=2.0, pit_radius=-1.0, leakage_length=3.0
    )


def test_a_leap_of_the_result_is_no_root() -> None:
    def leaping(pipe_outside_diameter: float) -> dict[str, float]:
        return {"bore": 0.05 if pipe_outside_diameter < 0.1 else 0.09}

    made = Source(kind="derived", place="made for a test")
    leaps = Solver("leaps", "A leap", ("bore",), ("pipe_outside_diameter",), made, leaping)
    assert "no pipe outside diameter is found that gives bore" in refusal(leaps, bore=0.07)


# ---------------------------------------------------------------- the command


def test_the_command_works_a_term_from_a_result(capsys: pytest.CaptureFixture[str]) -> None:
    code = main(["work", "share_above", "share_above=5 %", "geometric_mean=1 pCi/L", "log_spread=1.0986"])
    out = capsys.readouterr().out
    assert code == 0
    assert "searched for the compared level" in out
    assert "5 % = erfc(ln((6.09236 pCi/L) / (1 pCi/L))" in out
    assert "L_1 = 6.0924 pCi/L" in out
