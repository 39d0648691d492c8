"""Pieces of a report as HTML for a page or a workbook: works, findings, published values, what is missing.

Every function returns a fragment that is complete without style sheet, colour or script, with all text escaped.
"""

from collections.abc import Iterable

from radonwork.engine.case import Case
from radonwork.engine.work import Work
from radonwork.glossary import System
from radonwork.house.calculations import Calculation
from radonwork.house.job import Topic
from radonwork.report import contents
from radonwork.report.markup import html
from radonwork.report.told import told
from radonwork.requirements.rules import Finding, Requirement


def work_html(work: Work) -> str:
    """One evaluation: equation, numbers put in, result; what was given, assumptions and source one step away."""
    return html((contents.work(work),))


def run_html(calculation: Calculation) -> str:
    """Every evaluation of one topic, in the order worked."""
    return html(contents.works(calculation))


def findings_html(findings: Iterable[Finding], system: System) -> str:
    """The verdict on each rule in words, with margin, tolerances, source, advice and note."""
    return html(contents.findings(findings, system))


def rules_html(stated: Iterable[Requirement], system: System) -> str:
    """Rules side by side, with what each asks for and where it stands."""
    return html(contents.rules(stated, system))


def pipe_sizes_html(system: System) -> str:
    """Pipe sizes, nominal beside actual."""
    return html(contents.pipe_sizes(system))


def cases_html(cases: Iterable[Case]) -> str:
    """Published values beside ours, with the tolerance and whether they agree; a value from memory is marked."""
    return html(contents.cases(cases))


def missing_html(calculation: Calculation) -> str:
    """What could not be worked and the field of the record that would supply it; empty where nothing is missing."""
    return html(contents.missing(calculation))


def told_html(name: str, calculation: Calculation) -> str:
    """The piece called `name` of what the topic tells beyond its formulas; empty where there is nothing to say."""
    pieces = {piece.name: piece for piece in told(calculation.topic.key)}
    return html(pieces[name].blocks(calculation))


def cautions_html(topic: Topic) -> str:
    """What can hurt somebody in this topic's work."""
    return html(contents.cautions(topic))


def sources_html(keys: Iterable[str]) -> str:
    """The works of data/references.toml with these keys."""
    return html(contents.sources(keys))
