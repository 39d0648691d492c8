"""The start page: the house in section, the eleven parts of the job and how far each has come, and where to go."""

import shlex
from html import escape
from pathlib import Path
from typing import Any

from radonwork.drawings.catalogue import Picture, picture
from radonwork.drawings.section import house_section
from radonwork.house.calculations import calculations
from radonwork.house.progress import Progress, progress
from radonwork.house.record import RecordError, read_house
from radonwork.report import pieces
from radonwork.workbook.pages import EXAMPLE, Shown, find_record, links, title_of


class Start:
    """The whole job for one house."""

    def __init__(self, record: Path) -> None:
        self.path = record
        self.faults: tuple[str, ...] = ()
        try:
            self.house = read_house(record)
        except RecordError as reason:
            self.faults = reason.lines
            self.house = read_house(EXAMPLE)
        self.calculations = calculations(self.house)
        self.progress = progress(self.calculations)

    def section(self) -> Shown:
        """The house in section with the eleven parts."""
        states = {one.part.number: f"{one.part.name}: {one.state}" for one in self.progress}
        about, ground = self.house.house, self.house.foundation
        below = ground is None or ground.kind in (None, "basement", "mixed")
        drawing = house_section(below, (about and about.storeys) or 1, states)
        drawn = picture(drawing, {}, self.house.system)
        assert isinstance(drawn, Picture)
        wrong = "".join(f"<li>{escape(line)}</li>" for line in self.faults)
        said = (
            f"<p role='alert'>The record could not be read, so the example stands in:</p><ul>{wrong}</ul>"
            if wrong
            else ""
        )
        html = (
            f"{said}<p>House: <strong>{escape(self.house.name)}</strong>, from {escape(self.path.name)}.</p>"
            f"<figure class='radonwork-house'>{drawn.svg}</figure>"
        )
        return Shown(html, "\n".join([*self.faults, f"House: {self.house.name}", drawn.description]))

    def parts(self) -> Shown:
        """The eleven parts in a table: question, state, workbook."""
        head = "<tr><th>Part</th><th>Question</th><th>State</th><th>Workbook</th></tr>"
        html = f"<table><thead>{head}</thead><tbody>{''.join(map(_row, self.progress))}</tbody></table>"
        lines = [f"{one.part.number}. {one.part.name}: {one.state}. {one.detail}" for one in self.progress]
        return Shown(html, "\n".join(lines))

    def findings(self) -> Shown:
        """Everything the rules find, topic by topic."""
        html, lines = [], []
        for one in self.calculations:
            there = [finding for finding in one.findings if finding.verdict != "does not apply"]
            html.append(f"<h3>{escape(one.topic.title)}</h3>{pieces.findings_html(there, self.house.system)}")
            lines += [one.topic.title, *(f"  {f.verdict}: {f.requirement.text}" for f in there)]
        return Shown("".join(html), "\n".join(lines))

    def missing(self) -> Shown:
        """What the record does not state yet, and what it is wanted for."""
        found = list(
            dict.fromkeys((field, one.topic.title) for one in self.calculations for field in one.missing.values())
        )
        if not found:
            return Shown("<p>Nothing that the topics built so far need is missing.</p>", "Nothing is missing.")
        items = "".join(f"<li><code>{escape(field)}</code>, for: {escape(title)}</li>" for field, title in found)
        return Shown(f"<ul>{items}</ul>", "\n".join(f"missing: {field}, for: {title}" for field, title in found))

    def report(self) -> Shown:
        """The command that writes the report of this house."""
        said = (
            "In a terminal (File, New, Terminal opens one in this folder), {} (or .pdf in the place of .html) writes the "
            "calculations of this house as one file to print and hand over."
        )
        command = f"radonwork report {shlex.quote(self.path.name)} -o {shlex.quote(f'{self.path.stem}.html')}"
        return Shown(f"<p>{said.format(f'<code>{escape(command)}</code>')}</p>", said.format(command))

    def links(self) -> Shown:
        """Where to begin."""
        return links("00-start")


def _row(one: Progress) -> str:
    where = "<br>".join(f"<a href='{name}.ipynb'>{escape(title_of(name))}</a>" for name in one.workbooks)
    state = f"<strong>{escape(one.state)}</strong><br>{escape(one.detail)}"
    return (
        f"<tr><td>{one.part.number} {escape(one.part.name)}</td><td>{escape(one.part.question)}</td>"
        f"<td>{state}</td><td>{where or '—'}</td></tr>"
    )


def start(record: Any = None) -> Start:
    """The start page for the house of `record`, or of the first record in the folder."""
    return Start(Path(record) if record else find_record())
