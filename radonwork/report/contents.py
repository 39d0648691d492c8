"""What the engine, the rules and the record say, as blocks of a report. Pure functions; nothing here knows HTML."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from radonwork.engine.case import Case, Compared
from radonwork.engine.formula import Formula, symbol
from radonwork.engine.solver import Solver
from radonwork.engine.sources import Source, references
from radonwork.engine.work import RESULT_DIGITS, Statement, Work
from radonwork.glossary import System, plain, term
from radonwork.house.calculations import Calculation
from radonwork.house.job import Assumed, Topic
from radonwork.house.pipe_sizes import SCHEDULES, nominal_sizes, pipe_size
from radonwork.report.blocks import (
    Block,
    Equations,
    Fold,
    Items,
    Line,
    Maths,
    Para,
    Section,
    Strong,
    Table,
    Words,
    capital,
    words,
)
from radonwork.requirements.rules import Finding, Requirement
from radonwork.units import Quantity, decimal, unit_label

# ---------------------------------------------------------------- one evaluation


def work(done: Work, assumed: Collection[str] = ()) -> Section:
    """One evaluation: equation, numbers put in, result, what went in, what stands behind it.

    `assumed` names the terms whose value was taken because the record states none.
    """
    return Section(done.statement.title, tuple(_work(done, assumed)), look="work")


def _work(done: Work, assumed: Collection[str]) -> Iterator[Block]:
    if lines := tuple(_lines(done)):
        yield Equations(lines)
    for name in done.results:
        yield Para(
            words(f"{capital(term(name).label)} ", Maths(symbol(name)), " is ", Strong(done.shown(name)), "."),
            "result",
        )
    if done.note:
        yield Para((done.note,), "note")
    if done.given:
        rows = tuple(_given(done, name, name in assumed) for name in done.given)
        yield Fold("Values put in", (Table("", (), rows, (2, 4, 7, 4)),))
    basis = [_assumption(text) for text in done.statement.assumptions]
    basis += [f"Holds {text}." for text in _holds(done)]
    basis.append(f"Source: {done.statement.source}.")
    yield Para((" ".join(basis),), "basis")


def _lines(done: Work) -> Iterator[Line]:
    """Each equation in symbols and with its numbers; where it stands alone for the one result, the result goes on from it."""
    numbers = done.numbers()
    equations = done.statement.equations
    for equation in equations:
        left, right = equation.lhs, equation.rhs
        alone = left.is_Symbol and left.name in done.results
        yield Line(Maths(left), Maths(right))
        if right.free_symbols:
            yield Line(None if alone else Maths(left, numbers), Maths(right, numbers))
    if len(done.results) == 1:
        ((name, value),) = done.results.items()
        goes_on = [equation.lhs for equation in equations] == [symbol(name)]
        result = Maths(quantity=decimal(value, term(name).unit(done.system), RESULT_DIGITS))
        yield Line(None if goes_on else Maths(symbol(name)), result)


def _given(done: Work, name: str, assumed: bool) -> tuple[Words, ...]:
    quantity, entry = done.given[name], term(name)
    if quantity == _constants(done.statement).get(name):
        origin = f"constant, {quantity.text}"
    elif not quantity.text:
        origin = "worked out before"
    else:
        origin = f"{'assumed' if assumed else 'stated'} as {quantity.text}"
    return (Maths(symbol(name)),), (done.shown(name),), (entry.meaning,), (origin,)


BETWEEN = "Least to most over the stated tolerances"
"""The heading over the second of what `result` gives."""


def result(done: Work, name: str) -> tuple[str, str]:
    """One result, and between which values the stated tolerances move it."""
    return term(name).written(done.results[name], done.system), done.between(name)


def named(name: str) -> Words:
    """A quantity by its name and its symbol."""
    return (f"{capital(term(name).label)} ", Maths(symbol(name)))


def _constants(statement: Statement) -> Mapping[str, Quantity]:
    return statement.defaults if isinstance(statement, Formula | Solver) else {}


def _assumption(text: str) -> str:
    """What is assumed as a sentence: "Assumes stones of one size.", or that the sentence it is already is assumed."""
    text = text.rstrip(".")
    return f"Assumed: {text[:1].lower()}{text[1:]}." if text[:1].isupper() else f"Assumes {text}."


def _holds(done: Work) -> Iterator[str]:
    """The range in which the statement holds, in the person's units."""
    if not isinstance(done.statement, Formula | Solver):
        return
    for name, (low, high) in done.statement.ranges.items():
        entry = term(name)
        unit = entry.unit(done.system)
        yield f"for {entry.label} from {decimal(low, unit)} to {decimal(high, unit)}"
    for condition in done.statement.conditions:
        yield f"if {condition.text}"


# ---------------------------------------------------------------- one topic of one house


