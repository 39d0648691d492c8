"""Laws that hold for every formula and solver there is, whoever wrote it."""

import re
import subprocess
import sys
import warnings
from collections.abc import Callable, Iterator
from contextlib import suppress
from importlib import import_module
from typing import Any

import numpy as np
import pytest
import sympy

from radonwork import files
from radonwork.derivations import all_derivations, derivation_of
from radonwork.engine import formula as formula_module
from radonwork.engine.case import Case, cases
from radonwork.engine.compiling import function_of
from radonwork.engine.formula import Condition, Formula, NotSolvable, RangeError, symbol
from radonwork.engine.program import Program
from radonwork.engine.solver import Solver
from radonwork.files import DATA
from radonwork.glossary import term
from radonwork.units import DIMENSIONS, decimal, to_unit
from tests import javascript
from tests.outside import CHECKED_BY_TEST, HAS_DIMENSIONAL_NUMBERS, NOT_REARRANGED
from tests.reworked import Printed, rounding_of_result
from tests.statements import (
    ALL_FORMULAS,
    ALL_SOLVERS,
    FORMULA_MODULES,
    SOLVER_MODULES,
    all_drawings,
    columns,
    held_points,
    holds,
    results,
)

Statement = Formula | Solver
ALL = [*ALL_FORMULAS, *ALL_SOLVERS]
every_formula = pytest.mark.parametrize("formula", ALL_FORMULAS, ids=lambda f: f.name)
every_statement = pytest.mark.parametrize("statement", ALL, ids=lambda s: s.name)


# ---------------------------------------------------------------- dimensions


def stretched(points: dict[str, np.ndarray], factors: dict[str, float]) -> dict[str, np.ndarray]:
    """The same points written in other base units."""
    return {name: values * stretch(name, factors) for name, values in points.items()}


def stretch(name: str, factors: dict[str, float]) -> float:
    base = DIMENSIONS[term(name).dimension].base
    return float(np.prod([factors[unit] ** power for unit, power in base.items()]))


def unguarded(statement: Statement) -> Callable[..., dict[str, Any]]:
    """The statement without its ranges, which are stated in one set of units."""
    if isinstance(statement, Solver):
        return lambda **terms: dict(statement.function(**terms))
    work = function_of(statement.takes, statement.expression, "numpy")
    return lambda **terms: {statement.result: work(**terms)}


def follows_its_units(statement: Statement) -> bool:
    """Whether the answer stretches by its own unit when the base units of everything put in are stretched."""
    points = columns(held_points(statement, 12 if isinstance(statement, Solver) else 60))
    rng = np.random.default_rng(7)
    work = unguarded(statement)
    before = work(**points)
    for _ in range(4):
        factors = dict(zip(BASE_UNITS, rng.uniform(0.5, 2, len(BASE_UNITS)), strict=True))
        try:
            after = work(**stretched(points, factors))
        except ValueError:  # a number inside holds in one set of units only
            return False
        for name in statement.gives:
            wanted = np.asarray(before[name]) * stretch(name, factors)
            scale = float(np.max(np.abs(wanted)))
            if not np.allclose(
                after[name], wanted, rtol=1e-6 if isinstance(statement, Solver) else 1e-9, atol=1e-9 * scale
            ):
                return False
    return True


BASE_UNITS = sorted({unit for dimension in DIMENSIONS.values() for unit in dimension.base})


@every_statement
def test_the_answer_stretches_by_its_own_unit_when_the_base_units_are_stretched(statement: Statement) -> None:
    if statement.name in HAS_DIMENSIONAL_NUMBERS:
        assert not follows_its_units(statement), "it does follow its units; take it off the list of exceptions"
    else:
        assert follows_its_units(statement)


def test_no_formula_holds_a_number_of_some_unit_that_its_printed_work_would_not_show() -> None:
    assert not set(HAS_DIMENSIONAL_NUMBERS) & {formula.name for formula in ALL_FORMULAS}


def test_a_formula_with_a_dimension_wrong_would_be_found() -> None:
    right = ALL_FORMULAS[0].__class__(
        "x", "x", "bore_area", symbol("bore") ** 2, ("bore",), ALL_FORMULAS[0].source
    )  # fmt: skip
    wrong = right.__class__("x", "x", "bore_area", symbol("bore") ** 2 + symbol("bore"), ("bore",), right.source)
    assert follows_its_units(right)
    assert not follows_its_units(wrong)


