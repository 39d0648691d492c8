"""Pressure that a branch takes at a flow: coefficients worked out once, so that only the friction factor is left to do."""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import cast

import numpy as np
from numpy.typing import NDArray

from radonwork.engine.formula import Values
from radonwork.formulas import condensate, fittings, friction
from radonwork.solvers.friction import LAMINAR_BELOW, Roughness, turbulent
from radonwork.solvers.route import Branch, Fitting, Opening, Pipe, Soil

Array = NDArray[np.float64]
# Losses in line with the flow or its square: their value at unit flow is their coefficient.
_UNIT = 1.0
# Where flow turns from laminar to turbulent its friction jumps up. From a little below the jump the loss is drawn straight
# to its upper end, so that every flow has a loss and every loss a flow.
_RAMP_FROM = 2000.0
HAIR = 1e-15
"""m³/s added to a flow's size: keeps a still pipe's Reynolds number above zero."""


@dataclass(frozen=True)
class _Friction:
    """Straight pipe of one bore and roughness: Reynolds number per flow, loss per squared flow and friction factor."""

    number: Values
    loss: Values
    roughness: Roughness


@dataclass(frozen=True)
class Losses:
    """A branch: loss per flow, per squared flow, and its straight pipe."""

    linear: Values
    square: Values
    pipes: tuple[_Friction, ...]


def square_loss(bore: Values, density: Values) -> Values:
    """Velocity pressure in a bore per squared flow."""
    # The fittings of a route are of few bores: what is the same for all of them is worked once.
    if isinstance(bore, float) and isinstance(density, float):
        return _square_loss_of_one(bore, density)
    return _square_loss(bore, density)


def _square_loss(bore: Values, density: Values) -> Values:
    return friction.velocity_pressure(
        air_density=density, air_velocity=condensate.mean_air_velocity(air_flow=_UNIT, bore=bore)
    )


_square_loss_of_one = lru_cache(maxsize=64)(_square_loss)


def _straight(pipe: Pipe, density: Values, viscosity: Values) -> _Friction:
    velocity = condensate.mean_air_velocity(air_flow=_UNIT, bore=pipe.bore)
    return _Friction(
        condensate.reynolds_number(air_density=density, air_velocity=velocity, bore=pipe.bore, air_viscosity=viscosity),
        friction.friction_loss(
            darcy_factor=_UNIT,
            straight_length=pipe.length,
            bore=pipe.bore,
            air_density=density,
            air_velocity=velocity,
        ),
        Roughness.of(friction.relative_roughness(wall_roughness=pipe.roughness, bore=pipe.bore)),
    )


_opening_suction = fittings.opening_flow.solved_for("opening_suction")


def _piece_square(piece: Fitting | Opening | Soil, density: Values) -> Values:
    """Loss of a piece per squared flow, but for what grows with the flow itself."""
    if isinstance(piece, Fitting):
        return piece.coefficient * square_loss(piece.bore, density)
    if isinstance(piece, Opening):
        return _opening_suction(
            air_flow=_UNIT,
            opening_area=piece.area,
            discharge_coefficient=piece.discharge_coefficient,
            air_density=density,
        )
    return cast(Values, piece.inertia)


def losses_of(branch: Branch, density: Values, viscosity: Values) -> Losses:
    linear: Values = 0.0
    square: Values = 0.0
    straight: list[Pipe] = []
    for piece in branch.pieces:
        if isinstance(piece, Pipe):
            for place, other in enumerate(straight):  # pipe of one bore and roughness is one pipe
                if _same(other.bore, piece.bore) and _same(other.roughness, piece.roughness):
                    straight[place] = replace(other, length=other.length + piece.length)
                    break
            else:
                straight.append(piece)
            continue
        square = square + _piece_square(piece, density)
        if isinstance(piece, Soil):
            linear = linear + piece.resistance
    return Losses(linear, square, tuple(_straight(pipe, density, viscosity) for pipe in straight))


def _same(one: Values, other: Values) -> bool:
    return one is other or (np.ndim(one) == 0 and np.ndim(other) == 0 and one == other)


def continuous_factor(number: Array, roughness: Roughness) -> tuple[Array, Array]:
    """Darcy factor and friction exponent at any Reynolds number above zero, with the ramp in place of the jump."""
    factor, exponent = turbulent(np.maximum(number, LAMINAR_BELOW), roughness)
    still = number < LAMINAR_BELOW
    if not still.any():
        return factor, exponent
    # Loss goes with factor x Re²; `factor` is that of the upper end wherever it is used here.
    low, high = 64 * _RAMP_FROM, factor * LAMINAR_BELOW**2
    rise = (high - low) / (LAMINAR_BELOW - _RAMP_FROM)
    on_ramp = low + rise * (number - _RAMP_FROM)
    laminar = number <= _RAMP_FROM
    factor = np.where(still, np.where(laminar, 64 / number, on_ramp / number**2), factor)
    exponent = np.where(still, np.where(laminar, 1.0, 2 - rise * number / on_ramp), exponent)
    return factor, exponent


def per_flow_and_slope(losses: Losses, size: Array) -> tuple[Array, Array]:
    """Loss over flow, and slope of the loss with flow, at a flow of this size above zero."""
    per_flow = losses.linear + losses.square * size
    slope = per_flow + losses.square * size
    for pipe in losses.pipes:
        factor, exponent = continuous_factor(pipe.number * size, pipe.roughness)
        friction_per_flow = pipe.loss * factor * size
        per_flow = per_flow + friction_per_flow
        slope = slope + (2 - exponent) * friction_per_flow
    return cast(Array, per_flow), cast(Array, slope)
