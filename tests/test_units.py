"""Quantities as people write them: what is read, what is refused, what is written, and whether the table is right."""

import math
import re
import tomllib
from fractions import Fraction

import numpy as np
import pint
import pytest
import scipy.constants
from hypothesis import example, given, settings
from hypothesis import strategies as st

from radonwork.files import DATA
from radonwork.units import (
    DIMENSIONS,
    LONGEST,
    QuantityError,
    decimal,
    from_unit,
    number,
    read,
    shown,
    to_unit,
    unit_label,
)

untimed = settings(deadline=None)  # a busy machine is not a failure
UNITS = [(d.name, u) for d in DIMENSIONS.values() for u in d.units]
# A count is whole, and a pitch or a humidity ratio without a unit below one.
MULTIPLICATIVE = [(d, u) for d, u in UNITS if d not in ("temperature", "count") and (u or not DIMENSIONS[d].bare)]


def refusal(text: str, dimension: str, **how: object) -> str:
    with pytest.raises(QuantityError) as caught:
        read(text, dimension, **how)  # type: ignore[arg-type]
    line = str(caught.value)
    assert line.isprintable()
    assert len(line) < 300
    return line


# ---------------------------------------------------------------- the table against outside sources


# pint, reading its own definitions in exact fractions, is the oracle. What our names are called there, where not the same:
PINT = {
    "": "dimensionless",
    "%": "percent",
    "Btu": "Btu_it",
    "L": "liter",
    "MMBtu": "(1000000*Btu_it)",
    "bend": "turn",
    "cent": "US_cent",
    "cfm": "(foot^3/minute)",
    "d": "day",
    "deg": "degree",
    "degC": "delta_degC",
    "degF": "delta_degF",
    "gal": "gallon",
    "gr": "grain",
    "h": "hour",
    "in": "inch",
    "inHg": "inch_Hg",
    "inH2O (4 degC)": "inch_H2O_4C",
    "inH2O (60 degF)": "inch_H2O_60F",
    "inWC": "inch_H2O",
    "kBtu": "(1000*Btu_it)",
    "lb": "pound",
    "mi": "mile",
    "mil": "thou",
    "mmHg": "(meter_Hg/1000)",
    "psf": "(force_pound/foot^2)",
    "therm": "US_therm",
    "in 1000": "permille",
    "mmH2O": "meter_H2O/1000",
    "cmH2O": "meter_H2O/100",
    "ftH2O": "foot_H2O",
    "mD": "millidarcy",
    "P": "poise",
    "y": "year",
}
PINT_BASE = {"m": "[length]", "kg": "[mass]", "s": "[time]", "K": "[temperature]", "USD": "[money]"}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    registry: pint.UnitRegistry = pint.UnitRegistry(non_int_type=Fraction)
    registry.define("USD = [money]")  # it has no money
    registry.define("US_cent = USD / 100")
    registry.define(
        "WL = 130000 * MeV / liter"
    )  # and no working level; by the definition of National Academies reports
    registry.define("WLM = 170 * hour * WL")
    return registry


def in_pint(unit: str) -> str:
    text = re.sub(r"(?<=[a-z])(?=[23]\b)", "^", unit.replace("100 ft", "(100 ft)").replace("(100 Bq", "(100*Bq"))
    if text in PINT:  # some are no single words
        return PINT[text]
    text = re.sub(r"[A-Za-z_%]+", lambda word: PINT.get(word[0], word[0]), text or PINT[""])
    return re.sub(r"(?<=[\w)]) (?=\w)", "*", text)


@pytest.mark.parametrize(("dimension", "unit"), UNITS)
def test_every_factor_is_exactly_that_of_pint(registry: pint.UnitRegistry, dimension: str, unit: str) -> None:
    expected = (Fraction(1) * registry.parse_expression(in_pint(unit))).to_base_units()
    assert dict(expected.dimensionality) == {PINT_BASE[b]: n for b, n in DIMENSIONS[dimension].base.items()}
    tolerance = Fraction(1, 10**20) if unit in ("deg", "bend") else 0  # pi is written to 20 decimals
    assert abs(DIMENSIONS[dimension].units[unit].factor / expected.magnitude - 1) <= tolerance


def test_a_word_within_a_compound_stands_for_one_unit() -> None:
    """Where a word is a spelling in several dimensions, it is there of units of one name."""
    for dimension in DIMENSIONS.values():
        for spelling, unit in dimension.spellings.items():
            for other in DIMENSIONS.values():
                again = other.spellings.get(spelling, unit)
                if spelling.isalpha() and unit.name.isalpha():
                    assert again.name.removeprefix("delta_") == unit.name.removeprefix("delta_"), spelling


@pytest.mark.parametrize("unit", ["degF", "degC", "degR", "K"])
def test_temperature_scales_are_those_of_pint(registry: pint.UnitRegistry, unit: str) -> None:
    ours = DIMENSIONS["temperature"].units[unit]
    for reading in (Fraction(-40), Fraction(0), Fraction(55), Fraction(212)):
        assert (reading + ours.zero) * ours.factor == registry.Quantity(reading, unit).to("kelvin").magnitude


def test_fixed_points_of_temperature() -> None:
    # -40 is the same on both scales; 32 degF and 212 degF are 273.15 K and 373.15 K by the definition of the scale
    assert from_unit(-40.0, "degF") == pytest.approx(from_unit(-40.0, "degC"), rel=1e-15)
    assert from_unit(32.0, "degF") == pytest.approx(273.15, rel=1e-15)
    assert from_unit(212.0, "degF") == pytest.approx(373.15, rel=1e-15)


