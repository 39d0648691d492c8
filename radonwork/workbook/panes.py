"""What the panel of each topic holds: its controls, its drawing, its answer in words and which working it shows."""

from collections.abc import Callable

from radonwork.drawings.catalogue import house_figures, topic_drawings
from radonwork.engine.formula import Formula
from radonwork.engine.sheet import Sheet
from radonwork.house.hole_saws import saw_formula
from radonwork.house.job import assumed, topics
from radonwork.house.record import House
from radonwork.house.sheets import sheet
from radonwork.units import decimal
from radonwork.workbook.panel import Pane


def panes(key: str, house: House | None = None) -> tuple[Pane, ...]:
    """The panels of the topic `key` in the order in which its workbook shows them; some are made for one house."""
    return _PANES[key](house)


def _live(of: Sheet, *left_out: str, also: tuple[Formula, ...] = ()) -> Sheet:
    """The formulas of a sheet, which a page can work by itself, without those named."""
    formulas = [s for s in of.statements if isinstance(s, Formula) and s.name not in left_out]
    return Sheet(of.name, of.title, (*formulas, *also))


def _pipes(_house: House | None) -> tuple[Pane, ...]:
    return (
        Pane(
            title=topics()["pipes"].title,
            topic="pipes",
            sheet=sheet("pipes"),
            controls=("pipe_count", "small_bore", "large_bore", "friction_exponent", "air_flow"),
            drawing=topic_drawings("pipes")[0],
            result="Together the small pipes have {area_ratio} of the large pipe's area and carry {flow_ratio} of its flow "
            "at equal loss. At the same flow their loss is {loss_ratio} times that of the large pipe; the air moves at "
            "{small_velocity} in each of them and at {main_velocity} in the large one.",
            worked=("area_ratio", "bore_exponent", "flow_ratio", "loss_ratio", "equivalent_bore"),
            defaults={"pipe_count": "2", "small_bore": "2.067 in", "large_bore": "3.068 in", "air_flow": "60 cfm"},
        ),
    )


def _framing(house: House | None) -> tuple[Pane, ...]:
    from radonwork.drawings.member import JOIST_FORMULAS
    from radonwork.formulas.bay import edge_distance, hole_share
    from radonwork.formulas.framing import centre_room, centre_spare, hole_spare, largest_hole, stud_share
    from radonwork.house.framing import next_probe, solvers_of

    house = house or House()
    best = next_probe(house)
    wood, _, clear, following = solvers_of(house, tries=True)
    (wall,), (stud, joist) = house_figures("framing", house), topic_drawings("framing")
    taken = assumed("framing")
    verdict = (
        "{hole_spare?Small enough|Too large}: at most {largest_hole} may be bored in the middle, and the hole is {%s}. "
        "{centre_spare?Far enough from the edge|Too near the edge}: {edge_distance} of wood is left, and {least_edge} must stay."
    )
    return (
        Pane(
            title="Where the studs are, and what one more probe would say",
            topic="framing",
            sheet=Sheet("studs", "Where the studs are", (wood, clear, following)),
            controls=("probe_place", "probe_reading", "probe_width", "false_reading", "drill_place", "drill_width"),
            drawing=wall,
            result="{probe_reading?A probe that finds wood is tried|No probe is tried|A probe that finds nothing is tried}. "
            "A hole of {drill_width} at {drill_place} meets wood with a chance of {wood_chance}; the stretch from {bay_left} "
            "to {bay_right} is free of wood with a chance of {clear_chance}. Of that the next probe tells most at "
            "{next_probe}, {next_probe_bits} of a bit, and of all the studs together at {survey_probe}, "
            "{survey_probe_bits} of a bit. Of cables, gas and water nothing is known.",
            worked=("wood_at_the_hole", "clear_stretch", "where_to_probe"),
            defaults={
                "framed_length": "14 ft", "stud_thickness": "1-1/2 in", "drill_place": "40 in", "drill_width": "1 in",
                "bay_left": "36 in", "bay_right": "46 in", "probe_reading": "1",
                "probe_place": f"{best.at * 1000:.0f} mm" if best else "46 in",
                "probe_width": taken["probe_width"].value, "false_reading": taken["false_reading"].value,
            },
        ),
        Pane(
            title="A hole in a stud",
            topic="framing",
            sheet=Sheet(
                "stud hole",
                "A hole in a stud",
                (stud_share, largest_hole, hole_spare, centre_room, centre_spare, hole_share, edge_distance),
            ),
            controls=("stud_kind", "member_depth", "hole_diameter", "hole_offset"),
            drawing=stud,
            result="{stud_kind?A stud of a nonbearing wall|A doubled stud of a bearing or exterior wall|A single stud of a "
            "bearing or exterior wall}. " + verdict % "hole_diameter",
            worked=("stud_share", "largest_hole", "centre_room", "hole_share", "edge_distance"),
            defaults={
                "stud_kind": "-1", "member_depth": "3-1/2 in", "hole_diameter": "1-3/8 in", "hole_offset": "0 in",
                "least_edge": "5/8 in",
            },
        ),
        Pane(
            title="A hole in a joist",
            topic="framing",
            sheet=Sheet("joist hole", "A hole in a joist", JOIST_FORMULAS),
            controls=("joist_depth", "joist_hole", "joist_offset", "other_hole", "hole_spacing"),
            drawing=joist,
            result=verdict % "joist_hole" + " Between it and the other hole {hole_gap} of wood is left, and {least_edge} must "
            "stay. A notch may be {deepest_notch} deep, in the outer thirds of the span only.",
            worked=("largest_hole", "centre_room", "hole_gap", "deepest_notch"),
            defaults={
                "joist_depth": "9-1/4 in", "joist_hole": "2-1/2 in", "joist_offset": "0 in", "other_hole": "1 in",
                "hole_spacing": "8 in", "least_edge": "2 in", "largest_share": "1/3", "largest_notch_share": "1/6",
            },
        ),
    )  # fmt: skip