# ---------------------------------------------------------------- numbers, arrays, rearranged forms


@every_statement
def test_an_array_gives_what_its_numbers_give_one_by_one(statement: Statement) -> None:
    points = held_points(statement, 6 if isinstance(statement, Solver) else 40)
    together = dict(results(statement(**columns(points)), statement.gives))
    alone = [dict(results(statement(**point), statement.gives)) for point in points]
    for name in statement.gives:
        assert np.shape(together[name]) == (len(points),)
        singles = np.array([found[name] for found in alone])
        scale = float(np.max(np.abs(singles)))
        assert together[name] == pytest.approx(
            singles, rel=1e-7 if isinstance(statement, Solver) else 1e-11, abs=1e-13 * scale
        )
        assert all(isinstance(found[name], float) for found in alone)


@every_formula
def test_what_is_compiled_here_is_what_sympy_compiles(formula: Formula) -> None:
    points = held_points(formula, 40)
    oracle = sympy.lambdify([symbol(name) for name in formula.takes], formula.expression, ["scipy", "numpy"])
    with np.errstate(all="ignore"):  # in the cases of a statement that do not count
        wanted = np.broadcast_to(oracle(*columns(points).values()), (len(points),))
    # The order of a sum is not the same, which shows where its parts nearly cancel.
    near = pytest.approx(wanted, rel=1e-11, abs=1e-13 * float(np.max(np.abs(wanted))))
    assert formula(**columns(points)) == near
    assert np.array([formula(**point) for point in points]) == near


@every_formula
def test_long_arrays_give_the_same_to_the_last_bit(formula: Formula, monkeypatch: pytest.MonkeyPatch) -> None:
    """Worked in blocks, some shorter than others, as worked whole; with all terms as arrays, and each as a number."""
    points = {name: np.resize(values, 1011) for name, values in columns(held_points(formula, 40)).items()}
    rows: list[dict[str, Any]] = [points, *({**points, name: float(points[name][0])} for name in points)]
    for row in rows:
        arrays = {name: value for name, value in row.items() if isinstance(value, np.ndarray)}
        if not arrays:
            continue
        monkeypatch.setattr(formula_module, "BLOCK", 100)
        blocks = formula._in_blocks(row, arrays)
        monkeypatch.setattr(formula_module, "BLOCK", 10_000)
        try:
            whole = formula(**row)
        except RangeError:
            assert blocks is None
        else:
            assert blocks is not None
            assert blocks.tobytes() == np.asarray(whole).tobytes()


@every_formula
def test_a_rearranged_form_returns_the_term_it_was_made_from(formula: Formula) -> None:
    """Or it names that term among those that do, or one from which on it makes no difference."""
    points = held_points(formula, 30, seed=3)
    solvable = []
    for name in formula.takes:
        if name in formula.defaults:
            continue
        try:
            rearranged = formula.solved_for(name)
        except NotSolvable:
            continue
        solvable.append(name)
        assert rearranged.result == name
        told, untold = [], []
        for point in points:
            answer = formula(**point)
            known = {formula.result: answer} | {other: point[other] for other in point if other != name}
            try:
                back = rearranged(**known)
            except RangeError as refusal:
                untold.append(f"{refusal}" * (not is_one_of_several(formula, point, name, str(refusal))))
                continue
            told.append(known | {name: back})
            lost = abs(formula.worked(point | {name: point[name] * (1 + 1e-6)}) - answer) <= 1e-14 * abs(answer)
            assert lost or back == pytest.approx(point[name], rel=1e-6)
        assert not any(untold)
        if told:
            together = rearranged(**{other: values for other, values in columns(told).items() if other != name})
            assert together == pytest.approx(columns(told)[name], rel=1e-9)
    if formula.name in NOT_REARRANGED:
        assert not solvable, f"it can be rearranged for {solvable}; take it off the list of exceptions"
    else:
        assert solvable, "it can be rearranged for nothing: list it with the reason in tests/outside.py"


