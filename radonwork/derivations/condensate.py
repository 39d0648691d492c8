"""Condensate derived: the triangle of the run, the shear of the air, film and rivulet of the water, the puddle left."""

import sympy
from sympy import Integral, asin, cos, pi, sin, tan

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import symbol
from radonwork.formulas.condensate import (
    air_gradient,
    air_shear,
    condensate_volume_flow,
    drain_slope,
    draining_force,
    film_flow,
    film_least_depth,
    least_depth,
    levelling_sag,
    mean_air_velocity,
    net_force,
    no_flow_slope,
    plan_shortening,
    puddle_depth,
    rivulet_flow,
    rivulet_least_depth,
    rivulet_width,
    run_drop,
    run_drop_in_plan,
    run_plan_length,
    slope_angle,
    still_air_rivulet_flow,
    surface_shear,
)

# ---------------------------------------------------------------- the run

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

# ---------------------------------------------------------------- the air

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

# ---------------------------------------------------------------- the water

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

# ---------------------------------------------------------------- the puddle

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