def _bay(_house: House | None) -> tuple[Pane, ...]:
    return (
        Pane(
            title=topics()["bay"].title,
            topic="bay",
            sheet=sheet("bay"),
            controls=(
                "pipe_outside_diameter", "pipe_count", "cavity_depth", "play", "hole_diameter", "hole_offset",
                "member_depth", "bay_width", "stud_thickness", "stud_spacing",
            ),
            drawing=topic_drawings("bay")[0],
            result="The cavity takes a pipe of up to {largest_outside_diameter} outside; the margin here is "
            "{cavity_margin}. The hole takes {hole_share} of the plate and leaves {edge_distance} of wood at the nearer "
            "edge. By the layout the bay would be {layout_bay_width} wide.",
            worked=("cavity_margin", "hole_share", "edge_distance", "layout_bay_width"),
            defaults={
                "pipe_outside_diameter": "2.375 in", "cavity_depth": "3-1/2 in", "hole_diameter": "2-1/2 in",
                "member_depth": "3-1/2 in", "bay_width": "14-1/2 in", "stud_thickness": "1-1/2 in", "stud_spacing": "16 in",
            },
        ),
    )  # fmt: skip


def _insertion(_house: House | None) -> tuple[Pane, ...]:
    whole = sheet("insertion")
    whole = Sheet(whole.name, whole.title, tuple(s for s in whole.statements if s.name not in whole.optional))
    opening = ("slot_length", "slot_start", "bay_width", "stage")
    defaults = {
        "pipe_length": "110 in", "pipe_outside_diameter": "2.375 in", "room_height": "93-1/2 in",
        "member_thickness": "2-1/4 in", "bay_width": "14-1/2 in", "slot_length": "4-1/2 in", "slot_start": "0 in",
    }  # fmt: skip
    verdict = (
        "{insertion_margin?The pipe goes in|The pipe jams}. Slot: {slot_needed} needed, margin {slot_margin}. "
        "Bay: {bay_needed} needed, margin {bay_margin}. "
    )
    room, slot = topic_drawings("insertion")
    return (
        Pane(
            title="Can the pipe be put up into the bay?",
            topic="insertion",
            sheet=whole,
            controls=("pipe_length", "pipe_outside_diameter", "room_height", "member_thickness", *opening),
            drawing=room,
            result=verdict
            + "{lean_direction?Lean the top to the right|It needs no lean|Lean the top to the left}; the foot "
            "starts {foot_room} from the slot edge. The longest pipe that passes is {longest_pipe}. In the picture the pipe "
            "{pose_state?stands plumb|is on its way in|is jammed}, its lean {lean}.",
            worked=("pipe_insertion", "longest_pipe"),
            defaults=defaults,
        ),
        Pane(
            title="The slot and the bay close by",
            topic="insertion",
            sheet=whole,
            controls=("pipe_length", "member_thickness", *opening),
            drawing=slot,
            result=verdict
            + "In the picture the pipe {pose_state?stands plumb|is on its way in|is jammed}, its lean {lean}.",
            worked=("pipe_insertion",),
            defaults=defaults,
        ),
    )


def _roof(house: House | None) -> tuple[Pane, ...]:
    formulas = _live(
        sheet("roof", house), "steepest_roof_for_saw", also=(saw_formula(house.hole_saws if house else ()),)
    )
    defaults = {
        "pipe_outside_diameter": "3-1/2 in", "roof_angle": "6/12", "deck_thickness": "1/2 in", "riser_height": "30 in",
        "flashing_base": "14 in", "flashing_offset": "0 in", "outlet_height_upslope": "12 in",
    }  # fmt: skip
    section, deck = topic_drawings("roof")
    return (
        Pane(
            title="The hole, cut along the slope",
            topic="roof",
            sheet=formulas,
            controls=("roof_angle", "pipe_outside_diameter", "deck_thickness", "hole_clearance"),
            drawing=section,
            result="A plumb pipe needs a round hole of {roof_hole_diameter} bored square to the deck; with clearance "
            "{bored_hole_diameter}. The next saw up is {hole_saw}. Held plumb, a saw of the pipe's own diameter leaves a cut "
            "{ellipse_axis} long.",
            worked=("roof_hole_diameter", "bored_hole_diameter", "ellipse_axis", "hole_centre_shift"),
            defaults=defaults,
        ),
        Pane(
            title="Where the centre goes, and what the flashing covers",
            topic="roof",
            sheet=formulas,
            controls=(
                "riser_height",
                "pipe_slope",
                "roof_angle",
                "climb_direction",
                "flashing_base",
                "flashing_offset",
            ),
            drawing=deck,
            result="A riser left leaning by its sloped run meets the deck {mark_shift_deck} from the plumb mark, measured on "
            "the deck. The slot-shaped opening wastes {slot_hole_waste} of deck against {round_hole_waste} of the round "
            "hole. The flashing reaches {flashing_lap} beyond the hole at its narrower side.",
            worked=("mark_shift_plan", "mark_shift_deck", "slot_hole_centres", "flashing_lap"),
            defaults=defaults,
        ),
    )


