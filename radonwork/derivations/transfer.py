"""Places carried from floor to floor derived: right triangles of height and lean, and errors added up."""

import sympy
from sympy import atan, sqrt, tan

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import symbol
from radonwork.formulas.transfer import (
    drill_drift,
    forgiving_hole,
    likely_transfer_error,
    place_above,
    plumb_lean,
    plumb_shift,
    scaled_length,
    transfer_tolerance,
)

_shift, _height = symbol("plumb_shift"), symbol("transfer_height")
_error, _length, _lean = symbol("plumb_error"), symbol("plumb_length"), symbol("plumb_lean")
_tape, _photo, _drift = symbol("tape_tolerance"), symbol("photo_tolerance"), symbol("drill_drift")
_above = symbol("place_above")
# Errors on the way, which are no terms of the glossary.
_first, _second, _third = sympy.symbols("e_1 e_2 e_3", positive=True)

Derivation(plumb_lean, "A lean as an angle").premise(
    "triangle", Eq(tan(_lean), _error / _length), "Height and lean are the sides of a right triangle."
).step("angle", lambda triangle: Eq(_lean, atan(triangle.rhs)), "Take the angle.")

Derivation(plumb_shift, "A lean over another height").premise(
    "similar",
    Eq(_shift / _height, _error / _length),
    "The small triangle in which the lean was found and the tall one of the storey have the same angle.",
).step("shift", lambda similar: Eq(_shift, sympy.solve(similar, _shift)[0]), "Solve for the shift at the top.")

Derivation(place_above, "From one floor to the next by a thing on both").premise(
    "same",
    Eq(symbol("place_below") - symbol("reference_below"), _above - symbol("reference_above")),
    "The place lies as far from the thing above as it does below.",
).step("place", lambda same: Eq(_above, sympy.solve(same, _above)[0]), "Solve for the place above.")

Derivation(scaled_length, "One scale for the whole picture").premise(
    "scale",
    Eq(symbol("scaled_length") / symbol("photo_length"), symbol("known_length") / symbol("photo_known")),
    "Seen squarely, all lengths of the wall are drawn to one scale.",
).step(
    "length",
    lambda scale: Eq(symbol("scaled_length"), sympy.solve(scale, symbol("scaled_length"))[0]),
    "Solve for the length on the wall.",
)

Derivation(drill_drift, "A leaning drill").premise(
    "triangle",
    Eq(tan(symbol("drill_lean")), _drift / symbol("member_thickness")),
    "The thickness bored through and the drift are the sides of a right triangle.",
).step("drift", lambda triangle: Eq(_drift, sympy.solve(triangle, _drift)[0]), "Solve for the drift.")

Derivation(transfer_tolerance, "Every error the same way").premise(
    "below", Eq(_first, _tape + _photo), "The place is measured below, by tape and perhaps in a photograph."
).premise("carried", Eq(_second, _first + _shift), "It is carried up.").premise(
    "marked", Eq(_third, _second + _tape), "It is measured again above and marked."
).step("carried_up", lambda carried, below: carried.subs(_first, below.rhs), "Put in what came before.").step(
    "on_the_mark", lambda marked, carried_up: marked.subs(_second, carried_up.rhs), "And again."
).step(
    "bored",
    lambda on_the_mark: Eq(symbol("transfer_tolerance"), on_the_mark.rhs + _drift),
    "The drill adds its drift.",
)

_likely = symbol("likely_transfer_error")
Derivation(likely_transfer_error, "Independent errors").premise(
    "below", Eq(_first**2, _tape**2 + _photo**2), "Variances of independent errors add up: tape and photograph below."
).premise("carried", Eq(_second**2, _first**2 + _shift**2), "The way up.").premise(
    "marked", Eq(_third**2, _second**2 + _tape**2), "The tape above."
).step(
    "carried_up",
    lambda carried, below: Eq(_second**2, carried.rhs.subs(_first**2, below.rhs)),
    "Put in what came before.",
).step(
    "on_the_mark", lambda marked, carried_up: Eq(_third**2, marked.rhs.subs(_second**2, carried_up.rhs)), "And again."
).step(
    "bored",
    lambda on_the_mark: Eq(_likely, sqrt(on_the_mark.rhs + _drift**2)),
    "With the drift of the drill; the root is what one such error would be.",
)

_pipe, _off, _hole = symbol("pipe_outside_diameter"), symbol("transfer_tolerance"), symbol("forgiving_hole")
Derivation(forgiving_hole, "A hole that forgives").premise(
    "touching",
    Eq(_hole / 2, _off + _pipe / 2),
    "At worst the pipe, off the hole's middle by the tolerance, just touches its edge.",
).step("hole", lambda touching: Eq(_hole, sympy.solve(touching, _hole)[0]), "Solve for the hole.")
