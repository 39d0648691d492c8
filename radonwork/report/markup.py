"""The two writers of blocks, HTML and Typst. Each escapes every text that reaches it; the templates add only structure."""

from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from radonwork.engine.printing import MATHML, TEXT, TYPST
from radonwork.report.blocks import Block

TEMPLATES = Path(__file__).parent / "templates"


@cache
def html_environment() -> Environment:
    """Templates in which whatever a variable holds comes out as escaped text."""
    made = _environment(autoescape=True)
    made.filters["mathml"] = lambda maths: Markup(maths.written(MATHML))
    made.filters["svg"] = Markup  # a drawing is made by this package and escapes its own labels
    return made


def html(blocks: Iterable[Block], level: int = 3, fold_open: bool = False) -> str:
    """Blocks as a fragment of HTML whose sections have headings of `level`: 3 stands well under a workbook's 2 or 3."""
    write = html_environment().get_template("blocks.html").module.write  # type: ignore[attr-defined]
    return "".join(write(block, level, fold_open) for block in blocks)


@cache
def typst_environment() -> Environment:
    """Templates in which whatever a variable holds comes out as a string literal of Typst, which is never evaluated."""
    made = _environment(autoescape=True, finalize=_typst_text)
    made.filters["maths"] = lambda maths: Markup(maths.written(TYPST))
    made.filters["spoken"] = lambda maths: maths.written(TEXT)
    made.filters["sign"] = lambda sign: Markup(TYPST.op(sign))
    made.filters["string"] = lambda text: Markup(typst_string(text))
    made.filters["code"] = lambda number: Markup(f"{number:d}")
    made.filters["millimetres"] = lambda number: Markup(f"{number:.4f}mm")
    return made


def typst_string(text: str) -> str:
    """A string literal of Typst code."""
    return '"' + "".join(_TYPST_ESCAPES.get(c, c) for c in text) + '"'


def _typst_text(value: Any) -> Markup:
    # The semicolon ends the expression, so that a bracket or a point that follows is not taken as part of it.
    return value if isinstance(value, Markup) else Markup(f"#{typst_string(str(value))};")


_TYPST_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\r": "\\r", "\t": "\\t"}


def _environment(**options: Any) -> Environment:
    return Environment(
        loader=FileSystemLoader(TEMPLATES), undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, **options
    )
