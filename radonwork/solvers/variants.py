"""Many variants of one thing at once: figures that are arrays, deep inside tuples, dicts and dataclasses."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar, cast

import numpy as np

from radonwork.solvers.fan_curve import FanCurve

T = TypeVar("T")


def lengths(thing: Any) -> Iterator[int]:
    """The length of every array in anything made of numbers, arrays, tuples, dicts and dataclasses."""
    if isinstance(thing, float | int | str):  # most of what there is
        return
    if isinstance(thing, np.ndarray) and thing.ndim:
        yield len(thing)
    elif isinstance(thing, tuple):
        for part in thing:
            yield from lengths(part)
    elif isinstance(thing, dict):
        yield from lengths(tuple(thing.values()))
    elif is_dataclass(thing) and not isinstance(thing, type | FanCurve):
        yield from lengths(tuple(getattr(thing, field.name) for field in fields(thing)))


def rows(thing: T, index: Any) -> T:
    """The variants chosen by `index` of anything made of numbers, arrays, tuples and dataclasses."""
    if isinstance(thing, np.ndarray):
        return cast(T, thing[index] if thing.ndim else thing)
    if isinstance(thing, list):
        return cast(T, [rows(part, index) for part in thing])
    if isinstance(thing, tuple):
        parts = [rows(part, index) for part in thing]
        return cast(T, type(thing)(*parts) if hasattr(thing, "_fields") else tuple(parts))
    if isinstance(thing, dict):
        return cast(T, {name: rows(part, index) for name, part in thing.items()})
    if is_dataclass(thing) and not isinstance(thing, type | FanCurve):
        return cast(T, replace(thing, **{f.name: rows(getattr(thing, f.name), index) for f in fields(thing) if f.init}))
    return thing
