"""After the fix: the dated list and what is missing in it, the gauge, the display, other sources, and what is due when."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from radonwork.engine.formula import RangeError
from radonwork.engine.sheet import Sheet
from radonwork.glossary import term
from radonwork.house import proving
from radonwork.house.calculations import Calculation
from radonwork.house.proving import Drift, Standing
from radonwork.report.blocks import Block, Fold, Items, Para, Strong, Table, Words
from radonwork.report.told import Told
from radonwork.requirements.rules import Requirement
from radonwork.solvers.diagnosis import Diagnosis
from radonwork.units import decimal

_MEMORY = "from memory, unverified"


# ---------------------------------------------------------------- the list


def the_list(calculation: Calculation) -> tuple[Block, ...]:
    """Every item that a rule asks for: what was done, when, by whom, what was found; and what is open."""
    house = calculation.house
    assert house
    entries = proving.done(house)
    rows: list[tuple[Words, ...]] = []
    for event in proving.EVENTS:
        entry = entries.get(event)
        rows.append(((event,), (_on(entry.on if entry else None),), (entry.by or "" if entry else "",), ("",), ("",)))
    missing = []
    for item, rules in proving.asked().items():
        entry = entries.get(item)
        found = (entry.found if entry else None) or "open"
        if found == "open":
            missing.append(item)
        read = (entry.gauge.text if entry.gauge else entry.reading) if entry else None
        said = " ".join(
            filter(None, (f": {read}" if read else "", f". {entry.notes}" if entry and entry.notes else ""))
        )
        rows.append(
            (
                (Strong(item), f": {_asked(rules)}"),
                (_on(entry.on if entry else None),),
                (entry.by or "" if entry else "",),
                (Strong(found, _TONES.get(found, "")), said),
                (_sources(rules),),
            )
        )
    head = ("Item", "Done on", "By", "Found", "Who asks")
    table = Table("The commissioning list", head, tuple(rows), (7, 2, 3, 4, 5))
    open_ = f"Still open: {'; '.join(missing)}." if missing else "Every item of the list has been looked at."
    undated = [item for item, entry in entries.items() if not entry.on]
    days = f" Without a date: {'; '.join(undated)}." if undated else ""
    return (
        Para((Strong(open_), days)),
        table,
        Para(("What a rule known only from memory asks is shown here and decides nothing.",), "note"),
    )


_TONES = {"in order": "met", "not in order": "not-met"}


def _on(day: date | None) -> str:
    return str(day) if day else "no date"


def _asked(rules: tuple[Requirement, ...]) -> str:
    read = [rule for rule in rules if rule.source.kind != _MEMORY]
    return (read or list(rules))[0].text


def _sources(rules: tuple[Requirement, ...]) -> str:
    return "; ".join(dict.fromkeys(str(rule.source) for rule in rules))


# ---------------------------------------------------------------- what is due


def dates(calculation: Calculation) -> tuple[Block, ...]:
    """What each source asks to be done again, counted from the record's own days. No day of today is in it."""
    assert calculation.house
    due = proving.due(calculation.house)
    rows: list[tuple[Words, ...]] = []
    for one in due:
        years = f"{one.retest.years} {'year' if one.retest.years == 1 else 'years'}"
        counted = f"{years} after the {one.counted}" + (f", {one.since}" if one.since else "")
        on: Words = (Strong(str(one.on)),) if one.on else (f"the record has no day of the {one.counted}",)
        note = f" {one.retest.note}" if one.retest.note else ""
        rows.append(((one.retest.what,), on, (counted,), (f"{one.retest.source}.{note}",)))
    first = next((one for one in due if one.on), None)
    said = f"First due: {first.retest.what}, by {first.on}." if first else "No day to count from stands in the record."
    running = (
        "A fan has been started." if proving.has_system(calculation.house) else "The record states no start of a fan."
    )
    advice = (
        " Test sooner after any change of the fan, the house, its heating or its windows, and when the gauge leaves its "
        "mark."
    )
    wrong = [told for told, _ in proving.start_contradictions(calculation.house)]
    return (
        *((Para((Strong("The record contradicts itself. "), f"{'. '.join(wrong)}."), "caution"),) if wrong else ()),
        Para((Strong(said), f" {running}{advice}")),
        Table("Due dates by source", ("What", "Due by", "Counted from", "Source"), tuple(rows), (4, 3, 4, 6)),
    )


# ---------------------------------------------------------------- the gauge


