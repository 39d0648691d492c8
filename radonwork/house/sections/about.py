"""What house it is, and in which units its owner reads."""

from typing import Literal

from pydantic import Field

from radonwork.house.fields import Name, Notes, Section


class About(Section):
    name: Name | None = None
    system: Literal["us", "metric"] | None = None
    built: int | None = Field(default=None, ge=1500, le=2200)
    storeys: int | None = Field(default=None, ge=1, le=100)
    notes: Notes | None = None
