"""Suction under a slab derived: air balanced on rings around a pit and strips beside a drain, stones, air columns."""

import sympy
from sympy import besseli, besselk, cosh, exp, log, pi, sinh, sqrt

from radonwork.engine.derivation import Derivation, Eq, solved
from radonwork.engine.formula import symbol
from radonwork.engine.sources import Source
from radonwork.formulas.soil import (
    bed_inertial_coefficient,
    bed_permeability,
    beside_wall_suction,
    ergun_gradient,
    forchheimer_number,
    inertial_radius,
    inertial_share,
    layer_transmissivity,
    leakage_length,
    line_drain_flow,
    line_drain_suction,
    loop_flow,
    loop_suction,
    near_field_suction,
    open_strip_suction,
    pit_inertial_loss,
    point_sink_flow,
    point_sink_suction,
    radial_inertial_loss,
    radial_velocity,
    radial_viscous_loss,
    sealed_strip_flow,
    sealed_strip_suction,
    small_pit_suction,
    stack_suction,
    tight_slab_flow,
    tight_slab_suction,
)

_GAS = Source("massmann-1989", "gas flow follows the equations of groundwater up to about half an atmosphere")
_LEAKY = Source("environmental-engineers-handbook", "groundwater chapter, leaky aquifer")

_T, _leak, _B = (symbol(name) for name in ("layer_transmissivity", "slab_leakage", "leakage_length"))
_k, _height, _mu = (symbol(name) for name in ("layer_permeability", "layer_thickness", "air_viscosity"))
_P, _Pw, _Pd = (symbol(name) for name in ("field_suction", "pit_suction", "drain_suction"))
_r, _rw, _Re, _Ro = (symbol(name) for name in ("point_distance", "pit_radius", "edge_radius", "loop_radius"))
_Qw, _qd, _Qo = (symbol(name) for name in ("pit_flow", "drain_flow", "loop_flow"))
_x, _width, _mirror = (symbol(name) for name in ("drain_distance", "strip_width", "image_distance"))
_G, _v, _beta, _rho = (
    symbol(name) for name in ("bed_gradient", "seepage_velocity", "inertial_coefficient", "air_density")
)
_stone, _voids, _Fo, _share = (
    symbol(name) for name in ("stone_diameter", "stone_porosity", "forchheimer_number", "inertial_share")
)
_g, _H, _pb, _gas = (symbol(name) for name in ("gravity", "neutral_height", "barometric_pressure", "gas_constant"))
_Tin, _Tout = symbol("indoor_temperature"), symbol("outdoor_temperature")
# Symbols that are no terms of the glossary: constants, a place beside a wall, pressures and densities of two columns.
_A, _C = sympy.symbols("A C", real=True)
_flow_each, _z = sympy.symbols("q z", positive=True)
_across, _along, _away = sympy.symbols("x y a", real=True)
_dense_in, _dense_out = sympy.symbols("rho_in rho_out", positive=True)
_suction_of_r, _suction_of_x = sympy.Function("field_suction")(_r), sympy.Function("field_suction")(_x)
_through_ring, _through_strip = sympy.Function("Q")(_r), sympy.Function("q")(_x)


def _obeyed(equation: Eq, unknown: sympy.Expr, trial: sympy.Expr) -> Eq:
    """The trial as the unknown, once sympy has put it into the equation and found both sides alike."""
    if sympy.simplify((equation.lhs - equation.rhs).subs(unknown, trial).doit()) != 0:
        raise ValueError(f"{trial} does not solve {equation}")
    return Eq(unknown, trial)


def _bounded(general: Eq, place: sympy.Symbol) -> Eq:
    """Without the part that grows without bound far away."""
    growing = [part for part in general.rhs.args if sympy.limit(part.subs({_A: 1, _C: 1}), place, sympy.oo) == sympy.oo]
    return Eq(general.lhs, general.rhs - sympy.Add(*growing))


def _fitted(equation: Eq, constant: sympy.Symbol, at: sympy.Expr, suction: sympy.Symbol) -> Eq:
    """The suction as a statement, once the constant makes it `suction` at one place."""
    place = equation.lhs.args[0]
    return Eq(_P, equation.rhs.subs(constant, solved(Eq(suction, equation.rhs.subs(place, at)), constant).rhs))


# ---- rings


def _rings(derivation: Derivation) -> Derivation:
    return derivation.premise(
        "darcy",
        Eq(_through_ring, -2 * pi * _r * _T * sympy.Derivative(_suction_of_r, _r)),
        "Darcy's law: what runs inward through a circle is its circumference times the transmissivity times how steeply "
        "the suction falls outward.",
        _GAS,
    )


