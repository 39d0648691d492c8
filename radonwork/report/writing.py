"""A house in, a report file out: HTML or PDF by the name of the file, whole or not at all."""

import os
from collections.abc import Collection
from pathlib import Path

from radonwork.drawings.catalogue import drawings
from radonwork.drawings.charts import charts
from radonwork.house.calculations import calculations
from radonwork.house.record import House


class ReportError(ValueError):
    """A report that cannot be written; one plain line."""


def write_report(house: House, path: Path, parts: Collection[int] = ()) -> None:
    """Write the report of `house` to `path`, whose name ends in .html or .pdf, of all or of these `parts` of the job.

    Raises ReportError.
    """
    ending = path.suffix.lower()
    if ending not in (".html", ".pdf"):
        raise ReportError(f"{named(path)}: a report is written as HTML or PDF; end its name in .html or .pdf")
    if not path.parent.is_dir():
        raise ReportError(f"{named(path)}: there is no folder {named(path.parent)}; make it first or name another")
    if path.is_dir():
        raise ReportError(f"{named(path)}: this is a folder; name a file in it")
    content = (_pdf if ending == ".pdf" else _html)(house, parts)
    try:
        replace_file(path, content)
    except OSError as reason:
        raise ReportError(f"{named(path)}: cannot be written: {reason.strerror}") from None


def _html(house: House, parts: Collection[int]) -> bytes:
    from radonwork.report.html import report_html

    worked = calculations(house, parts)
    return report_html(house, worked, {c.topic.key: [*drawings(c), *charts(c)] for c in worked}).encode("utf-8")


def _pdf(house: House, parts: Collection[int]) -> bytes:
    from radonwork.report.pdf import report_pdf

    worked = calculations(house, parts)
    return report_pdf(house, worked, {c.topic.key: [*drawings(c), *charts(c)] for c in worked})


def named(path: Path) -> str:
    """A file name as one line of text, whatever it holds."""
    return str(path) if str(path).isprintable() else repr(str(path))


def replace_file(path: Path, content: bytes) -> None:
    """Put `content` at `path`, so that a reader finds the old file or the new one and never a part."""
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with beside.open("xb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(beside, path)
    finally:
        beside.unlink(missing_ok=True)
