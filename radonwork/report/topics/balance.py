"""The house as a balance: where its level comes from, air beside suction, and the wait before a test."""

from radonwork.engine.sheet import Run
from radonwork.glossary import term
from radonwork.house.calculations import Calculation
from radonwork.report.blocks import Block, Para, Table, Words
from radonwork.report.told import Told
from radonwork.requirements.rules import Comparison, requirements_of
from radonwork.units import decimal

_HOUR = 3600.0
_WAITS = (0, 12, 24, 48, 72)  # hours, to see how the reading moves with the wait
_LEAST_EXCESS = 0.001  # less is nothing that a test could show
_STANDARD = "planned wait, standard"


def sources(calculation: Calculation) -> tuple[Block, ...]:
    """What of the level each way in makes; empty where the level or what diffuses in is not known."""
    from radonwork.formulas.balance import steady_radon

    run = calculation.run
    if not {"drawn_entry", "diffusive_entry", "indoor_radon"} <= run.values.keys():
        return ()
    values, unit = run.values, term("indoor_radon").unit(run.system)

    def level(entry_rate: float) -> float:
        box = {name: values[name] for name in steady_radon.takes if name != "entry_rate"}
        return float(steady_radon(entry_rate=entry_rate, **box))

    outdoors = level(0.0)
    ways = (
        ("soil gas that the house draws in", "drawn_entry"),
        ("through the slab, by diffusion", "diffusive_entry"),
        ("water and building materials", "other_entry"),
    )
    parts = [("air from outdoors", outdoors), *((name, level(values[rate]) - outdoors) for name, rate in ways)]
    rows: list[tuple[Words, ...]] = [
        ((name,), (decimal(part, unit, 3),), (decimal(part / values["indoor_radon"], "%", 2),)) for name, part in parts
    ]
    told = (
        f"For that it takes {_amount(run, 'drawn_flow')} of soil gas, {_amount(run, 'soil_gas_share')} of all the air that "
        "comes in."
    )
    if "expected_radon" in values:
        told += (
            f" From the other side: ground and slab as the record states them would make {_amount(run, 'expected_radon')} on "
            "a cold day. Figures as uncertain as these need not agree more closely."
        )
    return (
        Table("Where the level comes from", ("Way in", "Part of the level", "Share"), tuple(rows), (6, 3, 2)),
        Para((told,)),
    )


def side_by_side(calculation: Calculation) -> tuple[Block, ...]:
    """More air and suction side by side; empty where the level or what diffuses in is not known."""
    run = calculation.run
    if "treated_ventilated_radon" not in run.values:
        return ()
    unit = term("indoor_radon").unit(run.system)
    more = decimal(run.values["more_air"], "", 3)
    compared = (
        ("as it is", "indoor_radon"),
        (f"{more} times the air, let in and out alike", "ventilated_radon"),
        ("suction under the slab", "treated_radon"),
        ("both", "treated_ventilated_radon"),
    )
    now = run.values["indoor_radon"]
    rows: list[tuple[Words, ...]] = [
        (
            (what,),
            (decimal(run.values[name], unit, 3),),
            (_between(run, name),),
            (decimal(1 - run.values[name] / now, "%", 2) if name != "indoor_radon" else "",),
        )
        for what, name in compared
    ]
    notes = [
        "More air thins all that comes in, and what is left falls only as one over the air. Suction takes away the soil gas; "
        "what diffuses in, and the outdoors, remain."
    ]
    if "equal_more_air" in run.values:
        notes.append(
            f"With air alone it would take {_amount(run, 'equal_more_air')} times the air to do what suction does."
        )
    if "level_ratio" in run.values:
        notes.append(
            f"A fan that only blows air out is another thing. With {_amount(run, 'exhaust_flow')} out, the pull at the slab is "
            f"{_amount(run, 'entry_ratio')} times what it was and the air {_amount(run, 'air_ratio')} times: the level is "
            f"{_amount(run, 'level_ratio')} times what it was. It also pulls at every flue."
        )
    head = ("What is done", "Level", "Over the stated tolerances", "Lower by")
    return (
        Table("More air beside suction", head, tuple(rows), (5, 3, 4, 2)),
        *(Para((note,)) for note in notes),
    )


def wait(calculation: Calculation) -> tuple[Block, ...]:
    """How long to wait after the fan starts, and what a test begun sooner reads; empty where it cannot be worked."""
    from radonwork.formulas.balance import mean_left_share, read_radon, reading_excess

    run = calculation.run
    if "needed_wait" not in run.values:
        return ()
    values = run.values
    (rule,) = (rule for rule in requirements_of("balance") if rule.name == _STANDARD)
    standard = rule.check.limit(values) if isinstance(rule.check, Comparison) else None
    assert standard is not None  # the rule states a value
    governs = "the house's own" if values["needed_wait"] > standard else "the standard's"
    told = (
        f"The standard asks for {decimal(standard, 'h')} ({rule.source}). By the air change of this house the mean of a test "
        f"of {_amount(run, 'test_length')} is within {_amount(run, 'allowed_excess')} after {_amount(run, 'needed_wait')}: "
        f"{governs} wait governs."
    )
    span = run.spread("needed_wait")
    if span and span[0] <= standard < span[1]:
        told += " Over the stated tolerances it may be either; waiting longer costs nothing."
    levels = {"start_radon": values["indoor_radon"], "end_radon": values["treated_radon"]}
    box = {"test_length": values["test_length"], "clearing_rate": values["clearing_rate"]}
    unit = term("read_radon").unit(run.system)
    rows: list[tuple[Words, ...]] = []
    for hours in _WAITS:
        left = mean_left_share(waiting_time=hours * _HOUR, **box)
        reads, excess = (of(mean_left_share=left, **levels) for of in (read_radon, reading_excess))
        much = decimal(float(excess), "%", 2) if excess >= _LEAST_EXCESS else f"below {decimal(_LEAST_EXCESS, '%')}"
        rows.append(((f"{hours} h",), (decimal(float(reads), unit, 3),), (much,)))
    caption = f"What a test of {_amount(run, 'test_length', False)} reads where the level settles at "
    return (
        Para((told,)),
        Table(
            caption + _amount(run, "treated_radon", False),
            ("Begun after", "It reads", "Too much"),
            tuple(rows),
            (2, 3, 3),
        ),
    )


def _amount(run: Run, name: str, spread: bool = True) -> str:
    """A quantity, with what the tolerances do to it behind."""
    text = decimal(run.values[name], term(name).unit(run.system), 3)
    around = _between(run, name) if spread else ""
    return f"{text} ({around})" if around else text


def _between(run: Run, name: str) -> str:
    span = run.spread(name)
    if span is None or span[0] == span[1]:
        return ""
    low, high = (decimal(value, term(name).unit(run.system), 3) for value in span)
    return f"{low} to {high}"


TOLD = (
    Told("sources", "Where the level comes from", sources),
    Told("side_by_side", "More air beside suction", side_by_side),
    Told("wait", "How long to wait before the test", wait),
)
