"""States of moist air: saturated at a temperature, or known by a dry and a wet thermometer."""

from typing import Any, cast

import numpy as np
from sympy import log

from radonwork.engine.derivation import Eq
from radonwork.engine.formula import Formula, Values, symbol
from radonwork.engine.solver import solver
from radonwork.engine.sources import Source
from radonwork.formulas import moist_air

_SOURCE = Source("hyland-wexler-1983", "saturation, as quoted through PsychroLib; ideal gases")
_LOW, _HIGH = moist_air.saturation_logarithm.ranges["air_temperature"]
_ICE_POINT = moist_air.ice_bulb_humidity_ratio.defaults["ice_point"].value


def _saturation(temperature: Values) -> Values:
    """Vapour pressure of saturated air."""
    return moist_air.saturation_pressure(
        saturation_logarithm=moist_air.saturation_logarithm(air_temperature=temperature)
    )


def _from_wet_bulb(dry: Values, wet: Values, barometric: Values) -> Values:
    """Humidity ratio by a thermometer whose wick is wet from 0 °C up, frozen below."""
    at_wet = moist_air.humidity_ratio(vapour_pressure=_saturation(wet), barometric_pressure=barometric)
    terms = np.broadcast_arrays(*np.atleast_1d(dry, wet, at_wet))
    ratio = np.empty(terms[0].shape)

    def put(of: Formula, here: np.ndarray) -> None:
        if here.any():
            dry_here, wet_here, at_wet_here = (term[here] for term in terms)
            ratio[here] = of(
                air_temperature=dry_here, wet_bulb_temperature=wet_here, saturated_humidity_ratio=at_wet_here
            )

    put(moist_air.wet_bulb_humidity_ratio, terms[1] >= _ICE_POINT)
    put(moist_air.ice_bulb_humidity_ratio, terms[1] < _ICE_POINT)
    return ratio if np.ndim(dry) or np.ndim(wet) or np.ndim(barometric) else float(ratio[0])


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
    wet_bulb_temperature=("-60 degC", "60 degC"),
)
def air_from_wet_bulb(
    air_temperature: Any, wet_bulb_temperature: Any, barometric_pressure: Any = "101.325 kPa"
) -> dict[str, Values]:
    """Moist air from a dry and a wet thermometer.

    Assumes ideal gases, and that the wet thermometer stands at the temperature of adiabatic saturation; below 0 °C its
    wick is frozen.
    """
    ratio = _from_wet_bulb(air_temperature, wet_bulb_temperature, barometric_pressure)
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


def _at_dew_point(
    vapour_pressure: Any,
    relative_humidity: Any,
    saturation_pressure: Any,
    saturation_logarithm: Any,
    unit_pressure: Any,
) -> list[Any]:
    """The vapour pressure by the humidity, and the same as the saturation pressure at the dew point."""
    at_dew_point = moist_air.saturation_logarithm.expression.subs(symbol("air_temperature"), symbol("dew_point"))
    return [
        Eq(vapour_pressure, relative_humidity * saturation_pressure),
        Eq(saturation_logarithm, log(vapour_pressure / unit_pressure)),
        Eq(saturation_logarithm, at_dew_point),
    ]


@solver(
    gives=("saturation_pressure", "vapour_pressure", "saturation_logarithm", "dew_point"),
    source=_SOURCE,
    solves=_at_dew_point,
    air_temperature=("-100 degC", "200 degC"),
    relative_humidity=("0", "1"),
)
def dew_point_of_air(
    air_temperature: Any,
    relative_humidity: Any,
    unit_temperature: Any = "1 K",
    triple_point: Any = "273.16 K",
    unit_pressure: Any = "1 Pa",
) -> dict[str, Values]:
    """Dew point of air from its temperature and relative humidity: the inverse of the saturation pressure.

    The logarithm is that of the saturation pressure at the dew point.

    Assumes humidity stated over ice below the triple point, as the saturation is; a dew point down there is a frost point.
    """
    fit = {"unit_temperature": unit_temperature, "triple_point": triple_point}
    saturated = moist_air.saturation_pressure(
        saturation_logarithm=moist_air.saturation_logarithm(air_temperature=air_temperature, **fit),
        unit_pressure=unit_pressure,
    )
    vapour = moist_air.vapour_pressure(relative_humidity=relative_humidity, saturation_pressure=saturated)
    dew_point = _dew_point(vapour)
    return {
        "saturation_pressure": saturated + 0 * vapour,
        "vapour_pressure": vapour,
        "saturation_logarithm": moist_air.saturation_logarithm(air_temperature=dew_point, **fit),
        "dew_point": dew_point,
    }


def _dew_point(vapour: Values) -> Values:
    """Temperature at which this is the saturation pressure, which only rises: halve the range until nothing is left.

    Raises ValueError for air so dry that it lies below the range.
    """
    if np.any(vapour < _saturation(_LOW)):
        raise ValueError("the air is so dry that its dew point lies below -100 °C (-148 °F), where none is known")
    low, high = np.full(np.shape(vapour), _LOW), np.full(np.shape(vapour), _HIGH)
    for _ in range(50):
        middle = (low + high) / 2
        above = _saturation(middle) > vapour
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return cast(Values, ((low + high) / 2)[()])
