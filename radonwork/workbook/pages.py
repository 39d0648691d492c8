"""What a workbook says in a cell: one topic of one house, piece by piece.

pipes = book("pipes")
pipes.question()
pipes.panel()
"""

import re
from collections.abc import Mapping
from functools import cached_property
from html import escape, unescape
from pathlib import Path
from typing import Any

from radonwork.derivations import derivation_of
from radonwork.drawings.catalogue import Picture, drawings
from radonwork.drawings.charts import charts
from radonwork.engine.case import cases_of
from radonwork.engine.formula import FORMULAS
from radonwork.engine.solver import SOLVERS
from radonwork.files import DATA, WORKBOOKS
from radonwork.glossary import term
from radonwork.house.calculations import Calculation, calculate, stated
from radonwork.house.job import Topic, parts, topics
from radonwork.house.pipe_sizes import nominal_sizes, pipe_size
from radonwork.house.record import House, RecordError, read_house
from radonwork.house.saving import open_record
from radonwork.report import pieces
from radonwork.requirements.rules import Finding, requirements_of
from radonwork.units import Quantity
from radonwork.workbook.exercise import Exercise, questions
from radonwork.workbook.launch import BEGINNING, records
from radonwork.workbook.panel import Panel
from radonwork.workbook.panes import panes
from radonwork.workbook.stepper import Stepper

EXAMPLE = DATA / "houses" / "alder-court.toml"


# Lab sets tables flush right, which is for numbers; these hold sentences. Pictures are drawn in ink, so they bring their
# paper along into a dark theme; a long equation is moved along by itself and not with the page.
_STYLE = (
    ".radonwork-shown :is(th, td, caption) { text-align: left !important; vertical-align: top; } "
    ".radonwork-shown figure { margin: 0.6em 0; } "
    ".radonwork-shown :is(h3, h4) { font-size: 1em; margin: 1em 0 0.3em; } "
    ".radonwork-shown svg { width: 100%; max-width: 860px; height: auto; background: #fff; } "
    ".radonwork-shown math[display='block'] { overflow-x: auto; }"
)


class Shown:
    """Something to look at in a cell: HTML in the page, plain text where there is no page."""

    def __init__(self, html: str, text: str) -> None:
        self._html, self._text = html, text

    def _repr_html_(self) -> str:
        return f"<style>{_STYLE}</style><div class='radonwork-shown'>{self._html}</div>"

    def __repr__(self) -> str:
        return self._text


def find_record(folder: Path | None = None) -> Path:
    """The record beside the workbooks, the first by name of those that are somebody's own.

    Where every record is as it was copied it is the first of these, and where there is none the example that comes along.
    """
    there = records(folder or Path.cwd())
    return next(iter(sorted(there, key=_is_as_copied)), EXAMPLE)


def _is_as_copied(record: Path) -> bool:
    try:
        return record.read_bytes() in (EXAMPLE.read_bytes(), BEGINNING.read_bytes())
    except OSError:  # it is told where it is read
        return False


