"""The stud bay: what its panels hold."""

from radonwork.drawings.catalogue import topic_drawings
from radonwork.house.job import topics
from radonwork.house.record import House
from radonwork.house.sheets import sheet
from radonwork.workbook.panel import Pane


def panes(_house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    return (
        Pane(
            title=topics()["bay"].title,
            topic="bay",
            sheet=sheet("bay"),
            controls=(
                "pipe_outside_diameter", "pipe_count", "cavity_depth", "play", "hole_diameter", "hole_offset",
                "member_depth", "bay_width", "stud_thickness", "stud_spacing",
            ),
            drawing=topic_drawings("bay")[0],
            result="The cavity takes a pipe of up to {largest_outside_diameter} outside; the margin here is "
            "{cavity_margin}. The hole takes {hole_share} of the plate and leaves {edge_distance} of wood at the nearer "
            "edge. By the layout the bay would be {layout_bay_width} wide.",
            worked=("cavity_margin", "hole_share", "edge_distance", "layout_bay_width"),
            defaults={
                "pipe_outside_diameter": "2.375 in", "cavity_depth": "3-1/2 in", "hole_diameter": "2-1/2 in",
                "member_depth": "3-1/2 in", "bay_width": "14-1/2 in", "stud_thickness": "1-1/2 in", "stud_spacing": "16 in",
            },
        ),
    )  # fmt: skip
