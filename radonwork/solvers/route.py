"""What a network of air is made of: soil, openings, straight pipe and fittings in branches between nodes, and wyes.

SI throughout. A figure is a number, or an array with one value a variant.
"""

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from radonwork.engine.refusals import Refusal

OUTSIDE = "outside"
"""The node of outdoors and of the room above the slab: pressures are counted from it."""
SMOOTH = 1.5e-6
"""Roughness of drawn plastic, m: data/tables/pipe_roughness.csv."""


class NetworkError(Refusal):
    """A network that cannot be worked; one plain line that names the branch or node."""


class NotAttainable(Refusal):
    """A flow or suction the fan cannot give, with the most it gives; one plain line."""


@dataclass(frozen=True)
class Pipe:
    """Straight pipe: length, bore, roughness, m."""

    length: Any
    bore: Any
    roughness: Any = SMOOTH


@dataclass(frozen=True)
class Fitting:
    """A loss coefficient on the velocity pressure in `bore`, m."""

    coefficient: Any
    bore: Any


@dataclass(frozen=True)
class Opening:
    """A hole of `area`, m², such as the gap round a pipe in a sump lid."""

    area: Any
    discharge_coefficient: Any = 0.6


@dataclass(frozen=True)
class Soil:
    """Suction p = resistance Q + inertia Q²: Pa s/m³, and Pa s²/m⁶ in clean coarse stone."""

    resistance: Any
    inertia: Any = 0.0


Piece = Pipe | Fitting | Opening | Soil
_MAY_BE_ZERO = {"roughness", "resistance", "inertia"}
_MAY_BE_NEGATIVE = {"coefficient"}


@dataclass(frozen=True)
class Branch:
    """`pieces` in the order in which the air passes them, from node `start` to node `end`."""

    name: str
    start: str
    end: str
    pieces: tuple[Piece, ...]

    def __post_init__(self) -> None:
        if not self.pieces:
            raise NetworkError(f"branch {self.name}: it has no piece; give it at least one pipe, fitting or soil")
        for number, piece in enumerate(self.pieces, 1):
            for field in fields(piece):
                value = np.asarray(getattr(piece, field.name), dtype=float)
                where = f"branch {self.name}, {type(piece).__name__.lower()} {number}: {field.name.replace('_', ' ')}"
                if not np.all(np.isfinite(value)):
                    raise NetworkError(f"{where} must be a number")
                if field.name in _MAY_BE_NEGATIVE:
                    continue
                low = float(value.min())
                if low < 0 or (low == 0 and field.name not in _MAY_BE_ZERO):
                    wanted = "zero or more" if field.name in _MAY_BE_ZERO else "above zero"
                    raise NetworkError(f"{where} is {low:g}; it must be {wanted}")


@dataclass(frozen=True)
class Wye:
    """A wye or tee where the branches named `run` and `branch` join into `main`, or `main` parts into them.

    Its run and combined leg have the bore `main_bore`, its branch `branch_bore`, m; `angle` between branch and run is in
    radians, from 30° to 60°, or 90° for a tee. The losses come on top of the pieces of `run` and `branch`.
    """

    run: str
    branch: str
    main: str
    main_bore: Any
    branch_bore: Any
    angle: float


@dataclass(frozen=True)
class Network:
    """Branches, the name of the one that holds the fan, and the wyes among them."""

    branches: tuple[Branch, ...]
    fan: str
    wyes: tuple[Wye, ...] = ()
