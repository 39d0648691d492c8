"""How far the mean of the year may lie from one test, from the band that is quoted for the kind of test."""

import math
from collections.abc import Mapping
from functools import cache

import numpy as np
from sympy import erfc, log, sqrt

from radonwork.engine.derivation import Eq
from radonwork.engine.formula import Values
from radonwork.engine.solver import solver
from radonwork.engine.sources import Source
from radonwork.glossary import term

_ERFC = np.vectorize(math.erfc, otypes=[float])


@solver(
    ("log_spread",),
    Source("mose-short-term", "abstract; the band read as a lognormal that has the quoted share of cases inside it"),
    solves=lambda quoted_band, quoted_confidence, log_spread: [
        Eq(
            quoted_confidence,
            erfc(log(1 - quoted_band) / (sqrt(2) * log_spread)) / 2
            - erfc(log(1 + quoted_band) / (sqrt(2) * log_spread)) / 2,
        )
    ],
    quoted_band=("1 %", "99 %"),
    quoted_confidence=("10 %", "99 %"),
)
def band_spread(quoted_band: Values, quoted_confidence: Values) -> Mapping[str, Values]:
    """Spread of the logarithm from a band of so many percent either way.

    Assumes errors that are lognormal with the test as their middle: a band of 90 % either way reaches from a tenth to 1.9
    times, which is not symmetric in logarithms, so the spread is the one that has the quoted share between its two ends.
    """
    low, high = np.log(1 - np.asarray(quoted_band)), np.log(1 + np.asarray(quoted_band))
    least, most = np.full(np.shape(low + quoted_confidence), 1e-4), np.full(np.shape(low + quoted_confidence), 1e4)
    for _ in range(80):  # bisection of ln s
        middle = np.sqrt(least * most)
        inside = (_ERFC(low / middle / math.sqrt(2)) - _ERFC(high / middle / math.sqrt(2))) / 2
        least, most = (
            np.where(inside > quoted_confidence, middle, least),
            np.where(inside > quoted_confidence, most, middle),
        )
    return {"log_spread": np.sqrt(least * most) if np.ndim(least) else math.sqrt(float(least * most))}


BANDS = {"short-term": "90 %", "long-term": "30 %"}
CONFIDENCE = "70 %"
"""Of one charcoal and of one alpha-track test about the mean of the year, more than 1000 homes (mose-short-term)."""


@cache
def spread_of(kind: str) -> float:
    """Standard deviation of ln of the mean of the year about one test of this kind."""
    band = term("quoted_band").read(BANDS[kind]).value
    return float(
        band_spread(quoted_band=band, quoted_confidence=term("quoted_confidence").read(CONFIDENCE).value)["log_spread"]
    )
