"""The outlet of one house on plan and section: which opening decides, and who sees the pipe.

Places come from the plan as they are stated; heights and the roof may carry a tolerance. All in metres.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from radonwork.engine.formula import RangeError, Values
from radonwork.engine.solver import Solver
from radonwork.engine.sources import Source
from radonwork.formulas import discharge, roof
from radonwork.house import plan
from radonwork.house.record import House
from radonwork.requirements.rules import Comparison, requirements_of

_PLAN = Source(kind="derived", place="places on the plan of the record, each opening tried")
_SIGHT = Source(kind="derived", place="straight lines of sight over ridge and eave, each viewpoint tried")
_ROOF = (
    "ridge_height", "eave_height", "rafter_run", "ridge_distance", "pipe_outside_diameter", "roof_angle",
    "outlet_height_upslope",
)  # fmt: skip
OPENINGS_RULE = "ten feet from openings of the house"
NEIGHBOURS_RULE = "ten feet from openings of a neighbour"

Whose = Literal["this house", "neighbour"]
# What stands between an eye and the pipe; "past the end" is a line that passes beside the roof, where nothing is claimed.
Over = Literal["the ridge", "the eave", "past the end", "under the roof"]


@dataclass(frozen=True)
class Opened:
    """An opening on the plan, with its level distance from the outlet's middle and its heights."""

    name: str
    away: float
    sill: float
    head: float
    ends: tuple[plan.Point, plan.Point]


@dataclass(frozen=True)
class View:
    """A viewpoint against the ridge: over which edge it looks at the pipe, and how far that edge is, square to it."""

    name: str
    at: plan.Point
    eye: float
    over: Over
    away: float


def openings(house: House, whose: Whose) -> list[Opened]:
    """Every opening of this house or of neighbours whose place and heights are stated, in the order of the record."""
    at = house.outlet.at.point if house.outlet and house.outlet.at else None
    found = []
    for count, opening in enumerate(house.opening, 1):
        if at and opening.of == whose and opening.at and opening.sill and opening.head:
            ends = (opening.at.point, (opening.to or opening.at).point)
            away = plan.distance(at, *ends)
            found.append(Opened(opening.name or f"opening {count}", away, opening.sill.value, opening.head.value, ends))
    return found


def views(house: House, run: float) -> list[View]:
    """Every viewpoint of the record; `run` is the level distance from the ridge to the eave."""
    if not (house.roof and house.roof.ridge and house.outlet and house.outlet.at):
        return []
    start, end = (place.point for place in house.roof.ridge)
    length = math.dist(start, end)
    pipe = plan.beside(house.outlet.at.point, start, end)
    found = []
    for count, seen in enumerate(house.viewpoint, 1):
        if seen.at and seen.eye_height:
            eye = plan.beside(seen.at.point, start, end)
            over, away = _over(eye, pipe, length, run)
            found.append(View(seen.name or f"viewpoint {count}", seen.at.point, seen.eye_height.value, over, away))
    return found


def _over(eye: plan.Point, pipe: plan.Point, length: float, run: float) -> tuple[Over, float]:
    """What a line of sight passes over, by the places of eye and pipe along the ridge and aside from it."""
    (along, aside), (pipe_along, pipe_aside) = eye, pipe
    other_side = aside * pipe_aside < 0
    if abs(aside) <= run and 0 <= along <= length:
        return "under the roof", 0.0
    edge = 0.0 if other_side else math.copysign(run, pipe_aside)
    if not other_side and abs(aside) <= run:
        return "past the end", abs(aside)
    share = (edge - aside) / (pipe_aside - aside)
    crossing = along + share * (pipe_along - along)
    if not 0 <= crossing <= length:
        return "past the end", abs(aside)
    return ("the ridge", abs(aside)) if other_side else ("the eave", abs(aside) - run)


def margin(view: View, given: Mapping[str, Values]) -> Values:
    """How much higher the pipe could end and still be hidden from a viewpoint; past the end of the roof nothing hides it."""
    top, pipe, angle = (given[name] for name in ("outlet_height_upslope", "pipe_outside_diameter", "roof_angle"))
    if view.over == "past the end":
        return -np.asarray(top) if np.ndim(top) else -top
    if view.over == "the ridge":
        slope = discharge.sight_over_ridge(
            ridge_height=given["ridge_height"], eye_height=view.eye, viewer_ridge_distance=view.away
        )
        hidden = discharge.hidden_behind_ridge(
            ridge_distance=given["ridge_distance"], pipe_outside_diameter=pipe, roof_angle=angle, sight_slope=slope
        )
        return discharge.sight_margin(hidden_height=hidden, outlet_height_upslope=top)
    slope = discharge.sight_over_eave(
        eave_height=given["eave_height"], eye_height=view.eye, viewer_eave_distance=view.away
    )
    hidden = discharge.hidden_behind_eave(
        eave_distance=given["rafter_run"] - given["ridge_distance"],
        pipe_outside_diameter=pipe,
        roof_angle=angle,
        sight_slope=slope,
    )
    low = roof.outlet_height_downslope(outlet_height_upslope=top, pipe_outside_diameter=pipe, roof_angle=angle)
    return discharge.sight_margin(hidden_height=hidden, outlet_height_upslope=low)


