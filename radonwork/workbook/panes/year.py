"""The mean of the year: what its panels hold."""

from radonwork.drawings.catalogue import topic_drawings
from radonwork.engine.sheet import Sheet
from radonwork.house.record import House
from radonwork.solvers.quoted_band import spread_of
from radonwork.workbook.panel import Pane


def panes(_house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    (tests,) = topic_drawings("year")
    return (
        Pane(
            title="A few tests, and what they say of the year",
            topic="year",
            sheet=Sheet("tests", "Tests taken together", tests.formulas),
            controls=("combined_result", "short_test_count", "long_test_count", "action_level"),
            drawing=tests,
            result="The mean of the year is about {combined_result}; with 95 % chance it lies between {year_mean_low:2} and "
            "{year_mean_high:2}. The chance that it is above {action_level} is {chance_above:3}.",
            worked=("combined_spread", "tests_low", "tests_high", "tests_chance"),
            defaults={
                "combined_result": "4.6 pCi/L", "short_test_count": "1", "long_test_count": "0", "action_level": "4 pCi/L",
                "short_test_spread": f"{spread_of('short-term'):.6g}", "long_test_spread": f"{spread_of('long-term'):.6g}",
                "normal_quantile": "1.96",
            },
            judged=False,
        ),
    )  # fmt: skip
