"""The site: what is handed over to whom, and what is still to be answered before work begins."""

import tomllib
from functools import cache

from radonwork.files import DATA
from radonwork.house.calculations import Calculation
from radonwork.report.blocks import Block, Items, Para, Table, capital
from radonwork.report.told import Told
from radonwork.requirements.rules import Finding, Stated


@cache
def _handed_over() -> tuple[dict[str, str], ...]:
    return tuple(tomllib.loads((DATA / "site.toml").read_text(encoding="utf-8"))["handed_over"])


def handed_over(_calculation: Calculation) -> tuple[Block, ...]:
    """What a homeowner hands to somebody licensed or trained for it."""
    rows = tuple(((row["what"],), (row["to"],), (row["why"],)) for row in _handed_over())
    return (Table("What to hand over, and to whom", ("Work", "To", "Why"), rows, (5, 4, 5)),)


def before_work(calculation: Calculation) -> tuple[Block, ...]:
    """Every question of the site that is answered wrong or not at all, with what to do; empty where none is."""
    words = calculation.house.words() if calculation.house else {}

    def settled(finding: Finding) -> bool:
        # A rule known only from memory never decides; it is no open question where the record answers it as asked.
        check = finding.requirement.check
        answered = isinstance(check, Stated) and check.holds(words.get(check.fact))
        return finding.verdict in ("met", "does not apply") or answered

    asked = [finding for finding in calculation.findings if not settled(finding)]
    if not asked:
        return (Para(("Every question of the site that this record must answer is answered as asked.",)),)
    items = tuple(
        (Para((f"{f.requirement.text} {capital(f.reason)}. {f.requirement.advice}".strip(),)),) for f in asked
    )
    return (Para(("Before work begins, settle these:",)), Items(items))


TOLD = (
    Told("handed over", "What to hand over", handed_over),
    Told("before work", "Before work begins", before_work),
)
