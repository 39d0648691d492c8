"""The rules that keep the house comfortable, each asked of the tool that knows."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.everything import CHECKOUT

COMMANDS = Path(sys.executable).parent
TOP_LEVEL = {"pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE", "workbooks", "radonwork", "tests", "data"}
HEAVY = {"sympy", "matplotlib", "scipy", "numpy", "ipywidgets", "jupyterlab", "pydantic"}


def run(*command: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, cwd=CHECKOUT, capture_output=True, text=True)


@pytest.mark.parametrize(
    "command",
    [("ruff", "check"), ("ruff", "format", "--check"), ("mypy",), ("lint-imports",)],
    ids=["lint", "format", "types", "order of imports"],
)
def test_the_code_keeps_to_the_rules_of(command: tuple[str, ...]) -> None:
    done = run(COMMANDS / command[0], *command[1:])
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_top_level_holds_what_it_should_and_nothing_else() -> None:
    tracked = run("git", "ls-files").stdout.splitlines()
    top = {Path(name).parts[0] for name in tracked}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL


def test_no_lock_file_is_kept() -> None:
    tracked = run("git", "ls-files").stdout.splitlines()
    assert [name for name in tracked if name.endswith(".lock") or Path(name).name.startswith("pylock")] == []


def test_help_loads_nothing_heavy() -> None:
    ask = "import sys; sys.argv = ['radonwork', '--help']; from radonwork.cli import main; main()"
    done = run(sys.executable, "-X", "importtime", "-c", ask)
    assert "usage: radonwork" in done.stdout
    loaded = {line.rpartition("|")[2].strip().partition(".")[0] for line in done.stderr.splitlines()}
    assert "argparse" in loaded, "the list of imports could not be read"
    assert loaded & HEAVY == set()
