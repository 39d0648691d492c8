"""A formula the other way round: the roots that algebra finds, tried on the values that are given.

Algebra alone does not tell which root is meant, nor on which side of a Min or a Max it lies. So every root is put back
into the formula it came from, and those count that give back what was given.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np

from radonwork.engine.formula import (
    ROUNDING,
    Formula,
    NotSolvable,
    RangeError,
    Values,
    as_quantities,
    bound,
    check_range,
    sampled,
    slack,
    span,
    symbol,
)
from radonwork.engine.rearranging import roots
from radonwork.engine.work import Work
from radonwork.glossary import System, term
from radonwork.units import Quantity, decimal

_NEAR = 1e-7  # how near a root gives back the result, beside what makes it: roots too lose digits where parts cancel
_SAME = 1e-6  # how far apart two roots are one: where they meet, rounding parts them by the square root of itself


@dataclass(frozen=True)
class Rearranged(Formula):
    """`original` rearranged to give one of its terms; a form for each root, and `expression` that of the first.

    Raises RangeError besides where no root gives back the result that is given, and where that does not tell the term.
    """

    original: Formula = field(kw_only=True)
    forms: tuple[Formula, ...] = field(kw_only=True)

    def __call__(self, **terms: Values) -> Values:
        with np.errstate(all="ignore"):  # roots that are not meant may be no numbers
            return self._answer(bound(self, terms))[0]

    def work(self, system: System = "us", **given: Quantity | float) -> Work:
        quantities = as_quantities(self, given)
        with np.errstate(all="ignore"):
            found, form = self._answer({name: quantity.value for name, quantity in quantities.items()})
        assert isinstance(found, float)
        return Work(self.forms[form] if form else self, system, quantities, {self.result: found})

    def solved_for(self, name: str) -> Formula:
        return self if name == self.result else self.original.solved_for(name)

    def _answer(self, values: Mapping[str, Values]) -> tuple[Values, int]:
        """The root that is right, and which form gives it (the first place of arrays)."""
        self.check_given(values)
        tried = [form.worked(values) for form in self.forms]
        right = [self._right(values, root) for root in tried]
        if len(tried) == 1 and np.all(right):
            answer, form = tried[0], 0
        else:
            answer, form = self._picked(values, np.array(tried), np.array(right))
        low, high = span(self, self.result)
        if not np.all((low <= answer) & (answer <= high)):  # by a hair
            answer = np.clip(answer, low, high)
        answer = answer if isinstance(tried[0], np.ndarray) else float(answer)
        self._check_told(values, answer)
        return answer, form

    def _right(self, values: Mapping[str, Values], root: Any, part: float = _NEAR) -> Any:
        """Whether a root gives back the result from where the statement holds; one truth for each of an array."""
        low, high = span(self, self.result)
        hair = slack(low, high)
        point = {**values, self.result: root}
        others = [c.where(point) for c in self.original.conditions if c not in self.conditions]
        inside = np.isfinite(root) & (low - hair <= root) & (root <= high + hair)
        return np.logical_and.reduce([inside, self._gives_back(point, part), *others])

    def _gives_back(self, point: Mapping[str, Values], part: float = _NEAR) -> Any:
        """Whether the original gives its result, but for a part of it and of what its terms make of it."""
        given = point[self.original.result]
        terms = {name: point[name] for name in self.original.takes}
        back = self.original.worked(terms)
        off, near = np.abs(back - given), part * np.abs(given)
        return off <= (near if np.all(off <= near) else part * self.original.sway(terms, back))

    def _picked(self, values: Mapping[str, Values], found: Any, right: Any) -> tuple[Any, int]:
        """The one right root at every place; raises RangeError where there is none, or more than one."""
        if not right.any(axis=0).all():
            found, right = self._with_ends(values, found, right)
        low, high = term(self.result).si_range
        usual = right & (low <= found) & (found <= high)
        right = np.where(usual.any(axis=0), usual, right)
        least, most = np.where(right, found, np.inf).min(axis=0), np.where(right, found, -np.inf).max(axis=0)
        near = _SAME * (np.abs(most) + 0.1 * max(abs(low), abs(high)))
        one = right.any(axis=0) & (np.abs(most - least) <= near)
        if not one.all():
            at = int(np.argmin(one))
            point = {name: float(np.broadcast_to(value, one.shape).flat[at]) for name, value in values.items()}
            there = found.reshape(len(found), -1)[:, at], right.reshape(len(right), -1)[:, at]
            self._refuse(point, list(map(float, there[0])), sorted(map(float, there[0][there[1]])))
        form = np.argmax(right, axis=0)
        first = int(form.flat[0]) if form.size else 0
        return np.take_along_axis(found, form[np.newaxis], axis=0)[0], first if first < len(self.forms) else 0

    def _with_ends(self, values: Mapping[str, Values], found: Any, right: Any) -> tuple[Any, Any]:
        """The ends of the term's ranges beside the roots, right where no root is and they are, but for rounding.

        Of a root that is 0 in truth, rounding may make a hair less, or a square root of a hair less.
        """
        shape = found.shape[1:]
        for end in (*span(self, self.result), *term(self.result).si_range):
            if np.isfinite(end):
                there = self._right(values, np.full(shape, end) if shape else end, ROUNDING)
                found = np.concatenate([found, np.full((1, *shape), end)])
                right = np.concatenate([right, [there & ~right.any(axis=0)]])
        return found, right

    def _check_told(self, values: Mapping[str, Values], answer: Values) -> None:
        """Raises RangeError where values beside the answer give the same result: on the flat side of a Max, say."""
        low, high = span(self, self.result)
        usual = max(map(abs, term(self.result).si_range))
        step = 1e-3 * np.where(np.abs(answer) > 1e-3 * usual, np.abs(answer), usual)

        def back(tried: Any) -> Any:
            return self.original.worked({**values, self.result: tried if np.ndim(tried) else float(tried)})

        here, beside = back(answer), (np.minimum(answer + step, high), np.maximum(answer - step, low))
        moves = [np.abs(back(tried) - here) for tried in beside]
        flat = np.maximum(ROUNDING * np.abs(here), _SAME * np.fmax(*moves))
        above, below = (np.ravel((there != answer) & (move <= flat)) for there, move in zip(beside, moves, strict=True))
        if (above | below).any():
            at = int(np.argmax(above | below))
            given = float(np.broadcast_to(values[self.original.result], np.shape(answer)).flat[at])
            sides = " and ".join(["above"] * bool(above[at]) + ["below"] * bool(below[at]))
            raise not_told(self, given, [float(np.ravel(answer)[at])], f" gives it, and so do values {sides} it")

    def _refuse(self, point: Mapping[str, float], found: list[float], right: list[float]) -> None:
        """Says in one line why the values at one place have no answer: several roots are right there, or none."""
        if right:
            apart = [y for x, y in zip([-np.inf, *right[:-1]], right, strict=True) if y - x > _SAME * abs(y)]
            middle = {**point, self.result: (apart[0] + apart[-1]) / 2}
            between = ", and so do values between them" if self._gives_back(middle) else ""
            raise not_told(self, point[self.original.result], apart, f" give it{between}")
        for root in found:
            there = {**point, self.result: root}
            if np.isfinite(root) and self._gives_back(there):
                check_range(self, self.result, root)
                self.original.check_given({name: there[name] for name in self.original.takes})
        raise none_gives(self, point[self.original.result])


class Turned(Protocol):
    """A statement the other way round: it gives `result`, a term of the original, and takes the original's result first."""

    @property
    def name(self) -> str: ...
    @property
    def result(self) -> str: ...
    @property
    def takes(self) -> tuple[str, ...]: ...


