"""What the law tests must be told: checks from outside that no case file can hold, and the reasons for exceptions."""

# Formula or solver by name: the test that checks it against a reference library or by an independent computation.
CHECKED_BY_TEST: dict[str, str] = {
    "bore_exponent": "tests/test_pipes.py::test_the_bore_exponent_is_the_slope_a_reference_library_finds",
    "equivalent_bore": "tests/test_pipes.py::test_the_equivalent_bore_carries_what_several_pipes_carry_by_a_reference_library",
    "edge_distance": "tests/test_bay.py::test_an_off_centre_hole_leaves_the_wood_that_shapely_measures",
    "largest_outside_diameter": "tests/test_bay.py::test_a_pipe_of_the_largest_diameter_just_stands_in_the_cavity_by_shapely",
    "cavity_margin": "tests/test_bay.py::test_a_pipe_of_the_largest_diameter_just_stands_in_the_cavity_by_shapely",
    "slope_factor": "tests/test_roof.py::test_the_printed_rafter_table_is_met_to_half_its_last_digit",
    "steepest_roof_pitch": "tests/test_roof.py::test_a_limit_stated_as_a_pitch_is_the_printed_angle_of_that_pitch",
    "steepest_roof_for_hole": "tests/test_roof.py::test_the_steepest_roof_is_the_one_on_which_the_swept_pipe_just_fills_the_hole",
    "bored_hole_diameter": "tests/test_roof.py::test_the_openings_have_the_areas_and_waste_shapely_measures",
    "hole_centre_shift": "tests/test_roof.py::test_the_cut_in_a_face_is_as_long_and_as_far_off_centre_as_its_points_say",
    "end_hole_diameter": "tests/test_roof.py::test_the_slot_with_clearance_leaves_half_of_it_all_round_and_no_less",
    "slot_hole_centres": "tests/test_roof.py::test_the_slot_shaped_opening_holds_the_pipe_and_nothing_shorter_or_narrower_does",
    "round_hole_area": "tests/test_roof.py::test_the_openings_have_the_areas_and_waste_shapely_measures",
    "slot_hole_area": "tests/test_roof.py::test_the_openings_have_the_areas_and_waste_shapely_measures",
    "least_opening_area": "tests/test_roof.py::test_the_path_of_the_pipe_has_the_area_shapely_finds_for_all_its_cuts",
    "round_hole_waste": "tests/test_roof.py::test_the_openings_have_the_areas_and_waste_shapely_measures",
    "slot_hole_waste": "tests/test_roof.py::test_the_openings_have_the_areas_and_waste_shapely_measures",
    "mark_shift_plan": "tests/test_roof.py::test_the_mark_moves_to_where_a_ray_along_the_riser_meets_the_plane_of_the_deck",
    "mark_shift_deck": "tests/test_roof.py::test_the_mark_moves_to_where_a_ray_along_the_riser_meets_the_plane_of_the_deck",
    "riser_deck_angle": "tests/test_roof.py::test_a_leaning_riser_needs_the_smallest_circle_around_its_own_path",
    "leaning_hole_diameter": "tests/test_roof.py::test_a_leaning_riser_needs_the_smallest_circle_around_its_own_path",
    "flashing_lap": "tests/test_roof.py::test_the_flashing_laps_the_hole_by_what_two_drawn_pieces_leave",
}

# Formula or solver by name: why a number in it has a dimension, so that it does not follow a change of units.
HAS_DIMENSIONAL_NUMBERS: dict[str, str] = {
    "cold_run": "marches with formulas of moist air whose constants are in SI; each of those is tested by itself",
    "drainage_band": "works with formulas whose constants are in SI; each of those is tested by itself",
    "saturated_air": "works with formulas of moist air whose constants are in SI; each of those is tested by itself",
    "air_from_wet_bulb": "works with formulas of moist air whose constants are in SI; each of those is tested by itself",
}

# Formula by name: why sympy can rearrange it for none of its terms.
NOT_REARRANGED: dict[str, str] = {
    "wave_factor": "below the onset of waves it is 1 whatever the terms are",
    "start_lean": "each term stands in an arctangent and under a root beside it",
    "hole_lean": "each term stands in an arctangent and under a root beside it",
    "saturation_logarithm": "a fitted polynomial of the temperature with its logarithm",
    "air_viscosity": "a power 3/2 of the temperature over a sum that holds it",
    "air_conductivity": "a power 3/2 of the temperature over a sum that holds an exponential of it",
}
