"""Typst's source as PDF: tagged, archival, without a date of making, and with no way to the machine it is set on."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import Any


def typeset(source: str) -> bytes:
    """Typst's source as an archival PDF. A character that no font at hand holds stands there as its number, as [U+4E2D].

    Raises typst.TypstError if it cannot be set.
    """
    import typst  # its compiler is large, and the HTML report does without

    with _fonts() as folder:
        try:
            return _compiled(source, folder)
        except typst.TypstError:  # as an archival PDF may hold no character without a shape
            return _compiled(_numbered(source), folder)


def _compiled(source: str, fonts: Path) -> bytes:
    import typst

    # An empty root and empty package folders: the source can read no file and fetch no package.
    with tempfile.TemporaryDirectory() as empty:
        compiled: Any = typst.compile  # its types want source and folders to be of one kind
        made = compiled(
            source.encode("utf-8"),
            root=empty,
            font_paths=[str(fonts)],
            ignore_system_fonts=True,
            format="pdf",
            pdf_standards=["a-2a", "ua-1"],  # archival and accessible: every equation and picture has its words
            package_path=empty,
            package_cache_path=empty,
            timestamp=0,
        )
    assert isinstance(made, bytes)
    return made


def _numbered(source: str) -> str:
    """`source` with every character that the sans-serif lacks, and so nearly all that any font lacks, as its number."""
    from matplotlib.ft2font import FT2Font

    known = set(FT2Font(str(next(_sans_fonts()))).get_charmap()) | {ord("\n"), ord("\t")}
    return "".join(one if ord(one) in known else f"[U+{ord(one):04X}]" for one in source)


@contextmanager
def _fonts() -> Iterator[Path]:
    """A folder of the sans-serif alone. Beside it lies a font that has a box for every character of the world."""
    with tempfile.TemporaryDirectory() as folder:
        for font in _sans_fonts():
            (Path(folder) / font.name).symlink_to(font)
        yield Path(folder)


def _sans_fonts() -> Iterator[Path]:
    """The sans-serif that matplotlib brings, the regular one first: drawings and headings look alike on every machine."""
    spec = find_spec("matplotlib")
    assert spec is not None
    assert spec.origin is not None
    yield from sorted((Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf").glob("DejaVuSans*.ttf"), key=_plainest)


def _plainest(font: Path) -> tuple[int, str]:
    return len(font.name), font.name
