"""The house as a balance of radon: its sheet, and the level before the fan that its tests tell."""

from functools import cache

from radonwork.engine.formula import Formula
from radonwork.engine.sheet import Sheet
from radonwork.engine.solver import Solver
from radonwork.house.job import Assumed
from radonwork.house.proving import tests_after
from radonwork.house.record import House
from radonwork.units import to_unit


def level_before(house: House) -> tuple[Assumed, ...]:
    """The level in the house before the fan: its long tests, or else the mean of its short ones; nothing without any."""
    after = tests_after(house)
    before = [test for test in house.test if test.concentration and test not in after]
    kind = "long-term" if any(test.kind == "long-term" for test in before) else "short-term"
    found = [test.concentration for test in before if test.concentration and (test.kind or "short-term") == kind]
    if not found:
        return ()
    unit = found[0].unit
    low, high = min(q.value - q.tolerance for q in found), max(q.value + q.tolerance for q in found)
    mean = sum(q.value for q in found) / len(found)
    half = max(high - mean, mean - low)
    value = f"{to_unit(mean, unit):.6g} {unit}" + (f" ± {to_unit(half, unit):.6g} {unit}" if half else "")
    many = f"mean of {len(found)} {kind} tests" if len(found) > 1 else f"one {kind} test"
    caution = "" if kind == "long-term" else "; a short test may be far from the mean of the year"
    return (Assumed("indoor_radon", value, f"{many} before the fan ran{caution}"),)


def balance_sheet(house: House) -> Sheet:
    """What the level says of the entry, what ground and slab say of it, and what air and suction do to it."""
    stated = house.facts()
    exhaust = {"returned_share", "discharge_radon"} <= stated.keys()
    return _sheet("soil_gas_radon" in stated, "entry_resistance" in stated, exhaust)


@cache
def _sheet(gas_is_stated: bool, resistance_is_stated: bool, exhaust_is_stated: bool) -> Sheet:
    from radonwork.formulas import balance, entry, radon, soil

    steady, gas = balance.steady_radon, entry.advective_entry
    ground: list[Formula | Solver] = []
    if not gas_is_stated:
        ground.append(entry.soil_gas_radon)
    if not resistance_is_stated:
        ground += [entry.ground_resistance, entry.crack_resistance, entry.entry_resistance]
    return Sheet(
        "balance",
        "The house as a balance of radon",
        (
            radon.decay_constant.with_terms(
                "radon_decay_constant",
                gives="radon_decay_constant",
                title="Decay constant of radon",
                half_life="radon_half_life",
            ),
            balance.clearing_rate,
            balance.time_constant,
            balance.natural_flow,
            steady.solved_for("entry_rate"),
            *ground,
            entry.slab_flux,
            entry.diffusive_entry,
            entry.ground_entry.with_terms(
                "entry_of_level", gives="entry_rate", title="Radon that flows in", advective_entry="drawn_entry"
            ).solved_for("drawn_entry"),
            gas.with_terms(
                "drawn_entry", gives="drawn_entry", title="Soil gas that must come in", soil_gas_flow="drawn_flow"
            ).solved_for("drawn_flow"),
            entry.soil_gas_share,
            soil.stack_suction,
            entry.entry_pressure,
            entry.soil_gas_flow,
            gas,
            entry.ground_entry,
            steady.with_terms(
                "expected_radon",
                gives="expected_radon",
                title="Level that ground and slab would make on a cold day",
                entry_rate="ground_entry",
            ),
            balance.remaining_entry.with_terms(
                "remaining_entry", gives="remaining_entry", advective_entry="drawn_entry"
            ),
            steady.with_terms(
                "treated_radon",
                gives="treated_radon",
                title="Level with a fan that sucks under the slab",
                entry_rate="remaining_entry",
            ),
            balance.increased_air_change,
            steady.with_terms(
                "ventilated_radon",
                gives="ventilated_radon",
                title="Level with more air and the same entry",
                air_change_rate="increased_air_change",
            ),
            steady.with_terms(
                "treated_ventilated_radon",
                gives="treated_ventilated_radon",
                title="Level with a fan under the slab and more air",
                entry_rate="remaining_entry",
                air_change_rate="increased_air_change",
            ),
            steady.with_terms(
                "equal_level",
                gives="treated_radon",
                title="Air change that alone would do what suction does",
                air_change_rate="equal_air_change",
            ).solved_for("equal_air_change"),
            balance.increased_air_change.with_terms(
                "equal_air_change",
                gives="equal_air_change",
                title="How many times the air that would be",
                more_air="equal_more_air",
            ).solved_for("equal_more_air"),
            entry.exhaust_pull,
            entry.exhaust_air_ratio,
            entry.level_ratio,
            balance.clearing_time,
            balance.mean_left_share,
            balance.read_radon.with_terms(
                "read_radon", gives="read_radon", start_radon="indoor_radon", end_radon="treated_radon"
            ),
            balance.reading_excess.with_terms(
                "reading_excess", gives="reading_excess", start_radon="indoor_radon", end_radon="treated_radon"
            ),
            balance.needed_wait.with_terms(
                "needed_wait", gives="needed_wait", start_radon="indoor_radon", end_radon="treated_radon"
            ),
            *((balance.returned_radon,) if exhaust_is_stated else ()),
        ),
        optional=("exhaust_pull", "exhaust_air_ratio", "level_ratio"),
    )
