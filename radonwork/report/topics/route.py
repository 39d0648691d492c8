"""The route in space: its pieces, what is wrong with them, routes side by side, and what each suction point gives."""

import math
from collections.abc import Mapping
from functools import partial

from radonwork.drawings import route_in_space
from radonwork.drawings.route_in_space import route_words
from radonwork.drawings.route_of_house import surroundings
from radonwork.glossary import System, term
from radonwork.house.calculations import Calculation
from radonwork.house.route_sheet import Compared, compared, points_of
from radonwork.house.way import Leg, Turn, Way, other_ways_of, points_without_pipe, tape, way_of
from radonwork.report.blocks import Block, Figure, Items, Para, Strong, Table, Words
from radonwork.report.told import Told
from radonwork.units import decimal


def pieces(calculation: Calculation) -> tuple[Block, ...]:
    """The route piece by piece; empty where the record does not say how it goes."""
    way = way_of(calculation.house) if calculation.house else None
    if way is None:
        return ()
    note = (
        "Lengths lie along the pipe, from where centrelines meet to where they meet: a piece is cut shorter by what its "
        "fittings take. East, north and up are counted from the plan's origin and the top of the slab, to the middle of "
        "the pipe."
    )
    tables = [_pieces(one) for one in (way, *way.others)]
    off = [tape(value, way.system) for value in way.tolerance]
    ends = (
        f"With every length off by its stated tolerance the same way, the end lies up to {off[0]} east or west, {off[1]} "
        f"north or south and {off[2]} up or down of where it is drawn."
    )
    return (*tables, Para((note,), "note"), *((Para((ends,)),) if any(way.tolerance) else ()))


def _pieces(way: Way) -> Table:
    head = (
        "Piece",
        "What",
        "As written",
        "Length",
        "Fall, or angle between pieces",
        "Where it ends: east, north, up",
        "Place",
    )
    rows = tuple(_row(thing, way.system) for thing in way.things)
    return Table(f"The pieces of {way.name}, in the order of the air", head, rows, (2, 6, 8, 5, 6, 9, 5))


def _row(thing: Leg | Turn, system: System) -> tuple[Words, ...]:
    at = thing.end if isinstance(thing, Leg) else thing.at
    where = (", ".join(tape(value, system) for value in at),)
    if isinstance(thing, Turn):
        between = f"{math.degrees(thing.turned):.1f}°" if thing.turned is not None and thing.turns else ""
        own = f", its own {math.degrees(thing.own):g}°" if thing.own and between else ""
        name = thing.name if thing.count == 1 else f"{thing.count} × {thing.name}"
        return ((f"{thing.number}",), (name,), ("",), ("",), (between + own,), where, (thing.place,))
    what = "straight pipe" if len(thing.copies) == 1 else f"straight pipe, {len(thing.copies)} side by side"
    off = f" ± {tape(thing.tolerance, system)}" if thing.tolerance else ""
    through = f"; through {', '.join(thing.through)}" if thing.through else ""
    return (
        (f"{thing.number}",), (what,), (thing.words,), (tape(thing.length, system) + off,),
        ("upright" if thing.upright else route_in_space.fall_words(thing, system),), where, (thing.place + through,),
    )  # fmt: skip


def faults(calculation: Calculation) -> tuple[Block, ...]:
    """What is wrong with the route and with its alternatives, by piece and with the figure."""
    house = calculation.house
    way = way_of(house) if house else None
    if house is None:
        return ()
    if way is None:  # what can be said while no piece says how it goes
        unpiped = points_without_pipe(house)
        return (Items(tuple((Para((str(remark),)),) for remark in unpiped)),) if unpiped else ()
    blocks: list[Block] = []
    for one in (way, *other_ways_of(house)):
        if one.remarks:
            blocks.append(Para((Strong(f"{one.name.capitalize()}: {len(one.remarks)} found.", "not met"),)))
            blocks.append(Items(tuple((Para((str(remark),)),) for remark in one.remarks)))
        else:
            blocks.append(Para((f"{one.name.capitalize()}: nothing is found wrong in its geometry.",)))
    return tuple(blocks)


