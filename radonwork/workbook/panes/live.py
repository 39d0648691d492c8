"""The part of a sheet that a page can work by itself."""

from radonwork.engine.formula import Formula
from radonwork.engine.sheet import Sheet


def live(of: Sheet, *left_out: str, also: tuple[Formula, ...] = ()) -> Sheet:
    """The formulas of a sheet, which a page can work by itself, without those named."""
    formulas = [s for s in of.statements if isinstance(s, Formula) and s.name not in left_out]
    return Sheet(of.name, of.title, (*formulas, *also))
