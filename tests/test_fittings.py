"""Losses of fittings against the fluids library, and the table of fittings against its own statements."""

import math

import fluids
import numpy as np
import pytest
from fluids.fittings import (
    K_branch_converging_Crane,
    K_branch_diverging_Crane,
    K_run_converging_Crane,
    K_run_diverging_Crane,
    bend_rounded,
    contraction_sharp,
    diffuser_sharp,
)

from radonwork.engine.formula import FORMULAS
from radonwork.engine.sources import references
from radonwork.files import table
from radonwork.formulas import fittings
from radonwork.solvers.fitting_table import FittingError, fitting, listed_fittings

INCH = 0.0254
BORES = [(2.067, 3.068), (3.068, 4.026), (1.61, 4.026), (3.0, 3.001)]
SHARES = [0.02, 0.1, 0.25, 0.35, 0.42, 0.5, 0.58, 0.7, 0.9, 0.99]
RATIOS = [0.4, 0.55, 0.6, 2.067 / 3.068, 0.75, 0.85, 1.0]
ANGLES = [30, 40, 45, 52, 60]


@pytest.mark.parametrize(("narrow", "wide"), BORES)
def test_changes_of_bore_are_those_of_the_fluids_library(narrow: float, wide: float) -> None:
    bores = {"narrow_bore": narrow * INCH, "wide_bore": wide * INCH}
    expansion = diffuser_sharp(Di1=narrow, Di2=wide, method="Rennels")
    assert fittings.sudden_expansion(**bores) == pytest.approx((1 - (narrow / wide) ** 2) ** 2, rel=1e-12)
    assert fittings.sudden_expansion(**bores) == pytest.approx(expansion, rel=1e-9)
    assert fittings.sudden_contraction(**bores) == pytest.approx(contraction_sharp(Di1=wide, Di2=narrow), rel=1e-9)
    crane = contraction_sharp(Di1=wide, Di2=narrow, method="Crane")
    assert fittings.sudden_contraction_crane(**bores) == pytest.approx(crane, rel=1e-9)
    assert fittings.coupling_coefficient(**bores) == pytest.approx(expansion + crane, rel=1e-9)


def test_an_opening_passes_what_the_library_s_plate_in_an_endless_pipe_passes() -> None:
    hole, pipe, suction, density, share = 0.02, 20.0, 130.0, 1.19, 0.62
    mass = fluids.flow_meter_discharge(D=pipe, Do=hole, P1=suction, P2=0.0, rho=density, C=share)
    ours = fittings.opening_flow(
        discharge_coefficient=share, opening_area=math.pi * hole**2 / 4, opening_suction=suction, air_density=density
    )
    assert ours == pytest.approx(mass / density, rel=1e-9)


def test_an_opening_as_a_coefficient_is_the_library_s_orifice_on_its_own_bore() -> None:
    hole, pipe, share = 0.02, 20.0, 0.62
    in_pipe = fluids.flow_meter.discharge_coefficient_to_K(D=pipe, Do=hole, C=share)
    on_hole = fluids.fittings.change_K_basis(in_pipe, pipe, hole)
    # In a pipe a little pressure is found again behind the plate: 2 C beta^2, here two parts in a million.
    assert fittings.opening_coefficient(discharge_coefficient=share) == pytest.approx(on_hole, rel=5e-6)


@pytest.mark.parametrize("angle", [30, 37, 45, 52, 60, 66, 74, 90])
def test_the_angle_factor_is_what_the_library_reads_between_the_printed_angles(angle: float) -> None:
    # With a narrow branch (C = 1) the library's branch loss at half the flow is 1 + 1/(4 b^4) - 1/2 - F/(4 b^2).
    ratio = 0.5
    loss = K_branch_converging_Crane(D_run=1.0, D_branch=ratio, Q_run=1.0, Q_branch=1.0, angle=angle)
    theirs = (1 + 0.25 / ratio**4 - 0.5 - loss) * 4 * ratio**2
    assert fittings.angle_factor(junction_angle=math.radians(angle)) == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize("angle", ANGLES)
@pytest.mark.parametrize("ratio", RATIOS)
@pytest.mark.parametrize("share", SHARES)
def test_wyes_are_those_of_the_library_but_where_its_factor_jumps(share: float, ratio: float, angle: float) -> None:
    theirs = {"D_run": 1.0, "D_branch": ratio, "Q_run": 1 - share, "Q_branch": share, "angle": angle}
    ours = {"branch_share": share, "branch_bore_ratio": ratio}
    factor = fittings.angle_factor(junction_angle=math.radians(angle))
    assert fittings.converging_branch(**ours, angle_factor=factor) == pytest.approx(
        K_branch_converging_Crane(**theirs), rel=1e-9, abs=1e-12
    )
    assert fittings.converging_run_wye(**ours, angle_factor=factor) == pytest.approx(
        K_run_converging_Crane(**theirs), rel=1e-9, abs=1e-12
    )
    assert fittings.diverging_run(**ours) == pytest.approx(K_run_diverging_Crane(**theirs), rel=1e-9, abs=1e-12)
    if not (angle == 60 and ratio > 2 / 3):  # there the library leaves the printed wye form for that of a tee
        assert fittings.diverging_branch_wye(**ours, junction_angle=math.radians(angle)) == pytest.approx(
            K_branch_diverging_Crane(**theirs), rel=1e-9, abs=1e-12
        )


