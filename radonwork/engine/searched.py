"""A statement the other way round where no algebra turns it: its term is tried over all it may be, and each root narrowed.

That is how a solver gives one of its own terms, and a formula one for which it has no closed form. What is found is put
back: a root counts where the statement holds and gives the result that was given. Several roots are named, none chosen.
"""

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import sympy

from radonwork.engine.formula import (
    Formula,
    NotSolvable,
    RangeError,
    TermError,
    Values,
    as_quantities,
    bound,
    check_range,
    span,
)
from radonwork.engine.rearranged import none_gives, not_told
from radonwork.engine.solver import Solver
from radonwork.engine.sources import Source
from radonwork.engine.work import Work
from radonwork.glossary import System, term
from radonwork.units import Quantity

_BEYOND = 100.0  # how many times beyond the glossary's range a term is looked for, as a record may state it
_TRIED = 150  # values tried at even distances, and as many at even ratios, in the glossary's range, and then beyond it
_NEAR = 1e-7  # how near, as a part of what it changes beside it, a root gives back the result: a leap does not
_SAME = 1e-6  # how far apart two roots are one
_HALVINGS = 60  # down to neighbouring doubles


def turned(statement: Formula | Solver, given: Collection[str]) -> Any:
    """The statement, or the other way round where one of its results is given and exactly one other term is not.

    Raises TermError where a result is given and more terms are not.
    """
    known = [name for name in statement.gives if name in given and name not in statement.takes]
    unstated = [name for name in statement.takes if name not in given]
    absent = [name for name in unstated if name not in statement.defaults] or unstated
    if len(known) != 1 or not absent:
        return statement
    if len(absent) > 1:
        raise TermError(
            f"{statement.name} finds one term from {known[0]} and needs all the others; not given: {', '.join(absent)}"
        )
    if isinstance(statement, Formula):
        try:
            return statement.solved_for(absent[0])
        except NotSolvable:
            pass
    return Searched(statement, absent[0], known[0])


