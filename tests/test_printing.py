"""The four notations: every kind of node, every formula, no text that escapes from where it is put."""

import re
from xml.etree import ElementTree

import pytest
import sympy
import typst
from sympy import Abs, Derivative, Eq, Float, Function, Integral, Max, Min, Piecewise, Rational, exp, log, pi, sqrt

from radonwork.derivations import all_derivations
from radonwork.engine.formula import Formula, symbol
from radonwork.engine.printing import GREEK, LATEX, MATHML, TEXT, TYPST, Notation, printed, symbol_parts
from radonwork.glossary import GLOSSARY
from tests.statements import ALL_FORMULAS, ALL_SOLVERS, held_points

A, B, ANGLE = symbol("bore"), symbol("small_bore"), symbol("lean")
N, P = symbol("pipe_count"), symbol("bore_exponent")
X = sympy.Symbol("x_1", positive=True)
with sympy.evaluate(False):
    NODES: dict[str, sympy.Basic] = {
        "D": A,
        "x_1": X,
        "3": sympy.Integer(3),
        "−3 · D": -3 * A,
        "0.0791": Float("0.0791"),
        "1.5 × 10^-7": Float("1.5e-7"),
        "3 / 4": Rational(3, 4),
        "−3 / 4": Rational(-3, 4),
        "π": pi,
        "D + D_s": A + B,
        "D − D_s": A - B,
        "D − 2 · D_s": A - 2 * B,
        "−D + D_s": -A + B,
        "D · (D + D_s)": A * (A + B),
        "D / D_s": A / B,
        "D / (2 · D_s)": A / (2 * B),
        "(D + D_s) / (D − D_s)": (A + B) / (A - B),
        "D^2": A**2,
        "(D + D_s)^2": (A + B) ** 2,
        "(D / D_s)^p": (A / B) ** P,
        "D^(p − 1)": A ** (P - 1),
        "D^(1 / 3)": A ** Rational(1, 3),
        "1 / D^2": A**-2,
        "1 / D": 1 / A,
        "√(D + D_s)": sqrt(A + B),
        "1 / √(D)": 1 / sqrt(A),
        "|D − D_s|": Abs(A - B),
        "exp(D / D_s)": exp(A / B),
        "ln(D)": log(A),
        "sin(θ)": sympy.sin(ANGLE),
        "arcsin(D / D_s)": sympy.asin(A / B),
        "arccos(D)": sympy.acos(A),
        "arctan(D)": sympy.atan(A),
        "tan(θ)^2": sympy.tan(ANGLE) ** 2,
        "max(D, D_s)": Max(A, B),
        "min(D, D_s)": Min(A, B),
        "{D if D > D_s; D_s otherwise}": Piecewise((A, A > B), (B, True)),
        "D = D_s": Eq(A, B),
        "D ≤ D_s": sympy.Le(A, B),
        "D ≥ D_s": sympy.Ge(A, B),
        "D ≠ D_s": sympy.Ne(A, B),
        "d(Q(D))/dD": Derivative(Function("air_flow")(A), A),
    }
NODES["(D, D_s)"] = sympy.Tuple(A, B)
NODES["∫[0..D] 2 · x_1 dx_1"] = Integral(2 * X, (X, 0, A))

NOTATIONS: dict[str, Notation] = {"text": TEXT, "mathml": MATHML, "latex": LATEX, "typst": TYPST}


@pytest.mark.parametrize("expected", NODES)
def test_every_kind_of_node_is_printed_as_plain_text(expected: str) -> None:
    assert printed(NODES[expected]) == expected


@pytest.mark.parametrize("notation", NOTATIONS)
@pytest.mark.parametrize("node", NODES)
def test_every_kind_of_node_is_printed_in_every_notation(node: str, notation: str) -> None:
    text = printed(NODES[node], NOTATIONS[notation])
    assert text
    assert text.count("(") == text.count(")")
    assert notation == "mathml" or text.count("{") == text.count("}")


def test_what_cannot_be_printed_says_so() -> None:
    with pytest.raises(NotImplementedError, match="cannot print FiniteSet"):
        printed(sympy.FiniteSet(A, B))


# ---------------------------------------------------------------- numbers put in


def put_in(tree: sympy.Basic, **numbers: str) -> str:
    return printed(tree, TEXT, numbers)


def test_numbers_are_put_in_with_their_units_and_a_sign_no_point_can_be() -> None:
    assert put_in(2 * A, bore="3.068 in") == "2 × 3.068 in"
    assert put_in(sympy.Mul(A, B, evaluate=False), bore="3 in", small_bore="2 in") == "3 in × 2 in"


def test_a_number_with_a_unit_is_bracketed_where_a_power_would_take_only_the_unit() -> None:
    assert put_in(A**2, bore="3.068 in") == "(3.068 in)^2"
    assert put_in(N**2, pipe_count="2") == "2^2"
    assert put_in(A / B, bore="3 in", small_bore="2 in") == "(3 in) / (2 in)"