# Figures of NIST SP 811 (2008), appendix B.9, to seven digits, read in public copies of that table.
@pytest.mark.parametrize(
    ("unit", "published"),
    [
        ("inWC", 2.490889e2),
        ("inHg", 3.386389e3),
        ("psi", 6.894757e3),
        ("lb", 4.535924e-1),
        ("oz", 2.834952e-2),
        ("gal", 3.785412e-3),
        ("yd", 9.144e-1),
        ("yd3", 7.645549e-1),
        ("d", 8.64e4),
        ("mmHg", 1.333224e2),
        ("mmH2O", 9.80665),
        ("mi", 1.609344e3),
        ("torr", 1.333224e2),
        ("psf", 4.788026e1),
        ("atm", 1.01325e5),
        ("bar", 1e5),
        ("hp", 7.456999e2),
        ("therm", 1.054804e8),
        ("darcy", 9.869233e-13),
        ("inH2O (4 degC)", 2.49082e2),
        ("inH2O (60 degF)", 2.4884e2),
        ("ftH2O", 2.989067e3),
    ],
)
def test_units_agree_with_the_published_conversion_table(unit: str, published: float) -> None:
    allowed = 1e-5 if "(" in unit else 5e-7  # half a unit of the seventh digit; of heated water the table has fewer
    assert from_unit(1.0, unit) == pytest.approx(published, rel=allowed)


@pytest.mark.parametrize(
    ("unit", "other"),
    [
        ("Btu", scipy.constants.Btu_IT),
        ("psi", scipy.constants.psi),
        ("mph", scipy.constants.mph),
        ("hp", scipy.constants.hp),
        ("atm", scipy.constants.atm),
        ("week", scipy.constants.week),
        ("gal", scipy.constants.gallon),
        ("lb", scipy.constants.pound),
        ("lbf/ft", scipy.constants.lbf / scipy.constants.foot),
    ],
)
def test_units_agree_with_scipy(unit: str, other: float) -> None:
    assert from_unit(1.0, unit) == pytest.approx(other, rel=1e-14)  # a few roundings of their floats


def test_a_picocurie_per_litre_is_37_becquerels_per_cubic_metre() -> None:
    # The unit table of the US EPA radon conversion sheet
    assert read("1 pCi/L", "activity_concentration").value == 37.0


def test_no_spelling_names_two_units_of_one_dimension() -> None:
    for dimension, row in tomllib.loads((DATA / "units.toml").read_text(encoding="utf-8")).items():
        written = [s for name, unit in row["units"].items() for s in (name, *unit.get("also", []))]
        assert len(DIMENSIONS[dimension].spellings) == len(written), dimension


def test_a_name_in_two_dimensions_is_one_unit() -> None:
    for dimension, unit in UNITS:
        for other in DIMENSIONS.values():
            if unit in other.units:
                assert other.units[unit] == DIMENSIONS[dimension].units[unit]


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_the_examples_in_messages_can_be_read(dimension: str) -> None:
    for example_text in re.split(r", | or ", DIMENSIONS[dimension].such_as.replace("$1,200", "$1200")):
        assert read(example_text, dimension).value > 0


@pytest.mark.parametrize(("dimension", "unit"), MULTIPLICATIVE)
def test_every_spelling_and_the_printed_label_read_as_the_unit(dimension: str, unit: str) -> None:
    spellings = [s for s, u in DIMENSIONS[dimension].spellings.items() if u.name == unit]
    for spelling in [*spellings, unit_label(unit)]:
        quantity = read(f"2 {spelling}", dimension)
        assert (quantity.value, quantity.unit) == (float(2 * DIMENSIONS[dimension].units[unit].factor), unit)


# ---------------------------------------------------------------- reading


INCH = 0.0254


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("3 in", 3),
        ("3in", 3),
        ("110in", 110),
        ("3 inches", 3),
        ('3"', 3),
        ("3″", 3),
        ("3”", 3),
        ("3''", 3),
        (" 3 in ", 3),
        ("+3 in", 3),
        ("3.5 in", 3.5),
        ("3. in", 3),
        (".5 in", 0.5),
        ("1e-2 in", 0.01),
        ("2.5E1 in", 25),
        ("1,050 in", 1050),
        ("1,234,567.5 in", 1234567.5),
        ("7/8 in", 0.875),
        ("7 / 8 in", 0.875),
        ("7⁄8 in", 0.875),
        ("31/2 in", 15.5),
        ("3-1/2 in", 3.5),
        ("3 1/2 in", 3.5),
        ('3-1/2"', 3.5),
        ("3–1/2 in", 3.5),
        ("3\u00a01/2\u202fin", 3.5),
        ("1,050 1/2 in", 1050.5),
        ("3½ in", 3.5),
        ("3 ½ in", 3.5),
        ("3-½ in", 3.5),
        ("3 1⁄2″", 3.5),
        ("½ in", 0.5),
        ("⅞″", 0.875),
        ("3⁄4 in", 0.75),
        ("10 ft 3 in", 123),
        ("10 ft. 3 in.", 123),
        ("10ft3in", 123),
        ("10 feet 3 inches", 123),
        ("10'3\"", 123),
        ("7'-10 3/8\"", 94.375),
        ("7′-10 3⁄8″", 94.375),
        ("7’ 10⅜”", 94.375),
        ("7 ft 10-3/8 in", 94.375),
        ("7' - 10.375\"", 94.375),
        ("12'-8\"", 152),
        ("5'-0\"", 60),
        ("5' ½\"", 60.5),
        ("6 ft", 72),
        ("6'", 72),
        ("2.5 ft", 30),
        ("6 mil", 0.006),
    ],
)
def test_a_length_is_read_as_carpenters_write_it(text: str, inches: float) -> None:
    quantity = read(text, "length")
    assert quantity.value == float(Fraction(str(inches)) * Fraction("0.0254"))
    assert (quantity.tolerance, quantity.text) == (0.0, text.strip())


def test_three_inches_is_exactly_0_0762_metre() -> None:
    assert 3 * INCH != 0.0762  # what floats alone would give
    assert read("3 in", "length").value == 0.0762
    assert from_unit(3.0, "in") == 0.0762
    assert to_unit(0.0762, "in") == 3.0


