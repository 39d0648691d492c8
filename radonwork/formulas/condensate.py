"""Condensate in the vent pipe: air goes up the slope, water comes down it, and the air holds the water back.

The chain runs from the flow of the air to its shear on the water, to the flow of a film and of a rivulet in the invert,
and to the slope at which that flow is zero or equals the condensate. Water laminar, air turbulent, pipe smooth and
straight, everything steady. Slope has no single meaning here: it depends on the water depth one accepts.
"""

import sympy
from sympy import Integral, Max, Rational, asin, atan, cos, pi, sin, sqrt, tan

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import formula, symbol
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


@formula("fanning_factor", _BLASIUS, reynolds_number=("3000", "100000"))
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


# ---------------------------------------------------------------- derivations: the run

_sigma, _alpha, _R, _h = symbol("pipe_slope"), symbol("slope_angle"), symbol("run_length"), symbol("run_drop")
_plan, _short = symbol("run_plan_length"), symbol("plan_shortening")
_sag, _hangers = symbol("levelling_sag"), symbol("hanger_spacing")


def _triangle(derivation: Derivation) -> Derivation:
    """The run as the long side of a right triangle."""
    return derivation.premise(
        "rise", Eq(sin(_alpha), _h / _R), "The pipe is the long side of a right triangle."
    ).premise("level", Eq(cos(_alpha), _plan / _R), "Its level distance is the side next to the angle.")


Derivation(of=slope_angle, title="Angle from slope").premise(
    "slope", Eq(_sigma, tan(_alpha)), "A slope is rise over level distance, the tangent of the angle."
).step("angle", lambda slope: Eq(_alpha, sympy.solve(slope, _alpha)[0]), "Take the angle.")

_triangle(Derivation(of=run_drop, title="Drop of the run along the pipe")).step(
    "drop", lambda rise: Eq(_h, sympy.solve(rise, _h)[0]), "Take the drop."
)

_triangle(Derivation(of=run_plan_length, title="Run in plan")).step(
    "plan", lambda level: Eq(_plan, sympy.solve(level, _plan)[0]), "Take the level distance."
)

_triangle(Derivation(of=run_drop_in_plan, title="Drop of the run from its plan length")).premise(
    "slope", Eq(_sigma, tan(_alpha)), "A slope is rise over level distance."
).step(
    "length", lambda level: Eq(_R, sympy.solve(level, _R)[0]), "The length along the pipe from the level distance."
).step(
    "both", lambda rise, length: Eq(_h, sympy.solve(rise, _h)[0].subs(_R, length.rhs)), "Put it into the drop."
).step(
    "drop",
    lambda both, slope: Eq(_h, sympy.simplify(both.rhs.subs(_alpha, sympy.solve(slope, _alpha)[0]))),
    "Write the angle as the slope.",
)

_triangle(Derivation(of=plan_shortening, title="The riser's place in plan")).premise(
    "shorter", Eq(_short, _R - _plan), "The upper end moves back by what the run lost in plan."
).step(
    "shift",
    lambda shorter, level: Eq(_short, sympy.factor(shorter.rhs.subs(_plan, sympy.solve(level, _plan)[0]))),
    "Put in the level distance.",
)

_x, _height = sympy.Symbol("x", positive=True), sympy.Function("y")

Derivation(of=levelling_sag, title="Sag that takes the slope away").premise(
    "shape",
    Eq(_height(_x), _sigma * _x - 4 * _sag * (_x / _hangers) * (1 - _x / _hangers)),
    "From the lower hanger the pipe rises with its slope, less a parabola that hangs lowest midway.",
).step("steepness", lambda shape: Eq(shape.lhs.diff(_x), shape.rhs.diff(_x)), "How steep it is along the way.").step(
    "at_hanger",
    lambda steepness: Eq(0, sympy.simplify(steepness.rhs.subs(_x, 0))),
    "It is least at the lower hanger; there the slope is just gone.",
).step("sag", lambda at_hanger: Eq(_sag, sympy.solve(at_hanger.rhs, _sag)[0]), "Take the sag.")

# ---------------------------------------------------------------- derivations: the air

_Q, _D, _U, _A = symbol("air_flow"), symbol("bore"), symbol("air_velocity"), symbol("bore_area")
_tau, _G, _rho_g = symbol("air_shear"), symbol("air_gradient"), symbol("air_density")
_f = symbol("fanning_factor")
_length, _loss = sympy.symbols("l Delta_p", positive=True)

Derivation(of=mean_air_velocity, title="Mean velocity").premise(
    "flow", Eq(_Q, _A * _U), "What passes in a second fills the bore as far as the air moves in a second."
).premise("area", Eq(_A, pi * (_D / 2) ** 2), "The bore is a circle.").step(
    "velocity", lambda flow, area: Eq(_U, sympy.solve(flow, _U)[0].subs(_A, area.rhs)), "Take the velocity."
)