def test_a_negative_number_put_in_is_bracketed() -> None:
    margin = symbol("cavity_margin")
    assert put_in(A - margin, bore="3 in", cavity_margin="-1 in") == "3 in − (-1 in)"
    assert put_in(2 * margin, cavity_margin="-1 in") == "2 × (-1 in)"


def test_a_symbol_without_a_number_stays_a_symbol() -> None:
    assert put_in(A + B, bore="3 in") == "3 in + D_s"


# ---------------------------------------------------------------- MathML


def xml(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(MATHML.whole(text))


CHILDREN = {"mfrac": 2, "msup": 2, "msub": 2, "msubsup": 3, "munderover": 3}
ELEMENTS = {*CHILDREN, "math", "mrow", "mi", "mn", "mo", "mtext", "msqrt", "mtable", "mtr", "mtd", "mspace"}


def well_formed(root: ElementTree.Element) -> None:
    for element in root.iter():
        name = element.tag.split("}")[1]
        assert name in ELEMENTS
        assert len(element) == CHILDREN.get(name, len(element)), name


@pytest.mark.parametrize("node", NODES)
def test_every_kind_of_node_is_well_formed_mathml(node: str) -> None:
    well_formed(xml(printed(NODES[node], MATHML)))


@pytest.mark.parametrize("statement", [*ALL_FORMULAS, *ALL_SOLVERS], ids=lambda s: s.name)
def test_the_work_of_every_statement_is_well_formed_mathml(statement: Formula) -> None:
    for system in ("us", "metric"):
        for line in statement.work(system, **held_points(statement, 5)[0]).steps(MATHML):  # type: ignore[arg-type]
            well_formed(xml(line))


def test_text_put_into_mathml_is_escaped() -> None:
    line = printed(A, MATHML, {"bore": "<script>alert('&')</script>"})
    assert "<script" not in line
    assert "".join(xml(line).itertext()) == "<script>alert('&')</script>"


def test_a_greek_letter_and_its_subscript_are_printed_in_mathml() -> None:
    assert printed(symbol("start_lean"), MATHML) == "<msub><mi>θ</mi><mi mathvariant='normal'>0</mi></msub>"


# ---------------------------------------------------------------- LaTeX


def test_latex_has_no_sign_that_only_unicode_has() -> None:
    for tree in NODES.values():
        assert printed(tree, LATEX).isascii(), printed(tree, LATEX)


def test_a_fraction_and_a_root_in_latex() -> None:
    with sympy.evaluate(False):
        assert printed(A / B, LATEX).replace(" ", "") == r"\frac{D}{D_{\mathrm{s}}}"
        assert printed(sqrt(A), LATEX).replace(" ", "") == r"\sqrt{D}"


# ---------------------------------------------------------------- Typst


def compiles(lines: list[str]) -> None:
    """Raises typst's own error where a line is not its mathematics."""
    body = "\n\n".join(f"$ {line} $" for line in lines)
    assert typst.compile(body.encode(), format="pdf")[:4] == b"%PDF"


def test_every_kind_of_node_compiles_as_typst() -> None:
    compiles([printed(tree, TYPST) for tree in NODES.values()])


@pytest.mark.parametrize("statement", [*ALL_FORMULAS, *ALL_SOLVERS], ids=lambda s: s.name)
def test_the_work_of_every_statement_compiles_as_typst(statement: Formula) -> None:
    point = held_points(statement, 5)[0]
    compiles([line for system in ("us", "metric") for line in statement.work(system, **point).steps(TYPST)])  # type: ignore[arg-type]


def test_typst_refuses_what_is_no_mathematics() -> None:
    with pytest.raises(Exception, match="unclosed delimiter"):
        compiles(["frac(a, "])


def test_text_put_into_typst_stays_inside_its_string() -> None:
    line = printed(A, TYPST, {"bore": 'in" #panic("out") \\'})
    compiles([line])
    assert line == '"in\\" #panic(\\"out\\") \\\\"'


# ---------------------------------------------------------------- derivations and symbols


@pytest.mark.parametrize("derivation", all_derivations().values(), ids=lambda d: d.of.name)
def test_every_line_of_a_derivation_is_printed_in_every_notation(derivation) -> None:  # type: ignore[no-untyped-def]
    equations = [step.equation for step in derivation.steps]
    for equation in equations:
        well_formed(xml(printed(equation, MATHML)))
        assert printed(equation, TEXT)
        assert printed(equation, LATEX)
    compiles([printed(equation, TYPST) for equation in equations])


def test_every_symbol_of_the_glossary_has_a_base_that_is_known() -> None:
    for name in GLOSSARY:
        base, sub = symbol_parts(name)
        assert base in GREEK or re.fullmatch("[A-Za-z]{1,2}", base), (name, base)
        assert re.fullmatch(r"[\w ,.]*", sub)
