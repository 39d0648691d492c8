"""Where things stand in the text of a record: the line of every key, the span of every value.

tomllib says what a record holds but not where. With the place known a fault can name its line, and a save can put one
value in and leave every other character, comment and blank line as its owner wrote it.
"""

import re
import tomllib
from dataclasses import dataclass, field
from typing import NamedTuple

Path = tuple[str | int, ...]

DEEPEST = 8  # brackets within brackets, and parts of a dotted key
LONGEST_WORD = 100  # characters of a key or number

# Strings that never close run to the end of the text, so that no text makes the search start over.
_TOKEN = re.compile(
    r'''(?P<blank>[^\S\n]+|\#[^\n]*)
      | (?P<string>"""(?:\\.|[^\\])*?(?:"""|\Z)"{0,2} | \'\'\'.*?(?:\'\'\'|\Z)'{0,2} | "(?:\\.|[^"\\\n])*+"? | '[^'\n]*+'?)
      | (?P<mark>[\[\]{}=,.\n])
      | (?P<word>[^\s\[\]{}=,."'\#]+)''',
    re.VERBOSE | re.DOTALL,
)


class Token(NamedTuple):
    kind: str
    text: str
    start: int
    end: int


def tokens(text: str) -> list[Token]:
    """Strings, words and marks of TOML, without blanks and comments."""
    return [
        Token(found.lastgroup or "", found[0], found.start(), found.end())
        for found in _TOKEN.finditer(text)
        if found.lastgroup != "blank"
    ]


def too_deep(text: str) -> tuple[int, str] | None:
    """Position and reason of the first thing that no record needs and that costs a TOML parser dear."""
    depth = dots = 0
    for token in tokens(text):
        if token.kind == "mark":
            depth += (token.text in "[{") - (token.text in "]}")
            dots = dots + 1 if token.text == "." else 0
        if depth > DEEPEST:
            return token.start, f"brackets stand more than {DEEPEST} deep"
        if dots >= DEEPEST:
            return token.start, f"a key has more than {DEEPEST} parts"
        if token.kind == "word" and len(token.text) > LONGEST_WORD:
            return token.start, f"a key or number is longer than {LONGEST_WORD} characters; text stands in quotes"
    return None


@dataclass
class Layout:
    """Lines by path; spans of values; ends of the sections that have a heading. Entries of lists count from 0."""

    lines: dict[Path, int] = field(default_factory=dict)
    values: dict[Path, tuple[int, int]] = field(default_factory=dict)
    sections: dict[Path, int] = field(default_factory=dict)

    def line(self, path: Path) -> int | None:
        """The line of `path` or of the nearest thing around it."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path)


def layout(text: str) -> Layout:
    """The layout of `text`, which must be valid TOML."""
    return _Reader(text).layout


class _Reader:
    def __init__(self, text: str) -> None:
        self.text, self.tokens, self.at, self.layout = text, tokens(text), 0, Layout()
        self.line, self.counted = 1, 0
        self.entries: dict[Path, int] = {}  # how many [[…]] of each path so far
        section: Path = ()
        while self.at < len(self.tokens):
            if self.taken("\n"):
                continue
            if self.taken("["):
                listed = self.taken("[")
                section = self.section(self.key(), listed)
                self.lines_of(section, self.line_of(self.tokens[self.at]))
                self.at += 1 + listed
            else:
                self.pair(section)
            self.layout.sections[section] = self.tokens[self.at - 1].end
        self.layout.sections.pop((), None)

    def taken(self, mark: str) -> bool:
        """Step over `mark` if it is next."""
        here = self.tokens[self.at] if self.at < len(self.tokens) else None
        found = here is not None and here.kind == "mark" and here.text == mark
        self.at += found
        return found

    def line_of(self, token: Token) -> int:
        start = token.start
        self.line += self.text.count("\n", self.counted, start)
        self.counted = max(self.counted, start)
        return self.line

    def key(self) -> list[str]:
        parts: list[str] = []
        while True:
            token = self.tokens[self.at]
            parts.append(token.text if token.kind == "word" else tomllib.loads(f"key = {token.text}")["key"])
            self.at += 1
            if not self.taken("."):
                return parts

    def section(self, parts: list[str], listed: bool) -> Path:
        path: Path = ()
        for part in parts[:-1]:
            path = self.newest((*path, part))
        path = (*path, parts[-1])
        if listed:
            self.entries[path] = self.entries.get(path, 0) + 1
        return self.newest(path)

    def newest(self, path: Path) -> Path:
        return (*path, self.entries[path] - 1) if path in self.entries else path

    def pair(self, around: Path) -> None:
        line = self.line_of(self.tokens[self.at])
        parts = self.key()
        self.lines_of((*around, *parts), line)
        self.at += 1  # the equals sign
        self.value((*around, *parts))

    def lines_of(self, path: Path, line: int) -> None:
        """`path`, and whatever around it has no line of its own, begin at `line`."""
        for count in range(1, len(path) + 1):
            self.layout.lines.setdefault(path[:count], line)

    def value(self, path: Path) -> None:
        start = self.tokens[self.at].start
        if self.taken("["):
            count = 0
            while not self.taken("]"):
                if not (self.taken("\n") or self.taken(",")):
                    self.layout.lines[(*path, count)] = self.line_of(self.tokens[self.at])
                    self.value((*path, count))
                    count += 1
        elif self.taken("{"):
            while not self.taken("}"):
                if not (self.taken("\n") or self.taken(",")):
                    self.pair(path)
        else:
            while self.at < len(self.tokens) and (
                self.tokens[self.at].kind != "mark" or self.tokens[self.at].text == "."
            ):
                self.at += 1
        self.layout.values[path] = (start, self.tokens[self.at - 1].end)
