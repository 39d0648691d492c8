"""The roof hole: what its panels hold."""

from radonwork.drawings.catalogue import topic_drawings
from radonwork.house.hole_saws import saw_formula
from radonwork.house.record import House
from radonwork.house.sheets import sheet
from radonwork.workbook.panel import Pane
from radonwork.workbook.panes.live import live


def panes(house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    formulas = live(
        sheet("roof", house), "steepest_roof_for_saw", also=(saw_formula(house.hole_saws if house else ()),)
    )
    defaults = {
        "pipe_outside_diameter": "3-1/2 in", "roof_angle": "6/12", "deck_thickness": "1/2 in", "riser_height": "30 in",
        "flashing_base": "14 in", "flashing_offset": "0 in", "outlet_height_upslope": "12 in",
    }  # fmt: skip
    section, deck = topic_drawings("roof")
    return (
        Pane(
            title="The hole, cut along the slope",
            topic="roof",
            sheet=formulas,
            controls=("roof_angle", "pipe_outside_diameter", "deck_thickness", "hole_clearance"),
            drawing=section,
            result="A plumb pipe needs a round hole of {roof_hole_diameter} bored square to the deck; with clearance "
            "{bored_hole_diameter}. The next saw up is {hole_saw}. Held plumb, a saw of the pipe's own diameter leaves a cut "
            "{ellipse_axis} long.",
            worked=("roof_hole_diameter", "bored_hole_diameter", "ellipse_axis", "hole_centre_shift"),
            defaults=defaults,
        ),
        Pane(
            title="Where the centre goes, and what the flashing covers",
            topic="roof",
            sheet=formulas,
            controls=(
                "riser_height",
                "pipe_slope",
                "roof_angle",
                "climb_direction",
                "flashing_base",
                "flashing_offset",
            ),
            drawing=deck,
            result="A riser left leaning by its sloped run meets the deck {mark_shift_deck} from the plumb mark, measured on "
            "the deck. The slot-shaped opening wastes {slot_hole_waste} of deck against {round_hole_waste} of the round "
            "hole. The flashing reaches {flashing_lap} beyond the hole at its narrower side.",
            worked=("mark_shift_plan", "mark_shift_deck", "slot_hole_centres", "flashing_lap"),
            defaults=defaults,
        ),
    )
