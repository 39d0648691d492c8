"""The framing of one house: where the studs are likely, where to probe next, what may be cut, how true a place is carried."""

from collections.abc import Iterator

import numpy as np

from radonwork.engine.sources import Source
from radonwork.files import table
from radonwork.glossary import System, term
from radonwork.house import framing as of_house
from radonwork.house.calculations import Calculation
from radonwork.house.cutting import RULES, Judged, cuts_of
from radonwork.report.blocks import Block, Fold, Items, Para, Strong, Table, Words, capital
from radonwork.report.told import Told
from radonwork.requirements.rules import Stated, Verdict, requirements_of
from radonwork.solvers.stud_finder import Studs, WallError
from radonwork.units import decimal, shown

_NEVER = (
    "Nothing here speaks of cables, gas pipes or water pipes. A small hole no deeper than the board comes first, with the "
    "circuits near it off and tested, and somebody looks through it before anything larger is cut."
)
_WITHIN = 1.5  # stud spacings to either side of the hole, in which other places for it are named
_LITTLE = 0.01  # of a bit: less is no reason to make a hole


def _studs(calculation: Calculation) -> Studs | None:
    """The studs of the house; None where facts lack or the wall cannot be worked."""
    house = calculation.house
    return of_house.studs_of(house) if house and not of_house.fault_of(house) else None


def _said(name: str, value: float, calculation: Calculation, digits: int = 3) -> str:
    return decimal(value, term(name).unit(calculation.run.system), digits)


# ---------------------------------------------------------------- where the studs are, and the next hole


def likely(calculation: Calculation) -> tuple[Block, ...]:
    """The likely studs from left to right, the spacing, and the bay as measured beside the bay as found."""
    studs, house = _studs(calculation), calculation.house
    if not studs or house is None:
        fault = of_house.fault_of(house) if house else ""
        return (Para((f"The wall cannot be worked: {fault}.",)),) if fault else ()
    unit, half = term("wall_place").unit(calculation.run.system), studs.wall.thickness / 2
    rows: list[tuple[Words, ...]] = []
    for place in studs.places():
        own = any(abs(place.at - piece.centre) <= piece.error + half for piece in studs.wall.pieces)
        expected = min(place.presence, 1.0)
        rows.append(
            (
                ("post or backing" if own else "stud",),
                (shown(place.at, unit),),
                (f"{decimal(place.low, unit, 4)} to {decimal(place.high, unit, 4)}",),
                (f"{100 * expected:.0f} %",),
            )
        )
    head = ("What", "Likely middle", "Nine times in ten within", "Chance that it is there")
    found: list[Block] = [Table("Likely framing, from the left end of the wall", head, tuple(rows), (3, 4, 5, 3))]
    spacings = ", ".join(f"{shown(spacing, unit)} {100 * chance:.0f} %" for spacing, chance in studs.spacings)
    lines = [f"Spacing of the studs: {spacings}.", *_bay(calculation)]
    found.append(Items(tuple((Para((line,)),) for line in lines)))
    return tuple(found)


def _bay(calculation: Calculation) -> Iterator[str]:
    values = calculation.run.values
    if "likely_bay" in values and "bay_width" in calculation.run.given:
        measured = calculation.run.given["bay_width"]
        yield (
            f"Between the likely studs beside the hole the bay is {_said('likely_bay', values['likely_bay'], calculation, 4)} "
            f"wide; the record measures {measured.text}. Where the two differ, the measurement governs."
        )


def following(calculation: Calculation) -> tuple[Block, ...]:
    """Whether the inspection hole may be made as far as studs go, where else, and where one more probe tells most."""
    studs, house, values = _studs(calculation), calculation.house, calculation.run.values
    if not studs or house is None:
        return ()
    lines = [*_hole(studs, calculation)]
    if "next_probe" in values:
        lines.append(_told("Of whether the stretch wanted is clear", "next_probe", calculation))
        lines.append(_told("Of all the studs together", "survey_probe", calculation))
        if hidden := of_house.hidden_of(house):
            lines.append(_hidden(studs, hidden, calculation))
    return (Items(tuple((Para((line,)),) for line in lines)), Para((Strong("Caution. "), _NEVER), "caution"))


