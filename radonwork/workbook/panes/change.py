"""Before and after the fan: what its panels hold."""

from radonwork.drawings.catalogue import house_figures, topic_drawings
from radonwork.engine.sheet import Sheet
from radonwork.house.fan_effect import days_of, solvers_of
from radonwork.house.record import House
from radonwork.workbook.panel import Pane


def panes(house: House | None) -> tuple[Pane, ...]:
    """The panels, in the order in which the workbook shows them."""
    (stretches,) = topic_drawings("change")
    example = Pane(
        title="Two stretches of days, and how sure their difference is",
        topic="change",
        sheet=Sheet("stretches", "Days before and days after", stretches.formulas),
        controls=(
            "days_measured_before", "days_measured_after", "lag_correlation", "before_spread", "after_spread", "radon_ratio",
        ),
        drawing=stretches,
        result="{days_measured_before} days before count as {days_before}, {days_measured_after} after as {days_after}. What is "
        "left is {radon_ratio}, and with 95 % chance between {ratio_low} and {ratio_high}: a reduction of {radon_reduction}, "
        "without what season and weather may have done to it.",
        worked=("effective_before", "effective_after", "ratio_error", "ratio_low", "ratio_high"),
        defaults={
            "days_measured_before": "14", "days_measured_after": "14", "lag_correlation": "0.5", "before_spread": "0.47",
            "after_spread": "0.588", "radon_ratio": "0.1", "normal_quantile": "1.96",
        },
        judged=False,
    )  # fmt: skip
    found = days_of(house) if house else None
    if house is None or found is None or found.start is None:
        return example, example
    (series,) = house_figures("change", house)
    own = Pane(
        title="The days of this house",
        topic="change",
        sheet=Sheet("days", "Before and after the fan", solvers_of(house)),
        controls=("transition_time", "action_level", "device_spread"),
        drawing=series,
        result="The fan takes away {radon_reduction}, with 95 % chance between {reduction_low} and {reduction_high}. With it on "
        "the mean of the year is about {mean_after}, with 95 % chance between {mean_after_low} and {mean_after_high}; the "
        "chance that it is above {action_level} is {chance_after}.",
        worked=("fan_effect", "level_after"),
        defaults={"transition_time": "24 h", "action_level": "4 pCi/L", "device_spread": "10 %"},
    )
    return own, example
