"""A derivation: premises and steps, each with a sentence, that end in a formula.

A step is an operation sympy carries out on the equations before it, so what is shown is what follows, not what
somebody typed. A test runs every derivation and demands that its end equals the formula it says it derives.
"""

import inspect
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, TypeAlias

import numpy as np
import sympy

from radonwork.engine.compiling import function_of
from radonwork.engine.formula import Formula, sampled, symbol
from radonwork.engine.sources import Source

Equation: TypeAlias = sympy.Basic
Operation: TypeAlias = Callable[..., Equation]
DERIVATIONS: dict[str, "Derivation"] = {}
"""Those loaded so far, by the name of their formula; `radonwork.derivations` loads what is asked for."""


class Eq(sympy.Eq):
    """An equation as it is written. sympy's own would first try to decide whether it holds, which takes its time."""

    def __new__(cls, left: Any, right: Any) -> Any:
        return sympy.Eq(left, right, evaluate=False)


def solved(equation: Equation, wanted: sympy.Basic) -> Eq:
    """The equation solved for `wanted`, of which it has one root."""
    (root,) = sympy.solve(equation, wanted)
    return Eq(wanted, root)


@dataclass(frozen=True)
class Step:
    """One line: what is said of it, and the equation, written down (a premise) or worked out from those before."""

    sentence: str
    equation: Equation
    premise: bool
    source: Source | None = None


@dataclass
class Derivation:
    """Premises and operations in order. `of` is the formula the last equation gives."""

    of: Formula
    title: str
    _lines: list[tuple[str, str, Equation | Operation, Source | None]] = field(default_factory=list)

    def __post_init__(self) -> None:
        DERIVATIONS[self.of.name] = self

    def premise(self, name: str, equation: Equation, sentence: str, source: Source | None = None) -> "Derivation":
        """An equation taken as given; the sentence says why it may be."""
        self._lines.append((name, sentence, equation, source))
        return self

    def step(self, name: str, operation: Operation, sentence: str) -> "Derivation":
        """An equation worked out: `operation` is a function whose parameters are names of earlier lines."""
        self._lines.append((name, sentence, operation, None))
        return self

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """Every line, worked out by sympy now."""
        known: dict[str, Equation] = {}
        steps = []
        for name, sentence, content, source in self._lines:
            premise = isinstance(content, sympy.Basic)
            if premise:
                equation = content
            else:
                wanted = inspect.signature(content).parameters
                equation = content(*(known[other] for other in wanted))
            known[name] = equation
            steps.append(Step(sentence, equation, premise, source))
        return tuple(steps)

    def agrees(self) -> bool:
        """Whether the last equation states the formula: the same expression, or the same value at sampled points."""
        last = self.steps[-1].equation
        if not isinstance(last, sympy.Eq) or last.lhs != symbol(self.of.result):
            return False
        stated = self.of.expression.doit()
        if sympy.simplify(last.rhs - stated) == 0:
            return True
        if last.rhs.free_symbols != stated.free_symbols:
            return False
        points = sampled(self.of, 200)
        evaluate = function_of(self.of.takes, last.rhs, "numpy")
        ours = evaluate(*(points[name] for name in self.of.takes))
        return bool(np.allclose(ours, self.of(**points), rtol=1e-9, atol=0))
