"""Several pipes in place of one: what its panels hold."""

from radonwork.drawings.catalogue import topic_drawings
from radonwork.house.job import topics
from radonwork.house.record import House
from radonwork.house.sheets import sheet
from radonwork.workbook.panel import Pane


def panes(_house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    return (
        Pane(
            title=topics()["pipes"].title,
            topic="pipes",
            sheet=sheet("pipes"),
            controls=("pipe_count", "small_bore", "large_bore", "friction_exponent", "air_flow"),
            drawing=topic_drawings("pipes")[0],
            result="Together the small pipes have {area_ratio} of the large pipe's area and carry {flow_ratio} of its flow "
            "at equal loss. At the same flow their loss is {loss_ratio} times that of the large pipe; the air moves at "
            "{small_velocity} in each of them and at {main_velocity} in the large one.",
            worked=("area_ratio", "bore_exponent", "flow_ratio", "loss_ratio", "equivalent_bore"),
            defaults={"pipe_count": "2", "small_bore": "2.067 in", "large_bore": "3.068 in", "air_flow": "60 cfm"},
        ),
    )
