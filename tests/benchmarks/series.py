"""A year of hourly readings read, judged and drawn, and a panel's move over its days. Run as a script.

    python tests/benchmarks/series.py

A year should take less than 0.5 s from the file to the drawings, imports aside; a move of the panel less than 0.1 s.
"""

import tempfile
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter, process_time
from typing import Any

from radonwork.drawings.catalogue import house_figures, pictures
from radonwork.files import DATA
from radonwork.house import fan_effect, long_run, watched
from radonwork.house.calculations import calculate
from radonwork.house.record import House, read_house
from radonwork.report.told import told
from radonwork.workbook.panes import panes

HOUSES = DATA / "houses"
ROUNDS = 7
KEYS = ("year", "change")


def timed(work: Callable[[], Any], again: Callable[[], Any] = lambda: None) -> str:
    """Median time on the clock, and of the processor for this process alone; `again` makes each round start anew."""
    clock, processor = [], []
    for _ in range(ROUNDS):
        again()
        start, own = perf_counter(), process_time()
        work()
        clock.append(perf_counter() - start)
        processor.append(process_time() - own)
    return f"{1e3 * median(clock):.0f} ms, of the processor {1e3 * median(processor):.0f} ms"


def forget() -> None:
    for module in (watched, long_run, fan_effect):
        for made in vars(module).values():
            if hasattr(made, "cache_clear"):
                made.cache_clear()


def whole(house: House) -> None:
    for key in KEYS:
        found = calculate(house, key)
        pictures(found)
        for one in told(key):
            one.blocks(found)


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for source in HOUSES.glob("alder-court*"):
            text = source.read_text(encoding="utf-8")
            (folder / source.name).write_text(text, encoding="utf-8")
        house = read_house(folder / "alder-court.toml")
        whole(house)
        found = watched.watched(house)
        assert isinstance(found, watched.Watched)
        print(f"{len(found.series.values):,} readings, {len(found.days.numbers)} days")
        print(f"read, judged and drawn, both topics: {timed(lambda: whole(house), forget)}")
        print(f"of that reading the file:            {timed(lambda: watched.watched(house), forget)}")
        pane = panes("change", house)[0]
        (figure,) = house_figures("change", house)
        given = {name: calculate(house, "change").run.values[name] for name in pane.controls}
        hours = iter(range(24, 400))

        def move() -> None:
            values = pane.sheet.run(given | {"transition_time": 3600.0 * next(hours)}).values
            figure.svg(values)

        print(f"a move of the panel over its days:   {timed(move)}")


if __name__ == "__main__":
    main()
