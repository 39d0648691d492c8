"""Radon from water derived: what the water brings against what the air takes away."""

import sympy

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import symbol
from radonwork.formulas.well_water import water_radon_rise, water_transfer

_W, _e, _V, _lambda, _f, _C_w, _C_wr = (
    symbol(name)
    for name in (
        "water_use", "water_release", "house_volume", "air_change_rate", "water_transfer", "water_radon",
        "water_radon_rise",
    )
)  # fmt: skip
_in, _out = sympy.symbols("R_in R_out", positive=True)

Derivation(of=water_transfer, title="From the water to the air").premise(
    "gives", Eq(_in, _W * _C_w * _e), "In each time the water used gives off a share of the radon that it holds."
).premise(
    "leaves",
    Eq(_out, _lambda * _V * _C_wr),
    "In each time ventilation carries out what stands in the air it takes along.",
).premise("steady", Eq(_in, _out), "The level is steady when as much leaves as is given off.").premise(
    "transfer", Eq(_f, _C_wr / _C_w), "The transfer is the air's rise over the water's radon."
).step("balance", lambda steady, gives, leaves: steady.subs({_in: gives.rhs, _out: leaves.rhs}), "Put both in.").step(
    "rise", lambda balance: Eq(_C_wr, sympy.solve(balance, _C_wr)[0]), "Solve for the rise."
).step(
    "result",
    lambda transfer, rise: transfer.subs(_C_wr, rise.rhs),
    "Over the water's radon that is the transfer, whatever the water holds.",
)

Derivation(of=water_radon_rise, title="The rise that the water makes").premise(
    "transfer", Eq(_f, _C_wr / _C_w), "The transfer is the air's rise over the water's radon."
).step("result", lambda transfer: Eq(_C_wr, sympy.solve(transfer, _C_wr)[0]), "Solve for the rise.")
