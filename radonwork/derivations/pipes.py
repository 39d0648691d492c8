"""Several small pipes against one large derived: areas from rings, flow and loss from Darcy and Weisbach."""

import sympy
from sympy import Rational, pi

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, symbol
from radonwork.engine.sources import Source
from radonwork.formulas.pipes import (
    area_ratio,
    bore_area,
    bore_exponent,
    equal_area_count,
    equal_flow_count,
    equivalent_bore,
    flow_ratio,
    loss_ratio,
    velocity_in_each_pipe,
)

_DARCY_WEISBACH = Source("white-fluid-mechanics", "friction loss of pipe flow, as used in examples 6.6 and 6.7")

_flow, _velocity, _n = symbol("air_flow"), symbol("air_velocity"), symbol("pipe_count")
_bore, _small, _large, _equal = (symbol(n) for n in ("bore", "small_bore", "large_bore", "equivalent_bore"))
_area, _m, _p = symbol("bore_area"), symbol("friction_exponent"), symbol("bore_exponent")
_factor, _reynolds = symbol("darcy_factor"), symbol("reynolds_number")
_density, _viscosity = symbol("air_density"), symbol("air_viscosity")
_flow_of_bore = sympy.Function("air_flow")(_bore)
# Symbols that are no terms of the glossary: losses, a common length, constants, areas and flows of the two sides.
_loss, _length, _C, _K, _r = sympy.symbols("Delta_p l C K r", positive=True)
_area_small, _area_large, _flow_small, _flow_large = sympy.symbols("A_s A_L Q_s Q_L", positive=True)
_loss_small, _loss_large = sympy.symbols("Delta_s Delta_L", positive=True)

# Darcy friction factor against Reynolds number; C is what the roughness makes it.
FRICTION_LAWS: dict[str, sympy.Expr] = {
    "rough": _C,
    "smooth": Rational(3164, 10000) * _reynolds ** Rational(-1, 4),
    "laminar": 64 / _reynolds,
}
FRICTION_LAW_SOURCES = {
    "rough": Source("fluids", "fluids.friction.Colebrook, limit of a high Reynolds number", kind="reference library"),
    "smooth": Source("fluids", "fluids.friction.Blasius, Re from 3,000 to 200,000", kind="reference library"),
    "laminar": Source("fluids", "fluids.friction.friction_laminar, Re below 2,040", kind="reference library"),
}
# How fast each law falls: m = -(Re/f) df/dRe, worked out and not typed.
FRICTION_EXPONENTS: dict[str, sympy.Rational] = {
    name: -_reynolds / law * sympy.diff(law, _reynolds) for name, law in FRICTION_LAWS.items()
}


def _circle(derivation: Derivation) -> Derivation:
    """The area of a circle from its rings, the ground of everything that compares areas."""
    ring = sympy.Integral(2 * pi * _r, (_r, 0, _bore / 2))
    return derivation.premise(
        "rings", Eq(_area, ring), "A circle is made of thin rings, each as long as its circumference."
    ).step("circle", lambda rings: Eq(rings.lhs, rings.rhs.doit()), "Add the rings up to the bore's radius.")


def _areas(derivation: Derivation) -> Derivation:
    """Areas of n small bores and of the large one."""
    return (
        _circle(derivation)
        .step("small", lambda circle: Eq(_area_small, _n * circle.rhs.subs(_bore, _small)), "n small bores together.")
        .step("large", lambda circle: Eq(_area_large, circle.rhs.subs(_bore, _large)), "The large bore.")
    )


def _friction(derivation: Derivation) -> Derivation:
    """Loss of a pipe as a function of flow and bore."""
    return (
        derivation.premise(
            "loss",
            Eq(_loss, _factor * _length / _bore * _density * _velocity**2 / 2),
            "Darcy-Weisbach: the loss in a straight pipe of length l.",
            _DARCY_WEISBACH,
        )
        .premise(
            "law",
            Eq(_factor, _C * _reynolds**-_m),
            "The friction factor falls as a power of the Reynolds number: m is 0 rough, 1/4 smooth, 1 laminar.",
            FRICTION_LAW_SOURCES["smooth"],
        )
        .premise(
            "number", Eq(_reynolds, _density * _velocity * _bore / _viscosity), "What the Reynolds number stands for."
        )
        .premise("continuity", Eq(_velocity, _flow / (pi * _bore**2 / 4)), "Mean velocity is flow over open area.")
        .step(
            "together",
            lambda loss, law, number, continuity: Eq(
                loss.lhs,
                sympy.powsimp(
                    sympy.expand_power_base(
                        loss.rhs.subs(_factor, law.rhs).subs(_reynolds, number.rhs).subs(_velocity, continuity.rhs)
                    )
                ),
            ),
            "Put each into the one before: loss as flow and bore make it.",
        )
    )