@pytest.mark.parametrize(
    ("text", "dimension", "si", "unit"),
    [
        ("76 mm", "length", 0.076, "mm"),
        ("1,050 mm", "length", 1.05, "mm"),
        ("2.4 m", "length", 2.4, "m"),
        ("1.5 µm", "length", 1.5e-6, "um"),
        ("5 ft2", "area", 0.4645152, "ft2"),
        ("5 ft²", "area", 0.4645152, "ft2"),
        ("5 sq ft", "area", 0.4645152, "ft2"),
        ("2 ft3", "volume", 0.056633693184, "ft3"),
        ("60 cfm", "volume_flow", 0.028316846592, "cfm"),
        ("60 CFM", "volume_flow", 0.028316846592, "cfm"),
        ("60 ft³/min", "volume_flow", 0.028316846592, "cfm"),
        ("38 L/s", "volume_flow", 0.038, "L/s"),
        ("36 m3/h", "volume_flow", 0.01, "m3/h"),
        ("0.5 inWC", "pressure", 124.544455, "inWC"),
        ("0.5 in wc", "pressure", 124.544455, "inWC"),
        ("0.5 in. w.c.", "pressure", 124.544455, "inWC"),
        ("0.5 inH2O", "pressure", 124.544455, "inWC"),
        ('0.5 "WC', "pressure", 124.544455, "inWC"),
        ("125 Pa", "pressure", 125.0, "Pa"),
        ("0.125 kPa", "pressure", 125.0, "kPa"),
        ("4.0 pCi/L", "activity_concentration", 148.0, "pCi/L"),
        ("148 Bq/m³", "activity_concentration", 148.0, "Bq/m3"),
        ("500 fpm", "velocity", 2.54, "ft/min"),
        ("5 ft per min", "velocity", 0.0254, "ft/min"),
        ("5 W/(m²·K)", "surface_conductance", 5.0, "W/(m2 K)"),
        ("5 W/(m2 K)", "surface_conductance", 5.0, "W/(m2 K)"),
        ("5 W / ( m2 K )", "surface_conductance", 5.0, "W/(m2 K)"),
        ("1.81e-5 Pa·s", "viscosity", 1.81e-5, "Pa s"),
        ("1 inWC/100 ft", "pressure_gradient", 8.172208333333333, "inWC/100 ft"),
        ("1 kg/d", "mass_flow", 1 / 86400, "kg/d"),
        ("2 days", "time", 172800.0, "d"),
        ("$1,200", "money", 1200.0, "USD"),
        ("1,200 USD", "money", 1200.0, "USD"),
        ("0.4", "ratio", 0.4, ""),
        ("40 %", "ratio", 0.4, "%"),
        ("40%", "ratio", 0.4, "%"),
        ("1/4", "ratio", 0.25, ""),
        ("3", "count", 3.0, ""),
        ("1,200", "count", 1200.0, ""),
        ("0 °C", "temperature", 273.15, "degC"),
        ("−40 °F", "temperature", 233.15, "degF"),
        ("55 degF", "temperature", float(Fraction(51467, 180)), "degF"),
        ("9 °F", "temperature_difference", 5.0, "delta_degF"),
        ("5 K", "temperature_difference", 5.0, "K"),
        ("180°", "angle", math.pi, "deg"),
        ("1 rad", "angle", 1.0, "rad"),
    ],
)
def test_a_quantity_of_each_kind_is_read(text: str, dimension: str, si: float, unit: str) -> None:
    quantity = read(text, dimension)
    assert (quantity.value, quantity.unit) == (si, unit)


