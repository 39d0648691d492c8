"""One printer over the sympy tree: MathML, LaTeX, Typst and plain text, with symbols or with numbers put in.

A notation knows how to write a dozen primitives (a fraction, a root, a subscript …); the walk over the tree is
written once, so what the workbook, the report and the shell show is the same statement in the same order.
"""

from collections.abc import Callable, Mapping
from html import escape

import sympy
from sympy.core.function import AppliedUndef
from sympy.core.relational import Relational

from radonwork.glossary import GLOSSARY, term

GREEK = {
    "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "zeta": "ζ", "eta": "η", "theta": "θ",
    "iota": "ι", "kappa": "κ", "lambda": "λ", "mu": "μ", "nu": "ν", "xi": "ξ", "pi": "π", "rho": "ρ", "sigma": "σ",
    "tau": "τ", "upsilon": "υ", "phi": "φ", "chi": "χ", "psi": "ψ", "omega": "ω", "Gamma": "Γ", "Delta": "Δ",
    "Theta": "Θ", "Lambda": "Λ", "Xi": "Ξ", "Pi": "Π", "Sigma": "Σ", "Phi": "Φ", "Psi": "Ψ", "Omega": "Ω",
}  # fmt: skip

_FUNCTIONS = {"asin": "arcsin", "acos": "arccos", "atan": "arctan", "log": "ln", "Max": "max", "Min": "min"}
_RELATIONS = {"==": "=", "!=": "≠", "<=": "≤", ">=": "≥", "<": "<", ">": ">"}

# How tightly a piece of printed mathematics holds together: what may stand inside what without brackets.
_SUM, _PRODUCT, _POWER, _ATOM = range(4)
Piece = tuple[str, int]


class Notation:
    """The primitives of one written form."""

    times = "·"

    def ident(self, base: str, sub: str) -> str:
        raise NotImplementedError

    def number(self, text: str) -> str:
        return text

    def quantity(self, text: str) -> str:
        """A number with its unit, as it is put in for a symbol."""
        return text

    def op(self, sign: str) -> str:
        return f" {sign} "

    def minus(self) -> str:
        """The sign in front of what is negative, close to it, where `op` stands between two."""
        return self.op("−").strip()

    def row(self, parts: list[str]) -> str:
        return "".join(parts)

    def listed(self, parts: list[str]) -> str:
        """One after the other, with commas between."""
        return ", ".join(parts)

    def fraction(self, top: str, bottom: str) -> str:
        raise NotImplementedError

    def power(self, base: str, exponent: str) -> str:
        raise NotImplementedError

    def root(self, inside: str) -> str:
        raise NotImplementedError

    def brackets(self, inside: str) -> str:
        return f"({inside})"

    def bars(self, inside: str) -> str:
        return f"|{inside}|"

    def call(self, name: str, arguments: list[str]) -> str:
        raise NotImplementedError

    def cases(self, rows: list[tuple[str, str | None]]) -> str:
        """Values with their conditions, one below the other; no condition is "otherwise"."""
        raise NotImplementedError

    def prime(self, inside: str, variable: str) -> str:
        """The derivative of `inside` by `variable`."""
        raise NotImplementedError

    def integral(self, inside: str, variable: str, low: str, high: str) -> str:
        raise NotImplementedError

    def series(self, inside: str, variable: str, low: str, high: str) -> str:
        """The sum of `inside` over whole values of `variable` from `low` to `high`."""
        raise NotImplementedError

    def whole(self, inside: str) -> str:
        return inside


class Text(Notation):
    """Plain text for a terminal, a text alternative and the text a panel leaves in a notebook."""

    def ident(self, base: str, sub: str) -> str:
        return GREEK.get(base, base) + (f"_{sub}" if sub else "")

    def fraction(self, top: str, bottom: str) -> str:
        return f"{top} / {bottom}"

    def power(self, base: str, exponent: str) -> str:
        return f"{base}^{exponent}"

    def root(self, inside: str) -> str:
        return f"√({inside})"

    def call(self, name: str, arguments: list[str]) -> str:
        return f"{name}({', '.join(arguments)})"

    def cases(self, rows: list[tuple[str, str | None]]) -> str:
        return "{" + "; ".join(f"{value} if {when}" if when else f"{value} otherwise" for value, when in rows) + "}"

    def prime(self, inside: str, variable: str) -> str:
        return f"d({inside})/d{variable}"

    def integral(self, inside: str, variable: str, low: str, high: str) -> str:
        return f"∫[{low}..{high}] {inside} d{variable}"

    def series(self, inside: str, variable: str, low: str, high: str) -> str:
        return f"∑[{variable} = {low}..{high}] {inside}"


