"""The wall that is to be opened: what is known of its framing, what was probed, what is to be cut, how places are carried up.

Places are counted along the wall from its left end, at the height at which it is to be opened.
"""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from radonwork.glossary import term
from radonwork.house.faults import as_written
from radonwork.house.fields import At, Name, Notes, Section, like, measured, wrong
from radonwork.units import Quantity

MOST = 100  # of features, probes, holes


class Feature(Section):
    """Something from which framing can be told: an opening or a box by its two sides, anything else by its middle."""

    kind: Literal["opening", "box", "corner", "partition", "stud"] | None = None
    name: Name | None = None
    left: Quantity | None = like("wall_place")
    right: Quantity | None = like("wall_place")
    at: Quantity | None = like("wall_place")
    presence: Quantity | None = like("wood_chance")

    @model_validator(mode="after")
    def _placed(self) -> "Feature":
        if self.kind is None:
            raise wrong("has no kind; write kind as opening, box, corner, partition or stud")
        if self.kind in ("opening", "box"):
            if self.at or not (self.left and self.right):
                raise wrong(f"of kind {self.kind!r} is placed by its two sides; write left and right, and no at")
            if self.right.value <= self.left.value:
                raise wrong(f"{self.right.text!r} does not lie right of {self.left.text!r}; correct one", "right")
        elif self.left or self.right or not self.at:
            raise wrong(f"of kind {self.kind!r} is placed by its middle; write at, and neither left nor right")
        if self.presence and not 0.01 <= self.presence.value <= 0.99:
            raise wrong(f"{self.presence.text!r} is surer than anybody is; write 1 % to 99 %", "presence")
        return self

    @property
    def places(self) -> tuple[Quantity, ...]:
        return tuple(place for place in (self.left, self.right, self.at) if place)


def _narrow(width: Quantity | None, name: str) -> None:
    if width and width.value > term("probe_width").si_range[1]:
        raise wrong(f"{width.text!r} is wider than 1 in (25.4 mm); such a tool tells no stud from its neighbour", name)


def _now_and_then(false: Quantity | None) -> None:
    if false and not 0.001 <= false.value <= 0.4:
        raise wrong(f"{false.text!r} is no share of false readings; write 0.1 % to 40 %", "false_reading")


class ProbeFound(Section):
    """What a nail, a drill or an instrument found at one place."""

    at: Quantity | None = like("wall_place")
    found: Literal["wood", "nothing", "edge"] | None = None
    width: Quantity | None = like("probe_width")
    false_reading: Quantity | None = like("false_reading")

    @model_validator(mode="after")
    def _read(self) -> "ProbeFound":
        if not self.at or not self.found:
            raise wrong(f"lacks {'what was found' if self.at else 'its place'}; write at, and found")
        _narrow(self.width, "width")
        _now_and_then(self.false_reading)
        return self


class Cut(Section):
    """A hole or notch that is made or planned, and what is known of the member. Depth is a plate's width.

    What is not stated is not known: a rule that asks for it cannot be judged.
    """

    name: Name | None = None
    member: Literal["stud", "plate", "joist", "rafter", "ceiling joist"] | None = None
    bearing: bool | None = None
    doubled: bool | None = None
    engineered: bool | None = None
    only_cut: bool | None = None
    depth: Quantity | None = like("member_depth")
    diameter: Quantity | None = like("hole_diameter")
    offset: Quantity | None = like("hole_offset")
    other_hole: Quantity | None = like("other_hole")
    other_hole_distance: Quantity | None = like("hole_spacing")
    notch_depth: Quantity | None = like("notch_depth")
    notch_length: Quantity | None = like("notch_length")
    at_end: bool | None = None
    span: Quantity | None = like("span")
    support_distance: Quantity | None = like("support_distance")
    tie: bool | None = None
    shield: bool | None = None
    maker_allows: bool | None = None
    licensed_person: bool | None = None
    fireblocked: bool | None = None
    garage_separation: Literal["closed again", "open", "none here"] | None = None
    draft_stop: Literal["closed again", "open", "none here"] | None = None
    notes: Notes | None = None

    @model_validator(mode="after")
    def _one_cut(self) -> "Cut":
        if not self.member:
            raise wrong("states no member; write member as stud, plate, joist, rafter or ceiling joist")
        if bool(self.diameter) == bool(self.notch_depth):
            raise wrong("is a hole or a notch; write diameter, or notch_depth, and not both")
        size = self.diameter or self.notch_depth
        if size and size.value <= 0:
            at = "diameter" if self.diameter else "notch_depth"
            raise wrong(f"{size.text!r} cuts nothing; write one above zero, or leave the cut out", at)
        if self.diameter and (self.notch_length or self.at_end is not None):
            raise wrong("is written beside diameter; a hole has no length, write it as a notch", "diameter")
        if self.notch_depth and (self.offset or self.other_hole):
            at = "offset" if self.offset else "other_hole"
            raise wrong("is written beside notch_depth; a notch lies at the edge", at)
        if bool(self.other_hole) != bool(self.other_hole_distance):
            at = "other_hole" if self.other_hole else "other_hole_distance"
            raise wrong("wants the other of the two: other_hole and other_hole_distance, centre to centre", at)
        if self.only_cut and self.other_hole:
            raise wrong("is written beside only_cut = true; write the one or the other", "other_hole")
        if self.depth and self.depth.value <= self.depth.tolerance:
            raise wrong(f"{self.depth.text!r} is no depth; write the member's own, above zero", "depth")
        near, span = self.support_distance, self.span
        if near and span and near.value > span.value:
            raise wrong(f"{near.text!r} is beyond the span, {span.text!r}; correct one", "support_distance")
        return self


