"""States of moist air: saturated at a temperature, or known by a dry and a wet thermometer."""

from typing import Any, cast

import numpy as np

from radonwork.engine.formula import Values
from radonwork.engine.solver import solver
from radonwork.engine.sources import Source
from radonwork.formulas import moist_air

_SOURCE = Source("hyland-wexler-1983", "saturation, as quoted through PsychroLib; ideal gases")
_LOW, _HIGH = moist_air.saturation_logarithm.ranges["air_temperature"]


def _saturation(temperature: Values) -> Values:
    """Vapour pressure of saturated air."""
    return moist_air.saturation_pressure(
        saturation_logarithm=moist_air.saturation_logarithm(air_temperature=temperature)
    )


@solver(
    gives=("saturation_pressure", "humidity_ratio", "moist_enthalpy", "air_density", "air_viscosity"),
    source=_SOURCE,
    air_temperature=("-60 degC", "60 degC"),
)
def saturated_air(air_temperature: Any, barometric_pressure: Any = "101.325 kPa") -> dict[str, Values]:
    """Saturated air: vapour pressure, humidity ratio, enthalpy, density and viscosity.

    Assumes ideal gases, and the viscosity of dry air.
    """
    pressure = _saturation(air_temperature)
    ratio = moist_air.humidity_ratio(vapour_pressure=pressure, barometric_pressure=barometric_pressure)
    return {
        "saturation_pressure": pressure,
        "humidity_ratio": ratio,
        "moist_enthalpy": moist_air.moist_enthalpy(air_temperature=air_temperature, humidity_ratio=ratio),
        "air_density": moist_air.moist_air_density(
            air_temperature=air_temperature, humidity_ratio=ratio, barometric_pressure=barometric_pressure
        ),
        "air_viscosity": moist_air.air_viscosity(air_temperature=air_temperature),
    }


@solver(
    gives=(
        "humidity_ratio",
        "vapour_pressure",
        "relative_humidity",
        "dew_point",
        "moist_enthalpy",
        "moist_air_density",
    ),
    source=_SOURCE,
    wet_bulb_temperature=("0 degC", "60 degC"),
)
def air_from_wet_bulb(
    air_temperature: Any, wet_bulb_temperature: Any, barometric_pressure: Any = "101.325 kPa"
) -> dict[str, Values]:
    """Moist air from a dry and a wet thermometer.

    Assumes ideal gases, and that the wet thermometer stands at the temperature of adiabatic saturation.
    """
    at_wet_bulb = _saturation(wet_bulb_temperature)
    ratio = moist_air.wet_bulb_humidity_ratio(
        air_temperature=air_temperature,
        wet_bulb_temperature=wet_bulb_temperature,
        saturated_humidity_ratio=moist_air.humidity_ratio(
            vapour_pressure=at_wet_bulb, barometric_pressure=barometric_pressure
        ),
    )
    vapour = moist_air.humidity_ratio.solved_for("vapour_pressure")(
        humidity_ratio=ratio, barometric_pressure=barometric_pressure
    )
    return {
        "humidity_ratio": ratio,
        "vapour_pressure": vapour,
        "relative_humidity": vapour / _saturation(air_temperature),
        "dew_point": _dew_point(vapour),
        "moist_enthalpy": moist_air.moist_enthalpy(air_temperature=air_temperature, humidity_ratio=ratio),
        "moist_air_density": moist_air.moist_air_density(
            air_temperature=air_temperature, humidity_ratio=ratio, barometric_pressure=barometric_pressure
        ),
    }


def _dew_point(vapour: Values) -> Values:
    """Temperature at which this is the saturation pressure, which only rises: halve the range until nothing is left."""
    low, high = np.full(np.shape(vapour), _LOW), np.full(np.shape(vapour), _HIGH)
    for _ in range(50):
        middle = (low + high) / 2
        above = _saturation(middle) > vapour
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return cast(Values, ((low + high) / 2)[()])