class MathML(Notation):
    """Presentation MathML, read by a browser offline."""

    def ident(self, base: str, sub: str) -> str:
        letter = f"<mi>{GREEK.get(base, escape(base))}</mi>"
        return f"<msub>{letter}<mi mathvariant='normal'>{escape(sub)}</mi></msub>" if sub else letter

    def number(self, text: str) -> str:
        return f"<mn>{escape(text)}</mn>"

    def quantity(self, text: str) -> str:
        return f"<mn>{escape(text)}</mn>"  # beside mtext Chromium drops the space round an operator

    def op(self, sign: str) -> str:
        return f"<mo>{escape(sign)}</mo>"

    def row(self, parts: list[str]) -> str:
        return f"<mrow>{''.join(parts)}</mrow>"

    def listed(self, parts: list[str]) -> str:
        return "<mo>,</mo>".join(parts)

    def fraction(self, top: str, bottom: str) -> str:
        return f"<mfrac><mrow>{top}</mrow><mrow>{bottom}</mrow></mfrac>"

    def power(self, base: str, exponent: str) -> str:
        return f"<msup><mrow>{base}</mrow><mrow>{exponent}</mrow></msup>"

    def root(self, inside: str) -> str:
        return f"<msqrt>{inside}</msqrt>"

    def brackets(self, inside: str) -> str:
        return f"<mrow><mo>(</mo>{inside}<mo>)</mo></mrow>"

    def bars(self, inside: str) -> str:
        return f"<mrow><mo>|</mo>{inside}<mo>|</mo></mrow>"

    def call(self, name: str, arguments: list[str]) -> str:
        return f"<mrow><mi>{name}</mi><mo>&#x2061;</mo>{self.brackets(self.listed(arguments))}</mrow>"

    def cases(self, rows: list[tuple[str, str | None]]) -> str:
        words = [f"<mtext>if&#xa0;</mtext>{when}" if when else "<mtext>otherwise</mtext>" for _, when in rows]
        body = "".join(
            f"<mtr><mtd columnalign='left'>{value}</mtd><mtd columnalign='left'>{word}</mtd></mtr>"
            for (value, _), word in zip(rows, words, strict=True)
        )
        return f"<mrow><mo>{{</mo><mtable>{body}</mtable></mrow>"

    def prime(self, inside: str, variable: str) -> str:
        return f"<mrow><mfrac><mi>d</mi><mrow><mi>d</mi>{variable}</mrow></mfrac>{self.brackets(inside)}</mrow>"

    def integral(self, inside: str, variable: str, low: str, high: str) -> str:
        sign = f"<msubsup><mo>∫</mo><mrow>{low}</mrow><mrow>{high}</mrow></msubsup>"
        return f"<mrow>{sign}{inside}<mspace width='0.2em'/><mi>d</mi>{variable}</mrow>"

    def series(self, inside: str, variable: str, low: str, high: str) -> str:
        under = f"<mrow>{variable}<mo>=</mo>{low}</mrow>"
        return f"<mrow><munderover><mo>∑</mo>{under}<mrow>{high}</mrow></munderover>{inside}</mrow>"

    def whole(self, inside: str) -> str:
        return f"<math xmlns='http://www.w3.org/1998/Math/MathML' display='block'>{inside}</math>"


_LATEX_OPS = {"−": " - ", "·": r" \cdot ", "×": r" \times ", "≤": r" \le ", "≥": r" \ge ", "≠": r" \ne "}


