"""Condensate in the vent pipe: air goes up the slope, water comes down it, and the air holds the water back.

The chain runs from the flow of the air to its shear on the water, to the flow of a film and of a rivulet in the invert,
and to the slope at which that flow is zero or equals the condensate. Water laminar, air turbulent, pipe smooth and
straight, everything steady. Slope has no single meaning here: it depends on the water depth one accepts.
"""

import sympy
from sympy import Max, Rational, asin, atan, cos, pi, sin, sqrt, tan

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_GEOMETRY = Source(kind="derived", place="right triangle")
_BALANCE = Source(kind="derived", place="balance of forces on the air in the pipe")
_FILM = Source(kind="derived", place="steady laminar film under gravity, a pressure gradient and the shear of the air")
_BLASIUS = Source("fluids", "fluids.friction.Blasius, a quarter of the Darcy factor", kind="reference library")
_WAVES = Source("andritsos-hanratty-1987", "interfacial friction factor")
_WALLIS = Source("wallis-1969", "dimensionless velocity of flooding")
_KUTATELADZE = Source("pushkina-sorokin-1969", "dimensionless velocity")

# ---------------------------------------------------------------- the sloped run


@formula("slope_angle", _GEOMETRY)
def slope_angle(pipe_slope):
    """Angle of the pipe from level, from its rise over its level distance."""
    return atan(pipe_slope)


@formula("run_drop", _GEOMETRY)
def run_drop(run_length, slope_angle):
    """How much lower one end of the run lies, from its length along the pipe."""
    return run_length * sin(slope_angle)


@formula("run_drop", _GEOMETRY)
def run_drop_in_plan(run_plan_length, pipe_slope):
    """How much lower one end of the run lies, from its level distance."""
    return run_plan_length * pipe_slope


@formula("run_plan_length", _GEOMETRY)
def run_plan_length(run_length, slope_angle):
    """Level distance the sloped run covers."""
    return run_length * cos(slope_angle)


@formula("plan_shortening", _GEOMETRY)
def plan_shortening(run_length, slope_angle):
    """How much nearer the upper end of the run stands, in plan, than if the same pipe lay level.

    Assumes the riser above it stands plumb; its foot also stands higher, by the drop of the run.
    """
    return run_length * (1 - cos(slope_angle))


@formula("levelling_sag", Source(kind="derived", place="a parabola hung between two hangers"))
def levelling_sag(pipe_slope, hanger_spacing):
    """Sag midway between two hangers that leaves the pipe level at the lower one; more sag holds a pool.

    Assumes a sag in the shape of a parabola. A kink midway would take twice as much, a pipe that runs stiffly over its
    hangers about a third more.
    """
    return pipe_slope * hanger_spacing / 4


# ---------------------------------------------------------------- the air


@formula("air_velocity", Source(kind="derived", place="flow over area"))
def mean_air_velocity(air_flow, bore):
    """Mean velocity of the air in the pipe."""
    return air_flow / (pi * bore**2 / 4)


@formula("reynolds_number", Source("fluids", "fluids.core.Reynolds, the definition", kind="reference library"))
def reynolds_number(air_density, air_velocity, bore, air_viscosity):
    """Reynolds number of the air in the pipe."""
    return air_density * air_velocity * bore / air_viscosity


@formula("fanning_factor", _BLASIUS, reynolds_number=("3000", "200000"))
def fanning_factor(reynolds_number):
    """Fanning friction factor of turbulent flow in a smooth pipe, after Blasius.

    Assumes a smooth wall. It is a quarter of the Darcy factor.
    """
    return sympy.Float("0.0791") / reynolds_number ** Rational(1, 4)


@formula("air_shear", Source(kind="derived", place="the Fanning factor is the shear over the dynamic pressure"))
def air_shear(fanning_factor, air_density, air_velocity):
    """Shear of the air on the wall."""
    return fanning_factor * air_density * air_velocity**2 / 2


@formula("air_gradient", _BALANCE)
def air_gradient(air_shear, bore):
    """Pressure that the air loses to friction per length of pipe; it pushes the water up the slope too."""
    return 4 * air_shear / bore


# ---------------------------------------------------------------- a wavy surface


