"""Suction under the slab: what its panels hold."""

from radonwork.drawings.catalogue import house_figures
from radonwork.engine.sheet import Sheet
from radonwork.formulas.soil import (
    bed_inertial_coefficient,
    layer_transmissivity,
    leakage_length,
    stack_suction,
)
from radonwork.house.job import assumed
from radonwork.house.record import House
from radonwork.house.slab import slab_of
from radonwork.house.slab_fit import layer_of_fit
from radonwork.house.slab_sheet import solvers_of
from radonwork.workbook.panel import Pane


def panes(house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    house = house or House()
    layout = slab_of(house)
    stone = (bed_inertial_coefficient,) if layout and layout.stone else ()
    field, flow, cold = solvers_of(house)
    (plan,) = house_figures("suction", house)
    said = (
        "{reached_share} of the slab, {reached_area}, has the target of {target_suction} or more; everywhere within "
        "{suction_reach} of a suction point or drain it is met. The least suction is {least_suction}. The soil gives "
        "{soil_flow}."
    )
    defaults = {
        "soil_suction": "0.8 inWC", "target_suction": "4 Pa", "leakage_length": "4 m", "outline_corners": "4",
        "layer_transmissivity": "5e-5 m3/(s Pa)", "suction_places": "1", "pit_radius": "9 in",
        "neutral_height": "8 ft", "indoor_temperature": "68 degF", "outdoor_temperature": "10 degF",
        "air_density": assumed("suction")["air_density"].value,
    }  # fmt: skip
    layer = {
        "layer_permeability": "10,000 um2", "layer_thickness": "4 in", "slab_leakage": "2e-6 m/(s Pa)",
        "air_viscosity": assumed("suction")["air_viscosity"].value,
    }  # fmt: skip
    return (
        Pane(
            title="Where the suction reaches",
            topic="suction",
            sheet=Sheet("field", "Where the suction reaches", (*stone, stack_suction, field, flow, cold)),
            controls=(
                "soil_suction",
                "leakage_length",
                "layer_transmissivity",
                "target_suction",
                "outdoor_temperature",
            ),
            drawing=plan,
            result=said
            + " At {outdoor_temperature} outdoors the house itself pulls {stack_suction}, and the least that is "
            "left is {cold_least_suction}.",
            worked=("stack_suction", "slab_suction", "cold_day"),
            defaults=defaults,
        ),
        Pane(
            title="What the layer and the slab do to it",
            topic="suction",
            sheet=Sheet("layer", "Layer and slab", (*stone, layer_transmissivity, leakage_length, field, flow)),
            controls=("layer_permeability", "layer_thickness", "slab_leakage", "soil_suction", "target_suction"),
            drawing=plan,
            result="The leakage length is {leakage_length}. " + said,
            worked=("layer_transmissivity", "leakage_length"),
            defaults=defaults | layer | layer_of_fit(house, layer["layer_thickness"]),
            passes=("layer_transmissivity", "leakage_length"),
        ),
    )
