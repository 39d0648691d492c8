"""Displays of a monitor: what its panels hold."""

from radonwork.drawings.catalogue import topic_drawings
from radonwork.engine.sheet import Sheet
from radonwork.formulas import running_average as averages
from radonwork.house.record import House
from radonwork.workbook.panel import Pane


def panes(_house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    between, settling = topic_drawings("commissioning")
    return (
        Pane(
            title="What the radon was between two readings of a display",
            topic="commissioning",
            sheet=Sheet(
                "between",
                "The mean between two displays of a mean since the start",
                (
                    averages.cumulative_mean_between,
                    averages.cumulative_mean_error,
                    averages.mean_most,
                    averages.mean_clearance,
                ),
            ),
            controls=("display_before", "time_before", "display_after", "time_after", "display_step"),
            drawing=between,
            result="{mean_most?|The displays contradict each other: one was misread, or the display was reset. }Between the "
            "readings the mean was {mean_between}, and rounding moves that by up to {mean_error}: "
            "{mean_clearance?it was at most|less than its own rounding, so that no more can be said than that it was at most} "
            "{mean_most}.",
            worked=("cumulative_mean_between", "cumulative_mean_error", "mean_most"),
            defaults={
                "display_before": "8.0 pCi/L", "time_before": "60 d", "display_after": "6.2 pCi/L", "time_after": "80 d",
                "display_step": "0.1 pCi/L",
            },
            judged=False,
        ),
        Pane(
            title="When the display will have followed",
            topic="commissioning",
            sheet=Sheet(
                "settling",
                "Three kinds of display after a change",
                (
                    averages.settling_share,
                    averages.cumulative_settling_time,
                    averages.rolling_settling_time,
                    averages.exponential_settling_time,
                ),
            ),
            controls=(
                "display_before", "new_level", "watched_level", "time_before", "display_window", "display_time_constant",
            ),
            drawing=settling,
            result="The house changed at once; a mean since the start, {time_before} old, passes {watched_level} only after "
            "{cumulative_settling_time}. A mean of the last {display_window} passes it after {rolling_settling_time}, one "
            "that fades in {display_time_constant} after {exponential_settling_time}. Each then has {settling_share} of its "
            "fall still to come.",
            worked=(
                "settling_share",
                "cumulative_settling_time",
                "rolling_settling_time",
                "exponential_settling_time",
            ),
            defaults={
                "display_before": "8.0 pCi/L", "new_level": "1.0 pCi/L", "watched_level": "4 pCi/L", "time_before": "60 d",
                "display_window": "7 d", "display_time_constant": "1 d",
            },
            judged=False,
        ),
    )  # fmt: skip
