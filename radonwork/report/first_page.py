"""What an inspector needs first: the house, the system as designed, the figures that matter, who did and who checked it.

Every figure is looked up where it was worked; `data/job.toml` says which of them stand here.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from radonwork.glossary import System, plain
from radonwork.house.calculations import Calculation
from radonwork.house.job import first_page
from radonwork.house.record import House
from radonwork.report import contents
from radonwork.report.blocks import Block, Para, Section, Table, Words, capital
from radonwork.report.recorded import facts
from radonwork.requirements.rules import Finding, Verdict

VERDICTS: tuple[Verdict, ...] = ("not met", "cannot be judged", "met", "does not apply")
"""In the order in which a reader must know of them."""


def design(house: House, calculations: Sequence[Calculation], numbers: Mapping[str, str]) -> Section:
    """The design on one page; `numbers` are those of the sections of the topics."""
    page: tuple[Block, ...] = (_counted(calculations), _system(house), *_figures(calculations, numbers), _signatures())
    return Section("The design on one page", page, "summary")


def faults(calculations: Sequence[Calculation], numbers: Mapping[str, str]) -> Section:
    """What is not met or cannot be judged."""
    rules = (verdicts(calculations, numbers, VERDICTS[:2]),)
    return Section("What is not met, and what cannot be judged", rules, "open", "topic")


def _counted(calculations: Sequence[Calculation]) -> Para:
    count = Counter(finding.verdict for c in calculations for finding in c.findings)
    absent = sum(len(c.run.missing) + len(c.run.refused) for c in calculations)
    done = sum(len(c.run.works) for c in calculations)
    rest = f" {absent} could not be worked; each topic says why." if absent else ""
    found = ", ".join(f"{verdict} {count[verdict]}" for verdict in VERDICTS)
    return Para((f"Of {count.total()} rules: {found}. {done} calculations were worked.{rest}",))


def _system(house: House) -> Table:
    known = dict(facts("", house))
    rows = []
    for entry in first_page():
        said = [(plain(name.replace(".", " ")), known.get(_label(entry.section, name))) for name in entry.fields]
        there = "; ".join(f"{name} {text}" for name, text in said if text)
        rows.append(((capital(plain(entry.section)),), (there or "not stated",)))
    return Table("House and system as the record states them", (), tuple(rows), (1, 6))


def _label(section: str, name: str) -> str:
    """The name under which the record's facts have a field."""
    return ", ".join(plain(part) for part in (section, *name.split(".")))


def _figures(calculations: Sequence[Calculation], numbers: Mapping[str, str]) -> Iterator[Table]:
    rows: list[tuple[Words, ...]] = []
    for c in calculations:
        for name in c.topic.shows:
            done = next((work for work in c.run.works if name in work.results), None)
            value, between = contents.result(done, name) if done else ("not worked", "")
            judged = _judged(name, c.findings)
            rows.append((contents.named(name), (value,), (between,), (judged,), (numbers[c.topic.key],)))
    if rows:
        head = ("Key figure", "Value", contents.BETWEEN, "Rules about it", "Section")
        yield Table("Key figures as worked", head, tuple(rows), (7, 6, 8, 6, 3))


def _judged(name: str, findings: Sequence[Finding]) -> str:
    """What the rules that judge this quantity find: "1 not met, 2 met"."""
    count = Counter(finding.verdict for finding in findings if name in finding.requirement.quantities)
    return ", ".join(f"{count[verdict]} {verdict}" for verdict in VERDICTS[:3] if count[verdict]) or "none"


def verdicts(calculations: Sequence[Calculation], numbers: Mapping[str, str], wanted: Sequence[Verdict]) -> Block:
    """The rules of these verdicts side by side, with their margins."""
    rows = tuple(
        (
            (finding.requirement.text,),
            (contents.verdict(finding),),
            (_margin(finding, c.run.system),),
            (numbers[c.topic.key],),
        )
        for verdict in wanted
        for c in calculations
        for finding in c.findings
        if finding.verdict == verdict
    )
    if not rows:
        return Para(("There is none.",))
    head = ("Rule", "Verdict", "Margin, or why it cannot be judged", "Section")
    return Table("", head, rows, (16, 4, 11, 3), "findings")


def _margin(finding: Finding, system: System) -> str:
    if finding.verdict == "cannot be judged":
        return finding.reason
    # What is judged by words has no margin: what was found is said instead.
    said = finding.margin_text(system).removeprefix("margin ") or finding.reason
    return f"{said}; the verdict changes within them" if finding.holds_over_tolerance is False else said


def _signatures() -> Table:
    blank: Words = ("",)
    rows = tuple(((role,), blank, blank, blank) for role in ("Prepared by", "Reviewed by"))
    head = ("", "Name and licence or qualification", "Signature", "Date")
    return Table("Prepared and reviewed, to be filled in by hand", head, rows, (2, 5, 4, 2), "signatures")
