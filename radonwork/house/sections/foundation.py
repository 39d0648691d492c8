"""The slab, what lies under it, and where it is sucked at."""

from math import pi
from typing import Literal

from pydantic import Field, field_validator, model_validator

from radonwork.house import plan
from radonwork.house.fields import At, Name, Notes, Place, Section, derived, like, measured, stated, wrong
from radonwork.units import Quantity

_LEAST_POROSITY, _MOST_POROSITY = 0.3, 0.6
"""For which the laws of a bed of stone hold (formulas.soil)."""


class Foundation(Section):
    kind: Literal["basement", "slab on grade", "crawl space", "mixed"] | None = stated("foundation")
    slab_area: Quantity | None = measured("slab_area")
    slab_thickness: Quantity | None = measured("slab_thickness")
    gravel_depth: Quantity | None = measured("gravel_depth")
    drain_tile: Literal["none", "inside", "outside", "both"] | None = stated("drain_tile")
    drain_tile_sides: int | None = Field(default=None, ge=0, le=20)
    outline: tuple[At, ...] = Field(default=(), strict=False)
    layer_permeability: Quantity | None = measured("layer_permeability")
    layer_transmissivity: Quantity | None = measured("layer_transmissivity")
    slab_leakage: Quantity | None = measured("slab_leakage")
    stone_diameter: Quantity | None = measured("stone_diameter")
    stone_porosity: Quantity | None = measured("stone_porosity")
    notes: Notes | None = None

    @field_validator("stone_diameter")
    @classmethod
    def _stones(cls, diameter: Quantity | None) -> Quantity | None:
        if diameter and diameter.value <= 0:
            raise wrong(f"{diameter.text!r} is no size of stones; write the diameter that most of them have")
        return diameter

    @field_validator("stone_porosity")
    @classmethod
    def _clean(cls, porosity: Quantity | None) -> Quantity | None:
        if porosity and not _LEAST_POROSITY <= porosity.value <= _MOST_POROSITY:
            raise wrong(f"{porosity.text!r} is not that of a bed of clean stone; write a share from 30 % to 60 %")
        return porosity

    @field_validator("outline")
    @classmethod
    def _an_outline(cls, corners: tuple[Place, ...]) -> tuple[Place, ...]:
        if not corners:
            raise wrong("an outline without a corner is none; write three or more, or leave it out")
        if fault := plan.outline_fault([corner.point for corner in corners]):
            at, message = fault
            raise wrong(f"{corners[at]} {message}", at)
        return corners

    def derived(self) -> dict[str, Quantity]:
        """The area of the slab that is drawn, where the record does not state one."""
        if self.slab_area or not self.outline:
            return {}
        from radonwork.solvers.slab_plan import Footprint  # loads numpy, which reading a record does not need

        unit = "ft2" if self.outline[0].x.unit in ("in", "ft") else "m2"
        return {"slab_area": derived(Footprint(tuple(corner.point for corner in self.outline)).area, unit)}


class SuctionPlace(Section):
    """One place where the slab is sucked at, on the floor plan."""

    name: Name | None = None
    at: At | None = None
    radius: Quantity | None = like("pit_radius")


class DrainPath(Section):
    """Drain tile under the slab, straight from each place to the next, and back to the first if closed."""

    path: tuple[At, ...] = Field(default=(), strict=False)
    closed: bool | None = None

    @field_validator("path")
    @classmethod
    def _a_line(cls, places: tuple[Place, ...]) -> tuple[Place, ...]:
        if len(places) < 2:
            raise wrong("a drain of fewer than two places is none; write where it begins and ends")
        if len(places) > plan.MOST_CORNERS:
            raise wrong(f"has more than {plan.MOST_CORNERS} places; write fewer")
        for count in range(1, len(places)):
            if places[count].point == places[count - 1].point:
                raise wrong(f"{places[count]} is the same place as the one before; write it once", count)
        return places


class Suction(Section):
    """Where the slab is sucked at, and what is known of the soil there.

    The soil's resistance stands as such, or as a suction at a flow, both measured at the point with the lid sealed.
    """

    kind: Literal["sump", "drain tile", "pit", "membrane", "block wall"] | None = stated("suction_point")
    points: int | None = Field(default=None, ge=1, le=50)
    place: Name | None = None
    pit_radius: Quantity | None = measured("pit_radius")
    lid_leak_area: Quantity | None = measured("lid_leak_area")
    lid_hole: Quantity | None = like("hole_diameter")
    soil_resistance: Quantity | None = measured("soil_resistance")
    soil_suction: Quantity | None = measured("soil_suction")
    soil_flow: Quantity | None = like("air_flow")
    target: Quantity | None = measured("target_suction")
    point: tuple[SuctionPlace, ...] = Field(default=(), strict=False)
    drain: tuple[DrainPath, ...] = Field(default=(), strict=False)
    notes: Notes | None = None

    @model_validator(mode="after")
    def _once(self) -> "Suction":
        if self.lid_leak_area and self.lid_hole:
            raise wrong("gives the leak twice; write lid_leak_area, or lid_hole for one round hole", "lid_hole")
        if self.soil_resistance and (self.soil_suction or self.soil_flow):
            raise wrong("gives the soil twice; write soil_resistance, or soil_suction and soil_flow", "soil_resistance")
        if self.soil_flow and self.soil_flow.value <= self.soil_flow.tolerance:
            raise wrong(
                f"{self.soil_flow.text!r} may be no flow at all, which says nothing of the soil; write a flow above zero",
                "soil_flow",
            )
        if self.points and len(self.point) > self.points:
            raise wrong(f"{self.points} is less than the {len(self.point)} places listed; correct one", "points")
        return self

    def derived(self) -> dict[str, Quantity]:
        """The leak of the lid and the resistance of the soil where the record states them by other figures."""
        found = {}
        if self.lid_hole:
            half, margin = self.lid_hole.value / 2, self.lid_hole.tolerance / 2
            unit = "in2" if self.lid_hole.unit in ("in", "ft") else "mm2"
            area = pi * half**2
            found["lid_leak_area"] = derived(area, unit, pi * (half + margin) ** 2 - area)
        if self.soil_suction and self.soil_flow:
            suction, flow = self.soil_suction, self.soil_flow
            unit = "inWC/cfm" if flow.unit == "cfm" else "Pa s/L"
            resistance = suction.value / flow.value
            most = (suction.value + suction.tolerance) / (flow.value - flow.tolerance)
            found["soil_resistance"] = derived(resistance, unit, most - resistance)
        return found
