"""What stands in a stud bay derived: widths that add up along the wall, depths across it."""

import sympy

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import symbol
from radonwork.formulas.bay import (
    bay_width,
    cavity_margin,
    centred_edge_distance,
    edge_distance,
    largest_outside_diameter,
)

_spacing, _thickness, _bay = symbol("stud_spacing"), symbol("stud_thickness"), symbol("bay_width")
_cavity, _play, _pipe = symbol("cavity_depth"), symbol("play"), symbol("pipe_outside_diameter")
_member, _hole, _offset = symbol("member_depth"), symbol("hole_diameter"), symbol("hole_offset")
_edge, _margin = symbol("edge_distance"), symbol("cavity_margin")
# Places along or across the wall that are no terms of the glossary.
_left, _right, _wide = sympy.symbols("x_left x_right e_wide", real=True)

Derivation(bay_width, "The clear width between two studs").premise(
    "left", Eq(_left, _thickness / 2), "Measure from the centre of the left stud: its face is half a thickness away."
).premise(
    "right",
    Eq(_right, _spacing - _thickness / 2),
    "The next stud's centre is one spacing away, and its face half a thickness nearer.",
).step("bay", lambda left, right: Eq(_bay, right.rhs - left.rhs), "The bay lies between the two faces.")

Derivation(largest_outside_diameter, "The largest pipe that stands in the cavity").premise(
    "depth", Eq(_cavity, _pipe + _play), "At the limit the pipe and its play fill the cavity from board to board."
).step(
    "largest",
    lambda depth: Eq(symbol("largest_outside_diameter"), sympy.solve(depth, _pipe)[0]),
    "Solve for the pipe.",
)

Derivation(cavity_margin, "Depth to spare beside the pipe").premise(
    "depth", Eq(_cavity, _pipe + _play + _margin), "The pipe, its play and the depth to spare fill the cavity."
).step("margin", lambda depth: Eq(_margin, sympy.solve(depth, _margin)[0]), "Solve for the depth to spare.")

Derivation(centred_edge_distance, "Wood beside a hole in the middle").premise(
    "width", Eq(_member, _edge + _hole + _edge), "Edge, hole and the same edge again make the member's width."
).step("edge", lambda width: Eq(_edge, sympy.solve(width, _edge)[0]), "Solve for the edge.")

Derivation(edge_distance, "Wood beside a hole off the middle").premise(
    "width", Eq(_member, _edge + _hole + _wide), "Nearer edge, hole and wider edge make the member's width."
).premise(
    "moved",
    Eq(_wide - _edge, 2 * _offset),
    "Moving the hole takes its offset from one edge and gives it to the other, so the edges differ by twice as much.",
).step("wider", lambda moved: Eq(_wide, sympy.solve(moved, _wide)[0]), "The wider edge by the nearer.").step(
    "edge",
    lambda width, wider: Eq(_edge, sympy.solve(width.subs(_wide, wider.rhs), _edge)[0]),
    "Put it in and solve for the nearer edge.",
)
