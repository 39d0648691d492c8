"""The `radonwork` command: open the workbooks, check a house, write its report, work one formula.

Everything slow is imported by the command that needs it. What a person can get wrong ends in one line on standard
error and exit code 2.
"""

import argparse
import gc
import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

from radonwork import __version__


class CommandError(Exception):
    """What cannot be done, in one plain line."""


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        raise CommandError(f"{message}; see {self.prog} --help")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code."""
    # The systems of equations solved here are small: more threads for one only get in each other's way.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        parser = _parser()
        chosen, more = parser.parse_known_args(arguments)
        if more and (not hasattr(chosen, "terms") or any(text.startswith("-") for text in more)):
            parser.error(f"unrecognized arguments: {' '.join(more)}")
        if more:  # terms that stand after an option
            chosen.terms += more
        return int(chosen.run(chosen))
    except CommandError as reason:
        print(f"radonwork: {reason}", file=sys.stderr)
        return 2
    except BrokenPipeError:  # the reader of a pipe went away
        sys.stderr.close()
        return 0


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="radonwork", description="One house, from its first radon test to a proven fix.")
    parser.add_argument("--version", action="version", version=f"radonwork {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)

    def command(name: str, run: Any, says: str) -> argparse.ArgumentParser:
        made = commands.add_parser(name, help=says, description=says)
        made.set_defaults(run=run)
        return made

    opens = command("open", _open, "Open the workbooks in JupyterLab, in a folder of your own.")
    opens.add_argument("folder", metavar="FOLDER", type=_named, nargs="?", default=".", help="here if none is named")
    opens.add_argument("--no-browser", action="store_true", help="start the server and print its address only")
    new = command("new", _new, "Put the workbooks, an example record and one to begin with into a folder.")
    new.add_argument("folder", metavar="FOLDER", type=_named)
    report = command("report", _report, "Write the calculations of a house as one HTML or PDF file.")
    report.add_argument("house", metavar="HOUSE.toml")
    report.add_argument("-o", "--output", metavar="FILE", required=True, help="ends in .html or .pdf")
    report.add_argument(
        "--part", metavar="N", type=int, choices=range(1, 11), action="append", default=[],
        help="only this part of the job, 1 to 10; may be said several times",
    )  # fmt: skip
    cut = command("templates", _templates, "Draw what is to be cut and marked at true size, as PDF and SVG.")
    cut.add_argument("house", metavar="HOUSE.toml")
    cut.add_argument("-o", "--output", metavar="FOLDER", type=_named, required=True, help="made if it is not there")
    cut.add_argument("--paper", choices=("letter", "a4"), help="letter for a house in US units, a4 else, if not said")
    cut.add_argument("--dxf", action="store_true", help="a DXF of each template besides")
    check = command("check", _check, "Say what the rules find: exit 0 if all are met or do not apply, otherwise 1.")
    check.add_argument("house", metavar="HOUSE.toml")
    check.add_argument("--json", action="store_true", help="the findings as JSON")
    fields = command("fields", _fields, "List every field of a house record with what it takes.")
    fields.add_argument("section", metavar="SECTION", nargs="?", default="", help="only those of it, such as test")
    listed = command("list", _list, "List formulas and solvers with their terms.")
    listed.add_argument("words", metavar="WORD", nargs="*", help="only those that speak of every word, nearest first")
    work = command(
        "work", _work, "Work one formula or solver and show the working; a result given finds the term left out."
    )
    work.add_argument("name", metavar="NAME", help="a name that `radonwork list` shows")
    work.add_argument("terms", metavar='term="value unit"', nargs="*")
    work.add_argument("--units", choices=("us", "metric"), default="us", help="the units to show; us if not said")
    work.add_argument("--json", action="store_true", help="given and results as JSON")
    return parser


def _named(folder: str) -> str:
    """A folder that has a name: nothing would be the folder of now, which nobody may have meant."""
    if not folder.strip():
        raise argparse.ArgumentTypeError('an empty name is none; the folder you are in is "."')
    return folder


def _open(chosen: argparse.Namespace) -> int:
    from radonwork.workbook.launch import FolderError, open_workbooks

    try:
        open_workbooks(Path(chosen.folder), browser=not chosen.no_browser)
    except FolderError as reason:
        raise CommandError(str(reason)) from None
    return 0


def _new(chosen: argparse.Namespace) -> int:
    from radonwork.workbook.launch import FolderError, new_folder

    try:
        new_folder(Path(chosen.folder))
    except FolderError as reason:
        raise CommandError(str(reason)) from None
    return 0


def _house(path: str) -> Any:
    from radonwork.house.record import RecordError, read_house

    try:
        return read_house(Path(path))
    except RecordError as reason:
        raise CommandError("\n".join(reason.lines)) from None


def _report(chosen: argparse.Namespace) -> int:
    gc.disable()  # nearly all that is made lasts until the report is written: looking for garbage finds none
    try:
        house = _house(chosen.house)
        from radonwork.report.writing import ReportError, write_report

        try:
            write_report(house, Path(chosen.output), chosen.part)
        except ReportError as reason:
            raise CommandError(str(reason)) from None
    finally:
        gc.enable()
    print(f"Wrote {chosen.output}")
    return 0


def _templates(chosen: argparse.Namespace) -> int:
    house = _house(chosen.house)
    from radonwork.report.template_files import write_templates
    from radonwork.report.template_pages import MEASURE
    from radonwork.report.writing import ReportError

    try:
        pages, absent = write_templates(house, Path(chosen.output), chosen.paper, chosen.dxf)
    except ReportError as reason:
        raise CommandError(str(reason)) from None
    for title in dict.fromkeys(page.template.title for page in pages):
        count = sum(page.template.title == title for page in pages)
        print(f"{title}: {count} sheet{'s' * (count > 1)}")
    for one in absent:
        print(f"not made: {one.title}; missing: {', '.join(one.fields)}")
    print(f"Wrote {len(pages)} sheets to {chosen.output}. {MEASURE}")
    return 0


def _check(chosen: argparse.Namespace) -> int:
    house = _house(chosen.house)
    from radonwork.house.calculations import calculations

    worked = calculations(house)
    findings = [(c.topic, finding) for c in worked for finding in c.findings]
    if chosen.json:
        print(json.dumps([_finding_json(topic.key, finding) for topic, finding in findings], indent=1))
    else:
        from radonwork.report.checked import lines

        for line in lines(house, worked):
            print(line)
    passed = all(finding.verdict in ("met", "does not apply") for _, finding in findings)
    return 0 if passed else 1


def _fields(chosen: argparse.Namespace) -> int:
    from radonwork.house.field_list import field_lines
    from radonwork.house.record import House

    found = field_lines(chosen.section)
    if not found:
        raise CommandError(
            f"a record has no section {chosen.section[:60]!r}; there are {', '.join(House.model_fields)}"
        )
    for line in found:
        print(line)
    return 0


def _finding_json(topic: str, finding: Any) -> dict[str, Any]:
    from radonwork.glossary import term
    from radonwork.requirements.rules import Comparison

    rule = finding.requirement
    unit = _si_unit(term(rule.check.quantity).dimension) if isinstance(rule.check, Comparison) else ""
    numbers = {key: getattr(finding, key) for key in ("value", "limit", "margin", "low", "high")}
    return {
        "topic": topic,
        "requirement": rule.name,
        "text": rule.text,
        "verdict": finding.verdict,
        "reason": finding.reason,
        "quantity": rule.check.quantity,
        "unit": unit,
        **numbers,
        "source": str(rule.source),
    }


def _si_unit(dimension: str) -> str:
    """The unit in which a quantity of this kind is an SI number; none for a slope, a plain ratio of lengths."""
    from radonwork.units import DIMENSIONS

    names = (name for name, unit in DIMENSIONS[dimension].units.items() if unit.factor == 1 and unit.zero == 0)
    return next(names, "")


def _statements() -> dict[str, Any]:
    import pkgutil

    from radonwork import formulas, solvers
    from radonwork.engine.formula import FORMULAS
    from radonwork.engine.solver import SOLVERS

    for package in (formulas, solvers):
        for module in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
            __import__(module.name)
    return {**FORMULAS, **SOLVERS}


def _list(chosen: argparse.Namespace) -> int:
    from radonwork.engine.search import search

    statements, words = _statements(), " ".join(chosen.words)
    found = search(statements, words)
    if not found:
        raise CommandError(f"no formula or solver speaks of {words[:60]!r}; `radonwork list` shows them all")
    for name in found:
        statement = statements[name]
        print(f"{name}: {statement.title}")
        print(f"    gives {', '.join(statement.gives)}; takes {', '.join(statement.takes)}")
    return 0


def _work(chosen: argparse.Namespace) -> int:
    import difflib

    from radonwork.engine.formula import RangeError, TermError
    from radonwork.engine.searched import turned
    from radonwork.glossary import UnknownTerm, term
    from radonwork.units import QuantityError, to_unit

    statements = _statements()
    statement = statements.get(chosen.name)
    if statement is None:
        near = difflib.get_close_matches(chosen.name, statements, n=1, cutoff=0.4)
        hint = f"; nearest: {near[0]}" if near else "; `radonwork list` shows them all"
        raise CommandError(f"no formula or solver is called {chosen.name[:60]!r}{hint}")
    given = {}
    for text in chosen.terms:
        name, equals, value = text.partition("=")
        if not equals:
            raise CommandError(f'{text[:60]!r} is no term; write term="value unit", such as bore="3 in"')
        if name in given:
            raise CommandError(f"{name[:60]} is given twice")
        try:
            given[name] = term(name).read(value)
        except UnknownTerm as reason:
            raise CommandError(str(reason)) from None
        except QuantityError as reason:
            raise CommandError(f"{name}: {reason}") from None
    try:
        asked = turned(statement, given)
        work = asked.work(chosen.units, **given)
    except RangeError as reason:
        raise CommandError(reason.told(chosen.units)) from None
    except TermError as reason:
        raise CommandError(str(reason)) from None
    if any(quantity.tolerance for quantity in given.values()):
        from radonwork.engine.sheet import Sheet

        (work,) = Sheet(asked.name, asked.title, (asked,)).run(given, chosen.units).works
    if not chosen.json:
        print(work.text())
        for name in work.spread:
            if between := work.between(name):
                print(f"  {term(name).label}: {between} over the stated tolerances")
        if work.note:
            print(f"  {work.note}")
        return 0

    units = {name: given[name].unit if name in given else term(name).unit(chosen.units) for name in work.values}

    def reading(name: str, value: float) -> float:
        return float(
            f"{to_unit(value, units[name]):.14g}"
        )  # what converting it to SI and back leaves is no digit of it

    inputs: dict[str, dict[str, Any]] = {}
    results: dict[str, dict[str, Any]] = {}
    for name, quantity in work.given.items():
        inputs[name] = {"value": reading(name, quantity.value), "unit": units[name]}
        if quantity.tolerance:
            wide = to_unit(quantity.value + quantity.tolerance, units[name])
            inputs[name]["tolerance"] = float(f"{wide - to_unit(quantity.value, units[name]):.12g}")
    for name, value in work.results.items():
        results[name] = {"value": reading(name, value), "unit": units[name]}
        if name in work.spread:
            results[name]["low"], results[name]["high"] = (reading(name, end) for end in work.spread[name])
    note = {"note": work.note} if work.note else {}
    print(json.dumps({"name": chosen.name, "given": inputs, "results": results, **note}, indent=1))
    return 0


if __name__ == "__main__":
    sys.exit(main())