class Transfer(Section):
    """How a place is carried from this floor to the one above, and how true what carries it is."""

    height: Quantity | None = measured("transfer_height")
    plumb_error: Quantity | None = measured("plumb_error")
    plumb_length: Quantity | None = measured("plumb_length")
    tape_tolerance: Quantity | None = measured("tape_tolerance")
    drill_lean: Quantity | None = measured("drill_lean")
    place_below: Quantity | None = measured("place_below")
    reference: Name | None = None
    reference_below: Quantity | None = measured("reference_below")
    reference_above: Quantity | None = measured("reference_above")


def _dot(value: object) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2 or not all(type(part) in (int, float) for part in value):
        raise ValueError("is not a point of the picture; write two numbers in square brackets, such as [412, 980]")
    if not all(abs(part) <= 1e6 for part in value):
        raise ValueError("lies outside any picture; write two numbers up to a million")
    return float(value[0]), float(value[1])


Dot = Annotated[tuple[float, float], BeforeValidator(_dot)]


class Mark(Section):
    """One of the four marks: its point in the picture, and its place along the wall and up."""

    point: Dot | None = None
    place: At | None = None

    @model_validator(mode="after")
    def _whole(self) -> "Mark":
        if not self.point or not self.place:
            raise wrong("lacks its " + ("place on the wall" if self.point else "point in the picture"))
        return self


class Photograph(Section):
    """A photograph of the wall with four marks of known place in it; `point` is what is to be placed."""

    mark: tuple[Mark, ...] = Field(default=(), strict=False)
    point: Dot | None = None
    reading_error: float | None = Field(default=None, ge=0, le=1000)
    notes: Notes | None = None

    @model_validator(mode="after")
    def _four(self) -> "Photograph":
        if len(self.mark) != 4:
            raise wrong(f"has {len(self.mark)} marks; four take the perspective out, write four", "mark")
        if not self.point:
            raise wrong("lacks the point that is to be placed; write point as two numbers")
        return self


class Framing(Section):
    """The wall that is to be opened. `hidden` are stretches where a hole does not show, each by its two ends."""

    wall_length: Quantity | None = measured("framed_length")
    layout_start: Quantity | None = like("wall_place")
    bay_left: Quantity | None = measured("bay_left")
    bay_right: Quantity | None = measured("bay_right")
    inspection_at: Quantity | None = measured("drill_place")
    inspection_hole: Quantity | None = measured("drill_width")
    accepted_chance: Quantity | None = measured("accepted_chance")
    service_chance: Quantity | None = measured("service_chance")
    probe_width: Quantity | None = measured("probe_width")
    false_reading: Quantity | None = measured("false_reading")
    hidden: tuple[At, ...] = Field(default=(), strict=False)
    feature: tuple[Feature, ...] = Field(default=(), strict=False, max_length=MOST)
    probe: tuple[ProbeFound, ...] = Field(default=(), strict=False, max_length=MOST)
    hole: tuple[Cut, ...] = Field(default=(), strict=False, max_length=MOST)
    transfer: Transfer | None = None
    photo: Photograph | None = None
    notes: Notes | None = None

    @model_validator(mode="after")
    def _along_the_wall(self) -> "Framing":
        if self.bay_left and self.bay_right and self.bay_right.value <= self.bay_left.value:
            raise wrong(
                f"{self.bay_right.text!r} does not lie right of {self.bay_left.text!r}; correct one", "bay_right"
            )
        for name in ("bay_left", "bay_right", "inspection_at", "inspection_hole"):
            chosen: Quantity | None = getattr(self, name)
            if chosen and chosen.tolerance:
                raise wrong(f"{chosen.text!r} is chosen, not measured; write it without its tolerance", name)
        _narrow(self.probe_width, "probe_width")
        _now_and_then(self.false_reading)
        for count, stretch in enumerate(self.hidden):
            if stretch.y.value <= stretch.x.value:
                raise wrong(f"{as_written(stretch.y.text)} does not lie right of {stretch.x.text!r}", "hidden", count)
        length = self.wall_length
        if not length:
            return self
        places: list[tuple[Quantity | None, tuple[str | int, ...]]] = [
            (getattr(self, name), (name,)) for name in ("bay_left", "bay_right", "inspection_at")
        ]
        places += [(probe.at, ("probe", n, "at")) for n, probe in enumerate(self.probe)]
        places += [
            (getattr(feature, side), ("feature", n, side))
            for n, feature in enumerate(self.feature)
            for side in ("left", "right", "at")
        ]
        for place, at in places:
            if place and not 0 <= place.value <= length.value:
                raise wrong(f"{place.text!r} does not lie on a wall {length.text} long; correct one", *at)
        return self


__all__ = ["Framing"]
