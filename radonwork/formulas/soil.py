"""How far suction reaches in a layer of gravel or soil under a slab that leaks.

The layer is thin against its width, so the air in it runs level. What keeps suction from reaching is the air that leaks
in through the slab on the way. Suction is counted against the room above the slab, so air leaks in wherever it is positive.
"""

import sympy
from sympy import EulerGamma, Rational, besseli, besselk, cosh, exp, log, pi, sinh, sqrt, tanh

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import formula, symbol
from radonwork.engine.sources import Source

_RING = Source(kind="derived", place="balance of air on a ring of the layer")
_STRIP = Source(kind="derived", place="balance of air on a strip of the layer beside a drain")
_BED = Source(kind="derived", place="Ergun's law for a bed of stones")
_RADIAL = Source(kind="derived", place="Forchheimer's law over the rings around a pit")
_GAS = Source("massmann-1989", "gas flow follows the equations of groundwater up to about half an atmosphere")
_LEAKY = Source("environmental-engineers-handbook", "groundwater chapter, leaky aquifer")
_ERGUN = Source("fluids", "fluids.packed_bed.Ergun", kind="reference library")
_COLUMNS = Source(kind="derived", place="weight of the columns of air indoors and outdoors")

_BEYOND_PIT = {"the point is not inside the pit": lambda pit_radius, point_distance: pit_radius <= point_distance}
_ON_STRIP = {
    "the point lies between the drain and the edge": lambda drain_distance, strip_width: drain_distance <= strip_width
}
_INSIDE_LOOP = {
    "the point lies inside the loop": lambda point_distance, loop_radius: point_distance <= loop_radius,
}
_EDGE_BEYOND_PIT = {"the edge lies outside the pit": lambda pit_radius, edge_radius: pit_radius < edge_radius}

# ---------------------------------------------------------------- the layer and the slab


@formula("layer_transmissivity", Source(kind="derived", place="Darcy's law over the height of the layer"))
def layer_transmissivity(layer_permeability, layer_thickness, air_viscosity):
    """Transmissivity of a layer for air.

    Assumes slow air, whose loss grows as the flow; in clean stone near a pit there is more: see the inertial loss.
    """
    return layer_permeability * layer_thickness / air_viscosity


@formula("leakage_length", _STRIP)
def leakage_length(layer_transmissivity, slab_leakage):
    """Leakage length: how far suction reaches before leaks have eaten most of it.

    Assumes a layer and a slab that are alike everywhere, and leaks that grow as the suction.
    """
    return sqrt(layer_transmissivity / slab_leakage)


# ---------------------------------------------------------------- a pit


@formula("field_suction", _RING, when=_BEYOND_PIT)
def point_sink_suction(pit_suction, point_distance, pit_radius, leakage_length):
    """Suction around a pit under a wide slab.

    Assumes a slab so wide that its edges, several leakage lengths away, do not matter.
    """
    return pit_suction * besselk(0, point_distance / leakage_length) / besselk(0, pit_radius / leakage_length)


@formula("pit_flow", _RING)
def point_sink_flow(layer_transmissivity, pit_suction, pit_radius, leakage_length):
    """Air that a pit draws under a wide slab.

    Assumes a slab so wide that its edges, several leakage lengths away, do not matter.
    """
    share = pit_radius / leakage_length
    return 2 * pi * layer_transmissivity * pit_suction * share * besselk(1, share) / besselk(0, share)


@formula("field_suction", _RING)
def small_pit_suction(pit_flow, layer_transmissivity, point_distance, leakage_length):
    """Suction around a pit of known flow.

    Assumes a pit that is small against the leakage length, under a wide slab.
    """
    return pit_flow / (2 * pi * layer_transmissivity) * besselk(0, point_distance / leakage_length)


@formula(
    "field_suction",
    _RING,
    when={
        "the point is nearer than a fifth of the leakage length": lambda point_distance, leakage_length: (
            5 * point_distance <= leakage_length
        )
    },
)
def near_field_suction(pit_flow, layer_transmissivity, point_distance, leakage_length):
    """Suction near a pit of known flow, without Bessel functions.

    Assumes a point much nearer than the leakage length: at a tenth of it the suction is 0.4 % too small, at a fifth 1.6 %.
    """
    return pit_flow / (2 * pi * layer_transmissivity) * log(2 * exp(-EulerGamma) * leakage_length / point_distance)


