"""The air of the house, the ground it draws soil gas from, and the test planned after the fan starts."""

from radonwork.house.fields import Notes, Section, measured
from radonwork.units import Quantity


class HouseAir(Section):
    """The air of the house, taken as one well-mixed box, and what comes in or goes out beside the usual leaks."""

    volume: Quantity | None = measured("house_volume")
    air_change: Quantity | None = measured("air_change_rate")
    outdoor_radon: Quantity | None = measured("outdoor_radon")
    exhaust_flow: Quantity | None = measured("exhaust_flow")
    other_entry: Quantity | None = measured("other_entry")
    stopped_share: Quantity | None = measured("stopped_share")
    discharge_radon: Quantity | None = measured("discharge_radon")
    returned_share: Quantity | None = measured("returned_share")
    notes: Notes | None = None


class Ground(Section):
    """Soil, crack and slab. Radon in soil gas is measured, or follows from the radium of the soil."""

    soil_gas_radon: Quantity | None = measured("soil_gas_radon")
    radium: Quantity | None = measured("radium_content")
    emanation: Quantity | None = measured("emanation_share")
    grain_density: Quantity | None = measured("grain_density")
    porosity: Quantity | None = measured("soil_porosity")
    water_saturation: Quantity | None = measured("water_saturation")
    soil_permeability: Quantity | None = measured("soil_permeability")
    entry_resistance: Quantity | None = measured("entry_resistance")
    crack_length: Quantity | None = measured("crack_length")
    crack_width: Quantity | None = measured("crack_width")
    crack_depth: Quantity | None = measured("crack_depth")
    crack_reach: Quantity | None = measured("crack_reach")
    slab_diffusion_length: Quantity | None = measured("diffusion_length")
    slab_porosity: Quantity | None = measured("open_porosity")
    notes: Notes | None = None


class TestAfter(Section):
    """The first test after the fan starts, as it is planned: wait, length, and how far it may read too high."""

    __test__ = False  # not a test of pytest's

    wait: Quantity | None = measured("waiting_time")
    length: Quantity | None = measured("test_length")
    allowed_excess: Quantity | None = measured("allowed_excess")