def _condensate(_house: House | None) -> tuple[Pane, ...]:
    whole = sheet("condensate")
    # The net force and the least depth have no value where nothing drains; the panels go on without them.
    formulas = _live(whole, "net_force", "rivulet_least_depth", "wallis_number", "root_wallis_number")
    cold = Sheet(
        "cold run",
        "Water that condenses in the run",
        tuple(s for s in whole.statements if s.name in ("cold_run", "condensate_volume_flow", "slope_angle"))
        + tuple(s for s in whole.statements if s.name in ("run_drop", "run_plan_length", "plan_shortening")),
    )
    defaults = {
        "air_flow": "60 cfm", "bore": "3.068 in", "pipe_outside_diameter": "3-1/2 in", "run_length": "15 ft",
        "pipe_slope": "1/4 in/ft", "air_density": "1.2 kg/m3", "air_viscosity": "1.78e-5 Pa s",
        "condensate_flow": "0.05 g/s", "inlet_temperature": "55 degF", "attic_temperature": "0 degF",
    }  # fmt: skip
    run, invert = topic_drawings("condensate")
    return (
        Pane(
            title="The slope of the run, and what it costs in height",
            topic="condensate",
            sheet=formulas,
            controls=("pipe_slope", "run_length", "air_flow", "water_depth"),
            drawing=run,
            result="The run drops {run_drop} over {run_length}. At {air_flow} the air moves at {air_velocity}. Water "
            "{water_depth} deep stands still at a slope of {no_flow_slope}; the condensate drains at that depth on "
            "{drain_slope}. The standard asks for at least 1/8 in per ft (10.4 mm/m).",
            worked=("slope_angle", "run_drop", "air_shear", "no_flow_slope", "drain_slope"),
            defaults=defaults,
        ),
        Pane(
            title="Water in the invert, and the air above it",
            topic="condensate",
            sheet=formulas,
            controls=("water_depth", "shape_factor", "bore", "air_flow"),
            drawing=invert,
            result="Water {water_depth} deep is {rivulet_width} wide. The air shears it with {air_shear} and presses it up the "
            "slope with {air_gradient}; it stands still at a slope of {no_flow_slope}, and the condensate drains at that "
            "depth on {drain_slope}.",
            worked=(
                "rivulet_width",
                "reynolds_number",
                "fanning_factor",
                "air_gradient",
                "no_flow_slope",
                "draining_force",
            ),
            defaults=defaults,
        ),
        Pane(
            title="Water that condenses in a cold attic",
            topic="condensate",
            sheet=cold,
            controls=("attic_temperature", "inlet_temperature", "run_length", "air_flow"),
            drawing=run,
            result="Gas that enters at {inlet_temperature} leaves at {exit_temperature}; {condensate_flow} of water condenses "
            "on the way, {rivulet_flow}, and the run gives {heat_loss} to the attic.",
            worked=("cold_run", "condensate_volume_flow"),
            defaults=defaults,
        ),
    )


def _air(house: House | None) -> tuple[Pane, ...]:
    from radonwork.drawings.fan_chart import example_chart, house_chart
    from radonwork.house.air import AirSolver
    from radonwork.solvers.system import sump_system

    said = (
        "Fan and system meet at {%s}. The fan makes {%s} of pressure there, of which {soil_suction} stand at the sump or pit. "
        "Through the soil come {soil_flow}, through the lid {lid_flow}. The gauge on the pipe reads {%s}. The air moves at "
        "{main_velocity} in the main pipe"
    )
    example = Pane(
        title="A sump, a pipe and a fan, before anything is bought",
        topic="air",
        sheet=Sheet("air example", "A sump, a pipe and an invented fan", (sump_system,)),
        controls=(
            "soil_resistance", "lid_leak_area", "bore", "straight_length", "loss_coefficient", "shutoff_pressure",
            "free_flow",
        ),
        drawing=example_chart(sump_system),
        result=said % ("air_flow", "fan_pressure", "gauge_suction") + ".",
        worked=("sump_system",),
        defaults={
            "soil_resistance": "0.0145 inWC/cfm", "lid_leak_area": "0.15 in2", "bore": "3.068 in",
            "straight_length": "42 ft", "loss_coefficient": "2.5", "shutoff_pressure": "2.5 inWC", "free_flow": "120 cfm",
        },
        judged=False,
    )  # fmt: skip
    whole = sheet("air", house)
    state, statement = whole.statements[:2]
    if not isinstance(statement, AirSolver):
        return example, example
    wall = ("pipe_count", "small_bore") if "small_bore" in statement.takes else ()
    # The weight of the air goes by the pressure that was measured, or else by the altitude.
    weight = "altitude" if "altitude" in state.takes else "barometric_pressure"
    own = Pane(
        title="Where the fan and this house meet",
        topic="air",
        sheet=Sheet(whole.name, whole.title, (state, statement)),
        controls=("soil_resistance", "lid_leak_area", *wall, "speed_ratio", weight),
        drawing=house_chart(statement),
        result=said % ("operating_flow", "fan_pressure", "gauge_reading")
        + (" and at {wall_velocity} in each pipe in the wall." if wall else "."),
        worked=("house_air",),
        defaults={"soil_resistance": "0.0145 inWC/cfm", "altitude": "0 ft"},
    )
    return own, example


