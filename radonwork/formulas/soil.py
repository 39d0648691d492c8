"""How far suction reaches in a layer of gravel or soil under a slab that leaks.

The layer is thin against its width, so the air in it runs level. What keeps suction from reaching is the air that leaks
in through the slab on the way. Suction is counted against the room above the slab, so air leaks in wherever it is positive.
"""

from sympy import EulerGamma, Rational, besseli, besselk, cosh, exp, log, pi, sinh, sqrt, tanh

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_RING = Source(kind="derived", place="balance of air on a ring of the layer")
_STRIP = Source(kind="derived", place="balance of air on a strip of the layer beside a drain")
_BED = Source(kind="derived", place="Ergun's law for a bed of stones")
_RADIAL = Source(kind="derived", place="Forchheimer's law over the rings around a pit")
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


@formula("stack_suction", _COLUMNS)
def stack_suction(
    neutral_height,
    indoor_temperature,
    outdoor_temperature,
    barometric_pressure="101.325 kPa",
    gas_constant="287.042 J/(kg K)",
    gravity="9.80665 m/s2",
):
    """Suction that a warm house makes at its own slab.

    Below zero, where it is warmer outdoors, the house presses on its slab instead.

    Assumes dry air of one temperature on each side, no wind, and fans and chimneys at rest.
    """
    return (
        gravity
        * neutral_height
        * barometric_pressure
        / gas_constant
        * (1 / outdoor_temperature - 1 / indoor_temperature)
    )
