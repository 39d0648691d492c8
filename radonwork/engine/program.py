"""A row of statements and the text built from their values: evaluated in Python, or printed to JavaScript.

A template is text with slots; a slot is a sympy expression of glossary terms and the form it is written in. A
to-scale drawing and a worked equation are both templates, so the picture of the report and the one that follows a
control in the browser are the same statement.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import sympy
from sympy.printing.jscode import JavascriptCodePrinter

from radonwork.engine.compiling import Let, function_of, has_bessel
from radonwork.engine.formula import Formula, free_terms, symbol
from radonwork.engine.printing import MATHML, Notation, printed
from radonwork.engine.work import GIVEN_DIGITS, RESULT_DIGITS, worked_unit
from radonwork.glossary import GLOSSARY, System, term
from radonwork.units import decimal, shown

_MARK = re.compile("\ue000(.*?)\ue001")
_SPOKEN = re.compile(r"\{(\w+)(?::(\d))?(?:\?([^{}|]*(?:\|[^{}|]*){1,2}))?\}")


@dataclass(frozen=True)
class Form:
    """How a slot's number is written: a drawing coordinate ("px"), a decimal in a unit, as people write it ("shown"), or
    the one of two or three `words` that its sign calls for ("words").
    """

    kind: str
    unit: str = ""
    digits: int = 4
    words: tuple[str, ...] = ()

    def write(self, value: float) -> str:
        if self.kind == "px":
            return f"{value:.2f}"
        if self.kind == "words":
            first, *zero, last = self.words
            return last if value < 0 else zero[0] if zero and value == 0 else first
        return shown(value, self.unit) if self.kind == "shown" else decimal(value, self.unit, self.digits)


PIXELS = Form("px")


@dataclass(frozen=True)
class Slot:
    """One number of a template."""

    expression: sympy.Expr
    form: Form


@dataclass(frozen=True)
class Template:
    """`pieces` of fixed text with a slot between each two of them."""

    pieces: tuple[str, ...]
    slots: tuple[Slot, ...]

    def fill(self, numbers: Sequence[float]) -> str:
        """The text with the slots' numbers, in order, written in."""
        written = [slot.form.write(number) for slot, number in zip(self.slots, numbers, strict=True)]
        return "".join(part for pair in zip(self.pieces, [*written, ""], strict=True) for part in pair)


class Marked:
    """Text under construction: `mark` stands for a slot until `template` cuts the text at the marks."""

    def __init__(self) -> None:
        self._slots: dict[str, Slot] = {}

    def mark(self, expression: sympy.Expr, form: Form = PIXELS) -> str:
        key = str(len(self._slots))
        self._slots[key] = Slot(sympy.sympify(expression), form)
        return f"\ue000{key}\ue001"

    def template(self, text: str) -> Template:
        cut = _MARK.split(text)
        return Template(tuple(cut[0::2]), tuple(self._slots[key] for key in cut[1::2]))


def sentence(text: str, system: System) -> Template:
    """Plain text in which {term} stands for the quantity as people write it, {term:2} for it in so many digits.

    {term?fits|does not} stands for the first words where the quantity is zero or more, for the last where it is less;
    of three, as in {term?right|neither|left}, those in the middle are for zero.
    """
    marked = Marked()

    def slot(match: re.Match[str]) -> str:
        name, digits, words = match.groups()
        unit = term(name).unit(system)
        form = Form("decimal", unit, int(digits)) if digits else Form("shown", unit)
        if words is not None:
            form = Form("words", unit, words=tuple(words.split("|")))
        return marked.mark(symbol(name), form)

    return marked.template(_SPOKEN.sub(slot, text))


def worked(statement: Formula, system: System, notation: Notation = MATHML) -> Template:
    """The shown work of a formula: symbols, then numbers, then the result, with the numbers as slots."""
    marked = Marked()
    gives = printed(symbol(statement.result), notation)
    numbers = {
        name: marked.mark(symbol(name), Form("decimal", worked_unit(name, system), GIVEN_DIGITS))
        for name in statement.takes
    }
    unit = term(statement.result).unit(system)
    result = notation.quantity(marked.mark(symbol(statement.result), Form("decimal", unit, RESULT_DIGITS)))
    right = [printed(statement.expression, notation), printed(statement.expression, notation, numbers), result]
    lines = [notation.whole(notation.row([gives, notation.op("="), side])) for side in right]
    return marked.template("".join(lines))


class _Script(JavascriptCodePrinter):
    """sympy's JavaScript printer; terms are prefixed so that none is a reserved word."""

    def _print_Symbol(self, tree: sympy.Symbol) -> str:
        return script_name(tree.name)

    def _print_Float(self, tree: sympy.Float) -> str:
        return repr(float(tree))

    _print_EulerGamma = _print_Float

    def _print_erfc(self, tree: sympy.erfc) -> str:
        return f"erfc({self._print(tree.args[0])})"


