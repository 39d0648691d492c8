"""What `radonwork check` says of a house, line by line: in short and what to do next first, then every finding."""

from collections.abc import Iterator, Sequence

from radonwork.glossary import plain
from radonwork.house.calculations import Calculation
from radonwork.house.next_steps import next_lines
from radonwork.house.proving import due
from radonwork.house.record import House
from radonwork.house.watched import file_remarks
from radonwork.house.way import route_remarks
from radonwork.requirements.rules import Finding


def lines(house: House, worked: Sequence[Calculation]) -> Iterator[str]:
    """Every line, without its end."""
    yield from _in_short(house, worked)
    yield ""
    for calculation in worked:
        for finding in calculation.findings:
            yield from _found(finding, calculation)
    for calculation in worked:
        for name, field in calculation.missing.items():
            yield f"missing: {field} ({plain(name)}), for: {calculation.topic.title}"
    for one in due(house):
        when = f"by {one.on}" if one.on else f"no day of the {one.counted} in the record"
        yield f"due: {one.retest.what}, {when} ({one.retest.source})"
    for remark in route_remarks(house):
        yield f"wrong with a route: {remark}"


def _in_short(house: House, worked: Sequence[Calculation]) -> Iterator[str]:
    """The count of verdicts, what is not met, what to do next, what could not be worked and what was left out of a file."""
    found = [(finding, c) for c in worked for finding in c.findings]
    counts = [
        f"{verdict} {sum(finding.verdict == verdict for finding, _ in found)}"
        for verdict in ("not met", "cannot be judged", "met", "does not apply")
    ]
    yield f"{house.name}, {len(found)} rules: {', '.join(counts)}"
    for finding, calculation in found:
        if finding.verdict == "not met":
            yield f"not met, in short: {finding.requirement.text} ({calculation.topic.title})"
    for step in next_lines(house):
        yield f"next: {step}"
    for calculation in worked:
        titles = {statement.name: statement.title for statement in calculation.run.sheet.statements}
        for name, reason in calculation.run.refused.items():
            yield f"not worked: {titles[name]}, for: {calculation.topic.title}: {reason}"
    for remark in file_remarks(house):
        yield f"wrong with a file: {remark}"


def _found(finding: Finding, calculation: Calculation) -> Iterator[str]:
    margin = finding.margin_text(calculation.run.system)
    yield f"{finding.verdict}: {finding.requirement.text}"
    yield f"    {finding.reason}" + (f"; {margin}" if margin else "")
    yield f"    {calculation.topic.title}. {finding.requirement.source}"