def _leaky_rings(derivation: Derivation) -> Derivation:
    return (
        _rings(derivation)
        .premise(
            "balance",
            Eq(-sympy.Derivative(_through_ring, _r), 2 * pi * _r * _leak * _suction_of_r),
            "On its way in, the flow gains on each ring what leaks through the ring's area of slab.",
            _LEAKY,
        )
        .premise("length", Eq(_leak, _T / _B**2), "The leakage, written by the leakage length.", leakage_length.source)
        .step(
            "equation",
            lambda darcy, balance, length: Eq(
                sympy.expand(balance.lhs.subs(_through_ring, darcy.rhs).doit() / (2 * pi * _r * _T)),
                balance.rhs.subs(_leak, length.rhs) / (2 * pi * _r * _T),
            ),
            "Put the flow into the balance and divide by what stands on both sides: Bessel's equation.",
        )
        .step(
            "general",
            lambda equation: _obeyed(equation, _suction_of_r, _A * besseli(0, _r / _B) + _C * besselk(0, _r / _B)),
            "Two functions satisfy it, with a constant each: put in, they leave nothing over.",
        )
    )


def _outward(derivation: Derivation) -> Derivation:
    return _leaky_rings(derivation).step(
        "outward",
        lambda general: _bounded(general, _r),
        "Under a wide slab the suction does not grow without bound far away, as I₀ does: K₀ is left.",
    )


def _of_known_flow(derivation: Derivation) -> Derivation:
    return (
        _outward(derivation)
        .step(
            "flow",
            lambda darcy, outward: Eq(_through_ring, darcy.rhs.subs(_suction_of_r, outward.rhs).doit()),
            "What runs inward through a circle.",
        )
        .step(
            "drawn",
            lambda flow: Eq(_Qw, sympy.limit(flow.rhs.subs(_r, _z * _B), _z, 0)),
            "Shrink the circle, z leakage lengths wide, to the small pit: what still comes through is what the pit draws.",
        )
        .step(
            "field",
            lambda outward, drawn: Eq(_P, outward.rhs.subs(_C, solved(drawn, _C).rhs)),
            "That gives the constant.",
        )
    )


def _without_leak(derivation: Derivation) -> Derivation:
    return (
        _rings(derivation)
        .premise("same", Eq(_through_ring, _Qw), "Without leaks the same flow passes every circle.")
        .step(
            "general",
            lambda darcy, same: Eq(
                _suction_of_r,
                sympy.dsolve(Eq(darcy.rhs, same.rhs), _suction_of_r).rhs.subs(sympy.Symbol("C1"), _A),
            ),
            "Add the fall up from circle to circle.",
        )
        .step(
            "edge",
            lambda general: Eq(general.lhs, general.rhs.subs(_A, solved(Eq(general.rhs.subs(_r, _Re), 0), _A).rhs)),
            "At the open edge there is no suction.",
        )
        .step(
            "flow",
            lambda edge: solved(Eq(_Pw, sympy.factor(edge.rhs.subs(_r, _rw))), _Qw),
            "At the pit's wall stands the pit's suction: solve for the flow.",
        )
    )


_outward(Derivation(point_sink_suction, "Suction around a pit under a leaky slab")).step(
    "field", lambda outward: _fitted(outward, _C, _rw, _Pw), "At the pit's wall stands the pit's suction."
)

_outward(Derivation(point_sink_flow, "What a pit draws under a leaky slab")).step(
    "field", lambda outward: _fitted(outward, _C, _rw, _Pw), "At the pit's wall stands the pit's suction."
).step(
    "flow",
    lambda darcy, field: Eq(_Qw, darcy.rhs.subs(_suction_of_r, field.rhs).doit().subs(_r, _rw)),
    "What the pit draws is what runs in through its wall.",
)

_of_known_flow(Derivation(small_pit_suction, "Suction around a pit of known flow"))

_of_known_flow(Derivation(near_field_suction, "Suction near a pit, without Bessel functions")).step(
    "near",
    lambda field: Eq(
        _P, field.rhs.replace(besselk, lambda _, x: sympy.series(besselk(0, _z), _z, 0, 1).removeO().subs(_z, x))
    ),
    "For a small argument the series of K₀ begins with a logarithm; keep only that.",
).step(
    "together",
    lambda near, drawn: Eq(_P, solved(drawn, _C).rhs * log(sympy.simplify(exp(near.rhs / solved(drawn, _C).rhs)))),
    "Write the three as one logarithm.",
)

