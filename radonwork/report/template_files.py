"""A house in, a folder of templates out: one PDF, an SVG for each sheet and, if asked for, a DXF for each template."""

from collections.abc import Sequence
from pathlib import Path

from radonwork.drawings.templates import Absent, Template, templates
from radonwork.house.record import House
from radonwork.report.markup import typst_environment
from radonwork.report.template_pages import PAPERS, PaperName, Sheet, TooLarge, sheets
from radonwork.report.typesetting import typeset
from radonwork.report.writing import ReportError, named, replace_file


def write_templates(
    house: House, folder: Path, paper: PaperName | None = None, dxf: bool = False
) -> tuple[tuple[Sheet, ...], tuple[Absent, ...]]:
    """Write every template of `house` that its record settles into `folder`; returns the sheets, and what was not made.

    Without `paper` it is letter for a house in US units, and A4 for one in metric units. A folder with drawings that are
    not of this run is refused as it is: those of an earlier pipe beside the new ones would get a wrong hole cut. Raises
    ReportError.
    """
    if not folder.parent.is_dir():
        raise ReportError(f"{named(folder)}: there is no folder {named(folder.parent)}; make it first or name another")
    if folder.exists() and not folder.is_dir():
        raise ReportError(f"{named(folder)}: this is a file; name a folder")
    paper = paper or ("letter" if house.system == "us" else "a4")
    made, absent = templates(house)
    if not made:
        wanted = "; ".join(f"{one.title}: {', '.join(one.fields)}" for one in absent)
        raise ReportError(f"the record settles no template; it would take {wanted}")
    try:
        pages = tuple(sheet for template in made for sheet in sheets(template, paper))
    except TooLarge as reason:
        raise ReportError(str(reason)) from None
    files = {"templates.pdf": sheets_pdf(pages, paper, house.name)}
    files |= {f"{page.name}.svg": page.svg.encode("utf-8") for page in pages}
    if dxf:
        files |= _dxf(made)
    try:
        if others := sorted(path.name for path in folder.glob("*") if _drawing(path) and path.name not in files):
            more = f" and {len(others) - 1} more" if len(others) > 1 else ""
            raise ReportError(
                f"{named(folder)}: holds {named(Path(others[0]))}{more}, which this run does not make; templates of another run "
                "beside these would get a wrong hole cut: move them away, or name another folder"
            )
        folder.mkdir(exist_ok=True)
        for name, content in files.items():
            replace_file(folder / name, content)
    except OSError as reason:
        raise ReportError(f"{named(folder)}: cannot be written: {reason.strerror}") from None
    return pages, absent


def _drawing(path: Path) -> bool:
    return path.suffix.lower() in (".svg", ".dxf")


def sheets_pdf(pages: Sequence[Sheet], paper: PaperName, house: str) -> bytes:
    """The sheets as one PDF, each page as large as the paper."""
    width, height = PAPERS[paper]
    source = typst_environment().get_template("sheets.typ").render(
        sheets=pages, width=width, height=height, title=f"Templates at true size: {house}"
    )  # fmt: skip
    return typeset(source)


def _dxf(made: Sequence[Template]) -> dict[str, bytes]:
    try:
        from radonwork.report.template_dxf import template_dxf
    except ImportError:
        raise ReportError('DXF takes the package ezdxf; install it with pip install "radonwork[dxf]"') from None
    return {f"{template.name}.dxf": template_dxf(template) for template in made}
