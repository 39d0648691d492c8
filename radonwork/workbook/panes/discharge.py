"""Where the pipe comes out: what its panels hold."""

from radonwork.drawings.catalogue import topic_drawings
from radonwork.engine.sheet import Sheet
from radonwork.formulas import discharge
from radonwork.house.record import House
from radonwork.workbook.panel import Pane


def panes(house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    sight, opening = topic_drawings("discharge")
    defaults = {
        "ridge_height": "25 ft", "eave_height": "16 ft", "roof_angle": "7/12", "ridge_distance": "3 ft",
        "pipe_outside_diameter": "3-1/2 in", "outlet_height_upslope": "18 in", "eye_height": "5-1/2 ft",
        "viewer_ridge_distance": "80 ft", "outlet_height": "25 ft", "opening_level_distance": "8 ft",
        "opening_sill": "18 ft", "opening_head": "22 ft",
    }  # fmt: skip
    return (
        Pane(
            title="Is the pipe seen from there?",
            topic="discharge",
            sheet=Sheet("sight", "The line of sight over the ridge", sight.formulas),
            controls=("viewer_ridge_distance", "eye_height", "ridge_distance", "outlet_height_upslope", "roof_angle"),
            drawing=sight,
            result="From {viewer_ridge_distance} off, the ridge hides {hidden_height} above the roof where the pipe stands; "
            "{sight_margin} is to spare. The pipe begins to be hidden {hidden_from_ridge} down the slope from the ridge, and "
            "is so for {hidden_band}, down to the eave.",
            worked=("sight_over_ridge", "hidden_behind_ridge", "sight_margin", "hidden_from_ridge", "hidden_band"),
            defaults=defaults,
            judged=False,
        ),
        Pane(
            title="How far is it from an opening?",
            topic="discharge",
            sheet=Sheet(
                "opening", "Distance to an opening", (discharge.opening_rise, discharge.opening_distance)
            ),
            controls=("outlet_height", "opening_level_distance", "opening_sill", "opening_head"),
            drawing=opening,
            result="The nearest point of the opening is {opening_distance} away in a straight line, and the outlet is "
            "{opening_rise} above the opening's top.",
            worked=("opening_rise", "opening_distance"),
            defaults=defaults,
            judged=False,
        ),
    )  # fmt: skip
