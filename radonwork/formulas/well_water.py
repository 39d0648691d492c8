"""Radon that comes into the air of a house with its water."""

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_BOX = Source("nas-1999-drinking-water", "p. 50: use and release of water against ventilation of the volume")


@formula("water_transfer", _BOX, water_release=("0", "1"))
def water_transfer(water_use, water_release, house_volume, air_change_rate):
    """Share of the water's radon concentration that stands in the air of the house.

    Assumes one well-mixed volume, steady use and ventilation, and a loss by decay that is small beside ventilation.
    """
    return water_use * water_release / (house_volume * air_change_rate)


@formula("water_radon_rise", Source(kind="derived", place="the definition of the transfer"))
def water_radon_rise(water_transfer, water_radon):
    """Radon in the house's air that comes from its water."""
    return water_transfer * water_radon


__all__ = ["water_radon_rise", "water_transfer"]
