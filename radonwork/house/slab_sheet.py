"""The statements of suction under the slab of one house, and what fast air in clean stone takes away there."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from radonwork.engine.formula import Values
from radonwork.engine.sheet import Run
from radonwork.engine.solver import Solver
from radonwork.engine.sources import Source
from radonwork.glossary import term
from radonwork.house.record import House
from radonwork.house.slab import STONE, Slab, slab_of, wants_radius
from radonwork.solvers.slab_plan import Pit
from radonwork.units import decimal

_DERIVED = Source(kind="derived", place="balance of air in the layer, solved for this outline by its edge")
_LAYOUT = ("outline_corners", "suction_places")
_ASSUMED = (
    "The layer and the slab are alike everywhere; footings that cut the layer are not known to it.",
    "The walls let no air through at the height of the layer.",
    "Corners and walls are judged at the middle of the nearest of 64 by 64 squares.",
)
_ONE_SUCTION = "Every suction point and drain has the same suction."
_OWN_SUCTION = (
    "A suction point whose pipe states a suction of its own has that, without its tolerance; every other one, and each drain "
    "without such a point, has the same."
)
_NO_INERTIA = "Losses to fast air in clean stone near a pit are left out."
_INERTIA = (
    "The loss to fast air in clean stone is taken as if it were all at the pit: flow, and suction near it, come out too "
    "small, and suction far off a little too large."
)
_FAR_SHARE = 0.5
"""Of the leakage length: up to this inertial radius, what is said of the model's error holds (see solvers/suction_field)."""
_NEAR = (
    "Against the whole law, integrated around one pit, the flow so comes out up to 15 % too small, the suction a metre from "
    "the pit up to three fifths too small, and three leakage lengths away up to a fifth too large."
)
_FAR = (
    "Here it reaches farther than half a leakage length, and then these figures are rough: the flow may be twice as large, "
    "and the suction far from the pit a third of what is said or less. Rest on readings in test holes."
)
_TIGHTER = 3.0
"""Times by which a layer may be tighter than its stone would make it, before that is said: a choice."""


def solvers_of(house: House) -> tuple[Solver, ...]:
    """Suction, area and reach; the flow from the soil; the worst of a cold day. Each wants what the plan still lacks."""
    slab = slab_of(house)
    plan = (*_LAYOUT, *(["pit_radius"] if wants_radius(house) else []))
    stony = bool(slab and slab.stone)
    assumptions = (
        *_ASSUMED,
        _OWN_SUCTION if slab and slab.parted else _ONE_SUCTION,
        _INERTIA if stony else _NO_INERTIA,
    )

    def made(
        name: str,
        title: str,
        gives: tuple[str, ...],
        takes: tuple[str, ...],
        function: Callable[[Slab, Mapping[str, Values]], Mapping[str, np.ndarray]],
    ) -> Solver:
        takes = tuple(dict.fromkeys((*takes, *(STONE if stony else ()))))

        def shaped(**terms: Values) -> dict[str, Values]:
            if slab is None:
                raise ValueError("the plan wants foundation.outline, and a place in suction.point or suction.drain")
            return _shaped(function(slab, terms), *(terms[name] for name in takes))

        return Solver(name, title, gives, (*takes, *plan), _DERIVED, shaped, assumptions=assumptions)

    return (
        made(
            "slab_suction", "Suction under this slab", ("least_suction", "reached_share", "reached_area", "suction_reach"),
            ("soil_suction", "leakage_length", "target_suction"), _suctions,
        ),
        made(
            "slab_flow", "Air drawn from under this slab",
            ("soil_flow", *(("pit_flow", "drawing_radius") if stony else ())),
            ("soil_suction", "leakage_length", "layer_transmissivity"), _flows,
        ),
        made(
            "cold_day", "Least suction on a cold day, if all the soil's air comes from outdoors", ("cold_least_suction",),
            ("soil_suction", "leakage_length", "stack_suction"), _cold,
        ),
    )  # fmt: skip


def _suctions(slab: Slab, terms: Mapping[str, Values]) -> dict[str, np.ndarray]:
    given = (terms[name] for name in ("soil_suction", "leakage_length", "target_suction"))
    suction, length, target = np.broadcast_arrays(*map(np.atleast_1d, given))
    if np.any(target <= 0) or np.any(suction <= 0):
        raise ValueError("the target and the suction at the suction point must be above zero")
    nearest_first = np.argsort(slab.distances)
    distances = np.append(slab.distances[nearest_first], slab.distances.max())
    least, share, reach = [], [], []
    available = slab.available(suction)
    for rows, found in slab.suctions_in_blocks(length, slab.drives(available, length, terms), available):
        reached = found >= target[rows, np.newaxis]
        least.append(np.maximum(found.min(axis=1), 0.0))  # far away rounding leaves a hair less than none
        share.append(reached.mean(axis=1))
        ordered = np.append(reached[:, nearest_first], np.zeros((len(reached), 1), dtype=bool), axis=1)
        reach.append(distances[ordered.argmin(axis=1)])
    reached_share = np.concatenate(share)
    return {
        "least_suction": np.concatenate(least),
        "reached_share": reached_share,
        "reached_area": reached_share * slab.footprint.area,
        "suction_reach": np.concatenate(reach),
    }


