"""Losses of fittings: coefficients on the velocity pressure of a stated bore.

What follows from momentum and Bernoulli is derived (sudden expansion, an opening); the rest is measured and comes from
handbooks, whose figures for one fitting differ by up to a third and, in plastic vent pipe, by more. Coefficients of wyes
and tees stand on the velocity of the combined flow; below zero one stream drags the other. Where a handbook's factor
jumps at some share of flow, the larger of its two pieces is taken everywhere: the statement then has no jump, and equals
the handbook's outside a narrow span that its docstring names.
"""

from sympy import Max, Min, Piecewise, Rational, cos, pi, sin, sqrt

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_CRANE = Source("crane-tp410-2009", "loss coefficients of fittings")
_JUNCTIONS = Source("crane-tp410-2009", "wyes and tees, with its errata, as run in the fluids library")
_RENNELS = Source("rennels-hudson-2012", "as quoted in the fluids library")
_MOMENTUM = Source(kind="derived", place="momentum, energy and continuity (Borda and Carnot)")
_BERNOULLI = Source(kind="derived", place="Bernoulli through an opening")


@formula("fitting_loss", Source(kind="derived", place="the definition of a loss coefficient"))
def fitting_loss(loss_coefficient, velocity_pressure):
    """Pressure a fitting takes: its coefficient times the velocity pressure in its reference bore."""
    return loss_coefficient * velocity_pressure


@formula("moved_coefficient", Source(kind="derived", place="the same loss on another velocity pressure"))
def moved_coefficient(loss_coefficient, reference_bore, bore):
    """A loss coefficient written on the velocity pressure in another bore."""
    return loss_coefficient * (bore / reference_bore) ** 4


@formula("loss_coefficient", Source(kind="derived", place="the same loss in straight pipe"))
def equivalent_length_coefficient(darcy_factor, equivalent_length, bore):
    """Loss coefficient of a fitting stated as a length of straight pipe."""
    return darcy_factor * equivalent_length / bore


@formula("loss_coefficient", _CRANE)
def rough_multiple_coefficient(fitting_multiple, rough_factor):
    """Loss coefficient of a fitting as a multiple of the friction factor of its rough pipe.

    Assumes the handbook's steel fittings of the pipe's bore; moulded plastic ones differ, see the table of fittings.
    """
    return fitting_multiple * rough_factor


_NARROWER = {"the narrow bore is not wider than the wide one": lambda narrow_bore, wide_bore: narrow_bore <= wide_bore}


@formula("loss_coefficient", _MOMENTUM, when=_NARROWER)
def sudden_expansion(narrow_bore, wide_bore):
    """Loss coefficient of a sudden expansion, on the narrow bore.

    Assumes an even velocity before and after, and the pressure of the jet on the face of the step.
    """
    return (1 - (narrow_bore / wide_bore) ** 2) ** 2


@formula("loss_coefficient", _RENNELS, when=_NARROWER)
def sudden_contraction(narrow_bore, wide_bore):
    """Loss coefficient of a sudden contraction with a sharp edge, on the narrow bore.

    Assumes turbulent flow. Handbooks differ by up to a third.
    """
    ratio = narrow_bore / wide_bore
    jet = Rational("0.622") * (1 - Rational("0.215") * ratio**2 - Rational("0.785") * ratio**5)
    return Rational("0.0696") * (1 - ratio**5) * (1 + jet) ** 2 + jet**2


@formula("loss_coefficient", _CRANE, when=_NARROWER)
def sudden_contraction_crane(narrow_bore, wide_bore):
    """Loss coefficient of a sudden contraction, on the narrow bore, in the older handbook's simpler form.

    Assumes turbulent flow and a sharp edge.
    """
    return (1 - (narrow_bore / wide_bore) ** 2) / 2


@formula(
    "loss_coefficient",
    Source(kind="common practice, no source", place="no measurement found; bounded by an expansion and a contraction"),
    when=_NARROWER,
)
def coupling_coefficient(narrow_bore, wide_bore):
    """Loss coefficient of a flexible coupling between two ends of pipe, on the bore of the pipe.

    Assumes a gap as wide as the sleeve's bore and long enough for the jet to fill it: a sudden expansion and a sudden
    contraction, an upper bound. Where the ends meet inside the sleeve there is nearly no loss.
    """
    ratio = narrow_bore / wide_bore
    return (1 - ratio**2) ** 2 + (1 - ratio**2) / 2


@formula("loss_coefficient", _RENNELS, bend_angle=("0 deg", "150 deg"))
def mitre_coefficient(bend_angle):
    """Loss coefficient of a mitre bend, two pipes cut and joined without a curve.

    Assumes turbulent flow and straight pipe on both sides.
    """
    half = sin(bend_angle / 2)
    return Rational("0.42") * half + Rational("2.56") * half**3


@formula("air_flow", _BERNOULLI, discharge_coefficient=("0.3", "1"))
def opening_flow(discharge_coefficient, opening_area, opening_suction, air_density):
    """Flow of air through an opening, such as a hole in a sump lid.

    Assumes still air on the outer side and an opening small beside what it opens into. The discharge coefficient is
    about 0.6 for a sharp edge; a round edge takes it toward 1.
    """
    return discharge_coefficient * opening_area * sqrt(2 * opening_suction / air_density)


