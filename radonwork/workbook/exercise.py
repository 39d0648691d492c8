"""Questions to try, with answers worked out by the formulas themselves and marked against what a person types."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from radonwork.engine.formula import FORMULAS
from radonwork.engine.solver import SOLVERS
from radonwork.files import DATA
from radonwork.glossary import term
from radonwork.units import QuantityError, shown

_HERE = Path(__file__).parent


@dataclass(frozen=True)
class Question:
    """`asks` is a term that the formula or solver `of` gives for `given`; `within` is how near an answer must be."""

    topic: str
    text: str
    of: str
    given: dict[str, str]
    asks: str
    unit: str
    within: float
    right: str

    @property
    def answer(self) -> float:
        """The answer in SI, worked out now."""
        statement = FORMULAS.get(self.of) or SOLVERS[self.of]
        found = statement(**{name: term(name).read(text).value for name, text in self.given.items()})
        return float(found[self.asks] if isinstance(found, dict) else found)

    def mark(self, text: str) -> str:
        """What to say to an answer, as a person wrote it."""
        try:
            given = term(self.asks).read(text, unit=self.unit).value
        except QuantityError as reason:
            return f"That cannot be read: {reason}"
        answer = self.answer
        if abs(given - answer) <= self.within * abs(answer):
            return f"Right: {shown(answer, self.unit)}. {self.right}"
        size = "large" if given > answer else "small"
        return f"Not yet: your answer is too {size}. Try again, or move the panel to the question's values."


@cache
def questions(topic: str) -> tuple[Question, ...]:
    """The questions of one topic, in the order of data/questions.toml."""
    rows = tomllib.loads((DATA / "questions.toml").read_text(encoding="utf-8"))["question"]
    return tuple(Question(**row) for row in rows if row["topic"] == topic)


class Exercise(anywidget.AnyWidget):
    """One question with a field for the answer; `of` names its topic where a workbook has several."""

    _esm = (_HERE / "exercise.js").read_text(encoding="utf-8")
    _css = (_HERE / "panel.css").read_text(encoding="utf-8")
    spec = traitlets.Dict().tag(sync=True)

    def __init__(self, question: Question, number: int, of: str = "") -> None:
        self.question = question
        self._title = f"Question {number}" + (f" ({of})" if of else "")
        hint = f"a value with its unit, such as 3 {question.unit}".rstrip() if question.unit else "a number"
        super().__init__(spec={"title": self._title, "question": question.text, "hint": hint})
        self.on_msg(lambda _widget, content, _buffers: self._heard(content))

    def _heard(self, message: dict[str, Any]) -> None:
        try:
            self.send({"verdict": self.question.mark(str(message.get("answer", "")))})
        except Exception as error:  # a fault here would otherwise be invisible in the page
            self.send({"verdict": f"This could not be marked: {error}"})

    def __repr__(self) -> str:
        return f"{self._title}: {self.question.text}"