def gauge(calculation: Calculation) -> tuple[Block, ...]:
    """Each later reading against the mark; where the gauge has moved, the faults that move it so."""
    house = calculation.house
    assert house
    mark, moved = proving.gauge_mark(house), proving.drifts(house)
    if mark is None:
        return (Para(("No mark of the gauge is in the record, so no later reading can be compared with one.",)),)
    unit = term("gauge_drift").unit(calculation.run.system)
    start = f"The gauge was marked at {mark.suction.text}" + (f" on {mark.on}." if mark.on else ".")
    if not moved:
        return (Para((start, " No later reading is in the record: write one at each visit as [[reading]].")),)
    rows: tuple[tuple[Words, ...], ...] = tuple(
        (
            (_on(one.gauge.on),),
            (one.gauge.suction.text,),
            (decimal(one.rise, unit, 3),),
            (decimal(one.error, unit, 2),),
            (_MOVED[one.moved],),
        )
        for one in moved
    )
    head = ("On", "The gauge", "Change", "Error of both readings", "So the gauge")
    return (
        Para((start,)),
        Table("The gauge since its mark", head, rows, (3, 4, 3, 3, 4)),
        *_alarm(moved[-1], calculation),
    )


_MOVED = {"stays": "stands where it was", "rises": "has risen", "falls": "has fallen"}


def _alarm(last: Drift, calculation: Calculation) -> Iterator[Block]:
    if last.moved == "stays":
        yield Para(
            (
                "The last reading is within the error of both: no alarm. A gauge that stands still says nothing of radon.",
            )
        )
        return
    how = "risen" if last.moved == "rises" else "fallen"
    yield Para(
        (
            Strong(f"The gauge has {how} by more than both readings can be off.", "not-met"),
            " Look for the cause, and test for radon again once it is mended.",
        )
    )
    rows = _faults(calculation)
    # A gauge at nothing has fallen as well, and so far that only a fault which stops it fits.
    wanted = ("zero",) if last.gauge.suction.value <= last.gauge.suction.tolerance else (last.moved,)
    suspects = [row for row in rows if row.reading in wanted]
    if not suspects:
        yield Para(
            ("What each fault does to the gauge stands under pipe and fan, once route and fan are in the record.",)
        )
        return
    unit = term("gauge_reading").unit(calculation.run.system)
    near = sorted(suspects, key=lambda row: abs((row.gauge_after - row.gauge_before) - last.rise))
    items = tuple((Para((f"{row.fault}: the gauge would read {decimal(row.gauge_after, unit, 3)}",)),) for row in near)
    yield Para((f"Faults of this system that make the gauge {_VERB[wanted[0]]}, the nearest to the reading first:",))
    yield Items(items)


def _faults(calculation: Calculation) -> list[Diagnosis]:
    """What each fault does to this house's gauge, at the stated values without their tolerances."""
    from radonwork.house import gauge
    from radonwork.house.calculations import stated
    from radonwork.house.sheets import sheet

    assert calculation.house
    whole = sheet("air", calculation.house)
    system = Sheet(whole.name, whole.title, whole.statements[:2])  # the air, then soil, lid, pipe and fan together
    given, _ = stated(calculation.house, "air", system.takes)
    return gauge.diagnoses(system.run({name: quantity.value for name, quantity in given.items()}))


_VERB = {"rises": "rise", "falls": "fall", "zero": "read nothing"}


# ---------------------------------------------------------------- the display


def display(calculation: Calculation) -> tuple[Block, ...]:
    """What two readings of a monitor's running average say of the days between, and when it will have settled."""
    house, run = calculation.house, calculation.run
    assert house
    pair = proving.display_pair(house)
    if pair is None:
        return ()
    first, second = pair.before, pair.after
    assert first.shows
    assert second.shows
    kinds = {
        "cumulative": "the mean since its start",
        "rolling": "the mean of its last days",
        "exponential": "a mean in which the past fades",
    }
    start = (
        f"The display shows {kinds[pair.kind]}: {first.shows.text} on {_at(first.on)}, {second.shows.text} on "
        f"{_at(second.on)}. "
    )
    values, unit = run.values, term("mean_between").unit(run.system)
    if "mean_error" not in values:
        reasons = " ".join(run.refused.values()) or "what is missing for it stands below."
        return (Para((start, f"The mean between cannot be told: {reasons}")),)
    mean, error, most = (values[name] for name in ("mean_between", "mean_error", "mean_most"))
    if most < 0:
        said = (
            f"They contradict each other: the mean between would be {decimal(mean, unit, 3)}. One was misread, or the "
            "display was reset between them."
        )
    elif values["mean_clearance"] < 0:
        said = (
            f"The mean between is smaller than what the rounding of the displays leaves of it, {decimal(error, unit, 2)}: "
            f"no more can be said than that it was {decimal(most, unit, 2)} at most."
        )
    else:
        said = (
            f"So the mean between them was {decimal(mean, unit, 3)}, and rounding moves that by "
            f"{decimal(error, unit, 2)} at most."
        )
        if (span := run.spread("mean_between")) and not isinstance(first.on, datetime):
            said += (
                " With the hour of each reading left open, since only its day is stated, it lies from "
                f"{decimal(max(span[0], 0.0), unit, 3)} to {decimal(span[1], unit, 3)}."
            )
    return (Para((start, Strong(said))), *_settled(calculation, pair))


def _at(on: date) -> str:
    return f"{on:%Y-%m-%d at %H:%M}" if isinstance(on, datetime) else str(on)


