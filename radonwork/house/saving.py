"""Changing a record: the difference first, then a save that is whole or not at all.

One value is put in and every other character of the file stays as its owner wrote it. The changed text is read again
and must say exactly what was meant, and be a right record, before there is anything to save.
"""

import difflib
import hashlib
import json
import os
import re
import tempfile
import time
import tomllib
from collections.abc import Mapping
from contextlib import suppress
from copy import deepcopy
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Any

from radonwork.house import layout
from radonwork.house.record import Fault, House, RecordError, decoded, dotted, parse_house, parse_toml, read_bytes

Value = str | bool | int | float | list[str]

_LEFT_OVER = 60.0  # seconds after which a temporary file is nobody's


def open_record(path: Path | str) -> "Record":
    """The record at `path`, to be changed. Raises RecordError with every fault.

    Clears away temporary files that an interrupted save left beside it.
    """
    file = Path(os.path.realpath(path))  # a save must replace the file, not a link to it
    content = read_bytes(file)
    _sweep(file)
    text = decoded(content, file.name)
    return Record(file, text, _digest(content), parse_house(text, file.name, file.absolute().parent))


@dataclass(frozen=True)
class Record:
    """A record as it was read: its text, and the digest of its bytes by which a later change on disk is known."""

    path: Path
    text: str
    digest: str
    house: House

    def holds(self, term: str) -> bool:
        """Whether a field of this record states, or could state, the quantity `term`."""
        return self.house.field_of(term) is not None

    def change(self, values: Mapping[str, Value]) -> "Change":
        """These values put in, by field ("wall.bay_width", "test[2].concentration") or glossary term ("bay_width").

        Nothing is written. Raises RecordError where a field is not known, a value is wrong, or the file is laid out so
        that it must be edited by hand.
        """
        text = self.text
        meant = tomllib.loads(text)
        for name, value in values.items():
            path = self._path(name)
            try:
                _put(meant, path, value)
            except (LookupError, TypeError, AttributeError):
                raise self.refusal(f"there is no place for {dotted(path)}") from None
            text = _edited(text, path, value)
            if parse_toml(text, self.path.name) != meant:
                raise self.refusal(f"{dotted(path)} cannot be put into the file as it is laid out; edit it by hand")
        house = parse_house(text, self.path.name, self.path.absolute().parent)
        decoded(text.encode(), self.path.name)  # not larger than a record may be
        return Change(self, text, house)

    def _path(self, name: str) -> layout.Path:
        field = name if "." in name else self.house.field_of(name)
        if not field:
            raise self.refusal(f"no field of the record states {name[:60]!r}")
        path: list[str | int] = []
        for part in field.split("."):
            found = re.fullmatch(r"([A-Za-z0-9_]{1,60})(?:\[([1-9][0-9]{0,5})\])?", part)
            if not found:
                raise self.refusal(f"{name[:60]!r} is not the name of a field, such as wall.bay_width")
            path += [found[1]] + ([int(found[2]) - 1] if found[2] else [])
        return tuple(path)

    def refusal(self, message: str) -> RecordError:
        return RecordError(self.path.name, [Fault("", None, "", message)])


@dataclass(frozen=True)
class Change:
    """A change that has not been written yet."""

    record: Record
    text: str
    house: House

    @property
    def difference(self) -> str:
        """What would change, line by line, in the usual unified form; empty where nothing would."""
        name = repr(self.record.path.name)[1:-1]
        before, after = self.record.text.splitlines(), self.text.splitlines()
        return "\n".join(difflib.unified_diff(before, after, name, f"{name}, changed", n=2, lineterm=""))

    def save(self) -> Record:
        """Write the change and return the record as it then is; the record as it was is kept beside it as NAME.toml.bak.

        Raises RecordError, with nothing written, where the file on disk is no longer what was read or cannot be written.
        """
        file, before = self.record.path, read_bytes(self.record.path)
        if _digest(before) != self.record.digest:
            raise self.record.refusal("was changed on disk since it was read; open it again")
        content = self.text.encode()
        try:
            _replace(file.with_name(f"{file.name}.bak"), before, like=file)
            _replace(file, content, like=file)
        except OSError as reason:
            raise self.record.refusal(f"cannot be written: {reason.strerror or 'the disk refuses'}") from None
        return Record(file, self.text, _digest(content), self.house)


# ---------------------------------------------------------------- putting a value into the text


def _put(data: Any, path: layout.Path, value: Value) -> None:
    """What is meant: `value` at `path` of the data, with the section that it needs."""
    for part, after in pairwise(path):
        if isinstance(part, int) and part == len(data):
            data.append({})
        elif isinstance(part, str):
            data.setdefault(part, [] if isinstance(after, int) else {})
        data = data[part]
    data[path[-1]] = deepcopy(value)


def _edited(text: str, path: layout.Path, value: Value) -> str:
    """The text with `value` at `path`: in place, else as the last line of its section, else in a new section at the end."""
    places, written = layout.layout(text), _toml(value)
    section, pair = path[:-1], f"{path[-1]} = {written}"
    newline = "\r\n" if "\r\n" in text else "\n"
    if path in places.values:
        start, end = places.values[path]
        return text[:start] + written + text[end:]
    if section in places.values:  # { … } on one line
        start, end = places.values[section]
        inside = text[start + 1 : end - 1].strip()
        return f"{text[:start]}{{ {inside}{', ' if inside else ''}{pair} }}{text[end:]}"
    if text and not text.endswith("\n"):
        text += newline
    if section in places.sections:
        end = text.index("\n", places.sections[section]) + 1
        return f"{text[:end]}{pair}{newline}{text[end:]}"
    names = ".".join(part for part in section if isinstance(part, str))
    heading = f"[[{names}]]" if isinstance(section[-1], int) else f"[{names}]"
    return f"{text}{newline if text else ''}{heading}{newline}{pair}{newline}"


def _toml(value: Value) -> str:
    if isinstance(value, list):
        return f"[{', '.join(_toml(entry) for entry in value)}]"
    if isinstance(value, bool | int | float):
        return str(value).lower()
    if isinstance(value, date):  # a day, or a day with its time
        return value.isoformat()
    if '"' in value and "'" not in value and value.isprintable():
        return f"'{value}'"  # 7 ft 10" reads better without backslashes
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


# ---------------------------------------------------------------- files


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _replace(file: Path, content: bytes, like: Path) -> None:
    """Put `content` at `file`, whole or not at all, with the permissions of `like`."""
    handle, name = tempfile.mkstemp(prefix=f".{like.name}.", suffix=".tmp", dir=file.parent)
    try:
        with open(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(name, like.stat().st_mode & 0o777)
        os.replace(name, file)
    except BaseException:
        os.unlink(name)
        raise
    if hasattr(os, "O_DIRECTORY"):  # so that the new name survives a power cut too
        folder = os.open(file.parent, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _sweep(file: Path) -> None:
    """Remove temporary files of interrupted saves; a young one may be another program's that is saving now."""
    with os.scandir(file.parent) as entries:
        for entry in entries:
            if entry.name.startswith(f".{file.name}.") and entry.name.endswith(".tmp"):
                with suppress(OSError):
                    if time.time() - entry.stat(follow_symlinks=False).st_mtime > _LEFT_OVER:
                        os.unlink(entry.path)
