"""What one house's system is made of and what that costs: parts by count, prices as ranges, quotes beside them.

The route gives pipe and fittings, the record's sections the rest; `[[part]]` adds what no section shows. Prices are the
record's own: none comes along, and an item without one leaves the whole without a price.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from radonwork.engine.formula import Values
from radonwork.engine.solver import Solver
from radonwork.engine.sources import Source
from radonwork.glossary import System, term
from radonwork.house.cut_list import cut_list_of, junctions
from radonwork.house.job import Assumed
from radonwork.house.record import House
from radonwork.house.route import STRAIGHT, Section, VentRoute
from radonwork.house.take_offs import size_name
from radonwork.house.way import tape
from radonwork.units import decimal

_OPEN = ("entrance", "exit")
_MADE_ON_SITE = (*_OPEN, "mitre")


@dataclass(frozen=True)
class Line:
    """One line of the parts list. `price` is the lowest and the highest of one, None where the record has none."""

    item: str
    count: int
    why: str
    price: tuple[float, float] | None

    @property
    def cost(self) -> tuple[float, float] | None:
        return (self.count * self.price[0], self.count * self.price[1]) if self.price else None


@dataclass(frozen=True)
class PartsList:
    """Everything to buy. `remarks` say what is not priced and which prices are of nothing on the list."""

    lines: tuple[Line, ...]
    remarks: tuple[str, ...]
    joints: int

    @property
    def priced(self) -> tuple[float, float]:
        """Lowest and highest cost of all that has a price."""
        costs = [line.cost for line in self.lines if line.cost]
        return sum(low for low, _ in costs), sum(high for _, high in costs)

    @property
    def cost(self) -> tuple[float, float] | None:
        """Lowest and highest cost of the whole; None while anything has no price."""
        return self.priced if self.lines and all(line.price for line in self.lines) else None


@lru_cache(maxsize=8)
def parts_of(house: House) -> PartsList:
    """The parts of a house as its record and its route have them."""
    prices = {price.item: price.ends for price in house.price if price.item}
    wanted: dict[str, tuple[int, str]] = {}
    for item, count, why in _wanted(house):
        before = wanted.get(item, (0, why))
        wanted[item] = (before[0] + count, before[1] if before[1] == why else f"{before[1]}; {why}")
    lines = tuple(Line(item, count, why, prices.get(item)) for item, (count, why) in wanted.items())
    return PartsList(lines, tuple(_remarks(house, lines)), _joints(house))


def _remarks(house: House, lines: tuple[Line, ...]) -> Iterator[str]:
    if without := [line.item for line in lines if not line.price]:
        yield f"no price is stated for {'; '.join(without)}: the whole has none. Write a [[price]] for each, by its name"
    found = cut_list_of(house)
    known = {line.item for line in lines}
    known |= (
        {_stick(batch.size, length, house.system) for batch in found.batches for length in found.sticks}
        if found
        else set()
    )
    for number, price in enumerate(house.price, 1):
        if price.item not in known:
            yield f"price[{number}]: nothing on the parts list is called {price.item!r}"


def _stick(size: str, length: float, system: System) -> str:
    return f"pipe, {size}, stick of {tape(length, system)}"


def _wanted(house: House) -> Iterator[tuple[str, int, str]]:
    """Item, count and why, in the order of the work."""
    found = cut_list_of(house)
    for batch in found.batches if found else ():
        for length in sorted({stick.length for stick in batch.plan.sticks}) if batch.plan else ():
            count = sum(stick.length == length for stick in batch.plan.sticks)  # type: ignore[union-attr]  # there is one
            yield _stick(batch.size, length, house.system), count, "the cut list"
    route = house.route()
    for section in (section for way in _ways(route) for section in way):
        for piece in section.pieces:
            if piece.kind != STRAIGHT and piece.kind not in _MADE_ON_SITE:
                size = (
                    "" if piece.kind == "change of bore" else f", {size_name(section.outside_diameter, house.system)}"
                )
                yield piece.name + size, piece.count * section.side_by_side, "the route"
    for item, count in junctions(house).items():
        yield item, count, "where pipes part and join"
    if house.fan:
        yield f"fan: {house.fan.name}" if house.fan.name else "fan", 1, "fan"
        yield "gauge for the pipe", 1, "shows whether the fan runs"
    if house.roof and not (house.outlet and house.outlet.passes == "outside wall"):
        yield f"roof flashing, {size_name(_last_size(house), house.system)}", 1, "roof"
    if route and not (house.cutting and house.cutting.joints == "other"):
        yield "primer and cement, can of each", 1, f"{_joints(house)} joints"
    for part in house.part:
        if part.item:
            yield part.item, part.count or 1, "[[part]] of the record"


def _last_size(house: House) -> float | None:
    route = house.route()
    return route.sections[-1].outside_diameter if route else None


def _ways(route: VentRoute | None) -> list[tuple[Section, ...]]:
    """The sections of the way to the roof, and of each that joins it."""
    return [route.sections, *(point.sections for point in route.tributaries)] if route else []


def _joints(house: House) -> int:
    """Ends of pipe that go into a fitting: both of each piece, except where its way begins or ends in the open.

    The pipe of a further suction point ends in the wye or tee by which it joins.
    """
    found = 0
    for number, way in enumerate(_ways(house.route())):
        end = "junction" if number else "exit"
        kinds = [(piece.kind, section.side_by_side) for section in way for piece in section.pieces]
        beside = zip(
            ["exit"] + [kind for kind, _ in kinds], kinds, [kind for kind, _ in kinds[1:]] + [end], strict=False
        )
        found += sum(
            copies * (before not in _OPEN) + copies * (after not in _OPEN)
            for before, (kind, copies), after in beside
            if kind == STRAIGHT
        )
    return found


# ---------------------------------------------------------------- in a sheet

_CUT = (
    "piece_count", "joint_count", "pipe_cut", "longest_stick", "stick_count", "pipe_bought",
)  # fmt: skip
_BY_RECORD = Source(
    kind="derived", place="take-offs along the route; the least pipe by search or integer program, proven"
)


def cut_solver(house: House) -> Solver:
    """The cut list of a house as a statement of its sheet; it wants the route and the sticks that can be had."""

    def worked(**_: Values) -> dict[str, Values]:
        found = cut_list_of(house)
        if found is None:
            raise ValueError("the route lists no straight pipe")
        return {**found.values, "joint_count": float(parts_of(house).joints)}

    return Solver(
        "cut_list",
        "Pieces, and the sticks they come from",
        _CUT,
        ("listed_pieces", "stick_choices"),
        _BY_RECORD,
        worked,
        assumptions=(
            "Every piece is pushed to the stop of its sockets.",
            "Sticks are as long as they are called, cut square at both ends, and can be had in any number.",
        ),
    )


def lengths_solver(house: House) -> Solver:
    """The shortest and the longest piece, refused while what a fitting takes off is not known."""

    def worked(**_: Values) -> dict[str, Values]:
        found = cut_list_of(house)
        if found is None:
            raise ValueError("the route lists no straight pipe")
        return dict(found.lengths)

    return Solver(
        "cut_lengths",
        "The shortest and the longest piece",
        ("shortest_cut", "longest_cut"),
        ("listed_pieces",),
        _BY_RECORD,
        worked,
    )


def wall_solver(house: House) -> Solver:
    """The longest pipe in the wall, refused while what a fitting takes off it is not known."""

    def worked(**_: Values) -> dict[str, Values]:
        found = cut_list_of(house)
        if found is None:
            raise ValueError("the route lists no straight pipe")
        return {"wall_cut": found.wall_cut}

    return Solver(
        "wall_cut", "The longest pipe in the wall", ("wall_cut",), ("listed_pieces", "pipe_length"), _BY_RECORD, worked
    )


def priced(house: House) -> tuple[Assumed, ...]:
    """What all parts cost, added up from the record's prices, and what its quotes ask where its costs name none."""
    found, cost, offers = [], parts_of(house).cost, offers_of(house)
    if cost:
        found.append(
            Assumed("parts_cost", _as_range(*cost), "added up from the prices of the record, lowest to highest")
        )
    if offers and not (house.costs and house.costs.quote):
        low, high = min(offer.price[0] for offer in offers), max(offer.price[1] for offer in offers)
        found.append(Assumed("quoted_price", _as_range(low, high), "from the lowest to the highest of the quotes"))
    return tuple(found)


def _as_range(low: float, high: float) -> str:
    return f"{(low + high) / 2:.2f} USD ± {(high - low) / 2:.2f} USD"


# ---------------------------------------------------------------- against quotes


@dataclass(frozen=True)
class Offer:
    """A quote: its name and its lowest and highest price."""

    name: str
    price: tuple[float, float]
    includes: str = ""


def offers_of(house: House) -> tuple[Offer, ...]:
    """Every quote with a price, that of the costs first."""
    found = []
    if house.costs and house.costs.quote:
        quote = house.costs.quote
        found.append(Offer("costs.quote", (quote.value - quote.tolerance, quote.value + quote.tolerance)))
    for number, other in enumerate(house.quote, 1):
        if other.price:
            price = (other.price.value - other.price.tolerance, other.price.value + other.price.tolerance)
            found.append(Offer(other.name or f"quote {number}", price, other.includes or ""))
    return tuple(found)


def money(low: float, high: float, system: System) -> str:
    """A price or a range of one, to the unit."""
    unit = term("parts_cost").unit(system)
    one, other = (decimal(round(value), unit, 6) for value in (low, high))
    return one if one == other else f"{one} to {other}"