def _hidden(studs: Studs, hidden: tuple[tuple[float, float], ...], calculation: Calculation) -> str:
    """Where a hole does not show, the place at which a probe tells most."""
    asked = (calculation.run.values[name] for name in ("bay_left", "bay_right", "probe_width", "false_reading"))
    try:
        best = studs.best(studs.bits_about(*asked), hidden)
    except WallError as reason:
        return f"Where a hole does not show no probe can be made: {reason}."
    return (
        f"Where a hole does not show, a probe tells most at {_said('next_probe', best.at, calculation, 4)}: "
        f"{_bits(best.bits)}. It does the least damage, since that place is opened or covered anyway."
    )


def _told(of: str, name: str, calculation: Calculation) -> str:
    place, bits = calculation.run.values[name], calculation.run.values[f"{name}_bits"]
    if bits < _LITTLE:
        return f"{of} no further probe tells more than a hundredth of a bit: what probing can tell is told."
    return f"{of} one more probe tells most at {_said(name, place, calculation, 4)}: {_bits(bits)}."


def _bits(bits: float) -> str:
    return f"{bits:.2f} of a bit, where the answer to a question of even chances is one"


def _hole(studs: Studs, calculation: Calculation) -> Iterator[str]:
    values, given = calculation.run.values, calculation.run.given
    if "wood_chance" not in values:
        return
    place, width = values["drill_place"], values["drill_width"]
    said = (
        f"A hole of {shown(width, given['drill_width'].unit)} at {_said('drill_place', place, calculation, 4)} meets a stud "
        f"with a chance of {_said('wood_chance', values['wood_chance'], calculation, 2)}"
    )
    if "accepted_chance" not in values:
        yield f"{said}; the record does not say which chance is accepted."
        return
    accepted = values["accepted_chance"]
    level = _said("accepted_chance", accepted, calculation, 2)
    verdict = "may be made" if values["wood_chance"] <= accepted else "is not to be made yet"
    yield f"{said}; {level} is accepted, so as far as studs go it {verdict}."
    if stretches := _stretches(studs, place, width, accepted):
        ends = ", ".join(
            f"{_said('drill_place', low, calculation, 4)} to {_said('drill_place', high, calculation, 4)}"
            for low, high in stretches
        )
        yield f"Near there the chance stays within {level} for holes centred from {ends}."


def _stretches(studs: Studs, place: float, width: float, accepted: float) -> list[tuple[float, float]]:
    """Stretches near a place where a hole of this width meets wood no oftener than is accepted."""
    reach = _WITHIN * studs.wall.layouts[0].spacing
    near = studs.x[np.abs(studs.x - place) <= reach]
    fine = studs.wood(near, width) <= accepted
    ends = np.flatnonzero(np.diff(np.concatenate([[0], fine, [0]])))
    pairs = [(float(near[a]), float(near[b - 1])) for a, b in zip(ends[::2], ends[1::2], strict=True)]
    return [(low, high) for low, high in pairs if high - low >= studs.wall.thickness]


# ---------------------------------------------------------------- what may be cut


def cuts(calculation: Calculation) -> tuple[Block, ...]:
    """Every hole and notch of the record by itself; one that leaves no wood is named with its figure first."""
    judged = cuts_of(calculation.house) if calculation.house else ()
    if not judged:
        return ()
    blocks: list[Block] = [
        Para(
            (Strong("No edge. "), f"{one.name}: leaves {_figure(one, 'edge_distance')} at its nearer edge."), "caution"
        )
        for one in judged
        if one.run.values.get("edge_distance", 1.0) <= 0
    ]
    rows = tuple(
        (
            (one.name,),
            (" ".join(filter(None, ("engineered" if one.cut.engineered else "", one.cut.member))),),
            (_figure(one, "hole_share") or _figure(one, "notch_share"),),
            (_figure(one, "edge_distance"),),
            (_counted(one),),
        )
        for one in judged
    )
    head = ("Hole or notch", "In", "Share of the depth", "Wood at the nearer edge", "Rules")
    blocks.append(Table("What is cut, each by itself", head, rows, (6, 3, 3, 4, 6)))
    blocks.append(
        Para(
            (
                "Each rule on each cut stands among the findings. The adopted local code governs, and a licensed person "
                "decides what is structural.",
            ),
            "note",
        )
    )
    return tuple(blocks)


def _figure(one: Judged, name: str) -> str:
    if name not in one.run.values:
        return ""
    return shown(one.run.values[name], term(name).unit(one.run.system))