@formula("wave_velocity", _WAVES)
def wave_velocity(air_density, onset_velocity="5 m/s", onset_density="1.2 kg/m3"):
    """Air velocity above which waves stand on the water.

    Assumes the onset of waves at 5 m/s in air of 1.2 kg/m3, which is from memory.
    """
    return onset_velocity * sqrt(onset_density / air_density)


@formula(
    "wave_factor",
    _WAVES,
    when={"the water is shallower than the bore": lambda water_depth, bore: water_depth < bore},
)
def wave_factor(water_depth, bore, air_velocity, wave_velocity):
    """How many times larger the shear is on a wavy surface than on the wall.

    Assumes a relation fitted to far more water that runs with the air, from memory: here it is an upper bound.
    """
    return 1 + 15 * sqrt(water_depth / bore) * Max(air_velocity / wave_velocity - 1, 0)


@formula("surface_shear", Source(kind="derived", place="definition of the wave factor"))
def surface_shear(air_shear, wave_factor="1"):
    """Shear of the air on the water's surface.

    Assumes a smooth surface where no wave factor is given.
    """
    return wave_factor * air_shear


# ---------------------------------------------------------------- the water

_NEVER = (
    "gravity along the slope exceeds the air's pressure gradient; at this flow and slope nothing drains at any depth"
)
_TOO_MUCH = "gravity can hold the water at all; at this flow not even a plumb pipe drains water of this depth"
_SHALLOW = "the water is no deeper than a quarter of the bore"


@formula(
    "net_force",
    _FILM,
    when={
        _NEVER: lambda water_density, air_density, gravity, slope_angle, air_gradient: (
            (water_density - air_density) * gravity * sin(slope_angle) > air_gradient
        ),
    },
)
def net_force(slope_angle, air_gradient, air_density, water_density="999.7 kg/m3", gravity="9.80665 m/s2"):
    """Down-slope force on the water per volume: its weight along the slope less the push of the air's pressure.

    Assumes water at 50 °F (10 °C) where its density is not stated.
    """
    return (water_density - air_density) * gravity * sin(slope_angle) - air_gradient


@formula("film_flow", _FILM)
def film_flow(net_force, surface_shear, water_depth, water_viscosity="1.307e-3 Pa s"):
    """Down-slope flow of a flat film of water per width; below zero the air carries it up the slope.

    Assumes laminar water of even depth, at 50 °F (10 °C) where its viscosity is not stated.
    """
    return (2 * net_force * water_depth**3 - 3 * surface_shear * water_depth**2) / (6 * water_viscosity)


@formula(
    "rivulet_width",
    Source(kind="derived", place="chord of a circle"),
    when={_SHALLOW: lambda water_depth, bore: water_depth <= bore / 4},
)
def rivulet_width(water_depth, bore):
    """Width of the water's surface in the invert of the pipe.

    Assumes that the water wets the pipe from edge to edge of the chord.
    """
    return 2 * sqrt(water_depth * (bore - water_depth))


@formula("rivulet_flow", _FILM)
def rivulet_flow(net_force, surface_shear, water_depth, rivulet_width, water_viscosity="1.307e-3 Pa s"):
    """Down-slope flow of the rivulet in the invert; below zero the air carries it up the slope.

    Assumes that the depth across the rivulet follows a parabola and that each strip flows like a film of its own depth.
    Against the true circular segment this is 1 % high at a depth of 1/80 of the bore, 7 % at 1/15 and 25 % at 1/4.
    """
    return (
        4 * rivulet_width * water_depth**2 * (4 * net_force * water_depth - 7 * surface_shear) / (105 * water_viscosity)
    )


@formula("rivulet_flow", _FILM)
def still_air_rivulet_flow(net_force, water_depth, rivulet_width, water_viscosity="1.307e-3 Pa s"):
    """Down-slope flow of the rivulet in the invert where the air stands still.

    Assumes laminar water in a parabolic rivulet.
    """
    return 16 * rivulet_width * net_force * water_depth**3 / (105 * water_viscosity)


@formula("rivulet_flow", Source(kind="derived", place="mass over density"))
def condensate_volume_flow(condensate_flow, water_density="999.7 kg/m3"):
    """Volume flow of the condensate.

    Assumes water at 50 °F (10 °C) where its density is not stated.
    """
    return condensate_flow / water_density


# ---------------------------------------------------------------- depth and slope of no net flow


