"""What a workbook may hold: words, and cells that say a few things the library does. Nothing is run here."""

import ast
import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from radonwork.files import WORKBOOKS
from radonwork.house.job import topics

LOGIC = (
    ast.AsyncFunctionDef, ast.AugAssign, ast.BinOp, ast.BoolOp, ast.ClassDef, ast.Compare, ast.comprehension, ast.For,
    ast.FunctionDef, ast.If, ast.IfExp, ast.Lambda, ast.Match, ast.Try, ast.UnaryOp, ast.While, ast.With,
)  # fmt: skip
PATHS = sorted(WORKBOOKS.glob("*.ipynb"))

every_workbook = pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)


def cells(path: Path, kind: str) -> list[dict[str, Any]]:
    return [cell for cell in json.loads(path.read_text(encoding="utf-8"))["cells"] if cell["cell_type"] == kind]


def code(path: Path) -> list[ast.Module]:
    return [ast.parse("".join(cell["source"])) for cell in cells(path, "code")]


def test_there_is_a_start_page_and_the_others_are_numbered_in_the_order_of_the_job() -> None:
    names = [path.name for path in PATHS]
    assert names[0] == "00-start.ipynb"
    assert all(re.fullmatch(r"\d\d-[a-z-]+\.ipynb", name) for name in names)
    numbers = {topic.workbook: topic.part for topic in topics().values()}
    assert all(int(name[:2]) == part for name, part in numbers.items())


@every_workbook
def test_a_cell_holds_no_logic(path: Path) -> None:
    for module in code(path):
        for node in ast.walk(module):
            assert not isinstance(node, LOGIC), ast.unparse(node)


@every_workbook
def test_a_cell_says_at_most_four_things(path: Path) -> None:
    for module in code(path):
        assert 1 <= len(module.body) <= 4, ast.unparse(module)


@every_workbook
def test_a_cell_imports_only_from_radonwork_and_runs_no_command(path: Path) -> None:
    for module in code(path):  # a line of the shell or of magic does not parse as Python, and so ends in an error above
        for node in ast.walk(module):
            assert not isinstance(node, ast.Import), ast.unparse(node)
            if isinstance(node, ast.ImportFrom):
                assert str(node.module).split(".")[0] == "radonwork", ast.unparse(node)


@every_workbook
def test_the_first_cell_of_code_builds_all_that_the_others_use(path: Path) -> None:
    first, *others = code(path)
    assert any(isinstance(node, ast.ImportFrom) for node in first.body)
    for module in others:
        for node in ast.walk(module):
            assert not isinstance(node, ast.ImportFrom | ast.Assign | ast.NamedExpr), ast.unparse(node)


@every_workbook
def test_the_stored_run_is_one_run_from_top_to_bottom(path: Path) -> None:
    counts = [cell["execution_count"] for cell in cells(path, "code")]
    assert counts == list(range(1, len(counts) + 1))


@every_workbook
def test_every_cell_that_ends_in_something_to_see_has_its_output(path: Path) -> None:
    for cell, module in zip(cells(path, "code"), code(path), strict=True):
        ends_in_something = isinstance(module.body[-1], ast.Expr)
        results = [output for output in cell["outputs"] if output["output_type"] == "execute_result"]
        assert len(results) == ends_in_something, "".join(cell["source"])
        for result in results:
            text = "".join(result["data"]["text/plain"])
            assert text.strip()
            assert not re.search(r"0x[0-9a-f]{6,}", text), f"an address changes with every run: {text}"


@every_workbook
def test_no_output_is_an_error_or_a_warning(path: Path) -> None:
    for cell in cells(path, "code"):
        for output in cell["outputs"]:
            assert output["output_type"] != "error"
            assert output.get("name") != "stderr"


@every_workbook
def test_the_file_holds_no_state_of_widgets_or_machines(path: Path) -> None:
    notebook = json.loads(path.read_text(encoding="utf-8"))
    assert set(notebook["metadata"]) <= {"kernelspec", "radonwork"}
    for cell in notebook["cells"]:
        assert "execution" not in cell["metadata"]


@every_workbook
def test_no_heading_skips_a_level(path: Path) -> None:
    """Who listens goes from heading to heading: under one of level 2 comes a 3, not a 4."""
    found = [(0, "")]
    for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
        text = "".join(cell["source"]) if cell["cell_type"] == "markdown" else ""
        found += [(len(signs), words) for signs, words in re.findall(r"^(#+) (.*)", text, re.MULTILINE)]
        for output in cell.get("outputs", ()):
            html = "".join(output.get("data", {}).get("text/html", ()))
            found += [(int(level), words) for level, words in re.findall(r"<h([1-6])[^>]*>([^<]*)", html)]
    assert [words for (before, _), (level, words) in pairwise(found) if level > before + 1] == []


@every_workbook
def test_it_asks_to_be_run_when_it_is_opened(path: Path) -> None:
    assert json.loads(path.read_text(encoding="utf-8"))["metadata"]["radonwork"]


@every_workbook
def test_a_link_leads_to_a_workbook_that_is_there(path: Path) -> None:
    text = "".join("".join(cell["source"]) for cell in cells(path, "markdown"))
    text += json.dumps([cell["outputs"] for cell in cells(path, "code")])
    for name in re.findall(r"[\w-]+\.ipynb", text):
        assert (WORKBOOKS / name).is_file(), name
