"""Templates on sheets of paper, at true size: as many sheets as one needs, each with its check bars, as SVG.

A sheet has a strip of words at its head, a window through which it shows part of the template, and two bars at its foot.
Windows of neighbouring sheets overlap, and in the overlap both carry the same crosses, to lay one upon the other. All of
it is in millimetres from the sheet's upper left corner.
"""

import math
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from typing import Literal

from radonwork.drawings.templates import Place, Round, Template, Words

PaperName = Literal["letter", "a4"]
PAPERS: dict[PaperName, tuple[float, float]] = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
BARS: tuple[tuple[str, float], ...] = (("4 in", 101.6), ("100 mm", 100.0))
MEASURE = (
    "Measure both bars before use. If either is not true to length, print again at 100 %, never fitted to the page."
)

MARGIN, HEAD, FOOT = 9.0, 33.0, 25.0  # mm that no printer must reach; strips of words above and bars below
MOST = 40  # sheets of one template: a larger one is hardly meant
OVERLAP, _PAD, _CROSS = 14.0, 1.0, 4.0
_SIZE, _SMALL = 4.2, 3.1  # of type
_LOOKS = {
    "cut": "stroke='#000000' stroke-width='0.35'",
    "mark": "stroke='#000000' stroke-width='0.15'",
    "edge": "stroke='#000000' stroke-width='0.25' stroke-dasharray='5 1 1 1'",
}


class TooLarge(ValueError):
    """A template that nobody would print; one plain line."""


@dataclass(frozen=True)
class Sheet:
    """One sheet of a template: `row` and `column` of its window, counted from the upper left, and the page as SVG."""

    template: Template
    row: int
    column: int
    rows: int
    columns: int
    svg: str

    @property
    def name(self) -> str:
        """What its file is called, without the ending."""
        return self.template.name + (f"-{self.row}-{self.column}" if self.rows * self.columns > 1 else "")


@dataclass(frozen=True)
class _Window:
    """The part of the paper that shows the template, and how the template's metres come onto it."""

    left: float
    top: float
    width: float
    height: float
    x: float  # of the template at the window's left edge, mm
    y: float  # of the template at the window's upper edge, mm

    def at(self, place: Place) -> Place:
        return self.left + place[0] * 1000 - self.x, self.top + self.y - place[1] * 1000

    def holds(self, x: float, y: float) -> bool:
        hair = 1e-6
        inside = -hair <= x - self.left <= self.width + hair
        return inside and -hair <= y - self.top <= self.height + hair


def sheets(template: Template, paper: PaperName) -> tuple[Sheet, ...]:
    """The sheets of a template, row by row; one that would show nothing to cut or mark is left out.

    Raises TooLarge where there would be more than MOST.
    """
    wide, high = PAPERS[paper]
    width, height = wide - 2 * MARGIN, high - 2 * MARGIN - HEAD - FOOT
    left, bottom, right, top = (1000 * edge for edge in template.box)
    left, bottom, right, top = left - _PAD, bottom - _PAD, right + _PAD, top + _PAD
    columns, rows = _count(right - left, width), _count(top - bottom, height)
    if columns * rows > MOST:
        size = f"{(right - left) / 1000:.3g} by {(top - bottom) / 1000:.3g} m"
        raise TooLarge(
            f"{template.title}: {size} would take {columns * rows:,} sheets; look at its sizes in the record"
        )
    # What is left of the last window is shared out, so that the template stands in the middle of its sheets.
    x0 = (left + right) / 2 - (columns * width - (columns - 1) * OVERLAP) / 2
    y0 = (bottom + top) / 2 + (rows * height - (rows - 1) * OVERLAP) / 2
    made = []
    for row in range(rows):
        for column in range(columns):
            window = _Window(
                MARGIN, MARGIN + HEAD, width, height,
                x0 + column * (width - OVERLAP), y0 - row * (height - OVERLAP),
            )  # fmt: skip
            shown = list(_shown(template, window))
            if shown:
                joints = list(_joints(window, row, column, rows, columns))
                page = _page(template, paper, (row + 1, column + 1, rows, columns), [*shown, *joints])
                made.append(Sheet(template, row + 1, column + 1, rows, columns, page))
    return tuple(made)


def _count(size: float, window: float) -> int:
    return max(1, math.ceil((size - OVERLAP) / (window - OVERLAP) - 1e-9))


# ---------------------------------------------------------------- one sheet


def _page(template: Template, paper: PaperName, place: tuple[int, int, int, int], parts: list[str]) -> str:
    wide, high = PAPERS[paper]
    return "\n".join(
        [
            f"<svg xmlns='http://www.w3.org/2000/svg' width='{wide:g}mm' height='{high:g}mm' "
            f"viewBox='0 0 {wide:g} {high:g}' role='img' font-family='\"DejaVu Sans\", sans-serif'>",
            f"<title>{escape(template.title)}</title>",
            f"<rect width='{wide:g}' height='{high:g}' fill='#ffffff'/>",
            *_heading(template, wide, place),
            *parts,
            *_bars(high),
            "</svg>",
        ]
    )


def _heading(template: Template, wide: float, place: tuple[int, int, int, int]) -> Iterator[str]:
    row, column, rows, columns = place
    room = wide - 2 * MARGIN
    y = MARGIN + _SIZE
    for line in textwrap.wrap(template.title, int(room / (0.62 * _SIZE))):
        yield _text(MARGIN, y, line, _SIZE, "font-weight='bold'")
        y += 1.35 * _SIZE
    said = template.says
    if rows * columns > 1:
        where = f"Row {row} of {rows}, column {column} of {columns}"
        said = f"{where}: lay the crosses of neighbouring sheets upon each other. {said}"
    for line in textwrap.wrap(said, int(room / (0.6 * _SMALL))):
        yield _text(MARGIN, y, line, _SMALL)
        y += 1.4 * _SMALL


