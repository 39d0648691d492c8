"""Several small pipes side by side against one large pipe: equal area is not equal flow.

Everything here follows from Darcy-Weisbach with a friction factor that falls as a power of the Reynolds number,
f = C / Re^m. The power m is read off the friction law: 0 where the wall is rough, 1/4 in smooth pipe, 1 in laminar flow.
"""

from sympy import Rational, pi

from radonwork.engine.formula import formula
from radonwork.engine.sources import Source

_GEOMETRY = Source(kind="derived", place="area of a circle")
_FRICTION = Source(kind="derived", place="Darcy-Weisbach with a friction factor that falls as a power of Re")


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


@formula(
    "bore", Source("ashrae-fundamentals-duct-chapter", "circular equivalents of rectangular ducts, after Huebscher")
)
def rectangular_duct_bore(duct_width, duct_depth):
    """Bore of the round pipe that loses what a rectangular duct or downspout of the same length loses at the same flow.

    Assumes turbulent flow and smooth straight sides. The air in the duct itself is slower: the flow over its own area.
    """
    return Rational("1.3") * (duct_width * duct_depth) ** Rational(5, 8) / (duct_width + duct_depth) ** Rational(1, 4)


@formula("bore_area", _GEOMETRY)
def bore_area(bore):
    """Open area of a round pipe."""
    return pi * bore**2 / 4


@formula("area_ratio", _GEOMETRY)
def area_ratio(pipe_count, small_bore, large_bore):
    """Area of several small pipes together over that of one large pipe."""
    return pipe_count * (small_bore / large_bore) ** 2


@formula("equal_area_count", _GEOMETRY)
def equal_area_count(small_bore, large_bore):
    """How many small pipes have the area of the large one."""
    return (large_bore / small_bore) ** 2


@formula("bore_exponent", _FRICTION, friction_exponent=("0", "1"))
def bore_exponent(friction_exponent):
    """Power of the bore with which flow grows at equal loss.

    Assumes a straight round pipe with air of constant density, without fittings.

    Assumes one friction law over the whole range of Reynolds numbers that is compared: rough wall (m = 0), smooth wall
    with Re from about 3,000 to 200,000 (m = 1/4) or laminar flow with Re below about 2,000 (m = 1).
    """
    return (5 - friction_exponent) / (2 - friction_exponent)


@formula("flow_ratio", _FRICTION, bore_exponent=("5/2", "4"))
def flow_ratio(pipe_count, small_bore, large_bore, bore_exponent):
    """Flow of several small pipes together over that of one large pipe at equal loss.

    Assumes the same length and the same friction law in all of them, and no loss where they part and join.
    """
    return pipe_count * (small_bore / large_bore) ** bore_exponent


@formula("equal_flow_count", _FRICTION, bore_exponent=("5/2", "4"))
def equal_flow_count(small_bore, large_bore, bore_exponent):
    """How many small pipes carry the flow of the large one at equal loss.

    Assumes the same length and the same friction law in all of them, and no loss where they part and join.
    """
    return (large_bore / small_bore) ** bore_exponent


@formula("equivalent_bore", _FRICTION, bore_exponent=("5/2", "4"))
def equivalent_bore(pipe_count, small_bore, bore_exponent):
    """Bore of the one pipe that carries what several do at equal loss.

    Assumes the same length and the same friction law in all of them, and no loss where they part and join.
    """
    return small_bore * pipe_count ** (1 / bore_exponent)


@formula("loss_ratio", _FRICTION, friction_exponent=("0", "1"))
def loss_ratio(pipe_count, small_bore, large_bore, friction_exponent):
    """Pressure loss of several small pipes over that of one large pipe at the same total flow.

    Assumes the same length and the same friction law in all of them, and no loss where they part and join.

    Assumes the flow divides evenly between the small pipes.
    """
    return (large_bore / small_bore) ** (5 - friction_exponent) / pipe_count ** (2 - friction_exponent)


@formula("air_velocity", Source(kind="derived", place="flow over area"))
def velocity_in_each_pipe(air_flow, pipe_count, small_bore):
    """Mean velocity of the air in each of several pipes that share a flow.

    Assumes the flow divides evenly between the pipes.
    """
    return 4 * air_flow / (pipe_count * pi * small_bore**2)
