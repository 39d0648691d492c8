"""The air in the vent pipe: its density and viscosity from temperature, humidity and the altitude of the house."""

from typing import Any

from radonwork.engine.formula import Values
from radonwork.engine.solver import solver
from radonwork.engine.sources import Source
from radonwork.formulas import friction, moist_air


@solver(
    gives=("barometric_pressure", "air_density", "air_viscosity"),
    source=Source("hyland-wexler-1983", "saturation, as quoted through PsychroLib; ideal gases; standard atmosphere"),
    air_temperature=("-60 degC", "60 degC"),
    altitude=("-5000 m", "11000 m"),
    relative_humidity=("0", "1"),
)
def vent_air(air_temperature: Any, relative_humidity: Any = "100 %", altitude: Any = "0 ft") -> dict[str, Values]:
    """Density and viscosity of the air in the pipe, from its temperature, humidity and the altitude.

    Assumes air of this temperature at any altitude, under the pressure of the standard atmosphere there: the convention
    for air drawn from a house and its soil, not that of the outdoor air, which gets colder with height.

    Assumes saturated soil gas and sea level where they are not stated, and the viscosity of dry air.
    """
    pressure = friction.standard_pressure(altitude=altitude)
    saturation = moist_air.saturation_pressure(
        saturation_logarithm=moist_air.saturation_logarithm(air_temperature=air_temperature)
    )
    vapour = moist_air.vapour_pressure(relative_humidity=relative_humidity, saturation_pressure=saturation)
    ratio = moist_air.humidity_ratio(vapour_pressure=vapour, barometric_pressure=pressure)
    density = moist_air.moist_air_density(
        air_temperature=air_temperature, humidity_ratio=ratio, barometric_pressure=pressure
    )
    viscosity = moist_air.air_viscosity(air_temperature=air_temperature)
    # Where only some of the terms are arrays, every result still has the shape of them all.
    shape = density * 0.0
    return {"barometric_pressure": pressure + shape, "air_density": density, "air_viscosity": viscosity + shape}