def _giving(of: Sheet, title: str, *results: str) -> Sheet:
    """The formulas of a sheet that give these results, in its order."""
    return Sheet(title, title, tuple(s for s in of.statements if set(s.gives) & set(results)))


def _balance(house: House | None) -> tuple[Pane, ...]:
    from radonwork.drawings.house_air import WINDOW
    from radonwork.formulas.entry import level_ratio, opened_air_ratio, opened_neutral_height, opened_pull

    whole = sheet("balance", house)
    pressures, compared, clearing = topic_drawings("balance")
    defaults = {name: entry.value for name, entry in assumed("balance").items()} | {
        "house_volume": "17,000 ft3", "air_change_rate": "0.3 1/h", "indoor_radon": "8 pCi/L", "treated_radon": "0.8 pCi/L",
        "soil_gas_radon": "1,000 pCi/L", "entry_resistance": "0.05 inWC/cfm", "diffusive_entry": "10 pCi/s",
        "neutral_height": "8 ft", "indoor_temperature": "68 degF", "outdoor_temperature": "30 degF",
    }  # fmt: skip
    return (
        Pane(
            title="Why the house draws soil gas",
            topic="balance",
            sheet=_giving(
                whole, "Why the house draws soil gas", "radon_decay_constant", "stack_suction", "entry_pressure",
                "soil_gas_flow", "advective_entry", "ground_entry", "expected_radon",
            ),
            controls=(
                "outdoor_temperature", "indoor_temperature", "neutral_height", "entry_resistance", "soil_gas_radon",
                "air_change_rate", "fan_suction",
            ),
            drawing=pressures,
            result="At {outdoor_temperature} outdoors the house pulls {stack_suction} at its slab; with {fan_suction} from a "
            "fan, {entry_pressure} are left to draw {soil_gas_flow} of soil gas. It brings {advective_entry} of radon, what "
            "diffuses through the slab {diffusive_entry}, and the level settles at {expected_radon}.",
            worked=("stack_suction", "entry_pressure", "soil_gas_flow", "advective_entry", "expected_radon"),
            defaults=defaults,
        ),
        Pane(
            title="More air or suction?",
            topic="balance",
            sheet=_giving(
                whole, "More air or suction?", "radon_decay_constant", "entry_rate", "drawn_entry", "remaining_entry",
                "treated_radon", "increased_air_change", "ventilated_radon", "treated_ventilated_radon", "equal_air_change",
                "equal_more_air",
            ),
            controls=("more_air", "stopped_share", "indoor_radon", "air_change_rate", "outdoor_radon", "diffusive_entry"),
            drawing=compared,
            result="{more_air} times the air, let in and out alike, brings the level from {indoor_radon} to "
            "{ventilated_radon}. Suction that keeps out {stopped_share} of the soil gas brings it to {treated_radon}; both "
            "together bring {treated_ventilated_radon}. To do with air alone what suction does would take {equal_more_air} "
            "times the air that there is.",
            worked=("entry_rate_from_steady_radon", "remaining_entry", "treated_radon", "ventilated_radon"),
            defaults=defaults,
        ),
        Pane(
            title="How long until a test means anything",
            topic="balance",
            sheet=_giving(
                whole, "How long until a test means anything", "radon_decay_constant", "clearing_rate", "time_constant",
                "mean_left_share", "read_radon", "reading_excess", "needed_wait",
            ),
            controls=(
                "air_change_rate", "waiting_time", "test_length", "indoor_radon", "treated_radon", "allowed_excess",
            ),
            drawing=clearing,
            result="The time constant of the house is {time_constant}. A test of {test_length} that begins {waiting_time} "
            "after the fan reads {read_radon} where the level settles at {treated_radon}: {reading_excess} too much. To keep "
            "that within {allowed_excess}, wait {needed_wait}; the longer of that and of the standard's wait governs.",
            worked=("clearing_rate", "time_constant", "mean_left_share", "reading_excess", "needed_wait"),
            defaults=defaults,
        ),
        Pane(
            title="A window, low or high",
            topic="balance",
            sheet=Sheet(
                "A window", "A window", (opened_neutral_height, opened_pull, opened_air_ratio, level_ratio)
            ),
            controls=("opening_height", "opening_share", "envelope_height"),
            drawing=WINDOW,
            result="With the window open the house is neutral at {opened_neutral_height}. The pull at the slab is "
            "{entry_ratio} times what it was, the air {air_ratio} times, and the level {level_ratio} times.",
            worked=("opened_neutral_height", "opened_pull", "opened_air_ratio", "level_ratio"),
            defaults={"opening_height": "3 ft", "opening_share": "0.5", "envelope_height": "20 ft"},
            judged=False,
        ),
    )  # fmt: skip


