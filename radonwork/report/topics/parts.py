"""Parts: the cut list with its turning marks, the sticks and why no fewer will do, parts and prices, holes."""

import math

from radonwork.files import table
from radonwork.formulas.buying import break_even_value, own_cost, quote_saving
from radonwork.glossary import System, term
from radonwork.house.calculations import Calculation
from radonwork.house.cut_list import Batch, Cut, CutList, cut_list_of
from radonwork.house.parts import Offer, money, offers_of, parts_of
from radonwork.house.record import House
from radonwork.house.way import tape
from radonwork.report.blocks import Block, Fold, Items, Para, Table, Words
from radonwork.report.told import Told
from radonwork.solvers.stock import Proof
from radonwork.units import Quantity, decimal


def cut_list(calculation: Calculation) -> tuple[Block, ...]:
    """Each piece: what the record says, what its fittings take off, where to mark; then how fittings are turned."""
    found = _of(calculation)
    if found is None:
        return ()
    system = found.system
    rows = tuple(_piece(cut, system) for cut in found.cuts)
    head = ("Piece", "Pipe", "As recorded", "Taken off", "Mark and cut at", "May be off by")
    blocks: list[Block] = [Table("Cut list, in the order of the air", head, rows, (3, 3, 4, 6, 4, 3))]
    blocks.append(
        Para(
            (
                "Lengths that say which way the pipe goes lie from centre to centre; a plain length is the pipe itself "
                "unless the record says otherwise. Typical take-offs are from memory and decide nothing: measure the "
                "fittings in the hand, dry-fit, and cut after that.",
            ),
            "note",
        )
    )
    if any(cut.beside for cut in found.cuts):
        said = "Of the pipes in the wall the first goes straight through the wye or tee; its branch leads to the one beside it."
        blocks.append(Para((said,), "note"))
    if found.turns:
        blocks.append(
            Table(
                "How far to turn each fitting against the one before",
                ("Fitting", "Against", "Turn", "Around the outside of the pipe"),
                tuple(
                    (
                        (turned.path,),
                        (turned.before,),
                        (_turn(turned.turn),),
                        (tape(turned.arc, system),),
                    )
                    for turned in found.turns
                ),
                (3, 3, 5, 4),
            )
        )  # fmt: skip
    return (*blocks, *_remarks(found.remarks))


def _piece(cut: Cut, system: System) -> tuple[Words, ...]:
    copies = f", {cut.copies} of it" if cut.copies > 1 else ""
    how = "centre to centre" if cut.to_centres else "the pipe itself"
    names = []
    for taken, end in ((cut.before, "before"), (cut.after, "after")):
        if taken.names:
            said = ", ".join(dict.fromkeys(taken.names))
            basis = f" ({'; '.join(dict.fromkeys(taken.basis))})" if taken.basis else ""
            open_ = f", and what is not known of {', '.join(dict.fromkeys(taken.unknown))}" if taken.unknown else ""
            names.append(f"{end}: {tape(taken.length, system)}, {said}{basis}{open_}")
    length = cut.marked(system) if cut.length > 0 else f"{tape(cut.length, system)}: no pipe fits"
    if cut.length > 0 and cut.unknown:
        length += f": not to be cut before it is known what {' and '.join(cut.unknown)} take{'s' * (len(cut.unknown) == 1)} off"
    return (
        (f"{cut.name}{copies}",),
        (cut.size,),
        (f"{tape(cut.written, system)}, {how}",),
        ("; ".join(names) or "nothing",),
        (length,),
        (tape(cut.tolerance, system) if cut.tolerance else "not stated",),
    )


def _turn(turn: float) -> str:
    degrees = decimal(round(math.degrees(abs(turn)), 1), "", 4)
    if abs(turn) < math.radians(0.05):
        return f"{degrees}°: both bend the same way"
    if abs(turn) > math.pi - math.radians(0.05):
        return f"{degrees}°: they bend opposite ways"
    return f"{degrees}°, {'clockwise' if turn > 0 else 'counter-clockwise'} seen along the air"


