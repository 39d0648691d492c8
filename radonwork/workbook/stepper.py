"""A derivation to step through, forwards and backwards, in the page."""

from html import escape
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from radonwork.engine.derivation import Derivation
from radonwork.engine.printing import MATHML, TEXT, printed

_HERE = Path(__file__).parent


class Stepper(anywidget.AnyWidget):
    """The lines of one derivation, shown one after the other."""

    _esm = (_HERE / "stepper.js").read_text(encoding="utf-8")
    _css = (_HERE / "panel.css").read_text(encoding="utf-8")
    spec = traitlets.Dict().tag(sync=True)

    def __init__(self, derivation: Derivation) -> None:
        self.derivation = derivation
        lines: list[dict[str, Any]] = []
        for step in derivation.steps:
            source = f" <small>Source: {escape(str(step.source))}.</small>" if step.source else ""
            equation = MATHML.whole(printed(step.equation, MATHML))
            lines.append({"html": f"{escape(step.sentence)}{source}{equation}", "premise": step.premise})
        super().__init__(spec={"title": derivation.title, "steps": lines})

    def __repr__(self) -> str:
        lines = [f"{step.sentence}\n    {printed(step.equation, TEXT)}" for step in self.derivation.steps]
        return "\n".join([self.derivation.title, *(f"{n}. {line}" for n, line in enumerate(lines, start=1))])
