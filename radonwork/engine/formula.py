"""A formula: one statement, written once as Python, read once by sympy.

The number, the array, the typeset equation, the shown work, the rearranged form and the JavaScript of a live
panel all come from the one expression.
"""

import inspect
import math
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property
from typing import Any

import numpy as np
import sympy

from radonwork.engine.compiling import function_of, has_bessel
from radonwork.engine.in_places import in_places
from radonwork.engine.refusals import Refusal
from radonwork.engine.sources import Source
from radonwork.engine.work import Work
from radonwork.glossary import System, term
from radonwork.units import Quantity, decimal

Values = float | np.ndarray
Range = tuple[float, float]
FORMULAS: dict[str, "Formula"] = {}
ROUNDING = 2.0**-48  # what rounding may have done to each value and to the answer: 16 times that of one double
BLOCK = 200_000  # values of long arrays worked at a time: some megabytes in all, which stay near the processor


class RangeError(Refusal):
    """A value outside the range in which a statement holds; one plain line that names the term."""


class TermError(TypeError):
    """A term that is missing or that the statement does not take; one plain line."""


class NotSolvable(ValueError):
    """No closed form gives the term asked for."""


@cache
def symbol(name: str) -> sympy.Symbol:
    """The sympy symbol of a glossary term: positive unless the glossary says it may be negative."""
    entry = term(name)
    return sympy.Symbol(name, real=True) if entry.signed else sympy.Symbol(name, positive=True)


@dataclass(frozen=True)
class Condition:
    """A relation between terms without which the statement does not hold, and the words for it."""

    text: str
    relation: sympy.Basic

    def renamed(self, names: Mapping[str, str]) -> "Condition":
        """The same relation between other terms."""
        with sympy.evaluate(False):
            return Condition(
                self.text, self.relation.xreplace({symbol(old): symbol(new) for old, new in names.items()})
            )

    @cached_property
    def _test(self) -> tuple[list[str], Callable[..., Any]]:
        names = sorted(s.name for s in self.relation.free_symbols)
        return names, function_of(names, self.relation, "numpy")

    def holds(self, values: Mapping[str, Values]) -> bool:
        return bool(np.all(self.where(values)))

    def where(self, values: Mapping[str, Values]) -> Any:
        """Whether it holds, for each of an array."""
        names, test = self._test
        given = [values[name] for name in names]
        with np.errstate(all="ignore"):  # what comes of a division by zero holds or does not, as any other
            try:
                return test(*given)
            except ArithmeticError:  # of plain numbers
                return test(*map(np.asarray, given))


