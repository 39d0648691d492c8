"""The report as PDF, set by Typst from the same blocks: tagged, archival, without a date of making.

Typst was taken because it sets mathematics, comes with its compiler and fonts from the package index, gives the same
bytes for the same source, and takes a stranger's text as a string literal that it never evaluates.
"""

from collections.abc import Sequence

from radonwork.house.calculations import Calculation
from radonwork.house.record import House
from radonwork.report.document import Pictures, document
from radonwork.report.markup import typst_environment
from radonwork.report.typesetting import typeset


def report_pdf(house: House, calculations: Sequence[Calculation], pictures: Pictures) -> bytes:
    """The report of `house` as PDF; the same record gives the same bytes. Raises typst.TypstError if it cannot be set."""
    return typeset(report_typst(house, calculations, pictures))


def report_typst(house: House, calculations: Sequence[Calculation], pictures: Pictures) -> str:
    """The source that `report_pdf` sets."""
    made = document(house, calculations, pictures)
    paper = "us-letter" if house.system == "us" else "a4"
    return typst_environment().get_template("report.typ").render(document=made, paper=paper)
