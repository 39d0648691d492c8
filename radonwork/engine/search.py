"""Statements found by the words a person has for them: their own, those of their terms, their module, their source."""

import inspect
import re
import sys
import tomllib
from collections.abc import Mapping, Sequence
from functools import cache
from itertools import pairwise
from math import inf
from typing import Any

from radonwork.files import DATA
from radonwork.glossary import term


def search(statements: Mapping[str, Any], query: str) -> list[str]:
    """Names of the statements that speak of every word of the query, nearest first; all of them for no query.

    Case, hyphens and a plural s make no difference, and a word is found where a longer one begins with it; one of a
    letter or two only whole. What data/other_words.toml says otherwise is looked for in both ways.
    """
    words = _words(query)
    if query.strip() and not words:
        return []
    asked = [words, _said_here(words)]
    found = []
    for name, statement in statements.items():
        fields = _fields(statement)
        far, apart = min((sum(_far(fields, word) for word in words), _apart(fields, words)) for words in asked)
        if far < inf:
            found.append((far, apart, name))
    return [name for *_, name in sorted(found)]


def _fields(statement: Any) -> list[str]:
    """What is said of a statement, in four fields from its name outwards; each holds its words as _text puts them."""
    gives, takes = ([term(name) for name in names] for names in (statement.gives, statement.takes))
    # a unit's single letters, K and m, are in half of all units
    units = [re.sub(r"\b[A-Za-z]\d?\b", " ", f"{one.us} {one.metric} {one.dimension}") for one in (*gives, *takes)]
    return [
        _text(statement.name, statement.title),
        _text(*(f"{one.name} {one.meaning}" for one in gives)),
        _text(*(f"{one.name} {one.meaning}" for one in takes), inspect.getdoc(statement.function) or "", *units),
        _text(sys.modules[statement.function.__module__].__doc__ or "", str(statement.source)),
    ]


def _text(*texts: str) -> str:
    """The words, a blank before each, and behind a line break any two as one, since airflow is an air flow too."""
    words = _words(" ".join(texts))
    return " ".join(["", *words, *(f"\n{one}{two}" for one, two in pairwise(words)), ""])


def _far(fields: Sequence[str], word: str) -> float:
    """In how far a field the word first stands; infinite for none."""
    own, joined = (f" {word}" if len(word) > 2 else f" {word} "), f"\n{word} "
    return next((far for far, field in enumerate(fields) if own in field or joined in field), inf)


def _apart(fields: Sequence[str], words: Sequence[str]) -> bool:
    """Whether name and title have the words otherwise than one after the other."""
    return f" {' '.join(words)} " not in fields[0]


def _words(text: str) -> list[str]:
    words = re.findall(r"[^\W_]+", text.casefold())
    return [word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word for word in words]


def _said_here(words: Sequence[str]) -> list[str]:
    """The words with what is said otherwise here put in its place."""
    said = list(words)
    for theirs, ours in _other_words():
        if set(theirs) <= set(said):
            said = [word for word in said if word not in theirs] + ours
    return said


@cache
def _other_words() -> list[tuple[list[str], list[str]]]:
    table = tomllib.loads((DATA / "other_words.toml").read_text(encoding="utf-8"))
    return [(_words(theirs), _words(ours)) for theirs, ours in table.items()]
