"""Where the pipe comes out: every viewpoint and every opening, and how to print the templates."""

from radonwork.glossary import term
from radonwork.house import discharge as outlet
from radonwork.house.calculations import Calculation
from radonwork.report.blocks import Block, Para, Table, Words
from radonwork.report.told import Told
from radonwork.requirements.rules import judge, requirements_of
from radonwork.units import decimal, shown

_RULES: dict[outlet.Whose, str] = {"this house": outlet.OPENINGS_RULE, "neighbour": outlet.NEIGHBOURS_RULE}
_OVER = {
    "the ridge": "over the ridge",
    "the eave": "over the near eave",
    "past the end": "past the end of the roof, where nothing is taken to hide the pipe",
    "under the roof": "from under the roof, so the pipe is not in view",
}


def views(calculation: Calculation) -> tuple[Block, ...]:
    """How well the pipe is hidden from each viewpoint; empty where none is stated or the roof is not settled."""
    house, values, system = calculation.house, calculation.run.values, calculation.run.system
    if house is None or "sight_margin" not in values:
        return ()
    small, large = (term(name).unit(system) for name in ("sight_margin", "ridge_distance"))
    rows: list[tuple[Words, ...]] = []
    for view in outlet.views(house, values["rafter_run"]):
        found = ""
        if view.over != "under the roof":
            spare = float(outlet.margin(view, values))
            found = f"hidden, {shown(spare, small)} to spare" if spare >= 0 else f"seen, the top {shown(-spare, small)}"
        away = decimal(view.away, large, 3) if view.over in ("the ridge", "the eave") else ""
        rows.append(((view.name,), (_OVER[view.over],), (away,), (found,)))
    head = ("From", "The line of sight passes", "Level to that edge, square to it", "The pipe")
    note = "Between eye and roof nothing else is taken to stand: no tree, no other house. Go there and look before cutting."
    return Table("Who sees the pipe", head, tuple(rows), (4, 5, 3, 4)), Para((note,), "note")


def openings(calculation: Calculation) -> tuple[Block, ...]:
    """Every opening of the house and of neighbours against its rule; empty where none is stated."""
    house, values, system = calculation.house, calculation.run.values, calculation.run.system
    if house is None or "outlet_height" not in values:
        return ()
    unit = term("opening_distance").unit(system)
    rules = {rule.name: rule for rule in requirements_of("discharge")}
    rows: list[tuple[Words, ...]] = []
    for whose, name in _RULES.items():
        for one in outlet.openings(house, whose):
            away = float(outlet.straight(one, values["outlet_height"]))
            rise = values["outlet_height"] - one.head
            known = {rules[name].check.quantity: away, "opening_rise": rise}
            # There is an opening, so whether one is near need not be said in words too.
            finding = judge(rules[name], known, {"neighbour_near": True}, None, system)
            above = finding.verdict == "met" and finding.requirement.check.quantity == "opening_rise"
            verdict = "met, being above it" if above else finding.verdict
            rows.append(((f"{one.name} ({whose})",), (decimal(away, unit, 3),), (decimal(rise, unit, 3),), (verdict,)))
    if not rows:
        return ()
    head = ("Opening", "Straight distance", "Outlet above its top", "Rule on openings")
    return (Table("Every opening against its rule", head, tuple(rows), (5, 3, 3, 4)),)


def templates(_calculation: Calculation) -> tuple[Block, ...]:
    """How to print what is drawn at true size."""
    return (
        Para(
            (
                "The hole in the deck, the holes in plates and lid, cuts around a pipe and marks for turning fittings can be "
                "printed at true size: radonwork templates HOUSE.toml -o FOLDER writes them as one PDF and as SVG, on letter "
                "or A4. Print at 100 %, never fitted to the page, and measure both check bars on every sheet before one is "
                "used: printers shrink.",
            )
        ),
    )


TOLD = (
    Told("views", "Who sees the pipe", views),
    Told("openings", "Every opening", openings),
    Told("templates", "Templates at true size", templates),
)
