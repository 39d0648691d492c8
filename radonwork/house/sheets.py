"""The sheet of each topic: which formulas and solvers answer its question, in which order.

Modules of formulas are imported when their topic is asked for, so that reading a record loads none of them.
"""

from functools import cache

from radonwork.engine.sheet import Sheet
from radonwork.house.record import House


def sheet(key: str, house: House | None = None) -> Sheet:
    """The sheet of the topic `key` of data/job.toml; some take more of the house than its quantities."""
    return _OF_HOUSE[key](house) if key in _OF_HOUSE else _same_for_all(key)


@cache
def _same_for_all(key: str) -> Sheet:
    return _SHEETS[key]()


def _pipes() -> Sheet:
    from radonwork.formulas import condensate, pipes

    area, velocity = pipes.bore_area, condensate.mean_air_velocity
    return Sheet(
        "pipes",
        "Several pipes in place of one",
        (
            area.with_terms("small_area", gives="small_area", title="Open area of each small pipe", bore="small_bore"),
            area.with_terms("large_area", gives="large_area", title="Open area of the single pipe", bore="large_bore"),
            pipes.area_ratio,
            pipes.equal_area_count,
            pipes.bore_exponent,
            pipes.flow_ratio,
            pipes.equal_flow_count,
            pipes.equivalent_bore,
            pipes.loss_ratio,
            pipes.velocity_in_each_pipe.with_terms("small_velocity", gives="small_velocity"),
            velocity.with_terms(
                "main_velocity", gives="main_velocity", title="Mean velocity in the single pipe", bore="large_bore"
            ),
        ),
    )


def _bay() -> Sheet:
    from radonwork.formulas import bay

    return Sheet(
        "bay",
        "The stud bay and what may be bored",
        (
            bay.bay_width.with_terms("layout_bay_width", gives="layout_bay_width", title="Clear bay by the layout"),
            bay.largest_outside_diameter,
            bay.cavity_margin,
            bay.hole_share,
            bay.edge_distance,
        ),
    )


def _insertion() -> Sheet:
    from radonwork.solvers import insertion

    return Sheet(
        "insertion",
        "A pipe longer than the room is high",
        (insertion.pipe_insertion, insertion.longest_pipe, insertion.second_pipe, insertion.insertion_pose),
        optional=("second_pipe",),
    )


def _condensate() -> Sheet:
    from radonwork.formulas import condensate
    from radonwork.solvers.cold_run import cold_run
    from radonwork.solvers.drainage import drainage_band
    from radonwork.solvers.moist_air import saturated_air

    return Sheet(
        "condensate",
        "Slope that drains condensate against the air",
        (
            saturated_air,
            condensate.mean_air_velocity,
            condensate.reynolds_number,
            condensate.fanning_factor,
            condensate.air_shear,
            condensate.air_gradient,
            condensate.surface_shear,
            condensate.no_flow_slope,
            cold_run,
            condensate.condensate_volume_flow,
            condensate.rivulet_width,
            condensate.draining_force.with_terms("draining_force", gives="needed_force"),
            condensate.drain_slope.with_terms("drain_slope", gives="drain_slope", net_force="needed_force"),
            drainage_band,
            condensate.slope_angle,
            condensate.net_force,
            condensate.rivulet_least_depth,
            condensate.run_drop,
            condensate.run_plan_length,
            condensate.plan_shortening,
            condensate.wallis_number,
            condensate.root_wallis_number,
        ),
    )


def _roof(house: House | None) -> Sheet:
    from radonwork.formulas import roof
    from radonwork.house.hole_saws import saw_solver

    return Sheet(
        "roof",
        "A plumb pipe through a sloped roof",
        (
            roof.ellipse_axis,
            roof.roof_hole_diameter,
            roof.bored_hole_diameter,
            saw_solver(house.hole_saws if house else ()),
            roof.steepest_roof_for_hole.with_terms(
                "steepest_roof_for_saw", gives="steepest_roof_angle", bored_hole_diameter="hole_saw"
            ),
            roof.hole_centre_shift,
            roof.end_hole_diameter,
            roof.slot_hole_centres,
            roof.round_hole_area,
            roof.slot_hole_area,
            roof.least_opening_area,
            roof.round_hole_waste,
            roof.slot_hole_waste,
            roof.mark_shift_plan,
            roof.mark_shift_deck,
            roof.riser_deck_angle,
            roof.leaning_hole_diameter,
            roof.outlet_height_downslope,
            roof.flashing_lap,
        ),
    )


_OF_HOUSE = {"roof": _roof}
_SHEETS = {"pipes": _pipes, "bay": _bay, "insertion": _insertion, "condensate": _condensate}
