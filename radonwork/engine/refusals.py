"""Refusals in one plain line, in the units of whoever reads them."""

from collections.abc import Callable

from radonwork.glossary import System


class Refusal(ValueError):
    """One plain line. `str` says it in US units, `told` in those of a system; the same where the line has no values.

    `by` is the name of the statement that refuses. The line begins with it; `reason` leaves it out, for where people read
    the statement's title beside it.
    """

    def __init__(self, worded: str | Callable[[System], str], by: str = "") -> None:
        self._worded, self.by = worded, by
        super().__init__(self.told("us"))

    def told(self, system: System) -> str:
        """The line in the units of a system."""
        return f"{self.by}: {self.reason(system)}" if self.by else self.reason(system)

    def reason(self, system: System) -> str:
        """The line without the name of what refuses."""
        return self._worded if isinstance(self._worded, str) else self._worded(system)