@dataclass(frozen=True)
class Searched:
    """`original` worked for its term `result`, given its result `known`; it gives its other results besides."""

    original: Formula | Solver
    result: str
    known: str

    @property
    def name(self) -> str:
        return f"{self.result}_from_{self.original.name}"

    @property
    def title(self) -> str:
        return f"{self.original.title}, searched for the {term(self.result).label}"

    @property
    def gives(self) -> tuple[str, ...]:
        return (self.result, *(name for name in self.original.gives if name != self.known))

    @property
    def takes(self) -> tuple[str, ...]:
        return (self.known, *(name for name in self.original.takes if name != self.result))

    @property
    def source(self) -> Source:
        return self.original.source

    @property
    def equations(self) -> tuple[sympy.Eq, ...]:
        return self.original.equations

    @property
    def assumptions(self) -> tuple[str, ...]:
        return self.original.assumptions

    @property
    def defaults(self) -> Mapping[str, Quantity]:
        return {name: value for name, value in self.original.defaults.items() if name != self.result}

    def __call__(self, **terms: Values) -> dict[str, Values]:
        """Every result by name, in SI. Raises RangeError where no root gives back the result, or more than one does.

        Of arrays the root of the first place is searched for, and those beside it follow from it.
        """
        values = bound(self, terms)
        check_range(self.original, self.known, values[self.known])
        if any(isinstance(value, np.ndarray) for value in values.values()):
            arrays = dict(zip(values, np.broadcast_arrays(*values.values()), strict=True))
            at_first = {name: float(array.flat[0]) for name, array in arrays.items()}
            root: Values = self._roots_beside(arrays, self._one_root(at_first))
        else:
            root = self._one_root({name: float(value) for name, value in values.items()})
        found = self._worked(values, root)
        return {self.result: root} | {name: found[name] for name in self.gives[1:]}

    def work(self, system: System = "us", **given: Quantity | float) -> Work:
        """One evaluation: the statement with the root put in, both sides of it, and the results."""
        quantities = as_quantities(self, given)
        found = self(**{name: quantity.value for name, quantity in quantities.items()})
        return Work(self, system, quantities, {name: float(value) for name, value in found.items()})

    def _worked(self, values: Mapping[str, Values], tried: Values) -> Mapping[str, Values]:
        """The original's results with this value of the term; raises RangeError where it does not hold."""
        terms = {name: values[name] for name in self.takes[1:]}
        found = self.original(**terms, **{self.result: tried})
        return found if isinstance(found, dict) else {self.known: found}

    def _roots_beside(self, values: Mapping[str, np.ndarray], first: float) -> np.ndarray:
        """The roots of arrays that lie beside that of the first place: as far as 1 % of it, and then farther."""
        given = values[self.known]

        def off(tried: np.ndarray) -> np.ndarray:
            return np.asarray(self._worked(values, tried)[self.known]) - given

        for times in (1.01, 1.1, 1.5, 4.0):
            try:
                low, high = np.full(given.shape, first / times), np.full(given.shape, first * times)
                below, above = off(low), off(high)
                if not (below * above < 0).all():
                    continue
                for _ in range(_HALVINGS):
                    middle = (low + high) / 2
                    before = off(middle) * below > 0
                    low, high = np.where(before, middle, low), np.where(before, high, middle)
            except RangeError:
                continue
            if (np.abs(off(low)) <= _NEAR * np.abs(above - below)).all():
                return low
        raise RangeError(f"the {term(self.result).label} is not found over all of these values", self.name)

    def _one_root(self, values: Mapping[str, float]) -> float:
        """The root in the glossary's range, or the one beyond; raises RangeError where there is none, or more than one."""
        given = values[self.known]

        def off(tried: float) -> float:
            try:
                return float(self._worked(values, tried)[self.known]) - given
            except RangeError:
                return math.nan

        near, whole, held = _NEAR * abs(given), term(self.result).dimension == "count", False
        for places in self._places(whole):
            tried = [(place, off(place)) for place in places]
            if not whole:
                tried = list(_with_ends(off, tried))
            held |= any(math.isfinite(miss) for _, miss in tried)
            roots = [place for place, miss in tried if abs(miss) <= 1e-3 * near]
            if not whole:
                roots += [root for left, right in pairwise(tried) for root in _between(off, left, right)]
            if roots:
                return self._told(sorted(roots), off, given)
        if not held:
            self._worked(values, sum(term(self.result).si_range) / 2)  # raises, and says what is wrong with the rest
        raise none_gives(self, given)

    def _places(self, whole: bool) -> Iterator[list[float]]:
        """Values of the term to try, in order: those of the glossary's range, then as far as a record may state it."""
        (low, high), (least, most) = term(self.result).si_range, span(self.original, self.result)
        largest = max(abs(low), abs(high))
        smallest = low if low > 0 else largest * 1e-3
        usual = [*np.geomspace(smallest, largest, _TRIED), *np.linspace(low, high, _TRIED)]
        beyond = [*np.geomspace(smallest / _BEYOND, _BEYOND * largest, _TRIED), 0.0, low, high, least, most]
        if whole:
            usual, beyond = [*np.arange(math.floor(low), high + 1)], [*np.arange(math.ceil(_BEYOND * high))]
        for places in (usual, [*beyond, *(-place for place in beyond)]):
            within = (float(place) for place in places if math.isfinite(place) and least <= place <= most)
            yield sorted({place for place in within if (places is not usual) or low <= place <= high})

    def _told(self, roots: list[float], off: Any, given: float) -> float:
        """The one root of some, in order; raises RangeError where there is more than one."""
        size = 0.1 * max(map(abs, term(self.result).si_range))
        apart = [y for x, y in pairwise([-math.inf, *roots]) if y - x > _SAME * (abs(y) + size)]
        if len(apart) > 1:
            between = abs(off((apart[0] + apart[1]) / 2)) <= _NEAR * abs(given)
            named = [apart[0], apart[-1]] if between else apart[:4]
            raise not_told(self, given, named, f" give it{', and so do values between them' if between else ''}")
        return apart[0]


def _with_ends(off: Any, tried: list[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """What was tried, and the last values at which the statement still holds wherever it ceases to."""
    yield from tried[:1]
    for (left, before), (right, after) in pairwise(tried):
        if math.isnan(before) != math.isnan(after):
            holds, fails = (right, left) if math.isnan(before) else (left, right)
            for _ in range(_HALVINGS):
                middle = (holds + fails) / 2
                holds, fails = (middle, fails) if not math.isnan(off(middle)) else (holds, middle)
            if holds not in (left, right):
                yield holds, off(holds)
        yield right, after


def _between(off: Any, left: tuple[float, float], right: tuple[float, float]) -> Iterator[float]:
    """The root between two values on either side of it, if the result does not leap across it."""
    (low, below), (high, above) = left, right
    if not below * above < 0:  # not a number either
        return
    while low < (middle := (low + high) / 2) < high:
        miss = off(middle)
        if math.isnan(miss):
            return
        low, high = (middle, high) if miss * below > 0 else (low, middle)
    if min(abs(off(low)), abs(off(high))) <= _NEAR * abs(above - below):
        yield low if abs(off(low)) <= abs(off(high)) else high