# One unit however its powers, products and quotients are written. The first of each is its name.
WAYS = [
    ("activity_concentration", "Bq/m3", "Bq/m^3", "Bq/m³", "Bq m-3", "Bq·m⁻³", "Bq per cubic metre", "Bq / m3"),
    ("activity_concentration", "Bq/L", "Bq/l", "Bq/liter", "Bq L-1", "Bq per litre"),
    ("area", "m2", "m^2", "m²", "sq m", "sq. m", "square metres", "square meter"),
    ("area", "ft2", "ft^2", "sq ft", "sq. ft.", "square feet"),
    ("volume", "ft3", "ft^3", "cu ft", "cu. ft.", "cubic feet"),
    ("volume_flow", "cfm", "ft^3/min", "ft3 min-1", "cubic feet per minute", "cu ft/min"),
    ("volume_flow", "m3/d", "m^3/day", "cubic metres per day", "m3 d-1"),
    ("volume_flow", "L/h", "l/h", "L/hr", "liters per hour", "L h-1"),
    ("rate", "1/h", "/h", "h-1", "h^-1", "h⁻¹", "hr-1", "1/hour", "per hour", "per h", "air changes per hour", "ACH"),
    ("rate", "1/min", "min-1", "per minute"),
    ("rate", "1/s", "s-1", "s^-1", "per second"),
    ("rate", "1/d", "d-1", "1/day", "per day"),
    ("rate", "1/y", "y-1", "1/yr", "per year"),
    ("radon_flux", "Bq/(m2 s)", "Bq/m2/s", "Bq/(m²·s)", "Bq m-2 s-1", "Bq m^-2 s^-1", "Bq·m⁻²·s⁻¹", "Bq/m²·s"),
    ("radon_flux", "mBq/(m2 s)", "mBq/m2/s", "mBq m-2 s-1", "mBq/m2 s"),
    ("viscosity", "Pa s", "Pa·s", "Pa-s", "Pa.s", "N s/m2", "N·s/m²", "kg/(m s)", "kg/m/s", "kg m-1 s-1"),
    ("surface_conductance", "W/(m2 K)", "W m-2 K-1", "W/m2/K", "W/m²·K", "W/(m²·°C)"),
    ("surface_conductance", "Btu/(h ft2 degF)", "Btu/h/ft2/°F", "BTU/(hr·ft²·°F)", "Btu/(hour ft^2 deg F)"),
    ("degree_time", "degF d", "degF-days", "°F·d", "°F-days", "deg F days", "F days"),
    (
        "pressure",
        "inWC",
        "in w.g.",
        "in. w.g.",
        "inches of water",
        "inches water column",
        "in. W.C.",
        '" w.c.',
        "inch H2O",
    ),
    ("pressure", "mmH2O", "mm H2O", "mm of water", "mm w.g."),
    ("pressure", "psi", "psia", "lbf/in^2"),
    ("energy", "MMBtu", "MMBTU", "mmBtu"),
    ("energy", "therm", "therms"),
    ("energy_price", "USD/kWh", "$/kWh", "dollars per kWh"),
    ("energy_price", "cent/kWh", "cents/kWh", "¢/kWh", "cents per kWh"),
    ("energy_price", "USD/therm", "$/therm", "$ per therm"),
    ("temperature", "degF", "°F", "° F", "deg F", "deg. F", "degrees F", "F"),
    ("length", "in", "in.", "inch", "inches"),
    ("power", "hp", "HP", "horsepower"),
    ("permeability", "darcy", "darcies"),
    ("permeability", "cm2", "cm^2", "cm²"),
    ("time", "week", "weeks", "wk"),
    ("temperature", "degC", "°C", "deg C", "Celsius", "degrees Celsius"),
    ("temperature", "degF", "Fahrenheit", "degrees Fahrenheit"),
    ("area", "ft2", "sf", "SF"),
    ("volume", "ft3", "cf"),
    ("length", "um", "µm", "micron", "microns"),
    ("length", "mi", "mile", "miles"),
    ("velocity", "mph", "mi/h", "miles per hour"),
    ("humidity", "gr/lb", "grains/lb", "grains per pound", "grain/lb"),
    ("humidity", "kg/kg", "lb/lb", "lb per lb"),
    ("humidity", "g/kg", "g per kg", "g kg-1"),
    ("volume_flow", "mL/min", "mL per minute", "ml/min", "cm³/min"),
    ("pressure", "inWC", "iwc", "IWG", '"WG', '" W.C.', "″ WC", '" H2O'),
    ("pressure", "inHg", "in. Hg", '" Hg', '"Hg', "inches of mercury"),
    ("pressure", "hPa", "mbar", "mb"),
    ("pressure_gradient", "inWC/100 ft", "in. w.g./100 ft", "in. w.c. per 100 ft", "inches of water per 100 ft"),
    ("flow_resistance", "inWC/cfm", "in. w.c./cfm", "in. wg per cfm"),
    ("transmissivity", "cfm/inWC", "cfm/in. w.c.", "cfm per inch of water"),
    ("transmissivity", "L/(s Pa)", "L/s Pa", "L/s/Pa"),
    ("viscosity", "lb/(ft h)", "lbm/(ft·h)", "lb/ft h", "lb/ft/hr"),
    ("conductivity", "Btu/(h ft degF)", "Btu/h ft °F", "Btu/hr-ft-F"),
    ("conductivity", "Btu in/(h ft2 degF)", "Btu·in/(h·ft²·°F)", "Btu in/h ft2 F"),
    ("surface_conductance", "Btu/(h ft2 degF)", "Btu/h ft2 F", "Btu/hr-ft²-°F"),
    ("radon_flux", "pCi/(m2 s)", "pCi/m2 s", "pCi m-2 s-1"),
    ("decay_product_energy", "WL", "wl", "working level", "working levels"),
    ("exposure", "WLM", "wlm", "working level months", "working-level months", "WLM/y", "WLM per year"),
    ("dose", "mSv", "mSv/y", "mSv per year", "mSv/yr"),
    ("dose", "mrem", "mrem/yr"),
    ("pressure", "inWC", "inH₂O", "in. H₂O"),
    ("pressure", "inH2O (4 degC)", "inH2O at 4 °C", "in. H2O (4 °C)", "in H2O 4C", "inH2O @ 4 °C", "inWC (4 °C)"),
    ("pressure", "inH2O (60 degF)", "inH2O at 60 °F", "in. w.c. (60 °F)", "in H2O at 60F"),
    ("pressure", "ftH2O", "ft H2O", "feet of water", "ft w.c."),
    ("pressure", "cmH2O", "cm H2O", "cm of water"),
    ("pressure", "mmH2O", "mm WG", "millimetres of water"),
    ("pressure", "mmHg", "millimeters of mercury"),
    ("pressure", "Pa", "pascals", "N/m2", "N/m^2"),
    ("pressure", "kPa", "kilopascals"),
    ("pressure", "hPa", "millibars"),
    ("pressure", "psi", "lb/in2", "lb/sq in"),
    ("pressure_gradient", "inWC/ft", "in. w.c./ft", "inches of water per foot"),
    ("volume_flow", "cfm", "acfm", "ACFM"),
    ("volume_flow", "L/s", "lps", "LPS"),
    ("volume_flow", "L/min", "lpm", "LPM"),
    ("volume_flow", "ft3/s", "cfs", "cubic feet per second", "ft³/s"),
    ("mass_flow", "lb/min", "lb per minute"),
    ("activity_concentration", "pCi/L", "picocuries per liter", "pci/l", "PCI/L"),
    ("activity_concentration", "Bq/m3", "becquerels per cubic meter", "bq/m³"),
    ("temperature", "degR", "R", "°R", "Rankine"),
    ("temperature", "degF", "fahrenheit"),
    ("temperature", "K", "kelvin"),
    ("velocity", "ft/min", "lfm"),
    ("density", "lb/ft3", "pcf"),
    ("density", "g/cm3", "g/cc", "g/mL"),
    ("viscosity", "P", "poise"),
    ("viscosity", "lbf s/ft2", "slug/(ft s)", "slug/ft-s"),
    ("specific_heat", "Btu/(lb degF)", "Btu/lb-F", "Btu/lb·°F", "Btu/lbm-R"),
    ("power", "kBtu/h", "MBH", "kBtu/hr"),
    ("permeability", "mD", "millidarcy", "millidarcys"),
    ("surface_tension", "mN/m", "dynes/cm"),
    ("slope", "m/m", "ft/ft", "in/in"),
]


