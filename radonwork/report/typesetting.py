"""Typst's source as PDF: tagged, archival, without a date of making, and with no way to the machine it is set on."""

import re
import tempfile
from importlib.util import find_spec
from pathlib import Path
from typing import Any

# Other than Latin, Greek, Cyrillic, punctuation, arrows and signs, which the fonts at hand hold.
_UNUSUAL = re.compile("[^\t\n\x20-\x7e\xa0-\u052f\u1e00-\u1fff\u2010-\u206f\u2070-\u23ff\u25a0-\u25ff]")


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
