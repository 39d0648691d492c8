"""What keeps people unhurt while the work is done, each as the owner answers it. What is not answered is not met."""

from typing import Literal

from radonwork.house.fields import Notes, Section, measured, stated
from radonwork.units import Quantity


class Site(Section):
    """Who does the dangerous parts, and what was looked at first."""

    # electricity
    wiring_by_electrician: bool | None = stated("wiring_by_licensed_electrician")
    disconnect_in_sight: bool | None = stated("disconnect_in_sight_of_the_fan")
    fan_cord: Literal["none", "indoors, 6 ft or less", "indoors, longer", "outdoors"] | None = stated("fan_cord")
    # where the fan and its pressure are
    fan_place: (
        Literal["attic", "garage, no rooms above", "outdoors", "basement", "crawl space", "living space", "below rooms"]
        | None
    ) = stated("fan_place")
    fan_below_ground: bool | None = stated("fan_below_ground")
    pressure_pipe_inside: bool | None = stated("pipe_above_the_fan_inside_the_house")
    # flames
    combustion_appliance: bool | None = stated("combustion_appliance")
    back_draft_test: bool | None = stated("back_draft_test_with_the_fan_running")
    combustion_air_open: bool | None = stated("combustion_air_opening_kept_open")
    # slab, drains and sump
    post_tensioned_slab: bool | None = stated("post_tensioned_slab")
    slab_survey: bool | None = stated("slab_survey_before_drilling")
    lines_located: bool | None = stated("buried_lines_located")
    drain_sealed_shut: bool | None = stated("drain_that_is_needed_sealed_shut")
    drain_to_soil: bool | None = stated("drain_to_soil")
    drain_trap_depth: Quantity | None = measured("drain_trap_depth")
    sump_opens: bool | None = stated("sump_lid_can_be_opened")
    # dust, vapours, heights
    dust_kept_down: bool | None = stated("concrete_dust_kept_down")
    lead_checked: bool | None = stated("lead_paint_checked")
    asbestos_checked: bool | None = stated("asbestos_checked")
    solvent_aired: bool | None = stated("solvent_vapour_aired_out")
    fall_protection: bool | None = stated("fall_protection_on_the_roof")
    ladder_footed: bool | None = stated("ladder_footed_and_tied")
    respirator: bool | None = stated("respirator_worn")
    notes: Notes | None = None