@pytest.mark.parametrize("ways", WAYS, ids=lambda ways: ways[1])
def test_a_unit_is_known_however_it_is_written(ways: tuple[str, ...]) -> None:
    dimension, name, *others = ways
    meant = DIMENSIONS[dimension].units[name]
    for written in (name, *others):
        quantity = read(f"2.5 {written}", dimension)
        assert (quantity.unit, quantity.value) == (name, float((Fraction("2.5") + meant.zero) * meant.factor)), written
        assert read(f"2.5 {written} ± 1 {written}", dimension).tolerance == float(meant.factor), written


@pytest.mark.parametrize(("text", "value"), [("$0.16/kWh", 0.16 / 3.6e6), ("$1.20 per therm", 1.2 / 1.054804e8)])
def test_the_dollar_sign_of_a_price_may_stand_before_the_number(text: str, value: float) -> None:
    assert read(text, "energy_price").value == pytest.approx(value, rel=1e-15)


def test_feet_with_an_inch_after_a_hyphen_are_no_inch_per_foot() -> None:
    assert read("7 ft-1 in", "length").value == read("7 ft 1 in", "length").value == 85 * 127 / 5000
    assert read("10 ft3in", "length").value == 123 * 127 / 5000
    assert "is a length" in refusal("7 ft-1 in", "slope")


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("0.3333", 0.3333, ""),
        ("0", 0.0, ""),
        ("4/12", 1 / 3, "%"),
        ("12/12", 1.0, "%"),
        ("18 in 12", 1.5, "%"),
        ("7 on 12", 7 / 12, "%"),
        ("7-in-12", 7 / 12, "%"),
        ("4:12", 1 / 3, "%"),
        ("4 in/ft", 1 / 3, "in/ft"),
        ("33 %", 0.33, "%"),
    ],
)
def test_a_pitch_below_one_may_be_a_bare_ratio(text: str, value: float, unit: str) -> None:
    quantity = read(text, "pitch")
    assert (quantity.value, quantity.unit) == (value, unit)


@pytest.mark.parametrize("text", ["9", "63", "1"])
def test_a_humidity_ratio_of_one_or_more_without_a_unit_could_be_grams_or_grains(text: str) -> None:
    assert "has no unit and may be grams or grains; write 9 g/kg or 63 gr/lb" in refusal(text, "humidity")
    assert read("1.4 kg/kg", "humidity").value == 1.4  # of air near the boiling point


# The drainage fittings are named by the share of the circle: a quarter, a sixth, an eighth, a sixteenth bend.
@pytest.mark.parametrize(
    ("text", "degrees"), [("1/4 bend", 90), ("1/6 bend", 60), ("1/8 bend", 45), ("1/16 bend", 22.5)]
)
def test_a_fitting_is_an_angle_by_its_share_of_the_circle(text: str, degrees: float) -> None:
    assert read(text, "angle").value == pytest.approx(math.radians(degrees), rel=1e-15)


@pytest.mark.parametrize("text", ["1", "4", "18.5", "1-1/2"])
def test_a_pitch_of_one_or_more_without_a_unit_could_be_many_things(text: str) -> None:
    assert "may be so many in 12, percent or degrees; write 4/12, 33 % or 4 in/ft" in refusal(text, "pitch")
    assert read(text, "pitch", unit="in/ft").unit == "in/ft"


@pytest.mark.parametrize(
    ("text", "value", "tolerance"),
    [
        ("1 in 2", 0.5, 0),
        ("1 in 20 ± 1 %", 0.05, 0.01),
        ("1 in 20 ± 0.01", 0.05, 0.01),
        ("5 in 1000", 0.005, 0),
        ("400 ppm", 0.0004, 0),
    ],
)
def test_a_ratio_may_be_one_in_so_many(text: str, value: float, tolerance: float) -> None:
    quantity = read(text, "ratio")
    assert (quantity.value, quantity.tolerance) == (value, tolerance)


@pytest.mark.parametrize("text", ["7/12", "7:12", "7 : 12", "7 in 12", "7⁄12", "3-1/2 in 6", "14/24"])
def test_a_pitch_is_an_angle_whose_tangent_is_rise_over_run(text: str) -> None:
    assert read(text, "angle").value == math.atan(7 / 12)
    assert read(text, "angle", unit="deg").value == math.atan(7 / 12)


@pytest.mark.parametrize(
    ("text", "slope"),
    [
        ("1/8 in/ft", 1 / 96),
        ("1/8 in per ft", 1 / 96),
        ('1/8"/ft', 1 / 96),
        ("10 mm/m", 0.01),
        ("1 %", 0.01),
        ("1/48", 1 / 48),
        ("1:48", 1 / 48),
        ("1 in 48", 1 / 48),
        ("1/8 in 12", 1 / 96),
    ],
)
def test_a_slope_is_a_plain_ratio(text: str, slope: float) -> None:
    assert read(text, "slope").value == slope


def test_beside_a_shown_unit_a_slope_written_as_a_fraction_is_in_that_unit() -> None:
    assert read("1/4", "slope", unit="in/ft").value == 1 / 48
    assert read("1 in 48", "slope", unit="in/ft").value == 1 / 48


def test_a_bare_number_takes_the_unit_shown_and_written_units_win_over_it() -> None:
    assert read("3-1/2", "length", unit="in").value == 0.0889
    assert read("76 mm", "length", unit="in").value == 0.076
    assert read("40", "ratio", unit="%").value == 0.4


def test_below_zero_is_read_only_where_it_is_allowed() -> None:
    assert read("-3-1/2 in", "length", negative=True).value == -0.0889
    assert read("−7'-10 3/8\"", "length", negative=True).value == -2.397125
    assert read("-7/12", "angle", negative=True).value == math.atan(-7 / 12)
    assert read("-$5", "money", negative=True).value == -5.0
    assert read("-5 °F", "temperature").value == pytest.approx(252.594, abs=1e-3)  # cold, yet above absolute zero
    assert "is below zero" in refusal("-3 in", "length")
    assert "is below absolute zero" in refusal("-500 °F", "temperature", negative=True)


