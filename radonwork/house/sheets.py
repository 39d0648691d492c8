"""The sheet of each topic: which formulas and solvers answer its question, in which order.

Modules of formulas are imported when their topic is asked for, so that reading a record loads none of them.
"""

from functools import cache

from radonwork.engine.sheet import Sheet


@cache
def sheet(key: str) -> Sheet:
    """The sheet of the topic `key` of data/job.toml."""
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
            bay.bay_width,
            bay.largest_outside_diameter.with_terms("x", gives="largest_outside_diameter"),
            bay.cavity_margin,
            bay.hole_share,
            bay.edge_distance,
        ),
    )


_SHEETS = {"pipes": _pipes, "bay": _bay}
