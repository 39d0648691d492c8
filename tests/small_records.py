"""A house from a few lines of a record, and what the tests of every topic ask of it."""

import re
from pathlib import Path
from typing import Any

import pytest

from radonwork.house.calculations import Calculation
from radonwork.house.record import House, RecordError, parse_house
from radonwork.report.markup import html


def of(text: str, folder: Path | None = None) -> House:
    """The house of a record's text; `folder` is where the files it names lie."""
    return parse_house(text, "house.toml", folder)


def refused(text: str) -> str:
    """The one line with which a record is refused."""
    with pytest.raises(RecordError) as fault:
        of(text)
    (line,) = fault.value.lines
    assert "\n" not in line
    return line


def changed(path: Path, old: str, new: str) -> House:
    """The house of a file in which `new` stands for `old`."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    return parse_house(text.replace(old, new), path.name, path.parent)


def read(blocks: Any) -> str:
    """Blocks as plain text on one line."""
    return " ".join(re.sub("<[^>]+>", "", html(blocks).replace("</", " </")).split())


def verdicts(found: Calculation) -> dict[str, str]:
    """The verdict on each rule by its name."""
    return {finding.requirement.name: finding.verdict for finding in found.findings}