def works(calculation: Calculation) -> tuple[Block, ...]:
    """Every evaluation of a topic, in the order worked; what was assumed stands before them."""
    return (*taken(calculation), *worked(calculation))


def worked(calculation: Calculation) -> tuple[Section, ...]:
    """Every evaluation of a topic, in the order worked."""
    names = [entry.term for entry in calculation.assumed]
    return tuple(work(done, names) for done in calculation.run.works)


def taken(calculation: Calculation) -> tuple[Block, ...]:
    """What a topic took without the record stating it: which flow of air, and the values assumed."""
    blocks: list[Block] = [Para((calculation.flow,))] if calculation.flow else []
    if calculation.assumed:
        rows = tuple(
            (
                (Maths(symbol(entry.term)), f" {term(entry.term).meaning}"),
                (_taken(entry, calculation.run.system),),
                (entry.because,),
            )
            for entry in calculation.assumed
        )
        head = ("Quantity", "Value taken", "Because")
        blocks.append(Table("Taken where the record states nothing", head, rows, (4, 2, 6)))
    return tuple(blocks)


def _taken(entry: Assumed, system: System) -> str:
    """The value as it is written, and in the units of the house where those are others."""
    quantity = term(entry.term).read(entry.value)
    there = decimal(quantity.value, term(entry.term).unit(system))
    same = quantity.tolerance or not quantity.unit or unit_label(quantity.unit) in there
    return entry.value if same else f"{entry.value} ({there})"


def cautions(topic: Topic) -> tuple[Block, ...]:
    """What can hurt somebody."""
    return (Items(tuple((Para((Strong("Caution. "), text)),) for text in topic.cautions), look="caution"),)


def missing(calculation: Calculation) -> tuple[Block, ...]:
    """What could not be worked, with the field of the record that would supply what it lacks; empty where nothing is."""
    run = calculation.run
    titles = {statement.name: statement.title for statement in run.sheet.statements}
    rows: list[tuple[Words, ...]] = []
    for name, absent in run.missing.items():
        rows.append(((titles[name],), _lacks(absent), (_fields(absent, calculation),)))
    rows += [
        ((titles[name],), (reason,), ("a value within the range it holds for",)) for name, reason in run.refused.items()
    ]
    if not rows:
        return ()
    head = ("Not worked", "Because", "What would supply it")
    return (Table("What is missing", head, tuple(rows), (4, 5, 5)),)


def _lacks(absent: Sequence[str]) -> Words:
    parts: list[str | Maths] = []
    for name in absent:
        parts += ["; " if parts else "", Maths(symbol(name)), f" {term(name).label} is not known"]
    return words(*parts)


def _fields(absent: Sequence[str], calculation: Calculation) -> str:
    fields = [f"{calculation.missing[name]} in the record" for name in absent if name in calculation.missing]
    return "; ".join(fields) or "a result above that is itself missing"


# ---------------------------------------------------------------- findings


def findings(found: Iterable[Finding], system: System) -> tuple[Block, ...]:
    """What the facts say of each rule: the verdict in words, the margin, what the tolerances do, the source."""
    rows = tuple(((f.requirement.text,), (verdict(f),), (_said(f, system),), (_behind(f),)) for f in found)
    if not rows:
        return (Para(("No rule is stated for this yet.",)),)
    return (
        Table("Findings", ("Rule", "Verdict", "What was found", "Source and notes"), rows, (5, 2, 5, 6), "findings"),
    )


def rules(stated: Iterable[Requirement], system: System) -> tuple[Block, ...]:
    """Rules side by side, whatever house they are for: what each asks, when, and where it stands."""
    rows = tuple(
        (
            (rule.text,),
            (rule.asks(system),),
            ("; ".join(condition.text(system) for condition in rule.when) or "always",),
            (f"{capital(str(rule.source))}." + (f" Note: {rule.note}" if rule.note else ""),),
        )
        for rule in stated
    )
    return (Table("Rules side by side", ("Rule", "Asks for", "Applies with", "Source"), rows, (5, 4, 3, 5)),)


def pipe_sizes(system: System) -> tuple[Block, ...]:
    """Pipe sizes as they are called and as they are: what a class takes for the bore, and what the standard allows."""
    unit = term("bore").unit(system)
    rows = []
    for schedule in SCHEDULES:
        for nominal in nominal_sizes():
            least, mean = (pipe_size(nominal, schedule, wall) for wall in ("least", "mean"))
            lengths = (least.outside_diameter, least.wall_thickness, least.bore, mean.bore)
            share = decimal((least.bore / least.nominal_diameter) ** 2, "%", 4)
            rows.append(((f"{nominal} in, Schedule {schedule}",), *((decimal(n, unit, 4),) for n in lengths), (share,)))
    head = (
        "Called",
        "Outside",
        "Least wall",
        "Bore, least wall",
        "Bore, mean wall",
        "Area over that of the nominal size",
    )
    caption = f"Pipe sizes, nominal and actual. {Source('astm-d1785', 'dimension tables')}"
    return (Table(caption, head, tuple(rows), (4, 3, 3, 3, 3, 4)),)


