"""Ways of radon into a house derived: diffusion with decay, flow through ground and crack, pressure over the height."""

import sympy
from sympy import Max, cosh, exp, log, pi, sinh

from radonwork.engine.derivation import Derivation, Eq, solved
from radonwork.engine.formula import symbol
from radonwork.formulas.entry import (
    advective_entry,
    bare_soil_flux,
    crack_resistance,
    diffusion_length,
    diffusive_entry,
    entry_pressure,
    entry_resistance,
    exhaust_air_ratio,
    exhaust_pull,
    ground_entry,
    ground_resistance,
    level_ratio,
    opened_air_ratio,
    opened_neutral_height,
    opened_pull,
    slab_flux,
    soil_gas_flow,
    soil_gas_radon,
    soil_gas_share,
    wall_pressure,
)

_Ra, _out, _grain, _pore = (
    symbol(name) for name in ("radium_content", "emanation_share", "grain_density", "soil_porosity")
)
_wet, _partition, _Cg, _Ci = (
    symbol(name) for name in ("water_saturation", "water_partition", "soil_gas_radon", "indoor_radon")
)
_decay, _D, _L, _open = (
    symbol(name) for name in ("radon_decay_constant", "pore_diffusivity", "diffusion_length", "open_porosity")
)
_thick, _flux = symbol("slab_thickness"), symbol("radon_flux")
_mu, _k, _crack, _reach, _depth, _wide = (
    symbol(name)
    for name in ("air_viscosity", "soil_permeability", "crack_length", "crack_reach", "crack_depth", "crack_width")
)
_Rg, _Rk, _Re = (symbol(name) for name in ("ground_resistance", "crack_resistance", "entry_resistance"))
_drive, _flow, _carried = (symbol(name) for name in ("entry_pressure", "soil_gas_flow", "advective_entry"))
_stack, _fan, _neutral = (symbol(name) for name in ("stack_suction", "fan_suction", "neutral_height"))
_z, _wall = symbol("height_above_slab"), symbol("wall_pressure")
_H, _window, _share, _opened = (
    symbol(name) for name in ("envelope_height", "opening_height", "opening_share", "opened_neutral_height")
)
_ratio, _airs = symbol("entry_ratio"), symbol("air_ratio")
_blown, _drawn = symbol("exhaust_flow"), symbol("natural_flow")
# Symbols that are no terms of the glossary.
_A, _C = sympy.symbols("A C", real=True)
_x, _r, _mirror, _lose, _leak = sympy.symbols("x r m w c", positive=True)
_pull, _through = sympy.symbols("P q", positive=True)
_made, _lost = sympy.symbols("G D", positive=True)
_of_x = sympy.Function("soil_gas_radon")(_x)
_speed = sympy.Function("u")(_x)
_at_r = sympy.Function("P")(_r)


Derivation(soil_gas_radon, "Radon in soil gas").premise(
    "made",
    Eq(_made, _decay * _Ra * _out * _grain * (1 - _pore)),
    "In each volume of soil the radium of the grains makes radon, and a share of it gets out into the pores.",
).premise(
    "decays",
    Eq(_lost, _decay * _pore * ((1 - _wet) * _Cg + _wet * _partition * _Cg)),
    "The radon in the air and in the water of the pores decays.",
).step(
    "gas",
    lambda made, decays: Eq(_Cg, made.rhs / sympy.simplify(decays.rhs / _Cg)),
    "Where nothing gets away as much decays as is made.",
)


def _diffusing(derivation: Derivation) -> Derivation:
    return derivation.premise(
        "balance",
        Eq(_D * sympy.Derivative(_of_x, _x, 2), _decay * _of_x),
        "Fick's law: what flows in the pores is the coefficient times the fall in concentration. What a slice gains by it "
        "is what decays there.",
    )


def _by_length(derivation: Derivation) -> Derivation:
    return (
        _diffusing(derivation)
        .premise("length", Eq(_D, _decay * _L**2), "The coefficient, written by the diffusion length.", diffusion_length.source)
        .step(
            "general",
            lambda balance, length: Eq(
                _of_x,
                sympy.dsolve(balance.subs(_D, length.rhs), _of_x).rhs.subs(
                    {sympy.Symbol("C1"): _A, sympy.Symbol("C2"): _C}
                ),
            ),
            "Two exponentials, one falling and one growing.",
        )
    )  # fmt: skip


