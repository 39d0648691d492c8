"""The house as a balance of radon: what comes in, what air and decay take away, and how long a change takes to show.

The air of the house is one well-mixed box, or two. What comes in with soil gas is in radonwork/formulas/entry.py.
"""

import sympy
from sympy import Max, exp, log

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import formula, symbol
from radonwork.engine.sources import Source

_BOX = Source(kind="derived", place="balance of radon in one well-mixed box")
_BOXES = Source(kind="derived", place="balance of radon in two well-mixed boxes")
_DEFINED = Source(kind="derived", place="definition")
_STEADY = Source("nas-1999-drinking-water", "p. 144, the steady level of a house")

_FALLS = {"the level falls": lambda start_radon, end_radon: start_radon > end_radon}

# ---------------------------------------------------------------- what comes in and what takes it away


@formula("clearing_rate", _BOX)
def clearing_rate(air_change_rate, radon_decay_constant):
    """How fast air and decay clear the house.

    Assumes that the air of the house is well mixed.
    """
    return air_change_rate + radon_decay_constant


@formula("time_constant", _BOX)
def time_constant(clearing_rate):
    """Time constant of the house."""
    return 1 / clearing_rate


@formula("indoor_radon", _BOX)
def steady_radon(entry_rate, house_volume, air_change_rate, outdoor_radon, radon_decay_constant):
    """Level at which entry, air and decay are in balance.

    Assumes one well-mixed box in which entry and air change have stayed the same for several time constants.
    """
    return (entry_rate / house_volume + air_change_rate * outdoor_radon) / (air_change_rate + radon_decay_constant)


@formula("natural_flow", _DEFINED)
def natural_flow(air_change_rate, house_volume):
    """Outdoor air that the house takes in."""
    return air_change_rate * house_volume


# ---------------------------------------------------------------- after a change


@formula("radon_then", _BOX)
def radon_after_change(start_radon, end_radon, clearing_rate, elapsed_time):
    """Level so long after a change.

    Assumes that the change is made at once, and that entry and air change stay the same from then on.
    """
    return end_radon + (start_radon - end_radon) * exp(-clearing_rate * elapsed_time)


@formula("left_share", _BOX)
def left_share(clearing_rate, elapsed_time):
    """Share of the difference that is left so long after a change.

    Assumes that the change is made at once, and that entry and air change stay the same from then on.
    """
    return exp(-clearing_rate * elapsed_time)


@formula("clearing_time", _BOX, left_share=("0.01 %", "100 %"))
def clearing_time(left_share, clearing_rate):
    """Time until a stated share of the difference is left.

    Assumes that the change is made at once, and that entry and air change stay the same from then on.
    """
    return log(1 / left_share) / clearing_rate


@formula("mean_left_share", _BOX)
def mean_left_share(waiting_time, test_length, clearing_rate):
    """Mean over a test of the share of the difference that is left.

    Assumes that the change is made at once, and that the test weighs each of its hours alike.
    """
    return exp(-clearing_rate * waiting_time) * (1 - exp(-clearing_rate * test_length)) / (clearing_rate * test_length)


@formula("read_radon", _BOX)
def read_radon(start_radon, end_radon, mean_left_share):
    """What a test begun after a change reads.

    Assumes that the test weighs each of its hours alike.
    """
    return end_radon + (start_radon - end_radon) * mean_left_share


@formula("reading_excess", _BOX, when=_FALLS)
def reading_excess(start_radon, end_radon, mean_left_share):
    """How far a test begun after a change reads too high.

    Assumes that the test weighs each of its hours alike.
    """
    return (start_radon / end_radon - 1) * mean_left_share


@formula("needed_wait", _BOX, when=_FALLS)
def needed_wait(start_radon, end_radon, allowed_excess, test_length, clearing_rate):
    """Wait that keeps the mean of a test within what is allowed.

    Assumes that the change is made at once, and that the test weighs each of its hours alike.
    """
    span = clearing_rate * test_length
    return Max(log((start_radon / end_radon - 1) * (1 - exp(-span)) / (span * allowed_excess)) / clearing_rate, 0)


# ---------------------------------------------------------------- more air or suction


@formula("remaining_entry", _BOX, stopped_share=("0 %", "100 %"))
def remaining_entry(advective_entry, stopped_share, diffusive_entry, other_entry):
    """Radon that still comes in when a fan sucks under the slab.

    Assumes that suction keeps out soil gas and nothing else: what diffuses through the slab, and what water and building
    materials give, comes in as before.
    """
    return (1 - stopped_share) * advective_entry + diffusive_entry + other_entry


@formula("increased_air_change", _DEFINED)
def increased_air_change(more_air, air_change_rate):
    """Air change after more ventilation.

    Assumes air that is let in and out alike, so that the pressure in the house stays what it was.
    """
    return more_air * air_change_rate