class Latex(Notation):
    """LaTeX mathematics, without delimiters."""

    def ident(self, base: str, sub: str) -> str:
        letter = rf"\{base}" if base in GREEK else (base if len(base) == 1 else rf"\mathrm{{{base}}}")
        return letter + (rf"_{{\mathrm{{{sub}}}}}" if sub else "") + " "

    def quantity(self, text: str) -> str:
        clean = text.replace("\\", "").replace("%", r"\%").replace("²", "$^2$").replace("³", "$^3$")
        return rf"\text{{{clean}}}"

    def op(self, sign: str) -> str:
        return _LATEX_OPS.get(sign, f" {sign} ")

    def fraction(self, top: str, bottom: str) -> str:
        return rf"\frac{{{top}}}{{{bottom}}}"

    def power(self, base: str, exponent: str) -> str:
        return f"{{{base}}}^{{{exponent}}}"

    def root(self, inside: str) -> str:
        return rf"\sqrt{{{inside}}}"

    def brackets(self, inside: str) -> str:
        return rf"\left({inside}\right)"

    def bars(self, inside: str) -> str:
        return rf"\left|{inside}\right|"

    def call(self, name: str, arguments: list[str]) -> str:
        return rf"\operatorname{{{name}}}" + self.brackets(", ".join(arguments))

    def cases(self, rows: list[tuple[str, str | None]]) -> str:
        words = [rf"\text{{if }} {when}" if when else r"\text{otherwise}" for _, when in rows]
        body = r" \\ ".join(f"{value} & {word}" for (value, _), word in zip(rows, words, strict=True))
        return rf"\begin{{cases}} {body} \end{{cases}}"

    def prime(self, inside: str, variable: str) -> str:
        return rf"\frac{{d}}{{d {variable}}}" + self.brackets(inside)

    def integral(self, inside: str, variable: str, low: str, high: str) -> str:
        return rf"\int_{{{low}}}^{{{high}}} {inside} \, d{variable}"

    def series(self, inside: str, variable: str, low: str, high: str) -> str:
        return rf"\sum_{{{variable}={low}}}^{{{high}}} {inside}"


class Typst(Notation):
    """Typst mathematics, without the dollar signs. Text goes in as string literals only."""

    def _string(self, text: str) -> str:
        return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'

    def ident(self, base: str, sub: str) -> str:
        letter = base if base in GREEK or len(base) == 1 else f'"{base}"'
        return f"{letter}_{self._string(sub)}" if sub else letter

    def quantity(self, text: str) -> str:
        return self._string(text)

    def row(self, parts: list[str]) -> str:
        return " ".join(parts)

    def fraction(self, top: str, bottom: str) -> str:
        return f"frac({top}, {bottom})"

    def power(self, base: str, exponent: str) -> str:
        return f"{base}^({exponent})"

    def root(self, inside: str) -> str:
        return f"sqrt({inside})"

    def brackets(self, inside: str) -> str:
        return f"lr(({inside}))"

    def bars(self, inside: str) -> str:
        return f"abs({inside})"

    def call(self, name: str, arguments: list[str]) -> str:
        return f'op("{name}") {self.brackets(", ".join(arguments))}'

    def cases(self, rows: list[tuple[str, str | None]]) -> str:
        words = [f'"if " {when}' if when else '"otherwise"' for _, when in rows]
        return "cases(" + ", ".join(f"{value} & {word}" for (value, _), word in zip(rows, words, strict=True)) + ")"

    def prime(self, inside: str, variable: str) -> str:
        return f"frac(d, d {variable}) {self.brackets(inside)}"

    def integral(self, inside: str, variable: str, low: str, high: str) -> str:
        return f"integral_({low})^({high}) {inside} dif {variable}"

    def series(self, inside: str, variable: str, low: str, high: str) -> str:
        return f"sum_({variable} = {low})^({high}) {inside}"


TEXT, MATHML, LATEX, TYPST = Text(), MathML(), Latex(), Typst()


def symbol_parts(name: str) -> tuple[str, str]:
    """Base and subscript of a glossary name's symbol, or of a symbol that only a derivation uses."""
    symbol = term(name).symbol if name in GLOSSARY else name
    base, _, sub = symbol.partition("_")
    return base, sub.replace("_", " ")


