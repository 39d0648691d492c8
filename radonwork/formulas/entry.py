"""How radon comes into a house: soil gas that the warm house draws in, and what diffuses through the slab.

Suction under a slab and the pull of a warm house are in radonwork/formulas/soil.py, the balance of the house in
radonwork/formulas/balance.py.
"""

from sympy import Max, cosh, log, pi, sinh, sqrt

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_GRAINS = Source(kind="derived", place="radon made in the grains against what decays in the pores")
_FICK = Source(kind="derived", place="Fick's law with decay")
_DARCY = Source(kind="derived", place="Darcy's law around a crack below the ground")
_PLATES = Source(kind="derived", place="slow flow between two plates")
_CARRIED = Source(kind="derived", place="what a flow carries")
_SERIES = Source(kind="derived", place="the same flow through soil and crack")
_COLUMNS = Source(kind="derived", place="weight of the columns of air indoors and outdoors")
_EVEN = Source(kind="derived", place="balance of air in a house that leaks alike all the way up")
_SUM = Source(kind="derived", place="sum of the ways in")

_DEEP = {"the crack lies at least five times its half width deep": lambda crack_depth, crack_reach: (
    crack_depth >= 5 * crack_reach
)}  # fmt: skip
_NOT_ALL = {"the exhaust is no more than four times the natural flow": lambda exhaust_flow, natural_flow: (
    exhaust_flow <= 4 * natural_flow
)}  # fmt: skip
_WITHIN = {"the window is no higher than the house": lambda opening_height, envelope_height: (
    opening_height <= envelope_height
)}  # fmt: skip

# ---------------------------------------------------------------- radon in the soil


@formula(
    "soil_gas_radon",
    _GRAINS,
    emanation_share=("0 %", "100 %"),
    soil_porosity=("1 %", "99 %"),
    water_saturation=("0 %", "99 %"),
)
def soil_gas_radon(radium_content, emanation_share, grain_density, soil_porosity, water_saturation, water_partition):
    """Radon in the gas of a deep soil.

    Assumes soil alike all round, from which no radon gets away: within a diffusion length of open air there is less.
    """
    solid = grain_density * (1 - soil_porosity)
    pores = soil_porosity * (1 - water_saturation + water_partition * water_saturation)
    return radium_content * emanation_share * solid / pores


@formula("diffusion_length", _FICK)
def diffusion_length(pore_diffusivity, radon_decay_constant):
    """Diffusion length of radon.

    Assumes still gas in the pores, and a coefficient that is stated for the air of the pores.
    """
    return sqrt(pore_diffusivity / radon_decay_constant)


@formula("radon_flux", _FICK, open_porosity=("0 %", "100 %"))
def bare_soil_flux(open_porosity, radon_decay_constant, diffusion_length, soil_gas_radon):
    """Radon that bare soil gives to the open air.

    Assumes dry soil much deeper than the diffusion length, still gas in its pores, and next to no radon in the air above.
    """
    return open_porosity * radon_decay_constant * diffusion_length * soil_gas_radon


@formula("radon_flux", _FICK, open_porosity=("0 %", "100 %"))
def slab_flux(open_porosity, radon_decay_constant, diffusion_length, slab_thickness, soil_gas_radon, indoor_radon):
    """Radon that diffuses through a slab.

    Assumes a slab without cracks that makes no radon itself, with the soil's full concentration right under it.
    """
    across = slab_thickness / diffusion_length
    return (
        open_porosity
        * radon_decay_constant
        * diffusion_length
        * (soil_gas_radon - indoor_radon * cosh(across))
        / sinh(across)
    )


@formula("diffusive_entry", _CARRIED)
def diffusive_entry(radon_flux, slab_area):
    """Radon that diffuses in through the whole slab."""
    return radon_flux * slab_area


# ---------------------------------------------------------------- soil gas through a crack


@formula("ground_resistance", _DARCY, when=_DEEP)
def ground_resistance(air_viscosity, soil_permeability, crack_length, crack_depth, crack_reach):
    """Resistance of the soil to gas on its way to a long crack.

    Assumes soil alike all round and open to the air above, and a crack that is long against its depth.
    """
    return air_viscosity / (2 * pi * soil_permeability * crack_length) * log(2 * crack_depth / crack_reach)