def is_one_of_several(formula: Formula, point: dict[str, float], name: str, line: str) -> bool:
    """Whether a refusal to give back a term names it among several, or the side on which it lies and none differs."""
    assert f"does not tell the {term(name).label}: " in line
    named, answer = line.partition(f"does not tell the {term(name).label}: ")[2], formula.worked(point)
    several, more, rest = named.partition(" give it")
    if more and not rest.startswith("s"):
        ends = re.split(r", | and ", several)
        if decimal(point[name], term(name).unit("us")) in ends:
            return True
        low, high = (term(name).read(end).value for end in ends)
        middle = formula.worked(point | {name: (low + high) / 2})
        return "between" in rest and low < point[name] < high and middle == pytest.approx(answer, rel=1e-12)
    first, _, sides = named.partition(" gives it, and so do values ")
    end = term(name).read(first).value
    side, shift = ("below", 1 - 1e-3) if point[name] < end else ("above", 1 + 1e-3)  # four digits of the end are said
    beside = formula.worked(point | {name: end * shift})
    return side in sides and beside == pytest.approx(answer, rel=1e-12)


# ---------------------------------------------------------------- outside the range


def refused(statement: Statement, point: dict[str, float], name: str) -> str:
    """The one line with which a value is refused."""
    with pytest.raises(RangeError) as refusal:
        statement(**point)
    line = str(refusal.value)
    assert "\n" not in line
    assert len(line) < 400
    assert statement.name in line
    assert term(name).label in line
    return line


@every_statement
def test_a_value_outside_what_it_covers_is_refused_in_one_line_that_names_it(statement: Statement) -> None:
    point = held_points(statement, 5)[0]
    for name in statement.takes:
        low, high = statement.ranges.get(name, (-np.inf if term(name).signed else 0.0, np.inf))
        beyond = 0.01 * (high - low if np.isfinite(high - low) else abs(low) or 1.0)
        outside = [low - beyond, high + beyond]
        for value in [*outside, np.nan, np.inf, -np.inf]:
            refused(statement, point | {name: float(value)}, name)
            one_bad = {k: np.array([v, v]) for k, v in point.items()} | {name: np.array([point[name], value])}
            with pytest.raises(RangeError):
                statement(**one_bad)


@every_statement
def test_a_relation_that_does_not_hold_is_refused_in_its_own_words(statement: Statement) -> None:
    for condition in statement.conditions:
        broken = next((p for p in wide_of(statement, condition) if not condition.holds(p)), None)
        assert broken, f"nothing breaks the condition {condition.text!r}"
        with pytest.raises(RangeError) as refusal:
            statement(**broken)
        assert "\n" not in str(refusal.value)


def wide_of(statement: Statement, condition: Condition) -> Iterator[dict[str, float]]:
    """Points of a statement's ranges that lie far from where it usually holds, in the terms of a condition."""
    rng = np.random.default_rng(1)
    point = held_points(statement, 5)[0]
    names = [s.name for s in condition.relation.free_symbols if s.name not in statement.defaults]
    ranges = {name: statement.ranges.get(name, (-np.inf if term(name).signed else 0.0, np.inf)) for name in names}
    for _ in range(20_000):
        signs = rng.choice([-1.0, 0.0, 1.0], len(names), p=[0.4, 0.1, 0.5])
        moved = {name: point[name] * sign * 10 ** rng.uniform(-3, 3) for name, sign in zip(names, signs, strict=True)}
        if all(ranges[name][0] <= value <= ranges[name][1] for name, value in moved.items()):
            yield point | moved


def forms_of(statement: Statement) -> Iterator[Statement]:
    """A statement and every way in which it can be rearranged."""
    yield statement
    for name in statement.takes if isinstance(statement, Formula) else ():
        with suppress(NotSolvable):
            if name not in statement.defaults:
                yield statement.solved_for(name)


