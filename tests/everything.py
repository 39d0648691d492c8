"""Run every test there is, on a machine that has only Python and the network: `python3 tests/everything.py`.

It makes an environment of its own, installs the checkout there with what the tests need, sees to a Chromium, and
hands over to pytest, whose closing line is the last thing printed and whose exit code is the answer. Words after the
command are handed to pytest as they are. Only the standard library is used here.
"""

import os
import shutil
import subprocess
import sys
import venv
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parent.parent
ENVIRONMENT = CHECKOUT / ".venv-test"
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


def chromium() -> str | None:
    """The command of a Chromium or Chrome that is already here."""
    return next(filter(None, map(shutil.which, BROWSERS)), None)


def make_environment() -> Path:
    """An environment with the checkout and its test extras; gives its directory of commands.

    The install is editable, so that pytest, the notebooks' kernels and JupyterLab all run the same files, those of the
    checkout. What the wheel carries is proved by tests/test_install.py, which builds it and installs it elsewhere.
    """
    commands = ENVIRONMENT / "bin"
    if not (commands / "uv").exists():  # none yet, or one whose making was interrupted
        venv.create(ENVIRONMENT, clear=True, with_pip=True)
        subprocess.run([commands / "python", "-m", "pip", "install", "--quiet", "uv"], check=True)
    install = ["pip", "install", "--quiet", "--compile-bytecode", "--python", commands / "python"]
    subprocess.run([commands / "uv", *install, "--editable", f"{CHECKOUT}[test]"], check=True)
    return commands


def install_chromium() -> None:
    """Debian's own package, where there is apt-get and the right to use it."""
    sudo = [] if os.geteuid() == 0 else ["sudo"]
    if all(map(shutil.which, [*sudo, "apt-get"])):
        quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        for step in (["update", "-qq"], ["install", "-qq", "--yes", "--no-install-recommends", "chromium"]):
            subprocess.run([*sudo, "apt-get", *step], env=quiet, stdout=subprocess.DEVNULL)


def main() -> int:
    if not chromium():
        install_chromium()
    if not chromium():
        return refuse("The browser tests need Chromium: install the package chromium, or Chrome, and run this again.")
    try:
        commands = make_environment()
    except subprocess.CalledProcessError:
        return refuse(
            "The test environment could not be made: that takes Python 3.11 or newer with venv, and the network."
        )
    path = os.pathsep.join([str(commands), os.environ["PATH"]])
    tests = ["--nbval", "--nbval-current-env", "--numprocesses=2", "--dist=loadfile", *sys.argv[1:]]
    return subprocess.run(
        [commands / "pytest", *tests], cwd=CHECKOUT, env={**os.environ, "PATH": path, "OPENBLAS_NUM_THREADS": "1"}
    ).returncode


def refuse(line: str) -> int:
    print(line, file=sys.stderr)
    return 2


if __name__ == "__main__":
    sys.exit(main())
