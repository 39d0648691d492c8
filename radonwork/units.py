"""Quantities as people write them: read by a small strict grammar, never evaluated, and written back.

Inside the package a quantity is an SI float; here, at the door, it has a person's unit. The units are data/units.toml.

    quantity  = amount [ ("±" | "+/-") tolerance ]           13-7/8 in ± 1/8 in     80 cfm ± 5 %
    amount    = [sign] number [unit]                          3-1/2 in   1,050 mm   55 degF   40 %   $1,200
              | feet ("ft" | "'") ["-"] inches ("in" | '"')   7'-10 3/8"   10 ft 3 in
              | rise ("/" | ":" | " in ") run                 7/12   1:48   1 in 48     (slopes and pitches; ratios: " in ")
    number    = decimal | fraction | whole ("-" | " ") fraction
    unit      = any spelling of data/units.toml, with "per", powers and products as in m3, m³, m^3, cubic metres;
                1/h, h-1, h^-1, per hour; Bq/(m2 s), Bq/m2/s, Bq m-2 s-1; Pa s, Pa·s, Pa-s, Pa.s

A tolerance is a half width. Without a unit it has the value's, and a value without one has the tolerance's. "± 2 %" is
two percent of the value, but percentage points where % is itself a unit of the quantity (ratios and slopes). A comma
only parts thousands. Numbers are held as exact fractions until the last step, so 3 in is 0.0762 m to the last bit.
"""

import math
import re
import tomllib
import unicodedata
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from functools import lru_cache
from typing import Any, TypeVar

import numpy as np

from radonwork.files import DATA

LONGEST = 64  # characters; checked before anything else, so no text, however long, is work

Number = TypeVar("Number", float, np.ndarray, "float | np.ndarray")


class QuantityError(ValueError):
    """What was written cannot be read, in one plain line that says what would do."""


@dataclass(frozen=True)
class Unit:
    """A unit: SI value = (reading + zero) x factor."""

    name: str
    factor: Fraction
    zero: Fraction = Fraction(0)


@dataclass(frozen=True)
class Dimension:
    """A kind of quantity: its phrase ("a length"), examples, SI base exponents, units by name and by every spelling.

    `refused` holds spellings in use that name no one size, and why; `bare` what a number from 1 up without a unit may
    mean and what to write, where it is not read.
    """

    name: str
    phrase: str
    such_as: str
    base: dict[str, int]
    units: dict[str, Unit]
    spellings: dict[str, Unit]
    refused: dict[str, str]
    bare: str = ""

    @property
    def wanted(self) -> str:
        """For messages: "a length, such as 3 in or 76 mm"."""
        return f"{self.phrase}, such as {self.such_as}"

    @property
    def usual(self) -> str:
        """For messages, the usual units: "in, ft, mm, cm or m"."""
        *most, last = [name or "no unit" for name in self.units][:5]
        return f"{', '.join(most)} or {last}" if most else last


@dataclass(frozen=True)
class Quantity:
    """A quantity as read: SI value, the unit it was written in, SI half width of its tolerance, the text as written."""

    value: float
    unit: str
    tolerance: float = 0.0
    text: str = ""


# Typing and typesetting give one sign many forms. A vulgar fraction brings a blank, so that 3½ is not 31/2.
_PLAIN = str.maketrans(
    dict(zip("\u00a0\u2007\u2009\u202f−–‐‑⁄∕′’‘″”“º˚µμ", "    ----//'''\"\"\"°°uu", strict=True))
    | {c: " " + unicodedata.normalize("NFKC", c).replace("⁄", "/") for c in "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"}
)
_PLAIN_UNIT = str.maketrans("¹²³₂⁻·⋅", "1232-  ")

_WHOLE = "(?:[1-9][0-9]{0,2}(?:,[0-9]{3})+|[0-9]+)"
_DECIMAL = re.compile(rf"(?:{_WHOLE}(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{{1,2}}(?![0-9]))?")
_FRACTION = re.compile(rf"(?:({_WHOLE})(?:- ?| +))?([0-9]+) ?/ ?([0-9]+)(?![0-9.,/])")
_FEET = re.compile(r" *([^0-9]*?) *-? *(?=\.?[0-9])")
_RISE_AND_RUN = re.compile(r"(.+?)(?: ?([/:]) ?|(?: +|-)(?:in|on)(?: +|-))([0-9]+(?:\.[0-9]+)?)")
_RISEN = ("angle", "pitch", "slope", "ratio")
_PLUS_MINUS = re.compile(r" *(?:±|\+/-|\+-) *")