def verdict(finding: Finding) -> Strong:
    """The verdict in its own words."""
    return Strong(finding.verdict, finding.verdict.replace(" ", "-"))


def _said(finding: Finding, system: System) -> str:
    said = capital(finding.reason) + "."
    margin = finding.margin_text(system)
    if margin:
        said += f" {capital(margin)}."
    if finding.holds_over_tolerance:
        said += " The verdict stays the same to the edges of the stated tolerances."
    return said


def _behind(finding: Finding) -> str:
    rule = finding.requirement
    said = f"{capital(str(rule.source))}."
    if rule.advice and finding.verdict != "does not apply":
        said += f" Advice: {rule.advice}"
    return said + (f" Note: {rule.note}" if rule.note else "")


# ---------------------------------------------------------------- published values


def cases(shown_cases: Iterable[Case]) -> tuple[Block, ...]:
    """Published values beside ours."""
    rows = tuple(_compared(case, one) for case in shown_cases for one in case.compare())
    if not rows:
        return (Para(("No published value is at hand for this.",)),)
    head = ("Case", "Published", "Ours", "Agrees within", "Source")
    return (Table("Published values beside ours", head, rows, (5, 3, 3, 4, 5), "cases"),)


def agreement(shown_cases: Iterable[Case]) -> tuple[Block, ...]:
    """How many published values agree with ours, and a table of those that do not."""
    compared = [(case, one) for case in shown_cases for one in case.compare()]
    deciding = [(case, one) for case, one in compared if case.decides]
    differ = {case.name: case for case, one in deciding if not one.agrees}
    agree = sum(one.agrees for _, one in deciding)
    said = (
        f"{agree} of {len(deciding)} values that others have printed or computed for what is worked here agree with ours, "
        "within half the last digit printed or within a wider tolerance for which a reason is given. "
    )
    if remembered := len(compared) - len(deciding):
        said += f"{remembered} more are known only from memory; they decide nothing. "
    said += "The workbooks show each value beside its source."
    return (Para((said,)), *(cases(differ.values()) if differ else ()))


def _compared(case: Case, one: Compared) -> tuple[Words, ...]:
    entry = term(one.term)
    given = ", ".join(f"{term(name).label} {text}" for name, text in case.given.items())
    verdict = "agrees" if one.agrees else "does not agree"
    within = _tolerance(one)
    because = case.because if one.term in case.within else "half the last digit printed"
    decides = "" if case.decides else " Shown beside ours only: a value from memory never decides."
    source = f"{capital(str(case.source))}." + (f" {case.note}" if case.note else "")
    return (
        (f"{capital(plain(case.name.replace('-', '_')))}: {entry.label} ", Maths(symbol(one.term)), f", given {given}"),
        (one.published.text,),
        (one.ours_shown,),
        (Strong(capital(verdict)), f" within {within} ({because}).{decides}"),
        (source,),
    )


def _tolerance(one: Compared) -> str:
    unit = one.published.unit
    if term(one.term).dimension == "temperature" and unit != "K":
        unit = f"delta_{unit}"
    return decimal(one.tolerance, unit, 3)


# ---------------------------------------------------------------- works cited


def sources(keys: Iterable[str]) -> tuple[Block, ...]:
    """The works cited, in the order of their authors, with how each was read."""
    entries = sorted({key: Source(key) for key in keys if key}.values(), key=lambda source: source.work.lower())
    return (Items(tuple((Para(words(*_cited(source))),) for source in entries), look="works"),)


def _cited(source: Source) -> Iterator[str]:
    entry = references()[source.key]
    yield source.work + "."
    if url := entry.get("url"):
        yield f" {url}."
    if how := source.how_read:
        yield f" {capital(how)}."
    if details := entry.get("details"):
        yield f" Details of the citation: {details}."


def glossary(names: Iterable[str], system: System) -> Table:
    """The symbols used, with their meaning and unit."""
    entries = sorted((term(name) for name in set(names)), key=lambda entry: (entry.symbol.lower(), entry.name))
    rows = tuple(
        (
            (Maths(symbol(entry.name)),),
            (entry.label,),
            (entry.meaning,),
            (unit_label(entry.unit(system)) or "plain number",),
        )
        for entry in entries
    )
    return Table("Symbols", ("Symbol", "Name", "Meaning", "Unit"), rows, (2, 4, 8, 2))


__all__ = [
    "agreement",
    "cases",
    "cautions",
    "findings",
    "glossary",
    "missing",
    "named",
    "result",
    "sources",
    "taken",
    "work",
    "worked",
    "works",
]
