"""The report as PDF, set by Typst from the same blocks: tagged, archival, without a date of making.

Typst was taken because it sets mathematics, comes with its compiler and fonts from the package index, gives the same
bytes for the same source, and takes a stranger's text as a string literal that it never evaluates.
"""

import re
import tempfile
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from radonwork.house.calculations import Calculation
from radonwork.house.record import House
from radonwork.report.document import Pictures, document
from radonwork.report.markup import typst_environment

# Other than Latin, Greek, Cyrillic, punctuation, arrows and signs, which the fonts at hand hold.
_UNUSUAL = re.compile("[^\t\n\x20-\x7e\xa0-\u052f\u1e00-\u1fff\u2010-\u206f\u2070-\u23ff\u25a0-\u25ff]")


def report_pdf(house: House, calculations: Sequence[Calculation], pictures: Pictures) -> bytes:
    """The report of `house` as PDF; the same record gives the same bytes. Raises typst.TypstError if it cannot be set."""
    return typeset(report_typst(house, calculations, pictures))


def report_typst(house: House, calculations: Sequence[Calculation], pictures: Pictures) -> str:
    """The source that `report_pdf` sets."""
    made = document(house, calculations, pictures)
    paper = "us-letter" if house.system == "us" else "a4"
    return typst_environment().get_template("report.typ").render(document=made, paper=paper)


def typeset(source: str) -> bytes:
    """Typst's source as an archival PDF. Raises typst.TypstError if it cannot be set."""
    import typst  # its compiler is large, and the HTML report does without

    try:
        return _compiled(source)
    except typst.TypstError:
        # An archival PDF may hold no character that the fonts at hand lack; such a one is then named by its number.
        return _compiled(_UNUSUAL.sub(lambda found: f"U+{ord(found[0]):04X}", source))


def _compiled(source: str) -> bytes:
    import typst

    # An empty root and empty package folders: the source can read no file and fetch no package.
    with tempfile.TemporaryDirectory() as empty:
        compiled: Any = typst.compile  # its types want source and folders to be of one kind
        made = compiled(
            source.encode("utf-8"),
            root=empty,
            font_paths=[str(_sans_fonts())],
            ignore_system_fonts=True,
            format="pdf",
            pdf_standards=["a-2a", "ua-1"],  # archival and accessible: every equation and picture has its words
            package_path=empty,
            package_cache_path=empty,
            timestamp=0,
        )
    assert isinstance(made, bytes)
    return made


def _sans_fonts() -> Path:
    """The sans-serif fonts that matplotlib brings: drawings and headings look alike on every machine."""
    spec = find_spec("matplotlib")
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf"