def read(text: str, dimension: str, *, unit: str | None = None, negative: bool = False) -> Quantity:
    """The quantity that `text` states.

    `unit` is the unit of a number without one; without it such a number is refused, unless the quantity has no unit.
    Values below zero are refused unless `negative`. A pitch becomes an angle in rad, a slope a plain ratio.
    Raises QuantityError, one line.
    """
    try:
        return _read(text, DIMENSIONS[dimension], unit, negative)
    except QuantityError as refusal:
        raise QuantityError(f"{_clipped(text, 48)} {refusal}") from None


def _read(text: str, want: Dimension, unit: str | None, negative: bool) -> Quantity:
    if len(text) > LONGEST:
        raise QuantityError(f"is {len(text):,} characters long, more than {LONGEST}; write {want.wanted}")
    plain = text.translate(_PLAIN).strip(" ")
    if not plain:
        raise QuantityError(f"is empty; write {want.wanted}")
    if foreign := [c for c in plain if not c.isprintable() or (c.isdecimal() and not c.isascii())]:
        raise QuantityError(f"holds {foreign[0]!r}, which belongs in no quantity; write {want.wanted}")
    stated, *margins = _PLUS_MINUS.split(plain)
    if len(margins) > 1:
        raise QuantityError("has more than one tolerance; write one")
    margin, margin_unit = _amount(margins[0], want) if margins else (Fraction(0), "")
    percent_of_value = margin_unit == "%" and "%" not in want.units

    if rise := _rise(stated, want, unit):
        value, own = rise
        if margins and not margin_unit and "" not in want.units:
            raise QuantityError(f"has a tolerance without a unit; write it in {want.usual}")
    else:
        number, named = _amount(stated, want)
        if margin_unit and not named and not unit and "" in want.units:
            raise QuantityError("gives a unit to its tolerance alone; write both with a unit or both without")
        own = _unit(named or ("" if percent_of_value else margin_unit), want, unit)
        value = (number + own.zero) * own.factor
        if want.bare and own.name == "" and abs(value) >= 1:
            raise QuantityError(f"has no unit and {want.bare}")

    if percent_of_value and want.name == "temperature":
        raise QuantityError("has a tolerance in percent; write a difference, such as ± 2 degF")
    tolerance = abs(value) * margin / 100 if percent_of_value else margin * _unit(margin_unit, want, own.name).factor
    if tolerance < 0:
        raise QuantityError("has a tolerance below zero; write ± and a number without a sign")
    if value < 0 and want.name == "temperature":
        raise QuantityError("is below absolute zero")
    if value < 0 and not negative:
        raise QuantityError(f"is below zero; write {want.wanted}")
    if value < tolerance and not negative:
        raise QuantityError("has a tolerance that reaches below zero")
    if want.name == "count" and value.denominator != 1:
        raise QuantityError(f"is not a whole number; write {want.wanted}")
    return Quantity(float(value), own.name, float(tolerance), text.strip())


def _amount(text: str, want: Dimension) -> tuple[Fraction, str]:
    """Signed number and unit text; feet and inches come back as feet."""
    sign, money, start = re.match(r"([+-]?) ?(\$?) *(.*)", text).groups()  # type: ignore[union-attr]  # all optional
    number, rest = _number(start, want)
    feet, inch = _length("ft"), _length("in")
    split = _FEET.match(rest)
    if split and _length(split[1]) is feet:
        inches, after = _number(rest[split.end() :], want)
        if _length(after) is inch and number.denominator == 1 and inches < 12:
            number, rest = number + inches / 12, "ft"
        elif _length(after) is inch or _spelling(rest) not in _SPELLED:
            raise QuantityError("is not whole feet and less than 12 inches; write them as 7 ft 10-3/8 in")
    return -number if sign == "-" else number, f"{money}{rest.strip()}"


def _length(text: str) -> Unit | None:
    return DIMENSIONS["length"].spellings.get(_spelling(text))


def _number(text: str, want: Dimension) -> tuple[Fraction, str]:
    """The number at the start of `text`, exactly, and what follows it."""
    if found := _FRACTION.match(text):
        whole, top, bottom = (int((part or "0").replace(",", "")) for part in found.groups())
        if bottom == 0:
            raise QuantityError(f"divides by zero; write {want.wanted}")
        if found[1] and top >= bottom:
            raise QuantityError(f"has {top}/{bottom} after a whole number, where a fraction below one belongs")
        return whole + Fraction(top, bottom), text[found.end() :]
    found = _DECIMAL.match(text)
    if not found:
        raise QuantityError(f"does not start with a number; write {want.wanted}")
    digits, rest = found[0], text[found.end() :]
    if comma := re.match(",([0-9]+)", rest):
        point = f"{digits}.{comma[1]}" if digits.isdecimal() else "3.5"
        raise QuantityError(f"has a comma that does not part thousands; with a decimal point it is {point}")
    return Fraction(digits.replace(",", "")), rest