def _flows(slab: Slab, terms: Mapping[str, Values]) -> dict[str, np.ndarray]:
    drives = slab.drives(slab.available(terms["soil_suction"]), terms["leakage_length"], terms)
    flows = slab.flows(terms["leakage_length"], terms["layer_transmissivity"], drives)
    found = {"soil_flow": flows.sum(axis=1)}
    if slab.stone:  # the pit that draws most
        first = [slab.sinks[group[0]] for group in slab.groups]
        radii = np.array([sink.radius for sink in first if isinstance(sink, Pit)])
        of_pits = flows[:, [isinstance(sink, Pit) for sink in first]]
        found |= {"pit_flow": of_pits.max(axis=1), "drawing_radius": radii[of_pits.argmax(axis=1)]}
    return found


def _cold(slab: Slab, terms: Mapping[str, Values]) -> dict[str, np.ndarray]:
    pull, length = np.ravel(terms["stack_suction"]), terms["leakage_length"]
    available = slab.available(terms["soil_suction"]) + pull[:, np.newaxis]
    blocks = slab.suctions_in_blocks(length, slab.drives(available, length, terms), available)
    return {"cold_least_suction": np.concatenate([found.min(axis=1) for _, found in blocks]) - pull}


def _shaped(found: Mapping[str, np.ndarray], *given: Values) -> dict[str, Values]:
    """Numbers for numbers, arrays for arrays."""
    shape = np.broadcast_shapes(*(np.shape(value) for value in given))
    if shape:
        return {name: np.broadcast_to(value, shape) for name, value in found.items()}
    return {name: float(np.ravel(value)[0]) for name, value in found.items()}


def inertia_lines(run: Run, house: House) -> tuple[str, ...]:
    """What fast air in clean stone takes away near the pits, a sentence each; empty where it is not worked."""
    slab, values = slab_of(house), run.values
    if not (slab and slab.stone and "inertial_loss" in values and "least_suction" in values):
        return ()
    from radonwork.formulas.soil import bed_permeability

    without = replace(slab, stone=False)
    least, flow = _suctions(without, values)["least_suction"], _flows(without, values)["soil_flow"]

    def said(name: str, value: float) -> str:
        return decimal(value, term(name).unit(house.system), 3)

    available, loss = slab.available(values["soil_suction"]), values["inertial_loss"]
    drives = slab.drives(available, values["leakage_length"], values)
    of_groups = slab.flows(values["leakage_length"], values["layer_transmissivity"], drives)[0]
    drawing = [isinstance(slab.sinks[group[0]], Pit) for group in slab.groups]
    suction = float(available[0, drawing][np.argmax(of_groups[drawing])])
    span = run.spread("inertial_loss")
    ends = (
        f" ({said('inertial_loss', span[0])} to {said('inertial_loss', span[1])} over the tolerances)" if span else ""
    )
    radius, pit = values["inertial_radius"], values["drawing_radius"]
    within = (
        f"Up to {said('inertial_radius', radius)} from its middle the loss that grows as the square of the flow is the larger."
        if radius > pit
        else "Nowhere outside the pit is the loss that grows as the square of the flow the larger."
    )
    bed = bed_permeability(stone_diameter=values["stone_diameter"], stone_porosity=values["stone_porosity"])
    tighter = float(bed) / values["layer_permeability"]
    doubt = (
        f"The layer lets {tighter:.0f} times less air through than clean stone of that size would: it is likely mixed with "
        "finer stuff, and then more is lost near the pit than is said here.",
    )
    return (
        f"By the record the slab lies on clean stone, in which air near a pit is fast: of {said('soil_suction', suction)} at "
        f"the pit that draws most, {said('inertial_loss', loss)}{ends} or {100 * loss / suction:.0f} % is "
        "lost there and does not reach the slab.",
        within,
        f"Without this loss the soil would give {said('soil_flow', float(flow[0]))} in place of "
        f"{said('soil_flow', values['soil_flow'])}, and the least suction under the slab would be "
        f"{said('least_suction', float(least[0]))} in place of {said('least_suction', values['least_suction'])}.",
        "The loss fades out over some metres but is taken as if it were all at the pit. "
        + (_FAR if radius > _FAR_SHARE * values["leakage_length"] else _NEAR),
        *(doubt if tighter > _TIGHTER else ()),
    )
