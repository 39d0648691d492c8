"""What is wrong with a record, in plain lines."""

from collections.abc import Iterable
from dataclasses import dataclass

MOST_FAULTS = 100  # told in one go


@dataclass(frozen=True)
class Fault:
    """One thing wrong in a record. `path` is dotted, entries of a list count from 1: "test[2].concentration"."""

    path: str
    line: int | None
    written: str
    message: str

    def __str__(self) -> str:
        place = f" line {self.line}" if self.line else ""
        return f"{place}: {self.path + ': ' if self.path else ''}{self.message}"


class RecordError(ValueError):
    """A record that cannot be used. `faults` holds every one; the message has one plain line for each."""

    def __init__(self, file: str, faults: Iterable[Fault]) -> None:
        self.file = file if file.isprintable() else repr(file)
        self.faults = tuple(faults)
        super().__init__(file, self.faults)

    @property
    def lines(self) -> tuple[str, ...]:
        return tuple(f"{self.file}{fault}" for fault in self.faults)

    def __str__(self) -> str:
        return "\n".join(self.lines)


def one_of(choices: Iterable[str]) -> str:
    *most, last = choices
    return f"{', '.join(most)} or {last}" if most else last


def as_written(value: object) -> str:
    """What was written, on one short line."""
    if isinstance(value, dict | list | tuple):
        return "a section" if isinstance(value, dict) else "a list"
    if isinstance(value, bool):
        return str(value).lower()
    text = value if isinstance(value, str) else str(value)
    shown = repr(text[:48]) if isinstance(value, str) else text[:48]
    return shown if len(text) <= 48 else f"{shown}…"