@formula("loss_coefficient", _BERNOULLI, discharge_coefficient=("0.3", "1"))
def opening_coefficient(discharge_coefficient):
    """Loss coefficient of an opening on the velocity pressure of its own area."""
    return 1 / discharge_coefficient**2


# ---------------------------------------------------------------- wyes and tees, on the combined velocity
# Branch share x, bore ratio beta = branch bore over run bore; the run and the combined leg have one bore.


@formula("angle_factor", _JUNCTIONS, junction_angle=("30 deg", "90 deg"))
def angle_factor(junction_angle):
    """How much the angle of a converging wye helps; about twice the cosine, read straight between the printed angles.

    Assumes the handbook's rounded figures: 1.74 at 30°, 1.41 at 45°, 1 at 60°, 0 at 90°; below 30° it prints none.
    """
    return Piecewise(
        (Rational("1.74") - Rational("0.33") * (junction_angle - pi / 6) / (pi / 12), junction_angle <= pi / 4),
        (Rational("1.41") - Rational("0.41") * (junction_angle - pi / 4) / (pi / 12), junction_angle <= pi / 3),
        ((pi / 2 - junction_angle) / (pi / 6), True),
    )


@formula("loss_coefficient", _JUNCTIONS, branch_share=("0", "1"), branch_bore_ratio=("0.2", "1"))
def converging_branch(branch_share, branch_bore_ratio, angle_factor="0"):
    """Loss coefficient from the branch of a wye or tee into the combined flow, streams joining.

    Assumes run and combined leg of one bore, and a tee where no angle factor is given. With a wide branch the handbook
    takes 0.9 (1 - x) up to a share of 0.4, then 0.55; the larger of the two is taken, at most 1.9 % above it and only
    for shares of 0.389 to 0.4.
    """
    area = branch_bore_ratio**2
    scale = Piecewise(
        (1, area <= Rational("0.35")), (Max(Rational("0.9") * (1 - branch_share), Rational("0.55")), True)
    )
    return scale * (
        1 + (branch_share / area) ** 2 - 2 * (1 - branch_share) ** 2 - angle_factor * branch_share**2 / area
    )


@formula("loss_coefficient", _JUNCTIONS, branch_share=("0", "1"), branch_bore_ratio=("0.2", "1"))
def converging_run_wye(branch_share, branch_bore_ratio, angle_factor):
    """Loss coefficient along the run of a wye into the combined flow, streams joining.

    Assumes run and combined leg of one bore, and a branch at 60° or less.
    """
    return 1 - (1 - branch_share) ** 2 - angle_factor * branch_share**2 / branch_bore_ratio**2


@formula("loss_coefficient", _JUNCTIONS, branch_share=("0", "1"))
def converging_run_tee(branch_share):
    """Loss coefficient along the run of a tee into the combined flow, streams joining.

    Assumes run and combined leg of one bore.
    """
    return Rational("1.55") * branch_share - branch_share**2


@formula(
    "loss_coefficient",
    _JUNCTIONS,
    junction_angle=("0 deg", "60 deg"),  # the handbook's case up to 60°, which the library takes from 0° on
    branch_share=("0", "1"),
    branch_bore_ratio=("0.2", "1"),
)
def diverging_branch_wye(branch_share, branch_bore_ratio, junction_angle):
    """Loss coefficient from the combined flow into the branch of a wye, streams parting.

    Assumes run and combined leg of one bore. Where the handbook's factor drops at a share of 0.4 (narrow branch) or 0.6
    (wide branch) the larger piece is taken: at most 3.7 % above it for shares of 0.357 to 0.4, 6.7 % for 0.6 to 0.667.

    Assumes a wye at 60° too, as the library describes the handbook; its code there takes a branch wider than two thirds of
    the run for a tee.
    """
    area = branch_bore_ratio**2
    scale = Piecewise(
        (Max(Rational("1.1") - Rational("0.7") * branch_share, Rational("0.85")), area <= Rational("0.35")),
        (Max(1 - Rational("0.6") * branch_share, Rational("0.6")), True),
    )
    return scale * (1 + (branch_share / area) ** 2 - 2 * branch_share / area * cos(junction_angle))


@formula("loss_coefficient", _JUNCTIONS, branch_share=("0", "1"), branch_bore_ratio=("0.2", "1"))
def diverging_branch_tee(branch_share, branch_bore_ratio):
    """Loss coefficient from the combined flow into the branch of a tee, streams parting.

    Assumes run and combined leg of one bore.
    """
    area = branch_bore_ratio**2
    square = (branch_share / area) ** 2
    return Piecewise(
        (1 + square, branch_bore_ratio <= Rational(2, 3)),
        (1 + Rational("0.3") * square, area <= Rational(2, 3)),
        ((1 + Rational("0.3") * branch_share**2) * (1 + Rational("0.3") * square), True),
    )


@formula("loss_coefficient", _JUNCTIONS, branch_share=("0", "1"), branch_bore_ratio=("0.2", "1"))
def diverging_run(branch_share, branch_bore_ratio):
    """Loss coefficient from the combined flow along the run of a wye or tee, streams parting.

    Assumes run and combined leg of one bore.
    """
    half = 2 * branch_share - 1
    scale = Piecewise(
        (Rational("0.4"), branch_bore_ratio**2 <= Rational("0.4")), (Min(2 * half, Rational("0.3") * half), True)
    )
    return scale * branch_share**2
