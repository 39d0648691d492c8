"""Where the mean of the year of one house may lie, against the level."""

import math
from collections.abc import Mapping

import numpy as np

from radonwork.drawings.plot import Axis, Plot
from radonwork.glossary import System, term
from radonwork.house.long_run import long_run
from radonwork.house.record import House
from radonwork.units import decimal, from_unit

_STEPS = ((1, 2, 5), (1, 1.5, 2, 3, 5, 7))  # of a decade, few over a wide axis and more over a narrow one


def log_axis(label: str, unit: str, low: float, high: float) -> Axis:
    """An axis of logarithms of SI values, its ticks at round values in the unit."""
    steps = _STEPS[int(high - low < math.log(12))]
    round_ones = [step * 10.0**power for power in range(-3, 7) for step in steps]
    at = [(math.log(float(from_unit(tick, unit))), f"{tick:,.10g}") for tick in round_ones]
    return Axis(label, unit, low, high, tuple((x, words) for x, words in at if low <= x <= high))


class YearChart:
    """The mean of the year of one house: how likely each value is, the level, and the tests it rests on."""

    title = "Where the mean of the year may lie"
    takes = ("year_mean", "year_mean_low", "year_mean_high", "device_spread")

    def __init__(self, house: House) -> None:
        self._found = long_run(house)

    def svg(self, values: Mapping[str, float], system: System = "us") -> str:
        assert self._found
        unit = term("year_mean").unit(system)
        logs = self._found.log_means(values["device_spread"])
        level = values.get("action_level")
        tests = [math.log(cluster.mean) for cluster in self._found.tests.clusters]
        edges = [*np.quantile(logs, [0.002, 0.998]), *tests, *([math.log(level)] if level else [])]
        low, high = min(edges) - 0.15, max(edges) + 0.15
        places = np.linspace(low, high, 200)
        density = _density(logs, places)
        most = float(density.max())
        plot = Plot(
            "year-mean",
            self.title,
            log_axis("mean of the year (each step a factor)", unit, low, high),
            Axis("how likely", "", 0.0, 1.15 * most, ((0.0, "0"),)),
            height=240,
            below=self._sentences(values, system),
        )
        inside = (places >= math.log(values["year_mean_low"])) & (places <= math.log(values["year_mean_high"]))
        plot.band(
            places[inside], np.zeros(int(inside.sum())), density[inside], "accent", "holds the mean with 95 % chance"
        )
        if level:
            over = places >= math.log(level)
            if over.any():
                plot.band(places[over], np.zeros(int(over.sum())), density[over], "warn", "above the level")
        plot.line(places, density, "accent", "how likely each mean is")
        plot.upright(math.log(values["year_mean"]), "ink thin", "its middle")
        if level:
            plot.upright(math.log(level), "warn dashed", f"level, {decimal(level, unit, 3)}")
        for kind, shape in (("short-term", "square"), ("long-term", "diamond")):
            of_kind = [math.log(c.mean) for c in self._found.tests.clusters if c.kind == kind]
            if of_kind:
                plot.points(of_kind, [0.05 * most] * len(of_kind), shape, "ink", f"{kind} tests")  # type: ignore[arg-type]
        return plot.svg()

    def described(self, values: Mapping[str, float], system: System = "us") -> str:
        return " ".join(self._sentences(values, system))

    def _sentences(self, values: Mapping[str, float], system: System) -> list[str]:
        unit = term("year_mean").unit(system)
        low, middle, high = (decimal(values[n], unit, 2) for n in ("year_mean_low", "year_mean", "year_mean_high"))
        said = [f"Mean of the year: about {middle}; with 95 % chance between {low} and {high}."]
        if "chance_above" in values:
            level = decimal(values["action_level"], unit, 3)
            said.append(f"{chance_words(values['chance_above'])} above {level}.")
        return said


def chance_words(chance: float) -> str:
    """A chance as a sentence begins: two digits, and no more certainty than the draws can tell."""
    if chance > 0.99:
        return "The chance is more than 99 % that it is"
    if chance < 0.01:
        return "The chance is less than 1 % that it is"
    return f"The chance is {100 * chance:.0f} % that it is"


def _density(logs: np.ndarray, places: np.ndarray) -> np.ndarray:
    """A smooth curve through the draws, each spread out by a third of their own spread or so."""
    counts, edges = np.histogram(logs, bins=160, range=(float(places[0]), float(places[-1])))
    middles = (edges[1:] + edges[:-1]) / 2
    width = 1.6 * float(logs.std()) * len(logs) ** -0.2
    kernel = np.exp(-(((places[:, np.newaxis] - middles) / width) ** 2) / 2)
    found: np.ndarray = kernel @ counts / (len(logs) * width * math.sqrt(2 * math.pi))
    return found
