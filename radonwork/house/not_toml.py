"""What is wrong with the text of a record that is not TOML at all: the field, what is written there, and what would do.

The parser stops at the first thing that it cannot read and says so in the words of its grammar. Here the line at which it
stopped is looked at as a person would: quotes left out, a date as it is said, a section begun twice.
"""

import re
import tomllib
from collections import Counter

from radonwork.house.faults import Fault

_NAME = r"([A-Za-z0-9_-]++(?:\s*+\.\s*+[A-Za-z0-9_-]++)*+)"  # what matched is never tried again: no line takes long
_FIELD = re.compile(rf"\s*+{_NAME}\s*+(=|:)\s*+(.*+)")
_HEADING = re.compile(rf"\s*+(\[\[?+)\s*+{_NAME}\s*+(\]*+)\s*+(?:#.*+)?")
_MONTH = "(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
_DATE = re.compile(
    rf"\d{{1,4}} ?[./-] ?\d{{1,2}} ?[./-] ?\d{{1,4}}|{_MONTH}[ .,-]+\d[\w ,.-]*|\d+[ .-]+{_MONTH}[ ,.\d-]*",
    re.IGNORECASE,
)
_YES = {"yes": "true", "true": "true", "on": "true", "no": "false", "false": "false", "off": "false"}
_LONGEST = 60


def fault_of(text: str, line: int) -> Fault:
    """What is wrong at the line, counted from 1, at which the parser stopped."""
    lines = text.split("\n")
    here = lines[line - 1] if line <= len(lines) else ""
    if heading := _HEADING.fullmatch(here):
        return Fault(_plain(heading[2]), line, here.strip(), _of_heading(heading, lines, line))
    if field := _FIELD.fullmatch(here):
        key = _plain(field[1])
        section = _sections(lines[:line])[-1]
        path = f"{section}.{key}" if section else key
        return Fault(path, line, field[3].strip(), _of_field(key, field[2], field[3], path, lines, line))
    if not here.strip():
        return Fault("", line, "", "the text ends before the quotes or brackets of a line above are closed; close them")
    return Fault("", line, here.strip(), f"{_clipped(here)} is no line of a record; {_LINES}")


_LINES = 'write a field as name = "value", a section as [house], and # before a remark'


def _of_heading(heading: re.Match[str], lines: list[str], line: int) -> str:
    name = _plain(heading[2])
    if heading[3] != "]" * len(heading[1]):
        close = "]" * len(heading[1])
        return f"{_clipped(heading[0].split('#')[0])} is not closed as it was opened; write {heading[1]}{name}{close}"
    before = [(number, mark) for number, mark, other in _headings(lines[: line - 1]) if other == name]
    if not before:
        return f"the section stands already as a field above; write either the field or {heading[1]}{name}{heading[3]}"
    number, mark = before[-1]
    if mark == heading[1] == "[":
        return f"[{name}] stands twice, first in line {number}; write its fields under one"
    return f"is written {mark}{name}{']' * len(mark)} in line {number}, and here {heading[1]}{name}{heading[3]}; write one way"


def _of_field(key: str, sign: str, rest: str, path: str, lines: list[str], line: int) -> str:
    if sign == ":":
        return f"a colon stands where an equals sign does; write {key} = and the value"
    value = _without_remark(rest)
    if not value:
        return "has no value; write one, or # before the line to leave the field out"
    if _reads(value):
        first = _first(path, lines, line)
        return f"is written twice, first in line {first}; keep one" if first else f"{_clipped(value)} cannot stand here"
    if value.casefold() in _YES:
        return f"{value} is not a yes or no; write {_YES[value.casefold()]}, in small letters and without quotes"
    if _DATE.fullmatch(value):
        return f"{value} is not a date; write one as 2026-01-05, without quotes"
    if value[0] == "=":
        return f"two equals signs stand here; write {key} = and the value"
    if re.fullmatch(r"0[0-9]+", value):
        return f"{_clipped(value)} begins with a zero; write {value.lstrip('0') or '0'}"
    if value[0] in "“”„«‘’":
        return f"{_clipped(value)} stands in printer's quotes; write straight ones, {key} = {_quoted(value.strip('“”„«»‘’'))}"
    if value[0] in "[{":
        end = "]" if value[0] == "[" else "}"
        return f"{_clipped(value)} cannot be read; write quotes around text and quantities, commas between and {end} at the end"
    if value[0] in "\"'":
        inner = value.strip("\"'")
        if value.count(value[0]) % 2 or "\\" in value:
            return f"{_clipped(value)} is not text in quotes; write {key} = {_quoted(inner)}"
        return f"{_clipped(value)} has something beside its quotes; write them around all of it, and # before a remark"
    return f"{_clipped(value)} lacks quotes; write {key} = {_quoted(value)}"


def _reads(value: str) -> bool:
    try:
        return bool(tomllib.loads(f"value = {value}"))
    except ValueError:
        return False


def _quoted(text: str) -> str:
    """The text in quotes that do, on a line that is not too long."""
    text = " ".join(text.replace("\\", "/").split())
    if not text.isprintable() or len(text) > _LONGEST:
        return '"…"'
    mark = next((mark for mark in ('"', "'", "'''") if mark not in text and not text.endswith(mark[0])), "")
    return f"{mark}{text}{mark}" if mark else '"…"'


def _without_remark(rest: str) -> str:
    last = 1 + max(rest.rfind('"'), rest.rfind("'"))
    return (rest[:last] + re.split(r"(?:^|\s)#", rest[last:], maxsplit=1)[0]).strip()


def _clipped(text: str) -> str:
    text = " ".join(text.split())
    shown = text[:_LONGEST] if text.isprintable() else repr(text[:_LONGEST])
    return shown if len(text) <= _LONGEST else f"{shown}…"


def _plain(name: str) -> str:
    return re.sub(r"\s", "", name)[:120]


def _headings(lines: list[str]) -> list[tuple[int, str, str]]:
    """Line, opening bracket or brackets, and name of each heading."""
    found = ((number, _HEADING.fullmatch(line)) for number, line in enumerate(lines, 1))
    return [(number, heading[1], _plain(heading[2])) for number, heading in found if heading]


def _sections(lines: list[str]) -> list[str]:
    """The section in which each line stands, "test[2]" in the second block of several; empty above all sections."""
    headings = {number: (mark, name) for number, mark, name in _headings(lines)}
    section, blocks, found = "", Counter[str](), list[str]()
    for number in range(1, len(lines) + 1):
        if number in headings:
            mark, name = headings[number]
            blocks[name] += 1
            section = name if mark == "[" else f"{name}[{blocks[name]}]"
        found.append(section)
    return found


def _first(path: str, lines: list[str], line: int) -> int | None:
    """The line above in which the same field stands in the same section."""
    section, _, key = path.rpartition(".")
    for number, (other, around) in enumerate(zip(lines[: line - 1], _sections(lines), strict=False), 1):
        field = _FIELD.fullmatch(other) if around == section else None
        if field and _plain(field[1]) == key:
            return number
    return None
