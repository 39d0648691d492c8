"""What radon turns into derived: Bateman's chain by Laplace transform, alpha energy by atoms, steady balances."""

import sympy
from sympy import Rational, log

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, symbol
from radonwork.formulas.radon import (
    activity_share,
    bismuth_activity,
    decay_constant,
    equilibrium_radon,
    lead_activity,
    polonium_activity,
    potential_alpha_energy,
    radon_left,
    steady_factor,
)

# ---------------------------------------------------------------- decay and ingrowth

_C, _t, _half = symbol("radon_at_start"), symbol("air_age"), symbol("half_life")
_T, _P, _L, _B = (symbol(n) for n in ("radon_half_life", "polonium_half_life", "lead_half_life", "bismuth_half_life"))
_image, _constant = sympy.symbols("a lambda", positive=True)
_s = sympy.Symbol("s")
_N, _R, _A = (sympy.Function(name) for name in ("N", "A_1", "A_2"))

Derivation(of=decay_constant, title="Decay constant and half-life").premise(
    "decay", Eq(_N(_t).diff(_t), -_constant * _N(_t)), "Of the atoms there are, the same share decays in each moment."
).premise("half", Eq(_N(_half) / _N(0), Rational(1, 2)), "After one half-life half of them are left.").step(
    "course",
    lambda decay: sympy.dsolve(decay, _N(_t), ics={_N(0): sympy.Symbol("N_0")}),
    "Solve for their number.",
).step(
    "left",
    lambda course, half: Eq((course.rhs / course.rhs.subs(_t, 0)).subs(_t, _half), half.rhs),
    "What is left of them after one half-life.",
).step(
    "constant",
    lambda left: Eq(symbol("decay_constant"), sympy.expand_log(sympy.solve(left, _constant)[0])),
    "Solve for the decay constant.",
)

Derivation(of=radon_left, title="Radon left in air that stands").premise(
    "decay",
    Eq(_R(_t).diff(_t), -log(2) / _T * _R(_t)),
    "In each moment a share of the radon decays, the logarithm of two over its half-life; none comes in.",
).step(
    "left",
    lambda decay: Eq(symbol("radon_left"), sympy.dsolve(decay, _R(_t), ics={_R(0): _C}).rhs),
    "Solve it, from the radon at the start.",
)


_MARKS = {half: sympy.Symbol(f"x_{half.name}") for half in (_T, _P, _L, _B)}  # each stands for 2^(-t/T)


def _parts(activity: sympy.Expr) -> dict[sympy.Symbol, sympy.Expr]:
    """The factor of 2^(-t/T) in an activity, by half-life."""
    marked = activity.doit().subs({2 ** (-_t / half): mark for half, mark in _MARKS.items()})
    return {half: sympy.factor(factor) for half, mark in _MARKS.items() if (factor := marked.diff(mark)) != 0}


def _back(image: sympy.Expr) -> sympy.Expr:
    """The inverse, pole by pole: each c/(s + 1/T) in it becomes c 2^(-t/T)."""
    above, below = sympy.fraction(sympy.factor(image))
    residues = ((pole, (above / below.diff(_s)).subs(_s, pole)) for pole in sympy.solve(below, _s))
    return sympy.Add(*(residue * 2 ** (pole * _t) for pole, residue in residues))


def _ingrowth(of: Formula, parent: Formula, half: sympy.Symbol, name: str, before: str) -> None:
    """One link of the chain: what is known of the kind before, and the balance of the kind that it makes."""
    Derivation(of=of, title=f"How {name} grows in").premise(
        "before",
        Eq(_R(_t), parent.expression),
        f"So much {before} is there at each moment, by the step before.",
    ).premise(
        "balance",
        Eq(_A(_t).diff(_t), log(2) / half * (_R(_t) - _A(_t))),
        f"Each decay of {before} makes an atom of {name}, and a fixed share of its atoms decays; times its decay constant.",
    ).premise(
        "transform",
        Eq(_image, log(2) * sympy.Integral(_A(_t) * 2 ** (-_s * _t), (_t, 0, sympy.oo))),
        "Transform with powers of two, so that 2^(-t/T) becomes 1/(s + 1/T), and a slope becomes s times the image if "
        "nothing is there at the start; the logarithm of two drops out.",
    ).step(
        "image",
        lambda before, balance: Eq(
            _image,
            sympy.solve(
                balance.subs(_A(_t).diff(_t), log(2) * _s * _image)
                .subs(_A(_t), _image)
                .subs(_R(_t), sum(factor / (_s + 1 / T) for T, factor in _parts(before.rhs).items())),
                _image,
            )[0].factor(),
        ),
        f"The image of {name}.",
    ).step(
        "course",
        lambda image: Eq(_A(_t), _back(image.rhs)),
        "Go back pole by pole: each half-life gives one power of two.",
    ).step(
        "result",
        lambda course: Eq(
            symbol(of.result),
            _C * sympy.Add(*(sympy.factor(factor / _C) * 2 ** (-_t / T) for T, factor in _parts(course.rhs).items())),
        ),
        "Gather what belongs to each half-life.",
    )


