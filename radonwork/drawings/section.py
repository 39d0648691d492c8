"""The house in section with the eleven parts of the job at the places where they are done. A scheme, not to scale."""

from collections.abc import Mapping

from radonwork.drawings.shapes import Drawing, Frame, Point

_STOREY, _WIDTH, _ATTIC = 2.7, 8.0, 2.6
_PIPE = 0.16


def house_section(below_ground: bool, storeys: int, states: Mapping[int, str]) -> Drawing:
    """A house of up to three storeys on a basement or on a slab; `states` says how far each numbered part has come."""
    storeys = max(1, min(storeys, 3))
    floor = -_STOREY if below_ground else 0.0
    eaves = storeys * _STOREY
    ridge = eaves + _ATTIC
    right, left, riser = _WIDTH / 2, -_WIDTH / 2, 1.4
    beside = 6.0  # for the words: a low house is drawn larger, and they are not
    drawing = Drawing(
        "house",
        "The house in section, with the eleven parts of the job",
        "A house in section, not to scale, with the eleven parts of the job where they are done: "
        + "; ".join(f"{number} {state}" for number, state in states.items()) + ".",
        Frame(left=left - beside, right=right + beside, bottom=floor - 1.5, top=ridge + 1.5, width=900, height=560, margin=14),
    )  # fmt: skip
    drawing.rectangle("earth", left - beside, floor - 1.5, right + beside, 0.0)
    drawing.polygon(
        "house",
        [
            (left, floor),
            (right, floor),
            (right, eaves),
            (right + 0.5, eaves),
            (0, ridge),
            (left - 0.5, eaves),
            (left, eaves),
        ],
    )
    drawing.rectangle("gravel", left, floor - 0.35, right, floor - 0.12)
    drawing.rectangle("concrete", left - 0.2, floor - 0.12, right + 0.2, floor)
    if below_ground:
        for side in (left - 0.2, right):
            drawing.rectangle("concrete", side, floor, side + 0.2, 0.25)
    for storey in range(1 if not below_ground else 0, storeys + 1):
        drawing.rectangle("wood", left, storey * _STOREY - 0.12, right, storey * _STOREY)
    drawing.rectangle("gravel", riser - 0.45, floor - 0.9, riser + 0.45, floor - 0.12)

    # The pipe: from the pit up the wall, along the attic with its fall, up through the roof.
    start, bend, end = floor - 0.6, eaves + 0.35, eaves + 0.55
    roof = riser - 2.4
    deck = ridge - (ridge - eaves) * abs(roof) / (right + 0.5)
    drawing.rectangle("pipe", riser - _PIPE, start, riser + _PIPE, bend)
    drawing.polygon(
        "pipe",
        [
            (riser + _PIPE, bend - _PIPE),
            (riser + _PIPE, bend + _PIPE),
            (roof - _PIPE, end + _PIPE),
            (roof - _PIPE, end - _PIPE),
        ],
    )
    drawing.rectangle("pipe", roof - _PIPE, end, roof + _PIPE, deck + 0.75)
    drawing.rectangle("house", roof - 0.3, end + 0.45, roof + 0.3, end + 1.05)
    drawing.line("flow", [(roof, deck + 0.8), (roof, deck + 1.25)])
    drawing.line("fall", [(roof + 0.5, end + 0.4), (riser - 0.4, bend + 0.35)])
    if below_ground:
        drawing.rectangle("ghost", left + 0.05, floor - 0.34, left + 0.35, floor - 0.14)
        drawing.rectangle("ghost", right - 0.35, floor - 0.34, right - 0.05, floor - 0.14)

    low = floor + 0.5 * _STOREY
    places: dict[int, tuple[Point, Point]] = {
        1: ((left + 1.3, floor + 1.0), (left - 2.4, low)),
        2: ((left + 2.4, 0.9 if not below_ground else 0.7), (left - 2.4, low + 1.1)),
        3: ((riser, floor - 0.5), (right + 2.5, floor - (0.7 if below_ground else 1.0))),
        4: ((riser, 1.2), (right + 2.5, min(1.9, eaves - 1.1))),
        5: ((riser, eaves - 0.5), (right + 2.5, eaves - 0.2)),
        6: ((roof, end + 0.75), (left - 2.4, eaves + 0.7)),
        7: ((0.2, bend + 0.2), (right + 2.5, eaves + 1.0)),
        8: ((roof, deck), (left - 2.4, ridge - 0.2)),
        9: ((right + 1.2, 0.2), (right + 2.5, 0.7)),
        10: ((riser, floor + (1.3 if below_ground else 0.6)), (right + 2.5, floor + 1.2 if below_ground else -0.15)),
        11: ((left - 1.2, 0.2), (left - 2.4, 0.4 if not below_ground else 0.35)),
    }
    if below_ground:
        places[1] = (places[1][0], (left - 2.4, floor + 0.8))
        places[2] = (places[2][0], (left - 2.4, 1.6))
    for number, (where, words) in places.items():
        on_right = words[0] > 0
        near = (words[0] + (-0.1 if on_right else 0.1), words[1])
        drawing.line("centreline", [where, near])
        drawing.circle("mark", where, 0.07)
        state = states.get(number, "")
        anchor = "start" if on_right else "end"
        drawing.text(words, f"{number} {state.partition(':')[0]}", anchor, (0, -2), kind="accent")
        drawing.text(words, state.partition(":")[2].strip(), anchor, (0, 13))
    return drawing