def _suction(house: House | None) -> tuple[Pane, ...]:
    from radonwork.formulas.soil import (
        bed_inertial_coefficient,
        layer_transmissivity,
        leakage_length,
        stack_suction,
    )
    from radonwork.house.slab import layer_of_fit, slab_of, solvers_of

    house = house or House()
    layout = slab_of(house)
    stone = (bed_inertial_coefficient,) if layout and layout.stone else ()
    field, flow, cold = solvers_of(house)
    (plan,) = house_figures("suction", house)
    said = (
        "{reached_share} of the slab, {reached_area}, has the target of {target_suction} or more; everywhere within "
        "{suction_reach} of a suction point or drain it is met. The least suction is {least_suction}. The soil gives "
        "{soil_flow}."
    )
    defaults = {
        "soil_suction": "0.8 inWC", "target_suction": "4 Pa", "leakage_length": "4 m", "outline_corners": "4",
        "layer_transmissivity": "5e-5 m3/(s Pa)", "suction_places": "1", "pit_radius": "9 in",
        "neutral_height": "8 ft", "indoor_temperature": "68 degF", "outdoor_temperature": "10 degF",
        "air_density": assumed("suction")["air_density"].value,
    }  # fmt: skip
    layer = {
        "layer_permeability": "10,000 um2", "layer_thickness": "4 in", "slab_leakage": "2e-6 m/(s Pa)",
        "air_viscosity": assumed("suction")["air_viscosity"].value,
    }  # fmt: skip
    return (
        Pane(
            title="Where the suction reaches",
            topic="suction",
            sheet=Sheet("field", "Where the suction reaches", (*stone, stack_suction, field, flow, cold)),
            controls=(
                "soil_suction",
                "leakage_length",
                "layer_transmissivity",
                "target_suction",
                "outdoor_temperature",
            ),
            drawing=plan,
            result=said
            + " At {outdoor_temperature} outdoors the house itself pulls {stack_suction}, and the least that is "
            "left is {cold_least_suction}.",
            worked=("stack_suction", "slab_suction", "cold_day"),
            defaults=defaults,
        ),
        Pane(
            title="What the layer and the slab do to it",
            topic="suction",
            sheet=Sheet("layer", "Layer and slab", (*stone, layer_transmissivity, leakage_length, field, flow)),
            controls=("layer_permeability", "layer_thickness", "slab_leakage", "soil_suction", "target_suction"),
            drawing=plan,
            result="The leakage length is {leakage_length}. " + said,
            worked=("layer_transmissivity", "leakage_length"),
            defaults=defaults | layer | layer_of_fit(house, layer["layer_thickness"]),
            passes=("layer_transmissivity", "leakage_length"),
        ),
    )


def _commissioning(_house: House | None) -> tuple[Pane, ...]:
    from radonwork.formulas import running_average as averages

    between, settling = topic_drawings("commissioning")
    return (
        Pane(
            title="What the radon was between two readings of a display",
            topic="commissioning",
            sheet=Sheet(
                "between",
                "The mean between two displays of a mean since the start",
                (
                    averages.cumulative_mean_between,
                    averages.cumulative_mean_error,
                    averages.mean_most,
                    averages.mean_clearance,
                ),
            ),
            controls=("display_before", "time_before", "display_after", "time_after", "display_step"),
            drawing=between,
            result="{mean_most?|The displays contradict each other: one was misread, or the display was reset. }Between the "
            "readings the mean was {mean_between}, and rounding moves that by up to {mean_error}: "
            "{mean_clearance?it was at most|less than its own rounding, so that no more can be said than that it was at most} "
            "{mean_most}.",
            worked=("cumulative_mean_between", "cumulative_mean_error", "mean_most"),
            defaults={
                "display_before": "8.0 pCi/L", "time_before": "60 d", "display_after": "6.2 pCi/L", "time_after": "80 d",
                "display_step": "0.1 pCi/L",
            },
            judged=False,
        ),
        Pane(
            title="When the display will have followed",
            topic="commissioning",
            sheet=Sheet(
                "settling",
                "Three kinds of display after a change",
                (
                    averages.settling_share,
                    averages.cumulative_settling_time,
                    averages.rolling_settling_time,
                    averages.exponential_settling_time,
                ),
            ),
            controls=(
                "display_before", "new_level", "watched_level", "time_before", "display_window", "display_time_constant",
            ),
            drawing=settling,
            result="The house changed at once; a mean since the start, {time_before} old, passes {watched_level} only after "
            "{cumulative_settling_time}. A mean of the last {display_window} passes it after {rolling_settling_time}, one "
            "that fades in {display_time_constant} after {exponential_settling_time}. Each then has {settling_share} of its "
            "fall still to come.",
            worked=(
                "settling_share",
                "cumulative_settling_time",
                "rolling_settling_time",
                "exponential_settling_time",
            ),
            defaults={
                "display_before": "8.0 pCi/L", "new_level": "1.0 pCi/L", "watched_level": "4 pCi/L", "time_before": "60 d",
                "display_window": "7 d", "display_time_constant": "1 d",
            },
            judged=False,
        ),
    )  # fmt: skip


