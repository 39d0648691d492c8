"""What every test may rely on."""

import asyncio
from types import SimpleNamespace

import pytest


@pytest.fixture(autouse=True)
def _panels_answer_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A panel in a test answers as in plain Python.

    A browser that an earlier test started in this process leaves its event loop running, which a panel would take for
    that of a kernel and wait for.
    """

    def none() -> asyncio.AbstractEventLoop:
        raise RuntimeError("no running event loop")

    plain = SimpleNamespace(get_running_loop=none, TimerHandle=asyncio.TimerHandle)
    monkeypatch.setattr("radonwork.workbook.panel.asyncio", plain)
