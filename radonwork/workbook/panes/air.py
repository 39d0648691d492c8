"""Pipe and fan: what its panels hold."""

from radonwork.drawings.fan_chart import example_chart, house_chart
from radonwork.engine.sheet import Sheet
from radonwork.house.air import AirSolver
from radonwork.house.record import House
from radonwork.house.sheets import sheet
from radonwork.solvers.system import sump_system
from radonwork.workbook.panel import Pane


def panes(house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    said = (
        "Fan and system meet at {%s}. The fan makes {%s} of pressure there, of which {%s} stand at the sump or pit. "
        "Through the soil come {soil_flow}, through the lid {lid_flow}. The gauge on the pipe reads {%s}. The air moves at "
        "{main_velocity} in the main pipe"
    )
    example = Pane(
        title="A sump, a pipe and a fan, before anything is bought",
        topic="air",
        sheet=Sheet("air example", "A sump, a pipe and an invented fan", (sump_system,)),
        controls=(
            "soil_resistance", "lid_leak_area", "bore", "straight_length", "loss_coefficient", "shutoff_pressure",
            "free_flow",
        ),
        drawing=example_chart(sump_system),
        result=said % ("air_flow", "fan_pressure", "soil_suction", "gauge_suction") + ".",
        worked=("sump_system",),
        defaults={
            "soil_resistance": "0.0145 inWC/cfm", "lid_leak_area": "0.15 in2", "bore": "3.068 in",
            "straight_length": "42 ft", "loss_coefficient": "2.5", "shutoff_pressure": "2.5 inWC", "free_flow": "120 cfm",
        },
        judged=False,
    )  # fmt: skip
    whole = sheet("air", house)
    state, statement = whole.statements[:2]
    if not isinstance(statement, AirSolver):
        return example, example
    wall = ("pipe_count", "small_bore") if "small_bore" in statement.takes else ()
    # The weight of the air goes by the pressure that was measured, or else by the altitude.
    weight = "altitude" if "altitude" in state.takes else "barometric_pressure"
    own = Pane(
        title="Where the fan and this house meet",
        topic="air",
        sheet=Sheet(whole.name, whole.title, (state, statement)),
        controls=("soil_resistance", "lid_leak_area", *wall, "speed_ratio", weight),
        drawing=house_chart(statement),
        result=said % ("operating_flow", "fan_pressure", "working_suction", "gauge_reading")
        + (" and at {wall_velocity} in each pipe in the wall." if wall else "."),
        worked=("house_air",),
        defaults={"soil_resistance": "0.0145 inWC/cfm", "altitude": "0 ft"},
    )
    return own, example
