"""Printed working read back and worked again: the numbers with their units, as a person with a calculator would.

The text is that of radonwork's plain notation. Nothing of the package is used but its reader of quantities, so a
bracket that is missing in print, a wrong unit or a rounded number shows as a different result.
"""

import math
import re
from collections.abc import Mapping

import numpy as np
from scipy import special

from radonwork.engine.work import GIVEN_DIGITS, RESULT_DIGITS, worked_unit
from radonwork.glossary import System
from radonwork.units import decimal, from_unit, to_unit, unit_label

_NUMBER = r"-?(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?(?:e-?\d+)?"
_NAMES = {
    "sqrt": math.sqrt, "sin": math.sin, "cos": math.cos, "tan": math.tan, "arcsin": math.asin, "arccos": math.acos,
    "arctan": math.atan, "ln": math.log, "exp": math.exp, "max": max, "min": min, "abs": abs, "sinh": math.sinh,
    "cosh": math.cosh, "tanh": math.tanh, "floor": math.floor, "sign": lambda x: math.copysign(1, x),
    "atan2": math.atan2, "pi": math.pi,
    "erfc": math.erfc, "I_0": special.i0, "I_1": special.i1, "K_0": special.k0, "K_1": special.k1, "γ_E": float(np.euler_gamma),
}  # fmt: skip


class Printed:
    """One line of printed mathematics with its numbers put in, and the quantities of `values` among them found again."""

    def __init__(self, text: str, values: Mapping[str, float], system: System) -> None:
        units = {name: worked_unit(name, system) for name in values}
        printed = {decimal(value, units[name], GIVEN_DIGITS): name for name, value in values.items()}
        labels = sorted({unit_label(unit) for unit in units.values()} - {""}, key=len, reverse=True)
        known = "|".join(map(re.escape, labels)) or "(?!)"
        token = re.compile(rf"(?<![\w.]){_NUMBER}(?: ?(?:{known})(?![\w²³]))?")
        self.read: dict[str, float] = {}
        self.exact: dict[str, float] = {}
        self.wrongly_rounded: list[str] = []

        def put(match: re.Match[str]) -> str:
            text = match[0]
            key = f"q{len(self.read)}"
            name = printed.get(text)
            if name is None:
                self.read[key] = self.exact[key] = float(text.replace(",", ""))  # a number of the statement itself
                return key
            reading = float(re.match(_NUMBER, text)[0].replace(",", ""))  # type: ignore[index]
            self.read[key] = float(from_unit(reading, units[name]))
            self.exact[key] = values[name]
            if abs(reading - float(to_unit(values[name], units[name]))) > half_last_digit(reading, GIVEN_DIGITS):
                self.wrongly_rounded.append(text)
            return key

        self.source = _python(token.sub(put, text))

    def value(self, **other: float) -> float:
        """The line worked out with its numbers as printed, but for those given."""
        return float(eval(self.source, {"__builtins__": {}}, _NAMES | self.read | other))  # our own text, in a test

    def slack(self) -> float:
        """How far the rounding of its printed numbers has moved the line's value."""
        here = self.value()
        moved = (self.value(**{key: exact}) - here for key, exact in self.exact.items() if exact != self.read[key])
        return 1.5 * sum(map(abs, moved)) + 1e-11 * abs(here)


def half_last_digit(reading: float, digits: int) -> float:
    """Half the last digit of a number printed to so many significant digits, none before the point lost short of 10 million."""
    place = 10.0 ** (math.floor(math.log10(abs(reading))) - (digits - 1)) if reading else 0.0
    return (place if abs(reading) >= 1e7 else min(place, 1.0)) / 2 * (1 + 1e-6)


def rounding_of_result(value: float, unit: str) -> float:
    """Half the last digit of a printed result, in SI."""
    half = half_last_digit(float(to_unit(value, unit)), RESULT_DIGITS)
    return float(from_unit(half, unit)) - float(from_unit(0.0, unit))


def _python(text: str) -> str:
    for printed, python in {"·": "*", "×": "*", "−": "-", "^": "**", "√": "sqrt", "π": "pi"}.items():
        text = text.replace(printed, python)
    text = re.sub(r"\|([^|]*)\|", r"abs(\1)", text)
    while (rows := re.search(r"\{([^{}]*)\}", text)) is not None:
        text = text[: rows.start()] + _cases(rows[1]) + text[rows.end() :]
    return text


def _cases(rows: str) -> str:
    built = "None"
    for row in reversed(rows.split("; ")):
        value, found, condition = row.rpartition(" if ")
        if not found:
            value, condition = row.removesuffix(" otherwise"), "True"
        condition = condition.replace("≤", "<=").replace("≥", ">=").replace("≠", "!=").replace(" = ", " == ")
        built = f"(({value}) if ({condition}) else {built})"
    return built
