"""A pipe longer than the room: what its panels hold."""

from radonwork.drawings.catalogue import topic_drawings
from radonwork.engine.sheet import Sheet
from radonwork.house.record import House
from radonwork.house.sheets import sheet
from radonwork.workbook.panel import Pane


def panes(_house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    whole = sheet("insertion")
    whole = Sheet(whole.name, whole.title, tuple(s for s in whole.statements if s.name not in whole.optional))
    opening = ("slot_length", "slot_start", "bay_width", "stage")
    defaults = {
        "pipe_length": "110 in", "pipe_outside_diameter": "2.375 in", "room_height": "93-1/2 in",
        "member_thickness": "2-1/4 in", "bay_width": "14-1/2 in", "slot_length": "4-1/2 in", "slot_start": "0 in",
    }  # fmt: skip
    verdict = (
        "{insertion_margin?The pipe goes in|The pipe jams}. Slot: {slot_needed} needed, margin {slot_margin}. "
        "Bay: {bay_needed} needed, margin {bay_margin}. "
    )
    room, slot = topic_drawings("insertion")
    return (
        Pane(
            title="Can the pipe be put up into the bay?",
            topic="insertion",
            sheet=whole,
            controls=("pipe_length", "pipe_outside_diameter", "room_height", "member_thickness", *opening),
            drawing=room,
            result=verdict
            + "{lean_direction?Lean the top to the right|It needs no lean|Lean the top to the left}; the foot "
            "starts {foot_room} from the slot edge. The longest pipe that passes is {longest_pipe}. In the picture the pipe "
            "{pose_state?stands plumb|is on its way in|is jammed}, its lean {lean}.",
            worked=("pipe_insertion", "longest_pipe"),
            defaults=defaults,
        ),
        Pane(
            title="The slot and the bay close by",
            topic="insertion",
            sheet=whole,
            controls=("pipe_length", "member_thickness", *opening),
            drawing=slot,
            result=verdict
            + "In the picture the pipe {pose_state?stands plumb|is on its way in|is jammed}, its lean {lean}.",
            worked=("pipe_insertion",),
            defaults=defaults,
        ),
    )