@formula("returned_radon", _BOX, returned_share=("0 %", "100 %"))
def returned_radon(returned_share, discharge_radon, air_flow, house_volume, clearing_rate):
    """What exhaust that comes back adds to the level of the house.

    Assumes that the same share comes back all the time; wind and the place of the outlet change it.
    """
    return returned_share * discharge_radon * air_flow / (house_volume * clearing_rate)


# ---------------------------------------------------------------- basement and upstairs


@formula("basement_radon", _BOXES)
def basement_radon(
    entry_rate,
    basement_volume,
    upstairs_volume,
    basement_air_flow,
    upstairs_air_flow,
    mixing_flow,
    outdoor_radon,
    radon_decay_constant,
):
    """Level in a basement under rooms that are a box of their own.

    Assumes that all radon but that of outdoor air comes in through the basement, and that the air that leaks into it goes
    on upstairs and leaves there.
    """
    upward = basement_air_flow + mixing_flow
    basement = upward + radon_decay_constant * basement_volume
    upstairs = upward + upstairs_air_flow + radon_decay_constant * upstairs_volume
    return (
        upstairs * (entry_rate + basement_air_flow * outdoor_radon) + mixing_flow * upstairs_air_flow * outdoor_radon
    ) / (basement * upstairs - mixing_flow * upward)


@formula("upstairs_radon", _BOXES)
def upstairs_radon(
    basement_radon,
    upstairs_volume,
    basement_air_flow,
    upstairs_air_flow,
    mixing_flow,
    outdoor_radon,
    radon_decay_constant,
):
    """Level above a basement.

    Assumes that all radon but that of outdoor air comes from the basement, and that the air that leaks into it goes on
    upstairs and leaves there.
    """
    upward = basement_air_flow + mixing_flow
    return (upward * basement_radon + upstairs_air_flow * outdoor_radon) / (
        upward + upstairs_air_flow + radon_decay_constant * upstairs_volume
    )


# ---------------------------------------------------------------- derivations

_S, _V, _Ci, _Co = (symbol(name) for name in ("entry_rate", "house_volume", "indoor_radon", "outdoor_radon"))
_air, _decay, _clear = (symbol(name) for name in ("air_change_rate", "radon_decay_constant", "clearing_rate"))
_C1, _C2, _Ct = (symbol(name) for name in ("start_radon", "end_radon", "radon_then"))
_then, _wait, _length = (symbol(name) for name in ("elapsed_time", "waiting_time", "test_length"))
_left, _mean_left, _excess = (symbol(name) for name in ("left_share", "mean_left_share", "reading_excess"))
_tau, _read, _allowed = (symbol(name) for name in ("time_constant", "read_radon", "allowed_excess"))
# Symbols that only the derivations use.
_A = sympy.Symbol("A", real=True)
_level = sympy.Function("indoor_radon")(_then)
_change = sympy.Derivative(_level, _then)


def _solved(equation: Eq, wanted: sympy.Symbol) -> Eq:
    (root,) = sympy.solve(equation, wanted)
    return Eq(wanted, root)


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
                        (balance.rhs / _V).subs(_S, _solved(steady, _S).rhs).subs(_air, _solved(clear, _air).rhs)
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
    lambda share, meaning: _solved(Eq(share.rhs.subs(_then, _tau), meaning.rhs), _tau),
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
).step("flow", lambda meaning: _solved(meaning, symbol("natural_flow")), "Solve for the flow.")

_clearing(Derivation(radon_after_change, "How the level moves after a change"))
_sharing(Derivation(left_share, "What is left of the difference"))
_sharing(Derivation(clearing_time, "How long until so much is left")).step(
    "time",
    lambda share: Eq(symbol("clearing_time"), sympy.simplify(_solved(share, _then).rhs)),
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
).step("air", lambda meaning: _solved(meaning, symbol("increased_air_change")), "Solve for the air change.")

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
        sympy.simplify((steady.rhs.subs(_S, back.rhs) - steady.rhs.subs(_S, _A)).subs(_air, _solved(clear, _air).rhs)),
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
    "upstairs", lambda above: _solved(above, _Cu), "Solve for the level upstairs."
)
_two_boxes(Derivation(basement_radon, "A basement under other rooms")).premise(
    "below",
    Eq(_S + _Qb * _Co + _Qm * _Cu, (_Qb + _Qm) * _Cb + _decay * _Vb * _Cb),
    "Basement: what comes in from the ground, from outdoors and from upstairs goes up or decays.",
).step("upstairs", lambda above: _solved(above, _Cu), "Solve the first for the level upstairs.").step(
    "basement",
    lambda below, upstairs: _solved(Eq(below.lhs.subs(_Cu, upstairs.rhs), below.rhs), _Cb),
    "Put it into the second and solve for the level in the basement.",
)
