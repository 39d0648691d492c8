"""The drawings of the parts: an offset, a row of holes, own work beside a quote, and marks of a turn."""

from radonwork.drawings.leaning_hole import ROW
from radonwork.drawings.offset import OFFSET
from radonwork.drawings.own_or_quote import BARS
from radonwork.drawings.turning import TURN

__all__ = ["BARS", "OFFSET", "ROW", "TURN"]
