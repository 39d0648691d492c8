"""The sheet of each topic: which formulas and solvers answer its question, in which order.

Modules of formulas are imported when their topic is asked for, so that reading a record loads none of them.
"""

from functools import cache

from radonwork.engine.formula import Formula
from radonwork.engine.sheet import Sheet
from radonwork.engine.solver import Solver
from radonwork.house.job import Assumed
from radonwork.house.record import House


def sheet(key: str, house: House | None = None) -> Sheet:
    """The sheet of the topic `key` of data/job.toml; some take more of the house than its quantities."""
    return _OF_HOUSE[key](house) if key in _OF_HOUSE else _same_for_all(key)


def from_readings(key: str, house: House) -> tuple[Assumed, ...]:
    """Terms of a topic that the record does not state but its readings tell."""
    if key == "balance":
        from radonwork.house.balance import level_before

        return level_before(house)
    if key == "parts":
        from radonwork.house.parts import priced

        return priced(house)
    if key == "site":
        from radonwork.house.site import highest_test

        return highest_test(house)
    if key == "year":
        from radonwork.house import long_run

        return long_run.from_tests(house)
    if key == "change":
        from radonwork.house import fan_effect

        return fan_effect.transition_told(house)
    if key != "suction":
        return ()
    from radonwork.house.slab_fit import fitted

    return fitted(house)


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


def _air(house: House | None) -> Sheet:
    from radonwork.formulas import energy, fan
    from radonwork.house.air_wanted import lacking, unsettled
    from radonwork.solvers.moist_air import saturated_air
    from radonwork.solvers.vent_air import vent_air

    house = house or House()
    weighed = bool(house.climate and house.climate.barometric_pressure)
    if wants := tuple(lacking(house)):
        statement = unsettled(wants)
    else:
        from radonwork.house.air import air_statement

        statement = air_statement(house)

    def at(of: Formula) -> Formula:
        return of.with_terms(of.name, gives=of.result, air_flow="operating_flow")

    return Sheet(
        "air",
        "Pipe and fan",
        (
            saturated_air if weighed else vent_air,
            statement,
            at(fan.air_power),
            fan.fan_efficiency,
            fan.yearly_energy,
            fan.yearly_cost,
            at(energy.house_air_flow),
            energy.heating_heat,
            energy.heating_cost,
            energy.cooling_heat,
            energy.cooling_cost,
            energy.running_cost,
        ),
    )


def _suction(house: House | None) -> Sheet:
    """The layer as the record states it; where it does not, as its test holes tell (see `from_readings`)."""
    from radonwork.formulas import soil
    from radonwork.house.slab import slab_of
    from radonwork.house.slab_fit import fitted
    from radonwork.house.slab_sheet import solvers_of

    house = house or House()
    read = {entry.term for entry in fitted(house)}
    stated = house.facts()
    layer: list[Formula | Solver] = []
    if "layer_transmissivity" not in read | stated.keys():
        if "stone_diameter" in stated and "layer_permeability" not in stated:
            layer.append(soil.bed_permeability)
        layer.append(soil.layer_transmissivity)
    if "leakage_length" not in read:
        layer.append(soil.leakage_length)
    layout = slab_of(house)
    if not (layout and layout.stone):
        return Sheet("suction", "Suction under the slab", (soil.stack_suction, *layer, *solvers_of(house)))
    if "layer_permeability" not in stated and soil.bed_permeability not in layer:
        layer.append(soil.layer_transmissivity.solved_for("layer_permeability"))
    near_pit = (
        soil.pit_inertial_loss.with_terms("pit_inertial_loss", gives="inertial_loss", pit_radius="drawing_radius"),
        soil.inertial_radius,
    )
    statements = (soil.stack_suction, *layer, soil.bed_inertial_coefficient, *solvers_of(house), *near_pit)
    return Sheet("suction", "Suction under the slab", statements)


