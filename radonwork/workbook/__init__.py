"""What a notebook cell may say. Names are imported when first used, so that a page loads only what it shows."""

from importlib import import_module
from typing import Any

_WHERE = {"book": "pages", "links": "pages", "start": "startpage"}


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"radonwork.workbook has no {name}; it has {', '.join(_WHERE)}")
    return getattr(import_module(f"radonwork.workbook.{_WHERE[name]}"), name)