_ingrowth(polonium_activity, radon_left, _P, "polonium-218", "radon")
_ingrowth(lead_activity, polonium_activity, _L, "lead-214", "polonium-218")
_ingrowth(bismuth_activity, lead_activity, _B, "bismuth-214", "lead-214")

# ---------------------------------------------------------------- alpha energy and equilibrium

_Po, _Pb, _Bi, _Rn = (symbol(n) for n in ("polonium_activity", "lead_activity", "bismuth_activity", "radon_left"))
_E1, _E2, _c_p, _C_eq = (symbol(n) for n in ("first_alpha", "second_alpha", "working_level", "equilibrium_radon"))
_N_P, _N_L, _N_B = sympy.symbols("N_Po N_Pb N_Bi", positive=True)

Derivation(of=potential_alpha_energy, title="Alpha energy still to come").premise(
    "energy",
    Eq(_c_p, (_E1 + _E2) * _N_P + _E2 * _N_L + _E2 * _N_B),
    "An atom of polonium-218 will give off two alpha rays, one now and one as polonium-214; an atom of lead or bismuth "
    "only the second.",
).premise(
    "polonium", Eq(_Po, log(2) / _P * _N_P), "Activity is the number of atoms times their decay constant."
).premise("lead", Eq(_Pb, log(2) / _L * _N_L), "So for lead.").premise(
    "bismuth", Eq(_Bi, log(2) / _B * _N_B), "And for bismuth."
).step(
    "result",
    lambda energy, polonium, lead, bismuth: energy.subs(
        {
            _N_P: sympy.solve(polonium, _N_P)[0],
            _N_L: sympy.solve(lead, _N_L)[0],
            _N_B: sympy.solve(bismuth, _N_B)[0],
        }
    ),
    "Put the numbers of atoms into the energy.",
)

Derivation(of=equilibrium_radon, title="Equilibrium equivalent concentration").premise(
    "energy",
    Eq(_c_p, potential_alpha_energy.expression.doit()),
    "The alpha energy to come, as derived for any mixture.",
).premise(
    "equal",
    Eq(_c_p, potential_alpha_energy.expression.doit().subs({_Po: _C_eq, _Pb: _C_eq, _Bi: _C_eq})),
    "In equilibrium each kind is as active as the radon; let that radon be so much that the energy is the same.",
).step(
    "result",
    lambda energy, equal: Eq(_C_eq, sympy.solve(equal.subs(_c_p, energy.rhs), _C_eq)[0]),
    "Solve for that radon.",
)

_r, _a, _p = symbol("activity_share"), symbol("air_change_rate"), symbol("plateout_rate")
_A_1, _A_2 = sympy.symbols("A_1 A_2", positive=True)

Derivation(of=activity_share, title="One decay product in air that is exchanged").premise(
    "balance",
    Eq(log(2) / _half * (_A_1 - _A_2), (_a + _p) * _A_2),
    "In steady air, what the kind before makes beyond what decays is what air and walls take away.",
).premise("share", Eq(_r, _A_2 / _A_1), "The share is one activity over the other.").step(
    "activity", lambda balance: Eq(_A_2, sympy.solve(balance, _A_2)[0]), "Solve for the activity."
).step(
    "result",
    lambda share, activity: Eq(_r, sympy.cancel(share.rhs.subs(_A_2, activity.rhs))),
    "Over that of the kind before.",
)

_r_P, _r_L, _r_B, _F_v = (symbol(n) for n in ("polonium_share", "lead_share", "bismuth_share", "steady_factor"))

Derivation(of=steady_factor, title="Equilibrium factor of air that is exchanged").premise(
    "mixture", Eq(_C_eq, equilibrium_radon.expression.doit()), "The equilibrium equivalent of any mixture, as derived."
).premise("factor", Eq(_F_v, _C_eq / _Rn), "The factor is that over the radon.").premise(
    "polonium", Eq(_Po, _r_P * _Rn), "Polonium-218 is a share of the radon."
).premise("lead", Eq(_Pb, _r_L * _Po), "Lead-214 is a share of the polonium.").premise(
    "bismuth", Eq(_Bi, _r_B * _Pb), "Bismuth-214 is a share of the lead."
).step(
    "result",
    lambda mixture, factor, polonium, lead, bismuth: Eq(
        _F_v,
        sympy.factor(
            factor.rhs.subs(_C_eq, mixture.rhs).subs(_Bi, bismuth.rhs).subs(_Pb, lead.rhs).subs(_Po, polonium.rhs)
        ),
    ),
    "Put one into the other.",
)