Derivation(of=air_shear, title="Shear of the air").premise(
    "factor", Eq(_f, _tau / (_rho_g * _U**2 / 2)), "The Fanning factor is the shear over the dynamic pressure."
).step("shear", lambda factor: Eq(_tau, sympy.solve(factor, _tau)[0]), "Take the shear.")

Derivation(of=air_gradient, title="Pressure gradient of the air").premise(
    "balance",
    Eq(_loss * pi * _D**2 / 4, _tau * pi * _D * _length),
    "Over a length of pipe the pressure lost, on the bore's area, carries the shear on the wall.",
).premise("gradient", Eq(_G, _loss / _length), "The gradient is the loss per length.").step(
    "result",
    lambda balance, gradient: Eq(_G, gradient.rhs.subs(_loss, sympy.solve(balance, _loss)[0])),
    "Take the loss from the balance.",
)

# ---------------------------------------------------------------- derivations: the water

_F, _tau_s, _delta, _mu = symbol("net_force"), symbol("surface_shear"), symbol("water_depth"), symbol("water_viscosity")
_rho_l, _g, _q, _Q_l = symbol("water_density"), symbol("gravity"), symbol("film_flow"), symbol("rivulet_flow")
_b, _k, _least = symbol("rivulet_width"), symbol("shape_factor"), symbol("least_depth")
_no_flow, _drain = symbol("no_flow_slope"), symbol("drain_slope")
_y, _z, _P = sympy.Symbol("y", nonnegative=True), sympy.Symbol("z", real=True), sympy.Symbol("P_x", real=True)
_u, _depth_at, _flow_at = sympy.Function("u"), sympy.Function("h"), sympy.Function("q")

Derivation(of=net_force, title="What drives the water down").premise(
    "air",
    Eq(_P, _rho_g * _g * sin(_alpha) + _G),
    "Down the slope the pressure in the pipe rises by the weight of the air and by its friction, which it overcomes on "
    "its way up.",
).premise(
    "water",
    Eq(_F, _rho_l * _g * sin(_alpha) - _P),
    "Thin water of even depth has the same pressure gradient: it is driven by its weight along the slope less that.",
).step(
    "force",
    lambda air, water: Eq(_F, sympy.collect(sympy.expand(water.rhs.subs(_P, air.rhs)), _g * sin(_alpha))),
    "Put the pressure of the air in.",
)

Derivation(of=film_flow, title="Flow of a film against the air").premise(
    "balance", Eq(_mu * _u(_y).diff(_y, 2), -_F), "In a steady laminar film the change of the shear carries the force."
).premise("wall", Eq(_u(0), 0), "Water sticks to the wall.").premise(
    "surface", Eq(_mu * _u(_delta).diff(_delta), -_tau_s), "At the surface the air drags the water up the slope."
).step(
    "velocity",
    lambda balance, wall, surface: sympy.dsolve(
        balance, _u(_y), ics={wall.lhs: wall.rhs, surface.lhs / _mu: surface.rhs / _mu}
    ).expand(),
    "Solve for the velocity at a height above the wall.",
).step(
    "sum", lambda: Eq(_q, Integral(_u(_y), (_y, 0, _delta))), "The flow per width is the velocity over the whole depth."
).step(
    "flow",
    lambda sum, velocity: Eq(_q, sympy.factor(sum.rhs.subs(_u(_y), velocity.rhs).doit())),
    "Put the velocity in and integrate.",
)

_FILM_LAW = Eq(_q, film_flow.expression.doit())
_RIVULET_LAW = Eq(_Q_l, rivulet_flow.expression.doit())

Derivation(of=film_least_depth, title="Film of no net flow").premise(
    "film", _FILM_LAW, "The flow of a film, derived before."
).step("none", lambda film: Eq(0, sympy.factor(film.rhs)), "What runs down below and up above cancels.").step(
    "depth",
    lambda none: Eq(_least, next(d for d in sympy.solve(none.rhs, _delta) if d != 0)),
    "Besides no water at all there is one depth.",
)

Derivation(of=rivulet_width, title="Width of the water in the invert").premise(
    "circle",
    Eq((_b / 2) ** 2 + (_D / 2 - _delta) ** 2, (_D / 2) ** 2),
    "Half the surface, the height of the centre above it and the radius make a right triangle.",
).step(
    "width",
    lambda circle: Eq(_b, next(b for b in sympy.solve(circle, _b) if not b.could_extract_minus_sign())),
    "Take the width.",
)

