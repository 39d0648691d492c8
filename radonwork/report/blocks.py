"""What a report is made of: sections, paragraphs, tables, equations and figures, before they are HTML or PDF.

A block holds text as it came; whoever writes it out escapes it. So the page and the PDF say the same, and neither can
be told to do anything by the text of a record.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeAlias

import sympy

from radonwork.engine.printing import TEXT, Notation, printed


@dataclass(frozen=True)
class Strong:
    """Words that matter most in their sentence, a verdict for one; `tone` names a colour that only helps the eye."""

    text: str
    tone: str = ""
    kind = "strong"


@dataclass(frozen=True)
class Maths:
    """A piece of mathematics: a tree, with `numbers` put in for its symbols, or one `quantity` with its unit."""

    tree: sympy.Basic | None = None
    numbers: Mapping[str, str] | None = None
    quantity: str = ""
    kind = "maths"

    def written(self, notation: Notation) -> str:
        return printed(self.tree, notation, self.numbers) if self.tree is not None else notation.quantity(self.quantity)


Inline: TypeAlias = str | Strong | Maths
Words: TypeAlias = tuple[Inline, ...]


@dataclass(frozen=True)
class Para:
    """A paragraph. `look` is "", "caution", "note" or "result"; it only helps the eye."""

    words: Words
    look: str = ""
    kind = "para"


@dataclass(frozen=True)
class Items:
    """A list; each item is a row of blocks."""

    items: "tuple[tuple[Block, ...], ...]"
    ordered: bool = False
    look: str = ""
    kind = "items"


@dataclass(frozen=True)
class Table:
    """A table with its caption; the first cell of a row is its heading. `shares` are relative widths of columns."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[Words, ...], ...]
    shares: tuple[int, ...]
    look: str = ""
    kind = "table"


@dataclass(frozen=True)
class Line:
    """Two sides of an equation; without `left` the line goes on from the one above. `sign` stands between them."""

    left: Maths | None
    right: Maths
    sign: str = "="


@dataclass(frozen=True)
class Equations:
    """Lines that stand under each other by their equals signs."""

    lines: tuple[Line, ...]
    kind = "equations"

    @property
    def spoken(self) -> str:
        """The same in plain text, for who cannot see it."""
        return "; ".join(
            f"{line.left.written(TEXT) if line.left else ''} {line.sign} {line.right.written(TEXT)}".strip()
            for line in self.lines
        )

    @property
    def longest(self) -> int:
        """About how many letters wide the widest line is: type is set smaller where it would not fit the page."""
        return max(
            len(line.left.written(TEXT) if line.left else "") + len(line.right.written(TEXT)) for line in self.lines
        )


@dataclass(frozen=True)
class Figure:
    """A picture as SVG, with what it shows in words."""

    title: str
    svg: str
    description: str
    kind = "figure"


@dataclass(frozen=True)
class Fold:
    """Detail that a screen may fold away under `summary`; on paper it always stands open."""

    summary: str
    blocks: "tuple[Block, ...]"
    kind = "fold"


@dataclass(frozen=True)
class Section:
    """Blocks under a heading; `key` is what a table of contents links to, if it lists this section."""

    title: str
    blocks: "tuple[Block, ...]"
    key: str = ""
    look: str = ""
    kind = "section"


Block: TypeAlias = Para | Items | Table | Equations | Figure | Fold | Section


@dataclass(frozen=True)
class Document:
    """A whole report: its first page, what an inspector reads next, and the sections that the contents after it list."""

    title: str
    subtitle: str
    first_page: tuple[Block, ...]
    faults: Section
    sections: tuple[Section, ...]


def words(*parts: Inline) -> Words:
    """Words without the parts that are empty."""
    return tuple(part for part in parts if part != "")


def capital(text: str) -> str:
    """A sentence's first letter as a capital; a file or field that it begins with stays as it is written."""
    first = text.partition(" ")[0].rstrip(":,;")
    return text if re.search(r"\w\.\w", first) else text[:1].upper() + text[1:]