class _Walk:
    """One pass over a tree in one notation. `numbers` maps a glossary name to the text put in for it."""

    def __init__(self, notation: Notation, numbers: Mapping[str, str]) -> None:
        self.n = notation
        self.numbers = numbers
        # With numbers in, a product needs a sign between its factors that a decimal point cannot be taken for.
        self.times = "×" if numbers else notation.times

    def held(self, tree: sympy.Basic, at_least: int) -> str:
        text, holds = self.piece(tree)
        return text if holds >= at_least else self.n.brackets(text)

    def text(self, tree: sympy.Basic) -> str:
        return self.piece(tree)[0]

    def piece(self, tree: sympy.Basic) -> Piece:
        for kind, write in self._WRITERS:
            if isinstance(tree, kind):
                return write(self, tree)
        raise NotImplementedError(f"cannot print {type(tree).__name__}")

    def symbol(self, tree: sympy.Symbol) -> Piece:
        if tree.name in self.numbers:
            text = self.numbers[tree.name]
            plain = tree.name in GLOSSARY and term(tree.name).us == ""
            return self.n.quantity(text), _SUM if text.startswith(("-", "−")) else _ATOM if plain else _PRODUCT
        return self.n.ident(*symbol_parts(tree.name)), _ATOM

    def number(self, tree: sympy.Basic) -> Piece:
        if isinstance(tree, sympy.Float):
            text = f"{float(tree):.12g}"
            if "e" in text:
                mantissa, exponent = text.split("e")
                ten = self.n.power(self.n.number("10"), self.n.number(str(int(exponent))))
                return self.n.row([self.n.number(mantissa), self.n.op("×"), ten]), _PRODUCT
            return self.n.number(text), _SUM if float(tree) < 0 else _ATOM
        return self.n.number(str(tree)), _SUM if tree.is_negative else _ATOM

    def rational(self, tree: sympy.Rational) -> Piece:
        top, bottom = self.n.number(str(abs(tree.p))), self.n.number(str(tree.q))
        fraction = self.n.fraction(top, bottom)
        return (self.n.row([self.n.minus(), fraction]), _SUM) if tree.p < 0 else (fraction, _PRODUCT)

    def pi(self, _tree: sympy.Basic) -> Piece:
        return self.n.ident("pi", ""), _ATOM

    def sum(self, tree: sympy.Add) -> Piece:
        parts: list[str] = []
        for position, part in enumerate(tree.args):
            negative, positive = _without_minus(part)
            if negative or position:
                parts.append(self.n.op("−" if negative else "+") if position else self.n.minus())
            parts.append(self.held(positive, _PRODUCT))
        return self.n.row(parts), _SUM

    def product(self, tree: sympy.Mul) -> Piece:
        negative, positive = _without_minus(tree)
        if negative:
            return self.n.row([self.n.minus(), self.held(positive, _PRODUCT)]), _SUM
        top: list[sympy.Basic] = []
        bottom: list[sympy.Basic] = []
        for factor in tree.args:
            if isinstance(factor, sympy.Pow) and factor.exp.is_number and factor.exp.is_negative:
                bottom.append(_raised(factor.base, -factor.exp))
            elif isinstance(factor, sympy.Rational) and not isinstance(factor, sympy.Integer):
                if factor.p != 1:
                    top.append(sympy.Integer(factor.p))
                bottom.append(sympy.Integer(factor.q))
            else:
                top.append(factor)
        if not bottom:
            return self._factors(top), _PRODUCT
        loose = isinstance(self.n, Text)  # a slash needs brackets where a bar does not
        over = self._factors(top, loose) if top else self.n.number("1")
        return self.n.fraction(over, self._factors(bottom, loose)), _PRODUCT

    def _factors(self, factors: list[sympy.Basic], bracketed: bool = False) -> str:
        if len(factors) == 1:
            return self.held(factors[0], _POWER) if bracketed else self.text(factors[0])
        parts: list[str] = []
        for factor in factors:
            if parts:
                parts.append(self.n.op(self.times))
            parts.append(self.held(factor, _PRODUCT))
        row = self.n.row(parts)
        return self.n.brackets(row) if bracketed and len(factors) > 1 else row

    def pow(self, tree: sympy.Pow) -> Piece:
        base, exponent = tree.base, tree.exp
        if exponent == sympy.Rational(1, 2):
            return self.n.root(self.text(base)), _ATOM
        if exponent.is_number and exponent.is_negative:
            loose = isinstance(self.n, Text)
            under = self._factors([_raised(base, -exponent)], loose)
            return self.n.fraction(self.n.number("1"), under), _PRODUCT
        raised = self.held(exponent, _ATOM) if isinstance(self.n, Text) else self.text(exponent)
        return self.n.power(self.held(base, _ATOM), raised), _POWER

    def absolute(self, tree: sympy.Abs) -> Piece:
        return self.n.bars(self.text(tree.args[0])), _ATOM

    def exponential(self, tree: sympy.exp) -> Piece:
        raised = self.text(tree.args[0])
        if isinstance(self.n, Text):
            return self.n.call("exp", [raised]), _ATOM
        return self.n.power(self.n.ident("e", ""), raised), _POWER

    def euler_constant(self, _tree: sympy.Basic) -> Piece:
        return self.n.ident("gamma", "E"), _ATOM

    def bessel(self, tree: sympy.Function) -> Piece:
        order, argument = tree.args
        name = self.n.ident("I" if isinstance(tree, sympy.besseli) else "K", str(order))
        return self.n.row([name, self.n.brackets(self.text(argument))]), _ATOM

    def function(self, tree: sympy.Function) -> Piece:
        name = _FUNCTIONS.get(type(tree).__name__, type(tree).__name__)
        return self.n.call(name, [self.text(argument) for argument in tree.args]), _ATOM

    def unknown_function(self, tree: AppliedUndef) -> Piece:
        arguments = [self.text(argument) for argument in tree.args]
        name = self.n.ident(*symbol_parts(type(tree).__name__))
        return self.n.row([name, self.n.brackets(self.n.listed(arguments))]), _ATOM

    def several(self, tree: sympy.Tuple) -> Piece:
        return self.n.brackets(self.n.listed([self.text(part) for part in tree.args])), _ATOM

    def piecewise(self, tree: sympy.Piecewise) -> Piece:
        rows = [(self.text(value), None if when == sympy.true else self.text(when)) for value, when in tree.args]
        return self.n.cases(rows), _ATOM

    def truth(self, tree: sympy.Basic) -> Piece:
        return self.n.quantity("always" if tree == sympy.true else "never"), _ATOM

    def relation(self, tree: Relational) -> Piece:
        sign = _RELATIONS[tree.rel_op]
        return self.n.row([self.text(tree.lhs), self.n.op(sign), self.text(tree.rhs)]), _SUM

    def derivative(self, tree: sympy.Derivative) -> Piece:
        text = self.text(tree.expr)
        for variable, times in tree.variable_count:
            for _ in range(int(times)):
                text = self.n.prime(text, self.text(variable))
        return text, _PRODUCT

    def integral(self, tree: sympy.Integral) -> Piece:
        (variable, low, high) = tree.limits[0]
        inside = self.held(tree.function, _PRODUCT)
        return self.n.integral(inside, self.text(variable), self.text(low), self.text(high)), _PRODUCT

    def series(self, tree: sympy.Sum) -> Piece:
        (variable, low, high) = tree.limits[0]
        inside = self.held(tree.function, _PRODUCT)
        return self.n.series(inside, self.text(variable), self.text(low), self.text(high)), _PRODUCT

    def infinity(self, tree: sympy.Basic) -> Piece:
        sign = self.n.number("∞")
        return (sign, _ATOM) if tree.is_extended_positive else (self.n.row([self.n.minus(), sign]), _SUM)

    _WRITERS: tuple[tuple[type | tuple[type, ...], Callable[["_Walk", sympy.Basic], Piece]], ...] = (
        (sympy.Symbol, symbol),
        ((sympy.Integer, sympy.Float), number),
        (sympy.Rational, rational),
        (type(sympy.pi), pi),
        ((type(sympy.oo), type(-sympy.oo)), infinity),
        (type(sympy.EulerGamma), euler_constant),
        (sympy.Add, sum),
        (sympy.Mul, product),
        (sympy.Pow, pow),
        (sympy.Abs, absolute),
        (sympy.exp, exponential),
        (sympy.Piecewise, piecewise),
        (AppliedUndef, unknown_function),
        ((sympy.besseli, sympy.besselk), bessel),
        ((sympy.Function, sympy.Max, sympy.Min), function),
        (Relational, relation),
        (sympy.Tuple, several),
        (sympy.Derivative, derivative),
        (sympy.Integral, integral),
        (sympy.Sum, series),
        ((type(sympy.true), type(sympy.false)), truth),
    )


def _raised(base: sympy.Basic, exponent: sympy.Basic) -> sympy.Basic:
    return base if exponent == 1 else sympy.Pow(base, exponent, evaluate=False)


def _without_minus(tree: sympy.Basic) -> tuple[bool, sympy.Basic]:
    """Whether a term carries a minus in front, and the term without it."""
    if tree.is_Number and tree.is_negative:
        return True, -tree
    if isinstance(tree, sympy.Mul) and tree.args[0].is_Number and tree.args[0].is_negative:
        first = -tree.args[0]
        rest = tree.args[1:] if first == 1 else (first, *tree.args[1:])
        return True, rest[0] if len(rest) == 1 else sympy.Mul(*rest, evaluate=False)
    return False, tree


def printed(tree: sympy.Basic, notation: Notation = TEXT, numbers: Mapping[str, str] | None = None) -> str:
    """`tree` in one notation; a symbol whose name is in `numbers` is printed as that text."""
    return _Walk(notation, numbers or {}).text(tree)