Derivation(of=rivulet_flow, title="Flow of a rivulet against the air").premise(
    "strips", Eq(_Q_l, 2 * Integral(_flow_at(_z), (_z, 0, _b / 2))), "The rivulet is made of strips side by side."
).premise("film", _FILM_LAW, "Each strip flows like a film of its own depth.").premise(
    "profile", Eq(_depth_at(_z), _delta * (1 - (2 * _z / _b) ** 2)), "A shallow invert is a parabola from edge to edge."
).step(
    "strip",
    lambda film, profile: Eq(_flow_at(_z), film.rhs.subs(_delta, profile.rhs)),
    "Put the depth of the strip into the film.",
).step(
    "flow",
    lambda strips, strip: Eq(_Q_l, sympy.factor(strips.rhs.subs(_flow_at(_z), strip.rhs).doit())),
    "Add the strips up.",
)

Derivation(of=still_air_rivulet_flow, title="Rivulet without air").premise(
    "rivulet", _RIVULET_LAW, "The flow of a rivulet, derived before."
).step("still", lambda rivulet: rivulet.subs(_tau_s, 0), "Air that stands still has no shear.")

Derivation(of=rivulet_least_depth, title="Rivulet of no net flow").premise(
    "rivulet", _RIVULET_LAW, "The flow of a rivulet, derived before."
).step("none", lambda rivulet: Eq(0, sympy.factor(rivulet.rhs)), "What runs down and what climbs cancel.").step(
    "depth",
    lambda none: Eq(_least, next(d for d in sympy.solve(none.rhs, _delta) if d != 0)),
    "Besides no water at all there is one depth.",
)

Derivation(of=least_depth, title="Depth of no net flow, any shape").premise(
    "plug", Eq(_F * _least, _k * _tau_s),
    "A plug that moves as one stands still when its force equals the shear, k = 1; a film and a rivulet, whose top is "
    "dragged up while their foot runs down, stand still at 3/2 and 7/4 of the shear, as derived for each.",
).step("depth", lambda plug: Eq(_least, sympy.solve(plug, _least)[0]), "Take the depth.")  # fmt: skip


def _sine(derivation: Derivation) -> Derivation:
    """From the force on the water to the sine of the angle that gives it."""
    return derivation.premise(
        "drive", Eq(_F, net_force.expression.doit()), "The force a slope gives, derived before."
    ).step(
        "sine",
        lambda drive: Eq(sin(_alpha), (_F - drive.rhs.subs(_alpha, 0)) / drive.rhs.diff(_alpha) * cos(_alpha)),
        "Take the sine of the angle.",
    )


_sine(Derivation(of=drain_slope, title="Slope that gives a force")).step(
    "slope", lambda sine: Eq(_drain, tan(asin(sine.rhs), evaluate=False)), "The slope is the tangent of that angle."
)

_sine(Derivation(of=no_flow_slope, title="Slope of no net flow")).premise(
    "still", Eq(_F * _delta, _k * _tau_s), "Water of this shape and depth stands still, as derived before."
).step(
    "hold",
    lambda sine, still: sine.subs(_F, sympy.solve(still, _F)[0]),
    "The angle that gives just this force.",
).step(
    "slope", lambda hold: Eq(_no_flow, tan(asin(hold.rhs), evaluate=False)), "The slope is the tangent of that angle."
)

Derivation(of=draining_force, title="Force that drains a given flow").premise(
    "rivulet", _RIVULET_LAW, "The flow of a rivulet, derived before."
).step("force", lambda rivulet: Eq(_F, sympy.solve(rivulet, _F)[0]), "Take the force.")

_phi_w, _m_w = symbol("wave_factor"), symbol("condensate_flow")

Derivation(of=surface_shear, title="Shear under waves").premise(
    "factor", Eq(_phi_w, _tau_s / _tau), "The wave factor is the shear on the water over that on the wall."
).step("shear", lambda factor: Eq(_tau_s, sympy.solve(factor, _tau_s)[0]), "Take the shear on the water.")

Derivation(of=condensate_volume_flow, title="Volume of the condensate").premise(
    "mass", Eq(_m_w, _rho_l * _Q_l), "What condenses in a second weighs its density times its volume."
).step("volume", lambda mass: Eq(_Q_l, sympy.solve(mass, _Q_l)[0]), "Take the volume.")

# ---------------------------------------------------------------- derivations: the puddle

_gamma, _phi, _puddle = symbol("surface_tension"), symbol("contact_angle"), symbol("puddle_depth")

Derivation(of=puddle_depth, title="Depth of a wide puddle").premise(
    "balance",
    Eq(_rho_l * _g * _puddle**2 / 2, _gamma - _gamma * cos(_phi)),
    "Per width of its edge the water's own pressure pushes outward; the surface above and at the foot pulls back.",
).premise("half", Eq(cos(_phi), 1 - 2 * sin(_phi / 2) ** 2), "The cosine of an angle from the sine of its half.").step(
    "pull", lambda balance, half: Eq(balance.lhs, sympy.simplify(balance.rhs.subs(cos(_phi), half.rhs))), "Put it in."
).step(
    "depth",
    lambda pull: Eq(_puddle, next(d for d in sympy.solve(pull, _puddle) if not d.could_extract_minus_sign())),
    "Take the depth.",
)