def sticks(calculation: Calculation) -> tuple[Block, ...]:
    """Which piece comes out of which stick, what is left, and why no fewer will do."""
    found = _of(calculation)
    if found is None:
        return ()
    if not found.sticks:
        return (Para(("The sticks are not worked: write in cutting.stick how long they are that can be had.",)),)
    blocks: list[Block] = []
    for batch in found.batches:
        assert batch.plan
        rows = tuple(
            (
                (f"{number}",),
                (tape(stick.length, found.system),),
                ("; ".join(f"{batch.cuts[n].name} {batch.cuts[n].marked(found.system)}" for n in stick.pieces),),
                (tape(stick.left, found.system),),
            )
            for number, stick in enumerate(batch.plan.sticks, 1)
        )
        head = ("Stick", "Length", "Pieces", "Left")
        blocks.append(Table(f"Sticks of {batch.size} pipe", head, rows, (1, 2, 8, 2)))
        blocks += _proof(batch, found)
    kerf = tape(found.kerf, found.system)
    blocks.append(Para((f"Each cut takes {kerf}; a piece that ends with its stick needs none.",), "note"))
    return tuple(blocks)


def _proof(batch: Batch, found: CutList) -> tuple[Block, ...]:
    """Why no less pipe will do, with the weights where they are the reason."""
    assert batch.plan
    proof, system, several = batch.plan.proof, found.system, len(found.sticks) > 1
    bought = (
        f"{tape(batch.plan.bought, system)} of pipe"
        if several
        else f"{len(batch.plan.sticks)} stick{'s' if len(batch.plan.sticks) > 1 else ''}"
    )
    between = " No sticks make up a length between that and what is bought." if several and proof.weights else ""
    said: tuple[Block, ...] = (Para((f"No less than {bought}: {_why(proof, system, several)}.{between}",), "result"),)
    if proof.kind == "none":
        said = (Para((f"{bought} is the best found; that no less would do is not proven.",), "result"),)
    if proof.kind != "weights":
        return said
    unit = term("pipe_bought").unit(system)
    rows = tuple(
        (
            (f"{cut.name}",),
            (cut.marked(system),),
            (decimal(weight, unit, 4) if several else decimal(weight, "", 4),),
        )
        for cut, weight in zip(batch.cuts, proof.weights, strict=True)
    )  # fmt: skip
    return (
        *said,
        Fold("The weights", (Table("Weight of each piece", ("Piece", "Length", "Weight"), rows, (3, 2, 2)),)),
    )


def _why(proof: Proof, system: System, several: bool) -> str:
    total = (
        f"{decimal(proof.least, term('pipe_bought').unit(system), 4)} of stick"
        if several
        else f"{decimal(proof.least, '', 4)} sticks"
    )
    return {
        "length": f"the pieces and their cuts together take {total}",
        "halves": f"of pieces longer than half a stick no two come out of one, and those alone take {total}",
        "weights": f"each piece has a weight, no stick can hold more than its own, and together they weigh {total}",
        "search": f"every way of filling a stick was tried, {proof.tried} in all",
        "program": f"an integer program over the {proof.tried} fillings that could matter finds no other",
        "none": "",
    }[proof.kind]


def parts(calculation: Calculation) -> tuple[Block, ...]:
    """The parts by count, with the record's prices."""
    house = calculation.house
    if house is None or not parts_of(house).lines:
        return ()
    listed, system = parts_of(house), house.system
    rows = tuple(
        (
            (line.item,),
            (str(line.count),),
            (line.why,),
            (money(*line.price, system) if line.price else "no price stated",),
            (money(*line.cost, system) if line.cost else "",),
        )
        for line in listed.lines
    )
    total = money(*listed.priced, system) if any(line.price for line in listed.lines) else "no price stated"
    whole = "in all" if listed.cost else "what has a price, and so less than the whole"
    rows = (*rows, (("Sum",), ("",), (whole,), ("",), (total,)))
    head = ("Item", "Count", "From", "Price of one", "Together")
    note = (
        "Prices are those of the record, lowest to highest; none comes along. Count the fittings on the drawing again "
        "before buying, and take one of each to dry-fit."
    )
    return (
        Table("Parts list", head, rows, (10, 2, 7, 5, 5)),
        *_remarks(listed.remarks),
        Para((note,), "note"),
    )


