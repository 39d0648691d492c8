"""Doing the work oneself against a quote: what it costs, what it saves, where the two are even."""

from radonwork.engine.formula import Formula, formula
from radonwork.engine.sources import Source

_SUM = Source(kind="derived", place="the sum of its parts")
_EVEN = Source(kind="derived", place="own cost set equal to the quote")


@formula("own_cost", _SUM)
def own_cost(parts_cost, tools_cost, work_hours, hour_value):
    """Cost of doing the work oneself.

    Assumes that what the quote includes besides (permit, electrician, warranty, a retest) is among the parts or tools.
    """
    return parts_cost + tools_cost + work_hours * hour_value


@formula("quote_saving", Source(kind="derived", place="the difference of two prices"))
def quote_saving(quoted_price, own_cost):
    """What doing the work oneself saves against the quote; below zero the quote is the cheaper."""
    return quoted_price - own_cost


@formula("break_even_value", _EVEN, work_hours=("1 min", "10000 h"))
def break_even_value(quoted_price, parts_cost, tools_cost, work_hours):
    """Value of one's own hour at which doing it oneself costs what the quote asks.

    Assumes the hours as stated. Below zero parts and tools alone cost more than the quote.
    """
    return (quoted_price - parts_cost - tools_cost) / work_hours


@formula(
    "break_even_hours",
    _EVEN,
    when={
        "parts and tools cost no more than the quote": lambda quoted_price, parts_cost, tools_cost: (
            parts_cost + tools_cost <= quoted_price
        )
    },
    hour_value=("0.01 USD/h", "10000 USD/h"),
)
def break_even_hours(quoted_price, parts_cost, tools_cost, hour_value):
    """Hours of one's own work at which doing it oneself costs what the quote asks."""
    return (quoted_price - parts_cost - tools_cost) / hour_value


__all__ = [name for name, value in list(globals().items()) if isinstance(value, Formula)]
