"""Darcy friction factor by Colebrook's relation, and the loss of straight pipe at a flow.

Colebrook's relation has no closed form: Haaland's explicit factor is the start, Newton's rule on the relation itself
the rest. Two steps leave less than 1e-10, mostly less than 1e-13. The derivatives are those of the stated relation,
taken by sympy.
"""

from functools import cache
from typing import Any, NamedTuple

import numpy as np
import sympy
from numpy.typing import NDArray
from sympy import sqrt

from radonwork.engine.compiling import function_of
from radonwork.engine.derivation import Eq
from radonwork.engine.formula import Values, symbol
from radonwork.engine.solver import solver
from radonwork.engine.sources import Source
from radonwork.formulas import condensate, friction

Array = NDArray[np.float64]
LAMINAR_BELOW = 2040.0
"""Reynolds number up to which the reference library takes the flow as laminar."""
TURBULENT_FROM = 4000.0
"""Reynolds number from which the handbooks trust turbulent friction; between the two it is uncertain."""
_STILL = 1e-6
"""Reynolds number whose factor stands for that of still air, which has none: its loss is zero either way."""

_Re, _rr, _x = symbol("reynolds_number"), symbol("relative_roughness"), friction.INVERSE_ROOT
# What the statements are compiled in: one over the Reynolds number, and the parts that the roughness alone makes.
_i, _k, _start_k = sympy.symbols("i k k_0", positive=True)


def _compiled(terms: tuple[sympy.Symbol, ...], expression: sympy.Expr) -> Any:
    in_parts = expression.subs({_Re: 1 / _i, _rr: sympy.Rational("3.7") * _k})
    return function_of(terms, in_parts.evalf(), "numpy", share=True)


@cache
def _statements() -> tuple[Any, Any, Any]:
    """Newton's step for x, the friction exponent m = -(Re/f) df/dRe of f = 1/x^2, where x moves along, and a start."""
    slope = sympy.diff(friction.COLEBROOK, _x)
    newton = _compiled((_x, _i, _k), friction.COLEBROOK / slope)
    exponent = _compiled((_x, _i, _k), sympy.together(2 * _Re / _x * -sympy.diff(friction.COLEBROOK, _Re) / slope))
    start = sqrt(1 / friction.haaland_factor.expression.doit())
    rough = sympy.Rational("3.7") * _start_k ** (1 / sympy.Rational("1.11"))
    return newton, exponent, _compiled((_i, _start_k), start.subs(_rr, rough))


class Roughness(NamedTuple):
    """The parts of the friction of a pipe that do not change with the flow."""

    newton: Values
    start: Values

    @classmethod
    def of(cls, relative_roughness: Values) -> "Roughness":
        part = relative_roughness / 3.7
        return cls(part, part**1.11)


def turbulent(reynolds_number: Array, roughness: Roughness) -> tuple[Array, Array]:
    """Colebrook's Darcy factor and its friction exponent m = -(Re/f) df/dRe; Re from 2000 up."""
    newton, exponent, start = _statements()
    inverse = 1 / reynolds_number
    x = start(inverse, roughness.start)
    for _ in range(2):
        x = x - newton(x, inverse, roughness.newton)
    return 1 / (x * x), exponent(x, inverse, roughness.newton)


@solver(
    gives=("darcy_factor", "friction_exponent", "flow_regime"),
    source=Source(
        "fluids", "fluids.friction.friction_factor: laminar below Re 2040, Colebrook above", kind="reference library"
    ),
    reynolds_number=("0", "1e8"),
    relative_roughness=("0", "0.05"),
)
def darcy_friction_factor(reynolds_number: Any, relative_roughness: Any) -> dict[str, Values]:
    """Darcy friction factor, laminar or turbulent.

    Assumes flow that has settled. Between Re 2040 and 4000 flow may be either: the factor is that of turbulent flow,
    the larger one, and the regime says that it is uncertain. Still air has the factor of Re 1e-6, and loses nothing.
    """
    given, roughness = np.broadcast_arrays(np.asarray(reynolds_number, float), np.asarray(relative_roughness, float))
    factor, exponent = turbulent(np.maximum(given, LAMINAR_BELOW), Roughness.of(roughness))
    laminar = given < LAMINAR_BELOW
    factor = np.where(
        laminar, friction.laminar_darcy_factor(reynolds_number=np.clip(given, _STILL, LAMINAR_BELOW)), factor
    )
    regime = np.where(laminar, 0.0, np.where(given < TURBULENT_FROM, 1.0, 2.0))
    return {
        "darcy_factor": factor[()],
        "friction_exponent": np.where(laminar, 1.0, exponent)[()],
        "flow_regime": regime[()],
    }


@solver(
    gives=("friction_loss", "air_velocity", "reynolds_number", "darcy_factor", "flow_regime"),
    source=Source(kind="derived", place="Darcy-Weisbach with the friction factor of the reference library"),
    solves=lambda friction_loss: [Eq(friction_loss, friction.friction_loss.expression)],
)
def straight_pipe(
    air_flow: Any, straight_length: Any, bore: Any, air_density: Any, air_viscosity: Any, wall_roughness: Any = "1.5 um"
) -> dict[str, Values]:
    """Friction loss of straight pipe at a flow of air.

    Assumes smooth drawn plastic (1.5 µm) where no roughness is given; measured plastic pipe lies up to 46 µm.
    """
    velocity = condensate.mean_air_velocity(air_flow=air_flow, bore=bore)
    number = condensate.reynolds_number(
        air_density=air_density, air_velocity=velocity, bore=bore, air_viscosity=air_viscosity
    )
    found = darcy_friction_factor(
        reynolds_number=number,
        relative_roughness=friction.relative_roughness(wall_roughness=wall_roughness, bore=bore),
    )
    loss = friction.friction_loss(
        darcy_factor=found["darcy_factor"],
        straight_length=straight_length,
        bore=bore,
        air_density=air_density,
        air_velocity=velocity,
    )
    return {"friction_loss": loss, "air_velocity": velocity, "reynolds_number": number} | {
        name: found[name] for name in ("darcy_factor", "flow_regime")
    }