def wild_points(statement: Statement, count: int) -> Iterator[dict[str, float]]:
    """Values of the glossary's ranges, their ends, nothing, far too small and far too large ones, all mixed."""
    rng = np.random.default_rng(5)
    names = [name for name in statement.takes if name not in statement.defaults]
    for _ in range(count):
        point = {}
        for name in names:
            low, high = term(name).si_range
            far = high * 10 ** rng.uniform(-9, 9)
            some = [rng.uniform(low, high), low, high, 0.0, far, 5e-324, 1e300]
            point[name] = float(rng.choice(some, p=[0.6, 0.08, 0.08, 0.08, 0.08, 0.04, 0.04]))
        yield point


@every_statement
def test_whatever_is_given_it_answers_or_refuses_and_warns_of_nothing(statement: Statement) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for form in forms_of(statement):
            for point in wild_points(form, 3 if isinstance(form, Solver) else 12):
                with suppress(RangeError):
                    form.work(**point)


# ---------------------------------------------------------------- sources and checks from outside


@every_statement
def test_it_has_a_source_a_title_and_terms_of_the_glossary(statement: Statement) -> None:
    assert str(statement.source)
    assert statement.source.kind != "from memory, unverified"
    assert statement.source.key or statement.source.place
    assert statement.title[0].isupper()
    assert not statement.title.endswith(".")
    for name in (*statement.takes, *statement.gives):
        assert term(name).meaning


@every_statement
def test_it_is_checked_by_something_outside_the_project(statement: Statement) -> None:
    deciding = [case for case in cases() if case.of == statement.name and case.decides]
    if statement.name in CHECKED_BY_TEST:
        module, _, test = CHECKED_BY_TEST[statement.name].partition("::")
        found = import_module(module.removesuffix(".py").replace("/", "."))
        assert callable(getattr(found, test.partition("[")[0], None)), f"there is no {CHECKED_BY_TEST[statement.name]}"
    else:
        assert deciding, "no case decides it and no test in tests/outside.py checks it"


@pytest.mark.parametrize("case", cases(), ids=lambda c: f"{c.topic}-{c.name}")
def test_every_published_value_agrees(case: Case) -> None:
    if not case.decides:
        case.compare()
        pytest.skip("from memory: shown, never decides")
    for compared in case.compare():
        assert compared.agrees, (
            f"{compared.term}: published {compared.published.text}, ours {compared.ours_shown}, "
            f"allowed {compared.tolerance:.3g} in SI"
        )


def test_every_case_speaks_of_a_statement_there_is_and_is_named_once() -> None:
    names = [case.name for case in cases()]
    assert len(names) == len(set(names))
    assert {case.of for case in cases()} <= {statement.name for statement in ALL}


def test_no_tolerance_is_wider_than_its_case_gives_a_reason_for() -> None:
    for case in cases():
        assert not case.within or len(case.because.split()) > 1, case.name
        assert case.source.kind != "reference library" or case.library, f"{case.name} names no library"


def test_the_names_of_formulas_and_solvers_are_taken_once() -> None:
    for registry, module_list in ((ALL_FORMULAS, FORMULA_MODULES), (ALL_SOLVERS, SOLVER_MODULES)):
        by_name = {statement.name: statement for statement in registry}
        for module in module_list:
            for attribute, value in vars(module).items():
                if isinstance(value, Formula | Solver) and value.name == attribute:
                    assert by_name[attribute] is value, f"{attribute} of {module.__name__} was overwritten"
    assert not {f.name for f in ALL_FORMULAS} & {s.name for s in ALL_SOLVERS}


def test_the_lists_of_exceptions_name_only_what_there_is() -> None:
    names = {statement.name for statement in ALL}
    assert set(CHECKED_BY_TEST) <= names
    assert set(HAS_DIMENSIONAL_NUMBERS) <= names
    assert set(NOT_REARRANGED) <= names


# ---------------------------------------------------------------- derivations


@pytest.mark.parametrize("derivation", all_derivations().values(), ids=lambda d: d.of.name)
def test_a_derivation_ends_in_its_formula(derivation: Any) -> None:
    assert derivation.agrees()
    assert not derivation.steps[-1].premise, "the last line is written down, not worked out"
    final = derivation.steps[-1].equation
    for step in derivation.steps:
        assert step.sentence.strip()
        assert not (step.premise and step.equation == final), "the answer is among the premises"


@every_formula
def test_a_formula_said_to_be_derived_has_its_derivation(formula: Formula) -> None:
    assert formula.source.kind != "derived" or formula.name in all_derivations()