def _bars(high: float) -> Iterator[str]:
    """Both bars, each a line between two ticks whose middles are its length apart."""
    y = high - MARGIN - FOOT + 8
    yield _text(MARGIN, y - 3, MEASURE, _SMALL, "font-weight='bold'")
    for words, length in BARS:
        y += 6.5
        yield f"<path class='bar' d='M{MARGIN:g} {y:g}H{MARGIN + length:g}' fill='none' {_SOLID}/>"
        for x in (MARGIN, MARGIN + length):
            yield f"<path d='M{x:g} {y - 2:g}V{y + 2:g}' fill='none' {_SOLID}/>"
        yield _text(MARGIN + length + 3, y + 1.1, words, _SMALL)


_SOLID = "stroke='#000000' stroke-width='0.25'"


def _joints(window: _Window, row: int, column: int, rows: int, columns: int) -> Iterator[str]:
    """Crosses in the middle of each overlap, and the corners at which a sheet may be cut off."""
    thirds = (0.25, 0.75)
    for side, there in ((0, column > 0), (1, column < columns - 1)):
        if there:
            x = window.left + (window.width - OVERLAP / 2 if side else OVERLAP / 2)
            for share in thirds:
                yield from _joint(x, window.top + share * window.height)
    for side, there in ((0, row > 0), (1, row < rows - 1)):
        if there:
            y = window.top + (window.height - OVERLAP / 2 if side else OVERLAP / 2)
            for share in thirds:
                yield from _joint(window.left + share * window.width, y)
    if rows * columns > 1:
        for x, dx in ((window.left, 5), (window.left + window.width, -5)):
            for y, dy in ((window.top, 5), (window.top + window.height, -5)):
                yield f"<path d='M{x + dx:g} {y:g}H{x:g}V{y + dy:g}' fill='none' {_SOLID}/>"


def _joint(x: float, y: float) -> Iterator[str]:
    yield f"<path class='joint' d='M{x - _CROSS:g} {y:g}H{x + _CROSS:g}M{x:g} {y - _CROSS:g}V{y + _CROSS:g}' {_JOINT}/>"
    yield f"<circle cx='{x:g}' cy='{y:g}' r='{_CROSS / 2:g}' {_JOINT}/>"


_JOINT = "fill='none' stroke='#5a5a5a' stroke-width='0.2'"


# ---------------------------------------------------------------- what of the template a window shows


def _shown(template: Template, window: _Window) -> Iterator[str]:
    for shape in template.shapes:
        if isinstance(shape, Words):
            x, y = window.at(shape.at)
            if window.holds(x, y):
                # Words that would run out of the window are moved into it: only what is drawn must stay in its place.
                wide = 0.64 * _SMALL * len(shape.text)
                start = x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[shape.anchor]
                moved = min(max(start, window.left), window.left + window.width - wide) - start
                how = f"text-anchor='{shape.anchor}'"
                yield _text(x + moved, max(y, window.top + _SMALL), shape.text, _SMALL, how)
            continue
        look = f"fill='none' {_LOOKS[shape.look]}"
        if isinstance(shape, Round):
            x, y = window.at(shape.centre)
            r = shape.diameter * 500
            if all(window.holds(x + dx * r, y + dy * r) for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1))):
                yield f"<circle cx='{_mm(x)}' cy='{_mm(y)}' r='{_mm(r)}' {look}/>"
                continue
            points = tuple(
                (x + r * math.cos(turn), y + r * math.sin(turn)) for turn in (math.tau * n / 360 for n in range(361))
            )
        else:
            points = tuple(window.at(place) for place in shape.points)
        for run in _inside(points, window):
            yield f"<polyline points='{' '.join(f'{_mm(x)},{_mm(y)}' for x, y in run)}' {look}/>"


def _inside(points: tuple[Place, ...], window: _Window) -> Iterator[list[Place]]:
    """The parts of a line that lie within the window, cut off at its edges."""
    run: list[Place] = []
    for start, end in pairwise(points):
        kept = _clipped(start, end, window)
        if kept is None:
            if run:
                yield run
            run = []
            continue
        if run and run[-1] != kept[0]:
            yield run
            run = []
        run = [*(run or [kept[0]]), kept[1]]
        if kept[1] != end:
            yield run
            run = []
    if run:
        yield run


def _clipped(start: Place, end: Place, window: _Window) -> tuple[Place, Place] | None:
    """The part of one straight that lies within the window; None where none does."""
    first, last = 0.0, 1.0
    dx, dy = end[0] - start[0], end[1] - start[1]
    for step, room in (
        (-dx, start[0] - window.left),
        (dx, window.left + window.width - start[0]),
        (-dy, start[1] - window.top),
        (dy, window.top + window.height - start[1]),
    ):
        if step == 0:
            if room < 0:
                return None
        elif step < 0:
            first = max(first, room / step)
        else:
            last = min(last, room / step)
    if first >= last:
        return None
    at = [start if share == 0 else end if share == 1 else (start[0] + share * dx, start[1] + share * dy)
          for share in (first, last)]  # fmt: skip
    return at[0], at[1]


def _mm(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".")


def _text(x: float, y: float, words: str, size: float, how: str = "") -> str:
    return f"<text x='{_mm(x)}' y='{_mm(y)}' font-size='{size:g}' {how}>{escape(words)}</text>"