def _rise(text: str, want: Dimension, unit: str | None) -> tuple[Fraction, Unit] | None:
    """The SI value of a pitch or slope written as rise over run; a slope's 1/8 with a `unit` is a plain number.

    A ratio may be 1 in 20 too; its 1/20 is a plain number anyway, and its 1:20 might mean one part of 21.
    """
    found = _RISE_AND_RUN.fullmatch(text) if want.name in _RISEN else None
    plain = {"angle": "", "ratio": "/:"}.get(want.name, "/" if unit else "")
    if not found or (found[2] and found[2] in plain):
        return None
    rise, rest = _amount(found[1], want)
    run = Fraction(found[3])
    if run == 0:
        raise QuantityError(f"divides by zero; write {want.wanted}")
    if rest:
        return None
    if want.name == "angle":
        return Fraction(math.atan(rise / run)), want.units["deg"]
    if want.name == "ratio":
        return rise / run, want.units.get(f"in {found[3]}", want.units[""])
    return rise / run, want.units["%"]


def _unit(text: str, want: Dimension, bare: str | None) -> Unit:
    """The unit of `want` that `text` names; `bare` is the unit meant by no text."""
    plain = _spelling(text)
    if not plain and bare is not None:
        return want.units[bare]
    if plain in want.spellings:
        return want.spellings[plain]
    if not plain:
        raise QuantityError(f"has no unit; write {want.wanted}")
    if plain in want.refused:
        raise QuantityError(want.refused[plain])
    if plain in _SPELLED:
        raise QuantityError(f"is {_SPELLED[plain].phrase}; {want.phrase} was expected, such as {want.such_as}")
    if not re.match(r"[^\W\d_]|[°%$¢\"']|1/[^\W\d_]", plain):
        raise QuantityError(f"is not one number with one unit; write {want.wanted}")
    folded = {spelling.casefold(): spelling for spelling in reversed(want.spellings)}
    # Letters in another order are the likeliest slip: cmf is cfm before it is cfs.
    asked = plain.casefold()
    letters = sorted(asked)
    near = [spelling for spelling in folded if sorted(spelling) == letters] or get_close_matches(asked, folded, n=1)
    guess = f" (did you mean {folded[near[0]]}?)" if near else ""
    raise QuantityError(f"has an unknown unit {_clipped(text, 20)}{guess}; write {want.phrase} with {want.usual}")


@lru_cache(maxsize=1024)
def _spelling(text: str) -> str:
    """A unit's spelling in plain form, one for each way to write powers, products and quotients: 1/h, m3, Bq/(m2 s)."""
    text = re.sub(r"\bper\b", "/", text.translate(_PLAIN_UNIT))
    text = re.sub(r"(?<=[A-Za-z])\^(?=-?[1-3])", "", text)
    text = re.sub(r"(?<=[A-Za-z])\.|(?<=[A-Za-z23])-(?=[A-Za-z°])", " ", text)
    text = re.sub(r"(?:°|\bdeg(?:ree)?s?) *(?=[CF]\b)", "deg", text)
    text = re.sub(r" *([/()]) *", r"\1", " ".join(text.split()))
    if not _WORD.fullmatch(text):
        text = _WORD.sub(lambda word: _WORDS.get(word[0], word[0]), text)
        text = re.sub(r"\b(?:sq(?:uare)?|(cu(?:bic)?)) ([A-Za-z]+)", lambda m: f"{m[2]}{3 if m[1] else 2}", text)
    return _one_quotient(text)


def _one_quotient(text: str) -> str:
    """h-1 and /h as 1/h; Bq/m2/s and Bq m-2 s-1 as Bq/(m2 s). What has brackets is as it should be."""
    if "(" in text:
        return text
    top, *below = text.split("/")
    if not below:
        words = top.split(" ")
        powers = [re.fullmatch("([A-Za-z]+)-([1-3])", word) for word in words]
        below = [f"{found[1]}{found[2].replace('1', '')}" for found in powers if found]
        top = " ".join(word for word, found in zip(words, powers, strict=True) if not found)
    if not below:
        return top
    bottom = " ".join(below)
    return f"{top or 1}/({bottom})" if len(below) > 1 else f"{top or 1}/{bottom}"


def _clipped(text: str, most: int) -> str:
    """The text quoted on one line, control characters escaped, at most about `most` characters of it."""
    quoted = repr(text[: most + 1])
    return quoted if len(quoted) <= most + 2 else f"{quoted[:most]}…{quoted[0]}"


