"""How radon enters: what its panels hold."""

from radonwork.drawings.catalogue import topic_drawings
from radonwork.drawings.house_air import WINDOW
from radonwork.engine.sheet import Sheet
from radonwork.formulas.entry import level_ratio, opened_air_ratio, opened_neutral_height, opened_pull
from radonwork.house.job import assumed
from radonwork.house.record import House
from radonwork.house.sheets import sheet
from radonwork.workbook.panel import Pane


def _giving(of: Sheet, title: str, *results: str) -> Sheet:
    """The formulas of a sheet that give these results, in its order."""
    return Sheet(title, title, tuple(s for s in of.statements if set(s.gives) & set(results)))


def panes(house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
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