@pytest.mark.parametrize(
    ("text", "dimension", "tolerance"),
    [
        ("13-7/8 in ± 1/8 in", "length", 0.003175),
        ("13-7/8 in +/- 1/8 in", "length", 0.003175),
        ("13-7/8 in +- 1/8 in", "length", 0.003175),
        ("13-7/8in±1/8in", "length", 0.003175),
        ("13-7/8 ± 1/8 in", "length", 0.003175),
        ("13-7/8 in ± 1/8", "length", 0.003175),
        ("13-7/8 in ± 2 mm", "length", 0.002),
        ("7'-10\" ± ½″", "length", 0.0127),
        ("10 m ± 2 %", "length", 0.2),
        ("80 L/s ± 5 %", "volume_flow", 0.004),
        ("55 degF ± 9 degF", "temperature", 5.0),
        ("55 ± 9 degF", "temperature", 5.0),
        ("13 °C ± 2 K", "temperature", 2.0),
        ("40 % ± 5 %", "ratio", 0.05),
        ("40 ± 5 %", "slope", 0.05),
        ("0.4 ± 0.05", "ratio", 0.05),
        ("7/12 ± 180 deg", "angle", math.pi),
        ("1 in 48 ± 0.1 %", "slope", 0.001),
        ("3 ± 1", "count", 1.0),
    ],
)
def test_a_tolerance_is_a_half_width_in_si(text: str, dimension: str, tolerance: float) -> None:
    quantity = read(text, dimension, negative=True)
    assert quantity.tolerance == tolerance
    assert quantity.value == read(re.split(r"±|\+/-|\+-", text)[0], dimension, unit=quantity.unit).value


def test_percent_of_a_value_below_zero_is_still_a_width() -> None:
    assert read("-10 m ± 2 %", "length", negative=True).tolerance == 0.2


@untimed
@given(
    feet=st.integers(0, 40),
    sixteenths=st.integers(1, 191),
    joint=st.sampled_from(["-", " ", "  ", "- "]),
    slash=st.sampled_from(["/", "⁄", " / "]),
    signs=st.sampled_from([("'", '"'), ("′", "″"), (" ft ", " in"), ("'-", '"'), (" feet ", " inches"), ("ft", "in")]),
)
def test_feet_inches_and_sixteenths_read_the_same_however_written(
    feet: int, sixteenths: int, joint: str, slash: str, signs: tuple[str, str]
) -> None:
    whole, part = divmod(sixteenths, 16)
    fraction = f"{part}{slash}16" if part else ""
    inches = joint.join([str(whole)] * bool(whole or not part) + [fraction] * bool(part))
    expected = float((feet * 12 + Fraction(sixteenths, 16)) * Fraction("0.0254"))
    assert read(f"{feet}{signs[0]}{inches}{signs[1]}", "length").value == expected


# ---------------------------------------------------------------- refusing


