"""The route in space: what its panels hold."""

from radonwork.drawings.catalogue import house_figures
from radonwork.engine.sheet import Sheet
from radonwork.house.job import assumed
from radonwork.house.record import House
from radonwork.house.route_sheet import laid_route, moves_with_slope
from radonwork.units import decimal
from radonwork.workbook.panel import Pane


def panes(house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    house = house or House()
    laid = laid_route(house)
    longest = laid.defaults.get("sloped_run")
    controls = ("pipe_slope",) if moves_with_slope(house) or not longest else ()
    said = "The route is {route_length} long and comes out {route_height} above the slab"
    if "least_fall" in laid.gives:
        said += "; its least fall toward the suction point is {least_fall}"
    if "turn_error" in laid.gives:
        said += ", and a fitting is off its angle by {turn_error} at most"
    if "closure_gap" in laid.gives:
        said += ". It ends {closure_gap} from where the record says that it must"
    sheet_of = Sheet("laid", "The route laid in space", (laid,))
    isometric, plan, unrolled = house_figures("route", house)
    return tuple(
        Pane(
            title=title,
            topic="route",
            sheet=sheet_of,
            controls=(*controls, *(("sloped_run",) if longest else ())),
            drawing=drawing,
            result=f"{said}.",
            worked=("laid_route",),
            defaults={"worded_pieces": "1", "pipe_slope": assumed("route")["pipe_slope"].value}
            | ({"sloped_run": decimal(longest.value, "mm", 9)} if longest else {}),
        )
        for title, drawing in (
            ("The slope, and what it moves", isometric),
            ("The same in plan", plan),
            ("The same unrolled", unrolled),
        )
    )
