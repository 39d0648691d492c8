"""The share of cancers due to radon derived from counts with it and without."""

import sympy

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import symbol
from radonwork.formulas.radon_risk import attributable_risk

_e, _share_ar = symbol("excess_risk"), symbol("attributable_risk")
_with, _without = sympy.symbols("n_1 n_0", positive=True)

Derivation(of=attributable_risk, title="Cancers that would not be there").premise(
    "all",
    Eq(_with, (1 + _e) * _without),
    "Each home's radon raises its people's risk by a factor; the mean of the factors over the homes is 1 + e.",
).premise("share", Eq(_share_ar, (_with - _without) / _with), "The share is what radon adds, over all there are.").step(
    "result",
    lambda share, all: Eq(_share_ar, sympy.factor(share.rhs.subs(_with, all.rhs))),
    "The number without radon drops out.",
)