@formula("field_suction", _RING)
def beside_wall_suction(pit_flow, layer_transmissivity, point_distance, image_distance, leakage_length):
    """Suction around a pit of known flow beside a long wall that lets no air through.

    Assumes a small pit and a straight wall down to the bottom of the layer; the other edges are far away.
    """
    both = besselk(0, point_distance / leakage_length) + besselk(0, image_distance / leakage_length)
    return pit_flow / (2 * pi * layer_transmissivity) * both


@formula("pit_flow", _RING, when=_EDGE_BEYOND_PIT)
def tight_slab_flow(layer_transmissivity, pit_suction, pit_radius, edge_radius):
    """Air that a pit draws under a slab without leaks, from an open edge.

    Assumes an edge all round at the same distance, open to air at the pressure of the room.
    """
    return 2 * pi * layer_transmissivity * pit_suction / log(edge_radius / pit_radius)


@formula(
    "field_suction",
    _RING,
    when=_BEYOND_PIT
    | _EDGE_BEYOND_PIT
    | {"the point lies inside the edge": lambda point_distance, edge_radius: point_distance <= edge_radius},
)
def tight_slab_suction(pit_suction, point_distance, pit_radius, edge_radius):
    """Suction around a pit under a slab without leaks.

    Assumes an edge all round at the same distance, open to air at the pressure of the room.
    """
    return pit_suction * log(edge_radius / point_distance) / log(edge_radius / pit_radius)


# ---------------------------------------------------------------- drains


@formula("field_suction", _STRIP)
def line_drain_suction(drain_suction, drain_distance, leakage_length):
    """Suction beside a long straight drain under a wide slab.

    Assumes the same suction all along the drain.
    """
    return drain_suction * exp(-drain_distance / leakage_length)


@formula("drain_flow", _STRIP)
def line_drain_flow(layer_transmissivity, drain_suction, leakage_length):
    """Air that a long straight drain draws from one side of a wide slab, per length.

    Assumes the same suction all along the drain.
    """
    return layer_transmissivity * drain_suction / leakage_length


@formula("field_suction", _STRIP, when=_ON_STRIP)
def sealed_strip_suction(drain_suction, drain_distance, strip_width, leakage_length):
    """Suction beside a long drain on a slab that ends at a wall which lets no air through.

    Assumes the same suction all along the drain, and a wall parallel to it.
    """
    return drain_suction * cosh((strip_width - drain_distance) / leakage_length) / cosh(strip_width / leakage_length)


@formula("drain_flow", _STRIP)
def sealed_strip_flow(layer_transmissivity, drain_suction, strip_width, leakage_length):
    """Air that a long drain draws from one side, per length, on a slab that ends at a wall which lets no air through.

    Assumes the same suction all along the drain, and a wall parallel to it.
    """
    return layer_transmissivity * drain_suction / leakage_length * tanh(strip_width / leakage_length)


@formula("field_suction", _STRIP, when=_ON_STRIP)
def open_strip_suction(drain_suction, drain_distance, strip_width, leakage_length):
    """Suction beside a long drain on a slab that ends at an open edge.

    Assumes the same suction all along the drain, and an edge parallel to it at the pressure of the room.
    """
    return drain_suction * sinh((strip_width - drain_distance) / leakage_length) / sinh(strip_width / leakage_length)


@formula("field_suction", _RING, when=_INSIDE_LOOP)
def loop_suction(drain_suction, point_distance, loop_radius, leakage_length):
    """Suction inside a round loop of drain.

    Assumes the same suction all along the loop.
    """
    return drain_suction * besseli(0, point_distance / leakage_length) / besseli(0, loop_radius / leakage_length)


@formula("loop_flow", _RING)
def loop_flow(layer_transmissivity, drain_suction, loop_radius, leakage_length):
    """Air that a round loop of drain draws from inside.

    Assumes the same suction all along the loop; what it draws from outside is extra.
    """
    share = loop_radius / leakage_length
    return 2 * pi * layer_transmissivity * drain_suction * share * besseli(1, share) / besseli(0, share)


# ---------------------------------------------------------------- clean stone: inertia


@formula("bed_gradient", _ERGUN, stone_porosity=("0.3", "0.6"))
def ergun_gradient(seepage_velocity, stone_diameter, stone_porosity, air_density, air_viscosity):
    """Loss per length of a bed of stones.

    Assumes stones of about one size, rounded rather than flat, without fines between them.
    """
    solid = 1 - stone_porosity
    return (
        150 * air_viscosity * solid**2 / (stone_porosity**3 * stone_diameter**2) * seepage_velocity
        + Rational(7, 4) * air_density * solid / (stone_porosity**3 * stone_diameter) * seepage_velocity**2
    )


