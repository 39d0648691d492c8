"""Time per read of everyday quantities and of hostile text.

    python tests/benchmarks/quantities.py

Every line should stay far below 50 ms; nothing here is a test, since a busy machine is not a failure.
"""

from contextlib import suppress
from timeit import repeat

from radonwork.units import DIMENSIONS, QuantityError, _spelling, read

EVERYDAY = [
    ("3 in", "length"),
    ("3-1/2 in", "length"),
    ("7'-10 3/8\"", "length"),
    ("13-7/8 in ± 1/8 in", "length"),
    ("0.5 inWC", "pressure"),
    ("80 cfm ± 5 %", "volume_flow"),
    ("4.0 pCi/L", "activity_concentration"),
    ("7/12", "angle"),
    ("1/8 in/ft", "slope"),
    ("55 degF", "temperature"),
    ("1.5 Btu/(h ft2 degF)", "surface_conductance"),
    ("0.02 Bq m-2 s-1", "radon_flux"),
    ("60 cubic feet per minute", "volume_flow"),
]
HOSTILE = {
    "a power tower": "9**9**9 in",
    "an unknown unit": "3 furlongs",
    "an unknown unit of 60 letters": "3 " + "n" * 60,
    "a chain of powers": "3 " + "a-1 " * 15,
    "a chain of quotients": "3 " + "a/" * 31,
    "64 digits": "9" * 64,
    "a chain of fractions": "1" + "/1" * 31,
    "a chain of thousands": "1" + ",111" * 15,
    "a chain of rises": "1 in 1" * 10,
    "64 blanks": "1" + " " * 62 + "1",
    "1 MB of digits": "9" * 1_000_000,
    "1 MB of blanks": " " * 1_000_000,
    "1 MB of line breaks": "\n" * 1_000_000,
    "1 MB of slashes": "1/" * 500_000,
    "1 MB of primes": "'\"" * 500_000,
    "1 MB of astral characters": "\U0001f600" * 1_000_000,
    "1 MB of a unit": "3 " + "W/(m2 K) " * 111_111,
}


def microseconds(text: str, dimension: str) -> float:
    """The best of five repeats of a hundred reads, refused or not, each."""

    def once() -> None:
        _spelling.cache_clear()  # what it holds from the read before
        with suppress(QuantityError):
            read(text, dimension)

    return min(repeat(once, number=100, repeat=5)) / 100 * 1e6


if __name__ == "__main__":
    for text, dimension in EVERYDAY:
        print(f"{microseconds(text, dimension):8.1f} µs  {text}")
    for what, text in HOSTILE.items():
        worst = max(DIMENSIONS, key=lambda dimension: microseconds(text, dimension))
        print(f"{microseconds(text, worst):8.1f} µs  {what} (slowest as {DIMENSIONS[worst].phrase})")