_diffusing(Derivation(diffusion_length, "How far radon diffuses")).premise(
    "meaning",
    Eq(_of_x, _A * exp(-_x / _L)),
    "The diffusion length is the distance over which it falls to 1/e.",
).step(
    "put_in",
    lambda balance, meaning: Eq(
        sympy.simplify(balance.lhs.subs(_of_x, meaning.rhs).doit() / meaning.rhs), balance.rhs / _of_x
    ),
    "Put that into the balance: the concentration itself drops out.",
).step("length", lambda put_in: solved(put_in, _L), "Solve for the length.")

_by_length(Derivation(bare_soil_flux, "What bare soil gives off")).step(
    "deficit",
    lambda general: Eq(
        _of_x,
        sum(
            part
            for part in general.rhs.args
            if sympy.limit(part.subs({_A: 1, _C: 1}), _x, sympy.oo) == 0
        ),
    ),
    "What is lacking from the deep soil's concentration obeys the same balance, and is nothing far down.",
).step(
    "fitted",
    lambda deficit: Eq(_of_x, _Cg * deficit.rhs / deficit.rhs.subs(_x, 0)),
    "At the surface all of it is lacking.",
).step(
    "flux",
    lambda fitted, length: Eq(
        _flux, _open * length.rhs * -sympy.diff(fitted.rhs, _x).subs(_x, 0)
    ),
    "What comes out is the flow in the pores at the surface, over their share of it.",
)  # fmt: skip

_by_length(Derivation(slab_flux, "Radon through a slab")).step(
    "fitted",
    lambda general: Eq(
        _of_x,
        general.rhs.subs(
            sympy.solve([general.rhs.subs(_x, 0) - _Cg, general.rhs.subs(_x, _thick) - _Ci], [_A, _C], dict=True)[0]
        ),
    ),
    "Under the slab stands the soil's concentration, above it that of the house.",
).step(
    "out",
    lambda fitted, length: Eq(_flux, sympy.factor(_open * length.rhs * -sympy.diff(fitted.rhs, _x).subs(_x, _thick))),
    "What comes out is the flow in the pores at the upper face, over their share of it.",
).step(
    "flux",
    lambda out: Eq(
        _flux,
        sympy.factor_terms(
            sympy.expand(out.rhs * sinh(_thick / _L).rewrite(exp))
            .factor()
            .expand()
            .replace(exp, lambda power: cosh(power) + sinh(power))
            .expand()
        )
        / sinh(_thick / _L),
    ),
    "Write the exponentials as hyperbolic functions.",
)

Derivation(diffusive_entry, "Through the whole slab").premise(
    "meaning",
    Eq(_flux, symbol("diffusive_entry") / symbol("slab_area")),
    "A flux is what comes out for each area.",
).step("entry", lambda meaning: solved(meaning, symbol("diffusive_entry")), "Solve for what comes in.")

Derivation(ground_resistance, "Soil around a crack").premise(
    "darcy",
    Eq(_flow, 2 * pi * _r * _crack * _k / _mu * sympy.Derivative(_at_r, _r)),
    "Darcy's law: what runs in through each cylinder around the crack is its area times permeability over viscosity times "
    "how steeply the pressure rises outward.",
).step(
    "alone",
    lambda darcy: Eq(_at_r, sympy.dsolve(darcy, _at_r).rhs.subs(sympy.Symbol("C1"), _A)),
    "The same gas passes every cylinder.",
).step(
    "mirrored",
    lambda alone: Eq(_pull, sympy.expand(alone.rhs - alone.rhs.subs(_r, _mirror))),
    "A crack that gives as much, as far above the ground as this one lies below it, makes the surface halfway between them "
    "stand at the pressure outdoors: there both distances are alike.",
).step(
    "at_crack",
    lambda mirrored: Eq(_drive, -mirrored.rhs.subs({_r: _reach, _mirror: 2 * _depth})),
    "At the crack itself its mirror image is twice the depth away.",
).premise("meaning", Eq(_drive, _Rg * _flow), "Resistance is pressure over flow.").step(
    "resistance",
    lambda at_crack, meaning: Eq(
        _Rg,
        sympy.factor(sympy.solve(Eq(at_crack.rhs, meaning.rhs), _Rg)[0] / log(2 * _depth / _reach)).simplify()
        * log(2 * _depth / _reach),
    ),
    "The flow drops out.",
)

