"""The balance of radon derived: one well-mixed box, how it follows a change, and a basement under a box of its own."""

import sympy
from sympy import Max, exp

from radonwork.engine.derivation import Derivation, Eq, solved
from radonwork.engine.formula import symbol
from radonwork.engine.sources import Source
from radonwork.formulas.balance import (
    basement_radon,
    clearing_rate,
    clearing_time,
    increased_air_change,
    left_share,
    mean_left_share,
    natural_flow,
    needed_wait,
    radon_after_change,
    read_radon,
    reading_excess,
    remaining_entry,
    returned_radon,
    steady_radon,
    time_constant,
    upstairs_radon,
)

_STEADY = Source("nas-1999-drinking-water", "p. 144, the steady level of a house")

_S, _V, _Ci, _Co = (symbol(name) for name in ("entry_rate", "house_volume", "indoor_radon", "outdoor_radon"))
_air, _decay, _clear = (symbol(name) for name in ("air_change_rate", "radon_decay_constant", "clearing_rate"))
_C1, _C2, _Ct = (symbol(name) for name in ("start_radon", "end_radon", "radon_then"))
_then, _wait, _length = (symbol(name) for name in ("elapsed_time", "waiting_time", "test_length"))
_left, _mean_left, _excess = (symbol(name) for name in ("left_share", "mean_left_share", "reading_excess"))
_tau, _read, _allowed = (symbol(name) for name in ("time_constant", "read_radon", "allowed_excess"))
# Symbols that are no terms of the glossary.
_A = sympy.Symbol("A", real=True)
_level = sympy.Function("indoor_radon")(_then)
_change = sympy.Derivative(_level, _then)


def _clearing(derivation: Derivation) -> Derivation:
    """From the balance to the level so long after a change."""
    return (
        _balanced(derivation)
        .premise("clear", Eq(_clear, _air + _decay), "What air and decay take away together.", clearing_rate.source)
        .step(
            "steady",
            lambda balance: Eq(_C2, sympy.solve(Eq(0, balance.rhs.subs(_level, _C2)), _C2)[0]),
            "The new level is the one at which nothing changes any more.",
        )
        .step(
            "toward",
            lambda balance, clear, steady: Eq(
                _change,
                sympy.factor(
                    sympy.expand(
                        (balance.rhs / _V).subs(_S, solved(steady, _S).rhs).subs(_air, solved(clear, _air).rhs)
                    )
                ),
            ),
            "Written by that level, the balance says: the level moves toward it, the faster the further it is away.",
        )
        .step(
            "then",
            lambda toward: Eq(_Ct, sympy.dsolve(toward, _level, ics={_level.subs(_then, 0): _C1}).rhs),
            "The solution that begins at the old level.",
        )
    )


def _balanced(derivation: Derivation) -> Derivation:
    return derivation.premise(
        "balance",
        Eq(_V * _change, _S + _air * _V * _Co - _air * _V * _level - _decay * _V * _level),
        "Radon in the house grows by what comes in, from the ground and with outdoor air, and shrinks by what leaves with "
        "the air and by what decays.",
        _STEADY,
    )


def _sharing(derivation: Derivation) -> Derivation:
    return _clearing(derivation).step(
        "share",
        lambda then: Eq(_left, sympy.simplify((then.rhs - _C2) / (_C1 - _C2))),
        "The share of the difference that is left does not depend on the levels.",
    )


def _averaged(derivation: Derivation) -> Derivation:
    return (
        _sharing(derivation)
        .step(
            "mean",
            lambda share: Eq(
                _mean_left,
                sympy.simplify(sympy.integrate(share.rhs, (_then, _wait, _wait + _length)) / _length),
            ),
            "A test shows the mean from its start to its end.",
        )
        .step(
            "read",
            lambda then, share: Eq(
                _read, sympy.expand(then.rhs).subs(sympy.exp(-_clear * _then), _mean_left).factor(_mean_left)
            ),
            "The level is a straight line of that share, so its mean is the same line of the share's mean.",
        )
    )


_balanced(Derivation(clearing_rate, "What clears the house")).step(
    "taken",
    lambda balance: Eq(_clear, sympy.expand(-sympy.diff(balance.rhs, _level) / _V)),
    "What is taken away, for each unit of radon that is there.",
)

_sharing(Derivation(time_constant, "The time constant of a house")).premise(
    "meaning", Eq(_left.subs(_left, sympy.Function("left_share")(_tau)), exp(-1)), "After it 1/e is left."
).step(
    "constant",
    lambda share, meaning: solved(Eq(share.rhs.subs(_then, _tau), meaning.rhs), _tau),
    "Solve for the time.",
)

_balanced(Derivation(steady_radon, "The steady level")).step(
    "general",
    lambda balance: Eq(_level, sympy.dsolve(balance, _level).rhs.subs(sympy.Symbol("C1"), _A)),
    "The level as time goes on: a part that dies away, and one that stays.",
).step(
    "steady",
    lambda general: Eq(
        _Ci,
        sympy.simplify(
            sympy.limit(sympy.expand(general.rhs.subs(_decay, _clear - _air)), _then, sympy.oo).subs(
                _clear, _air + _decay
            )
        ),
    ),
    "Long after the last change only the second is there.",
)

