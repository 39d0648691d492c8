"""The report as one printable HTML file: no network, no script, its mathematics font inside."""

import base64
from collections.abc import Sequence
from functools import cache

from radonwork import __version__
from radonwork.files import DATA
from radonwork.house.calculations import Calculation
from radonwork.house.record import House
from radonwork.report.document import Pictures, document
from radonwork.report.markup import html_environment

FONT = DATA / "fonts" / "stix-two-math-subset.woff2"


@cache
def _font() -> str:
    return base64.b64encode(FONT.read_bytes()).decode("ascii")


def report_html(house: House, calculations: Sequence[Calculation], pictures: Pictures) -> str:
    """The report of `house` as HTML; the same record gives the same text."""
    made = document(house, calculations, pictures)
    return html_environment().get_template("report.html").render(document=made, version=__version__, font=_font())