@formula("crack_resistance", _PLATES)
def crack_resistance(air_viscosity, slab_thickness, crack_width, crack_length):
    """Resistance of the crack itself.

    Assumes slow flow between smooth, straight faces as far apart all along; dirt and turns make it larger.
    """
    return 12 * air_viscosity * slab_thickness / (crack_width**3 * crack_length)


@formula("entry_resistance", _SERIES)
def entry_resistance(ground_resistance, crack_resistance):
    """Resistance of soil and crack together."""
    return ground_resistance + crack_resistance


@formula("entry_pressure", Source(kind="derived", place="pressures on both sides of the slab"))
def entry_pressure(stack_suction, fan_suction):
    """Pressure that drives soil gas into the house.

    Assumes that the fan's suction stands where the soil gas comes in.
    """
    return Max(stack_suction - fan_suction, 0)


@formula("soil_gas_flow", _DARCY)
def soil_gas_flow(entry_pressure, entry_resistance):
    """Soil gas that the house draws in."""
    return entry_pressure / entry_resistance


@formula("advective_entry", _CARRIED)
def advective_entry(soil_gas_flow, soil_gas_radon):
    """Radon that soil gas carries in.

    Assumes that the flow is too slow to dilute the gas in the soil.
    """
    return soil_gas_flow * soil_gas_radon


@formula("ground_entry", _SUM)
def ground_entry(advective_entry, diffusive_entry, other_entry):
    """Radon that comes in by every way."""
    return advective_entry + diffusive_entry + other_entry


@formula(
    "soil_gas_share",
    _CARRIED,
    when={"soil gas is no more than all the air": lambda drawn_flow, natural_flow: drawn_flow <= natural_flow},
)
def soil_gas_share(drawn_flow, natural_flow):
    """Soil gas over all the air that comes in."""
    return drawn_flow / natural_flow


# ---------------------------------------------------------------- pressures over the height of the house


@formula("wall_pressure", _COLUMNS)
def wall_pressure(stack_suction, height_above_slab, neutral_height):
    """Pressure outdoors above that in the house, at a height.

    Assumes air of one temperature on each side, no wind, and fans and chimneys at rest.
    """
    return stack_suction * (1 - height_above_slab / neutral_height)


@formula("opened_neutral_height", _EVEN, when=_WITHIN)
def opened_neutral_height(envelope_height, opening_height, opening_share):
    """Neutral height with a window open.

    Assumes leaks alike all the way up that let air through in proportion to the pressure, and no wind.
    """
    return (envelope_height / 2 + opening_share * opening_height) / (1 + opening_share)


@formula("air_ratio", _EVEN, when=_WITHIN)
def opened_air_ratio(opened_neutral_height, envelope_height, opening_height, opening_share):
    """Air change with a window open over that without.

    Assumes leaks alike all the way up that let air through in proportion to the pressure, and no wind.
    """
    through_leaks = (2 * opened_neutral_height / envelope_height) ** 2
    return (
        through_leaks + 8 * opening_share * Max(opened_neutral_height - opening_height, 0) / envelope_height
    )  # fmt: skip


@formula("entry_ratio", _EVEN)
def opened_pull(opened_neutral_height, envelope_height):
    """Pull at the slab with a window open over that without.

    Assumes leaks alike all the way up, so that the house without the window is neutral at half its height.
    """
    return 2 * opened_neutral_height / envelope_height


@formula("entry_ratio", _EVEN, when=_NOT_ALL)
def exhaust_pull(exhaust_flow, natural_flow):
    """Pull at the slab with an exhaust fan over that without.

    Assumes leaks alike all the way up that let air through in proportion to the pressure, and no wind.
    """
    return 1 + exhaust_flow / (4 * natural_flow)


@formula("air_ratio", _EVEN, when=_NOT_ALL)
def exhaust_air_ratio(exhaust_flow, natural_flow):
    """Air change with an exhaust fan over that without.

    Assumes leaks alike all the way up that let air through in proportion to the pressure, and no wind.
    """
    return (1 + exhaust_flow / (4 * natural_flow)) ** 2


@formula("level_ratio", Source(kind="derived", place="steady balance without decay and outdoor radon"))
def level_ratio(entry_ratio, air_ratio):
    """Level after a change of the air over the level before.

    Assumes that radon comes in with soil gas only, in proportion to the pull, and leaves with the air only.
    """
    return entry_ratio / air_ratio