@dataclass(frozen=True)
class Formula:
    """`gives` = `expression` of the terms in `takes`. Call it with SI numbers or arrays, by name."""

    name: str
    title: str
    result: str
    expression: sympy.Expr
    takes: tuple[str, ...]
    source: Source
    ranges: Mapping[str, Range] = field(default_factory=dict)
    conditions: tuple[Condition, ...] = ()
    assumptions: tuple[str, ...] = ()
    defaults: Mapping[str, Quantity] = field(default_factory=dict)
    function: Callable[..., Any] | None = field(default=None, repr=False, compare=False)

    @property
    def gives(self) -> tuple[str, ...]:
        return (self.result,)

    @property
    def equations(self) -> tuple[sympy.Eq, ...]:
        return (sympy.Eq(symbol(self.result), self.expression, evaluate=False),)

    @cached_property
    def _scalar(self) -> Callable[..., float]:
        return function_of(self.takes, self.expression, "math")

    @cached_property
    def _array(self) -> Callable[..., np.ndarray]:
        return function_of(self.takes, self.expression, "numpy", share=True)

    @property
    def runs_in_page(self) -> bool:
        """Whether a page can work it by itself."""
        return not has_bessel(self.expression)

    def __call__(self, **terms: Values) -> Values:
        """The value in SI: a float for numbers, an array of the broadcast shape for arrays.

        Raises TermError for a missing or unknown term and RangeError outside the range in which the formula holds.
        """
        values = bound(self, terms)
        arrays = {name: value for name, value in values.items() if isinstance(value, np.ndarray)}
        if arrays and (worked := self._in_blocks(values, arrays)) is not None:
            return worked
        self.check_given(values)
        found = self.worked(values)
        try:
            check_range(self, self.result, found)
        except RangeError:
            within = self._but_for_rounding(values, found)
            if within is None:
                raise
            return within
        return found

    def check_given(self, values: Mapping[str, Values]) -> None:
        """Raises RangeError where the values put in are not such that the statement holds."""
        for name, value in values.items():
            check_range(self, name, value)
        for condition in self.conditions:
            if not condition.holds(values):
                raise RangeError(f"holds only if {condition.text}", self.name)

    def worked(self, values: Mapping[str, Values]) -> Values:
        """What the expression gives, held to no range; not a number where it gives none."""
        arguments = [values[name] for name in self.takes]
        shapes = {value.shape for value in arguments if isinstance(value, np.ndarray)}
        if shapes:
            # A constant or a term that drops out must not lose the shape of the others.
            shape = np.broadcast_shapes(*shapes)
            with np.errstate(all="ignore"):  # what is not finite is refused, and cases that do not count are worked too
                found = self._array(*arguments)
            return found if np.shape(found) == shape else np.broadcast_to(found, shape).copy()
        try:
            return float(self._scalar(*arguments))
        except (ZeroDivisionError, OverflowError, ValueError, TypeError):
            return float("nan")

    def sway(self, values: Mapping[str, Values], found: Values) -> Values:
        """How far a relative change of the answer and of every value moves it, all together, for each unit of the change.

        Times `ROUNDING` it is what rounding may have done, which is much where large parts nearly cancel.
        """
        change = 1e-8
        with np.errstate(all="ignore"):
            moved = (
                np.abs(self.worked({**values, name: value * (1 + change)}) - found) for name, value in values.items()
            )
            return np.abs(found) + sum(np.nan_to_num(one, nan=0.0, posinf=0.0) for one in moved) / change

    def _but_for_rounding(self, values: Mapping[str, Values], found: Values) -> Values | None:
        """The answer at the bound itself where it lies outside by no more than its own rounding; None if it does not."""
        if not np.all(np.isfinite(found)):
            return None
        within = np.clip(found, *span(self, self.result))
        if not np.all(np.abs(within - found) <= ROUNDING * self.sway(values, found)):
            return None
        return within if isinstance(found, np.ndarray) else float(within)

    def _in_blocks(self, values: Mapping[str, Values], arrays: Mapping[str, np.ndarray]) -> np.ndarray | None:
        """The value of long arrays of one shape, worked and held to its ranges a block at a time.

        None for other arrays, and where anything is not as it should be: a closer look at the whole says what.
        """
        first = next(iter(arrays.values()))
        shape, size = first.shape, first.size
        if size < BLOCK or not all(
            type(array) is np.ndarray and array.dtype == float and array.shape == shape and array.flags.c_contiguous
            for array in arrays.values()
        ):
            return None
        numbers = [(np.array(value), *span(self, name)) for name, value in values.items() if name not in arrays]
        if not all(_all_within(*number) for number in numbers):
            return None
        tests = tuple(condition.relation for condition in self.conditions)
        worked, places = in_places(self.takes, frozenset(arrays), tests, self.expression)
        found, count = np.empty(size), size // BLOCK
        longest = -(-size // count)
        spaces = [np.empty(longest, dtype=bool), *(np.empty(longest) for _ in range(places - 1))]
        given = [arrays[name].ravel() if name in arrays else values[name] for name in self.takes]
        held = [(array.ravel(), *span(self, name)) for name, array in arrays.items()]
        held.append((found, *span(self, self.result)))
        # A block is looked at once it is near, and the work brings it; so the work may be of values that do not belong.
        with np.errstate(all="ignore"):
            for number in range(count):
                block = slice(size * number // count, size * (number + 1) // count)
                truths, *others = [space[: block.stop - block.start] for space in spaces]
                parts = [value[block] if isinstance(value, np.ndarray) else value for value in given]
                try:
                    holds = worked(*parts, truths, found[block], *others)
                except ArithmeticError:  # of numbers among themselves
                    return None
                if not holds or not all([_all_within(array[block], low, high) for array, low, high in held]):
                    return None
        return found.reshape(shape)

    def work(self, system: System = "us", **given: Quantity | float) -> Work:
        """One evaluation with its shown work. Terms are quantities (with their tolerance) or SI numbers."""
        quantities = as_quantities(self, given)
        found = self(**{name: quantity.value for name, quantity in quantities.items()})
        assert isinstance(found, float)
        return Work(self, system, quantities, {self.result: found})

    def solved_for(self, name: str) -> "Formula":
        """The same statement rearranged to give `name`; raises NotSolvable where no closed form is known."""
        from radonwork.engine.rearranged import rearranged

        if name == self.result:
            return self
        if name not in self.takes:
            raise TermError(f"{self.name} does not take {name[:60]!r}; it takes {', '.join(self.takes)}")
        if name not in self._rearranged:
            self._rearranged[name] = rearranged(self, name)
        return self._rearranged[name]

    @cached_property
    def _rearranged(self) -> dict[str, "Formula"]:
        """The forms made so far, by the term each gives."""
        return {}

    def with_terms(self, name: str, gives: str, title: str = "", **renamed: str) -> "Formula":
        """The same statement for other quantities of the same kinds: the bore area of the small pipe, say."""
        if self.function is None:
            raise NotSolvable(f"{self.name} is itself a rearranged form")
        names = {old: renamed.get(old, old) for old in self.takes}
        for old, new in [*names.items(), (self.result, gives)]:
            if term(old).dimension != term(new).dimension:
                raise TermError(f"{new} is not the same kind of quantity as {old}")
        return _read(
            self.function,
            name=name,
            title=title or self.title,
            result=gives,
            names=names,
            source=self.source,
            ranges={names.get(old, gives if old == self.result else old): span for old, span in self.ranges.items()},
            when={condition.text: condition.renamed(names) for condition in self.conditions},
            assumptions=self.assumptions,
        )


def bound(statement: Any, terms: Mapping[str, Values]) -> dict[str, Values]:
    """The terms a statement takes, defaults filled in, lists as arrays; raises TermError by name."""
    values: dict[str, Values] = {}
    for name in terms:
        if name not in statement.takes:
            raise TermError(f"{statement.name} does not take {name[:60]!r}; it takes {', '.join(statement.takes)}")
    for name in statement.takes:
        if name in terms:
            value = terms[name]
            values[name] = value if isinstance(value, float | np.ndarray) else _as_value(value)
        elif name in statement.defaults:
            values[name] = statement.defaults[name].value
        else:
            raise TermError(f"{statement.name} needs {name} ({term(name).meaning})")
    return values


def _as_value(value: Any) -> Values:
    return np.asarray(value, dtype=float) if np.ndim(value) else float(value)


def as_quantities(statement: Any, given: Mapping[str, Quantity | float]) -> dict[str, Quantity]:
    """Given terms as quantities, defaults filled in, in the statement's own order."""
    bound(statement, {name: q.value if isinstance(q, Quantity) else q for name, q in given.items()})
    quantities = {}
    for name in statement.takes:
        value = given.get(name, statement.defaults.get(name))
        quantities[name] = value if isinstance(value, Quantity) else Quantity(float(value), "", 0.0, "")
    return quantities


def check_range(statement: Any, name: str, value: Values) -> None:
    """Raises RangeError if a value, or any of an array, is not finite or lies outside what the statement covers."""
    low, high = span(statement, name)
    if not isinstance(value, np.ndarray):
        if low <= value <= high and math.isfinite(value):
            return
        least = most = value
    elif _all_within(value, low, high):
        return
    else:
        least, most = (float(value.min()), float(value.max())) if value.size else (low, low)
    # Written so that "not a number" fails too. A hair of rounding at the bound itself is no trespass.
    hair = slack(low, high)
    if low - hair <= least and most <= high + hair and math.isfinite(least) and math.isfinite(most):
        return
    wrong = least if not least >= low else most
    if not np.isfinite(wrong):
        raise RangeError(f"{term(name).label} has no finite value here", statement.name)

    def told(system: System) -> str:
        unit = term(name).unit(system)
        if np.isinf(high):
            said = f"at least {decimal(low, unit)}"
        elif np.isinf(low):
            said = f"at most {decimal(high, unit)}"
        else:
            said = f"from {decimal(low, unit)} to {decimal(high, unit)}"
        return f"{term(name).label} is {decimal(wrong, unit)}; this holds {said}"

    raise RangeError(told, statement.name)


def span(statement: Any, name: str) -> Range:
    """What a statement covers of a term."""
    stated: Range | None = statement.ranges.get(name)
    return stated or (-math.inf if term(name).signed else 0.0, math.inf)


def slack(low: float, high: float) -> float:
    """How far beyond its bounds a value may lie by rounding."""
    return 1e-12 * max(abs(low) if math.isfinite(low) else 0.0, abs(high) if math.isfinite(high) else 0.0)


def _all_within(values: np.ndarray, low: float, high: float) -> bool:
    """Whether a quick look shows that all lie within; False where it takes a closer one."""
    if not values.size or values.dtype != np.float64:
        return False
    if low >= 0:
        # Read as whole numbers, doubles from 0 up are in order and every other lies above them.
        bits = values.view(np.uint64)
        return bool(bits.max() <= _bits(high) and (low == 0 or bits.min() >= _bits(low)))
    if low == -math.inf and high == math.inf:
        # The sum of squares is finite only if every value is. That of many would be shared out among threads.
        few = values.ndim == 1 and values.size <= 10_000
        return math.isfinite(np.dot(values, values)) if few else bool(np.isfinite(values).all())
    most = sys.float_info.max
    return bool(values.min() >= max(low, -most) and values.max() <= min(high, most))


@cache
def _bits(value: float) -> np.uint64:
    """A double from 0 up, or the greatest where it lies beyond, read as a whole number."""
    return np.float64(min(value, sys.float_info.max)).view(np.uint64)


def read_ranges(written: Mapping[str, tuple[str, str]]) -> dict[str, Range]:
    """Ranges of validity as people write them, in SI."""
    return {name: (term(name).read(low).value, term(name).read(high).value) for name, (low, high) in written.items()}


def read_defaults(function: Callable[..., Any]) -> dict[str, Quantity]:
    parameters = inspect.signature(function).parameters.values()
    return {p.name: term(p.name).read(p.default) for p in parameters if p.default is not inspect.Parameter.empty}


def title_of(function: Callable[..., Any]) -> tuple[str, tuple[str, ...]]:
    """First line of a docstring as title; lines that begin with "Assumes" as assumptions."""
    paragraphs = inspect.cleandoc(function.__doc__ or "").split("\n\n")
    title = " ".join(paragraphs[0].split()).rstrip(".")
    sentences = [" ".join(paragraph.split()) for paragraph in paragraphs[1:]]
    return title, tuple(s.removeprefix("Assumes ").rstrip(".") for s in sentences if s.startswith("Assumes "))


def _read(
    function: Callable[..., Any],
    *,
    name: str,
    title: str,
    result: str,
    names: Mapping[str, str],
    source: Source,
    ranges: Mapping[str, Range],
    when: Mapping[str, Any],
    assumptions: tuple[str, ...],
) -> Formula:
    symbols = {old: symbol(new) for old, new in names.items()}
    term(result)
    # As written; and a term that is positive to sympy may still be given as zero. Once in, since each change of this
    # setting throws away all that sympy has worked out before.
    with sympy.evaluate(False):
        expression = sympy.sympify(function(**symbols))
        conditions = tuple(
            c
            if isinstance(c, Condition)
            else Condition(text, c(**{p: symbols[p] for p in inspect.signature(c).parameters}))
            for text, c in when.items()
        )
    defaults = {names[old]: quantity for old, quantity in read_defaults(function).items()}
    return Formula(
        name,
        title,
        result,
        expression,
        tuple(names.values()),
        source,
        ranges,
        conditions,
        assumptions,
        defaults,
        function,
    )


def formula(
    gives: str, source: Source, when: Mapping[str, Callable[..., Any]] | None = None, **ranges: tuple[str, str]
) -> Callable[[Callable[..., Any]], Formula]:
    """Read a function of glossary terms as a formula and register it under its own name.

    `ranges` states where it holds, as people write it; `when` states relations between terms, words first. The
    docstring's first line is the title; each paragraph that begins with "Assumes" is an assumption. A parameter's
    default is a constant such as "9.80665 m/s2".
    """

    def register(function: Callable[..., Any]) -> Formula:
        title, assumptions = title_of(function)
        names = {name: name for name in inspect.signature(function).parameters}
        read = _read(
            function,
            name=function.__name__,
            title=title,
            result=gives,
            names=names,
            source=source,
            ranges=read_ranges(ranges),
            when=when or {},
            assumptions=assumptions,
        )
        FORMULAS[read.name] = read
        return read

    return register


def sampled(statement: Any, count: int, seed: int = 0) -> dict[str, np.ndarray]:
    """Points of the glossary's ranges, cut to where the statement holds; at most `count`, by name, for laws and checks."""
    rng = np.random.default_rng(seed)
    points = {}
    for name in statement.takes:
        low, high = term(name).si_range
        valid_low, valid_high = statement.ranges.get(name, (-np.inf, np.inf))
        if name in statement.defaults:
            low = high = statement.defaults[name].value
        points[name] = rng.uniform(max(low, valid_low), max(min(high, valid_high), max(low, valid_low)), count * 20)
    kept = np.ones(count * 20, dtype=bool)
    for condition in statement.conditions:
        names, test = condition._test
        kept &= np.broadcast_to(test(*(points[name] for name in names)), kept.shape)
    return {name: values[kept][:count] for name, values in points.items()}


def free_terms(statements: Iterator[Any]) -> list[str]:
    """Terms that a row of statements takes and none before gives, in the order of first use."""
    known: set[str] = set()
    wanted: list[str] = []
    for statement in statements:
        wanted += [name for name in statement.takes if name not in known and name not in wanted]
        known |= set(statement.gives)
    return wanted


__all__ = [
    "FORMULAS", "Condition", "Formula", "NotSolvable", "RangeError", "TermError", "formula", "free_terms", "symbol",
]  # fmt: skip