_of_known_flow(Derivation(beside_wall_suction, "A wall as a mirror")).premise(
    "pit",
    Eq(_r, sqrt((_across + _away) ** 2 + _along**2)),
    "The wall is the line x = 0, the pit a before it.",
).premise(
    "mirror", Eq(_mirror, sqrt((_across - _away) ** 2 + _along**2)), "Put an equal pit as far behind the wall."
).step(
    "both",
    lambda field: Eq(_P, field.rhs + field.rhs.subs(_r, _mirror)),
    "The balance is linear, so the suctions of two pits add up.",
).step(
    "across",
    lambda both, pit, mirror: Eq(
        sympy.Derivative(_P, _across),
        sympy.simplify(sympy.diff(both.rhs.subs({_r: pit.rhs, _mirror: mirror.rhs}), _across).subs(_across, 0)),
    ),
    "On the wall the suction does not change across it: no air passes, as the sealed wall wants it.",
).step(
    "suction",
    lambda both, across: Eq(_P, sympy.factor(both.rhs) if across.rhs == 0 else sympy.nan),
    "So the pit and its image are the pit and the wall.",
)

_without_leak(Derivation(tight_slab_flow, "What a pit draws under a slab without leaks"))

_without_leak(Derivation(tight_slab_suction, "Suction around a pit under a slab without leaks")).step(
    "field", lambda edge, flow: Eq(_P, sympy.factor(edge.rhs.subs(_Qw, flow.rhs))), "Put that flow back in."
)

_leaky_rings(Derivation(loop_suction, "Suction inside a loop of drain")).step(
    "inside",
    lambda general: Eq(general.lhs, general.rhs.subs(_C, 0 if sympy.limit(besselk(0, _z), _z, 0) == sympy.oo else _C)),
    "In the middle the suction does not grow without bound, as K₀ does: I₀ is left.",
).step("field", lambda inside: _fitted(inside, _A, _Ro, _Pd), "At the loop stands the drain's suction.")

_leaky_rings(Derivation(loop_flow, "What a loop of drain draws from inside")).step(
    "inside",
    lambda general: Eq(general.lhs, general.rhs.subs(_C, 0 if sympy.limit(besselk(0, _z), _z, 0) == sympy.oo else _C)),
    "In the middle the suction does not grow without bound, as K₀ does: I₀ is left.",
).step("field", lambda inside: _fitted(inside, _A, _Ro, _Pd), "At the loop stands the drain's suction.").step(
    "flow",
    lambda darcy, field: Eq(_Qo, -darcy.rhs.subs(_suction_of_r, field.rhs).doit().subs(_r, _Ro)),
    "What the loop draws is what runs outward to it.",
)

# ---- strips


def _strips(derivation: Derivation) -> Derivation:
    return (
        derivation.premise(
            "darcy",
            Eq(_through_strip, -_T * sympy.Derivative(_suction_of_x, _x)),
            "Darcy's law: what runs to each length of drain is the transmissivity times how steeply the suction falls.",
            _GAS,
        )
        .premise(
            "balance",
            Eq(-sympy.Derivative(_through_strip, _x), _leak * _suction_of_x),
            "On its way, the flow gains on each strip what leaks through the strip's area of slab.",
            _LEAKY,
        )
        .step(
            "equation",
            lambda darcy, balance: Eq(balance.lhs.subs(_through_strip, darcy.rhs).doit() / _T, balance.rhs / _T),
            "Put the flow into the balance and divide by the transmissivity.",
        )
    )


def _strips_of_length(derivation: Derivation) -> Derivation:
    return (
        _strips(derivation)
        .premise("length", Eq(_leak, _T / _B**2), "The leakage, written by the leakage length.", leakage_length.source)
        .step(
            "scaled",
            lambda equation, length: Eq(equation.lhs, equation.rhs.subs(_leak, length.rhs)),
            "The suction's curvature is the suction over the square of the leakage length.",
        )
    )


def _wide(derivation: Derivation) -> Derivation:
    return (
        _strips_of_length(derivation)
        .step(
            "general",
            lambda scaled: _obeyed(scaled, _suction_of_x, _A * exp(_x / _B) + _C * exp(-_x / _B)),
            "Two functions satisfy it, with a constant each: put in, they leave nothing over.",
        )
        .step(
            "outward",
            lambda general: _bounded(general, _x),
            "Under a wide slab the suction does not grow without bound far away.",
        )
        .step(
            "field", lambda outward: _fitted(outward, _C, sympy.S.Zero, _Pd), "At the drain stands the drain's suction."
        )
    )