def _discharge(house: House | None) -> tuple[Pane, ...]:
    from radonwork.formulas import discharge

    sight, opening = topic_drawings("discharge")
    defaults = {
        "ridge_height": "25 ft", "eave_height": "16 ft", "roof_angle": "7/12", "ridge_distance": "3 ft",
        "pipe_outside_diameter": "3-1/2 in", "outlet_height_upslope": "18 in", "eye_height": "5-1/2 ft",
        "viewer_ridge_distance": "80 ft", "outlet_height": "25 ft", "opening_level_distance": "8 ft",
        "opening_sill": "18 ft", "opening_head": "22 ft",
    }  # fmt: skip
    return (
        Pane(
            title="Is the pipe seen from there?",
            topic="discharge",
            sheet=Sheet("sight", "The line of sight over the ridge", sight.formulas),
            controls=("viewer_ridge_distance", "eye_height", "ridge_distance", "outlet_height_upslope", "roof_angle"),
            drawing=sight,
            result="From {viewer_ridge_distance} off, the ridge hides {hidden_height} above the roof where the pipe stands; "
            "{sight_margin} is to spare. The pipe begins to be hidden {hidden_from_ridge} down the slope from the ridge, and "
            "is so for {hidden_band}, down to the eave.",
            worked=("sight_over_ridge", "hidden_behind_ridge", "sight_margin", "hidden_from_ridge", "hidden_band"),
            defaults=defaults,
            judged=False,
        ),
        Pane(
            title="How far is it from an opening?",
            topic="discharge",
            sheet=Sheet(
                "opening", "Distance to an opening", (discharge.opening_rise, discharge.opening_distance)
            ),
            controls=("outlet_height", "opening_level_distance", "opening_sill", "opening_head"),
            drawing=opening,
            result="The nearest point of the opening is {opening_distance} away in a straight line, and the outlet is "
            "{opening_rise} above the opening's top.",
            worked=("opening_rise", "opening_distance"),
            defaults=defaults,
            judged=False,
        ),
    )  # fmt: skip


def _route(house: House | None) -> tuple[Pane, ...]:
    from radonwork.house.route_sheet import laid_route, moves_with_slope

    house = house or House()
    laid = laid_route(house)
    longest = laid.defaults.get("sloped_run")
    controls = ("pipe_slope",) if moves_with_slope(house) or not longest else ()
    said = "The route is {route_length} long and comes out {route_height} above the slab"
    if "least_fall" in laid.gives:
        said += "; its least fall toward the suction point is {least_fall}"
    if "turn_error" in laid.gives:
        said += ", and a fitting is off its angle by {turn_error} at most"
    if "closure_gap" in laid.gives:
        said += ". It ends {closure_gap} from where the record says that it must"
    sheet_of = Sheet("laid", "The route laid in space", (laid,))
    isometric, plan, unrolled = house_figures("route", house)
    return tuple(
        Pane(
            title=title,
            topic="route",
            sheet=sheet_of,
            controls=(*controls, *(("sloped_run",) if longest else ())),
            drawing=drawing,
            result=f"{said}.",
            worked=("laid_route",),
            defaults={"worded_pieces": "1", "pipe_slope": assumed("route")["pipe_slope"].value}
            | ({"sloped_run": decimal(longest.value, "mm", 9)} if longest else {}),
        )
        for title, drawing in (
            ("The slope, and what it moves", isometric),
            ("The same in plan", plan),
            ("The same unrolled", unrolled),
        )
    )