# JavaScript has no erfc. Near zero a series whose terms all have one sign, so that no digit is lost; far out the
# continued fraction, worked from its end (Abramowitz and Stegun 7.1.6 and 7.1.14).
_ERFC = """const erfc = (x) => {
const a = Math.abs(x);
if (a < 2.5) {
let term = a, sum = a;
for (let n = 1; term > 1e-18 * sum; n++) { term *= 2 * a * a / (2 * n + 1); sum += term; }
const found = 2 / Math.sqrt(Math.PI) * Math.exp(-a * a) * sum;
return x < 0 ? 1 + found : 1 - found;
}
let tail = a;
for (let n = 120; n > 0; n--) tail = a + n / 2 / tail;
const found = Math.exp(-a * a) / Math.sqrt(Math.PI) / tail;
return x < 0 ? 2 - found : found;
};"""


def script_name(name: str) -> str:
    return f"v_{name}"


def javascript(tree: sympy.Basic) -> str:
    """One expression as JavaScript; raises where sympy has no JavaScript for a part of it."""
    if has_bessel(tree):
        raise NotImplementedError(f"JavaScript has no Bessel functions, so no page can work {printed(tree)}")
    text = _Script({"allow_unknown_functions": False}).doprint(tree)
    if "Not supported" in text:
        raise NotImplementedError(f"no JavaScript for {tree}")
    return str(text)


@dataclass(frozen=True)
class Program:
    """Formulas in order, further `lets`, and the `outputs` worked out from them; `takes` are its inputs."""

    formulas: tuple[Formula, ...]
    outputs: tuple[sympy.Expr, ...]
    lets: tuple[Let, ...] = ()

    @cached_property
    def takes(self) -> tuple[str, ...]:
        """Glossary terms that go in: those the formulas need and those only an output speaks of."""
        names = free_terms(iter(self.formulas))
        given = {formula.result for formula in self.formulas}
        spoken = [*(expression for _, expression in self.lets), *self.outputs]
        others = {s.name for tree in spoken for s in tree.free_symbols if s.name in GLOSSARY}
        return (*names, *sorted(others - given - set(names)))

    @cached_property
    def _assigned(self) -> list[Let]:
        return [*((symbol(f.result), f.expression) for f in self.formulas), *self.lets]

    @cached_property
    def _python(self) -> Any:
        return function_of(self.takes, list(self.outputs), "math", lets=self._assigned)

    def __call__(self, values: Mapping[str, float]) -> list[float]:
        """The outputs for SI values by term; extra terms are ignored."""
        return [float(number) for number in self._python(*(float(values[name]) for name in self.takes))]

    @property
    def _opening(self) -> list[str]:
        """What each function of the page begins with: the terms that go in, and everything worked out from them."""
        trees = [*(tree for _, tree in self._assigned), *self.outputs]
        lines = [_ERFC] if any(tree.has(sympy.erfc) for tree in trees) else []
        lines += [f"const {script_name(name)} = +v.{name};" for name in self.takes]
        return [*lines, *(f"const {script_name(s.name)} = {javascript(tree)};" for s, tree in self._assigned)]

    @cached_property
    def javascript(self) -> str:
        """An ES function of one object of SI values that returns the array of outputs."""
        lines = self._opening
        lines.append("return [" + ",\n".join(javascript(tree) for tree in self.outputs) + "];")
        return "function (v) {\n" + "\n".join(lines) + "\n}"

    @cached_property
    def faults(self) -> str:
        """An ES function of the same object that returns the positions, in `fault_texts`, of what does not hold."""
        lines = self._opening
        tests = [test for test, _ in self._limits("us")]
        lines.append("return [" + ", ".join(tests) + "].flatMap((holds, i) => holds ? [] : [i]);")
        return "function (v) {\n" + "\n".join(lines) + "\n}"

    def fault_texts(self, system: System = "us") -> list[str]:
        """What does not hold, in the units of a system, in the order of `faults`."""
        return [text for _, text in self._limits(system)]

    def _limits(self, system: System) -> list[tuple[str, str]]:
        limits = []
        for formula in self.formulas:
            for condition in formula.conditions:
                limits.append(
                    (f"({javascript(condition.relation)})", f"{formula.title}: holds only if {condition.text}")
                )
            for name, (low, high) in formula.ranges.items():
                unit = term(name).unit(system)
                said = (
                    f"{formula.title}: holds for {term(name).label} from {decimal(low, unit)} to {decimal(high, unit)}"
                )
                bounds = f"({script_name(name)} >= {low!r} && {script_name(name)} <= {high!r})"
                limits.append((bounds, said))
        return limits
