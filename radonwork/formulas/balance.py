"""The house as a balance of radon: what comes in, what air and decay take away, and how long a change takes to show.

The air of the house is one well-mixed box, or two. What comes in with soil gas is in radonwork/formulas/entry.py.
"""

from sympy import Max, exp, log

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_BOX = Source(kind="derived", place="balance of radon in one well-mixed box")
_BOXES = Source(kind="derived", place="balance of radon in two well-mixed boxes")
_DEFINED = Source(kind="derived", place="definition")

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


@formula("read_radon", _BOX, mean_left_share=("0 %", "100 %"))
def read_radon(start_radon, end_radon, mean_left_share):
    """What a test begun after a change reads.

    Assumes that the test weighs each of its hours alike.
    """
    return end_radon + (start_radon - end_radon) * mean_left_share


@formula("reading_excess", _BOX, when=_FALLS, mean_left_share=("0 %", "100 %"))
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