@pytest.mark.parametrize(
    ("text", "dimension", "says"),
    [
        ("", "length", "'' is empty; write a length, such as 3 in or 76 mm"),
        ("   ", "length", "is empty"),
        ("3", "length", "'3' has no unit; write a length, such as 3 in or 76 mm"),
        ("3 n", "length", "'3 n' has an unknown unit 'n' (did you mean in?); write a length with in, ft, mm, cm or m"),
        ("3 IN", "length", "did you mean in?"),
        ("80 cmf", "volume_flow", "did you mean cfm?"),
        ("3 M", "length", "did you mean m?"),
        ("3 months", "time", "'3 months' is in months, which are not all of one length; write days, such as 90 d"),
        ("5 MBtu", "energy", "is in MBtu, a thousand Btu to some and a million to others; write kBtu or MMBtu"),
        ("80 scfm", "volume_flow", "'80 scfm' is a flow of standard air; write the flow at its own density"),
        ("0.5 psig", "pressure", "is counted from the air around"),
        ("5000 HDD", "degree_time", "may be of Fahrenheit or of Celsius; write 5,000 degF d or 2,800 degC d"),
        ("5000 degree days", "degree_time", "may be of Fahrenheit or of Celsius"),
        ("3 h-1", "time", "is a rate per time; a time was expected"),
        ("3 m^2", "length", "is an area; a length was expected"),
        ("3 m^9", "length", "unknown unit 'm^9'"),
        ("3 ^m", "length", "is not one number with one unit"),
        ("3 in-1/2", "length", "unknown unit 'in-1/2'"),
        ("2 per fortnight", "rate", "unknown unit 'per fortnight'"),
        ("1:2", "ratio", "is not one number with one unit"),
        ("0.3333", "angle", "has no unit; write an angle or a pitch, such as 30 deg or 7/12"),
        ("4 ± 1", "pitch", "has no unit and may be"),
        ("5 $ in", "length", "unknown unit"),
        ("3 furlongs", "length", "unknown unit 'furlongs'; write a length with in, ft, mm, cm or m"),
        ("125 Pa", "length", "'125 Pa' is a pressure; a length was expected, such as 3 in or 76 mm"),
        ("5 ft2", "length", "is an area; a length was expected"),
        ("95 cfm", "length", "is a volume flow"),
        ("1 gal/d", "mass_flow", "is a volume flow; a mass flow was expected"),
        ("5 %", "length", "is a ratio"),
        ("$5", "length", "is an amount of money"),
        ("3 in", "count", "is a length; a whole number was expected"),
        ("7'-10\"", "pressure", "is a length"),
        ("2.5", "count", "is not a whole number"),
        ("1/2", "count", "is not a whole number"),
        ("0.02", "slope", "has no unit"),
        ("30", "angle", "has no unit"),
        ("3,5 mm", "length", "has a comma that does not part thousands; with a decimal point it is 3.5"),
        ("0,125 in", "length", "with a decimal point it is 0.125"),
        ("1.050,5 mm", "length", "has a comma that does not part thousands"),
        ("1,05 m", "length", "with a decimal point it is 1.05"),
        ("1,0500 m", "length", "is not one number with one unit"),
        ("1050,000 m", "length", "has a comma"),
        ("1 050 mm", "length", "is not one number with one unit"),
        ("1/0 in", "length", "divides by zero"),
        ("3-1/0 in", "length", "divides by zero"),
        ("7/0", "angle", "divides by zero"),
        ("1 in 0", "slope", "divides by zero"),
        ("1-9/8 in", "length", "has 9/8 after a whole number"),
        ("1-8/8 in", "length", "has 8/8 after a whole number"),
        ("nan", "length", "does not start with a number"),
        ("nan in", "length", "does not start with a number"),
        ("inf m", "length", "does not start with a number"),
        ("-inf m", "length", "does not start with a number"),
        ("1e400 m", "length", "unknown unit"),
        ("1e-400 m", "length", "unknown unit"),
        ("9**9**9 m", "length", "is not one number with one unit"),
        ("9^9^9 m", "length", "is not one number with one unit"),
        ("10**10**8", "ratio", "is not one number with one unit"),
        ("3 m**9**9**9", "length", "unknown unit"),
        ("9" * 1000 + " m", "length", "is 1,002 characters long, more than 64"),
        ("__import__('os')", "length", "does not start with a number"),
        ("3 * 4 in", "length", "is not one number with one unit"),
        ("(3) in", "length", "does not start with a number"),
        ("0x10 in", "length", "unknown unit"),
        ("1_000 in", "length", "is not one number with one unit"),
        ("٣ in", "length", "holds '٣', which belongs in no quantity"),
        ("３ in", "length", "holds '３', which belongs in no quantity"),
        ("3² in", "length", "is not one number with one unit"),
        ("3\nin", "length", "holds '\\n', which belongs in no quantity"),
        ("3 in\n4 in", "length", "holds '\\n', which belongs in no quantity"),
        ("3 in\x00", "length", "holds '\\x00', which belongs in no quantity"),
        ("3\u202ein", "length", "holds '\\u202e', which belongs in no quantity"),
        ("3\ud800in", "length", "holds '\\ud800', which belongs in no quantity"),
        ("in", "length", "does not start with a number"),
        ("3-4 in", "length", "is not one number with one unit"),
        ("5 - 1/2 in", "length", "is not one number with one unit"),
        ("3 1/2 1/2 in", "length", "is not one number with one unit"),
        ("3.5.2 in", "length", "is not one number with one unit"),
        ("3 in 4", "length", "unknown unit"),
        ("3 in 4 in", "length", "unknown unit"),
        ("3..5 in", "length", "is not one number with one unit"),
        ("--3 in", "length", "does not start with a number"),
        ("7'10", "length", "is not whole feet and less than 12 inches; write them as 7 ft 10-3/8 in"),
        ("7.5' 3\"", "length", "is not whole feet"),
        ("7'-12\"", "length", "is not whole feet"),
        ("7 ft 3 mm", "length", "is not whole feet"),
        ("3 in ± 1/8 in ± 1/8 in", "length", "has more than one tolerance"),
        ("3 in ±", "length", "does not start with a number"),
        ("± 1/8 in", "length", "does not start with a number"),
        ("3 in ± -1/8 in", "length", "has a tolerance below zero"),
        ("3 in ± 2 Pa", "length", "is a pressure"),
        ("3 ± 2 %", "length", "has no unit"),
        ("3 in ± 4 in", "length", "has a tolerance that reaches below zero"),
        ("55 degF ± 2 %", "temperature", "has a tolerance in percent; write a difference, such as ± 2 degF"),
        ("40 ± 5 %", "ratio", "gives a unit to its tolerance alone"),
        ("7/12 ± 1/12", "angle", "has a tolerance without a unit; write it in deg, rad or bend"),
    ],
)
def test_what_cannot_be_read_is_refused_in_one_plain_line(text: str, dimension: str, says: str) -> None:
    assert says in refusal(text, dimension)


def test_a_power_tower_is_refused_in_one_line() -> None:
    assert refusal("9**9**9", "length") == (
        "'9**9**9' is not one number with one unit; write a length, such as 3 in or 76 mm"
    )


def test_text_in_a_refusal_is_clipped_and_escaped() -> None:
    line = refusal("\x1b[31m" + "<b>" * 15, "length")
    assert "\\x1b" in line
    assert "…" in line


class Unexamined(str):
    """Text that fails the test if anything but its length and its head is looked at."""

    def translate(self, *_: object) -> str:
        raise AssertionError("read beyond the length cap")

    strip = isprintable = split = __iter__ = translate  # type: ignore[assignment]


def test_text_over_the_length_cap_is_refused_unexamined() -> None:
    # The bound on work: whatever is read holds at most LONGEST characters. tests/benchmarks/quantities.py times it.
    assert "more than 64" in refusal(Unexamined("3 in" + " " * LONGEST), "length")
    assert read("3 in" + " " * (LONGEST - 4), "length").value == 0.0762