def _tests(_house: House | None) -> tuple[Pane, ...]:
    from radonwork.drawings import radon_bars as bars
    from radonwork.drawings.test_strip import PAIR, PAIR_FORMULAS

    usual = assumed("tests")
    air = {"equilibrium_factor": usual["equilibrium_factor"].value, "hours_indoors": usual["hours_indoors"].value}
    here = {"radon_concentration": "4 pCi/L"}
    return (
        Pane(
            title="Two results of a pair",
            topic="tests",
            sheet=Sheet("pair", "Two results of a pair", PAIR_FORMULAS),
            controls=("first_result", "second_result", "action_level"),
            drawing=PAIR,
            result="The two differ by {relative_difference} of their mean, {pair_mean}, which is reported as "
            "{reported_result}: {level_margin?below|at|above} the level of {action_level}.",
            worked=("relative_difference", "pair_mean", "reported_mean"),
            defaults={"first_result": "10.1 pCi/L", "second_result": "9.1 pCi/L", "action_level": "4 pCi/L"},
        ),
        Pane(
            title="What a level adds up to in a year",
            topic="tests",
            sheet=Sheet("exposure", "Exposure and dose", bars.EXPOSURE_FORMULAS),
            controls=("radon_concentration", "equilibrium_factor", "hours_indoors", "exposure_years"),
            drawing=bars.DOSE,
            result="{radon_concentration} is {working_level}, and {yearly_exposure} in a year: {icrp_dose} by the coefficient "
            "of ICRP 137, {unscear_dose} by that of UNSCEAR. After {exposure_years} such years the lifetime risk by ICRP 115 is "
            "{population_risk}, for smokers and others together; models differ by a factor of about two.",
            worked=("working_level_of_radon", "yearly_exposure", "icrp_dose", "unscear_dose", "population_risk"),
            defaults=here | air | {"exposure_years": usual["exposure_years"].value},
        ),
        Pane(
            title="Risk side by side",
            topic="tests",
            sheet=Sheet("risk", "Risk side by side", bars.RISK_FORMULAS),
            controls=("radon_concentration", "model_spread"),
            drawing=bars.RISK,
            result="At {radon_concentration} over a lifetime, the chart of EPA has {smoker_risk} of current smokers die by lung "
            "cancer and {never_smoker_risk} of people who never smoked. Another model may give {smoker_risk_low} to "
            "{smoker_risk_high} and {never_smoker_risk_low} to {never_smoker_risk_high}.",
            worked=("smoker_risk", "never_smoker_risk"),
            defaults=here,
        ),
        Pane(
            title="Decay products grow in",
            topic="tests",
            sheet=Sheet("growth", "Decay products of radon", bars.GROWTH_FORMULAS),
            controls=("air_age", "radon_at_start"),
            drawing=bars.GROWTH,
            result="In air {air_age} old, {radon_left} of radon are left. The decay products stand at {polonium_activity}, "
            "{lead_activity} and {bismuth_activity}, worth {equilibrium_radon} in equilibrium: a factor of {equilibrium_factor}.",
            worked=("polonium_activity", "lead_activity", "equilibrium_radon", "equilibrium_factor"),
            defaults={"air_age": "40 min", "radon_at_start": "10 pCi/L"},
            judged=False,
        ),
        Pane(
            title="Decay products in air that is exchanged",
            topic="tests",
            sheet=Sheet("steady", "Decay products in steady air", bars.STEADY_FORMULAS),
            controls=("air_change_rate", "plateout_rate"),
            drawing=bars.STEADY,
            result="With {air_change_rate} of fresh air and {plateout_rate} of settling, the equilibrium factor is "
            "{steady_factor}. Airing lowers the factor as well as the radon.",
            worked=("polonium_share", "lead_share", "bismuth_share", "steady_factor"),
            defaults={"air_change_rate": "0.35 1/h", "plateout_rate": "0.5 1/h"},
            judged=False,
        ),
    )


def _parts(house: House | None) -> tuple[Pane, ...]:
    from radonwork.formulas import piping

    whole = sheet("parts", house)
    by_name = {statement.name: statement for statement in whole.statements}

    def some(name: str, title: str, *names: str) -> Sheet:
        return Sheet(name, title, tuple(by_name[name] for name in names))

    offset, row, bars, turned = topic_drawings("parts")
    return (
        Pane(
            title="A rolling offset",
            topic="parts",
            sheet=some(
                "offset", "A rolling offset",
                "true_offset", "roll_angle", "travel", "offset_run", "offset_cut", "turn_arc", "spread_shift",
            ),
            controls=("offset_set", "offset_roll", "fitting_angle", "take_off", "pipe_outside_diameter"),
            drawing=offset,
            result="The true offset is {true_offset}. With fittings of {fitting_angle} the travel is {travel} and takes "
            "{offset_run} along the pipe; cut the piece to {offset_cut}. Turn the first fitting {roll_angle} from the "
            "direction of the set: {turn_arc} around the outside of the pipe. Of two pipes {pipe_spread} apart that make the "
            "offset side by side, the inner one turns {spread_shift} earlier.",
            worked=("true_offset", "travel", "offset_cut", "roll_angle", "turn_arc", "spread_shift"),
            defaults={
                "offset_set": "8 in", "offset_roll": "12 in", "fitting_angle": "45 deg", "take_off": "1-3/4 in",
                "pipe_outside_diameter": "3-1/2 in", "pipe_spread": "6 in",
            },
        ),
        Pane(
            title="Holes bored in one go by a drill that leans",
            topic="parts",
            sheet=some(
                "row", "Holes bored in one go",
                "stack_height", "hole_drift", "worst_centre_error", "least_plate_hole", "largest_drill_angle",
            ),
            controls=("drill_lean", "plate_count", "plate_thickness", "plate_gap", "hole_diameter"),
            drawing=row,
            result="The drill comes out {hole_drift} aside; with marks that are off by {mark_error} each the last hole is off "
            "by {worst_centre_error} at most. A plumb pipe needs a hole of {least_plate_hole} there; the hole bored forgives "
            "a lean of up to {largest_drill_angle}.",
            worked=("stack_height", "hole_drift", "worst_centre_error", "least_plate_hole", "largest_drill_angle"),
            defaults={
                "drill_lean": "1 deg", "plate_count": "2", "plate_thickness": "1-1/2 in", "plate_gap": "0 in",
                "hole_diameter": "2-1/2 in", "small_pipe_diameter": "2.375 in", "mark_error": "1/32 in",
            },
        ),
        Pane(
            title="Doing it oneself beside a quote",
            topic="parts",
            sheet=some("own", "Own work beside a quote", "own_cost", "quote_saving", "break_even_value", "break_even_hours"),
            controls=("work_hours", "hour_value", "parts_cost", "tools_cost", "quoted_price"),
            drawing=bars,
            result="Doing it oneself costs {own_cost} against {quoted_price}: a difference of {quote_saving}. Both cost the "
            "same if an hour is worth {break_even_value}, or if the work takes {break_even_hours}.",
            worked=("own_cost", "quote_saving", "break_even_value", "break_even_hours"),
            defaults={
                "work_hours": "30 h", "hour_value": "20 USD/h", "parts_cost": "500 USD", "tools_cost": "200 USD",
                "quoted_price": "1800 USD",
            },
        ),
        Pane(
            title="Two fittings that make an angle together",
            topic="parts",
            sheet=Sheet("turn", "Two fittings that make an angle together", (piping.turn_angle, piping.turn_arc)),
            controls=("fitting_angle", "next_fitting_angle", "compound_angle", "pipe_outside_diameter"),
            drawing=turned,
            result="Turn one fitting {turn_angle} against the other, counted from where both bend the same way: the marks are "
            "{turn_arc} apart around the outside of the pipe.",
            worked=("turn_angle", "turn_arc"),
            defaults={
                "fitting_angle": "45 deg", "next_fitting_angle": "45 deg", "compound_angle": "60 deg",
                "pipe_outside_diameter": "3-1/2 in",
            },
        ),
    )  # fmt: skip