@pytest.mark.parametrize("angle", [0.0, 22.5])
@pytest.mark.parametrize("share", SHARES)
def test_a_parting_wye_of_a_small_angle_is_that_of_the_library(share: float, angle: float) -> None:
    ours = fittings.diverging_branch_wye(
        branch_share=share, branch_bore_ratio=1.0, junction_angle=math.radians(angle)
    )  # fmt: skip
    theirs = K_branch_diverging_Crane(D_run=1.0, D_branch=1.0, Q_run=1 - share, Q_branch=share, angle=angle)
    assert ours == pytest.approx(theirs, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("ratio", RATIOS)
@pytest.mark.parametrize("share", SHARES)
def test_tees_are_those_of_the_library(share: float, ratio: float) -> None:
    theirs = {"D_run": 1.0, "D_branch": ratio, "Q_run": 1 - share, "Q_branch": share, "angle": 90.0}
    ours = {"branch_share": share, "branch_bore_ratio": ratio}
    assert fittings.converging_branch(**ours) == pytest.approx(K_branch_converging_Crane(**theirs), rel=1e-9)
    assert fittings.converging_run_tee(branch_share=share) == pytest.approx(K_run_converging_Crane(**theirs), rel=1e-9)
    assert fittings.diverging_branch_tee(**ours) == pytest.approx(K_branch_diverging_Crane(**theirs), rel=1e-9)


def spans() -> dict[str, tuple[float, tuple[float, float], float]]:
    """Bore ratio, span of shares and largest excess that the docstrings state."""
    return {
        "converging_branch": (1.0, (0.389, 0.4), 0.019),
        "diverging_branch_wye": (1.0, (0.6, 0.667), 0.067),
        "diverging_branch_wye narrow": (0.5, (0.357, 0.4), 0.037),
    }


@pytest.mark.parametrize("name", spans())
def test_where_the_handbook_jumps_ours_does_not_and_differs_only_in_the_span_stated(name: str) -> None:
    ratio, (low, high), most = spans()[name]
    shares = np.linspace(0.001, 0.999, 20_001)
    statement = FORMULAS[name.split()[0]]
    library = K_branch_converging_Crane if "converging" in name else K_branch_diverging_Crane
    terms = {"angle_factor": 1.41} if "converging" in name else {"junction_angle": math.pi / 4}
    ours = statement(branch_share=shares, branch_bore_ratio=ratio, **terms)
    theirs = np.array([library(D_run=1.0, D_branch=ratio, Q_run=1 - x, Q_branch=x, angle=45.0) for x in shares])
    differs = np.abs(ours - theirs) > 1e-9
    assert low - 1e-3 < shares[differs].min()
    assert shares[differs].max() < high + 1e-3
    assert 0.9 * most < np.max(np.abs(ours / theirs - 1)[differs]) < 1.01 * most
    assert np.max(np.abs(np.diff(theirs))) > 5 * np.max(np.abs(np.diff(ours)))  # a jump there, none here


def test_the_long_sweep_lies_among_the_library_s_three_methods() -> None:
    bore = 3.068 * INCH
    found = [
        bend_rounded(Di=bore, angle=90, bend_diameters=1.5, Re=4e4, roughness=1.5e-6, method=method)
        for method in ("Rennels", "Miller", "Crane")
    ]
    assert found == pytest.approx([0.260, 0.291, 0.242], abs=0.002)
    sweep = fitting("90° elbow, long sweep (r/D 1.5)")
    assert sweep.low is not None
    assert sweep.high is not None
    assert sweep.low <= min(found) <= sweep.coefficient(bore) <= max(found) <= sweep.high


def test_multiples_of_f_t_are_those_the_library_s_f_t_gives_to_a_hundredth() -> None:
    for nominal, bore in ((2, 2.067), (3, 3.068), (4, 4.026), (6, 6.065)):
        theirs = 30 * fluids.friction.ft_Crane(bore * INCH)
        # The library fits the printed, rounded f_T; here it is the rough limit of clean steel.
        assert fitting("90° elbow, regular").coefficient(bore * INCH) == pytest.approx(theirs, rel=0.011), nominal


@pytest.mark.parametrize("row", listed_fittings(), ids=lambda row: row.name)
def test_every_row_of_the_table_has_a_source_a_basis_and_a_spread_that_holds_it(row: object) -> None:
    from radonwork.solvers.fitting_table import ListedFitting

    assert isinstance(row, ListedFitting)
    assert row.basis in ("read", "reference library", "common practice, no source")
    assert (row.source.key in references()) == (row.basis != "common practice, no source")
    assert sum(given is not None for given in (row.fixed, row.multiple)) == (
        row.formula in ("", "rough_multiple_coefficient")
    )
    assert not row.formula or row.formula in FORMULAS
    if row.fixed is None and row.multiple is None:
        with pytest.raises(FittingError, match=row.formula):
            row.coefficient(3.068 * INCH)
    else:
        assert row.low is not None
        assert row.high is not None
        assert row.low <= row.coefficient(3.068 * INCH) <= row.high


def test_no_fitting_of_the_table_is_there_twice_and_an_unknown_one_is_named() -> None:
    names = [row["name"] for row in table("fittings")]
    assert len(names) == len(set(names))
    with pytest.raises(FittingError, match="no fitting is called 'elbow'") as refusal:
        fitting("elbow")
    assert "\n" not in str(refusal.value)