# ---------------------------------------------------------------- statements of the sheet


def opening_solver(house: House) -> Solver | None:
    """Which opening of this house decides, by the rule on openings; None where none is stated."""
    found = openings(house, "this house")
    if not found:
        return None
    (rule,) = (rule for rule in requirements_of("discharge") if rule.name == OPENINGS_RULE)
    assert isinstance(rule.check, Comparison)
    far, high = rule.check.limit({}), rule.instead[0].limit({})
    assert far is not None
    assert high is not None

    def to_spare(one: Opened, outlet: Values) -> Values:
        """By how much the rule is kept: far enough away, or high enough above it."""
        return np.maximum(straight(one, outlet) - far, outlet - one.head - high)

    return _deciding("opening", "this house", found, to_spare)


def neighbour_solver(house: House) -> Solver | None:
    """Which opening of a neighbour is nearest; None where none is stated."""
    found = openings(house, "neighbour")
    return _deciding("neighbour", "a neighbour", found, straight) if found else None


def straight(one: Opened, outlet: Values) -> Values:
    """Straight distance from an outlet of this height to the nearest point of an opening."""
    return discharge.opening_distance(
        opening_level_distance=one.away, outlet_height=outlet, opening_sill=one.sill, opening_head=one.head
    )


def _deciding(kind: str, whose: str, found: Sequence[Opened], worth: Callable[[Opened, Values], Values]) -> Solver:
    """The opening of least `worth` at each height of the outlet, as distance, sill and head."""
    gives = (f"{kind}_level_distance", f"{kind}_sill", f"{kind}_head")
    parts = {name: np.array([getattr(one, part) for one in found]) for name, part in zip(gives, _PARTS, strict=True)}

    def function(outlet_height: Values) -> dict[str, Values]:
        least = np.argmin([np.asarray(worth(one, outlet_height)) for one in found], axis=0)
        return {name: values[least] if np.ndim(least) else float(values[least]) for name, values in parts.items()}

    title = f"The opening of {whose} that decides, of {len(found)}"
    assumed = ("Level distances from the middle of the outlet to the nearest point of each opening on the plan.",)
    return Solver(
        f"deciding_{kind}", title, gives, ("outlet_height",), _PLAN, function, assumptions=assumed
    )  # fmt: skip


_PARTS = ("away", "sill", "head")


def sight_solver(house: House, run: float) -> Solver | None:
    """The least margin over all viewpoints, with eye and distance of the one that sees most over the ridge, if any does."""
    looking = [view for view in views(house, run) if view.over != "under the roof"]
    if not looking:
        return None
    behind = [view for view in looking if view.over == "the ridge"]
    gives = ("sight_margin", *(("eye_height", "viewer_ridge_distance") if behind else ()))

    def function(**given: Values) -> dict[str, Values]:
        found = {"sight_margin": _least([margin(view, given) for view in looking])}
        if behind:
            # The one that sees most, at the middle of what is stated: it is named once, whatever the tolerance.
            nominal = {name: float(np.mean(value)) for name, value in given.items()}
            worst = min(behind, key=lambda view: float(margin(view, nominal)))
            shape = np.shape(found["sight_margin"])
            for name, value in (("eye_height", worst.eye), ("viewer_ridge_distance", worst.away)):
                found[name] = np.full(shape, value) if shape else value
        return found

    return Solver(
        "least_sight_margin",
        f"How well the pipe is hidden from {len(looking)} viewpoint{'s' * (len(looking) > 1)}",
        gives,
        _ROOF,
        _SIGHT,
        function,
        assumptions=(
            "A roof of two slopes with a straight level ridge between the two ends on the plan, and nothing else between.",
            "Where a line of sight passes the end of the roof, nothing is taken to hide the pipe.",
        ),
    )


def _least(margins: list[Values]) -> Values:
    least = np.min(np.broadcast_arrays(*(np.asarray(value) for value in margins)), axis=0)
    return least if np.ndim(least) else float(least)


def eave_run(house: House) -> float | None:
    """Level distance from ridge to eave as the record has it; None where it does not settle it."""
    facts = house.facts()
    try:
        return float(
            discharge.run_from_heights(
                **{name: facts[name].value for name in ("ridge_height", "eave_height", "roof_angle")}
            )
        )
    except (KeyError, RangeError):
        return None
