"""What the panel of each topic holds: its controls, its drawing, its answer in words and which working it shows."""

from functools import cache

from radonwork.drawings.catalogue import topic_drawings
from radonwork.house.job import topics
from radonwork.house.sheets import sheet
from radonwork.workbook.panel import Pane


def _pane(key: str, controls: str, result: str, worked: str, drawing: int = 0, **defaults: str) -> Pane:
    return Pane(
        title=topics()[key].title,
        topic=key,
        sheet=sheet(key),
        controls=tuple(controls.split()),
        drawing=topic_drawings(key)[drawing],
        result=result,
        worked=tuple(worked.split()),
        defaults=defaults,
    )


@cache
def panes(key: str) -> tuple[Pane, ...]:
    """The panels of the topic `key`, in the order in which its workbook shows them."""
    return _PANES[key]()


def _pipes() -> tuple[Pane, ...]:
    return (
        _pane(
            "pipes",
            "pipe_count small_bore large_bore friction_exponent air_flow",
            "Together the small pipes have {area_ratio} of the large pipe's area and carry {flow_ratio} of its flow at "
            "equal loss. At the same flow their loss is {loss_ratio} times that of the large pipe; the air moves at "
            "{small_velocity} in each of them and at {main_velocity} in the large one.",
            "area_ratio bore_exponent flow_ratio loss_ratio equivalent_bore",
            pipe_count="2",
            small_bore="2.067 in",
            large_bore="3.068 in",
            air_flow="60 cfm",
        ),
    )


_PANES = {"pipes": _pipes}
