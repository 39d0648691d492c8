"""Radon tests, and readings over time."""

from datetime import date
from typing import Literal

from pydantic import model_validator

from radonwork.house.fields import FileName, Name, Notes, Section, like, wrong
from radonwork.units import Quantity


class RadonTest(Section):
    """One radon test or, of a longer series, its mean."""

    kind: Literal["short-term", "long-term"] | None = None
    concentration: Quantity | None = like("radon_concentration")
    place: Name | None = None
    start: date | None = None
    end: date | None = None
    notes: Notes | None = None

    @model_validator(mode="after")
    def _in_order(self) -> "RadonTest":
        if self.start and self.end and self.end < self.start:
            raise wrong(f"{self.end} is before the start, {self.start}; correct one of them", "end")
        return self


class Monitor(Section):
    """Readings over time, in a CSV beside the record."""

    file: FileName | None = None
    place: Name | None = None
