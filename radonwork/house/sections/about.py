"""What house it is, and in which units its owner reads."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from radonwork.house.fields import Name, Notes, Section
from radonwork.house.levels import Level, level_named

OLD_MATERIALS = (1978, 1990)  # lead paint; asbestos


def _level(value: object) -> object:
    """A level by its name in the table, or a concentration."""
    if not isinstance(value, str):
        raise ValueError('is no level; write one in quotes, such as "USA" or "148 Bq/m3"')
    return level_named(value)


class About(Section):
    """`level` is the radon level that decides here; `protocol` the protocol of tests that is followed."""

    name: Name | None = None
    system: Literal["us", "metric"] | None = None
    built: int | None = Field(default=None, ge=1500, le=2200)
    storeys: int | None = Field(default=None, ge=1, le=100)
    level: Annotated[Level, BeforeValidator(_level)] | None = None
    protocol: Literal["current", "1992"] | None = None
    notes: Notes | None = None

    def ages(self) -> dict[str, bool | str]:
        """Whether the house is older than the years by which rules on old building materials ask, in the rules' words."""
        return {f"built_before_{year}": self.built < year for year in OLD_MATERIALS} if self.built else {}
