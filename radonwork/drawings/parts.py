"""The drawings of the parts: an offset, a row of holes, and own work beside a quote."""

from radonwork.drawings.leaning_hole import ROW
from radonwork.drawings.offset import OFFSET
from radonwork.drawings.own_or_quote import BARS

__all__ = ["BARS", "OFFSET", "ROW"]