class Book:
    """One topic for one house."""

    def __init__(self, key: str, record: Path) -> None:
        self.topic = topics()[key]
        self.path = record
        self.faults: tuple[str, ...] = ()
        try:
            self.house = read_house(record)
        except RecordError as reason:
            # The workbook still teaches: it says what is wrong with the record and goes on with the example.
            self.faults = reason.lines
            self.house = read_house(EXAMPLE)

    @cached_property
    def calculation(self) -> Calculation:
        return calculate(self.house, self.topic.key)

    @property
    def _beside(self) -> list[Topic]:
        """The topics of this one's workbook, itself among them."""
        return [topic for topic in topics().values() if topic.workbook == self.topic.workbook]

    def question(self) -> Shown:
        """The question, where it stands in the job, and the cautions."""
        topic, part = self.topic, parts()[self.topic.part - 1]
        faults = "".join(f"<li>{escape(line)}</li>" for line in self.faults)
        wrong = (
            f"<p role='alert'>The record could not be read, so the example stands in:</p><ul>{faults}</ul>"
            if faults
            else ""
        )
        ways = links(topic.workbook)._html if topic == self._beside[0] else ""
        html = (
            f"{ways}{wrong}<p><strong>{escape(topic.question)}</strong></p>"
            f"<p>Part {part.number} of 11, {escape(part.name.lower())}. {escape(topic.stands)}</p>"
            f"<p>{escape(topic.says)}</p><p>{escape(topic.governs)}</p>{pieces.cautions_html(topic)}"
            f"<p>House: {escape(self.house.name)}, from {escape(self.path.name)}.</p>"
        )
        lines = [*self.faults, topic.question, topic.stands, topic.says, topic.governs, *topic.cautions]
        return Shown(html, "\n".join([*lines, f"House: {self.house.name}"]))

    def panel(self, number: int = 1) -> Panel | Shown:
        """The topic's panel (its first, or the one of that number), at the house's own values.

        Where the first is of the house itself, and the record does not state enough for it, a line says so.
        """
        made = panes(self.topic.key, self.house)
        pane = made[number - 1]
        if number == 1 and pane in made[1:]:
            said = "The record does not state enough for a panel of this house yet; the workbook's other panel is an example."
            return Shown(f"<p>{said}</p>", said)
        facts, _ = stated(self.house, self.topic.key, (*pane.controls, *pane.sheet.takes))
        # What the topic's own sheet works out for this house stands where the record states nothing.
        found = {name: Quantity(value, "", 0.0, "") for name, value in self.calculation.run.values.items()}
        own = None if self.faults or self.path == EXAMPLE else open_record(self.path)
        return Panel(pane, found | facts, self.house.system, self._judged if pane.judged else None, own)

    def _judged(self, changed: Mapping[str, Quantity]) -> tuple[Finding, ...]:
        """What the rules find with a panel's values, of those rules that these can move."""
        moved = set(changed)
        for statement in self.calculation.run.sheet.statements:
            if moved.intersection(statement.takes):
                moved.update(statement.gives)
        found = calculate(self.house, self.topic.key, changed).findings
        # Rules with a topic of their own are on one hole, and come only for the hole that a panel tries.
        return tuple(f for f in found if f.requirement.topic != self.topic.key or moved & f.requirement.quantities)

    def derivation(self, name: str) -> Stepper:
        """The derivation of the formula called `name`, to step through."""
        self.calculation  # noqa: B018  the topic's formulas are loaded by its sheet
        return Stepper(derivation_of(name))

    def published(self, *also: str) -> Shown:
        """Published values beside ours, for every statement of the topic's sheet and those named besides."""
        names = dict.fromkeys((*(statement.name for statement in self.calculation.run.sheet.statements), *also))
        cases = [case for name in names for case in cases_of(name)]
        lines = [
            f"{case.name}: {one.term} published {one.published.text}, ours {one.ours_shown}, "
            + ("agrees" if one.agrees else "differs")
            for case in cases
            for one in case.compare()
        ]
        agree = sum(one.agrees for case in cases for one in case.compare())
        said = f"{len(lines)} published values beside ours: {agree} agree"
        said += f", {len(lines) - agree} differ" if len(lines) > agree else ""
        table = f"<details><summary>{said}</summary>{pieces.cases_html(cases)}</details>"
        return Shown(table, "\n".join(lines))

    def working(self) -> Shown:
        """Every calculation of the topic with this house's numbers."""
        texts = [self.calculation.flow, *(work.text() for work in self.calculation.run.works)]
        return Shown(pieces.run_html(self.calculation), "\n\n".join(filter(None, texts)))

    def example(self, name: str, **given: str) -> Shown:
        """One formula or solver worked with values written here, for what the house itself does not ask."""
        statement = FORMULAS.get(name) or SOLVERS[name]
        work = statement.work(self.house.system, **{key: term(key).read(text) for key, text in given.items()})
        return Shown(pieces.work_html(work), work.text())

    def findings(self) -> Shown:
        """What the rules say of this house, and what is missing."""
        found = self.calculation
        lines = [
            f"{f.verdict}: {f.requirement.text} {f.reason}; {f.margin_text(self.house.system)}" for f in found.findings
        ]
        lines += [f"missing: {field} ({name})" for name, field in found.missing.items()]
        html = pieces.findings_html(found.findings, self.house.system) + pieces.missing_html(found)
        return Shown(html, "\n".join(lines))

    def rules(self) -> Shown:
        """The topic's rules side by side, whatever house they are for, with their sources."""
        stated_rules = requirements_of(self.topic.key)
        lines = [f"{rule.text} {rule.check.text(self.house.system)}. {rule.source}" for rule in stated_rules]
        return Shown(pieces.rules_html(stated_rules, self.house.system), "\n".join(lines))

    def sizes(self) -> Shown:
        """Pipe sizes as they are called and as they are."""
        lines = [
            f"{n} in: bore {pipe_size(n).bore / pipe_size(n).nominal_diameter:.3f} of nominal" for n in nominal_sizes()
        ]
        return Shown(pieces.pipe_sizes_html(self.house.system), "\n".join(lines))

    def pictures(self) -> Shown:
        """The topic's drawings and charts for this house."""
        drawn = [*drawings(self.calculation), *charts(self.calculation)]
        html = "".join(
            f"<figure aria-label='{escape(p.description, quote=True)}'>{p.svg}</figure>"
            if isinstance(p, Picture)
            else f"<p>{escape(p.description)}</p>"
            for p in drawn
        )
        return Shown(html, "\n".join(p.description for p in drawn))

    def told(self, name: str) -> Shown:
        """What the topic tells beyond its formulas: a table or sentences of the report, by their name."""
        html = pieces.told_html(name, self.calculation)
        html = html or "<p>The record does not state enough for this yet; see what is missing below.</p>"
        return Shown(html, " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split()))

    def exercise(self, number: int) -> Exercise:
        """Question `number` to try, from one."""
        of = self.topic.title if len(self._beside) > 1 else ""
        return Exercise(questions(self.topic.key)[number - 1], number, of)

    def links(self) -> Shown:
        """Previous and next workbook, and back to the start page."""
        return links(self.topic.workbook)


def links(name: str) -> Shown:
    """Where a workbook leads: back, on, and to the start page."""
    names = sorted(path.stem for path in WORKBOOKS.glob("*.ipynb"))
    at = names.index(name) if name in names else 0
    before, after = names[at - 1] if at else None, names[at + 1] if at + 1 < len(names) else None
    before = None if before == names[0] else before  # which is named for itself
    wanted = [("Previous", before), ("Start page", names[0] if names else None), ("Next", after)]
    there = [(words, target) for words, target in wanted if target and target != name]
    html = " · ".join(
        f"<a href='{target}.ipynb'>{words if words == 'Start page' else f'{words}: {title_of(target)}'}</a>"
        for words, target in there
    )
    return Shown(
        f"<nav aria-label='Workbooks'>{html}</nav>", "; ".join(f"{words}: {target}" for words, target in there)
    )


def title_of(name: str) -> str:
    """What a workbook is called, by the name of its file."""
    return name.partition("-")[2].replace("-", " ").capitalize()


def book(key: str, record: Any = None) -> Book:
    """The workbook's topic `key` for the house of `record`, or of the first record in the folder."""
    return Book(key, Path(record) if record else find_record())


__all__ = ["Book", "House", "Shown", "book", "find_record", "links"]