def to_unit(value: Number, unit: str) -> Number:
    """The reading in `unit` of an SI value, float or array."""
    to = _known(unit)
    return value * to.factor.denominator / to.factor.numerator - float(to.zero)


def from_unit(reading: Number, unit: str) -> Number:
    """The SI value of a reading in `unit`, float or array."""
    # numerator and denominator one after the other: 3 x 127 / 5000 is 0.0762, 3 x 0.0254 is not
    of = _known(unit)
    return (reading + float(of.zero)) * of.factor.numerator / of.factor.denominator


def number(value: float, unit: str, digits: int = 4) -> str:
    """An SI value as its number in `unit`: "4.163", "1,050", "1.81e-5"; whole digits are never rounded away."""
    reading = float(to_unit(value, unit)) + 0.0  # no minus zero
    if abs(reading) < 1e-12 * float(_known(unit).zero):
        reading = 0.0  # the rounding of a temperature's own zero
    if not math.isfinite(reading):
        return str(reading)
    mantissa, exponent = f"{reading:.{digits - 1}e}".split("e")
    plain = 1e-4 <= abs(reading) < 1e7 or reading == 0
    text = f"{reading:,.{max(digits - 1 - int(exponent), 0)}f}" if plain else mantissa
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text if plain else f"{text}e{int(exponent)}"


def decimal(value: float, unit: str, digits: int = 4) -> str:
    """An SI value in `unit` with its label, to `digits` significant digits: "4.163 in". `read` takes it back."""
    label = unit_label(unit)
    return f"{number(value, unit, digits)}{' ' if label not in ('', '°') else ''}{label}"


def shown(value: float, unit: str) -> str:
    """An SI value as people write it: inches to the sixteenth, the decimal beside them unless exact; others decimal."""
    reading = float(to_unit(value, unit))
    if unit != "in" or not 1 / 32 < abs(reading) < 1e6:
        return decimal(value, unit)
    sixteenths = round(reading * 16)
    whole, part = divmod(abs(sixteenths), 16)
    text = "-".join([f"{whole:,}"] * bool(whole) + [str(Fraction(part, 16))] * bool(part))
    text = f"{'-' if reading < 0 else ''}{text} in"
    exact = math.isclose(reading * 16, sixteenths, rel_tol=1e-9)
    return text if exact else f"{text} ({decimal(value, unit, digits=len(str(int(abs(reading)))) + 3)})"


def unit_label(unit: str) -> str:
    """A unit as it is printed: "ft/min", "°F", "Bq/m³", "W/(m²·K)"."""
    label = _known(unit).name.removeprefix("delta_").replace("deg", "°")
    label = re.sub(r"(?<=[a-z])[23]\b", lambda power: "²" if power[0] == "2" else "³", label)
    return re.sub(r"(?<=[a-zA-Z²³]) (?=[a-zA-Z(])", "·", label)


def _known(unit: str) -> Unit:
    if unit not in _UNITS:
        near = get_close_matches(unit, _UNITS, n=1)
        raise QuantityError(f"unit {_clipped(unit, 20)} is not known{f'; did you mean {near[0]}?' if near else ''}")
    return _UNITS[unit]


def _quotient(text: str) -> Fraction:
    top, _, bottom = text.partition("/")
    return Fraction(top) / Fraction(bottom or 1)


_WORD = re.compile("[A-Za-z]+|[$¢]")
_TABLE = tomllib.loads((DATA / "units.toml").read_text(encoding="utf-8"))
# What a word is within a compound: of "cubic feet per minute", "feet" is ft and "minute" is min.
_WORDS = {
    word: name.removeprefix("delta_")
    for dimension in _TABLE.values()
    for name, row in dimension["units"].items()
    if _WORD.fullmatch(name.removeprefix("delta_"))
    for word in row.get("also", [])
    if _WORD.fullmatch(word)
}


def _dimension(name: str, row: dict[str, Any]) -> Dimension:
    units = {u: Unit(u, _quotient(r["is"]), _quotient(r.get("zero", "0"))) for u, r in row["units"].items()}
    spellings = {_spelling(s): units[u] for u, r in row["units"].items() for s in [u, *r.get("also", [])]}
    refused = {_spelling(s): one["says"] for one in row.get("refused", []) for s in one["written"]}
    return Dimension(name, row["phrase"], row["such_as"], row["base"], units, spellings, refused, row.get("bare", ""))


DIMENSIONS = {name: _dimension(name, row) for name, row in _TABLE.items()}
_UNITS = {name: unit for dimension in DIMENSIONS.values() for name, unit in dimension.units.items()}
_SPELLED = {spelling: dimension for dimension in reversed(DIMENSIONS.values()) for spelling in dimension.spellings}
