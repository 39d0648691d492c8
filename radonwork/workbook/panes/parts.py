"""Pieces, holes, parts and cost: what its panels hold."""

from radonwork.drawings.catalogue import topic_drawings
from radonwork.engine.sheet import Sheet
from radonwork.formulas import piping
from radonwork.house.record import House
from radonwork.house.sheets import sheet
from radonwork.workbook.panel import Pane


def panes(house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    whole = sheet("parts", house)
    by_name = {statement.name: statement for statement in whole.statements}

    def some(name: str, title: str, *names: str) -> Sheet:
        return Sheet(name, title, tuple(by_name[name] for name in names))

    offset, row, bars, turned = topic_drawings("parts")
    return (
        Pane(
            title="A rolling offset",
            topic="parts",
            sheet=some(
                "offset", "A rolling offset",
                "true_offset", "roll_angle", "travel", "offset_run", "offset_cut", "turn_arc", "spread_shift",
            ),
            controls=("offset_set", "offset_roll", "fitting_angle", "take_off", "pipe_outside_diameter"),
            drawing=offset,
            result="The true offset is {true_offset}. With fittings of {fitting_angle} the travel is {travel} and takes "
            "{offset_run} along the pipe; cut the piece to {offset_cut}. Turn the first fitting {roll_angle} from the "
            "direction of the set: {turn_arc} around the outside of the pipe. Of two pipes {pipe_spread} apart that make the "
            "offset side by side, the inner one turns {spread_shift} earlier.",
            worked=("true_offset", "travel", "offset_cut", "roll_angle", "turn_arc", "spread_shift"),
            defaults={
                "offset_set": "8 in", "offset_roll": "12 in", "fitting_angle": "45 deg", "take_off": "1-3/4 in",
                "pipe_outside_diameter": "3-1/2 in", "pipe_spread": "6 in",
            },
        ),
        Pane(
            title="Holes bored in one go by a drill that leans",
            topic="parts",
            sheet=some(
                "row", "Holes bored in one go",
                "stack_height", "hole_drift", "worst_centre_error", "least_plate_hole", "largest_drill_angle",
            ),
            controls=("drill_lean", "plate_count", "plate_thickness", "plate_gap", "hole_diameter"),
            drawing=row,
            result="The drill comes out {hole_drift} aside; with marks that are off by {mark_error} each the last hole is off "
            "by {worst_centre_error} at most. A plumb pipe needs a hole of {least_plate_hole} there; the hole bored forgives "
            "a lean of up to {largest_drill_angle}.",
            worked=("stack_height", "hole_drift", "worst_centre_error", "least_plate_hole", "largest_drill_angle"),
            defaults={
                "drill_lean": "1 deg", "plate_count": "2", "plate_thickness": "1-1/2 in", "plate_gap": "0 in",
                "hole_diameter": "2-1/2 in", "small_pipe_diameter": "2.375 in", "mark_error": "1/32 in",
            },
        ),
        Pane(
            title="Doing it oneself beside a quote",
            topic="parts",
            sheet=some("own", "Own work beside a quote", "own_cost", "quote_saving", "break_even_value", "break_even_hours"),
            controls=("work_hours", "hour_value", "parts_cost", "tools_cost", "quoted_price"),
            drawing=bars,
            result="Doing it oneself costs {own_cost} against {quoted_price}: a difference of {quote_saving}. Both cost the "
            "same if an hour is worth {break_even_value}, or if the work takes {break_even_hours}.",
            worked=("own_cost", "quote_saving", "break_even_value", "break_even_hours"),
            defaults={
                "work_hours": "30 h", "hour_value": "20 USD/h", "parts_cost": "500 USD", "tools_cost": "200 USD",
                "quoted_price": "1800 USD",
            },
        ),
        Pane(
            title="Two fittings that make an angle together",
            topic="parts",
            sheet=Sheet("turn", "Two fittings that make an angle together", (piping.turn_angle, piping.turn_arc)),
            controls=("fitting_angle", "next_fitting_angle", "compound_angle", "pipe_outside_diameter"),
            drawing=turned,
            result="Turn one fitting {turn_angle} against the other, counted from where both bend the same way: the marks are "
            "{turn_arc} apart around the outside of the pipe.",
            worked=("turn_angle", "turn_arc"),
            defaults={
                "fitting_angle": "45 deg", "next_fitting_angle": "45 deg", "compound_angle": "60 deg",
                "pipe_outside_diameter": "3-1/2 in",
            },
        ),
    )  # fmt: skip