def none_gives(turned: Turned, value: float) -> RangeError:
    """No value of the term asked for is found that gives the result."""
    return RangeError(
        lambda system: (
            f"with these values no {term(turned.result).label} is found that gives "
            f"{_said(turned.takes[0], value, system)}"
        ),
        turned.name,
    )


def not_told(turned: Turned, value: float, answers: list[float], do: str) -> RangeError:
    """Several values of the term asked for give the result; `do` says so of those that are named."""

    def told(system: System) -> str:
        *some, last = [decimal(answer, term(turned.result).unit(system)) for answer in answers]
        said = f"{', '.join(some)} and {last}" if some else last
        given = _said(turned.takes[0], value, system)
        return f"{given} does not tell the {term(turned.result).label}: {said}{do}"

    return RangeError(told, turned.name)


def _said(name: str, value: float, system: System) -> str:
    return f"{term(name).label} {decimal(value, term(name).unit(system))}"


def rearranged(original: Formula, name: str) -> Formula:
    """`original` rearranged to give `name`; raises NotSolvable where no closed form is known."""
    takes = (original.result, *(other for other in original.takes if other != name))

    def form(expression: Any) -> dict[str, Any]:
        return {
            "name": f"{name}_from_{original.name}",
            "title": f"{original.title}, rearranged for the {term(name).label}",
            "result": name,
            "expression": expression,
            "takes": takes,
            "source": original.source,
            "ranges": original.ranges,
            "conditions": tuple(
                c for c in original.conditions if all(s.name in takes for s in c.relation.free_symbols)
            ),
            "assumptions": original.assumptions,
            "defaults": {key: value for key, value in original.defaults.items() if key != name},
        }

    forms = [Formula(**form(root)) for root in roots(original.expression.doit(), symbol(original.result), symbol(name))]
    if not forms:
        raise NotSolvable(f"{original.name} cannot be rearranged for {name} in closed form")
    made = Rearranged(**form(forms[0].expression), original=original, forms=tuple(forms))
    if len(forms) == 1:
        return made
    # The root that is right at most places comes first.
    points = sampled(original, 40)
    values = {**{key: value for key, value in points.items() if key != name}, original.result: original.worked(points)}
    forms.sort(key=lambda one: -int(np.count_nonzero(made._right(values, one.worked(values)))))
    return Rearranged(**form(forms[0].expression), original=original, forms=tuple(forms))
