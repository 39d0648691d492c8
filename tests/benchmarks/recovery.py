"""Recovery study: how often intervals said to hold 95 % hold the truth, over series whose truth is known. Run as a script.

    python tests/benchmarks/recovery.py [series for each correlation, 250 by itself]

For the mean of the year and for the reduction the share must lie between 92 and 98 %. The draw itself moves the share of
250 series by 1.4 % (a standard deviation) and that of 1,000 by 0.7 %. tests/recovering.py says how series are drawn.
"""

import sys
from collections.abc import Callable
from time import perf_counter

from tests.recovering import CORRELATIONS, Coverage, of_change_day, of_reduction, of_year_mean

SEED = 2026


def table(title: str, of: Callable[[float], Coverage]) -> Coverage:
    start = perf_counter()
    found = [of(correlation) for correlation in CORRELATIONS]
    total = found[0]
    for one in found[1:]:
        total = total + one
    print(f"\n{title}")
    for correlation, one in zip(CORRELATIONS, found, strict=True):
        print(f"  correlation {correlation:.1f}: {one}")
    print(f"  all:             {total}   {1e3 * (perf_counter() - start) / total.count:.1f} ms a series")
    return total


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 250
    year = table("Mean of the year, 30 to 400 days (width in ln)", lambda r: of_year_mean(r, count, SEED))
    change = table("Reduction, before and after a change", lambda r: of_reduction(r, count, SEED))
    table("Reduction, fan off and on for a week each, four times", lambda r: of_reduction(r, count, SEED, cycles=4))
    table(
        "Reduction, where the days after resemble each other by 0.9 less what those before do",
        lambda r: of_reduction(r, count, SEED, correlation_after=0.9 - r),
    )
    print("\nDay of the change, where one is found")
    for correlation in CORRELATIONS:
        held, found, of_all = of_change_day(correlation, count, SEED)
        share = 100 * held / max(found, 1)
        print(f"  correlation {correlation:.1f}: found in {found} of {of_all}; the 95 % days hold it in {share:.1f} %")
    for name, one in (("mean of the year", year), ("reduction", change)):
        verdict = "meets" if 0.92 <= one.share <= 0.98 else "MISSES"
        print(f"\nThe {name} {verdict} 92 to 98 %: {100 * one.share:.1f} % of {one.count:,}.")


if __name__ == "__main__":
    main()