Derivation(natural_flow, "The air of a house").premise(
    "meaning",
    Eq(_air, symbol("natural_flow") / _V),
    "Air change is the flow of outdoor air for each unit of the house's volume.",
).step("flow", lambda meaning: solved(meaning, symbol("natural_flow")), "Solve for the flow.")

_clearing(Derivation(radon_after_change, "How the level moves after a change"))
_sharing(Derivation(left_share, "What is left of the difference"))
_sharing(Derivation(clearing_time, "How long until so much is left")).step(
    "time",
    lambda share: Eq(symbol("clearing_time"), sympy.simplify(solved(share, _then).rhs)),
    "Solve for the time.",
)
_averaged(Derivation(mean_left_share, "What a test begun early still shows")).step(
    "factored",
    lambda mean: Eq(_mean_left, sympy.factor(sympy.expand(mean.rhs))),
    "What is left when the test starts, times the mean of what dies away during it.",
)
_averaged(Derivation(read_radon, "What a test begun early reads"))
_averaged(Derivation(reading_excess, "How far a test begun early reads too high")).step(
    "excess",
    lambda read: Eq(_excess, sympy.expand((read.rhs - _C2) / _C2)),
    "What it reads above the new level, over that level.",
)
_averaged(Derivation(needed_wait, "How long to wait before a test")).step(
    "excess",
    lambda read: Eq(_excess, sympy.expand((read.rhs - _C2) / _C2)),
    "What it reads above the new level, over that level.",
).step(
    "just",
    lambda excess, mean: Eq(_allowed, sympy.factor(excess.rhs.subs(_mean_left, mean.rhs))),
    "It may be just what is allowed.",
).step(
    "wait",
    lambda just: Eq(symbol("needed_wait"), Max(sympy.solve(just, _wait)[0], 0)),
    "Solve for the wait; where that is less than nothing, no wait is needed.",
)

Derivation(remaining_entry, "What suction leaves").premise(
    "all",
    Eq(_S, symbol("advective_entry") + symbol("diffusive_entry") + symbol("other_entry")),
    "Radon comes in with soil gas, by diffusion, and from water and building materials.",
).step(
    "left",
    lambda all: Eq(
        symbol("remaining_entry"),
        all.rhs.subs(symbol("advective_entry"), (1 - symbol("stopped_share")) * symbol("advective_entry")),
    ),
    "Suction takes its share off the first and leaves the others.",
)

Derivation(increased_air_change, "More air").premise(
    "meaning",
    Eq(symbol("more_air"), symbol("increased_air_change") / _air),
    "So many times the air change that there was.",
).step("air", lambda meaning: solved(meaning, symbol("increased_air_change")), "Solve for the air change.")

_back, _discharged, _blown = (symbol(name) for name in ("returned_share", "discharge_radon", "air_flow"))
_balanced(Derivation(returned_radon, "Exhaust that comes back")).premise(
    "clear", Eq(_clear, _air + _decay), "What air and decay take away together.", clearing_rate.source
).step(
    "steady",
    lambda balance: Eq(_Ci, sympy.solve(Eq(0, balance.rhs.subs(_level, _Ci)), _Ci)[0]),
    "The level at which nothing changes any more.",
).premise(
    "back",
    Eq(_S, _A + _back * _discharged * _blown),
    "To all else that comes in, A, comes what returns of the discharged radon.",
).step(
    "added",
    lambda steady, back, clear: Eq(
        symbol("returned_radon"),
        sympy.simplify((steady.rhs.subs(_S, back.rhs) - steady.rhs.subs(_S, _A)).subs(_air, solved(clear, _air).rhs)),
    ),
    "The level with it, less the level without it.",
)

_Vb, _Vu, _Qb, _Qu, _Qm = (
    symbol(name)
    for name in ("basement_volume", "upstairs_volume", "basement_air_flow", "upstairs_air_flow", "mixing_flow")
)
_Cb, _Cu = symbol("basement_radon"), symbol("upstairs_radon")


def _two_boxes(derivation: Derivation) -> Derivation:
    return derivation.premise(
        "above",
        Eq((_Qb + _Qm) * _Cb + _Qu * _Co, (_Qb + _Qm + _Qu) * _Cu + _decay * _Vu * _Cu),
        "Upstairs: what comes up from the basement and in from outdoors leaves outdoors, goes back down, or decays.",
    )


_two_boxes(Derivation(upstairs_radon, "Upstairs over a basement")).step(
    "upstairs", lambda above: solved(above, _Cu), "Solve for the level upstairs."
)
_two_boxes(Derivation(basement_radon, "A basement under other rooms")).premise(
    "below",
    Eq(_S + _Qb * _Co + _Qm * _Cu, (_Qb + _Qm) * _Cb + _decay * _Vb * _Cb),
    "Basement: what comes in from the ground, from outdoors and from upstairs goes up or decays.",
).step("upstairs", lambda above: solved(above, _Cu), "Solve the first for the level upstairs.").step(
    "basement",
    lambda below, upstairs: solved(Eq(below.lhs.subs(_Cu, upstairs.rhs), below.rhs), _Cb),
    "Put it into the second and solve for the level in the basement.",
)
