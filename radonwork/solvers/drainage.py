"""The honest spread of the slope that drains a pipe against the air in it: a band, never one figure."""

from typing import Any

import numpy as np

from radonwork.engine.formula import Values
from radonwork.engine.solver import solver
from radonwork.engine.sources import Source
from radonwork.formulas import condensate
from radonwork.solvers.friction import darcy_friction_factor

_LEAST_BLASIUS, _ = condensate.fanning_factor.ranges["reynolds_number"]


def _fanning_factor(reynolds_number: Values) -> Values:
    """Blasius' factor of turbulent air; of slower air that of the library, laminar or turbulent, in a smooth pipe."""
    blasius = condensate.fanning_factor(reynolds_number=np.maximum(reynolds_number, _LEAST_BLASIUS))
    slower = darcy_friction_factor(reynolds_number=reynolds_number, relative_roughness=0.0)["darcy_factor"] / 4
    return np.where(reynolds_number < _LEAST_BLASIUS, slower, blasius)[()]


@solver(
    gives=("band_low_slope", "band_high_slope"),
    source=Source("aarst-sgm-sf-2017", "least slope 6.2.2; the film-drainage chain above it"),
    contact_angle=("30 deg", "150 deg"),
)
def drainage_band(
    air_flow: Any,
    bore: Any,
    air_density: Any,
    air_viscosity: Any,
    condensate_flow: Any = "0 g/s",
    strict_depth: Any = "1 mm",
    surface_tension: Any = "0.0742 N/m",
    contact_angle: Any = "85 deg",
    water_density: Any = "999.7 kg/m3",
    water_viscosity: Any = "1.307e-3 Pa s",
    least_slope: Any = "1/8 in/ft",
) -> dict[str, Values]:
    """Least and largest slope that drains the condensate, over the depths, shapes and surfaces that can be defended.

    Assumes, at the low end, water as deep as a puddle stands on plastic (contact angle from memory), moving as a plug
    under a smooth surface; at the high end, water as deep as a strict reading accepts, in a rivulet that carries the
    condensate, under waves (a relation from memory, an upper bound).

    Assumes the shear of a smooth pipe: after Blasius where the air is turbulent, of slower and of still air by the factor
    of the reference library, which is 2 % higher where the two meet.

    Assumes water at 50 °F (10 °C) where its properties are not stated. Neither end is below the least slope of the rule.
    """
    puddle = condensate.puddle_depth(
        surface_tension=surface_tension, contact_angle=contact_angle, water_density=water_density
    )
    velocity = condensate.mean_air_velocity(air_flow=air_flow, bore=bore)
    reynolds = condensate.reynolds_number(
        air_density=air_density, air_velocity=velocity, bore=bore, air_viscosity=air_viscosity
    )
    shear = condensate.air_shear(
        fanning_factor=_fanning_factor(reynolds),
        air_density=air_density,
        air_velocity=velocity,
    )
    common = {
        "air_gradient": condensate.air_gradient(air_shear=shear, bore=bore),
        "air_density": air_density,
        "water_density": water_density,
    }
    deep, shallow = np.maximum(puddle, strict_depth), np.minimum(puddle, strict_depth)

    plug = condensate.no_flow_slope(shape_factor=1.0, surface_shear=shear, water_depth=deep, **common)

    waves = condensate.wave_factor(
        water_depth=shallow,
        bore=bore,
        air_velocity=velocity,
        wave_velocity=condensate.wave_velocity(air_density=air_density),
    )
    need = condensate.draining_force(
        rivulet_flow=condensate.condensate_volume_flow(condensate_flow=condensate_flow, water_density=water_density),
        surface_shear=condensate.surface_shear(air_shear=shear, wave_factor=waves),
        water_depth=shallow,
        rivulet_width=condensate.rivulet_width(water_depth=shallow, bore=bore),
        water_viscosity=water_viscosity,
    )
    rivulet = condensate.drain_slope(net_force=need, **common)
    return {
        "band_low_slope": np.maximum(plug, least_slope),
        "band_high_slope": np.maximum(rivulet, least_slope),
    }