def _narrow(derivation: Derivation) -> Derivation:
    return _strips_of_length(derivation).step(
        "general",
        lambda scaled: _obeyed(
            scaled, _suction_of_x, _A * cosh((_width - _x) / _B) + _C * sinh((_width - _x) / _B)
        ),
        "Two functions of what is left to the edge satisfy it, with a constant each: put in, they leave nothing over.",
    )  # fmt: skip


def _sealed(derivation: Derivation) -> Derivation:
    return (
        _narrow(derivation)
        .step(
            "wall",
            lambda darcy, general: Eq(0, darcy.rhs.subs(_suction_of_x, general.rhs).doit().subs(_x, _width)),
            "Through the wall at the edge nothing runs.",
        )
        .step(
            "kept",
            lambda general, wall: Eq(general.lhs, general.rhs.subs(_C, solved(wall, _C).rhs)),
            "So one of the two constants is nothing.",
        )
        .step("field", lambda kept: _fitted(kept, _A, sympy.S.Zero, _Pd), "At the drain stands the drain's suction.")
    )


def _flow_at_drain(derivation: Derivation) -> Derivation:
    return derivation.step(
        "flow",
        lambda darcy, field: Eq(_qd, sympy.simplify(darcy.rhs.subs(_suction_of_x, field.rhs).doit().subs(_x, 0))),
        "What the drain draws is what runs in where it lies.",
    )


_strips(Derivation(leakage_length, "How far suction reaches")).premise(
    "meaning",
    Eq(_suction_of_x, _Pd * exp(-_x / _B)),
    "The leakage length is the distance over which suction beside a long drain falls to 1/e.",
).step(
    "put_in",
    lambda equation, meaning: Eq(
        sympy.simplify(equation.lhs.subs(_suction_of_x, meaning.rhs).doit() / meaning.rhs),
        equation.rhs / _suction_of_x,
    ),
    "Put that into the balance: the suction itself drops out.",
).step("length", lambda put_in: solved(put_in, _B), "Solve for the leakage length.")

_wide(Derivation(line_drain_suction, "Suction beside a long drain"))
_flow_at_drain(_wide(Derivation(line_drain_flow, "What a long drain draws from one side")))
_sealed(Derivation(sealed_strip_suction, "Suction between a drain and a wall"))
_flow_at_drain(_sealed(Derivation(sealed_strip_flow, "What a drain draws from the side of a wall")))
_narrow(Derivation(open_strip_suction, "Suction between a drain and an open edge")).step(
    "edge",
    lambda general: Eq(general.lhs, general.rhs.subs(_A, solved(Eq(general.rhs.subs(_x, _width), 0), _A).rhs)),
    "At the open edge there is no suction: one of the two constants is nothing.",
).step("field", lambda edge: _fitted(edge, _C, sympy.S.Zero, _Pd), "At the drain stands the drain's suction.")

Derivation(layer_transmissivity, "What a layer lets through").premise(
    "darcy", Eq(_v, _k / _mu * _G), "Darcy's law: slow air moves in proportion to how steeply the pressure falls.", _GAS
).premise("height", Eq(_flow_each, _height * _v), "Each width of layer carries its height times the velocity.").premise(
    "meaning", Eq(_flow_each, _T * _G), "Transmissivity is that flow over the fall in pressure."
).step(
    "transmissivity",
    lambda darcy, height, meaning: solved(Eq(meaning.rhs, height.rhs.subs(_v, darcy.rhs)), _T),
    "Put one into the other; the fall in pressure drops out.",
)

# ---- stones


def _forchheimer(derivation: Derivation) -> Derivation:
    return derivation.premise(
        "law",
        Eq(_G, _mu / _k * _v + _beta * _rho * _v**2),
        "Forchheimer's law: to Darcy's loss comes one that grows as the square of the velocity.",
        ergun_gradient.source,
    )


def _ergun(derivation: Derivation, power: int) -> Derivation:
    return (
        _forchheimer(derivation)
        .premise(
            "bed",
            Eq(_G, ergun_gradient.expression.doit()),
            "Ergun's law: both losses from the size of the stones and the voids between them.",
            ergun_gradient.source,
        )
        .step(
            "alike",
            lambda law, bed: Eq(
                sympy.expand(law.rhs).coeff(_v, power), sympy.expand(bed.rhs).coeff(_v, power).factor()
            ),
            "The two agree at every velocity only if they agree power by power.",
        )
    )  # fmt: skip