Derivation(crack_resistance, "A crack between two faces").premise(
    "drag",
    Eq(_mu * sympy.Derivative(_speed, _x, 2), -_drive / _thick),
    "Slow flow: the pressure over each length is taken up by the drag between layers of air.",
).step(
    "profile",
    lambda drag: sympy.dsolve(drag, _speed, ics={_speed.subs(_x, 0): 0, _speed.subs(_x, _wide): 0}),
    "Against both faces the air stands still.",
).step(
    "flow",
    lambda profile: Eq(_flow, sympy.factor(_crack * sympy.integrate(profile.rhs, (_x, 0, _wide)))),
    "Add it up over the width and the length of the crack.",
).premise("meaning", Eq(_drive, _Rk * _flow), "Resistance is pressure over flow.").step(
    "resistance",
    lambda flow, meaning: solved(Eq(_drive, meaning.rhs.subs(_flow, flow.rhs)), _Rk),
    "The pressure drops out.",
)

Derivation(entry_resistance, "One after the other").premise(
    "pressures",
    Eq(_drive, _Rg * _flow + _Rk * _flow),
    "The same gas passes the soil and then the crack, and each takes its part of the pressure.",
).premise("meaning", Eq(_drive, _Re * _flow), "Resistance is pressure over flow.").step(
    "resistance",
    lambda pressures, meaning: solved(Eq(meaning.rhs, pressures.rhs), _Re),
    "The flow drops out.",
)

Derivation(entry_pressure, "What drives soil gas in").premise(
    "outdoors",
    Eq(_pull, _stack - _fan),
    "Both are counted against the air outdoors: the house pulls from above, the fan from below.",
).step(
    "inward",
    lambda outdoors: Eq(_drive, Max(outdoors.rhs, 0)),
    "Where the fan pulls more, house air goes down and no soil gas comes up.",
)  # fmt: skip

Derivation(soil_gas_flow, "How much soil gas comes in").premise(
    "meaning", Eq(_drive, _Re * _flow), "Resistance is pressure over flow."
).step("flow", lambda meaning: solved(meaning, _flow), "Solve for the flow.")

Derivation(advective_entry, "What soil gas carries").premise(
    "meaning",
    Eq(_Cg, _carried / _flow),
    "A concentration is radon over the volume that holds it, or over the flow that carries it.",
).step("entry", lambda meaning: solved(meaning, _carried), "Solve for what comes in.")  # fmt: skip

Derivation(ground_entry, "Every way in").premise(
    "rest",
    Eq(symbol("ground_entry") - _carried - symbol("diffusive_entry"), symbol("other_entry")),
    "What comes neither with soil gas nor through the slab comes from water and building materials.",
).step("entry", lambda rest: solved(rest, symbol("ground_entry")), "Solve for all of it.")

Derivation(soil_gas_share, "How little soil gas it takes").premise(
    "meaning",
    Eq(symbol("drawn_flow"), symbol("soil_gas_share") * _drawn),
    "Soil gas is a share of all the air that comes in.",
).step("share", lambda meaning: solved(meaning, symbol("soil_gas_share")), "Solve for the share.")

# ---- the height of the house


def _columns(derivation: Derivation) -> Derivation:
    return derivation.premise(
        "columns",
        Eq(_wall, _pull - _lose * _z),
        "At the slab the house stands P below the outdoors; with each step up it loses less weight of air than the outdoors "
        "does, w for each height.",
    )


def _even(derivation: Derivation) -> Derivation:
    """A house that leaks c for each height and pressure; its neutral height and its natural flow."""
    return (
        _columns(derivation)
        .step(
            "closed",
            lambda columns: solved(Eq(sympy.integrate(_leak * columns.rhs, (_z, 0, _H)), 0), _pull),
            "What comes in below goes out above. Leaks alike all the way up, c for each height and pressure, let in as much "
            "as they let out.",
        )
        .step(
            "natural",
            lambda columns, closed: Eq(
                _drawn,
                sympy.factor(sympy.integrate(_leak * columns.rhs.subs(_pull, closed.rhs), (_z, 0, _H / 2))),
            ),
            "The air that comes in, up to half the height.",
        )
    )


