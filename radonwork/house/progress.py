"""How far one house has come with each of the eleven parts of the job."""

from dataclasses import dataclass

from radonwork.house.calculations import Calculation
from radonwork.house.job import Part, parts

_NAMED = 3  # of the fields that are missing; the list of all is for what tells of each


@dataclass(frozen=True)
class Progress:
    """One part: `state` in a word or two, `detail` in a sentence."""

    part: Part
    state: str
    detail: str
    workbooks: tuple[str, ...] = ()


def progress(calculations: tuple[Calculation, ...]) -> tuple[Progress, ...]:
    """The eleven parts in order, as the calculations of a house leave them."""
    by_topic = {calculation.topic.key: calculation for calculation in calculations}
    return tuple(_one(part, [by_topic[key] for key in part.topics if key in by_topic]) for part in parts())


def _one(part: Part, worked: list[Calculation]) -> Progress:
    if part.command:
        return Progress(part, "ready", f"{part.command} writes it from the record.")
    if not worked:
        return Progress(part, "not built yet", "No workbook of this project covers it so far.")
    books = tuple(dict.fromkeys(calculation.topic.workbook for calculation in worked))
    findings = [finding for calculation in worked for finding in calculation.findings]
    count = {verdict: sum(f.verdict == verdict for f in findings) for verdict in ("met", "not met", "cannot be judged")}
    lacking = list(dict.fromkeys(field for calculation in worked for field in calculation.missing.values()))
    said = f"{count['met']} met, {count['not met']} not met, {count['cannot be judged']} cannot be judged"
    if lacking:
        more = f" and {len(lacking) - _NAMED} fields more" if len(lacking) > _NAMED + 1 else ""
        named = lacking[:_NAMED] if more else lacking
        return Progress(part, "missing", f"{said}. The record lacks {', '.join(named)}{more}.", books)
    state = "to be mended" if count["not met"] else "open" if count["cannot be judged"] else "done"
    return Progress(part, state, f"{said}.", books)
