"""Condensate: what its panels hold."""

from radonwork.drawings.catalogue import topic_drawings
from radonwork.engine.sheet import Sheet
from radonwork.house.record import House
from radonwork.house.sheets import sheet
from radonwork.workbook.panel import Pane
from radonwork.workbook.panes.live import live


def panes(_house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    whole = sheet("condensate")
    # The net force and the least depth have no value where nothing drains; the panels go on without them.
    formulas = live(whole, "net_force", "rivulet_least_depth", "wallis_number", "root_wallis_number")
    cold = Sheet(
        "cold run",
        "Water that condenses in the run",
        tuple(s for s in whole.statements if s.name in ("cold_run", "condensate_volume_flow", "slope_angle"))
        + tuple(s for s in whole.statements if s.name in ("run_drop", "run_plan_length", "plan_shortening")),
    )
    defaults = {
        "air_flow": "60 cfm", "bore": "3.068 in", "pipe_outside_diameter": "3-1/2 in", "run_length": "15 ft",
        "pipe_slope": "1/4 in/ft", "air_density": "1.2 kg/m3", "air_viscosity": "1.78e-5 Pa s",
        "condensate_flow": "0.05 g/s", "inlet_temperature": "55 degF", "attic_temperature": "0 degF",
    }  # fmt: skip
    run, invert = topic_drawings("condensate")
    return (
        Pane(
            title="The slope of the run, and what it costs in height",
            topic="condensate",
            sheet=formulas,
            controls=("pipe_slope", "run_length", "air_flow", "water_depth"),
            drawing=run,
            result="The run drops {run_drop} over {run_length}. At {air_flow} the air moves at {air_velocity}. Water "
            "{water_depth} deep stands still at a slope of {no_flow_slope}; the condensate drains at that depth on "
            "{drain_slope}. The standard asks for at least 1/8 in per ft (10.4 mm/m).",
            worked=("slope_angle", "run_drop", "air_shear", "no_flow_slope", "drain_slope"),
            defaults=defaults,
        ),
        Pane(
            title="Water in the invert, and the air above it",
            topic="condensate",
            sheet=formulas,
            controls=("water_depth", "shape_factor", "bore", "air_flow"),
            drawing=invert,
            result="Water {water_depth} deep is {rivulet_width} wide. The air shears it with {air_shear} and presses it up the "
            "slope with {air_gradient}; it stands still at a slope of {no_flow_slope}, and the condensate drains at that "
            "depth on {drain_slope}.",
            worked=(
                "rivulet_width",
                "reynolds_number",
                "fanning_factor",
                "air_gradient",
                "no_flow_slope",
                "draining_force",
            ),
            defaults=defaults,
        ),
        Pane(
            title="Water that condenses in a cold attic",
            topic="condensate",
            sheet=cold,
            controls=("attic_temperature", "inlet_temperature", "run_length", "air_flow"),
            drawing=run,
            result="Gas that enters at {inlet_temperature} leaves at {exit_temperature}; {condensate_flow} of water condenses "
            "on the way, {rivulet_flow}, and the run gives {heat_loss} to the attic.",
            worked=("cold_run", "condensate_volume_flow"),
            defaults=defaults,
        ),
    )
