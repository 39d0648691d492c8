"""What house it is, and in which units its owner reads."""

from typing import Literal

from pydantic import Field

from radonwork.house.fields import Name, Notes, Section

OLD_MATERIALS = (1978, 1990)  # lead paint; asbestos


class About(Section):
    name: Name | None = None
    system: Literal["us", "metric"] | None = None
    built: int | None = Field(default=None, ge=1500, le=2200)
    storeys: int | None = Field(default=None, ge=1, le=100)
    notes: Notes | None = None

    def ages(self) -> dict[str, bool | str]:
        """Whether the house is older than the years by which rules on old building materials ask, in the rules' words."""
        return {f"built_before_{year}": self.built < year for year in OLD_MATERIALS} if self.built else {}