@formula("layer_permeability", _BED, stone_porosity=("0.3", "0.6"))
def bed_permeability(stone_diameter, stone_porosity):
    """Permeability of a bed of stones.

    Assumes stones of about one size, rounded rather than flat, without fines between them.
    """
    return stone_porosity**3 * stone_diameter**2 / (150 * (1 - stone_porosity) ** 2)


@formula("inertial_coefficient", _BED, stone_porosity=("0.3", "0.6"))
def bed_inertial_coefficient(stone_diameter, stone_porosity):
    """Inertial coefficient of a bed of stones.

    Assumes stones of about one size, rounded rather than flat, without fines between them.
    """
    return Rational(7, 4) * (1 - stone_porosity) / (stone_porosity**3 * stone_diameter)


@formula("seepage_velocity", _RADIAL)
def radial_velocity(pit_flow, point_distance, layer_thickness):
    """Velocity of the air at a distance from a pit.

    Assumes that the pit's whole flow passes there, as it does near the pit.
    """
    return pit_flow / (2 * pi * point_distance * layer_thickness)


@formula("viscous_loss", _RADIAL, when=_EDGE_BEYOND_PIT)
def radial_viscous_loss(pit_flow, pit_radius, edge_radius, layer_thickness, layer_permeability, air_viscosity):
    """Loss between an edge and a pit that grows as the flow.

    Assumes that the whole flow comes from the edge: no leaks between.
    """
    return air_viscosity * pit_flow / (2 * pi * layer_permeability * layer_thickness) * log(edge_radius / pit_radius)


@formula("inertial_loss", _RADIAL, when=_EDGE_BEYOND_PIT)
def radial_inertial_loss(pit_flow, pit_radius, edge_radius, layer_thickness, inertial_coefficient, air_density):
    """Loss between an edge and a pit that grows as the square of the flow.

    Assumes that the whole flow comes from the edge: no leaks between.
    """
    speed = pit_flow / (2 * pi * layer_thickness)
    return inertial_coefficient * air_density * speed**2 * (1 / pit_radius - 1 / edge_radius)


@formula("inertial_loss", _RADIAL)
def pit_inertial_loss(pit_flow, pit_radius, layer_thickness, inertial_coefficient, air_density):
    """Loss near a pit that grows as the square of the flow, wherever the air comes from.

    Assumes that all the air comes from many pit radii away, which makes the loss a little too large.
    """
    return inertial_coefficient * air_density * (pit_flow / (2 * pi * layer_thickness)) ** 2 / pit_radius


@formula("forchheimer_number", Source(kind="derived", place="the two parts of Forchheimer's law"))
def forchheimer_number(seepage_velocity, layer_permeability, inertial_coefficient, air_density, air_viscosity):
    """Inertial loss over viscous loss at a point: far below one the flow is Darcy's, far above it is not."""
    return air_density * inertial_coefficient * layer_permeability * seepage_velocity / air_viscosity


@formula("inertial_share", Source(kind="derived", place="the two parts of Forchheimer's law"))
def inertial_share(forchheimer_number):
    """Share of the loss at a point that is inertial."""
    return forchheimer_number / (1 + forchheimer_number)


@formula("inertial_radius", _RADIAL)
def inertial_radius(
    pit_flow, layer_thickness, layer_permeability, inertial_coefficient, air_density, air_viscosity
):  # fmt: skip
    """Distance from the middle of a pit within which the inertial loss is the larger.

    Assumes that the pit's whole flow passes there, as it does near the pit. Where it comes out smaller than the pit, the
    flow is Darcy's everywhere.
    """
    return (
        air_density * inertial_coefficient * layer_permeability * pit_flow / (2 * pi * layer_thickness * air_viscosity)
    )


# ---------------------------------------------------------------- the house's own suction


@formula(
    "stack_suction",
    _COLUMNS,
    when={
        "it is no warmer outdoors": lambda outdoor_temperature, indoor_temperature: (
            outdoor_temperature <= indoor_temperature
        )
    },
)
def stack_suction(
    neutral_height,
    indoor_temperature,
    outdoor_temperature,
    barometric_pressure="101.325 kPa",
    gas_constant="287.042 J/(kg K)",
    gravity="9.80665 m/s2",
):
    """Suction that a warm house makes at its own slab.

    Assumes dry air of one temperature on each side, no wind, and fans and chimneys at rest.
    """
    return (
        gravity
        * neutral_height
        * barometric_pressure
        / gas_constant
        * (1 / outdoor_temperature - 1 / indoor_temperature)
    )