_ROWS = (
    ("straight pipe", "route_length", 3),
    ("fittings, entrance and outlet among them", "route_fittings", 3),
    ("pipe in attic, garage, crawl space or outdoors", "exposed_length", 3),
    ("holes in plates, floors and other members", "framing_holes", 3),
    ("least fall toward the suction point", "least_fall", 3),
    ("outlet above the slab", "route_height", 3),
    ("flow with this fan and soil", "operating_flow", 3),
    ("suction at sump or pit", "working_suction", 3),
    ("pressure lost in the pipe", "route_loss", 3),
    ("velocity, main pipe", "main_velocity", 3),
    ("fan and heat, a year", "running_cost", 3),
    ("parts", "parts_cost", 3),
)


def routes(calculation: Calculation) -> tuple[Block, ...]:
    """The route and its alternatives side by side; empty where the record has no other route."""
    house = calculation.house
    found = compared(house) if house else ()
    if house is None or len(found) < 2:
        return ()
    system = house.system
    rows: list[tuple[Words, ...]] = [
        ((words,), *((_amount(name, digits, one.values, system),) for one in found))
        for words, name, digits in _ROWS
        if any(name in one.values for one in found)
    ]
    rows.append((("found wrong in its geometry",), *((_wrong(one),) for one in found)))
    rows.append((("rules of route, air and parts not met",), *(("; ".join(one.not_met) or "none",) for one in found)))
    table = Table("Routes side by side", ("", *(one.name for one in found)), tuple(rows), (5, *(4 for _ in found)))
    said = [f"{one.name}: the air cannot be worked: {one.air_lacks}." for one in found if one.air_lacks]
    note = (
        "Flow, suction and loss are worked for each with the record's soil, lid and fan, as its own pieces make them; the "
        "choice also turns on what the house's rooms, its looks, the local code and the weather make of each."
    )
    return (table, *(Para((line,)) for line in said), Para((note,), "note"))


def _amount(name: str, digits: int, values: Mapping[str, float], system: System) -> str:
    return decimal(values[name], term(name).unit(system), digits) if name in values else "not known"


def _wrong(one: Compared) -> str:
    if one.way is None:
        return "not known: no piece says how it goes"
    return "; ".join(f"{remark.path.rpartition('.')[2]}: {remark.short}" for remark in one.way.remarks) or "nothing"


def drawn(calculation: Calculation) -> tuple[Block, ...]:
    """Each other route in isometric."""
    house = calculation.house
    if house is None:
        return ()
    around = surroundings(house)
    return tuple(
        Figure(
            f"{way.name.capitalize()}, isometric",
            route_in_space.isometric(way, around, f"route-other-{count}"),
            route_words(way, around),
        )
        for count, way in enumerate(other_ways_of(house), 1)
    )


def points(calculation: Calculation) -> tuple[Block, ...]:
    """What flows and stands at each suction point; empty where there is one."""
    house = calculation.house
    found = points_of(house) if house else ()
    if house is None or not found:
        return ()
    shown = partial(_shown, system=house.system)
    head = ("Suction point", "From its soil", "Through its lid", "Suction there", "Velocity in its pipe")
    rows: list[tuple[Words, ...]] = [
        (
            (point.name,), (shown("soil_flow", point.soil_flow),), (shown("lid_flow", point.lid_flow),),
            (shown("soil_suction", point.suction),), (shown("main_velocity", point.velocity),),
        )
        for point in found
    ]  # fmt: skip
    like_first = [
        branch.point or f"branch {count}"
        for count, branch in enumerate(house.run.branch if house.run else (), 1)
        if branch.resistance is None
    ]
    taken = (
        f" The record states no soil for {' and '.join(like_first)}: it is taken to be like that of the first."
        if like_first
        else ""
    )
    note = (
        "All points, their lids and pipes are solved together with the one fan. Here each draws from soil of its own; that "
        f"they draw on one layer is counted under the slab, in the topic of suction.{taken}"
    )
    return (Table("What each suction point gives", head, tuple(rows), (4, 3, 3, 3, 3)), Para((note,), "note"))


def _shown(name: str, value: float, system: System) -> str:
    return decimal(value, term(name).unit(system), 3)


TOLD = (
    Told("faults", "What is wrong with the route", faults),
    Told("pieces", "The route piece by piece", pieces),
    Told("routes", "Routes side by side", routes),
    Told("other_routes", "The other routes drawn", drawn),
    Told("points", "What each suction point gives", points),
)
