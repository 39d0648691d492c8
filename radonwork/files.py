"""Where data and workbooks lie: beside the package in a checkout, inside it in an installed wheel."""

import csv
from pathlib import Path

_PACKAGE = Path(__file__).parent
_SHARE = _PACKAGE / "_share" if (_PACKAGE / "_share").is_dir() else _PACKAGE.parent

DATA = _SHARE / "data"
WORKBOOKS = _SHARE / "workbooks"


def rows(path: Path) -> list[dict[str, str]]:
    """Rows of a CSV as text, by column; lines that start with # are its source and notes."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if line and not line.startswith("#")))


def table(name: str) -> list[dict[str, str]]:
    """Rows of data/tables/NAME.csv."""
    return rows(DATA / "tables" / f"{name}.csv")