def _power_law(derivation: Derivation) -> Derivation:
    """Flows of n small bores and of the large one at equal loss."""
    return (
        derivation.premise(
            "growth",
            Eq(_bore / _flow_of_bore * sympy.Derivative(_flow_of_bore, _bore), _p),
            "At equal loss the flow's relative change is p times that of the bore, the same p at every bore: see the "
            "bore exponent.",
            bore_exponent.source,
        )
        .step(
            "power",
            lambda growth: Eq(_flow, sympy.dsolve(growth, _flow_of_bore).rhs.subs(sympy.Symbol("C1"), _K)),
            "Add the changes up. K holds the loss, the length and the air, the same for every pipe compared.",
        )
        .step("small", lambda power: Eq(_flow_small, _n * power.rhs.subs(_bore, _small)), "n small pipes side by side.")
        .step("large", lambda power: Eq(_flow_large, power.rhs.subs(_bore, _large)), "The large pipe.")
    )


def _solved(equation: Eq, wanted: sympy.Symbol) -> Eq:
    (root,) = sympy.solve(equation, wanted)
    return Eq(wanted, sympy.powsimp(root))


def _over(top: Eq, bottom: Eq, ratio: Formula) -> Eq:
    return Eq(symbol(ratio.result), sympy.powsimp(top.rhs / bottom.rhs))


_circle(Derivation(bore_area, "The area of a round pipe"))

_areas(Derivation(area_ratio, "Area of several small pipes against one large")).step(
    "ratio", lambda small, large: _over(small, large, area_ratio), "Divide: the share does not know about pi."
)

_areas(Derivation(equal_area_count, "How many small pipes make the area of a large one")).step(
    "equal", lambda small, large: Eq(small.rhs, large.rhs), "Ask for the same area."
).step(
    "count",
    lambda equal: Eq(symbol("equal_area_count"), _solved(equal, _n).rhs),
    "Solve for the number of pipes.",
)

_friction(Derivation(bore_exponent, "How flow grows with the bore at equal loss")).step(
    "flow", lambda together: _solved(together, _flow), "Solve for the flow that a given loss drives."
).premise(
    "power",
    Eq(_p, _bore / _flow_of_bore * sympy.Derivative(_flow_of_bore, _bore)),
    "The power of a quantity is its relative change over that of the bore.",
).step(
    "exponent",
    lambda power, flow: Eq(_p, sympy.simplify(power.rhs.subs(_flow_of_bore, flow.rhs).doit())),
    "Put the flow in: loss, length, air and even the bore drop out, so the power is the same at every bore.",
).step(
    "turned",
    lambda exponent: Eq(_p, -sympy.numer(exponent.rhs) / -sympy.denom(exponent.rhs)),
    "Turn both signs. Rough pipe: 5/2; smooth pipe: 19/7, about 2.71; laminar: 4.",
)

_power_law(Derivation(flow_ratio, "Flow of several small pipes against one large at equal loss")).step(
    "ratio", lambda small, large: _over(small, large, flow_ratio), "Divide: what they share drops out."
)

_power_law(Derivation(equal_flow_count, "How many small pipes carry the flow of a large one")).step(
    "equal", lambda small, large: Eq(small.rhs, large.rhs), "Ask for the same flow at the same loss."
).step(
    "count",
    lambda equal: Eq(symbol("equal_flow_count"), _solved(equal, _n).rhs),
    "Solve for the number of pipes.",
)

_power_law(Derivation(equivalent_bore, "The one bore that several small pipes equal")).step(
    "equal",
    lambda small, large: Eq(large.rhs.subs(_large, _equal), small.rhs),
    "Let the single pipe have the bore that carries the same.",
).step("bore", lambda equal: _solved(equal, _equal), "Solve for that bore.")

_friction(Derivation(loss_ratio, "Loss of several small pipes against one large at the same flow")).step(
    "small",
    lambda together: Eq(_loss_small, together.rhs.subs({_flow: _flow / _n, _bore: _small}, simultaneous=True)),
    "Each of n small pipes carries its share of the flow.",
).step(
    "large", lambda together: Eq(_loss_large, together.rhs.subs(_bore, _large)), "The large pipe carries all of it."
).step(
    "ratio",
    lambda small, large: Eq(symbol("loss_ratio"), sympy.powsimp(sympy.simplify(small.rhs / large.rhs))),
    "Divide: length, air, flow and the constant of the friction law drop out.",
)

_circle(Derivation(velocity_in_each_pipe, "Velocity where several pipes share a flow")).step(
    "share",
    lambda circle: Eq(_flow, _n * _velocity * circle.rhs.subs(_bore, _small)),
    "What passes each second is velocity times open area, in each of the n pipes.",
).step("velocity", lambda share: _solved(share, _velocity), "Solve for the velocity.")
