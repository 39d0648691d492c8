"""The whole report of one house, as blocks: what the record states, what was worked, what was found, what is missing."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from radonwork import __version__
from radonwork.drawings.catalogue import Picture, Undrawn
from radonwork.engine.case import cases
from radonwork.engine.sheet import Run
from radonwork.glossary import System
from radonwork.house.calculations import Calculation
from radonwork.house.job import parts
from radonwork.house.record import House
from radonwork.report import contents
from radonwork.report.blocks import Block, Document, Figure, Items, Para, Section, Strong, Table, Words
from radonwork.report.first_page import design, faults, verdicts
from radonwork.report.recorded import stated
from radonwork.report.told import told

Pictures = Mapping[str, Sequence[Picture | Undrawn]]

_LIMITS = (
    "These calculations do not replace codes, permits or licensed trades. The adopted local code governs, and the "
    "authority that has jurisdiction decides what it asks. Structure, wiring, gas and roof work are for the persons "
    "licensed for them, and a test after the work shows whether the radon level came down."
)


def document(house: House, calculations: Sequence[Calculation], pictures: Pictures) -> Document:
    """The report of `house` from its calculations, with the pictures of each topic by its key.

    What is read through stands first; every calculation stands in an appendix, under the number of its topic.
    """
    numbered = list(enumerate(calculations, start=3))
    numbers = {c.topic.key: str(number) for number, c in numbered}
    appended = [(number, c) for number, c in numbered if c.run.works]
    worked = {work.statement.name for c in calculations for work in c.run.works}
    checks = [case for case in cases() if case.of in worked]
    cited = [work.statement.source.key for c in calculations for work in c.run.works]
    cited += [finding.requirement.source.key for c in calculations for finding in c.findings]
    cited += [case.source.key for case in checks]
    used = [name for c in calculations for name in _terms(c)]
    closing: list[tuple[str, str, Iterable[Block]]] = [
        ("The house as its record states it", "house", stated(house)),
        ("What is met", "met", (verdicts(calculations, numbers, ["met"]),)),
        ("Checks against published values", "checks", contents.agreement(checks)),
        ("Works cited", "works", (_CITED, *contents.sources(cited))),
        ("Symbols", "symbols", (contents.glossary(used, house.system),)),
    ]
    sections = [
        Section("1. How to read this report", _reading(house.system), "reading"),
        Section("2. The job and what this report covers", _covered(calculations), "job"),
        *(_topic(number, c, pictures.get(c.topic.key, ())) for number, c in numbered),
        *(
            Section(f"{number}. {title}", tuple(blocks), key)
            for number, (title, key, blocks) in enumerate(closing, start=3 + len(calculations))
        ),
        *(_worked(number, c, first=count == 0) for count, (number, c) in enumerate(appended)),
    ]
    return Document(
        title=f"Radon mitigation calculations: {house.name}",
        subtitle=f"Worked from the record of the house with radonwork {__version__}",
        first_page=(Para((Strong("What this is not. "), _LIMITS), "caution"), design(house, calculations, numbers)),
        faults=faults(calculations, numbers),
        sections=tuple(sections),
    )


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
    if results := (*contents.taken(calculation), *_results(number, run)):
        blocks.append(Section("Results", results))
    blocks.append(
        Section("What is missing", lacking or (Para(("Nothing: every calculation of this topic was worked.",)),))
    )
    return Section(f"{number}. {topic.title}", tuple(map(_said_once, blocks)), topic.key, "topic")


def _said_once(block: Block) -> Block:
    """A section whose tables do not say its heading again."""
    if not isinstance(block, Section):
        return block
    inner = tuple(
        replace(one, caption="") if isinstance(one, Table) and one.caption == block.title else one
        for one in block.blocks
    )
    return replace(block, blocks=inner)


def _results(number: int, run: Run) -> Iterator[Block]:
    """Every result with the place in the appendix where it is worked."""
    rows: list[tuple[Words, ...]] = [
        (contents.named(name), *((text,) for text in contents.result(done, name)), (f"A{number}.{count}",))
        for count, done in enumerate(run.works, start=1)
        for name in done.results
    ]
    if rows:
        yield Table("", ("Result", "Value", contents.BETWEEN, "Worked in"), tuple(rows), (5, 4, 5, 2))


def _worked(number: int, calculation: Calculation, first: bool) -> Section:
    """The calculations of a topic, for the appendix, whose `first` section begins a page."""
    works = (
        replace(block, title=f"A{number}.{count} {block.title}")
        for count, block in enumerate(contents.worked(calculation), start=1)
    )
    key = f"{calculation.topic.key}-worked"
    return Section(f"A{number}. Calculations: {calculation.topic.title}", tuple(works), key, "topic" if first else "")


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
        "points spread over all stated ranges; the least and largest result are given. Where few quantities of a topic have "
        "one, every corner is among the points; where many do, a sentence that takes all of them at their ends at once goes "
        "a little further.",
        "Figures that differ between sections. Some quantities are worked in two ways on purpose: the flow from the soil by "
        "the layer that fits the test holes and by pipe and fan, the mean without the fan by the days before it alone and by "
        "all days with the fan off and on. Each section says what it rests on.",
        "Verdicts. Met and not met compare the value with the limit at the stated value; where the stated tolerances change "
        "the verdict, it says so. Cannot be judged: a fact is missing, or the limit is known only from memory. Does not apply: "
        "the rule is for other houses. Missing is never met.",
        "Margins. A positive margin is the distance inside a limit, a negative one the distance outside.",
        "Calculations. Each topic lists its results; the equations, inputs, sources and assumptions behind them stand in the "
        "appendix, where A5.3 is the third calculation of section 5.",
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