@formula("least_depth", _FILM)
def film_least_depth(surface_shear, net_force):
    """Depth at which a flat film of water neither drains nor climbs."""
    return 3 * surface_shear / (2 * net_force)


@formula("least_depth", _FILM)
def rivulet_least_depth(surface_shear, net_force):
    """Depth at which the rivulet in the invert neither drains nor climbs: what must collect before any drains.

    Assumes a parabolic rivulet. In the true circular segment 7/4 is between 1.75 and 1.77 up to a seventh of the bore.
    """
    return 7 * surface_shear / (4 * net_force)


@formula("least_depth", _FILM, shape_factor=("1", "7/4"))
def least_depth(shape_factor, surface_shear, net_force):
    """Depth that must collect before any water drains, for water of any shape.

    Assumes a shape factor of 1 for a plug that moves as one, 3/2 for a flat film, 7/4 for a rivulet.
    """
    return shape_factor * surface_shear / net_force


@formula(
    "no_flow_slope",
    _FILM,
    when={
        _TOO_MUCH: lambda shape_factor, surface_shear, water_depth, air_gradient, water_density, air_density, gravity: (
            shape_factor * surface_shear / water_depth + air_gradient < (water_density - air_density) * gravity
        ),
    },
    shape_factor=("1", "7/4"),
)
def no_flow_slope(
    shape_factor,
    surface_shear,
    water_depth,
    air_gradient,
    air_density,
    water_density="999.7 kg/m3",
    gravity="9.80665 m/s2",
):
    """Slope at which water of this depth neither drains nor climbs.

    Assumes a shape factor of 1 for a plug that moves as one, 3/2 for a flat film, 7/4 for a rivulet.
    """
    return tan(
        asin((shape_factor * surface_shear / water_depth + air_gradient) / ((water_density - air_density) * gravity))
    )


@formula("net_force", _FILM)
def draining_force(rivulet_flow, surface_shear, water_depth, rivulet_width, water_viscosity="1.307e-3 Pa s"):
    """Down-slope force per volume that drains a given flow in a rivulet of a given depth."""
    return (
        Rational(105, 16)
        / water_depth**3
        * (water_viscosity * rivulet_flow / rivulet_width + Rational(4, 15) * surface_shear * water_depth**2)
    )


@formula(
    "drain_slope",
    _FILM,
    when={
        _TOO_MUCH: lambda net_force, air_gradient, water_density, air_density, gravity: (
            net_force + air_gradient < (water_density - air_density) * gravity
        ),
    },
)
def drain_slope(net_force, air_gradient, air_density, water_density="999.7 kg/m3", gravity="9.80665 m/s2"):
    """Slope that gives the water this net force against the air."""
    return tan(asin((net_force + air_gradient) / ((water_density - air_density) * gravity)))


@formula("puddle_depth", Source(kind="derived", place="balance of a wide puddle's push and its surface tension"))
def puddle_depth(surface_tension, contact_angle, water_density="999.7 kg/m3", gravity="9.80665 m/s2"):
    """Depth of a wide puddle of still water on a level wall: what collects before it spreads.

    Assumes a flat wall; the contact angle of water on the plastic, about 85°, is from memory.
    """
    return 2 * sqrt(surface_tension / (water_density * gravity)) * sin(contact_angle / 2)


# ---------------------------------------------------------------- the vertical riser


@formula("wallis_number", _WALLIS)
def wallis_number(air_velocity, air_density, bore, water_density="999.7 kg/m3", gravity="9.80665 m/s2"):
    """Wallis number of the air in a vertical riser.

    Assumes little water. The limits set on its root, 0.725 with sharp ends to 1 with smooth ones, are from memory.
    """
    return air_velocity * sqrt(air_density / (gravity * bore * (water_density - air_density)))


@formula("root_wallis_number", _WALLIS)
def root_wallis_number(wallis_number):
    """Root of the Wallis number, the form in which its limits are stated."""
    return sqrt(wallis_number)


@formula("kutateladze_number", _KUTATELADZE)
def kutateladze_number(air_velocity, air_density, surface_tension, water_density="999.7 kg/m3", gravity="9.80665 m/s2"):
    """Kutateladze number of the air in a vertical riser.

    Assumes little water. The limit of 3.2 set on it is from memory.
    """
    return (
        air_velocity * sqrt(air_density) / (gravity * surface_tension * (water_density - air_density)) ** Rational(1, 4)
    )
