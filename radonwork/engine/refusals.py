"""Refusals in one plain line, in the units of whoever reads them."""

from collections.abc import Callable

from radonwork.glossary import System


class Refusal(ValueError):
    """One plain line. `str` says it in US units, `told` in those of a system; the same where the line has no values."""

    def __init__(self, worded: str | Callable[[System], str]) -> None:
        self._worded = worded
        super().__init__(self.told("us"))

    def told(self, system: System) -> str:
        """The line in the units of a system."""
        return self._worded if isinstance(self._worded, str) else self._worded(system)