def _blowing(derivation: Derivation) -> Derivation:
    return _even(derivation).step(
        "fan",
        lambda columns: solved(Eq(sympy.integrate(_leak * columns.rhs, (_z, 0, _H)), _blown), _pull),
        "With the fan the leaks let in what it blows out.",
    )


_columns(Derivation(wall_pressure, "Pressure over the height of a house")).step(
    "neutral",
    lambda columns: solved(Eq(columns.rhs.subs(_z, _neutral), 0), _lose),
    "At the neutral height both sides are alike.",
).step(
    "pressure",
    lambda columns, neutral: Eq(_wall, columns.rhs.subs(_lose, neutral.rhs).subs(_pull, _stack)),
    "Put that in.",
)


def _opening(derivation: Derivation) -> Derivation:
    return _even(derivation).premise(
        "window",
        Eq(_through, _share * _leak * _H * (_lose * _opened - _lose * _window)),
        "The window lets in, or out where that is negative, so many times what all the leaks together do.",
    )


_opening(Derivation(opened_neutral_height, "Where an open window moves the neutral height")).step(
    "balance",
    lambda columns, window: Eq(
        sympy.expand(sympy.integrate(_leak * columns.rhs.subs(_pull, _lose * _opened), (_z, 0, _H)) + window.rhs), 0
    ),
    "Leaks and window together let in as much as they let out.",
).step("height", lambda balance: solved(balance, _opened), "Solve for the neutral height.")

_opening(Derivation(opened_air_ratio, "What an open window does to the air change")).step(
    "inward",
    lambda columns, window: Eq(
        _lost,
        sympy.integrate(_leak * columns.rhs.subs(_pull, _lose * _opened), (_z, 0, _opened))
        + _share * _leak * _H * _lose * Max(_opened - _window, 0),
    ),
    "The air that comes in, D: through the leaks below the neutral height, and through the window if it lies below it.",
).step(
    "ratio",
    lambda inward, natural: Eq(_airs, sympy.expand(inward.rhs / natural.rhs)),
    "Over what came in without the window.",
)

_even(Derivation(opened_pull, "What an open window does to the pull")).step(
    "ratio",
    lambda closed: Eq(_ratio, _lose * _opened / closed.rhs),
    "The pull at the slab is the neutral height times what is lost with each height; compare it with that of the house "
    "without the window.",
)

_blowing(Derivation(exhaust_pull, "What an exhaust fan does to the pull")).step(
    "ratio",
    lambda fan, closed: Eq(_ratio, sympy.expand(fan.rhs / closed.rhs)),
    "Over the pull without the fan.",
).step(
    "by_flow",
    lambda ratio, natural: Eq(_ratio, sympy.expand(ratio.rhs.subs(_lose, solved(natural, _lose).rhs))),
    "Write it by the natural flow.",
)

_blowing(Derivation(exhaust_air_ratio, "What an exhaust fan does to the air change")).step(
    "inward",
    lambda columns, fan: Eq(
        _lost,
        sympy.factor(
            sympy.integrate(_leak * columns.rhs, (_z, 0, _pull / _lose)).subs(_pull, fan.rhs)
        ),
    ),
    "The air that comes in, D, up to the new neutral height.",
).step(
    "ratio",
    lambda inward, natural: Eq(
        _airs, sympy.factor((inward.rhs / natural.rhs).subs(_lose, solved(natural, _lose).rhs))
    ),
    "Over what came in without the fan, written by the natural flow.",
)  # fmt: skip

Derivation(level_ratio, "What becomes of the level").premise(
    "before",
    Eq(_A, _pull / _through),
    "Without decay and outdoor radon the level A is what comes in, in proportion to the pull P, over the air q.",
).premise(
    "after", Eq(_C, _ratio * _pull / (_airs * _through)), "After the change both are so many times what they were."
).step(
    "ratio",
    lambda before, after: Eq(symbol("level_ratio"), after.rhs / before.rhs),
    "Divide the one level by the other.",
)  # fmt: skip