def _year(_house: House | None) -> tuple[Pane, ...]:
    from radonwork.solvers.quoted_band import spread_of

    (tests,) = topic_drawings("year")
    return (
        Pane(
            title="A few tests, and what they say of the year",
            topic="year",
            sheet=Sheet("tests", "Tests taken together", tests.formulas),
            controls=("combined_result", "short_test_count", "long_test_count", "action_level"),
            drawing=tests,
            result="The mean of the year is about {combined_result}; with 95 % chance it lies between {year_mean_low} and "
            "{year_mean_high}. The chance that it is above {action_level} is {chance_above}.",
            worked=("combined_spread", "tests_low", "tests_high", "tests_chance"),
            defaults={
                "combined_result": "4.6 pCi/L", "short_test_count": "1", "long_test_count": "0", "action_level": "4 pCi/L",
                "short_test_spread": f"{spread_of('short-term'):.6g}", "long_test_spread": f"{spread_of('long-term'):.6g}",
                "normal_quantile": "1.96",
            },
            judged=False,
        ),
    )  # fmt: skip


def _change(house: House | None) -> tuple[Pane, ...]:
    from radonwork.house.fan_effect import days_of, solvers_of

    (stretches,) = topic_drawings("change")
    example = Pane(
        title="Two stretches of days, and how sure their difference is",
        topic="change",
        sheet=Sheet("stretches", "Days before and days after", stretches.formulas),
        controls=(
            "days_measured_before", "days_measured_after", "lag_correlation", "before_spread", "after_spread", "radon_ratio",
        ),
        drawing=stretches,
        result="{days_measured_before} days before count as {days_before}, {days_measured_after} after as {days_after}. What is "
        "left is {radon_ratio}, and with 95 % chance between {ratio_low} and {ratio_high}: a reduction of {radon_reduction}, "
        "without what season and weather may have done to it.",
        worked=("effective_before", "effective_after", "ratio_error", "ratio_low", "ratio_high"),
        defaults={
            "days_measured_before": "14", "days_measured_after": "14", "lag_correlation": "0.5", "before_spread": "0.47",
            "after_spread": "0.588", "radon_ratio": "0.1", "normal_quantile": "1.96",
        },
        judged=False,
    )  # fmt: skip
    found = days_of(house) if house else None
    if house is None or found is None or found.start is None:
        return example, example
    (series,) = house_figures("change", house)
    own = Pane(
        title="The days of this house",
        topic="change",
        sheet=Sheet("days", "Before and after the fan", solvers_of(house)),
        controls=("transition_time", "action_level", "device_spread"),
        drawing=series,
        result="The fan takes away {radon_reduction}, with 95 % chance between {reduction_low} and {reduction_high}. With it on "
        "the mean of the year is about {mean_after}, with 95 % chance between {mean_after_low} and {mean_after_high}; the "
        "chance that it is above {action_level} is {chance_after}.",
        worked=("fan_effect", "level_after"),
        defaults={"transition_time": "24 h", "action_level": "4 pCi/L", "device_spread": "10 %"},
    )
    return own, example


_PANES: dict[str, Callable[[House | None], tuple[Pane, ...]]] = {
    "year": _year,
    "change": _change,
    "tests": _tests,
    "route": _route,
    "balance": _balance,
    "parts": _parts,
    "suction": _suction,
    "pipes": _pipes,
    "framing": _framing,
    "bay": _bay,
    "insertion": _insertion,
    "air": _air,
    "condensate": _condensate,
    "roof": _roof,
    "discharge": _discharge,
    "site": lambda _house: (),  # it is answered in words
    "commissioning": _commissioning,
}
