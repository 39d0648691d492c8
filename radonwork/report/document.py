"""The whole report of one house, as blocks: what the record states, what was worked, what was found, what is missing."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from radonwork import __version__
from radonwork.drawings.catalogue import Picture, Undrawn
from radonwork.engine.case import cases
from radonwork.glossary import System, plain
from radonwork.house.calculations import Calculation
from radonwork.house.job import parts
from radonwork.house.record import House
from radonwork.house.record import Section as RecordSection
from radonwork.report import contents
from radonwork.report.blocks import Block, Document, Figure, Items, Para, Section, Strong, Table, Words, capital
from radonwork.report.told import told
from radonwork.units import Quantity

Pictures = Mapping[str, Sequence[Picture | Undrawn]]

_LIMITS = (
    "These calculations do not replace codes, permits or licensed trades. The adopted local code governs, and the "
    "authority that has jurisdiction decides what it asks. Structure, wiring, gas and roof work are for the persons "
    "licensed for them, and a test after the work shows whether the radon level came down."
)


def document(house: House, calculations: Sequence[Calculation], pictures: Pictures) -> Document:
    """The report of `house` from its calculations, with the pictures of each topic by its key."""
    numbered = list(enumerate(calculations, start=3))
    sections = [
        Section("1. The house as its record states it", tuple(_stated(house)), "house"),
        Section("2. The job and what this report covers", _covered(calculations), "job"),
        *(_topic(number, c, pictures.get(c.topic.key, ())) for number, c in numbered),
    ]
    worked = {work.statement.name for c in calculations for work in c.run.works}
    checks = [case for case in cases() if case.of in worked]
    cited = [work.statement.source.key for c in calculations for work in c.run.works]
    cited += [finding.requirement.source.key for c in calculations for finding in c.findings]
    cited += [case.source.key for case in checks]
    used = [name for c in calculations for name in _terms(c)]
    closing = [
        ("Checks against published values", "checks", contents.agreement(checks)),
        ("Works cited", "works", (_CITED, *contents.sources(cited))),
        ("Symbols", "symbols", (contents.glossary(used, house.system),)),
        ("How to read this report", "reading", _reading(house.system)),
        ("Prepared and reviewed", "signatures", _signatures()),
    ]
    sections += [
        Section(f"{number}. {title}", blocks, key)
        for number, (title, key, blocks) in enumerate(closing, start=3 + len(calculations))
    ]
    return Document(
        title=f"Radon mitigation calculations: {house.name}",
        subtitle=f"Worked from the record of the house with radonwork {__version__}",
        opening=(Para((Strong("What this is not. "), _LIMITS), "caution"), *_summary(house, calculations)),
        sections=tuple(sections),
    )


# ---------------------------------------------------------------- first page


def _summary(house: House, calculations: Sequence[Calculation]) -> Iterator[Block]:
    found = [(c, finding) for c in calculations for finding in c.findings]
    counts = [
        f"{verdict} {sum(finding.verdict == verdict for _, finding in found)}"
        for verdict in ("met", "not met", "cannot be judged", "does not apply")
    ]
    absent = sum(len(c.run.missing) + len(c.run.refused) for c in calculations)
    done = sum(len(c.run.works) for c in calculations)
    rest = f" {absent} could not be worked; each topic says why." if absent else ""
    counted = f"Of {len(found)} rules: {', '.join(counts)}. {done} calculations were worked.{rest}"
    rows = tuple(
        ((finding.requirement.text,), (c.topic.title,), (contents.verdict(finding),), (_margin(finding, house.system),))
        for c, finding in found
        if finding.verdict != "does not apply"
    )
    head = ("Rule", "Topic", "Verdict", "Margin, or why it cannot be judged")
    blocks: list[Block] = [Para((counted,))]
    if rows:
        blocks.append(Table("Verdicts, leaving out rules that do not apply", head, rows, (6, 4, 2, 5), "findings"))
    yield Section("Summary of findings", tuple(blocks), "summary")


def _margin(finding: Any, system: System) -> str:
    if finding.verdict == "cannot be judged":
        return str(finding.reason)
    said = finding.margin_text(system).removeprefix("margin ")
    return f"{said}; the verdict changes within them" if finding.holds_over_tolerance is False else said


# ---------------------------------------------------------------- the record


def _stated(house: House) -> Iterator[Block]:
    yield Para(
        (
            "Every fact below stands in the record as written here. What is not stated is not assumed unless a topic says so.",
        )
    )
    for name in type(house).model_fields:
        value = getattr(house, name)
        title = capital(plain(name))
        if isinstance(value, tuple):
            if value:
                yield _entries(title, value)
        elif rows := tuple(((label,), (text,)) for label, text in _facts("", value)):
            yield Table(title, (), rows, (1, 2), "record")


def _entries(title: str, entries: Sequence[RecordSection]) -> Table:
    """A list of the record, one row an entry, with a column for every field that any of them states."""
    facts = [dict(_facts("", entry)) for entry in entries]
    columns = list(dict.fromkeys(label for entry in facts for label in entry))
    rows = tuple(
        ((f"{count}",), *((entry.get(label, ""),) for label in columns)) for count, entry in enumerate(facts, start=1)
    )
    return Table(title, ("", *columns), rows, (1, *(4 for _ in columns)), "record")


def _facts(label: str, value: object) -> Iterator[tuple[str, str]]:
    if isinstance(value, RecordSection):
        for name in type(value).model_fields:
            inner = plain(name)
            yield from _facts(f"{label}, {inner}" if label else inner, getattr(value, name))
    elif isinstance(value, tuple) and any(isinstance(entry, RecordSection) for entry in value):
        for count, entry in enumerate(value, start=1):
            yield from _facts(f"{label} {count}".strip(), entry)
    elif isinstance(value, tuple):
        if value:
            yield label, "; ".join(_written(entry) for entry in value)
    elif value is not None:
        yield label, _written(value)


def _written(value: object) -> str:
    if isinstance(value, Quantity):
        return value.text
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value.isoformat() if isinstance(value, date) else str(value)


# ---------------------------------------------------------------- the job and its topics


def _covered(calculations: Sequence[Calculation]) -> tuple[Block, ...]:
    by_key = {c.topic.key: c for c in calculations}
    rows: list[tuple[Words, ...]] = []
    for part in parts():
        here = [by_key[key] for key in part.topics if key in by_key]
        if here:
            state = "; ".join(f"{c.topic.title}: {_state(c)}" for c in here)
        elif part.topics:
            state = "not part of this report"
        else:
            state = "this report" if part.command == "radonwork report" else "not built yet"
        rows.append(((f"{part.number}. {part.name}",), (part.question,), (state,)))
    head = ("Part of the job", "Question", "In this report")
    return (Table("The eleven parts of the job", head, tuple(rows), (3, 7, 5)),)


def _state(calculation: Calculation) -> str:
    run = calculation.run
    total, done = len(run.sheet.statements), len(run.works)
    if done == total:
        return "worked"
    return (
        f"{done} of {total} calculations worked, the others lack facts" if done else "nothing worked, facts are missing"
    )


def _topic(number: int, calculation: Calculation, pictures: Sequence[Picture | Undrawn]) -> Section:
    topic, run = calculation.topic, calculation.run
    works = [
        replace(block, title=f"{number}.{count} {block.title}")
        for count, block in enumerate((b for b in contents.works(calculation) if isinstance(b, Section)), start=1)
    ]
    taken = [block for block in contents.works(calculation) if not isinstance(block, Section)]
    figures = tuple(
        Figure(picture.title, _own_ids(picture.svg, f"{topic.key}-{count}"), picture.description)
        if isinstance(picture, Picture)
        else Para((picture.description,))
        for count, picture in enumerate(pictures, start=1)
    )
    lacking = contents.missing(calculation)
    blocks: list[Block] = [
        Para((Strong("Question. "), topic.question)),
        Para((Strong("Where it stands in the job. "), topic.stands)),
        Section("Cautions", contents.cautions(topic)),
        Section("Findings", contents.findings(calculation.findings, run.system)),
        Section(
            "Where handbook and physics part, and which governs",
            (Para((topic.says,)), Para((Strong("Which governs. "), topic.governs))),
        ),
    ]
    if figures:
        blocks.append(Section("Drawings", figures))
    for piece in told(topic.key):
        if said := piece.blocks(calculation):
            blocks.append(Section(piece.title, said))
    if works or taken:
        blocks.append(Section("Calculations", (*taken, *works)))
    blocks.append(
        Section("What is missing", lacking or (Para(("Nothing: every calculation of this topic was worked.",)),))
    )
    return Section(f"{number}. {topic.title}", tuple(blocks), topic.key, "topic")


def _own_ids(svg: str, prefix: str) -> str:
    """The names inside a picture made its own, since several pictures share one page."""
    return re.sub(r"""(\bid=["']|\baria-labelledby=["']|url\(#|href=["']#)""", rf"\g<1>{prefix}-", svg)


def _terms(calculation: Calculation) -> Iterator[str]:
    for work in calculation.run.works:
        yield from work.values
    for absent in calculation.run.missing.values():
        yield from absent


# ---------------------------------------------------------------- back matter

_CITED = Para(("Works that the calculations, the rules and the checks of this report name.",))


def _reading(system: System) -> tuple[Block, ...]:
    shown = (
        "US customary units, lengths in inches to the nearest sixteenth with the decimal in brackets beside them"
        if system == "us"
        else "metric units, lengths in millimetres"
    )
    points = (
        f"Units. Everything is worked in SI and shown in {shown}. Facts of the record stand in the unit they were written in.",
        "Equations. Each calculation shows its equation in symbols, then the same equation with the numbers put in, each with "
        "its unit, then the result; turning one unit into another is part of the sum. Temperatures are shown in degrees and "
        "worked from absolute zero.",
        "Tolerances. A value written as a ± b lies between a - b and a + b. Tolerances are carried through every calculation by "
        "points spread over all stated ranges, corners included; the least and largest result are given.",
        "Verdicts. Met and not met compare the value with the limit at the stated value; where the stated tolerances change "
        "the verdict, it says so. Cannot be judged: a fact is missing, or the limit is known only from memory. Does not apply: "
        "the rule is for other houses. Missing is never met.",
        "Margins. A positive margin is the distance inside a limit, a negative one the distance outside.",
        "Sources. Each names the work and the place in it. “Derived” means that the equation follows from the premises named. "
        "Where a work was not read itself, that is said.",
        "Characters. A PDF holds Latin, Greek, Cyrillic, Arabic and Hebrew letters and many signs; any other character of the "
        "record stands in it as its number, such as [U+4E2D]. A browser shows them in the HTML report.",
        f"Made with radonwork {__version__}. The same record gives the same report, byte for byte.",
    )
    return (Items(tuple((_led(point),) for point in points)),)


def _led(text: str) -> Para:
    """A sentence whose first word or words are strong."""
    lead, _, rest = text.partition(". ")
    return Para((Strong(f"{lead}. "), rest))


def _signatures() -> tuple[Block, ...]:
    blank: Words = ("",)
    rows = tuple(((role,), blank, blank, blank) for role in ("Prepared by", "Reviewed by"))
    head = ("", "Name and licence or qualification", "Signature", "Date")
    return (Para((_LIMITS,)), Table("To be filled in by hand", head, rows, (2, 5, 4, 2), "signatures"))
