"""What a topic tells beyond its formulas and rules: tables and sentences of its own, for report and workbook alike.

A topic that has any has a module of its key in `report/topics`, whose TOLD lists them in the order they are shown.
"""

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec

from radonwork.engine.refusals import Refusal
from radonwork.house.calculations import Calculation
from radonwork.report.blocks import Block, Para


@dataclass(frozen=True)
class Told:
    """One piece: `name` in a workbook, `title` in the report; `tells` gives nothing where there is nothing to say."""

    name: str
    title: str
    tells: Callable[[Calculation], tuple[Block, ...]]

    def blocks(self, calculation: Calculation) -> tuple[Block, ...]:
        """What it tells; one line where these values do not let it be worked, so that the rest of a report stands."""
        try:
            return self.tells(calculation)
        except Refusal as reason:
            return (Para((f"This is not worked: {reason.reason(calculation.run.system)}.",)),)


def told(key: str) -> tuple[Told, ...]:
    """The pieces of the topic `key`, in order."""
    module = f"radonwork.report.topics.{key}"
    return import_module(module).TOLD if find_spec(module) else ()