def quotes(calculation: Calculation) -> tuple[Block, ...]:
    """Own work beside each quote, from the least to the most that the stated ranges allow."""
    house = calculation.house
    if house is None:
        return ()
    offers, cost, own = offers_of(house), parts_of(house).cost, house.own_work
    if not offers:
        return ()
    system = house.system
    if not (cost and own and own.hours and own.hour_value):
        said = "Own work is not set beside the quotes: that wants a price for every part, own_work.hours and own_work.hour_value."
        asked = "; ".join(f"{offer.name} asks {money(*offer.price, system)}" for offer in offers)
        return (Para((f"{asked}. {said}",)),)
    tools = own.tools or Quantity(0.0, "USD", 0.0, "")
    ends = [
        {
            "parts_cost": cost[end],
            "tools_cost": max(tools.value + sign * tools.tolerance, 0.0),
            "work_hours": max(own.hours.value + sign * own.hours.tolerance, 0.0),
            "hour_value": max(own.hour_value.value + sign * own.hour_value.tolerance, 0.0),
        }
        for end, sign in ((0, -1), (1, 1))
    ]
    least, most = (float(own_cost(**end)) for end in ends)
    rows = tuple(_offer(offer, ends, (least, most), system) for offer in offers)
    head = ("Quote", "Asks", "Includes", "Own work saves", "Even where an hour is worth")
    said = (
        f"Doing it oneself costs {money(least, most, system)}: parts {money(*cost, system)}, tools and permit "
        f"{money(ends[0]['tools_cost'], ends[1]['tools_cost'], system)}, and the hours. Set beside it only what a quote "
        "includes: a licensed electrician, a permit, a warranty and a test afterwards have their price too."
    )
    return (Para((said,)), Table("Own work beside the quotes", head, rows, (4, 3, 4, 4, 4)))


def _offer(offer: Offer, ends: list[dict[str, float]], own: tuple[float, float], system: System) -> tuple[Words, ...]:
    """The most is saved where own work costs least and the quote asks most."""
    low, high = (
        float(quote_saving(quoted_price=price, own_cost=cost))
        for price, cost in zip(offer.price, reversed(own), strict=True)
    )
    worth = []
    for price, end in zip(offer.price, reversed(ends), strict=True):
        given = {name: end[name] for name in ("parts_cost", "tools_cost", "work_hours")}
        worth.append(float(break_even_value(quoted_price=price, **given)) if given["work_hours"] else math.nan)
    unit = term("hour_value").unit(system)
    even = "any" if any(map(math.isnan, worth)) else _range(*(decimal(value, unit, 3) for value in worth))
    return (offer.name,), (money(*offer.price, system),), (offer.includes,), (money(low, high, system),), (even,)


def _range(low: str, high: str) -> str:
    return low if low == high else f"{low} to {high}"


def boring(calculation: Calculation) -> tuple[Block, ...]:
    """What is known of making holes, in the order of the work, each with where it is from."""
    rows = tuple(
        ((row["order"],), (row["fact"],), (row["why"],), (_from(row),)) for row in table("hole_making")
    )  # fmt: skip
    return (Table("Making the holes", ("Order", "What is done", "Why", "From"), rows, (1, 7, 6, 4)),)


def _from(row: dict[str, str]) -> str:
    from radonwork.engine.sources import Source

    return str(Source(row["source"], row["place"], row["kind"]))  # type: ignore[arg-type]


def _of(calculation: Calculation) -> CutList | None:
    house: House | None = calculation.house
    return cut_list_of(house) if house else None


def _remarks(lines: tuple[str, ...]) -> tuple[Block, ...]:
    return (Items(tuple((Para((line,)),) for line in lines), look="note"),) if lines else ()


TOLD = (
    Told("cut_list", "The cut list, and how fittings are turned", cut_list),
    Told("sticks", "The sticks, and why no fewer will do", sticks),
    Told("parts", "The parts", parts),
    Told("quotes", "Own work beside the quotes", quotes),
    Told("boring", "Making the holes", boring),
)