ALONE = """
import pkgutil
from importlib import import_module
import radonwork.derivations
from radonwork.engine.derivation import DERIVATIONS
for found in pkgutil.iter_modules(radonwork.derivations.__path__):
    import_module(f"radonwork.formulas.{found.name}")
    before = set(DERIVATIONS)
    import_module(f"radonwork.derivations.{found.name}")
    print(*(f"{name} radonwork.formulas.{found.name}" for name in set(DERIVATIONS) - before), sep="\\n")
"""


def test_a_derivation_stands_beside_its_formula_and_is_loaded_with_no_other() -> None:
    # Asked of a new process: in this one all are loaded.
    done = subprocess.run([sys.executable, "-c", ALONE], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    stands = dict(line.split() for line in done.stdout.splitlines())
    assert stands == {name: derivation.of.function.__module__ for name, derivation in all_derivations().items()}


def test_asking_for_a_derivation_that_is_not_there_is_refused() -> None:
    assert derivation_of("bore_area") is all_derivations()["bore_area"]
    for name in ("pipe_bore", "pair_mean", "no_such_formula"):
        with pytest.raises(KeyError, match=name):
            derivation_of(name)


# ---------------------------------------------------------------- shown work


@pytest.mark.parametrize("system", ["us", "metric"])
@every_statement
def test_the_printed_numbers_worked_by_hand_give_the_printed_result(statement: Statement, system: Any) -> None:
    for point in held_points(statement, 4 if isinstance(statement, Solver) else 12, seed=5):
        work = statement.work(system, **point)
        lines = list(work.steps())
        equations = list(work.statement.equations)
        for line, equation in zip(lines[1::2], equations, strict=False):
            left, right = line.split(" = ", 1)
            worked = Printed(right, work.values, system)
            if equation.lhs.is_Symbol and equation.lhs.name in work.results:
                name = equation.lhs.name
                value, allowed = work.results[name], rounding_of_result(work.results[name], term(name).unit(system))
                said = lines[2 * len(equations) + list(work.results).index(name)]
                assert said.endswith(decimal(work.results[name], term(name).unit(system), 5))
            else:
                other = Printed(left, work.values, system)
                value, allowed = other.value(), other.slack()
            assert not worked.wrongly_rounded
            assert abs(worked.value() - value) <= worked.slack() + allowed + 1e-9 * abs(value), (
                line,
                worked.value(),
                value,
            )


# ---------------------------------------------------------------- JavaScript


POINTS = 10_000
IN_PAGES = [formula for formula in ALL_FORMULAS if formula.runs_in_page]


def test_only_a_statement_that_javascript_has_no_function_for_is_kept_out_of_pages() -> None:
    for formula in ALL_FORMULAS:
        if not formula.runs_in_page:
            with pytest.raises(NotImplementedError, match="Bessel"):
                print(program(formula).javascript)


def program(formula: Formula) -> Program:
    return Program((formula,), (symbol(formula.result),))


def rows(made: Program, points: dict[str, np.ndarray]) -> np.ndarray:
    return np.column_stack([points[name] for name in made.takes])


def wide_points(statement: Formula, count: int) -> dict[str, np.ndarray]:
    """`count` points at which the formula holds."""
    held: list[dict[str, float]] = []
    for seed in range(40):
        held += held_points(statement, count, seed=seed)
        if len(held) >= count:
            return columns(held[:count])
    raise AssertionError(f"{statement.name} holds at too few points of the glossary's ranges")


@pytest.fixture(scope="module")
def in_javascript() -> dict[str, tuple[dict[str, np.ndarray], np.ndarray]]:
    """Points and JavaScript's answers for every formula, from one process."""
    points = {formula.name: wide_points(formula, POINTS) for formula in IN_PAGES}
    jobs = [(program(formula), rows(program(formula), points[formula.name])) for formula in IN_PAGES]
    found = javascript.run(jobs)
    return {f.name: (points[f.name], out[:, 0]) for f, out in zip(IN_PAGES, found, strict=True)}


@pytest.mark.parametrize("formula", IN_PAGES, ids=lambda f: f.name)
def test_javascript_gives_what_python_gives_to_a_millionth_millionth(formula: Formula, in_javascript: Any) -> None:
    points, theirs = in_javascript[formula.name]
    made = program(formula)
    ours = np.array([made(dict(zip(points, row, strict=True)))[0] for row in zip(*points.values(), strict=True)])
    assert len(ours) == len(theirs) == POINTS
    for answers in (ours, np.asarray(formula(**points))):
        # Where a difference crosses zero, the last bit of its parts is all that is left of it.
        size = np.maximum(np.abs(answers), np.median(np.abs(answers)))
        assert np.all(np.abs(theirs - answers) <= 1e-12 * size + last_bit(formula, points)), np.max(
            np.abs(theirs - answers) / size
        )


def last_bit(formula: Formula, points: dict[str, np.ndarray]) -> np.ndarray:
    """How far the last bit of what is put in moves the answer: nearer than that no two ways of working can agree."""
    work = unguarded(formula)
    here, moved = work(**points)[formula.result], np.zeros(POINTS)
    for name, values in points.items():
        moved += np.abs(work(**points | {name: np.nextafter(values, np.inf)})[formula.result] - here)
    return moved


@pytest.mark.parametrize("runner", ["run_in_node", "run_in_chromium"])
def test_node_and_chromium_give_the_same_bits(runner: str) -> None:
    if runner == "run_in_node" and not javascript.NODE:
        pytest.skip("no Node here; Chromium runs the programs")
    formula = ALL_FORMULAS[0]
    points = columns(held_points(formula, 50))
    (found,) = getattr(javascript, runner)([(program(formula), rows(program(formula), points))])
    assert found[:, 0] == pytest.approx(formula(**points), rel=1e-14)


@pytest.mark.parametrize("drawing", all_drawings(), ids=lambda d: d.name)
def test_a_drawing_has_the_same_numbers_in_javascript_and_in_python(drawing: Any) -> None:
    template, described = drawing.template("us"), drawing.description("us")
    made = drawing.program(template, described)
    rng = np.random.default_rng(11)
    low, high = np.array([term(name).si_range for name in made.takes]).T
    inputs = rng.uniform(low, high, (500, len(made.takes)))
    whole = [i for i, name in enumerate(made.takes) if term(name).dimension == "count"]
    inputs[:, whole] = np.round(inputs[:, whole])
    keep = [row for row in inputs if all(holds_in(drawing, dict(zip(made.takes, row, strict=True))))]
    assert len(keep) > 50
    (theirs,) = javascript.run([(made, np.array(keep))])
    ours = np.array([made(dict(zip(made.takes, row, strict=True))) for row in keep])
    scale = np.maximum(np.abs(ours), 1.0)  # a pixel is the least that shows
    assert np.all(np.abs(theirs - ours) <= 1e-12 * scale * 1e3), np.max(np.abs(theirs - ours) / scale)


def holds_in(drawing: Any, values: dict[str, float]) -> list[bool]:
    held = []
    for formula in drawing.formulas:
        ok = holds(formula, {name: values[name] for name in formula.takes if name in values})
        held.append(ok)
        if not ok:
            break
        values[formula.result] = float(formula(**{name: values[name] for name in formula.takes if name in values}))
    return held


# ---------------------------------------------------------------- the glossary and the data


def test_every_unit_shown_belongs_to_its_dimension() -> None:
    for statement in ALL:
        for name in (*statement.takes, *statement.gives):
            for system in ("us", "metric"):
                assert term(name).unit(system) in DIMENSIONS[term(name).dimension].units, name  # type: ignore[arg-type]
                assert np.isfinite(to_unit(1.0, term(name).unit(system)))  # type: ignore[arg-type]


def test_every_quantity_stands_once_in_the_glossary() -> None:
    names = [row["name"] for row in files.rows(DATA / "glossary.csv")]
    assert len(names) == len(set(names))


def test_every_case_file_is_named_as_a_topic_and_holds_cases() -> None:
    topics = {case.topic for case in cases()}
    for path in (DATA / "cases").glob("*.toml"):
        assert re.fullmatch(r"[a-z_]+", path.stem)
        assert path.stem in topics, f"{path.name} holds no case"
