"""The wheel, built from the checkout and installed where nothing of the checkout is, does the main job.

Everything the wheel declares is installed into the new environment and nothing else, so that a forgotten dependency
shows too; the packages come out of the installer's cache when the tests' own environment was made by it.
"""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.everything import CHECKOUT

UV = Path(sys.executable).parent / "uv"


def run(*command: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    outside = {name: value for name, value in os.environ.items() if name not in {"PYTHONPATH", "VIRTUAL_ENV"}}
    outside["JUPYTER_DATA_DIR"] = str(cwd / "jupyter")  # nobody's list of trusted notebooks grows by this
    done = subprocess.run(command, cwd=cwd, env=outside, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return done


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    into = tmp_path_factory.mktemp("wheel")
    run(UV, "build", "--wheel", "--no-build-isolation", "--python", sys.executable, "-o", into, CHECKOUT, cwd=into)
    return next(into.glob("*.whl"))


@pytest.fixture(scope="module")
def commands(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The directory of commands of a new environment that holds the wheel and what it asks for."""
    new = tmp_path_factory.mktemp("new") / "environment"
    run(UV, "venv", "--python", sys.executable, new, cwd=new.parent)
    run(UV, "pip", "install", "--python", new / "bin" / "python", wheel, cwd=new.parent)
    return new / "bin"


@pytest.fixture(scope="module")
def folder(commands: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What `radonwork new` makes of a folder."""
    folder = tmp_path_factory.mktemp("elsewhere") / "house"
    run(commands / "radonwork", "new", folder, cwd=folder.parent)
    return folder


def test_the_wheel_holds_every_file_of_data_and_workbooks(wheel: Path) -> None:
    tracked = run("git", "ls-files", "data", "workbooks", cwd=CHECKOUT).stdout.splitlines()
    held = {name.partition("_share/")[2] for name in zipfile.ZipFile(wheel).namelist()}
    assert set(tracked) <= held


def test_the_wheel_holds_every_file_of_the_package(wheel: Path) -> None:
    tracked = run("git", "ls-files", "radonwork", cwd=CHECKOUT).stdout.splitlines()
    assert set(tracked) <= set(zipfile.ZipFile(wheel).namelist())


def test_the_new_environment_runs_nothing_of_the_checkout(commands: Path, tmp_path: Path) -> None:
    ask = "import radonwork, sys; print(radonwork.__file__, *sys.path, sep='\\n')"
    where = run(commands / "python", "-c", ask, cwd=tmp_path).stdout.splitlines()
    assert Path(where[0]).is_relative_to(commands.parent)
    assert str(CHECKOUT) not in where


def test_new_puts_the_workbooks_and_a_record_into_a_folder(folder: Path) -> None:
    made = {path.name for path in folder.iterdir()}
    assert {path.name for path in (CHECKOUT / "workbooks").glob("*.ipynb")} <= made
    assert (folder / "alder-court.toml").read_bytes() == (CHECKOUT / "data/houses/alder-court.toml").read_bytes()


def test_the_report_of_a_house_is_one_page_with_equations_and_drawings(commands: Path, folder: Path) -> None:
    run(commands / "radonwork", "report", "alder-court.toml", "-o", "out.html", cwd=folder)
    page = (folder / "out.html").read_text(encoding="utf-8")
    assert page.count("<math") > 10
    assert page.count("<svg") >= 4  # a drawing at least for each of the four topics
    assert "62 cfm" in page  # the design flow, as its record states it


def test_the_report_is_made_as_pdf_too(commands: Path, folder: Path) -> None:
    run(commands / "radonwork", "report", "alder-court.toml", "-o", "out.pdf", cwd=folder)
    assert (folder / "out.pdf").read_bytes().startswith(b"%PDF")