def _discharge(house: House | None) -> Sheet:
    """A pipe that passes the roof has its height from the roof; one beside an outside wall states it."""
    from radonwork.formulas import discharge
    from radonwork.house.discharge import eave_run, neighbour_solver, opening_solver, sight_solver

    house = house or House()
    outlet = house.outlet
    statements: list[Formula | Solver | None] = []
    if not (outlet and outlet.passes == "outside wall"):
        run = eave_run(house)
        sight = sight_solver(house, run) if run else None
        statements += [discharge.run_from_heights, discharge.outlet_over_ground, discharge.eave_slope_distance, sight]
        if sight and "viewer_ridge_distance" in sight.gives:
            statements += [
                discharge.sight_over_ridge,
                discharge.hidden_behind_ridge,
                discharge.hidden_from_ridge,
                discharge.hidden_band,
            ]
    statements += [opening_solver(house), discharge.opening_rise, discharge.opening_distance]
    neighbour = neighbour_solver(house)
    if neighbour or not (outlet and outlet.neighbour_near is False):
        statements += [
            neighbour,
            discharge.opening_distance.with_terms(
                "neighbour_distance",
                gives="neighbour_distance",
                title="Straight distance from the outlet to the nearest point of a neighbour's opening",
                opening_level_distance="neighbour_level_distance",
                opening_sill="neighbour_sill",
                opening_head="neighbour_head",
            ),
        ]
    if not (outlet and outlet.passes == "outside wall"):
        courses = (discharge.flashing_reach, discharge.lifted_courses, discharge.outlet_course)
        statements += [discharge.snow_clearance, *courses]
    return Sheet("discharge", "Where the pipe comes out", tuple(filter(None, statements)))


def _commissioning(house: House | None) -> Sheet:
    """The two readings of the house's own kind of display; what a record without a display lacks is not missing."""
    from radonwork.formulas import running_average as averages
    from radonwork.formulas import well_water
    from radonwork.house import proving

    house = house or House()
    pair = proving.display_pair(house)
    mean, error, settling = {
        "cumulative": (
            averages.cumulative_mean_between, averages.cumulative_mean_error, averages.cumulative_settling_time,
        ),
        "rolling": (averages.rolling_mean_between, averages.rolling_mean_error, averages.rolling_settling_time),
        "exponential": (
            averages.exponential_mean_between, averages.exponential_mean_error, averages.exponential_settling_time,
        ),
    }[pair.kind if pair else "cumulative"]  # fmt: skip
    share = averages.settling_share.with_terms("settling_share", gives="settling_share", new_level="mean_between")
    shown = (mean, error, averages.mean_most, averages.mean_clearance, share, settling)
    left_open = [] if house.display else [statement.name for statement in shown]
    return Sheet(
        "commissioning",
        "Put to work, and watched",
        (*shown, averages.gauge_drift, well_water.water_radon_rise),
        optional=(*left_open, "water_radon_rise"),
    )


def _balance(house: House | None) -> Sheet:
    """Soil gas and its way in as the record states them, or from the soil and the crack."""
    from radonwork.house.balance import balance_sheet

    return balance_sheet(house or House())


def _framing(house: House | None) -> Sheet:
    """The studs as the record's probes tell of them, and how true a place is carried to the next floor."""
    from radonwork.formulas import framing, transfer
    from radonwork.house import framing as studs

    house = house or House()
    picture = studs.photo_solver(house)
    return Sheet(
        "framing",
        "Finding the framing",
        (
            *studs.solvers_of(house),
            framing.hole_chance,
            transfer.plumb_lean,
            transfer.plumb_shift,
            *([picture] if picture else []),
            transfer.drill_drift,
            transfer.transfer_tolerance,
            transfer.likely_transfer_error,
            transfer.forgiving_hole,
            transfer.place_above,
        ),
        optional=("hole_chance", "place_above"),
    )


def _route(house: House | None) -> Sheet:
    """The route as its words lay it in space, and the sag that its hangers may let through."""
    from radonwork.formulas import condensate
    from radonwork.house.route_sheet import laid_route

    return Sheet(
        "route", "The route in space", (laid_route(house or House()), condensate.levelling_sag), ("levelling_sag",)
    )


