"""Several small pipes beside each other against one large pipe: equal area is not equal flow."""

from sympy import pi

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_GEOMETRY = Source(kind="derived", place="area of a circle")
_FRICTION = Source(
    kind="derived", place="Darcy-Weisbach with a friction factor that falls as a power of the Reynolds number"
)


@formula(
    "bore",
    Source("astm-d1785", "inside diameter is not tabulated: outside diameter less two walls"),
    when={
        "the wall is thinner than the radius": lambda pipe_outside_diameter, wall_thickness: (
            2 * wall_thickness < pipe_outside_diameter
        ),
    },
)
def pipe_bore(pipe_outside_diameter, wall_thickness):
    """Inside diameter of a pipe from its outside diameter and wall.

    Assumes the stated wall all round; the standard's least wall gives the largest bore it allows.
    """
    return pipe_outside_diameter - 2 * wall_thickness


@formula("bore_area", _GEOMETRY)
def bore_area(bore):
    """Open area of a round pipe."""
    return pi * bore**2 / 4