# ---------------------------------------------------------------- derivations

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
# Symbols that only the derivations use: constants, a place beside a wall, pressures and densities of two columns.
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
    return Eq(_P, equation.rhs.subs(constant, _solved(Eq(suction, equation.rhs.subs(place, at)), constant).rhs))


def _solved(equation: Eq, wanted: sympy.Symbol) -> Eq:
    (root,) = sympy.solve(equation, wanted)
    return Eq(wanted, root)


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
            lambda outward, drawn: Eq(_P, outward.rhs.subs(_C, _solved(drawn, _C).rhs)),
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
            lambda general: Eq(general.lhs, general.rhs.subs(_A, _solved(Eq(general.rhs.subs(_r, _Re), 0), _A).rhs)),
            "At the open edge there is no suction.",
        )
        .step(
            "flow",
            lambda edge: _solved(Eq(_Pw, sympy.factor(edge.rhs.subs(_r, _rw))), _Qw),
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
    lambda near, drawn: Eq(_P, _solved(drawn, _C).rhs * log(sympy.simplify(exp(near.rhs / _solved(drawn, _C).rhs)))),
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
            lambda general, wall: Eq(general.lhs, general.rhs.subs(_C, _solved(wall, _C).rhs)),
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
).step("length", lambda put_in: _solved(put_in, _B), "Solve for the leakage length.")

_wide(Derivation(line_drain_suction, "Suction beside a long drain"))
_flow_at_drain(_wide(Derivation(line_drain_flow, "What a long drain draws from one side")))
_sealed(Derivation(sealed_strip_suction, "Suction between a drain and a wall"))
_flow_at_drain(_sealed(Derivation(sealed_strip_flow, "What a drain draws from the side of a wall")))
_narrow(Derivation(open_strip_suction, "Suction between a drain and an open edge")).step(
    "edge",
    lambda general: Eq(general.lhs, general.rhs.subs(_A, _solved(Eq(general.rhs.subs(_x, _width), 0), _A).rhs)),
    "At the open edge there is no suction: one of the two constants is nothing.",
).step("field", lambda edge: _fitted(edge, _C, sympy.S.Zero, _Pd), "At the drain stands the drain's suction.")

Derivation(layer_transmissivity, "What a layer lets through").premise(
    "darcy", Eq(_v, _k / _mu * _G), "Darcy's law: slow air moves in proportion to how steeply the pressure falls.", _GAS
).premise("height", Eq(_flow_each, _height * _v), "Each width of layer carries its height times the velocity.").premise(
    "meaning", Eq(_flow_each, _T * _G), "Transmissivity is that flow over the fall in pressure."
).step(
    "transmissivity",
    lambda darcy, height, meaning: _solved(Eq(meaning.rhs, height.rhs.subs(_v, darcy.rhs)), _T),
    "Put one into the other; the fall in pressure drops out.",
)

# ---- stones


def _forchheimer(derivation: Derivation) -> Derivation:
    return derivation.premise(
        "law",
        Eq(_G, _mu / _k * _v + _beta * _rho * _v**2),
        "Forchheimer's law: to Darcy's loss comes one that grows as the square of the velocity.",
        _ERGUN,
    )


def _ergun(derivation: Derivation, power: int) -> Derivation:
    return (
        _forchheimer(derivation)
        .premise(
            "bed",
            Eq(_G, ergun_gradient.expression.doit()),
            "Ergun's law: both losses from the size of the stones and the voids between them.",
            _ERGUN,
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
    "permeability", lambda alike: _solved(alike, _k), "Solve for the permeability."
)

_ergun(Derivation(bed_inertial_coefficient, "Inertial coefficient of a bed of stones"), 2).step(
    "coefficient", lambda alike: _solved(alike, _beta), "Solve for the coefficient."
)

Derivation(radial_velocity, "How fast the air is near a pit").premise(
    "circle", Eq(_Qw, _v * 2 * pi * _r * _height), "The pit's flow passes every circle, over the layer's whole height."
).step("velocity", lambda circle: _solved(circle, _v), "Solve for the velocity.")

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
        sympy.simplify((_beta * _rho * _v**2 / law.rhs).subs(_v, _solved(number, _v).rhs)),
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
    lambda alike, velocity: Eq(symbol("inertial_radius"), _solved(Eq(velocity.rhs, alike.rhs), _r).rhs),
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
