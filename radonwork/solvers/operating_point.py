"""Where a fan and a house system meet: flow, pressures and velocity of soil, one route of pipe, and a fan.

`operating_point` is the system in a nutshell, with an example fan. `operating_point_of` makes the same statement of a
fan's own curve and a route piece by piece.
"""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from radonwork.engine.derivation import Eq
from radonwork.engine.formula import Values, symbol
from radonwork.engine.solver import Solver, solver
from radonwork.engine.sources import Source
from radonwork.formulas import condensate, fan, fittings, friction
from radonwork.solvers.branch_losses import continuous_factor
from radonwork.solvers.fan_curve import ExampleFan, Fan
from radonwork.solvers.friction import Roughness
from radonwork.solvers.network import solve
from radonwork.solvers.route import OUTSIDE, Branch, Fitting, Network, NotAttainable, Piece, Pipe, Soil

_BALANCE = Source(kind="derived", place="the fan's pressure is what soil, straight pipe and fittings take")
_GIVEN = ("air_flow", "soil_resistance", "soil_suction", "friction_loss", "fitting_loss", "fan_pressure")
_NO_PIPE = 1e-12
"""m: a network knows no pipe of no length, so one as short as this, which takes nothing that could be seen, stands for it."""
_Q, _R, _p_u, _p_friction, _p_fittings, _p_f = (symbol(name) for name in _GIVEN)


def _system(soil_resistance: Any, pieces: Sequence[Piece]) -> Network:
    """Soil under one suction point, and one route from it to the outlet."""
    soil = Branch("soil", OUTSIDE, "pit", (Soil(soil_resistance),))
    return Network((soil, Branch("route", "pit", OUTSIDE, tuple(pieces))), fan="route")


@solver(
    gives=("air_flow", "fan_pressure", "soil_suction", "friction_loss", "fitting_loss", "air_velocity", "darcy_factor"),
    source=_BALANCE,
    solves=lambda: [
        Eq(_p_f, _p_u + _p_friction + _p_fittings),
        Eq(_p_f, fan.example_fan_pressure.expression * fan.density_ratio.expression),
        Eq(_p_u, _R * _Q),
        Eq(symbol("air_velocity"), condensate.mean_air_velocity.expression),
        Eq(_p_friction, friction.friction_loss.expression),
        Eq(
            _p_fittings,
            fittings.fitting_loss.expression.subs(symbol("velocity_pressure"), friction.velocity_pressure.expression),
        ),
    ],
    fan_exponent=("1", "4"),
    loss_coefficient=("0", "1000"),
)
def operating_point(
    soil_resistance: Any,
    straight_length: Any,
    bore: Any,
    loss_coefficient: Any,
    shutoff_pressure: Any,
    free_flow: Any,
    fan_exponent: Any = "1",
    wall_roughness: Any = "1.5 um",
    air_density: Any = "0.075 lb/ft3",
    air_viscosity: Any = "1.81e-5 Pa s",
    rated_density: Any = "0.075 lb/ft3",
) -> dict[str, Values]:
    """Operating point of an example fan on soil, one size of pipe and its fittings.

    Assumes soil whose suction goes with its flow, an invented fan curve (straight where no exponent is given) that is
    stated for standard air, and, where they are not given, standard air and smooth plastic pipe.
    """
    pieces = (Pipe(np.maximum(straight_length, _NO_PIPE), bore, wall_roughness), Fitting(loss_coefficient, bore))
    found = solve(
        _system(soil_resistance, pieces),
        ExampleFan(shutoff_pressure, free_flow, fan_exponent, rated_density),
        air_density=air_density,
        air_viscosity=air_viscosity,
    )
    _, taken = found.losses("route")
    velocity = condensate.mean_air_velocity(air_flow=found.fan_flow, bore=bore)
    pressure = friction.velocity_pressure(air_density=air_density, air_velocity=velocity)
    number = condensate.reynolds_number(
        air_density=air_density, air_velocity=velocity, bore=bore, air_viscosity=air_viscosity
    )
    roughness = friction.relative_roughness(wall_roughness=wall_roughness, bore=bore)
    factor = continuous_factor(np.asarray(number), Roughness.of(roughness))[0][()]
    return {
        "air_flow": found.fan_flow,
        "fan_pressure": found.fan_pressure,
        "soil_suction": found.suctions["pit"],
        "friction_loss": factor * straight_length / bore * pressure,
        "fitting_loss": taken,
        "air_velocity": velocity,
        "darcy_factor": factor,
    }


def operating_point_of(curve: Fan, pieces: Sequence[Piece], name: str = "operating_point") -> Solver:
    """The same statement for a fan's own curve and a route piece by piece, as a solver that a sheet can hold.

    It takes the soil's resistance and the air; it gives the flow, the fan's pressure, the suction in the pit, what the
    route takes and the largest velocity in it. Raises RangeError, one line, where the fan's curve does not reach.
    """

    def function(soil_resistance: Values, air_density: Values, air_viscosity: Values) -> Mapping[str, Values]:
        found = solve(_system(soil_resistance, pieces), curve, air_density=air_density, air_viscosity=air_viscosity)
        if not np.all(found.attained):
            raise NotAttainable("not attainable on this fan's curve for every value given; add the maker's points")
        velocities = [velocity for velocity in found.velocities("route") if velocity is not None]
        return {
            "air_flow": found.fan_flow,
            "fan_pressure": found.fan_pressure,
            "soil_suction": found.suctions["pit"],
            "route_loss": found.fan_pressure - found.suctions["pit"],
            "air_velocity": np.max(np.stack([np.asarray(v, dtype=float) for v in velocities]), axis=0)[()],
        }

    return Solver(
        name=name,
        title="Operating point of this fan, route and soil",
        gives=("air_flow", "fan_pressure", "soil_suction", "route_loss", "air_velocity"),
        takes=("soil_resistance", "air_density", "air_viscosity"),
        source=_BALANCE,
        function=function,
        equations=(Eq(_p_f, _p_u + symbol("route_loss")), Eq(_p_u, _R * _Q)),
        assumptions=("soil whose suction goes with its flow", "a fan that keeps to its curve by the fan laws"),
    )
