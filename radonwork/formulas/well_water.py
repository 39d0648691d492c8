"""Radon that comes into the air of a house with its water."""

import sympy

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import formula, symbol
from radonwork.engine.sources import Source

_BOX = Source("nas-1999-drinking-water", "p. 50: use and release of water against ventilation of the volume")


@formula("water_transfer", _BOX, water_release=("0", "1"))
def water_transfer(water_use, water_release, house_volume, air_change_rate):
    """Share of the water's radon concentration that stands in the air of the house.

    Assumes one well-mixed volume, steady use and ventilation, and a loss by decay that is small beside ventilation.
    """
    return water_use * water_release / (house_volume * air_change_rate)


@formula("water_radon_rise", Source(kind="derived", place="the definition of the transfer"))
def water_radon_rise(water_transfer, water_radon):
    """Radon in the house's air that comes from its water."""
    return water_transfer * water_radon


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

__all__ = ["water_radon_rise", "water_transfer"]