FRAGMENTS = st.lists(
    st.sampled_from(
        [
            *"0123456789/-−+.,'\"′″½¾⁄ °%$±:eE*^()⁻¹¢",
            " per ",
            "h-1",
            " sq ",
            "^-1",
            " ft ",
            " in ",
            "mm",
            "+/-",
            " in 12",
            "/ft",
            "degF",
            "\n",
            "٣",
        ]
    ),
    max_size=20,
).map("".join)
HUGE = st.text(min_size=1, max_size=9).map(lambda piece: piece * (1_000_000 // len(piece)))


@untimed
@given(
    text=st.one_of(st.text(), FRAGMENTS, HUGE), dimension=st.sampled_from(sorted(DIMENSIONS)), negative=st.booleans()
)
@example(text="9" * 1_000_000, dimension="length", negative=False)
@example(text="1" + "/1" * 31, dimension="length", negative=False)
@example(text="1" + ",111" * 15, dimension="count", negative=False)
@example(text="9" * 58 + "e99 y", dimension="time", negative=False)
@example(text="1/" + "9" * 60, dimension="ratio", negative=False)
def test_any_text_is_read_or_refused_in_one_line(text: str, dimension: str, negative: bool) -> None:
    try:
        quantity = read(text, dimension, negative=negative)
    except QuantityError as refused:
        line = str(refused)
        assert line.isprintable()
        assert len(line) < 300
    else:
        assert math.isfinite(quantity.value)
        assert 0 <= quantity.tolerance < math.inf
        assert negative or quantity.value >= 0
        assert quantity.unit in DIMENSIONS[dimension].units


# ---------------------------------------------------------------- writing


@pytest.mark.parametrize(
    ("si", "unit", "text"),
    [
        (4.163 * INCH, "in", "4-3/16 in (4.163 in)"),
        (0.0889, "in", "3-1/2 in"),
        (0.0762, "in", "3 in"),
        (5 / 16 * INCH, "in", "5/16 in"),
        (0.3 * INCH, "in", "5/16 in (0.3 in)"),
        (15.99 * INCH, "in", "16 in (15.99 in)"),
        (123.45678 * INCH, "in", "123-7/16 in (123.457 in)"),
        (1500.25 * INCH, "in", "1,500-1/4 in"),
        (-4.163 * INCH, "in", "-4-3/16 in (-4.163 in)"),
        (0.01 * INCH, "in", "0.01 in"),  # a sixteenth would say zero
        (0.0, "in", "0 in"),
        (2.397125, "ft", "7.865 ft"),
        (0.105740, "mm", "105.7 mm"),
    ],
)
def test_inches_are_shown_to_the_sixteenth_with_the_decimal_beside(si: float, unit: str, text: str) -> None:
    assert shown(si, unit) == text


@pytest.mark.parametrize(
    ("si", "unit", "text"),
    [
        (4.163 * INCH, "in", "4.163 in"),
        (101325.0, "Pa", "101,325 Pa"),
        (1.05, "mm", "1,050 mm"),
        (1.81e-5, "Pa s", "1.81e-5 Pa·s"),
        (0.00012, "Pa", "0.00012 Pa"),
        (123456789.0, "Pa", "1.235e8 Pa"),
        (148.0, "pCi/L", "4 pCi/L"),
        (148.0, "Bq/m3", "148 Bq/m³"),
        (5.0, "W/(m2 K)", "5 W/(m²·K)"),
        (0.0, "Pa", "0 Pa"),
        (-0.0, "Pa", "0 Pa"),
        (math.pi / 6, "deg", "30°"),
        (0.4, "%", "40 %"),
        (0.4, "", "0.4"),
        (12345.0, "", "12,345"),
        (2.54, "ft/min", "500 ft/min"),
        (285.9277777777778, "degF", "55 °F"),
        (5.0, "delta_degF", "9 °F"),
        (1200.0, "USD", "1,200 USD"),
        (math.nan, "Pa", "nan Pa"),
        (math.inf, "Pa", "inf Pa"),
    ],
)
def test_a_value_is_written_with_its_unit(si: float, unit: str, text: str) -> None:
    assert decimal(si, unit) == text
    assert text.startswith(number(si, unit))


READINGS = st.floats(1e-9, 1e9).flatmap(lambda x: st.sampled_from([x, -x])) | st.just(0.0)


@untimed
@given(kind=st.sampled_from(MULTIPLICATIVE), reading=READINGS, digits=st.integers(2, 9))
def test_what_is_written_reads_back_within_the_printed_digits(
    kind: tuple[str, str], reading: float, digits: int
) -> None:
    dimension, unit = kind
    again = read(decimal(from_unit(reading, unit), unit, digits), dimension, negative=True)
    assert again.unit == unit
    half_a_last_digit = 0.5 * 10 ** (1 - digits) * (1 + 1e-6)  # and a few roundings of the float
    assert to_unit(again.value, unit) == pytest.approx(reading, rel=half_a_last_digit, abs=0)


@untimed
@given(unit=st.sampled_from(["degF", "degC", "K"]), kelvin=st.floats(1, 1e4))
def test_a_temperature_reads_back_within_the_printed_digits(unit: str, kelvin: float) -> None:
    again = read(decimal(kelvin, unit, digits=6), "temperature").value
    assert to_unit(again, unit) == pytest.approx(to_unit(kelvin, unit), rel=5.1e-6, abs=1e-9)


@untimed
@given(count=st.integers(0, 9_999_999))
def test_a_count_reads_back_whole(count: int) -> None:
    assert read(decimal(count, ""), "count").value == count


@untimed
@given(inches=st.floats(1 / 31, 9e5))
def test_shown_inches_are_the_nearest_sixteenth_and_the_decimal(inches: float) -> None:
    fraction, _, beside = shown(inches * INCH, "in").partition(" (")
    assert to_unit(read(fraction, "length").value, "in") == pytest.approx(inches, abs=1 / 32 + 1e-9)
    if beside:
        assert to_unit(read(beside.rstrip(")"), "length").value, "in") == pytest.approx(inches, abs=0.0005 + 1e-9)
    else:
        assert inches * 16 == pytest.approx(round(inches * 16), rel=2e-9)


@pytest.mark.parametrize(("dimension", "unit"), UNITS)
def test_arrays_convert_as_numbers_do_and_back(dimension: str, unit: str) -> None:
    readings = np.array([0.25, 3.0, 1234.5])
    si = from_unit(readings, unit)
    assert si.tolist() == [from_unit(float(r), unit) for r in readings]
    np.testing.assert_allclose(to_unit(si, unit), readings, rtol=1e-12)  # offset scales lose digits near zero


def test_an_unknown_unit_names_the_nearest() -> None:
    with pytest.raises(QuantityError, match=r"unit 'ft/mim' is not known; did you mean ft/min\?"):
        to_unit(1.0, "ft/mim")
