"""What was found once the system ran."""

from datetime import date

from pydantic import Field, model_validator

from radonwork.house.fields import At, Name, Notes, Section, like, measured, wrong
from radonwork.units import Quantity


class TestHole(Section):
    """A hole through the slab, and the suction found there against the room above while the fan ran."""

    __test__ = False  # not a test of pytest's

    name: Name | None = None
    at: At | None = None
    suction: Quantity | None = like("field_suction")


class Proof(Section):
    """What was found when the system ran.

    The gauge's tap stands at a distance along the straight pipe from the suction point, or after so many pieces.
    """

    gauge_suction: Quantity | None = measured("gauge_suction")
    gauge_distance: Quantity | None = measured("tap_length")
    gauge_after_piece: int | None = Field(default=None, ge=0, le=1000)
    flow: Quantity | None = measured("measured_flow")
    test_hole: tuple[TestHole, ...] = Field(default=(), strict=False)
    on: date | None = None
    notes: Notes | None = None

    @model_validator(mode="after")
    def _one_tap(self) -> "Proof":
        if self.gauge_distance and self.gauge_after_piece is not None:
            raise wrong("places the tap twice; write gauge_distance or gauge_after_piece", "gauge_after_piece")
        return self
