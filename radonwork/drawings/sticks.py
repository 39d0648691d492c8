"""The sticks of one house with their cuts, to scale: which piece comes out of which stick, and what is left."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from html import escape

from radonwork.drawings import lettering
from radonwork.drawings.shapes import _FONTS, ACCENT, INK, PALE, TEXT_SIZE
from radonwork.glossary import System
from radonwork.house.cut_list import Batch, CutList, cut_list_of
from radonwork.house.record import House
from radonwork.house.way import tape
from radonwork.solvers.stock import CutStick

WIDTH, SIDE, BAR, ROW, HEAD = 720, 16, 26, 40, 30


@dataclass(frozen=True)
class Sticks:
    """Every stick that `house` buys, one below the other; all on one scale."""

    house: House
    name: str = "sticks"
    title: str = "Sticks and their cuts"
    takes: tuple[str, ...] = ("stick_count",)

    def svg(self, values: Mapping[str, float], system: System = "us") -> str:
        """The picture."""
        found = self._found()
        scale = (WIDTH - 2 * SIDE) / max((stick.length for _, stick in _rows(found)), default=1.0)
        parts, y = [], 8.0
        for batch in found.batches:
            if not batch.plan or not batch.plan.sticks:
                continue
            parts.append(f"<text x='{SIDE}' y='{y + 18:.0f}' fill='{INK}'>{escape(_heading(batch))}</text>")
            y += HEAD
            for stick in batch.plan.sticks:
                parts += _stick(batch, stick, y, scale, found.kerf, system)
                y += ROW
        height = round(y) + 6
        return (
            f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {WIDTH} {height}' role='img' "
            f"aria-labelledby='{self.name}-title' font-family='{_FONTS}' font-size='{TEXT_SIZE}'>"
            f"<title id='{self.name}-title'>{escape(self.title)}</title>"
            f"<defs><pattern id='{self.name}-left' width='7' height='7' patternUnits='userSpaceOnUse' "
            f"patternTransform='rotate(45)'><path d='M0 3.5H7' stroke='{PALE}' stroke-width='0.9'/></pattern></defs>"
            f"{''.join(parts)}</svg>"
        )

    def described(self, values: Mapping[str, float], system: System = "us") -> str:
        """The same in words."""
        found = self._found()
        said = [
            f"A stick of {tape(stick.length, system)} of {batch.size} pipe gives {_pieces(batch, stick, system)}; "
            f"{tape(stick.left, system)} is left."
            for batch, stick in _rows(found)
        ]
        return " ".join(said)

    def _found(self) -> CutList:
        found = cut_list_of(self.house)
        assert found is not None  # else there were no count of sticks
        return found


def _rows(found: CutList) -> Iterator[tuple[Batch, CutStick]]:
    yield from ((batch, stick) for batch in found.batches if batch.plan for stick in batch.plan.sticks)


def _heading(batch: Batch) -> str:
    assert batch.plan
    count = len(batch.plan.sticks)
    return f"{batch.size} pipe, {count} stick{'s' if count > 1 else ''}: number of the piece, and its length"


def _pieces(batch: Batch, stick: CutStick, system: System) -> str:
    return " and ".join(f"piece {batch.cuts[n].label}, {batch.cuts[n].marked(system)}" for n in stick.pieces)


def _stick(batch: Batch, stick: CutStick, y: float, scale: float, kerf: float, system: System) -> Iterator[str]:
    x = float(SIDE)
    for number in stick.pieces:
        cut = batch.cuts[number]
        wide = cut.mark * scale
        yield f"<rect x='{x:.2f}' y='{y:.1f}' width='{wide:.2f}' height='{BAR}' fill='#f4f6f5' stroke='{ACCENT}'/>"
        yield from _label(x, y, wide, (f"{cut.label}: {cut.marked(system)}", cut.label))
        x += wide + kerf * scale
    end = SIDE + stick.length * scale
    if end - x > 0.5:
        yield (
            f"<rect x='{x:.2f}' y='{y:.1f}' width='{end - x:.2f}' height='{BAR}' fill='url(#sticks-left)' stroke='{PALE}' "
            "stroke-dasharray='4 3'/>"
        )
        left = tape(stick.left, system)
        yield from _label(x, y, end - x, (f"{left} left", left))


def _label(x: float, y: float, wide: float, choices: tuple[str, ...]) -> Iterator[str]:
    """The fullest words that fit the bar; none where not even the shortest do."""
    for words in choices:
        if lettering.width(words, TEXT_SIZE) + 6 <= wide:
            yield (
                f"<text x='{x + wide / 2:.1f}' y='{y + BAR / 2 + 5:.1f}' text-anchor='middle' fill='{INK}' "
                f"paint-order='stroke' stroke='#ffffff' stroke-width='3'>{escape(words)}</text>"
            )
            return