def _settled(calculation: Calculation, pair: proving.Pair) -> Iterator[Block]:
    """When the display itself passes the level, at the mean between and at both edges of its rounding."""
    values = calculation.run.values
    if f"{pair.kind}_settling_time" not in values:
        return
    from radonwork.house.sections.commissioning import moment

    mean, error, level = (values[name] for name in ("mean_between", "mean_error", "watched_level"))
    unit = term("watched_level").unit(calculation.run.system)
    days = [_passes(calculation, pair.kind, max(edge, 0.0)) for edge in (mean - error, mean, mean + error)]
    first, middle, last = (
        str((moment(pair.before.on) + timedelta(seconds=round(time))).date())
        if time is not None and time < _AGES
        else None
        for time in days
    )
    if middle is None:
        yield Para((f"If the level stays, the display itself does not pass {decimal(level, unit, 3)} in a lifetime.",))
        return
    edges = (
        f" The rounding leaves it open from {first} to {last}." if last else " The rounding leaves open whether ever."
    )
    yield Para(
        (
            f"If the level stays, the display itself passes {decimal(level, unit, 3)} on {middle}.{edges} The house was "
            "below it before the display was.",
        )
    )


_AGES = 100 * 365.25 * 86400.0
"""s after which no display is waited for."""


def _passes(calculation: Calculation, kind: str, mean: float) -> float | None:
    """Seconds after the first reading until the display passes the level, if the radon stays at `mean`; None if never."""
    given = {name: quantity.value for name, quantity in calculation.run.given.items()} | {"mean_between": mean}
    found: dict[str, float] = {}
    for statement in calculation.run.sheet.statements:
        if statement.name in ("settling_share", f"{kind}_settling_time"):
            try:
                result = statement(**{name: (given | found)[name] for name in statement.takes})
            except RangeError:
                return None
            assert isinstance(result, float)
            found[statement.gives[0]] = result
    return found[f"{kind}_settling_time"]


# ---------------------------------------------------------------- good suction, bad radon


def stays_high(calculation: Calculation) -> tuple[Block, ...]:
    """Other sources than soil gas through the slab, what tells each apart, and what the record says of it."""
    house, system = calculation.house, calculation.run.system
    assert house
    level = calculation.run.values["watched_level"]
    found = proving.outcome(house, level, term("watched_level").unit(system))
    standings = proving.standings(house)
    open_ = [one.source.name for one in standings if one.verdict == "open"]
    seen = [one.source.name for one in standings if one.verdict == "found"]
    if found.proven and found.high:
        verdict = (
            "The suction is proven and radon is still high: it comes from elsewhere, or did when the test was made."
        )
        next_ = (
            f" Found already: {'; '.join(seen)}. Mend that and test again." if seen else ""
        ) + f" Look next, in this order: {'; '.join(open_[:3])}."
    elif found.high:
        verdict = "Radon is still high and the suction is not proven: prove or mend the suction first."
        next_ = " Only then do the sources below come to question."
    elif found.high is False:
        verdict = "The latest test is below the level: nothing is to be looked for now."
        next_ = " The table stands here for the day on which a test is not."
    else:
        verdict, next_ = "Not known yet.", " The table stands here for the case that radon stays high."
    rows = tuple(_row(one) for one in standings)
    head = ("Source", "What happens", "What tells it apart", "What the record says", "Where it is described")
    table = Table("If the suction is good and radon stays high", head, rows, (3, 5, 6, 3, 4))
    note = Para(
        ("How each is told from the others is our own reasoning from how it works; no source ranks them.",), "note"
    )
    body: tuple[Block, ...] = (table, note)
    if not found.high:
        body = (Fold("Other sources, and what tells them apart", body),)
    why = tuple((Para((line,)),) for line in found.why)
    return (Para((Strong(verdict), next_)), Items(why), *_water(calculation), *body)


def _row(one: Standing) -> tuple[Words, ...]:
    return (
        (Strong(one.source.name),),
        (one.source.how,),
        (one.source.tells,),
        (Strong(one.verdict), f": {one.because}"),
        (str(one.source.source),),
    )


def _water(calculation: Calculation) -> Iterator[Block]:
    values, run = calculation.run.values, calculation.run
    if "water_radon_rise" in values:
        unit = term("water_radon_rise").unit(run.system)
        rise, water = (decimal(values[name], unit, 3) for name in ("water_radon_rise", "water_radon"))
        yield Para(
            (
                f"The water holds {water}; by a transfer of {values['water_transfer']:.1e} it makes about {rise} of the "
                "radon in the air. Single houses differ from that by a factor of three either way.",
            )
        )


TOLD = (
    Told("list", "The commissioning list", the_list),
    Told("gauge", "The gauge since its mark", gauge),
    Told("display", "What the monitor's display says", display),
    Told("high", "If radon stays high", stays_high),
    Told("dates", "What is due, and when", dates),
)
