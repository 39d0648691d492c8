"""The way in: a folder with the workbooks and an example record, and JupyterLab started in it."""

import logging
import os
import secrets
import signal
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from radonwork.files import DATA, WORKBOOKS

EXAMPLE = "alder-court"
BEGINNING = DATA / "my-house.toml"
_LAB = Path(__file__).parent / "lab"


class FolderError(Exception):
    """A folder that cannot be used, in one plain line."""


def records(folder: Path) -> list[Path]:
    """The house records in `folder`, by name; a Python project's own TOML is none."""
    return [path for path in sorted(folder.glob("*.toml")) if path.name != "pyproject.toml"]


def new_folder(folder: Path) -> None:
    """Copy the workbooks, an example record and one to begin with into `folder`; print what was copied and what was kept.

    A file that is there is never overwritten, and a folder that holds a record gets neither example nor beginning.
    Raises FolderError when the folder cannot be made or written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        wanted = sorted(WORKBOOKS.glob("*.ipynb"))
        if not records(folder):
            wanted += [*sorted((DATA / "houses").glob(f"{EXAMPLE}*")), BEGINNING]
        missing = [source for source in wanted if not (folder / source.name).exists()]
        for source in missing:
            _copy(source, folder / source.name)
    except OSError as error:
        reason = f"{error.strerror} ({error.filename})"
        raise FolderError(f"folder {folder}: {reason}; name a folder that you may write into") from None
    kept = [source for source in wanted if source not in missing]
    for what, sources in (("Copied into", missing), ("Kept as they were in", kept)):
        if sources:
            print(f"{what} {folder.resolve()}: {', '.join(source.name for source in sources)}", flush=True)


def open_workbooks(folder: Path, browser: bool = True, port: int | None = None) -> None:
    """Start JupyterLab in `folder`, with live panels, and serve until Ctrl-C.

    The workbooks are copied in first where they are missing. The server listens on this machine alone, asks for a
    token, and takes the next free port when `port` is taken. Raises FolderError as `new_folder` does.
    """
    new_folder(folder)
    with tempfile.TemporaryDirectory(prefix="radonwork-") as workspaces:
        server = _server(folder.resolve(), Path(workspaces), browser, port or 8888)
        address = f"{server.connection_url.rstrip('/')}{server.default_url}?token={server.identity_provider.token}"
        print(f"The workbooks are open at {address}", flush=True)
        print("Press Ctrl-C here to stop.", flush=True)
        server.start()
    print("Stopped.", flush=True)


def _copy(source: Path, target: Path) -> None:
    """Copy one file; sign it if it is a workbook, because JupyterLab shows panels only of what this machine trusts."""
    with target.open("xb") as file:
        file.write(source.read_bytes())
    if target.suffix == ".ipynb":
        _skip_slow_imports()
        import nbformat
        from jupyter_core.paths import jupyter_data_dir
        from nbformat.sign import NotebookNotary

        Path(jupyter_data_dir()).mkdir(parents=True, exist_ok=True)
        NotebookNotary(data_dir=jupyter_data_dir()).sign(nbformat.read(target, as_version=4))


def _server(folder: Path, workspaces: Path, browser: bool, port: int) -> Any:
    """A JupyterLab server in `folder`, ready to start, with the start page's kernel on its way."""
    os.environ["JUPYTER_PREFER_ENV_PATH"] = "1"  # the kernel of this Python, whatever others a person has
    # A terminal that is opened in JupyterLab knows the command by its name alone.
    os.environ["PATH"] = os.pathsep.join([str(Path(sys.executable).parent), os.environ.get("PATH", os.defpath)])
    _skip_slow_imports()
    from jupyterlab.labapp import LabApp

    start = min(path.name for path in WORKBOOKS.glob("*.ipynb"))
    options = {
        "ServerApp.root_dir": folder,
        "ServerApp.ip": "127.0.0.1",
        "ServerApp.port": port,
        "ServerApp.port_retries": 50,
        "ServerApp.open_browser": browser,
        "ServerApp.allow_root": True,  # a fresh container has no other user; the server still hears this machine alone
        "ServerApp.log_level": "ERROR",
        "LabApp.log_level": "ERROR",
        "IdentityProvider.token": secrets.token_hex(24),
        "KernelManager.transport_encryption": "auto",
        "LabApp.default_url": f"/doc/tree/{start}",
        "LabApp.workspaces_dir": workspaces,  # the tabs of another folder are not to be looked for in this one
        "LabApp.app_settings_dir": _LAB / "settings",
        "LabApp.extra_labextensions_path": _LAB / "extensions",
        # nothing asks anything of another machine
        "LabApp.extension_manager": "readonly",
        "LabApp.news_url": None,
        "LabApp.check_for_updates_class": "jupyterlab.handlers.announcements.NeverCheckForUpdate",
    }
    server = LabApp.initialize_server(argv=[f"--{name}={value}" for name, value in options.items()])

    async def start_kernel() -> None:
        # its own complaint of being stopped half way up would follow a quick Ctrl-C
        kernel = await server.kernel_manager.start_kernel(path=start, stderr=subprocess.DEVNULL)
        await server.session_manager.create_session(path=start, name=start, type="notebook", kernel_id=kernel)

    def stop(*_: object) -> None:
        logging.getLogger("asyncio").disabled = True  # pages that are still open are cut off, which is no news
        server.stop(from_signal=True)

    server.io_loop.add_callback(start_kernel)
    signal.signal(signal.SIGINT, stop)
    return server


def _skip_slow_imports() -> None:
    """Keep a checker of internationalised addresses from loading: it takes as long as the rest of the server."""
    sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]