def _to_the_pit(derivation: Derivation, power: int) -> Derivation:
    return (
        _forchheimer(derivation)
        .premise(
            "velocity",
            Eq(_v, radial_velocity.expression.doit()),
            "The pit's flow passes every circle around it, over the whole height of the layer.",
        )
        .step(
            "part",
            lambda law, velocity: Eq(_z, (sympy.expand(law.rhs).coeff(_v, power) * _v**power).subs(_v, velocity.rhs)),
            "One of the two losses, z, per length.",
        )
    )


_ergun(Derivation(bed_permeability, "Permeability of a bed of stones"), 1).step(
    "permeability", lambda alike: solved(alike, _k), "Solve for the permeability."
)

_ergun(Derivation(bed_inertial_coefficient, "Inertial coefficient of a bed of stones"), 2).step(
    "coefficient", lambda alike: solved(alike, _beta), "Solve for the coefficient."
)

Derivation(radial_velocity, "How fast the air is near a pit").premise(
    "circle", Eq(_Qw, _v * 2 * pi * _r * _height), "The pit's flow passes every circle, over the layer's whole height."
).step("velocity", lambda circle: solved(circle, _v), "Solve for the velocity.")

_to_the_pit(Derivation(radial_viscous_loss, "Darcy's loss on the way to a pit"), 1).step(
    "loss",
    lambda part: Eq(symbol("viscous_loss"), sympy.simplify(sympy.integrate(part.rhs, (_r, _rw, _Re)))),
    "Add it up from the pit to the edge.",
)

_to_the_pit(Derivation(radial_inertial_loss, "The loss of fast air on the way to a pit"), 2).step(
    "loss",
    lambda part: Eq(symbol("inertial_loss"), sympy.simplify(sympy.integrate(part.rhs, (_r, _rw, _Re)))),
    "Add it up from the pit to the edge.",
)

_to_the_pit(Derivation(pit_inertial_loss, "The loss of fast air near a pit"), 2).step(
    "loss",
    lambda part: Eq(symbol("inertial_loss"), sympy.integrate(part.rhs, (_r, _rw, sympy.oo))),
    "Add it up from the pit outward: it fades so fast that the end does not matter.",
)

_forchheimer(Derivation(forchheimer_number, "How far the flow is from Darcy's")).step(
    "ratio",
    lambda law: Eq(_Fo, law.rhs.coeff(_beta) * _beta / (law.rhs - law.rhs.coeff(_beta) * _beta)),
    "Divide the one loss by the other.",
)

_forchheimer(Derivation(inertial_share, "How much of the loss is inertial")).premise(
    "number",
    Eq(_Fo, forchheimer_number.expression.doit()),
    "The Forchheimer number is the one loss over the other.",
    forchheimer_number.source,
).step(
    "share",
    lambda law, number: Eq(
        _share,
        sympy.simplify((_beta * _rho * _v**2 / law.rhs).subs(_v, solved(number, _v).rhs)),
    ),
    "Divide the inertial loss by the whole, with the velocity written by the Forchheimer number.",
)

_forchheimer(Derivation(inertial_radius, "Where inertia rules")).premise(
    "velocity",
    Eq(_v, radial_velocity.expression.doit()),
    "The pit's flow passes every circle around it, over the whole height of the layer.",
).step(
    "alike",
    lambda law: Eq(_v, sympy.solve(law.rhs - 2 * _beta * _rho * _v**2, _v)[-1]),
    "The velocity at which both losses are alike, so that the whole is twice the inertial one.",
).step(
    "radius",
    lambda alike, velocity: Eq(symbol("inertial_radius"), solved(Eq(velocity.rhs, alike.rhs), _r).rhs),
    "Solve for the distance at which the air is that fast.",
)

# ---- the house

Derivation(stack_suction, "The pull of a warm house").premise(
    "columns",
    Eq(symbol("stack_suction"), _g * _H * _dense_out - _g * _H * _dense_in),
    "From the height at which both sides stand at one pressure down to the slab, each column of air adds its weight; "
    "the colder one adds more.",
).premise("outdoors", Eq(_dense_out, _pb / (_gas * _Tout)), "Air is very nearly an ideal gas.").premise(
    "indoors", Eq(_dense_in, _pb / (_gas * _Tin)), "The same gas, warmer."
).step(
    "suction",
    lambda columns, outdoors, indoors: Eq(
        columns.lhs, sympy.factor(columns.rhs.subs({_dense_out: outdoors.rhs, _dense_in: indoors.rhs}))
    ),
    "Put the densities in.",
)