def _tests() -> Sheet:
    from radonwork.formulas import radon, radon_risk, radon_tests

    pair = (
        radon_tests.pair_mean,
        radon_tests.relative_difference,
        radon_tests.pair_low,
        radon_tests.pair_high,
        radon_tests.pair_ratio,
    )
    return Sheet(
        "tests",
        "Radon tests",
        (
            *pair,
            radon_tests.reported_result,
            radon_tests.level_margin,
            radon.working_level_of_radon,
            radon.yearly_exposure,
            radon.icrp_dose,
            radon.unscear_dose,
            radon_risk.smoker_risk,
            radon_risk.lower_risk,
            radon_risk.higher_risk,
            radon_risk.never_smoker_risk,
            radon_risk.NEVER_SMOKER_LOWER,
            radon_risk.NEVER_SMOKER_HIGHER,
            radon_risk.population_risk,
        ),
        optional=tuple(statement.name for statement in pair),  # one test alone makes no pair
    )


def _parts(house: House | None) -> Sheet:
    from radonwork.formulas import boring, buying, condensate, piping, roof, transfer
    from radonwork.house.parts import cut_solver, lengths_solver, wall_solver

    def in_the_wall(of: Formula) -> Formula:
        return of.with_terms(of.name, gives=of.result, pipe_outside_diameter="small_pipe_diameter")

    moved = (
        condensate.slope_angle,
        condensate.run_drop,
        condensate.run_plan_length,
        roof.mark_shift_plan,
        roof.mark_shift_deck,
    )
    return Sheet(
        "parts",
        "Pieces, holes, parts and cost",
        (
            piping.true_offset,
            piping.roll_angle,
            piping.travel,
            piping.offset_run,
            piping.offset_cut,
            piping.turn_arc.with_terms("turn_arc", gives="turn_arc", turn_angle="roll_angle"),
            piping.spread_shift,
            *moved,
            boring.stack_height,
            transfer.drill_drift.with_terms(
                "hole_drift", gives="hole_drift", title="How far aside the row of holes comes out",
                member_thickness="stack_height",
            ),
            boring.worst_centre_error,
            boring.likely_centre_error,
            in_the_wall(boring.least_plate_hole),
            in_the_wall(boring.largest_drill_angle),
            in_the_wall(boring.plate_lean_limit),
            cut_solver(house or House()),
            lengths_solver(house or House()),
            wall_solver(house or House()),
            buying.own_cost,
            buying.quote_saving,
            buying.break_even_value,
            buying.break_even_hours,
        ),
        optional=("spread_shift", "wall_cut", *(formula.name for formula in moved)),
    )  # fmt: skip


def _site() -> Sheet:
    from radonwork.formulas import radon

    level = radon.working_level_of_radon
    at_worst = level.with_terms(level.name, gives=level.result, radon_concentration="highest_radon")
    return Sheet("site", "The site, and who is hurt by what", (at_worst,))


def _year(house: House | None) -> Sheet:
    """The tests taken together, and the mean of the year that they and a monitor's days tell of."""
    from radonwork.formulas import statistics
    from radonwork.house import long_run

    house = house or House()
    found = long_run.long_run(house)
    alone = {"geometric_mean": "combined_result", "log_spread": "combined_spread"}
    low, high = (
        end.with_terms(f"tests_{name}", gives=end.result, title=f"{end.title}: the tests alone", **alone)
        for name, end in (("low", statistics.spread_low), ("high", statistics.spread_high))
    )
    tests = (statistics.combined_spread, low, high) if found and found.tests.clusters else ()
    return Sheet(
        "year", "What the results say of the year", (*tests, long_run.solver_of(house), long_run.chance_of(house))
    )


def _change(house: House | None) -> Sheet:
    from radonwork.house import fan_effect

    return Sheet("change", "Before and after the fan", fan_effect.solvers_of(house or House()))


_OF_HOUSE = {
    "year": _year,
    "change": _change,
    "route": _route,
    "balance": _balance,
    "commissioning": _commissioning,
    "parts": _parts,
    "suction": _suction,
    "framing": _framing,
    "air": _air,
    "roof": _roof,
    "discharge": _discharge,
}
_SHEETS = {
    "tests": _tests,
    "pipes": _pipes,
    "bay": _bay,
    "insertion": _insertion,
    "condensate": _condensate,
    "site": _site,
}
