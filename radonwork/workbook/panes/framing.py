"""Finding the framing: what its panels hold."""

from radonwork.drawings.catalogue import house_figures, topic_drawings
from radonwork.drawings.member import JOIST_FORMULAS
from radonwork.engine.sheet import Sheet
from radonwork.formulas.bay import edge_distance, hole_share
from radonwork.formulas.framing import centre_room, centre_spare, hole_spare, largest_hole, stud_share
from radonwork.house.framing import next_probe, solvers_of
from radonwork.house.job import assumed
from radonwork.house.record import House
from radonwork.workbook.panel import Pane


def panes(house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    house = house or House()
    best = next_probe(house)
    wood, _, clear, following = solvers_of(house, tries=True)
    (wall,), (stud, joist) = house_figures("framing", house), topic_drawings("framing")
    taken = assumed("framing")
    verdict = (
        "{hole_spare?Small enough|Too large}: at most {largest_hole} may be bored in the middle, and the hole is {%s}. "
        "{centre_spare?Far enough from the edge|Too near the edge}: {edge_distance} of wood is left, and {least_edge} must stay."
    )
    return (
        Pane(
            title="Where the studs are, and what one more probe would say",
            topic="framing",
            sheet=Sheet("studs", "Where the studs are", (wood, clear, following)),
            controls=("probe_place", "probe_reading", "probe_width", "false_reading", "drill_place", "drill_width"),
            drawing=wall,
            result="{probe_reading?A probe that finds wood is tried|No probe is tried|A probe that finds nothing is tried}. "
            "A hole of {drill_width} at {drill_place} meets wood with a chance of {wood_chance}; the stretch from {bay_left} "
            "to {bay_right} is free of wood with a chance of {clear_chance}. Of that the next probe tells most at "
            "{next_probe}, {next_probe_bits} of a bit, and of all the studs together at {survey_probe}, "
            "{survey_probe_bits} of a bit. Of cables, gas and water nothing is known.",
            worked=("wood_at_the_hole", "clear_stretch", "where_to_probe"),
            passes=("wood_chance", "clear_chance", "blocked_chance"),
            defaults={
                "framed_length": "14 ft", "stud_thickness": "1-1/2 in", "drill_place": "40 in", "drill_width": "1 in",
                "bay_left": "36 in", "bay_right": "46 in", "probe_reading": "1",
                "probe_place": f"{best.at * 1000:.0f} mm" if best else "46 in",
                "probe_width": taken["probe_width"].value, "false_reading": taken["false_reading"].value,
            },
        ),
        Pane(
            title="A hole in a stud",
            topic="framing",
            sheet=Sheet(
                "stud hole",
                "A hole in a stud",
                (stud_share, largest_hole, hole_spare, centre_room, centre_spare, hole_share, edge_distance),
            ),
            controls=("stud_kind", "member_depth", "hole_diameter", "hole_offset"),
            drawing=stud,
            result="{stud_kind?A stud of a nonbearing wall|A doubled stud of a bearing or exterior wall|A single stud of a "
            "bearing or exterior wall}. " + verdict % "hole_diameter",
            worked=("stud_share", "largest_hole", "centre_room", "hole_share", "edge_distance"),
            defaults={
                "stud_kind": "-1", "member_depth": "3-1/2 in", "hole_diameter": "1-3/8 in", "hole_offset": "0 in",
                "least_edge": "5/8 in",
            },
        ),
        Pane(
            title="A hole in a joist",
            topic="framing",
            sheet=Sheet("joist hole", "A hole in a joist", JOIST_FORMULAS),
            controls=("joist_depth", "joist_hole", "joist_offset", "other_hole", "hole_spacing"),
            drawing=joist,
            result=verdict % "joist_hole" + " Between it and the other hole {hole_gap} of wood is left, and {least_edge} must "
            "stay. A notch may be {deepest_notch} deep, in the outer thirds of the span only.",
            worked=("largest_hole", "centre_room", "hole_gap", "deepest_notch"),
            defaults={
                "joist_depth": "9-1/4 in", "joist_hole": "2-1/2 in", "joist_offset": "0 in", "other_hole": "1 in",
                "hole_spacing": "8 in", "least_edge": "2 in", "largest_share": "1/3", "largest_notch_share": "1/6",
            },
        ),
    )  # fmt: skip
