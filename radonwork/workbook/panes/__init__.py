"""What the panels of a topic hold: controls, drawing, answer in words and the working that shows; a module a topic.

A topic without a module of its key here is answered in words and tables alone.
"""

from importlib import import_module
from importlib.util import find_spec

from radonwork.house.record import House
from radonwork.workbook.panel import Pane


def panes(key: str, house: House | None = None) -> tuple[Pane, ...]:
    """The panels of the topic `key` in the order in which its workbook shows them; some are made for one house."""
    module = f"{__name__}.{key}"
    found: tuple[Pane, ...] = import_module(module).panes(house) if find_spec(module) else ()
    return found