def _counted(one: Judged) -> str:
    verdicts: tuple[Verdict, ...] = ("not met", "cannot be judged", "met")
    counts = {verdict: sum(f.verdict == verdict for f in one.findings) for verdict in verdicts}
    return ", ".join(f"{verdict} {count}" for verdict, count in counts.items() if count)


def limits(calculation: Calculation) -> tuple[Block, ...]:
    """The limits side by side as the codes print them, by edition and clause, and the rules made of them."""
    rows = tuple(
        (
            (f"{row['member']}: {row['cut']}",),
            (
                row["rule"]
                + (f", here {row['limit_in']} in" if row["limit_in"] and row["basis_limit"] == "computed" else ""),
            ),
            (f"{row['code']} {row['clause']}",),
            (row["edition"],),
            (_remark(row),),
        )
        for row in table("boring_limits")
    )
    head = ("Member and cut", "Limit", "Code", "Edition", "Source and remark")
    return (
        Table("Limits of holes and notches by edition", head, rows, (5, 5, 3, 3, 5)),
        Fold("The rules that each cut is held against", (_rules(calculation.run.system),)),
    )


def _rule(text: str) -> str:
    return text.replace("<=", "at most").replace(">=", "at least")


def _rules(system: System) -> Table:
    """Each rule with the members it is for, which the record says in words."""
    rows = tuple(
        (
            (rule.text,),
            (rule.check.text(system),),
            (
                "; ".join(
                    [*(Stated(*one).text(system) for one in rule.where.items()), *(c.text(system) for c in rule.when)]
                ),
            ),
            (f"{capital(str(rule.source))}.",),
        )
        for rule in requirements_of(RULES)
    )
    return Table("Rules on cutting", ("Rule", "Asks for", "Where the record says", "Source"), rows, (5, 3, 4, 5))


def _remark(row: dict[str, str]) -> str:
    how = Source(row["source"]).how_read or "read in the work itself"
    return f"{capital(how)}." + (f" {capital(row['remark'])}." if row["remark"] else "")


# ---------------------------------------------------------------- to the next floor

_PARTS = (
    ("what carries it up leans", "plumb_shift", 1),
    ("tape below and tape above, each", "tape_tolerance", 2),
    ("photograph", "photo_tolerance", 1),
    ("lean of the drill", "drill_drift", 1),
)


def carried(calculation: Calculation) -> tuple[Block, ...]:
    """Where the place comes out above, what each step adds to its error, and the hole that forgives all of it."""
    values, house = calculation.run.values, calculation.house
    blocks: list[Block] = []
    if "place_above" in values and house and house.framing and house.framing.transfer:
        thing = house.framing.transfer.reference or "the thing that stands on both floors"
        blocks.append(
            Para(
                (
                    f"By {thing}: {_said('place_below', values['place_below'], calculation, 4)} below is "
                    f"{_said('place_above', values['place_above'], calculation, 4)} above, each as its own floor counts.",
                )
            )
        )
    if "photo_x" in values:
        x, y, error = (_said(name, values[name], calculation) for name in ("photo_x", "photo_y", "photo_tolerance"))
        blocks.append(
            Para(
                (
                    f"By the photograph, its perspective taken out: {x} along the wall and {y} up from the first mark's corner, "
                    f"each within {error}. Outside the four marks the error grows fast; inside them it is least.",
                )
            )
        )
    if "transfer_tolerance" in values:
        rows = tuple(
            ((words,), (_said(name, values[name], calculation),), (f"{count}",))
            for words, name, count in _PARTS
            if values[name] > 0
        )
        blocks.append(Table("What each step can be off", ("Step", "At most", "Times"), rows, (6, 3, 2)))
        worst, likely_error, hole = (
            _said(name, values[name], calculation)
            for name in ("transfer_tolerance", "likely_transfer_error", "forgiving_hole")
        )
        said = (
            f"At worst the hole above comes out {worst} off, {likely_error} more likely, so a hole of {hole} lets the pipe stand "
            "plumb whatever happens. A pilot hole first, and a look at where it came out, costs less wood than so wide a hole."
        )
        blocks.append(Para((said,)))
    return tuple(blocks)


TOLD = (
    Told("studs", "Where the studs are likely", likely),
    Told("next", "The next hole", following),
    Told("cuts", "What is cut", cuts),
    Told("limits", "What may be cut, by edition", limits),
    Told("transfer", "To the next floor", carried),
)
