"""The fittings that have a closed form derived: a widening by momentum and energy, an opening by Bernoulli."""

import sympy
from sympy import pi

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import symbol
from radonwork.formulas.fittings import (
    equivalent_length_coefficient,
    fitting_loss,
    moved_coefficient,
    opening_coefficient,
    opening_flow,
    sudden_expansion,
)

_K, _p_v, _loss = symbol("loss_coefficient"), symbol("velocity_pressure"), symbol("fitting_loss")
_D_K, _D, _K_D = symbol("reference_bore"), symbol("bore"), symbol("moved_coefficient")
_narrow, _wide = symbol("narrow_bore"), symbol("wide_bore")
_rho, _Q, _f, _L_e = (symbol(n) for n in ("air_density", "air_flow", "darcy_factor", "equivalent_length"))
_C_d, _A_o, _p_o = symbol("discharge_coefficient"), symbol("opening_area"), symbol("opening_suction")
_u_1, _u_2, _A_1, _A_2, _rise, _lost, _u = sympy.symbols("u_1 u_2 A_1 A_2 p_21 Delta_p u", positive=True)

Derivation(of=fitting_loss, title="Loss of a fitting").premise(
    "definition", Eq(_K, _loss / _p_v), "A loss coefficient is loss over velocity pressure."
).step("loss", lambda definition: Eq(_loss, sympy.solve(definition, _loss)[0]), "Take the loss.")

Derivation(of=moved_coefficient, title="A coefficient on another bore").premise(
    "same",
    Eq(_K_D * _rho * _u_2**2 / 2, _K * _rho * _u_1**2 / 2),
    "The fitting loses what it loses, whichever velocity it is measured by.",
).premise("continuity", Eq(_u_1 * pi * _D_K**2 / 4, _u_2 * pi * _D**2 / 4), "The same flow passes both bores.").step(
    "moved",
    lambda same, continuity: Eq(_K_D, sympy.solve(same, _K_D)[0].subs(_u_1, sympy.solve(continuity, _u_1)[0])),
    "Solve for the coefficient in the other bore.",
)

Derivation(of=equivalent_length_coefficient, title="Equivalent length as a coefficient").premise(
    "same",
    Eq(_K * _p_v, _f * _L_e / _D * _p_v),
    "The fitting loses what that length of straight pipe loses, by Darcy and Weisbach.",
).step("coefficient", lambda same: Eq(_K, sympy.solve(same, _K)[0]), "Solve for the coefficient.")

Derivation(of=sudden_expansion, title="Sudden expansion").premise(
    "momentum",
    Eq(_rise * _A_2, _rho * _u_2 * _A_2 * (_u_1 - _u_2)),
    "The narrow pipe's pressure acts on the whole face of the step; what the pressure rises by slows the stream.",
).premise("continuity", Eq(_u_1 * _A_1, _u_2 * _A_2), "The same flow passes both pipes.").premise(
    "energy",
    Eq(_lost, _rho * _u_1**2 / 2 - _rho * _u_2**2 / 2 - _rise),
    "What velocity pressure the stream gives up and does not find again as pressure is lost.",
).premise("areas", Eq(_A_1 / _A_2, (_narrow / _wide) ** 2), "Areas go with the square of the bores.").step(
    "slower", lambda continuity: Eq(_u_2, sympy.solve(continuity, _u_2)[0]), "The velocity after the step."
).step(
    "lost",
    lambda momentum, energy, slower: Eq(
        _lost, sympy.factor(energy.rhs.subs(_rise, sympy.solve(momentum, _rise)[0]).subs(_u_2, slower.rhs))
    ),
    "Put the rise and the velocity into the energy: a square is left.",
).step(
    "coefficient",
    lambda lost, areas: Eq(
        _K, sympy.factor(sympy.simplify(lost.rhs / (_rho * _u_1**2 / 2)).subs(_A_1, _A_2 * areas.rhs))
    ),
    "Over the velocity pressure in the narrow bore.",
)


def _opening(derivation: Derivation) -> Derivation:
    """Velocity of the jet through an opening."""
    return derivation.premise(
        "bernoulli", Eq(_p_o, _rho * _u**2 / 2), "Still air outside turns the pressure difference into velocity."
    ).premise(
        "jet", Eq(_Q, _C_d * _A_o * _u), "The jet is narrower and a little slower: what share of the area it fills."
    )


_opening(Derivation(of=opening_flow, title="Flow through an opening")).step(
    "velocity", lambda bernoulli: Eq(_u, sympy.solve(bernoulli, _u)[0]), "The velocity of the jet."
).step("flow", lambda jet, velocity: jet.subs(_u, velocity.rhs), "Put it in.")

_opening(Derivation(of=opening_coefficient, title="An opening as a loss coefficient")).premise(
    "definition",
    Eq(_K, _p_o / (_rho * (_Q / _A_o) ** 2 / 2)),
    "The coefficient measures the pressure difference by the mean velocity in the opening's area.",
).step(
    "coefficient",
    lambda definition, bernoulli, jet: Eq(_K, sympy.simplify(definition.rhs.subs({_p_o: bernoulli.rhs, _Q: jet.rhs}))),
    "Put pressure and flow in: only the jet's share is left.",
)
